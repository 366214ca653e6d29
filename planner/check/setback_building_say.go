package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

// report writes the findings of each sort in turn.
func (b *builder) report() {
	for _, t := range b.roots.list {
		z := t.data.(zone)
		f := t.finding(planner.Warn)
		f.Place, f.Source = "roots", z.source()
		f.Message = fmt.Sprintf("%s, inside the zone of influence of %s on clay that shrinks: %s; distance over height is %.2f.%s Plant further off, or choose a smaller kind or one of low demand, such as hazel, holly or hornbeam.",
			t.stands(quoted(t.other)), exactly(t.need), z.words(), t.dist/z.heightM, z.insurerWords())
		if t.plant.Use == setout.UsePlant {
			f.Fix = b.instead(t.plant, func(s *species.Species) bool {
				other := b.zoneFor(s, 0)
				return other.known && other.metres <= t.dist
			})
		}
		b.Report(f)
	}
	for _, t := range b.maybe.list {
		z := t.data.(zone)
		f := t.finding(planner.Note)
		f.Place, f.Source = "roots", z.source()
		f.Message = fmt.Sprintf("%s. Whether the ground there shrinks as it dries is not known; if it is shrinkable clay, that is inside the zone of influence of %s (%s).%s Look at the soil, and set `shrinkable` to yes or no.",
			t.stands(quoted(t.other)), exactly(t.need), z.words(), z.insurerWords())
		b.Report(f)
	}
	for _, t := range b.insurers.list {
		z := t.data.(zone)
		f := t.finding(planner.Note)
		f.Place, f.Source = "insurers", z.insurer.Source
		f.Message = fmt.Sprintf("%s. That is outside the builders' zone of influence of %s (%s), but inside the %s that insurers publish. Ask your insurer.",
			t.stands(quoted(t.other)), exactly(z.metres), z.words(), exactly(z.insurer.Value))
		b.Report(f)
	}
	for _, t := range b.wind.list {
		f := t.finding(planner.Warn)
		f.Place = "wind"
		f.Message = fmt.Sprintf("%s, on %s ground, and will grow to %s: roots stay shallow there, and blown over it would reach the house. Keep its height away, or plant something lower.",
			t.stands(quoted(t.other)), t.data, exactly(t.need))
		b.Report(f)
	}
	for _, t := range b.climbers.list {
		f := t.finding(planner.Warn)
		f.Place = "climber"
		f.Message = fmt.Sprintf("%s; on clay %s is asked for such wall plants. Plant it further off.",
			t.stands(quoted(t.other)), limitNeeded(t.limit))
		b.Report(f)
	}
	for _, t := range b.forests.list {
		f := t.finding(planner.Warn)
		f.Place = "forest"
		f.Message = fmt.Sprintf("%s; new forest keeps %s from a dwelling, or 30 m with the owner's written consent. It binds planting under grant or licence.",
			t.stands(quoted(t.other)), limitNeeded(t.limit))
		f.Cautions = []string{"Not legal advice: check with the forest service (Ireland: Department of Agriculture, Food and the Marine)."}
		b.Report(f)
	}
	for _, t := range b.unstated.list {
		z := t.data.(zone)
		f := t.finding(planner.Note)
		f.Place, f.Source, f.Features = "dwelling", z.source(), []string{t.other.ID}
		f.Message = fmt.Sprintf("The plan does not say whether people live in %s, so its foundations were not looked at. If they do, set `dwelling` to yes: %s %s from it, and the zone of influence there is %s (%s).",
			quoted(t.other), inSentence(t), metresBeside(t.dist, t.need), exactly(z.metres), z.words())
		b.Report(f)
	}
	for _, t := range b.unknown.list {
		f := t.finding(planner.Note)
		f.Place, f.Measured, f.Limit = "unknown", planner.Figure(t.dist), nil
		f.Source = planner.Source{Text: "the catalogue has no mature height for it", Confidence: planner.Derived}
		f.Message = fmt.Sprintf("%s. How high it grows is not known, so its zone of influence was not looked at. State its `height_m`, or name the species.",
			t.stands(quoted(t.other)))
		b.Report(f)
	}
}

// inSentence is the worst plant of a tally within a sentence: "crack willow 'House willow' stands".
func inSentence(t *tally) string {
	return plantName(t.plant) + " " + quoted(t.plant.Feature) + spaced(whereIs(t.plant)) + " stands"
}
