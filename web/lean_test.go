package web

import (
	"io/fs"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLean(t *testing.T) {
	for _, c := range []struct{ name, ext, in, want string }{
		{"comment lines of a script go", ".js", "// what\n\n/** one line */\n/**\n * several\n * @param x\n */\n  let a = 1;\n", "let a = 1;\n"},
		{"a comment beside code stays", ".js", "let a = 1; // one\nf(/* two */ a);\n", "let a = 1; // one\nf(/* two */ a);\n"},
		{"a comment before code on its line stays", ".js", "/* one */ let a;\n", "/* one */ let a;\n"},
		{"a slash in a text stays", ".js", "  const u = 'http://x';\n", "const u = 'http://x';\n"},
		{"a template over several lines leaves the file alone", ".js", "const t = `a\n  // b\n`;\n", "const t = `a\n  // b\n`;\n"},
		{"a template on one line does not", ".js", "  const t = `a ${b}`;\n", "const t = `a ${b}`;\n"},
		{"code after the end of a comment leaves the file alone", ".js", "/* a\n b */ let c;\n", "/* a\n b */ let c;\n"},
		{"a comment that never ends leaves the file alone", ".js", "let a;\n/* b\n", "let a;\n/* b\n"},
		{"style sheets have no comments of one slash", ".css", "/* a */\n  b { c: d; }\n//x\n", "b { c: d; }\n//x\n"},
		{"a last line without an end gets one", ".js", "  a", "a\n"},
		{"what is neither script nor style stays", ".svg", "  <!-- a -->\n", "  <!-- a -->\n"},
		{"nothing stays nothing", ".js", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) { assert.Equal(t, c.want, string(lean(c.ext, []byte(c.in)))) })
	}
}

// What is left of every file of the page is its code lines, all of them, in order; and the page as it is served stays light
// (the aim is ours: under 300 kB before compression).
func TestLeanPage(t *testing.T) {
	total := 0
	err := fs.WalkDir(embedded, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			if d != nil && d.Name() == "test" {
				return fs.SkipDir
			}
			return err
		}
		data, err := embedded.ReadFile(name)
		require.NoError(t, err)
		got := lean(path.Ext(name), data)
		total += len(got)
		if string(got) == string(data) {
			return nil // left as it is
		}
		left := strings.Split(string(got), "\n")
		for _, line := range strings.Split(string(data), "\n") {
			text := strings.TrimSpace(line)
			if text != "" && len(left) > 0 && strings.TrimSpace(left[0]) == text {
				left = left[1:]
				continue
			}
			plain := text == "" || strings.HasPrefix(text, "//") || strings.HasPrefix(text, "/*") || strings.HasPrefix(text, "*") || path.Ext(name) == ".css"
			assert.True(t, plain, "%s: %q was left out", name, text)
		}
		assert.Empty(t, strings.TrimSpace(strings.Join(left, "")), name)
		return nil
	})
	require.NoError(t, err)
	assert.Less(t, total, 300_000)
	t.Logf("the page is %d bytes", total)
}
