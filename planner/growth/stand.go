package growth

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// A Stand is a plan as it grows. Once made it is only read, and may be used from several goroutines.
type Stand struct {
	plan *planner.Plan
	out  *setout.Result
	cat  *species.Catalogue
	set  *rules.Set

	winter     int    // of year 0; 0 where nothing in the plan tells
	winterSaid string // how it is known, where it is assumed

	kinds    map[kindKey]*kind
	measured map[*species.Species]neighbours
	hedges   map[string]*hedge // by feature id
	plants   map[plantKey]*[LastYear + 1]Size
}

// A kind is a species on its roots, as it grows on this holding.
type kind struct {
	species *species.Species
	growth  species.Growth
	unknown string // why its growth is not known, in words
}

type kindKey struct {
	species         *species.Species
	name, rootstock string
}

// neighbours are the trees of a species that were measured on the holding.
type neighbours struct {
	heights, ages []float64
	who           []string
}

// New works out how everything in the plan grows. out is the plan set out. Cost: a fit of some 100 microseconds for each kind, and
// the 31 sizes of every kind of plant of every feature.
func New(plan *planner.Plan, out *setout.Result, cat *species.Catalogue, set *rules.Set) *Stand {
	s := &Stand{plan: plan, out: out, cat: cat, set: set, kinds: map[kindKey]*kind{}, measured: map[*species.Species]neighbours{},
		hedges: map[string]*hedge{}, plants: map[plantKey]*[LastYear + 1]Size{}}
	s.setWinter()
	s.measure()
	for _, l := range out.Layouts {
		s.addKinds(l)
		if h := s.newHedge(l); h != nil {
			s.hedges[l.Feature.ID] = h
		}
	}
	out.Each(func(p *setout.Plant) bool {
		key := s.keyOf(p)
		if s.plants[key] == nil {
			s.plants[key] = s.plantSizes(p)
		}
		return true
	})
	return s
}

// setWinter says which winter year 0 is: the planting winter, else the earliest in which something planned is planted, else the
// latest in which something that stands was planted or cut.
func (s *Stand) setWinter() {
	if s.winter = s.plan.Holding.PlantingWinter; s.winter > 0 {
		return
	}
	planned, standing := 0, 0
	for _, f := range s.plan.Features {
		switch {
		case f.Planted <= 0:
		case f.IsPlanned() && (planned == 0 || f.Planted < planned):
			planned = f.Planted
		case !f.IsPlanned():
			standing = max(standing, f.Planted)
		}
		last, _ := cutting(f)
		standing = max(standing, last)
	}
	if s.winter = planned; s.winter == 0 {
		s.winter = standing
	}
	if s.winter > 0 {
		s.winterSaid = "no planting winter is stated, so year 0 is taken for the winter of " + strconv.Itoa(s.winter) + ", which the plan names"
	}
}

// Winter is the winter that is year 0, and how it is known where it is assumed; 0 where nothing in the plan tells.
func (s *Stand) Winter() (winter int, said string) { return s.winter, s.winterSaid }

// cutting is when a planting was cut last, and the winters in which it will be.
func cutting(f *planner.Feature) (last int, cuts []planner.Cut) {
	switch d := f.Detail.(type) {
	case *planner.Hedge:
		return d.LastCut, d.CutIn
	case *planner.Block:
		return d.LastCut, d.CutIn
	}
	return 0, nil
}

// stated is the height in metres that an existing planting states it has, 0 where it does not.
func stated(f *planner.Feature) float64 {
	if f.IsPlanned() || !f.Stated("height_m") {
		return 0
	}
	switch d := f.Detail.(type) {
	case *planner.Hedge:
		return d.HeightM
	case *planner.Windbreak:
		return d.HeightM
	case *planner.Block:
		return d.HeightM
	case *planner.Row:
		return d.HeightM
	case *planner.Plant:
		return d.HeightM
	}
	return 0
}

