package light

import (
	"context"
	"math"
	"runtime"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner/growth"
)

// With nothing in the way the hours are the day length, everywhere.
func TestOpenSkyIsTheDayLength(t *testing.T) {
	for _, p := range []Place{ireland, {LatDeg: 57, LonDeg: -4}, {LatDeg: 0, LonDeg: 37}, {LatDeg: -43, LonDeg: 172}, {LatDeg: 70, LonDeg: 20}, {LatDeg: -70}, {LatDeg: 23.4, LonDeg: 179.9}} {
		r := field(t, sceneOf(nil, nil), gridAt(0, 0, 1, 3, 2), p)
		var sum float64
		for k, m := range Months(p.LatDeg) {
			year := 2026
			if m < time.April {
				year = 2027
			}
			want := geo.SunDayOf(year, m, 21, p.LatDeg, p.LonDeg).Length.Hours()
			assert.InDelta(t, want, r.Day[k], 1e-9, "%v %v", p, m)
			for _, got := range r.Months[k].Values {
				assert.InDelta(t, want, got, 1e-9, "%v %v", p, m)
			}
			sum += want
		}
		assert.InDelta(t, sum/6, r.Mean.At(2, 1), 1e-9)
	}
	for _, c := range []struct {
		p      Place
		hours  float64
		source string
	}{
		{Place{LatDeg: 51.48}, 16 + 38.0/60, "published table for London, 2026-06-21: 03:43 to 20:21, at second hand"},
		{ireland, (16*3600 + 56*60 + 2) / 3600.0, "53 N 8 W, 2026-06-21: 04:05:48 to 21:01:50, worked out from Meeus, Astronomical Algorithms"},
		{Place{LatDeg: 70, LonDeg: 20}, 24, "the sun does not set north of 65.7 degrees at the June solstice"},
	} {
		assert.InDelta(t, c.hours, field(t, sceneOf(nil, nil), gridAt(0, 0, 1, 1, 1), c.p).Months[2].At(0, 0), 1.0/60, c.source)
	}
}

// A point y metres due north of an endless wall of height h that runs east and west. With hour angle H, declination d and latitude p
// the direction to the sun has the northward part N = sin d cos p - cos d cos H sin p and the upward part U = sin d sin p +
// cos d cos H cos p. The shadow reaches north by -h N / U, so the point is dark while -h N >= y U. With tan q = y/h this is
//
//	cos d cos H sin(p - q) >= sin d cos(p - q), or cos H >= tan d / tan(p - q),
//
// so for p > q it is dark from -Hs to Hs, Hs = arccos(tan d / tan(p - q)): 2 Hs / 15 hours, or none where the quotient is above 1.
// Steps of a quarter of an hour can be wrong by half a step at either end; over six days and many distances that averages out.
func TestBedNorthOfAWall(t *testing.T) {
	const high = 4.0
	long := wall("wall", high, 0, 1, orb.LineString{{-30000, 0}, {30000, 0}})
	for _, p := range []Place{ireland, {LatDeg: 57, LonDeg: -4}, {LatDeg: 40}} {
		r := field(t, sceneOf([]growth.Body{long}, nil), gridAt(-0.5, 0, 0.25, 1, 32), p)
		var off, n float64
		for j := range 32 {
			y := 0.25 * (float64(j) + 0.5)
			q := math.Atan2(y, high) * 180 / math.Pi
			for m := range 6 {
				lost := 0.0
				if c := tan(declination(p, m)) / tan(p.LatDeg-q); p.LatDeg > q && c < 1 {
					lost = 2 * math.Acos(c) * 180 / math.Pi / 15
				}
				got := r.Day[m] - r.Months[m].At(0, j)
				assert.InDelta(t, lost, got, 0.27, "%v N, %.3f m north, month %d", p.LatDeg, y, m)
				off += got - lost
				n++
			}
		}
		assert.InDelta(t, 0, off/n, 0.02, "%v N: no bias", p.LatDeg)
	}
	// At 53 N a metre north of the 4 m wall in June: q = 14.04, tan 23.43 / tan 38.96 = 0.536, Hs = 57.6 degrees: 7.68 hours.
	r := field(t, sceneOf([]growth.Body{long}, nil), gridAt(-0.5, 0.5, 1, 1, 1), ireland)
	assert.InDelta(t, 7.68, r.Day[2]-r.Months[2].At(0, 0), 0.25)
	// The same wall half open takes half of that, and ground south of it loses only what the sun north of east and west would give.
	half := wall("wall", high, 0, 0.5, orb.LineString{{-30000, 0}, {30000, 0}})
	h := field(t, sceneOf([]growth.Body{half}, nil), gridAt(-0.5, 0.5, 1, 1, 1), ireland)
	assert.InDelta(t, (r.Day[2]-r.Months[2].At(0, 0))/2, h.Day[2]-h.Months[2].At(0, 0), 1e-9)
}

