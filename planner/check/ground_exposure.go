package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func groundExposure() *Rule {
	return &Rule{
		ID:    "ground.exposure",
		Title: "Each plant bears the wind, and the salt, of its place",
		Why: "What bears little wind stays short and thin on exposed ground, and salt wind kills the growth of what is not made for the coast. A " +
			"lee row of a windbreak stands in the shelter of a windward row that bears it, and is not warned of. Where sources differ both are told. " +
			"What stands there already is not looked at.",
		Severity: planner.Warn,
		Run:      runGroundExposure,
	}
}

// exposures are the catalogue's words, least first. What bears less than moderate exposure is warned of on exposed ground and on the
// coast: low means short, poor growth in wind (ours; who says so of a species is in its source).
var exposures = map[string]int{"very low": 0, "low": 1, "moderate": 2, "high": 3, "very high": 4}

const exposureEnough = 2

func runGroundExposure(p *Pass) {
	w := &windWork{Pass: p, tough: map[string]string{}}
	for _, g := range p.Shared.plantings() {
		open, coast := p.exposed(g)
		if len(open) > 0 {
			w.reportExposed(g, open)
		}
		if len(coast) > 0 {
			w.reportCoast(g, coast)
		}
	}
}

// windWork keeps what it names for a first row, once for each kind of place.
type windWork struct {
	*Pass
	tough map[string]string
}

// exposed lists the plants of a planting on exposed ground and those on the coast. Lee rows behind a windward row that bears it are
// left out of both.
func (p *Pass) exposed(g *planting) (open, coast []int) {
	wind, salt := p.firstRowBears(g.feature)
	for _, i := range g.plants {
		lee := p.Shared.Plants[i].Row > 0
		switch p.Shared.Under[i].Exposure {
		case planner.Exposed:
			if !lee || !wind {
				open = append(open, i)
			}
		case planner.Coastal:
			if !lee || !salt {
				coast = append(coast, i)
			}
		}
	}
	return open, coast
}

// firstRowBears reports whether the windward row of a windbreak is made of species that are known to bear exposure, and salt wind too.
func (p *Pass) firstRowBears(f *planner.Feature) (wind, salt bool) {
	w, ok := f.Detail.(*planner.Windbreak)
	if !ok || len(w.Rows) < 2 {
		return false, false
	}
	wind = len(w.Rows[0].Mix) > 0
	salt = wind
	for _, share := range w.Rows[0].Mix {
		s := p.Catalogue.Find(share.Species).Species
		wind = wind && s != nil && s.Exposure.Known && exposures[s.Exposure.V] >= exposureEnough
		salt = salt && wind && s.Coastal.Yes()
	}
	return wind, salt
}

func (p *windWork) reportExposed(g *planting, which []int) {
	s := g.species
	f := p.Shared.groundFinding(g, which, planner.Warn)
	f.Place, f.Source = g.place("exposed"), s.Exposure.Source
	who, many := p.Shared.who(g, which)
	stands := fmt.Sprintf("%s %s on exposed ground %s", who, verb(many, "stands", "stand"), groundText(p.Shared.Under[which[0]]))
	switch {
	case !s.Exposure.Known:
		f.Severity, f.Source = planner.Note, noFigure()
		f.Message = stands + ". How much wind this species bears is not known, so it was not looked at."
	case exposures[s.Exposure.V] < exposureEnough:
		f.Message = fmt.Sprintf("%s and %s little wind (its tolerance is given as %s). %s",
			stands, verb(many, "bears", "bear"), s.Exposure.V, p.shelterText(g, planner.Exposed, which))
	default:
		return
	}
	p.Report(f)
}

func (p *windWork) reportCoast(g *planting, which []int) {
	s := g.species
	f := p.Shared.groundFinding(g, which, planner.Warn)
	f.Place = g.place("coast")
	who, many := p.Shared.who(g, which)
	stands := fmt.Sprintf("%s %s in coastal wind %s", who, verb(many, "stands", "stand"), groundText(p.Shared.Under[which[0]]))
	low := s.Exposure.Known && exposures[s.Exposure.V] < exposureEnough
	switch {
	case s.Coastal.Yes() && low:
		f.Severity, f.Source = planner.Note, weaker(s.Coastal.Source, s.Exposure.Source)
		f.Message = fmt.Sprintf("%s. Sources differ: one has it bear salt wind, another gives its tolerance of wind as %s. Expect short growth, and plant %s behind a first row.",
			stands, s.Exposure.V, verb(many, "it", "them"))
	case s.Coastal.Yes():
		return
	case s.Coastal.No(), low:
		f.Source = s.Coastal.Source
		if low {
			f.Source = s.Exposure.Source
		}
		f.Message = fmt.Sprintf("%s and %s not bear it. %s", stands, verb(many, "does", "do"), p.shelterText(g, planner.Coastal, which))
	default:
		f.Severity, f.Source = planner.Note, noFigure()
		f.Message = stands + ". Whether this species bears salt wind is not known, so it was not looked at."
	}
	p.Report(f)
}

// shelterText says what to do: a windbreak gets a first row that bears the wind, other plantings shelter or another kind.
func (p *windWork) shelterText(g *planting, e planner.Exposure, which []int) string {
	it := verb(len(which) > 1, "it", "them")
	if g.use == setout.UseWindbreak {
		return fmt.Sprintf("Plant %s behind a first row that bears it%s, or choose another kind.", it, p.toughText(g, e, which))
	}
	return fmt.Sprintf("Give %s shelter first, or choose another kind%s.", it, p.toughText(g, e, which))
}

// toughText names up to three species for the purpose that suit the ground there and bear the wind: ", such as grey willow and hawthorn".
func (p *windWork) toughText(g *planting, e planner.Exposure, which []int) string {
	u := p.Shared.Under[which[0]]
	want := species.Want{Ground: Moisture(u, p.Shared.Plants[which[0]].RaisedM), Soil: u.Soil, PH: u.PH, Exposure: e, Use: species.Windbreak, Country: p.Set.Name(), Stock: p.stockNear(which)}
	if g.use == setout.UseHedge || g.use == setout.UseFill {
		want.Use = species.Hedge
	}
	if g.use == setout.UseTree || g.use == setout.UsePlant {
		want.Layer = g.species.Layer
	}
	key := fmt.Sprint(want, g.species.ID)
	if text, ok := p.tough[key]; ok {
		return text
	}
	var names []string
	for _, r := range p.rank(want) {
		s := r.Species
		if r.Barred || r.Fit.Verdict != species.Suitable || s == g.species || unwanted(s) || s.Crop || !s.Exposure.Known || exposures[s.Exposure.V] <= exposureEnough ||
			e == planner.Coastal && !s.Coastal.Yes() {
			continue
		}
		if names = append(names, s.Name()); len(names) == 3 {
			break
		}
	}
	if len(names) > 0 {
		p.tough[key] = ", such as " + listWords(names, "or")
	} else {
		p.tough[key] = ""
	}
	return p.tough[key]
}
