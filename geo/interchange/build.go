package interchange

import "github.com/paulmach/orb"

// The shapes of other formats, mended as those of GeoJSON are.

// PointShape is a point.
func PointShape(p orb.Point) Geometry {
	return Geometry{Type: "Point", Points: []orb.Point{p}, Size: 1}
}

func lineShape(ps []orb.Point) Geometry {
	g := Geometry{Size: len(ps)}
	r := reader{g: &g}
	if ps = ps[:r.dropRepeats(ps)]; len(ps) > 0 {
		g.Type, g.Lines = "LineString", []orb.LineString{ps}
	}
	return g
}

func linesShape(lines [][]orb.Point) Geometry {
	var g Geometry
	r := reader{g: &g}
	for _, ps := range lines {
		g.Size += len(ps)
		if ps = ps[:r.dropRepeats(ps)]; len(ps) > 0 {
			g.Lines = append(g.Lines, ps)
		}
	}
	g.Type = "LineString"
	if len(g.Lines) != 1 {
		g.Type = "MultiLineString"
	}
	return g
}

func pointsShape(ps []orb.Point) Geometry {
	g := Geometry{Type: "MultiPoint", Points: ps, Size: len(ps)}
	if len(ps) == 1 {
		g.Type = "Point"
	}
	return g
}

// areaShape makes a Polygon or MultiPolygon of rings, the outer one of each part first.
func areaShape(parts [][][]orb.Point) Geometry {
	var g Geometry
	r := reader{g: &g}
	for _, rings := range parts {
		var p orb.Polygon
		for _, ps := range rings {
			g.Size += len(ps)
			p = append(p, r.mendRing(ps, len(p) == 0))
		}
		if len(p) > 0 {
			g.Polygons = append(g.Polygons, p)
		}
	}
	g.Type = "Polygon"
	if len(g.Polygons) != 1 {
		g.Type = "MultiPolygon"
	}
	return g
}

// ClosedLine is the polygon whose outline the line is. O(positions).
func ClosedLine(l orb.LineString) Geometry {
	ring := append(make([]orb.Point, 0, len(l)+1), l...)
	return areaShape([][][]orb.Point{{ring}})
}
