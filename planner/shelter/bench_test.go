package shelter

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
)

// rowsOfBarriers are barriers of twelve bends and 100 m, every third of them a belt of three rows, down a square of so many hectares.
func rowsOfBarriers(hectares float64, n int) ([]Barrier, geo.Grid) {
	side := math.Sqrt(hectares * 10000)
	var out []Barrier
	for k := range n {
		run := func(shift float64) []orb.LineString {
			var l orb.LineString
			for i := range 12 {
				l = append(l, orb.Point{side/2 - 50 + 9.1*float64(i), shift + side*(float64(k)+0.5)/float64(n) + 3*math.Sin(float64(i))})
			}
			return []orb.LineString{l}
		}
		b := line(fmt.Sprintf("%03d", k), 3+float64(k%6), 2, 0.5, run(0)...)
		if k%3 == 0 {
			b = belt(2.5, Row{HeightM: 4, WidthM: 2, Porosity: 0.7, Runs: run(0)}, Row{HeightM: 9, WidthM: 3, Porosity: 0.7, Runs: run(2.5)},
				Row{HeightM: 6, WidthM: 3, Porosity: 0.7, Runs: run(5)})
			b.Feature.ID = fmt.Sprintf("%03d", k)
		}
		out = append(out, b)
	}
	return out, geo.GridOver(orb.Bound{Max: orb.Point{side, side}}, CellM, MostCells)
}

// Plants do not matter to the wind but through their rows; so area and barriers grow here.
func BenchmarkField(b *testing.B) {
	for _, c := range []struct {
		hectares float64
		barriers int
	}{{4, 20}, {16, 20}, {64, 20}, {390, 20}, {4, 80}, {4, 320}} {
		barriers, g := rowsOfBarriers(c.hectares, c.barriers)
		b.Run(fmt.Sprintf("ha=%g/barriers=%d", c.hectares, c.barriers), func(b *testing.B) {
			for b.Loop() {
				_, err := Field(context.Background(), barriers, Fan(190), g, nil)
				require.NoError(b, err)
			}
			b.ReportMetric(float64(g.Len()), "cells")
		})
	}
}