// The shadow of a thin upright thing at noon is height / tan(altitude) long: 0.57, 1.33 and 4.15 m a metre at 53 N (June, equinox,
// December), 5.94 m at 57 N in December (noon altitude 90 - latitude + declination; Meeus, Astronomical Algorithms).
func TestTreeAtNoon(t *testing.T) {
	const high = 10.0
	for _, c := range []struct {
		lat, altitude, shadow float64
	}{{53, 60.44, 0.57}, {53, 37.00, 1.33}, {53, 13.56, 4.15}, {57, 9.56, 5.94}} {
		st := stepAt(0, time.Hour, geo.SunPosition{AltitudeDeg: c.altitude, AzimuthDeg: 180}, 0)
		s := sceneOf(nil, []growth.Crown{tree("t", orb.Point{0, 0}, high, 0.1, 0, 1)})
		g := gridAt(-0.005, 0, 0.01, 1, 7000)
		v := newCanvas(g, 0, g.Ny, s, false)
		v.draw(&st)
		last := 0.0
		for j, pass := range v.pass {
			if pass == 0 {
				last = g.Middle(0, j)[1]
			}
		}
		assert.InDelta(t, c.shadow*high, last, 0.01*high, "%v N, altitude %v", c.lat, c.altitude)
	}
	// On the days themselves the sun at noon is that of the table.
	for _, c := range []struct {
		lat, shadow float64
		month       time.Month
	}{{53, 0.57, time.June}, {53, 4.15, time.December}, {57, 5.94, time.December}} {
		noon := geo.SunDayOf(2026, c.month, 21, c.lat, -8).Noon
		st := stepAt(0, time.Hour, geo.SunAt(noon, c.lat, -8), 0)
		assert.InDelta(t, c.shadow, st.shadow[1], 0.01)
		assert.InDelta(t, 0, st.shadow[0], 0.01)
	}
}

