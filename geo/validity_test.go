package geo

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/encoding/wkt"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// suite is the source of the numbered cases: the validity cases of the JTS test
// suite, testxml/general/TestValid.xml (rows 33 and 34: its parser's rule, and
// testxml/misc/TestValid.xml).
const suite = "JTS test suite, TestValid.xml"

type validityCase struct {
	no     int
	wkt    string
	kinds  []FaultKind // any of these; none: valid
	at     []orb.Point // one of these; none: not checked
	reason string
}

var polygonCases = []validityCase{
	{1, "POLYGON ((0 60,0 0,60 0,60 60,0 60),(20 40,20 20,40 20,40 40,20 40))", nil, nil, "plain hole"},
	{2, "POLYGON ((107 246,107 246,250 285,294 137,151 90,15 125,157 174,107 246))", nil, nil, "repeated point allowed"},
	{3, "POLYGON ((0 60,0 0,60 0,60 60,0 60),(20 40,20 20,60 20,20 40))", nil, nil, "hole touches shell once"},
	{4, "POLYGON ((240 260,40 260,40 80,240 80,240 260),(140 180,40 180,140 240,140 180))", nil, nil, "hole touches mid-edge"},
	{5, "POLYGON ((0 120,0 0,140 0,140 120,0 120),(100 100,100 20,120 20,120 100,100 100),(20 100,20 40,100 40,20 100))", nil, nil, "hole touches hole at a point"},
	{6, "POLYGON ((10 90,90 90,90 10,10 10,10 90),(40 80,60 80,50 50,40 80),(20 60,20 40,50 50,20 60),(40 20,60 20,50 50,40 20),(80 60,80 40,50 50,80 60))", nil, nil, "four holes meet at one point"},
	{7, "MULTIPOLYGON (((110 110,70 200,150 200,110 110)),((110 110,150 20,70 20,110 110)))", nil, nil, "shells touch at a point"},
	{8, "MULTIPOLYGON (((0 0,0 8,8 8,8 0,0 0),(3 3,7 3,7 7,3 7,3 3),(1 1,2 1,2 2,1 2,1 1)),((4 4,4 6,6 6,6 4,4 4)))", nil, nil, "island inside a hole"},
	{12, "POLYGON ((0 40,0 0,40 40,40 0,0 40))", []FaultKind{SelfCrossing}, []orb.Point{{20, 20}}, "bow-tie"},
	{13, "POLYGON ((0 0,0 0,0 0,0 0,0 0))", []FaultKind{NoArea}, []orb.Point{{0, 0}}, "too few distinct points"},
	{14, "POLYGON ((0 0,10 0,20 0,0 0,0 0))", []FaultKind{NoArea}, []orb.Point{{0, 0}}, "zero area"},
	{15, "POLYGON ((0 0,10 10,0 0))", []FaultKind{TooFew}, []orb.Point{{0, 0}}, "too few points"},
	{17, "POLYGON ((0 60,0 0,60 0,60 20,100 20,60 20,60 60,0 60))", []FaultKind{SelfCrossing}, []orb.Point{{60, 20}, {100, 20}}, "spike outwards"},
	{18, "POLYGON ((0 60,0 0,60 0,60 20,20 20,60 20,60 60,0 60))", []FaultKind{SelfCrossing}, []orb.Point{{20, 20}, {60, 20}}, "spike inwards"},
	{19, "POLYGON ((340 320,340 200,200 280,200 80,340 200,340 20,60 20,60 340,340 320))", []FaultKind{SelfTouching}, []orb.Point{{340, 200}}, "shell touches itself at a vertex"},
	{20, "POLYGON ((60 340,60 100,340 100,340 280,340 200,340 340,60 340))", []FaultKind{SelfCrossing}, []orb.Point{{340, 200}, {340, 280}}, "edge doubles back"},
	{21, "POLYGON ((60 280,260 180,60 80,60 280),(140 80,120 180,200 180,140 80))", []FaultKind{RingsCross}, nil, "hole crosses shell"},
	{22, "POLYGON ((20 180,20 20,140 20,140 180,20 180),(160 120,180 100,160 80,160 120))", []FaultKind{HoleOutside}, []orb.Point{{160, 120}, {180, 100}, {160, 80}}, "hole outside shell"},
	{23, "POLYGON ((10 10,30 10,30 50,70 50,70 10,90 10,90 90,10 90,10 10),(50 50,30 10,70 10,50 50))", []FaultKind{InteriorCut, HoleOutside}, []orb.Point{{50, 50}, {30, 10}, {70, 10}}, "hole outside, all its vertices touch"},
	{24, "POLYGON ((20 180,20 20,140 20,140 180,20 180),(20 180,20 20,140 20,140 180,20 180))", []FaultKind{RingsCross}, nil, "hole equals shell"},
	{25, "POLYGON ((0 140,0 0,180 0,180 140,0 140),(20 20,160 20,160 120,20 120,20 20),(40 100,40 40,140 40,140 100,40 100))", []FaultKind{HolesNested}, []orb.Point{{40, 100}, {40, 40}, {140, 40}, {140, 100}}, "nested holes"},
	{26, "POLYGON ((100 200,200 200,200 100,100 100,100 200),(120 180,180 180,180 120,120 120,120 180),(120 180,180 180,180 120,120 120,120 180))", []FaultKind{RingsCross}, nil, "duplicate holes"},
	{27, "POLYGON ((0 60,0 0,60 0,60 60,0 60),(0 40,20 20,60 20,0 40))", []FaultKind{InteriorCut}, []orb.Point{{0, 40}, {60, 20}}, "hole touches shell twice"},
	{28, "POLYGON ((0 0,10 10,10 0,0 0),(5 5,5 0,10 5,5 5))", []FaultKind{InteriorCut}, []orb.Point{{5, 5}, {5, 0}, {10, 5}}, "hole touches at all vertices"},
	{29, "POLYGON ((0 120,0 0,140 0,140 120,0 120),(100 100,100 20,120 20,120 100,100 100),(20 100,20 40,100 40,100 80,20 100))", []FaultKind{RingsCross}, []orb.Point{{100, 40}, {100, 80}}, "holes share an edge part"},
	{30, "MULTIPOLYGON (((80 260,240 260,240 100,80 100,80 260)),((120 240,220 240,220 140,120 140,120 240)))", []FaultKind{PartsOverlap}, nil, "nested shells"},
	{31, "MULTIPOLYGON (((40 120,140 120,140 40,40 40,40 120)),((140 120,40 120,40 200,140 200,140 120)))", []FaultKind{PartsOverlap}, []orb.Point{{40, 120}, {140, 120}}, "shells share an edge"},
	{32, "MULTIPOLYGON (((60 300,320 220,260 60,60 100,60 300)),((60 300,320 220,260 60,60 100,60 300)))", []FaultKind{PartsOverlap}, nil, "duplicate shells"},
	{33, "POLYGON ((0 0,10 0,10 10,0 10))", []FaultKind{NotClosed}, []orb.Point{{0, 10}, {0, 0}}, "not closed"},
	{34, "POLYGON ((-86.395813014653925 114.34823701003779,55.732123733643739 -44.814621516496025,87.927104658698681 -10.530290900147953,87.927104658698681 -10.530290900147957," +
		"138.34907754377007 43.163904252301826,64.728512857511149 156.96788843023796,-86.395813014653925 114.34823701003779))", nil, nil, "near-parallel edges: needs an exact orientation test"},
}

