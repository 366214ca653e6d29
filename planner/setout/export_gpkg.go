package setout

import (
	"bytes"
	"cmp"
	"encoding/json"
	"io"
	"slices"
	"strings"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// gpkgFormat writes a GeoPackage: the points, and every kind of the plan's features in a layer of its own, with its properties as
// columns. What has no column of its own is kept in the column `other`, as JSON, and the holding in a table, so that bringing the
// file in again gives the plan.
var gpkgFormat = Format{Name: "gpkg", Media: "application/geopackage+sqlite3", Ext: "gpkg", Points: AllPoints, Write: func(w io.Writer, p *planner.Plan, stations []Station) error {
	layers, err := PlanLayers(p)
	if err != nil {
		return err
	}
	return interchange.WriteGeoPackage(w, append([]interchange.Layer{pointLayer(stations)}, layers...))
}}

// PointLayer is the name of the layer of positions.
const PointLayer = "points"

func pointLayer(stations []Station) interchange.Layer {
	l := interchange.Layer{Table: PointLayer, Title: PointLayer, About: "Positions to be pegged out", Shape: "POINT", Columns: []interchange.Column{
		{Name: "plant", Type: "TEXT"}, {Name: "feature", Type: "TEXT"}, {Name: "row", Type: "INTEGER"}, {Name: "number", Type: "INTEGER"},
		{Name: "chainage_m", Type: "REAL"}, {Name: "offset_m", Type: "REAL"}, {Name: "species", Type: "TEXT"}, {Name: "cultivar", Type: "TEXT"},
		{Name: "rootstock", Type: "TEXT"}, {Name: "area", Type: "TEXT"}, {Name: "use", Type: "TEXT"}, {Name: "point", Type: "TEXT"}}}
	for i := range stations {
		s := &stations[i]
		l.Rows = append(l.Rows, interchange.Row{Shape: interchange.PointShape(s.LonLat), Values: []any{s.ID, s.Feature, int64(s.Row), int64(s.Number),
			rounded(s.ChainageM, 3), rounded(s.OffsetM, 3), s.Species, s.Cultivar, s.Rootstock, s.Area, string(s.Use), s.Mark}})
	}
	return l
}

// OtherColumn holds the properties of a feature that have no column of their own, as a JSON object.
const OtherColumn = "other"

// PlanLayers are the features of a plan by kind, each kind a layer in the order of their names, and the holding. A feature without a
// shape that can be read has none. Numbers are as the file has them.
func PlanLayers(p *planner.Plan) ([]interchange.Layer, error) {
	file, err := p.Bytes()
	if err != nil {
		return nil, err
	}
	if slices.ContainsFunc(p.Features, func(f *planner.Feature) bool { return f.Raw() == nil }) {
		if p, err = planner.Read(file, planner.ReadOptions{MaxBytes: int64(len(file)) + 1}); err != nil { // a plan made in code
			return nil, err
		}
	}
	by := map[string]*interchange.Layer{}
	for _, f := range p.Features {
		spec, known := planner.SpecOf(f.Kind)
		table, title := string(f.Kind), spec.Title
		if !known {
			table, title = "unknown", "features of no known kind"
		}
		l := by[table]
		if l == nil {
			l = &interchange.Layer{Table: table, Title: table, About: title + ": " + spec.Help, Shape: "GEOMETRY", Columns: columnsOf(spec)}
			by[table] = l
		}
		l.Rows = append(l.Rows, rowOf(f, l.Columns))
	}
	out := []interchange.Layer{}
	for _, l := range by {
		dropIdle(l)
		out = append(out, *l)
	}
	slices.SortFunc(out, func(a, b interchange.Layer) int { return cmp.Compare(a.Table, b.Table) })
	return append(out, holdingLayer(p.Holding.Name, interchange.Find(file, "holding"))), nil
}

// columnsOf are the columns of a kind: identity first, then its properties.
func columnsOf(spec planner.KindSpec) []interchange.Column {
	out := []interchange.Column{{Name: "id", Type: "TEXT"}, {Name: "kind", Type: "TEXT"}}
	for _, p := range append(planner.CommonProps(), spec.Props...) {
		c := interchange.Column{Name: p.Name, Type: "TEXT"}
		switch p.Type {
		case planner.TypeNumber, planner.TypeBearing:
			c.Type = "REAL"
		case planner.TypeInteger, planner.TypeWinter:
			c.Type = "INTEGER"
		case planner.TypeYesNo:
			c.Type = "BOOLEAN"
		case planner.TypeText, planner.TypeChoice, planner.TypeSpecies, planner.TypeID:
		default:
			continue // lists go into the column other
		}
		out = append(out, c)
	}
	return append(out, interchange.Column{Name: OtherColumn, Type: "TEXT"})
}

// dropIdle takes out the columns that no row fills, but for id and kind.
func dropIdle(l *interchange.Layer) {
	for k := len(l.Columns) - 1; k >= 2; k-- {
		if slices.ContainsFunc(l.Rows, func(r interchange.Row) bool { return r.Values[k] != nil }) {
			continue
		}
		l.Columns = slices.Delete(l.Columns, k, k+1)
		for i := range l.Rows {
			l.Rows[i].Values = slices.Delete(l.Rows[i].Values, k, k+1)
		}
	}
}

// rowOf is a feature as it stands in its text.
func rowOf(f *planner.Feature, columns []interchange.Column) interchange.Row {
	row := interchange.Row{Values: make([]any, len(columns))}
	text := f.Text()
	if g, bad := interchange.ReadGeometry(interchange.Find(text, "geometry"), 1<<20); bad == nil {
		row.Shape = g
	}
	row.Values[0] = f.ID
	other, n := []byte{'{'}, 0
	props := interchange.Find(text, "properties")
	for m := range interchange.Members(props) {
		v := m.Value.Of(props)
		k := slices.IndexFunc(columns, func(c interchange.Column) bool { return c.Name == string(m.Name) })
		if k > 0 && columns[k].Name != OtherColumn {
			if cell, ok := cellOf(columns[k].Type, v); ok {
				row.Values[k] = cell
				continue
			}
		}
		if n++; n > 1 {
			other = append(other, ',')
		}
		name, _ := json.Marshal(string(m.Name)) // no string fails to marshal
		other = append(append(append(other, name...), ':'), v...)
	}
	if n > 0 {
		var b bytes.Buffer
		if json.Compact(&b, append(other, '}')) == nil {
			row.Values[len(columns)-1] = b.String()
		}
	}
	return row
}

// cellOf is a JSON value as a cell of the type, where nothing of it is lost.
func cellOf(kind string, v []byte) (any, bool) {
	switch kind {
	case "REAL":
		x, ok := interchange.Number(v)
		return x, ok
	case "INTEGER":
		x, ok := interchange.Number(v)
		if !ok || x != float64(int64(x)) {
			return nil, false
		}
		return int64(x), true
	case "BOOLEAN":
		b, ok := interchange.Bool(v)
		if s, isText := interchange.Text(v); isText && (s == "yes" || s == "no") {
			return s == "yes", true
		}
		return b, ok
	}
	s, ok := interchange.Text(v)
	return s, ok && !strings.ContainsRune(s, 0)
}

// holdingLayer keeps what is said of the holding.
func holdingLayer(name string, raw []byte) interchange.Layer {
	l := interchange.Layer{Table: interchange.HoldingTable, Title: "holding", About: "What is said of the whole holding",
		Columns: []interchange.Column{{Name: "name", Type: "TEXT"}, {Name: "holding", Type: "TEXT"}}}
	l.Rows = []interchange.Row{{Values: []any{name, string(raw)}}}
	return l
}
