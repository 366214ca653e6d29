package interchange

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// Well-known binary (OGC 06-103r4, 2011, section 8): codes 1 to 7, with ISO's thousands for heights and measures and, when reading,
// the flags of the extended form.

// appendWKB writes a shape, little-endian, two numbers a position. It is nil for an empty one.
func appendWKB(b []byte, g *Geometry) []byte {
	le := binary.LittleEndian
	head := func(code uint32) { b = le.AppendUint32(append(b, 1), code) }
	count := func(n int) { b = le.AppendUint32(b, uint32(n)) }
	place := func(p orb.Point) {
		b = le.AppendUint64(b, math.Float64bits(p[0]))
		b = le.AppendUint64(b, math.Float64bits(p[1]))
	}
	path := func(ps []orb.Point) {
		count(len(ps))
		for _, p := range ps {
			place(p)
		}
	}
	multi := func(code uint32, n int) {
		if n != 1 || len(g.Type) > 5 && g.Type[:5] == "Multi" {
			head(code)
			count(n)
		}
	}
	switch {
	case len(g.Points) > 0:
		multi(4, len(g.Points))
		for _, p := range g.Points {
			head(1)
			place(p)
		}
	case len(g.Lines) > 0:
		multi(5, len(g.Lines))
		for _, l := range g.Lines {
			head(2)
			path(l)
		}
	case len(g.Polygons) > 0:
		multi(6, len(g.Polygons))
		for _, p := range g.Polygons {
			head(3)
			count(len(p))
			for _, r := range p {
				path(r)
			}
		}
	default:
		return nil
	}
	return b
}

var errWKB = errors.New("the binary shape ends in the middle or has counts that do not fit")

// wkbReader reads one shape. What a count promises is never set aside before it is seen that the bytes are there.
type wkbReader struct {
	b     []byte
	grid  Grid
	depth int
	parts parts
	size  int
	flat  bool // a height or measure was left out
	multi bool
}

func (w *wkbReader) uint32(o binary.ByteOrder) (uint32, error) {
	if len(w.b) < 4 {
		return 0, errWKB
	}
	v := o.Uint32(w.b)
	w.b = w.b[4:]
	return v, nil
}

// shape reads one geometry and what it holds.
func (w *wkbReader) shape() error {
	if w.depth++; w.depth > 8 {
		return errors.New("the binary shape is nested more than 8 deep")
	}
	defer func() { w.depth-- }()
	if len(w.b) < 5 {
		return errWKB
	}
	var o binary.ByteOrder = binary.BigEndian
	if w.b[0] == 1 {
		o = binary.LittleEndian
	} else if w.b[0] != 0 {
		return fmt.Errorf("the byte order of the binary shape is %d, not 0 or 1", w.b[0])
	}
	w.b = w.b[1:]
	code, err := w.uint32(o)
	if err != nil {
		return err
	}
	numbers := 2
	if code&0x80000000 != 0 {
		numbers++
	}
	if code&0x40000000 != 0 {
		numbers++
	}
	if code&0x20000000 != 0 {
		if _, err := w.uint32(o); err != nil {
			return err
		}
	}
	code &= 0x1FFFFFFF
	switch code / 1000 {
	case 0:
	case 1, 2:
		numbers++
	case 3:
		numbers += 2
	default:
		return fmt.Errorf("the type %d of the binary shape is not known", code)
	}
	w.flat = w.flat || numbers > 2
	return w.body(code%1000, o, numbers)
}

func (w *wkbReader) body(kind uint32, o binary.ByteOrder, numbers int) error {
	switch kind {
	case 1:
		if len(w.b) < 8*numbers {
			return errWKB
		}
		if math.IsNaN(math.Float64frombits(o.Uint64(w.b))) { // POINT EMPTY (OGC 12-128r18, requirement 152)
			w.b = w.b[8*numbers:]
			return nil
		}
		ps, err := w.places(1, o, numbers)
		w.parts.points = append(w.parts.points, ps...)
		return err
	case 2:
		ps, err := w.path(o, numbers)
		if len(ps) > 0 {
			w.parts.lines = append(w.parts.lines, ps)
		}
		return err
	case 3:
		n, err := w.uint32(o)
		if err != nil || int64(n)*4 > int64(len(w.b)) {
			return errors.Join(err, errWKB)
		}
		var rings [][]orb.Point
		for range n {
			ps, err := w.path(o, numbers)
			if err != nil {
				return err
			}
			rings = append(rings, ps)
		}
		if len(rings) > 0 {
			w.parts.areas = append(w.parts.areas, rings)
		}
		return nil
	case 4, 5, 6, 7:
		w.multi = true
		n, err := w.uint32(o)
		if err != nil || int64(n)*5 > int64(len(w.b)) {
			return errors.Join(err, errWKB)
		}
		for range n {
			if err := w.shape(); err != nil {
				return err
			}
		}
		return nil
	}
	return fmt.Errorf("the type %d of the binary shape is none of points, lines and areas with straight edges", kind)
}

