package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/store"
)

// 20 writers on one holding, each of whom looks, changes on what it saw, and begins again where another was quicker: every
// acknowledged edit is there, none was made on anything but what its maker saw, and every conflict is 412.
func TestTwentyWriters(t *testing.T) {
	p := serve(t, Options{})
	const writers, each = 20, 5
	var conflicts, done atomic.Int64
	var wg sync.WaitGroup
	revisions := sync.Map{}
	for w := range writers {
		wg.Go(func() {
			for n := 0; n < each; {
				tag := p.tag("demo")
				a := p.ask("POST", "/holdings/demo/edits", fmt.Sprintf(`{"put":[%s]}`, feature(fmt.Sprintf("w-%d-%d", w, n), "well", -2.584, 53.9855)), "If-Match", tag)
				switch a.status {
				case http.StatusOK:
					var e edited
					assert.NoError(t, json.Unmarshal(a.body, &e))
					assert.Equal(t, tagOf(e.Revision-1), tag, "made on what was seen, and on nothing later")
					_, twice := revisions.LoadOrStore(e.Revision, true)
					assert.False(t, twice)
					n++
					done.Add(1)
				case http.StatusPreconditionFailed:
					conflicts.Add(1)
				default:
					t.Errorf("%d: %s", a.status, a.body)
					return
				}
			}
		})
	}
	wg.Wait()
	require.EqualValues(t, writers*each, done.Load())
	plan := p.planOf("demo")
	for w := range writers {
		for n := range each {
			assert.Contains(t, plan, fmt.Sprintf(`"w-%d-%d"`, w, n))
		}
	}
	assert.Equal(t, tagOf(1+writers*each), p.tag("demo"))
	t.Logf("%d edits, %d conflicts", done.Load(), conflicts.Load())
}

// 20 at once on the very same revision: one is acknowledged, 19 are 412, nothing else is answered.
func TestOneOfTwentyWins(t *testing.T) {
	p := serve(t, Options{})
	for round := range 5 {
		tag := p.tag("demo")
		var won, lost atomic.Int64
		var wg sync.WaitGroup
		start := make(chan struct{})
		for w := range 20 {
			wg.Go(func() {
				<-start
				switch a := p.ask("POST", "/holdings/demo/edits?sheet=1", fmt.Sprintf(`{"put":[%s]}`, feature(fmt.Sprint("w", w), "well", -2.584, 53.98+float64(round)/1000)), "If-Match", tag); a.status {
				case http.StatusOK:
					won.Add(1)
				case http.StatusPreconditionFailed:
					lost.Add(1)
				default:
					t.Errorf("%d: %s", a.status, a.body)
				}
			})
		}
		close(start)
		wg.Wait()
		assert.EqualValues(t, 1, won.Load())
		assert.EqualValues(t, 19, lost.Load())
	}
}

// Writers of different features under the features' own tags do not get into each other's way.
func TestWritersOfDifferentFeatures(t *testing.T) {
	p := serve(t, Options{})
	var put []string
	for w := range 8 {
		put = append(put, feature(fmt.Sprint("w", w), "well", -2.584, 53.9855))
	}
	p.edit("demo", `{"put":[`+strings.Join(put, ",")+`]}`)
	var wg sync.WaitGroup
	for w := range 8 {
		wg.Go(func() {
			path := fmt.Sprint("/holdings/demo/features/w", w)
			tag := p.ask("GET", path, nil).tag()
			for n := range 5 {
				a := p.ask("PUT", path, fmt.Sprintf(`{"type":"Feature","properties":{"kind":"well","n":%d},"geometry":null}`, n), "If-Match", tag)
				assert.Equal(t, http.StatusOK, a.status, "%s", a.body)
				tag = a.tag()
			}
		})
	}
	wg.Wait()
	assert.Equal(t, 8, strings.Count(p.planOf("demo"), `"n":4`))
}

// failing is a store that fails.
type failing struct {
	Store
	err  error
	wait time.Duration
}

func (f failing) Edit(ctx context.Context, _ string, _ int64, _ planner.Edit) (store.Holding, []string, error) {
	return store.Holding{}, nil, f.err
}

