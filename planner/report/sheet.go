package report

import (
	"encoding/json"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// A Sheet is what the page draws: the plan in metres of its frame (x east, y north, to the millimetre) with every position,
// its crown when grown, and the findings with the numbers that stand on the sheet and in the notebook alike.
type Sheet struct {
	Holding   json.RawMessage `json:"holding"` // the holding member as it is kept
	Name      string          `json:"name"`
	RuleSet   string          `json:"rule_set"`
	Year      int             `json:"year"`
	Origin    [2]float64      `json:"origin"`
	WindFrom  float64         `json:"wind_from_deg"`
	Box       *[4]float64     `json:"box"` // west, south, east, north; null where nothing is drawn
	Features  []SheetFeature  `json:"features"`
	Species   []SheetSpecies  `json:"species"`
	Plants    []SheetPlant    `json:"plants"`
	Sizes     []SheetSizes    `json:"sizes"` // plants name theirs by its place in the list
	Findings  []SheetFinding  `json:"findings"`
	Counts    jsonCounts      `json:"counts"`
	Later     []string        `json:"later"`  // rules that were left out for speed: ask for the sheet again
	Events    []SheetEvent    `json:"events"` // what changes when
	Planned   int             `json:"planned"`
	Standing  int             `json:"existing"`
	HedgeM    float64         `json:"hedge_m"`
	ParcelsM2 float64         `json:"parcels_m2"`
	Loosened  []jsonLoosened  `json:"loosened"`
}

// A SheetFeature is a feature as drawn, with what was measured of it.
type SheetFeature struct {
	ID         string                     `json:"id"`
	Kind       string                     `json:"kind"`
	Label      string                     `json:"label"`
	Status     string                     `json:"status"`
	Sound      bool                       `json:"sound"`
	Geometry   *SheetGeometry             `json:"geometry"`   // null where there is none to draw
	Properties map[string]json.RawMessage `json:"properties"` // as in the file
	Defaults   map[string]any             `json:"defaults"`   // what holds for the properties that are not stated
	AreaM2     *float64                   `json:"area_m2,omitempty"`
	PerimeterM *float64                   `json:"perimeter_m,omitempty"`
	MoistureM2 map[string]float64         `json:"moisture_m2,omitempty"`
	LengthM    *float64                   `json:"length_m,omitempty"`
	GapPercent *float64                   `json:"gap_percent,omitempty"`
	Openings   []SheetOpening             `json:"openings,omitempty"`
	Rows       []SheetRow                 `json:"rows,omitempty"`
	Plants     int                        `json:"plants"`         // listed plants that the feature sets out
	InArea     int                        `json:"plants_in_area"` // listed plants that count to it as a list area
	Area       string                     `json:"area"`           // list area that its plants count to, "" where they count to several
	Failed     string                     `json:"failed,omitempty"`
	Pattern    string                     `json:"pattern,omitempty"`
	SpacingM   float64                    `json:"spacing_m,omitempty"`
	BearingDeg *float64                   `json:"bearing_deg,omitempty"`
	// Grows is how a hedge or a row grows, a *SheetGrowth; of a windbreak []*SheetGrowth by row.
	Grows any `json:"grows,omitempty"`
}

// SheetGeometry is a GeoJSON geometry whose coordinates are metres.
type SheetGeometry struct {
	Type        string `json:"type"`
	Coordinates any    `json:"coordinates"`
}

// A SheetOpening is a gap or gateway with the two places on the line.
type SheetOpening struct {
	jsonGap
	A [2]float64 `json:"a"`
	B [2]float64 `json:"b"`
}

// A SheetRow is one row of plants as pegged out.
type SheetRow struct {
	Row      int          `json:"row"`
	OffsetM  float64      `json:"offset_m"`
	SpacingM float64      `json:"spacing_m"`
	Plants   int          `json:"plants"`
	Path     [][2]float64 `json:"path"`
}

// SheetSpecies is a species in use on the sheet; plants name it by its place in the list.
type SheetSpecies struct {
	ID        string `json:"id"` // "" for a name that the catalogue does not know
	Name      string `json:"name"`
	Botanical string `json:"botanical"`
	Sign      string `json:"sign"` // conifer, tree, fruit, bush, unknown: the sign it is drawn with
}

// A SheetPlant is [feature, species, x, y, crown diameter in metres when grown (0 unknown), 1 where it is to be planted and 0
// where it stands, row, number, its series in sizes]: an array, since there are thousands.
type SheetPlant [9]float64

// A SheetFinding is a finding with its number, in metres.
type SheetFinding struct {
	N int `json:"n"`
	jsonFinding
	X      *float64     `json:"x"`
	Y      *float64     `json:"y"`
	Metres [][2]float64 `json:"metres"` // its places in metres
}

// Sheet makes the sheet. SetOut and Check come first.
func (r *Report) Sheet() *Sheet {
	c := r.Count()
	h := &r.Plan.Holding
	s := &Sheet{Holding: r.Plan.HoldingJSON(), Name: h.Name, RuleSet: r.SetName, Year: r.Year, WindFrom: h.WorstWindDeg(),
		Origin: [2]float64{r.Plan.Frame.Origin()[0], r.Plan.Frame.Origin()[1]}, Features: []SheetFeature{}, Species: []SheetSpecies{}, Plants: []SheetPlant{}, Sizes: []SheetSizes{},
		Findings: []SheetFinding{}, Counts: jsonCounts(c), Later: append([]string{}, r.Later...), Loosened: []jsonLoosened{}}
	areas := map[string]jsonArea{}
	for _, a := range r.areas() {
		areas[a.ID] = a
		if a.Kind == "parcel" && a.AreaM2 != nil {
			s.ParcelsM2 += *a.AreaM2
		}
	}
	defaults := r.defaultsByFeature()
	index := map[string]int{}
	stand := r.Stand
	for _, f := range r.Plan.Features {
		index[f.ID] = len(s.Features)
		s.Features = append(s.Features, r.sheetFeature(f, areas, defaults[f.ID]))
		s.Features[len(s.Features)-1].Grows = sheetGrows(stand, r.Out.Of(f.ID))
		s.extend(f.Shape)
		if l := r.Out.Of(f.ID); l != nil && l.Line != nil && f.Kind == planner.KindHedge {
			s.HedgeM += l.Line.LengthM
		}
	}
	r.sheetPlants(s, stand, index)
	for i, f := range r.jsonFindings() {
		s.Findings = append(s.Findings, r.sheetFinding(i, f))
	}
	for _, l := range r.Loosened {
		s.Loosened = append(s.Loosened, jsonLoosened{Rule: l.Limit.Rule, Limit: l.Limit.Name, Now: l.Limit.String(), Was: l.Was.String(), Reason: l.Reason})
	}
	s.Events = r.events()
	s.HedgeM, s.ParcelsM2 = round(s.HedgeM, 3), round(s.ParcelsM2, 2)
	return s
}

func (s *Sheet) extend(shape planner.Shape) {
	if shape.Empty() {
		return
	}
	b := shape.Bound()
	if s.Box == nil {
		s.Box = &[4]float64{b.Min[0], b.Min[1], b.Max[0], b.Max[1]}
		return
	}
	s.Box[0], s.Box[1] = math.Min(s.Box[0], b.Min[0]), math.Min(s.Box[1], b.Min[1])
	s.Box[2], s.Box[3] = math.Max(s.Box[2], b.Max[0]), math.Max(s.Box[3], b.Max[1])
}

func (r *Report) sheetFeature(f *planner.Feature, areas map[string]jsonArea, defaults map[string]any) SheetFeature {
	out := SheetFeature{ID: f.ID, Kind: string(f.Kind), Label: f.Label(), Status: string(f.Status), Sound: f.Sound,
		Geometry: geometryOf(f), Properties: f.Properties(), Defaults: defaults}
	if out.Defaults == nil {
		out.Defaults = map[string]any{}
	}
	if a, ok := areas[f.ID]; ok {
		out.AreaM2, out.PerimeterM, out.MoistureM2, out.InArea = a.AreaM2, a.PerimeterM, a.MoistureM2, a.Plants
	} else if f.Sound && len(f.Shape.Polygons) > 0 {
		area, around := round(geo.MultiArea(f.Shape.Polygons), 2), round(geo.MultiPerimeter(f.Shape.Polygons), 3)
		out.AreaM2, out.PerimeterM = &area, &around
	}
	if f.Sound && len(f.Shape.Lines) > 0 {
		length := 0.0
		for _, l := range f.Shape.Lines {
			length += geo.Length(l)
		}
		length = round(length, 3)
		out.LengthM = &length
	}
	if l := r.Out.Of(f.ID); l != nil {
		r.sheetLayout(&out, l)
	}
	return out
}

func (r *Report) sheetLayout(out *SheetFeature, l *setout.Layout) {
	out.Failed = l.Failed
	for i := range l.Plants {
		if l.Plants[i].Listed {
			out.Plants++
		}
	}
	if area, one := r.Assigned.Whole(l.Feature.ID); one {
		out.Area = area
	}
	if l.Pattern != "" {
		bearing := round(l.BearingDeg, 2)
		out.Pattern, out.SpacingM, out.BearingDeg = l.Pattern, round(l.SpacingM, 3), &bearing
	}
	if l.Line == nil {
		return
	}
	length, gaps := round(l.Line.LengthM, 3), round(l.Line.GapPercent, 2)
	out.LengthM, out.GapPercent = &length, &gaps
	for _, o := range l.Line.Openings {
		out.Openings = append(out.Openings, SheetOpening{jsonGap: jsonGap{FromM: round(o.FromM, 3), ToM: round(o.ToM, 3), LengthM: round(o.Length(), 3),
			Action: string(o.Action), Plants: o.Plants, Would: o.Would, Gateway: o.Gateway}, A: metres(o.A), B: metres(o.B)})
	}
	for _, row := range l.Rows {
		s := SheetRow{Row: row.Row, OffsetM: round(row.OffsetM, 3), SpacingM: round(row.SpacingM, 3), Plants: row.Plants, Path: [][2]float64{}}
		for _, p := range row.Path {
			s.Path = append(s.Path, metres(p))
		}
		out.Rows = append(out.Rows, s)
	}
}

// sheetPlants lists the positions, and the species they name.
func (r *Report) sheetPlants(s *Sheet, stand *growth.Stand, index map[string]int) {
	known := map[string]int{}
	sizes := newSeries(s, stand)
	r.Out.Each(func(p *setout.Plant) bool {
		key := p.Name
		if p.Species != nil {
			key = "\x00" + p.Species.ID
		}
		at, ok := known[key]
		if !ok {
			at = len(s.Species)
			known[key] = at
			s.Species = append(s.Species, sheetSpecies(p))
		}
		planned := 0.0
		if p.Listed {
			planned = 1
			s.Planned++
		} else {
			s.Standing++
		}
		s.Plants = append(s.Plants, SheetPlant{float64(index[p.Feature.ID]), float64(at), round(p.At[0], 3), round(p.At[1], 3), crown(p, r.Catalogue), planned, float64(p.Row), float64(p.Number), float64(sizes.of(p))})
		return true
	})
}

func sheetSpecies(p *setout.Plant) SheetSpecies {
	if p.Species == nil {
		return SheetSpecies{Name: p.Name, Sign: "unknown"}
	}
	sp := p.Species
	sign := "tree"
	switch {
	case sp.Habit == species.Conifer:
		sign = "conifer"
	case sp.Layer != species.TreeLayer:
		sign = "bush"
	case sp.Crop:
		sign = "fruit"
	}
	return SheetSpecies{ID: sp.ID, Name: sp.Name(), Botanical: sp.Botanical, Sign: sign}
}

// crown is the diameter of a plant's crown when grown: what the plan says of one that stands, the rootstock's, else the catalogue's;
// 0 where it is not known.
func crown(p *setout.Plant, cat *species.Catalogue) float64 {
	if d, ok := p.Feature.Detail.(*planner.Plant); ok && d.SpreadM > 0 {
		return round(d.SpreadM, 2)
	}
	if h, ok := p.Feature.Detail.(*planner.Hedge); ok && p.Use != setout.UseTree {
		if h.WidthM > 0 {
			return round(math.Min(h.WidthM, 1.5), 2)
		}
		return 1
	}
	if p.Species == nil {
		return 0
	}
	if p.Rootstock != "" {
		if stock, _ := cat.Rootstock(p.Species, p.Rootstock); stock != nil && stock.Spread.Known {
			return round(stock.Spread.Usual, 2)
		}
	}
	if p.Species.Spread.Known {
		return round(p.Species.Spread.Usual, 2)
	}
	return 0
}

func (r *Report) sheetFinding(i int, f jsonFinding) SheetFinding {
	out := SheetFinding{N: i + 1, jsonFinding: f, Metres: [][2]float64{}}
	src := r.Findings[i]
	if src.HasAt {
		x, y := round(src.At[0], 3), round(src.At[1], 3)
		out.X, out.Y = &x, &y
	}
	for _, p := range src.Places {
		out.Metres = append(out.Metres, metres(p))
	}
	return out
}

// defaultsByFeature turns the list of defaults round: what holds for each feature.
func (r *Report) defaultsByFeature() map[string]map[string]any {
	out := map[string]map[string]any{}
	for key, use := range r.defaults() {
		_, property, ok := cutKey(key)
		if !ok {
			continue
		}
		for _, id := range use.Features {
			if out[id] == nil {
				out[id] = map[string]any{}
			}
			out[id][property] = use.Value
		}
	}
	return out
}

// cutKey splits "hedge.row_gap_m" into kind and property.
func cutKey(key string) (kind, property string, ok bool) {
	for i := range len(key) {
		if key[i] == '.' {
			return key[:i], key[i+1:], true
		}
	}
	return "", key, false
}

func metres(p orb.Point) [2]float64 { return [2]float64{round(p[0], 3), round(p[1], 3)} }

// geometryOf is the shape as it is computed with, as GeoJSON in metres; null where there is none.
func geometryOf(f *planner.Feature) *SheetGeometry {
	line := func(l []orb.Point) [][2]float64 {
		out := make([][2]float64, len(l))
		for i, p := range l {
			out[i] = metres(p)
		}
		return out
	}
	poly := func(p orb.Polygon) [][][2]float64 {
		out := make([][][2]float64, len(p))
		for i, ring := range p {
			out[i] = line(ring)
		}
		return out
	}
	s := f.Shape
	switch {
	case len(s.Points) == 1:
		return &SheetGeometry{"Point", metres(s.Points[0])}
	case len(s.Points) > 1:
		return &SheetGeometry{"MultiPoint", line(s.Points)}
	case len(s.Lines) == 1:
		return &SheetGeometry{"LineString", line(s.Lines[0])}
	case len(s.Lines) > 1:
		out := [][][2]float64{}
		for _, l := range s.Lines {
			out = append(out, line(l))
		}
		return &SheetGeometry{"MultiLineString", out}
	case len(s.Polygons) == 1:
		return &SheetGeometry{"Polygon", poly(s.Polygons[0])}
	case len(s.Polygons) > 1:
		out := [][][][2]float64{}
		for _, p := range s.Polygons {
			out = append(out, poly(p))
		}
		return &SheetGeometry{"MultiPolygon", out}
	}
	return nil
}
