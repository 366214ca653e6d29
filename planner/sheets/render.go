package sheets

import (
	"fmt"
	"maps"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/planner/paper"
)

// A renderer makes the pages of one drawing.
type renderer struct {
	in      Input
	opt     Options
	fit     *fit
	numbers []int

	// What the sheets could not hold and the notes repeat.
	rest   []sample
	short  []nameEntry
	absent []string
	hidden []int
}

func (r *renderer) page(title string) *paper.Page {
	w, h := r.fit.page()
	return &paper.Page{Width: w, Height: h, Title: title}
}

// panel draws the outline of the panel and gives the column in it.
func (r *renderer) panel(p *paper.Page) *column {
	b := r.fit.panelBox()
	p.Put(b.Path(paper.Pen{Width: 0.35, Grey: paper.Black}, paper.Fill{}))
	inner := b.Inset(3)
	size := 2.5
	if r.fit.size.Name == "A4" {
		size = 2.3
	}
	return &column{box: inner, y: inner.Y - 0.5, size: size}
}

// middle is the middle of what is drawn.
func (r *renderer) middle() orb.Point {
	b := r.fit.box
	return orb.Point{(b.Min[0] + b.Max[0]) / 2, (b.Min[1] + b.Max[1]) / 2}
}

// single is the one sheet that holds the whole plan.
func (r *renderer) single() *paper.Page {
	p := r.page(titleOf(r.in))
	v := centred(r.fit.mapBox(), r.fit.scale, r.middle())
	s := sketchOf(r.in, v)
	s.putFindings(r.numbers)
	s.putNames()
	p.Put(s.items()...)
	p.Put(frameOf(v, r.fit.scale)...)
	c := r.panel(p)
	r.head(c, r.fit.scale, "")
	r.foot(c, v)
	r.explain(c, s)
	r.keep(s)
	r.fillCautions(c)
	p.Put(c.out...)
	return p
}

// explain writes the legend.
func (r *renderer) explain(c *column, s *sketch) {
	r.rest = c.legend(s.used)
	if s.used[signTree] || s.used[signConifer] || s.used[signFruit] || s.used[signBush] || s.used["tree-old"] {
		if r.in.Crown != nil {
			c.para(crownText(r.opt.Year), paper.Regular, 2.1)
		}
		if s.thinned {
			c.para("In close rows one sign stands for several plants.", paper.Regular, 2.1)
		}
	}
	c.para("Ticks on the frame: every "+length(barMetres(r.fit.scale, 25))+".", paper.Regular, 2.1)
	for _, n := range s.labels.short {
		if !c.para(n.Shown+": "+n.Full, paper.Regular, 2.1) {
			break
		}
	}
}

// keep remembers what a sheet could not hold.
func (r *renderer) keep(s *sketch) {
	r.short = append(r.short, s.labels.short...)
	r.absent = append(r.absent, s.labels.absent...)
	r.hidden = append(r.hidden, s.labels.hidden...)
}

// fillCautions writes cautions as long as there is room; the notes have all of them.
func (r *renderer) fillCautions(c *column) {
	all := cautions(r.in)
	c.y += 1
	for i, t := range all {
		more := fmt.Sprintf("%d more cautions stand in the notes.", len(all)-i)
		if i == len(all)-1 {
			more = "1 more caution stands in the notes."
		}
		room := c.box.H
		if i < len(all)-1 {
			c.box.H -= 3.5 * 2 // the last line says that there are more
		}
		ok := c.para("! "+t, paper.Regular, 2.1)
		c.box.H = room
		if !ok {
			c.para(more, paper.Bold, 2.1)
			return
		}
		c.y += 0.6
	}
}

