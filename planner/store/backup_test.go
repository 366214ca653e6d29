package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// Copies made while the store is written to are each one moment of it: as many features as the revision says, with a journal that
// undoes them all.
func TestBackupWhileServing(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", planText(`{"origin": [-2.6, 54.2]}`), "")
	require.NoError(t, err)
	first, _ := planOf(t, s, "here")
	var stop atomic.Bool
	writing := make(chan error)
	go func() {
		for n := 0; !stop.Load(); n++ {
			var err error
			if h, _, err = s.Edit(ctx, "here", h.Revision, put(plantText(fmt.Sprintf("p%d", n), -2.6, 54.2, "oak"))); err != nil {
				writing <- err
				return
			}
		}
		writing <- nil
	}()
	dir := t.TempDir()
	revisions := map[int64]bool{}
	for i := range 8 {
		to := filepath.Join(dir, fmt.Sprintf("copy-%d.db", i))
		time.Sleep(5 * time.Millisecond)
		require.NoError(t, s.Backup(ctx, to))
		_, err := os.Stat(to + "-wal")
		require.ErrorIs(t, err, os.ErrNotExist, "a copy is one file")
		c := openAt(t, to)
		is, h := planOf(t, c, "here")
		assert.Equal(t, int(h.Revision-1), strings.Count(is, `"species"`))
		require.NoError(t, c.Check(ctx))
		revisions[h.Revision] = true
		m := model{states: make([]seen, h.Revision), at: int(h.Revision - 1), rev: h.Revision}
		m.states[0] = seen{plan: first}
		undoAll(t, c, "here", &m)
		require.NoError(t, c.Close())
	}
	stop.Store(true)
	require.NoError(t, <-writing)
	assert.Greater(t, len(revisions), 1, "the copies were made while edits came")
	for name := range listing(t, dir) {
		assert.False(t, strings.HasPrefix(name, "."), "nothing half made is left: %s", name)
	}
}

// A copy never replaces anything.
func TestBackupRefuses(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	_, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	dir := t.TempDir()
	there := filepath.Join(dir, "there.db")
	require.NoError(t, s.Backup(ctx, there))
	before := listing(t, dir)
	for to, says := range map[string]string{
		there: "There is a file of this name already.", s.Path(): "There is a file of this name already.", dir: "There is a file of this name already.",
		filepath.Join(dir, "none", "copy.db"): "no such file", filepath.Join(there, "copy.db"): "not a directory",
	} {
		for _, copied := range []error{s.Backup(ctx, to), Copy(ctx, s.Path(), to)} {
			var problem *planner.Problem
			require.ErrorAs(t, copied, &problem, to)
			assert.Contains(t, problem.What, says)
			assert.NotEmpty(t, problem.Mend)
		}
	}
	assert.Equal(t, before, listing(t, dir))
	_, h := planOf(t, s, "here")
	assert.Equal(t, int64(1), h.Revision)
}

func TestRestore(t *testing.T) {
	ctx := context.Background()
	path, copied := filepath.Join(t.TempDir(), "a", "quickthorn.db"), filepath.Join(t.TempDir(), "copy.db")
	s := openAt(t, path)
	h, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	require.NoError(t, s.Backup(ctx, copied))
	h, _, err = s.Edit(ctx, "here", h.Revision, put(plantText("later", -2.6, 54.2, "oak")))
	require.NoError(t, err)
	later, _ := planOf(t, s, "here")

	// in use, by this process and by readers alone
	for range 2 {
		aside, err := RestoreAside(ctx, copied, path)
		require.ErrorIs(t, err, ErrBusy)
		assert.Contains(t, err.Error(), "It is in use. Nothing was changed.")
		assert.Empty(t, aside)
		h, _, err = s.Edit(ctx, "here", h.Revision, planner.Edit{Note: "still works", Delete: []string{"later"}})
		require.NoError(t, err)
		h, err = s.Undo(ctx, "here", h.Revision)
		require.NoError(t, err)
	}
	require.NoError(t, s.write.Close())
	require.ErrorIs(t, Restore(ctx, copied, path), ErrBusy)
	require.NoError(t, s.Close())

	before := listing(t, filepath.Dir(copied))
	aside, err := RestoreAside(ctx, copied, path)
	require.NoError(t, err)
	assert.Equal(t, path+".before-restore-1", aside)
	assert.Equal(t, before, listing(t, filepath.Dir(copied)), "the copy stays as it is")
	s = openAt(t, path)
	is, _ := planOf(t, s, "here")
	assert.Equal(t, string(demo(t)), is)
	old := openAt(t, aside)
	is, _ = planOf(t, old, "here")
	assert.Equal(t, later, is, "nothing is lost")
	require.NoError(t, s.Close())
	require.NoError(t, old.Close())
	aside, err = RestoreAside(ctx, aside, path)
	require.NoError(t, err)
	assert.Equal(t, path+".before-restore-2", aside)
	is, _ = planOf(t, openAt(t, path), "here")
	assert.Equal(t, later, is)

	fresh := filepath.Join(t.TempDir(), "b", "c", "quickthorn.db")
	aside, err = RestoreAside(ctx, copied, fresh)
	require.NoError(t, err)
	assert.Empty(t, aside)
	is, _ = planOf(t, openAt(t, fresh), "here")
	assert.Equal(t, string(demo(t)), is)
}

