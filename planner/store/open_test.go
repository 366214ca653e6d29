package store

import (
	"context"
	"database/sql"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

var update = flag.Bool("update", false, "make the store of a schema that has none in testdata yet")

// foreignDB makes a SQLite file with those marks.
func foreignDB(t *testing.T, path string, statements ...string) {
	db, err := sql.Open("sqlite3", path)
	require.NoError(t, err)
	for _, s := range statements {
		_, err := db.Exec(s)
		require.NoError(t, err)
	}
	require.NoError(t, db.Close())
}

// What is no store, or that of a newer program, is refused with what, where and what to do, and not a byte of it or beside it changes.
func TestOpenRefuses(t *testing.T) {
	mark := fmt.Sprintf("PRAGMA application_id = %d", applicationID)
	for _, c := range []struct {
		name, says string
		make       func(t *testing.T, path string)
	}{
		{"text", "This is not a store of Quickthorn.", func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, []byte(strings.Repeat("{\"type\": \"FeatureCollection\"}\n", 100)), 0o644))
		}},
		{"short", "This is not a store of Quickthorn.", func(t *testing.T, path string) { require.NoError(t, os.WriteFile(path, []byte("x"), 0o644)) }},
		{"empty", "The file is empty", func(t *testing.T, path string) { require.NoError(t, os.WriteFile(path, nil, 0o644)) }},
		{"folder", "This is a folder", func(t *testing.T, path string) { require.NoError(t, os.Mkdir(path, 0o755)) }},
		{"another program's", "database of another program", func(t *testing.T, path string) {
			foreignDB(t, path, "CREATE TABLE holding (id)", "PRAGMA user_version = 1")
		}},
		{"another program's, with a log", "database of another program", func(t *testing.T, path string) {
			foreignDB(t, path, "PRAGMA journal_mode = WAL", "CREATE TABLE a (b)", "PRAGMA application_id = 1196444487") // a GeoPackage's
		}},
		{"newer", "written by a newer Quickthorn: its schema is 3000", func(t *testing.T, path string) {
			foreignDB(t, path, mark, "CREATE TABLE a (b)", "PRAGMA user_version = 3000")
		}},
		{"without a schema", "has no schema", func(t *testing.T, path string) { foreignDB(t, path, mark, "CREATE TABLE a (b)") }},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "quickthorn.db")
			c.make(t, path)
			before := lookAt(t, dir)
			_, err := Open(context.Background(), path, nil)
			var problem *planner.Problem
			require.ErrorAs(t, err, &problem)
			assert.Contains(t, problem.What, c.says)
			assert.Equal(t, path, problem.File)
			assert.Contains(t, problem.Mend, "It was left as it is.")
			assert.NotContains(t, strings.ToLower(err.Error()), "error")
			assert.Equal(t, before, lookAt(t, dir))
			require.Error(t, Restore(context.Background(), path, filepath.Join(dir, "new.db")), "neither is it a copy to restore")
			assert.Equal(t, before, lookAt(t, dir))
			good := newStore(t)
			copied := filepath.Join(t.TempDir(), "copy.db")
			require.NoError(t, good.Backup(context.Background(), copied))
			require.Error(t, Restore(context.Background(), copied, path), "nor is it overwritten by one")
			assert.Equal(t, before, lookAt(t, dir))
		})
	}
}

// lookAt is listing with the times of files, and folders named.
func lookAt(t *testing.T, dir string) map[string]string {
	out := map[string]string{}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		info, err := e.Info()
		require.NoError(t, err)
		data, _ := os.ReadFile(filepath.Join(dir, e.Name())) // nothing for a folder
		out[e.Name()] = info.ModTime().String() + info.Mode().String() + string(data)
	}
	return out
}

