package check

import (
	"context"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/light"
)

// alderBelt runs from west to east along y.
func alderBelt(id string, y float64) drawn {
	return lineOf(id, "windbreak", props{"status": "planned", "rows": rowsOf("common alder", "hawthorn")}, [2]float64{-40, y}, [2]float64{50, y})
}

// boards is a solid wall that stands.
func boards(id string, y, high float64) drawn {
	return lineOf(id, "wall", props{"height_m": high}, [2]float64{-40, y}, [2]float64{50, y})
}

func lightOf(t testing.TB, list ...drawn) (Input, []planner.Finding) {
	in := inputOf(t, props{"planting_winter": 2026}, list...)
	in.Stand = growth.New(in.Plan, in.Out, in.Catalogue, in.Set)
	return in, ruleOn(t, lightBed(), in)
}

// hoursIn is the mean of a bed as the light of all beds has it, in cells of 1 m.
func hoursIn(t testing.TB, in Input, id string, year int, g light.Growth) light.BedLight {
	through := light.Through(in.Plan, in.Stand)
	out, err := light.Beds(context.Background(), in.Plan, []int{year}, func(y int, _ light.Growth) *light.Scene { return through(y, g) }, light.OnLand(in.Plan), light.Options{})
	require.NoError(t, err)
	for _, b := range out[0].Beds {
		if b.Bed.ID == id {
			return b
		}
	}
	t.Fatal("no bed " + id)
	return light.BedLight{}
}

// Day lengths on the 21st at 52.2 N by cos H = (sin -0.8333 - sin lat sin dec)/(cos lat cos dec), the declinations as the
// Astronomical Almanac prints them to a tenth of a degree for 2026: 11.9, 20.2, 23.4, 20.4, 12.0 and 0.6.
func TestMoreSunThanThereIs(t *testing.T) {
	var mean float64
	for _, dec := range []float64{11.9, 20.2, 23.4, 20.4, 12.0, 0.6} {
		sin, cos := math.Sincos(dec * math.Pi / 180)
		sinLat, cosLat := math.Sincos(52.2 * math.Pi / 180)
		mean += math.Acos((math.Sin(-50.0/60*math.Pi/180)-sinLat*sin)/(cosLat*cos)) * 180 / math.Pi * 2 / 15 / 6
	}
	for _, c := range []struct {
		wanted float64
		speaks bool
		source string
	}{
		{mean - 0.05, false, "almanac day length"}, {mean + 0.05, true, "almanac day length"}, {24, true, "no day is longer"}, {0, false, "wants none"},
	} {
		_, found := lightOf(t, boxOf("bed", "bed", 0, 0, 10, 10, props{"light_hours": c.wanted}))
		require.Len(t, found, map[bool]int{false: 0, true: 1}[c.speaks], "%v: %s", c.wanted, c.source)
		if c.speaks {
			assert.Equal(t, planner.Note, found[0].Severity)
			assert.InDelta(t, mean, *found[0].Measured, 0.03, c.source)
			assert.Nil(t, found[0].Years)
			assert.Contains(t, found[0].Message, "April to September")
		}
	}
}

// What the rule says of the years, the hours and the shares is what the light of the bed is in those years.
func TestBedLosesItsLight(t *testing.T) {
	in, found := lightOf(t, boxOf("bed", "bed", 0, 0, 10, 10, props{"light_hours": 13.0}), alderBelt("belt", -4),
		boxOf("shed", "building", 0, -3, 5, -1, nil))
	require.Len(t, found, 1)
	f := found[0]
	assert.Equal(t, "light.bed:bed", f.Key, "it keeps its name whoever takes the light")
	assert.Equal(t, planner.Warn, f.Severity)
	assert.Equal(t, []any{"hours", "less", 13.0}, []any{f.Unit, f.Worse, *f.Limit})
	require.NotNil(t, f.Years)
	for _, c := range []struct {
		year   int
		growth light.Growth
	}{{f.Years.From, light.Most}, {f.Years.Mid, light.Middling}, {f.Years.To, light.Least}} {
		if c.year == planner.Never {
			assert.GreaterOrEqual(t, hoursIn(t, in, "bed", growth.LastYear, c.growth).MeanHours, 13.0)
			continue
		}
		require.Positive(t, c.year)
		assert.Less(t, hoursIn(t, in, "bed", c.year, c.growth).MeanHours, 13.0)
		assert.GreaterOrEqual(t, hoursIn(t, in, "bed", c.year-1, c.growth).MeanHours, 13.0)
	}
	at := hoursIn(t, in, "bed", f.Years.Mid, light.Middling)
	assert.InEpsilon(t, at.MeanHours, *f.Measured, 0.01)
	assert.Contains(t, f.Message, takersText(at.TakenBy))
	assert.Contains(t, f.Message, hours(hoursIn(t, in, "bed", growth.LastYear, light.Middling).MeanHours), "how it ends")
	assert.Contains(t, f.Message, "states no height_m and is taken as 5 m high", "what was assumed of a taker is said")
}