// measure gathers the existing plantings of a single species that state both their height and when they were planted. Hedges are
// left out: they are cut. So are fruit trees, whose rootstock decides.
func (s *Stand) measure() {
	for _, f := range s.byID() {
		h, age := stated(f), s.winter-f.Planted
		if h <= 0 || f.Planted <= 0 || age <= 0 || s.winter <= 0 || f.Wrong("height_m", "planted") {
			continue
		}
		last, cuts := cutting(f)
		sp := s.single(f)
		if sp == nil || last > 0 || len(cuts) > 0 {
			continue
		}
		n := s.measured[sp]
		n.heights, n.ages, n.who = append(n.heights, h), append(n.ages, float64(age)), append(n.who, f.Label())
		s.measured[sp] = n
	}
}

// byID lists the features by id, so that their order in the file changes nothing.
func (s *Stand) byID() []*planner.Feature {
	out := slices.Clone(s.plan.Features)
	slices.SortStableFunc(out, func(a, b *planner.Feature) int { return cmp.Compare(a.ID, b.ID) })
	return out
}

// single is the one species of a plant, row, windbreak or grove, nil where there are several or it is on a rootstock.
func (s *Stand) single(f *planner.Feature) *species.Species {
	var mixes [][]planner.Share
	switch d := f.Detail.(type) {
	case *planner.Plant:
		if d.Rootstock != "" {
			return nil
		}
		mixes = [][]planner.Share{{{Species: d.Species}}}
	case *planner.Row:
		if len(d.Trees) > 0 {
			return nil
		}
		mixes = [][]planner.Share{d.Mix}
	case *planner.Block:
		if len(d.Trees) > 0 || f.Kind != planner.KindGrove {
			return nil
		}
		mixes = [][]planner.Share{d.Mix}
	case *planner.Windbreak:
		for _, r := range d.Rows {
			mixes = append(mixes, r.Mix)
		}
	}
	var one *species.Species
	for _, mix := range mixes {
		if len(mix) != 1 {
			return nil
		}
		sp := s.cat.Find(mix[0].Species).Species
		if sp == nil || one != nil && one != sp {
			return nil
		}
		one = sp
	}
	return one
}

// addKinds makes the kinds that a feature's plants and mixes are of, so that none has to be made later.
func (s *Stand) addKinds(l *setout.Layout) {
	for i := range l.Plants {
		p := &l.Plants[i]
		s.addKind(p.Species, p.Name, p.Rootstock)
	}
	for _, mix := range mixesOf(l.Feature) {
		for _, m := range mix {
			s.addKind(s.cat.Find(m.Species).Species, m.Species, "")
		}
	}
}

func mixesOf(f *planner.Feature) [][]planner.Share {
	switch d := f.Detail.(type) {
	case *planner.Hedge:
		return [][]planner.Share{d.Mix, d.FillMix}
	case *planner.Row:
		return [][]planner.Share{d.Mix}
	case *planner.Windbreak:
		var out [][]planner.Share
		for _, r := range d.Rows {
			out = append(out, r.Mix)
		}
		return out
	}
	return nil
}

func keyOfKind(sp *species.Species, name, rootstock string) kindKey {
	if sp != nil {
		name = ""
	}
	return kindKey{sp, name, rootstock}
}

func (s *Stand) addKind(sp *species.Species, name, rootstock string) {
	key := keyOfKind(sp, name, rootstock)
	if s.kinds[key] == nil {
		s.kinds[key] = s.newKind(sp, name, rootstock)
	}
}

// kind is the kind of a species on a rootstock; one that nothing in the plan is of is made for the moment.
func (s *Stand) kind(sp *species.Species, name, rootstock string) *kind {
	if k := s.kinds[keyOfKind(sp, name, rootstock)]; k != nil {
		return k
	}
	return s.newKind(sp, name, rootstock)
}

