package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
)

func own(rule, limit string, o Own) map[string]map[string]Own {
	return map[string]map[string]Own{rule: {limit: o}}
}

func TestHoldsAtTheLimit(t *testing.T) {
	for _, c := range []struct {
		comparison        string
		below, at, beyond bool
	}{
		{">=", false, true, true}, {">", false, false, true}, {"<=", true, true, false}, {"<", true, false, false}, {"=", false, true, false},
	} {
		l := Limit{Comparison: c.comparison, Value: 10, known: true}
		assert.Equal(t, c.below, l.Holds(9.999999), c.comparison)
		for _, v := range []float64{10, 10 - 5e-10, 10 + 5e-10} {
			assert.Equal(t, c.at, l.Holds(v), "%s %v", c.comparison, v)
		}
		assert.Equal(t, c.beyond, l.Holds(10.000001), c.comparison)
	}
	var nothing Limit
	assert.False(t, nothing.Holds(0), "an unknown limit is satisfied by nothing")
	word, _ := set(t, General).Get("setback.building", "unknown_demand")
	assert.False(t, word.Holds(0), "so is a word")
}

// What holds under a tighter value holds under the looser one.
func TestTighterLetsLessThrough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Limit{Comparison: rapid.SampledFrom(Comparisons).Draw(t, "comparison"), Value: rapid.Float64Range(0, 100).Draw(t, "value"), known: true}
		v := rapid.Float64Range(0, 100).Draw(t, "other")
		measured := rapid.Float64Range(0, 100).Draw(t, "measured")
		other := l
		other.Value = v
		if l.Tighter(v) && other.Holds(measured) && !l.Holds(measured) {
			t.Fatalf("%v holds at %v and %v does not", other, measured, l)
		}
		if l.Tighter(v) && other.Tighter(l.Value) {
			t.Fatalf("%v and %v are each tighter than the other", l, other)
		}
	})
}

func TestWithTightens(t *testing.T) {
	general := set(t, General)
	s, loosened := general.With(own("setback.building", "zone_factor_low", Own{Value: 0.75}))
	assert.Empty(t, loosened)
	l, ok := s.Get("setback.building", "zone_factor_low")
	require.True(t, ok)
	assert.Equal(t, 0.75, l.Value)
	assert.Equal(t, "the holding's own limit", l.Source.Text)
	assert.Equal(t, planner.User, l.Source.Confidence)
	assert.Equal(t, ">=", l.Comparison)
	was, _ := general.Get("setback.building", "zone_factor_low")
	assert.Equal(t, 0.5, was.Value, "the set it was made from is as it was")
	assert.Equal(t, "general", s.Others("setback.building", "zone_factor_low")[0].Set)
}

