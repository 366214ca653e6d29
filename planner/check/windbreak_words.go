package check

import "quickthorn/planner"

// quotedAtStart is what a sentence that begins with a feature calls it.
func quotedAtStart(f *planner.Feature) string { return upperFirst(string(f.Kind)) + " " + quoted(f) }

// weaker puts two sources together and keeps the lesser confidence, for a figure that rests on both.
func weaker(a, b planner.Source) planner.Source {
	if b.Text == "" || b.Text == a.Text {
		return a
	}
	out := a
	out.Text = a.Text + "; " + b.Text
	if b.Confidence.Weaker(a.Confidence) {
		out.Confidence = b.Confidence
	}
	return out
}