// A crown's shadow is an ellipse about the shadow of its middle: half its width a across the beam, sqrt(a^2 + c^2 cot^2) along it
// with c half its height, so pi a sqrt(a^2 + c^2 cot^2) in area, and its far end h cot + sqrt(...) from the stem.
func TestCrownShadow(t *testing.T) {
	for _, c := range []struct{ altitude, azimuth, high, base, wide float64 }{
		{45, 180, 8, 2, 6}, {30, 135, 12, 0, 4}, {12, 250, 5, 1, 5}, {89.9, 10, 5, 1, 5}, {60, 0, 9, 3, 8},
	} {
		st := stepAt(0, time.Hour, geo.SunPosition{AltitudeDeg: c.altitude, AzimuthDeg: c.azimuth}, 0)
		s := sceneOf(nil, []growth.Crown{tree("t", orb.Point{0, 0}, c.high, c.wide, c.base, 0.7)})
		g := gridAt(-50, -50, 0.1, 1000, 1000)
		v := newCanvas(g, 0, g.Ny, s, false)
		v.draw(&st)
		a, half, mid, cot := c.wide/2, (c.high-c.base)/2, (c.high+c.base)/2, 1/tan(c.altitude)
		long := math.Hypot(a, half*cot)
		away := geo.Direction(c.azimuth + 180)
		var area, far, across float64
		for i, pass := range v.pass {
			if pass == 1 {
				continue
			}
			assert.InDelta(t, 0.3, pass, 1e-12)
			p := g.Middle(i%g.Nx, i/g.Nx)
			area += 0.01
			far = math.Max(far, p[0]*away[0]+p[1]*away[1])
			across = math.Max(across, math.Abs(p[0]*away[1]-p[1]*away[0]))
		}
		assert.InDelta(t, math.Pi*a*long, area, 0.01*area, "area %+v", c)
		assert.InDelta(t, mid*cot+long, far, 0.15, "end %+v", c)
		assert.InDelta(t, a, across, 0.1, "width %+v", c)
	}
}

// Drawing shadows onto cells and looking from a point along the beam are two ways to the same answer.
func TestCanvasAgainstPoints(t *testing.T) {
	all := steps(ireland)
	rapid.Check(t, func(t *rapid.T) {
		bodies, crowns, fs := drawScene(t, "scene")
		s := sceneOf(bodies, crowns, fs...)
		g := gridAt(-40, -40, 2, 40, 40)
		v := newCanvas(g, 0, g.Ny, s, false)
		w := newCanvas(g, 0, g.Ny, s, true)
		st := rapid.SampledFrom(all).Draw(t, "sun")
		v.draw(&st)
		w.draw(&st)
		// A few cells by themselves are drawn as they are among many.
		x, y := rapid.IntRange(0, 37).Draw(t, "column"), rapid.IntRange(0, 37).Draw(t, "row")
		few := newCanvas(gridAt(-40+2*float64(x), -40+2*float64(y), 2, 3, 3), 0, 3, s, false)
		few.draw(&st)
		for i, pass := range few.pass {
			assert.InDelta(t, v.pass[(y+i/3)*g.Nx+x+i%3], pass, 1e-12)
		}
		at := func(p orb.Point) float64 {
			pass := 1.0
			for k := range s.groups {
				pass *= s.groups[k].passAt(p, 0, &st)
			}
			return pass
		}
		for i := range v.pass {
			assert.InDelta(t, v.pass[i], w.pass[i], 1e-12)
			p := g.Middle(i%g.Nx, i/g.Nx)
			want := at(p)
			if math.Abs(want-v.pass[i]) < 1e-9 {
				continue
			}
			edge := false // the middle of a cell may lie right on the edge of a shadow
			for _, d := range []orb.Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				edge = edge || math.Abs(at(offset(p, d, 1e-5))-want) > 1e-9
			}
			assert.True(t, edge, "at %v: %v drawn, %v along the beam", p, v.pass[i], want)
		}
	})
}

// flip mirrors points east to west, or north to south.
func flip(axis int, bodies []growth.Body, crowns []growth.Crown) ([]growth.Body, []growth.Crown) {
	var bs []growth.Body
	for _, b := range bodies {
		var runs []orb.LineString
		for _, r := range b.Runs {
			c := append(orb.LineString(nil), r...)
			for i := range c {
				c[i][axis] = -c[i][axis]
			}
			runs = append(runs, c)
		}
		b.Runs = runs
		bs = append(bs, b)
	}
	var cs []growth.Crown
	for _, c := range crowns {
		p := *c.Plant
		p.At[axis] = -p.At[axis]
		c.Plant = &p
		cs = append(cs, c)
	}
	return bs, cs
}

