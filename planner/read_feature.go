package planner

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/geo/interchange"
)

// feature reads what is left of a feature once its id and the frame are known: its properties, and its geometry in metres.
func (r *reading) feature(f *Feature) {
	info := vocabulary.kinds[string(f.Kind)]
	known := info != nil
	if !known {
		info = vocabulary.common
	}
	r.properties(f, info)
	r.status(f)
	if known {
		finish(f)
	}
	r.shape(f)
}

// collect finds the values of a kind's properties in an object, the last of each, and the names that are given twice. The
// values go into room where there is enough.
func collect(info *kindInfo, obj []byte, room [][]byte) (values [][]byte, twice []string) {
	values = room[:0]
	for range info.props {
		values = append(values, nil)
	}
	for m := range interchange.Members(obj) {
		i, ok := info.index[string(m.Name)]
		if !ok {
			continue
		}
		if name := info.props[i].Name; values[i] != nil && !slices.Contains(twice, name) {
			twice = append(twice, name)
		}
		values[i] = m.Value.Of(obj)
	}
	return values, twice
}

func (r *reading) twice(feature, label string, names []string) {
	for _, name := range names {
		r.faults.add(Fault{Rule: "input.mended", Severity: Note, Feature: feature, Property: name, Place: "twice",
			Message: fmt.Sprintf("%s gives %q twice. The last one counts; both are kept. Take out the one that is wrong.", label, name)})
	}
}

// subject is what a message calls a feature at the beginning of a sentence.
func (f *Feature) subject() string {
	switch {
	case strings.TrimSpace(f.Name) != "":
		return interchange.Shorten(f.Name)
	case f.Kind == "":
		return "The feature " + interchange.Shorten(f.ID)
	}
	return "The " + f.noun() + " " + interchange.Shorten(f.ID)
}

// valueMessage says which value is not allowed, and what is.
func valueMessage(label string, p Prop, v []byte, why string) string {
	if why != "" {
		why = ": " + why
	}
	return fmt.Sprintf("%s: %s is %s%s. Allowed is %s.", label, p.Name, shown(v), why, allowed(p))
}

func (r *reading) properties(f *Feature, info *kindInfo) {
	var detail reflect.Value
	if info.spec.New != nil {
		f.Detail = info.spec.New()
		detail = reflect.ValueOf(f.Detail).Elem()
	}
	raw := interchange.Find(f.raw, "properties")
	var values [][]byte
	if interchange.IsObject(raw) {
		var twice []string
		values, twice = collect(info, raw, r.room)
		r.room = values
		f.Name = textOr(values[info.index["name"]], "")
		r.twice(f.ID, f.subject(), append(twice, repeatedMembers(f.raw)...))
	}
	r.kindFaults(f, raw)
	common := reflect.ValueOf(f).Elem()
	for i, p := range info.props {
		target := detail
		if isCommon(i) {
			target = common
		}
		if values == nil || interchange.IsNull(values[i]) {
			setDefault(target, info.fields[i], p)
			continue
		}
		x, ok, why := readValue(p, values[i])
		if !ok {
			f.wrong = f.wrong.with(p.Name)
			if r.faults.full("input.property", Stop) {
				continue
			}
			r.faults.add(Fault{Rule: "input.property", Severity: Stop, Feature: f.ID, Property: p.Name, Message: valueMessage(f.subject(), p, values[i], why) + " What needs it is not worked out until it is mended."})
			continue
		}
		f.stated = f.stated.with(p.Name)
		setValue(f, target, info.fields[i], p, x)
	}
	r.onePlanting(f, values, info)
}

func textOr(v []byte, other string) string {
	if s, ok := interchange.Text(v); ok {
		return s
	}
	return other
}

// repeatedMembers names the members of a feature that are given twice, among those that are read.
func repeatedMembers(raw []byte) (twice []string) {
	var n [4]int
	names := [4]string{"type", "id", "properties", "geometry"}
	for m := range interchange.Members(raw) {
		for i, name := range names {
			if string(m.Name) != name {
				continue
			}
			if n[i]++; n[i] == 2 {
				twice = append(twice, name)
			}
		}
	}
	return twice
}

