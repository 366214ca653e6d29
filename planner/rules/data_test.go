package rules

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// ruleIDs are the ids that a row may have: the rules of the checks, and hedge.layout, hedge.split and swapped input, which are
// read in setting out and reading.
var ruleIDs = strings.Fields(`
	input.geometry input.property input.species input.mended input.kind input.id input.overlap input.width
	spacing.same-spot spacing.too-close spacing.too-wide spacing.crowns-meet spacing.obstructed
	setback.building setback.overhead-line setback.service setback.drain setback.septic setback.well setback.water setback.ditch
	setback.road setback.path setback.boundary setback.railway
	windbreak.length windbreak.density windbreak.angle windbreak.gap windbreak.reach windbreak.crowding windbreak.frost
	ground.moisture ground.soil ground.exposure ground.planting ground.peat ground.protected ground.consent
	hedge.density hedge.mix hedge.native hedge.thorns hedge.gap hedge.gap-share hedge.condition hedge.fill hedge.fence hedge.trees
	hedge.buffer hedge.layout hedge.split
	guard.browsing orchard.pollination orchard.margin orchard.rootstock stock.toxic
	plant.regulated plant.disease plant.suckers light.bed light.building season.plant season.cut wood.closed wood.share wood.ash wood.wires wood.licence wood.shortfall`)

func library(t testing.TB) *Library {
	t.Helper()
	l, err := Default()
	require.NoError(t, err)
	return l
}

func set(t testing.TB, name string) *Set {
	t.Helper()
	s, err := library(t).Set(name)
	require.NoError(t, err)
	return s
}

// records reads a file of the package with nothing of the package's own reader.
func records(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open(name + ".csv")
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	recs, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(recs), 1, name)
	return recs
}

func TestNames(t *testing.T) {
	assert.Equal(t, []string{"general", "england", "ireland", "scotland", "northern-ireland", "wales"}, library(t).Names())
	_, err := library(t).Set("cornwall")
	require.ErrorContains(t, err, `There is no rule set called "cornwall". There are general, england, ireland`)
	assert.NotContains(t, err.Error(), "error")
}

// Every row of every file has what it must have, read apart from the loader.
func TestRows(t *testing.T) {
	sources := map[string]planner.Confidence{}
	for _, r := range records(t, "sources")[1:] {
		require.Len(t, r, 4)
		sources[r[0]] = planner.Confidence(r[3])
		assert.NotContains(t, r[1]+r[2], "\n")
	}
	used := map[string]bool{}
	for _, name := range append(library(t).Names(), "opinions") {
		recs := records(t, name)
		require.Equal(t, Columns, recs[0], name)
		for _, r := range recs[1:] {
			where := name + " " + r[0] + " " + r[1]
			assert.Contains(t, ruleIDs, r[0], where)
			assert.Regexp(t, limitName, r[1], where)
			assert.Contains(t, Comparisons, r[2], where)
			assert.Contains(t, Units, r[4], where)
			require.Contains(t, sources, r[5], where)
			used[r[5]] = true
			c := planner.Confidence(r[7])
			assert.Contains(t, planner.Confidences, c, where)
			assert.NotEqual(t, planner.User, c, where)
			assert.False(t, sources[r[5]].Weaker(c), "%s: %s is firmer than its source", where, c)
			if r[3] == "" {
				assert.NotEmpty(t, r[8], "%s: an unknown limit says why", where)
			}
		}
	}
	for code := range sources {
		assert.True(t, used[code], "the source %s is never used", code)
	}
}

// The unit stands at the end of a limit's name wherever it is one of those that the vocabulary has an ending for.
func TestNamesEndInTheirUnit(t *testing.T) {
	ending := map[string]string{"m": "_m", "ha": "_ha", "percent": "_percent", "deg": "_deg"}
	for _, r := range records(t, "general")[1:] {
		if e := ending[r[4]]; e != "" {
			assert.True(t, strings.HasSuffix(r[1], e), "%s %s is in %s", r[0], r[1], r[4])
		}
	}
}

// A country's file holds only what differs from general: in value, comparison, source or in being unknown.
func TestCountriesHoldOnlyWhatDiffers(t *testing.T) {
	general := set(t, General)
	for _, name := range library(t).Names()[1:] {
		s := set(t, name)
		require.NotEmpty(t, s.own, name)
		for k, l := range s.own {
			g := general.find(k)
			require.NotEmpty(t, g.Name, "%s overrides nothing: %v", name, k)
			assert.Equal(t, g.Unit, l.Unit, k)
			assert.Equal(t, side(g.Comparison), side(l.Comparison), k)
			same := l.Value == g.Value && l.Text == g.Text && l.Comparison == g.Comparison && l.Source == g.Source && l.known == g.known
			assert.False(t, same, "%s repeats general: %v", name, k)
		}
	}
}

