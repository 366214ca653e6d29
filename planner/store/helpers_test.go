package store

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// TestMain turns the test binary into a child where a test starts it as one.
func TestMain(m *testing.M) {
	if name := os.Getenv(childName); name != "" {
		os.Exit(runChild(name, os.Getenv(childPath)))
	}
	os.Exit(m.Run())
}

// long is whether the longer run was asked for.
func long() bool { return os.Getenv("QUICKTHORN_LONG") != "" }

var day = time.Date(2026, 11, 2, 8, 30, 0, 0, time.UTC)

// clock gives a time one second after the one before.
func clock() func() time.Time {
	n := 0
	return func() time.Time {
		n++
		return day.Add(time.Duration(n) * time.Second)
	}
}

func newStore(t testing.TB) *Store {
	return openAt(t, filepath.Join(t.TempDir(), "quickthorn.db"))
}

func openAt(t testing.TB, path string) *Store {
	s, err := OpenWith(context.Background(), path, Options{Now: clock()})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func demo(t testing.TB) []byte {
	data, err := os.ReadFile("../../testdata/demo.geojson")
	require.NoError(t, err)
	return data
}

// planText is a small plan of features, each on a line of its own.
func planText(holding string, features ...string) []byte {
	var b bytes.Buffer
	b.WriteString(`{"type": "FeatureCollection", `)
	if holding != "" {
		b.WriteString(`"holding": ` + holding + `, `)
	}
	b.WriteString(`"features": [`)
	for i, f := range features {
		if i > 0 {
			b.WriteString(",")
		}
		b.WriteString("\n  " + f)
	}
	b.WriteString("\n]}\n")
	return b.Bytes()
}

func plantText(id string, lon, lat float64, species string) string {
	return fmt.Sprintf(`{"type": "Feature", "id": %q, "properties": {"kind": "plant", "species": %q}, "geometry": {"type": "Point", "coordinates": [%v, %v]}}`, id, species, lon, lat)
}

func put(texts ...string) planner.Edit {
	var e planner.Edit
	for _, text := range texts {
		e.Put = append(e.Put, json.RawMessage(text))
	}
	return e
}

// asKept is the file that a store makes of a plan.
func asKept(t require.TestingT, data []byte) string {
	p, err := planner.Read(bytes.Clone(data), planner.ReadOptions{})
	require.NoError(t, err)
	return fileOf(t, p)
}

func fileOf(t require.TestingT, p *planner.Plan) string {
	var b bytes.Buffer
	require.NoError(t, p.Write(&b))
	return b.String()
}

func planOf(t require.TestingT, s *Store, id string) (string, Holding) {
	data, h, err := s.Plan(context.Background(), id)
	require.NoError(t, err)
	return string(data), h
}

// listing is what a folder holds, with the bytes of every file.
func listing(t testing.TB, dir string) map[string]string {
	out := map[string]string{}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		require.NoError(t, err)
		out[e.Name()] = string(data)
	}
	return out
}
