package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/report"
)

// What is served of shelter and light is what the command line writes.
func TestShelterAndLightAreThoseOfTheCommands(t *testing.T) {
	p := serve(t, Options{})
	r := demoReport(t, 0)
	ctx := context.Background()
	s, err := r.Shelter(ctx, []int{0, 20}, nil)
	require.NoError(t, err)
	l, err := r.Light(ctx, []int{0, 20}, nil)
	require.NoError(t, err)
	var sj, lj, st, lt bytes.Buffer
	require.NoError(t, s.WriteJSON(&sj))
	require.NoError(t, l.WriteJSON(&lj))
	require.NoError(t, s.WriteText(&st, report.TextOptions{}))
	require.NoError(t, l.WriteText(&lt, report.TextOptions{}))
	for address, want := range map[string]string{
		"/holdings/demo/shelter?years=0,20":             sj.String(),
		"/holdings/demo/light?years=20,0,20":            lj.String(),
		"/holdings/demo/shelter?years=0,20&format=text": st.String(),
		"/holdings/demo/light?years=0,20&format=text":   lt.String(),
	} {
		assert.Equal(t, want, string(p.ask("GET", address, nil).is(http.StatusOK).body), address)
	}
}

func TestFieldsAreBandsInMetresOfTheSheet(t *testing.T) {
	p := serve(t, Options{})
	var sheet struct {
		Box [4]float64 `json:"box"`
	}
	require.NoError(t, json.Unmarshal(p.ask("GET", "/holdings/demo/sheet", nil).is(http.StatusOK).body, &sheet))
	for _, address := range []string{"shelter/field?year=12", "shelter/field?year=12&leaf=off", "light/field?year=12", "light/field?year=12&month=6", "light/field"} {
		var f report.FieldJSON
		require.NoError(t, json.Unmarshal(p.ask("GET", "/holdings/demo/"+address, nil).is(http.StatusOK).body, &f), address)
		want := 12
		if !strings.Contains(address, "year") {
			want = 0
		}
		assert.Equal(t, want, f.Year, address)
		assert.Equal(t, 1.0, f.CellM)
		assert.LessOrEqual(t, f.Least, f.Greatest)
		rings := 0
		for _, b := range f.Bands {
			assert.Less(t, b.From, b.To)
			assert.NotEmpty(t, b.Words)
			for _, ring := range b.Rings {
				rings++
				require.Greater(t, len(ring), 3)
				assert.Equal(t, ring[0], ring[len(ring)-1], "closed")
				for _, q := range ring {
					assert.True(t, q[0] > sheet.Box[0]-3 && q[0] < sheet.Box[2]+3 && q[1] > sheet.Box[1]-3 && q[1] < sheet.Box[3]+3, "%s: %v lies off the sheet", address, q)
				}
			}
		}
		assert.Positive(t, rings, address)
	}
}

func TestFieldsAskedForBadly(t *testing.T) {
	p := serve(t, Options{})
	for address, about := range map[string]string{
		"/holdings/demo/shelter?years=0,x":         "years",
		"/holdings/demo/shelter?years=-1":          "years",
		"/holdings/demo/light?years=31":            "years",
		"/holdings/demo/light?year=":               "",
		"/holdings/demo/light/field?year=99":       "year",
		"/holdings/demo/light/field?years=1,2":     "years",
		"/holdings/demo/light/field?month=3":       "month",
		"/holdings/demo/light/field?month=June":    "month",
		"/holdings/demo/shelter/field?leaf=half":   "leaf",
		"/holdings/demo/shelter?format=pdf":        "format",
		"/holdings/demo/shelter?leaf=half":         "leaf",
		"/holdings/demo/light?month=3":             "month",
		"/holdings/demo/light/field?year=1e1":      "year",
		"/holdings/demo/shelter/field?year=0x0007": "year",
	} {
		if about == "" {
			p.ask("GET", address, nil).is(http.StatusOK)
			continue
		}
		a := p.ask("GET", address, nil).is(http.StatusBadRequest)
		var problem struct{ Property, Mend string }
		require.NoError(t, json.Unmarshal(a.body, &problem), address)
		assert.Equal(t, about, problem.Property, address)
		assert.NotEmpty(t, problem.Mend, address)
	}
	for _, path := range []string{"shelter", "light", "shelter/field", "light/field"} {
		p.ask("GET", "/holdings/nowhere/"+path, nil).is(http.StatusNotFound)
	}
}

