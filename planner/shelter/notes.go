package shelter

import (
	"fmt"

	"quickthorn/planner"
)

// A Note is what the field does not hold, in words.
type Note struct {
	Feature *planner.Feature // nil where it is said of all
	Text    string
	Source  planner.Source
}

// openBase is the least height of bare stems that is spoken of.
const openBase = 0.5

// Notes are what the figures leave out and what a reader should know: faster wind round ends and through gaps, air under bare stems.
func Notes(barriers []Barrier) []Note {
	var out []Note
	if len(barriers) > 0 {
		out = append(out,
			Note{Text: "Near the ends of a windbreak the wind can be up to 20 % faster than in the open. The figures do not hold this.",
				Source: planner.Source{Text: "Reid and Bird 1990, as quoted by Farm Forest Line", Confidence: planner.Published}},
			Note{Text: "Wind is drawn together in gaps and is faster there than in the open; take 20 %, as at ends. The figures only leave the shelter out.",
				Source: planner.Source{Text: "faster in gaps: Brandle and Finch, How Windbreaks Work, EC1763; the 20 % by likeness with ends", Confidence: planner.Derived}})
	}
	out = append(out, Note{Text: "Orchards, groves, single trees and fences do not count as shelter, and the ground counts as level.",
		Source: planner.Source{Text: "no published function for them is known to us", Confidence: planner.Derived}})
	last := (*planner.Feature)(nil)
	for i := range barriers {
		b := &barriers[i]
		least := -1.0
		for k := range b.Rows {
			if r := &b.Rows[k]; least < 0 || r.BaseM < least {
				least = r.BaseM
			}
		}
		if least < openBase || b.Feature == last {
			continue
		}
		last = b.Feature
		out = append(out, Note{Feature: b.Feature,
			Text:   fmt.Sprintf("%s is open for %.1f m above the ground: the wind under it can be faster than in the open. A row of shrubs closes it.", b.Feature.Label(), least),
			Source: planner.Source{Text: "MIL-HDBK-1011/2, section 4.3.2.4", Confidence: planner.Published}})
	}
	return out
}
