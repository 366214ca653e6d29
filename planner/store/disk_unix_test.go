//go:build unix

package store

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

func init() {
	children["limited"] = childLimited
	children["limited-new"] = childLimitedNew
	children["readonly"] = childReadOnly
}

// account is what a child says of a disk that failed it.
type account struct {
	Acknowledged int64  // the last revision
	Failed       string // what it was told
	Full         bool   // and of which kind
	ReadOnly     bool
	Problem      bool   // the user's to mend by another path
	Plan         string // as it reads after the failure
	Again        int64  // the revision that it got to when there was room again
}

func tell(a account) int {
	text, err := json.Marshal(a)
	if err != nil {
		panic(err)
	}
	os.Stdout.Write(append(text, '\n'))
	return 0
}

// told runs a child to its end and gives what it told.
func told(t *testing.T, cmd *exec.Cmd) account {
	out, err := cmd.Output()
	require.NoError(t, err)
	var a account
	lines := bufio.NewScanner(strings.NewReader(string(out)))
	lines.Buffer(nil, 1<<24)
	require.True(t, lines.Scan(), "the child said nothing")
	require.NoError(t, json.Unmarshal(lines.Bytes(), &a), string(out))
	return a
}

func (a *account) fail(err error) {
	var problem *planner.Problem
	a.Failed = err.Error()
	a.Full, a.ReadOnly, a.Problem = errors.Is(err, ErrFull), errors.Is(err, ErrReadOnly), errors.As(err, &problem)
}

// fileLimit lets files of this process grow to that size and no further.
func fileLimit(size uint64) {
	signal.Ignore(syscall.SIGXFSZ) // else it ends the process
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		panic(err)
	}
	limit.Cur = min(size, limit.Max)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		panic(err)
	}
}

// childLimited makes edits until files may not grow further, reads what is left, and goes on when they may.
func childLimited(path string) int {
	ctx := context.Background()
	s, err := Open(ctx, path, nil)
	if err != nil {
		panic(err)
	}
	defer s.Close()
	info, err := os.Stat(path)
	if err != nil {
		panic(err)
	}
	fileLimit(uint64(info.Size()) + 100_000)
	return tell(fillUp(ctx, s, func() { fileLimit(1 << 40) }))
}

// fillUp makes edits until one fails, reads, makes room and makes that edit again.
func fillUp(ctx context.Context, s *Store, makeRoom func()) account {
	h, err := s.Holding(ctx, "here")
	if err != nil {
		panic(err)
	}
	a := account{Acknowledged: h.Revision}
	for n := 0; n < 10_000; n++ {
		e := put(plantText(fmt.Sprintf("extra-%d", n), -2.6, 54.2, strings.Repeat("x", 3000)))
		h, _, err := s.Edit(ctx, "here", a.Acknowledged, e)
		if err == nil {
			a.Acknowledged = h.Revision
			continue
		}
		a.fail(err)
		data, _, err := s.Plan(ctx, "here")
		if err != nil {
			panic(err)
		}
		a.Plan = string(data)
		makeRoom()
		if h, _, err = s.Edit(ctx, "here", a.Acknowledged, e); err != nil {
			panic(err)
		}
		a.Again = h.Revision
		return a
	}
	panic("the disk never filled")
}

// A disk that fills up in the middle of work: the change is refused in plain words and not half made, what was acknowledged is
// there for this process and the next, and work goes on when there is room.
func TestFileMayNotGrow(t *testing.T) {
	path := filepath.Join(t.TempDir(), "quickthorn.db")
	s := openAt(t, path)
	h, err := s.Create(context.Background(), "here", demo(t), "")
	require.NoError(t, err)
	require.NoError(t, s.Close())
	fullIs(t, path, h.Revision, told(t, child(t, "limited", path)))
}

