package setout

import (
	"bufio"
	"encoding/json"
	"io"
	"strconv"

	"quickthorn/planner"
)

// The properties of a station as they are written. Field names are fixed: other programs read them.
type stationProps struct {
	Plant     string  `json:"plant"`
	Feature   string  `json:"feature"`
	Row       int     `json:"row"`
	Number    int     `json:"number"`
	ChainageM float64 `json:"chainage_m"`
	OffsetM   float64 `json:"offset_m"`
	Species   string  `json:"species"`
	Cultivar  string  `json:"cultivar"`
	Rootstock string  `json:"rootstock"`
	Area      string  `json:"area"`
	Use       string  `json:"use"`
	Point     string  `json:"point"`
}

func propsOf(s *Station) stationProps {
	return stationProps{Plant: s.ID, Feature: s.Feature, Row: s.Row, Number: s.Number, ChainageM: rounded(s.ChainageM, 3), OffsetM: rounded(s.OffsetM, 3),
		Species: s.Species, Cultivar: s.Cultivar, Rootstock: s.Rootstock, Area: s.Area, Use: string(s.Use), Point: s.Mark}
}

// geoJSONFormat writes one Point per station (RFC 7946), in the order of the stations.
var geoJSONFormat = Format{Name: "geojson", Media: "application/geo+json", Ext: "geojson", Points: AllPoints, Write: writeGeoJSON}

func writeGeoJSON(w io.Writer, p *planner.Plan, stations []Station) error {
	type geometry struct {
		Type        string     `json:"type"`
		Coordinates [2]float64 `json:"coordinates"`
	}
	type feature struct {
		Type       string       `json:"type"`
		ID         string       `json:"id"`
		Properties stationProps `json:"properties"`
		Geometry   geometry     `json:"geometry"`
	}
	return writeList(w, `{"type":"FeatureCollection","holding":`+quoted(p.Holding.Name)+`,"features":[`, len(stations), func(i int) any {
		s := &stations[i]
		return feature{"Feature", s.ID, propsOf(s), geometry{"Point", s.LonLat}}
	})
}

// jsonFormat writes one object per station, with the same columns as the CSV.
var jsonFormat = Format{Name: "json", Media: "application/json", Ext: "json", Points: AllPoints, Write: writeJSON}

func writeJSON(w io.Writer, p *planner.Plan, stations []Station) error {
	type object struct {
		stationProps
		EastingM  float64 `json:"easting_m"`
		NorthingM float64 `json:"northing_m"`
		Lon       float64 `json:"lon"`
		Lat       float64 `json:"lat"`
	}
	return writeList(w, `{"holding":`+quoted(p.Holding.Name)+`,"points":[`, len(stations), func(i int) any {
		s := &stations[i]
		return object{propsOf(s), rounded(s.At[0], 3), rounded(s.At[1], 3), s.LonLat[0], s.LonLat[1]}
	})
}

// writeList writes the head of an object whose last member is a list, each item on a line of its own, and closes both.
func writeList(w io.Writer, head string, n int, item func(i int) any) error {
	b := bufio.NewWriter(w)
	b.WriteString(head)
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteByte('\n')
		line, err := json.Marshal(item(i))
		if err != nil {
			return err
		}
		b.Write(line)
	}
	if n > 0 {
		b.WriteByte('\n')
	}
	b.WriteString("]}\n")
	return b.Flush()
}

func quoted(s string) string {
	b, err := json.Marshal(s)
	if err != nil { // no string fails to marshal
		return `""`
	}
	return string(b)
}

func itoa(n int) string { return strconv.Itoa(n) }
