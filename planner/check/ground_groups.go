package check

import (
	"fmt"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// A planting is the listed plants of one feature, one species and one use.
type planting struct {
	feature *planner.Feature
	species *species.Species
	use     setout.Use
	plants  []int // into Shared.Plants, by row and number
}

// gatherPlantings gathers what is still to be planted, by feature, then in the order in which the species first stands there. Plants
// that stand there already have shown what they bear, and a name that is unknown or fits several has its own finding.
func (s *Shared) gatherPlantings() []*planting {
	type key struct {
		feature *planner.Feature
		species *species.Species
		use     setout.Use
	}
	by := map[key]*planting{}
	var out []*planting
	for i, p := range s.Plants {
		if !p.Listed || p.Species == nil {
			continue
		}
		k := key{p.Feature, p.Species, p.Use}
		g := by[k]
		if g == nil {
			g = &planting{feature: p.Feature, species: p.Species, use: p.Use}
			by[k] = g
			out = append(out, g)
		}
		g.plants = append(g.plants, i)
	}
	return out
}

// place tells the plantings of a feature apart in keys: the species, and the use where it is not the feature's own.
func (g *planting) place(word string) string {
	s := g.species.ID
	if g.use == setout.UseFill || g.use == setout.UseTree {
		s += "-" + string(g.use)
	}
	if word != "" {
		s += "/" + word
	}
	return s
}

// finding starts a finding on some plants of a planting.
func (s *Shared) groundFinding(g *planting, which []int, severity planner.Severity) planner.Finding {
	f := planner.Finding{Severity: severity, Features: []string{g.feature.ID}, Count: len(which), Places: s.places(which)}
	if g.use != setout.UsePlant {
		f.Measured, f.Unit = planner.Figure(float64(len(which))), "plants"
	}
	return At(f, s.At[which[0]])
}

// places are up to MostPlaces of the plants' places; none for a single plant.
func (s *Shared) places(which []int) []orb.Point {
	if len(which) < 2 {
		return nil
	}
	var out []orb.Point
	for _, i := range which[:min(len(which), MostPlaces)] {
		out = append(out, s.At[i])
	}
	return out
}

// who begins a sentence about some plants of a planting: "Beech 'corner-beech'" for a single tree, "12 of 58 holly of 'lane-hedge'"
// where only some are meant, "58 holly of 'lane-hedge'" for all. many tells which form of the verb follows.
func (s *Shared) who(g *planting, which []int) (text string, many bool) {
	name := g.species.Name()
	switch {
	case g.use == setout.UsePlant:
		return upperFirst(name) + " " + quoted(g.feature), false
	case len(which) == 1:
		return fmt.Sprintf("1 %s%s of %s (%s)", name, useText(g.use), quoted(g.feature), whereIs(s.Plants[which[0]])), false
	case len(which) < len(g.plants):
		return fmt.Sprintf("%d of %d %s plants%s of %s", len(which), len(g.plants), name, useText(g.use), quoted(g.feature)), true
	}
	return fmt.Sprintf("%d %s plants%s of %s", len(which), name, useText(g.use), quoted(g.feature)), true
}

func useText(u setout.Use) string {
	switch u {
	case setout.UseFill:
		return " in the gaps"
	case setout.UseTree:
		return " among the hedgerow trees"
	}
	return ""
}

// plantsOf begins a sentence about some plants of one feature, whatever their species: "34 plants of 'west-belt' stand", "Beech
// 'corner-beech' stands".
func (s *Shared) plantsOf(f *planner.Feature, which []int) string {
	if p := s.Plants[which[0]]; p.Use == setout.UsePlant {
		return upperFirst(plantName(p)) + " " + quoted(f) + " stands"
	}
	return fmt.Sprintf("%s of %s %s", countOf(len(which), "plant"), quoted(f), verb(len(which) > 1, "stands", "stand"))
}

// notStated is the source of a finding that rests on what the plan leaves open.
func notStated() planner.Source {
	return planner.Source{Text: "the plan does not state it", Confidence: planner.User}
}

// noFigure is the source of a finding that rests on there being no figure in the catalogue or the rule set.
func noFigure() planner.Source {
	return planner.Source{Text: "no figure in the catalogue or the rule set", Confidence: planner.Derived}
}

// verb is the verb in the number that fits.
func verb(many bool, one, several string) string {
	if many {
		return several
	}
	return one
}

// catalogueUse is what the catalogue calls a use.
func catalogueUse(u setout.Use) species.Use {
	switch u {
	case setout.UseHedge, setout.UseFill:
		return species.Hedge
	case setout.UseWindbreak:
		return species.Windbreak
	case setout.UseOrchard:
		return species.Orchard
	case setout.UseGrove:
		return species.Grove
	case setout.UseRow:
		return species.Row
	}
	return species.Single
}

// groundText names the ground at a place: "in 'bottom'".
func groundText(u site.Under) string {
	switch {
	case u.Patch != nil:
		return "in " + quoted(u.Patch)
	case u.Parcel != nil:
		return "in " + quoted(u.Parcel)
	}
	return "outside every field"
}
