package store

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// plants is a plan of n plants on a grid of 3 m or so.
func plants(n int) []byte {
	var out []string
	for i := range n {
		out = append(out, plantText(fmt.Sprintf("p%d", i), -2.6+float64(i%100)*5e-5, 54.2+float64(i/100)*3e-5, "oak"))
	}
	return planText("", out...)
}

// BenchmarkEdit is one edit of one feature among so many, with its sync to the disk.
func BenchmarkEdit(b *testing.B) {
	for _, n := range []int{100, 2000, 20_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			ctx := context.Background()
			s := newStore(b)
			h, err := s.Create(ctx, "here", plants(n), "")
			require.NoError(b, err)
			i := 0
			for b.Loop() {
				if h, _, err = s.Edit(ctx, "here", h.Revision, put(plantText("p50", -2.6, 54.2, fmt.Sprint(i)))); err != nil {
					b.Fatal(err)
				}
				i++
			}
		})
	}
}

// BenchmarkUndoRedo is one undo and one redo.
func BenchmarkUndoRedo(b *testing.B) {
	ctx := context.Background()
	s := newStore(b)
	h, err := s.Create(ctx, "here", plants(2000), "")
	require.NoError(b, err)
	h, _, err = s.Edit(ctx, "here", h.Revision, planner.Edit{Delete: []string{"p50"}})
	require.NoError(b, err)
	for b.Loop() {
		if h, err = s.Undo(ctx, "here", h.Revision); err == nil {
			h, err = s.Redo(ctx, "here", h.Revision)
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPlan reads a plan of 2,000 plants: from the tables, and from those of late.
func BenchmarkPlan(b *testing.B) {
	ctx := context.Background()
	s := newStore(b)
	_, err := s.Create(ctx, "here", plants(2000), "")
	require.NoError(b, err)
	for _, warm := range []bool{false, true} {
		b.Run(map[bool]string{false: "tables", true: "again"}[warm], func(b *testing.B) {
			for b.Loop() {
				if !warm {
					s.recently.states = nil
				}
				if _, _, err := s.Plan(ctx, "here"); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkOpen opens and closes a store of 2,000 plants with 1,000 edits in its journal.
func BenchmarkOpen(b *testing.B) {
	ctx := context.Background()
	s := newStore(b)
	h, err := s.Create(ctx, "here", plants(2000), "")
	require.NoError(b, err)
	for i := range 1000 {
		h, _, err = s.Edit(ctx, "here", h.Revision, put(plantText("p50", -2.6, 54.2, fmt.Sprint(i))))
		require.NoError(b, err)
	}
	require.NoError(b, s.Close())
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			s, err := Open(ctx, s.Path(), nil)
			if err != nil {
				b.Fatal(err)
			}
			if err := s.Close(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("backup", func(b *testing.B) {
		s, err := Open(ctx, s.Path(), nil)
		require.NoError(b, err)
		defer s.Close()
		dir, i := b.TempDir(), 0
		for b.Loop() {
			i++
			if err := s.Backup(ctx, filepath.Join(dir, fmt.Sprint(i))); err != nil {
				b.Fatal(err)
			}
		}
	})
}
