package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// The bytes of a plan are those that planner.Plan.Write gives, feature for feature, whatever was changed beside them.
func TestBytesAreKept(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	text := string(demo(t))
	h, err := s.Create(ctx, "", []byte(text), "start")
	require.NoError(t, err)
	assert.Equal(t, Holding{ID: "sallow-bank", Name: "Sallow Bank", Revision: 1, Changed: day.Add(time.Second)}, h)
	is, now := planOf(t, s, h.ID)
	assert.Equal(t, text, is)
	assert.Equal(t, h, now)
	p, err := planner.Read([]byte(text), planner.ReadOptions{})
	require.NoError(t, err)
	f := p.Features[3]
	raw, err := p.Change(f, map[string]any{"notes": "wet"})
	require.NoError(t, err)
	h, ids, err := s.Edit(ctx, h.ID, h.Revision, planner.Edit{Note: "wet", Put: []json.RawMessage{raw}})
	require.NoError(t, err)
	assert.Equal(t, []string{f.ID}, ids)
	assert.Equal(t, Holding{ID: "sallow-bank", Name: "Sallow Bank", Revision: 2, Changed: day.Add(2 * time.Second)}, h)
	is, _ = planOf(t, s, h.ID)
	assert.Equal(t, strings.Replace(text, string(f.Raw()), string(raw), 1), is)
	var rows int
	require.NoError(t, s.read.QueryRow("SELECT count(*) FROM feature").Scan(&rows))
	assert.Equal(t, len(p.Features), rows, "a row a feature")
	require.NoError(t, s.read.QueryRow("SELECT count(*) FROM entry_feature WHERE entry = (SELECT key FROM entry WHERE revision = 2)").Scan(&rows))
	assert.Equal(t, 1, rows, "and a row of the journal for the one that changed")
}

// What a caller does with the bytes that it gave or got changes nothing that is kept.
func TestBytesAreTheCallersOwn(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	given := demo(t)
	h, err := s.Create(ctx, "here", given, "")
	require.NoError(t, err)
	clear(given)
	e := put(plantText("new", -2.6, 54.2, "oak"))
	h, _, err = s.Edit(ctx, "here", h.Revision, e)
	require.NoError(t, err)
	clear(e.Put[0])
	got, _, err := s.Plan(ctx, "here")
	require.NoError(t, err)
	clear(got)
	h, _, err = s.Edit(ctx, "here", h.Revision, planner.Edit{Delete: []string{"new"}})
	require.NoError(t, err)
	is, _ := planOf(t, s, "here")
	assert.Equal(t, string(demo(t)), is)
	again, _ := planOf(t, openAt(t, s.Path()), "here")
	assert.Equal(t, is, again)
}

func TestHoldings(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	list, err := s.Holdings(ctx)
	require.NoError(t, err)
	assert.Equal(t, []Holding{}, list)
	named := func(name string) []byte { return planText(fmt.Sprintf(`{"name": %q}`, name)) }
	for _, c := range []struct{ id, name, want string }{
		{"", "Páirc Mhór", "pairc-mhor"}, {"", "páirc mhór", "pairc-mhor-2"}, {"", "Pairc (Mhor)", "pairc-mhor-3"}, {"", "", "holding"}, {"", "日本", "holding-2"}, {"", "../../etc", "etc"},
		{"", "Ty'n-y-Coed & Sons", "tyn-y-coed-sons"}, {"", "Straße 5", "strasse-5"}, {"", strings.Repeat("long ", 100), "long-long-long-long-long-long-long-long-long-long-long-long"},
		{"日本 1", "x", "日本 1"}, {"A", "x", "A"}, {"a", "x", "a"},
	} {
		h, err := s.Create(ctx, c.id, named(c.name), "")
		require.NoError(t, err)
		assert.Equal(t, c.want, h.ID)
		assert.Equal(t, c.name, h.Name)
	}
	list, err = s.Holdings(ctx)
	require.NoError(t, err)
	require.Len(t, list, 12)
	for i, h := range list {
		one, err := s.Holding(ctx, h.ID)
		require.NoError(t, err)
		assert.Equal(t, one, h)
		assert.True(t, i == 0 || list[i-1].ID < h.ID)
	}
	_, err = s.Create(ctx, "a", named("y"), "")
	require.ErrorIs(t, err, ErrExists)
	for _, id := range []string{".", "..", "a/b", `a\b`, "a\nb", "a\x00", "\xff", strings.Repeat("x", 201)} {
		_, err := s.Create(ctx, id, named("y"), "")
		var problem *planner.Problem
		require.ErrorAs(t, err, &problem, "%q", id)
	}
	_, err = s.Create(ctx, "", []byte(`{"type": "FeatureCollection"}`), "")
	var problem *planner.Problem
	require.ErrorAs(t, err, &problem, "what Read refuses")
	after, err := s.Holdings(ctx)
	require.NoError(t, err)
	assert.Equal(t, list, after)
}

