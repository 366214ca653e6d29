package shelter

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"

	"quickthorn/geo"
)

const swing = "geometry of a wind that swings about the perpendicular; the protected zone of a single leg is a triangle, University of Florida EDIS FOR227"

// A belt 10 m high, L long along y = 0, the wind from the south swinging 30 degrees to either side: the zone sheltered in all winds to
// 10 heights. The grid of the field is held against it: a cell counts where every wind of the fan is slowed and it lies within 100 m.
func TestSwingZoneAgainstTheField(t *testing.T) {
	for _, row := range []struct {
		length, apex, widthAt100, area float64
		source                         string
	}{
		{200, 173.2, 84.5, 14226, swing},
		{100, 86.6, 0, 4330, swing},
	} {
		z := Zone{LengthM: row.length, ReachM: 100, SwingDeg: 30}
		assert.InDelta(t, row.apex, z.ApexM(), 0.05, row.source)
		assert.InDelta(t, row.widthAt100, z.WidthAtM(100), 0.05, row.source)
		assert.InEpsilon(t, row.area, z.AreaM2(), 0.0005, row.source)

		g := geo.Grid{Min: orb.Point{-10, 0}, Cell: 0.25, Nx: int(4 * (row.length + 20)), Ny: 400}
		b := []Barrier{line("w", 10, 0, 0.4, orb.LineString{{0, 0}, {row.length, 0}})}
		inAll := make([]bool, g.Len())
		for i := range inAll {
			inAll[i] = true
		}
		for turn := -30.0; turn <= 30; turn += 7.5 {
			for i, v := range field(t, b, []Wind{{180 + turn, 100}}, g).Values {
				inAll[i] = inAll[i] && v < 100
			}
		}
		n := 0
		for _, in := range inAll {
			if in {
				n++
			}
		}
		assert.InEpsilon(t, row.area, float64(n)*g.Cell*g.Cell, 0.005, "cells against closed form, length %g: %s", row.length, row.source)
	}
}

// The rule that a belt be ten times as long as it is high gives an apex at ten heights for a swing of 26.6 degrees.
func TestTenToOne(t *testing.T) {
	z := Zone{LengthM: 100, ReachM: 100, SwingDeg: 26.565}
	assert.InDelta(t, 100, z.ApexM(), 0.01, swing)
	assert.InDelta(t, 5000, z.AreaM2(), 0.5, swing+": a triangle, 100 x 100 / 2")
	assert.True(t, math.IsInf(Zone{LengthM: 100, ReachM: 100}.ApexM(), 1))
	assert.Equal(t, 10000.0, Zone{LengthM: 100, ReachM: 100}.AreaM2())
}

// A belt of 120 m in a wind 40 degrees off square, to 10 heights of 8 m: 80 cos 40 = 61.28 m deep, seen 120 cos 40 = 91.93 m long,
// 120 x 61.28 = 7354 m2 (worked by hand).
func TestStripOfOneObliqueWind(t *testing.T) {
	deep, seen, area := Strip(120, 80, 40)
	assert.InDelta(t, 61.28, deep, 0.01)
	assert.InDelta(t, 91.93, seen, 0.01)
	assert.InDelta(t, 7354, area, 0.5)

	g := geo.Grid{Min: orb.Point{-20, 0}, Cell: 0.25, Nx: 4 * 220, Ny: 4 * 62}
	b := []Barrier{line("w", 8, 0, 0.4, orb.LineString{{0, 0}, {120, 0}})}
	at10 := 100 * Left(10, 0, 0.4)
	n, west, east := 0, math.Inf(1), math.Inf(-1)
	d := geo.Direction(220 + 180)
	for i, v := range field(t, b, []Wind{{220, 100}}, g).Values {
		if p := g.Middle(i%g.Nx, i/g.Nx); v <= at10 { // past its least, at some 4 heights, the wind only grows; before, it stays below
			n++
			across := p[0]*d[1] - p[1]*d[0]
			west, east = math.Min(west, across), math.Max(east, across)
		}
	}
	// Right behind the belt more wind is left than at 10 heights: up to there the strip is full, less the first x heights.
	first := 0.0
	for 100*Left(first, 0, 0.4) > at10 {
		first += 1e-5
	}
	assert.InEpsilon(t, area*(10-first)/10, float64(n)*g.Cell*g.Cell, 0.005)
	assert.InDelta(t, seen, east-west, 0.5)
}