// A mirrored plan under a mirrored sun has the mirrored shadows, exactly.
func TestMirroredShadows(t *testing.T) {
	all := steps(ireland)
	rapid.Check(t, func(t *rapid.T) {
		bodies, crowns, _ := drawScene(t, "scene")
		axis := rapid.IntRange(0, 1).Draw(t, "axis")
		st := rapid.SampledFrom(all).Draw(t, "sun")
		g := gridAt(-40, -40, 2, 40, 40)
		a := newCanvas(g, 0, g.Ny, sceneOf(bodies, crowns), false)
		a.draw(&st)
		bs, cs := flip(axis, bodies, crowns)
		mirror := st
		mirror.shadow[axis], mirror.towards[axis] = -st.shadow[axis], -st.towards[axis]
		b := newCanvas(g, 0, g.Ny, sceneOf(bs, cs), false)
		b.draw(&mirror)
		differ := 0
		for i := range a.pass {
			x, y := i%g.Nx, i/g.Nx
			if axis == 0 {
				x = g.Nx - 1 - x
			} else {
				y = g.Ny - 1 - y
			}
			if math.Abs(a.pass[i]-b.pass[y*g.Nx+x]) > 1e-9 {
				differ++ // the middle of a cell right on an edge
			}
		}
		assert.LessOrEqual(t, differ, 2)
	})
}

// The sun's path is nearly, not quite, even about its noon: its declination changes by up to 0.4 degrees a day. A mirrored plan gives
// the mirrored field to within that, and the south gives the north's, half a year on, with the shadows on the other side.
func TestMirroredField(t *testing.T) {
	bodies := []growth.Body{wall("a", 5, 2, 0.8, orb.LineString{{-20, 3}, {4, 9}, {25, -6}})}
	crowns := []growth.Crown{tree("b", orb.Point{8, 5.3}, 9, 6, 1.8, 0.9), tree("c", orb.Point{-11, -14}, 6, 4, 0, 0.9)}
	g := gridAt(-40, -40, 1, 80, 80)
	here := field(t, sceneOf(bodies, crowns), g, ireland)
	compare := func(axis int, p Place, cell, mean float64) {
		bs, cs := flip(axis, bodies, crowns)
		there := field(t, sceneOf(bs, cs), g, p)
		var sum float64
		for j := range g.Ny {
			for i := range g.Nx {
				x, y := g.Nx-1-i, j
				if axis == 1 {
					x, y = i, g.Ny-1-j
				}
				a, b := here.Mean.At(i, j)/meanOf(here.Day), there.Mean.At(x, y)/meanOf(there.Day)
				assert.InDelta(t, a, b, cell, "%v cell %d %d", p, i, j)
				sum += math.Abs(a - b)
			}
		}
		assert.Less(t, sum/float64(g.Len()), mean)
	}
	compare(0, ireland, 0.05, 0.002)
	compare(1, Place{LatDeg: -53, LonDeg: -8}, 0.08, 0.004)
	assert.Equal(t, "October to March", Season(-53))
	assert.Equal(t, "April to September", Season(53))
	// South of the equator a wall darkens the ground to its south.
	s := sceneOf([]growth.Body{wall("a", 5, 0, 1, orb.LineString{{-200, 0}, {200, 0}})}, nil)
	south := field(t, s, gridAt(0, -2, 1, 1, 4), Place{LatDeg: -53})
	assert.Less(t, south.Mean.At(0, 1), south.Mean.At(0, 2)-3)
	north := field(t, s, gridAt(0, -2, 1, 1, 4), Place{LatDeg: 53})
	assert.Less(t, north.Mean.At(0, 2), north.Mean.At(0, 1)-3)
}

