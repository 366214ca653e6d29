package wood

import (
	"fmt"
	"math"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/species"
)

// shortfall reckons what the house lacks a year, on average, from the first winter in which logs of this rota are dry, and what
// would close it from the same yields.
func (b *balance) shortfall() {
	r := b.r
	f := &r.Shortfall
	if r.Heat.WantedKWh <= 0 {
		return
	}
	start := -1
	for y, w := range r.Winters {
		if w.Ready.Mid > 0 {
			start = y
			break
		}
	}
	switch {
	case start < 0: // none of the logs is ever dry within the rota
		f.KWh, f.From, start = r.Heat.WantedKWh, r.First, 0
	default:
		sum := 0.0
		for _, w := range r.Winters[start:] {
			sum += w.Short.Mid
		}
		f.KWh, f.From, f.Until = sum/float64(len(r.Winters)-start), r.First+start, start
	}
	if f.KWh <= 0.5 || r.NoLogs { // more hedge closes nothing where no logs are kept
		return
	}
	add := func(class, what, unit string, per float64) {
		y, _ := YieldOf(class)
		q := math.Ceil(f.KWh / heatOfLogs(y, per, r.Heat.Efficiency))
		f.ClosedBy = append(f.ClosedBy, Closing{What: what, Quantity: q, Unit: unit,
			Rests: fmt.Sprintf("%g %s, %.0f percent of it logs, %s", y.Mid, y.Unit, 100*LogShare(fullAge), y.Source)})
	}
	add("typical", "mixed fuel hedge, coppiced at 15 years", "m", 1./100)
	add("vigorous", "vigorous fuel hedge (willow, sycamore, alder), coppiced at 15 years", "m", 1./100)
	class, what := "mixed-grove", "coppice grove of mixed broadleaves"
	if b.wetGround() {
		class, what = "alder", "coppice grove of common alder, which bears wet ground"
	}
	add(class, what, "m2", 1./10_000)
}

// heatOfLogs is the useful kWh a year of the logs of one metre of hedge or square metre of grove, cut at 15 years and burnt two winters
// later at 20 percent; per is how much of the yield's unit it is.
func heatOfLogs(y Yield, per, efficiency float64) float64 {
	t := y.Mid * per * LogShare(fullAge) * (1 - lossOver(2)) // dry tonnes
	return t * KWhPerDryTonne(figure("ncv_broadleaf").Mid, figure("ready_moisture").Mid) * efficiency
}

// wetGround reports whether most of the holding's fields are damp or wetter in their middle.
func (b *balance) wetGround() bool {
	if b.Site == nil {
		return false
	}
	wet, all := 0.0, 0.0
	for _, f := range b.Plan.Of(planner.KindParcel) {
		for _, p := range f.Shape.Polygons {
			a := geo.Area(p)
			all += a
			if m := b.Site.At(geo.Centroid(p)).Moisture; m.Rank() >= planner.Damp.Rank() {
				wet += a
			}
		}
	}
	return all > 0 && 2*wet >= all
}

// Displaced is the kg of carbon dioxide of the fuel that useful heat from wood stands in for, less what burning the wood gives off in
// methane and nitrous oxide: heat / old efficiency x factor - heat / stove efficiency x 0.0115. The carbon dioxide of the wood
// itself is not in it.
func Displaced(heatKWh, oldEfficiency, kgPerKWh, stove float64) float64 {
	return heatKWh/oldEfficiency*kgPerKWh - heatKWh/stove*figure("wood_ch4_n2o").Mid
}

// CO2 is the tonnes of carbon dioxide in dry tonnes of wood with a share of carbon.
func CO2(dry, carbon float64) float64 { return dry * carbon * 44 / 12 }