// A newer version may lie in the log alone, when the newer program was killed: the file itself still says the old one.
func TestOpenSeesANewerVersionInTheLog(t *testing.T) {
	path := filepath.Join(t.TempDir(), "quickthorn.db")
	newer := openAt(t, path)
	_, err := newer.write.Exec("PRAGMA user_version = 3000")
	require.NoError(t, err)
	killed := filepath.Join(t.TempDir(), "quickthorn.db")
	for _, end := range []string{"", "-wal"} {
		require.NoError(t, copyBytes(path+end, killed+end))
	}
	_, version, err := marks(context.Background(), killed, forGlancing)
	require.NoError(t, err)
	require.Less(t, version, 3000, "the test shows nothing if the file says it itself")
	_, err = Open(context.Background(), killed, nil)
	require.ErrorContains(t, err, "its schema is 3000")
	for _, end := range []string{"", "-wal"} {
		a, err := os.ReadFile(path + end)
		require.NoError(t, err)
		b, err := os.ReadFile(killed + end)
		require.NoError(t, err)
		assert.Equal(t, a, b)
	}
}

// A program that is brought up to date under another's feet refuses that one's changes.
func TestBroughtUpToDateByAnother(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	list, err := allMigrations()
	require.NoError(t, err)
	next := len(list) + 1
	newer, err := OpenWith(ctx, s.Path(), Options{migrations: append(list, migration{next, "next", "CREATE TABLE next (a) STRICT, WITHOUT ROWID"})})
	require.Error(t, err, "a migration that fails")
	require.Nil(t, newer)
	_, err = s.Undo(ctx, "here", h.Revision)
	require.ErrorIs(t, err, ErrNothing, "changes nothing")
	newer, err = OpenWith(ctx, s.Path(), Options{migrations: append(list[:len(list):len(list)], migration{next, "next", "CREATE TABLE next (a INTEGER) STRICT"})})
	require.NoError(t, err)
	_, err = s.Undo(ctx, "here", h.Revision)
	require.ErrorContains(t, err, "Another program has brought this store to schema")
	require.NoError(t, newer.Close())
}

// The settings of every connection, source: SQLite documentation, pragma synchronous (2 is FULL), foreign_keys, journal_mode.
func TestEveryConnectionIsSafe(t *testing.T) {
	s := newStore(t)
	for _, db := range []*sql.DB{s.write, s.read} {
		var open []*sql.Conn
		for range db.Stats().MaxOpenConnections {
			c, err := db.Conn(context.Background())
			require.NoError(t, err)
			open = append(open, c)
			for pragma, want := range map[string]string{"synchronous": "2", "foreign_keys": "1", "journal_mode": "wal", "busy_timeout": "10000", "trusted_schema": "0", "cell_size_check": "1",
				"application_id": fmt.Sprint(applicationID), "fullfsync": "1"} {
				var is string
				require.NoError(t, c.QueryRowContext(context.Background(), "PRAGMA "+pragma).Scan(&is))
				assert.Equal(t, want, is, pragma)
			}
		}
		for _, c := range open {
			require.NoError(t, c.Close())
		}
	}
	_, err := s.read.Exec("DELETE FROM holding")
	require.Error(t, err, "a reader cannot write")
	assert.Equal(t, "5174686e", hex.EncodeToString([]byte("Qthn")), "what the id spells")
	rows, err := s.read.Query("SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%' AND NOT strict")
	require.NoError(t, err)
	defer rows.Close()
	assert.False(t, rows.Next(), "every table is strict")
}

// Any name of a file does, also one that an address would read otherwise.
func TestHostilePaths(t *testing.T) {
	for _, name := range []string{"a b.db", "a?b=c&d.db", "100%25.db", "#1.db", "ä\u202e.db", "a;b'\".db", ":memory:", "file:x", "-x"} {
		path := filepath.Join(t.TempDir(), "dir "+name, name)
		s := openAt(t, path)
		_, err := s.Create(context.Background(), "here", demo(t), "")
		require.NoError(t, err, name)
		to := filepath.Join(t.TempDir(), name)
		require.NoError(t, s.Backup(context.Background(), to), name)
		require.NoError(t, s.Close())
		entries, err := os.ReadDir(filepath.Dir(path))
		require.NoError(t, err)
		require.Len(t, entries, 1, name)
		assert.Equal(t, name, entries[0].Name())
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "for nobody else")
		is, _ := planOf(t, openAt(t, to), "here")
		assert.Equal(t, string(demo(t)), is)
	}
}