// Pictures and bands show what is asked for: leaves or none, one month or the mean, the last of the years.
func TestPicturesOfFieldsShowWhatIsAskedFor(t *testing.T) {
	p := serve(t, Options{})
	for address, want := range map[string][]string{
		"shelter?format=svg":                     {"Wind left, in leaf", "Year 30 after planting"},
		"shelter?format=svg&leaf=off&year=7":     {"Wind left, bare", "Year 7 after planting"},
		"light?format=svg&years=0,12":            {"Direct sun, mean of April to September", "Year 12 after planting"},
		"light?format=svg&month=6":               {"Direct sun on 21 June"},
		"shelter?format=geojson&year=7&leaf=off": {`"id":"shelter-7-0"`, `"unit":"percent of open wind"`, `"id":"shelter-7-bed-kitchen-garden"`},
		"light?format=geojson&years=0,12":        {`"id":"light-0-10"`, `"id":"light-12-10"`, `"unit":"hours of direct sun a day"`},
	} {
		body := string(p.ask("GET", "/holdings/demo/"+address, nil).is(http.StatusOK).body)
		for _, w := range want {
			assert.Contains(t, body, w, address)
		}
	}
	on := p.ask("GET", "/holdings/demo/shelter?format=svg&year=7", nil).is(http.StatusOK).body
	off := p.ask("GET", "/holdings/demo/shelter?format=svg&year=7&leaf=off", nil).is(http.StatusOK).body
	assert.NotEqual(t, string(on), string(off))
}

// A revision's field is not sent twice, and a new one is worked out after an edit.
func TestFieldsFollowTheRevision(t *testing.T) {
	p := serve(t, Options{})
	for _, path := range []string{"shelter", "light", "shelter/field", "light/field"} {
		a := p.ask("GET", "/holdings/demo/"+path, nil).is(http.StatusOK)
		tag := a.header.Get("ETag")
		require.NotEmpty(t, tag, path)
		p.ask("GET", "/holdings/demo/"+path, nil, "If-None-Match", tag).is(http.StatusNotModified)
	}
	before := p.ask("GET", "/holdings/demo/light/field", nil).is(http.StatusOK)
	wall := `{"note":"a wall","put":[{"type":"Feature","id":"tall","properties":{"kind":"wall","height_m":6},"geometry":{"type":"LineString","coordinates":[[-2.5815,53.9866],[-2.5809,53.9866]]}}],"delete":[]}`
	p.ask("POST", "/holdings/demo/edits", wall, "If-Match", before.header.Get("ETag"), "Content-Type", "application/json").is(http.StatusOK)
	after := p.ask("GET", "/holdings/demo/light/field", nil, "If-None-Match", before.header.Get("ETag")).is(http.StatusOK)
	assert.NotEqual(t, string(before.body), string(after.body), "a wall takes light")
}

// Many who ask at once get the same, and one who goes away is not waited for.
func TestFieldsAskedForByMany(t *testing.T) {
	p := serve(t, Options{})
	var wg sync.WaitGroup
	got := make([]string, 12)
	for i := range got {
		wg.Go(func() {
			got[i] = string(p.ask("GET", fmt.Sprintf("/holdings/demo/shelter/field?year=%d", 3+i%3), nil).is(http.StatusOK).body)
		})
	}
	wg.Wait()
	for i := range got {
		assert.Equal(t, got[i%3], got[i])
	}
	shelf := newFieldShelf()
	shelf.turn <- struct{}{}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := shelf.once(ctx, make(chan struct{}, 1), "x", func() (any, error) { t.Error("worked for nobody"); return nil, nil })
	assert.ErrorIs(t, err, context.Canceled)
}

func TestFieldShelfForgetsTheOldest(t *testing.T) {
	shelf, room := newFieldShelf(), make(chan struct{}, 1)
	made := 0
	for i := range mostFieldsKept + 5 {
		_, err := shelf.once(context.Background(), room, fmt.Sprint(i), func() (any, error) { made++; return i, nil })
		require.NoError(t, err)
	}
	assert.Len(t, shelf.kept, mostFieldsKept)
	v, err := shelf.once(context.Background(), room, fmt.Sprint(mostFieldsKept+4), func() (any, error) { made++; return nil, nil })
	require.NoError(t, err)
	assert.Equal(t, mostFieldsKept+4, v, "kept")
	assert.Equal(t, mostFieldsKept+5, made)
}
