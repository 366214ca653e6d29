package wood

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// How long is searched.
const (
	mostRounds = 40
	mostShakes = 6000
	unitShakes = 150  // for each unit, up to mostShakes
	shakeSeed  = 1884 // any fixed number: the search is the same on every run
	exactUnits = 5
	exactNodes = 20_000
)

// settle gives every unit its best winters, the oldest first, and again until none moves.
func (s *solver) settle() {
	order := make([]int, len(s.Units))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.Units[a].Born, s.Units[b].Born) })
	before := math.Inf(1)
	for range mostRounds {
		for _, i := range order {
			s.take(i)
			s.set(i, s.best(i))
		}
		after := s.total()
		if after >= before-1e-9 {
			return
		}
		before = after
	}
}

// shake takes a few units out together and puts them back in another order, and keeps what is no worse. It finds what moving one
// unit at a time cannot.
func (s *solver) shake() {
	n := len(s.Units)
	if n < 2 {
		return
	}
	rnd := rand.New(rand.NewPCG(shakeSeed, uint64(n)))
	now := s.total()
	for range min(mostShakes, unitShakes*n) {
		group := s.group(rnd)
		old := make([][]int, len(group))
		for k, i := range group {
			old[k] = s.take(i)
		}
		moved := s.move(group[0], old[0], rnd)
		for _, k := range rnd.Perm(len(group)) {
			if k > 0 || !moved {
				s.set(group[k], s.best(group[k]))
			}
		}
		if after := s.total(); after <= now {
			now = after
			continue
		}
		for _, i := range group {
			s.take(i)
		}
		for k, i := range group {
			s.set(i, old[k])
		}
	}
}

// move puts a unit that has been taken back, now and then, into any winter that is open to it, or anywhere but into one of its old
// winters, so that the others have to make do with that.
func (s *solver) move(i int, old []int, rnd *rand.Rand) bool {
	switch rnd.IntN(4) {
	case 0, 1:
		return false
	case 2:
		return s.into(i, rnd.IntN(s.Winters))
	}
	if len(old) == 0 {
		return false
	}
	w := old[rnd.IntN(len(old))]
	if s.pinned[i][w] {
		return false
	}
	s.barred[i][w] = true
	s.set(i, s.best(i))
	s.barred[i][w] = false
	return true
}

// into puts a unit that has been taken back with a cut in one winter, and its others as best they go; false where that winter is not
// open to it.
func (s *solver) into(i, w int) bool {
	if s.pinned[i][w] || !s.free(i, w) {
		return false
	}
	s.pinned[i][w] = true
	cuts := s.best(i)
	s.pinned[i][w] = false
	if !slices.Contains(cuts, w) { // its age or a pin stands in the way
		return false
	}
	s.set(i, cuts)
	return true
}

// group picks units to move together: any one, its neighbours or those cut in one winter with it, and some others.
func (s *solver) group(rnd *rand.Rand) []int {
	n := len(s.Units)
	size := 2 + rnd.IntN(min(5, n-1))
	first := rnd.IntN(n)
	group := []int{first}
	add := func(i int) {
		if len(group) < size && !slices.Contains(group, i) {
			group = append(group, i)
		}
	}
	if rnd.IntN(2) == 0 {
		for _, i := range s.Units[first].Neighbours {
			add(i)
		}
	}
	for tries := 0; len(group) < size && tries < 4*size; tries++ {
		add(rnd.IntN(n))
	}
	return group
}

// bound is a cost below which no rota can lie: all units together give no more logs than the most each can give by itself, and a
// shortfall costs least where it is spread evenly.
func (s *solver) bound() float64 {
	most := 0.0
	for i := range s.Units {
		most += s.mostLogs(i)
	}
	short := -most * float64(s.over)
	for w := range s.Winters {
		short += s.want(w)
	}
	if short <= 0 {
		return 0
	}
	return short * short / (float64(s.Winters) * s.scale() * s.scale())
}

// mostLogs is the most that a unit can give over the whole rota, its neighbours forgotten.
func (s *solver) mostLogs(i int) float64 {
	u := &s.Units[i]
	best, most := make([]float64, s.Winters), 0.0
	for w := range s.Winters {
		best[w] = math.Inf(-1)
		if s.barred[i][w] {
			continue
		}
		for p := -1; p < w; p++ {
			a := s.age(i, p, w)
			if a < u.Least {
				continue
			}
			before := 0.0
			if p >= 0 {
				before = best[p]
			}
			best[w] = math.Max(best[w], before+u.logs(a))
		}
		most = math.Max(most, best[w])
	}
	return most
}