func (w *wkbReader) path(o binary.ByteOrder, numbers int) ([]orb.Point, error) {
	n, err := w.uint32(o)
	if err != nil {
		return nil, err
	}
	return w.places(int64(n), o, numbers)
}

func (w *wkbReader) places(n int64, o binary.ByteOrder, numbers int) ([]orb.Point, error) {
	if n*int64(numbers)*8 > int64(len(w.b)) {
		return nil, errWKB
	}
	ps := make([]orb.Point, n)
	for i := range ps {
		p := orb.Point{math.Float64frombits(o.Uint64(w.b)), math.Float64frombits(o.Uint64(w.b[8:]))}
		w.b = w.b[8*numbers:]
		ll, ok := w.grid.ToLonLat(p)
		if !ok {
			return nil, fmt.Errorf("the position %g, %g is not in %s", p[0], p[1], w.grid.Name)
		}
		ps[i] = ll
	}
	w.size += len(ps)
	return ps, nil
}

// readWKB gives the shapes of a binary geometry: one, or several where it is a collection of several kinds.
func readWKB(b []byte, grid Grid) (shapes []Geometry, flattened bool, err error) {
	w := wkbReader{b: b, grid: grid}
	if err := w.shape(); err != nil {
		return nil, false, err
	}
	add := func(g Geometry, single string) {
		if w.multi && g.Type == single {
			g.Type = "Multi" + single
		}
		shapes = append(shapes, g)
	}
	if len(w.parts.areas) > 0 {
		add(areaShape(w.parts.areas), "Polygon")
	}
	if len(w.parts.lines) > 0 {
		add(linesShape(w.parts.lines), "LineString")
	}
	if len(w.parts.points) > 0 {
		add(pointsShape(w.parts.points), "Point")
	}
	return shapes, w.flat, nil
}

// appendBlob writes a shape as a GeoPackage has it (OGC 12-128r18, clause 2.1.3): header, box round it, well-known binary.
// An empty shape is nil.
func appendBlob(g *Geometry) []byte {
	if g.Empty() {
		return nil
	}
	b := []byte{'G', 'P', 0, 0b0000_0011, 0xE6, 0x10, 0, 0} // version 0; envelope of x and y, little-endian; srs_id 4326
	box := g.bound()
	for _, v := range []float64{box.Min[0], box.Max[0], box.Min[1], box.Max[1]} {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	return appendWKB(b, g)
}

// bound is the box round a shape that is not empty.
func (g *Geometry) bound() orb.Bound {
	b := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for _, p := range g.Points {
		b = b.Extend(p)
	}
	for _, l := range g.Lines {
		b = b.Union(l.Bound())
	}
	for _, p := range g.Polygons {
		b = b.Union(p.Bound())
	}
	return b
}

// readBlob reads a shape of a GeoPackage. It is none for a null or empty one.
func readBlob(b []byte, grid Grid) (shapes []Geometry, flattened bool, err error) {
	if len(b) == 0 {
		return nil, false, nil
	}
	if len(b) < 8 || b[0] != 'G' || b[1] != 'P' {
		return nil, false, errors.New("the shape does not begin with GP")
	}
	flags := b[3]
	if flags&0b0010_0000 != 0 {
		return nil, false, errors.New("the shape is of an extended type")
	}
	envelope := flags >> 1 & 0b111
	if envelope > 4 {
		return nil, false, errWKB
	}
	head := 8 + [...]int{0, 32, 48, 48, 64}[envelope]
	if len(b) < head {
		return nil, false, errWKB
	}
	if flags&0b0001_0000 != 0 {
		return nil, false, nil
	}
	return readWKB(b[head:], grid)
}
