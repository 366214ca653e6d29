package species

import (
	"fmt"
	"math"
	"strings"

	"quickthorn/planner"
)

// A Growth is how a kind of plant grows from the day it is planted (age 0, years): a curve of its height with a poorer and a better
// one, and the width of its crown in proportion. It is a value: make it once for each kind.
type Growth struct {
	Known          bool
	low, mid, high Curve
	regrow         [3]Curve // from the stool, low, mid, high; Max 0 where it does not sprout
	mature         Range    // height that Spread belongs to
	spread         Range
	measured       []measure // of trees on the holding; they take the place of the curves
	published      *HeightCurve
	Source         planner.Source
	Rests          string // what the heights rest on, in words
	RegrowRests    string
	SpreadRests    string
}

// A measure is a height in metres of a tree of the kind at an age in years.
type measure struct{ height, age float64 }

// Growth is the growth of the species on its own roots. The curves are fitted to the heights at 5, 10 and 20 years that are known
// of it (HeightAfter), each of the range by itself, and stay below its greatest height in any table. Not known where nothing is.
func (s *Species) Growth() Growth {
	return s.grow(s.Height, s.Spread, "")
}

// growthKey is what a growth hangs on.
type growthKey struct {
	species   *Species
	rootstock *Rootstock
}

// Growth is Species.GrowthOn, or Species.Growth without a rootstock, fitted once for each: a fit costs some 90 microseconds.
func (c *Catalogue) Growth(s *Species, r *Rootstock) Growth {
	key := growthKey{s, r}
	if g, ok := c.growths.Load(key); ok {
		return g.(Growth)
	}
	g := s.Growth()
	if r != nil {
		g = s.GrowthOn(r)
	}
	c.growths.Store(key, g)
	return g
}

// GrowthOn is the growth of a fruit tree on a rootstock: the grown size is the rootstock's, the pace the growth class's.
func (s *Species) GrowthOn(r *Rootstock) Growth {
	if r == nil || !r.Height.Known {
		g := s.Growth()
		if r != nil && r.Spread.Known {
			g.spread, g.SpreadRests = r.Spread, r.Spread.Source.String()
		}
		return g
	}
	on := *s
	on.Height, on.Spread = r.Height, r.Spread
	on.HeightAt = nil
	on.GreatestHeight = Num{V: r.Height.High, Known: true, Source: r.Height.Source}
	return on.grow(r.Height, r.Spread, r.Name)
}

func (s *Species) grow(mature, spread Range, rootstock string) Growth {
	g := Growth{mature: mature, spread: spread}
	var at [3][]point
	var sources []planner.Source
	published := 0
	for _, age := range Ages {
		r := s.HeightAfter(age)
		if !r.Known {
			continue
		}
		for i, h := range []float64{r.Low, r.Usual, r.High} {
			at[i] = append(at[i], point{float64(age), h})
		}
		sources = append(sources, r.Source)
		if s.HeightAt[age].Known {
			published++
		}
	}
	if len(sources) == 0 {
		return g
	}
	g.Known, g.Source = true, joined(sources...)
	last := at[1][len(at[1])-1].height
	top := 2 * at[2][len(at[2])-1].height // nothing known of its grown height
	if s.GreatestHeight.Known {
		top = s.GreatestHeight.V
	}
	var least, most [3]float64
	for i := range most {
		most[i] = top
	}
	if published == 0 && mature.Known { // the class gives the pace, the grown height the end
		for i, h := range []float64{mature.Usual, mature.Usual, mature.High} {
			least[i], most[i] = h, h
		}
	}
	g.low, g.mid, g.high = fit(at[0], least[0], most[0]), fit(at[1], least[1], most[1]), fit(at[2], least[2], most[2])
	if !g.mature.Known {
		g.mature = Range{Low: g.low.Max, Usual: g.mid.Max, High: g.high.Max, Known: true}
	}
	g.setRegrowth(s, top)
	name := s.Name()
	if rootstock != "" {
		name += " on " + rootstock
	}
	switch {
	case published > 0:
		g.Rests = fmt.Sprintf("%s, %.3g m at 20 years: %s", name, last, inWords(g.Source))
	case mature.Known:
		g.Rests = fmt.Sprintf("%s, %.3g m when grown, %s", name, mature.Usual, inWords(g.Source))
	default:
		g.Rests = fmt.Sprintf("%s, grown height not known, %s", name, inWords(g.Source))
	}
	if g.spread.Known {
		g.SpreadRests = "grown width in proportion to height (derived): " + g.spread.Source.String()
	}
	return g
}

