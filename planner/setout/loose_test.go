package setout_test

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// A gap belongs to the standing hedge within 3 m (the vocabulary of the plan file); whatever opens none is told, so that no gap
// goes missing without a word.
func TestLooseGaps(t *testing.T) {
	for _, row := range []struct {
		what   string
		status planner.Status
		gap    *planner.Feature
		loose  bool
	}{
		{"on the hedge", planner.Existing, gapLine("gap", along(30, 34)), false},
		{"a point on the hedge", planner.Existing, gapPoint("gap", orb.Point{30, 0}, 3), false},
		{"2.9 m off", planner.Existing, gapPoint("gap", orb.Point{30, 2.9}, 3), false},
		{"10 m off", planner.Existing, gapLine("gap", orb.LineString{{30, 10}, {34, 10}}), true},
		{"a point 10 m off", planner.Existing, gapPoint("gap", orb.Point{30, 10}, 3), true},
		{"drawn across the hedge", planner.Existing, gapLine("gap", orb.LineString{{30, -4}, {30.5, 4}}), true},
		{"on a new hedge", planner.Planned, gapLine("gap", along(30, 34)), true},
	} {
		p := plan(t, hedge("h", row.status, planner.Hedge{Rows: 2}, along(0, 100)), row.gap)
		got := setout.LooseGaps(p, set(t, p, "general"))
		if row.loose {
			assert.Equal(t, []*planner.Feature{row.gap}, got, row.what)
		} else {
			assert.Empty(t, got, row.what)
		}
	}
}

// Two gaps that touch are one opening under the first one's name; neither is loose.
func TestJoinedGapsAreNotLoose(t *testing.T) {
	p := plan(t, existing("h", planner.Hedge{}, along(0, 100)), gapLine("a", along(30, 34)), gapLine("b", along(34, 60)))
	out := set(t, p, "general")
	assert.Len(t, out.Of("h").Line.Openings, 1)
	assert.Empty(t, setout.LooseGaps(p, out))
}

// A gateway over the start of a line opens it from 0, not from a negative zero, which would print as -0.0.
func TestOpeningsStartAtZero(t *testing.T) {
	p := plan(t, hedge("h", planner.Planned, planner.Hedge{Rows: 2}, along(0, 0.5)), gateway("g", orb.Point{0.2, 0}, 4))
	open := set(t, p, "general").Of("h").Line.Openings
	if assert.Len(t, open, 1) {
		assert.False(t, math.Signbit(open[0].FromM))
	}
}

// Numbers agree with their nouns in what is said of too few or too many trees.
func TestOneTreeIsSingular(t *testing.T) {
	for _, row := range []struct {
		count int
		say   string
	}{{1, "names 1 tree and has room for 4: 3 places stay empty."}, {3, "names 3 trees and has room for 4: 1 place stays empty."}, {9, "is to hold 9 trees, but there is room for 4"}} {
		remarks := set(t, plan(t, orchard(20, 20, 10, apple("Discovery", row.count, 0))), "general").Of("o").Remarks
		if assert.Len(t, remarks, 1) {
			assert.Contains(t, remarks[0].Message, row.say)
		}
	}
}
