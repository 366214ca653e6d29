package light

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/growth"
)

// holding is a square of some hectares with crowns in rows of an orchard and barriers of twelve bends and 100 m.
func holding(hectares float64, plants, barriers int) ([]growth.Body, []growth.Crown, orb.Bound) {
	side := math.Sqrt(hectares * 10000)
	var crowns []growth.Crown
	n := int(math.Ceil(math.Sqrt(float64(plants))))
	for k := range plants {
		crowns = append(crowns, tree(fmt.Sprintf("orchard-%d", k%4), orb.Point{side * (float64(k%n) + 0.5) / float64(n), side * (float64(k/n) + 0.5) / float64(n)},
			4+float64(k%5), 3+float64(k%3), 1, 0.9))
	}
	var bodies []growth.Body
	for k := range barriers {
		var line orb.LineString
		y := side * (float64(k) + 0.5) / float64(barriers)
		for i := range 12 {
			line = append(line, orb.Point{side/2 - 50 + 9.1*float64(i), y + 3*math.Sin(float64(i))})
		}
		bodies = append(bodies, wall(fmt.Sprintf("hedge-%02d", k), 3+float64(k%6), 2, 0.7, line))
	}
	return bodies, crowns, orb.Bound{Max: orb.Point{side, side}}
}

func BenchmarkField(b *testing.B) {
	for _, c := range []struct {
		hectares         float64
		plants, barriers int
	}{{4, 500, 20}, {16, 500, 20}, {64, 500, 20}, {4, 2000, 20}, {4, 8000, 20}, {4, 500, 80}, {390, 2000, 80}} {
		bodies, crowns, box := holding(c.hectares, c.plants, c.barriers)
		b.Run(fmt.Sprintf("ha=%g/plants=%d/barriers=%d", c.hectares, c.plants, c.barriers), func(b *testing.B) {
			s := sceneOf(bodies, crowns)
			g, _ := GridFor(box)
			for range b.N {
				_, err := Field(context.Background(), s, g, ireland, Options{})
				require.NoError(b, err)
			}
			b.ReportMetric(float64(g.Len()), "cells")
		})
	}
}

func BenchmarkFallsBelow(b *testing.B) {
	bodies, crowns, _ := holding(4, 500, 20)
	var fs []*planner.Feature
	for k := range 10 {
		x := 10 + 18*float64(k)
		fs = append(fs, bedAt(fmt.Sprintf("bed-%d", k), 1, square(x, 80, x+10, 95)))
	}
	plan := planOf(fs...)
	scenes := func(year int, _ Growth) *Scene { return Obstacles(plan, bodies, crowns, Middling) }
	b.Run("beds=10", func(b *testing.B) {
		for range b.N {
			_, err := FallsBelow(context.Background(), plan, scenes, ireland, Options{})
			require.NoError(b, err)
		}
	})
	b.Run("house", func(b *testing.B) {
		h := house("house", 6, square(80, 102, 92, 110))
		with := planOf(h)
		for range b.N {
			_, err := LosesLight(context.Background(), with, func(int, Growth) *Scene { return Obstacles(with, bodies, crowns, Middling) }, ireland, 0.8, Options{})
			require.NoError(b, err)
		}
	})
}

func BenchmarkSteps(b *testing.B) {
	for range b.N {
		steps(ireland)
	}
}
