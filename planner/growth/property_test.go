package growth

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner/setout"
)

var someSpecies = []string{"hawthorn", "hazel", "common alder", "pedunculate oak", "holly", "Scots pine", "grey willow", "beech", "downy birch", "blackcurrant"}

// anyPlan draws a handful of plantings, some of which stand already, some of which are cut.
func anyPlan(t *rapid.T) []props {
	n := rapid.IntRange(1, 6).Draw(t, "features")
	var out []props
	for i := range n {
		id, y := fmt.Sprintf("f%d", i), float64(30*i)
		p := props{}
		sp := func() string { return rapid.SampledFrom(someSpecies).Draw(t, "species") }
		kind := rapid.SampledFrom([]string{"hedge", "windbreak", "row", "plant", "grove"}).Draw(t, "kind")
		switch rapid.IntRange(0, 3).Draw(t, "state") {
		case 1:
			p["status"], p["height_m"] = "existing", rapid.Float64Range(0.5, 15).Draw(t, "height")
		case 2:
			p["status"], p["planted"] = "existing", rapid.IntRange(1990, 2026).Draw(t, "planted")
		case 3:
			p["planted"] = rapid.IntRange(2026, 2040).Draw(t, "planted later")
		}
		if kind == "hedge" || kind == "grove" {
			manage := []string{"leave", "coppice"}
			if kind == "hedge" {
				manage = append(manage, "trim")
			}
			p["manage"] = rapid.SampledFrom(manage).Draw(t, "manage")
			if rapid.Bool().Draw(t, "cut") {
				p["cut_in"] = []any{rapid.IntRange(2027, 2050).Draw(t, "winter")}
			}
		}
		from, to := [2]float64{0, y}, [2]float64{25, y}
		switch kind {
		case "windbreak":
			p["rows"] = []any{props{"species": sp(), "spacing_m": 1.5}, props{"species": sp(), "spacing_m": 3}}
			out = append(out, feature(id, kind, "LineString", p, from, to))
		case "plant":
			p["species"] = sp()
			out = append(out, feature(id, kind, "Point", p, from))
		case "grove":
			p["mix"], p["spacing_m"] = []any{props{"species": sp(), "share_percent": 100}}, 5
			out = append(out, feature(id, kind, "Polygon", p, from, to, [2]float64{25, y + 20}, [2]float64{0, y + 20}))
		default:
			p["species"] = sp()
			if kind == "row" {
				p["spacing_m"] = 2.0
			}
			out = append(out, feature(id, kind, "LineString", p, from, to))
		}
	}
	return out
}

func inOrder(s Span) bool { return !s.Known || 0 <= s.Low && s.Low <= s.Mid && s.Mid <= s.High }

// cutIn tells whether a feature is cut to the stool in a year.
func cutIn(s *Stand, p *setout.Plant, year int) bool {
	if h := s.hedges[p.Feature.ID]; h != nil {
		return slices.Contains(h.lives[h.partAt(p.Chainage)].cuts, year)
	}
	l := s.lifeOfPlant(p)
	return slices.Contains(l.cuts, year)
}

func TestSizesFromYearToYear(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := standOf(t, winter, anyPlan(rt)...)
		s.out.Each(func(p *setout.Plant) bool {
			last := s.Plant(p, 0)
			for year := 0; year <= LastYear; year++ {
				size := s.Plant(p, year)
				if !inOrder(size.Height) || !inOrder(size.Spread) {
					rt.Fatalf("%s in year %d: %+v", p.ID(), year, size)
				}
				if size.BaseM > size.Height.Mid {
					rt.Fatalf("%s in year %d: leaves begin at %v m of %v", p.ID(), year, size.BaseM, size.Height.Mid)
				}
				cut := cutIn(s, p, year)
				switch {
				case cut && year > 0 && last.Height.Mid > stumpM && size.Height.Mid >= last.Height.Mid:
					rt.Fatalf("%s is cut in year %d and still %v m high, before it %v", p.ID(), year, size.Height.Mid, last.Height.Mid)
				case !cut && (size.Height.Low < last.Height.Low-1e-9 || size.Height.Mid < last.Height.Mid-1e-9 || size.Height.High < last.Height.High-1e-9):
					rt.Fatalf("%s shrinks in year %d from %+v to %+v without a cut", p.ID(), year, last.Height, size.Height)
				case !cut && size.Spread.Mid < last.Spread.Mid-1e-9:
					rt.Fatalf("%s grows narrower in year %d, %+v to %+v", p.ID(), year, last.Spread, size.Spread)
				}
				last = size
			}
			return true
		})
		for _, year := range []int{0, 3, 12, 30} {
			for _, b := range s.Bodies(year) {
				if !inOrder(b.Height) || !inOrder(b.Spread) || b.Height.Mid <= 0 || b.BaseM > b.Height.Mid {
					rt.Fatalf("%s in year %d: %+v", b.Feature.ID, year, b.Size)
				}
				if b.DensityKnown && !(b.DensityLeafOff > 0 && b.DensityLeafOff <= b.DensityLeafOn+1e-12 && b.DensityLeafOn <= 1) {
					rt.Fatalf("%s in year %d: closed %v in leaf, %v bare", b.Feature.ID, year, b.DensityLeafOn, b.DensityLeafOff)
				}
				if b.DensityKnown == (b.DensityUnknown != "") {
					rt.Fatalf("%s in year %d: known %v, %q", b.Feature.ID, year, b.DensityKnown, b.DensityUnknown)
				}
			}
		}
	})
}

