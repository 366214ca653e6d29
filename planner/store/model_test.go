package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
)

// op is one call that changes a holding, in a form that can be sent to a child: Put as bytes, so that white space stays.
type op struct {
	Kind   string
	Note   string
	Put    [][]byte
	Delete []string
	Data   []byte // settings, replacement, picture
	Name   string // of the picture
}

// do makes the call on a store.
func (o op) do(ctx context.Context, s *Store, id string, rev int64) (Holding, error) {
	switch o.Kind {
	case KindEdit:
		h, _, err := s.Edit(ctx, id, rev, o.edit())
		return h, err
	case KindSettings:
		return s.Settings(ctx, id, rev, o.Data, o.Note)
	case KindReplace:
		return s.Replace(ctx, id, rev, o.Data, o.Note)
	case KindPicture:
		if o.Data == nil {
			return s.DeletePicture(ctx, id, rev, o.Name)
		}
		return s.SetPicture(ctx, id, rev, o.Name, "image/png", o.Data)
	case KindUndo:
		return s.Undo(ctx, id, rev)
	case KindRedo:
		return s.Redo(ctx, id, rev)
	}
	return Holding{}, fmt.Errorf("no such op: %s", o.Kind)
}

func (o op) edit() planner.Edit {
	e := planner.Edit{Note: o.Note, Delete: o.Delete}
	for _, text := range o.Put {
		e.Put = append(e.Put, json.RawMessage(text))
	}
	return e
}

// seen is all that can be seen of a holding: its file and the pictures.
type seen struct {
	plan     string
	pictures [2]string // of pictureNames, "" where there is none
}

var pictureNames = [2]string{"field.png", "map.png"}

// model is the obvious store: every state that can be gone back to, and where one is. Each state is read afresh from its file, so
// that what the store keeps in memory is held against it.
type model struct {
	states []seen
	at     int
	rev    int64
}

func (m *model) now() seen { return m.states[m.at] }

func (m model) clone() model {
	m.states = slices.Clone(m.states)
	return m
}

// apply makes the call on the model. It fails where the store must.
func (m *model) apply(o op) error {
	next := m.now()
	switch o.Kind {
	case KindUndo, KindRedo:
		to := m.at - 1
		if o.Kind == KindRedo {
			to = m.at + 1
		}
		if to < 0 || to >= len(m.states) {
			return ErrNothing
		}
		m.at = to
		m.rev++
		return nil
	case KindPicture:
		i := slices.Index(pictureNames[:], o.Name)
		if o.Data == nil && next.pictures[i] == "" {
			return ErrNotFound
		}
		next.pictures[i] = string(o.Data)
	default:
		p, err := planner.Read([]byte(next.plan), planner.ReadOptions{})
		if err != nil {
			return err
		}
		switch o.Kind {
		case KindEdit:
			p, _, err = p.Apply(o.edit())
		case KindSettings:
			p, err = p.WithHolding(o.Data)
		case KindReplace:
			p, err = planner.Read(slices.Clone(o.Data), planner.ReadOptions{})
		}
		if err != nil {
			return err
		}
		var b strings.Builder
		if err := p.Write(&b); err != nil {
			return err
		}
		if next.plan = b.String(); next == m.now() {
			return nil
		}
	}
	m.states = append(m.states[:m.at+1:m.at+1], next)
	m.at++
	m.rev++
	return nil
}

func look(t require.TestingT, s *Store, id string) (seen, Holding) {
	var out seen
	var h Holding
	out.plan, h = planOf(t, s, id)
	for i, name := range pictureNames {
		data, media, err := s.Picture(context.Background(), id, name)
		if errors.Is(err, ErrNotFound) {
			continue
		}
		require.NoError(t, err)
		require.Equal(t, "image/png", media)
		out.pictures[i] = string(data)
	}
	return out, h
}

// source draws numbers: from rapid, or from a seeded generator.
type source func(n int) int