// kindFaults reports properties that are no object, and a kind that is missing or no text. A null in place of the properties
// counts as none.
func (r *reading) kindFaults(f *Feature, raw []byte) {
	if _, bad := r.broken[f.Index]; bad && !interchange.IsObject(f.raw) {
		return
	}
	kind := interchange.Find(raw, "kind")
	switch {
	case !interchange.IsNull(raw) && !interchange.IsObject(raw):
		f.wrong = f.wrong.with("kind")
		r.faults.add(Fault{Rule: "input.property", Severity: Stop, Feature: f.ID, Property: "properties",
			Message: fmt.Sprintf("%s: its properties are %s. Allowed is an object in braces, or null.", f.subject(), shown(raw))})
	case interchange.IsNull(kind) && r.faults.full("input.kind", Note):
	case interchange.IsNull(raw):
		r.faults.add(Fault{Rule: "input.kind", Severity: Note, Feature: f.ID,
			Message: fmt.Sprintf("%s has no properties, so nothing is known of it. It is kept and not worked with. Give it a kind.", f.subject())})
	case interchange.IsNull(kind):
		r.faults.add(Fault{Rule: "input.kind", Severity: Note, Feature: f.ID,
			Message: fmt.Sprintf("%s has no kind, so nothing is known of it. It is kept and not worked with. Give it a kind, such as hedge.", f.subject())})
	case kind[0] != '"':
		f.wrong = f.wrong.with("kind")
		r.faults.add(Fault{Rule: "input.property", Severity: Stop, Feature: f.ID, Property: "kind",
			Message: fmt.Sprintf("%s: kind is %s. Allowed is text in quotes, such as \"hedge\".", f.subject(), shown(kind))})
	}
}

func setDefault(target reflect.Value, field []int, p Prop) {
	if p.Default == nil || field == nil || p.Type == TypeBearing && p.Default == "auto" {
		return
	}
	if list, ok := p.Default.([]string); ok {
		put(target, field, slices.Clone(list))
		return
	}
	put(target, field, p.Default)
}

// setValue puts a value where it belongs. A species alone is a mix of one, except on a single plant.
func setValue(f *Feature, target reflect.Value, field []int, p Prop, x any) {
	switch {
	case p.Type == TypeSpecies && field == nil:
		if mix := target.FieldByName("Mix"); mix.IsValid() {
			mix.Set(reflect.ValueOf(alone(x.(string))))
		}
	case x == Auto{}:
	default:
		put(target, field, x)
	}
}

// onePlanting reports a feature that says in more than one way what is planted.
func (r *reading) onePlanting(f *Feature, values [][]byte, info *kindInfo) {
	if values == nil || f.Kind == KindPlant {
		return
	}
	var given []string
	for _, name := range []string{"species", "mix", "trees"} {
		if i, ok := info.index[name]; ok && !interchange.IsNull(values[i]) {
			given = append(given, name)
		}
	}
	if len(given) < 2 {
		return
	}
	last := given[len(given)-1]
	for _, name := range given {
		f.wrong = f.wrong.with(name)
	}
	r.faults.add(Fault{Rule: "input.property", Severity: Stop, Feature: f.ID, Property: last, Place: "both",
		Message: fmt.Sprintf("%s says in %d ways what is planted: %s. Allowed is one of them. Take the others out.", f.subject(), len(given), strings.Join(given, " and "))})
}

// status settles whether a feature stands there, where it does not say so itself. A status that was given wrong stays empty:
// then neither is assumed.
func (r *reading) status(f *Feature) {
	if f.Status != "" || f.Wrong("status") {
		return
	}
	winter := r.plan.Holding.PlantingWinter
	given := func(names ...string) bool {
		return slices.ContainsFunc(names, func(n string) bool { return f.Stated(n) || f.Wrong(n) })
	}
	f.Status = Existing
	switch f.Kind {
	case KindWindbreak, KindOrchard, KindGrove, KindRow:
		f.Status = Planned
	case KindHedge, KindPlant:
		if !given("planted", "height_m", "last_cut") {
			f.Status = Planned
		}
	}
	switch {
	case f.Status == Existing && winter != 0 && f.Stated("planted") && f.Planted >= winter:
		f.Status = Planned
	case f.Status == Existing && winter != 0 && f.Wrong("planted"):
		f.Status = "" // it hangs on a year that cannot be read
	}
}

// finish sets what depends on other properties: the height and width that a planned hedge will be kept at, and whether the
// bearing of a block is searched for.
func finish(f *Feature) {
	switch d := f.Detail.(type) {
	case *Hedge:
		if f.Status != Planned {
			return
		}
		if !f.Stated("height_m") && !f.Wrong("height_m") {
			d.HeightM = plannedHedgeHeight
		}
		if !f.Stated("width_m") && !f.Wrong("width_m") {
			d.WidthM = plannedHedgeWidth
		}
	case *Block:
		raw := interchange.Find(interchange.Find(f.raw, "properties"), "bearing_deg")
		d.Auto = !f.Wrong("bearing_deg") && !interchange.IsNumber(raw)
	}
}

// What a planned hedge will be kept at, in metres, where it does not say.
const (
	plannedHedgeHeight = 2.0
	plannedHedgeWidth  = 1.5
)

