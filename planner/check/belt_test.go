package check

import (
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
)

// belt is a windbreak from (x, y) northwards.
func beltNorth(id string, x, y, length float64, p props) drawn {
	return lineOf(id, "windbreak", p, [2]float64{x, y}, [2]float64{x, y + length})
}

func rowsOf(names ...string) []any {
	var out []any
	for _, n := range names {
		out = append(out, props{"species": n, "spacing_m": 1.5})
	}
	return out
}

func TestAngleOffSquare(t *testing.T) {
	for _, c := range []struct {
		bearing, wind, want float64
		source              string
	}{
		{135, 225, 0, "published check value: belt bearing 135, wind 225: i = 0, score 1.0"},
		{90, 225, 45, "published check value: belt bearing 90, wind 225: i = 45, cos 0.7071"},
		{315, 225, 0, "the same belt drawn the other way"},
		{270, 225, 45, "the same belt drawn the other way"},
		{0, 270, 0, "worked example: drawn northwards, wind from 270"},
		{0, 90, 0, "a wind from behind meets it as square"},
		{0, 0, 90, "along the line"},
		{0, 180, 90, "along the line"},
		{0, 310, 40, "|310 - 90| = 220, folded 40"},
		{0, 230, 40, "|230 - 90| = 140, folded 40"},
		{45, 240, 75, "|240 - 135| = 105, folded 75"},
		{359, 269, 0, "bearings pass north"},
	} {
		assert.InDelta(t, c.want, segmentOffSquare(c.bearing, c.wind), 1e-9, "%v: %s", c, c.source)
	}
	assert.InDelta(t, 0.7071, math.Cos(segmentOffSquare(90, 225)*math.Pi/180), 1e-4, "published check value")
	// On bends the mean by length: 60 m square to the wind and 30 m at 45 degrees make 15.
	bend := orb.LineString{{0, 0}, {0, 60}, {30 / math.Sqrt2, 60 + 30/math.Sqrt2}}
	assert.InDelta(t, 15, offSquare(bend, 270), 1e-9)
	assert.Zero(t, offSquare(orb.LineString{{3, 3}, {3, 3}}, 270), "no length, no angle")
}

// The published or working heights at year 20, as windbreaks of one row of the species.
func TestBeltHeights(t *testing.T) {
	for _, c := range []struct {
		name         string
		h, low, high float64
		source       string
	}{
		{"common alder", 12.9, 9.3, 16.9, "Johansson 1999, Scand. J. For. Res. 14:441, if 20 m at 40 y (16 to 24)"},
		{"grey alder", 12.3, 8.6, 14.3, "Johansson 1999, if 18 m at 40 y (14 to 20)"},
		{"aspen", 11.2, 8.8, 13.7, "Johansson 1996, Silva Fennica 30:437, if 20 m at 40 y"},
		{"red alder", 12.0, 10, 15, "Harrington and Curtis 1986, if 12 m at 20 y"},
		{"downy birch", 9.5, 6.8, 13.0, "Eriksson, Johansson and Kiviste 1997, Scand. J. For. Res. 12:149, if 20 m at 50 y"},
		{"silver birch", 9.5, 6.8, 13.0, "the same curve"},
		{"Sitka spruce", 8.8, 6.4, 11.1, "Forest Research, airborne laser scanning, yield class 14 (8 to 20)"},
		{"Norway spruce", 7.8, 6.2, 9.3, "Manso and others 2020, Forestry 94:181, if 20 m at 50 y"},
		{"Scots pine", 6.8, 4.7, 9.0, "Manso and others 2020, if 16 m at 50 y"},
		{"Corsican pine", 8.0, 6.4, 9.6, "Manso and others 2020, if 20 m at 50 y"},
		{"beech", 5.7, 3.4, 8.4, "Manso and others 2020, if 16 m at 50 y"},
		{"pedunculate oak", 7.2, 4.8, 10.6, "Nord-Larsen, Meilby and Skovsgaard 2009, if 18 m at 50 y"},
		{"western red cedar", 8.0, 5.7, 10.2, "Kurucz 1985, if 20 m at 50 y from breast height"},
		{"hawthorn", 5, 3.5, 6.5, "common practice, +/- 30 %"},
		{"blackthorn", 3.5, 2.45, 4.55, "common practice, +/- 30 %"},
		{"hazel", 5, 3.5, 6.5, "common practice, +/- 30 %"},
		{"rowan", 8, 5.6, 10.4, "common practice, +/- 30 %"},
		{"holly", 5, 3.5, 6.5, "common practice, +/- 30 %"},
	} {
		in := inputOf(t, nil, beltNorth("b", 0, 0, 50, props{"rows": rowsOf(c.name)}))
		b := Belts(in)
		require.Len(t, b, 1, c.name)
		assert.InDelta(t, c.h, b[0].HeightYear20.V, 1e-9, "%s: %s", c.name, c.source)
		assert.InDelta(t, c.low, b[0].Low, 0.11, "%s: %s", c.name, c.source)
		assert.InDelta(t, c.high, b[0].High, 0.11, "%s: %s", c.name, c.source)
		assert.NotEmpty(t, b[0].HeightYear20.Source.Text)
		assert.NotEqual(t, planner.Published, b[0].HeightYear20.Source.Confidence, "%s: the level of a curve is assumed", c.name)
	}
}

