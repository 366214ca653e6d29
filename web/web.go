// Package web answers over HTTP: the page and its files, and the resources that page and other programs read and change. It holds
// no plan of its own: every change goes to the store, everything shown is worked out from what the store has.
package web

import (
	"context"
	"encoding/json"
	"net/http"
	"time"

	"quickthorn/planner"
	"quickthorn/planner/report"
	"quickthorn/planner/store"
)

// Store is what the handlers need of planner/store. Every change names the revision it was made on; where another came first it is
// refused with store.ErrStale and nothing is changed.
type Store interface {
	Holdings(ctx context.Context) ([]store.Holding, error)
	Holding(ctx context.Context, id string) (store.Holding, error)
	Create(ctx context.Context, id string, plan []byte, note string) (store.Holding, error)
	Plan(ctx context.Context, id string) ([]byte, store.Holding, error)
	Replace(ctx context.Context, id string, rev int64, plan []byte, note string) (store.Holding, error)
	Delete(ctx context.Context, id string, rev int64) error
	Edit(ctx context.Context, id string, rev int64, e planner.Edit) (store.Holding, []string, error)
	Settings(ctx context.Context, id string, rev int64, holding json.RawMessage, note string) (store.Holding, error)
	Undo(ctx context.Context, id string, rev int64) (store.Holding, error)
	Redo(ctx context.Context, id string, rev int64) (store.Holding, error)
	History(ctx context.Context, id string, most int) ([]store.Entry, error)
	Picture(ctx context.Context, id, name string) ([]byte, string, error)
	SetPicture(ctx context.Context, id string, rev int64, name, media string, data []byte) (store.Holding, error)
	DeletePicture(ctx context.Context, id string, rev int64, name string) (store.Holding, error)
}

// Options says how the server answers. The zero value serves anybody on the machine.
type Options struct {
	// Passphrase is asked of everybody; "" asks nobody, and is for the loopback address only.
	Passphrase string
	// Names are host names, without a port, under which the server may be asked for besides the address of the connection.
	Names []string
	// MaxBody is the largest body that is read, in bytes; 0 is 50 MB.
	MaxBody int64
	// MaxTime is how long one answer may be worked at; 0 is 30 s.
	MaxTime time.Duration
	// Fault is told what went wrong that nobody but the programmer can mend; nil for nobody.
	Fault func(method, path string, cause error)
}

// Most that is read and held. A holding of a few hectares has some hundreds of features and a plan of some hundreds of kB.
const (
	maxBody     = planner.DefaultMaxBytes
	maxTime     = 30 * time.Second
	maxPicture  = 20 << 20 // of one picture, in bytes
	maxFeatures = 50_000   // put or deleted by one edit
	maxNote     = 500      // characters of the note of an edit
	maxYear     = 100      // years after planting
)

// A server answers requests. It is safe for concurrent use.
type server struct {
	opt        Options
	store      Store
	engine     *report.Engine
	desk       *desk
	assets     map[string]*asset
	vocabulary *asset
	sessions   *sessions
}

// New makes the handler of everything that is served. Requests are looked at in this order: headers for every answer, the name the
// server was asked for, whether a foreign page asks, the passphrase, and only then the routes.
func New(s Store, engine *report.Engine, opt Options) (http.Handler, error) {
	if opt.MaxBody == 0 {
		opt.MaxBody = maxBody
	}
	if opt.MaxTime == 0 {
		opt.MaxTime = maxTime
	}
	if opt.Fault == nil {
		opt.Fault = func(string, string, error) {}
	}
	assets, err := readAssets()
	if err != nil {
		return nil, err
	}
	words, err := vocabularyOf(engine)
	if err != nil {
		return nil, err
	}
	srv := &server{opt: opt, store: s, engine: engine, desk: newDesk(s, engine), assets: assets,
		vocabulary: newAsset("application/json", words), sessions: newSessions(opt.Passphrase)}
	return srv.guarded(srv.router()), nil
}
