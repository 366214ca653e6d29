package planner

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"quickthorn/geo/interchange"
)

// The forms of values that only the holding has.
const (
	TypePosition PropType = "position"  // [longitude, latitude]
	TypeWindRose PropType = "wind rose" // [{from_deg, percent, speed_m_s}]
	TypeChipUse  PropType = "chip use"  // {mulch_depth_m, bedding_m3, compost_green_m3, paths_m3}
	TypeLimits   PropType = "limits"    // {rule: {limit: value | {value, reason}}}
	TypeAccepted PropType = "accepted"  // [{key, reason, date, measured, limit, source}]
	TypeObject   PropType = "object"    // kept as it is
	TypeObjects  PropType = "objects"   // a list, kept as it is
)

// maxAccepted bounds the findings that a holding lives with.
const maxAccepted = 10_000

// ChipUses are the ways wood and chip are given out, in the order that holds unless the holding states its own.
var ChipUses = []string{"logs", "mulch", "compost", "bedding", "paths"}

// HoldingProps are the members of the `holding` of a plan file.
func HoldingProps() []Prop {
	d := DefaultHolding()
	return []Prop{
		{Name: "name", Type: TypeText, Default: d.Name, Help: "what you call the place"},
		{Name: "origin", Type: TypePosition, Else: "the middle of the parcels", Help: "longitude and latitude of the point that metres are measured from; written on the first save"},
		{Name: "rule_set", Type: TypeText, Default: d.RuleSet, Help: "general, england, ireland, scotland, northern-ireland, wales, or the path of a file of your own"},
		{Name: "wind_from_deg", Type: TypeBearing, Unit: "degrees", Default: d.WindFromDeg, Least: 0, Most: 360, Help: "bearing that the troublesome wind blows from"},
		{Name: "wind_rose", Type: TypeWindRose, Else: "none", Help: "how often and how hard it blows from each bearing; replaces wind_from_deg"},
		{Name: "planting_winter", Type: TypeWinter, Else: "none: dates have no year", Help: "winter of planting, by the year it starts in"},
		{Name: "browsing", Type: TypeChoices, Allowed: Browsers, Default: []string{}, Help: "what browses young plants here"},
		{Name: "spare_percent", Type: TypeNumber, Unit: "percent", Default: d.SparePercent, Least: 0, Most: 100, Help: "plants ordered beyond those set out"},
		{Name: "bundle", Type: TypeInteger, Default: d.Bundle, Least: 1, Most: 1000, Help: "bare-root plants in a bundle"},
		{Name: "heat_kwh_per_year", Type: TypeNumber, Unit: "kWh", Least: 0, Most: 1_000_000, Else: "none", Help: "useful heat wanted from wood each year"},
		{Name: "stove_efficiency", Type: TypeNumber, Default: d.StoveEfficiency, Least: 0.05, Most: 1, Help: "share of the wood's energy that becomes heat"},
		{Name: "chip_use", Type: TypeChipUse, Else: "none", Help: "chip wanted each year"},
		{Name: "uses", Type: TypeChoices, Allowed: ChipUses, Default: d.Uses, Help: "the order in which wood and chip are given out"},
		{Name: "pictures", Type: TypeObjects, Else: "none", Help: "pictures to trace over, and where they lie"},
		{Name: "prices", Type: TypeObject, Else: "none: nothing is priced", Help: "your own prices"},
		{Name: "limits", Type: TypeLimits, Else: "those of the rule set", Help: "limits of your own, by rule; with a reason where one about safety or law is loosened"},
		{Name: "accepted", Type: TypeAccepted, Else: "none", Help: "findings that you live with, and why"},
	}
}

// holding reads the holding member and lays the caller's overrides over it.
func (r *reading) holding() error {
	doc := r.plan.doc
	h := DefaultHolding()
	raw := doc.holdingRaw()
	switch {
	case interchange.IsObject(raw):
		r.holdingMembers(&h, raw)
	case !interchange.IsNull(raw):
		r.faults.add(Fault{Rule: "input.property", Severity: Stop, Property: "holding",
			Message: fmt.Sprintf("The holding is %s; an object in braces is allowed. Its defaults are used until it is mended.", shown(raw))})
	}
	if doc.opt.Winter != 0 {
		h.PlantingWinter = doc.opt.Winter
		h.stated = h.stated.with("planting_winter")
		h.wrong = slices.DeleteFunc(h.wrong, func(s string) bool { return s == "planting_winter" })
	}
	if doc.opt.RuleSet != "" {
		h.RuleSet = doc.opt.RuleSet
		h.stated = h.stated.with("rule_set")
		h.wrong = slices.DeleteFunc(h.wrong, func(s string) bool { return s == "rule_set" })
	}
	r.plan.Holding = h
	return nil
}

func (r *reading) holdingMembers(h *Holding, raw []byte) {
	info := vocabulary.holding
	target := reflect.ValueOf(h).Elem()
	values, twice := collect(info, raw, nil)
	r.twice("", "The holding", twice)
	for i, p := range info.props {
		v := values[i]
		if p.Name == "origin" {
			r.plan.doc.anyOrigin = v != nil
		}
		if interchange.IsNull(v) {
			continue
		}
		x, ok, why := readValue(p, v)
		if !ok {
			h.wrong = h.wrong.with(p.Name)
			r.faults.add(Fault{Rule: "input.property", Severity: Stop, Property: p.Name,
				Message: valueMessage("The holding", p, v, why) + standIn(p)})
			continue
		}
		h.stated = h.stated.with(p.Name)
		put(target, info.fields[i], x)
	}
	r.plan.doc.hasOrigin = h.Origin != nil
}

