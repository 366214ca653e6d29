package web

import (
	"encoding/json"
	"net/http"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

const walk = `<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>Round the croft</name><trkseg>
<trkpt lat="54" lon="-2"/><trkpt lat="54" lon="-1.999"/><trkpt lat="54.0005" lon="-1.999"/><trkpt lat="54.0005" lon="-2"/><trkpt lat="54" lon="-2"/></trkseg></trk></gpx>`

// What others wrote comes back as a plan that can be opened, with what was done to it; nothing is kept.
func TestBringIn(t *testing.T) {
	p := serve(t, Options{})
	tagged, err := os.ReadFile("../testdata/neighbourhood/tagged.geojson")
	require.NoError(t, err)
	for name, body := range map[string]string{"walk.gpx": walk, "tagged.geojson": string(tagged)} {
		var got struct {
			Plan  json.RawMessage
			Notes []string
		}
		p.ask("POST", "/bring-in?name="+name, body).is(http.StatusOK).into(&got)
		plan, err := planner.Read(got.Plan, planner.ReadOptions{})
		require.NoError(t, err, name)
		require.NotEmpty(t, plan.Of(planner.KindParcel), name)
		assert.NotEmpty(t, got.Notes, name)
		for _, n := range got.Notes {
			assert.NotContains(t, n, "%!", "a figure that was not put in")
			assert.NotContains(t, n, "--", "the page has no flags")
		}
		p.ask("POST", "/holdings", string(got.Plan)).is(http.StatusCreated)
	}
	for name, body := range map[string]string{"empty": "", "words": "no map at all", "broken.gpx": walk[:200], "bomb.kml": `<!DOCTYPE x [<!ENTITY a "b">]><kml>&a;</kml>`} {
		a := p.ask("POST", "/bring-in?name="+name, body)
		assert.True(t, a.status >= 400 && a.status < 500, "%s: %d", name, a.status)
		assert.Contains(t, string(a.body), `"detail"`, name)
	}
	small := serve(t, Options{MaxBody: 1000})
	small.ask("POST", "/bring-in", strings.Repeat("x", 1001)).is(http.StatusRequestEntityTooLarge)
}
