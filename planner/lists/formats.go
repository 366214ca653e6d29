package lists

import "io"

// Options says how a list is written.
type Options struct {
	Width int    // of the text, in columns; 0 is 80
	Date  string // printed on paper; "" leaves a blank to write in
}

// A Format writes a list.
type Format struct {
	Name  string // as --format and ?format= give it
	Media string // its media type
	Ext   string // of its files, without a dot
	Write func(io.Writer, *List, Options) error
	// Binary formats are files for other programs, not text.
	Binary bool
}

// Formats lists every format, the default first. Adding one is its file and its line here.
func Formats() []Format {
	return []Format{
		{Name: "text", Media: "text/plain; charset=utf-8", Ext: "txt", Write: WriteText},
		{Name: "csv", Media: "text/csv; charset=utf-8; header=present", Ext: "csv", Write: WriteCSV},
		{Name: "json", Media: "application/json", Ext: "json", Write: WriteJSON},
		{Name: "html", Media: "text/html; charset=utf-8", Ext: "html", Write: WriteHTML},
		{Name: "pdf", Media: "application/pdf", Ext: "pdf", Write: WritePDF, Binary: true},
		{Name: "xlsx", Media: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", Ext: "xlsx", Write: WriteXLSX, Binary: true},
	}
}

// FormatNamed is the format of that name.
func FormatNamed(name string) (Format, bool) {
	for _, f := range Formats() {
		if f.Name == name {
			return f, true
		}
	}
	return Format{}, false
}
