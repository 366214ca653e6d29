package species

import (
	"math"

	"quickthorn/planner"
)

// Suits is the verdict for s planted on the flat on ground of class m; NoVerdict where nothing is known. On a mound or
// ridge ask for the next drier class (planner.Moisture.Drier).
func (s *Species) Suits(m planner.Moisture) Fit { return s.Fit[m] }

// wetness puts the Ellenberg F of 1 to 10 on the five-step waterlogging scale, dryness on the drought scale. The two
// tables and the thresholds in ruleVerdict are ours, derived from PLANTATT Ellenberg F and Niinemets & Valladares 2006:
// 1.5 parts "a few days" of saturation from one to two weeks, 2.4 is about 30 days, 3.25 to 3.75 a whole season.
var (
	wetness = [...]float64{1: 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.75, 3.5, 4.25, 5.0}
	dryness = [...]float64{1: 5, 4.5, 4.0, 3.5, 3.0, 2.25, 1.75, 1.0, 0.5, 0}
)

// indexRounding is the last place that counts: two decimals, half up.
const indexRounding = 100

// WetIndex is how well s stands wet ground, 0 to 5: the mean of the waterlogging score and of F on that scale, of those
// that are known, to two decimals.
func (s *Species) WetIndex() Num { return index(s.WaterloggingTolerance, s.EllenbergF, wetness[:]) }

// DryIndex is how well s stands drought, 0 to 5; see WetIndex.
func (s *Species) DryIndex() Num { return index(s.DroughtTolerance, s.EllenbergF, dryness[:]) }

func index(score, f Num, scale []float64) Num {
	sum, n := 0.0, 0.0
	src := planner.Source{Text: "verdict rule, ours, derived from PLANTATT Ellenberg F and Niinemets and Valladares 2006", Code: "VR", Confidence: planner.Derived}
	if score.Known {
		sum, n = sum+score.V, n+1
	}
	if step := int(f.V); f.Known && step >= 1 && step < len(scale) {
		sum, n = sum+scale[step], n+1
	}
	if n == 0 {
		return Num{}
	}
	// The small addition keeps 1.995, which binary holds a hair low, on the upper side.
	return Num{V: math.Floor(sum/n*indexRounding+0.5+1e-9) / indexRounding, Known: true, Source: src}
}

// ruleVerdict is the verdict rule: what the scores say of s on ground m, before any verdict is set by hand. The catalogue
// holds the verdicts themselves; a test compares the two.
func (s *Species) ruleVerdict(m planner.Moisture) Verdict {
	wet, dry := s.WetIndex(), s.DryIndex()
	if !wet.Known || !dry.Known {
		return NoVerdict
	}
	out := Unsuitable
	switch m {
	case planner.Dry:
		out = step(dry.V, 2.75, 2.0)
	case planner.Moist:
		out = Suitable
		if s.EllenbergF.V >= 9 && s.DroughtTolerance.V < 1 {
			out = Marginal
		}
	case planner.Damp:
		out = step(wet.V, 1.5, 0)
	case planner.Wet:
		out = step(wet.V, 2.4, 1.5)
		if s.Crop && out == Suitable { // yield and root rot
			out = Marginal
		}
	case planner.Waterlogged:
		out = step(wet.V, 3.75, 3.25)
		if s.Crop {
			out = Unsuitable
		}
	}
	return out
}

func step(v, suitable, marginal float64) Verdict {
	switch {
	case v >= suitable:
		return Suitable
	case v >= marginal:
		return Marginal
	}
	return Unsuitable
}

// A ToxicClass is how dangerous s is to one kind of stock, the two lists weighed: see ToxicTo.
type ToxicClass string

// The classes, worst first. UnknownToxic: the lists do not speak of it.
const (
	ToxicExtreme    ToxicClass = "extreme"
	ToxicHigh       ToxicClass = "high"
	ToxicMediumHigh ToxicClass = "medium-high"
	ToxicMedium     ToxicClass = "medium"
	ToxicLowMedium  ToxicClass = "low-medium"
	ToxicLow        ToxicClass = "low"
	ToxicNone       ToxicClass = "none"
	UnknownToxic    ToxicClass = ""
)

// ToxicTo weighs the lists for one kind of stock (cattle, sheep, horses, goats, pigs, poultry). The list with classes
// decides; the other ("severe" counts as high, "mild" as low) speaks only where the first is silent about the plant.
// Where the first list names the plant, but for other stock, the answer is UnknownToxic with those entries: not proven
// safe. The entries that the answer rests on come with it.
func (s *Species) ToxicTo(stock string) (ToxicClass, []Toxicity) {
	var first, firstElse, second []Toxicity
	for _, t := range s.Toxic {
		switch mine := t.Stock == "" || t.Stock == stock; {
		case t.First() && mine:
			first = append(first, t)
		case t.First():
			firstElse = append(firstElse, t)
		case mine:
			second = append(second, t)
		}
	}
	if len(first) > 0 {
		if first[0].Class == "accepted" {
			return ToxicNone, first[:1]
		}
		return ToxicClass(first[0].Class), first[:1]
	}
	if len(firstElse) > 0 {
		return UnknownToxic, firstElse
	}
	if len(second) > 0 {
		return map[string]ToxicClass{"severe": ToxicHigh, "mild": ToxicLow, "none": ToxicNone}[second[0].Class], second[:1]
	}
	return UnknownToxic, nil
}

// Stops reports the classes that stop a planting within reach of stock: high and extreme.
func (c ToxicClass) Stops() bool { return c == ToxicExtreme || c == ToxicHigh }

// Water gives the building standard's pair for s: water demand, and the mature height that goes with it in the same table.
// A broad-leaved species that the standard does not list counts as moderate, a conifer as high, with the catalogue's greatest
// height; fromTable is then false. The height is unknown where the catalogue has none.
func (s *Species) Water() (demand Word, height Num, fromTable bool) {
	if s.WaterDemand.Known && s.NHBCHeight.Known {
		return s.WaterDemand, s.NHBCHeight, true
	}
	demand = Word{V: "moderate", Known: true, Source: planner.Source{Code: "N2", Confidence: planner.FromMemory,
		Text: "NHBC Standards, chapter 4.2, Table 2: a known broad-leaved species that is not listed counts as moderate"}}
	if s.Habit == Conifer {
		demand.V = "high"
		demand.Source.Text = "no rule read for conifers that NHBC Standards, chapter 4.2 does not list; taken as high"
		demand.Source.Confidence = planner.CommonPractice
	}
	height = s.GreatestHeight
	if s.Height.Known {
		height = Num{V: s.Height.High, Known: true, Source: s.Height.Source}
	}
	return demand, height, false
}

// StockFor is the usual planting stock for that use; unknown where the catalogue has none.
func (s *Species) StockFor(u Use) Word { return s.Stock[u] }
