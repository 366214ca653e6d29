package sheets

import (
	"fmt"
	"strconv"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/paper"
)

// notes are the pages behind the drawing: findings by number, names in full, cautions, and what found no room. first is how many pages
// stand before them.
func (r *renderer) notes(first int) []*paper.Page {
	w, _ := r.fit.page()
	f := paper.NewFlow(r.fit.size, r.fit.landscape, int((w-20)/95), 2.7, titleOf(r.in))
	f.Foot = r.opt.Date
	f.Head("Notes to the drawing")
	r.noteFindings(f)
	r.noteNames(f)
	if len(r.rest) > 0 {
		f.Heading("More signs")
		for _, s := range r.rest {
			f.Item(14, func(at paper.Point) []paper.Item {
				return s.draw(paper.Box{X: at.X - 5.5, Y: at.Y - 1.8, W: 11, H: 3.6})
			}, s.say, "")
			f.Space(1.5)
		}
	}
	f.Heading("Cautions")
	f.Bullet(generalCaution)
	for _, c := range cautions(r.in) {
		f.Bullet(c)
	}
	return f.Pages(first, 0)
}

func (r *renderer) noteFindings(f *paper.Flow) {
	open, accepted := 0, 0
	for _, x := range r.in.Findings {
		if x.Accepted != nil {
			accepted++
		} else {
			open++
		}
	}
	f.Heading("Findings")
	if open == 0 {
		f.Para("Nothing to mend or to look at again.")
	}
	for i, x := range r.in.Findings {
		if x.Accepted != nil {
			continue
		}
		small := "Source: " + x.Source.Text
		if x.Source.Text == "" {
			small = ""
		} else if c := x.Source.Confidence; c != planner.Published && c != "" && string(c) != x.Source.Text {
			small += " (" + string(c) + ")"
		}
		n := strconv.Itoa(r.numbers[i])
		f.Item(8, func(at paper.Point) []paper.Item {
			return findingSign(x.Severity, paper.Point{X: at.X, Y: at.Y + 0.4}, n)
		}, x.Message, small)
	}
	if len(r.hidden) > 0 {
		var n []string
		for _, h := range r.hidden {
			n = append(n, strconv.Itoa(h))
		}
		f.Para("Not marked on the drawing for want of room: " + strings.Join(n, ", ") + ".")
	}
	if accepted > 0 {
		f.Heading("Accepted by you")
		for _, x := range r.in.Findings {
			if x.Accepted != nil {
				f.Item(4, nil, x.Message, "Because: "+x.Accepted.Reason)
			}
		}
	}
}

func (r *renderer) noteNames(f *paper.Flow) {
	if len(r.short) == 0 && len(r.absent) == 0 {
		return
	}
	f.Heading("Names in full")
	said := map[string]bool{}
	for _, n := range r.short {
		if line := fmt.Sprintf("%s: %s", n.Shown, n.Full); !said[line] {
			said[line] = true
			f.Bullet(line)
		}
	}
	for _, n := range r.absent {
		f.Bullet(n + " (not written on the drawing for want of room)")
	}
}
