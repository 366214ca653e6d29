package check

import (
	"fmt"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

func catalogueNames() planner.Source {
	return planner.Source{Text: "the catalogue's names: Stace's New Flora and PLANTATT (Hill, Preston and Roy 2004) for wild plants, national fruit lists for cultivars",
		Confidence: planner.Derived}
}

func inputSpecies() *Rule {
	return &Rule{
		ID: "input.species", Title: "Names of plants are in the catalogue and fit one species", Severity: planner.Stop,
		Why: "A name that fits several species, such as birch, hides whether the plant bears wet ground or shuns it; an unknown one has no size, no " +
			"ground and no poison on record. The plants are counted and listed under the name as you wrote it, but most rules cannot look at them. " +
			"An unknown rootstock is a warning, since spacing and wet ground hang on it; an unknown cultivar is a note, since there are thousands more than anyone lists.",
		Sources: []planner.Source{catalogueNames()},
		Run: func(p *Pass) {
			p.remarks(catalogueNames())
			for _, f := range p.Plan.Features {
				p.namesOf(f)
			}
		},
	}
}

// A named is one name of a plant in a feature, and where it stands there.
type named struct {
	property, name, cultivar, rootstock string
}

// namedIn lists the names of plants in a feature in the order they are written; each once.
func namedIn(f *planner.Feature) []named {
	var out []named
	seen := map[named]bool{}
	add := func(n named) {
		if !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	mix := func(property string, list []planner.Share) {
		for _, s := range list {
			add(named{property: property, name: s.Species})
		}
	}
	trees := func(list []planner.Tree) {
		for _, t := range list {
			add(named{"trees", t.Species, t.Cultivar, t.Rootstock})
		}
	}
	// `species` alone is read as a mix of one.
	whole := "mix"
	if f.Stated("species") {
		whole = "species"
	}
	switch d := f.Detail.(type) {
	case *planner.Hedge:
		mix(whole, d.Mix)
		mix("tree_mix", d.TreeMix)
		mix("fill_mix", d.FillMix)
	case *planner.Windbreak:
		for _, r := range d.Rows {
			mix("rows", r.Mix)
		}
	case *planner.Block:
		trees(d.Trees)
		mix(whole, d.Mix)
	case *planner.Row:
		trees(d.Trees)
		mix(whole, d.Mix)
	case *planner.Plant:
		if d.Species != "" {
			add(named{"species", d.Species, d.Cultivar, d.Rootstock})
		}
	}
	return out
}

func (p *Pass) namesOf(f *planner.Feature) {
	said := map[string]bool{}
	for _, n := range namedIn(f) {
		if f.Wrong(n.property) {
			continue
		}
		m := p.Catalogue.Find(n.name)
		if m.Species == nil {
			if !said[n.name] {
				said[n.name] = true
				p.unclear(f, n, m)
			}
			continue
		}
		p.cultivarOf(f, n, m.Species)
		p.rootstockOf(f, n, m.Species)
	}
	switch d := f.Detail.(type) {
	case *planner.Parcel:
		p.swardOf(f, d.Sward)
	case *planner.Patch:
		p.swardOf(f, d.Sward)
	}
}

// unclear reports a name that fits several species, or none.
func (p *Pass) unclear(f *planner.Feature, n named, m species.Match) {
	name := prose.Short(prose.Clean(n.name), 60)
	say := ""
	if m.Ambiguous != nil {
		say = fmt.Sprintf("%q in %s fits several species: %s. What tells them apart: %s. Write the one you mean.",
			name, quoted(f), listWords(fullNames(m.Ambiguous.Species), "and"), strings.TrimSuffix(m.Ambiguous.TellApart, "."))
	} else {
		say = fmt.Sprintf("%q in %s is not in the catalogue.", name, quoted(f))
		if len(m.Nearest) > 0 {
			say += " The nearest names are " + listWords(fullNames(m.Nearest), "and") + "."
		}
		say += " Write one of the catalogue's names; `quickthorn species` lists them."
	}
	out := planner.Finding{Severity: planner.Stop, Features: []string{f.ID}, Place: n.property + ":" + n.name, Message: say, Source: catalogueNames()}
	out.Fix = p.rename(f, n, m)
	p.Report(pointTo(out, f))
}

// rename is the fix for a misspelt name: only where the plan's only word for it is `species` itself, and one name of the
// catalogue is nearer than all others and differs by no more than two letters.
func (p *Pass) rename(f *planner.Feature, n named, m species.Match) *planner.Fix {
	if n.property != "species" || m.Ambiguous != nil || len(m.Nearest) == 0 {
		return nil
	}
	best, second, word := 99, 99, ""
	for _, s := range m.Nearest {
		near, w := 99, ""
		for _, e := range append(append([]string(nil), s.English...), s.Botanical) {
			if d := lettersApart(strings.ToLower(n.name), strings.ToLower(e)); d < near {
				near, w = d, e
			}
		}
		if near < best {
			best, second, word = near, best, w
		} else if near < second {
			second = near
		}
	}
	if best > 2 || second <= best {
		return nil
	}
	put, err := p.Plan.Change(f, map[string]any{"species": word})
	if err != nil {
		return nil
	}
	return &planner.Fix{Say: "Write " + word, Put: rawList(put)}
}

func (p *Pass) cultivarOf(f *planner.Feature, n named, s *species.Species) {
	if strings.TrimSpace(n.cultivar) == "" || f.Wrong("cultivar") {
		return
	}
	c, nearest := p.Catalogue.Cultivar(s, n.cultivar)
	if c != nil {
		return
	}
	name := prose.Short(prose.Clean(n.cultivar), 60)
	say := fmt.Sprintf("The cultivar %q in %s is not among the catalogue's for %s, so what pollinates it is not known.", name, quoted(f), s.Name())
	if len(nearest) > 0 {
		say += " The nearest names are " + listWords(nearest, "and") + "."
	}
	p.Report(pointTo(planner.Finding{Severity: planner.Note, Features: []string{f.ID}, Place: n.property + ":" + s.ID + ":" + n.cultivar,
		Message: say + " If it is right, ask the nursery for its flowering group.", Source: catalogueNames()}, f))
}

func (p *Pass) rootstockOf(f *planner.Feature, n named, s *species.Species) {
	if strings.TrimSpace(n.rootstock) == "" || f.Wrong("rootstock") {
		return
	}
	r, nearest := p.Catalogue.Rootstock(s, n.rootstock)
	if r != nil {
		return
	}
	name := prose.Short(prose.Clean(n.rootstock), 60)
	say := fmt.Sprintf("The rootstock %q in %s is not among the catalogue's for %s, so its size, its spacing and how it bears wet ground are not known.", name, quoted(f), s.Name())
	if other, _ := p.Catalogue.Rootstock(nil, n.rootstock); other != nil {
		var for_ []string
		for _, o := range other.Species {
			for_ = append(for_, o.Name())
		}
		say = fmt.Sprintf("The rootstock %s in %s is for %s, not for %s.", other.Name, quoted(f), listWords(for_, "and"), s.Name())
	}
	if len(nearest) > 0 {
		say += " The nearest names are " + listWords(nearest, "and") + "."
	}
	p.Report(pointTo(planner.Finding{Severity: planner.Warn, Features: []string{f.ID}, Place: n.property + ":" + s.ID + ":" + n.rootstock,
		Message: say + " Check it against the nursery's label.", Source: catalogueNames()}, f))
}

// swardOf notes field plants whose moisture value is not known.
func (p *Pass) swardOf(f *planner.Feature, plants []planner.Sward) {
	if len(plants) == 0 || f.Wrong("sward") {
		return
	}
	e := site.EstimateSward(p.Catalogue, plants)
	if len(e.Unknown) == 0 {
		return
	}
	var names []string
	for _, u := range e.Unknown {
		names = append(names, prose.Short(prose.Clean(u), 60))
	}
	say := fmt.Sprintf("Of the plants seen in %s the moisture value of %s is not known, so it was left out of the estimate.", quoted(f), listWords(names, "and"))
	if e.Moisture == "" {
		say = fmt.Sprintf("Of the plants seen in %s none has a known moisture value (%s), so they say nothing about how wet it is. State `moisture` itself.", quoted(f), listWords(names, "and"))
	}
	p.Report(pointTo(planner.Finding{Severity: planner.Note, Features: []string{f.ID}, Place: "sward", Message: say, Source: e.Source, Count: len(names)}, f))
}

// fullNames are species by English and botanical name.
func fullNames(list []*species.Species) []string {
	var out []string
	for _, s := range list {
		if s.Name() == s.Botanical {
			out = append(out, s.Botanical)
			continue
		}
		out = append(out, s.Name()+" ("+s.Botanical+")")
	}
	return out
}

// pointTo sets where to look: the first position drawn.
func pointTo(out planner.Finding, f *planner.Feature) planner.Finding {
	if at, ok := f.Shape.First(); ok && !out.HasAt {
		return At(out, at)
	}
	return out
}

// lettersApart is how many letters have to be put in, left out or changed to make b of a.
func lettersApart(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 80 || len(y) > 80 {
		return 99
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		last := row[0]
		row[0] = i + 1
		for j := range y {
			cost := last
			if x[i] != y[j] {
				cost = 1 + min(last, row[j], row[j+1])
			}
			last, row[j+1] = row[j+1], cost
		}
	}
	return row[len(y)]
}