func parseMulti(t *testing.T, text string) orb.MultiPolygon {
	t.Helper()
	g, err := wkt.Unmarshal(text)
	require.NoError(t, err, text)
	switch g := g.(type) {
	case orb.Polygon:
		return orb.MultiPolygon{g}
	case orb.MultiPolygon:
		return g
	}
	t.Fatalf("%s is no polygon", text)
	return nil
}

func TestValidityCases(t *testing.T) {
	for _, c := range polygonCases {
		for _, tn := range turns {
			if c.no == 34 && tn.shift != (orb.Point{}) {
				continue // moving rounds its last digits away
			}
			given := parseMulti(t, c.wkt)
			mp := tn.multi(given)
			faults := ValidateMultiPolygon(mp)
			if c.kinds == nil {
				assert.Empty(t, faults, "%s row %d, %s, %s", suite, c.no, c.reason, tn.name)
				continue
			}
			if !assert.NotEmpty(t, faults, "%s row %d, %s, %s", suite, c.no, c.reason, tn.name) {
				continue
			}
			f := faults[0]
			assert.Contains(t, c.kinds, f.Kind, "%s row %d, %s, %s: %+v", suite, c.no, c.reason, tn.name, f)
			assert.NotEmpty(t, f.Reason)
			if c.at != nil {
				var places []orb.Point
				for _, p := range c.at {
					places = append(places, tn.point(p))
				}
				assert.Contains(t, places, f.At, "%s row %d, %s, %s: %+v", suite, c.no, c.reason, tn.name, f)
			}
			assert.Equal(t, parseMulti(t, c.wkt), given, "the polygon is not altered")
		}
	}
	nan := math.NaN()
	f := ValidatePolygon(orb.Polygon{{{0, 0}, {10, nan}, {20, 0}, {0, 10}, {0, 0}}})
	require.Len(t, f, 1)
	assert.Equal(t, NotFinite, f[0].Kind, "%s row 16, invalid coordinate", suite)
	assert.Equal(t, TooFew, ValidatePolygon(nil)[0].Kind)
	assert.Equal(t, TooFew, ValidatePolygon(orb.Polygon{{}})[0].Kind)
	assert.Empty(t, ValidateMultiPolygon(nil), "no part, no fault")
}

