// Package planner holds the nouns of a holding's plan: the plan itself, its features and their kinds, edits, findings
// and sources. It reads and writes the plan file; it computes nothing about plants.
//
// Everything metric is in metres of the plan's frame (x east, y north), bearings are degrees clockwise from true north,
// chainages run along a line from its drawn start, offsets are positive to the left of the direction of drawing.
package planner

import (
	"sort"

	"quickthorn/geo"
)

// A Plan is one holding as drawn. It is never changed in place; Apply returns the next one. Positions, findings, lists and
// the rest are worked out from it and never stored.
type Plan struct {
	Holding  Holding
	Frame    geo.Frame
	Features []*Feature // ordered by id, compared as text
	Faults   []Fault    // what reading found wrong, ordered by feature

	byID map[string]*Feature
	doc  *document // what the file held besides, for writing it back
}

// New makes a plan in code from features whose geometry is already in metres of frame.
func New(holding Holding, frame geo.Frame, features ...*Feature) *Plan {
	p := &Plan{Holding: holding, Frame: frame, Features: append([]*Feature(nil), features...)}
	p.index()
	return p
}

// index sorts the features by id and makes the look-up by id.
func (p *Plan) index() {
	sort.SliceStable(p.Features, func(i, j int) bool { return p.Features[i].ID < p.Features[j].ID })
	p.byID = make(map[string]*Feature, len(p.Features))
	for _, f := range p.Features {
		if _, taken := p.byID[f.ID]; !taken {
			p.byID[f.ID] = f
		}
	}
}

// Feature is the feature with that id, or nil.
func (p *Plan) Feature(id string) *Feature { return p.byID[id] }

// Of lists the sound features of the kinds, ordered by id.
func (p *Plan) Of(kinds ...Kind) []*Feature {
	var out []*Feature
	for _, f := range p.Features {
		if !f.Sound {
			continue
		}
		for _, k := range kinds {
			if f.Kind == k {
				out = append(out, f)
				break
			}
		}
	}
	return out
}
