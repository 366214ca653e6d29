package growth

import (
	"math"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

// A life is how a plant or a planting comes to its age: planted in some year, or standing there at a height or grown. Years count
// from the planting winter.
type life struct {
	planted int     // year of planting, where from is fromPlanting
	height  float64 // at year 0, where from is fromHeight
	spread  float64 // at year 0 where it is stated, else 0
	from    start
	cuts    []int   // years of the winters in which it is cut to the stool, rising; below 0 before the planting winter
	laid    []int   // years of the winters in which it is laid, rising
	keptH   float64 // height that it is kept at, 0 where nobody cuts it
	keptW   float64 // width that it is kept at, 0 where nobody cuts it
	fixed   bool    // stays as it is: a hedge that is trimmed
	stockM  float64 // height of the stock when planted
	said    string  // what was assumed, in words
}

type start int

const (
	fromPlanting start = iota
	fromHeight
	fromGrown
)

// stumpM is the height of a stool after the cut: Irish ACRES scheme for hedges, 15 cm.
const stumpM = 0.15

// laidM is the height of a hedge that was laid in the traditional way; it is kept at that afterwards (common practice). Centre for
// Ecology and Hydrology 2015, rejuvenation of hedgerows, mean of its trials.
const laidM = 1.5

var laidSource = planner.Source{Text: "CEH 2015, rejuvenation of hedgerows: 1.50 m high when laid, mean of its trials", Confidence: planner.Published}

// isLaid reports whether the hedge was laid in a winter up to a year.
func (l *life) isLaid(year int) bool { return len(l.laid) > 0 && l.laid[0] <= year }

// afterLaying is the size of a hedge, or of a plant in it, in a year, once it is known whether it was laid by then.
func (l *life) afterLaying(size Size, year int) Size {
	if !l.isLaid(year) || !size.Height.Known || size.Height.High <= laidM {
		return size
	}
	size.Height = capAt(size.Height, laidM)
	size.BaseM = min(size.BaseM, size.Height.Mid)
	size.Source, size.Rests = laidSource, "laid, and kept at the height it is laid to (common practice)"
	return size
}

// cutBefore is the last cut up to a year; false where there is none.
func (l *life) cutBefore(year int) (int, bool) {
	for _, c := range slices.Backward(l.cuts) {
		if c <= year && (l.from != fromPlanting || c > l.planted) {
			return c, true
		}
	}
	return 0, false
}

// wide tells whether the width that is stated for year 0 still counts in a year: a cut ends it.
func (l *life) wide(year int) bool {
	cut, ok := l.cutBefore(year)
	return l.spread > 0 && l.from == fromHeight && !(ok && cut >= 0)
}

// sizeOf is the height and width of a plant of a kind with such a life in a year. A plant that is still to be planted is 0.
func sizeOf(k *kind, l *life, year int) (height, spread Span, rests string) {
	h, rests := rawHeight(k, l, year)
	if !h.Known {
		return Span{}, Span{}, rests
	}
	if l.from == fromPlanting && year < l.planted {
		return h, Span{Known: true}, rests
	}
	w := spanOf(k.growth.SpreadAt(rangeOf(h)))
	if l.from == fromGrown && !l.fixed {
		if _, cut := l.cutBefore(year); !cut {
			_, grown := k.growth.Grown()
			w = spanOf(grown)
		}
	}
	if l.wide(year) {
		w = statedSpread(k, l, w)
	}
	return capAt(h, l.keptH), capAt(w, l.keptW), rests
}

// statedSpread is the width of a plant whose width in year 0 is stated: it grows on in proportion.
func statedSpread(k *kind, l *life, w Span) Span {
	now := k.growth.SpreadAt(species.Range{Low: l.height, Usual: l.height, High: l.height, Known: true})
	if !w.Known || now.Usual <= 0 {
		return exactly(l.spread)
	}
	on := func(v, from float64) float64 { return math.Max(l.spread, l.spread*v/math.Max(from, 0.01)) }
	return ordered(on(w.Low, now.Low), on(w.Mid, now.Usual), on(w.High, now.High))
}

// rawHeight is the height before anything is cut to the height that it is kept at, and what it rests on.
func rawHeight(k *kind, l *life, year int) (Span, string) {
	g := &k.growth
	if cut, ok := l.cutBefore(year); ok && (l.from != fromHeight || cut >= 0) {
		if !g.Known {
			return Span{}, k.unknown
		}
		return atLeast(spanOf(g.RegrownAt(float64(year-cut))), stumpM), g.RegrowRests
	}
	switch l.from {
	case fromHeight:
		if l.fixed || !g.Known {
			return exactly(l.height), l.said
		}
		_, regrown := l.cutBefore(0)
		return spanOf(g.FromHeight(l.height, float64(year), regrown)), l.said + ", then as " + g.Rests
	case fromGrown:
		if !g.Known {
			return Span{}, k.unknown
		}
		h, _ := g.Grown()
		return spanOf(h), l.said + "; " + g.Rests
	}
	if year < l.planted {
		return exactly(0), "not planted yet"
	}
	if !g.Known {
		return Span{}, k.unknown
	}
	return atLeast(spanOf(g.HeightAt(float64(year-l.planted))), l.stockM), g.Rests
}

func exactly(v float64) Span { return Span{Low: v, Mid: v, High: v, Known: true} }

func atLeast(s Span, v float64) Span {
	s.Low, s.Mid, s.High = math.Max(s.Low, v), math.Max(s.Mid, v), math.Max(s.High, v)
	return s
}

// capAt holds a span at a figure; 0 does not.
func capAt(s Span, v float64) Span {
	if v > 0 && s.Known {
		s.Low, s.Mid, s.High = math.Min(s.Low, v), math.Min(s.Mid, v), math.Min(s.High, v)
	}
	return s
}

func ordered(low, mid, high float64) Span {
	return Span{Low: math.Min(low, mid), Mid: mid, High: math.Max(high, mid), Known: true}
}

func spanOf(r species.Range) Span {
	if !r.Known {
		return Span{}
	}
	return ordered(r.Low, r.Usual, r.High)
}

func rangeOf(s Span) species.Range {
	return species.Range{Low: s.Low, Usual: s.Mid, High: s.High, Known: s.Known}
}
