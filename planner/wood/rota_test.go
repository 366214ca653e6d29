package wood

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// randomProblem is a small or large holding of random sections in random lines.
func randomProblem(rnd *rand.Rand, most, winters int) *Problem {
	n := 1 + rnd.IntN(most)
	p := &Problem{First: 2026, Winters: winters, Units: make([]Unit, n), Target: 0.05 + 4*rnd.Float64()}
	total := 0.0
	for i := range p.Units {
		u := &p.Units[i]
		*u = Unit{ID: fmt.Sprintf("s%d", i), LengthM: 10 + 60*rnd.Float64(), Least: 1 + rnd.IntN(14), Born: 2026 - rnd.IntN(25)}
		if rnd.IntN(5) == 0 {
			u.LengthM = 0
		}
		u.Usual = u.Least + rnd.IntN(6)
		u.Most = u.Usual + rnd.IntN(6)
		for a := range 80 {
			u.Logs = append(u.Logs, 0.01+u.LengthM/1000*math.Pow(float64(a), 0.9))
		}
		if rnd.IntN(4) == 0 {
			u.From = 2026 + rnd.IntN(winters)
		}
		if rnd.IntN(3) == 0 {
			u.Bars = append(u.Bars, Bar{Winter: 2026 + rnd.IntN(winters), Constraint: ForbiddenW, Why: "the plan forbids it"})
		}
		if rnd.IntN(25) == 0 {
			u.Bars = append(u.Bars, Bar{Constraint: Sheltering, Why: "it shelters a bed"})
		}
		for range rnd.IntN(3) {
			if rnd.IntN(3) == 0 {
				u.Pins = append(u.Pins, 2024+rnd.IntN(winters+4))
			}
		}
		join := func(k int) {
			if k >= 0 && k != i && !slices.Contains(u.Neighbours, k) {
				u.Neighbours = append(u.Neighbours, k)
				p.Units[k].Neighbours = append(p.Units[k].Neighbours, i)
			}
		}
		if rnd.IntN(3) > 0 {
			join(i - 1)
		}
		if i > 2 && rnd.IntN(4) == 0 {
			join(rnd.IntN(i))
		}
		total += u.LengthM
	}
	p.MostM = total * (0.05 + 0.3*rnd.Float64())
	p.Over = rnd.IntN(4)
	return p
}

// broken lists what a rota breaks, by a plain reading of the constraints that shares nothing with the solver.
func broken(p *Problem, r *Rota) []string {
	var out []string
	say := func(f string, a ...any) { out = append(out, fmt.Sprintf(f, a...)) }
	cut, sections := map[int]float64{}, map[int]int{}
	for i, u := range p.Units {
		last := u.Born
		for _, w := range r.Cuts[i] {
			if w < p.First || w >= p.First+p.Winters {
				say("%s outside in %d", u.ID, w)
			}
			if w-last < u.Least {
				say("%s in %d at %d years of at least %d", u.ID, w, w-last, u.Least)
			}
			last = w
			if w < u.From {
				say("%s in %d before %d", u.ID, w, u.From)
			}
			for _, b := range u.Bars {
				if b.Winter == 0 || b.Winter == w {
					say("%s in barred %d", u.ID, w)
				}
			}
			for _, n := range u.Neighbours {
				for _, v := range r.Cuts[n] {
					if v >= w-1 && v <= w+1 {
						say("%s in %d and its neighbour %s in %d", u.ID, w, p.Units[n].ID, v)
					}
				}
			}
			if u.LengthM > 0 {
				cut[w] += u.LengthM
				sections[w]++
			}
		}
		for _, w := range u.Pins {
			kept := slices.Contains(r.Cuts[i], w)
			told := slices.ContainsFunc(r.Conflicts, func(c Conflict) bool { return c.Unit == i && c.Winter == w })
			if kept == told {
				say("%s pinned for %d: kept %v, told %v", u.ID, w, kept, told)
			}
		}
	}
	for w, m := range cut {
		if m > p.MostM+slackM && sections[w] > 1 {
			say("%.1f m of %.1f in %d", m, p.MostM, w)
		}
	}
	return out
}

