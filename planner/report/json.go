package report

import (
	"encoding/json"
	"io"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/check"
	"quickthorn/planner/setout"
)

// The object that `check --format json` writes. Field names are fixed: other programs read them.
type (
	jsonReport struct {
		File       string                 `json:"file"`
		Holding    string                 `json:"holding"`
		RuleSet    string                 `json:"rule_set"`
		Year       int                    `json:"year"`
		Areas      []jsonArea             `json:"areas"`
		Lines      []jsonLine             `json:"lines"`
		Windbreaks []jsonBelt             `json:"windbreaks"`
		Plants     jsonPlants             `json:"plants"`
		Findings   []jsonFinding          `json:"findings"`
		Counts     jsonCounts             `json:"counts"`
		Defaults   map[string]jsonDefault `json:"defaults"`
		Loosened   []jsonLoosened         `json:"loosened"`
	}
	jsonArea struct {
		ID         string             `json:"id"`
		Name       string             `json:"name"`
		Kind       string             `json:"kind"`
		AreaM2     *float64           `json:"area_m2"`
		PerimeterM *float64           `json:"perimeter_m"`
		Plants     int                `json:"plants"`
		MoistureM2 map[string]float64 `json:"moisture_m2"`
		Sampled    bool               `json:"moisture_sampled,omitempty"`
	}
	jsonLine struct {
		ID         string    `json:"id"`
		Name       string    `json:"name"`
		Kind       string    `json:"kind"`
		Status     string    `json:"status"`
		LengthM    float64   `json:"length_m"`
		Plants     int       `json:"plants"`
		PerMetre   float64   `json:"per_metre"`
		Gaps       []jsonGap `json:"gaps"`
		GapPercent float64   `json:"gap_percent"`
	}
	jsonGap struct {
		FromM   float64 `json:"from_m"`
		ToM     float64 `json:"to_m"`
		LengthM float64 `json:"length_m"`
		Action  string  `json:"action"`
		Plants  int     `json:"plants"`
		Would   int     `json:"would_take"`
		Gateway string  `json:"gateway,omitempty"`
	}
	jsonBelt struct {
		ID               string        `json:"id"`
		Name             string        `json:"name"`
		LengthM          float64       `json:"length_m"`
		HeightYear20M    *float64      `json:"height_year_20_m"`
		LengthToHeight   *float64      `json:"length_to_height"`
		DensityLeafOn    *float64      `json:"density_leaf_on_percent"`
		DensityLeafOff   *float64      `json:"density_leaf_off_percent"`
		DensityYear      *int          `json:"density_year"` // the year of the two: the one asked for, else 20
		InBand           *jsonBand     `json:"density_band"` // when it is as dense as its purpose wants; null where that is not known
		AngleOffSquare   float64       `json:"angle_off_square_deg"`
		Protects         []jsonShelter `json:"protects"`
		HeightConfidence string        `json:"height_confidence,omitempty"`
	}
	// jsonBand is in which years a belt comes into its band of density, and in which it grows too dense; null where it never does.
	jsonBand struct {
		Comes  *jsonYears `json:"comes"`
		Leaves *jsonYears `json:"leaves"`
	}
	jsonShelter struct {
		ID            string   `json:"id"`
		InsidePercent *float64 `json:"inside_percent"`
	}
	jsonPlants struct {
		Existing int `json:"existing"`
		Planned  int `json:"planned"`
	}
	jsonFinding struct {
		Key        string            `json:"key"`
		Rule       string            `json:"rule"`
		Severity   string            `json:"severity"`
		Message    string            `json:"message"`
		Features   []string          `json:"features"`
		At         *[2]float64       `json:"at"`
		Places     [][2]float64      `json:"places"`
		Measured   *float64          `json:"measured"`
		Limit      *float64          `json:"limit"`
		Unit       string            `json:"unit"`
		Count      int               `json:"count"`
		Source     string            `json:"source"`
		Confidence string            `json:"confidence"`
		Accepted   *planner.Accepted `json:"accepted"`
		Lapsed     string            `json:"lapsed,omitempty"`
		Cautions   []string          `json:"cautions"`
		Years      *jsonYears        `json:"years,omitempty"`
		Fix        *planner.Fix      `json:"fix,omitempty"`
	}
	// jsonYears is when a finding comes to pass; null for a year that is not reached within thirty.
	jsonYears struct {
		From *int `json:"from"`
		Mid  *int `json:"mid"`
		To   *int `json:"to"`
	}
	jsonCounts struct {
		Stop     int `json:"stop"`
		Warn     int `json:"warn"`
		Note     int `json:"note"`
		Accepted int `json:"accepted"`
	}
	jsonDefault struct {
		Value    any      `json:"value"`
		Features []string `json:"features"`
	}
	jsonLoosened struct {
		Rule   string `json:"rule"`
		Limit  string `json:"limit"`
		Now    string `json:"now"`
		Was    string `json:"was"`
		Reason string `json:"reason"`
	}
)

