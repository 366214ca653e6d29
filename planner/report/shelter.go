package report

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/shelter"
)

// A Shelter is the wind left on the holding and its beds through the years.
type Shelter struct {
	report  *Report
	Winds   []shelter.Wind
	Years   []ShelterYear
	Coarser float64 // edge of the field's cells where they had to be larger than usual, else 0
}

// A ShelterYear is one year of it: in leaf, which is what counts for beds, and bare; Lowest and Highest are the beds in leaf with
// everything at the low and high end of its range of heights.
type ShelterYear struct {
	shelter.Year
	Bare, Lowest, Highest []shelter.Bed
}

// shelterSource is what the figures rest on.
const shelterSource = "US Department of Agriculture, Agricultural Research Service, Wind Erosion Prediction System, barriers: friction velocity behind a barrier by distance and porosity, taken for wind near the ground (derived)"

// Shelter works out the wind left in the years asked for (none: FieldYears). SetOut comes first. Progress may be nil.
func (r *Report) Shelter(ctx context.Context, years []int, progress func(done, total int)) (*Shelter, error) {
	grid, coarser := shelter.Grid(r.Plan)
	out := &Shelter{report: r, Winds: shelter.Winds(&r.Plan.Holding)}
	if coarser {
		out.Coarser = grid.Cell
	}
	list, err := shelter.Through(ctx, r.Plan, r.Stand, YearsWithin(years), shelter.BelowPercent, shelter.Options{}, grid, progress)
	if err != nil {
		return nil, err
	}
	for _, y := range list {
		year := ShelterYear{Year: y}
		for _, v := range []struct {
			to  *[]shelter.Bed
			opt shelter.Options
		}{{&year.Bare, shelter.Options{Leaf: shelter.Bare}}, {&year.Lowest, shelter.Options{Height: shelter.Lowest}}, {&year.Highest, shelter.Options{Height: shelter.Highest}}} {
			barriers, _ := shelter.Barriers(r.Plan, r.Stand, y.Year, v.opt)
			if *v.to, err = shelter.Beds(ctx, r.Plan, barriers, out.Winds); err != nil {
				return nil, err
			}
		}
		out.Years = append(out.Years, year)
	}
	return out, nil
}

// ShelterField is the wind left over the holding's ground in one year, in leaf or bare, as bands.
func (r *Report) ShelterField(ctx context.Context, year int, leaf shelter.Leaf, progress func(done, total int)) (*Field, error) {
	grid, coarser := shelter.Grid(r.Plan)
	barriers, unknown := shelter.Barriers(r.Plan, r.Stand, year, shelter.Options{Leaf: leaf})
	raster, err := shelter.Field(ctx, barriers, shelter.Winds(&r.Plan.Holding), grid, progress)
	if err != nil {
		return nil, err
	}
	state := "in leaf"
	if leaf == shelter.Bare {
		state = "bare"
	}
	region, land := r.ground()
	f := &Field{What: "shelter", Title: "Wind left, " + state, Unit: "percent of open wind", Year: year, Raster: onGround(raster, region)}
	f.band(shelterBands, land)
	f.Said = append(f.Said, cellsSaid(grid, coarser)...)
	for _, u := range unknown {
		f.Said = append(f.Said, sentence(u.Say()))
	}
	for _, u := range r.assumedBut(unknown) {
		f.Said = append(f.Said, u.Why)
	}
	return f, nil
}

func cellsSaid(g geo.Grid, coarser bool) []string {
	if !coarser {
		return nil
	}
	return []string{fmt.Sprintf("The holding is so large that the field has cells of %s m.", figure(g.Cell))}
}

// span is the least and greatest mean on a bed in leaf, at the low end, in the middle and at the high end of all ranges of heights. The
// middle can lie outside the other two: a belt that grows on shelters less of what lies close behind it.
func (y *ShelterYear) span(bed int) (least, greatest float64) {
	a, b, c := y.Lowest[bed].Mean, y.Beds[bed].Mean, y.Highest[bed].Mean
	return min(a, b, c), max(a, b, c)
}

func (y *ShelterYear) meanRange(bed int) [2]*float64 {
	least, greatest := y.span(bed)
	return [2]*float64{finite(least, 2), finite(greatest, 2)}
}

// said is what holds for all years, in sentences.
func (s *Shelter) said() []string {
	var out []string
	h, sum := &s.report.Plan.Holding, 0.0
	for _, a := range h.WindRose {
		sum += a.Percent
	}
	if sum > 0 { // a rose of no percent is none: shelter.Winds
		say := fmt.Sprintf("Averaged over the %d arms of the wind rose by their percent.", len(s.Winds))
		if len(s.Winds) == 1 {
			say = "For the one arm of the wind rose."
		}
		if sum < 99.5 {
			add := "The arms add up to"
			if len(s.Winds) == 1 {
				add = "It has"
			}
			say += fmt.Sprintf(" %s %s percent; calms are not counted.", add, figure(sum))
		}
		out = append(out, say)
	} else {
		out = append(out, fmt.Sprintf("Averaged over nine winds, from 22.5 degrees left to 22.5 degrees right of the wind from %s.", compass(h.WindFromDeg)))
	}
	if s.Coarser > 0 {
		out = append(out, fmt.Sprintf("The holding is so large that the field has cells of %s m.", figure(s.Coarser)))
	}
	if _, said := s.report.Stand.Winter(); said != "" {
		out = append(out, sentence(said))
	}
	in := map[string][]int{} // years of what is said of one feature: its bare stems grow longer, and the last year tells
	for _, y := range s.Years {
		for _, n := range y.Notes {
			if n.Feature == nil {
				out = append(out, sentence(n.Text))
			} else {
				in[n.Text] = append(in[n.Text], y.Year.Year)
			}
		}
	}
	if len(s.Years) > 0 {
		for _, n := range s.Years[len(s.Years)-1].Notes {
			switch {
			case n.Feature == nil:
			case len(in[n.Text]) == len(s.Years):
				out = append(out, sentence(n.Text))
			default:
				out = append(out, "In "+yearList(in[n.Text])+", "+n.Text)
			}
		}
	}
	return onceEach(out)
}