// Whatever is added never adds sun, nothing is ever below 0, and a share is never above the day.
func TestMoreObstaclesNeverAddSun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b1, c1, f1 := drawScene(t, "first")
		b2, c2, _ := drawScene(t, "second")
		g := gridAt(-30, -30, 6, 10, 10)
		p := Place{LatDeg: rapid.Float64Range(-75, 75).Draw(t, "lat")}
		one := field(t, sceneOf(b1, c1, f1...), g, p)
		for i := range b2 {
			b2[i].Feature.ID = "z" + b2[i].Feature.ID
		}
		both := field(t, sceneOf(append(append([]growth.Body(nil), b1...), b2...), append(append([]growth.Crown(nil), c1...), c2...), f1...), g, p)
		for m := range 6 {
			for i, h := range both.Months[m].Values {
				assert.LessOrEqual(t, h, one.Months[m].Values[i]+1e-9)
				assert.GreaterOrEqual(t, h, 0.0)
				assert.LessOrEqual(t, one.Months[m].Values[i], one.Day[m]+1e-9)
			}
		}
	})
}

func TestHalfDenseCrownTakesHalf(t *testing.T) {
	g := gridAt(-15, -15, 1, 30, 30)
	at := func(closed float64) *Result {
		return field(t, sceneOf(nil, []growth.Crown{tree("t", orb.Point{0, 0}, 8, 6, 2, closed)}), g, ireland)
	}
	solid, half := at(1), at(0.5)
	taken := 0.0
	for i := range solid.Mean.Values {
		day := meanOf(solid.Day)
		assert.InDelta(t, (day-solid.Mean.Values[i])/2, day-half.Mean.Values[i], 1e-9)
		taken += day - solid.Mean.Values[i]
	}
	assert.Greater(t, taken, 100.0)
}

// One wall is met once, however it is bent, cut into stretches or given in parts; two rows are met twice.
func TestPartsOfAWallCountOnce(t *testing.T) {
	st := stepAt(0, time.Hour, geo.SunPosition{AltitudeDeg: 20, AzimuthDeg: 200}, 0)
	drawn := func(s *Scene) []float64 {
		g := gridAt(-30, -30, 0.5, 160, 160)
		v := newCanvas(g, 0, g.Ny, s, false)
		v.draw(&st)
		return v.pass
	}
	least := func(s *Scene) float64 {
		low := 1.0
		for _, p := range drawn(s) {
			low = math.Min(low, p)
		}
		return low
	}
	bent := wall("a", 4, 2, 0.5, orb.LineString{{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 4}})
	assert.Equal(t, 0.5, least(sceneOf([]growth.Body{bent}, nil)))
	part := wall("a", 3, 2, 0.6, orb.LineString{{0, 4}, {0, 0}})
	assert.InDelta(t, 0.4, least(sceneOf([]growth.Body{bent, part}, nil)), 1e-12)
	inner := wall("a", 3, 2, 0.2, orb.LineString{{10, 0}, {10, 10}})
	alone := drawn(sceneOf([]growth.Body{bent}, nil))
	assert.Equal(t, alone, drawn(sceneOf([]growth.Body{inner, bent}, nil)), "the denser part decides")
	assert.Equal(t, alone, drawn(sceneOf([]growth.Body{bent, inner}, nil)))
	row := wall("a", 4, 2, 0.5, orb.LineString{{0, 2}, {10, 2}})
	row.Row = 1
	assert.Equal(t, 0.25, least(sceneOf([]growth.Body{bent, row}, nil)))
	other := wall("b", 4, 2, 0.5, orb.LineString{{0, 2}, {10, 2}})
	assert.Equal(t, 0.25, least(sceneOf([]growth.Body{bent, other}, nil)))
}

