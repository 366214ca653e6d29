package lists

import (
	"fmt"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// odds gathers the sundries of one area, before they are written as lines.
type odds struct {
	guards  map[*GuardSpec]int
	staked  map[*GuardSpec]int // of those, at trees that have a stake
	bare    map[string]int     // plants without a guard, by why
	stakes  map[stakeKey]int
	mulch   mulch
	sheetM  float64
	sheeted []string // labels of hedges
	fences  []FenceSide
}

// stakeKey is one way of staking.
type stakeKey struct {
	kind      string // permanent, for the first years, need not known
	rootstock string
	source    planner.Source
	unknown   bool
}

func newOdds() *odds {
	return &odds{guards: map[*GuardSpec]int{}, staked: map[*GuardSpec]int{}, bare: map[string]int{}, stakes: map[stakeKey]int{}}
}

// add puts what another area has to this.
func (o *odds) add(of *odds) {
	for k, n := range of.guards {
		o.guards[k] += n
	}
	for k, n := range of.staked {
		o.staked[k] += n
	}
	for k, n := range of.bare {
		o.bare[k] += n
	}
	for k, n := range of.stakes {
		o.stakes[k] += n
	}
	o.mulch.add(of.mulch)
	o.sheetM += of.sheetM
	o.sheeted = append(o.sheeted, of.sheeted...)
	o.fences = append(o.fences, of.fences...)
}

// sundries works out what besides plants is needed, by area and over the whole.
func (m *maker) sundries(l *List) {
	m.standing()
	for _, f := range Fences(m.plan, m.site, m.out, m.set) {
		o := m.tally(m.areaOf(f.Feature)).odds
		o.fences = append(o.fences, f)
	}
	all := newOdds()
	depth, own := mulchDepth(&m.plan.Holding)
	write := func(a *Area) {
		if t := m.byArea[a.ID]; t != nil {
			a.Sundries = t.odds.lines(depth, own)
			all.add(t.odds)
		}
	}
	for i := range l.Areas {
		write(&l.Areas[i])
	}
	write(&l.Outside)
	l.Sundries = all.lines(depth, own)
}

// areaOf is the area that a line's fence counts to: that of the line, else that of its first plant.
func (m *maker) areaOf(f *planner.Feature) string {
	if id, ok := m.at.Whole(f.ID); ok {
		return id
	}
	for _, l := range m.out.Layouts {
		if l.Feature == f && len(l.Plants) > 0 {
			return m.at.Of(&l.Plants[0])
		}
	}
	return ""
}

// standing works out guards, stakes and mulch, plant by plant.
func (m *maker) standing() {
	guards := GuardsFor(m.plan, m.site, m.out, m.set)
	alike, i := classes{}, 0
	for _, l := range m.out.Layouts {
		strip := stripOf(l)
		for k := range l.Plants {
			p, g := &l.Plants[k], guards[i]
			i++
			if !p.Listed {
				continue
			}
			o := m.tally(m.at.Of(p)).odds
			stake, staked := m.stake(p)
			if staked {
				o.stakes[stake]++
			}
			if g.Browse != nil {
				o.guards[g.Browse]++
				if staked {
					o.staked[g.Browse]++
				}
			} else if g.Bare != "" {
				o.bare[g.Bare]++
			}
			if g.Stock != nil {
				o.guards[g.Stock]++
			}
			o.mulch.plant(p, alike.of(p), l, strip)
		}
		m.sheet(l, strip)
	}
}

// sheet lists the sheet of a sheeted hedge in the area of its line.
func (m *maker) sheet(l *setout.Layout, s strip) {
	if s.sheetM <= 0 {
		return
	}
	o := m.tally(m.areaOf(l.Feature)).odds
	o.sheetM += s.sheetM
	o.sheeted = append(o.sheeted, called(l.Feature))
}

var fromGOV1 = planner.Source{Code: "TE3", Text: "Countryside Stewardship (England), TE3 Planting fruit trees: stake standards, maidens may go without; flexible ties",
	Confidence: planner.Published}

// rooted is what a stake hangs on.
type rooted struct {
	species   *species.Species
	rootstock string
}

// stake is how a plant is staked. Only fruit trees are; one whose rootstock is not known to need none has one.
func (m *maker) stake(p *setout.Plant) (stakeKey, bool) {
	if !IsFruitTree(p) {
		return stakeKey{}, false
	}
	on := rooted{p.Species, p.Rootstock}
	k, ok := m.stakes[on]
	if !ok {
		k = m.names.stake(on)
		m.stakes[on] = k
	}
	return k, k.kind != ""
}

// stake is how trees on a rootstock are staked; its kind is "" where they need none.
func (n *nameTable) stake(on rooted) stakeKey {
	k := stakeKey{kind: "need not known", rootstock: tidy(on.rootstock), source: fromPractice, unknown: true}
	r := n.rootstock(on.rootstock, on.species)
	if r == nil || on.rootstock == "" || !r.Stake.Known {
		return k
	}
	k = stakeKey{kind: r.Stake.V, rootstock: r.Name, source: r.Stake.Source}
	switch r.Stake.V {
	case "no":
		k.kind = ""
	case "first years":
		k.kind = "for the first years"
	}
	return k
}

// lines writes the sundries: guards, canes, stakes, ties, mulch, fence, in this order.
func (o *odds) lines(depth float64, own bool) []Sundry {
	out := []Sundry{}
	out = append(out, o.guardLines()...)
	out = append(out, o.stakeLines()...)
	if s, ok := o.mulch.line(depth, own); ok {
		out = append(out, s)
	}
	if o.sheetM > 0 {
		slices.Sort(o.sheeted)
		out = append(out, Sundry{Item: "mulch", Kind: "sheet 0.45 m wide", Quantity: round(o.sheetM, 1), Unit: "m",
			Note:   "pushed over the pruned thorns of " + strings.Join(o.sheeted, ", ") + ", in place of chip and guards.",
			Source: "Teagasc, hedge planting method: used silage sheet 0.45 m wide", Confidence: planner.Published})
	}
	return append(out, o.fenceLines()...)
}

// guardLines lists guards by height, stock guards last, and a cane for each guard against browsing.
func (o *odds) guardLines() []Sundry {
	specs := make([]*GuardSpec, 0, len(o.guards))
	for g := range o.guards {
		specs = append(specs, g)
	}
	slices.SortFunc(specs, func(a, b *GuardSpec) int {
		if s, t := a.Kind == "stock guard", b.Kind == "stock guard"; s != t {
			if t {
				return -1
			}
			return 1
		}
		switch {
		case a.HeightM < b.HeightM:
			return -1
		case a.HeightM > b.HeightM:
			return 1
		}
		return strings.Compare(a.Kind, b.Kind)
	})
	var out, canes []Sundry
	for _, g := range specs {
		n := o.guards[g]
		kind := fmt.Sprintf("%s %s m", g.Kind, figure(g.HeightM, 2))
		each := many(n, "plant")
		if g.Kind == "stock guard" {
			each = many(n, "tree") + " on grazed ground"
		}
		note := each + " x 1"
		if g.How != "" {
			note += ", " + g.How
		}
		note += "."
		if len(g.Stops) > 0 {
			note += " Keeps off " + listed(g.Stops) + "."
		}
		if len(g.Misses) > 0 {
			note += " Does not keep off " + listed(g.Misses) + ": fence them out, or buy what does."
		}
		out = append(out, sundry("guard", kind, float64(n), "", note, g.Source))
		if g.Kind != "stock guard" {
			canes = append(canes, o.cane(g, n, kind))
		}
	}
	return append(out, canes...)
}

// cane lists the canes of one kind of guard. Guards of 1.2 m and more catch the wind.
func (o *odds) cane(g *GuardSpec, n int, kind string) Sundry {
	note := "1 a guard"
	if g.HeightM >= 1.2 {
		note += ", and a stout one or a stake: a guard of 1.2 m or more catches the wind"
	}
	if k := o.staked[g]; k > 0 {
		note += fmt.Sprintf("; %s of them at staked trees, where the stake can do", count(k))
	}
	return sundry("cane", "for a "+kind, float64(n), "", note+".", fromPractice)
}

// stakeLines lists stakes by kind, and a tie for each.
func (o *odds) stakeLines() []Sundry {
	byKind := map[string][]stakeKey{}
	for k := range o.stakes {
		byKind[k.kind] = append(byKind[k.kind], k)
	}
	var out []Sundry
	total := 0
	for _, kind := range []string{"permanent", "for the first years", "need not known"} {
		keys := byKind[kind]
		if len(keys) == 0 {
			continue
		}
		slices.SortFunc(keys, func(a, b stakeKey) int { return strings.Compare(a.rootstock, b.rootstock) })
		n, parts, src := 0, []string{}, keys[0].source
		for _, k := range keys {
			n += o.stakes[k]
			on := k.rootstock
			if on == "" {
				on = "a rootstock that is not stated"
			}
			parts = append(parts, fmt.Sprintf("%s on %s", count(o.stakes[k]), on))
			if k.source.Confidence.Weaker(src.Confidence) {
				src = k.source
			}
		}
		note := "1 a tree: " + strings.Join(parts, ", ") + "."
		if keys[0].unknown {
			note += " Whether these need one is not known; a stake does no harm."
		}
		out = append(out, sundry("stake", kind, float64(n), "", note, src))
		total += n
	}
	if total > 0 {
		out = append(out, sundry("tie", "", float64(total), "", fmt.Sprintf("1 for each of %s; flexible, and let out each year.", many(total, "stake")), fromGOV1))
	}
	return out
}

// sundry is a line with its source in words. Common practice has no source.
func sundry(item, kind string, quantity float64, unit, note string, src planner.Source) Sundry {
	s := Sundry{Item: item, Kind: kind, Quantity: quantity, Unit: unit, Note: note, Source: src.Text, Confidence: src.Confidence}
	if s.Source == "" {
		s.Source = string(planner.CommonPractice)
	}
	if s.Confidence == "" {
		s.Confidence = planner.CommonPractice
	}
	return s
}

// listed joins words with commas and an "and".
func listed(words []string) string {
	switch n := len(words); n {
	case 0:
		return "nothing"
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}
