package check

import (
	"fmt"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

func windbreakAngle() *Rule {
	return &Rule{
		ID:    "windbreak.angle",
		Title: "A windbreak stands square to the troublesome wind",
		Why: "A belt shelters best where the wind meets it square on, and still well up to 40 degrees off; along its line the wind is hardly " +
			"slowed. On bends the angle is the mean over its length. With a wind rose the worst arm (percent times speed) is held against the " +
			"limit, and the share of all weighted wind that is well met is told.",
		Severity: planner.Warn,
		Limits:   []string{"off_square_greatest_deg", "well_met_least_percent"},
		Sources:  []planner.Source{{Text: "K. Brandt, Guidelines for livestock windbreaks: up to 30 degrees off square is still adequate", Confidence: planner.Published}},
		Run:      runWindbreakAngle,
	}
}

func runWindbreakAngle(p *Pass) {
	h := &p.Plan.Holding
	if h.Wrong("wind_from_deg") || h.Wrong("wind_rose") {
		return
	}
	p.remarks(planner.Source{Text: "Quickthorn, how it sets out windbreaks", Confidence: planner.Derived})
	limit, known := p.Limit("off_square_greatest_deg")
	if !known {
		return
	}
	for i := range p.Shared.belts {
		b := &p.Shared.belts[i]
		f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID}, Unit: "deg", Measured: planner.Figure(b.AngleOffSquareDeg),
			Limit: planner.Figure(limit.Value), Source: limit.Source}
		f = At(f, b.at(b.LengthM/2))
		if off := tidyDeg(b.AngleOffSquareDeg, limit.Value); !limit.Holds(off) {
			f.Message = fmt.Sprintf("%s stands %.1f degrees off square to the wind from %s degrees; up to %s it still shelters well. Turn it to run from %.0f to %.0f degrees, or add a second leg square to that wind.",
				quotedAtStart(b.Feature), off, figure(h.WorstWindDeg()), figure(limit.Value), lineBearing(h.WorstWindDeg()), lineBearing(h.WorstWindDeg())+180)
			p.Report(f)
		}
		p.reportRose(b, limit.Value)
	}
}

// tidyDeg takes an angle within a hundredth of a degree of the limit as exactly on it: 20 mm at the end of 100 m, which other
// editors' rounding moves a point by.
func tidyDeg(v, limit float64) float64 {
	if d := v - limit; d < 0.0115 && d > -0.0115 {
		return limit
	}
	return v
}

// lineBearing is the bearing, 0 up to 180, of a line square to a wind.
func lineBearing(windFromDeg float64) float64 {
	b := geo.NormBearing(windFromDeg + 90)
	if b >= 180 {
		b -= 180
	}
	return b
}

// reportRose tells the share of the weighted wind that meets the belt within the limit. No share is published as enough, so it is
// a note unless the holding has a limit of its own.
func (p *Pass) reportRose(b *Belt, within float64) {
	rose := p.Plan.Holding.WindRose
	if len(rose) < 2 {
		return
	}
	share := 100 * wellMet(b.Feature.Shape.Lines[0], rose, within)
	limit, known := p.Limit("well_met_least_percent")
	f := planner.Finding{Severity: planner.Note, Features: []string{b.Feature.ID}, Place: "rose", Unit: "percent", Worse: "less", Measured: planner.Figure(share),
		Source: planner.Source{Text: "share of the wind rose, percent times speed, that meets the belt within the limit (ours)", Confidence: planner.Derived}}
	f = At(f, b.at(b.LengthM/2))
	switch {
	case known && limit.Holds(share), share > 99.95:
		return
	case known:
		f.Severity, f.Limit, f.Source = planner.Warn, planner.Figure(limit.Value), limit.Source
		f.Message = fmt.Sprintf("%s meets %.0f percent of the weighted wind within %s degrees of square; you ask for %s. Turn it, or add a second leg.",
			quotedAtStart(b.Feature), share, figure(within), figure(limit.Value))
	default:
		f.Message = fmt.Sprintf("%s meets %.0f percent of the weighted wind of your rose within %s degrees of square. No published share says how much is enough.",
			quotedAtStart(b.Feature), share, figure(within))
	}
	p.Report(f)
}

// wellMet is the share, 0 to 1, of the wind (each arm's percent times its speed) that meets the line within so many degrees of
// square, weighted by length on bends. Arms without a speed count by their percent where none has one.
func wellMet(line orb.LineString, rose []planner.WindArm, within float64) float64 {
	speeds := false
	for _, a := range rose {
		speeds = speeds || a.SpeedMS > 0
	}
	var met, all float64
	for _, a := range rose {
		w := a.Percent
		if speeds {
			w *= a.SpeedMS
		}
		for i := 1; i < len(line); i++ {
			l := geo.Dist(line[i-1], line[i])
			if l == 0 {
				continue
			}
			all += w * l
			if tidyDeg(segmentOffSquare(geo.BearingDeg(line[i-1], line[i]), a.FromDeg), within) <= within {
				met += w * l
			}
		}
	}
	if all <= 0 {
		return 0
	}
	return met / all
}