// A wall has no gap at its bends: no cell within half its width of the line is outside its base.
func TestWallsCloseTheirBends(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0, 360).Draw(t, "a")
		b := rapid.Float64Range(0, 360).Draw(t, "b")
		d, e := geo.Direction(a), geo.Direction(b)
		line := orb.LineString{offset(orb.Point{}, d, -20), {}, offset(orb.Point{}, e, 20)}
		bases := wallBases(line, 2)
		high := stepAt(0, time.Hour, geo.SunPosition{AltitudeDeg: 89.99, AzimuthDeg: 180}, 0)
		for range 20 {
			p := offset(orb.Point{}, geo.Direction(rapid.Float64Range(0, 360).Draw(t, "towards")), rapid.Float64Range(0, 0.98).Draw(t, "off"))
			met := false
			for _, base := range bases {
				q := piece{base, 0, 1, 0}
				met = met || q.meets(p, 0, &high)
			}
			// At the outside of a sharp bend the corner is cut square, half a width on: a little less than round.
			if geo.Dist(p, orb.Point{}) < 0.7 {
				assert.True(t, met, "%v is not within the wall at bearings %v and %v", p, a, b)
			}
		}
	})
}

func TestFieldIsTheSameOnAnyNumberOfCores(t *testing.T) {
	bodies := []growth.Body{wall("a", 5, 2, 0.8, orb.LineString{{-20, 3}, {4, 9}, {25, -6}})}
	crowns := []growth.Crown{tree("b", orb.Point{8, 5.3}, 9, 6, 1.8, 0.9), tree("b", orb.Point{9, 8}, 9, 6, 1.8, 0.9)}
	g := gridAt(-40, -50, 1, 80, 100)
	was := runtime.GOMAXPROCS(1)
	one := field(t, sceneOf(bodies, crowns), g, ireland)
	runtime.GOMAXPROCS(4)
	four := field(t, sceneOf(bodies, crowns), g, ireland)
	runtime.GOMAXPROCS(was)
	assert.Equal(t, one, four)
}

func TestFieldStopsAndTells(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	s := sceneOf(nil, nil)
	g := gridAt(0, 0, 1, 50, 400)
	var seen []int
	_, err := Field(ctx, s, g, ireland, Options{Progress: func(done, total int) {
		assert.Equal(t, 25, total)
		if seen = append(seen, done); done == 3 {
			cancel()
		}
	}})
	require.ErrorIs(t, err, context.Canceled)
	assert.Less(t, len(seen), 25)
	seen = nil
	_, err = Field(context.Background(), s, g, ireland, Options{Progress: func(done, _ int) { seen = append(seen, done) }})
	require.NoError(t, err)
	require.Len(t, seen, 25)
	for i, d := range seen {
		assert.Equal(t, i+1, d)
	}
	empty := field(t, s, geo.Grid{Cell: 1}, ireland)
	assert.Empty(t, empty.Mean.Values)
}

func TestGridForALargeHolding(t *testing.T) {
	g, coarser := GridFor(orb.Bound{Max: orb.Point{200, 200}})
	assert.False(t, coarser)
	assert.Equal(t, 40_000, g.Len())
	g, coarser = GridFor(orb.Bound{Max: orb.Point{3000, 3000}})
	assert.True(t, coarser)
	assert.Equal(t, 2.0, g.Cell)
	assert.LessOrEqual(t, g.Len(), MostCells)
}

// Off the meridian of the frame's origin the frame's north is not true north: the bearing on the frame and the convergence add up
// to the true bearing.
func TestConvergence(t *testing.T) {
	f, err := geo.NewFrame(orb.Point{-8, 53})
	require.NoError(t, err)
	p := PlaceOf(f, orb.Point{10_000, 0})
	assert.InDelta(t, 0.12, p.ConvergenceDeg, 0.005, "10 km x 0.012 degrees")
	assert.InDelta(t, 53, p.LatDeg, 0.01)
	sun := geo.SunPosition{AltitudeDeg: 30, AzimuthDeg: 140}
	st := stepAt(0, time.Hour, sun, p.ConvergenceDeg)
	onFrame := geo.BearingDeg(orb.Point{}, orb.Point{st.towards[0], st.towards[1]})
	assert.InDelta(t, 140, onFrame+p.ConvergenceDeg, 1e-9)
	assert.InDelta(t, 0, PlaceOf(f, orb.Point{}).ConvergenceDeg, 1e-9)
}
