package species

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
)

// copyOfData is the embedded data, to be spoilt.
func copyOfData(t testing.TB) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	names, err := fs.Glob(embedded, "*.csv")
	require.NoError(t, err)
	for _, n := range names {
		data, err := embedded.ReadFile(n)
		require.NoError(t, err)
		out[n] = &fstest.MapFile{Data: data}
	}
	return out
}

func TestLoadGivesTheSameCatalogueEveryTime(t *testing.T) {
	a, err := Load(copyOfData(t))
	require.NoError(t, err)
	assert.Equal(t, catalogue(t).All(), a.All())
	b, err := Default()
	require.NoError(t, err)
	assert.Same(t, catalogue(t), b, "parsed once")
}

// A bad cell is reported with file, line, column, the cell and what is allowed.
func TestLoadReportsBadData(t *testing.T) {
	for _, x := range []struct {
		file, old, new string
		want           []string // parts of the message
	}{
		{"species.csv", "4-6-8@R1", "8-6-4@R1", []string{"species.csv line ", "column ", "(height_m)", `"8-6-4@R1"`, "rising", "from 0.1 to 70"}},
		{"species.csv", "4-6-8@R1", "six@R1", []string{"(height_m)", `"six@R1"`, "allowed:"}},
		{"species.csv", "4-6-8@R1", "4-6-80@R1", []string{"(height_m)", "from 0.1 to 70"}},
		{"species.csv", "4-6-8@R1", "NaN@R1", []string{"(height_m)", "allowed:"}},
		{"species.csv", "4-6-8@R1", "6", []string{"(height_m)", "no source", "value@CODE"}},
		{"species.csv", "4-6-8@R1", "6@NOBODY", []string{"(height_m)", `"NOBODY"`, "sources.csv"}},
		{"species.csv", "4-6-8@R1", "6@R1+NOBODY", []string{"(height_m)", `"NOBODY"`}},
		{"species.csv", "high@N,", "thirsty@N,", []string{"(water_demand)", "high, moderate, low"}},
		{"species.csv", "shrub,shrub,", "bush,shrub,", []string{"(habit)", `"bush"`, "tree, conifer, shrub, climber, herb"}},
		{"species.csv", "suitable@VR", "good@VR", []string{"(fit_", "suitable, marginal, unsuitable"}},
		{"species.csv", "acer-campestre,", "acer-campester,", []string{"(id)", "allowed: acer-campestre"}},
		{"species.csv", "field maple|", "field maple||", []string{"(english)", "empty name between bars"}},
		{"species.csv", "field maple|", "hazel|field maple|", []string{"(english)", "is already a name of"}},
		{"species.csv", "extreme:all:", "deadly:all:", []string{"(toxic)", "extreme, high"}},
		{"species.csv", "extreme:all:", "extreme:everyone:", []string{"(toxic)", "allowed stock:", "horses"}},
		{"species.csv", "any:cell-grown", "garden:cell-grown", []string{"(stock)", "hedge, windbreak"}},
		{"cultivars.csv", "3@M1,apple 1-7", "9@M1,apple 1-7", []string{"cultivars.csv line ", "(group)", "1 to 7"}},
		{"cultivars.csv", "apple 1-7", "apple 1-9", []string{"(scale)", "apple 1-7, cherry 1-6"}},
		{"cultivars.csv", "S1S3@SCH20T", "1 and 3@SCH20T", []string{"(alleles)", "S3S4'@CODE"}},
		{"cultivars.csv", "2019:03-23/03-26/04-04", "2019:03-23/03-26", []string{"(bloom)", "year:month-day"}},
		{"cultivars.csv", "2019:03-23/03-26/04-04", "2019:03-23/02-30/04-04", []string{"(bloom)", "month and day"}},
		{"cultivars.csv", "2019:03-23/03-26/04-04", "2019:03-23/03-20/04-04", []string{"(bloom)", "must not fall"}},
		{"cultivars.csv", "malus-domestica,Gala", "malus-domesticus,Gala", []string{"(species)", "an id in species.csv"}},
		{"cultivars.csv", "malus-domestica,Gala", "malus-domestica,Spartan", []string{"(name)", "stands twice"}},
		{"rootstocks.csv", "permanent@RHS1", "always@RHS1", []string{"rootstocks.csv line ", "(stake)", "permanent, first years, no"}},
		{"rootstocks.csv", "cordon", "curtain", []string{"(forms)", "half-standard"}},
		{"spacing.csv", "genus:Alnus", "genus:Alder", []string{"spacing.csv line ", "(species)", "genus:Alder selects nothing"}},
		{"spacing.csv", ",MM106,", ",MM160,", []string{"(rootstock)", "rootstocks.csv"}},
		{"ambiguous.csv", "betula-pendula|betula-pubescens", "betula-pendula", []string{"ambiguous.csv line ", "(species)", "two or more"}},
		{"ambiguous.csv", "\nbirch,", "\nhazel,", []string{"(name)", "already a name of Corylus avellana"}},
		{"sources.csv", ",published\n", ",certain\n", []string{"sources.csv line 2", "(confidence)", "published, derived, from memory, common practice, user"}},
		{"sward.csv", "soft rush", "bramble", []string{"sward.csv line ", "already the name of another plant"}},
	} {
		data := copyOfData(t)
		text := string(data[x.file].Data)
		require.Contains(t, text, x.old, x.file)
		data[x.file] = &fstest.MapFile{Data: []byte(strings.Replace(text, x.old, x.new, 1))}
		_, err := Load(data)
		require.Error(t, err, "%s: %s", x.file, x.new)
		for _, part := range x.want {
			assert.Contains(t, err.Error(), part, "%s: %s", x.file, x.new)
		}
		var fault *Fault
		require.ErrorAs(t, err, &fault)
		assert.Positive(t, fault.Line)
	}
}

