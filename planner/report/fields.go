package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner/growth"
	"quickthorn/planner/shelter"
)

// FieldYears are the years of shelter and light that are shown where nobody asks for others.
var FieldYears = slices.Clone(shelter.Years)

// ByYears is shelter or light through the years.
type ByYears interface {
	WriteText(w io.Writer, opt TextOptions) error
	WriteJSON(w io.Writer) error
	WriteGeoJSON(w io.Writer, fields []*Field) error
}

// A FieldBand is the ground on which a field lies from From up to To.
type FieldBand struct {
	From, To float64
	Words    string // what that is called
	Ground   orb.MultiPolygon
	AreaM2   float64 // of it
}

// A Field is one figure over the holding's ground in one year, as bands.
type Field struct {
	What   string // shelter or light
	Title  string
	Unit   string
	Year   int
	Raster *geo.Raster
	Bands  []FieldBand // those without ground too
	Said   []string
}

// band is a step of a field's scale.
type band struct {
	from, to float64
	words    string
}

// shelterBands are steps of the wind left, percent of the open wind. What is above the last is open.
var shelterBands = []band{{0, 20, "very calm"}, {20, 40, "calm"}, {40, 60, "sheltered"}, {60, 80, "somewhat sheltered"}, {80, 99.5, "nearly open"}}

// lightBands are steps of the hours of direct sun a day. Full sun is 6 hours and more, part sun 4 to 6, part shade 2 to 4, shade less
// than 2 (Penn State Extension).
var lightBands = []band{{0, 2, "shade"}, {2, 4, "part shade"}, {4, 6, "part sun"}, {6, 8, "full sun"}, {8, 10, "full sun"}, {10, 24, "full sun"}}

// band cuts the raster at the steps of a scale, and each band along the edge of the land where there is one. A band of more corners
// than geo.Clip takes (of large holdings) ends at whole cells, which is said.
func (f *Field) band(steps []band, land orb.MultiPolygon) {
	edges := []float64{steps[0].from}
	for _, s := range steps {
		edges = append(edges, s.to)
	}
	cut := geo.Bands(f.Raster, edges)
	f.Bands = make([]FieldBand, 0, len(cut))
	var whole []string
	for i, b := range cut {
		if len(land) > 0 && len(b.Polygons) > 0 {
			if within, err := geo.Clip(b.Polygons, land); err == nil {
				b.Polygons = within
			} else {
				whole = append(whole, fmt.Sprintf("%g to %g", steps[i].from, steps[i].to))
			}
		}
		f.Bands = append(f.Bands, FieldBand{From: steps[i].from, To: steps[i].to, Words: steps[i].words, Ground: b.Polygons, AreaM2: geo.MultiArea(b.Polygons)})
	}
	if len(whole) > 0 {
		f.Said = append(f.Said, fmt.Sprintf("Bands with too many corners to be cut along the edge of the land end at whole cells of %g m: %s %s.", f.Raster.Cell, strings.Join(whole, ", "), f.Unit))
	}
}

// rangeOf is the least and greatest figure of a raster; zeros where it has none.
func rangeOf(r *geo.Raster) (least, greatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	for _, v := range r.Values {
		if !math.IsNaN(v) {
			least, greatest = math.Min(least, v), math.Max(greatest, v)
		}
	}
	if least > greatest {
		return 0, 0
	}
	return least, greatest
}

// onGround leaves out the cells of a raster whose middle lies outside the holding's parcels by more than a cell, so that a field
// ends where the land does. Without parcels it is left as it is.
func onGround(r *geo.Raster, ground *geo.Region) *geo.Raster {
	if ground == nil {
		return r
	}
	out := &geo.Raster{Grid: r.Grid, Values: slices.Clone(r.Values)}
	for j := range r.Ny {
		for i := range r.Nx {
			if p := r.Middle(i, j); !ground.Contains(p) && ground.DistToEdge(p) > r.Cell {
				out.Values[j*r.Nx+i] = math.NaN()
			}
		}
	}
	return out
}

// ground is the land of the holding: its parcels to look places up in, and all of them as one, nil where that cannot be had; nil
// where none is drawn.
func (r *Report) ground() (*geo.Region, orb.MultiPolygon) {
	parcels, _ := shelter.Ground(r.Plan)
	if len(parcels) == 0 {
		return nil, nil
	}
	var land orb.MultiPolygon
	for _, one := range parcels { // one by one: they may overlap
		next, err := geo.Union(land, orb.MultiPolygon{one})
		if err != nil {
			return geo.NewRegion(parcels), nil
		}
		land = next
	}
	return geo.NewRegion(parcels), land
}

// YearsWithin are the years asked for that are looked at, in order, each once; FieldYears where none is asked for.
func YearsWithin(years []int) []int {
	if len(years) == 0 {
		return slices.Clone(FieldYears)
	}
	out := slices.DeleteFunc(slices.Clone(years), func(y int) bool { return y < 0 || y > growth.LastYear })
	slices.Sort(out)
	return slices.Compact(out)
}

// FieldsOf is the field of each of the years.
func FieldsOf(years []int, of func(year int) (*Field, error)) ([]*Field, error) {
	var out []*Field
	for _, y := range years {
		f, err := of(y)
		if err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, nil
}

// onceEach keeps the first of sentences that say the same, in order.
func onceEach(list []string) []string {
	out := []string{}
	for _, s := range list {
		if s = strings.TrimSpace(s); s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

// jsonUnknown is what could not be taken into account.
type jsonUnknown struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Why  string `json:"why"`
}

// jsonShare is what part one feature has.
type jsonShare struct {
	ID      string  `json:"id"`
	Name    string  `json:"name"`
	Percent float64 `json:"share_percent"`
}

// finite is a figure rounded for output; nothing where it is not a number.
func finite(v float64, decimals int) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	v = round(v, decimals)
	return &v
}
