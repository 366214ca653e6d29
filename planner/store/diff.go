package store

import (
	"bytes"
	"cmp"
	"slices"
	"sort"

	"quickthorn/planner"
)

// A rowChange is what happens to one row of feature: before is nil where it comes, after where it goes.
type rowChange struct {
	place         int64
	before, after *planner.Piece
}

// gap is the room left between the places of features that come one after another, for others to be put between.
const gap = 1 << 20

// diff finds the changes that lead from the features of one file to those of another, and the places of the new ones. Features
// are the same where their ids are; those that keep their order keep their rows. Cost: n log n of the features that are not in the
// same place from the start or the end.
func diff(old []planner.Piece, places []int64, next []planner.Piece) ([]rowChange, []int64) {
	head := 0
	for head < len(old) && head < len(next) && same(old[head], next[head]) {
		head++
	}
	tail := 0
	for tail < len(old)-head && tail < len(next)-head && same(old[len(old)-1-tail], next[len(next)-1-tail]) {
		tail++
	}
	stays := anchors(old[head:len(old)-tail], next[head:len(next)-tail])
	out := make([]int64, len(next))
	copy(out, places[:head])
	copy(out[len(next)-tail:], places[len(old)-tail:])
	known := make([]bool, len(next))
	for j := range next {
		known[j] = j < head || j >= len(next)-tail
	}
	for _, a := range stays {
		out[head+a.next], known[head+a.next] = places[head+a.old], true
	}
	if !fillPlaces(out, known) {
		for j := range out {
			out[j] = int64(j+1) * gap
		}
	}
	return rowChanges(old, places, next, out), out
}

func same(a, b planner.Piece) bool { return a.ID == b.ID && bytes.Equal(a.Text, b.Text) }

// fillPlaces gives those that have no place yet one between their neighbours. It fails where there is no room.
func fillPlaces(out []int64, known []bool) bool {
	for j := 0; j < len(out); {
		if known[j] {
			j++
			continue
		}
		end := j
		for end < len(out) && !known[end] {
			end++
		}
		n := int64(end - j)
		var first, step int64 = gap, gap
		switch {
		case j > 0 && end < len(out):
			room := out[end] - out[j-1]
			if room <= n {
				return false
			}
			for i := range n {
				out[j+int(i)] = out[j-1] + room/(n+1)*(i+1) + room%(n+1)*(i+1)/(n+1)
			}
			j = end
			continue
		case j > 0:
			first = out[j-1] + gap
		case end < len(out):
			first = out[end] - n*gap
		}
		for i := range n {
			out[j+int(i)] = first + i*step
		}
		j = end
	}
	return true
}

// rowChanges compares two tables of features, place by place, in the order of places.
func rowChanges(old []planner.Piece, places []int64, next []planner.Piece, nextPlaces []int64) []rowChange {
	var out []rowChange
	i, j := 0, 0
	for i < len(old) || j < len(next) {
		switch {
		case j == len(next) || i < len(old) && places[i] < nextPlaces[j]:
			out = append(out, rowChange{place: places[i], before: &old[i]})
			i++
		case i == len(old) || nextPlaces[j] < places[i]:
			out = append(out, rowChange{place: nextPlaces[j], after: &next[j]})
			j++
		default:
			if !same(old[i], next[j]) {
				out = append(out, rowChange{place: places[i], before: &old[i], after: &next[j]})
			}
			i, j = i+1, j+1
		}
	}
	return out
}

type anchor struct{ old, next int }

// anchors pairs features of the same id that stand in the same order on both sides, as many as there can be: the longest rising
// sequence of old indices in the order of the new.
func anchors(old, next []planner.Piece) []anchor {
	at := make(map[string]int, len(old))
	for i, p := range old {
		at[p.ID] = i
	}
	var pairs []anchor
	for j, p := range next {
		if i, ok := at[p.ID]; ok {
			pairs = append(pairs, anchor{i, j})
		}
	}
	var ends []int // ends[n] is the pair that ends the best sequence of n+1
	before := make([]int, len(pairs))
	for k, p := range pairs {
		n := sort.Search(len(ends), func(n int) bool { return pairs[ends[n]].old >= p.old })
		before[k] = -1
		if n > 0 {
			before[k] = ends[n-1]
		}
		if n == len(ends) {
			ends = append(ends, k)
		} else {
			ends[n] = k
		}
	}
	var out []anchor
	if len(ends) > 0 {
		for k := ends[len(ends)-1]; k >= 0; k = before[k] {
			out = append(out, pairs[k])
		}
	}
	slices.Reverse(out)
	return out
}

// applied is the table after the changes. It is false where the table is not what they start from.
func applied(old []planner.Piece, places []int64, changes []rowChange) ([]planner.Piece, []int64, bool) {
	changes = slices.SortedFunc(slices.Values(changes), func(a, b rowChange) int { return cmp.Compare(a.place, b.place) })
	next := make([]planner.Piece, 0, len(old)+len(changes))
	at := make([]int64, 0, cap(next))
	i := 0
	for _, c := range changes {
		for ; i < len(old) && places[i] < c.place; i++ {
			next, at = append(next, old[i]), append(at, places[i])
		}
		found := i < len(old) && places[i] == c.place
		if found != (c.before != nil) || found && !same(old[i], *c.before) {
			return nil, nil, false
		}
		if found {
			i++
		}
		if c.after != nil {
			next, at = append(next, *c.after), append(at, c.place)
		}
	}
	return append(next, old[i:]...), append(at, places[i:]...), true
}
