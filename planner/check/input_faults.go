package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// planFile is the source of what the plan file may hold.
func planFile() planner.Source {
	return planner.Source{Text: "the vocabulary of the plan file (Quickthorn); positions and rings as RFC 7946 (IETF 2016)", Confidence: planner.Published}
}

// faults reports what reading found wrong under the rule's id, and what setting out noticed.
func (p *Pass) faults(source planner.Source) {
	for _, f := range p.Plan.Faults {
		if f.Rule != p.rule.ID || p.withinOwn(f) {
			continue
		}
		out := planner.Finding{Severity: f.Severity, Message: f.Message, At: f.At, HasAt: f.HasAt, Place: f.Place,
			Measured: f.Measured, Limit: f.Limit, Unit: f.Unit, Source: source}
		if f.Feature != "" {
			out.Features = []string{f.Feature}
		}
		if out.Place == "" {
			out.Place = f.Property
		}
		p.Report(out)
	}
	p.remarks(source)
}

// withinOwn reports a fault that the holding's own, wider limit lets through.
func (p *Pass) withinOwn(f planner.Fault) bool {
	if len(p.rule.Limits) != 1 || f.Measured == nil {
		return false
	}
	l, ok := p.Limit(p.rule.Limits[0])
	return ok && l.Holds(*f.Measured)
}

// remarks reports what setting out noticed under the rule's id.
func (p *Pass) remarks(source planner.Source) {
	for _, l := range p.Out.Layouts {
		for _, r := range l.Remarks {
			if r.Rule != p.rule.ID {
				continue
			}
			p.Report(At(planner.Finding{Severity: r.Severity, Message: r.Message, Features: []string{l.Feature.ID}, Place: r.Place,
				Measured: r.Measured, Limit: r.Limit, Unit: r.Unit, Source: source}, r.At))
		}
	}
}

func inputGeometry() *Rule {
	return &Rule{
		ID: "input.geometry", Title: "What is drawn can be computed with", Severity: planner.Stop,
		Why: "A ring that crosses itself has no inside, and a position that is not a number lies nowhere: areas, counts and distances would be " +
			"wrong without a sign of it. Such a feature is kept as it is, and nothing is planted in it until it is redrawn.",
		Sources: []planner.Source{
			{Text: "OGC 06-103r4 (2011), Simple feature access part 1, 6.1.11 and 6.1.14: valid polygons", Confidence: planner.Published},
			{Text: "RFC 7946 (IETF 2016), section 3.1: positions, lines and rings", Confidence: planner.Published}},
		Run: func(p *Pass) {
			p.faults(planner.Source{Text: "OGC 06-103r4 (2011), Simple feature access part 1, 6.1.11, and RFC 7946 (IETF 2016), 3.1", Confidence: planner.Published})
		},
	}
}

func inputProperty() *Rule {
	return &Rule{
		ID: "input.property", Title: "Properties have the form and the range that they need", Severity: planner.Stop,
		Why: "A value in the wrong form is not replaced by a default behind your back: what needs it is not computed, so counts and lists are " +
			"incomplete until it is mended.",
		Sources: []planner.Source{planFile()},
		Run: func(p *Pass) {
			p.faults(planFile())
			p.looseGaps()
		},
	}
}

// looseGaps reports gaps that open nothing, which would be missing from shares, fills and the order without a word.
func (p *Pass) looseGaps() {
	for _, f := range setout.LooseGaps(p.Plan, p.Out) {
		at, _ := f.Shape.First()
		p.Report(At(planner.Finding{Severity: planner.Warn, Features: []string{f.ID}, Source: planFile(),
			Message: fmt.Sprintf("%s opens no standing hedge, so it is left out: a gap is drawn along the hedge, within 3 m of it. Move it there; "+
				"in a new hedge draw a gateway instead.", upperFirst(f.Label()))}, at))
	}
}

func inputMended() *Rule {
	return &Rule{
		ID: "input.mended", Title: "What was mended while reading", Severity: planner.Note,
		Why: "Open rings, rings drawn the other way round and repeated points are put right for computing. The file keeps what you wrote; this says " +
			"what was read differently.",
		Sources: []planner.Source{{Text: "RFC 7946 (IETF 2016), section 3.1.6: rings are closed, outer rings run anticlockwise", Confidence: planner.Published}},
		Run: func(p *Pass) {
			p.faults(planner.Source{Text: "RFC 7946 (IETF 2016), section 3.1.6", Confidence: planner.Published})
		},
	}
}

func inputKind() *Rule {
	return &Rule{
		ID: "input.kind", Title: "Kinds that are not in the vocabulary", Severity: planner.Note,
		Why:     "A feature of an unknown kind is kept and drawn in grey, and no rule looks at it: a misspelt kind would go unchecked.",
		Sources: []planner.Source{planFile()},
		Run:     func(p *Pass) { p.faults(planFile()) },
	}
}

func inputID() *Rule {
	return &Rule{
		ID: "input.id", Title: "Features without an id, or with one that others share", Severity: planner.Note,
		Why: "Plants, findings and acceptances are named by their feature's id. A given id is made of what the feature holds and changes with it, " +
			"so give each an id of its own.",
		Sources: []planner.Source{{Text: "RFC 7946 (IETF 2016), section 3.2: a feature's id is text or a number", Confidence: planner.Published}},
		Run: func(p *Pass) {
			p.faults(planner.Source{Text: "RFC 7946 (IETF 2016), section 3.2", Confidence: planner.Published})
		},
	}
}

func inputWidth() *Rule {
	return &Rule{
		ID: "input.width", Title: "How far the plan reaches from its origin", Severity: planner.Note,
		Why:     "Lengths are true to 1 part per million within 5 km of the origin. Further out the flat frame stretches them, and this says by how much.",
		Limits:  []string{"from_origin_greatest_m"},
		Sources: []planner.Source{{Text: "scale of the transverse Mercator projection: Karney 2011, Journal of Geodesy 85, 475-485", Confidence: planner.Published}},
		Run: func(p *Pass) {
			p.faults(planner.Source{Text: "scale of the transverse Mercator projection: Karney 2011, Journal of Geodesy 85, 475-485", Confidence: planner.Published})
		},
	}
}

func inputSwapped() *Rule {
	return &Rule{
		ID: "input.swapped", Title: "Longitude and latitude in the right order", Severity: planner.Warn,
		Why:     "GeoJSON writes longitude first. A plan written the other way round lies in another part of the world, with other sizes and another sun.",
		Sources: []planner.Source{{Text: "RFC 7946 (IETF 2016), section 3.1.1: longitude, then latitude", Confidence: planner.Published}},
		Run: func(p *Pass) {
			p.faults(planner.Source{Text: "RFC 7946 (IETF 2016), section 3.1.1", Confidence: planner.Published})
		},
	}
}