func TestWithLoosens(t *testing.T) {
	for _, c := range []struct {
		name, rule, limit string
		own               Own
		loosened, applied bool
	}{
		{"a mix is the user's own business", "hedge.mix", "greatest_share_percent", Own{Value: 90}, false, true},
		{"buildings want a reason", "setback.building", "zone_factor_high", Own{Value: 1}, true, false},
		{"buildings with a reason", "setback.building", "zone_factor_high", Own{Value: 1, Reason: "basket willow cut to 3 m each winter"}, true, true},
		{"a blank is no reason", "setback.building", "zone_factor_high", Own{Value: 1, Reason: "  "}, true, false},
		{"the same value is not looser", "setback.building", "zone_factor_high", Own{Value: 1.25}, false, true},
		{"wires", "setback.overhead-line", "strip_least_m", Own{Value: 3}, true, false},
		{"wires, wider", "setback.overhead-line", "strip_least_m", Own{Value: 9}, false, true},
		{"law: peat", "ground.peat", "depth_greatest_m", Own{Value: 0.5}, true, false},
		{"law: peat, shallower", "ground.peat", "depth_greatest_m", Own{Value: 0.2}, false, true},
		{"law: an exemption widened", "hedge.buffer", "exempt_field_ha", Own{Value: 4}, true, false},
		{"law: a permit distance drawn in", "setback.water", "consent_main_river_m", Own{Value: 4}, true, false},
		{"a word of the standard", "setback.building", "unknown_demand", Own{Text: "low"}, true, false},
		{"the same word", "setback.building", "unknown_demand", Own{Text: "high"}, false, true},
		{"a date", "ground.planting", "bare_root_until", Own{Text: "03-15"}, false, true},
		{"an unknown one is stated", "plant.suckers", "bed_least_m", Own{Value: 3}, false, true},
	} {
		was, _ := set(t, General).Get(c.rule, c.limit)
		s, list := set(t, General).With(own(c.rule, c.limit, c.own))
		require.Equal(t, c.loosened, len(list) == 1, c.name)
		got, ok := s.Get(c.rule, c.limit)
		require.True(t, ok, c.name)
		want := was
		if c.applied {
			want = got
			assert.Equal(t, c.own.Text, got.Text, c.name)
			assert.Equal(t, c.own.Value, got.Value, c.name)
		}
		assert.Equal(t, want, got, c.name)
		if c.loosened {
			assert.Equal(t, Loosened{Limit: list[0].Limit, Was: was, Reason: c.own.Reason, Applied: c.applied}, list[0], c.name)
			assert.Equal(t, c.own.Value, list[0].Limit.Value, c.name)
		}
		assert.Equal(t, list, s.Loosened(), c.name)
	}
}

func TestFaults(t *testing.T) {
	s := set(t, General)
	bad := map[string]map[string]Own{
		"hedge.density":   {"per_meter": {Value: 5}, "per_metre": {Text: "six"}},
		"hedge.colour":    {"green": {Value: 1}},
		"ground.planting": {"bare_root_from": {Text: "Martinmas"}, "bare_root_until": {Value: 3}, "strip_m": {Value: -1}},
	}
	got := s.Faults(bad)
	require.Len(t, got, 6)
	assert.Equal(t, `The limit bare_root_from of ground.planting is a date, month-day as in 11-01, not "Martinmas".`, got[0])
	assert.Equal(t, "The limit bare_root_until of ground.planting is a date, not a number.", got[1])
	assert.Equal(t, "The limit strip_m of ground.planting is a number from 0 to 1000000, not -1.", got[2])
	assert.Contains(t, got[3], `There is no limit "green" of a rule "hedge.colour". The rules that have limits are ground.consent, `)
	assert.Equal(t, `There is no limit "per_meter" of a rule "hedge.density". The limits of hedge.density are per_metre, per_metre_least, single_row_per_metre_least.`, got[4])
	assert.Equal(t, `The limit per_metre of hedge.density is a number in plants per m, not "six".`, got[5])
	with, list := s.With(bad)
	assert.Empty(t, list)
	l, _ := with.Get("hedge.density", "per_metre")
	assert.Equal(t, 6.0, l.Value, "what does not fit is left out")
	assert.Empty(t, s.Faults(own("hedge.density", "per_metre", Own{Value: 5})))
}

const header = "rule,limit,comparison,value,unit,source,year,confidence,note\n"

func TestReadOwnFile(t *testing.T) {
	s, err := Read(strings.NewReader("\ufeffvalue,limit,rule,note\r\n5,per_metre,hedge.density,the nursery's packs\r\n1,zone_factor_high,setback.building,\"willow, kept at 3 m\"\r\n"), "mine.csv", nil)
	require.NoError(t, err)
	l, ok := s.Get("hedge.density", "per_metre")
	require.True(t, ok)
	assert.Equal(t, 5.0, l.Value)
	assert.Equal(t, "mine.csv", l.Set)
	assert.Equal(t, "plants per m", l.Unit)
	assert.Equal(t, "the holding's own limit", l.Source.Text)
	require.Len(t, s.Loosened(), 1)
	assert.Equal(t, "willow, kept at 3 m", s.Loosened()[0].Reason)
	fence, ok := s.Get("hedge.fence", "fence_least_m")
	require.True(t, ok)
	assert.Equal(t, 1.2, fence.Value, "what the file does not say is general's")

	s, err = Read(strings.NewReader(header+"hedge.split,gap_m,<,20,m,PTES,,published,\nhedge.fence,fence_least_m,>=,1.5,m,our agent,2026,user,\n"), "mine.csv", set(t, "scotland"))
	require.NoError(t, err)
	split, _ := s.Get("hedge.split", "gap_m")
	assert.False(t, split.Holds(20))
	assert.Contains(t, split.Source.Text, "People's Trust for Endangered Species")
	fence, _ = s.Get("hedge.fence", "fence_least_m")
	assert.Equal(t, "our agent", fence.Source.Text)
	assert.Equal(t, []string{"general", "scotland"}, []string{s.Others("hedge.fence", "fence_least_m")[0].Set, s.Others("hedge.fence", "fence_least_m")[1].Set})
}

