package wood

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

var update = flag.Bool("update", false, "write the golden files")

// farm makes a plan in code.
func farm(h planner.Holding, f ...*planner.Feature) *planner.Plan {
	frame, err := geo.NewFrame(orb.Point{-3.9, 52.2})
	if err != nil {
		panic(err)
	}
	return planner.New(h, frame, f...)
}

func inputOf(t testing.TB, p *planner.Plan) Input {
	t.Helper()
	return inputOfPlain(p)
}

// inputOfPlain sets a plan out; it panics where the data of the program cannot be read.
func inputOfPlain(p *planner.Plan) Input {
	cat, err := species.Default()
	if err != nil {
		panic(err)
	}
	lib, err := rules.Default()
	if err != nil {
		panic(err)
	}
	set, err := lib.Set(p.Holding.RuleSet)
	if err != nil {
		panic(err)
	}
	out, err := setout.All(context.Background(), p, cat, set)
	if err != nil {
		panic(err)
	}
	return Input{Plan: p, Site: site.New(p, cat), Out: out, Catalogue: cat, Set: set}
}

func hedgeOf(id string, h planner.Hedge, at ...orb.Point) *planner.Feature {
	f := &planner.Feature{ID: id, Kind: planner.KindHedge, Name: id, Sound: true, Status: planner.Existing, Detail: &h, Shape: planner.Shape{Lines: []orb.LineString{at}}}
	f.State("status", "manage")
	return f
}

var mixed = []planner.Share{{Species: "hazel", SharePercent: 40}, {Species: "hawthorn", SharePercent: 20}, {Species: "field maple", SharePercent: 20}, {Species: "pedunculate oak", SharePercent: 20}}

// grid is a holding of n hedges of the given length, cut in turn over the last fifteen winters.
func grid(n int, length float64) []*planner.Feature {
	var out []*planner.Feature
	for i := range n {
		y := float64(i) * 60
		out = append(out, hedgeOf(fmt.Sprintf("h%02d", i), planner.Hedge{Mix: mixed, Manage: Coppice, LastCut: 2026 - 1 - i%15, Rows: 2}, orb.Point{0, y}, orb.Point{length, y}))
	}
	return out
}

func holding(heat float64) planner.Holding {
	h := planner.DefaultHolding()
	h.Name, h.PlantingWinter, h.HeatKWhPerYear = "Test farm", 2026, heat
	h.ChipUse = &planner.ChipUse{BeddingM3: 3, CompostGreenM3: 1, PathsM3: 2}
	return h
}

// twin is the balanced holding: its hedges and a heat that they give; and the one that is not.
func twins() (balanced, unbalanced *planner.Plan) {
	h := holding(12000)
	h.Name = "Balanced farm"
	u := holding(26000)
	u.Name = "Cold farm"
	u.ChipUse = &planner.ChipUse{BeddingM3: 12, CompostGreenM3: 2, PathsM3: 6}
	return farm(h, grid(30, 90)...), farm(u, grid(15, 90)...)
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), string(got), name)
}

// A balanced holding and one that is not, told in under a page, and all their writers.
func TestGolden(t *testing.T) {
	a, b := twins()
	for name, p := range map[string]*planner.Plan{"balanced": a, "unbalanced": b} {
		in := inputOf(t, p)
		r := Plan(in)
		var text, js, table, svg, sheet bytes.Buffer
		require.NoError(t, WriteText(&text, r, 100))
		require.NoError(t, WriteJSON(&js, r))
		require.NoError(t, WriteCSV(&table, r))
		require.NoError(t, WriteSVG(&svg, r))
		require.NoError(t, WriteSheetHTML(&sheet, r.CuttingSheet(in, 2027, "")))
		golden(t, name+".txt", text.Bytes())
		golden(t, name+".svg", svg.Bytes())
		golden(t, name+".csv", table.Bytes())
		golden(t, name+".html", sheet.Bytes())
		assert.Less(t, len(strings.Fields(strings.Join(r.Summary(), " "))), 450, "the summary is under a page")
		if name == "balanced" {
			assert.Less(t, r.Shortfall.KWh, 0.05*r.Heat.WantedKWh)
		} else {
			assert.Greater(t, r.Shortfall.KWh, 0.2*r.Heat.WantedKWh)
			assert.NotEmpty(t, r.Shortfall.ClosedBy)
			assert.Contains(t, text.String(), "does not heat the house")
		}
		for _, s := range []string{text.String(), js.String(), sheet.String()} {
			assert.NotContains(t, strings.ToLower(s), "carbon neutral")
		}
		wellFormed(t, svg.String())
	}
}

