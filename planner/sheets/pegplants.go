package sheets

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner/paper"
	"quickthorn/planner/setout"
)

// hedgePlants writes the plants of a hedge in the order in which they are planted, the rows by turns: the block that repeats once, then
// from where to where each block runs. Trees in the hedge are listed one by one.
func (b *fieldBook) hedgePlants(l *setout.Layout) {
	var order, trees []*setout.Plant
	for i := range l.Plants {
		switch p := &l.Plants[i]; {
		case !p.Listed:
		case p.Use == setout.UseTree:
			trees = append(trees, p)
		default:
			order = append(order, p)
		}
	}
	slices.SortStableFunc(order, func(a, c *setout.Plant) int { return cmp.Compare(a.Number, c.Number) })
	if len(order) > 0 {
		b.hedgeBlocks(l, order)
	}
	if len(trees) > 0 {
		slices.SortStableFunc(trees, func(a, c *setout.Plant) int { return cmp.Compare(a.Chainage, c.Chainage) })
		b.add(part{sub: "Trees in the hedge"})
		if len(order) > 0 {
			b.add(part{para: "Each stands in the place of a hedge plant. They are not counted in the blocks above."})
		}
		b.plantLines(trees)
	}
}

// periodOf is the length of the block that is planted again and again from the start, and how often it is planted whole: the shortest
// of 1 to 60 plants that, repeated, accounts for most plants. times is 1 or less where none repeats.
func periodOf(names []string) (size, times int) {
	best := 0
	for n := 1; n <= 60 && 2*n <= len(names); n++ {
		k := n
		for k < len(names) && names[k] == names[k-n] {
			k++
		}
		if whole := k / n; whole >= 2 && whole*n > best && (best == 0 || whole*n > best+n) {
			size, times, best = n, whole, whole*n
		}
	}
	return size, times
}

// mostBlocks is about how many lines the blocks of a hedge take: in a long one a line stands for several blocks.
const mostBlocks = 60

func (b *fieldBook) hedgeBlocks(l *setout.Layout, order []*setout.Plant) {
	names := make([]string, len(order))
	for i, p := range order {
		names[i] = called(p)
	}
	b.add(part{sub: "Plants in the order along the hedge"})
	if rows := rowsOf(l); len(rows) > 1 {
		b.add(part{para: "The rows take turns: as you walk along, each next plant stands in the next row where its chainage says, row 1 being the left one."})
	}
	size, times := periodOf(names)
	pure := size == 1 && times == len(order)
	switch {
	case pure:
		b.add(part{para: fmt.Sprintf("All are %s.", names[0])})
	case times >= 2 && size*times*2 >= len(order):
		b.add(part{para: fmt.Sprintf("Block of %d, planted %d times: %s.", size, times, inTurn(names[:size]))})
		if rest := names[size*times:]; len(rest) > 0 {
			b.add(part{para: fmt.Sprintf("Then the last %d: %s.", len(rest), inTurn(rest))})
		}
	default:
		size = 25
		if len(order) <= size {
			b.add(part{para: firstUpper(inTurn(names)) + "."})
		}
		times = 0
	}
	step := size
	for step < 20 || times > 0 && step*mostBlocks < len(order) {
		step += size
	}
	t := &paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "Plants", Share: 24}, {Title: "From", Share: 16, Right: true}, {Title: "To", Share: 16, Right: true}, {Title: "What", Share: 80}}}
	for i, next := 0, 0; i < len(order); i = next {
		next = min(i+step, len(order))
		if times > 0 {
			next = min(i+step-i%step, len(order)) // lines begin with the block
		}
		for k := i + 1; k < next; k++ {
			if stretchOf(l, order[k].Chainage) != stretchOf(l, order[i].Chainage) {
				next = k // a gap or a gateway lies between: it begins or ends there
			}
		}
		piece := order[i:next]
		what := "the block"
		switch whole := size * times; {
		case pure:
			what = names[0]
		case times == 0:
			what = inTurn(names[i : i+len(piece)])
		case i >= whole:
			what = "the last plants"
		case i%step != 0:
			what = fmt.Sprintf("on from plant %d of the block", i%size+1)
		case len(piece) < step && i+len(piece) < whole:
			what = "the block as far as it goes"
			if step > size {
				what = "the block, again and again as far as it goes"
			}
		case i+len(piece) > whole:
			what = "the block, then the last plants"
		case step > size:
			what = fmt.Sprintf("the block, %s times", thousands(step/size))
		}
		lo, hi := piece[0].Chainage, piece[0].Chainage
		for _, p := range piece {
			lo, hi = math.Min(lo, p.Chainage), math.Max(hi, p.Chainage)
		}
		t.Rows = append(t.Rows, []string{paper.Tick, span(i+1, i+len(piece)), metres(lo), metres(hi), what})
	}
	b.add(part{table: t})
}