func TestLoadReportsTheRightPlace(t *testing.T) {
	data := copyOfData(t)
	lines := strings.Split(string(data["species.csv"].Data), "\n")
	at := 0
	for i, l := range lines {
		if strings.HasPrefix(l, "corylus-avellana,") {
			at = i
		}
	}
	lines[at] = strings.Replace(lines[at], "4-6-8@R1", "tall@R1", 1)
	data["species.csv"] = &fstest.MapFile{Data: []byte(strings.Join(lines, "\n"))}
	_, err := Load(data)
	var fault *Fault
	require.ErrorAs(t, err, &fault)
	assert.Equal(t, at+1, fault.Line)
	assert.Equal(t, strings.Index(lines[at], "tall@R1")+1, fault.Column)
	assert.Equal(t, "height_m", fault.Head)
	assert.Equal(t, "tall@R1", fault.Cell)
}

func TestLoadReportsAWrongShape(t *testing.T) {
	for _, x := range []struct {
		what  string
		spoil func(fstest.MapFS)
		want  string
	}{
		{"a missing file", func(d fstest.MapFS) { delete(d, "spacing.csv") }, "the catalogue lacks spacing.csv"},
		{"an empty file", func(d fstest.MapFS) { d["cultivars.csv"] = &fstest.MapFile{} }, "cultivars.csv: no heading line"},
		{"a missing column", func(d fstest.MapFS) {
			d["sward.csv"] = &fstest.MapFile{Data: []byte("botanical,english\nJuncus effusus,soft rush\n")}
		}, `"ellenberg_f": this column is missing`},
		{"a column too many", func(d fstest.MapFS) {
			d["sward.csv"] = &fstest.MapFile{Data: []byte("botanical,english,ellenberg_f,colour\nJuncus effusus,soft rush,7@PL,green\n")}
		}, `"colour": no such column`},
		{"a row too short", func(d fstest.MapFS) {
			d["sward.csv"] = &fstest.MapFile{Data: []byte("botanical,english,ellenberg_f\nJuncus effusus\nJuncus inflexus,hard rush,7@PL\n")}
		}, "sward.csv line 2"},
		{"a lone quote", func(d fstest.MapFS) {
			d["sward.csv"] = &fstest.MapFile{Data: []byte("botanical,english,ellenberg_f\nJuncus effusus,so\"ft rush,7@PL\n")}
		}, "sward.csv line 2"},
	} {
		data := copyOfData(t)
		x.spoil(data)
		_, err := Load(data)
		require.Error(t, err, x.what)
		assert.Contains(t, err.Error(), x.want, x.what)
	}
}