func wellFormed(t *testing.T, s string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(s))
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else {
			require.NoError(t, err)
		}
	}
}

// The field names of the contract, each at its place.
func TestJSONFields(t *testing.T) {
	a, _ := twins()
	var b bytes.Buffer
	require.NoError(t, WriteJSON(&b, Plan(inputOf(t, a))))
	var doc map[string]any
	require.NoError(t, json.Unmarshal(b.Bytes(), &doc))
	has := func(v any, names string) {
		m, ok := v.(map[string]any)
		require.True(t, ok, names)
		for _, n := range strings.Fields(names) {
			assert.Contains(t, m, n)
		}
	}
	has(doc, "holding rule_set sections winters rota shortfall carbon_t_co2")
	has(doc["sections"].([]any)[0], "id feature from_m to_m cuts")
	w := doc["winters"].([]any)[0].(map[string]any)
	has(w, "winter cut_m cut heat_wanted_kwh chip_needed_m3 ready_winter")
	for _, n := range strings.Fields("dry_t logs_dry_t brash_dry_t loss_dry_t logs_solid_m3 logs_stacked_m3 heat_made_kwh heat_ready_kwh heat_carried_kwh chip_made_m3 chip_left_m3") {
		has(w[n], "low mid high")
	}
	has(doc["rota"], "greatest_share_percent least_m greatest_m area_control_m_per_year")
	has(doc["shortfall"], "heat_kwh_per_year closed_by")
	has(doc["carbon_t_co2"], "standing cut_per_year regrowth_per_year displaced_per_year")
	assert.NotContains(t, b.String(), "null,\n    \"cut\"")
}

// Mass is kept to the kilogram: cut = logs + brash + loss, chip = used + left + loss, energy and volume follow from mass, the sections'
// sum is the holding's, the store's heat neither comes nor goes.
func TestMassBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := holding(rapid.Float64Range(0, 40000).Draw(t, "heat"))
		h.Uses = rapid.Permutation(h.Uses).Draw(t, "uses")
		h.Uses = h.Uses[:rapid.IntRange(0, len(h.Uses)).Draw(t, "n")]
		h.ChipUse = &planner.ChipUse{BeddingM3: rapid.Float64Range(0, 20).Draw(t, "bedding"), CompostGreenM3: rapid.Float64Range(0, 5).Draw(t, "green"), PathsM3: rapid.Float64Range(0, 10).Draw(t, "paths")}
		features := grid(rapid.IntRange(1, 8).Draw(t, "hedges"), rapid.Float64Range(20, 160).Draw(t, "length"))
		names := []string{"hazel", "hawthorn", "goat willow", "ash", "yew", "blackthorn", "no such plant", "common alder"}
		for _, f := range features {
			d := f.Detail.(*planner.Hedge)
			d.Mix = []planner.Share{{Species: rapid.SampledFrom(names).Draw(t, "a"), SharePercent: 60}, {Species: rapid.SampledFrom(names).Draw(t, "b"), SharePercent: 40}}
			d.Manage = rapid.SampledFrom([]string{Coppice, Lay}).Draw(t, "manage")
		}
		in := inputOfPlain(farm(h, features...))
		r := Plan(in)
		const kg = 0.001
		carried, all := Range{}, 0.0
		for _, w := range r.Winters {
			parts := Range{}
			for _, c := range w.Cut {
				parts = parts.plus(c.Dry)
			}
			for l := range levels {
				require.InDelta(t, w.Dry.at(l), parts.at(l), kg, "sections make up the holding")
				require.InDelta(t, w.Dry.at(l), w.Logs.at(l)+w.Brash.at(l)+w.Loss.at(l), kg)
				require.InDelta(t, w.Chip.at(l), w.Used.at(l)+w.Left.at(l)+w.ChipLoss.at(l), kg*5)
				require.InDelta(t, w.Brash.at(l), w.Chip.at(l)*0.2, kg, "volume follows from mass")
				require.InDelta(t, carried.at(l)+w.Ready.at(l), w.Burned.at(l)+w.Carried.at(l), 0.01)
				require.InDelta(t, r.Heat.WantedKWh, w.Burned.at(l)+w.Short.at(l), 0.01)
				require.InDelta(t, w.Logs.at(l)*KWhPerDryTonne(18.5, 20)*r.Heat.Efficiency, w.Made.at(l), w.Made.at(l)*0.03+0.01, "energy follows from mass; conifers have a little more")
				require.InDelta(t, w.LogsSolid.at(l)/0.6, w.LogsStacked.at(l), 0.001)
			}
			require.True(t, w.Dry.Low <= w.Dry.Mid && w.Dry.Mid <= w.Dry.High)
			got := 0.0
			for _, n := range w.Needs {
				require.LessOrEqual(t, n.Got.Mid, n.WantedM3+1e-9)
				got += n.Got.Mid
			}
			require.InDelta(t, got, w.Used.Mid, 1e-6)
			carried = w.Carried
			all += w.Dry.Mid
		}
		sum := 0.0
		for i := range r.Sections {
			last := r.Sections[i].Born
			for _, w := range r.Cuts[i] {
				sum += r.Sections[i].Dry(w - last).Mid
				last = w
			}
		}
		require.InDelta(t, all, sum, kg)
	})
}

