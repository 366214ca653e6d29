package wood

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// A Unit is one section as the rota sees it. Winters are the year in which they start.
type Unit struct {
	ID         string
	LengthM    float64 // of hedge; 0 for a coupe of a grove, which no share limits
	Born       int     // winter since which it has grown: its last cut, else its planting
	Least      int     // age in winters below which it is never cut, at least 1
	Usual      int     // age at which it is wanted
	Most       int     // age beyond which it grows too old
	From       int     // first winter in which it may be cut; 0 for none
	FromWhy    string
	Bars       []Bar // winters in which it is not cut
	Pins       []int // winters in which the user wants it cut
	Neighbours []int // places of units that touch it, both ways
	Logs       []float64
}

// logs is what a cut at an age gives, t dry; ages beyond the list give the last.
func (u *Unit) logs(age int) float64 {
	if len(u.Logs) == 0 {
		return 0
	}
	return u.Logs[min(max(age, 0), len(u.Logs)-1)]
}

// A Bar keeps a unit out of a winter, or out of all (Winter 0).
type Bar struct {
	Winter     int
	Constraint string // one of the Constraint names
	Why        string
}

// The constraints by name.
const (
	LeastAge   = "least age"
	Neighbour  = "neighbours"
	ShareCut   = "share in one winter"
	ForbiddenW = "forbidden winter"
	Season     = "closed season"
	Sheltering = "shelters a bed"
	Young      = "not yet grown"
	Outside    = "beyond the rota"
)

// A Problem is a holding's rota to be found.
type Problem struct {
	First   int // first winter
	Winters int
	Units   []Unit
	MostM   float64 // metres of hedge that one winter may cut; a single longer section may be cut alone
	Target  float64 // t dry of logs wanted a winter, above 0
	// Over is over how many winters in a row the logs are held against the target: 1, or more where one section gives more than one
	// winter wants, since logs keep. It is at most the least age of any unit.
	Over int
}

// A Conflict is a pin that cannot be had, and what stands in the way.
type Conflict struct {
	Unit       int
	Winter     int
	Constraint string
	With       int // the other unit, -1 where there is none
	Message    string
}

// A Rota is the winters of each unit, and how good it is.
type Rota struct {
	Cuts      [][]int // by unit, ascending
	Conflicts []Conflict
	Cost      float64 // sum of squared departures from the target over Over winters, in targets, and what is added for ages
	Bound     float64 // no rota can cost less
	Exact     bool    // proved the best there is
}

// What ages add to the cost, a year: beyond Most, and as a mere tie-break away from Usual. Both are shared out over the units, so
// that they weigh alike on small and large holdings.
const (
	overAge = 0.02
	offAge  = 0.002
)

// solver holds a rota while it is being made. All winters in it count from 0.
type solver struct {
	*Problem
	barred  [][]bool
	pinned  [][]bool // accepted pins
	cuts    [][]int
	blocked [][]int16 // by unit and winter: cuts of neighbours in that winter or beside it
	length  []float64 // of hedge cut in each winter
	hedges  []int     // sections of hedge cut in each winter
	logs    []float64 // in the Over winters up to and with each
	over    int
	ages    []float64 // what each unit's ages cost
	weigh   float64   // Winters over units
	// scratch of best
	cost []float64
	from []int
}

func newSolver(p *Problem) *solver {
	n := len(p.Units)
	over := max(1, p.Over)
	for i := range p.Units {
		over = max(1, min(over, p.Units[i].Least))
	}
	s := &solver{over: over, Problem: p, barred: make([][]bool, n), pinned: make([][]bool, n), cuts: make([][]int, n), blocked: make([][]int16, n),
		length: make([]float64, p.Winters), hedges: make([]int, p.Winters), logs: make([]float64, p.Winters), ages: make([]float64, n),
		cost: make([]float64, p.Winters+1), from: make([]int, p.Winters+1)}
	if n > 0 {
		s.weigh = float64(p.Winters) / float64(n)
	}
	for i := range p.Units {
		u := &p.Units[i]
		s.barred[i], s.pinned[i], s.blocked[i] = make([]bool, p.Winters), make([]bool, p.Winters), make([]int16, p.Winters)
		for w := range p.Winters {
			s.barred[i][w] = p.First+w < u.From
		}
		for _, b := range u.Bars {
			for w := range p.Winters {
				if b.Winter == 0 || b.Winter == p.First+w {
					s.barred[i][w] = true
				}
			}
		}
	}
	return s
}