func pick[T any](r source, of ...T) T { return of[r(len(of))] }

// anyFeature draws features good and bad, with and without ids, many of them alike.
func anyFeature(r source, ids ...string) string {
	geometry := pick(r, `{"type": "Point", "coordinates": [-2.6, 54.2]}`, `{"type":"Point","coordinates":[-2.5991,54.2003,7.50]}`, `{"type": "LineString", "coordinates": [[-2.6, 54.2], [-2.599, 54.2005]]}`,
		`{"type": "Polygon", "coordinates": [[[-2.6,54.2],[-2.599,54.2],[-2.599,54.201],[-2.6,54.201],[-2.6,54.2]]]}`, "null", `{"type": "Point", "coordinates": [1]}`)
	props := pick(r, ``, `, "species": "oak"`, `, "height_m": "x"`, `, "rows": 2, "x": [1.0, {"y": null}]`, `, "name": "a", "name": "b"`, `, "name": "\u0000 </script> Ω"`)
	space := pick(r, "", "", " ", "\n  ")
	id := pick(r, ids...)
	if id != "" {
		id = `"id": ` + id + `, `
	}
	return fmt.Sprintf(`%s{%s"type": "Feature", "properties": {"kind": %q%s}, "geometry": %s}%s`, space, id, pick(r, "plant", "hedge", "parcel", "beehive"), props, geometry, space)
}

// anyPlan draws a whole plan file, with ids missing and given twice.
func anyPlan(r source) []byte {
	var features []string
	for range r(7) {
		features = append(features, anyFeature(r, ``, `"a"`, `"b"`, `7`, `"7"`, `null`, `"c"`, `"\u0000d"`))
	}
	holding := pick(r, ``, `"holding": {"name": "Low Field", "planting_winter": 2026}, `, `"holding": {"origin": [-2.6, 54.2]}, `, `"holding": {"origin": [0, 0]}, `, `"holding":null,`)
	after := pick(r, ``, `, "holding": {"name": "Behind"}`, `, "x": [1.0]`)
	return []byte(`{"type": "FeatureCollection", ` + holding + `"features": [` + strings.Join(features, ",") + "]" + after + "}" + pick(r, "", "\n"))
}

// anyOp draws a call for the state that the model is in. Some are refused.
func anyOp(r source, m *model) op {
	p, err := planner.Read([]byte(m.now().plan), planner.ReadOptions{})
	if err != nil {
		panic(err)
	}
	o := op{Kind: pick(r, KindEdit, KindEdit, KindEdit, KindEdit, KindEdit, KindSettings, KindReplace, KindPicture, KindUndo, KindUndo, KindUndo, KindRedo, KindRedo),
		Note: pick(r, "", "moved", "a note with \u202e and \x00")}
	switch o.Kind {
	case KindEdit:
		used := map[string]bool{}
		for _, f := range p.Features {
			switch r(5) {
			case 0:
				o.Delete = append(o.Delete, f.ID)
			case 1:
				if raw, err := p.Change(f, map[string]any{"notes": pick(r, "x", "y", "z")}); err == nil {
					o.Put = append(o.Put, raw)
					used[f.ID] = true
				}
			}
		}
		for range r(3) {
			text := anyFeature(r, `"a"`, `"b"`, `"c"`, `"d"`, `"e"`, `7`)
			if id, _ := planner.StatedID([]byte(text)); !used[id] {
				o.Put = append(o.Put, []byte(text))
				used[id] = true
			}
		}
		if r(20) == 0 {
			o.Delete = append(o.Delete, "nobody")
		}
	case KindSettings:
		o.Data = []byte(pick(r, `{}`, `{"name": "High Field"}`, ` {"origin": [-2.601, 54.2], "x": 1.0} `, `{"name": "Ä", "planting_winter": 2027, "origin": null}`, `[]`))
	case KindReplace:
		o.Data = anyPlan(r)
	case KindPicture:
		o.Name = pick(r, pictureNames[:]...)
		if r(3) > 0 {
			o.Data = []byte{1, 0, byte(1 + r(3))}
		}
	}
	return o
}