// unknown is what could not be taken into account in any of the years, each once.
func (s *Shelter) unknown() []jsonUnknown {
	out, in := []jsonUnknown{}, map[jsonUnknown][]int{}
	var all []shelter.Unknown
	for _, y := range s.Years {
		all = append(all, y.Unknown...)
		for _, u := range y.Unknown {
			j := jsonUnknown{ID: u.Feature.ID, Name: u.Feature.Label(), Why: u.Say()}
			if in[j] == nil {
				out = append(out, j)
			}
			in[j] = append(in[j], y.Year.Year)
		}
	}
	for i, j := range out {
		if len(in[j]) < len(s.Years) {
			out[i].Why = "in " + yearList(in[j]) + ", " + j.Why
		}
		out[i].Why = sentence(out[i].Why)
	}
	out = append(out, s.report.unusedBeds()...)
	out = append(out, s.report.assumedBut(all)...)
	slices.SortStableFunc(out, func(a, b jsonUnknown) int { return strings.Compare(a.ID, b.ID) })
	return out
}

// yearList is years in words: "year 5", "years 0, 5 and 10".
func yearList(list []int) string {
	var words []string
	for _, y := range list {
		words = append(words, strconv.Itoa(y))
	}
	if len(words) < 2 {
		return "year " + strings.Join(words, "")
	}
	return "years " + strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

type (
	jsonWind struct {
		From    float64 `json:"from_deg"`
		Percent float64 `json:"percent"`
	}
	jsonWindOnBed struct {
		Mean     *float64 `json:"mean_wind_percent"`
		Least    *float64 `json:"least_wind_percent"`
		Greatest *float64 `json:"greatest_wind_percent"`
	}
	jsonShelterBed struct {
		ID   string `json:"id"`
		Name string `json:"name"`
		jsonWindOnBed
		LeafOff jsonWindOnBed `json:"leaf_off"`
		// Range is the mean in leaf from the calmest to the windiest of what the range of heights gives.
		Range [2]*float64 `json:"mean_range_percent"`
		By    []jsonShare `json:"by"`
	}
	jsonShelterYear struct {
		Year      int              `json:"year"`
		AreaBelow float64          `json:"area_below_60_m2"`
		Beds      []jsonShelterBed `json:"beds"`
	}
	jsonShelterDoc struct {
		Holding string            `json:"holding"`
		Wind    []jsonWind        `json:"wind"`
		Years   []jsonShelterYear `json:"years"`
		Unknown []jsonUnknown     `json:"unknown"`
		Said    []string          `json:"said"`
		Source  string            `json:"source"`
	}
)

func windOn(b shelter.Bed) jsonWindOnBed {
	return jsonWindOnBed{finite(b.Mean, 2), finite(b.Least, 2), finite(b.Greatest, 2)}
}

func (s *Shelter) document() jsonShelterDoc {
	doc := jsonShelterDoc{Holding: s.report.Plan.Holding.Name, Wind: []jsonWind{}, Years: []jsonShelterYear{}, Unknown: s.unknown(), Said: s.said(), Source: shelterSource}
	if rose := s.report.Plan.Holding.WindRose; slices.ContainsFunc(rose, func(a planner.WindArm) bool { return a.Percent > 0 }) {
		for _, a := range rose {
			doc.Wind = append(doc.Wind, jsonWind{a.FromDeg, a.Percent})
		}
	} else {
		doc.Wind = append(doc.Wind, jsonWind{s.report.Plan.Holding.WindFromDeg, 100})
	}
	for _, y := range s.Years {
		year := jsonShelterYear{Year: y.Year.Year, AreaBelow: round(y.AreaBelowM2, 2), Beds: []jsonShelterBed{}}
		for i, b := range y.Beds {
			bed := jsonShelterBed{ID: b.Feature.ID, Name: b.Feature.Label(), jsonWindOnBed: windOn(b), LeafOff: windOn(y.Bare[i]),
				Range: y.meanRange(i), By: []jsonShare{}}
			for _, by := range b.By {
				bed.By = append(bed.By, jsonShare{by.Feature.ID, by.Feature.Label(), round(by.Percent, 1)})
			}
			year.Beds = append(year.Beds, bed)
		}
		doc.Years = append(doc.Years, year)
	}
	return doc
}

// WriteJSON writes it as the contract has it, with what shelters each bed, the winter, the range and what is not known beside.
func (s *Shelter) WriteJSON(w io.Writer) error { return writeIndented(w, s.document()) }

func writeIndented(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(v)
}
