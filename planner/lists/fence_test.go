package lists

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// A hedge of 100 m along the boundary of two fields:
//
//	     north (sheep)
//	0 ===================== 100
//	     south (cattle)
func boundary(north, south []string) *bench {
	b := newBench().land(parcelOf("north", rect(0, 0, 100, 60), north...), parcelOf("south", rect(0, -60, 100, 60), south...))
	return b.add(lineOf("h", planner.KindHedge, &planner.Hedge{Rows: 2}, at(0, 0), at(100, 0)),
		hedge(at(0, 0), at(100, 0), 2, setout.UseHedge, of(600, hawthorn, whip)))
}

func fenced(b *bench, stockproof bool, line ...orb.Point) *bench {
	return b.land(lineOf("fence", planner.KindFence, &planner.Fence{Stockproof: stockproof}, line...))
}

// old makes the hedge one that stands.
func old(b *bench, h planner.Hedge, winter int) *bench {
	for _, f := range b.features {
		if f.ID == "h" {
			f.Status, f.Detail = planner.Existing, &h
		}
	}
	for _, l := range b.layouts {
		for i := range l.Plants {
			l.Plants[i].Listed = false
		}
	}
	b.holding.PlantingWinter = winter
	return b
}

func TestFences(t *testing.T) {
	sheep, cattle, none := []string{"sheep"}, []string{"cattle"}, []string(nil)
	gate := boundary(sheep, none)
	gate.layouts[0].Line.Runs = []setout.Run{{FromM: 0, ToM: 48}, {FromM: 52, ToM: 100}}
	bedside := boundary(sheep, none).land(bedOf("bed", rect(20, 0, 30, 20)))
	for _, row := range []struct {
		b           *bench
		north       float64
		south       float64
		set, source string
	}{
		{boundary(none, none), 0, 0, "england", "nothing grazes"},
		{boundary(sheep, none), 100, 0, "england", "one grazed side"},
		{boundary(sheep, cattle), 100, 100, "england", "both sides"},
		{boundary([]string{"poultry"}, none), 0, 0, "england", "poultry do not eat hedges"},
		{fenced(boundary(sheep, none), true, at(0, 1.2), at(100, 1.2)), 0, 0, "england", "a fence at 1.2 m (BN11)"},
		{fenced(boundary(sheep, none), true, at(0, 0.3), at(100, 0.3)), 0, 0, "england", "a fence at 0.3 m is one: that it is too near is for the check to say"},
		{fenced(boundary(sheep, none), true, at(0, 4.9), at(100, 4.9)), 0, 0, "england", "a fence at 4.9 m"},
		{fenced(boundary(sheep, none), true, at(0, 5.1), at(100, 5.1)), 100, 0, "england", "a fence at 5.1 m is beyond reach (common practice)"},
		{fenced(boundary(sheep, none), false, at(0, 1.2), at(100, 1.2)), 100, 0, "england", "a fence that is not stockproof"},
		{fenced(boundary(sheep, none), true, at(0, 1.2), at(37, 1.2)), 63, 0, "england", "a fence along 37 m"},
		{fenced(boundary(sheep, cattle), true, at(0, 1.2), at(100, 1.2)), 0, 100, "england", "a fence on one side says nothing of the other"},
		{gate, 96, 0, "england", "a gateway is not fenced"},
		{bedside, 70, 0, "england", "a bed of 30 m is not grazed"},
		{boundary(sheep, none), 100, 0, "scotland", "1.0 m from the centre line (SSI 2004/143)"},
		{old(boundary(sheep, none), planner.Hedge{Manage: "trim", LastCut: 2025}, 2026), 0, 0, "england", "a trimmed hedge is neither new nor cut"},
		{old(boundary(sheep, none), planner.Hedge{Manage: "lay", LastCut: 2025}, 2026), 100, 0, "england", "laid the winter before"},
		{old(boundary(sheep, none), planner.Hedge{Manage: "coppice", LastCut: 2024}, 2026), 100, 0, "england", "stock kept off 2 to 3 years (Irish hedgerow notes)"},
		{old(boundary(sheep, none), planner.Hedge{Manage: "coppice", LastCut: 2023}, 2026), 0, 0, "england", "three years on"},
		{old(boundary(sheep, none), planner.Hedge{Manage: "coppice", CutIn: []planner.Cut{{Winter: 2026}}}, 2026), 100, 0, "england", "pinned to be cut this winter"},
		{old(boundary(sheep, none), planner.Hedge{Manage: "coppice", LastCut: 2025}, 0), 0, 0, "england", "no planting winter: not known to be fresh"},
	} {
		p, s, out := row.b.plan()
		set := ruleSet(t, row.set)
		got := map[float64]float64{}
		for _, f := range Fences(p, s, out, set) {
			got[f.FacesDeg] += f.LengthM
			want := 1.2
			if row.set == "scotland" {
				want = 1.0
			}
			assert.Equal(t, want, f.DistanceM, row.source)
			assert.Equal(t, f.FacesDeg < 1, f.Left, "drawn eastwards, the north side is the left: %s", row.source)
		}
		assert.InDelta(t, row.north, got[0], 0.002, "north: %s", row.source)
		assert.InDelta(t, row.south, got[180], 0.002, "south: %s", row.source)
		l := Make(p, s, out, nil, set)
		assert.InDelta(t, row.north+row.south, sundryOf(l.Sundries, "fence", "").Quantity, 0.051, row.source)
	}
}

// A wall is as good as a fence; without a rule set the distance is England's.
func TestFenceWithoutRuleSet(t *testing.T) {
	b := boundary([]string{"sheep"}, nil)
	p, s, out := b.plan()
	got := Fences(p, s, out, nil)
	require.Len(t, got, 1)
	assert.Equal(t, 1.2, got[0].DistanceM, "Countryside Stewardship BN11: at least 1.2 m")
	assert.Contains(t, got[0].Source.Text, "BN11")
	assert.Equal(t, "north", got[0].Parcel.ID)
	b.land(lineOf("wall", planner.KindWall, &planner.Fence{Stockproof: true}, at(0, 2), at(100, 2)))
	p, s, out = b.plan()
	assert.Empty(t, Fences(p, s, out, nil))
}

// A hedge round a corner, drawn both ways: the grazed side is found whatever the direction of drawing.
func TestFenceRoundACorner(t *testing.T) {
	for _, reversed := range []bool{false, true} {
		ls := orb.LineString{{0, 0}, {50, 0}, {50, 40}}
		if reversed {
			ls.Reverse()
		}
		b := newBench().land(parcelOf("p", rect(0, 0, 50, 40), "sheep"))
		l := &setout.Layout{Line: &setout.Line{Path: ls, LengthM: 90, Rows: 1, Runs: []setout.Run{{FromM: 0, ToM: 90}}},
			Plants: []setout.Plant{{At: ls[0], Species: hawthorn, Use: setout.UseHedge, Listed: true}}}
		b.add(lineOf("h", planner.KindHedge, &planner.Hedge{}, ls...), l)
		p, s, out := b.plan()
		got := Fences(p, s, out, nil)
		require.Len(t, got, 1)
		assert.Equal(t, !reversed, got[0].Left)
		assert.InDelta(t, 90-2*1.2, got[0].LengthM, 0.05, "in an inner corner the fence is shorter by its distance on either side")
	}
}
