package bringin

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

//go:embed tags.csv
var tagTable string

// A TagRow says what a thing with a tag of OpenStreetMap becomes (the tags and their meaning: the OpenStreetMap wiki, "Map features";
// what they are here: our own choice). The first row that fits wins, once for areas and once for lines: a meadow that is tagged as a
// hedge besides is a field and a hedge round it.
type TagRow struct {
	Key    string
	Values []string // nil: any
	Shape  string   // point, line, area, any
	When   [2]string
	Kind   planner.Kind // "": left out knowingly
	Set    [][2]string
	Take   []string // what is read from further tags: see takers
}

// TagRows is the table.
var TagRows = sync.OnceValue(func() []TagRow {
	rows, err := csv.NewReader(strings.NewReader(tagTable)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("tags.csv: %v", err))
	}
	var out []TagRow
	for _, r := range rows[1:] {
		t := TagRow{Key: r[0], Shape: r[2], Kind: planner.Kind(r[4]), Take: strings.Fields(r[6])}
		if r[1] != "*" {
			t.Values = strings.Split(r[1], "|")
		}
		t.When[0], t.When[1], _ = strings.Cut(r[3], "=")
		for _, s := range strings.Fields(r[5]) {
			name, value, _ := strings.Cut(s, "=")
			t.Set = append(t.Set, [2]string{name, value})
		}
		out = append(out, t)
	}
	return out
})

// taggedItem is a thing with its tags by name.
func tagsOf(it *interchange.Item) map[string]string {
	out := map[string]string{}
	add := func(fields []interchange.Field) {
		for _, f := range fields {
			one := interchange.Item{Fields: []interchange.Field{f}}
			if s := one.Text(f.Name); s != "" {
				out[f.Name] = s
			}
		}
	}
	add(it.Fields)
	if raw := it.Field("tags"); interchange.IsObject(raw) {
		for m := range interchange.Members(raw) {
			add([]interchange.Field{{Name: string(m.Name), Value: m.Value.Of(raw)}})
		}
		delete(out, "tags")
	}
	if s, ok := out["other_tags"]; ok { // as GDAL's own reader packs them: "key"=>"value","key"=>"value"
		for _, m := range packed.FindAllStringSubmatch(s, -1) {
			out[unquote.Replace(m[1])] = unquote.Replace(m[2])
		}
		delete(out, "other_tags")
	}
	return out
}

