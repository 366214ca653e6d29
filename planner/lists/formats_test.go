package lists

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/setout"
)

var update = flag.Bool("update", false, "write the golden files anew")

// small is a plan of every kind of line: two kinds of guard, stakes known and unknown, a fence, mulch of each sort, a plant
// outside, a name in doubt, a poison, prices.
func small() *bench {
	b := newBench()
	b.holding.Name, b.holding.PlantingWinter, b.holding.Browsing = "Brook End", 2026, []string{"rabbits", "roe"}
	b.holding.Prices = []byte(`{"currency": "GBP", "hawthorn": 0.62, "mulch": 20}`)
	b.land(parcelOf("croft", rect(0, 0, 120, 100), "sheep", "cattle"), bedOf("kitchen bed", rect(10, 10, 12, 8)))
	h := lineOf("lane hedge", planner.KindHedge, &planner.Hedge{Rows: 2}, at(0, 0), at(50, 0))
	b.add(h, hedge(at(0, 0), at(50, 0), 2, setout.UseHedge, of(210, hawthorn, whip), of(60, blackthorn, whip), of(30, holly, cell)))
	o := &setout.Layout{SpacingM: 5, RowSpaceM: 5}
	for i, c := range []string{"Egremont Russet", "James Grieve", "James Grieve", ""} {
		root := []string{"MM106", "M9", "MM106", "unheard of"}[i]
		o.Plants = append(o.Plants, setout.Plant{Number: i, At: at(62.5+5*float64(i), 52.5), Name: "apple", Species: apple, Cultivar: c, Rootstock: root, Use: setout.UseOrchard, Stock: onem, Listed: true})
	}
	b.add(polygonOf("top orchard", planner.KindOrchard, &planner.Block{}, rect(60, 50, 25, 10)), o)
	r := &setout.Layout{Rows: []setout.RowLine{{SpacingM: 1.5}}}
	for i := range 6 {
		r.Plants = append(r.Plants, setout.Plant{Number: i, At: at(11+1.5*float64(i), 14), Name: "blackcurrant", Species: currant, Use: setout.UseRow, Stock: "bare-root bush", Listed: true})
	}
	b.add(lineOf("currants", planner.KindRow, &planner.Row{}, at(11, 14), at(18.5, 14)), r)
	b.single("churchyard yew", at(200, 200), yew, "pot-grown")
	return b.add(pointOf("mystery", at(90, 20)), &setout.Layout{Plants: []setout.Plant{{At: at(90, 20), Name: "birch", Use: setout.UsePlant, Listed: true}}})
}

func smallList() *List {
	p, s, out := small().plan()
	return Make(p, s, out, nil, nil)
}

func TestGolden(t *testing.T) {
	for _, f := range Formats() {
		if f.Binary {
			continue // read back in paper_test.go
		}
		var b bytes.Buffer
		require.NoError(t, f.Write(&b, smallList(), Options{Date: "1 December 2026"}))
		file := filepath.Join("testdata", "small."+f.Ext)
		if *update {
			require.NoError(t, os.MkdirAll("testdata", 0o755))
			require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, string(want), b.String(), "%s; write it anew with -update where the change is meant", file)
	}
}

func TestFormatNames(t *testing.T) {
	for _, name := range []string{"text", "csv", "json", "html", "pdf", "xlsx"} {
		f, ok := FormatNamed(name)
		require.True(t, ok, name)
		assert.NotEmpty(t, f.Media)
		assert.NotEmpty(t, f.Ext)
	}
	_, ok := FormatNamed("parchment")
	assert.False(t, ok)
	assert.Equal(t, "text", Formats()[0].Name, "the default first")
}