func TestValidityOfLines(t *testing.T) {
	rows := []struct {
		ls   orb.LineString
		kind FaultKind
		why  string
	}{
		{orb.LineString{{0, 0}, {100, 100}, {100, 0}, {0, 100}, {0, 0}}, "", suite + " row 9: a line may cross itself"},
		{orb.LineString{{0, 0}, {0, 0}}, NoLength, suite + " row 10: too few distinct points"},
		{orb.LineString{{0, 0}}, TooFew, "OGC 06-103r4: a line has two or more positions"},
		{nil, TooFew, "OGC 06-103r4: a line has two or more positions"},
		{orb.LineString{{0, 0}, {math.Inf(1), 0}}, NotFinite, "positions are finite"},
		{orb.LineString{{0, 0}, {0, 0}, {1, 0}}, "", "repeats are allowed"},
	}
	for _, r := range rows {
		f := ValidateLine(r.ls)
		if r.kind == "" {
			assert.Empty(t, f, r.why)
			continue
		}
		require.Len(t, f, 1, r.why)
		assert.Equal(t, r.kind, f[0].Kind, r.why)
	}
	// The ring of row 11 is a bow-tie.
	f := ValidatePolygon(orb.Polygon{{{0, 0}, {100, 100}, {100, 0}, {0, 100}, {0, 0}}})
	require.Len(t, f, 1)
	assert.InDelta(t, 50*math.Sqrt2, f[0].Depth, 1e-12, "every end is half a diagonal from the other edge")
	f[0].Depth = 0
	assert.Equal(t, Fault{At: orb.Point{50, 50}, Kind: SelfCrossing, Reason: "the ring crosses itself"}, f[0], suite+" row 11")
}

func TestValidityOfParts(t *testing.T) {
	// Own drawings, each a rule of OGC 06-103r4, 6.1.14.
	//
	//  two diamonds that cross only at corners of both
	//     +   +        a: (0,2)(2,0)(4,2)(2,4)   b: the same turned by 45 degrees,
	//    / \ / \       through the middles of a's edges
	a := orb.Polygon{{{0, 2}, {2, 0}, {4, 2}, {2, 4}, {0, 2}}}
	b := orb.Polygon{{{1, 1}, {3, 1}, {3, 3}, {1, 3}, {1, 1}}} // all corners on a's edges
	f := ValidateMultiPolygon(orb.MultiPolygon{a, b})
	require.Len(t, f, 1)
	assert.Equal(t, PartsOverlap, f[0].Kind, "inside, touching at every corner")
	lens := orb.MultiPolygon{
		{{{0, 0}, {4, 4}, {8, 0}, {4, 2}, {0, 0}}},
		{{{4, 4}, {8, 8}, {12, 4}, {8, 0}, {4, 4}}},
	}
	f = ValidateMultiPolygon(lens)
	require.NotEmpty(t, f)
	assert.Equal(t, PartsOverlap, f[0].Kind, "a shared edge")
	twice := orb.MultiPolygon{
		{{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}}},
		{{{4, 0}, {6, 2}, {4, 4}, {8, 4}, {8, 0}, {4, 0}}},
	}
	assert.Empty(t, ValidateMultiPolygon(twice), "parts may touch at two points")
	third := ValidateMultiPolygon(orb.MultiPolygon{{box(0, 0, 1, 1)}, {box(5, 0, 6, 1)}, {box(5.5, 0.5, 7, 2)}})
	require.Len(t, third, 2, "both crossings")
	assert.Equal(t, orb.Point{5.5, 1}, third[0].At)
	assert.Equal(t, orb.Point{6, 0.5}, third[1].At)
	ringOfHoles := orb.Polygon{box(0, 0, 10, 10),
		{{2, 5}, {5, 2}, {3, 5}, {2, 5}}, {{5, 2}, {8, 5}, {5, 3}, {5, 2}}, {{8, 5}, {5, 8}, {7, 5}, {8, 5}}, {{5, 8}, {2, 5}, {5, 7}, {5, 8}}}
	f = ValidatePolygon(ringOfHoles)
	require.Len(t, f, 1, "four holes in a closed chain cut off the middle")
	assert.Equal(t, InteriorCut, f[0].Kind)
	assert.Empty(t, ValidatePolygon(ringOfHoles[:4]), "three of them leave a way out")
}

