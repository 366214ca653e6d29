package planner

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quickthorn/geo"
	"quickthorn/geo/interchange"
)

// DefaultMaxBytes is the size of the largest file that is read unless ReadOptions say otherwise: 50 MB.
const DefaultMaxBytes = 50 << 20

// ReadOptions are what the caller knows besides the file.
type ReadOptions struct {
	File     string // its name, for messages
	MaxBytes int64  // 0: DefaultMaxBytes
	Winter   int    // replaces planting_winter of the file where it is not 0
	RuleSet  string // replaces rule_set of the file where it is not ""
}

// Read reads a plan file. A file that cannot be used as a whole is refused with a *Problem; everything else that is wrong
// with it becomes one of Plan.Faults, and the rest of the plan is read all the same.
//
// The plan keeps slices of data, which must not be altered afterwards. Time and memory grow with the size of data; the live
// memory is some five times it at most (see TestReadMemory).
func Read(data []byte, opt ReadOptions) (*Plan, error) {
	limit := opt.MaxBytes
	if limit <= 0 {
		limit = DefaultMaxBytes
	}
	if int64(len(data)) > limit {
		return nil, &Problem{File: opt.File, What: fmt.Sprintf("The file is %s; at most %s are read.", megabytes(int64(len(data))), megabytes(limit)),
			Mend: "Leave out what is not part of the plan, or split the holding."}
	}
	c, bad := interchange.ReadCollection(data)
	if bad != nil {
		return nil, refused(opt.File, bad)
	}
	doc, bad := openDocument(c)
	if bad != nil {
		return nil, refused(opt.File, bad)
	}
	doc.opt = opt
	doc.fileFaults = textFaults(c)
	r := &reading{plan: &Plan{doc: doc}, text: c.Text}
	if err := r.run(); err != nil {
		return nil, err
	}
	return r.plan, nil
}

func megabytes(n int64) string {
	if n < 1<<20 {
		return fmt.Sprintf("%d bytes", n)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/(1<<20))
}

func refused(file string, f *interchange.SyntaxFault) *Problem {
	return &Problem{File: file, Where: fmt.Sprintf("line %d, column %d (byte %d)", f.Line, f.Column, f.Offset), What: f.What, Mend: f.Mend, Err: f}
}

func textFaults(c *interchange.Collection) []Fault {
	var out []Fault
	if c.BOM {
		out = append(out, Fault{Rule: "input.mended", Severity: Note, Place: "bom",
			Message: "The file begins with a byte order mark. It is left out when the file is written; nothing else needs doing."})
	}
	for _, name := range c.Twice {
		out = append(out, Fault{Rule: "input.mended", Severity: Note, Place: "twice " + name,
			Message: fmt.Sprintf("The file gives %q twice. The last one counts; both are kept. Take out the one that is wrong.", name)})
	}
	return out
}

// reading is one pass over a document. The steps of run follow each other because each needs what the one before found:
// geometry in degrees, ids, the frame, then metres and properties.
type reading struct {
	plan   *Plan
	text   []byte // the whole text where there is one, for line numbers
	faults faultList
	lines  lineCounter
	room   [][]byte // for the values of the properties of one feature after another
	// of features whose geometry could not be read or was mended, by their index
	broken map[int]string
	mended map[int]interchange.Mended
	reused map[*Feature]bool  // features taken over from the plan before, already in metres
	fixed  *geo.Frame         // the frame of the plan before
	old    map[string][]Fault // the faults of the plan before that are about one feature alone
}

func (r *reading) run() error {
	p := r.plan
	r.broken, r.mended = map[int]string{}, map[int]interchange.Mended{}
	r.faults.add(p.doc.fileFaults...)
	if err := r.holding(); err != nil {
		return err
	}
	p.Features = make([]*Feature, len(p.doc.items))
	var fresh []Feature // in one piece, which is smaller
	if r.fixed == nil {
		fresh = make([]Feature, len(p.doc.items))
	}
	for i := range p.doc.items {
		f := p.doc.items[i].feature
		if f == nil {
			if fresh != nil {
				f = &fresh[i]
			} else {
				f = new(Feature)
			}
			f.Index, f.raw = i, p.doc.items[i].raw()
			if err := r.outline(f); err != nil {
				return err
			}
			p.doc.items[i].feature = f
		}
		p.Features[i] = f
	}
	r.giveIDs()
	slices.SortFunc(p.Features, func(a, b *Feature) int { return strings.Compare(a.ID, b.ID) })
	if err := r.extent(); err != nil {
		return err
	}
	if err := r.frame(); err != nil {
		return err
	}
	for _, f := range p.Features {
		if r.reused[f] {
			r.faults.add(r.old[f.ID]...)
			continue
		}
		r.feature(f)
	}
	r.unknownKinds()
	r.width()
	p.doc.capped = len(r.faults.more) > 0
	p.Faults = r.faults.sorted()
	return nil
}

