package lists

import (
	"math"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// FeatureMulch is the chip that mulches what is planted of one feature: its own listed plants, and the fills of its gaps.
type FeatureMulch struct {
	Feature        *planner.Feature
	OwnM2, FillsM2 float64
	DepthM         float64
}

// OwnM3 and FillsM3 are the volumes of loose chip.
func (m FeatureMulch) OwnM3() float64 { return m.OwnM2 * m.DepthM }

// FillsM3 is the volume of loose chip for the fills.
func (m FeatureMulch) FillsM3() float64 { return m.FillsM2 * m.DepthM }

// MulchByFeature reckons the same mulch as the list's sundries, feature by feature in their order, so that it can be shared out by
// winter of planting. Features that take none are left out.
func MulchByFeature(p *planner.Plan, out *setout.Result) []FeatureMulch {
	depth, _ := mulchDepth(&p.Holding)
	alike := classes{}
	var list []FeatureMulch
	for _, l := range out.Layouts {
		strip := stripOf(l)
		var own, fills mulch
		for i := range l.Plants {
			q := &l.Plants[i]
			switch {
			case !q.Listed:
			case q.Use == setout.UseFill:
				fills.plant(q, alike.of(q), l, strip)
			default:
				own.plant(q, alike.of(q), l, strip)
			}
		}
		if m := (FeatureMulch{l.Feature, own.m2(), fills.m2(), depth}); m.OwnM2+m.FillsM2 > 0 {
			list = append(list, m)
		}
	}
	return list
}

// m2 is the ground that is mulched.
func (m *mulch) m2() float64 {
	sum := float64(m.trees)*CircleM2(treeCircleM) + float64(m.bushes)*CircleM2(bushCircleM) + m.closeM2
	for rows := 1; rows <= int(stripM/stripBareM); rows++ {
		sum += m.strips[rows] * math.Max(0, stripM-stripBareM*float64(rows))
	}
	return sum
}
