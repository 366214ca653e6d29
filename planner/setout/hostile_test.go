package setout_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// Lines that double back, repeat a position or have parts of no length, gateways and gaps anywhere, polygons of slivers and
// spikes: whatever is drawn, setting out ends, numbers are finite, and a line's stretches lie in order within it.
func TestPropertyWhateverIsDrawn(t *testing.T) {
	coarse := rapid.Custom(func(t *rapid.T) orb.Point {
		return orb.Point{float64(rapid.IntRange(-6, 6).Draw(t, "x")) * 2, float64(rapid.IntRange(-6, 6).Draw(t, "y")) * 2}
	})
	line := rapid.Custom(func(t *rapid.T) orb.LineString {
		return rapid.SliceOfN(coarse, 1, 7).Draw(t, "line")
	})
	rapid.Check(t, func(t *rapid.T) {
		lines := rapid.SliceOfN(line, 1, 3).Draw(t, "parts")
		status := rapid.SampledFrom([]planner.Status{planner.Existing, planner.Planned}).Draw(t, "status")
		fs := []*planner.Feature{
			hedge("h", status, planner.Hedge{Rows: rapid.IntRange(1, 4).Draw(t, "rows"), Mix: alder, FillMix: hawthorn, TreesEveryM: 3, TreeMix: alder}, lines...),
			existing("h2", planner.Hedge{FillMix: hawthorn}, line.Draw(t, "h2")),
			belt("w", planner.Windbreak{RowGapM: 2, Side: "auto", Rows: []planner.BeltRow{{Mix: alder, SpacingM: 1.5}, {Mix: alder, SpacingM: 1.5}, {Mix: alder, SpacingM: 1}}}, line.Draw(t, "w")),
			row("r", planner.Row{Mix: hawthorn, SpacingM: 0.7}, line.Draw(t, "r")),
		}
		for i, p := range rapid.SliceOfN(coarse, 0, 3).Draw(t, "gates") {
			fs = append(fs, gateway(fmt.Sprintf("gate%d", i), p, 3.6), gapPoint(fmt.Sprintf("gap%d", i), orb.Point{p[0] + 1, p[1]}, 2.5))
		}
		fs = append(fs, gapLine("gl", line.Draw(t, "gap")))
		ring := append(orb.Ring(rapid.SliceOfN(coarse, 3, 7).Draw(t, "ring")), orb.Point{})
		ring[len(ring)-1] = ring[0]
		pattern := rapid.SampledFrom(setout.Patterns()).Draw(t, "pattern")
		fs = append(fs, grove(pattern.Name, orb.Polygon{ring}, 1.5, 2, 0.5, 30, rapid.Bool().Draw(t, "auto")))
		out := set(t, plan(t, fs...), "general")
		ids := map[string]bool{}
		out.Each(func(p *setout.Plant) bool {
			require.False(t, ids[p.ID()], p.ID())
			ids[p.ID()] = true
			for _, v := range []float64{p.At[0], p.At[1], p.Chainage, p.Offset} {
				require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%s at %v", p.ID(), p.At)
			}
			return true
		})
		for _, l := range out.Layouts {
			if l.Line == nil {
				continue
			}
			at := math.Inf(-1)
			for _, r := range l.Line.Runs {
				require.LessOrEqual(t, at, r.FromM+1e-9, "runs of %s overlap: %v", l.Feature.ID, l.Line.Runs)
				require.LessOrEqual(t, r.FromM, r.ToM)
				at = r.ToM
			}
			open := 0.0
			for _, o := range l.Line.Openings {
				require.Positive(t, o.Length())
				open += o.Length()
			}
			require.LessOrEqual(t, l.Line.GapM, open+1e-9)
			require.GreaterOrEqual(t, l.Line.LengthM, -1e-9)
			require.LessOrEqual(t, l.Line.GapPercent, 100+1e-6, "%s: %v", l.Feature.ID, l.Line.Openings)
		}
	})
}
