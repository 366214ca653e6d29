package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/shelter"
)

// WriteText writes the wind left to be read by a person: the ground that is sheltered by year, then each bed.
func (s *Shelter) WriteText(w io.Writer, opt TextOptions) error {
	t := newText(s.report, opt)
	t.line(t.paint.Bold(prose.Short(prose.Clean(s.report.Plan.Holding.Name), t.width)))
	t.wrap(fmt.Sprintf("Wind left near the ground, in percent of the open wind. 100 is as windy as in the open; below %s counts as sheltered. The range is over what heights may be.%s",
		figure(shelter.BelowPercent), dated(opt.Date)), "", "")
	rows := [][]string{{"year", "sheltered ground", "of the fields"}}
	whole := 0.0
	if g, land := s.report.ground(); len(land) > 0 { // fields that overlap count once, as the sheltered ground does
		whole = geo.MultiArea(land)
	} else if g != nil {
		for _, a := range s.report.areas() {
			if a.Kind == "parcel" && a.AreaM2 != nil {
				whole += *a.AreaM2
			}
		}
	}
	for _, y := range s.Years {
		share := ""
		if whole > 0 {
			share = fmt.Sprintf("%.0f %%", 100*y.AreaBelowM2/whole)
		}
		rows = append(rows, []string{fmt.Sprint(y.Year.Year), areaWords(y.AreaBelowM2), share})
	}
	if whole > 0 {
		t.table("The ground", rows, 0, 1, 2)
	}
	s.bedsText(t)
	t.sentences("What this does not know", unknownWords(s.unknown()))
	t.sentences("How it was worked out", append(s.said(), sentence(shelterSource)))
	_, err := io.WriteString(w, t.b.String())
	return err
}

func (s *Shelter) bedsText(t *text) {
	if len(s.Years) == 0 || len(s.Years[0].Beds) == 0 {
		t.wrap(s.report.noBeds(), "\n", "")
		return
	}
	for i, first := range s.Years[0].Beds {
		rows := [][]string{{"year", "in leaf", "range", "calmest", "windiest", "bare"}}
		for _, y := range s.Years {
			b := y.Beds[i]
			rows = append(rows, []string{fmt.Sprint(y.Year.Year), percent(b.Mean), spanPercent(y.span(i)), percent(b.Least), percent(b.Greatest),
				percent(y.Bare[i].Mean)})
		}
		t.table(prose.Clean(first.Feature.Label()), rows, 0, 1, 2, 3, 4, 5)
		last := s.Years[len(s.Years)-1]
		say := fmt.Sprintf("Its shelter in year %d is from %s.", last.Year.Year, shelteredBy(last.Beds[i].By))
		if shelteredBy(last.Beds[i].By) == "" {
			say = fmt.Sprintf("Nothing shelters it in year %d.", last.Year.Year)
		}
		t.wrap(say, "  ", "  ")
	}
}

// percent is a share of the open wind; a dash where there is none.
func percent(v float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	return fmt.Sprintf("%.0f", v)
}

func spanPercent(low, high float64) string { return fromTo(percent(low), percent(high)) }

// fromTo is a range in words, one figure where both are written alike.
func fromTo(a, b string) string {
	if a == b {
		return a
	}
	return a + " to " + b
}

// sharesText names who has the greatest shares, the first four of them; what is less than half a percent is left out.
func sharesText[T any](list []T, of func(T) (*planner.Feature, float64)) string {
	var out []string
	for i, t := range list {
		f, percent := of(t)
		if percent < 0.5 {
			break
		}
		if i == 4 {
			out = append(out, "others")
			break
		}
		out = append(out, fmt.Sprintf("%s (%.0f\u00a0%%)", prose.Clean(f.Label()), percent))
	}
	return strings.Join(out, ", ")
}

func shelteredBy(list []shelter.Share) string {
	return sharesText(list, func(s shelter.Share) (*planner.Feature, float64) { return s.Feature, s.Percent })
}

func newText(r *Report, opt TextOptions) *text {
	if opt.Width <= 0 {
		opt.Width = prose.DefaultWidth
	}
	return &text{r: r, width: max(40, opt.Width), paint: opt.Paint}
}

// sentences writes sentences under a title, nothing where there are none.
func (t *text) sentences(title string, list []string) {
	if len(list) == 0 {
		return
	}
	t.section(title)
	for _, s := range list {
		t.wrap(prose.Clean(s), "  - ", "    ")
	}
}

func unknownWords(list []jsonUnknown) []string {
	var out []string
	for _, u := range list {
		out = append(out, u.Why)
	}
	return out
}

func dated(date string) string {
	if date == "" {
		return ""
	}
	return " " + prose.Clean(date) + "."
}
