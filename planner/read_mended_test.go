package planner

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo/interchange"
)

// star is a ring that goes once round a middle at changing distances: never crossing itself.
func star(t *rapid.T, lon, lat, least, most float64) []orb.Point {
	n := rapid.IntRange(3, 12).Draw(t, "corners")
	dirs := [][2]float64{{1, 0}, {.87, .5}, {.5, .87}, {0, 1}, {-.5, .87}, {-.87, .5}, {-1, 0}, {-.87, -.5}, {-.5, -.87}, {0, -1}, {.5, -.87}, {.87, -.5}}
	var ring []orb.Point
	for i := range n {
		d := dirs[i*12/n]
		r := rapid.Float64Range(least, most).Draw(t, "reach")
		ring = append(ring, orb.Point{interchange.Round9(lon + d[0]*r), interchange.Round9(lat + d[1]*r)})
	}
	return ring
}

// spoiled is the ring as somebody else might have written it.
func spoiled(t *rapid.T, ring []orb.Point) []orb.Point {
	out := slices.Clone(ring)
	if rapid.Bool().Draw(t, "start elsewhere") {
		k := rapid.IntRange(0, len(out)-1).Draw(t, "start")
		out = append(slices.Clone(out[k:]), out[:k]...)
	}
	if rapid.Bool().Draw(t, "reverse") {
		slices.Reverse(out)
	}
	if rapid.Bool().Draw(t, "close") {
		out = append(out, out[0])
	}
	for range rapid.IntRange(0, 3).Draw(t, "repeats") {
		i := rapid.IntRange(0, len(out)-1).Draw(t, "repeat")
		out = slices.Insert(out, i, out[i])
	}
	return out
}

func ringText(ps []orb.Point, height string) string {
	parts := make([]string, len(ps))
	for i, p := range ps {
		parts[i] = fmt.Sprintf("[%v,%v%s]", p[0], p[1], height)
	}
	return "[" + strings.Join(parts, ",") + "]"
}

// A mended file reads the same as the clean one: unclosed, repeated, turned and shifted rings, heights, a byte order mark, and
// features in another order.
func TestMendedReadsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var clean, other []string
		for i := range rapid.IntRange(1, 4).Draw(t, "features") {
			lon, lat := -2.6+float64(i)*0.004, 54.2
			outer := star(t, lon, lat, 0.0006, 0.0012)
			hole := star(t, lon, lat, 0.0001, 0.0003)
			slices.Reverse(hole)
			line := []orb.Point{outer[0], outer[1], hole[0]}
			twice := []orb.Point{line[0], line[0], line[1], line[2], line[2]}
			id, hid := fmt.Sprintf("parcel%d", i), fmt.Sprintf("hedge%d", i)
			closed := func(r []orb.Point) []orb.Point { return append(slices.Clone(r), r[0]) }
			clean = append(clean,
				feature(id, "parcel", fmt.Sprintf(`{"type":"Polygon","coordinates":[%s,%s]}`, ringText(closed(outer), ""), ringText(closed(hole), ""))),
				feature(hid, "hedge", fmt.Sprintf(`{"type":"LineString","coordinates":%s}`, ringText(line, "")), `"rows": 1`))
			height := rapid.SampledFrom([]string{"", ",0", ",81.25", ", 7, 8"}).Draw(t, "height")
			other = append(other,
				feature(id, "parcel", fmt.Sprintf(`{"type":"Polygon","coordinates":[%s,%s]}`, ringText(spoiled(t, outer), height), ringText(spoiled(t, hole), height))),
				feature(hid, "hedge", fmt.Sprintf(`{"type":"LineString","coordinates":%s}`, ringText(twice, height)), `"rows": 1`))
		}
		if rapid.Bool().Draw(t, "order") {
			slices.Reverse(other)
		}
		p, err := Read([]byte(file(clean...)), ReadOptions{})
		require.NoError(t, err)
		require.Empty(t, p.Faults)
		q, err := Read([]byte("\xef\xbb\xbf"+file(other...)), ReadOptions{})
		require.NoError(t, err)
		require.NotEmpty(t, q.Faults)
		for _, f := range q.Faults {
			require.Equal(t, "input.mended", f.Rule)
			require.Equal(t, Note, f.Severity)
		}
		require.Equal(t, p.Frame, q.Frame)
		require.Equal(t, ids(p), ids(q))
		for i, f := range p.Features {
			g := q.Features[i]
			require.Equal(t, f.Shape, g.Shape, "bit for bit")
			require.Equal(t, f.Detail, g.Detail)
			require.True(t, g.Sound)
		}
		for _, raw := range other {
			require.Contains(t, written(t, q), raw, "the file keeps it as it was")
		}
	})
}
