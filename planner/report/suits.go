package report

import (
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

// A Suit is one species as it suits the ground under a point, with the reasons.
type Suit struct {
	ID        string   `json:"id"`
	Name      string   `json:"name"`
	Botanical string   `json:"botanical"`
	Verdict   string   `json:"verdict"` // suitable, marginal, unsuitable or not known
	For       []string `json:"for"`
	Against   []string `json:"against"`
	Barred    bool     `json:"barred"`
}

// stockReach is how far from a grazed field a plant must stand so that nothing in it is taken to reach over, in metres: that of the
// list of what suits in the findings.
const stockReach = 2

// Suits ranks what is planted for a purpose ("" for every plant) by the ground under a point, in metres of the frame, best first. On
// a mound of raised metres wet ground counts as one class drier where the mound is as high as the rule set asks; none helps where water
// stands or on peat. What the law of the place forbids, and what poisons the stock that reaches there, is barred. SetOut comes first.
func (r *Report) Suits(at orb.Point, purpose string, raised float64) []Suit {
	under := r.Site.Beside(at, stockReach)
	want := species.Want{Ground: under.Moisture, Soil: under.Soil, PH: under.PH, Exposure: under.Exposure, Purpose: purpose, Country: r.Set.Name()}
	least, known := r.Set.Get("ground.moisture", "raised_least_m")
	if known && raised >= least.Value && raised > 0 && under.Moisture != planner.Waterlogged && under.Soil != planner.Peat {
		want.Ground = under.Moisture.Drier(1)
	}
	for _, g := range r.Site.Grazed(at, stockReach) {
		for _, stock := range g.Stock {
			if !slices.Contains(want.Stock, stock) {
				want.Stock = append(want.Stock, stock)
			}
		}
	}
	out := []Suit{}
	for _, s := range r.Catalogue.Rank(want) {
		suit := Suit{ID: s.Species.ID, Name: s.Species.Name(), Botanical: s.Species.Botanical, Verdict: string(s.Fit.Verdict), For: s.For, Against: s.Against, Barred: s.Barred}
		if suit.Verdict == "" {
			suit.Verdict = "not known"
		}
		if suit.For == nil {
			suit.For = []string{}
		}
		if suit.Against == nil {
			suit.Against = []string{}
		}
		out = append(out, suit)
	}
	return out
}