// WriteJSON writes the report as one JSON object on one line, so that several make JSON Lines.
func (r *Report) WriteJSON(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(r.json())
}

// Refused is the object for a file that could not be used.
type Refused struct {
	File  string `json:"file"`
	Error string `json:"error"`
}

// WriteRefused writes the object for a file that could not be used.
func WriteRefused(w io.Writer, file string, err error) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(Refused{File: file, Error: err.Error()})
}

func (r *Report) json() jsonReport {
	c := r.Count()
	out := jsonReport{File: r.File, Holding: r.Plan.Holding.Name, RuleSet: r.SetName, Year: r.Year,
		Areas: r.areas(), Lines: r.lines(), Windbreaks: r.belts(), Findings: r.jsonFindings(),
		Counts:   jsonCounts(c),
		Defaults: r.defaults(), Loosened: []jsonLoosened{}}
	r.Out.Each(func(p *setout.Plant) bool {
		if p.Listed {
			out.Plants.Planned++
		} else {
			out.Plants.Existing++
		}
		return true
	})
	for _, l := range r.Loosened {
		out.Loosened = append(out.Loosened, jsonLoosened{Rule: l.Limit.Rule, Limit: l.Limit.Name, Now: l.Limit.String(), Was: l.Was.String(), Reason: l.Reason})
	}
	return out
}

// areas lists parcels, beds, orchards and groves by id.
func (r *Report) areas() []jsonArea {
	out := []jsonArea{}
	counts := r.areaCounts()
	for _, f := range r.Plan.Features {
		switch f.Kind {
		case planner.KindParcel, planner.KindBed, planner.KindOrchard, planner.KindGrove:
		default:
			continue
		}
		a := jsonArea{ID: f.ID, Name: f.Name, Kind: string(f.Kind), Plants: counts[f.ID], MoistureM2: map[string]float64{}}
		if f.Sound && len(f.Shape.Polygons) > 0 {
			area, around := round(geo.MultiArea(f.Shape.Polygons), 2), round(geo.MultiPerimeter(f.Shape.Polygons), 3)
			a.AreaM2, a.PerimeterM = &area, &around
			parts, exact := r.Site.MoistureAreas(f.Shape.Polygons)
			a.Sampled = !exact
			a.MoistureM2 = roundParts(parts, area)
		}
		out = append(out, a)
	}
	return out
}

// roundParts rounds the areas by ground class to 0.01 m2 so that they still add up to the whole: the largest part takes the rest.
func roundParts(parts map[planner.Moisture]float64, whole float64) map[string]float64 {
	out := map[string]float64{}
	var sum float64
	var largest planner.Moisture
	for _, m := range planner.Moistures {
		v := round(parts[m], 2)
		if v == 0 {
			continue
		}
		out[string(m)] = v
		sum += v
		if largest == "" || parts[m] > parts[largest] {
			largest = m
		}
	}
	if largest != "" {
		out[string(largest)] = round(out[string(largest)]+whole-sum, 2)
	}
	return out
}

// areaCounts counts listed plants by the list area they count to.
func (r *Report) areaCounts() map[string]int {
	n := map[string]int{}
	r.Out.Each(func(p *setout.Plant) bool {
		if p.Listed {
			n[r.Assigned.Of(p)]++
		}
		return true
	})
	return n
}

// lines lists hedges, windbreaks and rows by id.
func (r *Report) lines() []jsonLine {
	out := []jsonLine{}
	for _, l := range r.Out.Layouts {
		if l.Line == nil {
			continue
		}
		f := l.Feature
		j := jsonLine{ID: f.ID, Name: f.Name, Kind: string(f.Kind), Status: string(f.Status), LengthM: round(l.Line.LengthM, 3),
			PerMetre: round(l.Line.PerMetre, 3), Gaps: []jsonGap{}, GapPercent: round(l.Line.GapPercent, 2)}
		for i := range l.Plants {
			if l.Plants[i].Listed {
				j.Plants++
			}
		}
		for _, o := range l.Line.Openings {
			j.Gaps = append(j.Gaps, jsonGap{FromM: round(o.FromM, 3), ToM: round(o.ToM, 3), LengthM: round(o.Length(), 3), Action: string(o.Action),
				Plants: o.Plants, Would: o.Would, Gateway: o.Gateway})
		}
		out = append(out, j)
	}
	return out
}

