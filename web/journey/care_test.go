package journey

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/testdata"
)

// chapters of the notebook.
var chapters = []string{"land", "warnings", "list", "holding", "history", "begin"}

// axe is the accessibility checker's script, from npm; it is installed where the Go cache is and used by tests only.
func axe(t *testing.T) string {
	t.Helper()
	cache, err := os.UserCacheDir()
	require.NoError(t, err)
	dir := filepath.Join(cache, "quickthorn-tests")
	script := filepath.Join(dir, "node_modules", "axe-core", "axe.min.js")
	if _, err := os.Stat(script); err != nil {
		require.NoError(t, os.MkdirAll(dir, 0o755))
		ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
		defer cancel()
		out, err := exec.CommandContext(ctx, "npm", "install", "--prefix", dir, "--no-audit", "--no-fund", "--ignore-scripts", "axe-core@4.10.3").CombinedOutput()
		require.NoError(t, err, "npm installs axe-core (apt-get install npm): %s", out)
	}
	data, err := os.ReadFile(script)
	require.NoError(t, err)
	return string(data)
}

// Deque's axe-core holds each chapter against WCAG 2.0 to 2.2, levels A and AA (W3C), and its own best practice.
func TestAxeFindsNothingOnAnyChapter(t *testing.T) {
	script := axe(t)
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	for _, l := range []look{{w: 1280, h: 860}, {w: 1280, h: 860, dark: true}, {w: 360, h: 780}, {w: 360, h: 780, dark: true}} {
		w := open(t, at, "/#demo", l)
		w.until(`quickthorn.store.get().sheet`)
		_, err := chromedp.Run(w.ctx, chromedp.Evaluate[chromedp.Void](script+"; undefined"))
		require.NoError(t, err)
		for _, chapter := range chapters {
			w.eval(fmt.Sprintf(`quickthorn.store.do('chapter', %q) && 1`, chapter), nil)
			w.until(fmt.Sprintf(`document.querySelector('#notebook .chapter.%s')`, chapter))
			w.until(`!document.querySelector('#notebook .chapter')?.textContent.includes('Loading')`)
			said := w.text(`axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }).then((r) => r.violations.map((v) => v.id + ': ' + v.help + ' ' + v.nodes.slice(0, 3).map((n) => n.target.join(' ')).join('; ')).join('\n'))`)
			assert.Empty(t, said, "%s at %d px, dark %v", chapter, l.w, l.dark)
		}
	}
}

// The page's pure modules have tests of their own, run by node's own runner.
func TestPureModulesByNode(t *testing.T) {
	tests, err := filepath.Glob("../static/test/*.test.*js")
	require.NoError(t, err)
	require.NotEmpty(t, tests)
	out, err := exec.Command("node", append([]string{"--test"}, tests...)...).CombinedOutput()
	require.NoError(t, err, "node, 18 or newer (apt-get install nodejs): %s", out)
}

func TestHostileNamesAreTextEverywhere(t *testing.T) {
	names := []string{`<script>globalThis.hurt = 1</script>`, `<img src=x onerror="globalThis.hurt=1">`, `]]>`, `"'` + "`" + `&amp;`, "\u202eright to left\u2066", strings.Repeat("long ", 2000), `=cmd|' /C calc'!A0`}
	features := []map[string]any{}
	for i, name := range names {
		x := -2.585 + float64(i)*0.0005
		features = append(features, map[string]any{"type": "Feature", "id": name, "properties": map[string]any{"kind": "parcel", "name": name, "notes": name, "moisture": "wet"},
			"geometry": map[string]any{"type": "Polygon", "coordinates": [][][2]float64{{{x, 53.985}, {x + 0.0004, 53.985}, {x + 0.0004, 53.9854}, {x, 53.9854}, {x, 53.985}}}}},
			map[string]any{"type": "Feature", "id": "plant " + name, "properties": map[string]any{"kind": "plant", "name": name, "species": name, "cultivar": name}, "geometry": map[string]any{"type": "Point", "coordinates": [2]float64{x + 0.0002, 53.9852}}})
	}
	plan, err := json.Marshal(map[string]any{"type": "FeatureCollection", "holding": map[string]any{"name": names[0]}, "features": features})
	require.NoError(t, err)
	at, _ := serve(t, map[string][]byte{"hostile": plan})
	w := open(t, at, "/#hostile", desk)
	w.until(`quickthorn.store.get().sheet`)
	for _, chapter := range chapters {
		w.eval(fmt.Sprintf(`quickthorn.store.do('chapter', %q) && 1`, chapter), nil)
		w.until(fmt.Sprintf(`document.querySelector('#notebook .chapter.%s')`, chapter))
		w.eval(`new Promise((ok) => setTimeout(ok, 100)).then(() => 1)`, nil)
		assert.Zero(t, w.number(`globalThis.hurt ?? 0`), chapter)
		assert.Zero(t, w.number(`document.querySelectorAll('#notebook script, #sheet script, #sheet img[onerror], #notebook img').length`), chapter)
	}
	assert.Equal(t, names[0], w.text(`document.querySelector('#top h1').textContent`), "shown as text")
	assert.LessOrEqual(t, w.number(`document.documentElement.scrollWidth`), 1280.0)
}