// Plan gives the same for the same plan, whatever the order of its features, and alters nothing.
func TestOrderDoesNotMatter(t *testing.T) {
	f := grid(12, 120)
	back := append([]*planner.Feature(nil), f...)
	slices.Reverse(back)
	var a, b bytes.Buffer
	require.NoError(t, WriteJSON(&a, Plan(inputOf(t, farm(holding(9000), f...)))))
	require.NoError(t, WriteJSON(&b, Plan(inputOf(t, farm(holding(9000), back...)))))
	assert.Equal(t, a.String(), b.String())
}

// A pin replans the rest; one that cannot be had says what stands in the way.
func TestPinsReplan(t *testing.T) {
	f := grid(6, 100)
	f[2].Detail.(*planner.Hedge).CutIn = []planner.Cut{{Winter: 2041, FromM: 0, ToM: 50}}
	f[3].Detail.(*planner.Hedge).NotIn = []planner.Cut{{Winter: 2038}}
	f[0].Detail.(*planner.Hedge).CutIn = []planner.Cut{{Winter: 2027}}
	r := Plan(inputOf(t, farm(holding(5000), f...)))
	cuts := map[string][]int{}
	for i := range r.Sections {
		cuts[r.Sections[i].ID] = r.Cuts[i]
	}
	assert.Contains(t, cuts["h02/1"], 2041)
	assert.NotContains(t, cuts["h02/2"], 2041)
	assert.NotContains(t, cuts["h02/2"], 2040)
	assert.NotContains(t, cuts["h03/1"], 2038)
	require.Len(t, r.Conflicts, 2, "h00 was cut in 2025")
	assert.Equal(t, LeastAge, r.Conflicts[0].Constraint)
	assert.Contains(t, r.Conflicts[0].Message, "2037 is the first winter that can be")
}

// Gateways, joins and lengths divide a hedge; neighbours are those that touch.
func TestSections(t *testing.T) {
	main := hedgeOf("main", planner.Hedge{Mix: mixed, Manage: Coppice, LastCut: 2010}, orb.Point{0, 0}, orb.Point{170, 0})
	side := hedgeOf("side", planner.Hedge{Mix: mixed, Manage: Lay, LastCut: 1990}, orb.Point{40, 0}, orb.Point{40, 30})
	gate := &planner.Feature{ID: "gate", Kind: planner.KindGateway, Sound: true, Status: planner.Existing, Detail: &planner.Gateway{WidthM: 4}, Shape: planner.Shape{Points: []orb.Point{{100, 0}}}}
	trim := hedgeOf("trimmed", planner.Hedge{Mix: mixed, Manage: "trim"}, orb.Point{0, 80}, orb.Point{90, 80})
	r := Plan(inputOf(t, farm(holding(0), main, side, gate, trim)))
	type want struct {
		id       string
		from, to float64
		method   string
		beside   []string
	}
	for i, w := range []want{
		{"main/1", 0, 40, Coppice, []string{"main/2", "side/1"}},
		{"main/2", 40, 68.75, Coppice, []string{"main/1", "main/3", "side/1"}},
		{"main/3", 68.75, 97.5, Coppice, []string{"main/2", "main/4"}},
		{"main/4", 102.5, 136.25, Coppice, []string{"main/3", "main/5"}},
		{"main/5", 136.25, 170, Coppice, []string{"main/4"}},
		{"side/1", 0, 30, Lay, []string{"main/1", "main/2"}},
	} {
		s := &r.Sections[i]
		assert.Equal(t, w.id, s.ID)
		assert.InDelta(t, w.from, s.FromM, 0.01, w.id)
		assert.InDelta(t, w.to, s.ToM, 0.01, w.id)
		assert.Equal(t, w.method, s.Method)
		var beside []string
		for _, n := range s.neighbours {
			beside = append(beside, r.Sections[n].ID)
		}
		assert.Equal(t, w.beside, beside, w.id)
	}
	assert.Len(t, r.Sections, 6)
	assert.InDelta(t, 170-5+30+90, r.Rota.HedgeM, 0.05, "all hedge, trimmed hedge too, without the gateway and half a metre each side")
}

