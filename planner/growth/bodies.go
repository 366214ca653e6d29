package growth

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// Bodies are the walls of leaves, boards and stone that stand in a year, by feature id, then row, then chainage: hedges and what
// fills their gaps, windbreaks, rows, screens until they are taken away, and walls with a stated height. Fences let wind and light
// through and are left out. What is still to be planted, or whose height is not known, is left out. A hedge that is cut in stretches
// has a body for each.
func (s *Stand) Bodies(year int) []Body {
	var out []Body
	for _, f := range s.byID() {
		if !f.Sound || f.Shape.Empty() {
			continue
		}
		switch d := f.Detail.(type) {
		case *planner.Hedge:
			out = append(out, s.hedgeBodies(f, year)...)
		case *planner.Windbreak:
			out = append(out, s.beltBodies(f, d, year)...)
		case *planner.Row:
			out = append(out, s.rowBodies(f, d, year)...)
		case *planner.Screen:
			out = append(out, s.screenBody(f, d, year)...)
		case *planner.Fence:
			if f.Kind == planner.KindWall && d.HeightM > 0 && f.Stated("height_m") {
				out = append(out, solid(f, d.HeightM, 1))
			}
		}
	}
	return out
}

func stands(size Size) bool { return size.Height.Known && size.Height.Mid > 0 }

func (s *Stand) hedgeBodies(f *planner.Feature, year int) []Body {
	h := s.hedges[f.ID]
	if h == nil {
		return nil
	}
	var out []Body
	for part := range h.lives {
		b := Body{Feature: f, Runs: h.runs(part), Size: h.size(s, part, year)}
		if stands(b.Size) && len(b.Runs) > 0 {
			s.hedgeDensity(&b, h, h.mix, &h.lives[part], year)
			out = append(out, b)
		}
	}
	b := Body{Feature: f, Size: h.fillSize(s, year)}
	for _, o := range h.line.Openings {
		if o.Action == setout.Fill && o.Plants > 0 {
			b.Runs = append(b.Runs, between(h.line, o))
		}
	}
	if stands(b.Size) && len(b.Runs) > 0 {
		s.hedgeDensity(&b, h, h.fillMix, &h.fill, year)
		out = append(out, b)
	}
	return out
}

// between is the line across an opening, straight where it lies beyond the drawn ends.
func between(l *setout.Line, o setout.Opening) orb.LineString {
	c := geo.NewChain(l.Path)
	if o.FromM >= -planner.Tolerance && o.ToM <= c.Length()+planner.Tolerance {
		if sub := c.Sub(math.Max(0, o.FromM), math.Min(c.Length(), o.ToM)); len(sub) > 1 {
			return sub
		}
	}
	return orb.LineString{o.A, o.B}
}

// runs are the stretches of a part of the hedge without its openings.
func (h *hedge) runs(part int) []orb.LineString {
	c := geo.NewChain(h.line.Path)
	from, to := 0.0, c.Length()
	if part > 0 {
		from = h.edges[part-1]
	}
	if part < len(h.edges) {
		to = h.edges[part]
	}
	return stretches(c, from, to, openSpans(h.line, c.Length()))
}

// openSpans are the openings of a line by chainage within 0 and its length; those that pass the start of a closed line come in two.
func openSpans(l *setout.Line, length float64) [][2]float64 {
	var out [][2]float64
	for _, o := range l.Openings {
		out = append(out, [2]float64{math.Max(0, o.FromM), math.Min(length, o.ToM)})
		if l.Closed && o.ToM > length {
			out = append(out, [2]float64{0, o.ToM - length})
		}
		if l.Closed && o.FromM < 0 {
			out = append(out, [2]float64{length + o.FromM, length})
		}
	}
	slices.SortFunc(out, func(a, b [2]float64) int {
		if a[0] < b[0] {
			return -1
		}
		return 1
	})
	return out
}

// stretches are the parts of a chain from one chainage to another that are not open.
func stretches(c geo.Chain, from, to float64, open [][2]float64) []orb.LineString {
	var out []orb.LineString
	at := from
	add := func(end float64) {
		if end = math.Min(end, to); end-at > planner.Tolerance {
			out = append(out, c.Sub(at, end))
		}
	}
	for _, o := range open {
		if o[1] <= o[0] {
			continue
		}
		add(o[0])
		at = math.Max(at, o[1])
	}
	add(to)
	return out
}

