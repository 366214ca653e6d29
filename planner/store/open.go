package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/mattn/go-sqlite3"

	"quickthorn/planner"
)

// applicationID marks a SQLite file as ours, at byte 68: "Qthn".
const applicationID = 0x5174686E

// How a file is opened. The settings stand in the data source name because a pool opens more than one connection, and the
// driver's own choice for synchronous is NORMAL, which can lose the last commits when the power goes.
const (
	settings = "&_synchronous=FULL&_foreign_keys=on&_busy_timeout=10000"
	// a writer takes the lock at once: a reader that turns writer could fail at once instead of waiting
	forWriting = "mode=rw&_journal_mode=WAL&_txlock=immediate" + settings
	forReading = "mode=ro&_query_only=1" + settings
	forCopying = "mode=ro" + settings
	// for a new file, before it is ours
	forMaking = "mode=rw&_txlock=immediate" + settings
	// reads the file itself as it lies there and neither locks nor makes anything beside it
	forGlancing = "immutable=1&mode=ro"
)

// connector opens connections to one file.
type connector struct {
	driver *sqlite3.SQLiteDriver
	name   string
}

func (c *connector) Connect(context.Context) (driver.Conn, error) { return c.driver.Open(c.name) }
func (c *connector) Driver() driver.Driver                        { return c.driver }

// connect is a pool of connections to the file. It opens none yet.
func connect(path, how string) *sql.DB {
	return sql.OpenDB(&connector{name: sourceName(path, how), driver: &sqlite3.SQLiteDriver{ConnectHook: func(c *sqlite3.SQLiteConn) error {
		// The schema of a file that came from elsewhere runs nothing; damaged pages are noticed; on macOS a sync reaches the disk.
		_, err := c.Exec("PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON; PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON", nil)
		return err
	}}})
}

func sourceName(path, how string) string {
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // C:/...
	}
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + how
}

// place is the path of the file itself, absolute and behind symbolic links, so that what SQLite keeps beside it is found.
func place(path string) (string, error) {
	if path == "" {
		return "", &planner.Problem{What: "The store has no path.", Mend: "Name a file, such as --store quickthorn.db."}
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", plainOpen(path, err)
	}
	if real, err := filepath.EvalSymlinks(abs); err == nil {
		return real, nil
	}
	return abs, nil // not there yet
}

// DefaultPath is where the operating system keeps the data of programs: $XDG_DATA_HOME/quickthorn/quickthorn.db or
// ~/.local/share/quickthorn/quickthorn.db (XDG Base Directory Specification 0.8), ~/Library/Application Support/Quickthorn on macOS,
// %LocalAppData%\Quickthorn on Windows.
func DefaultPath() (string, error) {
	return defaultPath(runtime.GOOS, os.Getenv, os.UserHomeDir)
}

func defaultPath(system string, getenv func(string) string, homeDir func() (string, error)) (string, error) {
	const file = "quickthorn.db"
	if dir := getenv("XDG_DATA_HOME"); system != "windows" && system != "darwin" && filepath.IsAbs(dir) {
		return filepath.Join(dir, "quickthorn", file), nil // a relative one is to be ignored, says the specification
	}
	if dir := getenv("LocalAppData"); system == "windows" && dir != "" {
		return filepath.Join(dir, "Quickthorn", file), nil
	}
	home, err := homeDir()
	if err != nil || home == "" {
		return "", &planner.Problem{What: "It is not known where your data lie: there is no home folder.", Mend: "Name the file with --store PATH.", Err: err}
	}
	switch system {
	case "darwin":
		return filepath.Join(home, "Library", "Application Support", "Quickthorn", file), nil
	case "windows":
		return filepath.Join(home, "AppData", "Local", "Quickthorn", file), nil
	}
	return filepath.Join(home, ".local", "share", "quickthorn", file), nil
}

// inspect finds out whether the file is a store of a schema up to newest, and of which. It alters nothing.
func inspect(ctx context.Context, path string, info os.FileInfo, newest int) (version int, err error) {
	if version, err = glance(ctx, path, info, newest); err != nil {
		return 0, err
	}
	if log, err := os.Stat(path + "-wal"); err != nil || log.Size() == 0 {
		return version, nil
	}
	// The log may hold a later version than the file. Reading it takes a file beside it.
	if err := writable(path); err != nil {
		return 0, plainOpen(path, err)
	}
	if _, version, err = marks(ctx, path, forReading); err != nil {
		return 0, plainOpen(path, err)
	}
	return version, known(path, version, newest)
}

// glance is inspect of the file alone. It passes by the log, locks nothing and makes nothing, so that a file that is not ours stays
// alone. It goes through SQLite all the same: closing a file that one has opened by oneself drops the locks of the whole process on it.
func glance(ctx context.Context, path string, info os.FileInfo, newest int) (version int, err error) {
	foreign := func(what string, cause error) error {
		return &planner.Problem{File: path, What: what, Mend: "It was left as it is. Name another file with --store PATH.", Err: cause}
	}
	switch {
	case info.IsDir():
		return 0, foreign("This is a folder, not a store of Quickthorn.", nil)
	case !info.Mode().IsRegular():
		return 0, foreign("This is not a file that can hold a store.", nil)
	case info.Size() == 0:
		return 0, foreign("The file is empty and not a store of Quickthorn.", nil)
	case info.Size() < 512: // less than the smallest page, which SQLite would take for a file yet to be filled
		return 0, foreign("This is not a store of Quickthorn.", nil)
	}
	id, version, err := marks(ctx, path, forGlancing)
	var fault sqlite3.Error
	if errors.As(err, &fault) && (fault.Code == sqlite3.ErrNotADB || fault.Code == sqlite3.ErrCorrupt) {
		return 0, foreign("This is not a store of Quickthorn.", err)
	}
	if err != nil {
		return 0, plainOpen(path, err)
	}
	if id != applicationID {
		return 0, foreign("This is a database of another program, not a store of Quickthorn.", nil)
	}
	if version < 1 {
		return 0, foreign("This store has no schema.", nil)
	}
	return version, known(path, version, newest)
}

// known refuses a schema that this program does not know.
func known(path string, version, newest int) error {
	if version <= newest {
		return nil
	}
	return &planner.Problem{File: path, What: fmt.Sprintf("This store was written by a newer Quickthorn: its schema is %d, and this program knows schemas up to %d.", version, newest),
		Mend: "It was left as it is. Use the newer program, or name another file with --store PATH."}
}

// marks are the application id and the version of the schema.
func marks(ctx context.Context, path, how string) (id, version int, err error) {
	db := connect(path, how)
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return 0, 0, err
	}
	return id, version, db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version)
}
