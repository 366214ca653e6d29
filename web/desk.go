package web

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"slices"
	"sync"

	"quickthorn/planner"
	"quickthorn/planner/report"
	"quickthorn/planner/store"
)

// A desk keeps the plans that are being worked on as they were last read, and what was worked out from them, so that a trial or an
// edit need not read the whole plan anew. Everything on it can be had from the store again at any time.
//
// Invariant: a state is one revision of one holding and is never altered, but for the reports that are added to it.
type desk struct {
	store  Store
	engine *report.Engine
	room   chan struct{} // one place for each report that is worked out at once

	mu     sync.Mutex
	states []*state        // the one used last comes last
	tries  map[string]*try // by holding
}

// Most that lies on the desk.
const (
	deskStates = 8
	deskBytes  = 64 << 20 // of plan text; one larger plan lies there alone
	deskYears  = 4        // reports of one state
)

func newDesk(s Store, engine *report.Engine) *desk {
	return &desk{store: s, engine: engine, room: make(chan struct{}, runtime.GOMAXPROCS(0)), tries: map[string]*try{}}
}

// A state is one revision of a holding.
type state struct {
	holding store.Holding
	plan    *planner.Plan
	bytes   int

	turn    chan struct{} // held by whoever adds a report
	reports map[int]*report.Report
	years   []int // of reports, the oldest first
	fields  *fieldShelf
	try     *try // the trial of the change that led here, or nil
}

// at is the holding as it is now.
func (d *desk) at(ctx context.Context, id string) (*state, error) {
	h, err := d.store.Holding(ctx, id)
	if err != nil {
		return nil, err
	}
	if st := d.find(h); st != nil {
		return st, nil
	}
	data, h, err := d.store.Plan(ctx, id)
	if err != nil {
		return nil, err
	}
	plan, err := planner.Read(data, planner.ReadOptions{MaxBytes: int64(len(data)) + 1})
	if err != nil {
		return nil, err
	}
	return d.put(h, plan, len(data), nil), nil
}

func (d *desk) find(h store.Holding) *state {
	d.mu.Lock()
	defer d.mu.Unlock()
	for i, st := range d.states {
		// No revision names two states, even of a holding that was deleted and made anew.
		if st.holding.ID == h.ID && st.holding.Revision == h.Revision {
			d.states = append(slices.Delete(d.states, i, i+1), st)
			return st
		}
	}
	return nil
}

// put lays a revision on the desk in the place of an older one; t is the try of the change that led to it, if there was one.
func (d *desk) put(h store.Holding, plan *planner.Plan, bytes int, t *try) *state {
	st := &state{holding: h, plan: plan, bytes: bytes, turn: make(chan struct{}, 1), reports: map[int]*report.Report{}, fields: newFieldShelf(), try: t}
	if t != nil {
		st.plan = t.plan
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if old := d.tries[h.ID]; old != nil && old.revision < h.Revision {
		if old != t && old.waiting == 0 {
			old.stop()
		}
		delete(d.tries, h.ID)
	}
	for _, other := range d.states {
		if other.holding.ID == h.ID && other.holding.Revision > h.Revision {
			return st // someone was quicker with a newer one
		}
	}
	d.states = slices.DeleteFunc(d.states, func(other *state) bool { return other.holding.ID == h.ID })
	d.states = append(d.states, st)
	total := 0
	for i := len(d.states) - 1; i >= 0; i-- {
		total += d.states[i].bytes
		if len(d.states)-i > deskStates || total > deskBytes && i < len(d.states)-1 {
			d.states = slices.Delete(d.states, 0, i+1)
			break
		}
	}
	return st
}

// report is the report on a state in a year, whole. It is worked out once.
func (d *desk) report(ctx context.Context, st *state, year int) (*report.Report, error) {
	return d.reportOf(ctx, st, year, false)
}

// quickReport is the report without the slow rules, unless the whole one is there already.
func (d *desk) quickReport(ctx context.Context, st *state, year int) (*report.Report, error) {
	return d.reportOf(ctx, st, year, true)
}

func (d *desk) reportOf(ctx context.Context, st *state, year int, quick bool) (*report.Report, error) {
	select {
	case st.turn <- struct{}{}:
		defer func() { <-st.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if r := st.reports[year]; r != nil && (quick || len(r.Later) == 0) {
		return r, nil
	}
	r, err := d.takeOver(ctx, st, year)
	if r != nil && !quick {
		r, err = d.work(ctx, st.plan, year, r, false)
	} else if r == nil && err == nil {
		r, err = d.work(ctx, st.plan, year, st.anyReport(), quick)
	}
	if err != nil {
		return nil, err
	}
	if st.reports[year] != nil { // the quick one
		st.reports[year] = r
		return r, nil
	}
	if len(st.years) == deskYears {
		delete(st.reports, st.years[0])
		st.years = st.years[1:]
	}
	st.reports[year] = r
	st.years = append(st.years, year)
	return r, nil
}

// anyReport is a report of any year, or nil.
func (st *state) anyReport() *report.Report {
	if len(st.years) == 0 {
		return nil
	}
	return st.reports[st.years[0]]
}

// work reports on a plan, quick without the slow rules. Where another report is there its positions are taken over: they depend neither on the year nor on the rules. When ctx
// ends it returns at once; what is under way then keeps its place in the room until it has come to an end.
func (d *desk) work(ctx context.Context, plan *planner.Plan, year int, other *report.Report, quick bool) (*report.Report, error) {
	select {
	case d.room <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	type result struct {
		report *report.Report
		err    error
	}
	done := make(chan result, 1)
	go func() {
		defer func() { <-d.room }()
		defer func() {
			if p := recover(); p != nil {
				done <- result{err: fmt.Errorf("panic: %v\n%s", p, debug.Stack())}
			}
		}()
		r, err := d.reckon(ctx, plan, year, other, quick)
		done <- result{r, err}
	}()
	select {
	case r := <-done:
		return r.report, r.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (d *desk) reckon(ctx context.Context, plan *planner.Plan, year int, other *report.Report, quick bool) (*report.Report, error) {
	if other != nil {
		r := *other
		r.Year, r.Quick = year, quick
		return &r, r.Check(ctx)
	}
	r, err := d.of(plan, year)
	if err != nil {
		return nil, err
	}
	if err := r.SetOut(ctx); err != nil {
		return nil, err
	}
	r.Quick = quick
	return r, r.Check(ctx)
}

// of chooses the rule set. One that cannot be had here (a user's own file, a name misspelt) must not keep the plan from being drawn:
// general stands in for it, and a finding says so.
func (d *desk) of(plan *planner.Plan, year int) (*report.Report, error) {
	opt := report.Options{Year: year}
	r, err := d.engine.Of(plan, opt)
	var p *planner.Problem
	if err == nil || !errors.As(err, &p) {
		return r, err
	}
	tame := *plan
	tame.Holding.RuleSet = "general"
	tame.Faults = append(slices.Clone(plan.Faults), planner.Fault{Rule: "input.property", Severity: planner.Stop, Property: "rule_set",
		Message: "The holding: " + p.What + " " + p.Mend + " Until then the plan is held against general."})
	return d.engine.Of(&tame, opt)
}

// forget takes a holding off the desk.
func (d *desk) forget(id string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.states = slices.DeleteFunc(d.states, func(st *state) bool { return st.holding.ID == id })
	delete(d.tries, id)
}