// A store of another process is in use too.
func TestRestoreWhileAnotherServes(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	_, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	copied := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, s.Backup(ctx, copied))
	require.NoError(t, s.Close())
	cmd := child(t, "edits", s.Path())
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	_, err = fmt.Fprintln(in, `{"Kind": "undo"}`)
	require.NoError(t, err)
	_, err = out.Read(make([]byte, 1)) // it has the store open
	require.NoError(t, err)
	require.ErrorIs(t, Restore(ctx, copied, s.Path()), ErrBusy)
	require.NoError(t, in.Close())
	_, _ = out.Read(make([]byte, 1<<12))
	require.NoError(t, cmd.Wait())
	require.NoError(t, Restore(ctx, copied, s.Path()))
}

// A damaged copy is not restored, a damaged store says so, and nothing is done about either.
func TestDamage(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	for i := range 20 {
		_, err := s.Create(ctx, fmt.Sprintf("h%d", i), demo(t), "")
		require.NoError(t, err)
	}
	require.NoError(t, s.Check(ctx))
	copied := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, s.Backup(ctx, copied))
	data, err := os.ReadFile(copied)
	require.NoError(t, err)
	for page := 4096; page < len(data); page += 4096 * 5 {
		copy(data[page:], "\x00\xff\x7f\x01 not a page any more")
	}
	require.NoError(t, os.WriteFile(copied, data, 0o600))
	require.NoError(t, s.Close())
	before := listing(t, filepath.Dir(s.Path()))
	err = Restore(ctx, copied, s.Path())
	require.ErrorIs(t, err, ErrDamaged)
	assert.Contains(t, err.Error(), copied)
	assert.Equal(t, before, listing(t, filepath.Dir(s.Path())))

	s = openAt(t, copied)
	err = s.Check(ctx)
	require.ErrorIs(t, err, ErrDamaged)
	assert.Contains(t, err.Error(), "quickthorn restore")
}

// A row that belongs to nothing, a plan that is none, and a journal that does not fit are found.
func TestCheckFindsWhatSQLiteDoesNot(t *testing.T) {
	ctx := context.Background()
	for _, c := range []struct{ spoil, says string }{
		{"PRAGMA foreign_keys = OFF; INSERT INTO feature (holding, place, id, text) VALUES (99, 1, 'x', x'00')", "1 rows belong to nothing"},
		{"UPDATE holding SET tail = x'5d'", "The plan of the holding here cannot be read."},
	} {
		s := newStore(t)
		_, err := s.Create(ctx, "here", demo(t), "")
		require.NoError(t, err)
		_, err = s.write.Exec(c.spoil)
		require.NoError(t, err)
		require.NoError(t, s.Close())
		s = openAt(t, s.Path())
		err = s.Check(ctx)
		require.ErrorIs(t, err, ErrDamaged)
		assert.Contains(t, err.Error(), c.says)
	}
	s := newStore(t)
	h, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	h, _, err = s.Edit(ctx, "here", h.Revision, put(plantText("new", -2.6, 54.2, "oak")))
	require.NoError(t, err)
	_, err = s.write.Exec("UPDATE feature SET text = x'31' WHERE id = 'new'")
	require.NoError(t, err)
	require.NoError(t, s.Close())
	s = openAt(t, s.Path())
	_, err = s.Undo(ctx, "here", h.Revision)
	require.ErrorIs(t, err, ErrDamaged)
	_, now := planOf(t, s, "here")
	assert.Equal(t, h.Revision, now.Revision)
}
