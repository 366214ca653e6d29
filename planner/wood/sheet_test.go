package wood

import (
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

// What may go on after the first closed day is told with the exceptions, so that two dates never seem to contradict each other.
func TestExceptionsNameLayingAndCoppicing(t *testing.T) {
	lib, err := rules.Default()
	require.NoError(t, err)
	for _, c := range []struct{ set, begins, source string }{
		{"england", "laying and coppicing are excepted until 30 April; road safety", "Management of Hedgerows (England) Regulations 2024"},
		{"scotland", "laying is excepted until 31 March; road safety", "SSI 2014/325: hedge laying only"},
		{"wales", "it binds land under farm payments and excepts laying and coppicing in March", "cross compliance in Wales"},
		{"northern-ireland", "roadside safety", "DAERA: neither in the closed season"},
		{"ireland", "the Act excepts", "Wildlife Act 1976 s.40 as amended: neither"},
	} {
		set, err := lib.Set(c.set)
		require.NoError(t, err)
		says := CalendarOf(set).Exception
		assert.True(t, strings.HasPrefix(says, c.begins), "%s: %q (%s)", c.set, says, c.source)
	}
}

// South of the equator no northern date is given, whatever the rule set: not in the balance, not on the sheet, and nests are looked
// for in the other half of the year.
func TestNoNorthernDatesInTheSouth(t *testing.T) {
	frame, err := geo.NewFrame(orb.Point{173.2, -41.3})
	require.NoError(t, err)
	in := inputOf(t, planner.New(holding(5000), frame, grid(2, 40)...))
	require.True(t, South(in.Plan))
	r := Plan(in)
	require.NotEmpty(t, r.Sections)
	assert.NotEmpty(t, r.Calendar.Says)
	assert.Empty(t, r.Calendar.Coppice.From)
	text := strings.Join(r.Summary(), " ")
	assert.Contains(t, text, "No dates are given")
	assert.NotContains(t, text, "31 March")
	winter := r.Winters[0].Winter
	for _, w := range r.Winters {
		if len(w.Cut) > 0 {
			winter = w.Winter
			break
		}
	}
	sheet := r.CuttingSheet(in, winter, "")
	require.NotEmpty(t, sheet.Sections)
	assert.Empty(t, sheet.Windows)
	assert.Contains(t, strings.Join(sheet.After, " "), "end of October")
	for _, c := range sheet.Cautions {
		if c.About == "nests" {
			assert.Contains(t, c.Text, "August to February")
		}
	}
}

// An end of a section is told by what the hedge itself has there, then by a landmark; what lies alike at both ends tells neither.
func TestEndsAreToldApart(t *testing.T) {
	path := &planner.Feature{ID: "p", Kind: planner.KindPath, Name: "long path", Sound: true, Status: planner.Existing, Detail: &planner.Way{},
		Shape: planner.Shape{Lines: []orb.LineString{{{-50, -3}, {250, -3}}}}}
	gate := &planner.Feature{ID: "g", Kind: planner.KindGateway, Name: "corner gate", Sound: true, Status: planner.Existing, Detail: &planner.Gateway{WidthM: 4},
		Shape: planner.Shape{Points: []orb.Point{{-20, 0}}}}
	in := inputOf(t, farm(holding(5000), hedgeOf("h", planner.Hedge{Mix: mixed, Manage: Coppice, LastCut: 2000, CutIn: []planner.Cut{{Winter: 2026}}}, orb.Point{}, orb.Point{30, 0}), path, gate))
	r := Plan(in)
	s := r.CuttingSheet(in, 2026, "")
	require.Len(t, s.Sections, 1)
	x := s.Sections[0]
	assert.Equal(t, "at the start of the hedge, 20 m east of corner gate", x.From)
	assert.Equal(t, "at the end of the hedge, 50 m east of corner gate", x.To)
}

// The sheet of a coupe speaks of the coupe, and says from which side its metres are counted; that of a hedge speaks of the hedge.
func TestTheSheetSpeaksOfWhatIsCut(t *testing.T) {
	grove := &planner.Feature{ID: "w", Kind: planner.KindGrove, Name: "Wood", Sound: true, Status: planner.Existing,
		Detail: &planner.Block{Mix: mixed, Manage: Coppice, LastCut: 2000, CutIn: []planner.Cut{{Winter: 2026}}},
		Shape:  planner.Shape{Polygons: []orb.Polygon{{{{0, 0}, {40, 0}, {40, 30}, {0, 30}, {0, 0}}}}}}
	grove.State("status", "manage")
	in := inputOf(t, farm(holding(5000), grove))
	s := Plan(in).CuttingSheet(in, 2026, "")
	require.Len(t, s.Sections, 1)
	assert.Equal(t, "0.0 to 40.0 m from the west edge", s.Sections[0].From)
	for _, word := range []string{"hedgerow", "centre of the hedge", "Elder"} {
		assert.NotContains(t, strings.Join(append(s.Leave, s.After...), " "), word)
	}
	assert.Contains(t, strings.Join(s.After, " "), "deer off the coupe")
	assert.Contains(t, strings.Join(s.Tools, " "), "chipper")
}

// A gap too short to plant is closed by laying in the winter in which the section beside it is cut, and is told as such.
func TestShortGapsAreClosedByLaying(t *testing.T) {
	gap := func(id string, from, to float64) *planner.Feature {
		return &planner.Feature{ID: id, Kind: planner.KindGap, Name: id, Sound: true, Status: planner.Existing, Detail: &planner.Gap{},
			Shape: planner.Shape{Lines: []orb.LineString{{{from, 0}, {to, 0}}}}}
	}
	h := hedgeOf("h", planner.Hedge{Mix: mixed, FillMix: mixed, Manage: Coppice, LastCut: 2000, Rows: 2, CutIn: []planner.Cut{{Winter: 2026, ToM: 20}}}, orb.Point{}, orb.Point{60, 0})
	in := inputOf(t, farm(holding(5000), h, gap("short", 20, 20.8), gap("long", 40, 44)))
	r := Plan(in)
	require.Len(t, r.Fills, 2)
	assert.Equal(t, setout.CloseByLaying, r.Fills[0].Action)
	assert.Zero(t, r.Fills[0].Plants)
	assert.Equal(t, 2026, r.Fills[0].Winter)
	assert.Equal(t, setout.Fill, r.Fills[1].Action)
	assert.Positive(t, r.Fills[1].Plants)
	var b strings.Builder
	require.NoError(t, WriteSheetHTML(&b, r.CuttingSheet(in, 2026, "")))
	assert.Contains(t, b.String(), "from 20.0 to 20.8 m, so short that a stem from each side is laid across it")
}

// Where chip is left in a winter that lacks some, it is said why.
func TestChipLeftThoughLackingIsExplained(t *testing.T) {
	thorn := []planner.Share{{Species: "hawthorn", SharePercent: 100}}
	h := holding(5000)
	h.ChipUse = &planner.ChipUse{CompostGreenM3: 5}
	f := hedgeOf("h", planner.Hedge{Mix: thorn, Manage: Coppice, LastCut: 2000, Rows: 2}, orb.Point{}, orb.Point{50, 0})
	text := strings.Join(Plan(inputOf(t, farm(h, f))).Summary(), " ")
	assert.Contains(t, text, "are lacking: chip of hawthorn is kept out of that use")
	h.ChipUse = &planner.ChipUse{PathsM3: 5}
	text = strings.Join(Plan(inputOf(t, farm(h, f))).Summary(), " ")
	assert.NotContains(t, text, "is kept out of that use", "thorns may lie on paths")
}

// A hedge that cannot be used as it stands is named with what to mend; it is never said that none is coppiced.
func TestWhatIsLeftOutIsNamed(t *testing.T) {
	file := func(more string) *planner.Plan {
		p, err := planner.Read([]byte(`{"type": "FeatureCollection", "holding": {"origin": [-3.9, 52.2], "planting_winter": 2026}, "features": [
			{"type": "Feature", "id": "lane", "properties": {"kind": "hedge", "name": "Lane", "status": "existing", "manage": "coppice"`+more+`},
			 "geometry": {"type": "LineString", "coordinates": [[-3.9, 52.2], [-3.899, 52.2]]}}]}`), planner.ReadOptions{})
		require.NoError(t, err)
		return p
	}
	r := Plan(inputOf(t, file(`, "last_cut": 9999, "mix": []`)))
	assert.Equal(t, []string{"Nothing can be reckoned yet: Lane is left out until this is mended: last_cut, mix."}, r.Summary())
	assert.Equal(t, []string{"Lane is left out until this is mended: last_cut, mix."}, r.Notes)
	r = Plan(inputOf(t, file(`, "last_cut": 2010`)))
	assert.Empty(t, r.LeftOut)
	text := strings.Join(r.Summary(), " ")
	assert.Contains(t, text, "What fuel the heat stands in for is not known", "no heat is stated, so none is displaced")
	assert.NotContains(t, text, "0 m3 stacked on 0 m2")
}
