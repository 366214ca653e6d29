package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rooms are the packages in the order in which they may import each other: each only those before it. A package that is missing
// here fails the test, so that nobody adds a room without saying where it stands.
var rooms = []string{
	"geo",
	"geo/interchange",
	"planner",
	"planner/prose",
	"planner/paper",
	"planner/species",
	"planner/rules",
	"planner/setout",
	"planner/site",
	"planner/growth",
	"planner/lists",
	"planner/shelter",
	"planner/light",
	"planner/wood",
	"planner/check",
	"planner/sheets",
	"planner/report",
	"planner/bringin",
	"planner/store",
	"testdata",
	"web",
	"web/journey",
	"cmd/quickthorn",
}

func TestRoomsImportOnlyRoomsBeforeThem(t *testing.T) {
	const root = "../.."
	place := map[string]int{}
	for i, r := range rooms {
		place[r] = i
	}
	seen := map[string]bool{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && strings.HasPrefix(d.Name(), ".") && path != root {
			if d != nil && d.IsDir() {
				return filepath.SkipDir
			}
			return err
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		rel, err := filepath.Rel(root, filepath.Dir(path))
		require.NoError(t, err)
		room := filepath.ToSlash(rel)
		at, known := place[room]
		assert.True(t, known, "the package %s has no place among the rooms", room)
		seen[room] = true
		src, err := os.ReadFile(path)
		require.NoError(t, err)
		file, err := parser.ParseFile(token.NewFileSet(), path, src, parser.ImportsOnly)
		require.NoError(t, err)
		for _, imp := range file.Imports {
			name, err := strconv.Unquote(imp.Path.Value)
			require.NoError(t, err)
			other, ours := strings.CutPrefix(name, "quickthorn/")
			if !ours {
				continue
			}
			before, known := place[other]
			assert.True(t, known && before < at, "%s imports %s, which does not come before it", path, other)
			if room == "geo" || room == "geo/interchange" {
				assert.True(t, strings.HasPrefix(other, "geo"), "%s imports %s", path, other)
			}
		}
		return nil
	})
	require.NoError(t, err)
	for _, r := range rooms {
		assert.True(t, seen[r], "there is no package %s", r)
	}
}
