package sheets

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/json"
	"encoding/xml"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"

	"github.com/stretchr/testify/require"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/check"
	"quickthorn/planner/lists"
	"quickthorn/planner/paper"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// inputOf reads a plan, sets it out and checks it.
func inputOf(t require.TestingT, data []byte) Input {
	cat, err := species.Default()
	require.NoError(t, err)
	lib, err := rules.Default()
	require.NoError(t, err)
	plan, err := planner.Read(data, planner.ReadOptions{File: "test"})
	require.NoError(t, err)
	set, err := lib.Set(plan.Holding.RuleSet)
	require.NoError(t, err)
	out, err := setout.All(context.Background(), plan, cat, set)
	require.NoError(t, err)
	st := site.New(plan, cat)
	found, err := check.Run(context.Background(), check.Input{Plan: plan, Site: st, Out: out, Catalogue: cat, Set: set, Assigned: lists.Assign(plan, st, out)}, check.Rules())
	require.NoError(t, err)
	return Input{Plan: plan, Out: out, Site: st, Findings: found, RuleSet: plan.Holding.RuleSet,
		Crown: func(p *setout.Plant) (float64, bool) {
			if p.Species == nil || !p.Species.Spread.Known {
				return 0, false
			}
			return p.Species.Spread.Usual, true
		}}
}

func demo(t require.TestingT) Input {
	data, err := os.ReadFile("../../testdata/demo.geojson")
	require.NoError(t, err)
	return inputOf(t, data)
}

// A plot makes plan files from metres about 54 degrees north, 2 degrees west.
type plot struct {
	frame    geo.Frame
	name     string
	features []map[string]any
}

func newPlot(t require.TestingT, name string) *plot {
	f, err := geo.NewFrame([2]float64{-2, 54})
	require.NoError(t, err)
	return &plot{frame: f, name: name, features: []map[string]any{}}
}

// add adds a feature whose positions are metres east and north.
func (p *plot) add(id, geometry string, props map[string]any, xy ...float64) *plot {
	var ll [][]float64
	for i := 0; i < len(xy); i += 2 {
		q := p.frame.ToLonLat([2]float64{xy[i], xy[i+1]})
		ll = append(ll, []float64{q[0], q[1]})
	}
	var c any = ll
	switch geometry {
	case "Point":
		c = ll[0]
	case "Polygon":
		c = [][][]float64{append(ll, ll[0])}
	}
	p.features = append(p.features, map[string]any{"type": "Feature", "id": id, "properties": props, "geometry": map[string]any{"type": geometry, "coordinates": c}})
	return p
}

func (p *plot) json(t require.TestingT) []byte {
	b, err := json.Marshal(map[string]any{"type": "FeatureCollection", "holding": map[string]any{"name": p.name, "origin": []float64{-2, 54}}, "features": p.features})
	require.NoError(t, err)
	return b
}

// small is a plan of a few of each: fields, wet ground, beds, a house, hedges old and new with gap and gateway, a belt, trees.
func small(t require.TestingT) *plot {
	return newPlot(t, "Brook End").
		add("croft", "Polygon", map[string]any{"kind": "parcel", "name": "Croft"}, 0, 0, 100, 0, 100, 80, 0, 80).
		add("bog", "Polygon", map[string]any{"kind": "ground", "moisture": "wet"}, 0, 0, 40, 0, 40, 20, 0, 20).
		add("bed", "Polygon", map[string]any{"kind": "bed", "name": "Kitchen bed"}, 60, 20, 75, 20, 75, 30, 60, 30).
		add("house", "Polygon", map[string]any{"kind": "building", "name": "House"}, 80, 60, 92, 60, 92, 70, 80, 70).
		add("old", "LineString", map[string]any{"kind": "hedge", "name": "Old hedge", "status": "existing"}, 0, 80, 100, 80).
		add("gap", "LineString", map[string]any{"kind": "gap"}, 30, 80, 37, 80).
		add("gate", "Point", map[string]any{"kind": "gateway", "name": "Top gate"}, 60, 80).
		add("new", "LineString", map[string]any{"kind": "hedge", "name": "New hedge", "mix": []any{map[string]any{"species": "hawthorn", "share_percent": 70}, map[string]any{"species": "hazel", "share_percent": 30}}}, 0, 0, 0, 80).
		add("belt", "LineString", map[string]any{"kind": "windbreak", "name": "West belt", "rows": []any{map[string]any{"species": "Scots pine", "spacing_m": 2.5}, map[string]any{"species": "common alder", "spacing_m": 2}}}, 10, 30, 10, 70).
		add("orchard", "Polygon", map[string]any{"kind": "orchard", "name": "Orchard", "spacing_m": 5, "trees": []any{map[string]any{"species": "apple", "cultivar": "James Grieve", "rootstock": "MM106", "share_percent": 100}}}, 30, 35, 55, 35, 55, 60, 30, 60).
		add("oak", "Point", map[string]any{"kind": "plant", "species": "pedunculate oak", "name": "The oak", "height_m": 14, "spread_m": 12}, 85, 40).
		add("rowan", "Point", map[string]any{"kind": "plant", "species": "rowan", "name": "House rowan"}, 78, 55)
}

