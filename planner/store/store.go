// Package store keeps holdings in one SQLite file: plans feature by feature as the bytes that were read, a journal of every
// change with what stood before and after, and the pictures to trace over.
//
// What a call has acknowledged is on the disk: a change is one transaction, and its commit is synced before the call returns. A
// change carries the revision it was made on; if another came first it is ErrStale and nothing is changed. Revisions of a
// holding only grow, by one a change, and none ever names two states, also when a holding is deleted and made anew.
//
// One connection writes, so writers of one process queue in Go; those of other processes wait for SQLite's lock. Readers see a
// snapshot and never wait. The one clock is that of the journal's times.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"time"

	"quickthorn/planner"
)

// What the caller can expect to go wrong.
var (
	ErrNotFound = errors.New("not found")
	ErrExists   = errors.New("there is one already")
	ErrStale    = errors.New("changed in the meantime")
	ErrNothing  = errors.New("nothing to take back or to make again")
)

// A Store is an open file of holdings. Its methods may be called at the same time.
type Store struct {
	path     string
	log      *slog.Logger
	now      func() time.Time
	schema   int     // version of the schema that this program works with
	write    *sql.DB // one connection
	read     *sql.DB // snapshots
	recently recent
}

// Options are what a caller may set besides the path.
type Options struct {
	Log *slog.Logger     // nil: nothing is logged
	Now func() time.Time // the time of journal entries; nil: time.Now

	migrations []migration // nil: all of them
}

// Open opens the store at path and makes folders and file where there are none. A file that is no store, or one of a newer
// program, is refused with a *planner.Problem and left as it is; so is one that cannot be written to. A store of an older
// program is brought up to date; a copy from before stays beside it.
func Open(ctx context.Context, path string, log *slog.Logger) (*Store, error) {
	return OpenWith(ctx, path, Options{Log: log})
}

// OpenWith is Open with options.
func OpenWith(ctx context.Context, path string, opt Options) (*Store, error) {
	if opt.Log == nil {
		opt.Log = slog.New(slog.DiscardHandler)
	}
	if opt.Now == nil {
		opt.Now = time.Now
	}
	if opt.migrations == nil {
		var err error
		if opt.migrations, err = allMigrations(); err != nil {
			return nil, err
		}
	}
	path, err := place(path)
	if err != nil {
		return nil, err
	}
	for range 5 {
		s, moved, err := open(ctx, path, opt)
		if err != nil {
			return nil, err
		}
		if !moved {
			return s, nil
		}
	}
	return nil, &Trouble{Path: path, What: "The file is replaced again and again while it is opened.", Mend: "Look which program does that.", Kind: ErrBusy}
}

// open is one try. It reports whether the file was moved away under it, as a restore does.
func open(ctx context.Context, path string, opt Options) (s *Store, moved bool, err error) {
	before, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		if err := create(ctx, path, opt); err != nil {
			return nil, false, plainOpen(path, err)
		}
		before, err = os.Stat(path)
	}
	if err != nil {
		return nil, false, plainOpen(path, err)
	}
	version, err := inspect(ctx, path, before, newest(opt.migrations))
	if err != nil {
		return nil, false, err
	}
	if err := writable(path); err != nil {
		return nil, false, plainOpen(path, err)
	}
	s = &Store{path: path, log: opt.Log, now: opt.Now, schema: newest(opt.migrations)}
	s.write = connect(path, forWriting)
	s.write.SetMaxOpenConns(1)
	s.read = connect(path, forReading)
	s.read.SetMaxOpenConns(8)
	s.read.SetMaxIdleConns(8)
	if err := s.start(ctx, version, opt); err != nil {
		return nil, false, errors.Join(plainOpen(path, err), s.Close())
	}
	after, err := os.Stat(path)
	if err == nil && os.SameFile(before, after) {
		return s, false, nil
	}
	return nil, true, s.Close()
}

// start brings the schema up to date and tries that the file can be written to.
func (s *Store) start(ctx context.Context, version int, opt Options) error {
	if version < s.schema {
		if err := s.keepOld(ctx, version); err != nil {
			return err
		}
		if err := migrate(ctx, s.write, opt.migrations); err != nil {
			return err
		}
		s.log.Info(fmt.Sprintf("The store %s was brought from schema %d to %d.", s.path, version, s.schema))
	}
	tx, err := s.write.BeginTx(ctx, nil) // takes the lock for writing
	if err != nil {
		return err
	}
	if err := tx.Rollback(); err != nil {
		return err
	}
	return s.read.PingContext(ctx)
}

// Path is where the store lies.
func (s *Store) Path() string { return s.path }

// Close closes the store. The last to close it folds the log of changes into the file.
func (s *Store) Close() error {
	return errors.Join(s.read.Close(), s.write.Close())
}

// change runs do in a transaction for writing. It is kept whole or not at all.
func (s *Store) change(ctx context.Context, do func(*sql.Tx) error) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return s.plain(err)
	}
	defer func() { _ = tx.Rollback() }() // nothing once it is committed
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return s.plain(err)
	}
	if version != s.schema {
		return &planner.Problem{File: s.path, What: fmt.Sprintf("Another program has brought this store to schema %d; this one works with schema %d.", version, s.schema),
			Mend: "Nothing was changed. Start Quickthorn again, in the newer version."}
	}
	if err := do(tx); err != nil {
		return s.plain(err)
	}
	return s.plain(tx.Commit())
}

// look runs do on a snapshot.
func (s *Store) look(ctx context.Context, do func(*sql.Tx) error) error {
	tx, err := s.read.BeginTx(ctx, nil)
	if err != nil {
		return s.plain(err)
	}
	defer func() { _ = tx.Rollback() }()
	return s.plain(do(tx))
}
