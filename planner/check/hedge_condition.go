package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func hedgeCondition() *Rule {
	return &Rule{
		ID:    "hedge.condition",
		Title: "a hedge that stands is high, wide and dense at the base",
		Why: "A low, narrow hedge with bare legs shelters neither stock nor birds. Only hedges that stand there are looked at, and only sizes that the plan " +
			"states; what is not stated is listed once. A hedge laid or coppiced within 4 years of the planting winter is let off height and width, as the " +
			"biodiversity metric does (from memory). That metric asks for more than 1.5 m of height where the survey handbook asks for 1 m.",
		Severity: planner.Warn,
		Limits:   []string{"height_least_m", "width_least_m", "width_greatest_m", "canopy_base_greatest_m", "after_cut_years"},
		Sources:  []planner.Source{ptesCut()},
		Run:      runHedgeCondition,
	}
}

func ptesCut() planner.Source {
	return planner.Source{Text: "People's Trust for Endangered Species, hedge survey pages: raise each cut by about 0.1 m", Confidence: planner.Published,
		URL: "https://hedgerowsurvey.ptes.org/hedge-management-options"}
}

// a size of a hedge, the limit that it is held against, and what mends it.
type hedgeSize struct {
	place, limit string
	value        float64
	stated       bool
	say          string // begins the sentence; takes the value and the limit
	mend         string
	cutForgives  bool
}

func runHedgeCondition(p *Pass) {
	var missing, ids []string
	n := 0
	for i := range p.Shared.hedgerow.list {
		h := &p.Shared.hedgerow.list[i]
		if h.feature.Status != planner.Existing {
			continue
		}
		fresh := p.freshlyCut(h)
		var lacks []string
		for _, s := range hedgeSizes(h) {
			switch {
			case h.feature.Wrong(s.place + "_m"): // input.property speaks
			case !s.stated:
				if len(lacks) == 0 || lacks[len(lacks)-1] != s.place {
					lacks = append(lacks, s.place)
				}
			case s.cutForgives && fresh:
			default:
				p.size(h, s)
			}
		}
		if len(lacks) > 0 {
			n++
			ids = append(ids, h.feature.ID)
			missing = append(missing, listWords(lacks, "and")+" of "+quoted(h.feature))
		}
	}
	if n == 0 {
		return
	}
	more := ""
	if n > MostPlaces {
		more = fmt.Sprintf(", and of %d more hedges", n-MostPlaces)
		missing, ids = missing[:MostPlaces], ids[:MostPlaces]
	}
	f := planner.Finding{Severity: planner.Note, Features: ids, Place: "unknown", Count: n, Source: planner.Source{Text: "not stated in the plan", Confidence: planner.User}}
	f.Message = fmt.Sprintf("Not stated, so not looked at: %s%s. Measure to the nearest 0.25 m and state height_m, width_m and base_m.", listWords(missing, "and"), more)
	p.Report(pointTo(f, p.Plan.Feature(ids[0])))
}

func hedgeSizes(h *hedge) []hedgeSize {
	d := h.detail
	return []hedgeSize{
		{place: "height", limit: "height_least_m", value: d.HeightM, stated: d.HeightM > 0, cutForgives: true,
			say: "is %s high, where it takes %s", mend: "Cut it higher each time, by about 0.1 m, until it is"},
		{place: "width", limit: "width_least_m", value: d.WidthM, stated: d.WidthM > 0, cutForgives: true,
			say: "is %s wide, where it takes %s", mend: "Cut it wider each time, by about 0.1 m, until it is"},
		{place: "width", limit: "width_greatest_m", value: d.WidthM, stated: d.WidthM > 0,
			say: "is %s wide, where a hedge is %s", mend: "Beyond that it counts as scrub or a belt of trees: trim it back over some years, or lay it"},
		{place: "base", limit: "canopy_base_greatest_m", value: d.BaseM, stated: d.BaseM > 0 || h.feature.Stated("base_m"),
			say: "has its lowest leaves %s above the ground, where it takes %s", mend: "Lay or coppice it, so that it grows from the base again"},
	}
}

// freshlyCut reports whether the hedge was laid or coppiced so lately that height and width are let off. Without a planting
// winter nobody knows.
func (p *Pass) freshlyCut(h *hedge) bool {
	l, known := p.Limit("after_cut_years")
	winter := p.Plan.Holding.PlantingWinter
	d := h.detail
	if !known || winter == 0 || d.LastCut == 0 || d.LastCut > winter || d.Manage != "lay" && d.Manage != "coppice" {
		return false
	}
	return l.Holds(float64(winter - d.LastCut))
}

func (p *Pass) size(h *hedge, s hedgeSize) {
	l, known := p.Limit(s.limit)
	if !known {
		p.notLookedAt(h, l, "The limit for the "+s.place+" of a hedge")
		return
	}
	if l.Holds(s.value) {
		return
	}
	f := h.finding(planner.Warn)
	f.Place, f.Measured, f.Limit, f.Unit, f.Source = s.place, planner.Figure(s.value), planner.Figure(l.Value), "m", l.Source
	f.Worse = worseSide(l)
	f.Message = fmt.Sprintf("%s "+s.say+". %s.", quotedAtStart(h.feature), sizeText(s.value), l, s.mend)
	p.Report(f)
}

// worseSide is the side on which a value gets worse against a limit.
func worseSide(l rules.Limit) string {
	if l.Comparison == ">=" || l.Comparison == ">" {
		return "less"
	}
	return "more"
}

// sizeText writes a size as it was stated.
func sizeText(v float64) string { return figure(v) + " m" }
