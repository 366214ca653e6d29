package setout

import "math"

// rowSpacing is the catalogue's usual spacing in the row for a use: the widest of what is planted, so that none stands too
// near. It is 0 where the catalogue knows none for any of them.
func (m *maker) rowSpacing(k kinds, use Use) float64 {
	widest := 0.0
	for _, o := range k.list {
		if o.species == nil {
			continue
		}
		if r, ok := m.cat.Spacing(o.species, catalogueUse(use), o.rootstock, o.form); ok && r.InRow.Known {
			widest = math.Max(widest, r.InRow.Usual)
		}
	}
	return widest
}