// A grove is cut into coupes of equal area.
func TestCoupes(t *testing.T) {
	g := &planner.Feature{ID: "wood", Kind: planner.KindGrove, Sound: true, Status: planner.Existing, Detail: &planner.Block{Manage: Coppice, Mix: []planner.Share{{Species: "common alder", SharePercent: 100}}, LastCut: 2012},
		Shape: planner.Shape{Polygons: orb.MultiPolygon{{{{0, 0}, {120, 0}, {60, 80}, {0, 0}}}}}}
	r := Plan(inputOf(t, farm(holding(0), g)))
	require.Len(t, r.Sections, 3)
	sum := 0.0
	for i := range r.Sections {
		assert.InDelta(t, 4800./3, r.Sections[i].AreaM2, 0.5)
		assert.Equal(t, "alder", r.Sections[i].Yield.Class)
		sum += r.Sections[i].AreaM2
	}
	assert.InDelta(t, 4800, sum, 0.01)
	assert.Equal(t, []int{1}, r.Sections[0].neighbours)
}

// A hedge upwind of a bed is held back until a windbreak has grown that does the same.
func TestShelterHoldsBack(t *testing.T) {
	h := holding(0)
	h.WindFromDeg = 270
	hedge := hedgeOf("west", planner.Hedge{Mix: mixed, Manage: Coppice, LastCut: 2005, HeightM: 5}, orb.Point{0, 0}, orb.Point{0, 40})
	hedge.State("height_m")
	bed := &planner.Feature{ID: "bed", Kind: planner.KindBed, Name: "Bed", Sound: true, Status: planner.Existing, Detail: &planner.Bed{}, Shape: planner.Shape{Polygons: orb.MultiPolygon{{{{10, 5}, {30, 5}, {30, 35}, {10, 35}, {10, 5}}}}}}
	r := Plan(inputOf(t, farm(h, hedge, bed)))
	require.Len(t, r.Sections, 1)
	assert.Empty(t, r.Cuts[0])
	assert.Equal(t, []string{"Bed"}, r.Sections[0].Shelters)
	assert.Contains(t, strings.Join(r.Notes, " "), "never cut: plant or raise another shelter first")

	belt := &planner.Feature{ID: "belt", Kind: planner.KindWindbreak, Sound: true, Status: planner.Planned, Planted: 2026, Detail: &planner.Windbreak{Rows: []planner.BeltRow{{Mix: []planner.Share{{Species: "common alder", SharePercent: 100}}, SpacingM: 1.5}}, RowGapM: 2.5},
		Shape: planner.Shape{Lines: []orb.LineString{{{-8, -60}, {-8, 100}}}}}
	r = Plan(inputOf(t, farm(h, hedge, bed, belt)))
	require.NotEmpty(t, r.Cuts[0], "cut once the alders are high enough")
	assert.Greater(t, r.Cuts[0][0], 2027)

	calm := h
	calm.WindFromDeg = 90
	assert.NotEmpty(t, Plan(inputOf(t, farm(calm, hedge, bed))).Cuts[0], "the wind that hurts comes from the other side")
}

// Yew in a section keeps all of its chip out of bedding; thorn keeps only its own share out of mulch.
func TestChipKeptOut(t *testing.T) {
	cat, err := species.Default()
	require.NoError(t, err)
	part := func(name string, share float64) Part {
		return Part{Species: cat.Find(name).Species, Name: name, Share: share}
	}
	s := &Section{Mix: []Part{part("hazel", 0.9), part("yew", 0.1)}}
	for key := range chipOf(s) {
		assert.Equal(t, byte('n'), key[slices.Index(chipUses, UseBedding)], key)
	}
	s = &Section{Mix: []Part{part("hazel", 0.7), part("hawthorn", 0.3)}}
	assert.Equal(t, map[string]float64{"yyyy": 0.7, "nnny": 0.3}, chipOf(s))
	var p pools
	p.add("nnny", 0.3)
	p.add("yyyy", 0.7)
	assert.InDelta(t, 0.5, p.take(UsePaths, 0.5), 1e-12, "what fits little is given out first")
	assert.InDelta(t, 0.5, p.take(UseMulch, 1), 1e-12)
}