func TestBeltTallestRow(t *testing.T) {
	tallest := func(p props) Belt { return Belts(inputOf(t, nil, beltNorth("b", 0, 0, 50, p)))[0] }
	b := tallest(props{"rows": rowsOf("hawthorn", "common alder", "hazel")})
	assert.Equal(t, 1, b.tallest, "the alder's row")
	assert.InDelta(t, 12.9, b.HeightYear20.V, 1e-9)
	// A mixed row counts by the height that at least half of its plants reach.
	mix := func(share float64) props {
		return props{"rows": []any{props{"mix": []any{props{"species": "common alder", "share_percent": share}, props{"species": "hawthorn", "share_percent": 100 - share}}, "spacing_m": 1.5}}}
	}
	assert.InDelta(t, 12.9, tallest(mix(50)).HeightYear20.V, 1e-9, "half of them are alder")
	assert.InDelta(t, 5, tallest(mix(49)).HeightYear20.V, 1e-9, "fewer than half are")
	// An existing belt that states its height has it, whatever grows in it; a planned one does not.
	b = tallest(props{"rows": rowsOf("common alder"), "status": "existing", "height_m": 9.0})
	assert.InDelta(t, 9, b.HeightYear20.V, 1e-9)
	assert.Equal(t, planner.User, b.HeightYear20.Source.Confidence)
	b = tallest(props{"rows": rowsOf("common alder"), "status": "planned", "height_m": 9.0})
	assert.InDelta(t, 12.9, b.HeightYear20.V, 1e-9, "a belt still to be planted has no height yet")
	// Nothing is known of a species that the catalogue has no height for: not even a guess.
	known := map[string]bool{}
	in := inputOf(t, nil)
	for _, s := range in.Catalogue.All() {
		known[s.Botanical] = s.HeightAfter(20).Known
	}
	for name, is := range known {
		if !is {
			b := tallest(props{"rows": rowsOf(name)})
			assert.False(t, b.HeightYear20.Known, name)
			assert.Len(t, b.HeightUnknown, 1, name)
			break
		}
	}
}

