package check

import (
	"fmt"
	"sync"

	"quickthorn/planner/species"
)

// ranked keeps what the catalogue ranked for a place and a purpose, since the rules ask the same of many plants in a row. The zero
// value is ready; it is safe for concurrent use.
type ranked struct {
	mu sync.Mutex
	by map[string][]species.Ranked
}

// rank is Catalogue.Rank, worked out once for each question of a run. The list must not be altered.
func (p *Pass) rank(want species.Want) []species.Ranked {
	key := fmt.Sprintf("%+v", want)
	r := &p.Shared.ranked
	r.mu.Lock()
	defer r.mu.Unlock()
	list, known := r.by[key]
	if !known {
		if r.by == nil {
			r.by = map[string][]species.Ranked{}
		}
		list = p.Catalogue.Rank(want)
		r.by[key] = list
	}
	return list
}
