package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// beltYear is the age at which the height of a windbreak counts, whatever year the report is asked for: the design height of
// NRCS conservation practice 380 and of the National Agroforestry Center's Windbreak Design Clipboard.
const beltYear = 20

// A Belt is what is measured of a windbreak. H below is its height at year 20.
type Belt struct {
	Feature *planner.Feature
	LengthM float64 // with its openings
	// HeightYear20 is the height of the tallest row at year 20; for an existing belt that states height_m, that height. Low and
	// High are its range, the same figure where there is none.
	HeightYear20  species.Num
	Low, High     float64
	HeightOf      string   // what the height rests on, in words
	HeightUnknown []string // its species without a known height at year 20

	// Densities are optical, in percent (100 less the porosity), in DensityYear: the year that is asked for, year
	// growth.LastYear at most, 20 where none is. See
	// beltDensity.
	DensityKnown                  bool
	DensityYear                   int
	DensityLeafOn, DensityLeafOff float64
	DensitySource                 planner.Source
	// DensityClass is the published range for rows of these kinds, in leaf and closed; both 0 where none is published.
	DensityClass [2]float64
	// Band is when it is as dense as its purpose wants, nil where that is not known.
	Band           *Band
	DensityUnknown []string // why the density is not known, in words

	AngleOffSquareDeg float64 // between the troublesome wind and square to the belt, 0 to 90, weighted by length on bends
	Protects          []Protect

	years   []beltAt // by year after planting
	rows    []beltRow
	tallest int // index of the tallest row, -1 where no height is known
	line    *setout.Line
}

// A Protect is a thing that a belt is there for, and how it lies to it. Distances are along the wind from the tallest row, in H.
type Protect struct {
	ID    string
	Known bool // false where there is no such sound feature, or the height is not known
	// InsidePercent is the share of its area (of its length, where it is a line) that lies within the rule set's reach, 2 to 10
	// heights unless a limit says otherwise.
	InsidePercent float64
	Behind        bool // false where the wind does not cross the belt before it comes here; the distances are then 0
	NearestH      float64
	FarthestH     float64

	feature *planner.Feature
}

// A beltRow is one row of a belt.
type beltRow struct {
	path     orb.LineString
	spacingM float64 // 0 where it is not known
	mix      []beltShare
	height   species.Range // at year 20, the height that at least half of its plants reach
	of       string        // the species that decides the height
}

type beltShare struct {
	name    string
	species *species.Species // nil where the name is unknown or fits several
	share   float64          // 0 to 1, adding up to 1
}

// Belts measures every sound windbreak, by id. Cost: the corners of the belts times those of what they protect.
func Belts(in Input) []Belt {
	if in.Stand == nil {
		in.Stand = growth.New(in.Plan, in.Out, in.Catalogue, in.Set)
	}
	var out []Belt
	for _, f := range in.Plan.Of(planner.KindWindbreak) {
		w, ok := f.Detail.(*planner.Windbreak)
		if !ok || len(f.Shape.Lines) == 0 {
			continue
		}
		b := Belt{Feature: f, LengthM: geo.Length(f.Shape.Lines[0]), tallest: -1}
		b.rows = beltRows(in, f, w)
		if l := in.Out.Of(f.ID); l != nil && l.Line != nil {
			b.line, b.LengthM = l.Line, l.Line.LengthM
		}
		b.setHeight(w)
		b.AngleOffSquareDeg = offSquare(f.Shape.Lines[0], in.Plan.Holding.WorstWindDeg())
		beltDensity(in, &b)
		b.years = beltYears(in, &b)
		b.bandIn(in, w.Purpose)
		for _, id := range w.Protects {
			b.Protects = append(b.Protects, protect(in, &b, id))
		}
		out = append(out, b)
	}
	return out
}

// beltRows gives the rows from the windward side in. A belt whose rows are not stated, or could not be set out, has the drawn
// line for its row or rows.
func beltRows(in Input, f *planner.Feature, w *planner.Windbreak) []beltRow {
	layout := in.Out.Of(f.ID)
	rows := make([]beltRow, 0, max(1, len(w.Rows)))
	for i, r := range w.Rows {
		row := beltRow{path: f.Shape.Lines[0], spacingM: r.SpacingM, mix: beltMix(in.Catalogue, r.Mix)}
		if layout != nil {
			for _, l := range layout.Rows {
				if l.Row == i && len(l.Path) > 1 {
					row.path, row.spacingM = l.Path, l.SpacingM
				}
			}
		}
		row.height, row.of = rowHeight(row.mix)
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		rows = append(rows, beltRow{path: f.Shape.Lines[0]})
	}
	return rows
}