func TestNotFound(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	calls := func(id string) []error {
		var out []error
		add := func(err error) { out = append(out, err) }
		_, err := s.Holding(ctx, id)
		add(err)
		_, _, err = s.Plan(ctx, id)
		add(err)
		_, _, err = s.Edit(ctx, id, 1, planner.Edit{})
		add(err)
		_, err = s.Settings(ctx, id, 1, []byte(`{}`), "")
		add(err)
		_, err = s.Replace(ctx, id, 1, planText(""), "")
		add(err)
		_, err = s.Undo(ctx, id, 1)
		add(err)
		_, err = s.Redo(ctx, id, 1)
		add(err)
		_, err = s.History(ctx, id, 0)
		add(err)
		_, _, err = s.Picture(ctx, id, "x")
		add(err)
		_, err = s.SetPicture(ctx, id, 1, "x", "image/png", nil)
		add(err)
		_, err = s.DeletePicture(ctx, id, 1, "x")
		add(err)
		add(s.Delete(ctx, id, 1))
		return out
	}
	for i, err := range calls("there") {
		require.ErrorIs(t, err, ErrNotFound, i)
	}
	_, _, err = s.Edit(ctx, "here", h.Revision, planner.Edit{Put: []json.RawMessage{[]byte(plantText("new", -2.6, 54.2, "oak"))}, Delete: []string{"nobody"}})
	require.ErrorIs(t, err, ErrNotFound, "an id to delete")
	var problem *planner.Problem
	require.ErrorAs(t, err, &problem)
	assert.Equal(t, "nobody", problem.Feature)
	_, _, err = s.Picture(ctx, "here", "x")
	require.ErrorIs(t, err, ErrNotFound)
	_, err = s.DeletePicture(ctx, "here", h.Revision, "x")
	require.ErrorIs(t, err, ErrNotFound)
	is, now := planOf(t, s, "here")
	assert.Equal(t, h, now)
	assert.Equal(t, string(demo(t)), is)
}

// A holding that is made anew under an old id goes on from the old revisions, so that what was done on one of them stays stale.
func TestDeletedAndMadeAnew(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	h, err = s.SetPicture(ctx, "here", h.Revision, "field.png", "image/png", []byte{1})
	require.NoError(t, err)
	h, err = s.Undo(ctx, "here", h.Revision)
	require.NoError(t, err)
	require.NoError(t, s.Delete(ctx, "here", h.Revision))
	for _, table := range []string{"holding", "feature", "entry", "entry_feature", "image", "picture", "entry_picture"} {
		var n int
		require.NoError(t, s.read.QueryRow("SELECT count(*) FROM "+table).Scan(&n))
		assert.Zero(t, n, table)
	}
	other, err := s.Create(ctx, "there", planText(""), "")
	require.NoError(t, err)
	assert.Equal(t, int64(1), other.Revision)
	again, err := s.Create(ctx, "here", planText(""), "")
	require.NoError(t, err)
	assert.Equal(t, h.Revision+1, again.Revision)
	_, _, err = s.Edit(ctx, "here", h.Revision, planner.Edit{})
	require.ErrorIs(t, err, ErrStale)
	_, err = s.Undo(ctx, "here", again.Revision)
	require.ErrorIs(t, err, ErrNothing, "the journal begins anew")
	is, _ := planOf(t, s, "here")
	assert.Equal(t, string(planText("")), is)
	require.NoError(t, s.Check(ctx))
}