// outline reads of a feature what the others need: its kind and where it lies, still in degrees.
func (r *reading) outline(f *Feature) error {
	raw := f.raw
	if !interchange.IsObject(raw) {
		r.broken[f.Index] = "is not a GeoJSON Feature"
		return nil
	}
	var geometry interchange.Span
	for m := range interchange.Members(raw) {
		switch string(m.Name) {
		case "type":
			if string(m.Value.Of(raw)) == `"Feature"` {
				delete(r.broken, f.Index) // given twice, and the last one counts
			} else if t, _ := interchange.Text(m.Value.Of(raw)); t != "Feature" {
				r.broken[f.Index] = fmt.Sprintf("has the type %s, not Feature", interchange.Shorten(string(m.Value.Of(raw))))
			}
		case "geometry":
			geometry = m.Value
		case "properties":
			f.Kind = kindOf(interchange.Find(m.Value.Of(raw), "kind"))
		case "crs":
			if name, ok := interchange.LonLatCRS(m.Value.Of(raw)); !ok {
				return r.refuse(f, m.Value.From, interchange.CRSHint, "The feature is in another reference system: %s.", name)
			}
		}
	}
	v := geometry.Of(raw)
	if _, bad := r.broken[f.Index]; bad || interchange.IsNull(v) {
		return nil
	}
	g, bad := interchange.ReadGeometry(v, maxPositions)
	if bad != nil {
		return r.badGeometry(f, geometry.From, bad)
	}
	r.keepShape(f, g)
	return nil
}

const collectionType = "GeometryCollection"

// kindOf is the kind that a property's value names, the table's own string where it is there, "" for what is no text.
func kindOf(v []byte) Kind {
	if len(v) > 2 {
		if info := vocabulary.kinds[string(v[1:len(v)-1])]; info != nil && v[0] == '"' {
			return info.spec.Kind
		}
	}
	s, _ := interchange.Text(v)
	return Kind(s)
}

// keepShape takes over a geometry in degrees, unless its kind has no use for it.
func (r *reading) keepShape(f *Feature, g interchange.Geometry) {
	if info := vocabulary.kinds[string(f.Kind)]; info != nil && !slices.Contains(info.spec.Geometries, g.Type) {
		r.broken[f.Index] = fmt.Sprintf("is drawn as a %s, and the kind %s needs a %s", g.Type, f.Kind, strings.Join(info.spec.Geometries, " or "))
		if g.Type == collectionType {
			r.broken[f.Index] = "is drawn as a GeometryCollection. Draw its parts as features of their own"
		}
		return
	}
	f.Shape = Shape{Points: g.Points, Lines: g.Lines, Polygons: g.Polygons}
	if g.Mended.Any() {
		r.mended[f.Index] = g.Mended
	}
}

// maxPositions bounds what one feature may cost to check and to measure. Registers of land draw parcels with some hundreds.
const maxPositions = 100_000

func (r *reading) badGeometry(f *Feature, offset int, bad *interchange.GeometryFault) error {
	switch {
	case bad.Range:
		looks, mend := "The coordinates look like the metres of a grid, not degrees.", interchange.CRSHint
		if a, b := bad.Position[0], bad.Position[1]; math.Abs(a) <= 180 && math.Abs(b) <= 180 {
			looks, mend = "Longitude and latitude may be swapped.", "Longitude comes first, then latitude."
		}
		return r.refuse(f, offset+bad.Offset, mend, "At %s, %s %s", bad.Path, bad.What, looks)
	case bad.CRS != "":
		return r.refuse(f, offset+bad.Offset, interchange.CRSHint, "In it, %s", bad.What)
	}
	line, column := r.place(f, offset+bad.Offset)
	r.broken[f.Index] = fmt.Sprintf("cannot be placed: at %s (feature %d of the file, line %d, column %d) %s", bad.Path, f.Index+1, line, column, strings.TrimSuffix(bad.What, "."))
	return nil
}

// refuse refuses the whole file because of one feature.
func (r *reading) refuse(f *Feature, offset int, mend, format string, args ...any) *Problem {
	line, column := r.place(f, offset)
	id := rawID(f.raw)
	name := fmt.Sprintf("feature %d of the file", f.Index+1)
	if id != "" {
		name = fmt.Sprintf("%s (id %s)", name, interchange.Shorten(id))
	}
	return &Problem{File: r.plan.doc.opt.File, Where: fmt.Sprintf("line %d, column %d, %s", line, column, name), Feature: id,
		What: fmt.Sprintf(format, args...), Mend: mend}
}

// rawID is the id that the feature states, as text, or "".
func rawID(raw []byte) string {
	v := interchange.Find(raw, "id")
	if interchange.IsNumber(v) {
		return string(v)
	}
	s, _ := interchange.Text(v)
	return s
}

// frame chooses the origin of the metric frame and lays it.
func (r *reading) frame() error {
	p := r.plan
	origin, drawn := r.middle()
	p.doc.placeable = drawn
	r.farOrigin()
	if r.fixed != nil {
		p.Frame = *r.fixed
		return nil
	}
	if p.Holding.Origin != nil {
		origin = *p.Holding.Origin
	}
	p.doc.framed = drawn || p.Holding.Origin != nil
	f, err := geo.NewFrame(origin)
	if err != nil {
		return &Problem{File: p.doc.opt.File, Where: "holding.origin", Property: "origin", What: fmt.Sprintf("The origin %v is no place to measure from.", origin),
			Mend: "Leave it out: the middle of the parcels is then used.", Err: err}
	}
	p.Frame = f
	return nil
}
