package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

func init() { children["writer"] = childWriter }

// addMany adds n plants to the holding one by one, each on the revision that it sees, and again where another was quicker. Anything
// but ErrStale ends it.
func addMany(ctx context.Context, s *Store, who string, n int) (stale int, err error) {
	for i := range n {
		for {
			h, err := s.Holding(ctx, "here")
			if err != nil {
				return stale, err
			}
			_, _, err = s.Edit(ctx, "here", h.Revision, put(plantText(fmt.Sprintf("%s-%d", who, i), -2.6, 54.2, "oak")))
			if err == nil {
				break
			}
			if !errors.Is(err, ErrStale) {
				return stale, err
			}
			stale++
		}
	}
	return stale, nil
}

// childWriter is one more writer, in a process of its own; the path ends with its name behind a colon.
func childWriter(arg string) int {
	path, who, _ := strings.Cut(arg, "::")
	s, err := Open(context.Background(), path, nil)
	if err != nil {
		fmt.Println(err)
		return 1
	}
	defer s.Close()
	stale, err := addMany(context.Background(), s, who, 8)
	if err != nil {
		fmt.Println(err)
		return 1
	}
	fmt.Println(stale)
	return 0
}

// 20 writers on one holding, all at once: in one store, through stores of their own, and in processes of their own, while readers
// read. No update is lost, every conflict is ErrStale, and nobody is told of a lock.
func TestTwentyWriters(t *testing.T) {
	const writers, each = 20, 8
	for _, c := range []struct {
		name string
		run  func(t *testing.T, s *Store) (stale int)
	}{
		{"one store", func(t *testing.T, s *Store) int { return together(t, writers, func(int) *Store { return s }, each) }},
		{"stores of their own", func(t *testing.T, s *Store) int {
			return together(t, writers, func(int) *Store { return openAt(t, s.Path()) }, each)
		}},
		{"processes of their own", processes},
	} {
		t.Run(c.name, func(t *testing.T) {
			ctx := context.Background()
			s := newStore(t)
			first, err := s.Create(ctx, "here", planText(`{"origin": [-2.6, 54.2]}`), "")
			require.NoError(t, err)
			stop, reading := make(chan struct{}), make(chan error)
			go func() { reading <- readUntil(ctx, s, stop) }()
			stale := c.run(t, s)
			close(stop)
			require.NoError(t, <-reading)
			data, h, err := s.Plan(ctx, "here")
			require.NoError(t, err)
			p, err := planner.Read(data, planner.ReadOptions{})
			require.NoError(t, err)
			assert.Len(t, p.Features, writers*each, "every plant is there")
			assert.Equal(t, first.Revision+writers*each, h.Revision, "one revision an edit")
			entries, err := s.History(ctx, "here", 0)
			require.NoError(t, err)
			assert.Len(t, entries, writers*each+1)
			assert.Positive(t, stale, "they must have met")
			require.NoError(t, s.Check(ctx))
			t.Logf("%d conflicts over %d edits", stale, writers*each)
		})
	}
}

func together(t *testing.T, writers int, of func(int) *Store, each int) int {
	var wait sync.WaitGroup
	stale, failed := make([]int, writers), make([]error, writers)
	for i := range writers {
		s := of(i)
		wait.Go(func() { stale[i], failed[i] = addMany(context.Background(), s, fmt.Sprintf("w%d", i), each) })
	}
	wait.Wait()
	total := 0
	for i := range writers {
		require.NoError(t, failed[i])
		total += stale[i]
	}
	return total
}

func processes(t *testing.T, s *Store) int {
	const writers = 20
	cmds := make([]*exec.Cmd, writers)
	said := make([]bytes.Buffer, writers)
	for i := range cmds {
		cmds[i] = child(t, "writer", fmt.Sprintf("%s::p%d", s.Path(), i))
		cmds[i].Stdout = &said[i]
		require.NoError(t, cmds[i].Start())
	}
	total := 0
	for i, cmd := range cmds {
		require.NoError(t, cmd.Wait(), said[i].String())
		n, err := strconv.Atoi(strings.TrimSpace(said[i].String()))
		require.NoError(t, err)
		total += n
	}
	return total
}

// readUntil reads the plan again and again: each is whole, and never older than the one before.
func readUntil(ctx context.Context, s *Store, stop <-chan struct{}) error {
	last := int64(0)
	for {
		data, h, err := s.Plan(ctx, "here")
		if err != nil {
			return err
		}
		if n := int64(bytes.Count(data, []byte(`"type": "Feature",`))); n != h.Revision-1 || h.Revision < last {
			return fmt.Errorf("revision %d after %d has %d features", h.Revision, last, n)
		}
		last = h.Revision
		select {
		case <-stop:
			return nil
		default:
		}
	}
}

// Undo, redo, settings, pictures, replacing and deleting are refused on an old revision, and change nothing.
func TestStale(t *testing.T) {
	ctx := context.Background()
	s := newStore(t)
	h, err := s.Create(ctx, "here", demo(t), "")
	require.NoError(t, err)
	old := h.Revision
	h, _, err = s.Edit(ctx, "here", old, put(plantText("new", -2.6, 54.2, "oak")))
	require.NoError(t, err)
	h, err = s.SetPicture(ctx, "here", h.Revision, "field.png", "image/png", []byte{1})
	require.NoError(t, err)
	before, _ := look(t, s, "here")
	for _, rev := range []int64{old, h.Revision + 1, 0, -1} {
		for name, call := range map[string]func() error{
			"edit":     func() error { _, _, err := s.Edit(ctx, "here", rev, planner.Edit{Delete: []string{"new"}}); return err },
			"settings": func() error { _, err := s.Settings(ctx, "here", rev, []byte(`{}`), ""); return err },
			"replace":  func() error { _, err := s.Replace(ctx, "here", rev, planText(""), ""); return err },
			"undo":     func() error { _, err := s.Undo(ctx, "here", rev); return err },
			"redo":     func() error { _, err := s.Redo(ctx, "here", rev); return err },
			"set": func() error {
				_, err := s.SetPicture(ctx, "here", rev, "field.png", "image/png", []byte{2})
				return err
			},
			"unset":  func() error { _, err := s.DeletePicture(ctx, "here", rev, "field.png"); return err },
			"delete": func() error { return s.Delete(ctx, "here", rev) },
		} {
			require.ErrorIs(t, call(), ErrStale, name)
		}
	}
	after, now := look(t, s, "here")
	assert.Equal(t, before, after)
	assert.Equal(t, h, now)
}

// A caller who gives up in the middle changes nothing and leaves the store usable.
func TestGivenUp(t *testing.T) {
	s := newStore(t)
	h, err := s.Create(context.Background(), "here", demo(t), "")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err = s.Edit(ctx, "here", h.Revision, put(plantText("new", -2.6, 54.2, "oak")))
	require.ErrorIs(t, err, context.Canceled)
	_, now := planOf(t, s, "here")
	assert.Equal(t, h, now)
	require.ErrorIs(t, s.Backup(ctx, filepath.Join(t.TempDir(), "copy.db")), context.Canceled)
	_, _, err = s.Edit(context.Background(), "here", h.Revision, put(plantText("new", -2.6, 54.2, "oak")))
	require.NoError(t, err)
}