// inWords is a source as it is shown, its confidence not said twice.
func inWords(s planner.Source) string {
	if strings.Contains(s.Text, string(s.Confidence)) {
		return s.Text
	}
	return s.String()
}

// firstShoots is the height in metres of the shoots from the stool after their first season, by how well the species coppices:
// common practice, +/- 30 %. A woodland text for the High Weald has about 2 m for many species, a Sussex reserve 3 m after two
// seasons for hazel: the upper ends of these.
var firstShoots = map[string]float64{"strong": 1.5, "moderate": 1, "weak": 0.5}

// classShoots stands in where nothing is known of coppicing.
var classShoots = map[string]float64{"fast": 1.5, "middling": 1, "slow": 0.5}

// setRegrowth makes the curve from the stool: fastest in its first season, to the same end.
func (g *Growth) setRegrowth(s *Species, top float64) {
	first := firstShoots[s.Coppices.V]
	switch {
	case s.Coppices.Known && first == 0:
		g.RegrowRests = s.Name() + " does not sprout from the stool"
		return
	case !s.Coppices.Known && (s.Habit == Conifer || s.Habit == Herb):
		g.RegrowRests = "whether " + s.Name() + " sprouts from the stool is not known"
		return
	case !s.Coppices.Known:
		first = classShoots[s.GrowthClass.V]
		if first == 0 {
			first = classShoots["middling"]
		}
	}
	for i, share := range []float64{1 - classSpread, 1, 1 + classSpread} {
		end := []Curve{g.low, g.mid, g.high}[i].Max
		shoot := math.Min(first*share, 0.9*end)
		g.regrow[i] = Curve{Max: math.Min(end, top), K: -math.Log1p(-shoot / math.Min(end, top)), P: 1}
	}
	g.RegrowRests = fmt.Sprintf("%s from the stool, %.3g m in the first season (common practice, +/- 30 %%)", s.Name(), first)
}

// span orders three figures, so that curves that cross leave the middle one where it is.
func span(low, mid, high float64) Range {
	return Range{Low: math.Min(low, mid), Usual: mid, High: math.Max(high, mid), Known: true}
}

// HeightAt is the height in metres at an age in years, 0 up to age 0.
func (g Growth) HeightAt(age float64) Range {
	if !g.Known {
		return Range{}
	}
	r := span(g.low.At(age), g.mid.At(age), g.high.At(age))
	if len(g.measured) > 0 {
		r = g.measuredAt(age)
	}
	r.Source = g.Source
	return r
}

// RegrownAt is the height some years after it was cut to the stool: never less than a young plant of that age; 0 for one that does
// not sprout.
func (g Growth) RegrownAt(years float64) Range {
	if !g.Known {
		return Range{}
	}
	out := Range{Known: true, Source: planner.Source{Text: g.RegrowRests, Confidence: planner.CommonPractice}}
	if g.regrow[1].Max <= 0 || years <= 0 {
		return out
	}
	young := span(g.low.At(years), g.mid.At(years), g.high.At(years))
	r := span(g.regrow[0].At(years), g.regrow[1].At(years), g.regrow[2].At(years))
	out.Low, out.Usual, out.High = math.Max(r.Low, young.Low), math.Max(r.Usual, young.Usual), math.Max(r.High, young.High)
	return out
}

// Sprouts tells whether it grows again after it was cut to the stool.
func (g Growth) Sprouts() bool { return g.regrow[1].Max > 0 }

// SpreadAt is the width of the crown in metres of a plant of some height: the grown width in proportion to the grown height, no
// wider (derived).
func (g Growth) SpreadAt(height Range) Range {
	if !g.spread.Known || !height.Known {
		return Range{}
	}
	share := func(h, of float64) float64 {
		if of <= 0 {
			return 1
		}
		return math.Min(1, h/of)
	}
	r := span(g.spread.Low*share(height.Low, g.mature.Usual), g.spread.Usual*share(height.Usual, g.mature.Usual),
		g.spread.High*share(height.High, g.mature.Usual))
	r.Source = planner.Source{Text: g.SpreadRests, Confidence: planner.Derived}
	return r
}

