package bringin

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// A draft is a feature of the plan to be.
type draft struct {
	id    string
	kind  planner.Kind
	props []interchange.Field // without kind
	shape interchange.Geometry
}

func (d *draft) set(name string, value any) {
	v, err := json.Marshal(value)
	if err == nil {
		d.props = append(d.props, interchange.Field{Name: name, Value: v})
	}
}

func (d *draft) has(name string) bool {
	return slices.ContainsFunc(d.props, func(f interchange.Field) bool { return f.Name == name })
}

// bringing is one file on its way.
type bringing struct {
	opt        Options
	batch      *interchange.Batch
	drafts     []draft
	used       map[string]bool // ids
	notes      []string
	lost       interchange.Tally // of the file, in words
	tags       interchange.Tally // tags of things that were taken, and were not kept themselves
	idle       interchange.Tally // things with tags that are not in the table
	guess      interchange.Tally // by what a thing became on its shape alone
	stands     int               // things taken as standing there already
	credit     string
	hedgeAreas int // hedges drawn as areas
	thin       thinned
	next       map[string]int // the last number given to things of a kind
}

func (b *bringing) say(format string, args ...any) {
	b.notes = append(b.notes, fmt.Sprintf(format, args...))
}

func (b *bringing) run(ctx context.Context) error {
	tagged := slices.ContainsFunc(b.batch.Items, func(it interchange.Item) bool { return b.kindOf(&it) == "" && len(tagRows(&it)) > 0 })
	for i := range b.batch.Items {
		if err := ctx.Err(); err != nil {
			return err
		}
		it := &b.batch.Items[i]
		own := b.batch.Holding != nil && it.Field("id") != nil && b.batch.Format == "GeoPackage"
		switch {
		case b.batch.Holding != nil && b.batch.Format == "GeoPackage" && it.Layer == "points":
			b.lost.Add("positions of the layer points, which are worked out from the plan", 1)
		case own:
			b.own(it)
		case it.Empty():
			b.lost.Add("features without a shape", 1)
		case b.kindOf(it) != "":
			b.named(it)
		case it.Field("plant") != nil && it.Field("feature") != nil && it.Field("point") != nil:
			b.station(it)
		case tagged:
			b.tagged(it)
		default:
			b.byShape(it)
		}
	}
	if len(b.drafts) == 0 {
		return &planner.Problem{File: b.opt.File, What: "Nothing in the file could be taken over." + b.why(), Mend: "Export fields as areas, hedges as lines and trees as points."}
	}
	slices.SortStableFunc(b.drafts, func(x, y draft) int { return cmp.Compare(x.id, y.id) })
	b.conclude()
	return nil
}

func (b *bringing) why() string {
	if lines := append(append(b.batch.Lost.Lines(), b.lost.Lines()...), b.idle.Lines()...); len(lines) > 0 {
		return " Left out: " + list(lines) + "."
	}
	return ""
}

// list is at most 20 of the lines in a sentence.
func list(lines []string) string {
	if n := len(lines); n > 20 {
		return strings.Join(lines[:20], ", ") + fmt.Sprintf(" and %d more", n-20)
	}
	return strings.Join(lines, ", ")
}

// kindOf is the kind that a thing names in the column for it: our own word, or the word that menus show.
func (b *bringing) kindOf(it *interchange.Item) planner.Kind {
	word := strings.ToLower(strings.TrimSpace(it.Text(b.opt.KindColumn)))
	if word == "" {
		return ""
	}
	for _, s := range planner.Kinds() {
		if string(s.Kind) == strings.ReplaceAll(word, " ", "_") || s.Title == word {
			return s.Kind
		}
	}
	return ""
}

// own takes a row of a GeoPackage that we wrote.
func (b *bringing) own(it *interchange.Item) {
	d := draft{id: it.Text("id"), shape: it.Geometry}
	for _, f := range it.Fields {
		switch f.Name {
		case "fid", "id":
		case "kind":
			k, _ := interchange.Text(f.Value)
			d.kind = planner.Kind(k)
		case "other":
			text, _ := interchange.Text(f.Value)
			if raw := []byte(text); interchange.Check(raw) == nil {
				for m := range interchange.Members(raw) {
					d.props = append(d.props, interchange.Field{Name: string(m.Name), Value: bytes.Clone(m.Value.Of(raw))})
				}
			}
		default:
			d.props = append(d.props, f)
		}
	}
	b.keep(d)
}

// named takes a thing that says what it is.
func (b *bringing) named(it *interchange.Item) {
	d := draft{id: it.ID, kind: b.kindOf(it), shape: it.Geometry}
	if it.Name != "" {
		d.set("name", it.Name)
	}
	if it.Notes != "" {
		d.set("notes", it.Notes)
	}
	words := vocabularyOf(d.kind)
	for _, f := range it.Fields {
		if f.Name == b.opt.KindColumn || f.Name == "kind" || f.Name == "fid" || d.has(f.Name) {
			continue
		}
		if f, says := typed(words, f); says {
			d.props = append(d.props, f)
		}
	}
	b.place(d)
}

