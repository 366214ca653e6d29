package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"quickthorn/planner"
)

// Holdings lists all holdings, ordered by id.
func (s *Store) Holdings(ctx context.Context) ([]Holding, error) {
	out := []Holding{}
	err := s.look(ctx, func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, "SELECT id, name, revision, changed_ms FROM holding ORDER BY id")
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var h Holding
			var ms int64
			if err := rows.Scan(&h.ID, &h.Name, &h.Revision, &ms); err != nil {
				return err
			}
			h.Changed = time.UnixMilli(ms).UTC()
			out = append(out, h)
		}
		return rows.Err()
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// Holding is one of them; ErrNotFound where there is none of that id.
func (s *Store) Holding(ctx context.Context, id string) (h Holding, err error) {
	err = s.look(ctx, func(tx *sql.Tx) error {
		st, err := s.head(ctx, tx, id)
		if err == nil {
			h = st.Holding
		}
		return err
	})
	return h, err
}

// Plan is the plan file of a holding, byte for byte as planner.Plan.Write gives it, in a buffer of the caller's own.
func (s *Store) Plan(ctx context.Context, id string) (data []byte, h Holding, err error) {
	err = s.look(ctx, func(tx *sql.Tx) error {
		st, err := s.state(ctx, tx, id)
		if err == nil {
			data, h = st.pieces.Bytes(), st.Holding
		}
		return err
	})
	return data, h, err
}

// Create makes a holding of a plan file, which is refused as planner.Read refuses it. Without an id it gets one made of its name.
// ErrExists where the id is taken. What planner.Plan.Write would alter is altered here: the origin is added, for one.
func (s *Store) Create(ctx context.Context, id string, plan []byte, note string) (Holding, error) {
	if id != "" {
		if err := checkID("holding", id); err != nil {
			return Holding{}, err
		}
	}
	to, err := fresh(plan)
	if err != nil {
		return Holding{}, err
	}
	err = s.change(ctx, func(tx *sql.Tx) error {
		if to.ID, err = idFor(ctx, tx, id, to.Name); err != nil {
			return err
		}
		from := &state{Holding: Holding{ID: to.ID}}
		err := tx.QueryRowContext(ctx, "SELECT revision FROM retired WHERE id = ?", to.ID).Scan(&from.Revision)
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		r, err := tx.ExecContext(ctx, "INSERT INTO holding (id, name, revision, changed_ms, head, empty, tail) VALUES (?, '', 1, 0, x'', x'', x'')", to.ID)
		if err != nil {
			return err
		}
		if from.key, err = r.LastInsertId(); err != nil {
			return err
		}
		st := &step{kind: KindCreate, note: note, standing: record, from: from, to: to}
		st.rows, to.places = diff(nil, nil, to.pieces.Features)
		return s.take(ctx, tx, st)
	})
	if err != nil {
		return Holding{}, err
	}
	s.recently.keep(to)
	return to.Holding, nil
}

// fresh is a state made of a plan file.
func fresh(data []byte) (*state, error) {
	p, err := planner.Read(bytes.Clone(data), planner.ReadOptions{})
	if err != nil {
		return nil, err
	}
	return written(p)
}

// written is the state that a plan is kept as.
func written(p *planner.Plan) (*state, error) {
	pieces, err := p.Pieces()
	if err != nil {
		return nil, err
	}
	if n := pieces.Size(); n > planner.DefaultMaxBytes {
		return nil, &planner.Problem{What: fmt.Sprintf("The plan would be %.1f MB; at most %d MB are kept.", float64(n)/(1<<20), planner.DefaultMaxBytes>>20),
			Mend: "Nothing was changed. Leave out what is not part of the plan, or split the holding."}
	}
	return &state{Holding: Holding{Name: p.Holding.Name}, pieces: pieces}, nil
}

// idFor is the id itself if nobody has it, or one made of the name.
func idFor(ctx context.Context, tx shelf, id, name string) (string, error) {
	taken := func(id string) (is bool, err error) {
		err = tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM holding WHERE id = ?)", id).Scan(&is)
		return is, err
	}
	if id == "" {
		return free(Slug(name), taken)
	}
	is, err := taken(id)
	if is {
		err = fmt.Errorf("holding %q: %w", id, ErrExists)
	}
	return id, err
}

