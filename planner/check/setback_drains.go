package check

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

func setbackDrain() *Rule {
	limits := append(classLimits(""), "alder_least_m")
	return &Rule{
		ID: "setback.drain", Title: "Roots stay clear of field drains", Severity: planner.Warn,
		Why: "Willow, poplar and alder block open-jointed tiles and perforated pipe within years, and the wet patch comes back. The sewer operator's figures are used; an agricultural " +
			"guide has much wider ones for field drains, which are shown as a note. Where the drain can be spared, give it up and plant what bears the wet. Plants still to be planted are looked at.",
		Limits: limits,
		Run: func(p *Pass) {
			r := newRootRule(p)
			r.look(planner.KindDrain, func(x *setout.Plant, class string) []string {
				if p.Shared.alder(x) {
					return []string{"alder_least_m"}
				}
				return byClass(x, class)
			}, func(i int, f *planner.Feature, n Nearness) {
				x, class := p.Shared.Plants[i], r.class[p.Shared.sortOf[i]]
				switch {
				case class == "":
					r.unclassed(x, f, n.DistM, "willow_poplar_least_m")
				case p.Shared.alder(x):
					r.hold(x, f, n.DistM, "alder_least_m", "alder")
				default:
					r.hold(x, f, n.DistM, class+"_least_m", class)
				}
			})
			r.report(func(*planner.Feature) string { return "the field drain" }, "Sealed pipe past the trees is the other way.")
		},
	}
}

func (s *Shared) alder(x *setout.Plant) bool {
	for _, sp := range s.May(x) {
		if sp.Genus() == "Alnus" {
			return true
		}
	}
	return false
}

func setbackSeptic() *Rule {
	limits := classLimits("")
	return &Rule{
		ID: "setback.septic", Title: "Roots stay clear of septic tanks and their drainage fields", Severity: planner.Warn,
		Why: "Roots follow the water into a tank or its perforated pipes, and a blocked drainage field comes up in the grass or in the house. Building rules give distances to wells, houses " +
			"and ditches but none for trees in Britain, so the sewer operator's figures are used. Plants still to be planted are looked at.",
		Limits: limits,
		Run: func(p *Pass) {
			r := newRootRule(p)
			r.look(planner.KindSeptic, byClass, func(i int, f *planner.Feature, n Nearness) {
				x, class := p.Shared.Plants[i], r.class[p.Shared.sortOf[i]]
				if class == "" {
					r.unclassed(x, f, n.DistM, "willow_poplar_least_m")
					return
				}
				r.hold(x, f, n.DistM, class+"_least_m", class)
			})
			r.report(func(f *planner.Feature) string {
				if d, ok := f.Detail.(*planner.Septic); ok && d.Part == "drainage field" {
					return "the drainage field"
				}
				return "the septic tank"
			}, "Ask who empties the tank where its pipes run.")
		},
	}
}

func setbackWell() *Rule {
	limits := append(classLimits(""), "forest_least_m")
	return &Rule{
		ID: "setback.well", Title: "Roots and woods stay clear of wells", Severity: planner.Warn,
		Why: "Roots break well linings, and ground that is cultivated or felled near a well can foul it. Groves keep the distance that forestry keeps from where water is taken; " +
			"other plants the sewer operator's. Plants still to be planted are looked at.",
		Limits: limits,
		Run: func(p *Pass) {
			r := newRootRule(p)
			forest, known := p.Limit("forest_least_m")
			r.look(planner.KindWell, func(x *setout.Plant, class string) []string {
				if x.Use == setout.UseGrove {
					return append(byClass(x, class), "forest_least_m")
				}
				return byClass(x, class)
			}, func(i int, f *planner.Feature, n Nearness) {
				x, class := p.Shared.Plants[i], r.class[p.Shared.sortOf[i]]
				if class == "" {
					r.unclassed(x, f, n.DistM, "willow_poplar_least_m")
				} else {
					r.hold(x, f, n.DistM, class+"_least_m", class)
				}
				if known && x.Use == setout.UseGrove && !holds(forest, n.DistM) {
					t, worst := r.trees.add(x, f, "", forest.Value-n.DistM)
					if worst {
						t.dist, t.need, t.limit = n.DistM, forest.Value, forest
					}
				}
			})
			r.report(func(*planner.Feature) string { return "the well" }, "Have the lining looked at.")
			for _, t := range r.trees.list {
				f := t.finding(planner.Warn)
				f.Place = "forest"
				f.Message = fmt.Sprintf("%s; new woods keep %s from where water is taken, for cultivation and felling alike.%s Draw the grove further off.",
					t.stands("the well "+quoted(t.other)), limitNeeded(t.limit), p.otherOpinions(t.limit))
				p.Report(f)
			}
		},
	}
}
