package interchange

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// A Collection is a GeoJSON FeatureCollection as it stands in its text. Nothing of it is copied.
type Collection struct {
	Text  []byte // the text, without a byte order mark
	BOM   bool   // a byte order mark was there
	Array Span   // the value of `features`
	Key   Span   // the name `features`
	Twice []string
	crs   Span
}

var bom = []byte{0xEF, 0xBB, 0xBF}

// ReadCollection checks data and finds the features in it. It refuses what is not JSON, not a FeatureCollection, or says that
// its coordinates are in another reference system. The features themselves are not looked at: Elements lists them.
// A member given twice counts as it is given last; Twice names those among type, features, crs and holding.
func ReadCollection(data []byte) (*Collection, *SyntaxFault) {
	c, f := readCollection(data)
	if f != nil {
		return nil, f
	}
	if v := c.crs.Of(c.Text); len(v) > 0 {
		if name, ok := LonLatCRS(v); !ok {
			return nil, FaultAt(c.Text, c.crs.From, CRSHint, "The coordinates are in another reference system: %s. A plan file has longitude and latitude (WGS 84).", name)
		}
	}
	return c, nil
}

// readCollection is ReadCollection whatever the reference system.
func readCollection(data []byte) (*Collection, *SyntaxFault) {
	c := &Collection{Text: data}
	if bytes.HasPrefix(data, bom) {
		c.BOM, c.Text = true, data[len(bom):]
	}
	if len(bytes.TrimSpace(c.Text)) == 0 {
		return nil, FaultAt(c.Text, 0, "Give a GeoJSON FeatureCollection.", "The file is empty.")
	}
	if f := Check(c.Text); f != nil {
		return nil, f
	}
	start := skipSpace(c.Text, 0)
	if !IsObject(c.Text[start:]) {
		return nil, FaultAt(c.Text, start, wrapHint, "The file is JSON but not GeoJSON: it should be an object with a type of FeatureCollection.")
	}
	var kind, crs Member
	seen := map[string]bool{}
	for m := range Members(c.Text) {
		switch string(m.Name) {
		case "type":
			kind = m
		case "features":
			c.Key, c.Array = m.Key, m.Value
		case "crs":
			crs = m
		case "holding":
		default:
			continue
		}
		if name := string(m.Name); seen[name] && !slices.Contains(c.Twice, name) {
			c.Twice = append(c.Twice, name)
		} else {
			seen[name] = true
		}
	}
	if f := c.checkType(kind, start); f != nil {
		return nil, f
	}
	if seen["crs"] {
		c.crs = crs.Value
	}
	return c, nil
}

const wrapHint = `A plan file begins {"type": "FeatureCollection", "features": [ and lists its features there.`

// CRSHint says what to do with coordinates of a grid.
const CRSHint = "`quickthorn bring-in` turns grid coordinates into longitude and latitude."

func (c *Collection) checkType(kind Member, start int) *SyntaxFault {
	name, ok := Text(kind.Value.Of(c.Text))
	switch {
	case !ok:
		return FaultAt(c.Text, start, wrapHint, "The file is JSON but not GeoJSON: the outermost object has no type.")
	case name == "Feature":
		return FaultAt(c.Text, kind.Value.From, wrapHint, "The file is one GeoJSON Feature, not a FeatureCollection.")
	case name != "FeatureCollection":
		return FaultAt(c.Text, kind.Value.From, wrapHint, "The outermost type is %q, not FeatureCollection.", Shorten(name))
	case !IsArray(c.Array.Of(c.Text)):
		return FaultAt(c.Text, max(c.Array.From, start), wrapHint, "The FeatureCollection has no list of features.")
	}
	return nil
}

// Shorten cuts a text that goes into a message to at most 60 characters.
func Shorten(s string) string {
	r := []rune(s)
	if len(r) <= 60 {
		return s
	}
	return string(r[:57]) + "..."
}

var lonLatNames = regexp.MustCompile(`(?i)^(EPSG:4326|WGS ?84|CRS84|OGC:CRS84|urn:ogc:def:crs:OGC:[^:]*:CRS84|urn:ogc:def:crs:EPSG:[^:]*:4326|https?://www\.opengis\.net/def/crs/(OGC/1\.3/CRS84|EPSG/0/4326))$`)

var codeOfCRS = regexp.MustCompile(`(?i)EPSG(?:[:/]+[^:/]+)??[:/]+(\d{4,6})$`)

// grids are names of reference systems that farm maps of Britain and Ireland come in, by EPSG code (EPSG Geodetic Parameter
// Dataset).
var grids = map[string]string{
	"27700": "British National Grid", "29900": "Irish National Grid (TM65)", "29902": "Irish Grid (TM65)", "29903": "Irish Grid (TM75)",
	"2157": "Irish Transverse Mercator", "3857": "Web Mercator", "4258": "ETRS89", "3035": "ETRS89 LAEA Europe",
}

// LonLatCRS reads a `crs` member of the GeoJSON of 2008 and reports whether it means longitude and latitude on WGS 84; if not,
// name is what it says, in words. The order of the axes of EPSG:4326 does not matter: that GeoJSON kept longitude first.
func LonLatCRS(v []byte) (name string, ok bool) {
	if IsNull(v) {
		return `"crs": null, which says that it is unknown`, false
	}
	if !IsObject(v) {
		return Shorten(string(v)), false
	}
	if kind, _ := Text(Find(v, "type")); kind == "link" {
		return "one that is only linked to", false
	}
	s, isText := Text(Find(Find(v, "properties"), "name"))
	if !isText {
		return "a crs member without a name", false
	}
	s = strings.TrimSpace(s)
	if lonLatNames.MatchString(s) {
		return s, true
	}
	if m := codeOfCRS.FindStringSubmatch(s); m != nil {
		if g := grids[m[1]]; g != "" {
			return fmt.Sprintf("%s (%s)", Shorten(s), g), false
		}
		if zone := strings.TrimPrefix(strings.TrimPrefix(m[1], "326"), "327"); len(m[1]) == 5 && len(zone) == 2 {
			return fmt.Sprintf("%s (UTM zone %s)", Shorten(s), strings.TrimPrefix(zone, "0")), false
		}
	}
	return Shorten(s), false
}
