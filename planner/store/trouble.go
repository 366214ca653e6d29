package store

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"syscall"

	"github.com/mattn/go-sqlite3"

	"quickthorn/planner"
)

// What can be wrong with the machine, as the Kind of a Trouble; errors.Is finds them.
var (
	ErrFull     = errors.New("no room on the disk")
	ErrReadOnly = errors.New("cannot be written to")
	ErrBusy     = errors.New("held by another program")
	ErrDamaged  = errors.New("damaged")
	ErrDisk     = errors.New("the disk failed")
)

// A Trouble is a fault of the machine. Nothing was changed.
type Trouble struct {
	Path string
	What string
	Mend string
	Kind error
	Err  error // the cause, for the log
}

// Error says what, where and how to mend it.
func (t *Trouble) Error() string { return "the store " + t.Path + ": " + t.What + " " + t.Mend }

// Unwrap gives the kind and the cause.
func (t *Trouble) Unwrap() []error {
	if t.Err == nil {
		return []error{t.Kind}
	}
	return []error{t.Kind, t.Err}
}

// plain turns what SQLite says into what a person understands. What is understood already stays as it is.
func (s *Store) plain(err error) error { return plain(s.path, err) }

func plain(path string, err error) error {
	var fault sqlite3.Error
	var problem *planner.Problem
	var trouble *Trouble
	switch {
	case err == nil, errors.As(err, &problem), errors.As(err, &trouble), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &fault):
		return ofSQLite(path, err, fault)
	case isFull(err):
		return full(path, err)
	case isReadOnly(err):
		return readOnly(path, err)
	}
	return err
}

func ofSQLite(path string, err error, fault sqlite3.Error) error {
	number := fault.SystemErrno
	switch {
	case fault.Code == sqlite3.ErrFull || number != 0 && isFull(number):
		return full(path, err)
	case fault.Code == sqlite3.ErrReadonly, fault.Code == sqlite3.ErrPerm, fault.Code == sqlite3.ErrAuth, number != 0 && isReadOnly(number):
		return readOnly(path, err)
	case fault.Code == sqlite3.ErrBusy, fault.Code == sqlite3.ErrLocked:
		return &Trouble{Path: path, What: "Another program has been writing to it for longer than 10 seconds.", Mend: "Nothing was changed. Try again; look whether another program holds it.", Kind: ErrBusy, Err: err}
	case fault.Code == sqlite3.ErrCorrupt, fault.Code == sqlite3.ErrNotADB:
		return damaged(path, "The file is damaged.", err)
	case fault.Code == sqlite3.ErrIoErr, fault.Code == sqlite3.ErrCantOpen:
		what := "The disk could not be read or written."
		if number != 0 {
			what = "The disk could not be read or written: " + number.Error() + "."
		}
		return &Trouble{Path: path, What: what, Mend: "Nothing was changed. Look after the disk, and make a copy with quickthorn backup.", Kind: ErrDisk, Err: err}
	}
	return err
}

func full(path string, err error) *Trouble {
	return &Trouble{Path: path, What: "There is no room left on the disk, or the file may not grow further.", Mend: "Nothing was changed. Make room and try again.", Kind: ErrFull, Err: err}
}

func readOnly(path string, err error) *Trouble {
	return &Trouble{Path: path, What: "It cannot be written to: the disk or the file is read-only, or belongs to somebody else.", Mend: "Nothing was changed. Make it writable, or name another file with --store PATH.", Kind: ErrReadOnly, Err: err}
}

func damaged(path, what string, err error) *Trouble {
	return &Trouble{Path: path, What: what, Mend: "Bring back a copy with quickthorn restore; keep this file aside until you have.", Kind: ErrDamaged, Err: err}
}

func isFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EFBIG) || errors.Is(err, syscall.EDQUOT)
}

func isReadOnly(err error) bool {
	return errors.Is(err, syscall.EROFS) || errors.Is(err, fs.ErrPermission)
}

// plainOpen is plain for opening, where a path that cannot be used is the user's to mend.
func plainOpen(path string, err error) error {
	err = plain(path, err)
	var trouble *Trouble
	var inPath *os.PathError
	switch {
	case errors.As(err, &trouble) && trouble.Kind == ErrReadOnly:
		return &planner.Problem{File: path, What: trouble.What, Mend: trouble.Mend, Err: trouble}
	case errors.As(err, &trouble), err == nil:
		return err
	case errors.As(err, &inPath):
		return &planner.Problem{File: path, What: "The store cannot be opened: " + inPath.Err.Error() + ".", Mend: "Name another file with --store PATH.", Err: err}
	}
	return err
}
