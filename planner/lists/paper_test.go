package lists

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// sheet reads the rows of a sheet back, by column name.
func readSheet(t *testing.T, data []byte, sheet string) []map[string]string {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data))
	require.NoError(t, err)
	defer f.Close()
	rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	var out []map[string]string
	for y, r := range rows[1:] {
		m := map[string]string{}
		for x, v := range r {
			m[rows[0][x]] = v
			cell, err := excelize.CoordinatesToCellName(x+1, y+2)
			require.NoError(t, err)
			formula, err := f.GetCellFormula(sheet, cell)
			require.NoError(t, err)
			require.Empty(t, formula, cell)
		}
		out = append(out, m)
	}
	return out
}

// Every number of the list stands in the spreadsheet as a number and is read again as the same.
func TestSpreadsheetReadsBackWithEqualNumbers(t *testing.T) {
	l := smallList()
	var b bytes.Buffer
	require.NoError(t, WriteXLSX(&b, l, Options{Date: "1 December 2026"}))
	number := func(s string) float64 {
		if s == "" {
			return 0
		}
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	rows := readSheet(t, b.Bytes(), sheetOrder)
	require.Len(t, rows, len(l.Order))
	for i, o := range l.Order {
		r := rows[i]
		assert.Equal(t, o.Species, r["species"])
		assert.Equal(t, float64(o.Plants), number(r["plants"]))
		assert.Equal(t, float64(o.Spare), number(r["spare"]))
		assert.Equal(t, float64(o.Order), number(r["order"]))
		assert.Equal(t, float64(o.Bundles), number(r["bundles"]))
		if o.Price == nil {
			assert.Empty(t, r["price"], "nothing is priced that the user has not priced")
		} else {
			assert.Equal(t, *o.Price, number(r["price"]))
		}
	}
	total := 0.0
	for _, r := range readSheet(t, b.Bytes(), sheetAreas) {
		total += number(r["plants"])
	}
	assert.Equal(t, float64(l.TotalPlants), total)
	sundries := readSheet(t, b.Bytes(), sheetSundries)
	require.GreaterOrEqual(t, len(sundries), len(l.Sundries))
	for i, s := range l.Sundries {
		assert.Equal(t, s.Item, sundries[i]["item"])
		assert.InDelta(t, s.Quantity, number(sundries[i]["quantity"]), 0.0005)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	defer f.Close()
	kind, err := f.GetCellType(sheetOrder, "F2")
	require.NoError(t, err)
	assert.Contains(t, []excelize.CellType{excelize.CellTypeUnset, excelize.CellTypeNumber}, kind, "a number, not a text that looks like one")
}

// Names that would run as formulas are texts, and stay inert when the sheet is saved as CSV.
func TestSpreadsheetNamesAreInert(t *testing.T) {
	for _, name := range hostile {
		p, s, out := hostileBench(name).plan()
		l := Make(p, s, out, catalogue(t), nil)
		var b bytes.Buffer
		require.NoError(t, WriteXLSX(&b, l, Options{Date: name}), "%q", name)
		for _, sheet := range []string{sheetOrder, sheetAreas, sheetSundries, sheetNotes} {
			for _, r := range readSheet(t, b.Bytes(), sheet) {
				for column, v := range r {
					v = strings.TrimLeft(v, " \t\r\n\u200b\ufeff\u00a0")
					require.False(t, v != "" && strings.ContainsAny(v[:1], "=+-@"), "%s: %q", column, v)
				}
			}
		}
		require.NoError(t, WritePDF(&bytes.Buffer{}, l, Options{Date: name}), "%q", name)
	}
}

func TestPaperFormatsGiveTheSameBytes(t *testing.T) {
	for _, name := range []string{"pdf", "xlsx"} {
		f, _ := FormatNamed(name)
		var a, b bytes.Buffer
		require.NoError(t, f.Write(&a, smallList(), Options{}))
		require.NoError(t, f.Write(&b, smallList(), Options{}))
		assert.True(t, bytes.Equal(a.Bytes(), b.Bytes()), name)
		assert.NotContains(t, a.String(), "20260", "no time of today")
	}
}

// The PDF's text can be selected: Poppler's own reader finds every name and number of the order.
func TestPDFTextIsReadByPoppler(t *testing.T) {
	tool, err := exec.LookPath("pdftotext")
	require.NoError(t, err, "make needs installs poppler-utils")
	l := smallList()
	var b bytes.Buffer
	require.NoError(t, WritePDF(&b, l, Options{Date: "1 December 2026"}))
	file := filepath.Join(t.TempDir(), "list.pdf")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
	out, err := exec.Command(tool, "-layout", file, "-").Output()
	require.NoError(t, err)
	text := strings.Join(strings.Fields(string(out)), " ")
	assert.Contains(t, text, "Planting list: Brook End")
	assert.Contains(t, text, "1 December 2026")
	for _, o := range l.Order {
		for _, word := range strings.Fields(named(o.Item)) {
			assert.Contains(t, text, word)
		}
		assert.Contains(t, text, count(o.Order))
	}
	for _, c := range l.Cautions {
		assert.Contains(t, text, strings.Fields(c.Text)[0])
	}
}
