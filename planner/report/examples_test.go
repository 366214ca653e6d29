package report

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/check"
)

// Every rule has one small example in testdata/rules. The comment at its head says what it shows and from which source; bad.geojson
// makes the rule speak as `want` says, good.geojson keeps it silent, and every fix offered is applied and must hold. Files with a
// number (bad2, good2, want2) are further cases: bounds, and rule sets that differ.

const rulesDir = "../../testdata/rules"

func TestEveryRuleHasAnExample(t *testing.T) {
	for _, r := range check.Rules() {
		_, err := os.Stat(filepath.Join(rulesDir, r.ID+".txtar"))
		assert.NoError(t, err, "rule %s has no example", r.ID)
	}
	files, err := filepath.Glob(filepath.Join(rulesDir, "*.txtar"))
	require.NoError(t, err)
	for _, f := range files {
		id := strings.TrimSuffix(filepath.Base(f), ".txtar")
		assert.NotNil(t, check.Find(id), "%s is an example of no rule", f)
	}
}

func TestRuleExamples(t *testing.T) {
	engine, err := NewEngine()
	require.NoError(t, err)
	for _, rule := range check.Rules() {
		t.Run(rule.ID, func(t *testing.T) {
			archive, err := txtar.ParseFile(filepath.Join(rulesDir, rule.ID+".txtar"))
			require.NoError(t, err)
			require.GreaterOrEqual(t, len(strings.TrimSpace(string(archive.Comment))), 40, "the head says what it shows, why, and the source")
			seen := map[string]bool{}
			for _, f := range archive.Files {
				seen[f.Name] = true
			}
			for _, f := range archive.Files {
				name, n, isPlan := caseOf(f.Name)
				switch {
				case isPlan && name == "bad":
					require.True(t, seen["want"+n], "%s has no want%s", f.Name, n)
					speaks(t, engine, rule.ID, f.Data, fileOf(archive, "want"+n))
				case isPlan && name == "good":
					for _, got := range build(t, engine, f.Data).Findings {
						assert.NotEqual(t, rule.ID, got.Rule, "%s: the rule is not silent: %s", f.Name, got.Message)
					}
				case isPlan:
					t.Errorf("%s is neither bad nor good", f.Name)
				}
			}
			assert.True(t, seen["bad.geojson"] && seen["good.geojson"], "bad.geojson and good.geojson are there")
		})
	}
}

// caseOf splits "bad2.geojson" into "bad", "2", true.
func caseOf(name string) (base, number string, isPlan bool) {
	base, isPlan = strings.CutSuffix(name, ".geojson")
	trimmed := strings.TrimRight(base, "0123456789")
	return trimmed, base[len(trimmed):], isPlan
}

func fileOf(a *txtar.Archive, name string) string {
	for _, f := range a.Files {
		if f.Name == name {
			return string(f.Data)
		}
	}
	return ""
}

func build(t *testing.T, e *Engine, data []byte) *Report {
	t.Helper()
	r, err := e.Build(context.Background(), data, Options{File: "example"})
	require.NoError(t, err)
	return r
}

// speaks checks the findings of the rule line by line against want, and then every fix.
func speaks(t *testing.T, e *Engine, rule string, plan []byte, want string) {
	t.Helper()
	r := build(t, e, plan)
	var got []planner.Finding
	for _, f := range r.Findings {
		if f.Rule == rule {
			got = append(got, f)
		}
	}
	var lines []string
	for _, l := range strings.Split(strings.TrimSpace(want), "\n") {
		if l = strings.TrimSpace(l); l != "" && !strings.HasPrefix(l, "#") {
			lines = append(lines, l)
		}
	}
	require.Len(t, got, len(lines), "findings: %s", sayAll(got))
	used := make([]bool, len(got))
	for _, l := range lines {
		found := false
		for i, f := range got {
			if !used[i] && matches(f, l) {
				used[i], found = true, true
				break
			}
		}
		assert.True(t, found, "nothing like %q among:\n%s", l, sayAll(got))
	}
	for _, f := range got {
		assert.NotEmpty(t, f.Message)
		assert.NotEmpty(t, f.Source.Text+string(f.Source.Confidence), "a source: %s", f.Message)
		assert.NotEmpty(t, string(f.Source.Confidence), "a confidence: %s", f.Message)
		fixHolds(t, e, r, f)
	}
}

func sayAll(list []planner.Finding) string {
	var b strings.Builder
	for _, f := range list {
		fmt.Fprintf(&b, "  %s;%s;%s;%s;%s;%s\n", f.Severity, strings.Join(f.Features, "+"), number(f.Measured), number(f.Limit), f.Unit, f.Message)
	}
	return b.String()
}

func number(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'g', 6, 64)
}

// matches holds a finding against one line of want: severity;features;measured;limit;unit;phrase. An empty field is not looked at.
func matches(f planner.Finding, line string) bool {
	parts := strings.SplitN(line, ";", 6)
	for len(parts) < 6 {
		parts = append(parts, "")
	}
	near := func(want string, got *float64) bool {
		if want == "" {
			return true
		}
		v, err := strconv.ParseFloat(want, 64)
		return err == nil && got != nil && math.Abs(v-*got) <= 0.005*math.Max(1, math.Abs(v))
	}
	return (parts[0] == "" || parts[0] == string(f.Severity)) &&
		(parts[1] == "" || parts[1] == strings.Join(f.Features, "+")) &&
		near(parts[2], f.Measured) && near(parts[3], f.Limit) &&
		(parts[4] == "" || parts[4] == f.Unit) &&
		strings.Contains(f.Message, strings.TrimSpace(parts[5]))
}

// fixHolds applies a fix as the page would: the finding is gone, and nothing graver than what was there has come.
func fixHolds(t *testing.T, e *Engine, r *Report, f planner.Finding) {
	t.Helper()
	if f.Fix == nil {
		return
	}
	require.NotEmpty(t, f.Fix.Say)
	next, undo, err := r.Plan.Apply(planner.Edit{Note: f.Fix.Say, Put: f.Fix.Put, Delete: f.Fix.Delete})
	require.NoError(t, err, "the fix of %q applies", f.Message)
	after, err := e.Of(next, Options{File: "example"})
	require.NoError(t, err)
	require.NoError(t, after.SetOut(context.Background()))
	require.NoError(t, after.Check(context.Background()))
	stops := map[string]bool{}
	for _, was := range r.Findings {
		if was.Severity == planner.Stop {
			stops[was.Key] = true
		}
	}
	for _, now := range after.Findings {
		assert.NotEqual(t, f.Key, now.Key, "the fix %q does not mend %q: %s", f.Fix.Say, f.Message, now.Message)
		assert.False(t, now.Severity == planner.Stop && !stops[now.Key], "the fix %q brings a stop: %s", f.Fix.Say, now.Message)
	}
	back, _, err := next.Apply(undo)
	require.NoError(t, err)
	var a, b strings.Builder
	require.NoError(t, r.Plan.Write(&a))
	require.NoError(t, back.Write(&b))
	assert.JSONEq(t, a.String(), b.String(), "the fix %q is taken back whole", f.Fix.Say)
	for _, put := range f.Fix.Put {
		assert.True(t, json.Valid(put))
	}
}