func TestLoadStopsCollectingAtSomeFaults(t *testing.T) {
	data := copyOfData(t)
	data["species.csv"] = &fstest.MapFile{Data: []byte(strings.ReplaceAll(string(data["species.csv"].Data), "@PL", "@XX"))}
	_, err := Load(data)
	require.Error(t, err)
	assert.Less(t, strings.Count(err.Error(), "\n"), 2*mostFaults)
}

func TestSourcesOfSeveralTakeTheWeakestConfidence(t *testing.T) {
	spread := find(t, "rowan").Height
	assert.Equal(t, "R0+N", spread.Source.Code)
	assert.Equal(t, planner.FromMemory, spread.Source.Confidence, "a recalled band and a published row")
	assert.Contains(t, spread.Source.Text, "; ")
}

func TestParseRange(t *testing.T) {
	for cell, want := range map[string]Range{
		"6":       {Low: 6, Usual: 6, High: 6, Known: true},
		"4-8":     {Low: 4, Usual: 6, High: 8, Known: true},
		"4-5-8":   {Low: 4, Usual: 5, High: 8, Known: true},
		">8":      {Low: 8, Usual: 8, High: 8, AtLeast: true, Known: true},
		"0.2-0.5": {Low: 0.2, Usual: 0.35, High: 0.5, Known: true},
	} {
		got, ok := parseRange(cell)
		assert.True(t, ok, cell)
		assert.Equal(t, want, got, cell)
	}
	for _, cell := range []string{"", "-", "a", "8-4", "1-2-3-4", ">4-8", "4-", "-4", "Inf", "NaN", "1e99", "4–8"} {
		_, ok := parseRange(cell)
		assert.False(t, ok, cell)
	}
	rapid.Check(t, func(t *rapid.T) {
		r, ok := parseRange(rapid.StringMatching(`>?[0-9.-]{0,8}`).Draw(t, "cell"))
		if ok && !(0 <= r.Low && r.Low <= r.Usual && r.Usual <= r.High) {
			t.Fatalf("a range that falls: %v", r)
		}
	})
	assert.True(t, Range{Low: 2, High: 3, Known: true}.Holds(3))
	assert.False(t, Range{Low: 2, High: 3, Known: true}.Holds(3.01))
	assert.True(t, Range{Low: 8, High: 8, AtLeast: true, Known: true}.Holds(30))
	assert.False(t, Range{Low: 2, High: 3}.Holds(2.5), "an unknown range holds nothing")
}

func TestParseAlleles(t *testing.T) {
	assert.Equal(t, []string{"S3", "S4'"}, parseAlleles("S3S4'"))
	assert.Equal(t, []string{"S6", "S13'", "S26", "S36a"}, parseAlleles("S6S13'S26S36a"))
	for _, bad := range []string{"", "S", "3", "S3 S4", "S3,S4", "s3"} {
		assert.Nil(t, parseAlleles(bad), bad)
	}
}

// Whatever stands in a data file, Load answers with a catalogue or with faults, and never panics.
func FuzzLoadSpecies(f *testing.F) {
	data, err := embedded.ReadFile("species.csv")
	require.NoError(f, err)
	lines := strings.SplitAfter(string(data), "\n")
	f.Add(lines[0] + lines[1])
	f.Add(lines[0] + lines[40])
	f.Add("id,botanical\n\"")
	rest := copyOfData(f)
	for _, name := range []string{"ambiguous.csv", "cultivars.csv", "rootstocks.csv", "spacing.csv"} {
		head, _, _ := strings.Cut(string(rest[name].Data), "\n")
		rest[name] = &fstest.MapFile{Data: []byte(head + "\n")}
	}
	f.Fuzz(func(t *testing.T, text string) {
		in := fstest.MapFS{}
		for k, v := range rest {
			in[k] = v
		}
		in["species.csv"] = &fstest.MapFile{Data: []byte(text)}
		c, err := Load(in)
		if (c == nil) == (err == nil) {
			t.Fatalf("catalogue %v, error %v", c != nil, err)
		}
	})
}
