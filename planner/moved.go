package planner

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"quickthorn/geo"
	"quickthorn/geo/interchange"
)

// MovedTo is the plan with all that is drawn carried to another place on earth: what lay so many metres east and north of the old
// origin lies as far from the new one, given as longitude and latitude in degrees, so that lengths, areas and bearings from the
// meridian of the origin stay what they were. It is for land that was drawn before anybody knew where it lies. Positions have 9
// decimals, 0.1 mm on the ground; heights and all properties stay; a bbox would be stale and goes. Positions off the globe stay where
// they are, for the reader to report.
//
// An origin that is no place, or so near a pole that the plan does not fit beside it, is refused with a *Problem. The plan itself
// stays as it is. Cost: the whole plan is written and read once.
func (p *Plan) MovedTo(origin orb.Point) (*Plan, error) {
	to, err := geo.NewFrame(origin)
	if err != nil || math.Abs(origin[1]) > mostLatitude {
		return nil, &Problem{Where: "holding.origin", Property: "origin", What: fmt.Sprintf("Nothing can be moved to [%g, %g].", origin[0], origin[1]),
			Mend: fmt.Sprintf("Give longitude and latitude in degrees, longitude first, within %d degrees of the equator.", mostLatitude), Err: err}
	}
	from := p.Frame
	p, err = p.reread()
	if err != nil {
		return nil, err
	}
	d := *p.doc
	d.items = append([]item(nil), d.items...)
	for i, it := range d.items {
		raw := it.raw()
		given := interchange.Find(raw, "geometry")
		if !interchange.IsObject(raw) || !interchange.IsObject(given) {
			continue
		}
		geometry, bad := rewritten(given, func(b []byte, at orb.Point, rest []byte) ([]byte, *Problem) {
			if math.Abs(at[0]) <= 180 && math.Abs(at[1]) <= 90 {
				at = to.ToLonLat(from.ToLocal(at))
			}
			return appendPosition(b, at, rest), nil
		})
		if bad != nil {
			return nil, bad
		}
		moved := dropMember(setMember(raw, "geometry", geometry), "bbox")
		text := append(append(append([]byte(nil), it.text[:it.from]...), moved...), it.text[it.to:]...)
		d.items[i] = newItem(text)
	}
	holding := setMember(p.HoldingJSON(), "origin", interchange.AppendPosition(nil, origin))
	return Read(dropMember(d.text(holding), "bbox"), d.again())
}

// mostLatitude keeps plans off the poles, where there is no west.
const mostLatitude = 85
