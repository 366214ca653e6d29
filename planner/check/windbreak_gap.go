package check

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/planner"
	"quickthorn/planner/rules"
)

func windbreakGap() *Rule {
	return &Rule{
		ID:    "windbreak.gap",
		Title: "Gateways, breaks and lanes through a windbreak",
		Why: "Wind is squeezed through an opening and comes out faster than in the open. A gateway is better at a sheltered corner where two belts " +
			"meet, or screened by a short belt behind it; a lane should pass at a slant to the wind. A belt that stands there already is looked at too.",
		Severity: planner.Warn,
		Limits:   []string{"gap_speed_up_percent", "end_speed_up_percent", "lane_slant_least_deg"},
		Sources: []planner.Source{
			{Text: "University of Nebraska EC1763 and Iowa State University Extension: the wind through a gap is faster than in the open (no figure)", Confidence: planner.Published},
			{Text: "Farm Forest Line: a gate belongs in a sheltered corner where two belts meet, or the belt is widened round it", Confidence: planner.Published},
		},
		Run: runWindbreakGap,
	}
}

// A passage is a road, track or path that goes through a belt.
type passage struct {
	way      *planner.Feature
	at       orb.Point
	chainage float64
	offWind  float64 // between the way and the line of the wind, 0 to 90 degrees
	widthM   float64
}

func runWindbreakGap(p *Pass) {
	speed, known := p.Limit("gap_speed_up_percent")
	slant, slantKnown := p.Limit("lane_slant_least_deg")
	wind := p.Plan.Holding.WorstWindDeg()
	for i := range p.Shared.belts {
		b := &p.Shared.belts[i]
		ways := p.passages(b, wind)
		for _, o := range b.openings() {
			mid := (o.FromM + o.ToM) / 2
			f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID}, Place: PlaceAt(mid), Measured: planner.Figure(o.Length()), Unit: "m",
				Source: p.rule.Sources[0]}
			f = At(f, b.at(mid))
			what := "a break"
			if g := p.Plan.Feature(o.Gateway); g != nil {
				what = "gateway " + quoted(g)
				f.Features = append(f.Features, g.ID)
			}
			f.Message = fmt.Sprintf("%s has %s of %s at %s.%s Move it to a corner where two belts meet, or plant a short belt behind it.",
				quotedAtStart(b.Feature), what, metres(o.Length()), metres(mid), speedText(speed, known))
			for k := range ways {
				if w := &ways[k]; w.way != nil && w.chainage >= o.FromM-w.widthM/2 && w.chainage <= o.ToM+w.widthM/2 {
					f.Message += " " + laneText(w, slant, slantKnown)
					f.Features = append(f.Features, w.way.ID)
					w.way = nil // told with its gateway
				}
			}
			p.Report(f)
		}
		for k := range ways {
			if w := &ways[k]; w.way != nil {
				p.reportLane(b, w, slant, slantKnown)
			}
		}
	}
}

func speedText(l rules.Limit, known bool) string {
	if !known {
		return " Wind through a gap is faster than in the open."
	}
	return fmt.Sprintf(" Wind through a gap is faster than in the open, perhaps by %s percent as near the ends of belts (no figure is published for gaps).", figure(l.Value))
}

func laneText(w *passage, slant rules.Limit, known bool) string {
	s := fmt.Sprintf("%s %s passes through it at %.0f degrees to the wind", upperFirst(string(w.way.Kind)), quoted(w.way), w.offWind)
	if known {
		return s + fmt.Sprintf("; it should be at least %s.", figure(slant.Value))
	}
	return s + "; the more slanting the better (no angle is published)."
}

// reportLane warns of a lane where no gateway is drawn. Where the holding states how slanting is enough, a lane that is so is a note.
func (p *Pass) reportLane(b *Belt, w *passage, slant rules.Limit, known bool) {
	f := planner.Finding{Severity: planner.Warn, Features: []string{b.Feature.ID, w.way.ID}, Place: PlaceAt(w.chainage), Measured: planner.Figure(w.offWind),
		Unit: "deg", Worse: "less", Source: p.rule.Sources[0]}
	if known {
		f.Limit = planner.Figure(slant.Value)
		if slant.Holds(w.offWind) {
			f.Severity = planner.Note
		}
	}
	f.Message = fmt.Sprintf("%s of %s width cuts %s at %s. Wind through a gap is faster than in the open. %s Lead it round the end of the belt or across it at a slant, and draw its gateway.",
		upperFirst(string(w.way.Kind)), metres(w.widthM), quoted(b.Feature), metres(w.chainage), laneText(w, slant, known))
	p.Report(At(f, w.at))
}

// passages are the places where ways cross a belt's line, by chainage. Cost: the candidates that an index of the ways gives for
// each straight part of the belt.
func (p *Pass) passages(b *Belt, windFromDeg float64) []passage {
	var out []passage
	chain := geo.NewChain(b.path())
	line := chain.Line()
	for _, k := range []planner.Kind{planner.KindRoad, planner.KindTrack, planner.KindPath} {
		o := p.Shared.Obstacles(k)
		if len(o.List) == 0 {
			continue
		}
		at := 0.0
		for i := 1; i < len(line); i++ {
			a, c := line[i-1], line[i]
			o.segs.Crossing(a, c, func(n int) {
				s := o.segs.At(n)
				t, ok := crossAt(a, c, s.A, s.B)
				if !ok {
					return
				}
				way := o.List[s.Tag]
				w, _ := way.Detail.(*planner.Way)
				if w == nil {
					return
				}
				off := geo.AngleBetweenDeg(geo.BearingDeg(s.A, s.B), windFromDeg)
				pass := passage{way: way, at: orb.Point{a[0] + t*(c[0]-a[0]), a[1] + t*(c[1]-a[1])}, chainage: at + t*geo.Dist(a, c),
					offWind: math.Min(off, 180-off), widthM: w.WidthM}
				if n := len(out); n > 0 && out[n-1].way == way && geo.Dist(out[n-1].at, pass.at) < planner.Tolerance {
					return // a corner of the way on the belt
				}
				out = append(out, pass)
			})
			at += geo.Dist(a, c)
		}
	}
	return out
}

// path is the drawn line.
func (b *Belt) path() orb.LineString {
	if b.line != nil && len(b.line.Path) > 1 {
		return b.line.Path
	}
	return b.Feature.Shape.Lines[0]
}

// crossAt is the share of a-b at which c-d meets it; parallel lines do not.
func crossAt(a, b, c, d orb.Point) (float64, bool) {
	ux, uy := b[0]-a[0], b[1]-a[1]
	vx, vy := d[0]-c[0], d[1]-c[1]
	den := ux*vy - uy*vx
	if den == 0 {
		return 0, false
	}
	t := ((c[0]-a[0])*vy - (c[1]-a[1])*vx) / den
	s := ((c[0]-a[0])*uy - (c[1]-a[1])*ux) / den
	return t, t >= 0 && t <= 1 && s >= 0 && s <= 1
}