// Each combination of rows for which the National Agroforestry Center's Windbreak Design Clipboard gives a range falls in it, and single
// rows fall in the classes of University of Nebraska EC1763 (25 to 35 deciduous, 40 to 60 conifer).
func TestDensityFallsInPublishedClasses(t *testing.T) {
	shrub, tree, evergreen := "hawthorn", "common alder", "holly"
	const nac = "NAC, Windbreak Design Clipboard: density by rows"
	for _, c := range []struct {
		rows      []string
		low, high float64
		source    string
	}{
		{[]string{shrub}, 25, 50, nac + ", 1 row deciduous shrub"},
		{[]string{tree, shrub}, 25, 50, nac + ", tree row and shrub row, deciduous"},
		{[]string{shrub, tree}, 25, 50, nac + ", whatever their order"},
		{[]string{shrub, shrub}, 50, 65, nac + ", twin row deciduous shrub"},
		{[]string{evergreen}, 50, 65, nac + ", 1 row small evergreen"},
		{[]string{evergreen, tree}, 50, 65, nac + ", evergreen and deciduous tree"},
		{[]string{shrub, tree, shrub}, 50, 65, nac + ", deciduous trees and shrubs, 3 rows"},
		{[]string{tree, tree, shrub}, 50, 65, nac + ", deciduous trees and shrubs, 3 rows"},
		{[]string{evergreen, evergreen}, 65, 100, nac + ", twin row small evergreen"},
		{[]string{shrub, tree, evergreen}, 65, 100, nac + ", 3 rows of evergreen, deciduous and shrubs"},
		{[]string{shrub, tree, evergreen, shrub}, 65, 100, nac + ", more rows"},
		{[]string{shrub}, 25, 35, "EC1763, single row deciduous 25-35"},
		{[]string{tree}, 25, 35, "EC1763, single row deciduous 25-35"},
		{[]string{evergreen}, 40, 60, "EC1763, single row conifer 40-60"},
	} {
		b := Belts(inputOf(t, nil, beltNorth("b", 0, 0, 50, props{"rows": rowsOf(c.rows...)})))[0]
		require.True(t, b.DensityKnown, "%v", c.rows)
		assert.GreaterOrEqual(t, b.DensityLeafOn, c.low-1e-9, "%v: %s", c.rows, c.source)
		assert.LessOrEqual(t, b.DensityLeafOn, c.high+1e-9, "%v: %s", c.rows, c.source)
		assert.LessOrEqual(t, b.DensityLeafOff, b.DensityLeafOn+1e-9, "bare is never denser")
		if b.DensityClass[1] > 0 {
			assert.GreaterOrEqual(t, b.DensityLeafOn, b.DensityClass[0]-1e-9, "%v", c.rows)
			assert.LessOrEqual(t, b.DensityLeafOn, b.DensityClass[1]+1e-9, "%v", c.rows)
		}
	}
}

func TestDensityBareAndSpacing(t *testing.T) {
	density := func(limits props, rows ...any) Belt {
		return Belts(inputOf(t, props{"limits": limits}, beltNorth("b", 0, 0, 50, props{"rows": rows})))[0]
	}
	row := func(name string, s float64) props { return props{"species": name, "spacing_m": s} }
	// Moravian belts, Contributions to Geophysics and Geodesy: optical porosity 10 percent in leaf, up to 50 bare.
	b := density(props{"windbreak.density": props{"row_shrub_percent": 90}}, row("hawthorn", 1.5))
	assert.InDelta(t, 90, b.DensityLeafOn, 1e-6)
	assert.InDelta(t, 50, b.DensityLeafOff, 1e-4)
	// The worked example by hand: hawthorn 30, alder 25: 1 - 0.70 x 0.75 = 47.5 percent; bare 47.5 x 50/90 = 26.39.
	b = density(nil, row("hawthorn", 1.5), row("common alder", 1.5))
	assert.InDelta(t, 47.5, b.DensityLeafOn, 1e-6)
	assert.InDelta(t, 26.389, b.DensityLeafOff, 1e-3)
	assert.Equal(t, [2]float64{25, 50}, b.DensityClass)
	// Evergreens keep theirs: holly 50 and hawthorn 30: 65 in leaf; bare 1 - 0.5 x (1 - 0.30 x 50/90) = 58.33.
	b = density(nil, row("holly", 1.5), row("hawthorn", 1.5))
	assert.InDelta(t, 65, b.DensityLeafOn, 1e-6)
	assert.InDelta(t, 58.333, b.DensityLeafOff, 1e-3)
	// Crowns 5 m wide (hawthorn: mature 6 m wide and 6 m high, 5 m high at year 20) at 10 m cover half of the row.
	b = density(nil, row("hawthorn", 10))
	assert.InDelta(t, 15, b.DensityLeafOn, 1e-6)
	b = density(nil, row("hawthorn", 5))
	assert.InDelta(t, 30, b.DensityLeafOn, 1e-6, "crowns just touch: closed")
	// A mixed row: half holly, half hawthorn: 0.5 x 50 + 0.5 x 30 = 40; bare 1 - (1 - 0.25) x (1 - (1 - 0.6/0.75) x 50/90) = 33.33.
	b = density(nil, props{"mix": []any{props{"species": "holly", "share_percent": 50}, props{"species": "hawthorn", "share_percent": 50}}, "spacing_m": 1.0})
	assert.InDelta(t, 40, b.DensityLeafOn, 1e-6)
	assert.InDelta(t, 33.333, b.DensityLeafOff, 1e-3)
	// A belt whose rows are not stated is not guessed at.
	in := inputOf(t, nil, beltNorth("b", 0, 0, 50, props{"status": "existing", "height_m": 8}))
	none := Belts(in)[0]
	assert.False(t, none.DensityKnown)
	assert.NotEmpty(t, none.DensityUnknown)
}

