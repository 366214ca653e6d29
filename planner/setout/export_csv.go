package setout

import (
	"bufio"
	"io"
	"strconv"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/prose"
)

// csvFormat writes RFC 4180: one header row, lines that end in CR LF, every text cell quoted and inert in a spreadsheet.
var csvFormat = Format{Name: "csv", Media: "text/csv; charset=utf-8; header=present", Ext: "csv", Points: AllPoints, Write: writeCSV}

const csvHeader = "plant,feature,row,number,chainage_m,offset_m,species,cultivar,rootstock,area,use,point,easting_m,northing_m,lon,lat"

func writeCSV(w io.Writer, _ *planner.Plan, stations []Station) error {
	b := bufio.NewWriter(w)
	b.WriteString(csvHeader + "\r\n")
	for i := range stations {
		s := &stations[i]
		cells := []string{prose.Cell(s.ID), prose.Cell(s.Feature), itoa(s.Row), itoa(s.Number), fixed(s.ChainageM, 3), fixed(s.OffsetM, 3),
			prose.Cell(s.Species), prose.Cell(s.Cultivar), prose.Cell(s.Rootstock), prose.Cell(s.Area), prose.Cell(string(s.Use)), prose.Cell(s.Mark),
			fixed(s.At[0], 3), fixed(s.At[1], 3), fixed(s.LonLat[0], 9), fixed(s.LonLat[1], 9)}
		b.WriteString(strings.Join(cells, ","))
		b.WriteString("\r\n")
	}
	return b.Flush()
}

// fixed is a number with so many decimals, never a negative zero.
func fixed(v float64, decimals int) string {
	return strconv.FormatFloat(rounded(v, decimals), 'f', decimals, 64)
}
