package check

import (
	"fmt"
	"math"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
)

func setbackWater() *Rule {
	return &Rule{
		ID: "setback.water", Title: "What planting beside water needs", Severity: planner.Note,
		Why: "Trees on the bank hold it, shade the stream and are welcome; about half of the channel in dappled shade is the aim. Some waters need a consent before anything is planted, and " +
			"new woods leave a buffer that may be open or partly wooded. Distances are from the bank: the edge of what is drawn, or half the width of a stream from its middle.",
		Limits: []string{"consent_main_river_m", "consent_drainage_board_m", "small_channel_below_m", "forest_small_channel_least_m",
			"forest_large_channel_least_m"},
		Cautions: []string{"Not legal advice: check with the body that looks after the water (Environment Agency, drainage board, Natural Resources Wales, SEPA, Rivers Agency, or the county council and Inland Fisheries Ireland)."},
		Run:      besideWater,
	}
}

// forestBuffer is the greatest buffer of new woods in any of our rule sets and of other bodies, and the greatest consent distance.
const forestBuffer = 30

func besideWater(p *Pass) {
	o := p.Shared.Obstacles(planner.KindWatercourse)
	most := forestBuffer + widestHalf(o)
	river, riverKnown := p.Limit("consent_main_river_m")
	board, boardKnown := p.Limit("consent_drainage_board_m")
	reach := 0.0
	for _, l := range []struct {
		v  float64
		ok bool
	}{{river.Value, riverKnown}, {board.Value, boardKnown}} {
		if l.ok {
			reach = math.Max(reach, l.v)
		}
	}
	var consent, buffer tallies
	bank := reach + widestHalf(o) + 0.1
	p.EachNear(o, most, listed, func(i int) float64 {
		if p.Shared.Plants[i].Use == setout.UseGrove {
			return most
		}
		return bank
	}, func(i, k int, n Nearness) {
		f, x := o.List[k], p.Shared.Plants[i]
		d := n.DistM - bodyHalf(f)
		if n.Inside || d < 0 {
			return // spacing.obstructed speaks of it
		}
		if reach > 0 && d <= reach+planner.Tolerance {
			t, worst := consent.add(x, f, "", reach-d)
			if worst {
				t.dist, t.need, t.limit = d, reach, board
				if !boardKnown || riverKnown && river.Value > board.Value {
					t.limit = river
				}
			}
		}
		if l, ok := p.Limit(p.forestWater(f)); ok && x.Use == setout.UseGrove && !holds(l, d) {
			t, worst := buffer.add(x, f, "", l.Value-d)
			if worst {
				t.dist, t.need, t.limit = d, l.Value, l
			}
		}
	})
	for _, t := range consent.list {
		f := t.finding(planner.Note)
		f.Place = "consent"
		f.Message = fmt.Sprintf("%s. Trees on a bank are welcome, but", t.stands("the bank of "+quoted(t.other)))
		if boardKnown {
			f.Message += fmt.Sprintf(" within %s of a drainage board's watercourse its consent is needed", exactly(board.Value))
		}
		if riverKnown {
			if boardKnown {
				f.Message += ", and"
			}
			f.Message += fmt.Sprintf(" within %s of a main river a flood-risk permit (%s)", exactly(river.Value), river.Source)
		}
		f.Message += ". Ask whose water it is."
		p.Report(f)
	}
	for _, t := range buffer.list {
		f := t.finding(planner.Note)
		f.Place = "forest"
		f.Message = fmt.Sprintf("%s; new woods leave a buffer of %s there, open or partly wooded.%s It binds planting under grant or licence.",
			t.stands("the bank of "+quoted(t.other)), exactly(t.need), p.otherOpinions(t.limit))
		p.Report(f)
	}
	p.waterUnknown(o, riverKnown || boardKnown)
}