func TestWhenAndHowGrave(t *testing.T) {
	for _, c := range []struct {
		why      string
		list     []drawn
		severity planner.Severity
		years    *planner.Years // nil: silent
		says     string
	}{
		{"nothing about", nil, "", nil, ""},
		{"a wall 3 m high that stands at the south edge", []drawn{boards("wall", -0.5, 3)}, planner.Warn, &planner.Years{}, "has less from the start"},
		{"the same wall north of the bed: the low sun of summer mornings and evenings alone comes from there", []drawn{boards("wall", 10.5, 3)}, "", nil, ""},
		{"a belt 200 m off", []drawn{alderBelt("belt", -200)}, "", nil, ""},
		{"a screen that is gone before it matters", []drawn{lineOf("net", "screen", props{"height_m": 0.3, "density_percent": 50, "until": 2028}, [2]float64{0, -1}, [2]float64{10, -1})}, "", nil, ""},
	} {
		_, found := lightOf(t, append([]drawn{boxOf("bed", "bed", 0, 0, 10, 4, props{"light_hours": 11.5})}, c.list...)...)
		if c.years == nil {
			assert.Empty(t, found, c.why)
			continue
		}
		require.Len(t, found, 1, c.why)
		assert.Equal(t, c.severity, found[0].Severity, c.why)
		assert.Equal(t, c.years, found[0].Years, c.why)
		assert.Contains(t, found[0].Message, c.says, c.why)
	}
}

func TestWhoseFigureTheHoursAre(t *testing.T) {
	wall := boards("wall", -0.2, 30)
	_, found := lightOf(t, boxOf("bed", "bed", 0, 0, 10, 4, nil), wall)
	require.Len(t, found, 1)
	assert.Equal(t, 6.0, *found[0].Limit, "the plan file's default")
	assert.Equal(t, planner.CommonPractice, found[0].Source.Confidence)
	assert.Contains(t, found[0].Source.Text, "states no light_hours")
	_, found = lightOf(t, boxOf("bed", "bed", 0, 0, 10, 4, props{"light_hours": 6.0}), wall)
	assert.Contains(t, found[0].Source.Text, "the plan wants")
}

// What nobody knows the height of is named where it stands near a bed, and nowhere else.
func TestWhatIsLeftOutOfTheLight(t *testing.T) {
	stranger := func(x float64) drawn {
		return pointAt("stranger", "plant", x, 5, props{"species": "stranger tree", "status": "planned"})
	}
	bed := boxOf("bed", "bed", 0, 0, 10, 10, nil)
	_, found := lightOf(t, bed, stranger(20), lineOf("low", "wall", nil, [2]float64{0, 12}, [2]float64{9, 12}))
	require.Len(t, found, 1)
	assert.Equal(t, []string{"low", "stranger"}, found[0].Features)
	assert.Equal(t, planner.Note, found[0].Severity)
	_, found = lightOf(t, bed, stranger(500))
	assert.Empty(t, found)
	_, found = lightOf(t, stranger(20))
	assert.Empty(t, found, "no bed, no matter")
	_, found = lightOf(t, bed, pointAt("thin", "plant", 20, 5, props{"species": "stranger tree", "status": "existing", "height_m": 8}))
	require.Len(t, found, 1, "it is 8 m high, but nobody knows how wide")
	assert.Contains(t, found[0].Message, "how tall or wide it grows is not known. State height_m and spread_m")
	_, found = lightOf(t, bed, boxOf("wood", "grove", 0, -40, 20, -20, props{"status": "existing", "height_m": 14}))
	require.Len(t, found, 1, "a standing wood that nobody says the trees of")
	assert.Equal(t, []string{"wood"}, found[0].Features)
	assert.Equal(t, "The light on beds was reckoned without 'grove wood', which could not be set out: another finding says what is wanting.", found[0].Message)
}

