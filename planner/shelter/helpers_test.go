package shelter

import (
	"context"
	"encoding/json"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

var _ Stand = (*growth.Stand)(nil)

type props = map[string]any

// draw is one drawn thing; its positions are metres from the plan's origin, near enough.
func draw(origin orb.Point, id, kind, shape string, p props, at ...orb.Point) props {
	var pos []orb.Point
	for _, q := range at {
		pos = append(pos, orb.Point{origin[0] + q[0]/111320/math.Cos(origin[1]*math.Pi/180), origin[1] + q[1]/110574})
	}
	var coords any = pos
	if shape == "Polygon" {
		coords = [][]orb.Point{append(pos, pos[0])}
	}
	all := props{"kind": kind}
	for k, v := range p {
		all[k] = v
	}
	return props{"type": "Feature", "id": id, "properties": all, "geometry": props{"type": shape, "coordinates": coords}}
}

func grow(t testing.TB, data []byte) (*planner.Plan, *growth.Stand) {
	t.Helper()
	plan, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	cat, err := species.Default()
	require.NoError(t, err)
	lib, err := rules.Default()
	require.NoError(t, err)
	set, err := lib.Set(plan.Holding.RuleSet)
	require.NoError(t, err)
	out, err := setout.All(context.Background(), plan, cat, set)
	require.NoError(t, err)
	return plan, growth.New(plan, out, cat, set)
}

func planOf(t testing.TB, holding props, features ...props) (*planner.Plan, *growth.Stand) {
	t.Helper()
	data, err := json.Marshal(props{"type": "FeatureCollection", "holding": holding, "features": features})
	require.NoError(t, err)
	return grow(t, data)
}

func thing(id string, k planner.Kind, d any) *planner.Feature {
	return &planner.Feature{ID: id, Kind: k, Sound: true, Detail: d}
}

// line is a barrier of one row.
func line(id string, height, width, porosity float64, runs ...orb.LineString) Barrier {
	return Barrier{Feature: thing(id, planner.KindHedge, &planner.Hedge{}), Rows: []Row{{Runs: runs, HeightM: height, WidthM: width, Porosity: porosity}}}
}

func house(id string, height float64, outline ...orb.Point) Barrier {
	return Barrier{Feature: thing(id, planner.KindBuilding, &planner.Building{HeightM: height}), HeightM: height,
		Solid: orb.MultiPolygon{{append(orb.Ring(outline), outline[0])}}}
}

// percent is what is left at a point in one wind.
func percent(barriers []Barrier, fromDeg float64, p orb.Point) float64 {
	var hits []hit
	return 100 * average(newViews(barriers, []Wind{{FromDeg: fromDeg, Percent: 100}}), p, &hits)
}

func field(t require.TestingT, barriers []Barrier, winds []Wind, g geo.Grid) *geo.Raster {
	r, err := Field(context.Background(), barriers, winds, g, nil)
	require.NoError(t, err)
	return r
}

// moved are barriers with every position moved.
func moved(barriers []Barrier, f func(orb.Point) orb.Point) []Barrier {
	var out []Barrier
	for _, b := range barriers {
		c := b
		c.Rows, c.Solid = nil, nil
		for _, r := range b.Rows {
			runs := r.Runs
			r.Runs = nil
			for _, l := range runs {
				var n orb.LineString
				for _, p := range l {
					n = append(n, f(p))
				}
				r.Runs = append(r.Runs, n)
			}
			c.Rows = append(c.Rows, r)
		}
		for _, poly := range b.Solid {
			var n orb.Polygon
			for _, ring := range poly {
				var m orb.Ring
				for _, p := range ring {
					m = append(m, f(p))
				}
				n = append(n, m)
			}
			c.Solid = append(c.Solid, n)
		}
		out = append(out, c)
	}
	return out
}

// anyBarriers are some hedges, belts and buildings in 200 m by 200 m about the origin.
func anyBarriers(t *rapid.T) []Barrier {
	at := rapid.Float64Range(-100, 100)
	var out []Barrier
	for k := range rapid.IntRange(0, 4).Draw(t, "hedges") {
		var l orb.LineString
		for range rapid.IntRange(2, 5).Draw(t, "corners") {
			l = append(l, orb.Point{at.Draw(t, "x"), at.Draw(t, "y")})
		}
		out = append(out, line(string(rune('a'+k)), rapid.Float64Range(0.5, 12).Draw(t, "height"), rapid.Float64Range(0, 4).Draw(t, "width"),
			rapid.Float64Range(0, 0.9).Draw(t, "porosity"), l))
	}
	for k := range rapid.IntRange(0, 2).Draw(t, "houses") {
		x, y := at.Draw(t, "x"), at.Draw(t, "y")
		w, d, n := rapid.Float64Range(3, 30).Draw(t, "w"), rapid.Float64Range(3, 30).Draw(t, "d"), rapid.Float64Range(0.2, 0.8).Draw(t, "notch")
		out = append(out, house(string(rune('p'+k)), rapid.Float64Range(2, 10).Draw(t, "height"),
			orb.Point{x, y}, orb.Point{x + w, y}, orb.Point{x + w, y + d}, orb.Point{x + w*n, y + d*n}, orb.Point{x, y + d}))
	}
	return out
}

// byHand walks one ray without any index: every crossing of the whole line through the point along the wind.
func byHand(barriers []Barrier, fromDeg float64, p orb.Point) float64 {
	d := geo.Direction(fromDeg + 180)
	behind := func(a, b orb.Point) (float64, bool) { // how far p lies behind the crossing with a to b
		ex, ey := b[0]-a[0], b[1]-a[1]
		cross := d[0]*ey - d[1]*ex
		if cross == 0 {
			return 0, false
		}
		ax, ay := p[0]-a[0], p[1]-a[1]
		share := (d[0]*ay - d[1]*ax) / cross // of the way from a to b
		s := (ax*ey - ay*ex) / cross         // p - s*d lies on the line through a and b
		return s, share >= 0 && share <= 1
	}
	least := 1.0
	for _, b := range barriers {
		for _, r := range b.Rows {
			for _, run := range r.Runs {
				for i := 1; i < len(run); i++ {
					if s, ok := behind(run[i-1], run[i]); ok {
						least = math.Min(least, Left(s/r.HeightM, r.WidthM/r.HeightM, r.Porosity))
					}
				}
			}
		}
		for _, poly := range b.Solid {
			var at []float64
			for i := 1; i < len(poly[0]); i++ {
				if s, ok := behind(poly[0][i-1], poly[0][i]); ok {
					at = append(at, s)
				}
			}
			for i := range at { // the least first: the leeward face
				for k := i + 1; k < len(at); k++ {
					if at[k] < at[i] {
						at[i], at[k] = at[k], at[i]
					}
				}
			}
			for i := 0; i+1 < len(at); i += 2 {
				x := 0.0
				if at[i] > 0 {
					x = at[i]
				} else if at[i+1] < 0 {
					x = at[i+1]
				}
				least = math.Min(least, Left(x/b.HeightM, (at[i+1]-at[i])/b.HeightM, 0))
			}
		}
	}
	return 100 * least
}

// steady tells a point from one that lies so near the edge of a shelter, or on a ray so nearly along a barrier, that rounding decides.
func steady(views []*view, p orb.Point) bool {
	var hits []hit
	f := average(views, p, &hits)
	for _, d := range []orb.Point{{1e-6, 0}, {-1e-6, 0}, {0, 1e-6}, {0, -1e-6}} {
		if math.Abs(average(views, orb.Point{p[0] + d[0], p[1] + d[1]}, &hits)-f) > 1e-5 {
			return false
		}
	}
	return true
}
