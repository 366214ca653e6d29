package setout

import (
	"slices"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner/species"
)

// The search for a better arrangement of an orchard is bounded by the trees it looks at, not by time, so that it always ends
// in the same arrangement.
const (
	mostLooks   = 3_000_000 // about a tenth of a second
	mostRounds  = 12
	donorsTried = 12
	placesTried = 16
)

// An orchardist arranges kinds over places so that as many trees as can be have a partner within reach.
type orchardist struct {
	at      []orb.Point
	kind    []int // kind at each place
	works   [][]bool
	needs   []bool
	reach   []float64 // by kind
	far     float64   // the greatest reach
	near    *geo.Points
	left    int   // trees that may still be looked at
	counted []int // by place: how many trees have it for their only donor
}

// pollinate exchanges kinds between places until every tree that wants a partner has one within reach, or nothing helps any
// more. Only the orchard's own trees count: what stands elsewhere may change without moving a tree here.
func (m *maker) pollinate(plants []Plant, kindAt []int, k *kinds) {
	o := orchardist{kind: kindAt, left: mostLooks}
	if !o.crosses(m, k) {
		return
	}
	o.at = make([]orb.Point, len(plants))
	for i := range plants {
		o.at[i] = plants[i].At
	}
	o.near = geo.NewPoints(o.at, max(1, o.far/2))
	for range mostRounds {
		short := o.short()
		if len(short) == 0 || o.left <= 0 {
			return
		}
		o.countOn()
		helped := false
		for _, i := range short {
			if o.left > 0 && !o.served(i) && o.help(i) {
				helped = true
			}
		}
		if !helped {
			return
		}
	}
}

// crosses works out which kind's pollen works on which; false where no kind wants a partner that another could be.
func (o *orchardist) crosses(m *maker, k *kinds) bool {
	n := len(k.list)
	fruiting := make([]species.Fruiting, n)
	for i, one := range k.list {
		fruiting[i].Species = one.species
		if one.species != nil && one.cultivar != "" {
			fruiting[i].Cultivar, _ = m.cat.Cultivar(one.species, one.cultivar)
		}
	}
	o.works, o.needs, o.reach = make([][]bool, n), make([]bool, n), make([]float64, n)
	any := false
	for i, f := range fruiting {
		o.works[i] = make([]bool, n)
		if f.Species == nil {
			continue
		}
		o.reach[i] = m.lim.reachOf(f.Species) - 1e-6
		o.far = max(o.far, o.reach[i])
		need, _ := species.NeedOf(f)
		wants := need == species.NeedPartner || need == species.NeedBetter
		for j, d := range fruiting {
			if wants && d.Species != nil && species.Compatible(f, d).Setting.Works() {
				o.works[i][j], o.needs[i], any = true, true, true
			}
		}
	}
	return any
}

// reachOf is how far a species' pollen is carried: by insects, or by wind for hazel and sweet chestnut.
func (l *limits) reachOf(s *species.Species) float64 {
	switch s.Genus() {
	case "Corylus":
		return firstPositive(l.figure("orchard.pollination", "hazel_partner_within_m"), l.partnerReach())
	case "Castanea":
		return firstPositive(l.figure("orchard.pollination", "chestnut_partner_within_m"), l.partnerReach())
	}
	return l.partnerReach()
}

// served tells whether the tree at a place wants no partner or has one within reach.
func (o *orchardist) served(i int) bool {
	k := o.kind[i]
	if !o.needs[k] {
		return true
	}
	found := false
	o.near.Within(o.at[i], o.reach[k], func(j int, _ float64) bool {
		o.left--
		found = j != i && o.works[k][o.kind[j]]
		return !found
	})
	return found
}

