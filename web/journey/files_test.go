package journey

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/testdata"
)

// A walk round a field of about 60 by 100 m, open by less than 10 m, as a handheld GPS writes it (GPX 1.1).
const walk = `<gpx version="1.1" creator="handheld" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>Long meadow</name><trkseg>` +
	`<trkpt lat="53.98" lon="-2.58"/><trkpt lat="53.9809" lon="-2.58"/><trkpt lat="53.9809" lon="-2.5791"/><trkpt lat="53.98" lon="-2.5791"/><trkpt lat="53.98" lon="-2.57996"/></trkseg></trk></gpx>`

// drop lets go of files over the page: name, media type, text; name, media type, text; ...
func (w *window) drop(files ...string) {
	w.t.Helper()
	var js strings.Builder
	for i := 0; i < len(files); i += 3 {
		fmt.Fprintf(&js, "t.items.add(new File([%q], %q, { type: %q }));", files[i+2], files[i], files[i+1])
	}
	w.eval(`(() => { const t = new DataTransfer(); `+js.String()+` for (const kind of ['dragover', 'drop']) document.body.dispatchEvent(new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer: t })); })()`, nil)
}

const (
	incomingText = `(document.querySelector('#notebook .incoming')?.textContent ?? '')`
	statusText   = `document.getElementById('status').textContent`
)

// Files of other programs are dropped on the page: each is explained before it goes anywhere, one at a time; what cannot be used is told
// with the way on, and the plan stays as it was.
func TestFilesAreDropped(t *testing.T) {
	at, s := serve(t, map[string][]byte{"demo": testdata.Demo})
	w := open(t, at, "/#demo", desk)
	p := pointer{w: w}
	w.until(`quickthorn.store.get().sheet && !quickthorn.store.get().sheet.later?.length`)

	before, _, err := s.Plan(t.Context(), "demo")
	require.NoError(t, err)
	w.expect("422") // the browser writes down what is refused
	for _, row := range []struct {
		name, file string
		says       []string
	}{
		{"words.txt", "no map at all", []string{"none of GPX, KML, KMZ, GeoPackage and GeoJSON", "Export it in one of these"}},
		{"broken.gpx", walk[:len(walk)-40], []string{"line 1", "ends in the middle", "export it again"}},
		{"bomb.kml", `<!DOCTYPE x [<!ENTITY a "b">]><kml>&a;</kml>`, []string{"document type"}},
		{"half.geojson", `{"type": "FeatureCollection", "features": [`, []string{"broken off in the middle", "Export it again"}},
		{"table.json", `{"rows": []}`, []string{"not GeoJSON"}},
	} {
		w.drop(row.name, "", row.file)
		w.until(incomingText + fmt.Sprintf(`.includes(%q)`, row.name))
		for _, part := range row.says {
			assert.Contains(t, w.text(incomingText), part, row.name)
		}
	}
	w.drop("yard.png", "image/png", "\x89PNG")
	w.until(statusText + `.includes('Lay a picture under the sheet')`)
	after, _, err := s.Plan(t.Context(), "demo")
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after))

	w.drop("walk.gpx", "", walk, "second.gpx", "", walk)
	w.until(statusText + `.includes('Only walk.gpx is looked at')`)
	w.until(incomingText + `.includes('closed to areas')`)
	assert.NotContains(t, w.text(incomingText), "--", "the page has no flags")
	p.press("#notebook", "Open as a holding of its own")
	w.until(`quickthorn.store.get().holding !== 'demo' && quickthorn.store.get().sheet?.features.length === 1`)
	data, _, err := s.Plan(t.Context(), w.text(`quickthorn.store.get().holding`))
	require.NoError(t, err)
	plan, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	require.Len(t, plan.Of(planner.KindParcel), 1)
	assert.Equal(t, "Long meadow", plan.Of(planner.KindParcel)[0].Name)
}
