package interchange

import (
	"bytes"
	"fmt"
)

// ReadItems reads GeoJSON in any grid that is known: the one that as gives, or that the file names in a `crs` member as the GeoJSON of
// 2008 had it, or else longitude and latitude. Fields are the properties. A shape that is not in the grid refuses the file, since all is
// then likely to lie elsewhere; one that cannot be read is counted as lost.
func ReadItems(data []byte, as *Grid) (*Batch, *FormatFault) {
	c, bad := readCollection(data)
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
	places, i := 0, 0
	for s := range Elements(arr) {
		i++
		it, bad := readItem(s.Of(arr), b.Grid)
		if bad != nil && !bad.Range {
			b.Lost.Add("features whose shape cannot be read", 1)
			continue
		}
		if bad != nil {
			at := FaultAt(c.Text, c.Array.From+s.From+bad.Offset, "", "")
			mend := "Mend it where it was drawn."
			if bad.Range && !b.Grid.Flat {
				mend = "If these are metres of a grid, say which with --crs, such as --crs 27700."
			}
			return nil, &FormatFault{Where: fmt.Sprintf("line %d, column %d, feature %d", at.Line, at.Column, i), What: "At " + bad.Path + ", " + bad.What, Mend: mend}
		}
		if places += it.Size; places > MaxPlaces || i > maxItems {
			return nil, formatFault("", "Split the file.", "The file has more than %d features or %d positions.", maxItems, MaxPlaces)
		}
		if it.Heights {
			b.Lost.Add("shapes with heights, which are left out", 1)
		}
		b.Items = append(b.Items, it)
	}
	return b, nil
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

func readItem(raw []byte, grid Grid) (Item, *GeometryFault) {
	var it Item
	if !IsObject(raw) {
		return it, &GeometryFault{Path: "the feature", What: "there is no GeoJSON Feature."}
	}
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
	var geometry Span
	for m := range Members(raw) {
		if string(m.Name) == "geometry" {
			geometry = m.Value
		}
	}
	v := geometry.Of(raw)
	if IsNull(v) {
		return it, nil
	}
	var bad *GeometryFault
	it.Geometry, bad = ReadGridGeometry(v, 200_000, grid)
	if bad != nil {
		bad.Offset += geometry.From
	}
	return it, bad
}
