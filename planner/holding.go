package planner

import (
	"encoding/json"

	"github.com/paulmach/orb"
)

// Holding is the `holding` member of the plan file: what is said once for the whole place. Zero values of optional members
// mean "not stated"; the defaults are those of HoldingProps.
type Holding struct {
	Name            string                         `prop:"name"`
	Origin          *orb.Point                     `prop:"origin"` // longitude, latitude
	RuleSet         string                         `prop:"rule_set"`
	WindFromDeg     float64                        `prop:"wind_from_deg"`
	WindRose        []WindArm                      `prop:"wind_rose"`
	PlantingWinter  int                            `prop:"planting_winter"` // 0: not stated
	Browsing        []string                       `prop:"browsing"`
	SparePercent    float64                        `prop:"spare_percent"`
	Bundle          int                            `prop:"bundle"`
	HeatKWhPerYear  float64                        `prop:"heat_kwh_per_year"`
	StoveEfficiency float64                        `prop:"stove_efficiency"`
	ChipUse         *ChipUse                       `prop:"chip_use"`
	Uses            []string                       `prop:"uses"`
	Prices          json.RawMessage                `prop:"prices"`
	Pictures        json.RawMessage                `prop:"pictures"`
	Limits          map[string]map[string]OwnLimit `prop:"limits"`
	Accepted        []Accepted                     `prop:"accepted"`

	stated propSet
	wrong  propSet
}

// WindArm is one arm of a wind rose.
type WindArm struct {
	FromDeg float64 `json:"from_deg"`
	Percent float64 `json:"percent"`
	SpeedMS float64 `json:"speed_m_s"`
}

// ChipUse is the chip wanted each year.
type ChipUse struct {
	MulchDepthM    float64 `json:"mulch_depth_m"`
	BeddingM3      float64 `json:"bedding_m3"`
	CompostGreenM3 float64 `json:"compost_green_m3"`
	PathsM3        float64 `json:"paths_m3"`
}

// OwnLimit is a limit that the user set for this holding. It is written as a bare value, or as {"value": v, "reason": "..."}
// where a safety or legal limit is loosened.
type OwnLimit struct {
	Value  float64
	Text   string // where the limit is a word or a date
	Reason string
}

// Stated reports whether the file itself gives the member.
func (h *Holding) Stated(member string) bool { return h.stated.has(member) }

// Wrong reports whether the member was given in a form that could not be used.
func (h *Holding) Wrong(member string) bool { return h.wrong.has(member) }

// WorstWindDeg is the bearing the troublesome wind blows from where one direction is needed: the arm of the rose with the
// greatest percent times speed (the lower bearing on a tie), else WindFromDeg.
func (h *Holding) WorstWindDeg() float64 {
	best, bearing := -1.0, h.WindFromDeg
	for _, a := range h.WindRose {
		w := a.Percent * a.SpeedMS
		if w > best || w == best && a.FromDeg < bearing {
			best, bearing = w, a.FromDeg
		}
	}
	return bearing
}

// DefaultHolding is a holding whose every member has its documented default.
func DefaultHolding() Holding {
	return Holding{
		Name:            "Unnamed holding",
		RuleSet:         "general",
		WindFromDeg:     240,
		SparePercent:    10,
		Bundle:          25,
		StoveEfficiency: 0.75,
		Uses:            []string{"logs", "mulch", "compost", "bedding", "paths"},
	}
}
