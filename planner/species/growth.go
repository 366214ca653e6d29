package species

import "quickthorn/planner"

// Ages are the ages, in years, for which heights are published.
var Ages = []int{5, 10, 20}

// classHeights are the working heights in metres at 5, 10 and 20 years of the three growth classes. They are the common
// practice figures for willow (fast), rowan (middling) and holly (slow) in Britain and Ireland, good to +/- 30 %.
var classHeights = map[string]map[int]float64{
	"fast":     {5: 4, 10: 8, 20: 12},
	"middling": {5: 2.5, 10: 5, 20: 8},
	"slow":     {5: 0.8, 10: 2, 20: 5},
}

// classSpread is the width of the growth classes' range.
const classSpread = 0.3

// HeightAfter is the height in metres, with its range, at one of Ages: the published curve or working figure where there is
// one, else the growth class, never above the mature height. Unknown for other ages and where nothing is known.
func (s *Species) HeightAfter(years int) Range {
	if r := s.HeightAt[years]; r.Known {
		return r
	}
	h, ok := classHeights[s.GrowthClass.V][years]
	if !ok || !s.GrowthClass.Known {
		return Range{}
	}
	low, high := h*(1-classSpread), h*(1+classSpread)
	if s.Height.Known {
		h, low = min(h, s.Height.Usual), min(low, s.Height.Usual)
		if !s.Height.AtLeast {
			high = min(high, max(s.Height.High, h))
		}
	}
	if g := s.GreatestHeight; g.Known && !s.Height.Known {
		h, low, high = min(h, g.V), min(low, g.V), min(high, g.V)
	}
	return Range{Low: low, Usual: h, High: high, Known: true, Source: planner.Source{
		Code: "CPC", Confidence: planner.CommonPractice, Text: "growth class " + s.GrowthClass.V + ", +/- 30 %"}}
}

// HeightAtYear20 is the height in metres twenty years after planting, and its range; see HeightAfter.
func (s *Species) HeightAtYear20() (usual Num, low, high float64) {
	r := s.HeightAfter(20)
	return Num{V: r.Usual, Known: r.Known, Source: r.Source}, r.Low, r.High
}
