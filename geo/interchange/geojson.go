package interchange

import (
	"bytes"
	"fmt"
)

// ReadItems reads GeoJSON in any grid that is known: the one that as gives, or that the file names in a `crs` member as the GeoJSON of
// 2008 had it, or else longitude and latitude. Fields are the properties. A shape that is not in the grid refuses the file, since all is
// then likely to lie elsewhere; one that cannot be read is counted as lost. A Feature or a geometry by itself is taken as well (RFC 7946,
// section 2: it is a GeoJSON text), and the parts of a GeometryCollection become things of their own with the same fields.
func ReadItems(data []byte, as *Grid) (*Batch, *FormatFault) {
	c, bad := readCollection(data)
	alone := false
	if bad != nil {
		if one := readAlone(data); one != nil {
			c, bad, alone = one, nil, true
		}
	}
	if bad != nil {
		return nil, &FormatFault{Where: fmt.Sprintf("line %d, column %d", bad.Line, bad.Column), What: bad.What, Mend: bad.Mend}
	}
	b := &Batch{Format: "GeoJSON"}
	var f *FormatFault
	if b.Grid, f = c.grid(as); f != nil {
		return nil, f
	}
	for m := range Members(c.Text) {
		v := m.Value.Of(c.Text)
		switch string(m.Name) {
		case "holding":
			if IsObject(v) {
				b.Holding = bytes.Clone(v)
			}
		case "name":
			b.Name, _ = Text(v)
		case "copyright", "attribution", "license", "licence":
			if s, ok := Text(v); ok && b.Credit == "" {
				b.Credit = s
			}
		case "generator":
			b.Creator, _ = Text(v)
		}
	}
	arr := c.Array.Of(c.Text)
	elements := Elements(arr)
	if alone {
		elements = func(yield func(Span) bool) { yield(Span{0, len(arr)}) }
	}
	places, i := 0, 0
	for s := range elements {
		i++
		items, bad := readItems(s.Of(arr), b.Grid)
		if bad != nil && !bad.Range {
			b.Lost.Add("features whose shape cannot be read", 1)
			continue
		}
		if bad != nil {
			at := FaultAt(c.Text, c.Array.From+s.From+bad.Offset, "", "")
			mend := "Mend it where it was drawn."
			if bad.Range && !b.Grid.Flat {
				mend = "If these are metres of a grid, say which: `quickthorn bring-in --crs 27700` takes them as the British one."
			}
			return nil, &FormatFault{Where: fmt.Sprintf("line %d, column %d, feature %d", at.Line, at.Column, i), What: "At " + bad.Path + ", " + bad.What, Mend: mend}
		}
		heights := false
		for _, it := range items {
			places += it.Size
			heights = heights || it.Heights
		}
		if places > MaxPlaces || len(b.Items)+len(items) > maxItems {
			return nil, formatFault("", "Split the file.", "The file has more than %d features or %d positions.", maxItems, MaxPlaces)
		}
		if heights {
			b.Lost.Add("shapes with heights, which are left out", 1)
		}
		b.Items = append(b.Items, items...)
	}
	return b, nil
}

// readAlone is the text of one Feature or geometry, nil where it is neither.
func readAlone(data []byte) *Collection {
	c := &Collection{Text: bytes.TrimPrefix(data, bom)}
	if Check(c.Text) != nil {
		return nil
	}
	from := skipSpace(c.Text, 0)
	c.Array = Span{from, len(bytes.TrimRight(c.Text, " \t\r\n"))}
	raw := c.Array.Of(c.Text)
	if !IsObject(raw) {
		return nil
	}
	kind, _ := Text(Find(raw, "type"))
	_, shape := rank[kind]
	if kind != "Feature" && kind != "GeometryCollection" && !shape {
		return nil
	}
	for m := range Members(c.Text) {
		if string(m.Name) == "crs" {
			c.crs = m.Value
		}
	}
	return c
}

// grid is the reference system of the collection.
func (c *Collection) grid(as *Grid) (Grid, *FormatFault) {
	if as != nil {
		return *as, nil
	}
	v := c.crs.Of(c.Text)
	name, lonLat := LonLatCRS(v)
	switch {
	case len(v) == 0 || lonLat:
		g, _ := GridByCode(4326)
		return g, nil
	}
	said, _ := Text(Find(Find(v, "properties"), "name"))
	if g, ok := GridNamed(said); ok {
		return g, nil
	}
	return Grid{}, formatFault("", "Say it with --crs and the EPSG code. Known are "+KnownGrids+".", "The coordinates are in a reference system that is not known here: %s.", name)
}

// readItems reads a Feature, or a geometry by itself: one thing, or one for each part of a collection of shapes.
func readItems(raw []byte, grid Grid) ([]Item, *GeometryFault) {
	if !IsObject(raw) {
		return nil, &GeometryFault{Path: "the feature", What: "there is no GeoJSON Feature."}
	}
	var it Item
	geometry := Span{0, len(raw)}
	kind, _ := Text(Find(raw, "type"))
	if _, shape := rank[kind]; !shape && kind != "GeometryCollection" {
		id := Find(raw, "id")
		if IsNumber(id) {
			it.ID = string(id)
		} else {
			it.ID, _ = Text(id)
		}
		props := Find(raw, "properties")
		for m := range Members(props) {
			it.Fields = append(it.Fields, Field{string(m.Name), bytes.Clone(m.Value.Of(props))})
		}
		geometry = Span{}
		for m := range Members(raw) {
			if string(m.Name) == "geometry" {
				geometry = m.Value
			}
		}
	}
	if v := geometry.Of(raw); IsNull(v) {
		return []Item{it}, nil
	}
	shapes, bad := shapesOf(raw, geometry, grid)
	if bad != nil {
		return nil, bad
	}
	var out []Item
	for _, g := range shapes {
		it.Geometry = g
		out = append(out, it)
	}
	return out, nil
}

// shapesOf are the geometry at a place of the text, or its parts where it is a collection, which may hold collections: Check bounds how
// deep.
func shapesOf(raw []byte, at Span, grid Grid) ([]Geometry, *GeometryFault) {
	v := at.Of(raw)
	if kind, _ := Text(Find(v, "type")); kind != "GeometryCollection" {
		g, bad := ReadGridGeometry(v, 200_000, grid)
		if bad != nil {
			bad.Offset += at.From
			return nil, bad
		}
		return []Geometry{g}, nil
	}
	var parts Span
	for m := range Members(v) {
		if string(m.Name) == "geometries" {
			parts = Span{at.From + m.Value.From, at.From + m.Value.To}
		}
	}
	var out []Geometry
	for s := range Elements(parts.Of(raw)) {
		some, bad := shapesOf(raw, Span{parts.From + s.From, parts.From + s.To}, grid)
		if bad != nil {
			return nil, bad
		}
		out = append(out, some...)
	}
	if len(out) == 0 {
		out = []Geometry{{Type: "GeometryCollection"}} // it has no parts: nothing is drawn
	}
	return out, nil
}
