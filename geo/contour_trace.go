package geo

import (
	"slices"

	"github.com/paulmach/orb"
)

// A tracer finds the lines between bands. Class c of a corner is how many levels its figure has reached: class 0 lies below the
// first, class n at or above the last. Edge 2k of the mesh runs east from corner k, edge 2k+1 north. Along an edge each class between
// those of its ends has one part; parts are what is joined to tell which rings belong together.
type tracer struct {
	*mesh
	levels []float64
	class  []int32
	part   []int32 // edge -> number of its part of the lowest class
	parent []int32 // of parts: a forest of those that are joined
	steps  [][]step
}

// A step is one straight piece of a band's outline, the band on its left. Its ends are places: corner k of the mesh is -1-k, the
// crossing of edge e with level l is e*len(levels)+l.
type step struct {
	from, to int64
	part     int32
}

// nudge is how far crossings keep from corners and from each other, in lengths of the edge, for each level.
const nudge = 1e-7

func newTracer(m *mesh, levels []float64) *tracer {
	t := &tracer{mesh: m, levels: levels, class: make([]int32, len(m.v)), steps: make([][]step, len(levels)+1)}
	for k, v := range m.v {
		c := 0
		for c < len(levels) && v >= levels[c] {
			c++
		}
		t.class[k] = int32(c)
	}
	t.part = make([]int32, 2*len(m.v)+1)
	nx := len(m.xs)
	n := int32(0)
	for e := range t.part {
		t.part[e] = n
		if k := e / 2; e < len(t.part)-1 {
			if to := k + 1 + e%2*(nx-1); to < len(t.class) {
				n += abs32(t.class[to] - t.class[k])
			}
			n++
		}
	}
	t.parent = make([]int32, n)
	for i := range t.parent {
		t.parent[i] = int32(i)
	}
	return t
}

func abs32(a int32) int32 {
	if a < 0 {
		return -a
	}
	return a
}

// ends are the two corners of an edge.
func (t *tracer) ends(e int) (a, b int) {
	a = e / 2
	if e%2 == 0 {
		return a, a + 1
	}
	return a, a + len(t.xs)
}

// of is the part of an edge in a class, which one of its ends has or its two lie on either side of.
func (t *tracer) of(e int, class int32) int32 {
	a, b := t.ends(e)
	return t.part[e] + class - min(t.class[a], t.class[b])
}

func (t *tracer) find(p int32) int32 {
	for t.parent[p] != p {
		t.parent[p] = t.parent[t.parent[p]]
		p = t.parent[p]
	}
	return p
}

func (t *tracer) join(a, b int32) {
	if a, b = t.find(a), t.find(b); a < b {
		t.parent[b] = a
	} else {
		t.parent[a] = b
	}
}

// trace goes over all faces: it joins what is one piece of ground and takes down every outline.
func (t *tracer) trace() {
	nx := len(t.xs)
	for j := range len(t.ys) - 1 {
		for i := range nx - 1 {
			if !t.filled(i, j) {
				continue
			}
			k := j*nx + i
			corner := [4]int{k, k + 1, k + 1 + nx, k + nx}            // anticlockwise from the south-west
			edge := [4]int{2 * k, 2*(k+1) + 1, 2 * (k + nx), 2*k + 1} // edge n runs from corner n to the next
			for n := range 4 {
				t.join(t.of(edge[n], t.class[corner[n]]), t.of(edge[(n+3)%4], t.class[corner[n]]))
			}
			t.face(corner, edge)
			if !t.filled(i, j-1) {
				t.rim(corner[0], corner[1], edge[0])
			}
			if !t.filled(i+1, j) {
				t.rim(corner[1], corner[2], edge[1])
			}
			if !t.filled(i, j+1) {
				t.rim(corner[2], corner[3], edge[2])
			}
			if !t.filled(i-1, j) {
				t.rim(corner[3], corner[0], edge[3])
			}
		}
	}
}

// face takes down the lines that cross a face, by level.
func (t *tracer) face(corner, edge [4]int) {
	c := [4]int32{t.class[corner[0]], t.class[corner[1]], t.class[corner[2]], t.class[corner[3]]}
	lo, hi := min(c[0], c[1], c[2], c[3]), max(c[0], c[1], c[2], c[3])
	for l := lo; l < hi; l++ { // level l lies between classes l and l+1
		// up: edges on which the figure rises through the level, going round; down: on which it falls.
		var up, down [2]int
		n, first := 0, -1
		for s := range 4 {
			a, b := c[s] > l, c[(s+1)%4] > l
			if a && !b {
				if first < 0 {
					first = s
				}
				down[n] = s
				n++
			}
		}
		m := 0
		for s := 1; s <= 4; s++ { // ups in the order in which they follow the first down
			at := (first + s) % 4
			if c[at] <= l && c[(at+1)%4] > l {
				up[m] = at
				m++
			}
		}
		// With the high ground on the left a line goes from a down edge to an up edge. Alone or round low corners it is the up edge
		// that follows; where the saddle is low, lines go round high corners, to the up edge before.
		if n == 2 && !t.high(corner, l) {
			up[0], up[1] = up[1], up[0]
		}
		for s := range n {
			t.line(edge[down[s]], edge[up[s]], l)
		}
	}
}

// high tells whether the middle of a face has reached a level.
func (t *tracer) high(corner [4]int, l int32) bool {
	return (t.v[corner[0]]+t.v[corner[1]]+t.v[corner[2]]+t.v[corner[3]])/4 >= t.levels[l]
}