// The fields that other programs read are there under their fixed names, and empty lists are [], never null.
func TestJSONFields(t *testing.T) {
	keys := func(m map[string]any) []string { return sortedKeys(m) }
	read := func(l *List) map[string]any {
		var b bytes.Buffer
		require.NoError(t, WriteJSON(&b, l, Options{}))
		var m map[string]any
		require.NoError(t, json.Unmarshal(b.Bytes(), &m))
		return m
	}
	m := read(smallList())
	assert.Subset(t, keys(m), []string{"holding", "planting_winter", "areas", "order", "sundries", "outside_any_area", "total_plants"})
	a := m["areas"].([]any)[0].(map[string]any)
	assert.Subset(t, keys(a), []string{"id", "name", "area_m2", "plants", "sundries"})
	assert.Subset(t, keys(a["plants"].([]any)[0].(map[string]any)), []string{"species", "english", "cultivar", "rootstock", "stock", "plants", "features"})
	assert.Subset(t, keys(a["sundries"].([]any)[0].(map[string]any)), []string{"item", "quantity", "unit", "note"})
	assert.Subset(t, keys(m["order"].([]any)[0].(map[string]any)), []string{"species", "english", "cultivar", "rootstock", "stock", "plants", "spare", "order", "bundles", "price"})
	for _, s := range m["sundries"].([]any) {
		assert.Contains(t, []string{"guard", "cane", "stake", "tie", "mulch", "fence"}, s.(map[string]any)["item"])
	}
	empty := read(newBench().land(parcelOf("p", rect(0, 0, 1, 1))).list())
	assert.NotContains(t, string(must(json.Marshal(empty["areas"]))), "null")
	for _, k := range []string{"order", "sundries", "cautions", "notes"} {
		assert.Equal(t, []any{}, empty[k], k)
	}
	assert.Nil(t, empty["planting_winter"], "a winter that nobody stated is not 0")
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// The CSV reads back: one header, as many cells in every row, and plants of each part that add up.
func TestCSVReadsBack(t *testing.T) {
	var b bytes.Buffer
	l := smallList()
	require.NoError(t, WriteCSV(&b, l, Options{}))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Equal(t, csvColumns, rows[0])
	plants := map[string]int{}
	for _, r := range rows[1:] {
		require.Len(t, r, len(csvColumns))
		if r[8] != "" {
			n := 0
			for _, d := range r[8] {
				n = 10*n + int(d-'0')
			}
			plants[r[0]] += n
		}
	}
	assert.Equal(t, map[string]int{"area": l.TotalPlants, "order": l.TotalPlants}, plants)
}

// No line is wider than asked, at any width that a terminal or a sheet has.
func TestTextKeepsItsWidth(t *testing.T) {
	long := small()
	long.features[0].Name = strings.Repeat("Långåkern ", 30)
	long.features[1].Name = strings.Repeat("x", 500)
	long.layouts[1].Plants[0].Cultivar = "Nonpareil de la Vallée du Ruisseau tout en Bas"
	for _, l := range []*List{smallList(), long.list()} {
		for _, width := range []int{40, 47, 60, 80, 120, 200} {
			var b bytes.Buffer
			require.NoError(t, WriteText(&b, l, Options{Width: width}))
			for _, line := range strings.Split(b.String(), "\n") {
				require.LessOrEqual(t, prose.Width(line), width, line)
				require.Equal(t, strings.TrimRight(line, " "), line, "no trailing spaces")
			}
			// Nothing is lost at any width: every name and count stands in the text, whole.
			flat := strings.Join(strings.Fields(b.String()), " ")
			for _, o := range l.Order {
				assert.Contains(t, flat, named(o.Item), "at %d", width)
				assert.Contains(t, flat, count(o.Order))
			}
		}
	}
}

// hostile are names that try to run, to break out, or to hide.
var hostile = []string{
	`=cmd|' /C calc'!A0`, `+1+1`, `-2+3`, `@SUM(A1:A9)`, "\t=1+1", "\r=1+1", "\uff1dcmd", "\uff0b1", "\uff0d1", "\uff20x", "\u200b=1", "\u202e=1", " =1",
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onmouseover='x`, `</title><script>x</script>`, `{{.Holding}}`, `javascript:alert(1)`,
	`a","b`, "line\nbreak", "line\u2028break", "\u202egnirts desrever\u202c", "\u2066isolate", "nul\x00byte", "esc\x1b[31mred", "\ufeffbom", "–dash", "naïve “quotes” 苹果 🍎",
	strings.Repeat("long ", 2000), strings.Repeat("w", 10000),
}

func hostileBench(name string) *bench {
	b := newBench()
	b.holding.Name, b.holding.RuleSet = name, name
	p, h := parcelOf("p", rect(0, 0, 50, 50), "sheep"), lineOf("h", planner.KindHedge, &planner.Hedge{Rows: 2}, at(0, 0), at(50, 0))
	p.ID, p.Name, h.Name = name+"1", name, name
	b.land(p).add(h, hedge(at(0, 0), at(50, 0), 2, setout.UseHedge, of(12, hawthorn, name)))
	o := &setout.Layout{Plants: []setout.Plant{{At: at(5, 5), Name: name, Cultivar: name, Rootstock: name, Stock: name, Use: setout.UseOrchard, Listed: true}}}
	f := polygonOf(name+"2", planner.KindOrchard, &planner.Block{}, rect(60, 0, 20, 20))
	f.Name, f.Area = name, ""
	b.add(f, o)
	stray := pointOf(name+"3", at(300, 300))
	stray.Area = name // names no feature: it is remarked upon
	b.add(stray, &setout.Layout{Plants: []setout.Plant{{At: at(300, 300), Name: name, Use: setout.UsePlant, Listed: true}}})
	b.holding.Prices = must(json.Marshal(map[string]any{"currency": name, name: 1.5, name + "x": name}))
	return b
}

func TestHostileNamesAreInert(t *testing.T) {
	for _, name := range hostile {
		b := hostileBench(name)
		p, s, out := b.plan()
		l := Make(p, s, out, catalogue(t), nil)
		require.Equal(t, 14, l.TotalPlants)
		require.Equal(t, 14, sum(l))
		for _, f := range Formats() {
			if f.Binary {
				continue // read back in paper_test.go
			}
			var w bytes.Buffer
			require.NoError(t, f.Write(&w, l, Options{Date: name, Width: 80}))
			got := w.String()
			for _, r := range got {
				require.False(t, unicode.IsControl(r) && r != '\n' && (r != '\r' || f.Name != "csv"), "%s: control character %q from %q", f.Name, r, name)
				require.False(t, r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069' || r == '\u2028', "%s: a mark that turns or breaks lines, from %q", f.Name, name)
			}
			switch f.Name {
			case "csv":
				inertCells(t, got)
			case "html":
				low := strings.ToLower(got)
				for _, bad := range []string{"<script", "<img", "onerror=alert(1)>", "' onmouseover='", "javascript:alert(1)\"", "http://", "https://", "src=", "href="} {
					clean := strings.ReplaceAll(low, "src=x onerror=alert(1)&gt;", "")
					require.NotContains(t, clean, bad, "%s from %q", f.Name, name)
				}
				require.Equal(t, 1, strings.Count(low, "</title>"))
				require.Equal(t, strings.Count(low, "<li"), strings.Count(low, "</li>"))
			case "json":
				var m map[string]any
				require.NoError(t, json.Unmarshal(w.Bytes(), &m))
				require.NotContains(t, got, "<script")
			case "text":
				for _, line := range strings.Split(got, "\n") {
					require.LessOrEqual(t, prose.Width(line), 80)
				}
			}
		}
	}
}

// inertCells reads a CSV back and holds every cell to beginning with nothing that a spreadsheet runs.
func inertCells(t *testing.T, s string) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(s)).ReadAll()
	require.NoError(t, err)
	for _, r := range rows {
		require.Len(t, r, len(csvColumns))
		for _, c := range r {
			c = strings.TrimLeft(c, " \t\r\n\u200b\ufeff\u00a0")
			require.False(t, c != "" && strings.ContainsAny(c[:1], "=+-@"), "%q", c)
			for _, wide := range []string{"\uff1d", "\uff0b", "\uff0d", "\uff20"} {
				require.False(t, strings.HasPrefix(c, wide), "%q", c)
			}
		}
	}
	for _, line := range strings.Split(s, "\n")[:1] {
		require.True(t, strings.HasSuffix(line, "\r"), "lines end in CR LF")
	}
}

