package setout

import (
	"io"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// kmlFormat writes placemarks (KML 2.3), all in one document so that a map program shows one layer.
var kmlFormat = Format{Name: "kml", Media: "application/vnd.google-earth.kml+xml", Ext: "kml", Points: AllPoints, Write: func(w io.Writer, p *planner.Plan, stations []Station) error {
	return interchange.WriteKML(w, p.Holding.Name, waypoints(p, stations))
}}
