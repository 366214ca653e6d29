package web

import (
	"io/fs"
	"path"
	"regexp"
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

// What is left of every file of the page is its code lines, all of them, in order.
func TestLeanPage(t *testing.T) {
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
}

var (
	// What the document names, and what a module names as it is read; import() is asked for later.
	inDocument = regexp.MustCompile(`(?:src|href)="/static/([^"]+)"`)
	inModule   = regexp.MustCompile(`(?m)^(?:import|export)\b[^'"()]*['"](\.[^'"]+)['"]`)
	onDemand   = regexp.MustCompile(`\bimport\('(\.[^']+)'\)`)
)

// named lists the files that a pattern finds in a file, each from the folder of the page.
func named(name string, text []byte, pattern *regexp.Regexp) []string {
	var out []string
	for _, m := range pattern.FindAllSubmatch(text, -1) {
		if pattern == inDocument {
			out = append(out, string(m[1]))
		} else {
			out = append(out, path.Join(path.Dir(name), string(m[1])))
		}
	}
	return out
}

// loads is the size in bytes, before compression, of what a file brings along, and the names of it all; later files that it only
// asks for when they are needed are put into demand.
func loads(t *testing.T, from string, files map[string]bool, demand map[string]bool) int {
	t.Helper()
	if files[from] {
		return 0
	}
	files[from] = true
	data, err := embedded.ReadFile("static/" + from)
	require.NoError(t, err, from)
	text := lean(path.Ext(from), data)
	total := len(text)
	pattern := inModule
	if path.Ext(from) == ".html" {
		pattern = inDocument
	}
	for _, name := range named(from, text, pattern) {
		total += loads(t, name, files, demand)
	}
	for _, name := range named(from, text, onDemand) {
		demand[name] = true
	}
	return total
}

// The first drawing loads under 300 kB before compression, and the whole page with every chapter under 450 kB (both aims are ours).
// Nothing lies in the folder that is never loaded.
func TestPageIsLight(t *testing.T) {
	files, demand := map[string]bool{}, map[string]bool{}
	first := loads(t, "index.html", files, demand)
	atOnce := len(files)
	require.Greater(t, atOnce, 20, "imports were not followed")
	for name := range demand {
		assert.False(t, files[name], "%s is loaded at once: asking for it later saves nothing", name)
	}
	whole := first
	for len(demand) > 0 {
		more := map[string]bool{}
		for name := range demand {
			whole += loads(t, name, files, more)
		}
		demand = more
		for name := range demand {
			if files[name] {
				delete(demand, name)
			}
		}
	}
	require.NoError(t, fs.WalkDir(embedded, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			if d != nil && d.Name() == "test" {
				return fs.SkipDir
			}
			return err
		}
		name = strings.TrimPrefix(name, "static/")
		if !files[name] {
			data, err := embedded.ReadFile("static/" + name)
			require.NoError(t, err)
			whole += len(lean(path.Ext(name), data))
			assert.Equal(t, ".css", path.Ext(name), "%s is never loaded", name) // style sheets are asked for by name
		}
		return nil
	}))
	assert.Less(t, first, 300_000)
	assert.Less(t, whole, 450_000)
	t.Logf("the first drawing loads %d bytes in %d files, the whole page has %d", first, atOnce, whole)
}
