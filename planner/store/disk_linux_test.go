package store

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func init() {
	children["small-disk"] = childSmallDisk
	children["turned-readonly"] = childTurnedReadOnly
	children["may-mount"] = func(path string) int { mount(path, "size=64k"); return 0 }
}

// mount puts a disk in memory on the folder, for this process alone.
func mount(dir, options string) {
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, options); err != nil {
		panic(err)
	}
}

// withDisks lets the command mount disks that nobody else sees. Some machines forbid it; TestFileMayNotGrow and
// TestStoreOfSomebodyElse then stand for the tests that need it.
func withDisks(t *testing.T, name string) (cmd *exec.Cmd, dir string) {
	dir = t.TempDir()
	own := func(name string) *exec.Cmd {
		cmd := child(t, name, dir)
		cmd.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
			UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}, GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}}
		return cmd
	}
	try := own("may-mount")
	try.Stderr = nil
	if err := try.Run(); err != nil {
		t.Skip("this machine lets no program mount a disk of its own:", err)
	}
	return own(name), dir
}

// withHolding makes a store with one holding in the folder.
func withHolding(dir string) *Store {
	s, err := Open(context.Background(), filepath.Join(dir, "quickthorn.db"), nil)
	if err != nil {
		panic(err)
	}
	if _, err := s.Create(context.Background(), "here", planText("", plantText("oak", -2.6, 54.2, "oak")), ""); err != nil {
		panic(err)
	}
	return s
}

// childSmallDisk fills a disk of 1 MB, and goes on when other files on it are taken away.
func childSmallDisk(dir string) int {
	mount(dir, "size=1m")
	other := filepath.Join(dir, "other")
	if err := os.WriteFile(other, make([]byte, 300_000), 0o644); err != nil {
		panic(err)
	}
	s := withHolding(dir)
	return tell(fillUp(context.Background(), s, func() {
		if err := os.Remove(other); err != nil {
			panic(err)
		}
	}))
}

func TestDiskFillsUp(t *testing.T) {
	cmd, dir := withDisks(t, "small-disk")
	fullIs(t, filepath.Join(dir, "quickthorn.db"), 1, told(t, cmd))
}

// childTurnedReadOnly works on a disk that is then mounted read-only, as a system does with one that fails, tries to open the store
// there, and copies it to another disk. The log of changes still lies beside the store, not folded in.
func childTurnedReadOnly(dir string) int {
	ctx := context.Background()
	disk, safe := filepath.Join(dir, "disk"), filepath.Join(dir, "safe.db")
	if err := os.Mkdir(disk, 0o755); err != nil {
		panic(err)
	}
	mount(disk, "size=4m")
	other := withHolding(dir) // on the other disk, so that its files can be put here with their log
	copyStore(other.Path(), filepath.Join(disk, "quickthorn.db"))
	if err := other.Close(); err != nil {
		panic(err)
	}
	path := filepath.Join(disk, "quickthorn.db")
	if err := syscall.Mount("", disk, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		panic(err)
	}
	var a account
	_, err := Open(ctx, path, nil)
	if err == nil {
		panic("it could be opened")
	}
	a.fail(err)
	if err := Copy(ctx, path, safe); err != nil {
		panic(err)
	}
	return tell(a)
}

// copyStore copies the file and its log.
func copyStore(from, to string) {
	for _, end := range []string{"", "-wal"} {
		if err := copyBytes(from+end, to+end); err != nil {
			panic(err)
		}
	}
}

func TestReadOnlyDisk(t *testing.T) {
	cmd, dir := withDisks(t, "turned-readonly")
	a := told(t, cmd)
	assert.True(t, a.ReadOnly && a.Problem, a.Failed)
	assert.Contains(t, a.Failed, "It cannot be written to: the disk or the file is read-only")
	require.NoFileExists(t, filepath.Join(dir, "disk", "quickthorn.db"), "the disk was the child's own")
	is, _ := planOf(t, openAt(t, filepath.Join(dir, "safe.db")), "here")
	assert.Equal(t, asKept(t, planText("", plantText("oak", -2.6, 54.2, "oak"))), is)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		assert.NotContains(t, e.Name(), ".quickthorn-", "nothing half made is left")
	}
}
