package wood

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// Ways of cutting.
const (
	Coppice = "coppice"
	Lay     = "lay"
)

// A Part is one species of a section's mix.
type Part struct {
	Species *species.Species // nil where its name is unknown or fits several
	Name    string
	Share   float64 // 0 to 1; they add up to 1
}

// A Section is a length of hedge, or a coupe of a coppice grove, that is cut in one winter.
type Section struct {
	ID          string // the feature's id and the number from its start, from 1: "lane/3"; stable while the line and its openings are
	Feature     *planner.Feature
	Number      int
	Method      string // coppice, lay
	FromM, ToM  float64
	LengthM     float64 // of living hedge; 0 for a coupe
	AreaM2      float64 // of a coupe; 0 for hedge
	Path        orb.LineString
	Shape       orb.MultiPolygon // of a coupe
	Mix         []Part           // empty where the plan states none
	Yield       Yield            // by vigour class; the ages in it are Least, Usual, Most below
	Keeps       float64          // share that stays in a laid hedge
	Least       int
	Usual, Most int
	Born        int    // winter since which it has grown
	BornSays    string // how that is known
	BornFrom    planner.Confidence
	From        int // first winter in which it may be cut, 0 for none
	Wet         bool
	HeightM     float64 // now, 0 unknown
	WiresM      float64 // distance to the nearest overhead line; infinite where there is none
	Shelters    []string
	Pins, Nots  []int
	Notes       []string
	bars        []Bar
	neighbours  []int
	round       float64 // length of a closed hedge, past whose start a section may reach; 0 for others
}

// Hedge reports whether it is a length of hedge.
func (s *Section) Hedge() bool { return s.AreaM2 == 0 }

// Label is what the section is called: the feature's name, and where along it.
func (s *Section) Label() string {
	if s.Hedge() {
		return fmt.Sprintf("%s, %.0f to %.0f m", s.Feature.Label(), s.FromM, s.ToM)
	}
	return fmt.Sprintf("%s, coupe %d (%.0f m2)", s.Feature.Label(), s.Number, s.AreaM2)
}

// Middle is a point to look at.
func (s *Section) Middle() orb.Point {
	if s.Hedge() {
		c := geo.NewChain(s.Path)
		return c.At(c.Length() / 2)
	}
	if len(s.Shape) == 0 {
		return orb.Point{}
	}
	return geo.Centroid(s.Shape[0])
}

// units is how many units of its yield it has: hundreds of metres, or hectares, less what stays in a laid hedge.
func (s *Section) units() float64 {
	if s.Hedge() {
		return s.LengthM / 100 * (1 - s.Keeps)
	}
	return s.AreaM2 / 10_000
}

// Dry is the dry tonnes that a cut at an age gives.
func (s *Section) Dry(age int) Range { return s.Yield.Standing(float64(age)).times(s.units()) }

// Share is the share of the mix that is of any of the genera or species named.
func (s *Section) Share(names ...string) float64 {
	sum := 0.0
	for _, p := range s.Mix {
		for _, n := range names {
			if is(p.Species, n) {
				sum += p.Share
				break
			}
		}
	}
	return sum
}

// Where a hedge is divided.
const (
	// SectionM is how long a section is at most, in metres, where the caller asks for nothing else.
	SectionM = 50.0
	leastM   = 5.0 // no division leaves a piece shorter than this
	touchM   = 0.5 // hedges nearer than this touch
)

// sectioner divides the plan's hedges and groves.
type sectioner struct {
	*Input
	length float64
	first  int
	chains map[string]geo.Chain
	hedges []*planner.Feature
}

// Sections divides every hedge that is coppiced or laid and every coppice grove, by feature id and number. first is the first
// winter of the rota. A hedge is divided at its openings, where another hedge joins it, and into equal lengths of at most 50 m.
func (in *Input) Sections(first int) []Section {
	d := &sectioner{Input: in, length: in.SectionM, first: first, chains: map[string]geo.Chain{}}
	if d.length <= 0 {
		d.length = SectionM
	}
	d.hedges = in.Plan.Of(planner.KindHedge)
	var out []Section
	for _, f := range in.Plan.Features {
		if !usable(f) {
			continue
		}
		switch h := f.Detail.(type) {
		case *planner.Hedge:
			if h.Manage == Coppice || h.Manage == Lay {
				out = append(out, d.hedge(f, h)...)
			}
		case *planner.Block:
			if f.Kind == planner.KindGrove && h.Manage == Coppice {
				out = append(out, d.grove(f, h)...)
			}
		}
	}
	d.wires(out)
	d.join(out)
	return out
}