// No rota of 10,000 random holdings breaks a constraint, and every pin is kept or explained.
func TestNoRotaBreaksAConstraint(t *testing.T) {
	cases := 400
	if os.Getenv("QUICKTHORN_LONG") != "" {
		cases = 10_000
	}
	conflicts := map[string]int{}
	for k := range cases {
		rnd := rand.New(rand.NewPCG(7, uint64(k)))
		p := randomProblem(rnd, 12, 8+rnd.IntN(23))
		r := p.Solve()
		require.Empty(t, broken(p, r), "case %d", k)
		require.GreaterOrEqual(t, r.Cost, r.Bound-1e-6, "case %d", k)
		for _, c := range r.Conflicts {
			conflicts[c.Constraint]++
			assert.NotEmpty(t, c.Message)
		}
	}
	for _, c := range []string{LeastAge, Neighbour, ShareCut, ForbiddenW, Sheltering, Young, Outside} {
		assert.Positive(t, conflicts[c], "no case had a conflict of %q", c)
	}
}

// brute finds the least cost of a small problem by trying every set of winters of every unit, with nothing of the solver.
func brute(p *Problem) float64 {
	n, weigh := len(p.Units), float64(p.Winters)/float64(len(p.Units))
	best := math.Inf(1)
	over := max(1, p.Over)
	for _, u := range p.Units {
		over = max(1, min(over, u.Least))
	}
	r := &Rota{Cuts: make([][]int, n)}
	for i, u := range p.Units {
		for _, w := range u.Pins {
			r.Conflicts = append(r.Conflicts, Conflict{Unit: i, Winter: w})
		}
	}
	for code := range 1 << (n * p.Winters) {
		for i := range n {
			r.Cuts[i] = nil
			for w := range p.Winters {
				if code>>(i*p.Winters+w)&1 == 1 {
					r.Cuts[i] = append(r.Cuts[i], p.First+w)
				}
			}
		}
		if len(broken(p, r)) > 0 {
			continue
		}
		logs, cost := make([]float64, p.Winters), 0.0
		for i, u := range p.Units {
			last := u.Born
			for _, w := range r.Cuts[i] {
				logs[w-p.First] += u.logs(w - last)
				cost += weigh * (overAge*math.Max(0, float64(w-last-u.Most)) + offAge*math.Abs(float64(w-last-u.Usual)))
				last = w
			}
			cost += weigh * overAge * math.Max(0, float64(p.First+p.Winters-last-u.Most))
		}
		for w := range logs {
			sum, want := 0.0, 0.0
			for k := max(0, w-over+1); k <= w; k++ {
				sum, want = sum+logs[k], want+p.Target
			}
			cost += math.Pow((sum-want)/(float64(over)*p.Target), 2)
		}
		best = math.Min(best, cost)
	}
	return best
}

func TestSmallCasesAgainstEveryRota(t *testing.T) {
	exact := 0
	for k := range 24 {
		rnd := rand.New(rand.NewPCG(11, uint64(k)))
		p := randomProblem(rnd, 3, 5)
		for i := range p.Units {
			p.Units[i].Pins = nil
			p.Units[i].Least = 1 + p.Units[i].Least%4
			p.Units[i].Usual, p.Units[i].Most = p.Units[i].Least+1, p.Units[i].Least+2
		}
		best := brute(p)
		r := p.Solve()
		require.True(t, r.Exact, "case %d", k)
		exact++
		require.InDelta(t, best, r.Cost, 1e-6, "case %d", k)
		// The search alone, as it is used on large cases.
		s := newSolver(p)
		s.pins()
		s.settle()
		s.shake()
		require.InDelta(t, best, s.total(), 0.1*best+1e-6, "case %d: search against the best", k)
	}
	assert.Equal(t, 24, exact)
}

