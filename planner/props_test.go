package planner

import (
	"fmt"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every property of the table has a field to go into, and every tagged field a property.
func TestTableMatchesTypes(t *testing.T) {
	for kind, info := range vocabulary.kinds {
		fields := map[string][]int{}
		propFields(reflect.TypeOf(info.spec.New()).Elem(), nil, fields)
		for i, p := range info.props {
			if p.Type == TypeSpecies && kind != string(KindPlant) {
				assert.Contains(t, fields, "mix", "%s: a species alone is a mix of one", kind)
				continue
			}
			assert.NotNil(t, info.fields[i], "%s.%s has no field", kind, p.Name)
			delete(fields, p.Name)
		}
		if info.spec.Grows && (kind == string(KindOrchard) || kind == string(KindGrove)) {
			fields = nil // they share a type, and each uses a part of it
		}
		assert.Empty(t, fields, "fields of %s that no property fills", kind)
	}
	for i, p := range vocabulary.holding.props {
		assert.NotNil(t, vocabulary.holding.fields[i], "holding.%s", p.Name)
	}
}

// Every default of the table is a value that the table allows, so that writing it out changes nothing.
func TestDefaultsAreAllowed(t *testing.T) {
	check := func(where string, p Prop) {
		assert.True(t, p.Default != nil || p.Else != "", "%s says neither default nor what holds instead", where)
		assert.NotEmpty(t, p.Help, where)
		if p.Default == nil {
			return
		}
		v, err := encode(p.Default)
		require.NoError(t, err)
		x, ok, why := readValue(p, v)
		require.True(t, ok, "%s: %s %s", where, v, why)
		if _, auto := x.(Auto); !auto {
			assert.EqualValues(t, p.Default, x, where)
		}
	}
	for kind, info := range vocabulary.kinds {
		for _, p := range info.props {
			check(kind+"."+p.Name, p)
		}
	}
	for _, p := range HoldingProps() {
		check("holding."+p.Name, p)
	}
}

const (
	drawnLine = `{"type": "LineString", "coordinates": [[-2.6, 54.2], [-2.599, 54.2]]}`
	drawnRing = `{"type": "Polygon", "coordinates": [[[-2.6, 54.2], [-2.599, 54.2], [-2.599, 54.201], [-2.6, 54.2]]]}`
)

// drawn is a geometry of a type that the kind allows.
func drawn(kind Kind) string {
	s, _ := SpecOf(kind)
	switch s.Geometries[0] {
	case point:
		return at(-2.6, 54.2)
	case line:
		return drawnLine
	}
	return drawnRing
}

// read1 reads a plan of one feature.
func read1(t *testing.T, kind Kind, props ...string) (*Plan, *Feature) {
	t.Helper()
	p, err := Read([]byte(file(feature("x", string(kind), drawn(kind), props...))), ReadOptions{})
	require.NoError(t, err)
	require.Len(t, p.Features, 1)
	return p, p.Features[0]
}

// Values that are not allowed: the message has the feature, the property, the value and what is allowed, and the default is not
// used in its place. Source: the table of kinds in the README.
func TestPropertyRefused(t *testing.T) {
	for _, c := range []struct {
		kind     Kind
		property string
		value    string
		says     string
	}{
		{KindBuilding, "height_m", `"tall"`, `height_m is "tall". Allowed is a number from 0.1 to 60 m.`},
		{KindBuilding, "height_m", `"5"`, `height_m is "5". Allowed is a number`},
		{KindBuilding, "height_m", `0.05`, `height_m is 0.05. Allowed is a number from 0.1 to 60 m.`},
		{KindBuilding, "height_m", `60.5`, `from 0.1 to 60 m`},
		{KindBuilding, "height_m", `1e400`, `height_m is 1e400`},
		{KindBuilding, "height_m", `true`, `height_m is true`},
		{KindBuilding, "dwelling", `"Yes"`, `Allowed is true, false, "yes" or "no".`},
		{KindBuilding, "dwelling", `1`, `Allowed is true, false, "yes" or "no".`},
		{KindParcel, "moisture", `"soggy"`, `Allowed is one of dry, moist, damp, wet, waterlogged.`},
		{KindParcel, "moisture", `"Wet"`, `write it "wet"`},
		{KindParcel, "grazed_by", `"sheep"`, `Allowed is a list, each at most once, of cattle, sheep`},
		{KindParcel, "grazed_by", `["sheep", "llamas"]`, `entry 2 is "llamas"`},
		{KindParcel, "grazed_by", `["sheep", "sheep"]`, `"sheep" stands there twice`},
		{KindParcel, "ph", `14`, `from 3 to 9.5`},
		{KindParcel, "sward", `["soft rush", {"percent": 5}]`, `entry 2: it has no species`},
		{KindParcel, "sward", `[{"species": "soft rush", "percent": 500}]`, `percent is 500; a number from 0 to 100 is allowed`},
		{KindScreen, "until", `2026.5`, `the year in which a winter begins`},
		{KindScreen, "until", `26`, `the year in which a winter begins`},
		{KindHedge, "rows", `1.5`, `a whole number from 1 to 6`},
		{KindHedge, "per_metre", `0`, `from 1 to 12 a metre`},
		{KindHedge, "mix", `[]`, `it is empty`},
		{KindHedge, "mix", `{"species": "hawthorn"}`, `Allowed is a list of {"species": "...", "share_percent": ...} that adds up to 100.`},
		{KindHedge, "mix", `["hawthorn"]`, `entry 1: "hawthorn" is not an object in braces`},
		{KindHedge, "mix", `[{"species": "hawthorn", "share_percent": 60}, {"species": "holly", "share_percent": 30}]`, `the shares add up to 90 percent, not 100`},
		{KindHedge, "mix", `[{"species": "hawthorn", "share_percent": 100.6}]`, `share_percent is 100.6`},
		{KindHedge, "mix", `[{"species": "hawthorn", "share_percent": 50}, {"species": "holly", "share_percent": 49.49}]`, `add up to 99.49 percent`},
		{KindHedge, "mix", `[{"species": "hawthorn"}]`, `entry 1: it has no share_percent`},
		{KindHedge, "mix", `[{"species": " ", "share_percent": 100}]`, `entry 1: it has no species`},
		{KindHedge, "mix", `[{"species": 5, "share_percent": 100}]`, `species is 5, not text in quotes`},
		{KindHedge, "species", `["hawthorn"]`, `Allowed is the name of a species, in quotes.`},
		{KindHedge, "species", `"  "`, `the name is empty`},
		{KindHedge, "manage", `"flail"`, `one of trim, coppice, lay, leave`},
		{KindHedge, "cut_in", `[2027, {"from_m": 2}]`, `entry 2: it has no winter`},
		{KindHedge, "cut_in", `[{"winter": 2027, "from_m": 20, "to_m": 10}]`, `to_m is 10, not beyond from_m, 20`},
		{KindHedge, "not_in", `[27]`, `27 is not the year in which a winter begins`},
		{KindWindbreak, "rows", `[{"spacing_m": 2}]`, `entry 1: it has no species`},
		{KindWindbreak, "rows", `[{"species": "alder", "mix": [{"species": "alder", "share_percent": 100}]}]`, `it has both species and mix`},
		{KindWindbreak, "rows", `[{"species": "alder", "spacing_m": 0.05}]`, `spacing_m is 0.05; a number from 0.1 to 50 is allowed`},
		{KindWindbreak, "rows", `[{"mix": [{"species": "alder", "share_percent": 10}]}]`, `mix: the shares add up to 10 percent`},
		{KindWindbreak, "protects", `["bed", 7, true]`, `entry 3: true is not an id`},
		{KindOrchard, "bearing_deg", `361`, `a bearing from 0 to 360 degrees, or "auto"`},
		{KindOrchard, "bearing_deg", `"north"`, `or "auto"`},
		{KindOrchard, "pattern", `"scatter"`, `one of square, rectangle, offset, quincunx, triangle`},
		{KindOrchard, "trees", `[{"species": "apple", "count": 2, "share_percent": 3}]`, `it has both a count and a share_percent`},
		{KindOrchard, "trees", `[{"species": "apple", "count": 2}, {"species": "pear"}]`, `give every entry a count, or every entry a share_percent`},
		{KindOrchard, "trees", `[{"species": "apple", "share_percent": 50}, {"species": "pear"}]`, `not every entry has`},
		{KindOrchard, "trees", `[{"species": "apple", "count": 2.5}]`, `count is 2.5; a whole number is allowed`},
		{KindOrchard, "trees", `[{"species": "apple", "count": -1}]`, `count is -1`},
		{KindOrchard, "trees", `[]`, `it is empty`},
		{KindPlant, "status", `"standing"`, `one of existing, planned`},
		{KindPlant, "planted", `"2026"`, `the year in which a winter begins`},
		{KindPlant, "name", `7`, `Allowed is text in quotes.`},
		{KindPlant, "area", `[1]`, `Allowed is the id of a feature.`},
	} {
		t.Run(fmt.Sprintf("%s %s %s", c.kind, c.property, c.value), func(t *testing.T) {
			p, f := read1(t, c.kind, fmt.Sprintf("%q: %s", c.property, c.value))
			fault := one(t, p, "input.property")
			assert.Len(t, p.Faults, 1)
			assert.Equal(t, Stop, fault.Severity)
			assert.Equal(t, "x", fault.Feature)
			assert.Equal(t, c.property, fault.Property)
			assert.Contains(t, fault.Message, "The "+string(c.kind)+" x: ")
			assert.Contains(t, fault.Message, c.says)
			assert.Contains(t, fault.Message, "Allowed is ")
			assert.True(t, f.Wrong(c.property))
			assert.False(t, f.Stated(c.property))
			assert.True(t, f.Sound, "the drawing is sound all the same")
			info := vocabulary.kinds[string(c.kind)]
			i := info.index[c.property]
			if info.fields[i] != nil {
				target := reflect.ValueOf(f).Elem()
				if !isCommon(i) {
					target = reflect.ValueOf(f.Detail).Elem()
				}
				assert.True(t, target.FieldByIndex(info.fields[i]).IsZero(), "no default in its place")
			}
			assert.NotContains(t, Defaults(p), string(c.kind)+"."+c.property)
		})
	}
}

func TestPropertyRead(t *testing.T) {
	_, f := read1(t, KindHedge, `"species": "whitethorn"`, `"cut_in": [2027, {"winter": 2031, "from_m": 10, "to_m": 40}]`, `"height_m": null`, `"colour": "green"`)
	h := f.Detail.(*Hedge)
	assert.Equal(t, []Share{{"whitethorn", 100}}, h.Mix, "a species alone is a mix of one")
	assert.Equal(t, []Cut{{Winter: 2027}, {Winter: 2031, FromM: 10, ToM: 40}}, h.CutIn)
	assert.False(t, f.Stated("height_m"), "null is not given")

	_, f = read1(t, KindGrove, `"species": "alder"`)
	g := f.Detail.(*Block)
	assert.Equal(t, alone("alder"), g.Mix)
	assert.Equal(t, "triangle", g.Pattern)
	assert.True(t, g.Auto)
	_, f = read1(t, KindOrchard, `"bearing_deg": "auto"`, `"trees": [{"species": "apple"}]`, `"margin_m": 0`)
	g = f.Detail.(*Block)
	assert.True(t, g.Auto)
	assert.True(t, f.Stated("margin_m"), "a margin of 0 is the user's own")
	assert.Equal(t, []Tree{{Species: "apple", SharePercent: 100}}, g.Trees, "one entry alone is all of them")
	_, f = read1(t, KindRow, `"trees": [{"species": "gooseberry", "count": 6}, {"species": "currant", "count": 0}]`)
	assert.Equal(t, []Tree{{Species: "gooseberry", Count: 6}, {Species: "currant"}}, f.Detail.(*Row).Trees)

	for value, want := range map[string]bool{`true`: true, `"yes"`: true, `false`: false, `"no"`: false} {
		_, f = read1(t, KindBuilding, `"dwelling": `+value)
		assert.Equal(t, want, f.Detail.(*Building).Dwelling, value)
	}
	for value, want := range map[string]string{`true`: "yes", `"no"`: "no", `"unknown"`: "unknown"} {
		_, f = read1(t, KindParcel, `"shrinkable": `+value)
		assert.Equal(t, want, f.Detail.(*Parcel).Shrinkable)
	}
	for mix, ok := range map[string]bool{
		`[{"species": "a", "share_percent": 33.3}, {"species": "b", "share_percent": 33.3}, {"species": "c", "share_percent": 33.3}]`: true,
		`[{"species": "a", "share_percent": 99.5}]`:                                                  true,
		`[{"species": "a", "share_percent": 50}, {"species": "b", "share_percent": 50.5}]`:           true,
		`[{"species": "a", "share_percent": 50}, {"species": "b", "share_percent": 50.51}]`:          false,
		`[{"species": "a", "share_percent": 99.49}]`:                                                 false,
		`[{"species": "a", "share_percent": 100}, {"species": "b", "share_percent": 0}]`:             true,
		`[{"species": "a", "share_percent": 100}, {"species": "b", "share_percent": -0.1}]`:          false,
		`[{"species": "a", "share_percent": 90.1}, {"species": "b", "share_percent": 9.4, "x": []}]`: true,
	} {
		p, _ := read1(t, KindHedge, `"mix": `+mix)
		assert.Equal(t, ok, len(p.Faults) == 0, mix)
	}
	_, f = read1(t, KindBed, `"area": 12`, `"notes": "clay \u00e0 1 m"`)
	assert.Equal(t, "12", f.Area)
	assert.Equal(t, "clay à 1 m", f.Notes)
}

func TestOneWayOfPlanting(t *testing.T) {
	p, f := read1(t, KindRow, `"species": "hazel"`, `"trees": [{"species": "hazel"}]`)
	fault := one(t, p, "input.property")
	assert.Contains(t, fault.Message, "says in 2 ways what is planted: species and trees")
	assert.True(t, f.Wrong("trees"))
	assert.True(t, f.Wrong("species"))
}

// The status that holds where a feature states none. Source: the properties of every feature in the README.
func TestStatusDefault(t *testing.T) {
	for _, c := range []struct {
		kind   Kind
		props  string
		winter int
		want   Status
	}{
		{KindWindbreak, ``, 0, Planned}, {KindOrchard, ``, 0, Planned}, {KindGrove, ``, 0, Planned}, {KindRow, ``, 0, Planned},
		{KindRow, `"planted": 2010`, 2026, Planned},
		{KindHedge, ``, 0, Planned}, {KindPlant, ``, 0, Planned}, {KindPlant, `"spread_m": 4`, 0, Planned},
		{KindHedge, `"planted": 2010`, 0, Existing}, {KindHedge, `"height_m": 2`, 0, Existing}, {KindHedge, `"last_cut": 2020`, 0, Existing},
		{KindHedge, `"height_m": 2`, 2026, Existing},
		{KindPlant, `"height_m": 9`, 0, Existing}, {KindPlant, `"planted": 2026`, 0, Existing},
		{KindPlant, `"planted": 2026`, 2026, Planned}, {KindPlant, `"planted": 2027`, 2026, Planned}, {KindPlant, `"planted": 2025`, 2026, Existing},
		{KindHedge, `"planted": 2026, "height_m": 0.5`, 2026, Planned},
		{KindBuilding, ``, 2026, Existing}, {KindBed, `"planted": 2027`, 2026, Planned}, {KindGap, ``, 0, Existing}, {KindParcel, ``, 0, Existing},
		{KindHedge, `"status": "planned", "height_m": 3`, 0, Planned}, {KindRow, `"status": "existing"`, 0, Existing},
		{KindPlant, `"status": "existing", "planted": 2030`, 2026, Existing},
		{KindHedge, `"status": "perhaps"`, 0, ""}, {KindPlant, `"planted": "soon"`, 2026, ""}, {KindPlant, `"planted": "soon"`, 0, Existing},
		{KindHedge, `"height_m": "tall"`, 0, Existing},
		{"beehive", ``, 0, Existing},
	} {
		props := []string{}
		if c.props != "" {
			props = append(props, c.props)
		}
		geometry := drawnLine
		if _, known := SpecOf(c.kind); known {
			geometry = drawn(c.kind)
		}
		p, err := Read([]byte(file(feature("x", string(c.kind), geometry, props...))), ReadOptions{Winter: c.winter})
		require.NoError(t, err)
		assert.Equal(t, c.want, p.Features[0].Status, "%s %s in %d", c.kind, c.props, c.winter)
	}
}

// A planned hedge will be kept 2 m high and 1.5 m wide; an existing one has the size that is stated or none.
func TestPlannedHedgeSize(t *testing.T) {
	for props, want := range map[string][2]float64{
		`"status": "planned"`:                   {2, 1.5},
		`"status": "planned", "height_m": 3`:    {3, 1.5},
		`"status": "planned", "width_m": 1`:     {2, 1},
		`"status": "existing"`:                  {0, 0},
		`"status": "existing", "height_m": 2.2`: {2.2, 0},
		`"status": "planned", "height_m": "x"`:  {0, 1.5},
	} {
		_, f := read1(t, KindHedge, props)
		h := f.Detail.(*Hedge)
		assert.Equal(t, want, [2]float64{h.HeightM, h.WidthM}, props)
	}
}

func TestHoldingRead(t *testing.T) {
	text := `{"type": "FeatureCollection", "features": [], "holding": {"name": "Sallow Bottom", "origin": [-2.6, 54.2], "rule_set": "./own.csv", "wind_from_deg": 250,
	 "wind_rose": [{"from_deg": 240, "percent": 30, "speed_m_s": 6}, {"from_deg": 60, "percent": 10, "speed_m_s": 9}], "planting_winter": 2026,
	 "browsing": ["roe", "voles"], "spare_percent": 0, "bundle": 50, "heat_kwh_per_year": 12000, "stove_efficiency": 0.8,
	 "chip_use": {"mulch_depth_m": 0.1, "paths_m3": 3}, "uses": ["paths", "logs"], "pictures": [{"name": "old map"}], "prices": {"hawthorn": 0.6},
	 "limits": {"hedge.gap": {"greatest_m": 3, "note": "as advised"}, "setback.overhead-line": {"clearance_m": {"value": 2, "reason": "the operator said so"}}},
	 "accepted": [{"key": "hedge.gap:a:31", "reason": "badgers", "date": "2026-11-02", "measured": 5.2, "limit": 5, "source": "x"}], "motto": "slow"}}`
	p, err := Read([]byte(text), ReadOptions{})
	require.NoError(t, err)
	assert.Empty(t, p.Faults)
	h := p.Holding
	assert.Equal(t, "Sallow Bottom", h.Name)
	assert.Equal(t, -2.6, h.Origin[0])
	assert.Equal(t, *h.Origin, p.Frame.Origin())
	assert.Equal(t, "./own.csv", h.RuleSet)
	assert.Equal(t, []WindArm{{240, 30, 6}, {60, 10, 9}}, h.WindRose)
	assert.Equal(t, 240.0, h.WorstWindDeg(), "30 x 6 is more than 10 x 9")
	assert.Equal(t, []string{"roe", "voles"}, h.Browsing)
	assert.Equal(t, 0.0, h.SparePercent)
	assert.Equal(t, 50, h.Bundle)
	assert.Equal(t, &ChipUse{MulchDepthM: 0.1, PathsM3: 3}, h.ChipUse)
	assert.Equal(t, []string{"paths", "logs"}, h.Uses)
	assert.Equal(t, OwnLimit{Value: 3}, h.Limits["hedge.gap"]["greatest_m"])
	assert.Equal(t, OwnLimit{Text: "as advised"}, h.Limits["hedge.gap"]["note"])
	assert.Equal(t, OwnLimit{Value: 2, Reason: "the operator said so"}, h.Limits["setback.overhead-line"]["clearance_m"])
	assert.Equal(t, []Accepted{{"hedge.gap:a:31", "badgers", "2026-11-02", Figure(5.2), Figure(5), "x"}}, h.Accepted)
	assert.JSONEq(t, `{"hawthorn": 0.6}`, string(h.Prices))
	assert.True(t, h.Stated("spare_percent"))

	p, err = Read([]byte(text), ReadOptions{Winter: 2030, RuleSet: "ireland"})
	require.NoError(t, err)
	assert.Equal(t, 2030, p.Holding.PlantingWinter)
	assert.Equal(t, "ireland", p.Holding.RuleSet)
	assert.Equal(t, text, written(t, p), "what the caller says is not written into the file")

	p, err = Read([]byte(file(someOak)), ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, DefaultHolding(), p.Holding)
}

func TestHoldingRefused(t *testing.T) {
	for member, c := range map[string]struct{ value, says string }{
		"origin":          {`[-2.6]`, "a position, [longitude, latitude]"},
		"wind_from_deg":   {`"auto"`, "a bearing from 0 to 360 degrees"},
		"wind_rose":       {`[{"from_deg": 0, "percent": 60, "speed_m_s": 5}, {"from_deg": 9, "percent": 60, "speed_m_s": 5}]`, "the percents add up to 120, more than 100"},
		"planting_winter": {`"2026"`, "the year in which a winter begins"},
		"browsing":        {`["wolves"]`, `entry 1 is "wolves"`},
		"spare_percent":   {`-1`, "a number from 0 to 100 percent"},
		"bundle":          {`0`, "a whole number from 1 to 1000"},
		"chip_use":        {`{"bedding_m3": "some"}`, `bedding_m3 is "some"`},
		"limits":          {`{"hedge.gap": {"greatest_m": {"reason": "none"}}}`, "hedge.gap, greatest_m: it has no value"},
		"accepted":        {`[{"reason": "why not"}]`, "entry 1: it has no key"},
		"prices":          {`12`, "an object in braces"},
		"pictures":        {`{}`, "a list in brackets"},
		"rule_set":        {`7`, "text in quotes"},
	} {
		text := `{"type": "FeatureCollection", "holding": {"` + member + `": ` + c.value + `}, "features": [` + someOak + `]}`
		p, err := Read([]byte(text), ReadOptions{})
		require.NoError(t, err)
		f := one(t, p, "input.property")
		assert.Equal(t, member, f.Property)
		assert.Contains(t, f.Message, "The holding: "+member+" is ")
		assert.Contains(t, f.Message, c.says)
		assert.Contains(t, f.Message, "Until it is mended")
		assert.True(t, p.Holding.Wrong(member))
		assert.Equal(t, text, strip(written(t, p), p), "the file is kept as it is")
	}
	far := `{"type": "FeatureCollection", "holding": {"origin": [54.2, -2.6]}, "features": [` + someOak + `]}`
	p, err := Read([]byte(far), ReadOptions{})
	require.NoError(t, err)
	assert.Contains(t, one(t, p, "input.property").Message, "origin is [54.2, -2.6], 6316 km from what is drawn")
	assert.True(t, p.Holding.Wrong("origin"))
	assert.Equal(t, -2.5995, p.Frame.Origin()[0])
	assert.Equal(t, far, written(t, p))
	next, _, err := p.Apply(Edit{})
	require.NoError(t, err)
	assert.Equal(t, p.Faults, next.Faults)
	p, err = Read([]byte(`{"type": "FeatureCollection", "holding": "mine", "features": []}`), ReadOptions{})
	require.NoError(t, err)
	assert.Contains(t, one(t, p, "input.property").Message, `The holding is "mine"`)
}
