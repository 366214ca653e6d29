package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"quickthorn/planner"
)

// What an Entry of the journal is about.
const (
	KindCreate   = "create"
	KindEdit     = "edit"
	KindSettings = "settings"
	KindReplace  = "replace"
	KindPicture  = "picture"
	KindUndo     = "undo"
	KindRedo     = "redo"
)

// An Entry is one change of a holding.
type Entry struct {
	Revision int64 // that it led to
	When     time.Time
	Note     string // what the user said of it; undo and redo have the note of what they are about
	Kind     string
	Of       int64 // undo and redo: the revision they took back or made again
	Undone   bool
}

// step is a change of a holding on its way into the tables. Those of pictures name images by their keys, 0 for none.
type step struct {
	kind, note string
	standing   string
	of         int64
	from, to   *state
	rows       []rowChange
	pictures   []pictureChange
}

type pictureChange struct {
	name          string
	before, after int64
}

// The standings of entries, as the schema describes them.
const (
	done    = "done"
	undone  = "undone"
	dropped = "dropped"
	record  = "record"
)

// take writes a step: rows, holding and journal. The revision and time of to are set here.
func (s *Store) take(ctx context.Context, tx shelf, st *step) error {
	from, to := st.from, st.to
	to.key, to.ID = from.key, from.ID
	to.Revision = from.Revision + 1
	to.Changed = time.UnixMilli(s.now().UnixMilli()).UTC()
	if err := changeRows(ctx, tx, to.key, st.rows); err != nil {
		return err
	}
	if err := changePictures(ctx, tx, to.key, st.pictures); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, "UPDATE holding SET name = ?, revision = ?, changed_ms = ?, head = ?, empty = ?, tail = ? WHERE key = ?",
		to.Name, to.Revision, to.Changed.UnixMilli(), blob(to.pieces.Head), blob(to.pieces.Empty), blob(to.pieces.Tail), to.key)
	if err != nil {
		return err
	}
	if st.standing == done { // what was undone cannot be made again on top of this
		if _, err := tx.ExecContext(ctx, "UPDATE entry SET standing = ? WHERE holding = ? AND standing = ?", dropped, to.key, undone); err != nil {
			return err
		}
	}
	return writeEntry(ctx, tx, st)
}

// changeRows changes rows of feature. All that go or change go first, since ids may move between places.
func changeRows(ctx context.Context, tx shelf, key int64, rows []rowChange) error {
	for _, c := range rows {
		if c.before == nil {
			continue
		}
		r, err := tx.ExecContext(ctx, "DELETE FROM feature WHERE holding = ? AND place = ?", key, c.place)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); err != nil || n != 1 {
			return errors.Join(err, fmt.Errorf("there is no feature at place %d of holding %d", c.place, key))
		}
	}
	for _, c := range rows {
		if c.after == nil {
			continue
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO feature (holding, place, id, text) VALUES (?, ?, ?, ?)", key, c.place, c.after.ID, blob(c.after.Text)); err != nil {
			return err
		}
	}
	return nil
}

// blob is never null.
func blob(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}

