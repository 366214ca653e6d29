package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/species"
)

func orchardPollination() *Rule {
	return &Rule{
		ID:    "orchard.pollination",
		Title: "every fruiting plant that needs a partner has one",
		Why: "Most apples, pears, gages, cherries and nuts set fruit only with pollen of another cultivar that flowers with them and is not closed to " +
			"them. Each plant of an orchard, a row or on its own that needs one is asked for a partner within reach: 18 m for bees, less for hazel, more for " +
			"chestnut. Whatever stands or is planned on the holding counts as a partner: other features, single trees, wild hazel and crab apples in hedges. " +
			"A triploid gives no pollen, so its partners have to serve each other: each is asked in turn. Plants that stand there already are a note.",
		Severity: planner.Warn,
		Limits: []string{"partner_within_m", "partner_beyond_m", "hazel_partner_within_m", "chestnut_partner_within_m", "group_difference_greatest",
			"overlap_least_days", "triploid_partners_least"},
		Run: runPollination,
	}
}

// A fruitKind is one kind of fruiting plant on the holding.
type fruitKind struct {
	species.Fruiting
	unlisted string // a cultivar that the catalogue does not have
	need     species.Need
	needFrom planner.Source
	at       []orb.Point // of every plant of the kind that could give pollen or fruit
	mothers  []int       // those that are to fruit, by place in Shared.Plants
	index    int         // among the kinds of its pool
}

// name is what a message calls the kind.
func (k *fruitKind) name() string {
	switch {
	case k.unlisted != "":
		return k.unlisted
	case k.Cultivar != nil:
		return k.Cultivar.Name
	}
	return k.Species.Name()
}

type fruitKey struct {
	species  *species.Species
	cultivar string
}

// pollinator holds the kinds and how they serve each other.
type pollinator struct {
	*Pass
	kinds []*fruitKind
	pools map[string][]*fruitKind
	spots map[string]*spots // by pool
}

func runPollination(p *Pass) {
	p.fixedLimits()
	w := &pollinator{Pass: p, pools: map[string][]*fruitKind{}, spots: map[string]*spots{}}
	w.gather()
	for _, k := range w.kinds {
		if len(k.mothers) > 0 && k.need != species.NeedNone {
			w.look(k)
		}
	}
}

// fixedLimits says where a limit of the holding's own changes nothing: the catalogue's tables of groups and dates are worked to as
// they were published.
func (p *Pass) fixedLimits() {
	for _, name := range []string{"group_difference_greatest", "overlap_least_days"} {
		if l, ok := p.Limit(name); ok && l.Source.Confidence == planner.User {
			p.Report(planner.Finding{Severity: planner.Note, Place: name, Source: l.Source,
				Message: fmt.Sprintf("The holding's own limit %s of %s was not worked to: which cultivars flower together is taken from the published groups and dates as they are.", name, p.rule.ID)})
		}
	}
}

func (w *pollinator) gather() {
	by := map[fruitKey]*fruitKind{}
	for i, x := range w.Shared.Plants {
		if x.Species == nil || x.Species.Pool == "" {
			continue
		}
		key := fruitKey{x.Species, x.Cultivar}
		k := by[key]
		if k == nil {
			k = &fruitKind{Fruiting: species.Fruiting{Species: x.Species}}
			if strings.TrimSpace(x.Cultivar) != "" {
				if k.Cultivar, _ = w.Catalogue.Cultivar(x.Species, x.Cultivar); k.Cultivar == nil {
					k.unlisted = strings.TrimSpace(x.Cultivar)
				}
			}
			// Two spellings of one cultivar are one kind.
			if same := w.same(k); same != nil {
				k = same
			} else {
				k.need, k.needFrom = species.NeedOf(k.Fruiting)
				k.index = len(w.pools[x.Species.Pool])
				w.kinds = append(w.kinds, k)
				w.pools[x.Species.Pool] = append(w.pools[x.Species.Pool], k)
			}
			by[key] = k
		}
		k.at = append(k.at, x.At)
		if (x.Use == setout.UseOrchard || x.Use == setout.UseRow || x.Use == setout.UsePlant) && !wildTree(x) {
			k.mothers = append(k.mothers, i)
		}
	}
}

