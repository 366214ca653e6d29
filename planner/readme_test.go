package planner

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var updateReadme = flag.Bool("update", false, "rewrite the vocabulary in the README")

// The README's reference is made from the table of kinds, so that it cannot go stale.
func TestReadmeTellsTheVocabulary(t *testing.T) {
	const begin, end = "<!-- vocabulary:begin -->\n", "<!-- vocabulary:end -->"
	data, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	head, rest, ok := strings.Cut(string(data), begin)
	require.True(t, ok)
	_, tail, ok := strings.Cut(rest, end)
	require.True(t, ok)
	want := head + begin + vocabularyText() + end + tail
	if *updateReadme {
		require.NoError(t, os.WriteFile("../README.md", []byte(want), 0o644))
		return
	}
	require.Equal(t, want, string(data), "go test ./planner -run Readme -update renews it")
}

func vocabularyText() string {
	var b strings.Builder
	row := func(kind, geometry string, props []Prop) {
		var list []string
		for _, p := range props {
			list = append(list, propText(p))
		}
		fmt.Fprintf(&b, "| %s | %s | %s |\n", kind, geometry, strings.Join(list, "; "))
	}
	b.WriteString("| kind | drawn as | properties (default) |\n|---|---|---|\n")
	row("*every feature*", "", CommonProps())
	for _, k := range Kinds() {
		row("`"+string(k.Kind)+"` "+k.Help, strings.Join(k.Geometries, ", "), k.Props)
	}
	b.WriteString("\n| holding | meaning (default) |\n|---|---|\n")
	for _, p := range HoldingProps() {
		fmt.Fprintf(&b, "| `%s` | %s |\n", p.Name, strings.TrimPrefix(propText(p), "`"+p.Name+"` "))
	}
	return b.String()
}

// propText says a property: name, help, what is allowed, default.
func propText(p Prop) string {
	s := "`" + p.Name + "` " + p.Help
	var in []string
	if len(p.Allowed) > 0 {
		in = append(in, strings.Join(p.Allowed, ", "))
	}
	switch {
	case p.Default != nil:
		in = append(in, fmt.Sprintf("default %v", p.Default))
	case p.Else != "":
		in = append(in, "else "+p.Else)
	}
	if len(in) > 0 {
		s += " (" + strings.Join(in, "; ") + ")"
	}
	return s
}
