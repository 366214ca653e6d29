package journey

import (
	"context"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/store"
	"quickthorn/testdata"
	"quickthorn/web"
)

// rename changes the name of a feature through the page's own queue.
const rename = `quickthorn.sync.edit({ note: 'Renamed', put: [(() => { const f = quickthorn.store.get().sheet.features.find((f) => f.id === %ID%); return { type: 'Feature', id: f.id, properties: { ...f.properties, name: %NAME% }, geometry: f.geometry }; })()], delete: [] }) && 1`

func renaming(id, name string) string {
	return strings.NewReplacer("%ID%", "'"+id+"'", "%NAME%", "'"+name+"'").Replace(rename)
}

func named(id, name string) string {
	return `quickthorn.store.get().sheet.features.some((f) => f.id === '` + id + `' && f.properties.name === '` + name + `')`
}

func TestTwoWindowsOnOneHolding(t *testing.T) {
	at, _ := serve(t, map[string][]byte{"demo": testdata.Demo})
	a, b := open(t, at, "/#demo", desk), open(t, at, "/#demo", desk)
	b.expect("412") // the browser logs the refusal that the page then deals with
	a.until(`quickthorn.store.get().sheet`)
	b.until(`quickthorn.store.get().sheet`)

	a.eval(renaming("shed", "Barn"), nil)
	a.until(named("shed", "Barn"))
	b.until(named("shed", "Barn")) // the second window follows by itself

	// Both change the plan at once, the second on a revision that is stale by then: neither change is lost.
	a.eval(renaming("yew", "Old yew"), nil)
	b.eval(renaming("well", "Deep well"), nil)
	for _, w := range []*window{a, b} {
		w.until(named("yew", "Old yew"))
		w.until(named("well", "Deep well"))
		w.settled()
	}
}

func TestTheServerGoesAwayInTheMiddleOfAnEdit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "quickthorn.db")
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	addr := listener.Addr().String()
	// start is the server on the same store and address; stop ends it at once, in the middle of whatever it was doing.
	start := func(l net.Listener) (stop func()) {
		s, err := store.Open(context.Background(), path, nil)
		require.NoError(t, err)
		if _, err := s.Holding(context.Background(), "demo"); err != nil {
			_, err := s.Create(context.Background(), "demo", testdata.Demo, "Brought in")
			require.NoError(t, err)
		}
		h, err := web.New(s, engineOf(t), web.Options{})
		require.NoError(t, err)
		srv := &http.Server{Handler: h, ReadHeaderTimeout: time.Minute}
		go func() { _ = srv.Serve(l) }()
		return func() {
			_ = srv.Close()
			_ = s.Close()
		}
	}
	stop := start(listener)
	w := open(t, "http://"+addr, "/#demo", desk)
	w.expect("ERR_CONNECTION")
	w.expect("ERR_EMPTY_RESPONSE")
	w.expect("Failed to load resource")
	w.until(`quickthorn.store.get().sheet`)
	stop()

	w.eval(`(() => { `+renaming("shed", "Barn")+`; return 1; })()`, nil)
	w.until(`!quickthorn.store.get().online && quickthorn.store.get().pending.length === 1`)
	w.until(`document.getElementById('status').textContent.includes('kept here')`)
	assert.Contains(t, w.text(`localStorage.getItem('quickthorn.unsent') ?? ''`), "Barn", "kept across a reload too")

	again, err := net.Listen("tcp", addr)
	require.NoError(t, err)
	stop = start(again)
	defer stop()
	w.until(named("shed", "Barn"))
	w.settled()
	w.until(`quickthorn.store.get().online`)
}