// station takes a position of our own setting out as a plant that is still to come.
func (b *bringing) station(it *interchange.Item) {
	if it.Text("point") == "corner" {
		b.lost.Add("corners of lines", 1)
		return
	}
	d := draft{id: it.Text("plant"), kind: planner.KindPlant, shape: it.Geometry}
	for _, name := range []string{"species", "cultivar", "rootstock"} {
		if s := it.Text(name); s != "" {
			d.set(name, s)
		}
	}
	d.set("status", planner.Planned)
	if it.Notes != "" {
		d.set("notes", it.Notes)
	}
	b.lost.Add("rows, numbers, chainages and offsets of positions", 1)
	b.place(d)
}

// byShape takes a thing that says nothing of itself: an area is a field, lines and points are what the options say.
func (b *bringing) byShape(it *interchange.Item) {
	d := draft{id: it.ID, shape: it.Geometry}
	switch {
	case len(it.Polygons) > 0:
		d.kind = planner.KindParcel
	case len(it.Lines) > 0:
		b.line(&d, it)
	default:
		d.kind = b.opt.PointsAs
	}
	b.guess.Add(string(d.kind), 1)
	if it.Name != "" {
		d.set("name", it.Name)
	}
	if it.Notes != "" {
		d.set("notes", it.Notes)
	}
	words := vocabularyOf(d.kind)
	for _, f := range it.Fields {
		name := f.Name
		switch {
		case name == "fid" || name == "id" || interchange.IsNull(f.Value):
			continue
		case (strings.EqualFold(name, "name") || strings.EqualFold(name, "notes")) && !d.has(strings.ToLower(name)) && it.Text(name) != "":
			d.set(strings.ToLower(name), it.Text(name))
			continue
		case name == "kind" || words[name].Name != "":
			name += "_as_given" // its owner meant something else by the word than the plan does
		}
		if !d.has(name) {
			d.props = append(d.props, interchange.Field{Name: name, Value: f.Value})
		}
	}
	b.standing(&d)
	b.place(d)
}

// vocabularyOf are the properties of a kind by their names.
func vocabularyOf(k planner.Kind) map[string]planner.Prop {
	out := map[string]planner.Prop{}
	spec, _ := planner.SpecOf(k)
	for _, p := range append(planner.CommonProps(), spec.Props...) {
		out[p.Name] = p
	}
	return out
}

// standing says of what grows that it stands there already: what is brought in was mapped or walked, not thought out.
func (b *bringing) standing(d *draft) {
	if spec, ok := planner.SpecOf(d.kind); ok && spec.Grows && !d.has("status") {
		d.set("status", planner.Existing)
		b.stands++
	}
}

// place keeps a draft in the parts that its kind allows.
func (b *bringing) place(d draft) {
	spec, known := planner.SpecOf(d.kind)
	if !known || slices.Contains(spec.Geometries, d.shape.Type) {
		b.keep(d)
		return
	}
	parts := split(d.shape)
	if len(parts) == 0 || !slices.Contains(spec.Geometries, parts[0].Type) {
		b.lost.Add(fmt.Sprintf("a %s drawn as %s", d.kind, d.shape.Type), 1)
		return
	}
	for i, s := range parts {
		part := d
		part.shape = s
		part.props = slices.Clone(d.props)
		if d.id != "" && len(parts) > 1 {
			part.id = fmt.Sprintf("%s-%d", d.id, i+1)
		}
		b.keep(part)
	}
}

// split is a shape of several parts, each alone.
func split(g interchange.Geometry) []interchange.Geometry {
	var out []interchange.Geometry
	for _, p := range g.Points {
		out = append(out, interchange.PointShape(p))
	}
	for _, l := range g.Lines {
		out = append(out, interchange.Geometry{Type: "LineString", Lines: []orb.LineString{l}, Size: len(l)})
	}
	for _, p := range g.Polygons {
		out = append(out, interchange.Geometry{Type: "Polygon", Polygons: orb.MultiPolygon{p}})
	}
	return out
}

var badInID = regexp.MustCompile(`[\x00-\x1f]+`)

// keep adds a draft under an id that no other has.
func (b *bringing) keep(d draft) {
	base := badInID.ReplaceAllString(d.id, "-")
	if d.id = base; base == "" {
		base = string(cmp.Or(d.kind, "feature"))
		for d.id == "" || b.used[d.id] {
			b.next[base]++
			d.id = fmt.Sprintf("%s-%d", base, b.next[base])
		}
	} else {
		d.id = base
		for n := 2; b.used[d.id]; n++ {
			d.id = fmt.Sprintf("%s-%d", base, n)
		}
	}
	b.used[d.id] = true
	b.drafts = append(b.drafts, d)
}
