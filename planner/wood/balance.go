package wood

import (
	"math"
	"slices"
)

// levels are the low, middle and high yields, each weighed by itself.
const levels = 3

func (r Range) at(level int) float64 { return [levels]float64{r.Low, r.Mid, r.High}[level] }

func (r *Range) add(level int, v float64) {
	switch level {
	case 0:
		r.Low += v
	case 1:
		r.Mid += v
	default:
		r.High += v
	}
}

// parts is a section's mix; one part of mixed wood where it is not stated.
func (s *Section) parts() []Part {
	if len(s.Mix) > 0 {
		return s.Mix
	}
	return []Part{{Name: "mixed wood", Share: 1}}
}

// ncv is the dry net calorific value of a part, MJ/kg.
func ncv(p Part) float64 {
	if w, _ := WoodOf(p.Species); w.Conifer {
		return figure("ncv_conifer").Mid
	}
	return figure("ncv_broadleaf").Mid
}

// heatOf is the useful heat in kWh of dry tonnes of a part at 20 percent moisture.
func (b *balance) heatOf(p Part, dry float64) float64 {
	return dry * KWhPerDryTonne(ncv(p), figure("ready_moisture").Mid) * b.r.Heat.Efficiency
}

// density is the dry tonnes in a solid m3 of a part: the catalogue's mean for the taxon, else the row of firewoods.
func density(p Part) float64 {
	if p.Species != nil && p.Species.WoodDensity.Known && p.Species.WoodDensity.V > 0 {
		return p.Species.WoodDensity.V / 1000
	}
	if w, _ := WoodOf(p.Species); w.DryKgM3 > 0 {
		return w.DryKgM3 / 1000
	}
	w, _ := WoodOf(nil)
	return w.DryKgM3 / 1000
}

// share gives each winter's wood out, at each level, in the order of holding.uses: logs, or chip. A use of chip that stands before
// logs may have stems chipped for it. Mass in equals mass out: dry = logs + brash + loss, and chip = used + left + loss.
func (b *balance) share() {
	for y := range b.r.Winters {
		for level := range levels {
			b.shareOut(&b.r.Winters[y], level)
		}
		w := &b.r.Winters[y]
		w.LogsStacked = w.LogsSolid.times(1 / StackedShare(b.LogM))
		b.ready(w)
	}
}

// shareOut gives out the wood of one winter at one level.
func (b *balance) shareOut(w *Winter, level int) {
	var brash, stems pools
	for _, c := range w.Cut {
		s := &b.r.Sections[c.Section]
		dry, logs := c.Dry.at(level), s.logShare(c.Age)
		may := chipOf(s)
		for _, key := range sortedKeys(may) {
			brash.add(key, dry*(1-logs)*may[key])
			stems.add(key, dry*logs*may[key])
		}
	}
	before, perM3 := stems.sum(), figure("chip_t_per_m3").Mid
	w.Brash.add(level, brash.sum())
	kept := false
	dried := figure("loss_poles_month").Mid / 100 * 9 // poles lie from February to November before they are chipped for bedding
	for _, use := range b.Plan.Holding.Uses {
		if use == UseLogs {
			kept = true
			continue
		}
		for i := range w.Needs {
			n := &w.Needs[i]
			if n.Use != use {
				continue
			}
			want, loss := n.WantedM3*perM3, 0.0
			if use == UseBedding {
				loss = dried
			}
			gross := want / (1 - loss)
			got := brash.take(use, gross)
			if !kept {
				more := stems.take(use, gross-got)
				w.Brash.add(level, more)
				got += more
			}
			n.Got.add(level, got*(1-loss)/perM3)
			w.Used.add(level, got*(1-loss)/perM3)
			w.ChipLoss.add(level, got*loss/perM3)
			w.ChipShort.add(level, math.Max(0, want-got*(1-loss))/perM3)
		}
	}
	if !slices.Contains(b.Plan.Holding.Uses, UseLogs) { // nothing is wanted as logs: all of it is chip, or lies
		w.Brash.add(level, stems.sum())
		for _, q := range stems {
			brash.add(q.may, q.t)
		}
		stems = nil
	}
	w.Left.add(level, brash.sum()/perM3)
	w.Chip.add(level, w.Brash.at(level)/perM3)
	left := 0.0
	if before > 0 {
		left = stems.sum() / before
	}
	b.logs(w, level, left)
}

// logs turns what is left of the stems into logs, by species: how much, when they are dry, and their heat.
func (b *balance) logs(w *Winter, level int, left float64) {
	for _, c := range w.Cut {
		s := &b.r.Sections[c.Section]
		gross := c.Dry.at(level) * s.logShare(c.Age) * left
		for _, p := range s.parts() {
			wood, _ := WoodOf(p.Species)
			after := ReadyAfter(wood.FreshPercent, b.Stacking, wood.Slow)
			t := gross * p.Share * (1 - lossOver(after))
			w.Logs.add(level, t)
			w.Loss.add(level, gross*p.Share*lossOver(after))
			w.LogsSolid.add(level, t/density(p))
			heat := b.heatOf(p, t)
			w.Made.add(level, heat)
			if y := w.Winter - b.r.First + after; y < len(b.r.Winters) {
				b.r.Winters[y].Ready.add(level, heat)
			}
		}
	}
}

// ready says by which winter nine tenths of a winter's logs are dry.
func (b *balance) ready(w *Winter) {
	by := make([]float64, mostWinters+1)
	total := 0.0
	for _, c := range w.Cut {
		s := &b.r.Sections[c.Section]
		for _, p := range s.parts() {
			wood, _ := WoodOf(p.Species)
			t := c.Dry.Mid * s.logShare(c.Age) * p.Share
			by[ReadyAfter(wood.FreshPercent, b.Stacking, wood.Slow)] += t
			total += t
		}
	}
	if total <= 0 || w.Logs.Mid <= 0 {
		return
	}
	sum := 0.0
	for k, t := range by {
		if sum += t; sum >= 0.9*total-1e-12 {
			w.ReadyWinter = w.Winter + k
			return
		}
	}
}

// heat burns the logs that are ready, winter by winter, and carries over what is left.
func (b *balance) heat() {
	carried := same(b.StoreKWh)
	for y := range b.r.Winters {
		w := &b.r.Winters[y]
		have := carried.plus(w.Ready)
		w.Burned = have.least(b.r.Heat.WantedKWh)
		w.Short = same(b.r.Heat.WantedKWh).minus(w.Burned).positive()
		w.Carried = have.minus(w.Burned).positive()
		carried = w.Carried
	}
}

// quality measures the rota.
func (b *balance) quality() {
	q := &b.r.Rota
	if len(b.r.Winters) == 0 {
		return
	}
	q.LeastM = math.Inf(1)
	sum, squares := 0.0, 0.0
	for _, w := range b.r.Winters {
		q.LeastM, q.GreatestM = math.Min(q.LeastM, w.CutM), math.Max(q.GreatestM, w.CutM)
		sum += w.Logs.Mid
		squares += w.Logs.Mid * w.Logs.Mid
	}
	if q.HedgeM > 0 {
		q.GreatestShare = 100 * q.GreatestM / q.HedgeM
	}
	n := float64(len(b.r.Winters))
	if mean := sum / n; mean > 0 {
		q.Evenness = math.Sqrt(math.Max(0, squares/n-mean*mean)) / mean
	}
}

// sortedKeys are a map's keys in order.
func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
