package journey

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/testdata"
)

// chapters of the notebook.
var chapters = []string{"land", "warnings", "years", "wood", "list", "holding", "history", "begin"}

// chapter goes to a chapter as a user does, and waits until all of it is there.
func (p pointer) chapter(name string) {
	p.w.t.Helper()
	n := 0
	for i, c := range chapters {
		if c == name {
			n = i
		}
	}
	p.hit(fmt.Sprintf(`document.querySelectorAll('#notebook nav button')[%d]`, n))
	p.w.until(fmt.Sprintf(`document.querySelector('#notebook .chapter.%s') && !document.querySelector('#notebook .chapter').textContent.includes('One moment')`, name))
}

// axe is the accessibility checker's script, from npm; it is installed in the user's cache folder and used by tests only.
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

// sound holds the page as it stands, or the part of it that a selector gives, against WCAG 2.0 to 2.2, levels A and AA (W3C), and against
// Deque's own best practice. The inside of the drawing is left out: it is one picture with a name of its own, and the contrast of its
// signs is a test of the page's modules. The rule on hidden content finds nothing by itself, it only asks a person to look.
func (w *window) sound(what, part string) {
	w.t.Helper()
	// What lies under the row of chapters, which stays in view, is a scroll away, and not too small.
	w.eval(`(() => { for (const e of document.querySelectorAll('.chapters')) e.style.position = 'static'; return 1; })() && new Promise((ok) => requestAnimationFrame(() => requestAnimationFrame(() => ok(1))))`, nil)
	var r struct {
		Passed int
		Said   []string
	}
	w.eval(fmt.Sprintf(`axe.run({ include: [%q], exclude: ['#land .layer svg *'] }, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'], rules: { 'hidden-content': { enabled: false } }, resultTypes: ['violations'] }).then((r) => ({ Passed: r.passes.length, Said: r.violations.map((v) => v.id + ': ' + v.help + ' ' + v.nodes.slice(0, 3).map((n) => n.target.join(' ') + ' ' + n.failureSummary).join('; ')) }))`, part), &r)
	assert.Empty(w.t, r.Said, what)
	assert.Greater(w.t, r.Passed, 8, "%s: axe looked at next to nothing", what)
}

func axed(t *testing.T, at, path, script string, l look) pointer {
	t.Helper()
	w := open(t, at, path, l)
	_, err := chromedp.Run(w.ctx, chromedp.Evaluate[chromedp.Void](script+"; undefined"))
	require.NoError(t, err)
	return pointer{w: w, finger: l.touch}
}

func TestAxeFindsNothingOnAnyChapter(t *testing.T) {
	script := axe(t)
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	for _, l := range []look{{w: 1280, h: 860}, {w: 1280, h: 860, dark: true}, {w: 360, h: 780, touch: true}, {w: 360, h: 780, touch: true, dark: true}} {
		t.Run(fmt.Sprintf("%d px, dark %v", l.w, l.dark), func(t *testing.T) {
			t.Parallel()
			h := axed(t, at, "/#demo", script, l)
			h.w.until(`quickthorn.store.get().sheet`)
			h.w.sound("the whole page", "html")
			for _, chapter := range chapters[1:] { // the first is open
				h.chapter(chapter)
				h.w.sound(chapter, "#notebook")
			}
		})
	}
}

// The same with everything that opens: forms, lists, panels, a pen in hand, and a holding with nothing in it.
func TestAxeFindsNothingInWhatOpens(t *testing.T) {
	script := axe(t)
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo, "empty": []byte(`{"type":"FeatureCollection","holding":{"name":"Empty"},"features":[]}`)})
	for _, l := range []look{{w: 1280, h: 860}, {w: 360, h: 780, touch: true, dark: true}} {
		t.Run(fmt.Sprintf("%d px, dark %v", l.w, l.dark), func(t *testing.T) {
			t.Parallel()
			opening(t, at, script, l)
		})
	}
}

func opening(t *testing.T, at, script string, l look) {
	h := axed(t, at, "/#demo", script, l)
	h.w.until(`quickthorn.store.get().sheet`)
	seen := map[string]bool{}
	var features [][2]string
	h.w.eval(`quickthorn.store.get().sheet.features.map((f) => [f.kind, f.id])`, &features)
	for _, f := range features {
		if seen[f[0]] || f[0] != "hedge" && f[0] != "windbreak" && f[0] != "orchard" && f[0] != "parcel" {
			continue
		}
		seen[f[0]] = true
		h.w.eval(fmt.Sprintf(`quickthorn.store.do('select', { id: %q }) && 1`, f[1]), nil)
		h.w.until(fmt.Sprintf(`document.querySelector('#notebook .form ' + %q)`, field(f[1], "kind")))
		if h.w.number(`document.querySelector('#notebook .form ~ details').open ? 1 : 0`) == 0 {
			h.hit(`document.querySelector('#notebook .form ~ details summary')`)
		}
		h.w.until(`document.querySelector('#notebook .form ~ details[open] table')`)
		h.w.sound("the form of "+f[1], "#notebook .entry.open")
	}
	require.Len(t, seen, 4)
	h.w.eval(`quickthorn.store.do('select', { id: null }) && 1`, nil)

	h.chapter("warnings")
	h.hit(button("#notebook", "Accept, because"))
	h.press("#notebook", "Accept it")
	h.w.until(`document.querySelector('#notebook .reason .wrong')`)
	h.w.sound("accepting a finding", "#notebook .find:has(.reason)")

	h.hit(`document.querySelector('[data-pen=more]')`)
	h.w.until(`document.querySelector('[data-pen=tape]').checkVisibility()`)
	h.w.sound("all pens", "#pens")
	h.hit(`document.querySelector('[data-pen=tape]')`)
	h.w.until(`!document.querySelector('.panel').hidden`)
	h.w.sound("the tape survey", "#sheet")
	h.press("#pens", "Leave off")
	h.w.until(`document.querySelector('.panel').hidden`)
	h.hit(`document.querySelector('[data-pen=more]')`)
	h.hit(`document.querySelector('[data-pen=picture]')`)
	h.w.until(`!document.querySelector('.panel').hidden`)
	h.w.sound("a picture to trace", "#sheet")
	h.press("#pens", "Leave off")

	h.take("field")
	x, y := h.w.pixel(h.w.number(`quickthorn.store.get().view.x`), h.w.number(`quickthorn.store.get().view.y`))
	h.at(x, y)
	h.w.until(`!document.querySelector('form.legs').hidden`)
	h.w.sound("drawing", "#sheet")
	h.press("#pens", "Leave off")
	h.hit(`document.querySelector('#pens details.show summary')`)
	h.w.until(`document.querySelector('#pens details.show').open`)
	h.w.sound("what is shown", "#pens")

	e := axed(t, at, "/#empty", script, l)
	e.w.until(`quickthorn.store.get().sheet?.name === 'Empty'`)
	e.w.sound("an empty holding", "html")
}

// The page's pure modules have tests of their own, run by node's own runner.
func TestPureModulesByNode(t *testing.T) {
	tests, err := filepath.Glob("../static/test/*.test.mjs")
	require.NoError(t, err)
	require.NotEmpty(t, tests)
	out, err := exec.Command("node", append([]string{"--test"}, tests...)...).CombinedOutput()
	require.NoError(t, err, "node, 18 or newer (apt-get install nodejs): %s", out)
}