// Whatever is done to a holding, and however often the store is opened anew between: it is what the obvious store says it is; what
// that refuses is refused and changes nothing; and undoing everything gives the first bytes back.
func TestStoreIsTheModel(t *testing.T) {
	ctx := context.Background()
	rapid.Check(t, func(rt *rapid.T) {
		dir := t.TempDir()
		path := filepath.Join(dir, "s.db")
		r := source(func(n int) int { return rapid.IntRange(0, n-1).Draw(rt, "n") })
		s := openAt(t, path)
		defer func() { require.NoError(rt, s.Close()) }()
		first := anyPlan(r)
		h, err := s.Create(ctx, "here", first, "start")
		require.NoError(rt, err)
		m := &model{states: []seen{{plan: asKept(rt, first)}}, rev: h.Revision}
		notes := []string{"start"}
		for range 2 + r(14) {
			if r(4) == 0 {
				require.NoError(rt, s.Close())
				s = openAt(t, path)
			}
			o := anyOp(r, m)
			before := m.rev
			want := m.apply(o)
			h, err := o.do(ctx, s, "here", before)
			sameOutcome(rt, o, want, err)
			if want == nil {
				require.Equal(rt, m.rev, h.Revision, "%+v", o)
			}
			if m.rev > before {
				notes = append(notes, o.Kind)
			}
			is, h := look(rt, s, "here")
			require.Equal(rt, m.now(), is, "after %+v", o)
			require.Equal(rt, m.rev, h.Revision)
			p, err := planner.Read([]byte(is.plan), planner.ReadOptions{})
			require.NoError(rt, err)
			require.Equal(rt, p.Holding.Name, h.Name)
		}
		journalIs(rt, s, m, notes)
		undoAll(rt, s, "here", m)
		require.NoError(rt, s.Check(ctx))
	})
}

// sameOutcome holds what the store said against what the model said.
func sameOutcome(t require.TestingT, o op, want, got error) {
	if want == nil {
		require.NoError(t, got, "%+v", o)
		return
	}
	require.Error(t, got, "%+v", o)
	for _, kind := range []error{ErrNothing, ErrNotFound} {
		if errors.Is(want, kind) {
			require.ErrorIs(t, got, kind)
		}
	}
	if slices.Contains(o.Delete, "nobody") {
		require.ErrorIs(t, got, ErrNotFound)
	}
}

// journalIs checks that there is one entry a revision, and that as many stand as can be undone.
func journalIs(t require.TestingT, s *Store, m *model, kinds []string) {
	entries, err := s.History(context.Background(), "here", 0)
	require.NoError(t, err)
	require.Len(t, entries, len(kinds))
	standing := 0
	for i, e := range entries {
		require.Equal(t, m.rev-int64(i), e.Revision)
		if n := len(kinds) - 1 - i; n > 0 {
			require.Equal(t, kinds[n], e.Kind)
		}
		if !e.Undone && e.Kind != KindCreate && e.Kind != KindUndo && e.Kind != KindRedo {
			standing++
		}
	}
	require.Equal(t, m.at, standing)
}

// undoAll goes back to the first state, and there is nothing before it.
func undoAll(t require.TestingT, s *Store, id string, m *model) {
	ctx := context.Background()
	for m.at > 0 {
		h, err := s.Undo(ctx, id, m.rev)
		require.NoError(t, err)
		require.NoError(t, m.apply(op{Kind: KindUndo}))
		require.Equal(t, m.rev, h.Revision)
	}
	_, err := s.Undo(ctx, id, m.rev)
	require.ErrorIs(t, err, ErrNothing)
	is, _ := look(t, s, id)
	require.Equal(t, m.states[0], is)
}

