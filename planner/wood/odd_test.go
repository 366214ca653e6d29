package wood

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
)

var onlyHazel = []planner.Share{{Species: "hazel", SharePercent: 100}}

// A ring of 200 m with a gateway from 98 to 102 m: with half a metre on each side its one run goes from 102.5 m past the start to
// 97.5 m. Worked by hand: 195 m in four pieces of 48.75 m, from 102.5, 151.25, 200 (that is 0) and 48.75 m.
func TestRingWithAGateway(t *testing.T) {
	ring := hedgeOf("ring", planner.Hedge{Mix: onlyHazel, Manage: Coppice, LastCut: 2005, Rows: 2,
		CutIn: []planner.Cut{{Winter: 2030, FromM: 0, ToM: 40}}, NotIn: []planner.Cut{{Winter: 2027, FromM: 55, ToM: 60}}},
		orb.Point{0, 0}, orb.Point{50, 0}, orb.Point{50, 50}, orb.Point{0, 50}, orb.Point{0, 0})
	gate := &planner.Feature{ID: "gate", Kind: planner.KindGateway, Sound: true, Status: planner.Existing, Detail: &planner.Gateway{},
		Shape: planner.Shape{Lines: []orb.LineString{{{50, 48}, {50, 50}, {48, 50}}}}}
	r := Plan(inputOf(t, farm(holding(0), ring, gate)))
	require.Len(t, r.Sections, 4)
	for i, from := range []float64{102.5, 151.25, 0, 48.75} {
		s := r.Sections[i]
		assert.InDelta(t, from, s.FromM, 0.05, s.ID)
		assert.InDelta(t, 48.75, s.LengthM, 0.05, s.ID)
		assert.InDelta(t, s.LengthM, geo.NewChain(s.Path).Length(), 0.05, "%s is as long on the map", s.ID)
		assert.Len(t, s.neighbours, 2, "%s has one beside it on either side: the gateway is 4 m wide", s.ID)
	}
	assert.Equal(t, []int{2030}, r.Sections[2].Pins, "40 of 48.75 m")
	assert.Equal(t, []int{2027}, r.Sections[3].Nots)
	for _, i := range []int{0, 1} {
		assert.Empty(t, r.Sections[i].Pins)
		assert.Empty(t, r.Sections[i].Nots)
	}
	assert.Contains(t, r.Cuts[2], 2030)
}

// A section of a ring that reaches past the start is pinned and forbidden there too.
func TestPinsPastTheStart(t *testing.T) {
	s := Section{FromM: 175, ToM: 225, LengthM: 50, round: 200}
	for _, c := range []struct {
		cut  planner.Cut
		want float64
	}{
		{planner.Cut{FromM: 0, ToM: 30}, 25},    // 200 to 225 is 0 to 25
		{planner.Cut{FromM: 180, ToM: 190}, 10}, // before the start
		{planner.Cut{FromM: 190}, 10},           // to the end, which is the start
		{planner.Cut{}, 50},                     // all of it
		{planner.Cut{FromM: 60, ToM: 90}, 0},
	} {
		assert.InDelta(t, c.want, s.overlap(c.cut), 1e-9, "%+v", c.cut)
	}
	line := Section{FromM: 150, ToM: 200}
	assert.InDelta(t, 50, line.overlap(planner.Cut{}), 1e-9)
	assert.Zero(t, line.overlap(planner.Cut{FromM: 0, ToM: 30}))
	assert.False(t, (&Section{FromM: 0, ToM: 0.03}).pinnedBy(planner.Cut{FromM: 10, ToM: 20}))
}

