package check

import (
	"fmt"
	"time"

	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func groundPlanting() *Rule {
	return &Rule{
		ID:    "ground.planting",
		Title: "Wet clay is planted late in winter, on a mound, never in a slit",
		Why: "A slit in wet clay opens again as it dries, and a pit in it fills like a bucket. On a ridge or mound the roots keep out of the wet, and " +
			"by early spring the clay can be worked. A planting that is raised is a note on the month; one that is not, a warning. Damp clay, and " +
			"plants that stand there already, are not looked at.",
		Severity: planner.Warn,
		Limits:   []string{"wet_clay_from", "wet_clay_until", "wet_clay_method", "ground.moisture/raised_least_m", "ground.moisture/mound_m"},
		Sources: []planner.Source{
			{Text: "Royal Horticultural Society, wet soils and planting on clay, profile 152", Confidence: planner.Published},
			{Text: "hedgerow good-practice guide (hedgerows.co.uk): a furrow turned inward from both sides of the strip makes a low ridge on wet clay", Confidence: planner.Published},
			{Text: "common practice: nothing is planted while the ground is waterlogged or frozen", Confidence: planner.CommonPractice},
		},
		Cautions: []string{"Before any digging find out where cables and pipes lie, and ask their owners."},
		Run:      runGroundPlanting,
	}
}

// wetClay is what stands on wet clay of one feature.
type wetClay struct {
	feature    *planner.Feature
	flat, high []int // not raised enough to help, and raised
	standing   bool  // water stands where some of them are
}

func runGroundPlanting(p *Pass) {
	from, ok1 := p.Limit("wet_clay_from")
	until, ok2 := p.Limit("wet_clay_until")
	least, ok3 := p.Limit("ground.moisture/raised_least_m")
	mound, ok4 := p.Limit("ground.moisture/mound_m")
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return
	}
	var list []*wetClay
	for i, pl := range p.Shared.Plants {
		u := &p.Shared.Under[i]
		if !pl.Listed || u.Soil != planner.Clay || u.Moisture.Rank() < planner.Wet.Rank() {
			continue
		}
		if n := len(list); n == 0 || list[n-1].feature != pl.Feature {
			list = append(list, &wetClay{feature: pl.Feature})
		}
		w := list[len(list)-1]
		if u.Moisture == planner.Waterlogged || pl.RaisedM < least.Value {
			w.flat = append(w.flat, i)
			w.standing = w.standing || u.Moisture == planner.Waterlogged
		} else {
			w.high = append(w.high, i)
		}
	}
	for n, w := range list {
		p.reportWetClay(w, from, until, mound, n < MostPerRule)
	}
}

func (p *Pass) reportWetClay(w *wetClay, from, until, mound rules.Limit, fix bool) {
	when := fmt.Sprintf("from %s to %s", dayText(from.Text), dayText(until.Text))
	how := "in pits whose base and sides are loosened so that they are no sump, never in slits"
	which, f := w.flat, planner.Finding{Severity: planner.Warn, Features: []string{w.feature.ID}, Source: from.Source}
	it := func(which []int) string { return verb(len(which) > 1, "it", "them") }
	switch {
	case len(w.flat) == 0:
		which, f.Severity, f.Place = w.high, planner.Note, "raised"
		f.Message = fmt.Sprintf("%s on wet clay, raised. Plant %s once the clay can be worked, %s, %s.", p.Shared.plantsOf(w.feature, which), it(which), when, how)
	case w.standing:
		f.Message = fmt.Sprintf("%s on wet clay where water stands. Nothing is planted while the ground is waterlogged: plant %s when it has drained, %s, %s. Live stakes of willow can be pushed in.",
			p.Shared.plantsOf(w.feature, which), it(which), when, how)
	default:
		f.Message = fmt.Sprintf("%s on wet clay and %s not raised. Plant %s on a ridge or mound of %s, %s, %s.", p.Shared.plantsOf(w.feature, which),
			verb(len(which) > 1, "is", "are"), it(which), centimetres(mound.Value), when, how)
		if fix {
			f.Fix = p.wetClayFix(w, mound.Value)
		}
	}
	f.Count, f.Places = len(which), p.Shared.places(which)
	if len(which) > 1 {
		f.Measured, f.Unit = planner.Figure(float64(len(which))), "plants"
	}
	p.Report(At(f, p.Shared.At[which[0]]))
}

// wetClayFix raises a planned feature where that makes no plant of it unsuitable.
func (p *Pass) wetClayFix(w *wetClay, moundM float64) *planner.Fix {
	if !w.feature.IsPlanned() {
		return nil
	}
	for _, i := range w.flat {
		if p.Shared.Under[i].Moisture == planner.Waterlogged {
			return nil
		}
	}
	lo, hi := w.flat[0], w.flat[len(w.flat)-1]
	for lo > 0 && p.Shared.Plants[lo-1].Feature == w.feature {
		lo--
	}
	for hi+1 < len(p.Shared.Plants) && p.Shared.Plants[hi+1].Feature == w.feature {
		hi++
	}
	for i := lo; i <= hi; i++ {
		pl, u := p.Shared.Plants[i], p.Shared.Under[i]
		if pl.Species == nil {
			continue
		}
		if gravity(pl.Species.Suits(Moisture(u, moundM)).Verdict) < gravity(pl.Species.Suits(Moisture(u, pl.RaisedM)).Verdict) {
			return nil
		}
	}
	return p.raised(w.feature, moundM)
}

// dayText writes a month and day, "02-01", as "1 February"; as it is where it is none.
func dayText(s string) string {
	t, err := time.Parse("2006-01-02", "2024-"+s)
	if err != nil {
		return s
	}
	return t.Format("2 January")
}