// Changes between any two tables of features lead from one to the other and back, and keep the rows of what stays in order.
func TestDiff(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := source(func(n int) int { return rapid.IntRange(0, n-1).Draw(rt, "n") })
		var old []planner.Piece
		var places []int64
		for range 1 + r(8) { // edit upon edit, so that places get crowded
			next := tableLike(r, old)
			changes, nextPlaces := diff(old, places, next)
			require.True(rt, slices.IsSorted(nextPlaces))
			require.Len(rt, slices.Compact(slices.Clone(nextPlaces)), len(next))
			there, at, ok := applied(old, places, changes)
			require.True(rt, ok)
			require.Equal(rt, len(next), len(there))
			require.True(rt, slices.EqualFunc(next, there, same))
			require.True(rt, slices.Equal(nextPlaces, at))
			back := slices.Clone(changes)
			for i := range back {
				back[i].before, back[i].after = back[i].after, back[i].before
			}
			again, at, ok := applied(next, nextPlaces, back)
			require.True(rt, ok)
			require.True(rt, slices.EqualFunc(old, again, same) && slices.Equal(places, at))
			old, places = next, nextPlaces
		}
	})
}

// tableLike draws a table of features that shares some with another, in another order perhaps.
func tableLike(r source, old []planner.Piece) []planner.Piece {
	var out []planner.Piece
	used := map[string]bool{}
	add := func(id string, text byte) {
		if !used[id] {
			out = append(out, planner.Piece{ID: id, Text: []byte{text}})
			used[id] = true
		}
	}
	for _, p := range old {
		for range r(3) {
			add(string(rune('a'+r(20))), 'n')
		}
		switch r(4) {
		case 0:
		case 1:
			add(p.ID, p.Text[0]+1)
		default:
			add(p.ID, p.Text[0])
		}
	}
	for range r(3) {
		add(string(rune('a'+r(20))), 'n')
	}
	if r(5) == 0 && len(out) > 0 {
		i := r(len(out))
		out[0], out[i] = out[i], out[0]
	}
	return out
}

// One feature more, one less, one changed: one row each, wherever it is. A place without room left around it gives all others new ones.
func TestDiffIsSmall(t *testing.T) {
	piece := func(id, text string) planner.Piece { return planner.Piece{ID: id, Text: []byte(text)} }
	old := []planner.Piece{piece("a", "1"), piece("b", "2"), piece("c", "3")}
	places := []int64{10, 20, 21}
	for _, c := range []struct {
		name    string
		next    []planner.Piece
		changes int
		places  []int64
	}{
		{"nothing", old, 0, places},
		{"the first gone", old[1:], 1, []int64{20, 21}},
		{"the last gone", old[:2], 1, []int64{10, 20}},
		{"changed", []planner.Piece{old[0], piece("b", "x"), old[2]}, 1, places},
		{"under another id", []planner.Piece{old[0], piece("x", "2"), old[2]}, 2, []int64{10, 15, 21}},
		{"at the end", append(slices.Clone(old), piece("d", "4")), 1, []int64{10, 20, 21, 21 + gap}},
		{"at the start", append([]planner.Piece{piece("d", "4")}, old...), 1, []int64{10 - gap, 10, 20, 21}},
		{"between", []planner.Piece{old[0], piece("d", "4"), old[1], old[2]}, 1, []int64{10, 15, 20, 21}},
		{"the last one first", []planner.Piece{old[2], old[0], old[1]}, 2, []int64{10 - gap, 10, 20}},
		{"between, without room", []planner.Piece{old[0], old[1], piece("d", "4"), old[2]}, 7, []int64{gap, 2 * gap, 3 * gap, 4 * gap}},
	} {
		changes, at := diff(old, places, c.next)
		require.Len(t, changes, c.changes, c.name)
		require.Equal(t, c.places, at, c.name)
	}
}
