package growth

import (
	"math"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// A hedge is what a hedge's sizes hang on. One that is coppiced or laid in stretches has a part for each.
type hedge struct {
	feature *planner.Feature
	detail  *planner.Hedge
	line    *setout.Line
	edges   []float64 // chainages at which parts meet, rising
	lives   []life    // of the parts: one more than edges
	fill    life      // of what fills its gaps
	mix     []share
	fillMix []share
	rows    int
	sizes   [][LastYear + 1]Size // by part
	fills   [LastYear + 1]Size
}

// A share is one kind of a mix with its share, 0 to 1.
type share struct {
	kind  *kind
	name  string
	share float64
}

// A hedge that says neither is kept as one that is still to be planted would be: 2 m high and 1.5 m wide, the plan file's default.
const usualHedgeM, usualHedgeWidthM = 2.0, 1.5

// newHedge makes a hedge from its layout; nil for other features.
func (s *Stand) newHedge(l *setout.Layout) *hedge {
	d, ok := l.Feature.Detail.(*planner.Hedge)
	if !ok || l.Line == nil || l.Feature.Wrong("height_m", "width_m", "manage", "planted", "status") {
		return nil
	}
	f := l.Feature
	h := &hedge{feature: f, detail: d, line: l.Line, mix: s.shares(d.Mix), fillMix: s.shares(d.FillMix), rows: max(1, d.Rows)}
	if d.Manage == "coppice" || d.Manage == "lay" {
		h.cutEdges()
	}
	base := s.hedgeLife(f, d)
	base.stockM = stockOf(l.Plants, setout.UseHedge)
	for i := range len(h.edges) + 1 {
		part := base
		part.cuts = s.cutYears(f, d.Manage, h.middle(i))
		part.laid = s.layYears(f, d, h.middle(i))
		h.lives = append(h.lives, part)
	}
	h.fill = life{keptH: base.keptH, keptW: base.keptW, stockM: stockOf(l.Plants, setout.UseFill)}
	if base.from == fromHeight && base.fixed {
		h.fill.keptH = base.height
	}
	h.sizes = make([][LastYear + 1]Size, len(h.lives))
	for i := range h.lives {
		for year := range LastYear + 1 {
			h.sizes[i][year] = h.lives[i].afterLaying(s.mixSize(h, h.mix, &h.lives[i], year), year)
		}
	}
	for year := range LastYear + 1 {
		h.fills[year] = s.mixSize(h, h.fillMix, &h.fill, year)
	}
	return h
}

// hedgeLife is how a hedge comes to its height. One that is trimmed or laid stays as it is
// kept, until the winter in which it is to be laid; one that is coppiced or left grows on.
func (s *Stand) hedgeLife(f *planner.Feature, d *planner.Hedge) life {
	l := s.life(f)
	kept := d.Manage == "trim" || d.Manage == "lay" || d.Manage == ""
	if f.IsPlanned() {
		if kept || f.Stated("height_m") {
			l.keptH = firstPositive(d.HeightM, usualHedgeM)
		}
		if kept || f.Stated("width_m") {
			l.keptW = firstPositive(d.WidthM, usualHedgeWidthM)
		}
		return l
	}
	if !kept {
		l.spread = d.WidthM
		return l
	}
	l.fixed = true
	l.keptW = firstPositive(d.WidthM, usualHedgeWidthM)
	switch l.from {
	case fromGrown:
		l = life{from: fromHeight, height: usualHedgeM, keptW: l.keptW, fixed: true,
			said: "neither its height nor its winter of planting is stated: taken for 2 m, as new hedges are kept where nothing is said"}
	case fromPlanting:
		l.fixed, l.keptH = false, usualHedgeM
	}
	return l
}

// cutEdges finds the chainages at which stretches that are cut in different winters meet.
func (h *hedge) cutEdges() {
	for _, c := range h.detail.CutIn {
		for _, at := range []float64{c.FromM, c.ToM} {
			if at > 0 && at < h.line.LengthM && !slices.Contains(h.edges, at) {
				h.edges = append(h.edges, at)
			}
		}
	}
	slices.Sort(h.edges)
}

// middle is a chainage within a part.
func (h *hedge) middle(part int) float64 {
	from, to := 0.0, math.Max(h.line.LengthM, 1e-6)
	if part > 0 {
		from = h.edges[part-1]
	}
	if part < len(h.edges) {
		to = h.edges[part]
	}
	return (from + to) / 2
}

// partAt is the part that a chainage lies in.
func (h *hedge) partAt(chainage float64) int {
	i := 0
	for i < len(h.edges) && chainage >= h.edges[i] {
		i++
	}
	return i
}

// size is the size of a part of the hedge in a year.
func (h *hedge) size(s *Stand, part, year int) Size {
	if year < 0 || year > LastYear {
		return h.lives[part].afterLaying(s.mixSize(h, h.mix, &h.lives[part], year), year)
	}
	return h.sizes[part][year]
}

func (h *hedge) fillSize(s *Stand, year int) Size {
	if year < 0 || year > LastYear {
		return s.mixSize(h, h.fillMix, &h.fill, year)
	}
	return h.fills[year]
}

// shares reads a mix.
func (s *Stand) shares(mix []planner.Share) []share {
	sum := 0.0
	for _, m := range mix {
		sum += m.SharePercent
	}
	var out []share
	for _, m := range mix {
		sh := share{name: m.Species, share: m.SharePercent, kind: s.kind(s.cat.Find(m.Species).Species, m.Species, "")}
		if sum > 0 {
			sh.share /= sum
		}
		if len(mix) == 1 {
			sh.share = 1
		}
		out = append(out, sh)
	}
	return out
}

// stockOf is the height of the stock that a hedge is planted or filled with, of the first plant that names one.
func stockOf(plants []setout.Plant, use setout.Use) float64 {
	for i := range plants {
		if plants[i].Use == use {
			if h := stockHeight(plants[i].Stock); h > 0 {
				return h
			}
		}
	}
	return 0
}

// mixSize is the size of a mixed row or hedge: the height that at least half of its plants reach, and the width of the kind that
// decides it. Kinds whose height is not known count as not reaching it; it is unknown where they are half or more.
func (s *Stand) mixSize(h *hedge, mix []share, l *life, year int) Size {
	if l.from == fromHeight && l.fixed {
		if _, cut := l.cutBefore(year); !cut {
			return h.widen(Size{Height: exactly(l.height), Spread: exactly(l.keptW), BaseM: h.base(l.height),
				Source: planner.Source{Text: l.said, Confidence: saidBy(l)}, Rests: s.assumed(l.said)}, l, year)
		}
	}
	size, _ := s.reached(mix, l, year)
	if size.Height.Known {
		size.BaseM = h.base(size.Height.Mid)
	}
	return h.widen(size, l, year)
}

func saidBy(l *life) planner.Confidence {
	if strings.HasPrefix(l.said, "height stated") {
		return planner.User
	}
	return planner.CommonPractice
}

// base is the height of the lowest leaves: what the plan states, else the ground.
func (h *hedge) base(height float64) float64 { return math.Min(h.detail.BaseM, height) }

// widen adds the ground between the rows of a hedge that nobody trims to the width of one row, and holds it at the width it is kept at.
func (h *hedge) widen(size Size, l *life, year int) Size {
	if l.from == fromHeight && l.fixed || l.wide(year) {
		return size
	}
	if size.Spread.Known && size.Height.Mid > 0 {
		between := float64(h.rows-1) * h.line.RowGapM
		w := size.Spread
		size.Spread = capAt(Span{Low: w.Low + between, Mid: w.Mid + between, High: w.High + between, Known: true}, l.keptW)
	} else if !size.Spread.Known && size.Height.Known && l.keptW > 0 {
		size.Spread = exactly(l.keptW)
	}
	return size
}

// reached is the size that at least half of a mix reaches, and the kind that decides it.
func (s *Stand) reached(mix []share, l *life, year int) (Size, *kind) {
	type one struct {
		height, spread Span
		rests          string
		share
	}
	var known []one
	var unknown string
	for _, m := range mix {
		h, w, rests := sizeOf(m.kind, l, year)
		if h.Known {
			known = append(known, one{h, w, rests, m})
		} else if unknown == "" {
			unknown = rests
		}
	}
	slices.SortStableFunc(known, func(a, b one) int {
		switch {
		case a.height.Mid > b.height.Mid:
			return -1
		case a.height.Mid < b.height.Mid:
			return 1
		}
		return strings.Compare(a.label(), b.label())
	})
	sum := 0.0
	for _, o := range known {
		if sum += o.share.share; sum >= 0.5-1e-9 {
			return Size{Height: o.height, Spread: o.spread, Source: sourceOf(o.kind, l), Rests: s.assumed(o.rests)}, o.kind
		}
	}
	if l.from == fromHeight { // nothing says how it grows on
		return Size{Height: exactly(l.height), Source: planner.Source{Text: l.said, Confidence: planner.User},
			Rests: s.assumed(l.said + "; how it grows on is not known, so it stays")}, nil
	}
	if unknown == "" {
		unknown = "no species is stated"
	}
	return Size{Rests: s.assumed(unknown)}, nil
}

func (m share) label() string {
	if m.kind.species != nil {
		return m.kind.species.Name()
	}
	return m.name
}

// hedgePlant is one plant of a hedge: it grows as its kind does, up to the hedge's height, and is no wider than its room in it.
func (s *Stand) hedgePlant(h *hedge, k *kind, p *setout.Plant, year int) Size {
	part := h.partAt(p.Chainage)
	l := h.lives[part]
	if p.Use == setout.UseFill {
		l = h.fill
	}
	if l.from == fromHeight && l.fixed {
		body := h.size(s, part, year)
		body.Spread = exactly(roomInHedge(h.detail))
		return body
	}
	l.stockM = stockHeight(p.Stock)
	height, spread, rests := sizeOf(k, &l, year)
	out := Size{Height: height, Spread: capAt(spread, roomInHedge(h.detail)), Source: sourceOf(k, &l), Rests: s.assumed(rests)}
	if height.Known {
		out.BaseM = h.base(height.Mid)
	}
	if !out.Spread.Known && height.Known {
		out.Spread = exactly(math.Min(roomInHedge(h.detail), height.Mid))
	}
	if p.Use != setout.UseFill {
		out = l.afterLaying(out, year)
	}
	return out
}

// roomInHedge is how wide a plant in a hedge is drawn at most: the hedge's width, 1.5 m at most; 1 m where it is not stated.
func roomInHedge(d *planner.Hedge) float64 {
	if d.WidthM > 0 {
		return math.Min(d.WidthM, 1.5)
	}
	return 1
}

func firstPositive(vs ...float64) float64 {
	for _, v := range vs {
		if v > 0 {
			return v
		}
	}
	return 0
}