// hedgeDensity is the density of a hedge by its rows, one behind the other. Trees grown as a hedge are bushy and count as shrubs; a
// hedge of unstated species counts as deciduous shrubs (common practice). An existing one is closed.
func (s *Stand) hedgeDensity(b *Body, h *hedge, mix []share, l *life, year int) {
	parts := s.parts(mix, l, year)
	if len(parts) == 0 {
		parts = []Part{{Name: "a hedge of unstated species", Share: 1}}
	}
	spacing := 0.0
	if l.from == fromPlanting && h.line.PerMetre > 0 {
		spacing = float64(h.rows) / h.line.PerMetre
	}
	d := rowDensity(s.set, parts, spacing, func(sp *species.Species) RowClass {
		switch c := ClassOf(sp); {
		case sp == nil, c == TreeRow:
			return ShrubRow
		default:
			return c
		}
	})
	b.setDensity(s, d, h.rows)
	if len(mix) == 0 && b.DensityKnown {
		b.DensitySource = planner.Source{Text: "of no stated species: taken for deciduous shrubs; " + densitySource.Text, Confidence: planner.CommonPractice}
	}
}

func (b *Body) setDensity(s *Stand, d Density, rows int) {
	keeps, ok := BareKeeps(s.set)
	switch {
	case d.Unknown != "":
		b.DensityUnknown = d.Unknown
	case !ok:
		b.DensityUnknown = "how much of its density a bare belt keeps"
	default:
		b.DensityKnown, b.DensitySource = true, densitySource
		b.DensityLeafOn, b.DensityLeafOff = inLine(d.LeafOn, rows), inLine(d.Bare(keeps), rows)
	}
}

// parts are the species of a mix with the width of their crowns in a year.
func (s *Stand) parts(mix []share, l *life, year int) []Part {
	return s.partsAt(mix, l, year, func(w Span) float64 { return w.Mid })
}

func (s *Stand) partsAt(mix []share, l *life, year int, of func(Span) float64) []Part {
	var out []Part
	for _, m := range mix {
		_, w, _ := sizeOf(m.kind, l, year)
		p := Part{Name: m.name, Species: m.kind.species, Share: m.share}
		if w.Known {
			p.WidthM = of(w)
		}
		out = append(out, p)
	}
	return out
}

func (s *Stand) beltBodies(f *planner.Feature, d *planner.Windbreak, year int) []Body {
	l := s.out.Of(f.ID)
	if l == nil || l.Line == nil || f.Wrong("height_m", "planted", "status", "rows") {
		return nil
	}
	rows := l.Rows
	if len(rows) == 0 { // nobody says of what it is
		rows = []setout.RowLine{{Path: l.Line.Path}}
	}
	var out []Body
	for _, r := range rows {
		mix, life := s.beltRow(f, l, d, r.Row)
		if b := s.rowBody(f, l.Line, r, mix, &life, year); b != nil {
			if onlyTrees(s, d) {
				b.BaseM = OpenBase(b.Height.Mid)
			}
			out = append(out, *b)
		}
	}
	return out
}

// beltRow is what one row of a windbreak is made of, and how it comes to its age.
func (s *Stand) beltRow(f *planner.Feature, l *setout.Layout, d *planner.Windbreak, row int) ([]share, life) {
	var mix []share
	if row < len(d.Rows) {
		mix = s.shares(d.Rows[row].Mix)
	}
	life := s.life(f)
	life.stockM = rowStock(l, row)
	return mix, life
}

// onlyTrees tells a belt of nothing but deciduous trees, whose base is open: a fifth of its height and 2 m at most (common practice).
// Any other is feathered to the ground.
func onlyTrees(s *Stand, d *planner.Windbreak) bool {
	any := false
	for _, r := range d.Rows {
		for _, m := range r.Mix {
			if ClassOf(s.cat.Find(m.Species).Species) != TreeRow {
				return false
			}
			any = true
		}
	}
	return any
}

func (s *Stand) rowBodies(f *planner.Feature, d *planner.Row, year int) []Body {
	l := s.out.Of(f.ID)
	if l == nil || l.Line == nil || f.Wrong("height_m", "planted", "status") {
		return nil
	}
	one := setout.RowLine{Path: l.Line.Path}
	if len(l.Rows) > 0 {
		one = l.Rows[0]
	} else if stated(f) <= 0 { // what stands at a known height stands there whether it can be set out or not
		return nil
	}
	mix, life := s.rowOf(f, l, d)
	if b := s.rowBody(f, l.Line, one, mix, &life, year); b != nil {
		return []Body{*b}
	}
	return nil
}

// rowOf is what a row is made of, and how it comes to its age.
func (s *Stand) rowOf(f *planner.Feature, l *setout.Layout, d *planner.Row) ([]share, life) {
	mix := s.shares(d.Mix)
	if len(d.Trees) > 0 {
		mix = s.sharesOfPlants(l.Plants)
	}
	life := s.life(f)
	life.stockM = rowStock(l, 0)
	return mix, life
}

