package check

import (
	"fmt"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

func groundSoil() *Rule {
	return &Rule{
		ID:    "ground.soil",
		Title: "Each plant suits ground that is acid, or limy",
		Why: "Some plants starve on acid ground, others on chalk. The figure behind it tells where a plant is found, not all that it stands, so read " +
			"it as a lean. Fruit and nuts are held against the soil reaction that the crop wants. What stands there already is not looked at.",
		Severity: planner.Warn,
		Limits: []string{"acid_below_ph", "acid_r_below", "acid_bear", "limy_over_ph", "limy_r_over", "limy_bear", "middling_to_ph", "middling_r_over",
			"middling_r_below"},
		Run: runGroundSoil,
	}
}

// A reaction is what one planting has against the soil at a place.
type reaction struct {
	ground   string // "acid ground of pH 4.5"
	measured float64
	limit    float64
	worse    string
	unit     string
	source   planner.Source
	say      string
	unknown  bool
}

func runGroundSoil(p *Pass) {
	l := p.soilLimits()
	if l == nil {
		return
	}
	var blind []string
	for _, g := range p.Shared.plantings() {
		by := map[string][]int{}
		what := map[string]reaction{}
		var r reaction
		var bad, judged bool
		var last planner.Ground // neighbours stand on the same ground
		for _, i := range g.plants {
			u := p.Shared.Under[i]
			if u.PH <= 0 && u.Soil != planner.Chalk {
				if u.Parcel != nil && !slices.Contains(blind, u.Parcel.ID) {
					blind = append(blind, u.Parcel.ID)
				}
				continue
			}
			if !judged || u.PH != last.PH || u.Soil != last.Soil {
				r, bad = l.judge(g, u)
				last, judged = u.Ground, true
			}
			if !bad {
				continue
			}
			k := r.ground
			if r.unknown {
				k += "?"
			}
			by[k], what[k] = append(by[k], i), r
		}
		p.reportSoil(g, by, what)
	}
	if len(blind) > 0 {
		slices.Sort(blind)
		p.Report(planner.Finding{Severity: planner.Note, Features: blind, Place: "unknown", Count: len(blind), Source: notStated(),
			Message: fmt.Sprintf("The soil reaction of %s is not stated, so acid and limy ground were not looked at there. Test it and give its pH.", p.labels(blind))})
	}
}

// labels names features, three at most: "'top' and 'bottom'", "'a', 'b', 'c' and 4 more".
func (p *Pass) labels(ids []string) string {
	var words []string
	for _, id := range ids[:min(3, len(ids))] {
		words = append(words, quoted(p.Plan.Feature(id)))
	}
	if n := len(ids) - len(words); n > 0 {
		words = append(words, fmt.Sprintf("%d more", n))
	}
	return listWords(words, "and")
}

func (p *Pass) reportSoil(g *planting, by map[string][]int, what map[string]reaction) {
	var keys []string
	for k := range by {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		r, which := what[k], by[k]
		f := p.Shared.groundFinding(g, which, planner.Warn)
		f.Place = g.place(r.ground)
		who, many := p.Shared.who(g, which)
		at := groundText(p.Shared.Under[which[0]])
		if r.unknown {
			f.Severity, f.Place, f.Source = planner.Note, g.place("unknown "+r.ground), noFigure()
			f.Message = fmt.Sprintf("%s %s on %s %s. What soil reaction this species wants is not known, so it was not looked at.", who, verb(many, "stands", "stand"), r.ground, at)
			p.Report(f)
			continue
		}
		f.Measured, f.Limit, f.Unit, f.Worse, f.Source = planner.Figure(r.measured), planner.Figure(r.limit), r.unit, r.worse, r.source
		f.Message = fmt.Sprintf("%s %s on %s %s. %s", who, verb(many, "stands", "stand"), r.ground, at, r.say)
		p.Report(f)
	}
}

type soilLimits struct {
	acidPH, acidR, limyPH, limyR, middlePH, middleOver, middleBelow, acidBear, limyBear rules.Limit
}

func (p *Pass) soilLimits() *soilLimits {
	l := &soilLimits{}
	for name, to := range map[string]*rules.Limit{"acid_below_ph": &l.acidPH, "acid_r_below": &l.acidR, "limy_over_ph": &l.limyPH, "limy_r_over": &l.limyR,
		"middling_to_ph": &l.middlePH, "middling_r_over": &l.middleOver, "middling_r_below": &l.middleBelow} {
		v, ok := p.Limit(name)
		if !ok {
			return nil
		}
		*to = v
	}
	l.acidBear, _ = p.Limit("acid_bear")
	l.limyBear, _ = p.Limit("limy_bear")
	return l
}

// judge says whether a planting does not suit the soil at a place: a crop by the reaction that it wants, else by Ellenberg R.
func (l *soilLimits) judge(g *planting, u site.Under) (reaction, bool) {
	s := g.species
	crop := s.Crop && (g.use == setout.UseOrchard || g.use == setout.UseRow || g.use == setout.UsePlant)
	if crop && s.PH.Known && u.PH > 0 {
		return l.crop(s, u.PH)
	}
	acid := u.PH > 0 && l.acidPH.Holds(u.PH)
	limy := u.PH > 0 && l.limyPH.Holds(u.PH) || u.PH <= 0 && u.Soil == planner.Chalk
	text := fmt.Sprintf("ground of pH %s", figure(u.PH))
	switch {
	case acid:
		return l.by(s, "acid "+text, l.acidR, l.acidBear, "more", "It is a plant of limy ground: choose kinds of acid ground.")
	case limy && u.PH <= 0:
		return l.by(s, "chalk", l.limyR, l.limyBear, "less", "It is a plant of acid ground: choose kinds that grow on lime.")
	case limy:
		return l.by(s, "limy "+text, l.limyR, l.limyBear, "less", "It is a plant of acid ground: choose kinds that grow on lime.")
	case l.middlePH.Holds(u.PH):
		if r, bad := l.by(s, text, l.middleOver, rules.Limit{}, "less", "It is a plant of very acid ground: choose another kind."); bad {
			return r, true
		}
		return l.by(s, text, l.middleBelow, rules.Limit{}, "more", "It is a plant of very limy ground: choose another kind.")
	}
	return reaction{}, false
}

func (l *soilLimits) crop(s *species.Species, ph float64) (reaction, bool) {
	if s.PH.Holds(ph) {
		return reaction{}, false
	}
	limit, worse, do := s.PH.Low, "less", "Lime it, or choose other ground."
	if ph > s.PH.High {
		limit, worse, do = s.PH.High, "more", "Choose other ground, or grow it in a bed of its own soil."
	}
	return reaction{ground: fmt.Sprintf("ground of pH %s", figure(ph)), measured: ph, limit: limit, worse: worse, unit: "pH", source: s.PH.Source,
		say: fmt.Sprintf("The crop wants pH %s to %s. %s", figure(s.PH.Low), figure(s.PH.High), do)}, true
}

// by holds a species' Ellenberg R against a limit; bear are species that grow there all the same.
func (l *soilLimits) by(s *species.Species, ground string, limit, bear rules.Limit, worse, say string) (reaction, bool) {
	r := reaction{ground: ground, limit: limit.Value, worse: worse, unit: "R", source: weaker(limit.Source, s.EllenbergR.Source)}
	if !s.EllenbergR.Known {
		r.unknown = true
		return r, true
	}
	r.measured = s.EllenbergR.V
	if limit.Holds(r.measured) || slices.Contains(bear.Words(), s.Botanical) {
		return r, false
	}
	r.say = fmt.Sprintf("It is found on ground of reaction %s on the scale of 1 (very acid) to 9 (lime only). %s", figure(r.measured), say)
	return r, true
}