// span says from which number to which.
func span(from, to int) string {
	if from == to {
		return strconv.Itoa(from)
	}
	return fmt.Sprintf("%d to %d", from, to)
}

// stretchOf numbers the stretches of a line between its openings, and the openings themselves, from the start.
func stretchOf(l *setout.Layout, chainage float64) int {
	n := 0
	for _, o := range l.Line.Openings {
		for _, edge := range []float64{o.FromM, o.ToM} {
			if chainage > edge {
				n++
			}
		}
	}
	return n
}

// inTurn says names in order, those that follow each other as a number of them.
func inTurn(names []string) string {
	var out []string
	for i := 0; i < len(names); {
		k := i
		for k < len(names) && names[k] == names[i] {
			k++
		}
		out = append(out, fmt.Sprintf("%d %s", k-i, names[i]))
		i = k
	}
	return strings.Join(out, ", ")
}

// plantLines lists plants of one row: each on a line, or those that are alike and evenly spaced together where there are many.
func (b *fieldBook) plantLines(row []*setout.Plant) {
	t := &paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "Number", Share: 20}, {Title: "Chainage", Share: 34, Right: true}, {Title: "Offset", Share: 34, Right: true}, {Title: "Plant", Share: 80}}}
	for i := 0; i < len(row); {
		k := alike(row, i)
		if len(row) <= mostLines && k-i < fewAlike {
			k = i + 1
		}
		first, last := row[i], row[k-1]
		number, at := strconv.Itoa(first.Number+1), metres(first.Chainage)
		if k-i > 1 {
			number = fmt.Sprintf("%d to %d", first.Number+1, last.Number+1)
			at = fmt.Sprintf("%s to %s, every %s", metres(first.Chainage), metres(last.Chainage), metres((last.Chainage-first.Chainage)/float64(k-i-1)))
		}
		t.Rows = append(t.Rows, []string{paper.Tick, number, at, offsetText(first.Offset), called(first)})
		i = k
	}
	b.add(part{table: t})
}

// alike is the end of the stretch from i on whose plants are of one kind and evenly spaced, to the centimetre.
func alike(row []*setout.Plant, i int) int {
	k := i + 1
	for k < len(row) && called(row[k]) == called(row[i]) && row[k].Number == row[k-1].Number+1 {
		if k > i+1 && math.Abs((row[k].Chainage-row[k-1].Chainage)-(row[i+1].Chainage-row[i].Chainage)) > 0.01 {
			break
		}
		k++
	}
	return k
}

// blockSheet is the sheet of an orchard or a grove: a base line through the first plant of its first row, and where each row begins
// from there.
func (b *fieldBook) blockSheet(l *setout.Layout) {
	f := l.Feature
	rows := rowsOf(l)
	start := rows[0][0].At
	longest := rows[0]
	for _, r := range rows {
		if len(r) > len(longest) {
			longest = r
		}
	}
	bearing := l.BearingDeg
	dir := geo.Direction(bearing)
	place := func(p orb.Point) (along, left float64) {
		dx, dy := p[0]-start[0], p[1]-start[1]
		return dx*dir[0] + dy*dir[1], dx*-dir[1] + dy*dir[0]
	}
	reach := 0.0
	for _, r := range rows {
		for _, p := range r {
			along, _ := place(p.At)
			reach = math.Max(reach, along)
		}
	}
	far := orb.Point{start[0] + dir[0]*reach, start[1] + dir[1]*reach}
	pegs := []peg{{Name: "A", What: "start: plant 1 of row 1", At: start}, {Name: "B", What: "end of the base line", At: far, M: reach}}
	b.add(part{head: firstUpper(f.Label())}, part{para: fmt.Sprintf("%s%s: %s to plant, pattern %s, %s m apart.", firstUpper(string(f.Kind)), of(f.ID, f.Label()), plantsText(listed(l)), l.Pattern, metres(l.SpacingM))},
		part{picture: &picture{box: f.Shape.Bound(), pegs: pegs, about: f.ID}})
	t := &paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "Peg", Share: 8}, {Title: "What", Share: 34}, {Title: "From A", Share: 16, Right: true}, {Title: "Bearing", Share: 15, Right: true}, {Title: "Tape to it", Share: 94}}}
	t.Rows = append(t.Rows, []string{paper.Tick, "A", pegs[0].What, metres(0), fmt.Sprintf("%.1f°", bearing), TieOf(start, b.fixed).String()})
	if reach > 0.5 {
		t.Rows = append(t.Rows, []string{paper.Tick, "B", pegs[1].What, metres(reach), "", TieOf(far, b.fixed).String()})
	}
	b.add(part{sub: "Pegs"}, part{table: t})
	b.blockRows(rows, place)
}

