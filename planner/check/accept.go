package check

import (
	"fmt"
	"math"

	"quickthorn/planner"
)

// accept marks the findings that the user lives with. An acceptance lapses, visibly, when the measured value has become
// worse than when it was given, or when the limit or its source has changed since.
func accept(found []planner.Finding, accepted []planner.Accepted) {
	byKey := make(map[string]planner.Accepted, len(accepted))
	for _, a := range accepted {
		byKey[a.Key] = a
	}
	for i := range found {
		a, ok := byKey[found[i].Key]
		if !ok {
			continue
		}
		if why := lapsed(found[i], a); why != "" {
			found[i].Lapsed = why
			found[i].Message += " It was accepted before (\"" + a.Reason + "\"), but " + why + "."
			continue
		}
		found[i].Accepted = &a
	}
}

// slack is how much a measured value may differ before it counts as changed: a millimetre, or a thousandth.
func slack(v float64) float64 { return math.Max(0.001, math.Abs(v)*0.001) }

func lapsed(f planner.Finding, a planner.Accepted) string {
	if a.Measured != nil && f.Measured != nil {
		d := *f.Measured - *a.Measured
		if f.Worse == "less" {
			d = -d
		}
		if d > slack(*a.Measured) {
			return fmt.Sprintf("it has become worse since: %.4g against %.4g then", *f.Measured, *a.Measured)
		}
	}
	if a.Limit != nil && f.Limit != nil && math.Abs(*f.Limit-*a.Limit) > slack(*a.Limit) {
		return fmt.Sprintf("the limit has changed since: %.4g against %.4g then", *f.Limit, *a.Limit)
	}
	if a.Source != "" && a.Source != f.Source.String() && a.Source != f.Source.Text {
		return "the source of the limit has changed since"
	}
	return ""
}