// waterUnknown says that no consent distance is known, where water is drawn and something is to be planted within 10 m of it, the
// distance of the smaller forest buffer.
func (p *Pass) waterUnknown(o *Obstacles, known bool) {
	if known || len(o.List) == 0 {
		return
	}
	var near tallies
	const look = 10
	p.EachNear(o, look+30, listed, func(int) float64 { return look + 30 }, func(i, k int, n Nearness) {
		if d := n.DistM - bodyHalf(o.List[k]); !n.Inside && d >= 0 && d <= look {
			t, worst := near.add(p.Shared.Plants[i], o.List[k], "", -d)
			if worst {
				t.dist = d
			}
		}
	})
	for _, t := range near.list {
		f := t.finding(planner.Note)
		f.Place, f.Limit = "consent", nil
		f.Source = planner.Source{Text: "no consent distance was read for this rule set", Confidence: planner.Derived}
		f.Message = fmt.Sprintf("%s %s from the bank of %s. From what distance planting there needs a consent is not known for the rule set %s, so this was not looked at. Ask whose water it is.",
			t.subject("stands", "stand"), metres(t.dist), quoted(t.other), p.Set.Name())
		p.Report(f)
	}
}

// forestWater names the limit for new woods beside a water: a pond or a channel of 2 m and more takes the wider one.
func (p *Pass) forestWater(f *planner.Feature) string {
	small, ok := p.Limit("small_channel_below_m")
	if ok && len(f.Shape.Lines) > 0 && small.Holds(2*bodyHalf(f)) {
		return "forest_small_channel_least_m"
	}
	return "forest_large_channel_least_m"
}

func setbackDitch() *Rule {
	return &Rule{
		ID: "setback.ditch", Title: "One bank of a ditch that a digger cleans stays clear", Severity: planner.Note,
		Why: "A digger works from one bank and needs its width along the whole ditch. The other bank may be planted, a little back from its top. What stands there already counts, since the digger " +
			"cannot pass it either; the note comes where something still to be planted closes the second bank. Distances are from the top of the bank, half the ditch's width from its middle.",
		Limits: []string{"digger_bank_least_m", "other_bank_least_m", "forest_least_m"},
		Run:    besideDitches,
	}
}

func besideDitches(p *Pass) {
	o := p.Shared.Obstacles(planner.KindDitch)
	bank, ok := p.Limit("digger_bank_least_m")
	if !ok || len(o.List) == 0 {
		return
	}
	other, _ := p.Limit("other_bank_least_m")
	forest, forestKnown := p.Limit("forest_least_m")
	most := math.Max(bank.Value, math.Max(other.Value, forest.Value)) + 1
	most += widestHalf(o)
	banks := make([][2][]bankPlant, len(o.List))
	var near, woods tallies
	blocks := func(x *setout.Plant, k int, n Nearness) (d float64, digger bool) {
		f := o.List[k]
		d = n.DistM - bodyHalf(f)
		if v, ok := f.Detail.(*planner.Ditch); ok && !f.Wrong("cleaned_by") {
			digger = v.CleanedBy == "digger"
		}
		if digger && !holds(bank, d) {
			side := 0
			if geo.Orientation(n.Seg.A, n.Seg.B, x.At) < 0 {
				side = 1
			}
			banks[k][side] = append(banks[k][side], bankPlant{at: n.At, dist: d, plant: x})
		}
		return d, digger
	}
	for _, x := range p.bareHedges() {
		o.Near(x.At, most, func(k int, n Nearness) { blocks(x, k, n) })
	}
	p.EachNear(o, most, func(*setout.Plant) bool { return true }, func(int) float64 { return most }, func(i, k int, n Nearness) {
		f, x := o.List[k], p.Shared.Plants[i]
		d, digger := blocks(x, k, n)
		if digger && x.Listed && d >= 0 && other.Known() && !holds(other, d) {
			t, worst := near.add(x, f, "", other.Value-d)
			if worst {
				t.dist, t.need, t.limit = d, other.Value, other
			}
		}
		if forestKnown && x.Listed && x.Use == setout.UseGrove && !holds(forest, d) {
			t, worst := woods.add(x, f, "", forest.Value-d)
			if worst {
				t.dist, t.need, t.limit = d, forest.Value, forest
			}
		}
	})
	for k, b := range banks {
		p.bothBanks(o.List[k], b, bank.Value, bank.Source)
	}
	for _, t := range near.list {
		f := t.finding(planner.Note)
		f.Place = "bank top"
		f.Message = fmt.Sprintf("%s; on the bank that the digger leaves alone woody plants stand %s back. Move them back.",
			t.stands("the top of the bank of "+quoted(t.other)), limitNeeded(other))
		p.Report(f)
	}
	for _, t := range woods.list {
		f := t.finding(planner.Note)
		f.Place = "forest"
		f.Message = fmt.Sprintf("%s; new forest keeps %s from a ditch that carries to a river. It binds planting under grant or licence.",
			t.stands("the ditch "+quoted(t.other)), limitNeeded(forest))
		p.Report(f)
	}
}

