package web

import (
	"quickthorn/planner"
	"quickthorn/planner/check"
	"quickthorn/planner/lists"
	"quickthorn/planner/report"
	"quickthorn/planner/setout"
	"quickthorn/planner/sheets"
)

// The vocabulary as data: everything that the page offers in a menu or a form comes from here.
type (
	vocabulary struct {
		Kinds     []vocabKind         `json:"kinds"`
		Common    []vocabProp         `json:"common"`
		Holding   []vocabProp         `json:"holding"`
		Species   []vocabSpecies      `json:"species"`
		Rules     []vocabRule         `json:"rules"`
		Patterns  []vocabPattern      `json:"patterns"`
		RuleSets  []string            `json:"rule_sets"`
		Formats   map[string][]string `json:"formats"`
		Purposes  []string            `json:"purposes"`
		Moistures []string            `json:"moistures"`
		Soils     []string            `json:"soils"`
		Exposures []string            `json:"exposures"`
	}
	vocabKind struct {
		Kind       string      `json:"kind"`
		Title      string      `json:"title"`
		Help       string      `json:"help"`
		Geometries []string    `json:"geometries"`
		Grows      bool        `json:"grows"`
		Props      []vocabProp `json:"props"`
	}
	vocabProp struct {
		Name    string   `json:"name"`
		Type    string   `json:"type"`
		Unit    string   `json:"unit"`
		Default any      `json:"default"` // null where there is none or it is not fixed
		Else    string   `json:"else"`    // what holds where there is no default
		Allowed []string `json:"allowed"`
		Least   *float64 `json:"least"` // null where there is no limit
		Most    *float64 `json:"most"`
		Help    string   `json:"help"`
	}
	vocabSpecies struct {
		ID        string   `json:"id"`
		Botanical string   `json:"botanical"`
		English   []string `json:"english"`
		Habit     string   `json:"habit"`
		Purposes  []string `json:"purposes"`
	}
	vocabRule struct {
		ID       string   `json:"id"`
		Title    string   `json:"title"`
		Why      string   `json:"why"`
		Severity string   `json:"severity"`
		Cautions []string `json:"cautions"`
		Sources  []string `json:"sources"`
	}
	vocabPattern struct {
		Name  string   `json:"name"`
		Title string   `json:"title"`
		Help  string   `json:"help"`
		Kinds []string `json:"kinds"`
	}
)

// vocabularyOf writes the vocabulary as JSON.
func vocabularyOf(engine *report.Engine) ([]byte, error) {
	v := vocabulary{Common: props(planner.CommonProps()), Holding: props(planner.HoldingProps()), RuleSets: engine.Library.Names(),
		Formats: map[string][]string{"list": {}, "setout": {}, "drawing": {}, "shelter": {"json", "geojson", "text", "svg"}, "light": {"json", "geojson", "text", "svg"}}, Purposes: report.Purposes(engine.Catalogue),
		Moistures: texts(planner.Moistures), Soils: []string{}, Exposures: []string{}}
	for _, k := range planner.Kinds() {
		v.Kinds = append(v.Kinds, vocabKind{Kind: string(k.Kind), Title: k.Title, Help: k.Help, Geometries: list(k.Geometries), Grows: k.Grows, Props: props(k.Props)})
		for _, p := range k.Props {
			switch {
			case k.Kind == planner.KindParcel && p.Name == "soil":
				v.Soils = list(p.Allowed)
			case k.Kind == planner.KindParcel && p.Name == "exposure":
				v.Exposures = list(p.Allowed)
			}
		}
	}
	for _, s := range engine.Catalogue.All() {
		v.Species = append(v.Species, vocabSpecies{ID: s.ID, Botanical: s.Botanical, English: list(s.English), Habit: string(s.Habit), Purposes: list(s.Purposes)})
	}
	for _, r := range check.Rules() {
		out := vocabRule{ID: r.ID, Title: r.Title, Why: r.Why, Severity: string(r.Severity), Cautions: list(r.Cautions), Sources: []string{}}
		for _, s := range r.Sources {
			out.Sources = append(out.Sources, s.String())
		}
		v.Rules = append(v.Rules, out)
	}
	for _, p := range setout.Patterns() {
		v.Patterns = append(v.Patterns, vocabPattern{Name: p.Name, Title: p.Title, Help: p.Help, Kinds: texts(p.Kinds)})
	}
	for _, f := range lists.Formats() {
		v.Formats["list"] = append(v.Formats["list"], f.Name)
	}
	for _, f := range setout.Formats() {
		v.Formats["setout"] = append(v.Formats["setout"], f.Name)
	}
	for _, f := range sheets.FieldFormats() {
		v.Formats["setout"] = append(v.Formats["setout"], f.Name)
	}
	for _, f := range sheets.Formats() {
		v.Formats["drawing"] = append(v.Formats["drawing"], f.Name)
	}
	return toJSON(v)
}

func props(of []planner.Prop) []vocabProp {
	out := []vocabProp{}
	for _, p := range of {
		v := vocabProp{Name: p.Name, Type: string(p.Type), Unit: p.Unit, Default: p.Default, Else: p.Else, Allowed: list(p.Allowed), Help: p.Help}
		if p.Least != 0 || p.Most != 0 {
			v.Least, v.Most = &p.Least, &p.Most
		}
		out = append(out, v)
	}
	return out
}

// list is never null.
func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func texts[S ~string](of []S) []string {
	out := []string{}
	for _, w := range of {
		out = append(out, string(w))
	}
	return out
}
