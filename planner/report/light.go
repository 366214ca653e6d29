package report

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/light"
	"quickthorn/planner/shelter"
)

// A Light is the hours of direct sun on the holding's beds through the years.
type Light struct {
	report *Report
	place  light.Place
	Years  []light.BedYear
	Least  []light.BedYear // the same with everything at the low end of its range of heights and widths
	Most   []light.BedYear // and at the high end
	Falls  []light.Fall    // beds that fall below what they want in any year to 30
	Losses []light.Loss    // buildings that want light and lose some
}

// lightSource is what the figures rest on.
const lightSource = "sun: Meeus, Astronomical Algorithms, and NREL/TP-560-34302; crowns as ellipsoids, hedges and windbreaks as walls, each passing what its face leaves open (derived); flat ground and horizon"

// Light works out the sun on the beds in the years asked for (none: FieldYears), and over all years which beds fall below what they
// want. SetOut comes first. Progress may be nil.
func (r *Report) Light(ctx context.Context, years []int, progress func(done, total int)) (*Light, error) {
	scenes := light.Through(r.Plan, r.Stand)
	out := &Light{report: r, place: light.OnLand(r.Plan)}
	opt := light.Options{MostBedCells: light.FairBedCells}
	var err error
	for i, pass := range []struct {
		to *[]light.BedYear
		g  light.Growth
	}{{&out.Years, light.Middling}, {&out.Least, light.Least}, {&out.Most, light.Most}} {
		if progress != nil {
			opt.Progress = func(done, total int) { progress(i*total+done, 3*total) }
		}
		at := func(year int, _ light.Growth) *light.Scene { return scenes(year, pass.g) }
		if *pass.to, err = light.Beds(ctx, r.Plan, YearsWithin(years), at, out.place, opt); err != nil {
			return nil, err
		}
	}
	opt.Progress = nil
	if out.Falls, err = light.FallsBelow(ctx, r.Plan, scenes, out.place, opt); err != nil {
		return nil, err
	}
	out.Losses, err = light.LosesLight(ctx, r.Plan, scenes, out.place, light.NoticedShare, opt)
	return out, err
}

// MeanMonth stands for the mean over the six months.
const MeanMonth = 0

// LightField is the hours of sun over the holding's ground in one year, as bands: month 4 to 9 as the JSON has them, or MeanMonth.
func (r *Report) LightField(ctx context.Context, year, month int, progress func(done, total int)) (*Field, error) {
	_, box := shelter.Ground(r.Plan)
	grid, coarser := light.GridFor(box)
	scene := light.Through(r.Plan, r.Stand)(year, light.Middling)
	place := light.OnLand(r.Plan)
	result, err := light.Field(ctx, scene, grid, place, light.Options{Progress: progress})
	if err != nil {
		return nil, err
	}
	f := &Field{What: "light", Title: "Direct sun, mean of " + light.Season(place.LatDeg), Unit: "hours of direct sun a day", Year: year}
	raster := result.Mean
	if month >= 4 && month <= 9 {
		raster = result.Months[month-4]
		f.Title = "Direct sun on 21 " + light.Months(place.LatDeg)[month-4].String()
	}
	region, land := r.ground()
	f.Raster = onGround(raster, region)
	f.band(lightBands, land)
	f.Said = append(f.Said, cellsSaid(grid, coarser)...)
	for _, u := range r.withoutLight([]int{year}, result.Notes) {
		f.Said = append(f.Said, u.Why)
	}
	f.Said = onceEach(f.Said)
	return f, nil
}

type (
	jsonLightBed struct {
		ID      string             `json:"id"`
		Name    string             `json:"name"`
		Hours   map[string]float64 `json:"hours"`
		Mean    float64            `json:"mean_hours"`
		Worst   float64            `json:"worst_hours"`
		Range   [2]float64         `json:"mean_range_hours"` // over the range of heights and widths
		Open    float64            `json:"open_hours"`       // with nothing in the way
		Wanted  *float64           `json:"wanted_hours"`
		TakenBy []jsonShare        `json:"taken_by"`
	}
	jsonLightYear struct {
		Year int            `json:"year"`
		Beds []jsonLightBed `json:"beds"`
	}
	jsonFall struct {
		ID      string      `json:"id"`
		Name    string      `json:"name"`
		Wanted  float64     `json:"wanted_hours"`
		Hours   float64     `json:"hours"`
		From    *int        `json:"from"`
		Year    *int        `json:"year"`
		To      *int        `json:"to"`
		Because []jsonShare `json:"because"`
	}
	jsonLoss struct {
		ID      string      `json:"id"`
		Name    string      `json:"name"`
		From    *int        `json:"from"`
		Year    *int        `json:"year"`
		To      *int        `json:"to"`
		Then    float64     `json:"hours_then"`
		Now     float64     `json:"hours_now"`
		Because []jsonShare `json:"because"`
	}
	jsonLightDoc struct {
		Holding   string          `json:"holding"`
		Season    string          `json:"season"`
		Years     []jsonLightYear `json:"years"`
		Falls     []jsonFall      `json:"falls_below"`
		Buildings []jsonLoss      `json:"buildings"`
		Unknown   []jsonUnknown   `json:"unknown"`
		Said      []string        `json:"said"`
		Source    string          `json:"source"`
	}
)