// bareHedges are places a metre apart along existing hedges of unknown species, of which no plants are set out.
func (p *Pass) bareHedges() []*setout.Plant {
	var out []*setout.Plant
	for _, l := range p.Out.Layouts {
		if l.Line == nil || len(l.Plants) > 0 || len(l.Line.Path) < 2 || l.Feature.IsPlanned() {
			continue
		}
		c := geo.NewChain(l.Line.Path)
		n := min(max(1, int(c.Length())), mostSamples)
		for i := range n {
			s := (float64(i) + 0.5) * c.Length() / float64(n)
			out = append(out, &setout.Plant{Feature: l.Feature, At: c.At(s), Chainage: s, Use: setout.UseHedge})
		}
	}
	return out
}

// mostSamples bounds how many places along one line are looked at.
const mostSamples = 5000

// widestHalf is half the width of the widest of them.
func widestHalf(o *Obstacles) float64 {
	most := 0.0
	for _, f := range o.List {
		most = math.Max(most, bodyHalf(f))
	}
	return most
}

// A bankPlant is a plant too near a ditch for the digger.
type bankPlant struct {
	at    orb.Point
	s     float64 // chainage along the ditch
	dist  float64
	plant *setout.Plant
}

// bothBanks reports a ditch that has no clear bank somewhere: where plants on its two banks face each other within the room that the
// digger needs, and one of them is still to be planted.
func (p *Pass) bothBanks(f *planner.Feature, b [2][]bankPlant, room float64, source planner.Source) {
	if len(b[0]) == 0 || len(b[1]) == 0 || len(f.Shape.Lines) == 0 {
		return
	}
	chain := geo.NewChain(f.Shape.Lines[0])
	for side := range b {
		for i := range b[side] {
			b[side][i].s, _, _ = chain.Project(b[side][i].at)
		}
		list := b[side]
		sort.SliceStable(list, func(i, j int) bool { return list[i].s < list[j].s })
	}
	var first, across *bankPlant
	count := 0
	others := map[string]bool{}
	for i := range b[0] {
		x := &b[0][i]
		j := sort.Search(len(b[1]), func(j int) bool { return b[1][j].s >= x.s-room })
		for ; j < len(b[1]) && b[1][j].s <= x.s+room; j++ {
			y := &b[1][j]
			if !x.plant.Listed && !y.plant.Listed {
				continue
			}
			count++
			others[x.plant.Feature.ID], others[y.plant.Feature.ID] = true, true
			if first == nil {
				first, across = x, y
			}
			break
		}
	}
	if first == nil {
		return
	}
	near := math.Min(first.dist, across.dist)
	out := planner.Finding{Severity: planner.Note, Features: append([]string{f.ID}, sortedNames(others)...), Place: "both banks", Count: count,
		Measured: planner.Figure(math.Max(first.dist, across.dist)), Limit: planner.Figure(room), Unit: "m", Worse: "less", Source: source,
		Message: fmt.Sprintf("Both banks of the ditch %s are planted, first at %.1f m along it: %s on one side (%s), %s on the other (%s). A digger needs %s clear on one bank. Leave one bank open.",
			quoted(f), first.s, metres(first.dist), quoted(first.plant.Feature), metres(across.dist), quoted(across.plant.Feature), metres(room))}
	if near < 0 {
		out.Measured = nil
	}
	p.Report(At(out, first.at))
}
