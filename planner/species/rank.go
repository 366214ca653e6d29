package species

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"quickthorn/planner"
)

// Want is a place and a purpose that plants are sought for; empty fields do not matter.
type Want struct {
	Ground   planner.Moisture // class of ground, after any mound
	Soil     planner.Soil
	PH       float64 // 0: unknown
	Exposure planner.Exposure
	Use      Use
	Purpose  string   // one of the words in Species.Purposes; empty means that of Use
	Native   string   // "britain" or "ireland": natives of it only
	Thorny   bool     // thorny ones only
	Layer    Layer    // of this layer only
	Stock    []string // animals that can reach it: what is high or extreme for them is left out
	Country  string   // a rule set's name: what its law forbids is left out
}

// A Ranked is one species with why it suits and why it may not.
type Ranked struct {
	Species *Species
	Fit     Fit // on Want.Ground
	Score   float64
	For     []string // reasons
	Against []string // why-nots; an entry with Barred set has at least one that rules it out
	Barred  bool
}

// Rank orders the species that are planted for the purpose, best first: the verdict on the ground, then reaction, exposure,
// and how far its wet (or dry) index lies above need. Barred ones (unsuitable, unlawful, do not plant, poisonous to the
// stock) come last with their reasons. Ties by botanical name. The weights are ours.
func (c *Catalogue) Rank(want Want) []Ranked {
	if want.Purpose == "" && want.Use != "" && want.Use != Single {
		want.Purpose = string(want.Use)
	}
	var out []Ranked
	for _, s := range c.all {
		if want.Purpose != "" && !slices.Contains(s.Purposes, want.Purpose) {
			continue
		}
		if want.Layer != "" && s.Layer != want.Layer {
			continue
		}
		out = append(out, c.rate(s, want))
	}
	slices.SortStableFunc(out, func(a, b Ranked) int {
		if a.Barred != b.Barred {
			if a.Barred {
				return 1
			}
			return -1
		}
		return cmp.Compare(b.Score, a.Score)
	})
	return out
}

func (c *Catalogue) rate(s *Species, want Want) Ranked {
	r := Ranked{Species: s}
	r.rateGround(want)
	r.rateReaction(want)
	r.rateExposure(want)
	r.rateLimits(want)
	return r
}

func (r *Ranked) bar(why string) { r.Barred, r.Against = true, append(r.Against, why) }

func (r *Ranked) rateGround(want Want) {
	if want.Ground == "" {
		return
	}
	r.Fit = r.Species.Suits(want.Ground)
	switch r.Fit.Verdict {
	case Suitable:
		r.Score += 100
		r.For = append(r.For, "suits "+string(want.Ground)+" ground")
	case Marginal:
		r.Score += 40
		r.Against = append(r.Against, "marginal on "+string(want.Ground)+" ground: on a mound, or on the drier rises")
	case Unsuitable:
		r.bar("unsuitable on " + string(want.Ground) + " ground")
	default:
		r.Against = append(r.Against, "no verdict known for "+string(want.Ground)+" ground")
	}
	// Within a verdict the tougher species first: a point for a step of the index, 0 to 5.
	if want.Ground == planner.Dry {
		r.Score += r.Species.DryIndex().V
	} else if want.Ground != planner.Moist {
		r.Score += r.Species.WetIndex().V
	}
}

// rateReaction leans on the soil's acidity; it never bars, for R is where a plant is found, not all that it stands.
func (r *Ranked) rateReaction(want Want) {
	ph := want.PH
	if ph == 0 {
		switch want.Soil {
		case planner.Chalk:
			ph = 7.8
		case planner.Peat:
			ph = 4.5
		default:
			return
		}
	}
	if fit, why := r.Species.SuitsReaction(ph); fit == Suitable {
		r.Score += 10
		r.For = append(r.For, why)
	} else if fit == Unsuitable {
		r.Score -= 20
		r.Against = append(r.Against, why)
	}
}

