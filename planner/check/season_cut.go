package check

import (
	"fmt"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/wood"
)

func seasonCut() *Rule {
	return &Rule{
		ID: "season.cut", Title: "when hedges may be cut", Severity: planner.Stop,
		Why: "Birds nest in hedges from March to August, and the law or the terms of farm payments close that time to cutting. Laying and coppicing have longer in some countries. " +
			"The note speaks wherever a hedge is cut, trimmed hedges too; it is a stop where no day of the year is left open.",
		Limits: []string{"closed_from", "closed_until", "coppice_until", "lay_until", "dormant_from", "dormant_until"},
		Cautions: []string{"A nest in use or being built is protected at any date: look before any cut from February on.",
			"Not legal advice: check the dates in force with the agriculture or nature body of your country."},
		Run: (*Pass).seasonCut,
	}
}

func (p *Pass) seasonCut() {
	var cut *planner.Feature
	for _, f := range p.Plan.Of(planner.KindHedge) {
		h, ok := f.Detail.(*planner.Hedge)
		if ok && h.Manage != "leave" && (f.Status == planner.Existing || h.Manage == wood.Coppice || h.Manage == wood.Lay) && !f.Wrong("manage", "status") {
			cut = f
			break
		}
	}
	if cut == nil {
		return
	}
	at, _ := cut.Shape.First()
	if p.noDates(0, at) {
		return
	}
	from, ok := p.Limit("closed_from")
	until, also := p.Limit("closed_until")
	f := At(planner.Finding{Severity: planner.Note, Place: "window", Source: confident(until.Source)}, at)
	if !ok || !also {
		f.Message = "The closed season for cutting hedges is not known for this rule set: ask before you cut between February and September."
		p.Report(f)
		return
	}
	winter := p.Plan.Holding.PlantingWinter
	if !p.anyDayOpen(from, until) {
		f.Severity = planner.Stop
		f.Message = fmt.Sprintf("No day of the year is left for cutting hedges: they are closed from %s to %s by the limits in force. Look at the holding's own limits for season.cut.", wood.DateIn(from.Text, 0), wood.DateIn(until.Text, 0))
		p.Report(f)
		return
	}
	said := []string{fmt.Sprintf("Hedges are not cut or trimmed from %s to %s", wood.DateIn(from.Text, 0), wood.DateIn(until.Text, 0))}
	calendar := wood.CalendarOf(p.Set)
	for _, w := range []struct {
		name string
		of   wood.Window
	}{{"coppicing", calendar.Coppice}, {"laying", calendar.Lay}} {
		if w.of.From != "" {
			said = append(said, fmt.Sprintf("%s is done from %s to %s", w.name, wood.DateIn(w.of.From, winter), wood.DateIn(w.of.Until, winter)))
		}
	}
	f.Message = strings.Join(said, "; ") + "."
	if calendar.Exception != "" {
		f.Message += " Exceptions: " + calendar.Exception + "."
	}
	p.Report(f)
}

// noDates reports that no window is known for this holding, where that is so; n are the plants that it holds for.
func (p *Pass) noDates(n int, at orb.Point) bool {
	says := wood.CalendarFor(p.Plan, p.Set).Says
	if says == "" {
		return false
	}
	p.Report(At(planner.Finding{Severity: planner.Note, Place: "window", Count: n, Source: planner.Source{Text: "Quickthorn, its own rule", Confidence: planner.Derived}, Message: says + "."}, at))
	return true
}

// anyDayOpen reports whether the closed season leaves a day: it does not where it ends on the day before it begins.
func (p *Pass) anyDayOpen(from, until rules.Limit) bool {
	return wood.DayAfter(until.Text) != from.Text
}
