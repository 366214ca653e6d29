package wood

import (
	"fmt"

	"quickthorn/planner"
)

func from(text string, c planner.Confidence) planner.Source {
	return planner.Source{Text: text, Confidence: c}
}

// The usual cautions, in our own words; they defer to local codes and licensed practice.
var (
	sawCaution = Caution{"saw", "A chainsaw is for trained hands, never alone: helmet, visor, ear and leg protection, boots and gloves to standard, and a second person within call. Nobody stands within two tree lengths but the one who fells. Leave hung-up, leaning and thick trees to licensed people.",
		from("PUWER 1998 and HSE leaflet INDG317, as quoted; HSE and FISA 301, 302, 802 from memory", planner.FromMemory)}
	chipperCaution = Caution{"chipper", "Nobody reaches, kicks or pushes into a chipper. Stand to one side, no loose cuffs or straps, 10 m clear all round; engine off, key out and rotor still before it is opened.",
		from("HSE AIS38 and FISA 604, as quoted; a maker's manual", planner.Published)}
	thornCaution = Caution{"thorns", "Blackthorn spines break off in joints and tendons and the swelling comes late: gloves and eye protection, and a doctor when a joint swells.",
		from("Sharma and Meredith, Emergency Medicine Journal 21:392, 2004", planner.Published)}
	heapCaution = Caution{"chip heaps", "Wet chip heats and moulds. Keep heaps under 2 m high and 4 m wide, 6 to 10 m from buildings and hedges, turn above 65 degrees, use fresh chip within a month, and wear a mask (FFP2) when you move old chip. Never climb into a chip or pellet store: the air in it can kill.",
		from("", planner.CommonPractice)}
	stoveCaution = Caution{"stove and flue", "Burn wood at 20 percent moisture or less, nothing painted or treated. Have the flue swept at least once a year, twice with wood, and a carbon monoxide alarm in the room. Fitting is for a registered installer under the local building rules.",
		from("Air Quality (Domestic Solid Fuels Standards) (England) Regulations 2020; trade practice", planner.Published)}
	ashCaution = Caution{"ash", "Ash with dieback is brittle and drops limbs and stems without warning. It is no job for one person with a saw: have a qualified tree surgeon look first.",
		from("", planner.CommonPractice)}
	wiresCaution = Caution{"power lines", "Stop: ask the line's operator before any work within 10 m of a line, or felling within two tree heights of it. Never stack, tip or chip under one.",
		from("UK arboriculture industry code 2.4.7 and NIE Networks, as quoted; Energy Networks Association, Look Out Look Up", planner.Published)}
	nestCaution = Caution{"nests", "Look for nests before any cut from February to August: one in use or being built is protected at any date.",
		from("Wildlife and Countryside Act 1981, section 1; Wildlife (Northern Ireland) Order; Wildlife Act 1976 (Ireland)", planner.Published)}
	southNests = Caution{"nests", "Look for nests before any cut from August to February, and ask your nature body what the law says of them.",
		from("half a year on from the dates of the north", planner.Derived)}
	stockCaution = Caution{"clippings", "Keep clippings of yew, laurel, rhododendron, laburnum and cherry away from stock, and chip them in the open air, upwind.",
		from("veterinary practice pages; a chipper maker's manual", planner.Published)}
	groundCaution = Caution{"wet ground", "Keep machines off ground that ruts; on wet clay cut in frost or before Christmas and carry over brash mats.",
		from("", planner.CommonPractice)}
)

// cautions lists what stands beside the figures of this holding.
func cautions(in *Input, r *Result) []Caution {
	if len(r.Sections) == 0 {
		return []Caution{}
	}
	out := []Caution{}
	wires, ash, thorns, wet := []string{}, []string{}, false, false
	for i := range r.Sections {
		s := &r.Sections[i]
		if near, _, _, _ := NearWires(in.Set, s); near {
			wires = append(wires, s.ID)
		}
		if HasAsh(s) {
			ash = append(ash, s.ID)
		}
		thorns = thorns || s.Share("Prunus spinosa", "Crataegus") > 0 || len(s.Mix) == 0
		wet = wet || s.Wet
	}
	if len(wires) > 0 {
		out = append(out, named(wiresCaution, wires))
	}
	if len(ash) > 0 {
		out = append(out, named(ashCaution, ash))
	}
	out = append(out, sawCaution, chipperCaution)
	if thorns {
		out = append(out, thornCaution)
	}
	nests := nestCaution
	if South(in.Plan) {
		nests = southNests
	}
	out = append(out, nests, heapCaution, stoveCaution, stockCaution)
	if wet {
		out = append(out, groundCaution)
	}
	return out
}

