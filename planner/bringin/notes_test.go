package bringin

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every figure of a note stands in it: a walk that ends 3.3 m from where it began is closed, and the gap is said. 0.00003 degrees of
// latitude are 3.34 m (a degree is 111.3 km at 54 north on the WGS 84 ellipsoid).
func TestNotesHoldTheirFigures(t *testing.T) {
	const walk = `<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg><trkpt lat="54" lon="-2"/><trkpt lat="54" lon="-1.999"/>` +
		`<trkpt lat="54.0005" lon="-1.999"/><trkpt lat="54.0005" lon="-2"/><trkpt lat="54.00003" lon="-2"/></trkseg></trk></gpx>`
	r, err := Bring(context.Background(), []byte(walk), Options{File: "walk.gpx"})
	require.NoError(t, err)
	all := strings.Join(r.Notes, "\n")
	assert.NotContains(t, all, "%!")
	assert.Contains(t, all, "the widest gap was 3.3 m.")
}
