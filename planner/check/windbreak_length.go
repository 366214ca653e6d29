package check

import (
	"fmt"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
)

func windbreakLength() *Rule {
	return &Rule{
		ID:    "windbreak.length",
		Title: "A windbreak is long enough for its height",
		Why: "Wind runs round the ends of a belt, and faster than in the open near them, so the sheltered ground behind it is a triangle. " +
			"Ten heights of length leave some of it where the wind swings. The longest stretch without an opening counts, existing belts too, " +
			"and always the height at year 20: the year in which a belt is to do its work.",
		Severity: planner.Warn,
		Limits:   []string{"heights_least", "height_year"},
		Run:      runWindbreakLength,
	}
}

func runWindbreakLength(p *Pass) {
	limit, known := p.Limit("heights_least")
	p.heightYear()
	for i := range p.Shared.belts {
		b := &p.Shared.belts[i]
		if !b.HeightYear20.Known {
			p.beltUnknown(b, "height at year 20", "its length was not looked at")
			continue
		}
		if !known {
			continue
		}
		run, from := b.longestRun()
		need := limit.Value * b.HeightYear20.V
		f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID}, Measured: planner.Figure(run), Limit: planner.Figure(need),
			Unit: "m", Worse: "less", Source: weaker(limit.Source, b.HeightYear20.Source)}
		f = At(f, b.at(from+run/2))
		short := b.HeightUnknown
		held := limit
		held.Value = need
		if holds(held, run) {
			if len(short) == 0 {
				continue
			}
			f.Severity, f.Place = planner.Note, "height"
			f.Message = fmt.Sprintf("%s is %s long, %.4g heights of %s and long enough so far as is known. The height at year 20 of %s is not known; if it grows taller, the belt may be too short.",
				quotedAtStart(b.Feature), metres(run), run/b.HeightYear20.V, b.heightText(), listWords(short, "and"))
			p.Report(f)
			continue
		}
		closing := ""
		what := fmt.Sprintf("%s is %s long", quotedAtStart(b.Feature), metresBeside(run, need))
		if len(b.openings()) > 0 {
			closing = ", close its openings"
			what = fmt.Sprintf("The longest stretch of %s without an opening is %s, from %s on", quoted(b.Feature), metresBeside(run, need), metres(from))
		}
		f.Message = fmt.Sprintf("%s, %.1f times its height of %s. It takes %s, %s heights, to shelter more than a small triangle. Lengthen it by %s%s, or tie its ends into hedges.",
			what, run/b.HeightYear20.V, b.heightText(), metres(need), figure(limit.Value), metres(need-run), closing)
		p.Report(f)
	}
}

// heightYear says that another year than 20, which the holding may have stated, is not used.
func (p *Pass) heightYear() {
	if l, ok := p.Limit("height_year"); ok && l.Value != beltYear && len(p.Shared.belts) > 0 {
		p.Report(planner.Finding{Severity: planner.Note, Place: "height_year", Source: l.Source, Measured: planner.Figure(l.Value), Limit: planner.Figure(beltYear), Unit: "years",
			Message: fmt.Sprintf("The holding's own height_year of %s is not used: windbreaks are always measured by their height at year %d.", figure(l.Value), beltYear)})
	}
}

// at is the point at a chainage along the belt.
func (b *Belt) at(chainage float64) orb.Point {
	if b.line != nil && len(b.line.Path) > 0 {
		return geo.NewChain(b.line.Path).At(chainage)
	}
	return geo.NewChain(b.Feature.Shape.Lines[0]).At(chainage)
}

// beltUnknown notes that a belt was not looked at for want of a figure.
func (p *Pass) beltUnknown(b *Belt, what, so string) {
	why := ""
	if len(b.HeightUnknown) > 0 && what == "height at year 20" {
		why = " (" + listWords(b.HeightUnknown, "and") + ")"
	}
	p.Report(At(planner.Finding{Severity: planner.Note, Features: []string{b.Feature.ID}, Place: "unknown", Source: noFigure(),
		Message: fmt.Sprintf("The %s of %s is not known%s, so %s.", what, quoted(b.Feature), why, so)}, b.at(b.LengthM/2)))
}
