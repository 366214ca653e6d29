package planner

import "encoding/json"

// An Edit is whole features put or deleted, so that it can be taken back without knowing what it meant.
type Edit struct {
	Note   string            `json:"note"`
	Put    []json.RawMessage `json:"put"`    // GeoJSON features, each with its id
	Delete []string          `json:"delete"` // ids
}
