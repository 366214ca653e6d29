package wood

import (
	"encoding/json"
	"io"
	"math"
)

// Rounding is done here and in the other writers only: tonnes to 0.0001, volumes and metres to 0.001, heat to 0.1 kWh.
func to(decimals int) func(float64) float64 {
	k := math.Pow10(decimals)
	return func(v float64) float64 {
		if math.IsInf(v, 0) || math.IsNaN(v) {
			return 0
		}
		return math.Round(v*k)/k + 0 // no minus nought
	}
}

type jsonSection struct {
	ID         string   `json:"id"`
	Feature    string   `json:"feature"`
	From       float64  `json:"from_m"`
	To         float64  `json:"to_m"`
	Cuts       []int    `json:"cuts"`
	Label      string   `json:"label"`
	Method     string   `json:"method"`
	Length     float64  `json:"length_m"`
	Area       float64  `json:"area_m2"`
	Vigour     string   `json:"vigour"`
	Mix        []string `json:"mix"`
	LastCut    int      `json:"grown_since"`
	LastSays   string   `json:"grown_since_says"`
	Least      int      `json:"least_age"`
	Usual      int      `json:"usual_age"`
	Pinned     []int    `json:"pinned"`
	Forbidden  []int    `json:"forbidden"`
	Neighbours []string `json:"neighbours"`
	Shelters   []string `json:"shelters"`
	Wet        bool     `json:"wet"`
	Notes      []string `json:"notes"`
}

type jsonNeed struct {
	Use    string  `json:"use"`
	Wanted float64 `json:"wanted_m3"`
	Got    Range   `json:"got_m3"`
}

type jsonWinter struct {
	Winter      int        `json:"winter"`
	CutM        float64    `json:"cut_m"`
	CutM2       float64    `json:"cut_m2"`
	Cut         []string   `json:"cut"`
	Dry         Range      `json:"dry_t"`
	Logs        Range      `json:"logs_dry_t"`
	Brash       Range      `json:"brash_dry_t"`
	Loss        Range      `json:"loss_dry_t"`
	Solid       Range      `json:"logs_solid_m3"`
	Stacked     Range      `json:"logs_stacked_m3"`
	ReadyWinter *int       `json:"ready_winter"`
	Made        Range      `json:"heat_made_kwh"`
	Ready       Range      `json:"heat_ready_kwh"`
	Wanted      float64    `json:"heat_wanted_kwh"`
	Burned      Range      `json:"heat_used_kwh"`
	Short       Range      `json:"heat_short_kwh"`
	Carried     Range      `json:"heat_carried_kwh"`
	Chip        Range      `json:"chip_made_m3"`
	Needed      float64    `json:"chip_needed_m3"`
	Used        Range      `json:"chip_used_m3"`
	Left        Range      `json:"chip_left_m3"`
	ChipLoss    Range      `json:"chip_loss_m3"`
	ChipShort   Range      `json:"chip_short_m3"`
	Needs       []jsonNeed `json:"chip_uses"`
}

type jsonClosing struct {
	What     string  `json:"what"`
	Quantity float64 `json:"quantity"`
	Unit     string  `json:"unit"`
	Rests    string  `json:"rests_on"`
}

type jsonConflict struct {
	Section    string `json:"section"`
	Winter     int    `json:"winter"`
	Constraint string `json:"constraint"`
	Message    string `json:"message"`
}

type jsonFill struct {
	Section string  `json:"section"`
	From    float64 `json:"from_m"`
	To      float64 `json:"to_m"`
	Plants  int     `json:"plants"`
	Winter  int     `json:"winter"`
	Action  string  `json:"action"`
}

type jsonCaution struct {
	About      string `json:"about"`
	Text       string `json:"text"`
	Source     string `json:"source"`
	Confidence string `json:"confidence"`
}

type jsonWindow struct {
	From   string `json:"from"`
	Until  string `json:"until"`
	Source string `json:"source"`
	Note   string `json:"note"`
}

type jsonRota struct {
	GreatestShare float64 `json:"greatest_share_percent"`
	Least         float64 `json:"least_m"`
	Greatest      float64 `json:"greatest_m"`
	AreaControl   float64 `json:"area_control_m_per_year"`
	AreaControlM2 float64 `json:"area_control_m2_per_year"`
	ShareLimit    float64 `json:"share_limit_percent"`
	MostM         float64 `json:"most_m"`
	Target        float64 `json:"target_logs_dry_t"`
	Sustained     float64 `json:"sustained_logs_dry_t"`
	Over          int     `json:"judged_over_winters"`
	Evenness      float64 `json:"logs_variation"`
	Cost          float64 `json:"cost"`
	Bound         float64 `json:"bound"`
	Exact         bool    `json:"exact"`
}

