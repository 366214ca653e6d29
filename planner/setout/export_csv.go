package setout

import (
	"bufio"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// csvFormat writes RFC 4180: one header row, lines that end in CR LF, every text cell quoted.
var csvFormat = Format{Name: "csv", Media: "text/csv; charset=utf-8; header=present", Ext: "csv", Points: AllPoints, Write: writeCSV}

const csvHeader = "plant,feature,row,number,chainage_m,offset_m,species,cultivar,rootstock,area,use,point,easting_m,northing_m,lon,lat"

func writeCSV(w io.Writer, _ string, stations []Station) error {
	b := bufio.NewWriter(w)
	b.WriteString(csvHeader + "\r\n")
	for i := range stations {
		s := &stations[i]
		cells := []string{csvText(s.ID), csvText(s.Feature), itoa(s.Row), itoa(s.Number), fixed(s.ChainageM, 3), fixed(s.OffsetM, 3),
			csvText(s.Species), csvText(s.Cultivar), csvText(s.Rootstock), csvText(s.Area), csvText(string(s.Use)), csvText(s.Mark),
			fixed(s.At[0], 3), fixed(s.At[1], 3), fixed(s.LonLat[0], 9), fixed(s.LonLat[1], 9)}
		b.WriteString(strings.Join(cells, ","))
		b.WriteString("\r\n")
	}
	return b.Flush()
}

// csvText is a text cell: quoted, quotes doubled, and with an apostrophe before it where a spreadsheet would run it as a
// formula: where it begins with = + - @, tab, line end or NUL, or a full-width form of them (the union of what OWASP's
// Application Security Verification Standard 5.0, item 1.2.10, and MITRE's CWE-1236 list). An empty text is an empty cell.
func csvText(s string) string {
	if s == "" {
		return ""
	}
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, " "))
	if strings.ContainsRune("=+-@\t\r\n\x00\uff1d\uff0b\uff0d\uff20", first) {
		s = "'" + s
	}
	return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
}

// fixed is a number with so many decimals, never a negative zero.
func fixed(v float64, decimals int) string {
	return strconv.FormatFloat(rounded(v, decimals), 'f', decimals, 64)
}
