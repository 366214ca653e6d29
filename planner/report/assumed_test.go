package report

import (
	"bytes"
	"context"
	"fmt"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// assumedPlan is a holding of some features, with a winter or without.
func assumedPlan(t *testing.T, winter int, features string) *Report {
	t.Helper()
	said := ""
	if winter > 0 {
		said = fmt.Sprintf(`, "planting_winter": %d`, winter)
	}
	return grownDemo(t, []byte(`{"type": "FeatureCollection", "holding": {"name": "Brook End", "origin": [-2, 54]`+said+`}, "features": [`+features+`]}`))
}

func shelterWhy(t *testing.T, r *Report) []string {
	t.Helper()
	s, err := r.Shelter(context.Background(), []int{0, 20}, nil)
	require.NoError(t, err)
	return unknownWords(s.unknown())
}

const (
	assumedLine   = `"geometry": {"type": "LineString", "coordinates": [[-2, 54], [-1.9995, 54]]}}`
	assumedBed    = `{"type": "Feature", "id": "bed", "properties": {"kind": "bed"}, "geometry": {"type": "Polygon", "coordinates": [[[-2, 54.0001], [-1.9998, 54.0001], [-1.9998, 54.0002], [-2, 54.0002], [-2, 54.0001]]]}}`
	assumedCross  = `{"type": "Feature", "id": "crossed", "properties": {"kind": "bed"}, "geometry": {"type": "Polygon", "coordinates": [[[-2, 54.0001], [-1.9998, 54.0002], [-1.9998, 54.0001], [-2, 54.0002], [-2, 54.0001]]]}}`
	assumedScreen = `{"type": "Feature", "id": "net", "properties": {"kind": "screen", "height_m": 2, "density_percent": 50, "until": 2020}, ` + assumedLine
)

// What is assumed of a thing that stands, and what is left out, is said with the shelter too.
func TestWhatShelterAssumesIsSaid(t *testing.T) {
	thing := func(props string) string {
		return `{"type": "Feature", "id": "x", "properties": {"name": "Ridge", ` + props + `}, ` + assumedLine
	}
	for _, c := range []struct {
		name, feature string
		want          []string
	}{
		{"a hedge of which nothing is said", thing(`"kind": "hedge", "status": "existing"`),
			[]string{"Ridge states neither height_m nor planted, and is taken as 2 m high (common practice).", "Ridge states no species, and counts as deciduous shrubs (common practice)."}},
		{"a hedge that says all", thing(`"kind": "hedge", "status": "existing", "species": "hawthorn", "height_m": 2`), nil},
		{"a wall of no stated height", thing(`"kind": "wall"`), []string{"Ridge is left out of the shelter: its height is not stated."}},
		{"a wall", thing(`"kind": "wall", "height_m": 2`), nil},
		{"a fence", thing(`"kind": "fence"`), nil},
		{"a screen too open to shelter", thing(`"kind": "screen", "density_percent": 3`),
			[]string{"Ridge is left out of the shelter: 97 % of its face is open, and nothing is published above 90 %."}},
	} {
		assert.Equal(t, c.want, shelterWhy(t, assumedPlan(t, 2026, c.feature)), c.name)
	}
}

// Without a winter for year 0 nothing tells when a screen goes.
func TestAScreenThatNeverGoesIsSaid(t *testing.T) {
	assert.Equal(t, []string{"screen net is never taken away in these figures: the plan names no winter that could be year 0. State planting_winter."},
		lower(shelterWhy(t, assumedPlan(t, 0, assumedScreen))))
	assert.Empty(t, shelterWhy(t, assumedPlan(t, 2026, assumedScreen)), "taken away six years ago")
}

func lower(list []string) []string {
	for i, s := range list {
		list[i] = string(bytes.ToLower([]byte(s[:1]))) + s[1:]
	}
	return list
}

// A bed whose outline cannot be used is named, beside others and alone, and is not said to be missing from the plan.
func TestBedsThatCannotBeUsedAreNamed(t *testing.T) {
	const why = "Bed crossed is not looked at: its outline cannot be used."
	for _, features := range []string{assumedCross, assumedBed + "," + assumedCross} {
		r := assumedPlan(t, 2026, features)
		assert.Equal(t, []string{why}, shelterWhy(t, r))
		l, err := r.Light(context.Background(), []int{0}, nil)
		require.NoError(t, err)
		assert.Equal(t, []string{why}, unknownWords(l.unknown()))
		s, err := r.Shelter(context.Background(), []int{0}, nil)
		require.NoError(t, err)
		for _, by := range []ByYears{s, l} {
			var b bytes.Buffer
			require.NoError(t, by.WriteText(&b, TextOptions{}))
			assert.NotContains(t, b.String(), "No bed is drawn")
			assert.Equal(t, features == assumedCross, bytes.Contains(b.Bytes(), []byte("No bed has an outline")))
		}
	}
}

// The bare stems of a belt grow longer; one sentence says how long they come to be, and when.
func TestBareStemsAreSaidOnce(t *testing.T) {
	r := assumedPlan(t, 2026, assumedBed+`, {"type": "Feature", "id": "belt", "properties": {"kind": "windbreak", "rows": [{"species": "common alder", "spacing_m": 1.5}]}, `+assumedLine)
	s, err := r.Shelter(context.Background(), nil, nil)
	require.NoError(t, err)
	var open []string
	for _, say := range s.said() {
		if bytes.Contains([]byte(say), []byte("is open for")) {
			open = append(open, say)
		}
	}
	require.Len(t, open, 1, "the belt is 3 m high in year 5, 6.7 m in year 10 and 12.9 m in year 20: Johansson 1999; a fifth of it is open, 2 m at most")
	assert.Contains(t, open[0], "In years 20 and 30, windbreak belt is open for 2.0 m")
}

// Groves give no shelter in the figures, and that is said where nothing else stands too.
func TestWhatGivesNoShelterIsSaidWithoutBarriers(t *testing.T) {
	s, err := assumedPlan(t, 2026, assumedBed).Shelter(context.Background(), []int{0}, nil)
	require.NoError(t, err)
	assert.Contains(t, s.said(), "Orchards, groves, single trees and fences do not count as shelter, and the ground counts as level.")
}

// A rose of one arm is one wind, and one whose arms have no percent is none: the nine winds about wind_from_deg are taken, and said.
func TestWhichWindsAreSaid(t *testing.T) {
	for rose, want := range map[string]string{
		`[{"from_deg": 270, "percent": 100, "speed_m_s": 5}]`: "For the one arm of the wind rose.",
		`[{"from_deg": 270, "percent": 30, "speed_m_s": 5}]`:  "For the one arm of the wind rose. It has 30 percent; calms are not counted.",
		`[{"from_deg": 270, "percent": 0, "speed_m_s": 5}]`:   "Averaged over nine winds, from 22.5 degrees left to 22.5 degrees right of the wind from west-south-west (240 degrees).",
	} {
		r := grownDemo(t, []byte(`{"type": "FeatureCollection", "holding": {"wind_rose": `+rose+`, "planting_winter": 2026}, "features": [`+assumedBed+`]}`))
		s, err := r.Shelter(context.Background(), []int{0}, nil)
		require.NoError(t, err)
		assert.Equal(t, want, s.said()[0])
		require.Len(t, s.document().Wind, 1)
		assert.Positive(t, s.document().Wind[0].Percent)
	}
}

// Two fields that lie one over the other are as much ground as one: all of it behind the wall counts once, above and below the line.
func TestFieldsThatOverlapCountOnce(t *testing.T) {
	field := func(id string) string {
		return `{"type": "Feature", "id": "` + id + `", "properties": {"kind": "parcel"}, "geometry": {"type": "Polygon", "coordinates": [[[-2, 54], [-1.9995, 54], [-1.9995, 54.0003], [-2, 54.0003], [-2, 54]]]}}`
	}
	wall := `, {"type": "Feature", "id": "wall", "properties": {"kind": "wall", "height_m": 2}, "geometry": {"type": "LineString", "coordinates": [[-2, 54], [-2, 54.0003]]}}`
	share := func(features string) string {
		s, err := assumedPlan(t, 2026, features).Shelter(context.Background(), []int{0}, nil)
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, s.WriteText(&b, TextOptions{}))
		return regexp.MustCompile(`\d+ %\n`).FindString(b.String())
	}
	one := share(field("a") + wall)
	require.NotEmpty(t, one)
	assert.NotEqual(t, "0 %\n", one)
	assert.Equal(t, one, share(field("a")+","+field("b")+wall))
}
