package lists

import (
	"fmt"
	"slices"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/species"
)

// A Caution is something that can hurt, or go wrong, in the work that a list leads to.
type Caution struct {
	Text       string             `json:"text"`
	Source     string             `json:"source"`
	Confidence planner.Confidence `json:"confidence"`
}

// cautions are those that this list calls for: what can hurt a person first, then stock, then the plants.
func cautions(l *List, m *maker) []Caution {
	out := []Caution{}
	say := func(when bool, conf planner.Confidence, source, text string) {
		if when {
			out = append(out, Caution{Text: text, Source: source, Confidence: conf})
		}
	}
	kinds := m.species()
	cane, stake, mulch, fence := has(l, "cane"), has(l, "stake"), has(l, "mulch"), has(l, "fence")
	practice := string(planner.CommonPractice)
	say(slices.ContainsFunc(kinds, func(s *species.Species) bool { return s.Thorny.Yes() }), planner.Published,
		"Sharma and Meredith, Emerg Med J 2004;21:392",
		"Thorns: wear gloves and eye protection. A blackthorn point left in a joint or tendon sheath flares up late and antibiotics do not cure it: see a doctor if a joint swells.")
	say(stake || fence, planner.FromMemory, "HSE HSG47 (buried services) and GS6 (overhead wires)",
		"Before you drive stakes or posts, find out where pipes and cables run, and ask the owner of any wires before you work within 10 m of them.")
	say(cane, planner.CommonPractice, practice, "Canes are at the height of eyes when you bend down: cap them or mark them.")
	say(l.TotalPlants > 0, planner.CommonPractice, practice,
		"Wet gloves and cold hands make slow fingers: take dry gloves, and stop before you shake.")
	out = append(out, poisons(kinds)...)
	out = append(out, laws(kinds, l.RuleSet)...)
	say(bareRooted(l), planner.CommonPractice, practice,
		"Bare roots die in minutes of sun or wind: keep them bagged until each is planted. Do not plant into frozen or waterlogged ground.")
	say(cane, planner.Published, "Countryside Stewardship (England) BN7, BN11 and TE1",
		"Take guards, canes and ties off once the plants are established, and gather them up; let ties out every year until then.")
	say(mulch, planner.Published, "RHS, Woody waste: using as a mulch; RHS wording on weed-free circles (read in copies)",
		"Keep chip 10 cm clear of the stems. Lay it on top and never dig fresh chip in: it robs the roots of nitrogen. Young trees do best with aged chip.")
	say(spares(l), planner.CommonPractice, practice,
		fmt.Sprintf("Spares of %s %% make up for losses in the first year; wet clay loses more (15 to 20 %%). Heel them in, and replace failures in the next planting season.", figure(l.SparePercent, 1)))
	return out
}

func has(l *List, item string) bool {
	return slices.ContainsFunc(l.Sundries, func(s Sundry) bool { return s.Item == item })
}

func bareRooted(l *List) bool {
	return slices.ContainsFunc(l.Order, func(o Order) bool { return o.Class == BareRoot || o.Class == Grafted || o.Class == Cuttings })
}

func spares(l *List) bool {
	return slices.ContainsFunc(l.Order, func(o Order) bool { return o.Spare > 0 })
}

// species are the known species on the list, by botanical name.
func (m *maker) species() []*species.Species {
	out := make([]*species.Species, 0, len(m.kinds))
	for s := range m.kinds {
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b *species.Species) int { return strings.Compare(a.Botanical, b.Botanical) })
	return out
}

// worrying are the classes of poison that a planting list warns of, gravest first.
var worrying = []string{"extreme", "high", "severe", "medium-high"}

// poison is what a list of plants says of one species at its worst.
type poison struct {
	names, hurts []string
	class, part  string
	source       planner.Source
}

// poisons warns of the species that hurt livestock, those of which the same is said together, the gravest first.
func poisons(kinds []*species.Species) []Caution {
	var found []poison
	for _, s := range kinds {
		p, ok := worst(s)
		if !ok {
			continue
		}
		i := slices.IndexFunc(found, func(q poison) bool {
			return q.class == p.class && q.part == p.part && q.source == p.source && slices.Equal(q.hurts, p.hurts)
		})
		if i >= 0 {
			found[i].names = append(found[i].names, p.names...)
			continue
		}
		found = append(found, p)
	}
	slices.SortStableFunc(found, func(a, b poison) int { return slices.Index(worrying, a.class) - slices.Index(worrying, b.class) })
	var out []Caution
	for _, p := range found {
		part := ""
		if p.part != "" {
			part = " (" + p.part + ")"
		}
		is := "is"
		if len(p.names) > 1 {
			is = "are"
		}
		out = append(out, Caution{
			Text: fmt.Sprintf("%s %s poisonous to %s, danger %s%s: plant out of their reach, keep clippings and fallen branches off the field, and call a vet at once if an animal has eaten any.",
				capital(listed(p.names)), is, listed(p.hurts), p.class, part),
			Source: p.source.Text, Confidence: p.source.Confidence,
		})
	}
	return out
}

// worst is the gravest entry of the list of poisonous plants that decides for a species: the first list, and the second only
// where the first says nothing of it. It is false where none is worrying.
func worst(s *species.Species) (poison, bool) {
	first := slices.ContainsFunc(s.Toxic, species.Toxicity.First)
	for _, class := range worrying {
		p := poison{names: []string{s.Name()}, class: class}
		for _, t := range s.Toxic {
			if t.Class != class || first != t.First() {
				continue
			}
			who := t.Stock
			if who == "" {
				who = "all stock"
			}
			if len(p.hurts) == 0 {
				p.part, p.source = t.Part, t.Source
			}
			if !slices.Contains(p.hurts, who) {
				p.hurts = append(p.hurts, who)
			}
		}
		if len(p.hurts) > 0 {
			return p, true
		}
	}
	return poison{}, false
}

// laws repeats what the catalogue says against ordering a species at all: laws of the country of the rule set (of every country
// where the rule set is of none), and advice not to plant it.
func laws(kinds []*species.Species, ruleSet string) []Caution {
	var out []Caution
	for _, s := range kinds {
		for _, r := range s.Regulated {
			if slices.Contains(countries, ruleSet) && !slices.Contains(r.Countries, ruleSet) {
				continue
			}
			out = append(out, Caution{Text: fmt.Sprintf("%s is regulated in %s: %s. Ask before you order it.", capital(s.Name()), listed(r.Countries), strings.TrimSuffix(r.Text, ".")),
				Source: r.Source.Text, Confidence: r.Source.Confidence})
		}
		if w := s.PlantingAdvice; w.Known && w.V != "" {
			out = append(out, Caution{Text: fmt.Sprintf("%s: %s.", capital(s.Name()), strings.TrimSuffix(w.V, ".")), Source: w.Source.Text, Confidence: w.Source.Confidence})
		}
	}
	return out
}

// countries are the rule sets that are a country's.
var countries = []string{"england", "ireland", "scotland", "northern-ireland", "wales"}

func capital(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
