package store

import (
	"cmp"
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// A migration leads from the schema before it to its own version.
type migration struct {
	version int
	name    string
	text    string
}

// allMigrations are the files of migrations in order. A released one is never altered: a change is another file.
func allMigrations() ([]migration, error) {
	return readMigrations(migrationFiles)
}

func readMigrations(files fs.FS) ([]migration, error) {
	names, err := fs.Glob(files, "migrations/*.sql")
	if err != nil {
		return nil, err
	}
	var out []migration
	for _, name := range names {
		text, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		number, _, _ := strings.Cut(path.Base(name), "_")
		version, err := strconv.Atoi(number)
		if err != nil {
			return nil, fmt.Errorf("migration %s does not begin with its number", name)
		}
		out = append(out, migration{version, name, string(text)})
	}
	slices.SortFunc(out, func(a, b migration) int { return cmp.Compare(a.version, b.version) })
	for i, m := range out {
		if m.version != i+1 {
			return nil, fmt.Errorf("migration %s: number %d is missing or given twice", m.name, i+1)
		}
	}
	return out, nil
}

func newest(list []migration) int { return len(list) }

// migrate runs the migrations that are missing, in one transaction.
func migrate(ctx context.Context, db *sql.DB, list []migration) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	for _, m := range list {
		if m.version <= version {
			continue // another process may have been quicker
		}
		if _, err := tx.ExecContext(ctx, m.text); err != nil {
			return fmt.Errorf("%s: %w", m.name, err)
		}
		if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", m.version)); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// create makes a new store. It is made beside its place and linked there when it is whole, so that a half-made one is never
// found, and one that another process made meanwhile is not overwritten.
func create(ctx context.Context, file string, opt Options) error {
	dir := filepath.Dir(file)
	if err := makeDir(dir); err != nil {
		return err
	}
	tmp, err := emptyBeside(file)
	if err != nil {
		return err
	}
	defer removeStore(tmp)
	if err := fill(ctx, tmp, opt.migrations); err != nil {
		return err
	}
	if err := syncPath(tmp); err != nil {
		return err
	}
	switch err := os.Link(tmp, file); {
	case errors.Is(err, os.ErrExist):
		return nil
	case err != nil: // a file system without links
		if _, err := os.Stat(file); err == nil {
			return nil
		}
		if err := os.Rename(tmp, file); err != nil {
			return err
		}
	}
	opt.Log.Info(fmt.Sprintf("A new store was made at %s.", file))
	return syncPath(dir)
}

// fill makes the schema in an empty file.
func fill(ctx context.Context, file string, list []migration) (err error) {
	db := connect(file, forMaking)
	db.SetMaxOpenConns(1)
	defer func() { err = errors.Join(err, db.Close()) }()
	if _, err := db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
		return err
	}
	if err := migrate(ctx, db, list); err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, "PRAGMA journal_mode = WAL")
	return err
}

// keepOld copies a store that is about to be brought up to date to a file beside it, unless there is one already.
func (s *Store) keepOld(ctx context.Context, version int) error {
	kept := fmt.Sprintf("%s.schema-%d", s.path, version)
	if _, err := os.Stat(kept); err == nil {
		return nil
	}
	if err := copyTo(ctx, s.path, kept); err != nil {
		return err
	}
	s.log.Info(fmt.Sprintf("A copy of the store as it was is kept at %s.", kept))
	return nil
}
