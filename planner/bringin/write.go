package bringin

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// conclude says what was done.
func (b *bringing) conclude() {
	b.say("%s: things read: %d; features of the plan: %d.", b.batch.Format, len(b.batch.Items), len(b.drafts))
	if at, ok := b.where(); ok {
		b.say("The land lies about %s, %s. If that is elsewhere, longitude and latitude are in the wrong order, or the grid is another.", hemisphere(at[1], "N", "S"), hemisphere(at[0], "E", "W"))
	}
	if g := b.batch.Grid; g.Flat || g.Code != 4326 {
		b.say("The coordinates were taken as %s (EPSG:%d).", g.Name, g.Code)
		if g.Datum != "" {
			b.say("%s", g.Datum)
		}
	}
	if len(b.guess) > 0 {
		b.say("By their shape alone these became: %s. --as and --points-as say otherwise for lines and points, --kind-column for all.", list(b.guess.Lines()))
	}
	if t := b.thin; t.closed > 0 {
		b.say("Lines whose ends meet or lie at most %[2]g m apart were closed to areas: %[1]d; the widest gap was %.1[3]f m.", t.closed, closeM, t.widest)
	}
	if t := b.thin; t.tolerance > 0 {
		b.say("Lines were thinned from %d to %d positions; none that was left out lies further than %g m from the line. --tolerance changes this.", t.before, t.after, t.tolerance)
	}
	if b.stands > 0 {
		b.say("Hedges, trees and the like are taken as standing there already (status existing): %d. Say planned where they are still to be planted.", b.stands)
	}
	if b.hedgeAreas > 0 {
		b.say("Hedges drawn as areas are kept as groves, since a hedge is a line here: %d. Draw the middle of each as a hedge.", b.hedgeAreas)
	}
	b.credit = b.whose()
	if b.credit != "" {
		b.say("Keep this line with the plan: %s. It stands in the holding as `attribution`.", b.credit)
	}
	if lines := append(b.batch.Lost.Lines(), b.lost.Lines()...); len(lines) > 0 {
		b.say("Not taken over: %s.", list(lines))
	}
	if len(b.idle) > 0 {
		b.say("Left out, since their tags are not in the table: %s.", list(b.idle.Lines()))
	}
	if len(b.tags) > 0 {
		b.say("Tags of features that were not kept: %s.", list(b.tags.Lines()))
	}
}

// where is the middle of what was brought in, longitude and latitude.
func (b *bringing) where() (orb.Point, bool) {
	var all orb.Bound
	some := false
	for i := range b.drafts {
		g := &b.drafts[i].shape
		if g.Empty() {
			continue
		}
		bound := orb.Collection{orb.MultiPoint(g.Points), orb.MultiLineString(g.Lines), g.Polygons}.Bound()
		if some {
			bound = all.Union(bound)
		}
		all, some = bound, true
	}
	return all.Center(), some
}

func hemisphere(deg float64, plus, minus string) string {
	if deg < 0 {
		plus = minus
	}
	return fmt.Sprintf("%.3f° %s", math.Abs(deg), plus)
}

// whose is the line that names the owner of the data: the file's own, else what its ids call for.
func (b *bringing) whose() string {
	if b.batch.Credit != "" {
		return b.batch.Credit
	}
	return b.credit
}

// text is the plan file.
func (b *bringing) text() []byte {
	var out bytes.Buffer
	out.WriteString("{\"type\": \"FeatureCollection\",\n \"holding\": ")
	out.Write(b.holding())
	out.WriteString(",\n \"features\": [")
	for i := range b.drafts {
		if i > 0 {
			out.WriteByte(',')
		}
		out.WriteString("\n  ")
		out.Write(b.drafts[i].text())
	}
	out.WriteString("\n ]}\n")
	return out.Bytes()
}

func (b *bringing) holding() []byte {
	h := []byte(b.batch.Holding)
	if h == nil {
		h = []byte("{}")
		if b.batch.Name != "" {
			h = planner.WithMember(h, "name", quoted(b.batch.Name))
		}
	}
	if b.credit != "" {
		h = planner.WithMember(h, "attribution", quoted(b.credit))
	}
	return h
}

func quoted(s string) []byte {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	if e.Encode(s) != nil { // no string fails to encode
		return []byte(`""`)
	}
	return bytes.TrimSpace(out.Bytes())
}

func (d *draft) text() []byte {
	var out bytes.Buffer
	fmt.Fprintf(&out, `{"type": "Feature", "id": %s, "properties": {`, quoted(d.id))
	sep := ""
	if d.kind != "" {
		fmt.Fprintf(&out, `"kind": %s`, quoted(string(d.kind)))
		sep = ", "
	}
	for _, f := range d.props {
		fmt.Fprintf(&out, "%s%s: %s", sep, quoted(f.Name), f.Value)
		sep = ", "
	}
	out.WriteString(`}, "geometry": `)
	out.Write(shapeText(&d.shape))
	out.WriteByte('}')
	return out.Bytes()
}

// shapeText is a shape as GeoJSON, 9 decimals.
func shapeText(g *interchange.Geometry) []byte {
	if g.Empty() {
		return []byte("null")
	}
	w := append([]byte(`{"type": "`), g.Type...)
	w = append(w, `", "coordinates": `...)
	multi := len(g.Type) > 5 && g.Type[:5] == "Multi"
	switch {
	case len(g.Points) > 0:
		w = several(w, g.Points, multi, interchange.AppendPosition)
	case len(g.Lines) > 0:
		w = several(w, g.Lines, multi, func(w []byte, l orb.LineString) []byte { return several(w, l, true, interchange.AppendPosition) })
	default:
		w = several(w, g.Polygons, multi, func(w []byte, p orb.Polygon) []byte {
			return several(w, p, true, func(w []byte, r orb.Ring) []byte { return several(w, r, true, interchange.AppendPosition) })
		})
	}
	return append(w, '}')
}

// several writes a list, or its one element where there is no list.
func several[T any](w []byte, items []T, listed bool, write func([]byte, T) []byte) []byte {
	if !listed && len(items) == 1 {
		return write(w, items[0])
	}
	w = append(w, '[')
	for i, x := range items {
		if i > 0 {
			w = append(w, ", "...)
		}
		w = write(w, x)
	}
	return append(w, ']')
}
