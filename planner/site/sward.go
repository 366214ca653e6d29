package site

import (
	"quickthorn/planner"
	"quickthorn/planner/species"
)

// swardSource is where the plants' moisture values and the steps from their mean to a ground class come from.
var swardSource = planner.Source{
	Code:       "PL",
	Text:       "Ellenberg F of the plants: Hill, Preston and Roy 2004, PLANTATT; steps between ground classes ours, from the definitions of F there",
	Confidence: planner.Derived,
}

// A SwardEstimate is the ground class read off the plants that grow there.
type SwardEstimate struct {
	MeanF    float64
	Moisture planner.Moisture // "" where no plant is known
	Unknown  []string         // names without a value, left out of the mean
	Source   planner.Source
}

// EstimateSward takes the mean Ellenberg F of the plants, weighted by their percent where every one has it and evenly
// otherwise, to a ground class (species.MoistureOf). Without a catalogue it tells nothing.
func EstimateSward(cat *species.Catalogue, plants []planner.Sward) SwardEstimate {
	e := SwardEstimate{Source: swardSource}
	if cat == nil {
		return e
	}
	weighted := true
	for _, s := range plants {
		weighted = weighted && s.Percent > 0
	}
	var sum, weights float64
	for _, s := range plants {
		f, _ := cat.SwardF(s.Species)
		if !f.Known {
			e.Unknown = append(e.Unknown, s.Species)
			continue
		}
		w := 1.0
		if weighted {
			w = s.Percent
		}
		sum += w * f.V
		weights += w
	}
	if weights == 0 {
		return e
	}
	e.MeanF = sum / weights
	e.Moisture = species.MoistureOf(e.MeanF)
	return e
}