// A path that leads nowhere is the user's to mend.
func TestHopelessPaths(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, []byte("x"), 0o600))
	for _, path := range []string{"", filepath.Join(file, "quickthorn.db"), filepath.Join(t.TempDir(), strings.Repeat("x", 300)), "/dev/null", "/proc/quickthorn.db", "/proc/1/new/quickthorn.db"} {
		_, err := Open(context.Background(), path, nil)
		var problem *planner.Problem
		require.ErrorAs(t, err, &problem, path)
		assert.NotEmpty(t, problem.Mend)
		assert.NotContains(t, strings.ToLower(err.Error()), "error")
	}
}

// A symbolic link leads to the store, whose log lies beside the file itself.
func TestLink(t *testing.T) {
	s := newStore(t)
	link := filepath.Join(t.TempDir(), "link.db")
	require.NoError(t, os.Symlink(s.Path(), link))
	other := openAt(t, link)
	assert.Equal(t, s.Path(), other.Path())
	_, err := other.Create(context.Background(), "here", demo(t), "")
	require.NoError(t, err)
	is, _ := planOf(t, s, "here")
	assert.Equal(t, string(demo(t)), is)
}

// Sources: XDG Base Directory Specification 0.8 ("If an implementation encounters a relative path ... it should consider the path
// invalid and ignore it"); Apple, File System Programming Guide; Microsoft, FOLDERID_LocalAppData.
func TestDefaultPath(t *testing.T) {
	for _, c := range []struct {
		system, xdg, local, home, want string
	}{
		{"linux", "", "", "/home/ann", "/home/ann/.local/share/quickthorn/quickthorn.db"},
		{"linux", "/data", "", "/home/ann", "/data/quickthorn/quickthorn.db"},
		{"linux", "data", "", "/home/ann", "/home/ann/.local/share/quickthorn/quickthorn.db"},
		{"freebsd", "/data", "", "/home/ann", "/data/quickthorn/quickthorn.db"},
		{"darwin", "/data", "", "/Users/ann", "/Users/ann/Library/Application Support/Quickthorn/quickthorn.db"},
		{"windows", "", "/ann/Local", "/ann", "/ann/Local/Quickthorn/quickthorn.db"},
		{"windows", "", "", "/ann", "/ann/AppData/Local/Quickthorn/quickthorn.db"},
	} {
		got, err := defaultPath(c.system, func(name string) string {
			return map[string]string{"XDG_DATA_HOME": c.xdg, "LocalAppData": c.local}[name]
		}, func() (string, error) { return c.home, nil })
		require.NoError(t, err)
		assert.Equal(t, filepath.FromSlash(c.want), got)
	}
	_, err := defaultPath("linux", func(string) string { return "" }, func() (string, error) { return "", errors.New("none") })
	require.ErrorContains(t, err, "--store PATH")
}

func TestMigrationsAreNumbered(t *testing.T) {
	file := &fstest.MapFile{Data: []byte("SELECT 1")}
	for _, c := range []struct {
		names []string
		says  string
	}{
		{[]string{"0001_a.sql", "0003_b.sql"}, "number 2 is missing"},
		{[]string{"0001_a.sql", "0001_b.sql"}, "given twice"},
		{[]string{"a.sql"}, "does not begin with its number"},
		{[]string{"0002_b.sql", "0001_a.sql", "0010_c.sql"}, "number 3 is missing"},
	} {
		fsys := fstest.MapFS{}
		for _, n := range c.names {
			fsys["migrations/"+n] = file
		}
		_, err := readMigrations(fsys)
		require.ErrorContains(t, err, c.says)
	}
	list, err := allMigrations()
	require.NoError(t, err)
	assert.Equal(t, 2, newest(list))
}

