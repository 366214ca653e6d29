package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
)

// trying is a desk with the demo on it and a change of it.
func trying(t *testing.T) (p *place, d *desk, st *state, e planner.Edit, next *planner.Plan) {
	t.Helper()
	p = serve(t, Options{})
	d = newDesk(p.store, engine)
	st, err := d.at(t.Context(), "demo")
	require.NoError(t, err)
	c, err := readChange([]byte(`{"metres":true,"put":[` + hedge("h", -30, -70, 12, -70) + `]}`))
	require.NoError(t, err)
	e, _, err = c.edit(st.plan)
	require.NoError(t, err)
	next, err = applied(st.plan, e)
	require.NoError(t, err)
	return p, d, st, e, next
}

// The edit takes over what the trial of the same change worked out; what comes after a trial of another change, year or revision does not.
// A server on which nothing was tried gives the same sheet to the letter.
func TestAnEditTakesOverItsTrial(t *testing.T) {
	p, d, st, e, next := trying(t)
	got, err := d.try(t.Context(), st, e, next, 0)
	require.NoError(t, err)
	again, err := d.try(t.Context(), st, e, next, 0)
	require.NoError(t, err)
	assert.Same(t, got, again, "the same question is asked once")

	other := e
	other.Delete = []string{"shed"}
	assert.Nil(t, d.tried(st, other))
	renamed := e
	renamed.Note = "another note"
	require.Same(t, got, d.tried(st, renamed), "the note changes nothing on the land")

	h := st.holding
	h.Revision++
	after := d.put(h, next, 10, d.tried(st, e))
	quick, err := d.quickReport(t.Context(), after, 0)
	require.NoError(t, err)
	assert.Same(t, got.report, quick)
	assert.Same(t, got.plan, after.plan, "the report and the state are of one plan")
	year, err := d.quickReport(t.Context(), after, 7)
	require.NoError(t, err)
	assert.Equal(t, 7, year.Year)
	whole, err := d.report(t.Context(), after, 0)
	require.NoError(t, err)
	assert.Empty(t, whole.Later)
	assert.Nil(t, d.tried(after, e), "what was tried on an older revision is over")
	assert.Empty(t, d.tries)

	body := `{"metres":true,"put":[` + hedge("h", -30, -70, 12, -70) + `]}`
	fresh := p.ask("POST", "/holdings/demo/edits?sheet=1", body, "If-Match", p.tag("demo")).is(http.StatusOK)
	var a struct{ Sheet json.RawMessage }
	fresh.into(&a)
	assert.Equal(t, strings.TrimSpace(string(got.sheet)), string(a.Sheet))
}

// A trial whose asker has gone goes on for a moment: the edit that follows joins it while it is under way.
func TestAnEditJoinsItsTrialUnderWay(t *testing.T) {
	_, d, st, e, next := trying(t)
	for range cap(d.room) {
		d.room <- struct{}{} // nothing can be worked out for now
	}
	ctx, cancel := context.WithCancel(t.Context())
	gone := make(chan error, 1)
	go func() { _, err := d.try(ctx, st, e, next, 0); gone <- err }()
	require.Eventually(t, func() bool { return d.tried(st, e) != nil }, 10*time.Second, time.Millisecond)
	under := d.tried(st, e)

	h := st.holding
	h.Revision++
	after := d.put(h, next, 10, under)
	joined := make(chan error, 1)
	go func() {
		r, err := d.quickReport(t.Context(), after, 0)
		if err == nil && r != under.report {
			err = errors.New("it was worked out anew")
		}
		joined <- err
	}()
	require.Eventually(t, func() bool { d.mu.Lock(); defer d.mu.Unlock(); return under.waiting == 2 }, 10*time.Second, time.Millisecond)
	cancel()
	require.ErrorIs(t, <-gone, context.Canceled)
	for range cap(d.room) {
		<-d.room
	}
	require.NoError(t, <-joined)
}

// A trial that nobody waits for any more is stopped, and forgotten: it does not stand in for what comes later.
func TestATrialThatNobodyWaitsForEnds(t *testing.T) {
	_, d, st, e, next := trying(t)
	for range cap(d.room) {
		d.room <- struct{}{}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := d.try(ctx, st, e, next, 0)
	require.ErrorIs(t, err, context.Canceled)
	require.Eventually(t, func() bool { return d.tried(st, e) == nil }, 20*time.Second, 10*time.Millisecond)

	// A state that came of a trial which was stopped is worked out by itself.
	lost := &try{done: make(chan struct{}), stop: func() {}, err: context.Canceled}
	close(lost.done)
	lost.plan = next
	h := st.holding
	h.Revision++
	after := d.put(h, next, 10, lost)
	for range cap(d.room) {
		<-d.room
	}
	r, err := d.quickReport(t.Context(), after, 0)
	require.NoError(t, err)
	assert.NotNil(t, r)
}

// A newer trial of a holding stops an older one that nobody waits for, and no trial outlives its holding.
func TestOnlyTheNewestTrialIsKept(t *testing.T) {
	_, d, st, e, next := trying(t)
	first, err := d.try(t.Context(), st, e, next, 0)
	require.NoError(t, err)
	second, err := d.try(t.Context(), st, e, next, 3)
	require.NoError(t, err)
	assert.NotSame(t, first, second)
	assert.Same(t, second, d.tried(st, e))
	assert.Len(t, d.tries, 1)
	d.forget("demo")
	assert.Empty(t, d.tries)
}