// short lists the places whose trees have no partner within reach. Each kind is looked at from whichever side has fewer trees:
// the trees themselves, or their donors.
func (o *orchardist) short() []int {
	places := make([][]int, len(o.works))
	for i, k := range o.kind {
		places[k] = append(places[k], i)
	}
	reached := make([]bool, len(o.kind))
	for k, own := range places {
		if !o.needs[k] {
			continue
		}
		donors := 0
		for d, works := range o.works[k] {
			if works {
				donors += len(places[d])
			}
		}
		if donors >= len(own) {
			for _, i := range own {
				reached[i] = o.served(i)
			}
			continue
		}
		for d, works := range o.works[k] {
			if !works {
				continue
			}
			for _, j := range places[d] {
				o.near.Within(o.at[j], o.reach[k], func(i int, _ float64) bool {
					o.left--
					reached[i] = reached[i] || i != j && o.kind[i] == k
					return true
				})
			}
		}
	}
	var out []int
	for i, k := range o.kind {
		if o.needs[k] && !reached[i] {
			out = append(out, i)
		}
	}
	return out
}

// countOn counts for every tree how many others have it for their only donor: those that nobody counts on can move.
func (o *orchardist) countOn() {
	o.counted = make([]int, len(o.kind))
	for i, k := range o.kind {
		if !o.needs[k] || o.left <= 0 {
			continue
		}
		only, n := -1, 0
		o.near.Within(o.at[i], o.reach[k], func(j int, _ float64) bool {
			o.left--
			if j != i && o.works[k][o.kind[j]] {
				only, n = j, n+1
			}
			return n < 2
		})
		if n == 1 {
			o.counted[only]++
		}
	}
}

// help tries to bring a donor to the tree at a place, or the tree to a donor, by one exchange that leaves fewer trees without
// a partner than before.
func (o *orchardist) help(i int) bool {
	k := o.kind[i]
	o.left -= len(o.kind)
	var donors []int
	for j := range o.kind {
		if o.works[k][o.kind[j]] {
			donors = append(donors, j)
		}
	}
	free := slices.Clone(donors)
	slices.SortStableFunc(free, func(a, b int) int { return o.counted[a] - o.counted[b] })
	donors = append(nearest(donors, o.at, o.at[i], donorsTried), free[:min(donorsTried, len(free))]...)
	here := nearest(o.around(i, o.reach[k]), o.at, o.at[i], placesTried)
	for _, d := range donors {
		if o.left <= 0 {
			return false
		}
		for _, p := range here {
			if o.exchange(d, p) {
				return true
			}
		}
		for _, p := range nearest(o.around(d, o.reach[k]), o.at, o.at[d], placesTried) {
			if o.exchange(i, p) {
				return true
			}
		}
	}
	return false
}

// around lists the places within r of a place, without itself, by number.
func (o *orchardist) around(i int, r float64) []int {
	var out []int
	o.near.Within(o.at[i], r, func(j int, _ float64) bool {
		o.left--
		if j != i {
			out = append(out, j)
		}
		return true
	})
	slices.Sort(out)
	return out
}

// exchange swaps the kinds of two places and keeps it so only if fewer trees are without a partner.
func (o *orchardist) exchange(a, b int) bool {
	if o.kind[a] == o.kind[b] || o.left <= 0 {
		return false
	}
	touched := append(o.around(a, o.far), o.around(b, o.far)...)
	touched = append(touched, a, b)
	slices.Sort(touched)
	touched = slices.Compact(touched)
	before := o.without(touched)
	o.kind[a], o.kind[b] = o.kind[b], o.kind[a]
	if o.without(touched) < before {
		return true
	}
	o.kind[a], o.kind[b] = o.kind[b], o.kind[a]
	return false
}

func (o *orchardist) without(places []int) int {
	n := 0
	for _, i := range places {
		if !o.served(i) {
			n++
		}
	}
	return n
}

// nearest keeps the n places nearest to p, the lower number first of two as near.
func nearest(places []int, at []orb.Point, p orb.Point, n int) []int {
	out := slices.Clone(places)
	slices.SortStableFunc(out, func(a, b int) int {
		switch d := geo.Dist(at[a], p) - geo.Dist(at[b], p); {
		case d < -1e-6:
			return -1
		case d > 1e-6:
			return 1
		}
		return a - b
	})
	return out[:min(n, len(out))]
}