// An svgElement is an element of a drawing with the class and id of the nearest group that has one.
type svgElement struct {
	name      string
	attr      map[string]string
	class, id string
	text      string
}

// readSVG reads a drawing with the standard library's XML reader.
func readSVG(t require.TestingT, data []byte) []svgElement {
	d := xml.NewDecoder(bytes.NewReader(data))
	type level struct{ class, id string }
	stack := []level{{}}
	var out []svgElement
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		switch tok := tok.(type) {
		case xml.StartElement:
			e := svgElement{name: tok.Name.Local, attr: map[string]string{}}
			for _, a := range tok.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			at := stack[len(stack)-1]
			if c := e.attr["class"]; c != "" {
				at = level{c, e.attr["data-id"]}
			}
			stack = append(stack, at)
			e.class, e.id = at.class, at.id
			out = append(out, e)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		case xml.CharData:
			if n := len(out); n > 0 {
				out[n-1].text += strings.TrimSpace(string(tok))
			}
		}
	}
}

var pathNumbers = regexp.MustCompile(`[ML]([-0-9.]+) ([-0-9.]+)`)

// pathPoints are the points of a path, in millimetres.
func pathPoints(t require.TestingT, d string) []paper.Point {
	var out []paper.Point
	for _, m := range pathNumbers.FindAllStringSubmatch(d, -1) {
		x, err := strconv.ParseFloat(m[1], 64)
		require.NoError(t, err)
		y, err := strconv.ParseFloat(m[2], 64)
		require.NoError(t, err)
		out = append(out, paper.Point{X: x, Y: y})
	}
	return out
}

// A segment is a straight line of a PDF page, in millimetres from the bottom left.
type segment struct{ a, b paper.Point }

func (s segment) length() float64 { return math.Hypot(s.b.X-s.a.X, s.b.Y-s.a.Y) }

var (
	pdfStream = regexp.MustCompile(`(?s)stream\r?\n(.*?)\r?\nendstream`)
	pdfMove   = regexp.MustCompile(`^([-0-9.]+) ([-0-9.]+) ([ml])$`)
)

// pdfSegments reads the content streams of a PDF file, each a page: every straight line.
func pdfSegments(t require.TestingT, data []byte) [][]segment {
	var out [][]segment
	for _, m := range pdfStream.FindAllSubmatch(data, -1) {
		z, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue // not compressed: a character map
		}
		content, err := io.ReadAll(z)
		if err != nil || !bytes.Contains(content, []byte(" Td (")) {
			continue // a font
		}
		var page []segment
		var at paper.Point
		for _, line := range strings.Split(string(content), "\n") {
			q := pdfMove.FindStringSubmatch(strings.TrimSpace(line))
			if q == nil {
				continue
			}
			x, err := strconv.ParseFloat(q[1], 64)
			require.NoError(t, err)
			y, err := strconv.ParseFloat(q[2], 64)
			require.NoError(t, err)
			p := paper.Point{X: x * 25.4 / 72, Y: y * 25.4 / 72}
			if q[3] == "l" {
				page = append(page, segment{at, p})
			}
			at = p
		}
		out = append(out, page)
	}
	return out
}

func svgOf(t require.TestingT, d *Drawing, page int) []byte {
	var b bytes.Buffer
	f, ok := FormatNamed("svg")
	require.True(t, ok)
	require.NoError(t, f.Write(&b, d, page))
	return b.Bytes()
}

func pdfOf(t require.TestingT, d *Drawing) []byte {
	var b bytes.Buffer
	f, ok := FormatNamed("pdf")
	require.True(t, ok)
	require.NoError(t, f.Write(&b, d, 1))
	return b.Bytes()
}