// carbon reckons four numbers that are kept apart.
func (b *balance) carbon() {
	r, share := b.r, figure("carbon_share").Mid
	var now, stands, end, cut float64
	for i := range r.Sections {
		s := &r.Sections[i]
		dry := s.Dry(max(0, r.First-s.Born)).Mid
		now += dry
		stands += dry / (1 - s.Keeps) // what is not taken out of a laid hedge stands too
		last := s.Born
		for _, w := range r.Cuts[i] {
			last = w
		}
		end += s.Dry(r.First + len(r.Winters) - last).Mid
	}
	burned := 0.0
	for _, w := range r.Winters {
		cut += w.Dry.Mid
		burned += w.Burned.Mid
	}
	n := float64(len(r.Winters))
	r.Carbon.Standing = CO2(stands, share)
	r.Carbon.Cut = CO2(cut, share) / n
	r.Carbon.Regrowth = CO2(end-now+cut, share) / n
	country := b.country()
	for _, f := range data().fuels {
		if f.Country == country && f.Fuel == b.Displaces {
			r.Carbon.Fuel = f
			r.Carbon.Displaced = Displaced(burned/n, figure("old_boiler").Mid, f.Kg, r.Heat.Efficiency) / 1000
		}
	}
	for _, f := range data().fuels {
		r.Comparison = append(r.Comparison, Compared{Fuel: f, KgPerKWhHeat: f.Kg / figure("old_boiler").Mid})
	}
}

// country is whose factors count: Ireland's for the Irish rule set, else those of the United Kingdom.
func (b *balance) country() string {
	if b.r.RuleSet == "ireland" {
		return "Ireland"
	}
	return "United Kingdom"
}

// store reckons the room for logs: what a mean winter makes, for as many winters as they lie to dry and one being burnt.
func (b *balance) store() {
	r := b.r
	stacked, most := 0.0, 0
	for _, w := range r.Winters {
		stacked += w.LogsStacked.Mid
		if w.ReadyWinter > 0 {
			most = max(most, w.ReadyWinter-w.Winter)
		}
	}
	r.Store.Years = most
	r.Store.StackedM3 = stacked / float64(len(r.Winters)) * float64(most)
	r.Store.FloorM2 = r.Store.StackedM3 / figure("stack_height").Mid * figure("stack_air").Mid
}

// woods lists the kinds of wood of the holding with what is known of each, by their share of the logs.
func (b *balance) woods() {
	r := b.r
	share, by, total := map[string]float64{}, map[string]Part{}, 0.0
	for _, w := range r.Winters {
		for _, c := range w.Cut {
			s := &r.Sections[c.Section]
			for _, p := range s.parts() {
				t := c.Dry.Mid * s.logShare(c.Age) * p.Share
				share[p.Name] += t
				by[p.Name] = p
				total += t
			}
		}
	}
	if total <= 0 {
		return
	}
	for _, name := range sortedKeys(share) {
		p := by[name]
		wood, known := WoodOf(p.Species)
		l := WoodLine{Name: name, Share: share[name] / total, FreshPercent: wood.FreshPercent, DryKgM3: 1000 * density(p),
			Safe: ReadyAfter(wood.FreshPercent, Safe, wood.Slow), Good: ReadyAfter(wood.FreshPercent, Good, wood.Slow), MoistureFrom: wood.FreshSource}
		l.KWhStacked = density(p) * StackedShare(b.LogM) * KWhPerDryTonne(ncv(p), figure("ready_moisture").Mid)
		l.DensityFrom = densitySource(p.Species, wood)
		if !known {
			l.MoistureFrom.Confidence = planner.CommonPractice
		}
		for _, k := range keptOut(p) {
			l.KeptOut = append(l.KeptOut, k.words)
		}
		r.Woods = append(r.Woods, l)
	}
}

func densitySource(s *species.Species, w Wood) planner.Source {
	if s != nil && s.WoodDensity.Known && s.WoodDensity.V > 0 {
		return s.WoodDensity.Source
	}
	return data().source("BOI", string(w.Density))
}
