package wood

import (
	"fmt"
	"math"
	"strings"
	"time"

	"quickthorn/planner"
	"quickthorn/planner/rules"
)

// A Window is from one day to another, month-day ("11-01"); Until may lie in the year after From.
type Window struct {
	From, Until string
	Source      planner.Source
	Note        string
}

// Calendar is when to plant and cut by the rule set. A window that is not known is empty.
type Calendar struct {
	RuleSet   string
	BareRoot  Window
	Container Window
	Cuttings  Window
	Closed    Window // no cutting or trimming of hedges
	Coppice   Window // open for coppicing, within the dormant season
	Lay       Window
	Exception string // what is excepted from the closed season, in words; "" where the rule set names nothing
	Says      string // why no window is known, in a sentence; "" where they are
}

// CalendarOf reads the calendar of a rule set.
func CalendarOf(set *rules.Set) Calendar {
	c := Calendar{}
	if set == nil {
		return c
	}
	get := func(rule, name string) rules.Limit { l, _ := set.Get(rule, name); return l }
	window := func(from, until rules.Limit) Window {
		return Window{From: from.Text, Until: until.Text, Source: until.Source, Note: until.Note}
	}
	c.RuleSet = set.Name()
	c.BareRoot = window(get("ground.planting", "bare_root_from"), get("ground.planting", "bare_root_until"))
	c.Container = window(get("season.plant", "container_from"), get("ground.planting", "bare_root_until"))
	c.Cuttings = window(get("season.plant", "cuttings_from"), get("season.plant", "cuttings_until"))
	c.Closed = window(get("season.cut", "closed_from"), get("season.cut", "closed_until"))
	c.Coppice = opening(get("season.cut", "closed_until"), get("season.cut", "dormant_from"), get("season.cut", "dormant_until"), get("season.cut", "coppice_until"))
	c.Lay = opening(get("season.cut", "closed_until"), get("season.cut", "dormant_from"), get("season.cut", "dormant_until"), get("season.cut", "lay_until"))
	c.Exception = strings.TrimPrefix(get("season.cut", "closed_until").Note, "last closed day; ")
	if law := longer(get("season.cut", "closed_from"), get("season.cut", "lay_until"), get("season.cut", "coppice_until")); law != "" && !strings.Contains(c.Exception, "coppicing") {
		c.Exception = strings.TrimSuffix(law+"; "+c.Exception, "; ")
	}
	return c
}

// southSays is why a holding south of the equator gets no dates: those of every rule set are of northern winters and nesting times.
const southSays = "No dates are given: those of the rule set are for the northern half of the earth, and this holding lies south of the equator, where trees are bare about May to August and birds nest about August to February (half a year on from the dates of the north). Ask your nature and forestry bodies which season is closed"

// CalendarFor is the calendar of a rule set for a plan. South of the equator every window is unknown, and Says tells why.
func CalendarFor(p *planner.Plan, set *rules.Set) Calendar {
	c := CalendarOf(set)
	if South(p) {
		return Calendar{RuleSet: c.RuleSet, Says: southSays}
	}
	return c
}

// South reports whether a plan's land lies south of the equator.
func South(p *planner.Plan) bool { return p.Frame.Origin()[1] < 0 }

// longer says in words what may go on after the first closed day, and until when; "" where nothing may.
func longer(closed, lay, coppice rules.Limit) string {
	after := func(l rules.Limit) bool {
		return l.Text != "" && closed.Text != "" && l.Text >= closed.Text && l.Text < "07-01"
	}
	switch until := func(l rules.Limit) string { return DateIn(l.Text, 0) }; {
	case after(lay) && after(coppice) && lay.Text == coppice.Text:
		return "laying and coppicing are excepted until " + until(lay)
	case after(lay) && after(coppice):
		return "laying is excepted until " + until(lay) + " and coppicing until " + until(coppice)
	case after(lay):
		return "laying is excepted until " + until(lay)
	case after(coppice):
		return "coppicing is excepted until " + until(coppice)
	}
	return ""
}

// opening is when a hedge may be cut: from the start of the dormant season, but not before the day after the closed season, until
// the end of the dormant season or the last day allowed, whichever comes first. It is empty where that leaves no day.
func opening(closedUntil, from, until, allowed rules.Limit) Window {
	a, b := order(from.Text), order(until.Text)
	if c := order(closedUntil.Text) + 1; c > a {
		a = c
	}
	if c := order(allowed.Text); c < b {
		b = c
	}
	w := Window{Source: allowed.Source, Note: allowed.Note}
	if from.Text != "" && until.Text != "" && allowed.Text != "" && a <= b {
		w.From, w.Until = date(a), date(b)
	}
	return w
}