// A feature without an id gets a readable one that nobody has.
func TestIDsAreGiven(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", planText("", plantText("plant-2", -2.6, 54.2, "oak"), plantText("plant-5", -2.6, 54.2, "oak")), "")
	require.NoError(t, err)
	nameless := func(kind, id string) string {
		return fmt.Sprintf(`{"type": "Feature", %s"properties": {"kind": %s}, "geometry": {"type": "Point", "coordinates": [-2.6, 54.2]}, "x": 1.0}`, id, kind)
	}
	h, ids, err := s.Edit(ctx, "here", h.Revision, planner.Edit{Delete: []string{"plant-5"}, Put: []json.RawMessage{
		[]byte(nameless(`"plant"`, "")), []byte(nameless(`"plant"`, `"id": null, `)), []byte(plantText("plant-4", -2.6, 54.2, "elm")), []byte(nameless(`"plant"`, `"id": "", `)),
		[]byte(nameless(`"beehive"`, "")), []byte(nameless(`7`, "")), []byte(nameless(`"<b>"`, "")), []byte(nameless(`"plant"`, `"id": 8, `))}})
	require.NoError(t, err)
	assert.Equal(t, []string{"plant-1", "plant-3", "plant-4", "plant-6", "beehive-1", "feature-1", "feature-2", "8"}, ids, "plant-5 is not given again while it goes")
	data, _, err := s.Plan(ctx, "here")
	require.NoError(t, err)
	p, err := planner.Read(data, planner.ReadOptions{})
	require.NoError(t, err)
	for _, id := range ids {
		require.NotNil(t, p.Feature(id), id)
		assert.False(t, p.Feature(id).GivenID, id)
	}
	assert.Contains(t, string(data), `"x": 1.0`)
	for _, bad := range []string{`[`, `7`, `null`, `"x"`, `[]`, ``, ` `, `{"type": "Point", "coordinates": [1, 2]}`, `{"type": "Feature", "properties": null, "geometry": {"type": "Point", "coordinates": [200, 1]}}`} {
		_, _, err := s.Edit(ctx, "here", h.Revision, put(bad))
		var problem *planner.Problem
		require.ErrorAs(t, err, &problem, bad)
	}
}

// What changes nothing is no revision, and what can be redone stays.
func TestNothingChanged(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	h, _, err = s.Edit(ctx, "here", h.Revision, put(plantText("new", -2.6, 54.2, "oak")))
	require.NoError(t, err)
	h, err = s.Undo(ctx, "here", h.Revision)
	require.NoError(t, err)
	p, err := planner.Read(demo(t), planner.ReadOptions{})
	require.NoError(t, err)
	same, _, err := s.Edit(ctx, "here", h.Revision, planner.Edit{Note: "x", Put: []json.RawMessage{p.Features[2].Raw()}})
	require.NoError(t, err)
	assert.Equal(t, h, same)
	same, err = s.Settings(ctx, "here", h.Revision, p.HoldingJSON(), "")
	require.NoError(t, err)
	assert.Equal(t, h, same)
	same, err = s.Replace(ctx, "here", h.Revision, demo(t), "")
	require.NoError(t, err)
	assert.Equal(t, h, same)
	h, err = s.Redo(ctx, "here", h.Revision)
	require.NoError(t, err)
	h, err = s.Undo(ctx, "here", h.Revision)
	require.NoError(t, err)
	h, _, err = s.Edit(ctx, "here", h.Revision, put(plantText("other", -2.6, 54.2, "oak")))
	require.NoError(t, err)
	_, err = s.Redo(ctx, "here", h.Revision)
	require.ErrorIs(t, err, ErrNothing, "an edit clears what could be redone")
}