// usable reports whether what the plan says of a feature can be relied on.
func usable(f *planner.Feature) bool { return f.Sound && !f.Wrong(needed...) }

// needed are the properties without which no section can be reckoned.
var needed = []string{"manage", "last_cut", "cut_in", "not_in", "planted", "status", "mix", "species"}

// hedge divides one hedge.
func (d *sectioner) hedge(f *planner.Feature, h *planner.Hedge) []Section {
	l := d.Out.Of(f.ID)
	if l == nil || l.Line == nil || l.Line.LengthM <= 0 {
		return nil
	}
	chain := geo.NewChain(l.Line.Path)
	var out []Section
	joins := d.joinsOn(f, chain)
	for _, r := range l.Line.Runs {
		for _, c := range divide(r.FromM, r.ToM, joins, d.length) {
			round := 0.0
			if l.Line.Closed {
				round = chain.Length()
				if c[0] >= round-planner.Tolerance { // past the start of a closed hedge chainages count from there again
					c[0], c[1] = math.Max(0, c[0]-round), c[1]-round
				}
			}
			s := Section{Feature: f, Number: len(out) + 1, Method: h.Manage, FromM: c[0], ToM: c[1], LengthM: c[1] - c[0], round: round, Path: sub(chain, l.Line, c[0], c[1])}
			s.ID = fmt.Sprintf("%s/%d", f.ID, s.Number)
			s.Mix = d.mix(h.Mix)
			d.vigour(&s, h)
			d.born(&s, h.LastCut, h.HeightM)
			d.winters(&s, h.CutIn, h.NotIn)
			d.ground(&s)
			if h.HeightM > 0 && !f.IsPlanned() {
				s.HeightM = h.HeightM
			}
			out = append(out, s)
		}
	}
	return out
}

// sub is the line of a section; on a closed line it may pass the start.
func sub(c geo.Chain, l *setout.Line, from, to float64) orb.LineString {
	if l.Closed && to > c.Length() {
		return append(c.Sub(from, c.Length()), c.Sub(0, to-c.Length())...)
	}
	return c.Sub(from, to)
}

// divide cuts a run at the joins that lie well within it, and each piece into equal lengths of at most most metres.
func divide(from, to float64, joins []float64, most float64) [][2]float64 {
	at := []float64{from}
	for _, j := range joins {
		if j > at[len(at)-1]+leastM && j < to-leastM {
			at = append(at, j)
		}
	}
	at = append(at, to)
	var out [][2]float64
	for i := 1; i < len(at); i++ {
		a, b := at[i-1], at[i]
		n := math.Max(1, math.Ceil((b-a-planner.Tolerance)/most))
		for k := 0.0; k < n; k++ {
			out = append(out, [2]float64{a + (b-a)*k/n, a + (b-a)*(k+1)/n})
		}
	}
	return out
}