// shown is all that a stand says of some years, by feature id, without pointers into the plan.
func shown(s *Stand) []string {
	var out []string
	for _, year := range []int{0, 4, 17, 30} {
		for _, b := range s.Bodies(year) {
			out = append(out, fmt.Sprintf("%d %s %d %v %+v %v %v %v", year, b.Feature.ID, b.Row, b.Runs, b.Size, b.DensityLeafOn, b.DensityLeafOff, b.DensityUnknown))
		}
		for _, c := range s.Crowns(year) {
			out = append(out, fmt.Sprintf("%d %s %+v %v %v", year, c.Plant.ID(), c.Size, c.DensityLeafOn, c.DensityLeafOff))
		}
	}
	return out
}

func TestOrderOfFeaturesDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		list := anyPlan(rt)
		turned := rapid.Permutation(list).Draw(rt, "order")
		a, b := shown(standOf(t, winter, list...)), shown(standOf(t, winter, turned...))
		if !reflect.DeepEqual(a, b) {
			rt.Fatalf("in the one order\n%v\nin the other\n%v", a, b)
		}
	})
}

// The demo holding: whatever is there is in order in every year, and what is asked twice is answered alike.
func TestDemoThroughTheYears(t *testing.T) {
	s := standOfPlan(t, demo(t))
	again := standOfPlan(t, demo(t))
	require.Equal(t, shown(s), shown(again))
	for year := range LastYear + 1 {
		s.out.Each(func(p *setout.Plant) bool {
			size := s.Plant(p, year)
			require.True(t, inOrder(size.Height) && inOrder(size.Spread), "%s in year %d", p.ID(), year)
			require.NotEmpty(t, size.Rests, p.ID())
			require.Equal(t, size, s.plantSize(p, year), "the list and the reckoning agree")
			return true
		})
		require.NotEmpty(t, s.Bodies(year))
		require.NotEmpty(t, s.Crowns(year))
	}
}

// many is a holding of some 5,000 plants: hedges, a belt and groves.
func many(t testing.TB) *Stand {
	var list []props
	for i := range 10 {
		y := float64(60 * i)
		list = append(list,
			feature(fmt.Sprintf("hedge%d", i), "hedge", "LineString", props{"mix": []any{props{"species": "hawthorn", "share_percent": 70}, props{"species": "hazel", "share_percent": 30}}}, [2]float64{0, y}, [2]float64{40, y}),
			feature(fmt.Sprintf("grove%d", i), "grove", "Polygon", props{"mix": []any{props{"species": "common alder", "share_percent": 60}, props{"species": "downy birch", "share_percent": 40}}, "spacing_m": 2.5, "pattern": "square"},
				[2]float64{0, y + 5}, [2]float64{40, y + 5}, [2]float64{40, y + 45}, [2]float64{0, y + 45}))
	}
	return standOf(t, winter, list...)
}

func BenchmarkNew(b *testing.B) {
	s := many(b)
	n := 0
	s.out.Each(func(*setout.Plant) bool { n++; return true })
	for b.Loop() {
		New(s.plan, s.out, s.cat, s.set)
	}
	b.ReportMetric(float64(n), "plants")
}

func BenchmarkYear(b *testing.B) {
	s := many(b)
	year := 0
	for b.Loop() {
		year = (year + 1) % (LastYear + 1)
		s.Bodies(year)
		s.Crowns(year)
	}
}
