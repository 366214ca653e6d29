package setout

import (
	"fmt"
	"io"
	"strings"

	"quickthorn/geo/interchange"
	"quickthorn/planner"
)

// gpxFormat writes waypoints (GPX 1.1). A handheld errs by metres, so that row ends, corners and trees are enough where nobody says.
var gpxFormat = Format{Name: "gpx", Media: "application/gpx+xml", Ext: "gpx", Points: EndPoints, Write: func(w io.Writer, p *planner.Plan, stations []Station) error {
	return interchange.WriteGPX(w, p.Holding.Name, waypoints(p, stations))
}}

// waypoints are the stations as named places. The name is the plant's id, as on the sheet and in the CSV; the fields are the columns of the CSV.
func waypoints(p *planner.Plan, stations []Station) []interchange.Waypoint {
	out := make([]interchange.Waypoint, len(stations))
	for i := range stations {
		s := &stations[i]
		out[i] = interchange.Waypoint{Name: s.ID, Notes: sayStation(p, s), Type: s.Mark, At: s.LonLat}
		for _, f := range [][2]string{{"plant", s.ID}, {"feature", s.Feature}, {"row", itoa(s.Row)}, {"number", itoa(s.Number)},
			{"chainage_m", fixed(s.ChainageM, 3)}, {"offset_m", fixed(s.OffsetM, 3)}, {"species", s.Species}, {"cultivar", s.Cultivar},
			{"rootstock", s.Rootstock}, {"area", s.Area}, {"use", string(s.Use)}, {"point", s.Mark}} {
			if f[1] != "" {
				out[i].Fields = append(out[i].Fields, f)
			}
		}
	}
	return out
}

// labelOf is what the plan calls a feature.
func labelOf(p *planner.Plan, id string) string {
	if f := p.Feature(id); f != nil {
		return f.Label()
	}
	return id
}

// sayStation is a station in a sentence.
func sayStation(p *planner.Plan, s *Station) string {
	what := strings.TrimSpace(s.Species + " " + s.Cultivar)
	if s.Rootstock != "" {
		what += " on " + s.Rootstock
	}
	if what == "" {
		what = s.Mark
	}
	say := fmt.Sprintf("%s: %s, %s m along", labelOf(p, s.Feature), what, fixed(s.ChainageM, 2))
	switch off := rounded(s.OffsetM, 2); {
	case off > 0:
		say += ", " + fixed(off, 2) + " m left of the line"
	case off < 0:
		say += ", " + fixed(-off, 2) + " m right of the line"
	}
	return say
}