var (
	packed  = regexp.MustCompile(`"((?:[^"\\]|\\.)*)"=>"((?:[^"\\]|\\.)*)"`)
	unquote = strings.NewReplacer(`\"`, `"`, `\\`, `\`)
)

// tagRows are the rows that the tags fit, whatever the shape.
func tagRows(it *interchange.Item) []TagRow {
	tags := tagsOf(it)
	var out []TagRow
	for _, row := range TagRows() {
		v, ok := tags[row.Key]
		if ok && (row.Values == nil || slices.Contains(row.Values, v)) && (row.When[0] == "" || tags[row.When[0]] == row.When[1]) {
			out = append(out, row)
		}
	}
	return out
}

// tagged takes a thing of a file with tags.
func (b *bringing) tagged(it *interchange.Item) {
	tags := tagsOf(it)
	rows := tagRows(it)
	var took []TagRow
	take := func(shape interchange.Geometry, kinds ...string) bool {
		i := slices.IndexFunc(rows, func(r TagRow) bool { return slices.Contains(kinds, r.Shape) })
		if i < 0 || shape.Empty() {
			return false
		}
		if rows[i].Kind != "" {
			b.fromTags(it, tags, rows[i], shape, len(took) > 0)
			if rows[i].Key == "barrier" && rows[i].Kind == planner.KindGrove {
				b.hedgeAreas++
			}
			took = append(took, rows[i])
		}
		return true
	}
	closed := it.Type == "LineString" && len(it.Lines) == 1 && len(it.Lines[0]) > 3 && it.Lines[0][0] == it.Lines[0][len(it.Lines[0])-1]
	switch {
	case len(it.Points) > 0:
		take(it.Geometry, "point", "any")
	case len(it.Polygons) > 0 || closed:
		area, line := it.Geometry, it.Geometry
		if closed {
			area = interchange.ClosedLine(it.Lines[0])
		} else {
			line = outline(it.Polygons)
		}
		take(area, "area", "any")
		if tags["area"] != "yes" {
			take(line, "line")
		}
	default:
		take(it.Geometry, "line", "any")
	}
	b.tally(it, tags, rows, took)
}

// outline is the rings of areas as closed lines.
func outline(areas orb.MultiPolygon) interchange.Geometry {
	g := interchange.Geometry{Type: "LineString"}
	for _, p := range areas {
		for _, r := range p {
			g.Lines = append(g.Lines, orb.LineString(r))
		}
	}
	if len(g.Lines) > 1 {
		g.Type = "MultiLineString"
	}
	return g
}

// housekeeping are the tags that say nothing of the thing itself.
var housekeeping = regexp.MustCompile(`^(@.*|id|fid|type|source(:.*)?|created_by|area|osm_id|osm_way_id|osm_type|name|note|description|z_order|full_id)$`)

// tally counts what of a thing was not taken.
func (b *bringing) tally(it *interchange.Item, tags map[string]string, rows, took []TagRow) {
	used := map[string]bool{}
	if len(took) == 0 {
		rows = nil
	}
	for _, r := range rows {
		used[r.Key] = true
	}
	for _, r := range took {
		used[r.When[0]] = true
		for _, t := range r.Take {
			for _, key := range takers[t].keys {
				used[key] = true
			}
		}
	}
	var rest []string
	for key := range tags {
		if !used[key] && !housekeeping.MatchString(key) {
			rest = append(rest, key)
		}
	}
	slices.Sort(rest)
	switch {
	case len(took) > 0:
		for _, key := range rest {
			b.tags.Add(key, 1)
		}
	case len(rest) == 0:
		b.lost.Add(map[bool]string{true: "points without tags", false: "lines and areas without tags"}[len(it.Points) > 0], 1)
	default:
		var said []string
		for _, key := range rest[:min(len(rest), 3)] {
			said = append(said, key+"="+interchange.Shorten(tags[key]))
		}
		b.idle.Add(strings.Join(said, " "), 1)
	}
}

var osmID = regexp.MustCompile(`^(node|way|relation)/\d+$`)

// fromTags drafts a feature after a row of the table.
func (b *bringing) fromTags(it *interchange.Item, tags map[string]string, row TagRow, shape interchange.Geometry, second bool) {
	d := draft{id: idOf(it, tags), kind: row.Kind, shape: shape}
	if osmID.MatchString(d.id) || tags["osm_id"] != "" || tags["osm_way_id"] != "" {
		b.credit = "Map data © OpenStreetMap contributors, Open Data Commons Open Database Licence (ODbL) 1.0"
	}
	if second && d.id != "" {
		d.id += "-" + string(row.Kind)
	}
	for _, pair := range [][2]string{{"name", "name"}, {"notes", "note"}, {"notes", "description"}} {
		if v := tags[pair[1]]; v != "" && !d.has(pair[0]) {
			d.set(pair[0], v)
		}
	}
	if it.Name != "" && !d.has("name") {
		d.set("name", it.Name)
	}
	for _, s := range row.Set {
		switch s[1] {
		case "true", "false":
			d.set(s[0], s[1] == "true")
		default:
			d.set(s[0], s[1])
		}
	}
	for _, t := range row.Take {
		if name, v := takers[t].read(tags); v != nil && !d.has(name) && sensible(row.Kind, name, v) {
			d.set(name, v)
		}
	}
	b.standing(&d)
	b.place(d)
}

func idOf(it *interchange.Item, tags map[string]string) string {
	for _, id := range []string{tags["@id"], it.ID, tags["id"], tags["full_id"]} {
		if id != "" {
			return id
		}
	}
	if id := tags["osm_way_id"]; id != "" {
		return "way/" + id
	}
	return tags["osm_id"]
}

// sensible reports whether a number is within what the plan's own table allows.
func sensible(k planner.Kind, name string, v any) bool {
	x, ok := v.(float64)
	if !ok {
		return true
	}
	spec, _ := planner.SpecOf(k)
	for _, p := range spec.Props {
		if p.Name == name {
			return x >= p.Least && x <= p.Most
		}
	}
	return false
}

// A taker reads one property from further tags.
type taker struct {
	keys []string
	read func(tags map[string]string) (name string, value any)
}

var takers = map[string]taker{
	"height":  {[]string{"height", "est_height"}, func(t map[string]string) (string, any) { return "height_m", metres(t, "height", "est_height") }},
	"width":   {[]string{"width", "est_width"}, func(t map[string]string) (string, any) { return "width_m", metres(t, "width", "est_width") }},
	"crown":   {[]string{"diameter_crown"}, func(t map[string]string) (string, any) { return "spread_m", metres(t, "diameter_crown") }},
	"voltage": {[]string{"voltage"}, func(t map[string]string) (string, any) { return "voltage_kv", kilovolts(t["voltage"]) }},
	"species": {[]string{"species", "taxon", "species:en"}, func(t map[string]string) (string, any) {
		for _, key := range []string{"species", "taxon", "species:en"} {
			if t[key] != "" {
				return "species", t[key]
			}
		}
		return "species", nil
	}},
	"access": {[]string{"access"}, func(t map[string]string) (string, any) {
		switch t["access"] {
		case "private", "no", "agricultural", "forestry", "customers", "delivery":
			return "public", false
		case "yes", "public", "permissive", "designated":
			return "public", true
		}
		return "public", nil
	}},
	"carries": {[]string{"substance"}, func(t map[string]string) (string, any) {
		switch t["substance"] {
		case "gas", "water":
			return "carries", t["substance"]
		case "sewage", "wastewater":
			return "carries", "sewer"
		}
		return "carries", "unknown"
	}},
}

var length = regexp.MustCompile(`^\s*(\d+(?:\.\d+)?)\s*(m|metres?|meters?|ft|feet|')?\s*$`)

// metres is a length in metres, the unit where none is given (OpenStreetMap wiki, "Map features/Units"); feet are 0.3048 m.
func metres(tags map[string]string, keys ...string) any {
	for _, key := range keys {
		m := length.FindStringSubmatch(tags[key])
		if m == nil {
			continue
		}
		x, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			continue
		}
		if m[2] == "ft" || m[2] == "feet" || m[2] == "'" {
			x *= 0.3048
		}
		return math.Round(x*1000) / 1000
	}
	return nil
}

// kilovolts is the greatest of the voltages of a line, which the tag gives in volts with semicolons between them.
func kilovolts(s string) any {
	best := 0.0
	for _, part := range strings.Split(s, ";") {
		if v, err := strconv.ParseFloat(strings.TrimSpace(part), 64); err == nil && v > best && !math.IsInf(v, 0) {
			best = v
		}
	}
	if best == 0 {
		return nil
	}
	return best / 1000
}
