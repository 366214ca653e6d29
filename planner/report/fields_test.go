package report

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/shelter"
	"quickthorn/testdata"
)

func grownDemo(t *testing.T, data []byte) *Report {
	t.Helper()
	e, err := NewEngine()
	require.NoError(t, err)
	r, err := e.Read(data, Options{File: "demo.geojson"})
	require.NoError(t, err)
	require.NoError(t, r.SetOut(context.Background()))
	return r
}

// reversed is the plan with its features the other way round.
func reversed(t *testing.T, data []byte) []byte {
	t.Helper()
	var doc map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(data, &doc))
	var list []json.RawMessage
	require.NoError(t, json.Unmarshal(doc["features"], &list))
	for i, j := 0, len(list)-1; i < j; i, j = i+1, j-1 {
		list[i], list[j] = list[j], list[i]
	}
	var err error
	doc["features"], err = json.Marshal(list)
	require.NoError(t, err)
	out, err := json.Marshal(doc)
	require.NoError(t, err)
	return out
}

// everyForm writes shelter and light of a plan in every format.
func everyForm(t *testing.T, data []byte) map[string]string {
	t.Helper()
	ctx := context.Background()
	r := grownDemo(t, data)
	s, err := r.Shelter(ctx, []int{0, 20}, nil)
	require.NoError(t, err)
	l, err := r.Light(ctx, []int{0, 20}, nil)
	require.NoError(t, err)
	sf, err := r.ShelterField(ctx, 20, shelter.InLeaf, nil)
	require.NoError(t, err)
	lf, err := r.LightField(ctx, 20, MeanMonth, nil)
	require.NoError(t, err)
	out := map[string]string{}
	for name, write := range map[string]func(io.Writer) error{
		"shelter.txt":     func(w io.Writer) error { return s.WriteText(w, TextOptions{}) },
		"shelter.json":    s.WriteJSON,
		"shelter.geojson": func(w io.Writer) error { return s.WriteGeoJSON(w, []*Field{sf}) },
		"shelter.svg":     func(w io.Writer) error { return r.WriteFieldSVG(w, sf, "") },
		"light.txt":       func(w io.Writer) error { return l.WriteText(w, TextOptions{}) },
		"light.json":      l.WriteJSON,
		"light.geojson":   func(w io.Writer) error { return l.WriteGeoJSON(w, []*Field{lf}) },
		"light.svg":       func(w io.Writer) error { return r.WriteFieldSVG(w, lf, "") },
	} {
		var b bytes.Buffer
		require.NoError(t, write(&b), name)
		out[name] = b.String()
	}
	return out
}

func TestFieldsDoNotDependOnTheOrderOfFeatures(t *testing.T) {
	a, b := everyForm(t, testdata.Demo), everyForm(t, reversed(t, testdata.Demo))
	for name := range a {
		assert.Equal(t, a[name], b[name], name)
	}
	again := everyForm(t, testdata.Demo)
	for name := range a {
		assert.Equal(t, a[name], again[name], "%s a second time", name)
	}
}

func TestFieldFormats(t *testing.T) {
	all := everyForm(t, testdata.Demo)
	for name, text := range all {
		for _, line := range strings.Split(text, "\n") {
			if strings.HasSuffix(name, ".txt") {
				assert.LessOrEqual(t, len([]rune(line)), 80, "%s: %s", name, line)
			}
		}
		switch {
		case strings.HasSuffix(name, "json"):
			assert.True(t, json.Valid([]byte(text)), name)
			assert.NotContains(t, text, "NaN")
		case strings.HasSuffix(name, ".svg"):
			dec := xml.NewDecoder(strings.NewReader(text))
			for {
				if _, err := dec.Token(); err == io.EOF {
					break
				} else if !assert.NoError(t, err, name) {
					break
				}
			}
			assert.Contains(t, text, "Year 20 after planting")
		}
	}
	var doc struct {
		Years []struct {
			Year  int     `json:"year"`
			Below float64 `json:"area_below_60_m2"`
			Beds  []struct {
				ID    string             `json:"id"`
				Mean  float64            `json:"mean_wind_percent"`
				Hours map[string]float64 `json:"hours"`
				Sun   float64            `json:"mean_hours"`
			} `json:"beds"`
		} `json:"years"`
	}
	require.NoError(t, json.Unmarshal([]byte(all["shelter.json"]), &doc))
	require.Len(t, doc.Years, 2)
	assert.Greater(t, doc.Years[1].Below, doc.Years[0].Below, "what is planted shelters more ground when grown")
	require.NoError(t, json.Unmarshal([]byte(all["light.json"]), &doc))
	for _, y := range doc.Years {
		for _, b := range y.Beds {
			sum := 0.0
			for _, k := range []string{"4", "5", "6", "7", "8", "9"} {
				sum += b.Hours[k]
			}
			assert.InDelta(t, sum/6, b.Sun, 0.002, "%s: the mean is that of the six months", b.ID)
		}
	}
}

