package interchange

import (
	"bytes"
	"context"
	"database/sql/driver"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/mattn/go-sqlite3"
)

// ReadGeoPackage reads the tables of features of a GeoPackage (OGC 12-128r18, 2021). The file may come from anywhere: it is opened in
// memory, nothing of its schema is run (triggers, views and virtual tables are left alone; only reading is allowed), no value may be
// longer than the file, and ctx ends it. as is the grid of every layer, whatever the file says; nil takes the file's word. O(bytes).
func ReadGeoPackage(ctx context.Context, data []byte, as *Grid) (*Batch, *FormatFault) {
	if !bytes.HasPrefix(data, []byte("SQLite format 3\x00")) {
		return nil, formatFault("", "Export it again.", "The file does not begin as a GeoPackage does.")
	}
	conn, err := memory()
	if err != nil {
		return nil, brokenPackage(err)
	}
	defer conn.Close()
	p := &packageReader{ctx: ctx, conn: conn, as: as, batch: &Batch{Format: "GeoPackage"}}
	p.batch.Grid, _ = GridByCode(4326)
	if err := p.open(data); err != nil {
		return nil, brokenPackage(err)
	}
	f := p.read()
	if f != nil {
		return nil, f
	}
	return p.batch, nil
}

func brokenPackage(err error) *FormatFault {
	var s sqlite3.Error
	switch {
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled), errors.As(err, &s) && s.Code == sqlite3.ErrInterrupt:
		return formatFault("", "Try it with fewer layers.", "The GeoPackage took too long to read.")
	}
	if errors.As(err, &s) && strings.Contains(err.Error(), "no such table: gpkg_") {
		return formatFault("", "Export it as a GeoPackage.", "The file is an SQLite database but no GeoPackage: the tables that list its layers are missing.")
	}
	what := "the database in it is damaged" // SQLite's own words quote bytes of the file
	switch {
	case errors.As(err, &s) && s.Code == sqlite3.ErrTooBig:
		what = "a text or a shape in it is larger than is read"
	case !errors.As(err, &s):
		what = err.Error()
	}
	return formatFault("", "Export it again.", "The GeoPackage is broken: %s.", what)
}

type packageReader struct {
	ctx   context.Context
	conn  *sqlite3.SQLiteConn
	as    *Grid
	batch *Batch
	most  int
}

// open lays the file into memory and shuts what could be run.
func (p *packageReader) open(data []byte) error {
	own := bytes.Clone(data)
	if len(own) < 100 {
		return errors.New("it is shorter than its header")
	}
	// A file that was written with a journal ahead cannot be opened in memory as such; the format allows to say it was not.
	if own[18] == 2 && own[19] == 2 {
		own[18], own[19] = 1, 1
	}
	p.conn.SetLimit(sqlite3.SQLITE_LIMIT_LENGTH, max(len(own), 1<<20))
	p.conn.SetLimit(sqlite3.SQLITE_LIMIT_SQL_LENGTH, 1<<20)
	if err := p.conn.Deserialize(own, "main"); err != nil {
		return err
	}
	for _, sql := range []string{"PRAGMA trusted_schema = OFF", "PRAGMA cell_size_check = ON", "PRAGMA query_only = ON"} {
		if _, err := p.conn.Exec(sql, nil); err != nil {
			return err
		}
	}
	checked, err := p.rows("PRAGMA quick_check(1)", 1)
	if err != nil {
		return err
	}
	if len(checked) == 0 || asText(checked[0][0]) != "ok" {
		return errors.New("its own check of its pages finds faults")
	}
	return nil
}

// rows runs a query and gives at most most rows.
func (p *packageReader) rows(sql string, most int, args ...driver.NamedValue) (out [][]driver.Value, err error) {
	err = p.each(sql, args, func(_ []string, row []driver.Value) error {
		if len(out) >= most {
			return fmt.Errorf("it has more than %d rows", most)
		}
		out = append(out, append([]driver.Value(nil), row...))
		return nil
	})
	return out, err
}

func (p *packageReader) each(sql string, args []driver.NamedValue, visit func(columns []string, row []driver.Value) error) error {
	r, err := p.conn.QueryContext(p.ctx, sql, args)
	if err != nil {
		return err
	}
	defer r.Close()
	columns := r.Columns()
	row := make([]driver.Value, len(columns))
	for {
		switch err := r.Next(row); {
		case err == io.EOF:
			return p.ctx.Err()
		case err != nil:
			return err
		}
		if err := visit(columns, row); err != nil {
			return err
		}
	}
}

func asText(v driver.Value) string {
	switch v := v.(type) {
	case string:
		return v
	case []byte:
		return string(v)
	case nil:
		return ""
	}
	return fmt.Sprint(v)
}

