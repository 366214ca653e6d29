package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

func hedgeFill() *Rule {
	return &Rule{
		ID:    "hedge.fill",
		Title: "gaps are filled when the hedge beside them is cut",
		Why: "Young plants between uncut neighbours get neither light nor water, and most die. Fill a gap in the winter in which that section is laid or " +
			"coppiced, and plant again where stools fail. Sources differ on hawthorn: Hedgerows Ireland says that it does not renew itself well in shade, a " +
			"Scottish trust calls it shade tolerant. The note goes when the plan has the section cut in the planting winter.",
		Severity: planner.Note,
		Limits:   []string{"fill_per_metre", "fill_per_metre_least"},
		Sources: []planner.Source{tin039(),
			{Text: "Irish hedgerow notes on coppicing: gaps are filled without the neighbours taking the light", URL: "http://irishhedgerows.weebly.com/coppicing.html", Confidence: planner.Published},
			{Text: "Hedgerows Ireland, management: whitethorn does not renew itself well in shade", URL: "https://hedgerows.ie/management", Confidence: planner.Published},
			{Text: "Fife Coast and Countryside Trust: hawthorn is shade tolerant", Confidence: planner.Published}},
		Run: func(p *Pass) {
			for i := range p.Shared.hedgerow.list {
				if h := &p.Shared.hedgerow.list[i]; h.feature.Status == planner.Existing {
					p.fills(h)
				}
			}
		},
	}
}

func tin039() planner.Source {
	return planner.Source{Text: "Natural England, TIN039 Devon field boundaries: restoration standards, 2008: fill gaps in the winter of laying or coppicing",
		URL: "http://adlib.everysite.co.uk/adlib/defra/content.aspx?id=2RRVTHNXTS.8JWXXWFL11F49", Confidence: planner.Published}
}

func (p *Pass) fills(h *hedge) {
	var where []string
	plants, gaps := 0, 0
	f := h.finding(planner.Note)
	for _, o := range h.line.Openings {
		if o.Plants == 0 || p.cutBeside(h, o) {
			continue
		}
		gaps++
		plants += o.Plants
		if len(where) < MostPlaces {
			where = append(where, fmt.Sprintf("%.1f m", o.FromM))
			f.Places = append(f.Places, midway(o))
		}
	}
	if gaps == 0 {
		return
	}
	f.At, f.Count, f.Source = f.Places[0], gaps, tin039()
	if gaps == 1 {
		f.Places = nil
	}
	at := listWords(where, "and")
	if gaps > len(where) {
		at += " and more"
	}
	f.Measured, f.Unit, f.Worse = planner.Figure(float64(plants)), "plants", "more"
	f.Message = fmt.Sprintf("%s of %s (at %s) %s filled with %s that uncut neighbours will shade. Plan it for the winter in which that section is laid or coppiced (cut_in). "+
		"Ask first why the gap is there: shade, wet, rabbits, stock or a way through kill the next plants too. Beside an uncut hedge holly, hazel and blackthorn do best; holly not on wet clay.",
		upperFirst(countOf(gaps, "gap")), quoted(h.feature), at, verb(gaps > 1, "is", "are"), countOf(plants, "plant"))
	p.Report(f)
}

// cutBeside reports whether the hedge beside an opening is cut in the planting winter: pinned for it over that stretch, or last
// cut in it. Trimming is no such cut, but a pinned winter is taken at its word.
func (p *Pass) cutBeside(h *hedge, o setout.Opening) bool {
	winter := p.Plan.Holding.PlantingWinter
	if winter == 0 {
		return false
	}
	if h.detail.LastCut == winter {
		return true
	}
	for _, c := range h.detail.CutIn {
		if c.Winter == winter && c.FromM <= o.FromM+planner.Tolerance && (c.ToM == 0 || c.ToM >= o.ToM-planner.Tolerance) {
			return true
		}
	}
	return false
}
