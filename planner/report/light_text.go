package report

import (
	"fmt"
	"io"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/light"
	"quickthorn/planner/prose"
)

// WriteText writes the hours of sun to be read by a person: each bed by year and month, who takes the light, and when a bed falls
// below what it wants.
func (l *Light) WriteText(w io.Writer, opt TextOptions) error {
	t := newText(l.report, opt)
	t.line(t.paint.Bold(prose.Short(prose.Clean(l.report.Plan.Holding.Name), t.width)))
	t.wrap(fmt.Sprintf("Hours of direct sun a day under a clear sky, mean over each bed, %s. The range is over what heights and widths may be.%s", light.Season(l.place.LatDeg), dated(opt.Date)), "", "")
	months := light.Months(l.place.LatDeg)
	any := false
	for i := range l.firstBeds() {
		any = true
		head := []string{"year", "mean", "range", "darkest"}
		for _, m := range months {
			head = append(head, m.String()[:3])
		}
		rows := [][]string{head}
		for k, y := range l.Years {
			b := y.Beds[i]
			row := []string{fmt.Sprint(y.Year), hours(b.MeanHours), spanHours(l.span(k, i)), hours(b.WorstHours)}
			for _, h := range b.Months {
				row = append(row, hours(h))
			}
			rows = append(rows, row)
		}
		bed := l.firstBeds()[i].Bed
		title := prose.Clean(bed.Label())
		if v, ok := wanted(bed); ok {
			title += fmt.Sprintf(", wants %s hours", figure(v))
		}
		t.table(title, rows, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9)
		last := l.Years[len(l.Years)-1]
		t.wrap(takenText(last.Year, last.Beds[i]), "  ", "  ")
		for _, f := range l.Falls {
			if f.Bed == bed {
				t.wrap(fallText(f), "  "+t.paint.Yellow("!")+" ", "    ")
			}
		}
	}
	if !any {
		t.wrap(l.report.noBeds(), "\n", "")
	}
	var losses []string
	for _, b := range l.Losses {
		losses = append(losses, lossText(b))
	}
	t.sentences("Buildings that want light", losses)
	t.sentences("What this does not know", unknownWords(l.unknown()))
	t.sentences("How it was worked out", append(l.said(), sentence(lightSource)))
	_, err := io.WriteString(w, t.b.String())
	return err
}

func (l *Light) firstBeds() []light.BedLight {
	if len(l.Years) == 0 {
		return nil
	}
	return l.Years[0].Beds
}

func hours(v float64) string { return fmt.Sprintf("%.1f", v) }

func spanHours(least, greatest float64) string { return fromTo(hours(least), hours(greatest)) }

// takenText says who takes the light of a bed, of what the open sky gives.
func takenText(year int, b light.BedLight) string {
	who := names(b.TakenBy)
	if b.OpenHours-b.MeanHours < 0.05 || who == "" {
		return fmt.Sprintf("The open sky gives %s hours. Nothing takes any of it in year %d.", hours(b.OpenHours), year)
	}
	return fmt.Sprintf("The open sky gives %s hours. What the bed lacks of it in year %d is taken by %s.", hours(b.OpenHours), year, who)
}

func names(list []light.Taken) string {
	return sharesText(list, func(t light.Taken) (*planner.Feature, float64) { return t.Feature, t.SharePercent })
}

func fallText(f light.Fall) string {
	why := ""
	if list := names(f.Light.TakenBy); list != "" {
		why = " The light is taken by " + list + "."
	}
	switch {
	case f.TooMuchWanted():
		return fmt.Sprintf("Wants %s hours, more than the %s that the open sky gives. Ask for fewer.", figure(f.Wanted), hours(f.Light.OpenHours))
	case f.Year == 0:
		return fmt.Sprintf("Has %s hours already at planting, less than the %s it wants.%s", hours(f.Light.MeanHours), figure(f.Wanted), why)
	case f.Year == light.Never:
		return fmt.Sprintf("May fall below the %s hours it wants from year %d on, if all grows at the better end of its range.%s", figure(f.Wanted), f.Earliest, why)
	}
	return fmt.Sprintf("Falls below the %s hours it wants in %s, most likely year %d: %s hours.%s", figure(f.Wanted), yearsText(f.Earliest, f.Latest), f.Year, hours(f.Light.MeanHours), why)
}

func lossText(b light.Loss) string {
	when := fmt.Sprintf("in %s, most likely year %d", yearsText(b.Earliest, b.Latest), b.Year)
	if b.Year == light.Never {
		when = fmt.Sprintf("perhaps from year %d on", b.Earliest)
	}
	return fmt.Sprintf("%s has %s hours of sun on its walls at planting and %s %s. The loss is to %s.", b.Building.Label(), hours(b.Before), hours(b.Hours), when, names(b.TakenBy))
}

// yearsText is a range of years in words.
func yearsText(from, to int) string {
	if to < 0 || to > growth.LastYear {
		to = planner.Never
	}
	return planner.Years{From: from, To: to}.String()
}
