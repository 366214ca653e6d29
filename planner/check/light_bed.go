package check

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/growth"
	"quickthorn/planner/light"
	"quickthorn/planner/setout"
)

func lightBed() *Rule {
	return &Rule{
		ID: "light.bed", Title: "Beds keep the sun they want", Severity: planner.Warn, Slow: true,
		Why: "What stands south of a bed takes little of its sun when planted and much when grown. The hours of direct sun are counted on the 21st of each month from " +
			"April to September (October to March south of the equator), in leaf, in clear weather, over flat ground, and their mean over the bed is held against the " +
			"hours that it wants. The year in which it falls short is a range, by the most, middling and least growth that is known of what stands round it.",
		Sources: []planner.Source{sunSource,
			{Text: "direct sun in clear weather: what clouds take is not in it", Confidence: planner.Derived}},
		Run: runLightBed,
	}
}

// sunSource is what the place of the sun rests on.
var sunSource = planner.Source{Confidence: planner.Published,
	Text: "the sun's place after Meeus, Astronomical Algorithms, held against the worked example of Reda & Andreas, NREL/TP-560-34302 (2008)"}

// leftOutWithinM is how near to a bed something of unknown height is named: 25 m tall, it would reach no farther with the sun 14
// degrees up (derived).
const leftOutWithinM = 100

// mostTakers is how many features a message names.
const mostTakers = 3

func runLightBed(p *Pass) {
	var beds []*planner.Feature
	for _, f := range p.Plan.Of(planner.KindBed) {
		if d, ok := f.Detail.(*planner.Bed); ok && d.LightHours > 0 && !f.Wrong("light_hours") && len(f.Shape.Polygons) > 0 {
			beds = append(beds, f)
		}
	}
	if len(beds) == 0 {
		return
	}
	place := light.OnLand(p.Plan)
	falls, err := light.FallsBelow(p.ctx, p.Plan, light.Through(p.Plan, p.Stand), place, light.Options{MostBedCells: light.FairBedCells})
	if err != nil {
		return // the asker has gone: Run says so
	}
	for _, f := range falls {
		p.reportFall(f, place)
	}
	p.reportLeftOut(beds)
}

// wantedSource says whose figure the wanted hours are.
func wantedSource(bed *planner.Feature) planner.Source {
	if bed.Stated("light_hours") {
		return planner.Source{Text: "the hours that the plan wants", Confidence: planner.User}
	}
	return planner.Source{Text: "the plan states no light_hours, so 6 hours are taken", Confidence: planner.CommonPractice}
}

func (p *Pass) reportFall(fall light.Fall, place light.Place) {
	l := fall.Light
	f := planner.Finding{Severity: planner.Warn, Features: []string{fall.Bed.ID}, Unit: "hours", Worse: "less",
		Measured: planner.Figure(l.MeanHours), Limit: planner.Figure(fall.Wanted), Source: weaker(wantedSource(fall.Bed), sunSource)}
	f = At(f, l.WorstAt)
	wants := fmt.Sprintf("%s wants %s hours of sun a day from %s", quotedAtStart(fall.Bed), figure(fall.Wanted), light.Season(place.LatDeg))
	if fall.TooMuchWanted() {
		f.Severity, f.Place, f.Measured = planner.Note, "wanted", planner.Figure(l.OpenHours)
		f.Message = fmt.Sprintf("%s, but here even open ground has no more than %s, the mean length of the day. State fewer light_hours.", wants, hours(l.OpenHours))
		p.Report(f)
		return
	}
	years := lightYears(fall.Earliest, fall.Year, fall.Latest)
	f.Years = &years
	when := shortText(years)
	if years.Mid == planner.Never {
		f.Severity = planner.Note
	}
	f.Source = p.takersSource(f.Source, l.TakenBy, years)
	f.Message = fmt.Sprintf("%s and %s. It then has %s of the %s of an open sky. %s", wants, when, hoursBeside(l.MeanHours, fall.Wanted), hours(l.OpenHours), takersText(l.TakenBy))
	if l.MeanHours-fall.End.MeanHours >= 0.1 {
		f.Message += fmt.Sprintf(" In year %d it has %s.", growth.LastYear, hours(fall.End.MeanHours))
	}
	f.Message += lightNotes(fall.Notes, l.TakenBy)
	f.Message += " Move the bed or what shades it, keep that lower, or grow what does with less sun there."
	f.Fix = p.lightFix(fall, place)
	p.Report(f)
}

// lightYears turns the years of the light into those of a finding.
func lightYears(earliest, year, latest int) planner.Years {
	or := func(y int) int {
		if y == light.Never {
			return planner.Never
		}
		return y
	}
	return planner.Years{From: or(earliest), Mid: or(year), To: or(latest)}
}

// shortText says when a bed has less than it wants.
func shortText(y planner.Years) string {
	switch {
	case y.To == 0:
		return "has less from the start"
	case y.Mid == 0:
		return "has less from the start, if growth is not the least that is known"
	case y.Mid == planner.Never:
		return fmt.Sprintf("may have less: in %s with the strongest growth that is known, but not within %d years with middling growth", y.String(), growth.LastYear)
	case y.From == y.To:
		return "has less from " + y.String() + " on"
	}
	return fmt.Sprintf("falls short of that in %s, most likely in year %d", y.String(), y.Mid)
}

// hours writes hours to a tenth.
func hours(v float64) string { return fmt.Sprintf("%.1f hours", v) }