// The worked example by hand. The belt is drawn along x = 4 from y = 5 to 55, its second row, the alder, 2.5 m to leeward at x = 6.5. The
// bed is 20 to 40 by 10 to 22. H is 12.9 m: 2 to 10 heights reach from 6.5 + 25.8 = 32.3 to 6.5 + 129 = 135.5. Of the bed's 20 m 40 - 32.3 =
// 7.7 lie inside: 38.5 percent. Its near edge is 13.5 m off (1.047 H), its far edge 33.5 m (2.597 H).
func TestReachWorkedExample(t *testing.T) {
	in := inputOf(t, props{"wind_from_deg": 270}, beltNorth("west-belt", 4, 5, 50, props{"rows": rowsOf("hawthorn", "common alder"), "protects": []string{"kitchen-bed"}}),
		boxOf("kitchen-bed", "bed", 20, 10, 40, 22, nil))
	b := Belts(in)[0]
	require.Len(t, b.Protects, 1)
	p := b.Protects[0]
	assert.True(t, p.Known && p.Behind)
	assert.InDelta(t, 38.5, p.InsidePercent, 1e-3)
	assert.InDelta(t, 13.5/12.9, p.NearestH, 1e-4)
	assert.InDelta(t, 33.5/12.9, p.FarthestH, 1e-4)
	found := ruleOn(t, windbreakReach(), in)
	require.Len(t, found, 1)
	assert.Equal(t, planner.Warn, found[0].Severity)
	assert.InDelta(t, 38.5, *found[0].Measured, 1e-3)
	assert.Equal(t, 50.0, *found[0].Limit)
	assert.Equal(t, planner.Derived, found[0].Source.Confidence, "a curve whose level is assumed")
	assert.Contains(t, found[0].Message, "common alder at year 20", "which height was taken")
}

// An existing belt 10 m high along x = 0 from y = -100 to 100, wind from the west: 2 to 10 heights are x = 20 to 100.
func TestReachCases(t *testing.T) {
	const hand = "by hand: 2 to 10 heights of 10 m are 20 to 100 m downwind (NAC, Windbreak Design Clipboard; SDSU Extension 2018)"
	for _, c := range []struct {
		name           string
		x0, x1, y0, y1 float64
		wind           float64
		inside         float64
		warns          bool
	}{
		{"all within, both ends on the limit", 20, 100, 0, 10, 270, 100, false},
		{"exactly half too near", 10, 30, 0, 10, 270, 50, false},
		{"a little more than half too near", 9.9, 30, 0, 10, 270, 100 * 10 / 20.1, true},
		{"exactly half too far", 80, 120, 0, 10, 270, 50, false},
		{"more than half too far", 80.5, 121, 0, 10, 270, 100 * 19.5 / 40.5, true},
		{"hard behind", 1, 19, 0, 10, 270, 0, true},
		{"to windward", -60, -40, 0, 10, 270, 0, true},
		{"beside its end", 30, 50, 101, 111, 270, 0, true},
		{"half beside its end", 30, 50, 90, 110, 270, 50, false},
		{"wind from the other side", -60, -40, 0, 10, 90, 100, false},
		{"wind along the belt", 30, 50, 0, 10, 0, 0, true},
	} {
		in := inputOf(t, props{"wind_from_deg": c.wind}, beltNorth("b", 0, -100, 200, props{"status": "existing", "height_m": 10, "rows": rowsOf("hawthorn"), "protects": []string{"bed"}}),
			boxOf("bed", "bed", c.x0, c.y0, c.x1, c.y1, nil))
		p := Belts(in)[0].Protects[0]
		assert.InDelta(t, c.inside, p.InsidePercent, 1e-4, "%s: %s", c.name, hand)
		assert.Equal(t, c.warns, len(only(ruleOn(t, windbreakReach(), in), planner.Warn)) == 1, "%s: %s", c.name, hand)
	}
}