func TestValidityAgainstSimplefeatures(t *testing.T) {
	valid, invalid := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		grid := rapid.SampledFrom([]int{3, 5, 9, 30}).Draw(t, "grid")
		var mp orb.MultiPolygon
		for range rapid.IntRange(1, 3).Draw(t, "parts") {
			var p orb.Polygon
			for range rapid.IntRange(1, 3).Draw(t, "rings") {
				if rapid.IntRange(0, 2).Draw(t, "kind") == 0 {
					a, b := drawGridPoint(t, grid, "corner"), drawGridPoint(t, grid, "corner")
					p = append(p, box(a[0], a[1], b[0], b[1]))
				} else {
					p = append(p, drawRing(t, rapid.IntRange(2, 6).Draw(t, "n"), grid, "ring"))
				}
			}
			mp = append(mp, p)
		}
		faults := ValidateMultiPolygon(mp)
		err := toSF(mp).Validate()
		if err == nil && len(faults) > 0 && strayHoles(mp, faults) {
			// simplefeatures v0.50.0 judges a hole by one corner, and passes a hole
			// outside the outline (or within another hole) where that corner touches it.
			return
		}
		if (err == nil) != (len(faults) == 0) {
			t.Fatalf("%s\nours %+v\nsimplefeatures %v", wkt.MarshalString(mp), faults, err)
		}
		if err == nil {
			valid++
		} else {
			invalid++
		}
	})
	assert.Positive(t, valid)
	assert.Positive(t, invalid)
}

// ringIsSimple is the slow, obvious test: every edge against every other, in
// rational numbers.
func ringIsSimple(r orb.Ring) bool {
	n := len(r) - 1
	on := func(p, a, b orb.Point) bool {
		return orientRational(a, b, p) == 0 && p[0] >= min(a[0], b[0]) && p[0] <= max(a[0], b[0]) && p[1] >= min(a[1], b[1]) && p[1] <= max(a[1], b[1])
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			a, b, c, d := r[i], r[i+1], r[j], r[j+1]
			switch {
			case j == i+1: // a-b-d: only b may be shared
				if on(d, a, b) || on(a, c, d) {
					return false
				}
			case i == 0 && j == n-1:
				if on(c, a, b) || on(b, c, d) {
					return false
				}
			case on(a, c, d) || on(b, c, d) || on(c, a, b) || on(d, a, b):
				return false
			case orientRational(a, b, c)*orientRational(a, b, d) < 0 && orientRational(c, d, a)*orientRational(c, d, b) < 0:
				return false
			}
		}
	}
	return true
}

func TestValidityOfUnevenNumbers(t *testing.T) {
	// Corners that are no whole numbers, some on an edge as near as rounding lets
	// them be: the verdict hangs on the last digit. (simplefeatures v0.50.0, which
	// rounds, calls some of them the other way.)
	verdicts, others := map[bool]int{}, 0
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		r := star(rng, orb.Point{0, 0}, 100, 3+rng.IntN(30))
		for range rng.IntN(4) {
			i, j := 1+rng.IntN(len(r)-2), 1+rng.IntN(len(r)-1)
			r[i] = lerp(r[j-1], r[j], rng.Float64())
		}
		want := ringIsSimple(r)
		faults := ValidatePolygon(orb.Polygon{r})
		require.Equal(t, want, len(faults) == 0, "%s %+v", wkt.MarshalString(orb.Polygon{r}), faults)
		verdicts[want]++
		if (polygonToSF(orb.Polygon{r}).Validate() == nil) != want {
			others++
		}
	})
	assert.Positive(t, verdicts[true])
	assert.Positive(t, verdicts[false])
	t.Logf("%d valid, %d not; simplefeatures differs on %d", verdicts[true], verdicts[false], others)
}

