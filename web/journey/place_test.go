package journey

import (
	"context"
	"net/http/httptest"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quickthorn/planner/report"
	"quickthorn/planner/store"
	"quickthorn/web"
)

func engineOf(t testing.TB) *report.Engine {
	t.Helper()
	e, err := report.NewEngine()
	require.NoError(t, err)
	return e
}

// serve is a server on a store of its own with these holdings in it.
func serve(t testing.TB, plans map[string][]byte) (at string, s *store.Store) {
	t.Helper()
	s, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "quickthorn.db"), nil)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	for id, plan := range plans {
		_, err := s.Create(context.Background(), id, plan, "Brought in")
		require.NoError(t, err)
	}
	h, err := web.New(s, engineOf(t), web.Options{})
	require.NoError(t, err)
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	return srv.URL, s
}