// Wind comes through a gateway: what lies straight behind it is not sheltered. The belt of 10 m with an opening of 20 m, from y = -10 to 10,
// before a bed from y = 0 to 20: half of it lies behind the opening, and with its other half behind the belt.
func TestReachBehindAnOpening(t *testing.T) {
	in := inputOf(t, props{"wind_from_deg": 270}, beltNorth("b", 0, -100, 200, props{"status": "existing", "height_m": 10, "rows": rowsOf("hawthorn"), "protects": []string{"bed", "other"}}),
		pointAt("gate", "gateway", 0, 0, props{"width_m": 20.0}), boxOf("bed", "bed", 30, 0, 50, 20, nil), boxOf("other", "bed", 30, 40, 50, 60, nil))
	p := Belts(in)[0].Protects
	assert.InDelta(t, 50, p[0].InsidePercent, 1e-3)
	assert.InDelta(t, 100, p[1].InsidePercent, 1e-3)
}

// A wind at an angle: distances are along the wind, so the swept ground is as long as the reach and as wide as the belt is seen by the
// wind: area = (10 - 2) H x L cos i (windbreaks, geometry of a strip for one wind at angle i).
func TestZoneGeometry(t *testing.T) {
	line := orb.LineString{{0, 0}, {0, 100}}
	for _, i := range []float64{0, 20, 40, 60, 80} {
		d := geo.Direction(90 + i)
		zone := windZone([]orb.LineString{line}, d, 20, 100)
		assert.InDelta(t, 80*100*math.Cos(i*math.Pi/180), geo.MultiArea(zone), 1e-6, "%v degrees", i)
	}
	assert.InDelta(t, 0, geo.MultiArea(windZone([]orb.LineString{line}, orb.Point{0, 1}, 20, 100)), 1e-9, "along the wind nothing is swept")
	// A V that doubles back across the wind: overlapping parts count once. Legs from (0,0) to (50,50) and back to (0,100) with the wind from the
	// south: the ground behind the first leg is x 0 to 50; the second leg sweeps the same strip, 100 - 2x further on.
	v := orb.LineString{{0, 0}, {50, 50}, {0, 100}}
	zone := windZone([]orb.LineString{v}, orb.Point{0, 1}, 20, 100)
	require.Len(t, zone, 2)
	bed := planner.Shape{Polygons: orb.MultiPolygon{{{{0, -50}, {50, -50}, {50, 300}, {0, 300}, {0, -50}}}}}
	// By hand: at x the strips are x+20..x+100 and 120-x..200-x, which overlap by 80 - |100 - 2x| where that is more than 0 (x from 10 on).
	both := 0.0
	for k := range 500000 {
		x := (float64(k) + 0.5) * 50 / 500000
		both += (160 - math.Max(0, 80-(100-2*x))) * 50 / 500000
	}
	assert.InDelta(t, both/(50*350), shareInside(bed, zone), 1e-6)
}

// The slow, obvious way: walk upwind from the middle of each cell of the bed and see how far the belt is.
func TestReachAgainstWalking(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "corners")
		var line orb.LineString
		for i := range n {
			line = append(line, orb.Point{rapid.Float64Range(-100, 100).Draw(t, fmt.Sprint("x", i)), rapid.Float64Range(-100, 100).Draw(t, fmt.Sprint("y", i))})
		}
		h := rapid.Float64Range(2, 20).Draw(t, "height")
		d := geo.Direction(rapid.Float64Range(0, 360).Draw(t, "wind to"))
		x, y := rapid.Float64Range(-150, 100).Draw(t, "bx"), rapid.Float64Range(-150, 100).Draw(t, "by")
		w, l := rapid.Float64Range(5, 60).Draw(t, "w"), rapid.Float64Range(5, 60).Draw(t, "l")
		bed := planner.Shape{Polygons: orb.MultiPolygon{{{{x, y}, {x + w, y}, {x + w, y + l}, {x, y + l}, {x, y}}}}}
		got := shareInside(bed, windZone([]orb.LineString{line}, d, 2*h, 10*h))
		least, most, hit := windDistances(bed, []orb.LineString{line}, d)
		const cells = 60
		inside := 0
		for i := range cells {
			for j := range cells {
				p := orb.Point{x + (float64(i)+0.5)*w/cells, y + (float64(j)+0.5)*l/cells}
				reached := false
				for k := 1; k < n; k++ {
					dist, ok := walk(p, line[k-1], line[k], d)
					if !ok {
						continue
					}
					reached = reached || dist >= 2*h && dist <= 10*h
					if !hit || dist < least-1e-6 {
						t.Fatalf("a point %v behind at %v m is nearer than the least %v (%v)", p, dist, least, hit)
					}
				}
				if reached {
					inside++
				}
			}
		}
		if hit && most < least {
			t.Fatalf("farthest %v below nearest %v", most, least)
		}
		if share := float64(inside) / (cells * cells); math.Abs(share-got) > 0.06 {
			t.Fatalf("inside %v by walking, %v by sweeping", share, got)
		}
	})
}

