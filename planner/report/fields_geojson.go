package report

import (
	"encoding/json"
	"io"

	"github.com/paulmach/orb"

	"quickthorn/geo"
)

// A fieldFeature is a band or a bed as GeoJSON.
type fieldFeature struct {
	Type       string         `json:"type"`
	ID         string         `json:"id"`
	Properties map[string]any `json:"properties"`
	Geometry   *areaGeometry  `json:"geometry"`
}

type areaGeometry struct {
	Type        string           `json:"type"`
	Coordinates [][][][2]float64 `json:"coordinates"`
}

// lonLat is ground as a MultiPolygon in longitude and latitude, 9 decimals.
func lonLat(f geo.Frame, g orb.MultiPolygon) *areaGeometry {
	out := &areaGeometry{Type: "MultiPolygon", Coordinates: [][][][2]float64{}}
	for _, p := range g {
		var rings [][][2]float64
		for _, r := range p {
			ring := make([][2]float64, len(r))
			for i, q := range r {
				ll := f.ToLonLat(q)
				ring[i] = [2]float64{round(ll[0], 9), round(ll[1], 9)}
			}
			rings = append(rings, ring)
		}
		out.Coordinates = append(out.Coordinates, rings)
	}
	return out
}

// writeField writes the bands of a field that have ground, then the beds with their figures, as a FeatureCollection.
func (r *Report) writeField(w io.Writer, fields []*Field, beds []fieldFeature, source string) error {
	out := struct {
		Type     string         `json:"type"`
		Source   string         `json:"source"`
		Said     []string       `json:"said"`
		Features []fieldFeature `json:"features"`
	}{Type: "FeatureCollection", Source: source, Features: []fieldFeature{}}
	var said []string
	for _, f := range fields {
		for i, b := range f.Bands {
			if len(b.Ground) == 0 {
				continue
			}
			out.Features = append(out.Features, fieldFeature{Type: "Feature", ID: bandID(f, i), Geometry: lonLat(r.Plan.Frame, b.Ground),
				Properties: map[string]any{"field": f.What, "year": f.Year, "from": b.From, "to": b.To, "unit": f.Unit, "words": b.Words, "area_m2": round(b.AreaM2, 2)}})
		}
		said = append(said, f.Said...)
	}
	out.Said = onceEach(said)
	out.Features = append(out.Features, beds...)
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(out)
}

func bandID(f *Field, i int) string {
	return f.What + "-" + figure(float64(f.Year)) + "-" + figure(f.Bands[i].From)
}

// WriteGeoJSON writes the fields, one for each year, with the beds' figures. Each field is of this report.
func (s *Shelter) WriteGeoJSON(w io.Writer, fields []*Field) error {
	var beds []fieldFeature
	doc := s.document()
	for i, y := range doc.Years {
		for k, b := range y.Beds {
			p := map[string]any{"field": "shelter", "bed": b.ID, "name": b.Name, "year": y.Year, "mean_wind_percent": b.Mean, "least_wind_percent": b.Least,
				"greatest_wind_percent": b.Greatest, "mean_wind_percent_bare": b.LeafOff.Mean}
			beds = append(beds, fieldFeature{Type: "Feature", ID: "shelter-" + figure(float64(y.Year)) + "-bed-" + b.ID, Properties: p,
				Geometry: lonLat(s.report.Plan.Frame, s.Years[i].Beds[k].Feature.Shape.Polygons)})
		}
	}
	return s.report.writeField(w, fields, beds, shelterSource)
}

// WriteGeoJSON writes the fields, one for each year, with the beds' figures. Each field is of this report.
func (l *Light) WriteGeoJSON(w io.Writer, fields []*Field) error {
	var beds []fieldFeature
	doc := l.document()
	for i, y := range doc.Years {
		for k, b := range y.Beds {
			p := map[string]any{"field": "light", "bed": b.ID, "name": b.Name, "year": y.Year, "mean_hours": b.Mean, "worst_hours": b.Worst, "wanted_hours": b.Wanted}
			beds = append(beds, fieldFeature{Type: "Feature", ID: "light-" + figure(float64(y.Year)) + "-bed-" + b.ID, Properties: p,
				Geometry: lonLat(l.report.Plan.Frame, l.Years[i].Beds[k].Bed.Shape.Polygons)})
		}
	}
	return l.report.writeField(w, fields, beds, lightSource)
}

// FieldJSON is a field as the page draws it: rings in metres of the sheet, filled by the even-odd rule, to the centimetre.
type FieldJSON struct {
	Year     int             `json:"year"`
	Unit     string          `json:"unit"`
	CellM    float64         `json:"cell_m"`
	Least    float64         `json:"least"`
	Greatest float64         `json:"greatest"`
	Bands    []FieldBandJSON `json:"bands"`
	Said     []string        `json:"said"`
}

// FieldBandJSON is one band of it.
type FieldBandJSON struct {
	From   float64        `json:"from"`
	To     float64        `json:"to"`
	AreaM2 float64        `json:"area_m2"`
	Words  string         `json:"words"`
	Rings  [][][2]float64 `json:"rings"`
}

// JSON is the field for the page.
func (f *Field) JSON() FieldJSON {
	least, greatest := rangeOf(f.Raster)
	out := FieldJSON{Year: f.Year, Unit: f.Unit, CellM: f.Raster.Cell, Least: round(least, 2), Greatest: round(greatest, 2), Bands: []FieldBandJSON{}, Said: append([]string{}, f.Said...)}
	for _, b := range f.Bands {
		j := FieldBandJSON{From: b.From, To: b.To, AreaM2: round(b.AreaM2, 2), Words: b.Words, Rings: [][][2]float64{}}
		for _, p := range b.Ground {
			for _, r := range p {
				ring := make([][2]float64, len(r))
				for i, q := range r {
					ring[i] = [2]float64{round(q[0], 2), round(q[1], 2)}
				}
				j.Rings = append(j.Rings, ring)
			}
		}
		out.Bands = append(out.Bands, j)
	}
	return out
}
