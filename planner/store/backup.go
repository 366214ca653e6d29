package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/mattn/go-sqlite3"

	"quickthorn/planner"
)

// Backup writes a copy of the store to a new file: one moment of it, while others read and write on. The copy is checked before
// it gets its name. A file that is there already is left as it is and refused.
func (s *Store) Backup(ctx context.Context, path string) error {
	path, err := filepath.Abs(path)
	if err != nil {
		return plainOpen(path, err)
	}
	return copyTo(ctx, s.path, path)
}

// Copy is Backup of a store that is not open, also of one that cannot be written to: on a disk that the system made read-only
// because it fails, for one.
func Copy(ctx context.Context, from, to string) (err error) {
	if from, err = place(from); err != nil {
		return err
	}
	if to, err = filepath.Abs(to); err != nil {
		return plainCopy(to, err)
	}
	return readable(ctx, from, filepath.Dir(to), func(at string) error { return copyTo(ctx, at, to) })
}

// readable runs do on a store that was looked at and can be read: the file itself, or a copy of it in a new folder in room where
// it cannot be written to. Reading takes a file beside it as long as it has a log. Nobody writes to it, so its bytes are all there
// is to it. What is wrong is said of the file itself.
func readable(ctx context.Context, from, room string, do func(at string) error) error {
	list, err := allMigrations()
	if err != nil {
		return err
	}
	info, err := os.Stat(from)
	if err != nil {
		return plainRestore(from, err)
	}
	if _, err := glance(ctx, from, info, newest(list)); err != nil {
		return err
	}
	at := from
	if writable(from) != nil {
		if err := makeDir(room); err != nil {
			return plainCopy(room, err)
		}
		dir, err := os.MkdirTemp(room, ".quickthorn-*")
		if err != nil {
			return plainCopy(room, err)
		}
		defer os.RemoveAll(dir)
		at = filepath.Join(dir, filepath.Base(from))
		for _, end := range []string{"", "-wal"} {
			if err := copyBytes(from+end, at+end); err != nil && (end == "" || !errors.Is(err, fs.ErrNotExist)) {
				return plainRestore(from, err)
			}
		}
	}
	if _, err := inspect(ctx, at, info, newest(list)); err != nil {
		return ofFile(err, at, from)
	}
	return ofFile(do(at), at, from)
}

// ofFile says of one file what was said of another.
func ofFile(err error, at, from string) error {
	var problem *planner.Problem
	var trouble *Trouble
	if errors.As(err, &problem) && problem.File == at {
		problem.File = from
	}
	if errors.As(err, &trouble) && trouble.Path == at {
		trouble.Path = from
	}
	return err
}

// copyTo copies a store to a new file.
func copyTo(ctx context.Context, from, to string) error {
	if _, err := os.Lstat(to); err == nil {
		return &planner.Problem{File: to, What: "There is a file of this name already.", Mend: "It was left as it is. Choose another name, or take it away first."}
	}
	tmp, err := emptyBeside(to)
	if err != nil {
		return plainCopy(to, err)
	}
	defer removeStore(tmp)
	if err := copyInto(ctx, from, tmp); err != nil {
		return err
	}
	switch err := os.Link(tmp, to); {
	case errors.Is(err, fs.ErrExist):
		return &planner.Problem{File: to, What: "There is a file of this name now.", Mend: "It was left as it is. Choose another name."}
	case err != nil: // a file system without links
		if err := os.Rename(tmp, to); err != nil {
			return plainCopy(to, err)
		}
	}
	return plainCopy(to, syncPath(filepath.Dir(to)))
}

// copyInto copies a store into an empty file, checks the copy and brings it to the disk.
func copyInto(ctx context.Context, from, tmp string) error {
	db := connect(from, forCopying)
	_, err := db.ExecContext(ctx, "VACUUM INTO ?", sourceName(tmp, "mode=rw"))
	if err = errors.Join(err, db.Close()); err != nil {
		return plainCopy(tmp, err)
	}
	if err := checkFile(ctx, tmp, forCopying); err != nil {
		return err
	}
	return plainCopy(tmp, syncPath(tmp))
}

// plainCopy says in plain words why a copy could not be written.
func plainCopy(to string, err error) error {
	err = plain(to, err)
	var trouble *Trouble
	var inPath *os.PathError
	switch {
	case errors.As(err, &trouble):
		return err
	case errors.As(err, &inPath):
		return &planner.Problem{File: to, What: "The copy cannot be written: " + inPath.Err.Error() + ".", Mend: "Choose a folder that is there and can be written to.", Err: err}
	}
	return err
}

// Restore puts the store in the file from in place of the one at to, which nobody may have open; it is refused otherwise. from is
// checked first and stays as it is. What was at to is kept beside it.
func Restore(ctx context.Context, from, to string) error {
	_, err := RestoreAside(ctx, from, to)
	return err
}