// The bands of a field fill the land to its edge, and not beyond: their areas sum to that of the parcels, which share no ground.
func TestBandsFillTheLand(t *testing.T) {
	r := grownDemo(t, testdata.Demo)
	f, err := r.LightField(context.Background(), 20, 6, nil)
	require.NoError(t, err)
	parcels := 0.0
	for _, p := range r.Plan.Of(planner.KindParcel) {
		parcels += geo.MultiArea(p.Shape.Polygons)
	}
	sum := 0.0
	for _, b := range f.Bands {
		sum += b.AreaM2
		assert.InDelta(t, geo.MultiArea(b.Ground), b.AreaM2, 1e-6)
	}
	assert.InDelta(t, parcels, sum, 0.01)
	assert.Equal(t, "Direct sun on 21 June", f.Title)
}

func TestEventsAreInOrderAndHaveAPlace(t *testing.T) {
	r := grownDemo(t, testdata.Demo)
	require.NoError(t, r.Check(context.Background()))
	s := r.Sheet()
	require.NotEmpty(t, s.Events)
	last := -1
	texts := map[string]bool{}
	for _, e := range s.Events {
		assert.GreaterOrEqual(t, e.order(), last, e.Text)
		last = e.order()
		assert.NotEmpty(t, e.Rests, e.Text)
		assert.NotEmpty(t, e.Features)
		texts[e.Text] = true
		if e.From != nil && e.To != nil {
			assert.LessOrEqual(t, *e.From, *e.To)
		}
	}
	assert.True(t, texts["Net screen is taken away."], "%v", texts)
	assert.True(t, texts["Acre belt is as dense as its purpose wants."], "%v", texts)
	// Common alder is 12.9 m tall after 20 years (Johansson 1999, hung on 20 m at 40 years): half is 6.5 m.
	assert.True(t, texts["Acre belt is 6.5 m high, half of its height at year 20."], "%v", texts)
}

// The mean in the middle of all ranges lies within the range that is told, and buildings, which do not grow, leave none.
func TestRangesHoldTheMiddle(t *testing.T) {
	r := grownDemo(t, testdata.Demo)
	s, err := r.Shelter(context.Background(), nil, nil)
	require.NoError(t, err)
	l, err := r.Light(context.Background(), nil, nil)
	require.NoError(t, err)
	wide := 0
	for i, y := range s.Years {
		for k, b := range y.Beds {
			least, greatest := y.span(k)
			assert.True(t, least <= b.Mean && b.Mean <= greatest, "wind on %s in year %d", b.Feature.ID, y.Year.Year)
			low, high := l.span(i, k)
			mean := l.Years[i].Beds[k].MeanHours
			assert.True(t, low <= mean && mean <= high, "sun on %s in year %d", b.Feature.ID, y.Year.Year)
			assert.LessOrEqual(t, high, l.Years[i].Beds[k].OpenHours+1e-9)
			if greatest-least > 1 && high-low > 0.05 {
				wide++
			}
		}
	}
	assert.Positive(t, wide, "a young belt is of uncertain height")
}

// A feature of which nothing is known is named once, with the years where those are not all.
func TestUnknownIsNamedOnceWithItsYears(t *testing.T) {
	for list, want := range map[string][]int{"year 5": {5}, "years 0 and 5": {0, 5}, "years 0, 5 and 10": {0, 5, 10}} {
		assert.Equal(t, list, yearList(want))
	}
	r := grownDemo(t, testdata.Demo)
	s, err := r.Shelter(context.Background(), []int{0, 10, 20}, nil)
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, u := range s.unknown() {
		assert.False(t, seen[u.ID], u.Why)
		seen[u.ID] = true
	}
	assert.True(t, seen["currants"], "%v", seen)
}

// Bands are cut along the edge of the land; where one has too many corners for that, it is said that it ends at whole cells.
func TestBandsThatEndAtWholeCellsSaySo(t *testing.T) {
	land := orb.MultiPolygon{{{{3.3, 3.3}, {395.1, 3.3}, {395.1, 395.1}, {3.3, 395.1}, {3.3, 3.3}}}}
	field := func(value func(i, j int) float64) *Field {
		f := &Field{Unit: "percent of open wind", Raster: geo.NewRaster(geo.Grid{Cell: 1, Nx: 400, Ny: 400})}
		for j := range 400 {
			for i := range 400 {
				f.Raster.Values[j*400+i] = value(i, j)
			}
		}
		f.band([]band{{0, 50, "calm"}, {50, 100, "open"}}, land)
		return f
	}
	f := field(func(int, int) float64 { return 10 })
	assert.Empty(t, f.Said)
	assert.InDelta(t, 391.8*391.8, f.Bands[0].AreaM2, 0.01)
	rnd := rand.New(rand.NewPCG(1, 2))
	f = field(func(i, _ int) float64 { return 10 + 80*float64((i+rnd.IntN(2))%2) })
	assert.Equal(t, []string{"Bands with too many corners to be cut along the edge of the land end at whole cells of 1 m: 50 to 100 percent of open wind."}, f.Said, "the calm lies in many small pieces, each of which can be cut")
}
