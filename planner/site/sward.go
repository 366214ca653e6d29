package site

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"

	"quickthorn/planner"
)

//go:embed sward.csv
var swardCSV string

// SwardSource is where the plants' moisture values and the steps from their mean to a ground class come from.
var swardSource = planner.Source{
	Code:       "PL",
	Text:       "Ellenberg F of the plants: Hill, Preston and Roy 2004, PLANTATT; steps between ground classes ours, from the definitions of F there",
	Confidence: planner.Derived,
}

// swardF maps every name of a field plant, in lower case, to its Ellenberg moisture value F.
func swardF() (map[string]float64, error) {
	rows, err := csv.NewReader(strings.NewReader(swardCSV)).ReadAll()
	if err != nil {
		return nil, err
	}
	f := map[string]float64{}
	for _, row := range rows[1:] {
		v, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			return nil, err
		}
		for _, name := range strings.Split(row[0], ";") {
			f[strings.ToLower(name)] = v
		}
	}
	return f, nil
}

// A SwardEstimate is the ground class read off the plants that grow there.
type SwardEstimate struct {
	MeanF    float64
	Moisture planner.Moisture // "" where no plant is known
	Unknown  []string         // names without a value, left out of the mean
	Source   planner.Source
}

// EstimateSward takes the mean Ellenberg F of the plants, weighted by their percent where every known one has it and evenly
// otherwise, to a ground class: below 4.5 dry, to 5.5 moist, to 6.5 damp, to 8.5 wet, above waterlogged. A mean that lies
// on a step counts as the wetter class.
func EstimateSward(plants []planner.Sward) SwardEstimate {
	table, err := swardF()
	if err != nil { // the table is embedded; the tests read it
		return SwardEstimate{Source: swardSource}
	}
	e := SwardEstimate{Source: swardSource}
	weighted := true
	for _, s := range plants {
		if s.Percent <= 0 {
			weighted = false
		}
	}
	var sum, weights float64
	for _, s := range plants {
		f, known := table[strings.ToLower(strings.TrimSpace(s.Species))]
		if !known {
			e.Unknown = append(e.Unknown, s.Species)
			continue
		}
		w := 1.0
		if weighted {
			w = s.Percent
		}
		sum += w * f
		weights += w
	}
	if weights == 0 {
		return e
	}
	e.MeanF = sum / weights
	switch {
	case e.MeanF < 4.5:
		e.Moisture = planner.Dry
	case e.MeanF < 5.5:
		e.Moisture = planner.Moist
	case e.MeanF < 6.5:
		e.Moisture = planner.Damp
	case e.MeanF <= 8.5:
		e.Moisture = planner.Wet
	default:
		e.Moisture = planner.Waterlogged
	}
	return e
}
