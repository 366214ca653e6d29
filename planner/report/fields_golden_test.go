package report

import (
	"bytes"
	"context"
	"flag"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/testdata"
)

var update = flag.Bool("update", false, "write the golden files anew")

// What is said of the demo holding, kept as files, so that a change in growth is seen where it is read.
func TestGoldenShelterAndLight(t *testing.T) {
	ctx := context.Background()
	r := grownDemo(t, testdata.Demo)
	s, err := r.Shelter(ctx, nil, nil)
	require.NoError(t, err)
	l, err := r.Light(ctx, nil, nil)
	require.NoError(t, err)
	for _, c := range []struct {
		file  string
		write func(io.Writer) error
	}{
		{"demo-shelter.txt", func(w io.Writer) error { return s.WriteText(w, TextOptions{}) }},
		{"demo-shelter.json", s.WriteJSON},
		{"demo-light.txt", func(w io.Writer) error { return l.WriteText(w, TextOptions{}) }},
		{"demo-light.json", l.WriteJSON},
	} {
		var b bytes.Buffer
		require.NoError(t, c.write(&b), c.file)
		if strings.HasSuffix(c.file, ".txt") {
			assert.LessOrEqual(t, strings.Count(b.String(), "\n"), 66, "%s is a page at most", c.file)
		}
		file := filepath.Join("testdata", c.file)
		if *update {
			require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, string(want), b.String(), file)
	}
}

// One core and several write the same bytes.
func TestFieldsDoNotDependOnTheNumberOfCores(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := everyForm(t, testdata.Demo)
	runtime.GOMAXPROCS(4)
	four := everyForm(t, testdata.Demo)
	for name := range one {
		assert.True(t, one[name] == four[name], name)
	}
}