// On holdings that are small enough to prove the best, the search comes within a few percent of it.
func TestSearchAgainstTheBest(t *testing.T) {
	proved, worst := 0, 0.0
	for k := range 40 {
		rnd := rand.New(rand.NewPCG(13, uint64(k)))
		p := randomProblem(rnd, 5, 14)
		r := p.Solve()
		if !r.Exact {
			continue
		}
		s := newSolver(p)
		s.pins()
		s.settle()
		s.shake()
		proved++
		worst = math.Max(worst, s.total()/r.Cost-1)
	}
	assert.Greater(t, proved, 20)
	assert.Less(t, worst, 0.04, "the search is at most 4 percent worse than the best in %d proved cases", proved)
	t.Logf("%d proved; the search is at worst %.4f percent above the best", proved, 100*worst)
}

func TestSameRotaEveryTime(t *testing.T) {
	p := randomProblem(rand.New(rand.NewPCG(3, 3)), 60, 30)
	assert.Equal(t, p.Solve(), p.Solve())
}

// even is a holding of n sections of hedge in lines of ten, of mixed ages.
func even(n int) *Problem {
	rnd := rand.New(rand.NewPCG(5, uint64(n)))
	p := &Problem{First: 2026, Winters: 30, Units: make([]Unit, n), MostM: 0.1 * 50 * float64(n)}
	for i := range p.Units {
		u := &p.Units[i]
		*u = Unit{ID: fmt.Sprint(i), LengthM: 50, Least: 12, Usual: 15, Most: 20, Born: 2026 - rnd.IntN(20)}
		for a := range 80 {
			u.Logs = append(u.Logs, 0.6*0.29/2*fullAge*Relative(float64(a)))
		}
		if i%10 > 0 {
			u.Neighbours = append(u.Neighbours, i-1)
			p.Units[i-1].Neighbours = append(p.Units[i-1].Neighbours, i)
		}
	}
	p.Target = float64(n) * 0.6 * 0.29 / 2
	return p
}

// In the steady run of an even holding, what is cut each winter stays close to length over rotation.
func TestRotaNearAreaControl(t *testing.T) {
	p := even(60)
	r := p.Solve()
	require.Empty(t, broken(p, r))
	logs := make([]float64, p.Winters)
	for i, u := range p.Units {
		last := u.Born
		for _, w := range r.Cuts[i] {
			logs[w-p.First] += u.logs(w - last)
			last = w
		}
	}
	off := 0.0
	for _, l := range logs {
		off += math.Abs(l-p.Target) / p.Target
	}
	assert.Less(t, off/float64(p.Winters), 0.1, "mean departure from the target, area control: %v", logs)
}

func benchRota(b *testing.B, n int) {
	p := even(n)
	for b.Loop() {
		p.Solve()
	}
}

func BenchmarkRota200(b *testing.B)  { benchRota(b, 200) }
func BenchmarkRota1000(b *testing.B) { benchRota(b, 1000) }

// Four lengths of one old hedge that is laid every 25 years: none is passed over while another is laid twice, and the layings stand
// evenly apart.
func TestNoSectionIsPassedOver(t *testing.T) {
	p := &Problem{First: 2026, Winters: 30, MostM: 20, Units: make([]Unit, 4), Over: 7}
	for i := range p.Units {
		u := &p.Units[i]
		*u = Unit{ID: fmt.Sprint(i), LengthM: 49, Least: 20, Usual: 25, Most: 30, Born: 2000}
		for a := range 90 {
			u.Logs = append(u.Logs, 0.35*0.15*0.49/2*fullAge*Relative(float64(a)))
		}
		for _, k := range []int{i - 1, i + 1} {
			if k >= 0 && k < 4 {
				u.Neighbours = append(u.Neighbours, k)
			}
		}
	}
	p.Target = 4 * p.Units[0].logs(25) / 25
	r := p.Solve()
	require.Empty(t, broken(p, r))
	var all []int
	for i, c := range r.Cuts {
		assert.NotEmpty(t, c, "section %d of %v", i, r.Cuts)
		all = append(all, c...)
	}
	slices.Sort(all)
	for i := 1; i < len(all); i++ {
		assert.InDelta(t, 7, all[i]-all[i-1], 1, "seven winters apart, as 25 years over four lengths would have it, and a little more: %v", all)
	}
}