// Nothing that is to be cut, or pinned, vanishes unsaid.
func TestNothingVanishes(t *testing.T) {
	gone := hedgeOf("gone", planner.Hedge{Mix: onlyHazel, Manage: Coppice, LastCut: 2010, Rows: 2}, orb.Point{0, 0}, orb.Point{10, 0})
	gate := &planner.Feature{ID: "gate", Kind: planner.KindGateway, Sound: true, Status: planner.Existing, Detail: &planner.Gateway{},
		Shape: planner.Shape{Lines: []orb.LineString{{{-1, 0}, {11, 0}}}}}
	unset := hedgeOf("unset", planner.Hedge{Mix: onlyHazel, Manage: Coppice, Rows: 2}, orb.Point{0, 40}, orb.Point{100, 40})
	unset.Status = planner.Planned
	little := hedgeOf("little", planner.Hedge{Mix: onlyHazel, Manage: Coppice, LastCut: 2000, Rows: 2, CutIn: []planner.Cut{{Winter: 2030, FromM: 0, ToM: 10}, {Winter: 2031, FromM: 400}}},
		orb.Point{0, 80}, orb.Point{100, 80})
	trimmed := hedgeOf("trimmed", planner.Hedge{Mix: onlyHazel, Manage: "trim", Rows: 2, CutIn: []planner.Cut{{Winter: 2028}}}, orb.Point{0, 120}, orb.Point{100, 120})
	in := inputOf(t, farm(holding(0), gone, gate, unset, little, trimmed))
	for i := range in.Out.Layouts {
		if in.Out.Layouts[i].Feature.ID == "unset" { // as where it could not be set out
			in.Out.Layouts[i].Line = nil
		}
	}
	r := Plan(in)
	assert.Equal(t, []string{
		gone.Label() + " is left out: openings take up the whole of it",
		unset.Label() + " is left out: it could not be set out, and the check says what to mend"}, r.LeftOut)
	notes := strings.Join(r.Notes, "\n")
	for _, want := range []string{
		little.Label() + " is to be cut in 2030 from 0 m to 10 m, which is not half of any section",
		little.Label() + " is to be cut in 2031 from 400 m to the end",
		trimmed.Label() + " has winters to be cut in (cut_in), but it is not managed by coppicing or laying",
		gone.Label() + " is left out"} {
		assert.Contains(t, notes, want)
	}
}

func textOf(t *testing.T, r *Result) string {
	var b bytes.Buffer
	require.NoError(t, WriteText(&b, r, 4000))
	return b.String()
}

// A holding with a grove and no hedge is told of square metres, not of 0 m of hedge.
func TestGroveAlone(t *testing.T) {
	grove := &planner.Feature{ID: "grove", Kind: planner.KindGrove, Sound: true, Status: planner.Existing, Detail: &planner.Block{Manage: Coppice, LastCut: 2010, SpacingM: 2},
		Shape: planner.Shape{Polygons: []orb.Polygon{{{{0, 0}, {100, 0}, {100, 60}, {0, 60}, {0, 0}}}}}}
	said := textOf(t, Plan(inputOf(t, farm(holding(0), grove))))
	assert.Contains(t, said, "up to 3000 m2 of grove are cut a winter")
	assert.NotContains(t, said, "0 m of hedge")
	assert.Contains(t, said, "look whether ash stands in it")

	in := inputOf(t, farm(holding(0), grove))
	r := Plan(in)
	var sheet bytes.Buffer
	require.NoError(t, WriteSheetHTML(&sheet, r.CuttingSheet(in, r.Cuts[0][0], "")))
	assert.Contains(t, sheet.String(), "<p>3000.0 m2 of coppice. Expect")
}

// Where logs are no use to the holding, no hedge more would heat the house, and the stems are felled all the same.
func TestNoLogsWanted(t *testing.T) {
	h := holding(12000)
	h.Uses = []string{UseMulch, UseCompost}
	f := grid(10, 90)
	r := Plan(inputOf(t, farm(h, f...)))
	assert.True(t, r.NoLogs)
	assert.Empty(t, r.Shortfall.ClosedBy)
	said := strings.Join(r.Summary(), "\n")
	assert.Contains(t, said, "logs are not among the holding's uses")
	assert.Contains(t, said, "none of the 12000 kWh wanted a year")
	for _, never := range []string{"0.0 (0.0 to 0.0)", "would be closed by", "stands in for 0.00"} {
		assert.NotContains(t, said, never)
	}
	h.Uses = planner.DefaultHolding().Uses
	logs := Plan(inputOf(t, farm(h, grid(10, 90)...)))
	for i := range r.Winters {
		assert.InDelta(t, logs.Winters[i].Stems.Mid, r.Winters[i].Stems.Mid, 1e-9, "the same is felled whatever becomes of it")
		assert.GreaterOrEqual(t, logs.Winters[i].Stems.Mid, logs.Winters[i].LogsSolid.Mid, "logs lose as they dry, and some may be chipped")
	}
}