// line takes down a line from one edge to another, class l+1 on its left and class l on its right.
func (t *tracer) line(from, to int, l int32) {
	n := int64(len(t.levels))
	a, b := int64(from)*n+int64(l), int64(to)*n+int64(l)
	above, below := t.of(from, l+1), t.of(from, l)
	t.join(above, t.of(to, l+1))
	t.join(below, t.of(to, l))
	t.add(l+1, step{a, b, above})
	t.add(l, step{b, a, below})
}

// rim takes down an edge that has a face on its left only.
func (t *tracer) rim(a, b, edge int) {
	n := int64(len(t.levels))
	at, c := int64(-1-a), t.class[a]
	for c != t.class[b] {
		next, level := c+1, c
		if c > t.class[b] {
			next, level = c-1, c-1
		}
		to := int64(edge)*n + int64(level)
		t.add(c, step{at, to, t.of(edge, c)})
		at, c = to, next
	}
	t.add(c, step{at, int64(-1 - b), t.of(edge, c)})
}

// add takes a step down, unless it bounds what lies below the first level or above the last.
func (t *tracer) add(class int32, s step) {
	if class > 0 && int(class) < len(t.levels) {
		t.steps[class] = append(t.steps[class], s)
	}
}

// place is where a corner or crossing lies.
func (t *tracer) place(id int64) orb.Point {
	nx := len(t.xs)
	if id < 0 {
		k := int(-1 - id)
		return orb.Point{t.xs[k%nx], t.ys[k/nx]}
	}
	n := len(t.levels)
	e, l := int(id)/n, int(id)%n
	a, b := t.ends(e)
	share := (t.levels[l] - t.v[a]) / (t.v[b] - t.v[a])
	if !(share >= 0 && share <= 1) { // figures too large to subtract
		share = 0.5
	}
	if t.v[b] < t.v[a] {
		l = n - 1 - l // levels come in falling order
	}
	share = nudge*float64(l+1) + share*(1-nudge*float64(n+1))
	p, q := orb.Point{t.xs[a%nx], t.ys[a/nx]}, orb.Point{t.xs[b%nx], t.ys[b/nx]}
	if e%2 == 0 {
		return orb.Point{p[0] + share*(q[0]-p[0]), p[1]}
	}
	return orb.Point{p[0], p[1] + share*(q[1]-p[1])}
}

// polygons puts the outlines of one class together.
func (t *tracer) polygons(class int) orb.MultiPolygon {
	rings, parts := t.rings(t.steps[class])
	var out orb.MultiPolygon
	var holes []int
	number := map[int32]int{}
	for k, r := range rings {
		if RingArea(r) < 0 {
			holes = append(holes, k)
			continue
		}
		number[t.find(parts[k])] = len(out)
		out = append(out, orb.Polygon{r})
	}
	for _, k := range holes {
		n := number[t.find(parts[k])]
		out[n] = append(out[n], rings[k])
	}
	return out
}

// rings joins steps end to end, and names a part that lies along each ring. Only corners where two cells touch are passed twice.
func (t *tracer) rings(steps []step) (rings []orb.Ring, parts []int32) {
	order := make([]int32, len(steps))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		switch x, y := steps[a].from, steps[b].from; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return int(a - b)
	})
	used := make([]bool, len(steps))
	// next is a step from a place along the same piece of ground that no ring has taken yet, or -1.
	next := func(at int64, ground int32) int32 {
		lo, _ := slices.BinarySearchFunc(order, at, func(i int32, at int64) int {
			switch f := steps[i].from; {
			case f < at:
				return -1
			case f > at:
				return 1
			}
			return 0
		})
		for ; lo < len(order) && steps[order[lo]].from == at; lo++ {
			if i := order[lo]; !used[i] && t.find(steps[i].part) == ground {
				return i
			}
		}
		return -1
	}
	var chain []int32
	for start := range steps {
		if used[start] {
			continue
		}
		chain = chain[:0]
		ground := t.find(steps[start].part)
		for i := int32(start); i >= 0; i = next(steps[i].to, ground) {
			used[i] = true
			chain = append(chain, i)
		}
		t.split(steps, chain, func(ring orb.Ring, part int32) {
			rings, parts = append(rings, ring), append(parts, part)
		})
	}
	return rings, parts
}

// split cuts a chain of steps wherever it comes by a corner again, so that every ring passes every place once.
func (t *tracer) split(steps []step, chain []int32, f func(orb.Ring, int32)) {
	var stack []int32
	seen := map[int64]int{} // corners of the mesh on the stack: the step that leaves them
	for _, i := range chain {
		s := steps[i]
		if s.from < 0 {
			seen[s.from] = len(stack)
		}
		stack = append(stack, i)
		if at, ok := seen[s.to]; ok && s.to < 0 {
			f(t.ring(steps, stack[at:]), steps[stack[at]].part)
			for _, k := range stack[at:] {
				delete(seen, steps[k].from)
			}
			stack = stack[:at]
		}
	}
	if len(stack) > 0 {
		f(t.ring(steps, stack), steps[stack[0]].part)
	}
}

// ring is the closed ring of the steps without the corners of the mesh that lie on a straight stretch.
func (t *tracer) ring(steps []step, chain []int32) orb.Ring {
	n := len(chain)
	at := make([]orb.Point, n)
	for k, i := range chain {
		at[k] = t.place(steps[i].from)
	}
	out := make(orb.Ring, 0, n+1)
	for k := range n {
		a, b, c := at[(k+n-1)%n], at[k], at[(k+1)%n]
		if steps[chain[k]].from < 0 && (a[0] == b[0] && b[0] == c[0] || a[1] == b[1] && b[1] == c[1]) {
			continue
		}
		out = append(out, b)
	}
	return append(out, out[0])
}