func TestHistory(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", demo(t), "From a file")
	require.NoError(t, err)
	h, _, err = s.Edit(ctx, "here", h.Revision, planner.Edit{Note: "An oak", Put: put(plantText("new", -2.6, 54.2, "oak")).Put})
	require.NoError(t, err)
	h, err = s.Settings(ctx, "here", h.Revision, []byte(`{"name": "New"}`), "Renamed")
	require.NoError(t, err)
	assert.Equal(t, "New", h.Name)
	h, err = s.Undo(ctx, "here", h.Revision)
	require.NoError(t, err)
	assert.Equal(t, "Sallow Bank", h.Name, "the name goes back with it")
	h, err = s.Undo(ctx, "here", h.Revision)
	require.NoError(t, err)
	h, err = s.Redo(ctx, "here", h.Revision)
	require.NoError(t, err)
	at := func(n int) time.Time { return day.Add(time.Duration(n) * time.Second) }
	want := []Entry{
		{6, at(6), "An oak", KindRedo, 2, false},
		{5, at(5), "An oak", KindUndo, 2, false},
		{4, at(4), "Renamed", KindUndo, 3, false},
		{3, at(3), "Renamed", KindSettings, 0, true},
		{2, at(2), "An oak", KindEdit, 0, false},
		{1, at(1), "From a file", KindCreate, 0, false},
	}
	for _, most := range []int{0, -1, 6, 100, 2} {
		entries, err := s.History(ctx, "here", most)
		require.NoError(t, err)
		if most == 2 {
			assert.Equal(t, want[:2], entries)
			continue
		}
		assert.Equal(t, want, entries)
	}
}

// The settings keep the origin unless they state one, so that metres do not shift; a plan that grows too large is refused.
func TestSettingsAndSizes(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", planText("", plantText("a", -2.6, 54.2, "oak")), "")
	require.NoError(t, err)
	origin := func() [2]float64 {
		data, _ := planOf(t, s, "here")
		p, err := planner.Read([]byte(data), planner.ReadOptions{})
		require.NoError(t, err)
		return p.Frame.Origin()
	}
	require.Equal(t, [2]float64{-2.6, 54.2}, origin())
	h, _, err = s.Edit(ctx, "here", h.Revision, put(plantText("b", -2.5, 54.25, "oak")))
	require.NoError(t, err)
	h, err = s.Settings(ctx, "here", h.Revision, []byte(`{"name": "x"}`), "")
	require.NoError(t, err)
	assert.Equal(t, [2]float64{-2.6, 54.2}, origin())
	h, err = s.Settings(ctx, "here", h.Revision, []byte(`{"origin": [-2.55, 54.2]}`), "")
	require.NoError(t, err)
	assert.Equal(t, [2]float64{-2.55, 54.2}, origin())
	for _, bad := range []string{`[]`, `null`, `{`, ``, `{"origin": [-2.6, 54.2]} x`} {
		_, err := s.Settings(ctx, "here", h.Revision, []byte(bad), "")
		var problem *planner.Problem
		require.ErrorAs(t, err, &problem, bad)
	}
	large := plantText("large", -2.6, 54.2, strings.Repeat("x", planner.DefaultMaxBytes-200))
	_, _, err = s.Edit(ctx, "here", h.Revision, put(large))
	var problem *planner.Problem
	require.ErrorAs(t, err, &problem)
	assert.Contains(t, problem.What, "at most 50 MB are kept")
	_, now := planOf(t, s, "here")
	assert.Equal(t, h, now)
}

// A fault of the machine keeps its cause for the log and says itself plainly.
func TestTroubleKeepsItsCause(t *testing.T) {
	cause := errors.New("cause")
	err := damaged("x.db", "It is.", cause)
	require.ErrorIs(t, err, ErrDamaged)
	require.ErrorIs(t, err, cause)
	assert.NotContains(t, err.Error(), "cause")
}
