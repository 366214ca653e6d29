package lists

import (
	"embed"
	"html/template"
	"io"
	"strings"

	"quickthorn/planner/prose"
)

//go:embed list.html
var pageFile embed.FS

// pageTemplate escapes every value for the place where it stands.
var pageTemplate = template.Must(template.New("list.html").Funcs(template.FuncMap{
	"count":  count,
	"figure": func(v float64) string { return figure(v, 2) },
	"named":  func(i Item) string { return prose.Short(named(i), 200) },
	"stock":  func(s string) string { return prose.Short(orUnknown(s), 100) },
	"dash":   orDash,
	"spares": SpareText,
	"price":  orNone,
	"head":   func(s Sundry, c *Cost) string { return s.head(c) },
	"ground": groundText,
	"winter": WinterText,
	"plants": plants,
	"source": func(c Caution) string { return sourceOf(c.Source, string(c.Confidence)) },
	"why":    withSource,
	"short":  func(s string) string { return prose.Short(s, 200) },
}).ParseFS(pageFile, "list.html"))

// WriteHTML writes the list as one page that prints: no scripts, nothing fetched, every name escaped.
func WriteHTML(w io.Writer, l *List, opt Options) error {
	var b strings.Builder
	var areas, empty []Area
	for _, a := range append(append([]Area{}, l.Areas...), l.Outside) {
		switch {
		case a.Total > 0:
			areas = append(areas, a)
		case a.ID != "":
			empty = append(empty, a)
		}
	}
	data := struct {
		*List
		Date    string
		Planted []Area
		Empty   []Area
	}{l, tidy(opt.Date), areas, empty}
	if err := pageTemplate.Execute(&b, data); err != nil {
		return err
	}
	_, err := io.WriteString(w, b.String())
	return err
}