// SuitsReaction leans on Ellenberg R and the crop's own pH: below pH 5 favours R 1-4 and warns from 7; pH 5 to 7 warns at 2
// and below and 8 and above; above 7 favours R 7-9 and warns at 3 and below (classes ours, R from PLANTATT). A lean, not a
// verdict: NoVerdict where nothing is known or nothing speaks either way.
func (s *Species) SuitsReaction(ph float64) (Verdict, string) {
	if s.PH.Known {
		if s.PH.Holds(ph) {
			return Suitable, fmt.Sprintf("wants pH %g to %g", s.PH.Low, s.PH.High)
		}
		return Unsuitable, fmt.Sprintf("wants pH %g to %g", s.PH.Low, s.PH.High)
	}
	n := s.EllenbergR
	switch {
	case !n.Known:
		return NoVerdict, "no figure for soil reaction"
	case ph < 5 && n.V <= 4:
		return Suitable, "a plant of acid ground"
	case ph < 5 && n.V >= 7:
		return Unsuitable, "a plant of limy ground"
	case ph > 7 && n.V >= 7:
		return Suitable, "a plant of limy ground"
	case ph > 7 && n.V <= 3:
		return Unsuitable, "a plant of acid ground"
	case ph >= 5 && ph <= 7 && n.V <= 2:
		return Unsuitable, "a plant of very acid ground"
	case ph >= 5 && ph <= 7 && n.V >= 8:
		return Unsuitable, "a plant of very limy ground"
	}
	return NoVerdict, ""
}

// exposureRank orders the words of Species.Exposure.
var exposureRank = map[string]int{"very low": 0, "low": 1, "moderate": 2, "high": 3, "very high": 4}

func (r *Ranked) rateExposure(want Want) {
	s := r.Species
	if want.Exposure == planner.Coastal {
		if s.Coastal.Yes() {
			r.Score += 15
			r.For = append(r.For, "bears salt wind")
		} else {
			r.Score -= 15
			r.Against = append(r.Against, "not known to bear salt wind")
		}
	}
	if want.Exposure != planner.Exposed && want.Exposure != planner.Coastal && !r.purposeWindbreak(want) {
		return
	}
	switch {
	case !s.Exposure.Known:
		r.Against = append(r.Against, "no figure for exposure")
	case exposureRank[s.Exposure.V] >= 3:
		r.Score += 10
		r.For = append(r.For, "bears exposure ("+s.Exposure.V+")")
	case exposureRank[s.Exposure.V] <= 1:
		r.Score -= 10
		r.Against = append(r.Against, "bears little exposure ("+s.Exposure.V+"): behind a first row")
	}
}

func (r *Ranked) purposeWindbreak(want Want) bool { return want.Purpose == string(Windbreak) }

// DoNotPlant reports a species that nobody should plant now, whatever the ground (ash, for its dieback).
func (s *Species) DoNotPlant() bool {
	return s.PlantingAdvice.Known && strings.HasPrefix(s.PlantingAdvice.V, "do not plant")
}

func (r *Ranked) rateLimits(want Want) {
	s := r.Species
	native := map[string]Word{"britain": s.NativeBritain, "ireland": s.NativeIreland}
	if w, asked := native[want.Native]; asked && !w.Yes() {
		r.bar("not known as native to " + map[string]string{"britain": "Britain", "ireland": "Ireland"}[want.Native])
	}
	if want.Thorny && !s.Thorny.Yes() {
		r.bar("not thorny")
	}
	if s.PlantingAdvice.Known {
		if s.DoNotPlant() {
			r.bar(s.PlantingAdvice.V)
		} else {
			r.Against = append(r.Against, s.PlantingAdvice.V)
		}
	}
	for _, law := range s.Regulated {
		if want.Country == "" || want.Country == "general" || slices.Contains(law.Countries, want.Country) {
			r.bar(law.Text)
		}
	}
	for _, stock := range want.Stock {
		if class, _ := s.ToxicTo(stock); class.Stops() {
			r.bar("poisonous to " + stock + " (" + string(class) + ")")
		}
	}
	if s.Invasive.Known {
		r.Score -= 5
		r.Against = append(r.Against, s.Invasive.V)
	}
}
