package species

import (
	"io/fs"

	"quickthorn/planner"
)

// A SwardPlant is a herb, grass or rush whose presence tells how wet a field is.
type SwardPlant struct {
	Botanical  string
	English    []string
	EllenbergF Num
}

func (c *Catalogue) readSward(fsys fs.FS, sources map[string]planner.Source, faults *[]error) error {
	t, done, err := openTable(fsys, "sward.csv", []string{"botanical", "english", "ellenberg_f"}, sources, faults)
	if err != nil {
		return err
	}
	defer done()
	for t.next() {
		p := &SwardPlant{Botanical: t.text("botanical"), English: t.list("english"), EllenbergF: t.num("ellenberg_f", 1, 12)}
		if !p.EllenbergF.Known {
			t.bad("ellenberg_f", "a figure is needed")
		}
		for _, name := range append([]string{p.Botanical}, p.English...) {
			key := fold(name)
			if _, twice := c.sward[key]; twice || c.names[key] != nil {
				t.bad("english", name+" is already the name of another plant")
			}
			c.sward[key] = p
		}
		c.swardPlants = append(c.swardPlants, p)
	}
	return nil
}

// SwardPlants lists the plants of the sward, driest first as in the file. The slice must not be altered.
func (c *Catalogue) SwardPlants() []*SwardPlant { return c.swardPlants }

// SwardF is the Ellenberg F of a plant seen growing on the ground, by botanical or English name: the herbs of sward.csv, and the
// woody species. Unknown: the name is not there, fits several, or has no F; nearest then names up to five herbs.
func (c *Catalogue) SwardF(name string) (f Num, nearest []string) {
	if p := c.sward[fold(name)]; p != nil {
		return p.EllenbergF, nil
	}
	if s := c.names[fold(name)]; s != nil && s.EllenbergF.Known {
		return s.EllenbergF, nil
	}
	var names []string
	for _, p := range c.swardPlants {
		names = append(names, p.English[0])
	}
	return Num{}, nearestNames(name, names)
}

// MoistureOf turns the mean Ellenberg F of a sward, weighted by cover, into a class of ground: below 4.5 dry, below 5.5 moist,
// below 6.5 damp, up to 8.5 wet, above it waterlogged (ours, from the definitions of F in PLANTATT Table 10). A mean that falls
// on a limit takes the wetter class, but 8.5 itself is still wet.
func MoistureOf(meanF float64) planner.Moisture {
	const slack = 1e-9 // a mean that falls on a limit may come a hair low
	switch {
	case meanF < 4.5-slack:
		return planner.Dry
	case meanF < 5.5-slack:
		return planner.Moist
	case meanF < 6.5-slack:
		return planner.Damp
	case meanF <= 8.5+slack:
		return planner.Wet
	}
	return planner.Waterlogged
}