// Edit makes an edit whole or not at all. A feature without an id gets one; ids are those of the features put, in order. An id to
// delete that is not there is ErrNotFound; what planner.Plan.Apply refuses is refused. An edit that changes nothing is no new
// revision.
func (s *Store) Edit(ctx context.Context, id string, rev int64, e planner.Edit) (h Holding, ids []string, err error) {
	h, err = s.revise(ctx, id, rev, KindEdit, e.Note, func(old *state) (*state, error) {
		p, err := old.read()
		if err != nil {
			return nil, err
		}
		for _, gone := range e.Delete {
			if p.Feature(gone) == nil {
				_, _, err := p.Apply(planner.Edit{Delete: []string{gone}}) // says it in full
				var problem *planner.Problem
				if errors.As(err, &problem) {
					problem.Err = ErrNotFound
				}
				return nil, err
			}
		}
		var full planner.Edit
		if full, ids, err = withIDs(p, e); err != nil {
			return nil, err
		}
		next, _, err := p.Apply(full)
		if err != nil {
			return nil, err
		}
		to, err := written(next)
		if err == nil && next.Holding.Origin != nil && sameAround(old, to) {
			to.plan = next // else its frame might not be the one that its file gives
		}
		return to, err
	})
	if err != nil {
		return Holding{}, nil, err
	}
	return h, ids, nil
}

// Settings puts another `holding` member into the plan. Without an origin it keeps the one that was there.
func (s *Store) Settings(ctx context.Context, id string, rev int64, holding json.RawMessage, note string) (Holding, error) {
	return s.revise(ctx, id, rev, KindSettings, note, func(old *state) (*state, error) {
		p, err := old.read()
		if err != nil {
			return nil, err
		}
		if p, err = p.WithHolding(holding); err != nil {
			return nil, err
		}
		return written(p)
	})
}

// Replace puts another plan file in place of the whole plan. The journal goes on.
func (s *Store) Replace(ctx context.Context, id string, rev int64, plan []byte, note string) (Holding, error) {
	to, err := fresh(plan)
	if err != nil {
		return Holding{}, err
	}
	return s.revise(ctx, id, rev, KindReplace, note, func(*state) (*state, error) { return to, nil })
}

// revise makes the state that do gives the next one.
func (s *Store) revise(ctx context.Context, id string, rev int64, kind, note string, do func(*state) (*state, error)) (Holding, error) {
	var next *state
	err := s.change(ctx, func(tx *sql.Tx) error {
		old, err := s.on(ctx, tx, id, rev)
		if err != nil {
			return err
		}
		to, err := do(old)
		if err != nil {
			return err
		}
		st := &step{kind: kind, note: note, standing: done, from: old, to: to}
		st.rows, to.places = diff(old.pieces.Features, old.places, to.pieces.Features)
		if len(st.rows) == 0 && sameAround(old, to) {
			next = old
			return nil
		}
		next = to
		return s.take(ctx, tx, st)
	})
	if err != nil {
		return Holding{}, err
	}
	s.recently.keep(next)
	return next.Holding, nil
}

// sameAround reports whether two files are the same around their features.
func sameAround(a, b *state) bool {
	return a.Name == b.Name && bytes.Equal(a.pieces.Head, b.pieces.Head) && bytes.Equal(a.pieces.Empty, b.pieces.Empty) && bytes.Equal(a.pieces.Tail, b.pieces.Tail)
}

// Delete takes a holding away with its journal and pictures, for good.
func (s *Store) Delete(ctx context.Context, id string, rev int64) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		st, err := s.head(ctx, tx, id)
		if err != nil {
			return err
		}
		if st.Revision != rev {
			return fmt.Errorf("holding %q is at revision %d, not %d: %w", id, st.Revision, rev, ErrStale)
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO retired (id, revision) VALUES (?, ?) ON CONFLICT DO UPDATE SET revision = excluded.revision", id, st.Revision); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, "DELETE FROM holding WHERE key = ?", st.key)
		return err
	})
}