func writeEntry(ctx context.Context, tx shelf, st *step) error {
	from, to := st.from, st.to
	around := make([]any, 8)
	if !sameAround(from, to) {
		around = []any{from.Name, to.Name, blob(from.pieces.Head), blob(to.pieces.Head), blob(from.pieces.Empty), blob(to.pieces.Empty), blob(from.pieces.Tail), blob(to.pieces.Tail)}
	}
	var of any
	if st.of != 0 {
		of = st.of
	}
	r, err := tx.ExecContext(ctx, `INSERT INTO entry (holding, revision, at_ms, kind, note, standing, of_revision,
		name_before, name_after, head_before, head_after, empty_before, empty_after, tail_before, tail_after)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		append([]any{to.key, to.Revision, to.Changed.UnixMilli(), st.kind, st.note, st.standing, of}, around...)...)
	if err != nil {
		return err
	}
	entry, err := r.LastInsertId()
	if err != nil {
		return err
	}
	for _, c := range st.rows {
		row := []any{entry, c.place, nil, nil, nil, nil}
		if c.before != nil {
			row[2], row[3] = c.before.ID, blob(c.before.Text)
		}
		if c.after != nil {
			row[4], row[5] = c.after.ID, blob(c.after.Text)
		}
		if _, err := tx.ExecContext(ctx, "INSERT INTO entry_feature (entry, place, id_before, text_before, id_after, text_after) VALUES (?, ?, ?, ?, ?, ?)", row...); err != nil {
			return err
		}
	}
	for _, c := range st.pictures {
		if _, err := tx.ExecContext(ctx, "INSERT INTO entry_picture (entry, name, image_before, image_after) VALUES (?, ?, ?, ?)", entry, c.name, orNull(c.before), orNull(c.after)); err != nil {
			return err
		}
	}
	return nil
}

func orNull(key int64) any {
	if key == 0 {
		return nil
	}
	return key
}

// Undo takes the last change back that is not undone, as a new revision. Edits, settings, replacements and pictures are all
// changes; making the holding is not. ErrNothing where there is none.
func (s *Store) Undo(ctx context.Context, id string, rev int64) (Holding, error) {
	return s.travel(ctx, id, rev, KindUndo, done, undone, "SELECT max(revision) FROM entry WHERE holding = ? AND standing = ?")
}

// Redo makes the last change again that was undone, as a new revision, unless something else was changed since. ErrNothing where
// there is none.
func (s *Store) Redo(ctx context.Context, id string, rev int64) (Holding, error) {
	return s.travel(ctx, id, rev, KindRedo, undone, done, "SELECT min(revision) FROM entry WHERE holding = ? AND standing = ?")
}

// travel makes the change of an entry of one standing, found by the query, backwards or forwards, and gives it the other.
// Entries that are done always come before those that are undone.
func (s *Store) travel(ctx context.Context, id string, rev int64, kind, from, to, which string) (Holding, error) {
	var next *state
	err := s.change(ctx, func(tx *sql.Tx) error {
		old, err := s.on(ctx, tx, id, rev)
		if err != nil {
			return err
		}
		var of sql.NullInt64
		if err := tx.QueryRowContext(ctx, which, old.key, from).Scan(&of); err != nil {
			return err
		}
		if !of.Valid {
			return fmt.Errorf("%s in holding %q: %w", kind, id, ErrNothing)
		}
		st, err := s.again(ctx, tx, old, of.Int64, kind == KindUndo)
		if err != nil {
			return err
		}
		st.kind = kind
		if _, err := tx.ExecContext(ctx, "UPDATE entry SET standing = ? WHERE holding = ? AND revision = ?", to, old.key, of.Int64); err != nil {
			return err
		}
		next = st.to
		return s.take(ctx, tx, st)
	})
	if err != nil {
		return Holding{}, err
	}
	s.recently.keep(next)
	return next.Holding, nil
}

// again is the change of an entry as a step from the state, backwards or forwards.
func (s *Store) again(ctx context.Context, tx shelf, from *state, of int64, back bool) (*step, error) {
	to := &state{Holding: from.Holding, pieces: from.pieces}
	st := &step{standing: record, of: of, from: from, to: to}
	var entry int64
	var name [2]sql.NullString
	var around [6][]byte
	err := tx.QueryRowContext(ctx, `SELECT key, note, name_before, name_after, head_before, head_after, empty_before, empty_after, tail_before, tail_after
		FROM entry WHERE holding = ? AND revision = ?`, from.key, of).
		Scan(&entry, &st.note, &name[0], &name[1], &around[0], &around[1], &around[2], &around[3], &around[4], &around[5])
	if err != nil {
		return nil, err
	}
	after := 1
	if back {
		after = 0
	}
	if name[after].Valid {
		to.Name = name[after].String
		to.pieces.Head, to.pieces.Empty, to.pieces.Tail = around[after], around[2+after], around[4+after]
	}
	if st.rows, err = entryRows(ctx, tx, entry, back); err != nil {
		return nil, err
	}
	if st.pictures, err = entryPictures(ctx, tx, entry, back); err != nil {
		return nil, err
	}
	var fits bool
	if to.pieces.Features, to.places, fits = applied(from.pieces.Features, from.places, st.rows); !fits {
		return nil, damaged(s.path, fmt.Sprintf("The journal of the holding %s does not fit its features (revision %d).", from.ID, of), nil)
	}
	return st, nil
}

func entryRows(ctx context.Context, tx shelf, entry int64, back bool) ([]rowChange, error) {
	rows, err := tx.QueryContext(ctx, "SELECT place, id_before, text_before, id_after, text_after FROM entry_feature WHERE entry = ? ORDER BY place", entry)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []rowChange
	for rows.Next() {
		var c rowChange
		var before, after sql.NullString
		var textBefore, textAfter []byte
		if err := rows.Scan(&c.place, &before, &textBefore, &after, &textAfter); err != nil {
			return nil, err
		}
		if before.Valid {
			c.before = &planner.Piece{ID: before.String, Text: textBefore}
		}
		if after.Valid {
			c.after = &planner.Piece{ID: after.String, Text: textAfter}
		}
		if back {
			c.before, c.after = c.after, c.before
		}
		out = append(out, c)
	}
	return out, rows.Err()
}

// History lists the changes of a holding, the last first, at most so many; all where most is 0 or less.
func (s *Store) History(ctx context.Context, id string, most int) ([]Entry, error) {
	if most <= 0 {
		most = -1
	}
	out := []Entry{}
	err := s.look(ctx, func(tx *sql.Tx) error {
		st, err := s.head(ctx, tx, id)
		if err != nil {
			return err
		}
		rows, err := tx.QueryContext(ctx, "SELECT revision, at_ms, note, kind, ifnull(of_revision, 0), standing IN ('undone', 'dropped') FROM entry WHERE holding = ? ORDER BY revision DESC LIMIT ?", st.key, most)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var e Entry
			var ms int64
			if err := rows.Scan(&e.Revision, &ms, &e.Note, &e.Kind, &e.Of, &e.Undone); err != nil {
				return err
			}
			e.When = time.UnixMilli(ms).UTC()
			out = append(out, e)
		}
		return rows.Err()
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}
