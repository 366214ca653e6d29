package interchange

import (
	"database/sql/driver"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/mattn/go-sqlite3"
	"github.com/paulmach/orb"
)

// A Layer is one table of a GeoPackage.
type Layer struct {
	Table   string // its name; lower case, unlike any other
	Title   string
	About   string
	Shape   string // POINT, LINESTRING, ... or GEOMETRY; "" for a table without shapes
	Columns []Column
	Rows    []Row
}

// A Column is a name and a type of SQL: TEXT, REAL, INTEGER, BOOLEAN.
type Column struct{ Name, Type string }

// A Row is a shape in longitude and latitude, and a value for each column: nil, string, float64, int64 or bool.
type Row struct {
	Shape  Geometry
	Values []any
}

// Fixed is the time that files are stamped with which have to bear one, so that the same plan gives the same bytes.
const Fixed = "2000-01-01T00:00:00.000Z"

// The tables that every GeoPackage has (OGC 12-128r18, 2021, annex C), and the definition of WGS 84 that its table F.1 gives.
const gpkgTables = `
CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE, description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')), min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE,
  srs_id INTEGER, CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL, z TINYINT NOT NULL, m TINYINT NOT NULL, CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name), CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id));
INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84 geodetic', 4326, 'EPSG', 4326, 'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AXIS["Latitude",NORTH],AXIS["Longitude",EAST],AUTHORITY["EPSG","4326"]]', 'longitude and latitude in degrees on WGS 84'),
  ('Undefined Cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined Cartesian coordinate reference system'),
  ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system');
`

// WriteGeoPackage writes a GeoPackage 1.3 (OGC 12-128r18, 2021). Longitude and latitude on WGS 84. The same layers give the same bytes.
func WriteGeoPackage(w io.Writer, layers []Layer) error {
	conn, err := memory()
	if err != nil {
		return err
	}
	defer conn.Close()
	run := func(sql string, args ...driver.Value) {
		if err == nil {
			_, err = conn.Exec(sql, args)
		}
	}
	run("PRAGMA page_size = 4096")
	run("PRAGMA application_id = 1196444487")
	run("PRAGMA user_version = 10300")
	run("BEGIN")
	run(gpkgTables)
	for i := range layers {
		layers[i].write(run)
	}
	run("COMMIT")
	if err != nil {
		return fmt.Errorf("writing the GeoPackage: %w", err)
	}
	data, err := conn.Serialize("main")
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

// memory is a database that lies nowhere.
func memory() (*sqlite3.SQLiteConn, error) {
	c, err := (&sqlite3.SQLiteDriver{}).Open(":memory:")
	if err != nil {
		return nil, err
	}
	return c.(*sqlite3.SQLiteConn), nil
}

func quoteName(s string) string { return `"` + strings.ReplaceAll(s, `"`, `""`) + `"` }

func (l *Layer) write(run func(string, ...driver.Value)) {
	def, names, marks := "fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL", []string{}, []string{}
	if l.Shape != "" {
		def += ", geom " + l.Shape
		names, marks = append(names, "geom"), append(marks, "?")
	}
	for _, c := range l.Columns {
		def += ", " + quoteName(c.Name) + " " + c.Type
		names, marks = append(names, quoteName(c.Name)), append(marks, "?")
	}
	run("CREATE TABLE " + quoteName(l.Table) + " (" + def + ")")
	kind, box := "attributes", l.bound()
	if l.Shape != "" {
		kind = "features"
	}
	var srs driver.Value
	if l.Shape != "" {
		srs = int64(4326)
	}
	run("INSERT INTO gpkg_contents VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", l.Table, kind, l.Title, l.About, Fixed, box[0], box[1], box[2], box[3], srs)
	if l.Shape != "" {
		run("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', ?, 4326, 0, 0)", l.Table, l.Shape)
	}
	insert := "INSERT INTO " + quoteName(l.Table) + " (" + strings.Join(names, ", ") + ") VALUES (" + strings.Join(marks, ", ") + ")"
	for i := range l.Rows {
		args := make([]driver.Value, 0, len(names))
		if l.Shape != "" {
			if blob := appendBlob(&l.Rows[i].Shape); blob != nil {
				args = append(args, blob)
			} else {
				args = append(args, nil)
			}
		}
		for _, v := range l.Rows[i].Values {
			args = append(args, v)
		}
		run(insert, args...)
	}
}

// bound is west, south, east, north of a layer; nulls where nothing is drawn.
func (l *Layer) bound() [4]driver.Value {
	b := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for i := range l.Rows {
		if !l.Rows[i].Shape.Empty() {
			b = b.Union(l.Rows[i].Shape.bound())
		}
	}
	if math.IsInf(b.Min[0], 1) {
		return [4]driver.Value{}
	}
	return [4]driver.Value{b.Min[0], b.Min[1], b.Max[0], b.Max[1]}
}