// key is the sheet that shows the whole plan with the tiles on it.
func (r *renderer) key() *paper.Page {
	p := r.page(titleOf(r.in) + ", key sheet")
	v := centred(r.fit.mapBox(), r.fit.keyScale, r.middle())
	s := sketchOf(r.in, v)
	var tiles []paper.Item
	for _, t := range r.fit.tiles {
		b := r.fit.bound(t)
		nw, se := v.at(orb.Point{b.Min[0], b.Max[1]}), v.at(orb.Point{b.Max[0], b.Min[1]})
		box := paper.Box{X: nw.X, Y: nw.Y, W: se.X - nw.X, H: se.Y - nw.Y}
		n := strconv.Itoa(t.number)
		size := min(6, max(2.2, box.H/4))
		at := box.Middle()
		text := paper.Text{At: paper.Point{X: at.X, Y: at.Y + size*0.36}, S: n, Size: size, Face: paper.Bold, Anchor: paper.Middle, Halo: 0.7}
		w := paper.Width(n, paper.Bold, size)
		s.labels.taken = append(s.labels.taken, paper.Box{X: at.X - w/2 - 0.5, Y: at.Y - size/2 - 0.5, W: w + 1, H: size + 1}.Corners(at, 0))
		tiles = append(tiles, paper.Group{Class: "tile", ID: n, Items: []paper.Item{box.Path(dashed(paper.Pen{Width: 0.35, Grey: paper.Black}, 3, 1), paper.Fill{}), text}})
	}
	s.putNames()
	s.top = append(s.top, tiles...)
	p.Put(s.items()...)
	p.Put(frameOf(v, r.fit.keyScale)...)
	c := r.panel(p)
	r.head(c, r.fit.keyScale, ", key to sheets 1 to "+strconv.Itoa(len(r.fit.tiles)))
	r.foot(c, v)
	c.para(fmt.Sprintf("The sheets are at %s and overlap by %g mm. Findings are on them.", ratio(r.fit.scale), overlap), paper.Regular, 2.3)
	c.y++
	// The legend holds the signs of all sheets; those of the findings are in use on them.
	used := maps.Clone(s.used)
	for _, f := range r.in.Findings {
		if f.Accepted == nil && f.HasAt {
			used[string(f.Severity)] = true
		}
	}
	s.used = used
	r.explain(c, s)
	r.fillCautions(c)
	p.Put(c.out...)
	return p
}

// tilePages are the sheets of a tiled drawing.
func (r *renderer) tilePages() []*paper.Page {
	var out []*paper.Page
	for _, t := range r.fit.tiles {
		n := strconv.Itoa(t.number)
		p := r.page(titleOf(r.in) + ", sheet " + n)
		v := viewOf(r.fit.mapBox(), r.fit.scale, t.west, t.north)
		s := sketchOf(r.in, v)
		s.putFindings(r.numbers)
		s.putNames()
		p.Put(s.items()...)
		p.Put(frameOf(v, r.fit.scale)...)
		c := r.panel(p)
		r.head(c, r.fit.scale, fmt.Sprintf(", sheet %s of %d", n, len(r.fit.tiles)))
		r.foot(c, v)
		r.neighbours(c, t)
		r.explain(c, s)
		r.short = append(r.short, s.labels.short...)
		r.hidden = append(r.hidden, s.labels.hidden...)
		p.Put(c.out...)
		out = append(out, p)
	}
	return out
}

// neighbours says which sheets join this one.
func (r *renderer) neighbours(c *column, t tile) {
	var say []string
	for _, d := range []struct {
		word     string
		row, col int
	}{{"north", -1, 0}, {"east", 0, 1}, {"south", 1, 0}, {"west", 0, -1}} {
		for _, o := range r.fit.tiles {
			if o.row == t.row+d.row && o.col == t.col+d.col {
				say = append(say, fmt.Sprintf("%s: sheet %d", d.word, o.number))
			}
		}
	}
	if len(say) > 0 {
		c.para("Joins on the "+strings.Join(say, "; ")+".", paper.Regular, 2.3)
		c.y++
	}
}