// A tall wall south of a bed never adds light: the bed does not fall later, and has no more hours.
func TestAWallNeverAddsLight(t *testing.T) {
	// The field keeps the middle of what is drawn, from where the sun is looked at, in its place.
	list := []drawn{boxOf("field", "parcel", -60, -60, 60, 60, nil), boxOf("bed", "bed", 0, 0, 10, 6, props{"light_hours": 12.5}), alderBelt("belt", -6),
		treeAt("tree", 14, "pedunculate oak", nil)}
	in, before := lightOf(t, list...)
	require.Len(t, before, 1)
	rapid.Check(t, func(rt *rapid.T) {
		wall := boards("wall", -rapid.Float64Range(0.1, 30).Draw(rt, "off"), rapid.Float64Range(0.5, 20).Draw(rt, "high"))
		with, after := lightOf(t, append([]drawn{wall}, list...)...)
		require.Len(rt, after, 1)
		a, b := *before[0].Years, *after[0].Years
		assert.LessOrEqual(rt, b.From, a.From)
		assert.LessOrEqual(rt, b.Mid, a.Mid)
		assert.LessOrEqual(rt, b.To, a.To)
		year := rapid.IntRange(0, growth.LastYear).Draw(rt, "year")
		assert.LessOrEqual(rt, hoursIn(t, with, "bed", year, light.Middling).MeanHours, hoursIn(t, in, "bed", year, light.Middling).MeanHours+1e-9)
	})
}

func TestLightDoesNotDependOnTheOrder(t *testing.T) {
	list := []drawn{boxOf("bed", "bed", 0, 0, 10, 6, props{"light_hours": 12.5}), boxOf("other", "bed", 20, 0, 30, 6, props{"light_hours": 12.8}),
		alderBelt("belt", -6), alderBelt("belt-2", -6), boards("wall", -3, 1), boxOf("house", "building", 0, 8, 10, 14, props{"wants_light": true}), treeAt("tree", 14, "pedunculate oak", nil)}
	say := func(list []drawn) string {
		found, err := Run(context.Background(), inputOf(t, nil, list...), []*Rule{lightBed(), lightBuilding()})
		require.NoError(t, err)
		require.NotEmpty(t, found)
		text, err := json.Marshal(found)
		require.NoError(t, err)
		return string(text)
	}
	want := say(list)
	rapid.Check(t, func(rt *rapid.T) {
		assert.Equal(rt, want, say(rapid.Permutation(list).Draw(rt, "order")))
	})
}

func TestBuildingLosesItsLight(t *testing.T) {
	house := func(wants bool) drawn {
		return boxOf("house", "building", 0, 0, 12, 8, props{"wants_light": wants, "height_m": 6.0})
	}
	on := func(holding props, list ...drawn) []planner.Finding {
		return ruleOn(t, lightBuilding(), inputOf(t, holding, list...))
	}
	found := on(nil, house(true), alderBelt("belt", -5))
	require.Len(t, found, 1)
	f := found[0]
	assert.Equal(t, planner.Note, f.Severity, "a share from memory is no more than a note")
	assert.Contains(t, f.Message, "from memory")
	assert.Less(t, *f.Measured, *f.Limit)
	assert.Positive(t, f.Years.From)
	assert.LessOrEqual(t, f.Years.From, f.Years.Mid)
	assert.LessOrEqual(t, f.Years.Mid, f.Years.To)

	assert.Empty(t, on(nil, house(false), alderBelt("belt", -5)), "it wants no light")
	assert.Empty(t, on(nil, house(true), alderBelt("belt", 14)), "walls that face north have no noon sun to lose")
	assert.Empty(t, on(nil, house(true), boards("wall", -5, 8)), "what stands already takes nothing that was there in year 0")
	assert.Empty(t, on(nil, house(true), alderBelt("belt", -300)), "too far off")

	own := on(props{"limits": props{"light.building": props{"keeps_least_percent": 65}}}, house(true), alderBelt("belt", -5))
	require.Len(t, own, 1)
	assert.Greater(t, own[0].Years.Mid, f.Years.Mid, "whoever lets more pass is told later")
	assert.NotContains(t, own[0].Message, "from memory", "the figure is the holding's own")
}

// What asks no longer is not answered with half of the findings.
func TestRunThatIsBrokenOff(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	rule := &Rule{ID: "test.slow", Run: func(*Pass) { cancel() }}
	_, err := Run(ctx, inputOf(t, nil, boxOf("bed", "bed", 0, 0, 5, 5, nil)), []*Rule{rule, lightBed()})
	assert.ErrorIs(t, err, context.Canceled)
}

func TestQuickLeavesOutTheSlow(t *testing.T) {
	list, left := Quick()
	assert.Subset(t, left, []string{"light.bed", "light.building"})
	assert.Len(t, Rules(), len(list)+len(left))
	for _, r := range list {
		assert.NotContains(t, left, r.ID)
	}
}
