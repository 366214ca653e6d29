package journey

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hostile are names that would do something if they were taken for markup, script, an end of data, a formula, or were merely long.
// The marks are those of Unicode Standard Annex 9 that turn the direction of text.
var hostile = []string{
	`<script>globalThis.hurt = 1</script>`, `<img src=x onerror="globalThis.hurt = 1">`, `</svg><script>globalThis.hurt = 1</script>`, `]]>`, `"'` + "`" + `&amp;`,
	"\u202eright to left\u2066", strings.Repeat("long name ", 1000), `=cmd|' /C calc'!A0`, `javascript:globalThis.hurt=1`, `{name}`,
}

// hostilePlan has these names in every place where a plan can have a text of the user's own.
func hostilePlan(t *testing.T) []byte {
	t.Helper()
	var features []map[string]any
	for i, name := range hostile {
		x := -2.585 + float64(i)*0.0005
		add := func(id, kind, geometry string, coordinates any, more map[string]any) {
			p := map[string]any{"kind": kind, "name": name, "notes": name}
			for k, v := range more {
				p[k] = v
			}
			features = append(features, map[string]any{"type": "Feature", "id": id, "properties": p, "geometry": map[string]any{"type": geometry, "coordinates": coordinates}})
		}
		add(name, "parcel", "Polygon", [][][2]float64{{{x, 53.985}, {x + 0.0004, 53.985}, {x + 0.0004, 53.9854}, {x, 53.9854}, {x, 53.985}}}, map[string]any{"moisture": name})
		add("tree "+name, "plant", "Point", [2]float64{x + 0.0002, 53.9852}, map[string]any{"status": "planned", "species": name, "cultivar": name, "rootstock": name, name: name})
		add("belt "+name, "windbreak", "LineString", [][2]float64{{x + 0.0001, 53.9851}, {x + 0.0001, 53.9853}}, map[string]any{"rows": []any{map[string]any{"species": name}}, "protects": []string{name}})
	}
	plan, err := json.Marshal(map[string]any{"type": "FeatureCollection", "holding": map[string]any{"name": hostile[0], "accepted": []any{map[string]any{"key": "x", "reason": hostile[1]}}}, "features": features})
	require.NoError(t, err)
	return plan
}

// quoted is a text as JavaScript.
func quoted(t *testing.T, text string) string {
	t.Helper()
	out, err := json.Marshal(text)
	require.NoError(t, err)
	return string(out)
}

func TestHostileNamesAreTextEverywhere(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"hostile": hostilePlan(t)})
	for _, l := range []look{desk, {w: 360, h: 780, touch: true}} {
		h := pointer{w: open(t, at, "/#hostile", l), finger: l.touch}
		w := h.w
		w.until(`quickthorn.store.get().sheet`)
		// tame: nothing ran, nothing of the plan became an element, and no element has a handler or an address that runs.
		tame := func(where string) {
			t.Helper()
			w.eval(`new Promise((ok) => requestAnimationFrame(() => requestAnimationFrame(() => ok(1))))`, nil)
			assert.Zero(t, w.number(`globalThis.hurt ?? 0`), where)
			assert.Zero(t, w.number(`document.querySelectorAll('body script, img, iframe, object, embed, foreignObject').length`), where)
			assert.Empty(t, w.text(`[...document.querySelectorAll('*')].flatMap((e) => [...e.attributes]).filter((a) => a.name.startsWith('on') || /^\s*javascript:/i.test(a.value) && /^(href|src|xlink:href|action|formaction)$/.test(a.name)).map((a) => a.name + '=' + a.value).join(' ')`), where)
			assert.LessOrEqual(t, w.number(`document.documentElement.scrollWidth`), float64(l.w), "%s: nothing sticks out sideways", where)
		}
		w.until("document.querySelector('#top h1').textContent === " + quoted(t, hostile[0]))
		tame("the sheet")
		for _, chapter := range chapters {
			h.chapter(chapter)
			tame(chapter)
		}
		h.chapter("land")
		for _, name := range hostile {
			shown := quoted(t, strings.Join(strings.Fields(name), " "))
			w.until(fmt.Sprintf(`[...document.querySelectorAll('#notebook [data-entry] button[aria-expanded]')].some((b) => b.textContent.replace(/\s+/g, ' ').trim() === %s)`, shown))
			for _, id := range []string{name, "tree " + name, "belt " + name} {
				w.eval(fmt.Sprintf(`quickthorn.store.do('select', { id: %s }) && 1`, quoted(t, id)), nil)
				w.until(`document.querySelector('#notebook .form input')`)
				tame("the form of " + id[:min(len(id), 40)])
				w.until(fmt.Sprintf(`document.querySelector('#notebook .form input[id$="--name"]').value.replace(/\s+/g, ' ').trim() === %s`, shown))
			}
			w.eval(`quickthorn.store.do('select', { id: null }) && 1`, nil)
		}
	}
}