// hoursBeside writes hours so that they do not read the same as the limit that they miss.
func hoursBeside(v, limit float64) string {
	if s := hours(v); s != hours(limit) {
		return s
	}
	return fmt.Sprintf("%.2f hours", math.Floor(v*100)/100)
}

func first(list []light.Taken, n int) []light.Taken { return list[:min(n, len(list))] }

// takersText says who takes the light: "'Acre belt' takes 61 percent of what is lost, 'House' 20 and others 19."
func takersText(list []light.Taken) string {
	var parts []string
	rest := 100
	for i, t := range first(list, mostTakers) {
		share := int(math.Round(t.SharePercent))
		if share == 0 && i > 0 {
			break
		}
		rest -= share
		say := fmt.Sprintf("%s %d", quoted(t.Feature), share)
		if i == 0 {
			say = fmt.Sprintf("%s takes %d percent of what is lost", upperFirst(quoted(t.Feature)), share)
		}
		parts = append(parts, say)
	}
	if rest > 0 && len(list) > mostTakers {
		parts = append(parts, fmt.Sprintf("others %d", rest))
	}
	if len(parts) == 0 {
		return ""
	}
	return listWords(parts, "and") + "."
}

// lightNotes are what had to be assumed of those that take the light.
func lightNotes(notes []light.Note, takers []light.Taken) string {
	say := ""
	for _, n := range notes {
		for _, t := range first(takers, mostTakers) {
			if t.Feature == n.Feature {
				say += " " + n.Message
			}
		}
	}
	return say
}

// takersSource adds what the sizes of those that take the light rest on, and keeps the weakest confidence.
func (p *Pass) takersSource(s planner.Source, takers []light.Taken, when planner.Years) planner.Source {
	year := when.Mid
	if year == planner.Never {
		year = when.From
	}
	for _, t := range first(takers, mostTakers) {
		if grown := p.Shared.grown(p.Stand, year)[t.Feature.ID]; !strings.Contains(s.Text, grown.Text) {
			s = weaker(s, grown)
		}
	}
	return s
}

// reportLeftOut names what stands near a bed and takes no light in the reckoning because nobody knows how tall it is.
func (p *Pass) reportLeftOut(beds []*planner.Feature) {
	var near []*planner.Feature
	because, state := "how tall", "height_m"
	missing := p.withoutSize()
	for _, f := range missing.features {
		box := f.Shape.Bound().Pad(leftOutWithinM)
		if slices.ContainsFunc(beds, func(b *planner.Feature) bool { return box.Intersects(b.Shape.Bound()) }) {
			near = append(near, f)
		}
	}
	if len(near) == 0 {
		return
	}
	f := planner.Finding{Severity: planner.Note, Place: "left-out", Count: len(near), Source: noFigure()}
	var sizes, places []string
	for _, x := range near {
		f.Features = append(f.Features, x.ID)
		if missing.places[x] {
			places = append(places, quoted(x))
			continue
		}
		if sizes = append(sizes, quoted(x)); missing.width[x] {
			because, state = "how tall or wide", "height_m and spread_m"
		}
	}
	var say []string
	if len(sizes) > 0 {
		many := len(sizes) > 1
		say = append(say, fmt.Sprintf("The light on beds was reckoned without %s (or without some of %s plants), because %s %s not known. State %s, or name the species.",
			listWords(sizes, "and"), verb(many, "its", "their"), because, verb(many, "it grows is", "they grow is"), state))
	}
	if len(places) > 0 {
		say = append(say, fmt.Sprintf("The light on beds was reckoned without %s, which could not be set out: another finding says what is wanting.", listWords(places, "and")))
	}
	f.Message = strings.Join(say, " ")
	p.Report(pointTo(f, near[0]))
}

// sizeless are the plantings and walls, by id, that take no light for want of a size or of places: width those of which only the width
// is not known, places those that could not be set out.
type sizeless struct {
	features      []*planner.Feature
	width, places map[*planner.Feature]bool
}

// withoutSize lists what has no known height or width in the last year, for some of its plants at least.
func (p *Pass) withoutSize() sizeless {
	out := sizeless{width: map[*planner.Feature]bool{}, places: map[*planner.Feature]bool{}}
	stands := map[string]bool{}
	for _, b := range p.Stand.Bodies(growth.LastYear) {
		stands[b.Feature.ID] = true
	}
	for _, l := range p.Out.Layouts {
		f := l.Feature
		wide := false
		unknown := slices.ContainsFunc(l.Plants, func(x setout.Plant) bool {
			switch x.Use {
			case setout.UseOrchard, setout.UseGrove, setout.UsePlant, setout.UseTree:
				size := p.Stand.Plant(&x, growth.LastYear)
				wide = wide || size.Height.Known && !size.Spread.Known
				return !size.Height.Known
			}
			return false
		})
		_, block := f.Detail.(*planner.Block)
		places := block && f.Sound && l.Failed != ""
		if unknown || wide || places || l.Line != nil && !stands[f.ID] {
			out.features = append(out.features, f)
			out.width[f], out.places[f] = wide, places
		}
	}
	for _, f := range p.Plan.Of(planner.KindWall) {
		if f.Sound && !f.Shape.Empty() && !stands[f.ID] {
			out.features = append(out.features, f)
		}
	}
	sort.Slice(out.features, func(i, j int) bool { return out.features[i].ID < out.features[j].ID })
	return out
}