type jsonCompared struct {
	Fuel
	Heat       float64 `json:"kg_per_kwh_heat"`
	Source     string  `json:"source"`
	Confidence string  `json:"confidence"`
}

// WriteJSON writes the result as one object with the names of the command's contract, and more beside them. Lists are never null.
func WriteJSON(w io.Writer, r *Result) error {
	b, err := json.MarshalIndent(document(r), "", "  ")
	if err != nil {
		return err
	}
	_, err = w.Write(append(b, '\n'))
	return err
}

// document gathers what is written.
func document(r *Result) any {
	doc := struct {
		Holding   string        `json:"holding"`
		RuleSet   string        `json:"rule_set"`
		Sections  []jsonSection `json:"sections"`
		Winters   []jsonWinter  `json:"winters"`
		Rota      jsonRota      `json:"rota"`
		Shortfall struct {
			KWh      float64       `json:"heat_kwh_per_year"`
			From     int           `json:"from_winter"`
			ClosedBy []jsonClosing `json:"closed_by"`
		} `json:"shortfall"`
		Carbon struct {
			Standing  float64 `json:"standing"`
			Cut       float64 `json:"cut_per_year"`
			Regrowth  float64 `json:"regrowth_per_year"`
			Displaced float64 `json:"displaced_per_year"`
		} `json:"carbon_t_co2"`
		Displaces  jsonCompared          `json:"displaces"`
		Comparison []jsonCompared        `json:"comparison"`
		Conflicts  []jsonConflict        `json:"conflicts"`
		Fills      []jsonFill            `json:"fills"`
		Store      map[string]float64    `json:"store"`
		Calendar   map[string]jsonWindow `json:"calendar"`
		Prompts    []jsonCaution         `json:"prompts"`
		Cautions   []jsonCaution         `json:"cautions"`
		Notes      []string              `json:"notes"`
		LogsKept   bool                  `json:"logs_kept"` // logs are among the holding's uses
		LeftOut    []string              `json:"left_out"`  // what cannot be used as it stands, and what to mend
	}{Holding: r.Holding, RuleSet: r.RuleSet, Sections: []jsonSection{}, Winters: []jsonWinter{}, Conflicts: []jsonConflict{}, Fills: []jsonFill{},
		Comparison: []jsonCompared{}, Prompts: []jsonCaution{}, Cautions: []jsonCaution{}, Notes: append([]string{}, r.Notes...), LeftOut: append([]string{}, r.LeftOut...), LogsKept: !r.NoLogs}
	m := to(3)
	for i := range r.Sections {
		doc.Sections = append(doc.Sections, sectionDoc(r, i))
	}
	for i := range r.Winters {
		doc.Winters = append(doc.Winters, winterDoc(r, &r.Winters[i]))
	}
	q := r.Rota
	doc.Rota = jsonRota{to(2)(q.GreatestShare), m(q.LeastM), m(q.GreatestM), m(q.AreaControlM), m(q.AreaControlM2), q.ShareLimit, m(q.MostM), to(4)(q.TargetT),
		to(4)(q.SustainedT), q.Over, to(4)(q.Evenness), to(4)(q.Cost), to(4)(q.Bound), q.Exact}
	doc.Shortfall.KWh, doc.Shortfall.From, doc.Shortfall.ClosedBy = to(1)(r.Shortfall.KWh), r.Shortfall.From, []jsonClosing{}
	for _, c := range r.Shortfall.ClosedBy {
		doc.Shortfall.ClosedBy = append(doc.Shortfall.ClosedBy, jsonClosing(c))
	}
	doc.Carbon.Standing, doc.Carbon.Cut = to(4)(r.Carbon.Standing), to(4)(r.Carbon.Cut)
	doc.Carbon.Regrowth, doc.Carbon.Displaced = to(4)(r.Carbon.Regrowth), to(4)(r.Carbon.Displaced)
	doc.Displaces = comparedDoc(Compared{Fuel: r.Carbon.Fuel, KgPerKWhHeat: r.Carbon.Fuel.Kg / figure("old_boiler").Mid})
	for _, c := range r.Comparison {
		doc.Comparison = append(doc.Comparison, comparedDoc(c))
	}
	for _, c := range r.Conflicts {
		doc.Conflicts = append(doc.Conflicts, jsonConflict{r.Sections[c.Unit].ID, c.Winter, c.Constraint, c.Message})
	}
	for _, f := range r.Fills {
		doc.Fills = append(doc.Fills, jsonFill{f.Section, m(f.FromM), m(f.ToM), f.Plants, f.Winter, string(f.Action)})
	}
	doc.Store = map[string]float64{"stacked_m3": m(r.Store.StackedM3), "floor_m2": m(r.Store.FloorM2), "winters": float64(r.Store.Years), "log_m": r.Options.LogM}
	doc.Calendar = map[string]jsonWindow{}
	for name, w := range map[string]Window{"bare_root": r.Calendar.BareRoot, "container": r.Calendar.Container, "willow_cuttings": r.Calendar.Cuttings,
		"closed": r.Calendar.Closed, "coppice": r.Calendar.Coppice, "lay": r.Calendar.Lay} {
		doc.Calendar[name] = jsonWindow{w.From, w.Until, w.Source.Text, w.Note}
	}
	for _, p := range r.Prompts {
		doc.Prompts = append(doc.Prompts, jsonCaution{p.Rule, p.Text, p.Source.Text, string(p.Source.Confidence)})
	}
	for _, c := range r.Cautions {
		doc.Cautions = append(doc.Cautions, jsonCaution{c.About, c.Text, c.Source.Text, string(c.Source.Confidence)})
	}
	return doc
}

