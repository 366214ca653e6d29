package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func groundPeat() *Rule {
	return &Rule{
		ID:    "ground.peat",
		Title: "No planting on deep peat",
		Why: "Planting dries peat out and sets its carbon free, so forest rules and grant bodies do not allow it from a depth " +
			"that differs by country. The rules are made for woodland; they are applied here to every planting, since peat dries under a hedge too. " +
			"What stands there already is not looked at.",
		Severity: planner.Stop,
		Limits:   []string{"depth_greatest_m", "warn_over_m"},
		Sources: []planner.Source{
			{Text: "UK Forestry Standard, as quoted by Natural Resources Wales: avoid new forest on peat over 50 cm, and sites that would upset the water of a bog beside them", Confidence: planner.Published},
		},
		Run: runGroundPeat,
	}
}

// peatPlants are the plants of one feature on peat.
type peatPlants struct {
	feature                *planner.Feature
	deep, shallow, unknown []int
	deepest, shallowest    float64 // the greatest depth under deep, under shallow
	deepAt                 int
}

func runGroundPeat(p *Pass) {
	most, ok1 := p.Limit("depth_greatest_m")
	look, ok2 := p.Limit("warn_over_m")
	if !ok1 || !ok2 {
		return
	}
	var list []*peatPlants
	for i, pl := range p.Shared.Plants {
		u := &p.Shared.Under[i]
		if !pl.Listed || u.PeatDepthM <= 0 && u.Soil != planner.Peat {
			continue
		}
		if n := len(list); n == 0 || list[n-1].feature != pl.Feature {
			list = append(list, &peatPlants{feature: pl.Feature})
		}
		w := list[len(list)-1]
		switch d := u.PeatDepthM; {
		case d <= 0:
			w.unknown = append(w.unknown, i)
		case !most.Holds(d):
			if d > w.deepest {
				w.deepest, w.deepAt = d, i
			}
			w.deep = append(w.deep, i)
		case !look.Holds(d):
			w.shallow, w.shallowest = append(w.shallow, i), max(w.shallowest, d)
		}
	}
	for _, w := range list {
		p.reportPeat(w, most, look)
	}
}

func (p *Pass) reportPeat(w *peatPlants, most, look rules.Limit) {
	caution := "Not legal advice: check with " + forestryBody(p.Set.Name()) + "."
	start := func(which []int, s planner.Severity, place string) planner.Finding {
		f := planner.Finding{Severity: s, Features: []string{w.feature.ID}, Place: place, Count: len(which), Places: p.Shared.places(which), Cautions: []string{caution}}
		return At(f, p.Shared.At[which[0]])
	}
	stand := func(which []int) string { return p.Shared.plantsOf(w.feature, which) }
	if len(w.deep) > 0 {
		severity := planner.Stop
		if weak(most.Source) {
			severity = planner.Warn
		}
		f := start(w.deep, severity, "")
		f.Measured, f.Limit, f.Unit, f.Source = planner.Figure(w.deepest), planner.Figure(most.Value), "m", most.Source
		f.Message = fmt.Sprintf("%s on peat up to %s deep %s; it should be %s. Do not plant here: choose ground without deep peat, and keep off what drains towards it.",
			stand(w.deep), metres(w.deepest), groundText(p.Shared.Under[w.deepAt]), most)
		p.Report(f)
	}
	if len(w.shallow) > 0 {
		f := start(w.shallow, planner.Warn, "shallow")
		f.Measured, f.Limit, f.Unit, f.Source = planner.Figure(w.shallowest), planner.Figure(look.Value), "m", look.Source
		f.Message = fmt.Sprintf("%s on peat up to %s deep %s. That is not too deep to plant here (the limit is %s), but peat over %s is worth a look: plant by hand on small mounds, do not plough, and ask first.",
			stand(w.shallow), metres(w.shallowest), groundText(p.Shared.Under[w.shallow[0]]), most, metres(look.Value))
		p.Report(f)
	}
	if len(w.unknown) > 0 {
		f := start(w.unknown, planner.Note, "unknown")
		f.Source = notStated()
		f.Message = fmt.Sprintf("%s on peat whose depth is not stated %s, so it was not looked at. Probe it and give its peat_depth_m before you order plants.",
			stand(w.unknown), groundText(p.Shared.Under[w.unknown[0]]))
		p.Report(f)
	}
}

// forestryBody is who is asked about new woods, by rule set.
func forestryBody(set string) string {
	switch set {
	case "england":
		return "the Forestry Commission"
	case "wales":
		return "Natural Resources Wales"
	case "scotland":
		return "Scottish Forestry"
	case "northern-ireland":
		return "the Forest Service of Northern Ireland"
	case "ireland":
		return "the Department of Agriculture, Food and the Marine"
	}
	return "the forestry authority of your country"
}