// wildTree is a native tree that is neither a cultivar nor grafted, such as wild cherry: nobody counts on its fruit.
func wildTree(x *setout.Plant) bool {
	return strings.TrimSpace(x.Cultivar) == "" && x.Rootstock == "" && x.Species.Habit == species.Tree && x.Species.NativeBritain.Yes()
}

// fruitName is what a fruit is called: sweet cherries are not called wild ones.
func fruitName(s *species.Species) string {
	if s.Pool == "cherry" {
		return s.Pool
	}
	return s.Name()
}

func (w *pollinator) same(k *fruitKind) *fruitKind {
	for _, o := range w.pools[k.Species.Pool] {
		switch {
		case k.Cultivar != nil && o.Cultivar == k.Cultivar,
			k.unlisted != "" && o.Species == k.Species && strings.EqualFold(o.unlisted, k.unlisted),
			k.Cultivar == nil && k.unlisted == "" && o.Species == k.Species && o.Cultivar == nil && o.unlisted == "":
			return o
		}
	}
	return nil
}

// cross is how a donor serves a mother. A cultivar that is not in the catalogue is neither a wild plant nor a known one.
func cross(mother, donor *fruitKind) species.Cross {
	if mother.Species.Pool != donor.Species.Pool {
		return species.Cross{Setting: species.SetsNot}
	}
	if mother.unlisted != "" || donor.unlisted != "" {
		if mother == donor {
			return species.Cross{Setting: species.SetsNot, Why: "trees of one cultivar are one plant"}
		}
		name := mother.unlisted
		if name == "" {
			name = donor.unlisted
		}
		return species.Cross{Setting: species.SetUnknown, Why: name + " is not in the catalogue"}
	}
	return species.Compatible(mother.Fruiting, donor.Fruiting)
}

// reachOf is how far away a partner may stand.
func (w *pollinator) reachOf(s *species.Species) (rules.Limit, bool) {
	name := map[string]string{"hazel": "hazel_partner_within_m", "chestnut": "chestnut_partner_within_m"}[s.Pool]
	if name != "" {
		if l, ok := w.Limit(name); ok {
			return l, true
		}
	}
	return w.Limit("partner_within_m")
}

// A lack is what is found of one kind: the plants without a partner within reach, and what there is instead.
type lack struct {
	kind    *fruitKind
	limit   rules.Limit
	plants  []int   // without a partner
	nearest float64 // of the plant whose nearest partner is furthest, +Inf where there is none
	donor   *fruitKind
	doubt   species.Cross // a plant within reach whose pollen may or may not serve
	refused []string      // kinds of the same pool that do not serve, with why
}

func (w *pollinator) look(k *fruitKind) {
	limit, known := w.reachOf(k.Species)
	if !known {
		w.Report(w.stateOf(k, planner.Note, "unknown", k.mothers, "The distance within which "+k.name()+" needs a partner is not known, so it was not looked at.", unknownSource(limit)))
		return
	}
	var donors, doubtful []*fruitKind
	l := lack{kind: k, limit: limit}
	for _, d := range w.pools[k.Species.Pool] {
		c := cross(k, d)
		switch {
		case c.Setting.Works():
			donors = append(donors, d)
		case c.Setting == species.SetsNot:
			if d != k {
				l.refused = append(l.refused, c.Why)
			}
		default:
			doubtful = append(doubtful, d)
		}
	}
	l.plants, l.nearest, l.donor = w.without(k.mothers, donors, limit)
	if len(l.plants) == 0 {
		return
	}
	l.doubt = w.doubtOf(&l, doubtful)
	w.report(&l)
}

// without lists the plants that have none of the donors within reach, with the greatest distance to a nearest donor and its kind.
func (w *pollinator) without(plants []int, donors []*fruitKind, limit rules.Limit) (left []int, worst float64, of *fruitKind) {
	worst = math.Inf(1)
	if len(donors) == 0 {
		return plants, worst, nil
	}
	works := make([]bool, len(w.pools[donors[0].Species.Pool]))
	for _, d := range donors {
		works[d.index] = true
	}
	near := w.spotsOf(donors)
	for _, i := range plants {
		if !near.serve(w.Shared.At[i], works, limit) {
			left = append(left, i)
		}
	}
	if len(left) == 0 {
		return nil, worst, nil
	}
	some := newSpots(donors, limit.Value) // coarse, since the nearest may be far
	far := -1.0
	for k := 0; k < len(left); k += 1 + len(left)/mostSearched {
		if n, d := some.grid.Nearest(w.Shared.At[left[k]], -1); n >= 0 && d > far {
			far, of = d, some.kind[n]
		}
	}
	if far >= 0 {
		worst = far
	}
	return left, worst, of
}