// sharesOfPlants counts the plants of a row by kind.
func (s *Stand) sharesOfPlants(plants []setout.Plant) []share {
	var out []share
	at := map[*kind]int{}
	for i := range plants {
		p := &plants[i]
		k := s.kind(p.Species, p.Name, p.Rootstock)
		n, ok := at[k]
		if !ok {
			n = len(out)
			at[k] = n
			out = append(out, share{kind: k, name: p.Name})
		}
		out[n].share += 1 / float64(len(plants))
	}
	return out
}

// rowStock is the height of the stock that most of a row is planted with, taken from its first plant.
func rowStock(l *setout.Layout, row int) float64 {
	for i := range l.Plants {
		if l.Plants[i].Row == row {
			return stockHeight(l.Plants[i].Stock)
		}
	}
	return 0
}

func (s *Stand) rowBody(f *planner.Feature, line *setout.Line, r setout.RowLine, mix []share, l *life, year int) *Body {
	size, _ := s.reached(mix, l, year)
	b := &Body{Feature: f, Row: r.Row, Runs: rowRuns(line, r.Path), Size: size}
	if !stands(size) || len(b.Runs) == 0 {
		return nil
	}
	b.setDensity(s, RowDensity(s.set, s.parts(mix, l, year), r.SpacingM), 1)
	return b
}

// rowRuns are the stretches of one row without the openings in its line, each carried over square.
func rowRuns(line *setout.Line, path orb.LineString) []orb.LineString {
	if len(path) < 2 {
		return nil
	}
	if len(line.Openings) == 0 {
		return []orb.LineString{path}
	}
	c := geo.NewChain(path)
	var open [][2]float64
	for _, o := range line.Openings {
		a, _, _ := c.Project(o.A)
		b, _, _ := c.Project(o.B)
		if line.Closed && b < a { // passes the start
			open = append(open, [2]float64{a, c.Length()}, [2]float64{0, b})
			continue
		}
		open = append(open, [2]float64{math.Min(a, b), math.Max(a, b)})
	}
	slices.SortFunc(open, func(a, b [2]float64) int {
		if a[0] < b[0] {
			return -1
		}
		return 1
	})
	return stretches(c, 0, c.Length(), open)
}

// screenBody is an artificial screen, from the winter in which it is put up to that in which it is taken away.
func (s *Stand) screenBody(f *planner.Feature, d *planner.Screen, year int) []Body {
	if f.Wrong("height_m", "density_percent", "until") || d.HeightM <= 0 || d.DensityPercent <= 0 {
		return nil
	}
	if s.winter > 0 {
		now := s.winter + year
		if d.Until > 0 && now >= d.Until || f.Planted > now {
			return nil
		}
	}
	b := solid(f, d.HeightM, math.Min(1, d.DensityPercent/100))
	if d.Until > 0 && s.winter <= 0 {
		b.Rests += "; the plan names no winter for year 0, so it is not taken away"
	}
	b.Rests = s.assumed(b.Rests)
	return []Body{b}
}

// solid is a thing that does not grow.
func solid(f *planner.Feature, height, density float64) Body {
	src := planner.Source{Text: "height stated in the plan", Confidence: planner.User}
	if !f.Stated("height_m") {
		src = planner.Source{Text: "usual height of a " + string(f.Kind), Confidence: planner.CommonPractice}
	}
	return Body{Feature: f, Runs: f.Shape.Lines, Size: Size{Height: exactly(height), Spread: exactly(0), Source: src, Rests: src.Text},
		DensityKnown: true, DensityLeafOn: density, DensityLeafOff: density, DensitySource: src}
}

// BeltRow is one row of a windbreak in a year: its size, and what it is made of with crowns as wide as at the low end, the middle and
// the high end of growth. The size is 0 before it is planted, and not known where nobody says of what it is.
func (s *Stand) BeltRow(f *planner.Feature, row, year int) (size Size, low, mid, high []Part) {
	d, ok := f.Detail.(*planner.Windbreak)
	l := s.out.Of(f.ID)
	if !ok || l == nil || l.Line == nil || f.Wrong("height_m", "planted", "status", "rows") {
		return Size{}, nil, nil, nil
	}
	mix, life := s.beltRow(f, l, d, row)
	size, _ = s.reached(mix, &life, year)
	if onlyTrees(s, d) {
		size.BaseM = OpenBase(size.Height.Mid)
	}
	return size, s.partsAt(mix, &life, year, func(w Span) float64 { return w.Low }), s.parts(mix, &life, year),
		s.partsAt(mix, &life, year, func(w Span) float64 { return w.High })
}

// OpenBase is how far up in metres such a belt is open when it is so high: a fifth of its height, 2 m at most (common practice).
func OpenBase(height float64) float64 { return math.Min(2, height/5) }