// read goes through the layers by name.
func (p *packageReader) read() *FormatFault {
	contents, err := p.rows(`SELECT c.table_name, c.data_type, g.column_name, s.organization, s.organization_coordsys_id, s.srs_name, m.type, m.sql
		FROM gpkg_contents c LEFT JOIN gpkg_geometry_columns g ON g.table_name = c.table_name LEFT JOIN gpkg_spatial_ref_sys s ON s.srs_id = g.srs_id
		LEFT JOIN sqlite_master m ON m.name = c.table_name ORDER BY c.table_name`, 1000)
	if err != nil {
		return brokenPackage(err)
	}
	for _, c := range contents {
		table, kind := asText(c[0]), asText(c[1])
		switch {
		case kind == "attributes" && table == HoldingTable && asText(c[6]) == "table":
			if f := p.holding(); f != nil {
				return f
			}
			continue
		case kind != "features":
			p.batch.Lost.Add("tables without shapes", 1)
			continue
		case asText(c[6]) != "table" || isVirtual(asText(c[7])) || c[2] == nil:
			p.batch.Lost.Add("layers that are not plain tables", 1)
			continue
		}
		grid, f := p.gridOf(table, asText(c[3]), asText(c[4]), asText(c[5]))
		if f != nil {
			return f
		}
		if grid.Code != 4326 {
			p.batch.Grid = grid
		}
		if f := p.layer(table, asText(c[2]), grid); f != nil {
			return f
		}
	}
	return nil
}

// HoldingTable is where a GeoPackage of ours keeps what is said of the holding.
const HoldingTable = "holding"

func isVirtual(sql string) bool {
	return strings.HasPrefix(strings.ToUpper(strings.Join(strings.Fields(sql), " ")), "CREATE VIRTUAL")
}

func (p *packageReader) gridOf(table, org, code, name string) (Grid, *FormatFault) {
	if p.as != nil {
		return *p.as, nil
	}
	if strings.EqualFold(org, "EPSG") {
		if g, ok := GridNamed(code); ok {
			return g, nil
		}
	}
	return Grid{}, formatFault("layer "+Shorten(table), "Say it with --crs and the EPSG code, or export it with longitude and latitude. Known are "+KnownGrids+".",
		"Its reference system is %q (%s %s), which is not known here.", Shorten(name), org, code)
}

func (p *packageReader) holding() *FormatFault {
	rows, err := p.rows("SELECT name, holding FROM "+HoldingTable+" ORDER BY rowid", 10)
	if err != nil || len(rows) == 0 {
		p.batch.Lost.Add("tables without shapes", 1)
		return nil // a table of somebody else's by that name
	}
	p.batch.Name = asText(rows[0][0])
	if raw := []byte(asText(rows[0][1])); Check(raw) == nil && IsObject(raw) {
		p.batch.Holding = raw
	}
	return nil
}

var errTooMany = errors.New("too many")

func (p *packageReader) layer(table, shape string, grid Grid) *FormatFault {
	err := p.each("SELECT * FROM "+quoteName(table)+" ORDER BY rowid", nil, func(columns []string, row []driver.Value) error {
		it := Item{Layer: table}
		var blob []byte
		for i, name := range columns {
			switch v := row[i].(type) {
			case nil:
			case []byte:
				if strings.EqualFold(name, shape) {
					blob = v
				} else {
					p.batch.Lost.Add("binary columns", 1)
				}
			default:
				if strings.EqualFold(name, shape) {
					return formatFault(fmt.Sprintf("layer %s, row %s", Shorten(table), it.Text(columns[0])), "Mend it where it was drawn.", "The column %s holds no binary shape.", Shorten(name))
				}
				it.Fields = append(it.Fields, Field{name, asJSON(v)})
			}
		}
		shapes, flat, err := readBlob(blob, grid)
		if err != nil {
			return formatFault(fmt.Sprintf("layer %s, row %s", Shorten(table), it.Text(columns[0])), "Mend it where it was drawn.", "%s.", upper(err.Error()))
		}
		if flat {
			p.batch.Lost.Add("shapes with heights or measures, which are left out", 1)
		}
		for _, g := range append(shapes, Geometry{})[:max(len(shapes), 1)] {
			it.Geometry = g
			p.batch.Items = append(p.batch.Items, it)
			p.most += g.Size
		}
		if len(p.batch.Items) > maxItems || p.most > MaxPlaces {
			return errTooMany
		}
		return nil
	})
	var f *FormatFault
	switch {
	case errors.As(err, &f):
		return f
	case errors.Is(err, errTooMany):
		return formatFault("layer "+Shorten(table), "Split the file.", "The file has more than %d things or %d positions.", maxItems, MaxPlaces)
	case err != nil:
		return brokenPackage(err)
	}
	return nil
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// asJSON is a value of a column.
func asJSON(v driver.Value) json.RawMessage {
	switch x := v.(type) {
	case float64:
		if math.IsInf(x, 0) || math.IsNaN(x) {
			return json.RawMessage("null")
		}
	case time.Time:
		v = x.UTC().Format(time.RFC3339)
	case string:
		if !utf8.ValidString(x) {
			v = strings.ToValidUTF8(x, "\uFFFD")
		}
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if e.Encode(v) != nil {
		return json.RawMessage("null")
	}
	return bytes.TrimSpace(b.Bytes())
}