// Solve finds a rota that breaks no constraint: least age, neighbours not in the same winter or the next, the metres of a winter,
// bars. Pins that can be had are kept; the others are told as conflicts. It is exact where the case is small (Rota.Exact), else a
// search that moves one section at a time to its best winters, and some together, the same on every run. Cost: about 0.3 s for
// 1,000 units over 30 winters.
func (p *Problem) Solve() *Rota {
	s := newSolver(p)
	r := &Rota{Conflicts: s.pins()}
	s.settle()
	s.shake()
	r.Bound = s.bound()
	r.Exact = s.exact() || s.total() <= r.Bound+1e-9
	r.Cost = s.total()
	r.Cuts = make([][]int, len(p.Units))
	for i, c := range s.cuts {
		r.Cuts[i] = make([]int, len(c))
		for k, w := range c {
			r.Cuts[i][k] = p.First + w
		}
	}
	return r
}

// age is how old a unit is in winter w (from 0) where it was last cut in winter last (from 0; -1 is Born).
func (s *solver) age(i, last, w int) int {
	if last < 0 {
		return s.First + w - s.Units[i].Born
	}
	return w - last
}

// pins accepts the pins that can be had, in order of winter, then unit, and says what stands in the way of the others.
func (s *solver) pins() []Conflict {
	type pin struct{ w, i int }
	var all []pin
	for i := range s.Units {
		for _, w := range s.Units[i].Pins {
			all = append(all, pin{w - s.First, i})
		}
	}
	slices.SortStableFunc(all, func(a, b pin) int { return cmp.Or(cmp.Compare(a.w, b.w), cmp.Compare(a.i, b.i)) })
	var out []Conflict
	for _, p := range all {
		if p.w >= 0 && p.w < s.Winters && s.pinned[p.i][p.w] {
			continue
		}
		if c, ok := s.pinConflict(p.i, p.w); ok {
			out = append(out, c)
			continue
		}
		s.pinned[p.i][p.w] = true
		s.occupy(p.i, p.w, 1)
	}
	// The units stand with their pins alone until they are settled.
	for i := range s.Units {
		for w := range s.Winters {
			if s.pinned[i][w] {
				s.cuts[i] = append(s.cuts[i], w)
			}
		}
		s.enter(i, s.cuts[i])
	}
	return out
}

// pinConflict says what stands in the way of a pin, given those accepted so far.
func (s *solver) pinConflict(i, w int) (Conflict, bool) {
	u := &s.Units[i]
	c := Conflict{Unit: i, Winter: s.First + w, With: -1}
	fail := func(constraint, format string, a ...any) (Conflict, bool) {
		c.Constraint = constraint
		c.Message = fmt.Sprintf("%s cannot be cut in winter %d: ", u.ID, c.Winter) + fmt.Sprintf(format, a...)
		return c, true
	}
	if w < 0 || w >= s.Winters {
		return fail(Outside, "the rota runs from %d to %d.", s.First, s.First+s.Winters-1)
	}
	if c.Winter < u.From {
		return fail(Young, "%s.", cmp.Or(u.FromWhy, fmt.Sprintf("it is not to be cut before %d", u.From)))
	}
	for _, b := range u.Bars {
		if b.Winter == 0 || b.Winter == c.Winter {
			return fail(b.Constraint, "%s.", b.Why)
		}
	}
	if age := c.Winter - u.Born; age < u.Least {
		return fail(LeastAge, "it would be %d years old and its least age is %d; %d is the first winter that can be.", age, u.Least, u.Born+u.Least)
	}
	for k := range s.Winters {
		if s.pinned[i][k] && max(k-w, w-k) < u.Least {
			return fail(LeastAge, "it is pinned for %d too, and its least age is %d years.", s.First+k, u.Least)
		}
	}
	for _, n := range u.Neighbours {
		for k := max(0, w-1); k <= min(s.Winters-1, w+1); k++ {
			if s.pinned[n][k] {
				c.With = n
				return fail(Neighbour, "%s beside it is pinned for %d, and neighbours are not cut in the same winter or the next.", s.Units[n].ID, s.First+k)
			}
		}
	}
	if u.LengthM > 0 && s.hedges[w] > 0 && s.length[w]+u.LengthM > s.MostM+slackM {
		return fail(ShareCut, "%.0f m are pinned for that winter already, and %.0f m more would pass the %.0f m that one winter may cut.",
			s.length[w], u.LengthM, s.MostM)
	}
	return c, false
}