func (r *Report) belts() []jsonBelt {
	out := []jsonBelt{}
	for _, b := range check.Belts(r.Input()) {
		j := jsonBelt{ID: b.Feature.ID, Name: b.Feature.Name, LengthM: round(b.LengthM, 3), AngleOffSquare: round(b.AngleOffSquareDeg, 1), Protects: []jsonShelter{}}
		if b.HeightYear20.Known {
			h, ratio := round(b.HeightYear20.V, 2), round(b.LengthM/b.HeightYear20.V, 2)
			j.HeightYear20M, j.LengthToHeight, j.HeightConfidence = &h, &ratio, string(b.HeightYear20.Source.Confidence)
		}
		if b.DensityKnown {
			on, off := round(b.DensityLeafOn, 1), round(b.DensityLeafOff, 1)
			j.DensityLeafOn, j.DensityLeafOff, j.DensityYear = &on, &off, &b.DensityYear
			if b.Band != nil {
				j.InBand = &jsonBand{yearsJSON(everOf(b.Band.In)), yearsJSON(everOf(b.Band.Out))}
			}
		}
		for _, s := range b.Protects {
			p := jsonShelter{ID: s.ID}
			if s.Known {
				v := round(s.InsidePercent, 1)
				p.InsidePercent = &v
			}
			j.Protects = append(j.Protects, p)
		}
		out = append(out, j)
	}
	return out
}

// everOf is nil for what never comes.
func everOf(y planner.Years) *planner.Years {
	if y.From >= planner.Never {
		return nil
	}
	return &y
}

func (r *Report) jsonFindings() []jsonFinding {
	out := []jsonFinding{}
	for _, f := range r.Findings {
		j := jsonFinding{Key: f.Key, Rule: f.Rule, Severity: string(f.Severity), Message: f.Message, Features: f.Features, Places: [][2]float64{},
			Measured: rounded(f.Measured), Limit: rounded(f.Limit), Unit: f.Unit, Count: f.Count, Source: f.Source.Text,
			Confidence: string(f.Source.Confidence), Accepted: f.Accepted, Lapsed: f.Lapsed, Cautions: f.Cautions, Years: yearsJSON(f.Years), Fix: f.Fix}
		if j.Features == nil {
			j.Features = []string{}
		}
		if j.Cautions == nil {
			j.Cautions = []string{}
		}
		if f.HasAt {
			at := r.lonLat(f.At)
			j.At = &at
		}
		for _, p := range f.Places {
			j.Places = append(j.Places, r.lonLat(p))
		}
		out = append(out, j)
	}
	return out
}

func (r *Report) lonLat(p orb.Point) [2]float64 {
	ll := r.Plan.Frame.ToLonLat(p)
	return [2]float64{round(ll[0], 9), round(ll[1], 9)}
}

// defaults lists every default that was used, those of the vocabulary and those of the rule set.
func (r *Report) defaults() map[string]jsonDefault {
	out := map[string]jsonDefault{}
	for key, use := range planner.Defaults(r.Plan) {
		out[key] = jsonDefault{Value: use.Value, Features: use.Features}
	}
	for key, use := range setout.Defaults(r.Plan, r.Out, r.Set) {
		out[key] = jsonDefault{Value: use.Value, Features: use.Features}
	}
	return out
}

func round(v float64, decimals int) float64 {
	k := math.Pow(10, float64(decimals))
	r := math.Round(v*k) / k
	if r == 0 {
		return 0 // never a negative zero
	}
	return r
}

func rounded(v *float64) *float64 {
	if v == nil || math.IsNaN(*v) || math.IsInf(*v, 0) {
		return nil
	}
	r := round(*v, 3)
	return &r
}

// WriteGeoJSON writes the findings as a FeatureCollection: one Point per finding that has a place on the map, a null geometry
// for the others, so that none is lost.
func (r *Report) WriteGeoJSON(w io.Writer) error {
	type geometry struct {
		Type        string     `json:"type"`
		Coordinates [2]float64 `json:"coordinates"`
	}
	type feature struct {
		Type       string      `json:"type"`
		ID         string      `json:"id"`
		Properties jsonFinding `json:"properties"`
		Geometry   *geometry   `json:"geometry"`
	}
	out := struct {
		Type     string    `json:"type"`
		Features []feature `json:"features"`
	}{Type: "FeatureCollection", Features: []feature{}}
	for _, f := range r.jsonFindings() {
		g := feature{Type: "Feature", ID: f.Key, Properties: f}
		if f.At != nil {
			g.Geometry = &geometry{Type: "Point", Coordinates: *f.At}
		}
		out.Features = append(out.Features, g)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(out)
}

func yearsJSON(y *planner.Years) *jsonYears {
	if y == nil {
		return nil
	}
	year := func(n int) *int {
		if n >= planner.Never {
			return nil
		}
		return &n
	}
	return &jsonYears{From: year(y.From), Mid: year(y.Mid), To: year(y.To)}
}