// walk solves p - t d = a + s (b - a) by Cramer's rule.
func walk(p, a, b, d orb.Point) (float64, bool) {
	ex, ey := b[0]-a[0], b[1]-a[1]
	den := -d[0]*ey + d[1]*ex
	if math.Abs(den) < 1e-12 {
		return 0, false
	}
	rx, ry := a[0]-p[0], a[1]-p[1]
	t := (rx*ey - ry*ex) / den
	s := (d[0]*ry - d[1]*rx) / den
	return t, t >= 0 && s >= 0 && s <= 1
}

// Order of features and the direction in which a belt is drawn change nothing that is measured of it.
func TestBeltsDoNotDependOnDrawing(t *testing.T) {
	belt := lineOf("b", "windbreak", props{"rows": rowsOf("hawthorn"), "protects": []string{"bed"}}, [2]float64{0, 0}, [2]float64{10, 60}, [2]float64{0, 120})
	turned := lineOf("b", "windbreak", props{"rows": rowsOf("hawthorn"), "protects": []string{"bed"}}, [2]float64{0, 120}, [2]float64{10, 60}, [2]float64{0, 0})
	bed := boxOf("bed", "bed", 20, 30, 60, 90, nil)
	h := props{"wind_from_deg": 255}
	a, b, c := Belts(inputOf(t, h, belt, bed))[0], Belts(inputOf(t, h, bed, belt))[0], Belts(inputOf(t, h, turned, bed))[0]
	for _, o := range []Belt{b, c} {
		assert.InDelta(t, a.LengthM, o.LengthM, 1e-6)
		assert.InDelta(t, a.AngleOffSquareDeg, o.AngleOffSquareDeg, 1e-9)
		assert.InDelta(t, a.DensityLeafOn, o.DensityLeafOn, 1e-9)
		assert.InDelta(t, a.Protects[0].InsidePercent, o.Protects[0].InsidePercent, 1e-6)
		assert.InDelta(t, a.Protects[0].NearestH, o.Protects[0].NearestH, 1e-6)
	}
}

// The worked example as it stands in its file, whose positions were set out along geodesics and rounded to 9 decimals.
func TestWorkedExampleBelt(t *testing.T) {
	data, err := os.ReadFile("../../testdata/worked-example.geojson")
	require.NoError(t, err)
	plan, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	in := inputOfPlan(t, plan)
	b := Belts(in)
	require.Len(t, b, 1)
	assert.InDelta(t, 50, b[0].LengthM, 0.001)
	assert.InDelta(t, 12.9, b[0].HeightYear20.V, 1e-9, "common alder, Johansson 1999, if 20 m at 40 y (level assumed)")
	assert.InDelta(t, 0, b[0].AngleOffSquareDeg, 0.001)
	assert.InDelta(t, 47.5, b[0].DensityLeafOn, 1e-6)
	require.Len(t, b[0].Protects, 1)
	assert.InDelta(t, 38.5, b[0].Protects[0].InsidePercent, 0.02, "(40 - 32.3) / 20, by hand as above")
	for rule, warns := range map[*Rule]int{windbreakLength(): 1, windbreakReach(): 1, windbreakAngle(): 0, windbreakCrowding(): 0, windbreakGap(): 0, groundMoisture(): 1} {
		assert.Len(t, only(ruleOn(t, rule, in), planner.Warn), warns, rule.ID)
	}
}

// A belt whose end comes half a micrometre into a bed is 0 m from it, though no stretch of it counts as inside.
func TestDistanceOfABeltThatTouches(t *testing.T) {
	bed := planner.Shape{Polygons: orb.MultiPolygon{{{{0.25, 0}, {5.25, 0}, {5.25, 5}, {0.25, 5}, {0.25, 0}}}}}
	least, _, hit := windDistances(bed, []orb.LineString{{{1, -1}, {0.5, 5e-7}}}, geo.Direction(1))
	assert.True(t, hit)
	assert.InDelta(t, 0, least, 1e-6)
}
