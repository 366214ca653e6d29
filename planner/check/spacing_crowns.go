package check

import (
	"fmt"
	"sort"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func crownsMeet() *Rule {
	return &Rule{
		ID: "spacing.crowns-meet", Title: "Crowns of neighbours have room when grown", Severity: planner.Warn,
		Why: "Two crowns of one layer that meet shade each other out and have to be cut back for ever. The distance is held against the mean of the two grown widths, " +
			"and the years in which they touch are told as a range; where that is likely only after year 20 it is a note. " +
			"between features and single plants, trees with trees and shrubs with shrubs. A hedge is a body as wide as it is kept, and counts among the shrubs; a windbreak is " +
			"as wide as its plants grow. Hedges may meet one another. At least one of the two is still to be planted; what stands already counts as a neighbour.",
		Limits: []string{"mean_spreads_least"},
		Run: func(p *Pass) {
			if l, ok := p.Limit("mean_spreads_least"); ok {
				c := newCrowns(p, l)
				c.pairs(c.nearOthers())
				c.besideHedges()
				c.report()
				c.unknownSpreads()
			}
		},
	}
}

// crowns finds crowns that meet.
type crowns struct {
	*Pass
	share  float64 // of the mean of the two widths
	limit  rules.Limit
	spread []species.Num // by sort
	layer  []species.Layer
	at     []orb.Point // of the crowns looked at
	which  []int       // plant of each
	width  []float64
	found  map[[2]*planner.Feature]*meeting
	order  []*meeting
}

// A meeting is all that is said of two features whose crowns meet.
type meeting struct {
	a, b     *planner.Feature
	count    int
	places   []orb.Point
	x        *setout.Plant
	y        *setout.Plant // nil where b is a hedge's body
	over     float64       // by how much the worst two meet
	dist     float64
	need     float64
	wx, wy   species.Num
	hedgeWid float64
}

// newCrowns takes the plants whose crowns are looked at: all but those of hedges, which are bodies.
func newCrowns(p *Pass, l rules.Limit) *crowns {
	s := p.Shared
	c := &crowns{Pass: p, share: l.Value, limit: l, found: map[[2]*planner.Feature]*meeting{},
		spread: perSort(s, func(x *setout.Plant) species.Num { return s.grownSpread(p.Catalogue, x) }),
		layer:  perSort(s, s.layerOf)}
	for i, x := range s.Plants {
		if x.Use == setout.UseHedge || x.Use == setout.UseFill {
			continue
		}
		w := ownSpread(x, c.spread[s.sortOf[i]])
		if w.Known && w.V > 0 {
			c.at, c.which, c.width = append(c.at, x.At), append(c.which, i), append(c.width, w.V)
		}
	}
	return c
}

// crownClasses bounds the number of grids: crowns below 2^-9 of the widest share one.
const crownClasses = 10

// mostCrownLooks bounds the work where a broken file puts thousands of wide crowns on one spot.
const mostCrownLooks = 100_000_000

// pairs finds crowns of two features that meet. Crowns are put into one grid for each class of widths, each class half as wide as
// the one before, and compared with their own class and the wider ones, so that one wide crown costs the narrow ones nothing.
func (c *crowns) pairs(near []int) {
	widest := 0.0
	for _, n := range near {
		widest = max(widest, c.width[n])
	}
	var member [crownClasses][]int
	for _, n := range near {
		k, w := 0, c.width[n]
		for top := widest / 2; k < crownClasses-1 && w <= top; top /= 2 {
			k++
		}
		member[k] = append(member[k], n)
	}
	looks := 0
	top := widest
	for k := range member {
		if len(member[k]) > 0 {
			looks = c.pairsWith(member[:], k, top, looks)
		}
		top /= 2
	}
	if looks > mostCrownLooks {
		c.Report(planner.Finding{Severity: planner.Warn, Place: "more", Source: c.limit.Source,
			Message: "So many crowns lie over one another that the rest were not looked at. Take out what is drawn twice, and check again."})
	}
}

// nearOthers are the crowns that lie so near to the box round another feature's crowns that they might meet one of them. Most trees of
// a block stand deep inside it and need not be looked at.
func (c *crowns) nearOthers() []int {
	type group struct {
		box   orb.Bound
		width float64
	}
	var groups []group
	of := make([]int, len(c.at))
	var last *planner.Feature
	widest := 0.0
	for n, k := range c.which {
		if f := c.Shared.Plants[k].Feature; f != last {
			last = f
			groups = append(groups, group{box: c.at[n].Bound()})
		}
		g := &groups[len(groups)-1]
		g.box, g.width = g.box.Extend(c.at[n]), max(g.width, c.width[n])
		of[n], widest = len(groups)-1, max(widest, c.width[n])
	}
	boxes, tags := make([]orb.Bound, len(groups)), make([]int, len(groups))
	for i, g := range groups {
		boxes[i], tags[i] = g.box.Pad((g.width+widest)/2*c.share), i
	}
	grid := newBoxGrid(boxes, tags)
	var out []int
	for n, p := range c.at {
		other := false
		grid.at(p, func(tag int) { other = other || tag != of[n] })
		if other {
			out = append(out, n)
		}
	}
	return out
}

// pairsWith compares every crown as narrow as class k or narrower with those of class k, whose widest is top.
func (c *crowns) pairsWith(member [][]int, k int, top float64, looks int) int {
	at := make([]orb.Point, len(member[k]))
	for n, m := range member[k] {
		at[n] = c.at[m]
	}
	grid := geo.NewPoints(at, top*c.share)
	for narrow := k; narrow < len(member); narrow++ {
		for _, i := range member[narrow] {
			if looks > mostCrownLooks {
				return looks
			}
			grid.Within(c.at[i], (c.width[i]+top)/2*c.share, func(n int, d float64) bool {
				looks++
				if j := member[k][n]; narrow != k || j > i {
					c.pair(i, j, d)
				}
				return looks <= mostCrownLooks
			})
		}
	}
	return looks
}

// pair holds two crowns against one another, the one of the lower feature id first.
func (c *crowns) pair(i, j int, d float64) {
	if i > j {
		i, j = j, i
	}
	a, b := c.which[i], c.which[j]
	x, y := c.Shared.Plants[a], c.Shared.Plants[b]
	need := (c.width[i] + c.width[j]) / 2 * c.share
	if need-d <= planner.Tolerance || x.Feature == y.Feature || !x.Listed && !y.Listed ||
		c.layer[c.Shared.sortOf[a]] != c.layer[c.Shared.sortOf[b]] {
		return
	}
	c.meet(x, y, d, need, func(m *meeting) {
		m.wx, m.wy = ownSpread(x, c.spread[c.Shared.sortOf[a]]), ownSpread(y, c.spread[c.Shared.sortOf[b]])
	})
}

// meetingOf is the meeting of two features, nil where there are more than could ever be reported.
func (c *crowns) meetingOf(a, b *planner.Feature) *meeting {
	k := [2]*planner.Feature{a, b}
	m := c.found[k]
	if m == nil && len(c.order) < mostTallies {
		m = &meeting{a: a, b: b}
		c.found[k] = m
		c.order = append(c.order, m)
	}
	return m
}

// meet counts two crowns that meet; worst is called where they meet by more than any before.
func (c *crowns) meet(x, y *setout.Plant, d, need float64, worst func(*meeting)) {
	m := c.meetingOf(x.Feature, y.Feature)
	if m == nil {
		return
	}
	m.count++
	over := need - d
	if m.x == nil || over > m.over+1e-9 || over > m.over-1e-9 && x.ID()+y.ID() < m.x.ID()+m.y.ID() {
		m.x, m.y, m.over, m.dist, m.need = x, y, over, d, need
		worst(m)
	}
	m.places = append(m.places, x.At)
	if len(m.places) > 4*MostPlaces {
		m.places = firstPlaces(m.places)
	}
}

// firstPlaces keeps the places that come first from west to east, whatever the order in which they were found.
func firstPlaces(list []orb.Point) []orb.Point {
	sort.Slice(list, func(i, j int) bool {
		return list[i][0] < list[j][0] || list[i][0] == list[j][0] && list[i][1] < list[j][1]
	})
	out := list[:0]
	for i, p := range list {
		if i == 0 || p != list[i-1] {
			out = append(out, p)
		}
	}
	return out[:min(len(out), MostPlaces)]
}

// besideHedges finds shrubs whose crowns reach into a hedge as wide as it is kept.
func (c *crowns) besideHedges() {
	var hedges []*planner.Feature
	var half []float64
	widest := 0.0
	for _, l := range c.Out.Layouts {
		d, ok := l.Feature.Detail.(*planner.Hedge)
		if !ok || l.Line == nil || l.Feature.Wrong("width_m") || d.WidthM <= 0 {
			continue
		}
		hedges, half = append(hedges, l.Feature), append(half, d.WidthM/2)
		widest = max(widest, d.WidthM/2)
	}
	if len(hedges) == 0 {
		return
	}
	bodies := newObstacles(hedges)
	for n, k := range c.which {
		x := c.Shared.Plants[k]
		if c.layer[c.Shared.sortOf[k]] != species.ShrubLayer || x.Feature.Kind == planner.KindHedge {
			continue
		}
		own := c.width[n] / 2 * c.share
		bodies.Near(x.At, own+widest*c.share, func(b int, near Nearness) {
			h := hedges[b]
			need := own + half[b]*c.share
			if need-near.DistM <= planner.Tolerance || !x.Listed && !h.IsPlanned() {
				return
			}
			c.intoHedge(x, h, near.DistM, need, 2*half[b], ownSpread(x, c.spread[c.Shared.sortOf[k]]))
		})
	}
}

func (c *crowns) intoHedge(x *setout.Plant, h *planner.Feature, d, need, width float64, w species.Num) {
	m := c.meetingOf(x.Feature, h)
	if m == nil {
		return
	}
	m.count++
	m.places = append(m.places, x.At)
	if len(m.places) > 4*MostPlaces {
		m.places = firstPlaces(m.places)
	}
	if over := need - d; m.x == nil || over > m.over+1e-9 {
		m.x, m.over, m.dist, m.need, m.wx, m.hedgeWid = x, over, d, need, w, width
	}
}

func (c *crowns) report() {
	sort.SliceStable(c.order, func(i, j int) bool {
		a, b := c.order[i], c.order[j]
		return a.a.ID < b.a.ID || a.a.ID == b.a.ID && a.b.ID < b.b.ID
	})
	for _, m := range c.order {
		f := planner.Finding{Severity: planner.Warn, Features: []string{m.a.ID, m.b.ID}, At: m.x.At, HasAt: true, Count: m.count,
			Measured: planner.Figure(m.dist), Limit: planner.Figure(m.need), Unit: "m", Worse: "less", Source: m.wx.Source, Message: m.message()}
		if m.y != nil && m.wy.Source.Confidence.Weaker(m.wx.Source.Confidence) {
			f.Source = m.wy.Source
		}
		if m.count > 1 {
			f.Places = firstPlaces(m.places)
		}
		if years, ok := c.touching(m); ok {
			f.Years = &years
			if years.Mid > lateYear {
				f.Severity = planner.Note
			}
			f.Message += " " + touchText(years)
		}
		c.Report(f)
	}
}

func (m *meeting) message() string {
	if m.y == nil {
		return fmt.Sprintf("%s%s of %s will grow %s into %s, which is kept %s wide: it stands %s from the middle of the hedge and needs %s, half of its grown width of %s and half of the hedge's. Plant it further out, or keep the hedge narrower.",
			upperFirst(plantName(m.x)), spaced(whereIs(m.x)), quoted(m.a), metres(m.over), quoted(m.b), exactly(m.hedgeWid), metresBeside(m.dist, m.need), exactly(m.need), exactly(m.wx.V))
	}
	say := fmt.Sprintf("The crowns of %s (%s%s) and %s (%s%s) will overlap by %s when grown: they stand %s apart and need %s, the mean of their grown widths of %s and %s.",
		quoted(m.a), plantName(m.x), spaced(whereIs(m.x)), quoted(m.b), plantName(m.y), spaced(whereIs(m.y)), metres(m.over),
		metresBeside(m.dist, m.need), exactly(m.need), exactly(m.wx.V), exactly(m.wy.V))
	if m.count > 1 {
		say += fmt.Sprintf(" That is the worst of %d pairs.", m.count)
	}
	return say + " Plant them further apart, or choose a narrower kind."
}

func spaced(s string) string {
	if s == "" {
		return ""
	}
	return " " + s
}

// unknownSpreads says of which planned plants the grown width is not known.
func (c *crowns) unknownSpreads() {
	for _, sp := range c.Shared.spans {
		if sp.feature.Kind == planner.KindHedge {
			continue
		}
		names, n := map[string]bool{}, 0
		for i := sp.lo; i < sp.hi; i++ {
			x := c.Shared.Plants[i]
			if x.Listed && len(c.Shared.May(x)) > 0 && !ownSpread(x, c.spread[c.Shared.sortOf[i]]).Known {
				names[plantName(x)] = true
				n++
			}
		}
		if n == 0 {
			continue
		}
		c.Report(pointTo(planner.Finding{Severity: planner.Note, Features: []string{sp.feature.ID}, Place: "unknown", Count: n,
			Message: fmt.Sprintf("How wide %s grows is not known, so whether the crowns of %s in %s meet others was not looked at.", listWords(sortedNames(names), "and"), countOf(n, "plant"), quoted(sp.feature)),
			Source:  planner.Source{Text: "the catalogue has no grown width for it", Confidence: planner.Derived}}, sp.feature))
	}
}

func sortedNames(set map[string]bool) []string {
	var out []string
	for s := range set {
		out = append(out, s)
	}
	sort.Strings(out)
	return out
}
