package check

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

// report says what a kind lacks: a partner, a certain partner, or only a better crop.
func (w *pollinator) report(l *lack) {
	k := l.kind
	severity := planner.Note
	if slices.ContainsFunc(l.plants, func(i int) bool { return w.Shared.Plants[i].Listed }) {
		severity = planner.Warn
	}
	who, have := w.who(k, l.plants), verb(len(l.plants) > 1, "has", "have")
	within := "within " + metres(l.limit.Value)
	place := "kind:" + k.Species.ID + ":" + k.name()
	say, src := "", together(l.limit.Source, k.needFrom)
	switch {
	case k.unlisted != "":
		severity, place = planner.Note, place+":unknown"
		say = fmt.Sprintf("%s: the cultivar is not in the catalogue, so what pollinates it is not known. Ask the nursery for its flowering group and name a partner %s.", who, within)
	case k.need == species.NeedUnknown:
		severity, place = planner.Note, place+":unknown"
		say = fmt.Sprintf("%s: whether it needs a partner is not known, so it was not looked at.", who)
		src = planner.Source{Text: "not known", Confidence: planner.Derived}
	case k.need == species.NeedBetter:
		say = fmt.Sprintf("%s %s no partner %s: it crops by itself, but lightly.%s%s", who, have, within, w.beyond(l), w.advice(k, within))
		if k.Cultivar == nil {
			severity = planner.Note
			say = fmt.Sprintf("%s: it crops by itself, and better with a second cultivar %s. Name the cultivars, or plant two.", who, within)
		}
	case k.Cultivar == nil:
		severity, place = planner.Note, place+":unknown"
		say = fmt.Sprintf("%s: no cultivar is named, so whether a partner stands %s is not known.%s Name the cultivars.", who, within, w.beyond(l))
	case l.doubt.Setting == species.SetUnknown:
		severity, place = planner.Note, place+":unknown"
		say = fmt.Sprintf("%s %s no certain partner %s: %s.%s", who, have, within, l.doubt.Why, w.advice(k, within))
	case l.doubt.Setting == species.SetsBadly:
		say = fmt.Sprintf("%s %s only a poor partner %s: %s.%s%s", who, have, within, l.doubt.Why, w.beyond(l), w.advice(k, within))
		src = together(l.limit.Source, l.doubt.Source)
	default:
		say = fmt.Sprintf("%s %s no partner %s and will set little or no fruit.%s%s%s%s", who, have, within, w.refusal(l), w.beyond(l), w.triploid(k), w.advice(k, within))
	}
	f := w.stateOf(k, severity, place, l.plants, say, src)
	f.Limit, f.Unit, f.Worse = planner.Figure(l.limit.Value), "m", "more"
	if !math.IsInf(l.nearest, 1) {
		f.Measured = planner.Figure(l.nearest)
	}
	w.Report(f)
}

// together names two sources, the one that already names the other once.
func together(a, b planner.Source) planner.Source {
	if a.Text != "" && strings.Contains(b.Text, a.Text) && !a.Confidence.Weaker(b.Confidence) {
		return b
	}
	return weaker(a, b)
}

// beyond tells of a partner that stands too far away.
func (w *pollinator) beyond(l *lack) string {
	if l.donor == nil || math.IsInf(l.nearest, 1) {
		return ""
	}
	if far, ok := w.Limit("partner_beyond_m"); ok && !far.Holds(l.nearest) {
		return fmt.Sprintf(" %s would serve it, but stands %s away, further than the %s that bees can be hoped to bring it.", upperFirst(l.donor.name()), metres(l.nearest), metres(far.Value))
	}
	return fmt.Sprintf(" %s would serve it, but stands %s away.", upperFirst(l.donor.name()), metresBeside(toMillimetres(l.nearest), l.limit.Value))
}

// refusal says why others of its pool do not serve, up to three of them.
func (w *pollinator) refusal(l *lack) string {
	if len(l.refused) == 0 {
		return ""
	}
	some := l.refused[:min(3, len(l.refused))]
	return " Of those that are there: " + strings.Join(some, "; ") + "."
}

// triploid says what a kind without useful pollen of its own needs.
func (w *pollinator) triploid(k *fruitKind) string {
	if k.Cultivar == nil || k.Cultivar.Fertility.V != "triploid" {
		return ""
	}
	n := "2"
	if l, ok := w.Limit("triploid_partners_least"); ok {
		n = figure(l.Value)
	}
	return fmt.Sprintf(" %s is a triploid: it needs %s other kinds, not triploid, that flower with it and with each other, or one that is self-fertile.", k.name(), n)
}

// advice names what would pollinate a kind, best first.
func (w *pollinator) advice(k *fruitKind, within string) string {
	names := w.partners(k, 5)
	if len(names) == 0 {
		return " No partner is known in the catalogue: ask the nursery."
	}
	return fmt.Sprintf(" Plant %s one of: %s.", within, listWords(names, "or"))
}

// partners are the cultivars whose pollen works on a kind, best first: full before half compatible, then those that crop without
// more ado (self-fertile, or served by it in turn), then the same species, the nearer flowering group, the firmer source, the name.
func (w *pollinator) partners(k *fruitKind, most int) []string {
	if k.Cultivar == nil {
		return nil
	}
	type candidate struct {
		name  string
		score int
	}
	var list []candidate
	for _, c := range w.Catalogue.Cultivars(k.Species) {
		donor := species.Fruiting{Species: c.Species, Cultivar: c}
		x := species.Compatible(k.Fruiting, donor)
		if !x.Setting.Works() {
			continue
		}
		score := 0
		if x.Setting == species.SetsHalf {
			score += 100
		}
		switch need, _ := species.NeedOf(donor); need {
		case species.NeedNone:
		case species.NeedBetter:
			score += 10
		default:
			if species.Compatible(donor, k.Fruiting).Setting.Works() {
				score += 10
			} else {
				score += 40
			}
		}
		if c.Species != k.Species {
			score += 20
		}
		score += 5 * groupsApart(k.Cultivar.Group, c.Group)
		if x.Source.Confidence.Weaker(planner.Published) {
			score++
		}
		list = append(list, candidate{c.Name, score})
	}
	slices.SortStableFunc(list, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.score, b.score), cmp.Compare(a.name, b.name))
	})
	var out []string
	for _, c := range list[:min(most, len(list))] {
		out = append(out, c.name)
	}
	switch k.Species.Pool {
	case "apple":
		out = append(out, "a crab apple")
	case "hazel":
		out = append(out, "wild hazel in the hedge")
	}
	return out
}

// groupsApart is how many flowering groups lie between two cultivars, 0 where they share one; 1 where a group is not known.
func groupsApart(a, b species.Groups) int {
	if !a.Known || !b.Known || a.Scale != b.Scale {
		return 1
	}
	return max(0, a.From-b.To, b.From-a.To)
}