// Grown is the height and width of a grown plant, as the catalogue has them; the end of its curve where it has none.
func (g Growth) Grown() (height, spread Range) {
	if !g.Known {
		return Range{}, g.spread
	}
	return g.mature, g.spread
}

// FromHeight is the height some years after it stood at height metres: on along the curve from where it has that height; one that
// is as high as the curve ever comes stays so.
func (g Growth) FromHeight(height, years float64, regrown bool) Range {
	if !g.Known || years <= 0 {
		return Range{Low: height, Usual: height, High: height, Known: true}
	}
	on := func(c Curve) float64 {
		t, ok := c.AgeAt(height)
		if !ok {
			return height
		}
		return math.Max(height, c.At(t+years))
	}
	if regrown && g.Sprouts() {
		return span(on(g.regrow[0]), on(g.regrow[1]), on(g.regrow[2]))
	}
	return span(on(g.low), on(g.mid), on(g.high))
}

// Years is how long something takes, in years from planting; Latest is infinite where the poorer curve never comes to it.
type Years struct{ Earliest, Likely, Latest float64 }

// YearsTo is when a plant is height metres high; false where even the better curve never comes to it.
func (g Growth) YearsTo(height float64) (Years, bool) {
	if !g.Known {
		return Years{}, false
	}
	return yearsTo(height, g.HeightAt)
}

// YearsToSpread is when its crown is width metres wide; false where it never is.
func (g Growth) YearsToSpread(width float64) (Years, bool) {
	if !g.Known || !g.spread.Known {
		return Years{}, false
	}
	return yearsTo(width, func(age float64) Range { return g.SpreadAt(g.HeightAt(age)) })
}

// mostYears is as far as YearsTo looks.
const mostYears = 200

// yearsTo halves the years until each curve is met within an hour.
func yearsTo(want float64, at func(age float64) Range) (Years, bool) {
	find := func(of func(Range) float64) float64 {
		if of(at(mostYears)) < want {
			return math.Inf(1)
		}
		lo, hi := 0.0, float64(mostYears)
		for range 42 {
			if mid := (lo + hi) / 2; of(at(mid)) < want {
				lo = mid
			} else {
				hi = mid
			}
		}
		return hi
	}
	y := Years{Earliest: find(func(r Range) float64 { return r.High }), Likely: find(func(r Range) float64 { return r.Usual }),
		Latest: find(func(r Range) float64 { return r.Low })}
	return y, !math.IsInf(y.Earliest, 1)
}

// Measured is the growth scaled by trees of the kind that were measured: each a height in metres at an age in years, both above 0.
// A published curve carries each to any other age; without one the heights are in proportion. With several the middle is their
// mean and the range from the least to the greatest. who names them.
func (g Growth) Measured(heights, ages []float64, curve *HeightCurve, who string) Growth {
	if !g.Known || len(heights) == 0 || len(heights) != len(ages) {
		return g
	}
	g.published = curve
	g.measured = nil
	var said []string
	for i, h := range heights {
		g.measured = append(g.measured, measure{h, ages[i]})
		said = append(said, fmt.Sprintf("%.3g m at %.3g years", h, ages[i]))
	}
	how := "in proportion to " + inWords(g.Source)
	g.Source = planner.Source{Text: "measured on this holding, " + how, Confidence: planner.Derived}
	if curve != nil {
		how = "carried by " + inWords(curve.Source)
		g.Source = planner.Source{Code: curve.Source.Code, Text: "measured on this holding, " + how, URL: curve.Source.URL, Confidence: planner.Derived}
	}
	g.Rests = fmt.Sprintf("measured on this holding: %s, %s, %s", who, strings.Join(said, ", "), how)
	return g
}

func (g Growth) measuredAt(age float64) Range {
	if age <= 0 {
		return Range{Known: true}
	}
	low, high, sum := math.Inf(1), 0.0, 0.0
	for _, m := range g.measured {
		h, ok := 0.0, false
		if g.published != nil {
			h, ok = g.published.Carry(m.height, m.age, age)
		}
		if !ok {
			h = m.height * g.mid.At(age) / g.mid.At(m.age)
		}
		low, high, sum = math.Min(low, h), math.Max(high, h), sum+h
	}
	return Range{Low: low, Usual: sum / float64(len(g.measured)), High: high, Known: true}
}
