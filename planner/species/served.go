package species

import "quickthorn/planner"

// Need is what a fruiting plant needs in order to crop.
type Need string

// The needs. NeedNone: no crop is looked for, or one plant is enough. NeedBetter: crops alone, lightly or better with another.
const (
	NeedNone    Need = "none"
	NeedBetter  Need = "better"
	NeedPartner Need = "partner"
	NeedUnknown Need = "unknown"
)

// NeedOf says what f needs, from its cultivar's fertility, else from the default of its species.
func NeedOf(f Fruiting) (Need, planner.Source) {
	if v := f.Cultivar; v != nil && v.Fertility.Known {
		switch v.Fertility.V {
		case "self-fertile":
			return NeedNone, v.Fertility.Source
		case "partly":
			return NeedBetter, v.Fertility.Source
		}
		return NeedPartner, v.Fertility.Source
	}
	if !f.Species.Crop && f.Cultivar == nil {
		return NeedNone, planner.Source{}
	}
	switch w := f.Species.NeedsPartner; w.V {
	case "yes":
		return NeedPartner, w.Source
	case "better":
		return NeedBetter, w.Source
	case "no":
		return NeedNone, w.Source
	}
	return NeedUnknown, planner.Source{}
}

// Service is how well a plant is served by those within reach.
type Service string

// The services, best first. Light: it crops lightly, or its only donors are doubtful.
const (
	Served        Service = "served"
	Light         Service = "light"
	Unserved      Service = "unserved"
	ServedUnknown Service = "unknown"
)

// A Serving is the answer of Serve.
type Serving struct {
	Service  Service
	Why      string
	Source   planner.Source
	Partners []int // indexes into the plants within reach that work
}

// Serve weighs the plants within reach of f, itself left out. One working donor serves it. A triploid too needs one; that the
// donor is served in turn (three cultivars in all, Royal Horticultural Society) follows when every plant of the orchard is asked.
func Serve(f Fruiting, reach []Fruiting) Serving {
	need, src := NeedOf(f)
	out := Serving{Source: src}
	doubt, best := Cross{}, Cross{}
	for i, d := range reach {
		c := Compatible(f, d)
		switch {
		case c.Setting.Works():
			out.Partners = append(out.Partners, i)
			if best.Setting != Sets {
				best = c
			}
		case c.Setting == SetsBadly || (c.Setting == SetUnknown && doubt.Setting != SetsBadly):
			doubt = c
		}
	}
	switch {
	case len(out.Partners) > 0:
		out.Service, out.Why, out.Source = Served, best.Why, best.Source
	case need == NeedNone:
		out.Service, out.Why = Served, f.Name()+" crops by itself"
	case need == NeedBetter:
		out.Service, out.Why = Light, f.Name()+" crops lightly by itself, better with a partner"
	case need == NeedUnknown:
		out.Service, out.Why = ServedUnknown, "whether "+f.Name()+" needs a partner is not known"
	case doubt.Setting == SetsBadly:
		out.Service, out.Why, out.Source = Light, doubt.Why, doubt.Source
	case doubt.Setting == SetUnknown && doubt.Why != "":
		out.Service, out.Why = ServedUnknown, doubt.Why
	default:
		out.Service, out.Why = Unserved, f.Name()+" needs pollen of another cultivar that flowers with it"
	}
	return out
}