// A way is one set of winters of a unit.
type way struct {
	cuts []int
	logs []float64
	ages float64
}

// ways lists every set of winters that a unit may have by itself; false where there are more than limit.
func (s *solver) ways(i, limit int) ([]way, bool) {
	var out []way
	var cuts []int
	var walk func(last int) bool
	walk = func(last int) bool {
		open := true // no pin has been jumped over
		for w := last + 1; w < s.Winters; w++ {
			if open && (s.pinned[i][w] || !s.barred[i][w]) && s.age(i, last, w) >= s.Units[i].Least {
				cuts = append(cuts, w)
				if !walk(w) {
					return false
				}
				cuts = cuts[:len(cuts)-1]
			}
			open = open && !s.pinned[i][w]
		}
		if !open {
			return true
		}
		v := way{cuts: slices.Clone(cuts)}
		before := -1
		for _, w := range cuts {
			a := s.age(i, before, w)
			v.logs = append(v.logs, s.Units[i].logs(a))
			v.ages += s.ageCost(i, a)
			before = w
		}
		v.ages += s.endCost(i, before)
		out = append(out, v)
		return len(out) <= limit
	}
	ok := walk(-1)
	return out, ok
}

// exact goes through every rota of a small case, leaving out what cannot be better than the best so far. It reports whether it came
// to the end; the solver then stands at the best there is.
func (s *solver) exact() bool {
	n := len(s.Units)
	if n == 0 {
		return true
	}
	if n > exactUnits {
		return false
	}
	e := &exactly{solver: s, ways: make([][]way, n), most: make([]float64, n+1), least: make([]float64, n+1), cheapest: s.total() - 1e-9}
	for i := range s.Units {
		var ok bool
		if e.ways[i], ok = s.ways(i, 20_000); !ok {
			return false
		}
	}
	for i := n - 1; i >= 0; i-- {
		least := math.Inf(1)
		for _, v := range e.ways[i] {
			least = math.Min(least, v.ages)
		}
		e.most[i], e.least[i] = e.most[i+1]+s.mostLogs(i), e.least[i+1]+least
	}
	old := make([][]int, n)
	for i := range s.Units {
		old[i] = s.take(i)
		s.ages[i] = 0
	}
	done := e.walk(0, 0)
	found := e.found
	if found == nil {
		found = old
	}
	for i := range s.Units {
		s.set(i, found[i])
	}
	return done
}

type exactly struct {
	*solver
	ways        [][]way
	most, least []float64 // what units from i on can give at most, and cost at least in ages
	cheapest    float64
	found       [][]int
	nodes       int
}

// floor is what a rota costs at least whose first units are set and whose others can still give most.
func (e *exactly) floor(most float64) float64 {
	over, short := 0.0, 0.0
	for w, l := range e.logs {
		if d := l - e.want(w); d > 0 {
			over += d * d
		} else {
			short -= d
		}
	}
	if left := short - most*float64(e.over); left > 0 {
		over += left * left / float64(e.Winters)
	}
	return over / (e.scale() * e.scale())
}

func (e *exactly) walk(i int, ages float64) bool {
	if e.nodes++; e.nodes > exactNodes {
		return false
	}
	if e.floor(e.most[i])+ages+e.least[i] >= e.cheapest {
		return true
	}
	if i == len(e.Units)-1 { // with all others set, the best of the last is known without going through its ways
		e.set(i, e.solver.best(i))
		e.keep()
		e.take(i)
		e.ages[i] = 0
		return true
	}
	for _, v := range e.ways[i] {
		if !e.fits(i, v) {
			continue
		}
		e.set(i, v.cuts)
		done := e.walk(i+1, ages+v.ages)
		e.take(i)
		e.ages[i] = 0
		if !done {
			return false
		}
	}
	return true
}

// keep keeps the rota as it stands where it is cheaper than the cheapest so far. floor is too low where winters are short: the cost
// itself decides.
func (e *exactly) keep() {
	t := e.total()
	if t >= e.cheapest {
		return
	}
	e.cheapest = t - 1e-9
	e.found = make([][]int, len(e.cuts))
	for k, c := range e.cuts {
		e.found[k] = slices.Clone(c)
	}
}

func (e *exactly) fits(i int, v way) bool {
	for _, w := range v.cuts {
		if !e.free(i, w) {
			return false
		}
	}
	return true
}