func TestReadFaults(t *testing.T) {
	for _, c := range []struct{ name, file, says string }{
		{"empty", "", "mine.csv: The file is empty. The first line names the columns: rule, limit, comparison, value"},
		{"column", "rule,limit,value,colour\n", `mine.csv: line 1, column 4: The column "colour" is not known, or comes twice. The columns are rule, limit,`},
		{"twice", "rule,rule,value\n", `The column "rule" is not known, or comes twice.`},
		{"missing", "rule,value\n", `mine.csv: line 1: The column "limit" is missing.`},
		{"cells", header + "hedge.fence,fence_least_m\n", "mine.csv: line 2: This line has 2 cells. Each line has 9 cells"},
		{"quote", header + "hedge.fence,\"fence\n", "mine.csv: line 2, column 20: This is not readable as CSV: "},
		{"rule", "rule,limit,value\nhedge.fense,fence_least_m,1\n", `mine.csv: line 2, column 13 (limit): There is no limit "fence_least_m" of a rule "hedge.fense". The rules that have limits are`},
		{"limit", "rule,limit,value\nhedge.fence,fence_m,1\n", "The limits of hedge.fence are fence_least_m, protect_years."},
		{"value", "rule,limit,value\nhedge.fence,fence_least_m,1.2 m\n", `mine.csv: line 2, column 27 (value): The value "1.2 m" is not one that can be used. It is a number from 0 to 1000000, with a point`},
		{"negative", "rule,limit,value\nhedge.fence,fence_least_m,-1\n", `The value "-1" is not one`},
		{"not a number", "rule,limit,value\nhedge.fence,fence_least_m,NaN\n", `The value "NaN" is not one`},
		{"no value", "rule,limit,value\nhedge.fence,fence_least_m,\n", "There is no value. Leave the line out to keep the limit as it is."},
		{"comparison", header + "hedge.fence,fence_least_m,=>,1,m,,,,\n", `(comparison): The comparison "=>" is not known. It is one of >=, >, <=, <, =.`},
		{"turned", header + "hedge.fence,fence_least_m,<=,1,m,,,,\n", `The comparison "<=" turns the limit round. It was ">="`},
		{"unit", header + "hedge.fence,fence_least_m,>=,1,ft,,,,\n", `(unit): The unit "ft" is not known. It is one of m, ha,`},
		{"other unit", header + "hedge.fence,fence_least_m,>=,1,ha,,,,\n", `The unit is "ha". It is m.`},
		{"year", header + "hedge.fence,fence_least_m,>=,1,m,,last,,\n", `(year): The year "last" is not one.`},
		{"confidence", header + "hedge.fence,fence_least_m,>=,1,m,,,sure,\n", `(confidence): The confidence "sure" is not known. It is one of published, derived,`},
		{"date", "rule,limit,value\nground.planting,bare_root_from,30-11\n", `(value): The date "30-11" is not one. A date is month-day`},
		{"again", "rule,limit,value\nhedge.fence,fence_least_m,1\nhedge.fence,fence_least_m,2\n", "line 3, column 13 (limit): hedge.fence fence_least_m comes twice."},
		{"no reason", header + "setback.building,zone_factor_high,>=,1,heights,,,,\n", "(note): setback.building zone_factor_high is a matter of buildings and was at least 1.25 heights: at least 1 heights loosens it. Give the reason in the note"},
		{"no reason, less strict", header + "ground.consent,free_below_ha,<=,2,ha,,,,\n", "is a matter of law and was less than 2 ha: at most 2 ha loosens it."},
		{"large", header + strings.Repeat("x", greatestFile), "mine.csv: The file is larger than 1048576 bytes."},
	} {
		s, err := Read(strings.NewReader(c.file), "mine.csv", nil)
		require.Error(t, err, c.name)
		assert.Nil(t, s, c.name)
		assert.Contains(t, err.Error(), c.says, c.name)
		assert.NotContains(t, strings.ToLower(err.Error()), "error", c.name)
		var p *planner.Problem
		assert.ErrorAs(t, err, &p, c.name)
	}
}

