package lists

import (
	"bytes"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// The worked example laid out by hand in metres, so that the list stands alone.
func TestWorkedExample(t *testing.T) {
	l := worked().list()
	require.Equal(t, 427, l.TotalPlants)
	assert.Equal(t, 427, sum(l))
	assert.Equal(t, 48, area(t, l, "orchard").Total)
	assert.Equal(t, 379, area(t, l, "long-field").Total)
	assert.Equal(t, 0, area(t, l, "kitchen-bed").Total)
	assert.Equal(t, 0, l.OutsideAnyArea)
	assert.Equal(t, []int{229, 23, 252, 11}, orderOf(t, l, "hawthorn"))
	for _, p := range area(t, l, "long-field").Plants {
		if p.English == "hawthorn" {
			assert.Equal(t, []string{"lane-hedge", "old-hedge", "west-belt"}, p.Features)
		}
	}
}

func TestAreasAreListedEmptyOrNot(t *testing.T) {
	bad := bedOf("bad", rect(0, 0, 1, 1))
	bad.Sound = false
	l := newBench().land(parcelOf("p", rect(0, 0, 10, 10)), bad).list()
	require.Len(t, l.Areas, 2)
	assert.Equal(t, "bad", l.Areas[0].ID)
	assert.Nil(t, l.Areas[0].AreaM2, "an outline that is not valid has no area")
	assert.Equal(t, 100.0, *l.Areas[1].AreaM2)
	assert.Zero(t, l.TotalPlants)
	assert.Equal(t, []Line{}, l.Areas[0].Plants, "an empty list, never null")
}

// drawBench makes a plan at random: fields, beds and orchards that overlap as they will, plants and lines in and out of them.
func drawBench(t *rapid.T) *bench {
	b := newBench()
	xy := rapid.Float64Range(-50, 250)
	size := rapid.Float64Range(1, 120)
	kinds := []*species.Species{hawthorn, holly, apple, currant, strawberry, yew, nil}
	stock := []string{whip, cell, onem, "pot-grown", ""}
	names := ids(60)
	next := func() string {
		id := names[0]
		names = names[1:]
		return id
	}
	name := func(f *planner.Feature) *planner.Feature {
		if rapid.IntRange(0, 4).Draw(t, "own area") == 0 {
			f.Area = rapid.SampledFrom([]string{"f000", "f001", "f005", "nowhere"}).Draw(t, "area")
		}
		return f
	}
	plant := func(p orb.Point, use setout.Use, n int) setout.Plant {
		s := rapid.SampledFrom(kinds).Draw(t, "species")
		q := setout.Plant{At: p, Number: n, Species: s, Name: "who knows", Use: use, Stock: rapid.SampledFrom(stock).Draw(t, "stock"), Listed: rapid.IntRange(0, 5).Draw(t, "listed") > 0}
		if s != nil {
			q.Name = s.Name()
		}
		return q
	}
	for range rapid.IntRange(0, 5).Draw(t, "areas") {
		mp := rect(xy.Draw(t, "x"), xy.Draw(t, "y"), size.Draw(t, "w"), size.Draw(t, "h"))
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0:
			b.land(parcelOf(next(), mp, "sheep"))
		case 1:
			b.land(bedOf(next(), mp))
		default:
			b.add(name(polygonOf(next(), planner.KindOrchard, &planner.Block{}, mp)),
				&setout.Layout{SpacingM: 5, Plants: []setout.Plant{plant(mp[0][0][0], setout.UseOrchard, 0)}})
		}
	}
	for range rapid.IntRange(0, 6).Draw(t, "plants") {
		p := at(xy.Draw(t, "x"), xy.Draw(t, "y"))
		b.add(name(pointOf(next(), p)), &setout.Layout{Plants: []setout.Plant{plant(p, setout.UsePlant, 0)}})
	}
	for range rapid.IntRange(0, 5).Draw(t, "lines") {
		from, to := at(xy.Draw(t, "x"), xy.Draw(t, "y")), at(xy.Draw(t, "x"), xy.Draw(t, "y"))
		var mix []setout.Plant
		for range rapid.IntRange(0, 3).Draw(t, "mix") {
			q := plant(from, setout.UseHedge, 0)
			q.Number = rapid.IntRange(1, 20).Draw(t, "n")
			mix = append(mix, q)
		}
		b.add(name(lineOf(next(), planner.KindHedge, &planner.Hedge{Rows: 2}, from, to)), hedge(from, to, 2, setout.UseHedge, mix...))
	}
	b.holding.Browsing = rapid.SliceOfDistinct(rapid.SampledFrom(planner.Browsers), func(s string) string { return s }).Draw(t, "browsing")
	return b
}

// every format of a list, one after the other.
func everyFormat(t require.TestingT, l *List) string {
	var b bytes.Buffer
	for _, f := range Formats() {
		if f.Binary {
			continue // made of the same list; TestPaperFormatsGiveTheSameBytes
		}
		require.NoError(t, f.Write(&b, l, Options{}))
	}
	return b.String()
}

// The sum over the areas and outside is what was set out to be listed, and so is the sum over the order, always.
func TestCountsAreConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBench(t)
		p, s, out := b.plan()
		l := Make(p, s, out, nil, nil)
		require.Equal(t, out.Listed(), l.TotalPlants)
		require.Equal(t, out.Listed(), sum(l))
		ordered, guards, canes := 0, map[bool]float64{}, 0.0
		for _, o := range l.Order {
			ordered += o.Plants
			require.Equal(t, o.Order, o.Plants+o.Spare)
		}
		require.Equal(t, out.Listed(), ordered)
		inAreas := map[string]float64{}
		for _, a := range append(append([]Area{}, l.Areas...), l.Outside) {
			for _, s := range a.Sundries {
				inAreas[s.Item] += s.Quantity
			}
		}
		whole := map[string]float64{}
		for _, s := range l.Sundries {
			whole[s.Item] += s.Quantity
			if s.Item == "guard" {
				guards[len(s.Kind) > 5 && s.Kind[:5] == "stock"] += s.Quantity
			}
			if s.Item == "cane" {
				canes += s.Quantity
			}
		}
		require.Equal(t, guards[false], canes, "a cane for each guard against browsing")
		for item, q := range whole {
			require.InDelta(t, q, inAreas[item], 0.06*float64(len(l.Areas)+1), "%s over the areas", item)
		}
	})
}

// The order in which features are drawn changes no byte of any format.
func TestOrderOfFeaturesDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBench(t)
		was := everyFormat(t, b.list())
		perm := rapid.Permutation(b.features).Draw(t, "order")
		b.features = perm
		require.Equal(t, was, everyFormat(t, b.list()))
		require.Equal(t, was, everyFormat(t, b.list()), "the same list twice")
	})
}

// Making a list alters neither the plan nor what was set out.
func TestMakeAltersNothing(t *testing.T) {
	p, s, out := worked().plan()
	before := make([]setout.Plant, 0, 500)
	out.Each(func(q *setout.Plant) bool { before = append(before, *q); return true })
	one := everyFormat(t, Make(p, s, out, nil, nil))
	i := 0
	out.Each(func(q *setout.Plant) bool {
		require.Equal(t, before[i], *q)
		i++
		return true
	})
	require.Equal(t, one, everyFormat(t, Make(p, s, out, nil, nil)))
}