// What the list calls for is cautioned about, and what it does not is not.
func TestCautions(t *testing.T) {
	has := func(l *List, word string) bool {
		for _, c := range l.Cautions {
			if strings.Contains(c.Text, word) {
				require.NotEmpty(t, c.Source, c.Text)
				require.Contains(t, planner.Confidences, c.Confidence, c.Text)
				return true
			}
		}
		return false
	}
	full := smallList()
	for _, word := range []string{"Thorns", "gloves", "pipes and cables", "Canes", "Bare roots", "Take guards", "Keep chip 10 cm clear", "never dig fresh chip in", "Spares",
		"Yew is poisonous to all stock, danger extreme"} {
		assert.True(t, has(full, word), word)
	}
	assert.False(t, has(full, "severe"), "the first list decides; the second speaks only where it is silent")
	bare := newBench().single("t", at(0, 0), beech, "pot-grown").list()
	for _, word := range []string{"Thorns", "pipes and cables", "Canes", "Bare roots", "Take guards", "Spares", "poisonous"} {
		assert.False(t, has(bare, word), word)
	}
	assert.Empty(t, newBench().list().Cautions, "nothing to plant, nothing to warn of")
	for _, row := range []struct {
		set  string
		want bool
	}{{"england", true}, {"general", true}, {"ireland", false}} {
		rosa := catalogue(t).Find("Rosa rugosa").Species
		b := newBench().single("t", at(0, 0), rosa, whip)
		b.holding.RuleSet = row.set
		assert.Equal(t, row.want, has(b.list(), "is regulated in england and wales"), "Schedule 9 of the Wildlife and Countryside Act 1981; %s", row.set)
	}
	ash := catalogue(t).Find("ash").Species
	assert.True(t, has(newBench().single("t", at(0, 0), ash, whip).list(), "do not plant"))
}