// joinsOn lists the chainages at which other hedges join this one, in order.
func (d *sectioner) joinsOn(f *planner.Feature, c geo.Chain) []float64 {
	var out []float64
	box := f.Shape.Bound().Pad(touchM)
	for _, o := range d.hedges {
		if o == f {
			continue
		}
		for _, line := range o.Shape.Lines {
			if len(line) < 2 {
				continue
			}
			for _, p := range []orb.Point{line[0], line[len(line)-1]} {
				if !box.Contains(p) {
					continue
				}
				if at, _, dist := c.Project(p); dist <= touchM {
					out = append(out, at)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// mix reads a mix; shares add up to 1.
func (d *sectioner) mix(of []planner.Share) []Part {
	sum := 0.0
	for _, m := range of {
		sum += m.SharePercent
	}
	var out []Part
	for _, m := range of {
		p := Part{Species: d.Catalogue.Find(m.Species).Species, Name: m.Species, Share: m.SharePercent / 100}
		if sum > 0 {
			p.Share = m.SharePercent / sum
		} else {
			p.Share = 1 / float64(len(of))
		}
		if p.Species != nil {
			p.Name = p.Species.Name()
		}
		out = append(out, p)
	}
	return out
}

// The shares of a mix that make its vigour class.
const (
	vigorousShare = 1.0 / 3 // of vigorous species
	willowShare   = 0.5
	lowShare      = 0.8 // of thorn and hazel
)

// lookForAsh is said where nobody states what grows in a section.
const lookForAsh = "; look whether ash stands in it before you cut, since ash with dieback is no job for one person with a saw"

// vigour gives a hedge its class, and the ages that go with it.
func (d *sectioner) vigour(s *Section, h *planner.Hedge) {
	class := "typical"
	vigorous, _ := YieldOf("vigorous")
	switch {
	case len(s.Mix) == 0:
		s.Notes = append(s.Notes, "its mix is not stated, so it counts as a mixed hedge"+lookForAsh)
	case s.Share("Salix", "Populus") >= willowShare:
		class = "willow"
	case s.Share(vigorous.Species...) >= vigorousShare-1e-9:
		class = "vigorous"
	case s.Share("Crataegus", "Prunus spinosa", "Corylus") >= lowShare-1e-9:
		class = "low"
	}
	if s.Feature.Planted > 0 && h.LastCut == 0 && class != "willow" {
		if float64(d.first-s.Feature.Planted) < figure("young_hedge_years").Mid {
			class = "young"
		}
	} else if s.Feature.IsPlanned() && h.LastCut == 0 && class != "willow" {
		class = "young"
	}
	s.Yield, _ = YieldOf(class)
	ages := s.Yield
	if s.Method == Lay {
		ages, _ = YieldOf("lay")
		s.Keeps = 0.5 // up to half of the woody volume is taken out
	}
	s.Least, s.Usual, s.Most = ages.Least, ages.Usual, ages.Most
	s.Yield.AgeSource = ages.AgeSource
}

// born says since when a section has grown: its last cut, its planting, else what its height tells, else that it is as old as it
// is usually cut.
func (d *sectioner) born(s *Section, lastCut int, height float64) {
	f := s.Feature
	switch {
	case lastCut > 0:
		s.Born, s.BornSays, s.BornFrom = lastCut, fmt.Sprintf("last cut in winter %d", lastCut), planner.User
	case f.Planted > 0:
		s.Born, s.BornSays, s.BornFrom = f.Planted, fmt.Sprintf("planted in winter %d", f.Planted), planner.User
	case f.IsPlanned():
		s.Born, s.BornSays, s.BornFrom = d.first, "to be planted", planner.User
	case height > 0 && f.Stated("height_m"):
		full := figure("harvest_height").Mid
		age := int(math.Round(float64(s.Usual) * math.Min(1, height/full)))
		s.Born, s.BornFrom = d.first-age, planner.Derived
		s.BornSays = fmt.Sprintf("no last cut is stated; by its height of %.1f m it is taken for %s old (cut at 6 to 7 m, Wolton 2016)", height, count(age, "year"))
	default:
		s.Born, s.BornFrom = d.first-s.Usual, planner.Derived
		s.BornSays = fmt.Sprintf("no last cut is stated; it is taken for %d years old, its usual age", s.Usual)
	}
	if f.IsPlanned() {
		s.From = s.Born + s.Least
	}
}

// winters gives a section the winters that the plan pins for at least half of it, and those forbidden for any of it.
func (d *sectioner) winters(s *Section, pins, nots []planner.Cut) {
	for _, c := range pins {
		if s.pinnedBy(c) && !slices.Contains(s.Pins, c.Winter) {
			s.Pins = append(s.Pins, c.Winter)
		}
	}
	for _, c := range nots {
		if s.overlap(c) > planner.Tolerance && !slices.Contains(s.Nots, c.Winter) {
			s.Nots = append(s.Nots, c.Winter)
			s.bars = append(s.bars, Bar{Winter: c.Winter, Constraint: ForbiddenW, Why: fmt.Sprintf("the plan says not in %d", c.Winter)})
		}
	}
	slices.Sort(s.Pins)
	slices.Sort(s.Nots)
}
