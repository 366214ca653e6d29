package report

import (
	"bytes"
	"encoding/json"
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/planner/wood"
)

// WoodInput is what the rota and the balance of wood are made from. SetOut comes first.
func (r *Report) WoodInput() wood.Input {
	return wood.Input{Plan: r.Plan, Site: r.Site, Out: r.Out, Catalogue: r.Catalogue, Set: r.Set}
}

// Wood is the cutting rota of the plan with its balance of logs and chip. SetOut comes first. It costs what wood.Plan costs.
func (r *Report) Wood() *wood.Result { return wood.Plan(r.WoodInput()) }

// WoodPage is what the page draws and tells of the wood: the object of `wood --format json`, the same in sentences, and the shapes of
// the sections in metres.
type WoodPage struct {
	Summary  []string        `json:"summary"`
	Wood     json.RawMessage `json:"wood"`
	Sections []WoodShape     `json:"sections"`
	Woods    []WoodKind      `json:"woods"`
	Dates    []WoodWindow    `json:"dates"`
	NoDates  string          `json:"no_dates,omitempty"` // why none is known
	Uses     []string        `json:"uses"`               // where wood and chip go, in the plan's order
}

// A WoodShape is where a section lies: the line of a length of hedge, or the rings of a coupe; metres of the local frame.
type WoodShape struct {
	ID    string           `json:"id"`
	Path  [][2]float64     `json:"path,omitempty"`
	Rings [][][][2]float64 `json:"rings,omitempty"` // polygons, of rings
	At    [2]float64       `json:"at"`              // a point to look at
	Stop  []string         `json:"stop"`            // what has to be asked before anything else
}

// A WoodKind is one kind of wood of the holding: when it is dry, and what its chip is kept out of.
type WoodKind struct {
	Name    string   `json:"name"`
	Percent float64  `json:"percent"`
	Summers int      `json:"summers"`
	KeptOut []string `json:"kept_out"`
}

// A WoodWindow is from one day to another, as month-day.
type WoodWindow struct {
	What string `json:"what"`
	dates
}

type dates struct {
	From   string `json:"from"`
	Until  string `json:"until"`
	Note   string `json:"note"`
	Source string `json:"source"`
}

// WoodPageOf gathers what the page needs of a result.
func (r *Report) WoodPageOf(res *wood.Result) (*WoodPage, error) {
	var b bytes.Buffer
	if err := wood.WriteJSON(&b, res); err != nil {
		return nil, err
	}
	p := &WoodPage{Summary: res.Summary(), Wood: b.Bytes(), Sections: []WoodShape{}, Woods: []WoodKind{}, Dates: []WoodWindow{}, NoDates: res.Calendar.Says, Uses: append([]string{}, r.Plan.Holding.Uses...)}
	for i := range res.Sections {
		p.Sections = append(p.Sections, r.woodShape(&res.Sections[i]))
	}
	for _, w := range res.Woods {
		after := w.Safe
		if res.Options.Stacking == wood.Good {
			after = w.Good
		}
		p.Woods = append(p.Woods, WoodKind{Name: w.Name, Percent: round(100*w.Share, 1), Summers: after, KeptOut: append([]string{}, w.KeptOut...)})
	}
	for _, d := range calendarOf(res.Calendar) {
		if d.what == "closed" {
			d.of.Note = res.Calendar.Exception
		}
		p.Dates = append(p.Dates, WoodWindow{What: d.what, dates: dates{d.of.From, d.of.Until, d.of.Note, source(d.of.Source)}})
	}
	return p, nil
}

func (r *Report) woodShape(s *wood.Section) WoodShape {
	out := WoodShape{ID: s.ID, At: metres(s.Middle()), Stop: []string{}}
	line := func(l []orb.Point) [][2]float64 {
		var m [][2]float64
		for _, p := range l {
			m = append(m, metres(p))
		}
		return m
	}
	if s.Hedge() {
		out.Path = line(s.Path)
	}
	for _, g := range s.Shape {
		var rings [][][2]float64
		for _, ring := range g {
			rings = append(rings, line(ring))
		}
		out.Rings = append(out.Rings, rings)
	}
	out.Stop = append(out.Stop, r.woodStops(s)...)
	return out
}

// A season is a window of the calendar with what it is for.
type season struct {
	what string // key: bare_root, container, willow_cuttings, coppice, lay, closed
	say  string
	of   wood.Window
}

// calendarOf lists the windows of a calendar that are known, in the order of the work.
func calendarOf(c wood.Calendar) []season {
	all := []season{
		{"bare_root", "plant bare-rooted", c.BareRoot},
		{"container", "plant from pots", c.Container},
		{"willow_cuttings", "set willow cuttings", c.Cuttings},
		{"coppice", "coppice", c.Coppice},
		{"lay", "lay hedges", c.Lay},
		{"closed", "no hedge is cut", c.Closed},
	}
	return slices.DeleteFunc(all, func(s season) bool { return s.of.From == "" || s.of.Until == "" })
}

// FirstCutting is the first winter of a rota in which something is cut; its first winter where nothing ever is.
func FirstCutting(res *wood.Result) int {
	for _, w := range res.Winters {
		if len(w.Cut) > 0 {
			return w.Winter
		}
	}
	return res.First
}