// standIn says what holds in place of a member of the holding that cannot be used. Much is worked out from the holding, so its
// defaults stay, and the message says so.
func standIn(p Prop) string {
	instead := p.Else
	if p.Default != nil {
		v, _ := encode(p.Default)
		instead = string(v)
	}
	return fmt.Sprintf(" Until it is mended this stands in its place: %s.", instead)
}

func readHoldingValue(p Prop, v []byte) (any, bool, string) {
	switch p.Type {
	case TypePosition:
		return readOrigin(v)
	case TypeWindRose:
		return readWindRose(v)
	case TypeChipUse:
		if !interchange.IsObject(v) {
			return nil, false, ""
		}
		e := newEntry(v)
		c := &ChipUse{MulchDepthM: e.number("mulch_depth_m", 0, 1, false), BeddingM3: e.number("bedding_m3", 0, 10_000, false),
			CompostGreenM3: e.number("compost_green_m3", 0, 10_000, false), PathsM3: e.number("paths_m3", 0, 10_000, false)}
		return c, e.why == "", e.why
	case TypeLimits:
		return readLimits(v)
	case TypeAccepted:
		return readEach(v, readAccepted)
	case TypeObject:
		return json.RawMessage(v), interchange.IsObject(v), ""
	case TypeObjects:
		return json.RawMessage(v), interchange.IsArray(v), ""
	}
	return nil, false, ""
}

func readOrigin(v []byte) (any, bool, string) {
	g, bad := interchange.ReadGeometry([]byte(`{"type":"Point","coordinates":`+string(v[:min(len(v), 200)])+`}`), 10)
	if !interchange.IsArray(v) || bad != nil || len(g.Points) != 1 || len(v) > 200 {
		return nil, false, ""
	}
	p := orb.Point(g.Points[0])
	return &p, true, ""
}

func readWindRose(v []byte) (any, bool, string) {
	list, ok, why := readEach(v, func(v []byte) (WindArm, string) {
		e := newEntry(v)
		a := WindArm{FromDeg: e.number("from_deg", 0, 360, true), Percent: e.number("percent", 0, 100, true), SpeedMS: e.number("speed_m_s", 0, 60, true)}
		return a, e.why
	})
	if !ok {
		return nil, false, why
	}
	sum := 0.0
	for _, a := range list.([]WindArm) {
		sum += a.Percent
	}
	if sum > 100+shareTolerance+1e-9 {
		return nil, false, fmt.Sprintf("the percents add up to %s, more than 100", figure(sum))
	}
	return list, true, ""
}

func readAccepted(v []byte) (Accepted, string) {
	e := newEntry(v)
	a := Accepted{Key: e.text("key", true), Reason: e.text("reason", false), Date: e.text("date", false), Source: e.text("source", false)}
	for name, to := range map[string]**float64{"measured": &a.Measured, "limit": &a.Limit} {
		if e.find(name) != nil {
			*to = Figure(e.number(name, -1e12, 1e12, false))
		}
	}
	return a, e.why
}

func readLimits(v []byte) (any, bool, string) {
	if !interchange.IsObject(v) {
		return nil, false, ""
	}
	out := map[string]map[string]OwnLimit{}
	n := 0
	for rule := range interchange.Members(v) {
		set := rule.Value.Of(v)
		if !interchange.IsObject(set) {
			return nil, false, fmt.Sprintf("%s is %s, not an object of limits", shownName(rule.Name), shown(set))
		}
		limits := map[string]OwnLimit{}
		for m := range interchange.Members(set) {
			l, why := readLimit(m.Value.Of(set))
			if n++; n > maxEntries {
				why = fmt.Sprintf("there are more than %d limits", maxEntries)
			}
			if why != "" {
				return nil, false, fmt.Sprintf("%s, %s: %s", shownName(rule.Name), shownName(m.Name), why)
			}
			limits[string(m.Name)] = l
		}
		if n++; n > maxEntries {
			return nil, false, fmt.Sprintf("there are more than %d limits", maxEntries)
		}
		out[string(rule.Name)] = limits
	}
	return out, true, ""
}

// shownName is the name of a member, short enough for a message.
func shownName(name []byte) string { return interchange.Shorten(string(name[:min(len(name), 300)])) }

func readLimit(v []byte) (OwnLimit, string) {
	var l OwnLimit
	value := v
	if interchange.IsObject(v) {
		e := newEntry(v)
		l.Reason = e.text("reason", false)
		if value = e.find("value"); value == nil {
			e.fail("it has no value")
		}
		if e.why != "" {
			return l, e.why
		}
	}
	if x, ok := interchange.Number(value); ok {
		l.Value = x
		return l, ""
	}
	s, ok := interchange.Text(value)
	if !ok || strings.TrimSpace(s) == "" {
		return l, shown(value) + ` is not a limit: a number or a text is, or {"value": ..., "reason": "..."}`
	}
	l.Text = s
	return l, ""
}

func allowedHolding(p Prop) string {
	switch p.Type {
	case TypePosition:
		return "a position, [longitude, latitude] in degrees"
	case TypeWindRose:
		return `a list of {"from_deg": 0 to 360, "percent": ..., "speed_m_s": 0 to 60} that adds up to 100 percent at most`
	case TypeChipUse:
		return `{"mulch_depth_m": ..., "bedding_m3": ..., "compost_green_m3": ..., "paths_m3": ...}, all per year`
	case TypeLimits:
		return `{"rule": {"limit": value}}, or {"value": ..., "reason": "..."} in place of a value`
	case TypeAccepted:
		return `a list of {"key": "...", "reason": "..."}`
	case TypeObject:
		return "an object in braces"
	case TypeObjects:
		return "a list in brackets"
	}
	return string(p.Type)
}
