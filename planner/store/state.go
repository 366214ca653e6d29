package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"quickthorn/planner"
)

// A Holding is what a list of holdings shows.
type Holding struct {
	ID       string
	Name     string // as its settings have it, "" where they have none
	Revision int64
	Changed  time.Time // UTC, to the millisecond
}

// state is a holding at one revision: the pieces of its file and where each feature stands in the table.
type state struct {
	Holding
	key    int64
	pieces planner.Pieces
	places []int64       // of the features, rising
	plan   *planner.Plan // nil until somebody asks
}

// A shelf is one transaction's view.
type shelf interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

// head reads a holding without its features.
func (s *Store) head(ctx context.Context, tx shelf, id string) (*state, error) {
	st := &state{Holding: Holding{ID: id}}
	var ms int64
	err := tx.QueryRowContext(ctx, "SELECT key, name, revision, changed_ms, head, empty, tail FROM holding WHERE id = ?", id).
		Scan(&st.key, &st.Name, &st.Revision, &ms, &st.pieces.Head, &st.pieces.Empty, &st.pieces.Tail)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("holding %q: %w", id, ErrNotFound)
	}
	st.Changed = time.UnixMilli(ms).UTC()
	return st, err
}

// state reads a holding with its features, or finds it among those of late.
func (s *Store) state(ctx context.Context, tx shelf, id string) (*state, error) {
	st, err := s.head(ctx, tx, id)
	if err != nil {
		return nil, err
	}
	if known := s.recently.find(st.key, st.Revision); known != nil {
		return known, nil
	}
	rows, err := tx.QueryContext(ctx, "SELECT place, id, text FROM feature WHERE holding = ? ORDER BY place", st.key)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var at int64
		var p planner.Piece
		if err := rows.Scan(&at, &p.ID, &p.Text); err != nil {
			return nil, err
		}
		st.places = append(st.places, at)
		st.pieces.Features = append(st.pieces.Features, p)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	s.recently.keep(st)
	return st, nil
}

// on is the state for a change on the revision.
func (s *Store) on(ctx context.Context, tx shelf, id string, rev int64) (*state, error) {
	st, err := s.state(ctx, tx, id)
	if err != nil {
		return nil, err
	}
	if st.Revision != rev {
		return nil, fmt.Errorf("holding %q is at revision %d, not %d: %w", id, st.Revision, rev, ErrStale)
	}
	return st, nil
}

// read is the plan of a state. Only the writer may call it.
func (st *state) read() (*planner.Plan, error) {
	if st.plan == nil {
		p, err := readBack(st.pieces.Bytes())
		if err != nil {
			return nil, err
		}
		st.plan = p
	}
	return st.plan, nil
}

// readBack reads a file that was accepted once.
func readBack(data []byte) (*planner.Plan, error) {
	return planner.Read(data, planner.ReadOptions{MaxBytes: int64(len(data)) + 1})
}

// recent keeps the last states that were read or written, so that an edit need not read a large plan again. A revision names one
// state only, so what is kept cannot be stale. The zero value is ready.
type recent struct {
	mu     sync.Mutex
	states []*state // the last used at the end
}

// At most so many states, and of so many bytes together, are kept. A plan in memory is some five times its bytes.
const (
	mostStates = 4
	mostBytes  = 16 << 20
)

func (r *recent) find(key, revision int64) *state {
	r.mu.Lock()
	defer r.mu.Unlock()
	i := slices.IndexFunc(r.states, func(st *state) bool { return st.key == key && st.Revision == revision })
	if i < 0 {
		return nil
	}
	st := r.states[i]
	r.states = append(slices.Delete(r.states, i, i+1), st)
	return st
}

// keep takes a state up, in place of an older one of the same holding.
func (r *recent) keep(st *state) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, old := range r.states {
		if old.key == st.key && old.Revision >= st.Revision {
			return // a reader that took its time
		}
	}
	r.states = slices.DeleteFunc(r.states, func(old *state) bool { return old.key == st.key })
	r.states = append(r.states, st)
	total := 0
	for i := len(r.states) - 1; i >= 0; i-- {
		total += r.states[i].pieces.Size()
		if len(r.states)-i > mostStates || total > mostBytes {
			r.states = slices.Delete(r.states, 0, i+1)
			break
		}
	}
}
