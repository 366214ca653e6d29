package wood

import (
	"fmt"
	"math"
	"slices"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/lists"
	"quickthorn/planner/setout"
)

// Plan divides the holding's hedges and groves, finds the rota and weighs wood and chip winter by winter. It is a pure function of
// its input. Cost: 0.2 s for 200 sections over 30 winters, most of it the search for the rota.
func Plan(in Input) *Result {
	in.Options = in.Options.filled()
	h := &in.Plan.Holding
	r := &Result{Holding: h.Name, RuleSet: h.RuleSet, Options: in.Options,
		Heat: Heat{WantedKWh: h.HeatKWhPerYear, Efficiency: h.StoveEfficiency}}
	r.NoLogs = !slices.Contains(h.Uses, UseLogs)
	if r.Heat.Efficiency <= 0 {
		r.Heat.Efficiency = 0.75
	}
	stand := growth.New(in.Plan, in.Out, in.Catalogue, in.Set)
	r.First, r.FirstSays = stand.Winter()
	if r.First == 0 {
		r.First, r.FirstSays = 1, "no winter is stated anywhere in the plan, so winters are counted from 1"
	}
	r.Sections = in.Sections(r.First)
	r.LeftOut = in.leftOut(r.Sections)
	in.hold(r.Sections, stand, r.First, in.Winters)
	p := in.problem(r)
	rota := p.Solve()
	r.Cuts, r.Conflicts = rota.Cuts, rota.Conflicts
	r.Rota.Cost, r.Rota.Bound, r.Rota.Exact = rota.Cost, rota.Bound, rota.Exact
	b := &balance{Input: &in, r: r}
	b.cut()
	b.fills()
	b.demand()
	b.share()
	b.heat()
	b.quality()
	b.shortfall()
	b.carbon()
	b.store()
	b.woods()
	r.Calendar = in.calendar()
	r.Prompts = in.prompts(r)
	r.Cautions = cautions(&in, r)
	r.notes()
	r.Notes = append(r.Notes, in.pinNotes(r.Sections)...)
	if len(in.Plan.Of(planner.KindBed)) > 0 {
		r.Notes = append(r.Notes, "A bed left bare over winter packs and washes out: cover it with leaves, straw or a thin layer of chip, and rake chip off before sowing (common practice). Woody stumps of cabbages and sunflowers are a small extra for hens, or go chopped into the heap (common practice).")
	}
	return r
}

// problem is the rota to be found.
func (in *Input) problem(r *Result) *Problem {
	p := &Problem{First: r.First, Winters: in.Winters}
	r.Rota.HedgeM = in.hedgeM()
	r.Rota.ShareLimit = 10
	if in.Set != nil {
		if l, ok := in.Set.Get("wood.share", "greatest_share_percent"); ok {
			r.Rota.ShareLimit, r.Rota.Source = l.Value, l.Source
		}
	}
	p.MostM = r.Rota.HedgeM * r.Rota.ShareLimit / 100
	r.Rota.MostM = p.MostM
	for i := range r.Sections {
		s := &r.Sections[i]
		u := Unit{ID: s.ID, LengthM: s.LengthM, Born: s.Born, Least: s.Least, Usual: s.Usual, Most: s.Most, From: s.From, Bars: s.bars, Pins: s.Pins, Neighbours: s.neighbours}
		if s.From > 0 {
			u.FromWhy = fmt.Sprintf("it is planted in %d and first cut at %d years, in %d", s.Born, s.Least, s.From)
		}
		for a := range s.Most + in.Winters + 60 {
			u.Logs = append(u.Logs, s.Dry(a).Mid*s.logShare(a))
		}
		p.Units = append(p.Units, u)
		r.Rota.SustainedT += u.logs(s.Usual) / float64(s.Usual)
		if s.Hedge() {
			r.Rota.AreaControlM += s.LengthM / float64(s.Usual)
		} else {
			r.Rota.AreaControlM2 += s.AreaM2 / float64(s.Usual)
		}
	}
	p.Target = r.Rota.SustainedT
	if want := r.Heat.WantedKWh; want > 0 {
		need := want / r.Heat.Efficiency / KWhPerDryTonne(figure("ncv_broadleaf").Mid, figure("ready_moisture").Mid) / (1 - lossOver(2))
		p.Target = math.Min(p.Target, need)
	}
	if p.Target <= 0 {
		p.Target = 1
	}
	r.Rota.TargetT = p.Target
	// One section may give more than a winter wants: logs keep, so several winters are then looked at together.
	p.Over = 1
	for i := range p.Units {
		p.Over = max(p.Over, int(math.Ceil(p.Units[i].logs(p.Units[i].Usual)/p.Target)))
	}
	for i := range p.Units {
		p.Over = max(1, min(p.Over, p.Units[i].Least))
	}
	r.Rota.Over = p.Over
	return p
}

// hedgeM is the living length of all hedges, whatever is done with them.
func (in *Input) hedgeM() float64 {
	sum := 0.0
	for _, f := range in.Plan.Of(planner.KindHedge) {
		if l := in.Out.Of(f.ID); l != nil && l.Line != nil {
			for _, r := range l.Line.Runs {
				sum += r.ToM - r.FromM
			}
		}
	}
	return sum
}

