package sheets

import (
	"quickthorn/planner/paper"
)

// notes are the pages behind the drawing: findings by number, names in full, cautions, and what found no room. first is how many pages
// stand before them.
func (r *renderer) notes(first int) []*paper.Page { return nil }