// mostSearched bounds how many plants without a partner are asked how far off the nearest is: of more, every second, third ...
const mostSearched = 200

// manyKinds is the number of kinds in a pool from which on all share one search instead of each having its own.
const manyKinds = 24

// spotsOf are the places of the donors; where there are many kinds, of their whole pool.
func (w *pollinator) spotsOf(donors []*fruitKind) *spots {
	pool := donors[0].Species.Pool
	if len(w.pools[pool]) < manyKinds {
		return newSpots(donors, 0)
	}
	if w.spots[pool] == nil {
		w.spots[pool] = newSpots(w.pools[pool], 0)
	}
	return w.spots[pool]
}

// serve reports whether one of the kinds that work stands within reach of a place. It ends at the first, so that an orchard with
// plenty of donors costs little.
func (s *spots) serve(at orb.Point, works []bool, limit rules.Limit) bool {
	found := false
	s.grid.Within(at, limit.Value+planner.Tolerance, func(n int, d float64) bool {
		found = works[s.kind[n].index] && holds(limit, d)
		return !found
	})
	return found
}

// spots are the places of several kinds, ready to be searched.
type spots struct {
	grid *geo.Points
	kind []*fruitKind
}

func newSpots(kinds []*fruitKind, cell float64) *spots {
	s := &spots{}
	var at []orb.Point
	for _, k := range kinds {
		at = append(at, k.at...)
		for range k.at {
			s.kind = append(s.kind, k)
		}
	}
	s.grid = geo.NewPoints(at, cell)
	return s
}

// doubtOf is what is said of kinds that may serve and stand within reach of every plant that has no partner; a poor donor before
// an unknown one.
func (w *pollinator) doubtOf(l *lack, doubtful []*fruitKind) species.Cross {
	out := species.Cross{}
	for _, d := range doubtful {
		c := cross(l.kind, d)
		if out.Setting == species.SetsBadly || out.Setting == c.Setting {
			continue
		}
		if d == l.kind { // a kind without a cultivar's name beside itself
			if len(d.at) > 1 {
				out = c
			}
			continue
		}
		if left, _, _ := w.without(l.plants, []*fruitKind{d}, l.limit); len(left) == 0 {
			out = c
		}
	}
	return out
}

// stateOf starts a finding about a kind: every feature that holds some of the plants, and where they stand.
func (w *pollinator) stateOf(k *fruitKind, severity planner.Severity, place string, plants []int, say string, src planner.Source) planner.Finding {
	f := planner.Finding{Severity: severity, Place: place, Count: len(plants), Message: say, Source: src}
	for _, i := range plants {
		x := w.Shared.Plants[i]
		if !slices.Contains(f.Features, x.Feature.ID) && len(f.Features) < MostPlaces {
			f.Features = append(f.Features, x.Feature.ID)
		}
	}
	f = At(f, w.Shared.At[plants[0]])
	if len(plants) > 1 {
		for _, i := range plants[:min(len(plants), MostPlaces)] {
			f.Places = append(f.Places, w.Shared.At[i])
		}
	}
	return f
}

// who begins the sentence: "Bramley's Seedling (apple) in 'orchard'", "24 plants of Gala (apple) in 'orchard'".
func (w *pollinator) who(k *fruitKind, plants []int) string {
	kind := k.name()
	if k.Cultivar != nil || k.unlisted != "" {
		kind += " (" + fruitName(k.Species) + ")"
	}
	var where []string
	for _, i := range plants {
		if l := quoted(w.Shared.Plants[i].Feature); !slices.Contains(where, l) {
			where = append(where, l)
			if len(where) > 4 {
				where[4] = "elsewhere"
				break
			}
		}
	}
	if len(plants) > 1 {
		kind = fmt.Sprintf("%d plants of %s", len(plants), kind)
	}
	return upperFirst(kind) + " in " + listWords(where, "and")
}