// blockRows lists the rows of a block: where each begins from the base line, and its plants in order.
func (b *fieldBook) blockRows(rows [][]*setout.Plant, place func(orb.Point) (along, left float64)) {
	b.add(part{sub: "Rows"}, part{para: "Along is measured on the base line from A towards B (back from A where it says so), beside is square off it."})
	t := &paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "Row", Share: 9}, {Title: "First plant along", Share: 24, Right: true}, {Title: "beside", Share: 30, Right: true},
		{Title: "Apart", Share: 14, Right: true}, {Title: "Plants", Share: 13, Right: true}, {Title: "In order", Share: 85}}}
	for _, r := range rows {
		names := make([]string, len(r))
		for i, p := range r {
			names[i] = called(p)
		}
		along, left := place(r[0].At)
		say := metres(along)
		if along < -0.005 {
			say = metres(-along) + " back"
		}
		apart, even := evenly(r)
		if even {
			t.Rows = append(t.Rows, []string{paper.Tick, strconv.Itoa(r[0].Row + 1), say, offsetText(left), apart, strconv.Itoa(len(r)), inTurn(names)})
			continue
		}
		// A row with places left out: each plant by itself.
		for i, p := range r {
			along, left := place(p.At)
			t.Rows = append(t.Rows, []string{paper.Tick, fmt.Sprintf("%d.%d", p.Row+1, p.Number+1), metres(along), offsetText(left), "", "1", names[i]})
		}
	}
	b.add(part{table: t})
}

// evenly tells whether the plants of a row stand evenly, and how far apart.
func evenly(r []*setout.Plant) (apart string, even bool) {
	if len(r) < 2 {
		return "", true
	}
	gap := geo.Dist(r[0].At, r[1].At)
	for i := 2; i < len(r); i++ {
		if math.Abs(geo.Dist(r[i-1].At, r[i].At)-gap) > 0.01 {
			return "", false
		}
	}
	return metres(gap), true
}

// singles is the sheet of single trees and bushes: each by two tapes.
func (b *fieldBook) singles(all []*setout.Layout) {
	if len(all) == 0 {
		return
	}
	t := &paper.Table{Columns: []paper.Column{{Title: "", Share: 5}, {Title: "Peg", Share: 8}, {Title: "Name", Share: 30}, {Title: "Plant", Share: 34}, {Title: "Tape to it", Share: 96}}}
	pic := &picture{named: map[string]bool{}}
	for _, l := range all {
		for i := range l.Plants {
			if p := &l.Plants[i]; p.Listed {
				name := pegName(len(pic.pegs))
				if len(pic.pegs) == 0 {
					pic.box = p.At.Bound()
				}
				pic.box = pic.box.Extend(p.At)
				tie := TieOf(p.At, b.fixed)
				if tie.Exists && max(tie.FromA, tie.FromB) <= mostTape {
					pic.box = pic.box.Extend(tie.A.At).Extend(tie.B.At) // the tapes run from there
				}
				pic.named[l.Feature.ID] = true
				pic.pegs = append(pic.pegs, peg{Name: name, At: p.At})
				t.Rows = append(t.Rows, []string{paper.Tick, name, l.Feature.Label(), called(p), tie.String()})
			}
		}
	}
	b.add(part{head: "Single trees and bushes"}, part{picture: pic}, part{table: t})
}

// pegBox is the box round a line and its pegs.
func pegBox(l *setout.Layout, pegs []peg) orb.Bound {
	b := l.Line.Path.Bound()
	for _, p := range pegs {
		b = b.Extend(p.At)
	}
	return b
}
