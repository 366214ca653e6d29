package web

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"runtime/debug"
	"time"

	"quickthorn/planner"
	"quickthorn/planner/report"
)

// A try is what a change not made yet would come to. Whoever lets go of a corner makes the very change that was tried last: the edit
// then takes over what the trial worked out, or is still working out, instead of beginning anew.
type try struct {
	revision int64 // what the change is made on
	change   [sha256.Size]byte
	year     int

	plan *planner.Plan
	done chan struct{} // closed when report, sheet and err stand
	stop context.CancelFunc

	report *report.Report // without the slow rules
	sheet  []byte         // JSON
	err    error

	waiting int // guarded by the desk's mutex
}

// How long a try goes on when whoever asked has gone: the edit that follows a trial comes at once.
const tryLingers = 500 * time.Millisecond

// changeOf tells changes apart: what is put, to the letter, and what is deleted.
func changeOf(e planner.Edit) (sum [sha256.Size]byte) {
	h := sha256.New()
	part := func(text []byte) {
		_ = binary.Write(h, binary.BigEndian, uint64(len(text))) // a hash takes all that is written
		h.Write(text)
	}
	for _, f := range e.Put {
		part(f)
	}
	part(nil)
	for _, id := range e.Delete {
		part([]byte(id))
	}
	h.Sum(sum[:0])
	return sum
}

// try works out the sheet after a change on a state, without the slow rules, or joins whoever does so already. Of each holding the
// newest try is kept.
func (d *desk) try(ctx context.Context, st *state, e planner.Edit, next *planner.Plan, year int) (*try, error) {
	id, change := st.holding.ID, changeOf(e)
	d.mu.Lock()
	t := d.tries[id]
	if t == nil || t.revision != st.holding.Revision || t.change != change || t.year != year {
		if t != nil && t.waiting == 0 {
			t.stop()
		}
		t = d.begin(ctx, id, &try{revision: st.holding.Revision, change: change, year: year, plan: next, done: make(chan struct{})})
	}
	t.waiting++
	d.mu.Unlock()
	return t, d.wait(ctx, t)
}

// begin starts a try and keeps it; the desk's mutex is held.
func (d *desk) begin(ctx context.Context, id string, t *try) *try {
	ctx, t.stop = context.WithCancel(context.WithoutCancel(ctx))
	if len(d.tries) >= deskStates && d.tries[id] == nil {
		clear(d.tries)
	}
	d.tries[id] = t
	go func() {
		defer t.stop()
		defer close(t.done)
		defer func() {
			if p := recover(); p != nil {
				t.err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
			}
			if t.err != nil {
				d.drop(id, t)
			}
		}()
		if t.report, t.err = d.work(ctx, t.plan, t.year, nil, true); t.err == nil {
			t.sheet, t.err = toJSON(t.report.Sheet())
		}
	}()
	return t
}

func (d *desk) drop(id string, t *try) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.tries[id] == t {
		delete(d.tries, id)
	}
}

// wait waits for a try that counts the caller among those waiting.
func (d *desk) wait(ctx context.Context, t *try) error {
	defer func() {
		d.mu.Lock()
		defer d.mu.Unlock()
		if t.waiting--; t.waiting == 0 {
			time.AfterFunc(tryLingers, func() {
				d.mu.Lock()
				defer d.mu.Unlock()
				if t.waiting == 0 {
					t.stop()
				}
			})
		}
	}()
	select {
	case <-t.done:
		return t.err
	case <-ctx.Done():
		return ctx.Err()
	}
}

// tried is the try of this very change on a state, in whatever year, or nil.
func (d *desk) tried(st *state, e planner.Edit) *try {
	change := changeOf(e)
	d.mu.Lock()
	defer d.mu.Unlock()
	if t := d.tries[st.holding.ID]; t != nil && t.revision == st.holding.Revision && t.change == change {
		return t
	}
	return nil
}

// takeOver is the report of the try that a state came of, in its year; nil where there is none or it came to nothing.
func (d *desk) takeOver(ctx context.Context, st *state, year int) (*report.Report, error) {
	t := st.try
	if t == nil || t.year != year {
		return nil, nil
	}
	d.mu.Lock()
	t.waiting++
	d.mu.Unlock()
	if err := d.wait(ctx, t); err != nil {
		return nil, ctx.Err() // one that failed or was stopped is worked out anew
	}
	return t.report, nil
}
