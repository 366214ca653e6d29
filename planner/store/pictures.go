package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Picture is a picture to trace over and its media type.
func (s *Store) Picture(ctx context.Context, id, name string) (data []byte, media string, err error) {
	err = s.look(ctx, func(tx *sql.Tx) error {
		st, err := s.head(ctx, tx, id)
		if err != nil {
			return err
		}
		err = tx.QueryRowContext(ctx, "SELECT image.media, image.data FROM picture JOIN image ON image.key = picture.image WHERE picture.holding = ? AND picture.name = ?", st.key, name).Scan(&media, &data)
		if errors.Is(err, sql.ErrNoRows) {
			return fmt.Errorf("picture %q of holding %q: %w", name, id, ErrNotFound)
		}
		return err
	})
	return data, media, err
}

// SetPicture keeps a picture under a name, in place of the one that was there. The journal keeps that one.
func (s *Store) SetPicture(ctx context.Context, id string, rev int64, name, media string, data []byte) (Holding, error) {
	if err := checkID("picture", name); err != nil {
		return Holding{}, err
	}
	return s.onPicture(ctx, id, rev, name, "picture "+name, func(tx *sql.Tx, key, _ int64) (int64, error) {
		r, err := tx.ExecContext(ctx, "INSERT INTO image (holding, media, data) VALUES (?, ?, ?)", key, media, blob(data))
		if err != nil {
			return 0, err
		}
		return r.LastInsertId()
	})
}

// DeletePicture takes a picture away; undo brings it back.
func (s *Store) DeletePicture(ctx context.Context, id string, rev int64, name string) (Holding, error) {
	return s.onPicture(ctx, id, rev, name, "picture "+name+" taken away", func(_ *sql.Tx, _, before int64) (int64, error) {
		if before == 0 {
			return 0, fmt.Errorf("picture %q of holding %q: %w", name, id, ErrNotFound)
		}
		return 0, nil
	})
}

// onPicture changes which image, by its key, stands under a name.
func (s *Store) onPicture(ctx context.Context, id string, rev int64, name, note string, do func(tx *sql.Tx, key, before int64) (after int64, err error)) (Holding, error) {
	var next *state
	err := s.change(ctx, func(tx *sql.Tx) error {
		old, err := s.on(ctx, tx, id, rev)
		if err != nil {
			return err
		}
		c := pictureChange{name: name}
		err = tx.QueryRowContext(ctx, "SELECT image FROM picture WHERE holding = ? AND name = ?", old.key, name).Scan(&c.before)
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		if c.after, err = do(tx, old.key, c.before); err != nil {
			return err
		}
		next = &state{Holding: old.Holding, pieces: old.pieces, places: old.places, plan: old.plan}
		return s.take(ctx, tx, &step{kind: KindPicture, note: note, standing: done, from: old, to: next, pictures: []pictureChange{c}})
	})
	if err != nil {
		return Holding{}, err
	}
	s.recently.keep(next)
	return next.Holding, nil
}

func changePictures(ctx context.Context, tx shelf, key int64, changes []pictureChange) error {
	for _, c := range changes {
		query, args := "INSERT INTO picture (holding, name, image) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET image = excluded.image", []any{key, c.name, c.after}
		if c.after == 0 {
			query, args = "DELETE FROM picture WHERE holding = ? AND name = ?", args[:2]
		}
		if _, err := tx.ExecContext(ctx, query, args...); err != nil {
			return err
		}
	}
	return nil
}

func entryPictures(ctx context.Context, tx shelf, entry int64, back bool) ([]pictureChange, error) {
	rows, err := tx.QueryContext(ctx, "SELECT name, ifnull(image_before, 0), ifnull(image_after, 0) FROM entry_picture WHERE entry = ? ORDER BY name", entry)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []pictureChange
	for rows.Next() {
		var c pictureChange
		if err := rows.Scan(&c.name, &c.before, &c.after); err != nil {
			return nil, err
		}
		if back {
			c.before, c.after = c.after, c.before
		}
		out = append(out, c)
	}
	return out, rows.Err()
}
