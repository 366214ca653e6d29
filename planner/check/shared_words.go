package check

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
)

// holds reports whether a length on the plan satisfies a limit in metres. A length within the tolerance of the limit counts as
// exactly on it, so that coordinates rounded by another editor decide nothing.
func holds(l rules.Limit, length float64) bool {
	if math.Abs(length-l.Value) <= planner.Tolerance {
		length = l.Value
	}
	return l.Holds(length)
}

// metres writes a length for a message: one decimal, two where it is small.
func metres(v float64) string {
	if math.Abs(v) < 0.995 && math.Abs(v) > 0.005 {
		return fmt.Sprintf("%.2f m", v)
	}
	return fmt.Sprintf("%.1f m", v)
}

// metresBeside writes a length so that it does not read the same as the limit it misses.
func metresBeside(v, limit float64) string {
	s := metres(v)
	if s == metres(limit) && math.Abs(v-limit) > 1e-9 {
		return fmt.Sprintf("%.3f m", v)
	}
	return s
}

// exactly writes a limit: to the centimetre, with no more decimals than it needs.
func exactly(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) + " m" }

// figure writes a number with no more decimals than it needs.
func figure(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

// quoted is what a message calls a feature.
func quoted(f *planner.Feature) string { return "'" + f.Label() + "'" }

// whereIs says where in its feature a plant stands: "at 31.0 m" along a line, "in row 3, number 5" of a block, "" for a single one.
func whereIs(p *setout.Plant) string {
	switch p.Use {
	case setout.UseOrchard, setout.UseGrove:
		return fmt.Sprintf("in row %d, number %d", p.Row+1, p.Number+1)
	case setout.UsePlant:
		return ""
	}
	return fmt.Sprintf("at %.1f m", p.Chainage)
}

// countOf says how many, and what: "1 plant", "34 plants".
func countOf(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + one + "s"
}

// listWords joins words as a sentence does: "a", "a and b", "a, b and c".
func listWords(words []string, and string) string {
	switch n := len(words); {
	case n == 0:
		return ""
	case n == 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " " + and + " " + words[n-1]
	}
}

// upperFirst starts a sentence.
func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// A tally gathers what a rule says of many plants of one feature beside one thing.
type tally struct {
	feature *planner.Feature
	other   *planner.Feature // nil where there is none
	count   int
	places  []orb.Point
	plant   *setout.Plant // the worst
	gap     float64       // by how much the worst misses; the more the worse
	limit   rules.Limit   // that it misses
	need    float64       // what it would take, in metres
	dist    float64       // what it has
	at      orb.Point     // of the worst
	data    any           // whatever else the rule wants to say of the worst
}

type tallyKey struct {
	feature, other *planner.Feature
	tag            string
}

// tallies keeps tallies in the order in which their first plant came, at most mostTallies: far more than are ever reported.
type tallies struct {
	list []*tally
	by   map[tallyKey]*tally
}

const mostTallies = 5000

// add counts a plant that misses by gap, and reports whether it is the worst of its tally so far: the caller then fills in the rest.
func (t *tallies) add(p *setout.Plant, other *planner.Feature, tag string, gap float64) (*tally, bool) {
	return t.addKey(tallyKey{p.Feature, other, tag}, p, other, gap)
}

// addTo is add for a tally over the plants of all features beside one thing.
func (t *tallies) addTo(p *setout.Plant, other *planner.Feature, gap float64) (*tally, bool) {
	return t.addKey(tallyKey{other: other}, p, other, gap)
}

func (t *tallies) addKey(k tallyKey, p *setout.Plant, other *planner.Feature, gap float64) (*tally, bool) {
	if t.by == nil {
		t.by = map[tallyKey]*tally{}
	}
	x := t.by[k]
	if x == nil && len(t.list) >= mostTallies {
		return &tally{}, false
	}
	if x == nil {
		x = &tally{feature: p.Feature, other: other}
		t.by[k] = x
		t.list = append(t.list, x)
	}
	x.count++
	if len(x.places) < MostPlaces {
		x.places = append(x.places, p.At)
	}
	if x.count == 1 || gap > x.gap+1e-9 {
		x.plant, x.gap, x.at = p, gap, p.At
		return x, true
	}
	return x, false
}

// finding starts the finding of a tally: features, place, figures.
func (t *tally) finding(severity planner.Severity) planner.Finding {
	f := planner.Finding{Severity: severity, Features: []string{t.feature.ID}, At: t.at, HasAt: true, Count: t.count,
		Measured: planner.Figure(t.dist), Limit: planner.Figure(t.need), Unit: "m", Worse: "less", Source: t.limit.Source}
	if t.other != nil {
		f.Features = append(f.Features, t.other.ID)
	}
	if t.count > 1 {
		f.Places = t.places
	}
	return f
}

// subject begins the sentence of a tally: "Alder 'corner'" for a single plant, "34 plants of 'west-belt'" for many. The second
// result is the verb that follows in that number.
func (t *tally) subject(verb, verbs string) string {
	if t.plant.Use == setout.UsePlant {
		return upperFirst(plantName(t.plant)) + " " + quoted(t.feature) + " " + verb
	}
	if t.count == 1 {
		return "1 plant of " + quoted(t.feature) + " (" + plantName(t.plant) + " " + whereIs(t.plant) + ") " + verb
	}
	return fmt.Sprintf("%d plants of %s %s", t.count, quoted(t.feature), verbs)
}

// stands is the main clause of a tally: "Alder 'corner' stands 3.2 m from the sewer 'main'", or for many "34 plants of 'west-belt'
// stand near the sewer 'main', the nearest 3.2 m from it (osier at 31.0 m)".
func (t *tally) stands(what string) string {
	if t.count == 1 {
		return t.subject("stands", "stand") + " " + metresBeside(t.dist, t.need) + " from " + what
	}
	return t.subject("stands", "stand") + " near " + what + ", the nearest " + metresBeside(t.dist, t.need) + " from it (" + plantName(t.plant) + spaced(whereIs(t.plant)) + ")"
}

// worstOf is the distance of a tally, and of many the nearest and which: "the nearest 3.2 m (osier at 31.0 m)".
func (t *tally) worstOf() string {
	if t.count == 1 {
		return metresBeside(t.dist, t.need)
	}
	return "the nearest " + metresBeside(t.dist, t.need) + " (" + plantName(t.plant) + spaced(whereIs(t.plant)) + ")"
}

// limitNeeded is how far a plant has to stand off to satisfy a limit that it misses.
func limitNeeded(l rules.Limit) string {
	if l.Comparison == ">" {
		return "more than " + exactly(l.Value)
	}
	return exactly(l.Value)
}

// weak reports that a figure is recalled or common practice: such a figure never stops, wires and faults of the drawing apart.
func weak(s planner.Source) bool {
	return s.Confidence == planner.FromMemory || s.Confidence == planner.CommonPractice
}

// distToLine is the distance of a point from a line.
func distToLine(l orb.LineString, p orb.Point) float64 {
	best := math.Inf(1)
	for i := 1; i < len(l); i++ {
		if d, _ := geo.DistToSegment(p, l[i-1], l[i]); d < best {
			best = d
		}
	}
	if len(l) == 1 {
		best = geo.Dist(l[0], p)
	}
	return best
}