// named puts the sections at the end of a caution, the first few by name.
func named(c Caution, ids []string) Caution {
	const most = 6
	list := ids
	if len(list) > most {
		list = list[:most]
	}
	c.Text += " Here: "
	for i, id := range list {
		if i > 0 {
			c.Text += ", "
		}
		c.Text += id
	}
	if n := len(ids) - len(list); n > 0 {
		c.Text += fmt.Sprintf(" and %d more", n)
	}
	c.Text += "."
	return c
}

// notes says what was taken for granted, and what is worth a thought, once each.
func (r *Result) notes() {
	add := func(format string, a ...any) { r.Notes = append(r.Notes, fmt.Sprintf(format, a...)) }
	if r.FirstSays != "" {
		add("The rota begins in winter %d: %s.", r.First, r.FirstSays)
	}
	for _, s := range r.LeftOut {
		add("%s.", s)
	}
	if len(r.Sections) == 0 && len(r.LeftOut) > 0 {
		return
	}
	if len(r.Sections) == 0 {
		add("No hedge is managed by coppicing or laying and no grove is coppiced: set manage to coppice or lay on what may be cut.")
		return
	}
	if r.NoLogs {
		add("Logs are not among the holding's uses, so none are kept for the stove: put logs among the uses if the wood is to heat the house.")
	} else if r.Heat.WantedKWh <= 0 {
		add("The heat wanted is not stated (heat_kwh_per_year), so the rota aims at even logs only.")
	}
	said := map[string]bool{}
	for i := range r.Sections {
		s := &r.Sections[i]
		for _, n := range s.Notes {
			if key := s.Feature.ID + n; !said[key] {
				said[key] = true
				add("%s (%s): %s.", s.Feature.Label(), s.ID, n)
			}
		}
		if s.BornFrom != planner.User && !said[s.Feature.ID+s.BornSays] {
			said[s.Feature.ID+s.BornSays] = true
			add("%s: %s.", s.Feature.Label(), s.BornSays)
		}
	}
	r.standingNotes(add)
	r.useNotes(add)
	for _, c := range r.Conflicts {
		r.Notes = append(r.Notes, c.Message)
	}
}

// standingNotes doubts crops that nobody has measured.
func (r *Result) standingNotes(add func(string, ...any)) {
	limit := figure("standing_greatest").Mid
	for i := range r.Sections {
		s := &r.Sections[i]
		last := s.Born
		for _, w := range r.Cuts[i] {
			age := w - last
			last = w
			if t := s.Yield.Standing(float64(age)).Mid * 10; s.Hedge() && t > limit {
				add("%s is reckoned at %.0f t dry a km when cut in %d, and more than %.0f is doubtful: 25 to 50 is usual (Axe and others, 2017).", s.ID, t, w, limit)
				break
			}
		}
	}
}

// useNotes are short words on what chip does, where chip is used.
func (r *Result) useNotes(add func(string, ...any)) {
	uses := map[string]bool{}
	for _, w := range r.Winters {
		for _, n := range w.Needs {
			uses[n.Use] = true
		}
	}
	if uses[UseMulch] {
		add("Chip lies on the surface and is never dug in: dug in it takes nitrogen from the plants (5 to 10 kg a tonne of dry chip in the first year, common practice). Keep it 0.1 m clear of stems. On clay it keeps the top from cracking but stays wet in winter, on sand it holds water (common practice).")
	}
	if uses[UseBedding] {
		add("Chip for bedding is under 30 percent moisture for cattle and 20 or less for sheep (Hybu Cig Cymru 2005-08; CIIRPO and Idele 2017-20). Used bedding comes back to the compost as nitrogen.")
	}
	if uses[UseCompost] {
		add("For %.1f m3 of green stuff, %.1f m3 of chip by two parts to one (common practice), or %.1f m3 for a carbon to nitrogen ratio of 30 (Cornell University; grass clippings and own chip from NRAES-54, from memory). Two to one comes to a ratio of %.0f and %.0f percent moisture.",
			r.Browns.GreenM3, r.Browns.PracticeM3, r.Browns.FormulaM3, r.Browns.PracticeCN, r.Browns.PracticeMoisture)
	}
	left := 0.0
	for _, w := range r.Winters {
		left += w.Left.Mid
	}
	if left > 0 {
		add("What nobody wants lies as a dead hedge or a heap. It is not counted as compost: branches left in a heap take decades to rot (beech of 1 to 10 cm some 18 years, Müller-Using and Bartsch 2009).")
	}
	said := map[string]bool{}
	for _, w := range r.Woods {
		for _, k := range w.KeptOut {
			if !said[k] {
				said[k] = true
				add("%s: %s.", w.Name, k)
			}
		}
	}
}