func (s *Stand) newKind(sp *species.Species, name, rootstock string) *kind {
	if sp == nil {
		return &kind{unknown: "what " + name + " is, is not known"}
	}
	k := &kind{species: sp}
	if rootstock != "" {
		stock, _ := s.cat.Rootstock(sp, rootstock)
		k.growth = s.cat.Growth(sp, stock)
	} else {
		k.growth = s.cat.Growth(sp, nil)
		if n, ok := s.measured[sp]; ok {
			var curve *species.HeightCurve
			if list := s.cat.HeightCurves(sp); len(list) > 0 {
				curve = list[0]
			}
			k.growth = k.growth.Measured(n.heights, n.ages, curve, strings.Join(n.who, ", "))
		}
	}
	if !k.growth.Known {
		k.unknown = "how " + sp.Name() + " grows is not known"
	}
	return k
}

// Growth is how a species on a rootstock ("" for its own roots) grows on this holding: scaled by measured trees where there are some.
func (s *Stand) Growth(sp *species.Species, rootstock string) species.Growth {
	return s.kind(sp, "", rootstock).growth
}

// Age is the age in years of a feature in a year: negative before it is planted, and not known for one that stands there and does
// not say when it was planted.
func (s *Stand) Age(f *planner.Feature, year int) (years int, known bool) {
	switch {
	case f.Planted > 0 && s.winter > 0:
		return year + s.winter - f.Planted, true
	case f.IsPlanned():
		return year, true
	}
	return 0, false
}

// life is how a feature's plants come to their age; its stock and cuts are not in it yet.
func (s *Stand) life(f *planner.Feature) life {
	if h := stated(f); h > 0 {
		return life{from: fromHeight, height: h, said: "height stated in the plan"}
	}
	if age, known := s.Age(f, 0); known {
		return life{planted: -age}
	}
	return life{from: fromGrown, said: "neither its height nor its winter of planting is stated, so it counts as grown"}
}

// cutYears are the years of the winters in which a part of a planting is cut to the stool: the last cut, and those that are pinned
// and touch the chainage at; at below 0 takes all.
func (s *Stand) cutYears(f *planner.Feature, manage string, at float64) []int {
	if manage != "coppice" || s.winter <= 0 {
		return nil
	}
	last, cuts := cutting(f)
	out := s.pinned(cuts, at)
	if last > 0 {
		out = append(out, last-s.winter)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// layYears are the years of the winters in which a part of a hedge is laid: those that are pinned, as what was laid before has its
// height by now.
func (s *Stand) layYears(f *planner.Feature, d *planner.Hedge, at float64) []int {
	if d.Manage != "lay" || s.winter <= 0 || f.Wrong("cut_in") {
		return nil
	}
	out := slices.DeleteFunc(s.pinned(d.CutIn, at), func(year int) bool { return year < 0 })
	slices.Sort(out)
	return out
}

// pinned are the years of the winters that touch a chainage; at below 0 takes those of all of a planting.
func (s *Stand) pinned(cuts []planner.Cut, at float64) (out []int) {
	for _, c := range cuts {
		if at < 0 && c.FromM == 0 && c.ToM == 0 || at >= 0 && at >= c.FromM && (c.ToM == 0 || at < c.ToM) {
			out = append(out, c.Winter-s.winter)
		}
	}
	return out
}

// stockHeight is the height in metres of planting stock: the middle of "bare-root 40-60 cm"; 0 where it names no height, as where it is
// sold by girth.
func stockHeight(stock string) float64 {
	if strings.Contains(stock, "girth") {
		return 0
	}
	for _, unit := range []struct {
		name string
		m    float64
	}{{"cm", 0.01}, {"m", 1}} {
		head, _, ok := strings.Cut(stock+" ", unit.name+" ")
		if !ok {
			continue
		}
		head = strings.TrimSpace(head)
		head = head[strings.LastIndexByte(head, ' ')+1:]
		low, high, two := strings.Cut(head, "-")
		a, err := strconv.ParseFloat(low, 64)
		b := a
		if two {
			var err2 error
			if b, err2 = strconv.ParseFloat(high, 64); err2 != nil {
				continue
			}
		}
		if h := (a + b) / 2 * unit.m; err == nil && h > 0 && h <= 6 {
			return h
		}
	}
	return 0
}

func (s *Stand) assumed(rests string) string {
	if s.winterSaid == "" {
		return rests
	}
	return fmt.Sprintf("%s (%s)", rests, s.winterSaid)
}
