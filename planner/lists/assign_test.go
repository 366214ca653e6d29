package lists

import (
	"math"
	"math/rand"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// Two fields that share a boundary at x = 100, a bed in the larger one:
//
//	   0              100     160
//	60 +---------------+-------+
//	   |  big          | small |
//	   |    +---+      |       |
//	   |    |bed|      |       |
//	 0 +----+---+------+-------+
func fields() *bench {
	return newBench().land(parcelOf("big", rect(0, 0, 100, 60)), parcelOf("small", rect(100, 0, 60, 60)), bedOf("bed", rect(30, 0, 20, 10)))
}

func TestAssignPoints(t *testing.T) {
	for _, row := range []struct {
		at     orb.Point
		want   string
		source string
	}{
		{at(10, 10), "big", "inside one parcel"},
		{at(40, 5), "bed", "the smallest bed or parcel that holds it"},
		{at(40, 10), "bed", "on the bed's edge"},
		{at(40, 10.01), "bed", "within the 20 mm of tolerance"},
		{at(40, 10.1), "big", "beyond it"},
		{at(100, 30), "small", "on the shared boundary the smaller parcel"},
		{at(-4.9, 30), "big", "within 5 m of a parcel"},
		{at(-5, 30), "big", "exactly 5 m"},
		{at(-5.1, 30), "", "beyond 5 m: outside any area"},
		{at(164, 64), "", "5.66 m from the corner"},
		{at(163, 63), "small", "4.24 m from the corner"},
		{at(100, 63), "small", "as near to both: the smaller"},
		{at(40, -3), "big", "nearest parcel, not nearest bed"},
	} {
		b := fields().single("t", row.at, beech, whip)
		p, s, out := b.plan()
		got := Assign(p, s, out)
		assert.Equal(t, row.want, got.Of(&out.Layouts[0].Plants[0]), "%v: %s", row.at, row.source)
		_, whole := got.Whole("t")
		assert.False(t, whole)
	}
}

// Each line also runs the other way, and mirrored.
func TestAssignLines(t *testing.T) {
	line := func(p ...orb.Point) orb.LineString { return p }
	for _, row := range []struct {
		line   orb.LineString
		want   string // of every plant; "mixed" where they are counted one by one
		source string
	}{
		{line(at(10, 50), at(90, 50)), "big", "inside one"},
		{line(at(70, 30), at(120, 30)), "big", "30 m in big, 20 m in small: not split"},
		{line(at(80, 30), at(130, 30)), "small", "20 m in big, 30 m in small"},
		{line(at(100, 0), at(100, 60)), "small", "on a shared boundary the smaller parcel"},
		{line(at(100.4, 0), at(100.4, 60)), "small", "0.4 m beyond the edge is forgiven to big: both hold it all, the smaller"},
		{line(at(99.6, 0), at(99.6, 60)), "small", "the same from the other side"},
		{line(at(99.4, 0), at(99.4, 60)), "big", "0.6 m is not forgiven"},
		{line(at(0, 0), at(0, 60)), "big", "on the outer edge"},
		{line(at(-0.5, 0), at(-0.5, 60)), "big", "0.5 m beyond the edge forgiven"},
		{line(at(32, 5), at(48, 5)), "bed", "the bed and the field hold all of it: the smaller"},
		{line(at(20, 5), at(60, 5)), "big", "20 m of 40 in the bed, all of it in the field"},
		{line(at(0, 0), at(100, 0), at(100, 60)), "big", "100 m along big, 60 m on the shared boundary: big holds all"},
		{line(at(150, 30), at(220, 30)), "mixed", "10.5 m in small, 59.5 m outside: plant by plant"},
		{line(at(-3, 0), at(-3, 60)), "mixed", "outside every area, 3 m off: plant by plant"},
	} {
		for _, turn := range []string{"as drawn", "reversed", "mirrored"} {
			ls := append(orb.LineString{}, row.line...)
			b := fields()
			switch turn {
			case "reversed":
				ls.Reverse()
			case "mirrored":
				mirror(b)
				for i := range ls {
					ls[i][1] = -ls[i][1]
				}
			}
			l := &setout.Layout{Plants: []setout.Plant{{At: ls[0], Species: beech, Listed: true}, {At: ls[len(ls)-1], Species: beech, Listed: true, Number: 1}}}
			b.add(lineOf("line", planner.KindHedge, &planner.Hedge{Rows: 1}, ls...), l)
			p, s, out := b.plan()
			a := Assign(p, s, out)
			got, whole := a.Whole("line")
			if row.want == "mixed" {
				assert.False(t, whole, "%s: %s", row.source, turn)
				continue
			}
			assert.True(t, whole, "%s: %s", row.source, turn)
			assert.Equal(t, row.want, got, "%s: %s", row.source, turn)
			assert.Equal(t, row.want, a.Of(&out.Layouts[0].Plants[1]), "%s: %s", row.source, turn)
		}
	}
}

// mirror turns a bench's land over the x axis.
func mirror(b *bench) {
	for _, f := range b.features {
		for _, poly := range f.Shape.Polygons {
			for _, r := range poly {
				for i := range r {
					r[i][1] = -r[i][1]
				}
				r.Reverse()
			}
		}
	}
}

// Two fields of the same size: the lower id, however their areas differ by the rounding of coordinates.
func TestEqualFieldsGoByID(t *testing.T) {
	for _, wider := range []float64{-0.01, 0, 0.01} {
		b := newBench().land(parcelOf("b-field", rect(0, 0, 100, 60)), parcelOf("a-field", rect(100, 0, 100+wider, 60)))
		b.single("t", at(100, 20), beech, whip)
		l := hedge(at(100, 0), at(100, 60), 1, setout.UseHedge, of(10, beech, whip))
		b.add(lineOf("h", planner.KindHedge, &planner.Hedge{}, at(100, 0), at(100, 60)), l)
		got := b.list()
		assert.Equal(t, 11, area(t, got, "a-field").Total, "%v", wider)
	}
}

// What a plan says of itself goes before everything.
func TestAssignOwnArea(t *testing.T) {
	orchard := func(own string) *bench {
		b := fields()
		o := polygonOf("orchard", planner.KindOrchard, &planner.Block{}, rect(110, 10, 20, 20))
		o.Area = own
		return b.add(o, &setout.Layout{Plants: []setout.Plant{{At: at(115, 15), Species: apple, Use: setout.UseOrchard, Listed: true}}})
	}
	for _, row := range []struct {
		own, want string
		remarks   int
		says      string
	}{
		{"", "orchard", 0, ""},
		{"big", "big", 0, ""},
		{"bed", "bed", 0, ""},
		{"nowhere", "orchard", 1, "no feature with that id"},
		{"path", "orchard", 1, "path is a path"},
	} {
		b := orchard(row.own)
		b.land(lineOf("path", planner.KindPath, &planner.Way{}, at(0, 0), at(5, 5)))
		p, s, out := b.plan()
		a := Assign(p, s, out)
		assert.Equal(t, row.want, a.Of(&out.Layouts[0].Plants[0]), row.own)
		require.Len(t, a.Remarks, row.remarks, row.own)
		if row.remarks > 0 {
			assert.Contains(t, a.Remarks[0].Message, row.says)
			assert.Equal(t, "input.property", a.Remarks[0].Rule)
			l := b.list()
			assert.Contains(t, l.Notes[0], row.says, "the list says so too")
		}
	}
	// An area whose outline is not valid still is the area that the plan names.
	b := orchard("big")
	b.features[0].Sound = false
	assert.Equal(t, 1, area(t, b.list(), "big").Total)
}

// A line that is counted plant by plant shares its mulch out with its plants.
func TestLineCountedPlantByPlant(t *testing.T) {
	b := fields()
	l := hedge(at(140, 30), at(240, 30), 1, setout.UseHedge, of(100, hawthorn, whip))
	b.add(lineOf("h", planner.KindHedge, &planner.Hedge{Rows: 1}, at(140, 30), at(240, 30)), l)
	got := b.list()
	assert.Equal(t, 25, area(t, got, "small").Total, "20 inside, and 5 within 5 m of it")
	assert.Equal(t, 75, got.OutsideAnyArea)
	assert.InDelta(t, 25*0.9*0.075, sundryOf(area(t, got, "small").Sundries, "mulch", "").Quantity, 0.001)
	assert.InDelta(t, 75*0.9*0.075, sundryOf(got.Outside.Sundries, "mulch", "").Quantity, 0.001)
	assert.InDelta(t, 100*0.9*0.075, sundryOf(got.Sundries, "mulch", "").Quantity, 0.001)
}

// A slow and obvious version for within: many points along the segment, each asked by itself.
func withinSlowly(a, b orb.Point, r *geo.Region, d float64) float64 {
	const n = 4000
	in := 0
	for i := range n {
		t := (float64(i) + 0.5) / n
		p := orb.Point{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])}
		if r.Contains(p) || r.DistToEdge(p) <= d {
			in++
		}
	}
	return float64(in) / n
}

func TestWithinAgainstManyPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewSource(rapid.Int64().Draw(t, "seed")))
		n := rapid.IntRange(3, 12).Draw(t, "corners")
		ring := orb.Ring{}
		for i := range n {
			turn, r := 2*math.Pi*float64(i)/float64(n), 3+20*rng.Float64()
			ring = append(ring, orb.Point{r * math.Cos(turn), r * math.Sin(turn)})
		}
		ring = append(ring, ring[0])
		region := geo.NewRegion(orb.MultiPolygon{{ring}})
		c := rapid.Float64Range(-30, 30)
		a, b := at(c.Draw(t, "ax"), c.Draw(t, "ay")), at(c.Draw(t, "bx"), c.Draw(t, "by"))
		if geo.Dist(a, b) < 0.1 {
			return
		}
		got := within(a, b, region, forgiven)
		for i, s := range got {
			require.True(t, s.from >= 0 && s.to <= 1 && s.from <= s.to, "%v", s)
			require.True(t, i == 0 || got[i-1].to < s.from)
		}
		require.InDelta(t, withinSlowly(a, b, region, forgiven), total(got), 0.002+0.0005*float64(2*n))
	})
}

// Past a corner only the round of 0.5 m about it counts:
//
//	    \  <- 0.4 m from the corner at its nearest: a chord of 2 x sqrt(0.5^2 - 0.4^2) = 0.6 m
//	     \
//	+---+ \
//	|   |  \
func TestWithinPastACorner(t *testing.T) {
	region := geo.NewRegion(rect(-10, -10, 10, 10))
	d := 0.4 * math.Sqrt2
	a, b := at(d-20, 20), at(d+20, -20)
	assert.InDelta(t, 0.6, geo.Dist(a, b)*total(within(a, b, region, forgiven)), 1e-9)
	d = 0.51 * math.Sqrt2
	assert.Zero(t, total(within(at(d-20, 20), at(d+20, -20), region, forgiven)), "0.51 m away")
	c, e := at(-30, -5), at(30, -5)
	assert.InDelta(t, 11, geo.Dist(c, e)*total(within(c, e, region, forgiven)), 1e-9, "10 m across and 0.5 m at either side")
}