func comparedDoc(c Compared) jsonCompared {
	return jsonCompared{Fuel: c.Fuel, Heat: to(4)(c.KgPerKWhHeat), Source: c.Fuel.Source.Text, Confidence: string(c.Fuel.Source.Confidence)}
}

func sectionDoc(r *Result, i int) jsonSection {
	s, m := &r.Sections[i], to(3)
	d := jsonSection{ID: s.ID, Feature: s.Feature.ID, From: m(s.FromM), To: m(s.ToM), Cuts: append([]int{}, r.Cuts[i]...), Label: s.Label(), Method: s.Method,
		Length: m(s.LengthM), Area: to(2)(s.AreaM2), Vigour: s.Yield.Class, Mix: []string{}, LastCut: s.Born, LastSays: s.BornSays, Least: s.Least, Usual: s.Usual,
		Pinned: append([]int{}, s.Pins...), Forbidden: append([]int{}, s.Nots...), Neighbours: []string{}, Shelters: append([]string{}, s.Shelters...),
		Wet: s.Wet, Notes: append([]string{}, s.Notes...)}
	for _, p := range s.Mix {
		d.Mix = append(d.Mix, p.Name)
	}
	for _, n := range s.neighbours {
		d.Neighbours = append(d.Neighbours, r.Sections[n].ID)
	}
	return d
}

func winterDoc(r *Result, w *Winter) jsonWinter {
	t, m, k := to(4), to(3), to(1)
	d := jsonWinter{Winter: w.Winter, CutM: m(w.CutM), CutM2: to(2)(w.CutM2), Cut: []string{}, Dry: w.Dry.each(t), Logs: w.Logs.each(t), Brash: w.Brash.each(t),
		Solid: w.LogsSolid.each(m), Stacked: w.LogsStacked.each(m), Made: w.Made.each(k), Ready: w.Ready.each(k), Wanted: k(r.Heat.WantedKWh),
		Burned: w.Burned.each(k), Short: w.Short.each(k), Carried: w.Carried.each(k), Chip: w.Chip.each(m), Needed: m(w.Needed), Used: w.Used.each(m),
		Left: w.Left.each(m), ChipShort: w.ChipShort.each(m), Needs: []jsonNeed{}}
	// The parts of a sum are rounded so that they still make it up.
	d.Loss = d.Dry.minus(d.Logs).minus(d.Brash).each(t).positive()
	d.ChipLoss = d.Chip.minus(d.Used).minus(d.Left).each(m).positive()
	if w.ReadyWinter > 0 {
		y := w.ReadyWinter
		d.ReadyWinter = &y
	}
	for _, c := range w.Cut {
		d.Cut = append(d.Cut, r.Sections[c.Section].ID)
	}
	for _, n := range w.Needs {
		d.Needs = append(d.Needs, jsonNeed{n.Use, m(n.WantedM3), n.Got.each(m)})
	}
	return d
}
