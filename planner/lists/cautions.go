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
	guard, cane, stake, mulch, fence := has(l, "guard"), has(l, "cane"), has(l, "stake"), has(l, "mulch"), has(l, "fence")
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
	out = append(out, laws(kinds)...)
	say(bareRooted(l), planner.CommonPractice, practice,
		"Bare roots die in minutes of sun or wind: keep them bagged until each is planted. Do not plant into frozen or waterlogged ground.")
	say(guard, planner.Published, "Countryside Stewardship (England) BN7, BN11 and TE1",
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

// poisons warns of each species that hurts livestock, by the gravest entry of the list that decides: the first list, and the
// second only where the first says nothing of the species.
func poisons(kinds []*species.Species) []Caution {
	var out []Caution
	for _, s := range kinds {
		first := slices.ContainsFunc(s.Toxic, species.Toxicity.First)
		worst, at := "", species.Toxicity{}
		var hurts []string
		for _, class := range worrying {
			for _, t := range s.Toxic {
				if t.Class != class || first != t.First() || worst != "" && worst != class {
					continue
				}
				if worst == "" {
					worst, at = class, t
				}
				who := t.Stock
				if who == "" {
					who = "all stock"
				}
				if !slices.Contains(hurts, who) {
					hurts = append(hurts, who)
				}
			}
		}
		if worst == "" {
			continue
		}
		part := ""
		if at.Part != "" {
			part = " (" + at.Part + ")"
		}
		out = append(out, Caution{
			Text: fmt.Sprintf("%s is poisonous to %s: %s%s. Plant it out of reach, keep clippings and fallen branches off the field, and call a vet at once if an animal has eaten it.",
				capital(s.Name()), listed(hurts), worst, part),
			Source: at.Source.Text, Confidence: at.Source.Confidence,
		})
	}
	return out
}

// laws repeats what the catalogue says against ordering a species at all.
func laws(kinds []*species.Species) []Caution {
	var out []Caution
	for _, s := range kinds {
		for _, r := range s.Regulated {
			out = append(out, Caution{Text: fmt.Sprintf("%s is regulated in %s: %s. Ask before you order it.", capital(s.Name()), listed(r.Countries), strings.TrimSuffix(r.Text, ".")),
				Source: r.Source.Text, Confidence: r.Source.Confidence})
		}
		if w := s.PlantingAdvice; w.Known && w.V != "" {
			out = append(out, Caution{Text: fmt.Sprintf("%s: %s.", capital(s.Name()), strings.TrimSuffix(w.V, ".")), Source: w.Source.Text, Confidence: w.Source.Confidence})
		}
	}
	return out
}

func capital(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