// The sheet of a winter says where, how, and what stops the work.
func TestCuttingSheet(t *testing.T) {
	f := grid(2, 100)
	f[0].Detail.(*planner.Hedge).LastCut = 2000
	f[0].Detail.(*planner.Hedge).Mix = []planner.Share{{Species: "ash", SharePercent: 50}, {Species: "hazel", SharePercent: 50}}
	f[0].Detail.(*planner.Hedge).CutIn = []planner.Cut{{Winter: 2026, ToM: 50}}
	wires := &planner.Feature{ID: "wires", Kind: planner.KindOverheadLine, Name: "wires", Sound: true, Status: planner.Existing, Detail: &planner.OverheadLine{}, Shape: planner.Shape{Lines: []orb.LineString{{{-50, 12}, {200, 12}}}}}
	gate := &planner.Feature{ID: "g", Kind: planner.KindGateway, Name: "yard <gate>", Sound: true, Status: planner.Existing, Detail: &planner.Gateway{WidthM: 4}, Shape: planner.Shape{Points: []orb.Point{{-6, 0}}}}
	in := inputOf(t, farm(holding(5000), append(f, wires, gate)...))
	r := Plan(in)
	s := r.CuttingSheet(in, 2026, "")
	require.NotEmpty(t, s.Sections)
	x := s.Sections[0]
	assert.Equal(t, "h00/1", x.ID)
	assert.Equal(t, "at the start of the hedge, 6 m east of yard <gate>", x.From)
	require.Len(t, x.Stop, 2, "wires and ash")
	assert.Contains(t, x.Stop[0], "12 m away")
	assert.Equal(t, "power lines", s.Cautions[0].About, "what stops the work comes first")
	assert.Equal(t, "ash", s.Cautions[1].About)
	var b bytes.Buffer
	require.NoError(t, WriteSheetHTML(&b, s))
	assert.NotContains(t, b.String(), "<gate>")
	assert.Less(t, strings.Index(b.String(), "STOP: an overhead line"), strings.Index(b.String(), "<table>"))
	empty := r.CuttingSheet(in, 1999, "")
	assert.Empty(t, empty.Sections)
}

// The calendar by rule set: from the start of the dormant season to the last day allowed.
func TestCalendar(t *testing.T) {
	for _, c := range []struct{ set, coppice, lay, source string }{
		{"england", "10-01 03-31", "10-01 03-31", "coppice October to March; the law would allow laying and coppicing to 30 April"},
		{"wales", "10-01 03-31", "10-01 03-31", "laying and coppicing in March only besides the open season"},
		{"scotland", "10-01 02-28", "10-01 03-31", "SSI 2014/325: laying to 31 March"},
		{"northern-ireland", "10-01 02-28", "10-01 02-28", "DAERA: neither in the closed season"},
		{"ireland", "10-01 02-28", "10-01 02-28", "Wildlife Act 1976 s.40 as amended"},
	} {
		lib, err := rules.Default()
		require.NoError(t, err)
		set, err := lib.Set(c.set)
		require.NoError(t, err)
		cal := CalendarOf(set)
		assert.Equal(t, c.coppice, cal.Coppice.From+" "+cal.Coppice.Until, "%s: %s", c.set, c.source)
		assert.Equal(t, c.lay, cal.Lay.From+" "+cal.Lay.Until, "%s: %s", c.set, c.source)
		assert.Equal(t, "03-01 08-31", cal.Closed.From+" "+cal.Closed.Until)
		tight, _ := set.With(map[string]map[string]rules.Own{"season.cut": {"dormant_from": {Text: "03-05", Reason: "test"}, "dormant_until": {Text: "03-20"}, "coppice_until": {Text: "02-28", Reason: "test"}}})
		assert.Empty(t, CalendarOf(tight).Coppice.From, "no day is left")
	}
	assert.Equal(t, "1 November 2026", DateIn("11-01", 2026))
	assert.Equal(t, "28 February 2027", DateIn("02-28", 2026))
}

func BenchmarkPlan200(b *testing.B)  { benchPlan(b, 100) }
func BenchmarkPlan1000(b *testing.B) { benchPlan(b, 500) }

// benchPlan plans a holding of two sections a hedge.
func benchPlan(b *testing.B, hedges int) {
	in := inputOf(b, farm(holding(40000), grid(hedges, 100)...))
	for b.Loop() {
		Plan(in)
	}
}