// Little is not told as nothing, and one year is one year.
func TestLittleIsTold(t *testing.T) {
	little := hedgeOf("little", planner.Hedge{Mix: onlyHazel, Manage: Coppice, LastCut: 2010, Rows: 2}, orb.Point{0, 0}, orb.Point{0.8, 0})
	said := textOf(t, Plan(inputOf(t, farm(holding(0), little))))
	said = said[:strings.Index(said, "What is cut")]
	assert.Contains(t, said, "0 to 0.80 m of hedge are cut a winter")
	assert.NotContains(t, said, "0.0 (0.0 to 0.0)")
	assert.NotContains(t, said, "0.0 m3 stacked on 0.0 m2")

	low := hedgeOf("low", planner.Hedge{Manage: Coppice, Rows: 2, HeightM: 0.6}, orb.Point{0, 0}, orb.Point{90, 0})
	low.State("height_m")
	assert.Contains(t, textOf(t, Plan(inputOf(t, farm(holding(0), low)))), "it is taken for 1 year old")
	assert.Equal(t, "0.02 (0.01 to 0.03)", spread(Range{0.01, 0.02, 0.03}, 1))
	assert.Equal(t, "0.0 (0.0 to 0.0)", spread(Range{}, 1))
	assert.Equal(t, "1.2 (0.0 to 3.0)", spread(Range{0.01, 1.2, 3}, 1))
	assert.Equal(t, "12", whole(12.3))
	assert.Equal(t, "0", whole(0))
}

// A winter that is counted from 1 has none before it: how long a section has grown is told in years.
func TestGrownBeforeTheFirstWinter(t *testing.T) {
	h := planner.DefaultHolding()
	said := textOf(t, Plan(inputOf(t, farm(h, hedgeOf("old", planner.Hedge{Manage: Coppice, Rows: 2}, orb.Point{0, 0}, orb.Point{40, 0})))))
	assert.Contains(t, said, "15 years before")
	assert.NotContains(t, said, "-14")
}

// A pin that cannot be had is told once.
func TestConflictsAreToldOnce(t *testing.T) {
	late := hedgeOf("late", planner.Hedge{Mix: onlyHazel, Manage: Coppice, LastCut: 2010, Rows: 2, CutIn: []planner.Cut{{Winter: 2090}}}, orb.Point{0, 0}, orb.Point{40, 0})
	r := Plan(inputOf(t, farm(holding(0), late)))
	require.Len(t, r.Conflicts, 1)
	assert.Equal(t, 1, strings.Count(textOf(t, r), r.Conflicts[0].Message))
	assert.Contains(t, strings.Join(r.Notes, "\n"), r.Conflicts[0].Message)
	assert.False(t, math.IsNaN(r.Rota.Cost))
}

// What stands in a hedge is the same whether it is to be coppiced or laid; only what is taken out differs.
func TestALaidHedgeStandsWhole(t *testing.T) {
	of := func(method string) *Result {
		return Plan(inputOf(t, farm(holding(5000), hedgeOf("h", planner.Hedge{Mix: mixed, Manage: method, LastCut: 2010}, orb.Point{}, orb.Point{100, 0}))))
	}
	assert.InDelta(t, of(Coppice).Carbon.Standing, of(Lay).Carbon.Standing, 1e-9)
	assert.Less(t, of(Lay).Carbon.Cut, of(Coppice).Carbon.Cut)
}

// The genus of ash is no name of the catalogue; it is ash all the same where there is a saw.
func TestAshByItsGenus(t *testing.T) {
	for name, want := range map[string]float64{"ash": 0.4, "Fraxinus excelsior": 0.4, "Fraxinus": 0.4, "fraxinus sp.": 0.4, "rowan": 0, "mountain ash": 0, "Sorbus": 0} {
		in := inputOf(t, farm(holding(5000), hedgeOf("h", planner.Hedge{Manage: Coppice, Mix: []planner.Share{{Species: name, SharePercent: 40}, {Species: "hazel", SharePercent: 60}}}, orb.Point{}, orb.Point{30, 0})))
		s := in.Sections(2026)
		require.Len(t, s, 1, name)
		assert.InDelta(t, want, AshShare(&s[0]), 1e-9, name)
	}
}
