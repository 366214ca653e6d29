package check

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// reporting is a rule that reports what it is told to.
func reporting(id string, found ...planner.Finding) *Rule {
	return &Rule{ID: id, Title: "test", Severity: planner.Stop, Cautions: []string{"of the rule"}, Run: func(p *Pass) {
		for _, f := range found {
			p.Report(f)
		}
	}}
}

func runAll(t *testing.T, accepted []planner.Accepted, list ...*Rule) []planner.Finding {
	t.Helper()
	in := inputOf(t, map[string]any{})
	in.Plan.Holding.Accepted = accepted
	found, err := Run(context.Background(), in, list)
	require.NoError(t, err)
	return found
}

func TestFindingsComeBySeverityRuleFeatureAndPlace(t *testing.T) {
	at := func(sev planner.Severity, id, place string) planner.Finding {
		return planner.Finding{Severity: sev, Features: []string{id}, Place: place, Message: "m", Source: planner.Source{Confidence: planner.Derived}}
	}
	found := runAll(t, nil,
		reporting("b.rule", at(planner.Note, "x", ""), at(planner.Warn, "y", "31"), at(planner.Warn, "y", "9"), at(planner.Warn, "a", "")),
		reporting("a.rule", at(planner.Warn, "z", ""), at(planner.Stop, "z", "")))
	var keys []string
	for _, f := range found {
		keys = append(keys, string(f.Severity)+" "+f.Key)
		assert.Equal(t, 1, f.Count)
		assert.Equal(t, []string{"of the rule"}, f.Cautions)
	}
	assert.Equal(t, []string{"stop a.rule:z", "warn a.rule:z-2", "warn b.rule:a", "warn b.rule:y@9", "warn b.rule:y@31", "note b.rule:x"}, keys)
}

func TestAKeyNamesTheFeaturesInOrderOfText(t *testing.T) {
	a := planner.Finding{Rule: "spacing.crowns-meet", Features: []string{"oak", "hedge"}, Place: "12"}
	b := planner.Finding{Rule: "spacing.crowns-meet", Features: []string{"hedge", "oak"}, Place: "12"}
	assert.Equal(t, Key(a), Key(b))
	assert.Equal(t, "spacing.crowns-meet:hedge+oak@12", Key(a))
}

func TestAtMost200FindingsOfARuleAndThenHowManyMore(t *testing.T) {
	var many []planner.Finding
	for i := range 250 {
		many = append(many, planner.Finding{Severity: planner.Warn, Features: []string{fmt.Sprintf("f%03d", i)}, Message: "m"})
	}
	found := runAll(t, nil, reporting("a.rule", many...), reporting("b.rule", many[:3]...))
	require.Len(t, found, 201+3)
	assert.Contains(t, found[200].Message, "50 more")
	assert.Equal(t, 50, found[200].Count)
}

func TestAcceptanceHoldsAndLapses(t *testing.T) {
	source := planner.Source{Text: "a standard, 2020", Confidence: planner.Published}
	gap := func(measured, limit float64) planner.Finding {
		return planner.Finding{Severity: planner.Warn, Features: []string{"hedge"}, Place: "31", Message: "A gap.", Measured: planner.Figure(measured), Limit: planner.Figure(limit), Unit: "m", Source: source}
	}
	given := planner.Accepted{Key: "hedge.gap:hedge@31", Reason: "the badgers use it", Measured: planner.Figure(6), Limit: planner.Figure(5), Source: source.String()}
	less := gap(6, 5)
	less.Worse = "less"
	shrunk := gap(5.5, 5)
	shrunk.Worse = "less"
	other := gap(6, 5)
	other.Source.Text = "another standard, 2024"
	for _, c := range []struct {
		say    string
		f      planner.Finding
		lapsed string
	}{
		{"the same", gap(6, 5), ""},
		{"within a millimetre", gap(6.0005, 5), ""},
		{"it has become better", gap(5.2, 5), ""},
		{"it has become worse", gap(6.5, 5), "worse"},
		{"where less is worse, the same", less, ""},
		{"where less is worse, it shrank", shrunk, "worse"},
		{"the limit has changed", gap(6, 4), "limit has changed"},
		{"the source has changed", other, "source"},
	} {
		found := runAll(t, []planner.Accepted{given}, reporting("hedge.gap", c.f))
		require.Len(t, found, 1, c.say)
		if c.lapsed == "" {
			require.NotNil(t, found[0].Accepted, c.say)
			assert.Equal(t, given.Reason, found[0].Accepted.Reason, c.say)
			continue
		}
		assert.Nil(t, found[0].Accepted, c.say)
		assert.Contains(t, found[0].Lapsed, c.lapsed, c.say)
		assert.Contains(t, found[0].Message, "the badgers use it", "a lapsed acceptance is said: %s", c.say)
	}
}

func TestAFaultInARuleIsAnErrorAndStopsNothingElse(t *testing.T) {
	in := inputOf(t, map[string]any{})
	broken := &Rule{ID: "broken.rule", Run: func(*Pass) { panic("a slip") }}
	_, err := Run(context.Background(), in, []*Rule{reporting("a.rule"), broken})
	require.ErrorContains(t, err, "broken.rule")
	require.ErrorContains(t, err, "a slip")
}

func TestRulesAreWellFormed(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules() {
		assert.False(t, seen[r.ID], "%s stands twice", r.ID)
		seen[r.ID] = true
		assert.NotEmpty(t, r.Title, r.ID)
		assert.NotEmpty(t, r.Why, r.ID)
		assert.NotNil(t, r.Run, r.ID)
		assert.Contains(t, planner.Severities, r.Severity, r.ID)
	}
	assert.GreaterOrEqual(t, len(seen), 55)
}