// Where a country has another figure, general's note names it.
func TestGeneralSaysWhoDiffers(t *testing.T) {
	called := map[string]string{
		"england": "English", "ireland": "Ireland", "scotland": "Scotland", "northern-ireland": "Northern Ireland", "wales": "Wales",
	}
	general := set(t, General)
	for _, name := range library(t).Names()[1:] {
		for k, l := range set(t, name).own {
			g := general.find(k)
			if l.known && (l.Value != g.Value || l.Text != g.Text || l.Comparison != g.Comparison) {
				assert.Contains(t, g.Note, called[name], "%v: the note should say what %s has (%s)", k, name, l)
			}
		}
	}
}

// Opinions are about limits that exist, in the same unit, except those that only other bodies have.
func TestOpinions(t *testing.T) {
	general, shown := set(t, General), 0
	for k, list := range library(t).opinions {
		g := general.find(k)
		for _, l := range list {
			assert.True(t, l.known, k)
			assert.Equal(t, "other opinion", l.Set)
			if g.Name != "" {
				assert.Equal(t, g.Unit, l.Unit, k)
				assert.False(t, l.Value == g.Value && l.Comparison == g.Comparison && l.Source == g.Source, "%v is general's own", k)
			} else {
				assert.True(t, strings.HasPrefix(k.limit, "insurer_") || strings.HasPrefix(k.limit, "neighbour_"), k)
			}
			shown++
		}
	}
	assert.Greater(t, shown, 60)
}

// Safety rows name limits that exist, and what is safety is held so in every set.
func TestSafety(t *testing.T) {
	general := set(t, General)
	for k, because := range library(t).safety {
		assert.Contains(t, []string{"buildings", "wires", "buried services", "railways", "law"}, because, k)
		if k.limit == "*" {
			assert.NotEmpty(t, general.Rule(k.rule), k)
			continue
		}
		assert.NotEmpty(t, general.find(k).Name, k)
	}
	for _, rule := range []string{"setback.building", "setback.overhead-line", "setback.service", "ground.consent"} {
		for _, name := range library(t).Names() {
			for _, l := range set(t, name).Rule(rule) {
				assert.True(t, l.Safety, "%s: %s %s", name, rule, l.Name)
				assert.NotEmpty(t, l.Because)
			}
		}
	}
	l, ok := general.Get("hedge.mix", "greatest_share_percent")
	require.True(t, ok)
	assert.False(t, l.Safety, "a mix is no matter of safety")
}

func TestRules(t *testing.T) {
	got := library(t).Rules()
	assert.True(t, slices.IsSorted(got))
	assert.Subset(t, ruleIDs, got)
	// These ask of geometry, of flags in the catalogue or of categories, and read no figure.
	without := strings.Fields(`input.geometry input.property input.species input.mended input.kind input.id input.overlap
		spacing.obstructed ground.exposure plant.regulated plant.disease light.bed wood.closed wood.ash wood.shortfall`)
	for _, id := range ruleIDs {
		assert.NotEqual(t, slices.Contains(without, id), slices.Contains(got, id), id)
	}
}

// The table in the package's doc comment is the data.
func TestDocTable(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	_, table, found := strings.Cut(string(doc), "by the animal's name in the plan.\n//\n")
	require.True(t, found)
	var want strings.Builder
	for _, rule := range library(t).Rules() {
		want.WriteString("//\t" + rule + "\n")
		for _, l := range set(t, General).Rule(rule) {
			want.WriteString("//\t\t" + docLine(l) + "\n")
		}
	}
	assert.Equal(t, want.String()+"package rules\n", table)
}

func docLine(l Limit) string {
	value := "unknown"
	if l.Known() {
		value = l.String()
		for _, w := range words {
			value = strings.TrimSpace(strings.TrimPrefix(value, w))
		}
		value = strings.TrimSuffix(value, " "+l.Unit)
	}
	if l.IsText() {
		value = l.Text
	}
	if len(value) > 40 {
		value, _, _ = strings.Cut(value, "|")
		value += "|..."
	}
	line := l.Name + " " + l.Comparison + " " + value + " " + l.Unit
	if l.Safety {
		line += " !"
	}
	return line
}