// Every fault is named at once, up to a number that can be read.
func TestReadNamesAllFaults(t *testing.T) {
	_, err := Read(strings.NewReader("rule,limit,value\n"+strings.Repeat("no.rule,no,1\n", 50)), "mine.csv", nil)
	require.Error(t, err)
	lines := strings.Split(err.Error(), "\n")
	require.Len(t, lines, greatestFaults+1)
	assert.Contains(t, lines[0], "line 2")
	assert.Contains(t, lines[greatestFaults-1], "line 21")
	assert.Equal(t, "mine.csv: And 30 more.", lines[greatestFaults])
}

// An unknown limit is not there, and says why; its rule still lists it.
func TestUnknownLimits(t *testing.T) {
	l, ok := set(t, "wales").Get("ground.consent", "free_below_ha")
	assert.False(t, ok)
	assert.Equal(t, "not known", l.String())
	assert.Contains(t, l.Note, "Natural Resources Wales")
	assert.Len(t, set(t, "wales").Rule("ground.consent"), 4)
	_, ok = set(t, General).Get("hedge.density", "no such limit")
	assert.False(t, ok)
	assert.Empty(t, set(t, General).Rule("no.rule"))
	assert.Empty(t, set(t, General).Others("no.rule", "none"))
}

// Our own files read back as a user's file over general give the country again.
func TestCountryFileReadsAsOwnFile(t *testing.T) {
	for _, name := range []string{"england", "scotland"} {
		var b strings.Builder
		b.WriteString("rule,limit,comparison,value,unit,note\n")
		for k, l := range set(t, name).own {
			if l.known && !l.IsText() {
				v := strings.TrimSuffix(strings.TrimPrefix(l.String(), words[l.Comparison]+" "), " "+l.Unit)
				b.WriteString(strings.Join([]string{k.rule, k.limit, l.Comparison, v, l.Unit, "as in " + name}, ",") + "\n")
			}
		}
		s, err := Read(strings.NewReader(b.String()), "copy.csv", nil)
		require.NoError(t, err)
		for k, l := range set(t, name).own {
			if l.known && !l.IsText() {
				got := s.find(k)
				assert.Equal(t, []any{l.Value, l.Comparison, l.Unit}, []any{got.Value, got.Comparison, got.Unit}, k)
			}
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("rule,limit,value\nhedge.fence,fence_least_m,1.5\n")
	f.Add(header + "hedge.split,gap_m,<,20,m,PTES,2020,published,\"a, note\"\n")
	f.Add(header + "setback.building,zone_factor_high,>=,1,heights,,,,\n")
	f.Add("\ufeffrule,limit,value\n\"\n")
	f.Add("")
	f.Fuzz(func(t *testing.T, data string) {
		s, err := Read(strings.NewReader(data), "own", nil)
		if err != nil {
			if s != nil || err.Error() == "" {
				t.Fatal("a file that cannot be used gives no set and says why")
			}
			return
		}
		for k, l := range s.own {
			was := s.base.find(k)
			if !l.known || l.Unit != was.Unit || l.Safety && l.looserThan(was) && l.Note == "" {
				t.Fatalf("%v was let through: %+v", k, l)
			}
		}
	})
}