// strayHoles tells whether every fault is a hole with a corner that is plainly
// outside the outline or plainly inside another hole.
func strayHoles(mp orb.MultiPolygon, faults []Fault) bool {
	for _, f := range faults {
		p := mp[f.Part]
		switch f.Kind {
		case HoleOutside:
			if Inside(p[:1], f.At) {
				return false
			}
		case HolesNested:
			within := 0
			for k, r := range p[1:] {
				if k+1 != f.Ring && Inside(orb.Polygon{r}, f.At) {
					within++
				}
			}
			if within == 0 {
				return false
			}
		default:
			return false
		}
	}
	return true
}

// wheel is a valid ring of n spikes round a hub, with an edge pointing every way.
func wheel(n int) orb.Ring {
	var r orb.Ring
	for i := range 2 * n {
		s, c := math.Sincos(math.Pi * float64(i) / float64(n))
		d := 500.0
		if i%2 == 1 {
			d = 100
		}
		r = append(r, orb.Point{d * c, d * s})
	}
	return append(r, r[0])
}

// comb is a valid ring of n thin teeth along a bearing.
func comb(n int, bearing float64) orb.Ring {
	u, v := Direction(bearing), Direction(bearing+90)
	at := func(x, y float64) orb.Point { return orb.Point{x*u[0] + y*v[0], x*u[1] + y*v[1]} }
	r := orb.Ring{at(-10, 0)}
	for i := range n {
		y := float64(i) * 0.02
		r = append(r, at(0, y), at(1000, y+0.005), at(0, y+0.01))
	}
	r = append(r, at(-10, float64(n)*0.02))
	return append(r, r[0])
}

func TestValidityEndsQuickly(t *testing.T) {
	rng := rand.New(rand.NewPCG(51, 52))
	tangle := make(orb.Ring, 100_000)
	for i := range tangle {
		tangle[i] = orb.Point{1000 * rng.Float64(), 1000 * rng.Float64()}
	}
	tangle = append(tangle, tangle[0])
	holes := orb.Polygon{box(-1, -1, 400, 400)}
	for i := range 20_000 {
		x, y := float64(i%200), float64(i/200)
		holes = append(holes, box(x+0.1, y+0.1, x+0.9, y+0.9))
	}
	spoiled := comb(33_000, 30)
	spoiled[50_000], spoiled[50_003] = spoiled[50_003], spoiled[50_000]
	rows := []struct {
		name  string
		p     orb.Polygon
		valid bool
	}{
		{"wheel", orb.Polygon{wheel(50_000)}, true},
		{"comb to the north", orb.Polygon{comb(33_000, 0)}, true},
		{"comb to the east", orb.Polygon{comb(33_000, 90)}, true},
		{"comb aslant", orb.Polygon{comb(33_000, 30)}, true},
		{"comb aslant, two corners swapped", orb.Polygon{spoiled}, false},
		{"tangle", orb.Polygon{tangle}, false},
		{"20,000 holes", holes, true},
	}
	for _, r := range rows {
		start := time.Now()
		faults := ValidatePolygon(r.p)
		took := time.Since(start)
		assert.Equal(t, r.valid, len(faults) == 0, "%s: %+v", r.name, faults)
		assert.LessOrEqual(t, len(faults), MaxFaults)
		assert.Less(t, took, 30*time.Second, r.name)
		t.Logf("%-34s %8d corners %8.3f s", r.name, corners(orb.MultiPolygon{r.p}), took.Seconds())
	}
}

func TestFaultsSayHowDeep(t *testing.T) {
	//  a hole whose corner was meant to lie on the outline's east edge, and which
	//  a reader of 7 decimals finds 4 mm beyond it
	p := orb.Polygon{box(0, 0, 60, 60), {{20, 40}, {20, 20}, {60.004, 20}, {20, 40}}}
	for _, tn := range turns {
		f := ValidatePolygon(tn.polygon(p))
		require.Len(t, f, 2, tn.name)
		for _, g := range f {
			assert.Equal(t, RingsCross, g.Kind)
			assert.InDelta(t, 0.004, g.Depth, 1e-9, tn.name)
		}
	}
}

func TestFaultsSayWhereEachIs(t *testing.T) {
	// A saw of three crossings along the east line: two strands plaited.
	r := orb.Ring{{0, 0}, {2, 2}, {4, 0}, {6, 2}, {8, 0}, {8, 2}, {6, 0}, {4, 2}, {2, 0}, {0, 2}, {0, 0}}
	var places []orb.Point
	for _, f := range ValidatePolygon(orb.Polygon{r}) {
		assert.Equal(t, SelfCrossing, f.Kind)
		places = append(places, f.At)
	}
	assert.Equal(t, []orb.Point{{1, 1}, {3, 1}, {5, 1}, {7, 1}}, places, "from west to east")
}