// fullIs checks the account of fillUp, and the store after it.
func fullIs(t *testing.T, path string, rev int64, a account) {
	assert.True(t, a.Full, a.Failed)
	assert.Contains(t, a.Failed, "There is no room left on the disk, or the file may not grow further. Nothing was changed. Make room and try again.")
	assert.Contains(t, a.Failed, filepath.Base(path))
	assert.Greater(t, a.Acknowledged, rev, "some edits must have gone well")
	assert.Equal(t, a.Acknowledged+1, a.Again)
	assert.Equal(t, int(a.Acknowledged-rev), strings.Count(a.Plan, `"extra-`))
	if _, err := os.Stat(path); err != nil {
		return // it was on a disk of the child's own
	}
	s := openAt(t, path)
	require.NoError(t, s.Check(context.Background()))
	_, err := s.Undo(context.Background(), "here", a.Again)
	require.NoError(t, err)
	is, _ := planOf(t, s, "here")
	assert.Equal(t, a.Plan, is)
}

// childLimitedNew tries to make a store, and then a copy, where no file may grow.
func childLimitedNew(path string) int {
	var a account
	fileLimit(4096)
	_, err := Open(context.Background(), path, nil)
	if err == nil {
		panic("it could be made")
	}
	a.fail(err)
	return tell(a)
}

func TestNoRoomForANewStore(t *testing.T) {
	dir := t.TempDir()
	a := told(t, child(t, "limited-new", filepath.Join(dir, "quickthorn.db")))
	assert.True(t, a.Full, a.Failed)
	assert.Contains(t, a.Failed, "There is no room left on the disk")
	assert.Empty(t, listing(t, dir), "nothing half made is left")
}

// childReadOnly opens a store that it cannot write to.
func childReadOnly(path string) int {
	var a account
	s, err := Open(context.Background(), path, nil)
	if err == nil {
		h, err := s.Holding(context.Background(), "here")
		if err != nil {
			panic(err)
		}
		if _, _, err = s.Edit(context.Background(), "here", h.Revision, put(plantText("new", -2.6, 54.2, "oak"))); err == nil {
			panic("it could be changed")
		}
	} else {
		a.fail(err)
	}
	return tell(a)
}

// A store of somebody else, which may be read and not written: refused in plain words, and every byte beside it stays as it was.
// Root ignores modes, so for root the child becomes the user nobody.
func TestStoreOfSomebodyElse(t *testing.T) {
	for _, c := range []struct {
		name         string
		folder, file os.FileMode
	}{
		{"folder and file", 0o555, 0o444},
		{"file alone", 0o777, 0o444},
		{"folder alone", 0o555, 0o666},
		{"not even to be read", 0o555, 0o000},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "theirs")
			require.NoError(t, os.Mkdir(dir, 0o755))
			path := filepath.Join(dir, "quickthorn.db")
			s := openAt(t, path)
			_, err := s.Create(context.Background(), "here", demo(t), "")
			require.NoError(t, err)
			require.NoError(t, s.Close())
			before := listing(t, dir)
			cmd := child(t, "readonly", path)
			if os.Getuid() == 0 {
				becomeNobody(t, cmd)
			}
			require.NoError(t, os.Chmod(path, c.file))
			require.NoError(t, os.Chmod(dir, c.folder))
			a := told(t, cmd)
			require.NoError(t, os.Chmod(dir, 0o755))
			require.NoError(t, os.Chmod(path, 0o644))
			assert.True(t, a.ReadOnly, a.Failed)
			assert.True(t, a.Problem, "another path mends it")
			assert.Contains(t, a.Failed, "It cannot be written to: the disk or the file is read-only, or belongs to somebody else.")
			assert.Contains(t, a.Failed, path)
			assert.Equal(t, before, listing(t, dir))
		})
	}
}

// becomeNobody lets the command run as the user nobody, from a copy of itself that nobody may run.
func becomeNobody(t *testing.T, cmd *exec.Cmd) {
	const nobody = 65534
	// The folder round all of this test's; it is the test's own.
	require.NoError(t, os.Chmod(filepath.Dir(t.TempDir()), 0o755))
	self, err := os.ReadFile(cmd.Path)
	require.NoError(t, err)
	at := filepath.Join(t.TempDir(), "self")
	require.NoError(t, os.WriteFile(at, self, 0o755))
	cmd.Path, cmd.Dir = at, "/"
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
}
