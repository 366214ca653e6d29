package report

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// The 72 parcels are public register data (see testdata/parcels/README.md); areas and perimeters are by GeographicLib.
func TestRealParcelsAreReadMeasuredAndChecked(t *testing.T) {
	file, err := os.Open("../../testdata/parcels/parcels.tsv")
	require.NoError(t, err)
	defer file.Close()
	r := csv.NewReader(file)
	r.Comma = '\t'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 73)
	engine, err := NewEngine()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		id := row[0]
		area, around := parse(t, row[1]), parse(t, row[2])
		data, err := os.ReadFile(filepath.Join("../../testdata/parcels", id+".geojson"))
		require.NoError(t, err)
		rep := build(t, engine, data)
		areas := rep.areas()
		require.Len(t, areas, 1, id)
		require.NotNil(t, areas[0].AreaM2, id)
		// 2 ppm and 1 ppm, half the last digit printed there, and half the last digit that we print.
		assert.InDelta(t, area, *areas[0].AreaM2, area*2e-6+half(row[1])+0.005, "%s area", id)
		assert.InDelta(t, around, *areas[0].PerimeterM, around*1e-6+half(row[2])+0.0005, "%s perimeter", id)
		sum := 0.0
		for _, v := range areas[0].MoistureM2 {
			sum += v
		}
		assert.InDelta(t, *areas[0].AreaM2, sum, 1e-6, "%s: ground classes add up", id)
		for _, f := range rep.Findings {
			assert.NotEqual(t, planner.Stop, f.Severity, "%s: %s", id, f.Message)
		}
	}
}

func parse(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// half is half the last digit of a printed number.
func half(s string) float64 {
	_, decimals, _ := strings.Cut(s, ".")
	h := 0.5
	for range decimals {
		h /= 10
	}
	return h
}