// unknownKinds notes each kind that is not in the table once.
func (r *reading) unknownKinds() {
	var of []*Feature
	for _, f := range r.plan.Features {
		if f.Kind != "" && vocabulary.kinds[string(f.Kind)] == nil {
			of = append(of, f)
		}
	}
	slices.SortStableFunc(of, func(a, b *Feature) int { return strings.Compare(string(a.Kind), string(b.Kind)) })
	for len(of) > 0 {
		kind, n := of[0].Kind, 1
		for n < len(of) && of[n].Kind == kind {
			n++
		}
		same := of[:n]
		of = of[n:]
		if r.faults.full("input.kind", Note) {
			continue
		}
		ids := make([]string, n)
		for i, f := range same {
			ids[i] = f.ID
		}
		short := interchange.Shorten(string(kind))
		r.faults.add(Fault{Rule: "input.kind", Severity: Note, Feature: ids[0], Place: short,
			Message: fmt.Sprintf("The kind %q is not one that is known here (%s). It is kept and drawn in grey, and nothing is worked out for it.", short, names(ids))})
	}
}

// shape turns the geometry into metres, in place, and reports what is wrong with it.
func (r *reading) shape(f *Feature) {
	if why, bad := r.broken[f.Index]; bad {
		if r.faults.full("input.geometry", Stop) {
			return
		}
		r.faults.add(Fault{Rule: "input.geometry", Severity: Stop, Feature: f.ID,
			Message: fmt.Sprintf("%s %s. It is kept as it is and not worked with.", f.subject(), why)})
		return
	}
	if f.Shape.Empty() {
		if r.faults.full("input.geometry", Note) {
			return
		}
		why := "not drawn: its geometry is null or empty"
		if t, _ := interchange.Text(interchange.Find(interchange.Find(f.raw, "geometry"), "type")); t == collectionType {
			why = "drawn as a GeometryCollection"
		}
		r.faults.add(Fault{Rule: "input.geometry", Severity: Note, Feature: f.ID, Message: fmt.Sprintf("%s is %s. It is kept and not worked with.", f.subject(), why)})
		return
	}
	toMetres(r.plan.Frame, f.Shape)
	if m, ok := r.mended[f.Index]; ok {
		r.mendedFault(f, m)
	}
	faults := validate(f.Shape)
	f.Sound = len(faults) == 0
	for i, g := range faults {
		if i == maxPlaces {
			break
		}
		ll := r.plan.Frame.ToLonLat(g.At)
		r.faults.add(Fault{Rule: "input.geometry", Severity: Stop, Feature: f.ID, At: g.At, HasAt: true, Place: fmt.Sprintf("%.2f,%.2f", g.At[0], g.At[1]),
			Message: fmt.Sprintf("%s cannot be worked with: %s, near longitude %.7f, latitude %.7f. It is kept as it is; mend the drawing there.", f.subject(), strings.TrimSuffix(g.Reason, "."), ll[0], ll[1])})
	}
}

// maxPlaces bounds how many places of one bad drawing are named.
const maxPlaces = 20

func (r *reading) mendedFault(f *Feature, m interchange.Mended) {
	if r.faults.full("input.mended", Note) {
		return
	}
	var did []string
	for _, x := range []struct {
		n         int
		one, many string
	}{
		{m.Closed, "a ring that was not closed was closed", "%d rings that were not closed were closed"},
		{m.Rewound, "a ring that ran the wrong way was turned", "%d rings that ran the wrong way were turned"},
		{m.Repeated, "a repeated position was dropped", "%d repeated positions were dropped"},
	} {
		if x.n > 0 {
			did = append(did, plural(x.n, x.one, x.many))
		}
	}
	at, hasAt := f.Shape.First()
	r.faults.add(Fault{Rule: "input.mended", Severity: Note, Feature: f.ID, At: at, HasAt: hasAt, Place: "geometry",
		Message: fmt.Sprintf("%s was mended for the reckoning: %s. The file keeps it as it was.", f.subject(), strings.Join(did, ", "))})
}

func toMetres(frame geo.Frame, s Shape) {
	convert := func(ps []orb.Point) {
		for i, p := range ps {
			ps[i] = frame.ToLocal(p)
		}
	}
	convert(s.Points)
	for _, l := range s.Lines {
		convert(l)
	}
	for _, g := range s.Polygons {
		for _, ring := range g {
			convert(ring)
		}
	}
}

// validate lists what keeps a shape in metres from being computed with.
func validate(s Shape) []geo.Fault {
	var out []geo.Fault
	for _, p := range s.Points {
		if math.IsNaN(p[0]+p[1]) || math.IsInf(p[0]+p[1], 0) {
			out = append(out, geo.Fault{At: p, Reason: "the position cannot be placed"})
		}
	}
	for _, l := range s.Lines {
		out = append(out, geo.ValidateLine(l)...)
	}
	if len(s.Polygons) > 0 {
		out = append(out, geo.ValidateMultiPolygon(s.Polygons)...)
	}
	if len(out) > 0 {
		return out
	}
	for _, g := range s.Polygons {
		// Positions in a row along a parallel are in line on the map but not on the ground, by less than a millimetre a field.
		if width := 2 * geo.Area(g) / geo.Perimeter(g); width <= Tolerance {
			out = append(out, geo.Fault{At: g[0][0], Kind: geo.NoArea, Reason: "it encloses nothing: it is less than 20 mm wide"})
		}
	}
	return out
}
