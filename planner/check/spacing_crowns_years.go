package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/setout"
)

// lateYear is the year after which crowns that meet are only a note.
const lateYear = 20

// touching is when the two worst crowns touch: the years in which half of their widths together come to their distance, by the
// wider, the middle and the narrower of what is known of their growth. A hedge is as wide as it is kept from the start. False where
// the growth of one of them is not known.
func (c *crowns) touching(m *meeting) (planner.Years, bool) {
	out, known := planner.Years{From: planner.Never, Mid: planner.Never, To: planner.Never}, false
	for year := 0; year <= growth.LastYear; year++ {
		x := c.widthIn(m.x, year)
		y := growth.Span{Low: m.hedgeWid, Mid: m.hedgeWid, High: m.hedgeWid, Known: true}
		if m.y != nil {
			y = c.widthIn(m.y, year)
		}
		if !x.Known || !y.Known {
			continue // one is not planted yet
		}
		known = true
		meets := func(v, w float64) bool { return (v+w)/2*c.share >= m.dist-planner.Tolerance }
		for _, at := range []struct {
			year *int
			met  bool
		}{{&out.From, meets(x.High, y.High)}, {&out.Mid, meets(x.Mid, y.Mid)}, {&out.To, meets(x.Low, y.Low)}} {
			if at.met && *at.year == planner.Never {
				*at.year = year
			}
		}
	}
	return out, known
}

// widthIn is how wide a crown is in a year. A width that the plan states of a tree still to be planted is that when grown.
func (c *crowns) widthIn(p *setout.Plant, year int) growth.Span {
	w := c.Stand.Plant(p, year).Spread
	d, ok := p.Feature.Detail.(*planner.Plant)
	if grown := c.Shared.grownSpread(c.Catalogue, p); ok && p.Listed && d.SpreadM > 0 && grown.Known && grown.V > 0 {
		share := d.SpreadM / grown.V
		w.Low, w.Mid, w.High = w.Low*share, w.Mid*share, w.High*share
	}
	return w
}

// touchText says when crowns touch.
func touchText(y planner.Years) string {
	switch {
	case y.From == planner.Never:
		return fmt.Sprintf("They do not touch within %d years.", growth.LastYear)
	case y.To == 0:
		return "They touch from the start."
	}
	say := "They touch in " + y.String()
	switch {
	case y.Mid == planner.Never:
		say += fmt.Sprintf(", most likely after year %d", growth.LastYear)
	case y.From != y.To:
		say += fmt.Sprintf(", most likely in year %d", y.Mid)
	}
	return say + "."
}
