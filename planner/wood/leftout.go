package wood

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quickthorn/planner"
)

// toCut reports whether a feature is to be cut for wood, and the winters that the plan pins for it.
func toCut(f *planner.Feature) (cut bool, pins []planner.Cut) {
	switch h := f.Detail.(type) {
	case *planner.Hedge:
		return h.Manage == Coppice || h.Manage == Lay, h.CutIn
	case *planner.Block:
		return f.Kind == planner.KindGrove && h.Manage == Coppice, h.CutIn
	}
	return false, nil
}

// leftOut names the hedges and groves that are to be cut for wood but have no section: until what the plan says of them is mended,
// or for good where no metre of them is hedge.
func (in *Input) leftOut(list []Section) []string {
	var out []string
	for _, f := range in.Plan.Features {
		if cut, _ := toCut(f); !cut {
			continue
		}
		if usable(f) {
			if !slices.ContainsFunc(list, func(s Section) bool { return s.Feature == f }) {
				out = append(out, in.noSection(f))
			}
			continue
		}
		var wrong []string
		for _, name := range needed {
			if f.Wrong(name) {
				wrong = append(wrong, name)
			}
		}
		if len(wrong) == 0 {
			wrong = []string{"its shape"}
		}
		out = append(out, fmt.Sprintf("%s is left out until this is mended: %s", f.Label(), strings.Join(wrong, ", ")))
	}
	return out
}

// noSection says why a feature that can be used has no section.
func (in *Input) noSection(f *planner.Feature) string {
	if l := in.Out.Of(f.ID); f.Kind == planner.KindHedge && l != nil && l.Line != nil && l.Line.LengthM > 0 {
		return f.Label() + " is left out: openings take up the whole of it"
	}
	return f.Label() + " is left out: it could not be set out, and the check says what to mend"
}

// pinNotes tells of pinned winters that no section takes up: those of a hedge that is not cut for wood, and those for so little of
// it that no section is half covered.
func (in *Input) pinNotes(list []Section) []string {
	var out []string
	for _, f := range in.Plan.Features {
		cut, pins := toCut(f)
		if len(pins) == 0 || !usable(f) {
			continue
		}
		if !cut {
			out = append(out, f.Label()+" has winters to be cut in (cut_in), but it is not managed by coppicing or laying, so it is not in the rota: set manage first.")
			continue
		}
		for _, c := range pins {
			some, taken := false, false
			for i := range list {
				if list[i].Feature == f {
					some, taken = true, taken || list[i].pinnedBy(c)
				}
			}
			if some && !taken {
				out = append(out, fmt.Sprintf("%s is to be cut in %d from %g m%s, which is not half of any section, so that is not kept: pin a whole section.", f.Label(), c.Winter, c.FromM, toWords(c)))
			}
		}
	}
	return out
}

func toWords(c planner.Cut) string {
	if c.ToM == 0 {
		return " to the end"
	}
	return fmt.Sprintf(" to %g m", c.ToM)
}

// overlap is how many metres of a section a pinned or forbidden stretch covers.
func (s *Section) overlap(c planner.Cut) float64 {
	to := c.ToM
	if to == 0 {
		to = math.Inf(1)
		if s.round > 0 {
			to = s.round
		}
	}
	sum := math.Max(0, math.Min(to, s.ToM)-math.Max(c.FromM, s.FromM))
	if s.round > 0 {
		sum += math.Max(0, math.Min(to+s.round, s.ToM)-math.Max(c.FromM+s.round, s.FromM))
	}
	return sum
}

// pinnedBy reports whether a stretch covers at least half of a section.
func (s *Section) pinnedBy(c planner.Cut) bool {
	o := s.overlap(c)
	return o > 0 && o >= (s.ToM-s.FromM)/2-planner.Tolerance
}
