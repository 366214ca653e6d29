package wood

import (
	"math"
	"slices"

	"quickthorn/geo"
)

// join finds the neighbours of every section: those that touch it (within 0.5 m) and, across an opening that the rule set still
// counts within one hedge, those it is joined to. Cost: proportional to the corners, through an index.
func (d *sectioner) join(list []Section) {
	var segs []geo.Segment
	for i := range list {
		segs = append(segs, list[i].segments(i)...)
	}
	index := geo.NewSegments(segs)
	for _, g := range segs {
		index.Crossing(g.A, g.B, func(k int) {
			if segs[k].Tag != g.Tag && apart(g, segs[k]) <= touchM {
				link(list, g.Tag, segs[k].Tag)
			}
		})
		for _, p := range [][2]float64{g.A, g.B} {
			index.Within(p, touchM, func(k int, _ float64) bool {
				if segs[k].Tag != g.Tag {
					link(list, g.Tag, segs[k].Tag)
				}
				return true
			})
		}
	}
	reach := 20.0
	if d.Set != nil {
		if l, ok := d.Set.Get("hedge.split", "gap_m"); ok {
			reach = l.Value
		}
	}
	d.across(list, reach)
	for i := range list {
		slices.Sort(list[i].neighbours)
	}
}

// link makes two sections neighbours.
func link(list []Section, a, b int) {
	if a == b || slices.Contains(list[a].neighbours, b) {
		return
	}
	list[a].neighbours = append(list[a].neighbours, b)
	list[b].neighbours = append(list[b].neighbours, a)
}

// across joins sections that only an opening of at most reach metres parts: in one hedge, at the ends of a closed one, and from one
// hedge into another that faces it.
func (d *sectioner) across(list []Section, reach float64) {
	byFeature := map[string][]int{}
	for i := range list {
		if list[i].Hedge() {
			byFeature[list[i].Feature.ID] = append(byFeature[list[i].Feature.ID], i)
		}
	}
	for i := 1; i < len(list); i++ {
		if list[i].Hedge() && list[i].Feature == list[i-1].Feature && list[i].FromM-list[i-1].ToM <= reach+slackM {
			link(list, i-1, i)
		}
	}
	for i := range list {
		of := byFeature[list[i].Feature.ID]
		if len(of) == 0 || i != of[0] {
			continue
		}
		l := d.Out.Of(list[i].Feature.ID).Line
		if last := of[len(of)-1]; l.Closed && last != i && geo.NewChain(l.Path).Length()-l.Runs[len(l.Runs)-1].ToM+l.Runs[0].FromM <= reach+slackM {
			link(list, i, last)
		}
		for _, id := range l.Continues {
			nearest(list, of, byFeature[id], reach)
		}
	}
}

// nearest links the two sections of two hedges whose ends lie nearest, within reach.
func nearest(list []Section, a, b []int, reach float64) {
	best, bi, bk := reach+slackM, -1, -1
	for _, i := range a {
		for _, k := range b {
			p, q := list[i].Path, list[k].Path
			if len(p) == 0 || len(q) == 0 {
				continue
			}
			d := math.Min(math.Min(geo.Dist(p[0], q[0]), geo.Dist(p[0], q[len(q)-1])), math.Min(geo.Dist(p[len(p)-1], q[0]), geo.Dist(p[len(p)-1], q[len(q)-1])))
			if d < best {
				best, bi, bk = d, i, k
			}
		}
	}
	if bi >= 0 {
		link(list, bi, bk)
	}
}
