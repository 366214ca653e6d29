package planner

import "encoding/json"

// An Edit is whole features put or deleted, so that it can be taken back without knowing what it meant. First the features of
// Delete go, then those of Put come: one whose id is there replaces it where it stands, any other goes to the end.
type Edit struct {
	Note   string            `json:"note"`
	Put    []json.RawMessage `json:"put"`    // GeoJSON features, each with its id
	Delete []string          `json:"delete"` // ids
	// Places has, for each of Put, its place in the list of features once the edit is made, from 0, or -1. A feature with a place
	// replaces nothing and comes in as it is, so that what was deleted goes back to where it was. nil: no places. Only inverses
	// need it.
	Places []int `json:"places,omitempty"`
}