func (f failing) Holdings(ctx context.Context) ([]store.Holding, error) {
	if f.wait > 0 {
		select {
		case <-time.After(f.wait):
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	return nil, f.err
}

// What goes wrong with the machine is said in plain words, and the path of the store and the cause stay at home.
func TestFaultsOfTheMachine(t *testing.T) {
	p := serve(t, Options{})
	secret := errors.New("disk I/O failure at /home/me/quickthorn.db")
	for _, c := range []struct {
		err  error
		kind kind
	}{
		{&store.Trouble{Path: "/home/me/quickthorn.db", What: "full", Kind: store.ErrFull, Err: secret}, noRoom},
		{&store.Trouble{Path: "/home/me/quickthorn.db", What: "ro", Kind: store.ErrReadOnly, Err: secret}, noWriting},
		{&store.Trouble{Path: "/home/me/quickthorn.db", What: "busy", Kind: store.ErrBusy, Err: secret}, busy},
		{&store.Trouble{Path: "/home/me/quickthorn.db", What: "damaged", Kind: store.ErrDamaged, Err: secret}, trouble},
		{&store.Trouble{Path: "/home/me/quickthorn.db", What: "disk", Kind: store.ErrDisk, Err: secret}, trouble},
		{fmt.Errorf("wrapped: %w", secret), broken},
		{fmt.Errorf("wrapped: %w", store.ErrStale), stale},
		{context.DeadlineExceeded, tooLong},
		{&planner.Problem{File: "/home/me/quickthorn.db", Feature: "h", Property: "rows", What: "It cannot be.", Mend: "Do this."}, unusable},
	} {
		var told error
		q := serveOn(t, failing{Store: p.store, err: c.err}, Options{Fault: func(_, _ string, cause error) { told = cause }})
		a := q.ask("POST", "/holdings/demo/edits", `{"put":[`+feature("w", "well", -2.584, 53.9855)+`]}`, "If-Match", q.tag("demo"))
		d := a.problem(c.kind)
		assert.NotContains(t, string(a.body), "/home")
		if c.kind.status >= 500 {
			assert.ErrorIs(t, told, c.err)
		}
		if c.kind.slug == unusable.slug {
			assert.Equal(t, "h", d.Feature)
			assert.Equal(t, "rows", d.Property)
			assert.Equal(t, "Do this.", d.Mend)
		}
	}
}

func TestTimeLimit(t *testing.T) {
	p := serveOn(t, failing{wait: time.Minute}, Options{MaxTime: 50 * time.Millisecond})
	a := p.ask("GET", "/holdings", nil)
	a.problem(tooLong)
	assert.NotEmpty(t, a.header.Get("Retry-After"))
}

// Work that takes longer than is allowed is given up, also in the middle of a step that does not look at the time.
func TestTimeLimitOfWork(t *testing.T) {
	p := serve(t, Options{MaxTime: time.Second})
	d := newDesk(p.store, engine)
	st, err := d.at(context.Background(), "demo")
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(context.Background(), time.Millisecond)
	defer cancel()
	_, err = d.report(ctx, st, 0)
	require.ErrorIs(t, err, context.DeadlineExceeded)
	_, err = d.report(context.Background(), st, 0)
	require.NoError(t, err, "the next one is answered")

	for range cap(d.room) {
		d.room <- struct{}{}
	}
	ctx, cancel = context.WithTimeout(context.Background(), time.Millisecond)
	defer cancel()
	_, err = d.report(ctx, st, 1)
	require.ErrorIs(t, err, context.DeadlineExceeded, "also where there is no room")
}

// Only so much lies on the desk, and a holding lies there once.
func TestDeskStaysSmall(t *testing.T) {
	p := serve(t, Options{})
	d := newDesk(p.store, engine)
	demo, err := d.at(context.Background(), "demo")
	require.NoError(t, err)
	for i := range 3 * deskStates {
		d.put(store.Holding{ID: fmt.Sprint("h", i), Revision: 1}, demo.plan, 1000, nil)
		assert.LessOrEqual(t, len(d.states), deskStates)
	}
	last := store.Holding{ID: "h", Revision: 5}
	d.put(last, demo.plan, 2*deskBytes, nil)
	assert.Len(t, d.states, 1, "a large one lies there alone")
	d.put(store.Holding{ID: "h", Revision: 4}, demo.plan, 10, nil)
	assert.NotNil(t, d.find(last), "a newer one stays")
	d.put(store.Holding{ID: "h", Revision: 6}, demo.plan, 10, nil)
	assert.Nil(t, d.find(last))
	assert.Len(t, d.states, 1)
	d.forget("h")
	assert.Empty(t, d.states)
}

// A panic is an answer like any other, and does not end the program.
func TestPanic(t *testing.T) {
	var told error
	p := serveOn(t, failing{}, Options{Fault: func(_, _ string, cause error) { told = cause }}) // a Store without methods
	p.ask("GET", "/holdings/demo", nil).problem(broken)
	require.ErrorContains(t, told, "panic")
	p.ask("GET", "/holdings", nil).is(http.StatusOK)
}

// Every kind of problem is in the table once, has words, and is explained at its address.
func TestKindsOfProblems(t *testing.T) {
	p := serve(t, Options{})
	seen := map[string]bool{}
	for _, k := range kinds {
		assert.False(t, seen[k.slug])
		seen[k.slug] = true
		assert.NotEmpty(t, k.title)
		assert.NotEmpty(t, k.mend)
		assert.NotContains(t, strings.ToLower(k.title+k.mend), "error")
		assert.Contains(t, string(p.ask("GET", "/problems/"+k.slug, nil).is(http.StatusOK).body), k.title)
	}
	for _, m := range meaning {
		assert.True(t, seen[m.kind.slug])
	}
}