func taken(list []light.Taken) []jsonShare {
	out := []jsonShare{}
	for _, t := range list {
		out = append(out, jsonShare{t.Feature.ID, t.Feature.Label(), round(t.SharePercent, 1)})
	}
	return out
}

// reached is a year as it is written: nothing for one beyond all that are looked at.
func reached(year int) *int {
	if year < 0 || year > growth.LastYear {
		return nil
	}
	return &year
}

// wanted is the hours of sun that a bed wants; false where that cannot be read.
func wanted(f *planner.Feature) (float64, bool) {
	d, ok := f.Detail.(*planner.Bed)
	if !ok || f.Wrong("light_hours") {
		return 0, false
	}
	return d.LightHours, true
}

// span is the least and greatest mean on a bed in one of the years, at the low end, in the middle and at the high end of all ranges.
func (l *Light) span(year, bed int) (least, greatest float64) {
	a, b, c := l.Most[year].Beds[bed].MeanHours, l.Years[year].Beds[bed].MeanHours, l.Least[year].Beds[bed].MeanHours
	return min(a, b, c), max(a, b, c)
}

func (l *Light) document() jsonLightDoc {
	doc := jsonLightDoc{Holding: l.report.Plan.Holding.Name, Season: light.Season(l.place.LatDeg), Years: []jsonLightYear{}, Falls: []jsonFall{},
		Buildings: []jsonLoss{}, Unknown: l.unknown(), Said: l.said(), Source: lightSource}
	for i, y := range l.Years {
		year := jsonLightYear{Year: y.Year, Beds: []jsonLightBed{}}
		for k, b := range y.Beds {
			least, greatest := l.span(i, k)
			bed := jsonLightBed{ID: b.Bed.ID, Name: b.Bed.Label(), Hours: map[string]float64{}, Mean: round(b.MeanHours, 3), Worst: round(b.WorstHours, 3),
				Range: [2]float64{round(least, 3), round(greatest, 3)}, Open: round(b.OpenHours, 3), TakenBy: taken(b.TakenBy)}
			for m, h := range b.Months {
				bed.Hours[strconv.Itoa(m+4)] = round(h, 3)
			}
			if w, ok := wanted(b.Bed); ok {
				bed.Wanted = &w
			}
			year.Beds = append(year.Beds, bed)
		}
		doc.Years = append(doc.Years, year)
	}
	for _, f := range l.Falls {
		doc.Falls = append(doc.Falls, jsonFall{f.Bed.ID, f.Bed.Label(), f.Wanted, round(f.Light.MeanHours, 3), reached(f.Earliest), reached(f.Year), reached(f.Latest), taken(f.Light.TakenBy)})
	}
	for _, b := range l.Losses {
		doc.Buildings = append(doc.Buildings, jsonLoss{b.Building.ID, b.Building.Label(), reached(b.Earliest), reached(b.Year), reached(b.Latest),
			round(b.Before, 3), round(b.Hours, 3), taken(b.TakenBy)})
	}
	return doc
}

// said is what holds for all years, in sentences.
func (l *Light) said() []string {
	out := []string{fmt.Sprintf("Hours on the 21st of each month, %s, all in leaf, on flat ground with a flat horizon.", light.Season(l.place.LatDeg))}
	if _, said := l.report.Stand.Winter(); said != "" {
		out = append(out, sentence(said))
	}
	if len(l.Losses) > 0 {
		out = append(out, sentence("A building is told of where less than 0.8 of its first sun is left: "+light.NoticedSource.String()))
	}
	return onceEach(out)
}

// WriteJSON writes it as the contract has it, with what is wanted, when a bed falls below it, and what is not known beside.
func (l *Light) WriteJSON(w io.Writer) error { return writeIndented(w, l.document()) }