// order numbers the days of a season that begins on 1 June, so that winters run on. Years have 366 days here.
func order(monthDay string) int {
	t, err := time.Parse("2006-01-02", "2024-"+monthDay)
	if err != nil {
		return 0
	}
	return (t.YearDay() - 153 + 366) % 366
}

func date(order int) string {
	return time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, (order+152)%366).Format("01-02")
}

// DateIn writes a month-day of a winter with its year: "1 November 2026". Days before June belong to the year after.
func DateIn(monthDay string, winter int) string {
	t, err := time.Parse("2006-01-02", "2024-"+monthDay)
	if err != nil {
		return ""
	}
	s := fmt.Sprintf("%d %s", t.Day(), t.Month())
	if winter < 1000 {
		return s
	}
	if t.Month() < time.June {
		winter++
	}
	return fmt.Sprintf("%s %d", s, winter)
}

func (in *Input) calendar() Calendar { return CalendarFor(in.Plan, in.Set) }

// Of is the window in which a section may be cut.
func (c Calendar) Of(method string) Window {
	if method == Lay {
		return c.Lay
	}
	return c.Coppice
}

// wiresReach is how near wires are looked for: the distance of the rule, or two tree heights where that is more.
func wiresReach(set *rules.Set, s *Section) (m float64, says string, src planner.Source) {
	work, heights := 10.0, 2.0
	if set != nil {
		if l, ok := set.Get("wood.wires", "work_least_m"); ok {
			work, src = l.Value, l.Source
		}
		if l, ok := set.Get("wood.wires", "fell_tree_heights"); ok {
			heights = l.Value
			if h := math.Max(s.HeightM, figure("harvest_height").Mid); heights*h > work {
				return heights * h, fmt.Sprintf("%g tree heights of %.1f m", heights, h), l.Source
			}
		}
	}
	return work, fmt.Sprintf("%g m", work), src
}

// NearWires reports whether a section lies so near an overhead line that the work has to be asked for first: 10 m, or two tree
// heights for felling.
func NearWires(set *rules.Set, s *Section) (near bool, reach float64, says string, src planner.Source) {
	reach, says, src = wiresReach(set, s)
	return s.WiresM < reach, reach, says, src
}

// AshShare is the share of a section that is ash, also where the plan names only the genus, which the catalogue does not know.
func AshShare(s *Section) float64 {
	sum := s.Share("Fraxinus")
	for _, p := range s.Mix {
		if p.Species == nil && strings.HasPrefix(strings.ToLower(strings.TrimSpace(p.Name)), "fraxinus") {
			sum += p.Share
		}
	}
	return sum
}

// HasAsh reports whether ash stands in a section.
func HasAsh(s *Section) bool { return AshShare(s) > 0 }

// prompts are what to look up before work.
func (in *Input) prompts(r *Result) []Prompt {
	var out []Prompt
	if in.Set == nil {
		return out
	}
	limit := func(name, format string) {
		if l, ok := in.Set.Get("wood.licence", name); ok {
			out = append(out, Prompt{Rule: "wood.licence", Text: fmt.Sprintf(format, l.Value) + body(r.RuleSet), Source: l.Source})
		}
	}
	limit("quarter_greatest_m3", "Felling more than %g m3 in a calendar quarter needs a licence.")
	limit("sold_greatest_m3", "Of that, not more than %g m3 may be sold without one.")
	limit("year_greatest_m3", "Felling more than %g m3 in 12 months for use on the farm needs a licence.")
	limit("tree_greatest_m3", "So does a single tree of more than %g m3.")
	limit("coppice_stem_greatest_m", "Coppice stems thicker than %g m at 1.3 m from the ground count as felling.")
	limit("removal_least_m", "A hedge of %g m and more is not taken out without notice; coppicing and laying are not removal.")
	if len(out) == 0 {
		out = append(out, Prompt{Rule: "wood.licence", Text: "No figure for felling licences is known for this rule set." + body(r.RuleSet)})
	}
	out = append(out, Prompt{Rule: "wood.licence",
		Text: "Preservation orders, conservation areas, protected sites, bats and nests in use count besides, at any date." + body(r.RuleSet)})
	return out
}

// body names whom to ask.
func body(ruleSet string) string {
	who := map[string]string{
		"england": "the Forestry Commission and the local authority", "wales": "Natural Resources Wales and the local authority",
		"scotland": "Scottish Forestry and the local authority", "northern-ireland": "the Forest Service of DAERA",
		"ireland": "the Forest Service of the Department of Agriculture and the National Parks and Wildlife Service",
	}[ruleSet]
	if who == "" {
		who = "your forestry authority and your local authority"
	}
	return " Check with " + who + "."
}

// DayAfter is the month-day that follows another.
func DayAfter(monthDay string) string { return date((order(monthDay) + 1) % 366) }