// slackM is what is forgiven in the metres of a winter, as everywhere in what is counted by length.
const slackM = 0.02

// occupy books (1) or frees (-1) a winter for a unit: its length, and its neighbours' winters.
func (s *solver) occupy(i, w, by int) {
	u := &s.Units[i]
	if u.LengthM > 0 {
		s.length[w] += float64(by) * u.LengthM
		s.hedges[w] += by
		if s.hedges[w] == 0 {
			s.length[w] = 0
		}
	}
	for _, n := range u.Neighbours {
		for k := max(0, w-1); k <= min(s.Winters-1, w+1); k++ {
			s.blocked[n][k] += int16(by)
		}
	}
}

// free reports whether a unit, which has no cut there, may be cut in a winter as things stand.
func (s *solver) free(i, w int) bool {
	if s.pinned[i][w] {
		return true
	}
	l := s.Units[i].LengthM
	return !s.barred[i][w] && s.blocked[i][w] == 0 && (l == 0 || s.hedges[w] == 0 || s.length[w]+l <= s.MostM+slackM)
}

// enter puts a unit's logs and ages into the sums; leave takes them out. Winters are booked by book and unbook.
func (s *solver) enter(i int, cuts []int) {
	last := -1
	s.ages[i] = 0
	for _, w := range cuts {
		a := s.age(i, last, w)
		s.pour(w, s.Units[i].logs(a))
		s.ages[i] += s.ageCost(i, a)
		last = w
	}
	s.ages[i] += s.endCost(i, last)
}

func (s *solver) leave(i int) {
	last := -1
	for _, w := range s.cuts[i] {
		s.pour(w, -s.Units[i].logs(s.age(i, last, w)))
		last = w
	}
}

func (s *solver) ageCost(i, age int) float64 {
	u := &s.Units[i]
	return s.weigh * (overAge*float64(max(0, age-u.Most)) + offAge*math.Abs(float64(age-u.Usual)))
}

// endCost is for what stands too old when the rota ends.
func (s *solver) endCost(i, last int) float64 {
	u := &s.Units[i]
	return s.weigh * overAge * float64(max(0, s.age(i, last, s.Winters)-u.Most))
}

// take frees a unit but for its pins; set books new cuts for it, which hold its pins.
func (s *solver) take(i int) []int {
	old := s.cuts[i]
	s.leave(i)
	for _, w := range old {
		if !s.pinned[i][w] {
			s.occupy(i, w, -1)
		}
	}
	s.cuts[i] = nil
	return old
}

func (s *solver) set(i int, cuts []int) {
	for _, w := range cuts {
		if !s.pinned[i][w] {
			s.occupy(i, w, 1)
		}
	}
	s.enter(i, cuts)
	s.cuts[i] = cuts
}

// pour adds the logs of a cut to every sum that its winter is in.
func (s *solver) pour(w int, y float64) {
	for k := w; k < min(w+s.over, s.Winters); k++ {
		s.logs[k] += y
	}
}

// want is what the winters up to and with w should give together.
func (s *solver) want(w int) float64 { return float64(min(w+1, s.over)) * s.Target }

// scale is what departures are measured in.
func (s *solver) scale() float64 { return float64(s.over) * s.Target }

// off is how far the sums that a cut in winter w goes into stand from what they should be, and how many they are.
func (s *solver) off(w int) (d, n float64) {
	for k := w; k < min(w+s.over, s.Winters); k++ {
		d += s.logs[k] - s.want(k)
		n++
	}
	return d, n
}

// total is the cost of the rota as it stands.
func (s *solver) total() float64 {
	sum := 0.0
	for w, l := range s.logs {
		d := (l - s.want(w)) / s.scale()
		sum += d * d
	}
	for _, a := range s.ages {
		sum += a
	}
	return sum
}