func beltMix(c *species.Catalogue, mix []planner.Share) []beltShare {
	var out []beltShare
	var sum float64
	for _, s := range mix {
		sum += s.SharePercent
	}
	for _, s := range mix {
		share := s.SharePercent
		if sum > 0 {
			share /= sum
		}
		if len(mix) == 1 {
			share = 1
		}
		out = append(out, beltShare{name: s.Species, species: c.Find(s.Species).Species, share: share})
	}
	return out
}

// rowHeight is the height at year 20 that at least half of a row's plants reach, and the species that decides it. Plants whose
// height is not known count as not reaching it, so that the figure is never too great; it is unknown where they are half or more.
func rowHeight(mix []beltShare) (species.Range, string) {
	known := slices.Clone(mix)
	known = slices.DeleteFunc(known, func(s beltShare) bool { return !heightAtYear20(s.species).Known })
	slices.SortStableFunc(known, func(a, b beltShare) int {
		x, y := heightAtYear20(a.species).Usual, heightAtYear20(b.species).Usual
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return strings.Compare(a.species.Botanical, b.species.Botanical)
	})
	var share float64
	for _, s := range known {
		if share += s.share; share >= 0.5-1e-9 {
			return heightAtYear20(s.species), s.species.Name()
		}
	}
	return species.Range{}, ""
}

func heightAtYear20(s *species.Species) species.Range {
	if s == nil {
		return species.Range{}
	}
	return s.HeightAfter(beltYear)
}

// Tallest is the number of the tallest row, 0 where no height is known.
func (b *Belt) Tallest() int { return max(0, b.tallest) }

// setHeight takes the tallest row (the first of several as tall), or what an existing belt states.
func (b *Belt) setHeight(w *planner.Windbreak) {
	best := -1.0
	for i, r := range b.rows {
		if r.height.Known && r.height.Usual > best {
			best, b.tallest = r.height.Usual, i
		}
		for _, s := range r.mix {
			if !heightAtYear20(s.species).Known && !slices.Contains(b.HeightUnknown, s.label()) {
				b.HeightUnknown = append(b.HeightUnknown, s.label())
			}
		}
	}
	if b.tallest >= 0 {
		h := b.rows[b.tallest].height
		b.HeightYear20 = species.Num{V: h.Usual, Known: true, Source: h.Source}
		b.Low, b.High, b.HeightOf = h.Low, h.High, b.rows[b.tallest].of+" at year 20"
	}
	if !b.Feature.IsPlanned() && w.HeightM > 0 && b.Feature.Stated("height_m") {
		b.HeightYear20 = species.Num{V: w.HeightM, Known: true, Source: planner.Source{Text: "height stated in the plan", Confidence: planner.User}}
		b.Low, b.High, b.HeightOf = w.HeightM, w.HeightM, "its stated height"
		b.tallest = max(0, b.tallest)
	}
}

func (s beltShare) label() string {
	if s.species != nil {
		return s.species.Name()
	}
	return s.name
}

// heightText says the height and what it rests on: "12.9 m (common alder at year 20, 9.3 to 16.9 m)".
func (b *Belt) heightText() string {
	s := fmt.Sprintf("%.1f m (%s", b.HeightYear20.V, b.HeightOf)
	if b.High-b.Low > 0.05 {
		s += fmt.Sprintf(", %.1f to %.1f m", b.Low, b.High)
	}
	return s + ")"
}

// offSquare is the angle between the wind and square to the line, 0 to 90 degrees: the mean over the line's straight parts,
// weighted by their length. 0 for a line of no length.
func offSquare(line orb.LineString, windFromDeg float64) float64 {
	var sum, length float64
	for i := 1; i < len(line); i++ {
		l := geo.Dist(line[i-1], line[i])
		if l == 0 {
			continue
		}
		sum += l * segmentOffSquare(geo.BearingDeg(line[i-1], line[i]), windFromDeg)
		length += l
	}
	if length == 0 {
		return 0
	}
	return sum / length
}

// segmentOffSquare is the angle between a wind and square to a straight belt, 0 to 90: |wind - (bearing + 90)| folded.
func segmentOffSquare(bearingDeg, windFromDeg float64) float64 {
	d := geo.AngleBetweenDeg(windFromDeg, bearingDeg+90)
	return math.Min(d, 180-d)
}

// openings lists the belt's breaks by chainage; none where it was not set out.
func (b *Belt) openings() []setout.Opening {
	if b.line == nil {
		return nil
	}
	return b.line.Openings
}

// longestRun is the longest stretch of the belt without an opening, and where it starts.
func (b *Belt) longestRun() (length, fromM float64) {
	at := 0.0
	take := func(to float64) {
		if to-at > length {
			length, fromM = to-at, at
		}
	}
	for _, o := range b.openings() {
		take(o.FromM)
		at = math.Max(at, o.ToM)
	}
	take(b.LengthM)
	return length, fromM
}