// oldOps are what the stores in testdata were made by.
func oldOps(version int) []op {
	ops := []op{
		{Kind: KindEdit, Note: "An oak by the gate", Put: [][]byte{[]byte(plantText("oak", -2.6003, 54.2, "oak"))}},
		{Kind: KindSettings, Note: "Planted later", Data: []byte(`{"name": "Low Field", "planting_winter": 2028}`)},
		{Kind: KindEdit, Note: "Without the alder", Delete: []string{"alder"}},
	}
	if version >= 2 { // pictures came with it
		ops = append(ops, op{Kind: KindPicture, Name: pictureNames[0], Data: []byte{1, 2, 3}}, op{Kind: KindUndo})
	}
	return ops
}

func oldPlan() []byte {
	return planText(`{"name": "Low Field", "planting_winter": 2026}`, plantText("alder", -2.6, 54.2, "alder"), plantText("hazel", -2.6001, 54.2, "hazel"))
}

// A store of every schema there ever was is opened by today's code, with its journal, and a copy from before is kept. A new schema
// needs a file of its own here: go test -update makes it, and never alters one that is there.
func TestOldStores(t *testing.T) {
	ctx := context.Background()
	list, err := allMigrations()
	require.NoError(t, err)
	for _, last := range list {
		version := last.version
		t.Run(fmt.Sprint(version), func(t *testing.T) {
			kept := fmt.Sprintf("testdata/schema-%d.db", version)
			if _, err := os.Stat(kept); *update && errors.Is(err, os.ErrNotExist) {
				makeOld(t, kept, list[:version])
			}
			path := filepath.Join(t.TempDir(), "quickthorn.db")
			require.NoError(t, copyBytes(kept, path))
			_, was, err := marks(ctx, path, forGlancing)
			require.NoError(t, err)
			require.Equal(t, version, was)
			m := model{states: []seen{{plan: asKept(t, oldPlan())}}, rev: 1}
			for _, o := range oldOps(version) {
				require.NoError(t, m.apply(o))
			}
			s := openAt(t, path)
			require.NoError(t, s.Check(ctx))
			is, h := look(t, s, "here")
			assert.Equal(t, m.now(), is)
			assert.Equal(t, m.rev, h.Revision)
			entries, err := s.History(ctx, "here", 0)
			require.NoError(t, err)
			require.Len(t, entries, int(m.rev))
			first := entries[len(entries)-2]
			assert.Equal(t, Entry{Revision: 2, When: day.Add(2e9), Note: "An oak by the gate", Kind: KindEdit}, first)
			o := op{Kind: KindPicture, Name: pictureNames[1], Data: []byte{7}}
			_, err = o.do(ctx, s, "here", m.rev)
			require.NoError(t, err)
			require.NoError(t, m.apply(o))
			undoAll(t, s, "here", &m)
			_, err = os.Stat(fmt.Sprintf("%s.schema-%d", path, version))
			if version == newest(list) {
				assert.ErrorIs(t, err, os.ErrNotExist)
				return
			}
			require.NoError(t, err)
			require.NoError(t, checkFile(ctx, fmt.Sprintf("%s.schema-%d", path, version), forCopying))
		})
	}
}

func makeOld(t *testing.T, kept string, list []migration) {
	ctx := context.Background()
	s, err := OpenWith(ctx, filepath.Join(t.TempDir(), "old.db"), Options{Now: clock(), migrations: list})
	require.NoError(t, err)
	h, err := s.Create(ctx, "here", oldPlan(), "start")
	require.NoError(t, err)
	for _, o := range oldOps(newest(list)) {
		h, err = o.do(ctx, s, "here", h.Revision)
		require.NoError(t, err)
	}
	require.NoError(t, os.MkdirAll(filepath.Dir(kept), 0o755))
	require.NoError(t, s.Backup(ctx, kept))
	require.NoError(t, os.Chmod(kept, 0o644))
	require.NoError(t, s.Close())
}
