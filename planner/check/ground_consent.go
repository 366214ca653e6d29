package check

import (
	"fmt"
	"math"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func groundConsent() *Rule {
	return &Rule{
		ID:    "ground.consent",
		Title: "New woods from a size that needs consent",
		Why: "A new wood from some size on is screened, notified or licensed before it is planted, and the size differs by country. All planned groves " +
			"count together; hedges, windbreaks and orchards do not. Inside a designated place smaller woods need consent too.",
		Severity: planner.Warn,
		Limits:   []string{"free_below_ha", "full_over_ha", "sensitive_free_below_ha"},
		Run:      runGroundConsent,
	}
}

// consentSlackHa is what a measured area may lie off a size and still count as exactly on it: 2 parts per million of 5 ha, what the
// plan's areas are good to.
const consentSlackHa = 1e-5

func runGroundConsent(p *Pass) {
	var ids []string
	var total float64
	designated := p.Shared.Obstacles(planner.KindProtected)
	sensitive := false
	var at *planner.Feature
	for _, a := range p.Site.Areas(planner.KindGrove) {
		if !a.Feature.IsPlanned() || a.Feature.Wrong("status", "planted") {
			continue
		}
		ids, total, at = append(ids, a.Feature.ID), total+a.AreaM2/10000, a.Feature
		for k, f := range designated.List {
			if d, ok := f.Detail.(*planner.Protected); ok && d.Because == "designated" && designated.areas[k] != nil && !sensitive {
				shared, _ := geo.OverlapArea(a.Shape, f.Shape.Polygons)
				sensitive = shared > 0
			}
		}
	}
	if len(ids) == 0 {
		return
	}
	f := planner.Finding{Features: ids, Measured: planner.Figure(total), Unit: "ha", Count: len(ids),
		Cautions: []string{"Not legal advice: check with " + forestryBody(p.Set.Name()) + " before you plant."}}
	if q, ok := at.Shape.First(); ok {
		f = At(f, q)
	}
	free, known := p.Limit("free_below_ha")
	full, steps := p.Limit("full_over_ha")
	text := countOf(len(ids), "planned grove") + " of " + hectares(total)
	switch {
	case !known:
		f.Severity, f.Source = planner.Note, noFigure()
		f.Place = "unknown"
		f.Message = fmt.Sprintf("%s: from what size a new wood needs consent under this rule set is not known, so it was not looked at. Ask %s.", upperFirst(text), forestryBody(p.Set.Name()))
	case sensitive:
		f.Severity, f.Place, f.Source = planner.Warn, "sensitive", free.Source
		less := "no size is free of consent there"
		if s, ok := p.Limit("sensitive_free_below_ha"); ok {
			less = fmt.Sprintf("it must be %s in some of them, and no size is free in others", s)
			f.Limit, f.Source = planner.Figure(s.Value), s.Source
		}
		f.Message = fmt.Sprintf("%s lie partly in a designated place; %s. Ask before you order plants.", upperFirst(text), less)
	case free.Holds(tidyHa(total, free)):
		return
	default:
		f.Severity, f.Limit, f.Source = planner.Warn, planner.Figure(free.Value), free.Source
		f.Message = fmt.Sprintf("%s are not %s. %s", upperFirst(text), free, consentStep(p.Set.Name(), total, full, steps))
	}
	p.Report(f)
}

func tidyHa(ha float64, l rules.Limit) float64 {
	if math.Abs(ha-l.Value) <= consentSlackHa {
		return l.Value
	}
	return ha
}

// consentStep says what such a size calls for.
func consentStep(set string, total float64, full rules.Limit, steps bool) string {
	switch {
	case set == "ireland":
		return "An afforestation licence is needed before planting. (Small native woods may be exempt: ask.)"
	case !steps:
		return "Ask for a screening opinion before planting."
	case full.Holds(tidyHa(total, full)):
		return fmt.Sprintf("Notify it before planting; over %s ha the full procedure follows.", figure(full.Value))
	}
	return fmt.Sprintf("Over %s ha the full procedure is needed before planting, though ground of low risk may only have to be notified.", figure(full.Value))
}

// hectares writes an area so that it does not read the same as a size it misses by a little: two decimals, four below 1 ha.
func hectares(ha float64) string {
	if ha < 1 {
		return fmt.Sprintf("%.4f ha", ha)
	}
	return fmt.Sprintf("%.2f ha", ha)
}