// RestoreAside is Restore and says under which name the store that was there is kept, "" where there was none.
func RestoreAside(ctx context.Context, from, to string) (aside string, err error) {
	if from, err = place(from); err != nil {
		return "", err
	}
	if to, err = place(to); err != nil {
		return "", err
	}
	if a, err := os.Stat(from); err == nil {
		if b, err := os.Stat(to); err == nil && os.SameFile(a, b) {
			return "", &planner.Problem{File: to, What: "This is the store itself.", Mend: "Name the copy to bring back."}
		}
	}
	err = readable(ctx, from, filepath.Dir(to), func(at string) error {
		if err := checkFile(ctx, at, forCopying); err != nil {
			return err
		}
		if err := makeDir(filepath.Dir(to)); err != nil {
			return plainOpen(to, err)
		}
		tmp, err := emptyBeside(to)
		if err != nil {
			return plainOpen(to, err)
		}
		defer removeStore(tmp)
		if err := copyInto(ctx, at, tmp); err != nil {
			return err
		}
		aside, err = putInPlace(ctx, tmp, to)
		return err
	})
	var problem *planner.Problem
	if errors.As(err, &problem) && problem.File == from {
		problem.Mend = "Nothing was changed. Name a copy that quickthorn backup made."
	}
	return aside, err
}

func plainRestore(from string, err error) error {
	var inPath *os.PathError
	if errors.As(err, &inPath) {
		return &planner.Problem{File: from, What: "The copy cannot be read: " + inPath.Err.Error() + ".", Mend: "Check the name.", Err: err}
	}
	return err
}

// putInPlace moves a whole store to its place. A store that is there is locked against everybody until it has been moved aside;
// whoever was waiting to open it finds that the file is another and opens that (see OpenWith).
func putInPlace(ctx context.Context, tmp, to string) (aside string, err error) {
	list, err := allMigrations()
	if err != nil {
		return "", err
	}
	info, err := os.Stat(to)
	if errors.Is(err, fs.ErrNotExist) {
		if err := os.Link(tmp, to); err != nil {
			return "", plainOpen(to, err)
		}
		return "", plainOpen(to, syncPath(filepath.Dir(to)))
	}
	if err != nil {
		return "", plainOpen(to, err)
	}
	if _, err := inspect(ctx, to, info, newest(list)); err != nil {
		return "", err
	}
	release, err := alone(ctx, to)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, release()) }()
	for n := 1; ; n++ {
		aside = fmt.Sprintf("%s.before-restore-%d", to, n)
		if err := os.Link(to, aside); err == nil {
			break
		} else if !errors.Is(err, fs.ErrExist) {
			return "", plainOpen(to, err)
		}
	}
	if err := os.Rename(tmp, to); err != nil {
		return "", plainOpen(to, err)
	}
	return aside, plainOpen(to, syncPath(filepath.Dir(to)))
}

// alone locks a store against everybody else, folds its log into the file, and refuses where somebody has it open.
func alone(ctx context.Context, path string) (release func() error, err error) {
	db := connect(path, "mode=rw&_busy_timeout=1000")
	db.SetMaxOpenConns(1)
	conn, err := db.Conn(ctx)
	if err == nil {
		// Leaving the log needs the file for oneself: SQLite refuses where anybody has it open, reading or writing or idle.
		_, err = conn.ExecContext(ctx, "PRAGMA journal_mode = DELETE; BEGIN EXCLUSIVE")
	}
	if err == nil {
		return func() error { return errors.Join(conn.Close(), db.Close()) }, nil
	}
	if conn != nil {
		err = errors.Join(err, conn.Close())
	}
	err = errors.Join(err, db.Close())
	var fault sqlite3.Error
	if errors.As(err, &fault) && (fault.Code == sqlite3.ErrBusy || fault.Code == sqlite3.ErrLocked) {
		return nil, &Trouble{Path: path, What: "It is in use.", Mend: "Nothing was changed. Stop quickthorn serve, or whatever has it open, and try again.", Kind: ErrBusy, Err: err}
	}
	return nil, plainOpen(path, err)
}

// Check looks through the whole store: SQLite's integrity_check and foreign_key_check, and that every plan can be read. It
// says what is wrong as a *Trouble of kind ErrDamaged. Cost: the whole file is read.
func (s *Store) Check(ctx context.Context) error {
	if err := s.look(ctx, func(tx *sql.Tx) error { return checkTables(ctx, tx, s.path) }); err != nil {
		return err
	}
	holdings, err := s.Holdings(ctx)
	if err != nil {
		return err
	}
	for _, h := range holdings {
		data, _, err := s.Plan(ctx, h.ID)
		if errors.Is(err, ErrNotFound) {
			continue // deleted meanwhile
		}
		if err != nil {
			return err
		}
		if _, err := readBack(data); err != nil {
			return damaged(s.path, fmt.Sprintf("The plan of the holding %s cannot be read.", h.ID), err)
		}
	}
	return nil
}

// checkFile is the checks of tables on a file that is not open as a Store.
func checkFile(ctx context.Context, path, how string) (err error) {
	db := connect(path, how)
	defer func() { err = errors.Join(err, db.Close()) }()
	return plain(path, checkTables(ctx, db, path))
}

func checkTables(ctx context.Context, db shelf, path string) error {
	rows, err := db.QueryContext(ctx, "PRAGMA integrity_check(20)")
	if err != nil {
		return err
	}
	defer rows.Close()
	var wrong []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return err
		}
		if s != "ok" {
			wrong = append(wrong, s)
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	var broken int
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&broken); err != nil {
		return err
	}
	if broken > 0 {
		wrong = append(wrong, fmt.Sprintf("%d rows belong to nothing", broken))
	}
	if len(wrong) > 0 {
		return damaged(path, "The file is damaged: "+strings.Join(wrong, "; ")+".", nil)
	}
	return nil
}
