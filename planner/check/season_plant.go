package check

import (
	"fmt"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/wood"
)

func seasonPlant() *Rule {
	return &Rule{
		ID: "season.plant", Title: "when to plant", Severity: planner.Note,
		Why: "Bare-root plants move while they have no leaves and the ground is neither frozen, waterlogged nor under snow; willow cuttings go in before they leaf. " +
			"The note speaks wherever something is to be planted.",
		Limits: []string{"container_from", "cuttings_from", "cuttings_until", "ground.planting/bare_root_from", "ground.planting/bare_root_until"},
		Run:    (*Pass).seasonPlant,
	}
}

func (p *Pass) seasonPlant() {
	var first *setout.Plant
	n, willow := 0, false
	for _, q := range p.Shared.Plants {
		if !q.Listed {
			continue
		}
		if n++; first == nil {
			first = q
		}
		willow = willow || q.Species != nil && q.Species.Genus() == "Salix"
	}
	if n == 0 {
		return
	}
	if p.noDates(n, first.At) {
		return
	}
	winter := p.Plan.Holding.PlantingWinter
	from, ok := p.Limit("ground.planting/bare_root_from")
	until, also := p.Limit("ground.planting/bare_root_until")
	if !ok || !also {
		p.Report(At(planner.Finding{Severity: planner.Note, Place: "window", Source: confident(from.Source),
			Message: "When bare-root plants are planted is not known for this rule set."}, first.At))
		return
	}
	said := []string{fmt.Sprintf("bare-root plants from %s to %s, while the ground is not frozen, waterlogged or under snow", wood.DateIn(from.Text, winter), wood.DateIn(until.Text, winter))}
	if l, ok := p.Limit("container_from"); ok {
		said = append(said, fmt.Sprintf("plants in pots and evergreens from %s", wood.DateIn(l.Text, winter)))
	}
	a, ok := p.Limit("cuttings_from")
	b, also := p.Limit("cuttings_until")
	if willow && ok && also {
		said = append(said, fmt.Sprintf("willow cuttings from %s to %s", wood.DateIn(a.Text, winter), wood.DateIn(b.Text, winter)))
	}
	when := "the planting winter"
	if winter > 0 {
		when = winterWords(winter)
	}
	p.Report(At(planner.Finding{Severity: planner.Note, Place: "window", Count: n, Source: until.Source,
		Message: fmt.Sprintf("%s %s to be planted in %s: %s.", upperFirst(countOf(n, "plant")), verb(n > 1, "is", "are"), when, strings.Join(said, "; "))}, first.At))
}
