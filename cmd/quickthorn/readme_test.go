package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The README's first plan is run as its reader would run it, and what it prints is what the README shows.
func TestReadmeSampleIsWhatTheProgramPrints(t *testing.T) {
	const begin, end = "<!-- sample:begin -->\n", "<!-- sample:end -->"
	path, err := filepath.Abs("../../README.md")
	require.NoError(t, err)
	readme, err := os.ReadFile(path)
	require.NoError(t, err)
	_, plan, ok := strings.Cut(string(readme), "```json\n")
	require.True(t, ok)
	plan, _, _ = strings.Cut(plan, "```")
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "my-ground.geojson"), []byte(plan), 0o600))
	t.Chdir(dir)

	var out, errs bytes.Buffer
	require.Equal(t, exitFindings, run(context.Background(), []string{"check", "my-ground.geojson"}, nil, &out, &errs), errs.String())
	require.Empty(t, errs.String())
	head, rest, ok := strings.Cut(string(readme), begin)
	require.True(t, ok)
	_, tail, ok := strings.Cut(rest, end)
	require.True(t, ok)
	want := head + begin + "What `check` says of it:\n\n```text\n" + out.String() + "```\n" + end + tail
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(want), 0o644))
		return
	}
	require.Equal(t, want, string(readme), "go test ./cmd/quickthorn -run Readme -update renews it")
}

// The balance of wood that the README shows is that of the demo holding, as far as it is told in words.
func TestReadmeSaysTheBalanceOfWood(t *testing.T) {
	const begin, end = "<!-- wood:begin -->\n", "<!-- wood:end -->"
	const path = "../../README.md"
	var out, errs bytes.Buffer
	require.Equal(t, exitDone, run(context.Background(), []string{"wood", "../../testdata/demo-mended.geojson"}, nil, &out, &errs), errs.String())
	words, _, ok := strings.Cut(out.String(), "\nWhat is cut, by middle figures")
	require.True(t, ok)
	readme, err := os.ReadFile(path)
	require.NoError(t, err)
	head, rest, ok := strings.Cut(string(readme), begin)
	require.True(t, ok)
	_, tail, ok := strings.Cut(rest, end)
	require.True(t, ok)
	want := head + begin + "What `wood` says of it first:\n\n```text\n" + words + "```\n" + end + tail
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(want), 0o644))
		return
	}
	require.Equal(t, want, string(readme), "go test ./cmd/quickthorn -run Readme -update renews it")
}