// logShare is the share of a cut at an age that makes logs; what is taken out of a laid hedge is side branches.
func (s *Section) logShare(age int) float64 {
	if s.Method == Lay {
		return math.Min(LogShare(float64(age)), figure("log_share_young").Mid)
	}
	return LogShare(float64(age))
}

// lossOver is the share of dry mass that logs lose until they are burnt so many winters later: 0.25 percent a month from February
// to November.
func lossOver(winters int) float64 {
	return figure("loss_poles_month").Mid / 100 * (9 + 12*float64(winters-1))
}

// balance weighs.
type balance struct {
	*Input
	r    *Result
	laid map[int]float64 // m3 of mulch laid by winter
}

// cut weighs what each winter cuts.
func (b *balance) cut() {
	r := b.r
	r.Winters = make([]Winter, b.Winters)
	for y := range r.Winters {
		r.Winters[y].Winter = r.First + y
	}
	for i := range r.Sections {
		s := &r.Sections[i]
		last := s.Born
		for _, w := range r.Cuts[i] {
			c := Cutting{Section: i, Age: w - last, Dry: s.Dry(w - last)}
			last = w
			x := &r.Winters[w-r.First]
			x.Cut = append(x.Cut, c)
			x.CutM += s.LengthM
			x.CutM2 += s.AreaM2
			x.Dry = x.Dry.plus(c.Dry)
			for _, p := range s.parts() {
				x.Stems = x.Stems.plus(c.Dry.times(s.logShare(c.Age) * p.Share / density(p)))
			}
		}
	}
}

// demand says what chip each winter wants.
func (b *balance) demand() {
	r, h := b.r, &b.Plan.Holding
	b.laid = map[int]float64{}
	for _, m := range lists.MulchByFeature(b.Plan, b.Out) {
		b.laid[b.plantedIn(m.Feature)] += m.OwnM3()
		b.layFills(m)
	}
	var use planner.ChipUse
	if h.ChipUse != nil {
		use = *h.ChipUse
	}
	r.Browns = BrownsFor(use.CompostGreenM3)
	browns := r.Browns.PracticeM3
	if b.CompostMix {
		browns = r.Browns.FormulaM3
	}
	lost := 1 - Left(figure("mulch_decay").Mid, 1)
	for y := range r.Winters {
		w := &r.Winters[y]
		mulch := b.laid[w.Winter]
		for back := 1; back <= b.MulchYears; back++ {
			mulch += lost * b.laid[w.Winter-back]
		}
		want := map[string]float64{UseMulch: mulch, UseCompost: browns, UseBedding: use.BeddingM3, UsePaths: use.PathsM3}
		for _, u := range h.Uses {
			if k := slices.Index(chipUses, u); k >= 0 && want[u] > 0 {
				w.Needs = append(w.Needs, Need{Use: u, WantedM3: want[u]})
				w.Needed += want[u]
			}
		}
	}
}

// plantedIn is the winter in which a feature's planned plants are planted.
func (b *balance) plantedIn(f *planner.Feature) int {
	switch {
	case f.Planted > 0:
		return f.Planted
	case b.Plan.Holding.PlantingWinter > 0:
		return b.Plan.Holding.PlantingWinter
	}
	return b.r.First
}

// fills plans every gap of an existing hedge in the rota that is filled, or closed by laying a neighbour across it, for the first
// winter in which the section beside it is cut.
func (b *balance) fills() {
	r := b.r
	for _, f := range b.Plan.Of(planner.KindHedge) {
		l := b.Out.Of(f.ID)
		if l == nil || l.Line == nil || f.IsPlanned() {
			continue
		}
		for _, o := range l.Line.Openings {
			if o.Plants == 0 && o.Action != setout.CloseByLaying {
				continue
			}
			best, far := -1, math.Inf(1)
			for i := range r.Sections {
				s := &r.Sections[i]
				if s.Feature != f || len(r.Cuts[i]) == 0 {
					continue
				}
				if d := math.Max(s.FromM-o.ToM, o.FromM-s.ToM); d < far {
					best, far = i, d
				}
			}
			if best < 0 {
				continue
			}
			r.Fills = append(r.Fills, Fill{Section: r.Sections[best].ID, FromM: o.FromM, ToM: o.ToM, Plants: o.Plants, Winter: r.Cuts[best][0], Action: o.Action})
		}
	}
}

// layFills lays the mulch of a feature's fills in the winters of the fills, by their plants; in the planting winter where the hedge is
// not in the rota.
func (b *balance) layFills(m lists.FeatureMulch) {
	if m.FillsM2 == 0 {
		return
	}
	total := 0
	l := b.Out.Of(m.Feature.ID)
	for _, o := range l.Line.Openings {
		total += o.Plants
	}
	given := 0
	for _, f := range b.r.Fills {
		if !sectionOf(b.r, f.Section, m.Feature) {
			continue
		}
		b.laid[f.Winter] += m.FillsM3() * float64(f.Plants) / float64(total)
		given += f.Plants
	}
	b.laid[b.plantedIn(m.Feature)] += m.FillsM3() * float64(total-given) / float64(max(total, 1))
}

func sectionOf(r *Result, id string, f *planner.Feature) bool {
	for i := range r.Sections {
		if r.Sections[i].ID == id {
			return r.Sections[i].Feature == f
		}
	}
	return false
}
