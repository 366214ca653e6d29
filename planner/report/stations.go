package report

import "quickthorn/planner/setout"

// Stations are the points to be pegged out, each with its list area. SetOut comes first.
func (r *Report) Stations(points setout.Points) []setout.Station {
	return setout.Stations(r.Plan, r.Out, points, r.Assigned.Of)
}
