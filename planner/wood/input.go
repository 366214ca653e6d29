package wood

import (
	"quickthorn/planner"
	"quickthorn/planner/rules"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
	"quickthorn/planner/species"
)

// Input is what a balance is made from. Plan, Out and Catalogue are needed; nothing is altered.
type Input struct {
	Plan      *planner.Plan
	Site      *site.Site
	Out       *setout.Result
	Catalogue *species.Catalogue
	Set       *rules.Set
	Options
}

// Options are what the caller may choose; zero values are the defaults.
type Options struct {
	SectionM   float64  // greatest length of a section, 50
	Winters    int      // of the rota, 30
	LogM       float64  // length of the logs, 0.33
	Stacking   Stacking // Safe
	CompostMix bool     // browns by the mix formula in place of two parts to one
	Displaces  string   // what the wood stands in for: a fuel of fuels.csv, "kerosene"
	MulchYears int      // how long new mulch is topped up, 3
	StoreKWh   float64  // useful heat in logs that are ready in the store when the rota begins, 0
}

func (o Options) filled() Options {
	if o.SectionM <= 0 {
		o.SectionM = SectionM
	}
	if o.Winters <= 0 {
		o.Winters = 30
	}
	if o.LogM <= 0 {
		o.LogM = 0.33
	}
	if o.Stacking == "" {
		o.Stacking = Safe
	}
	if o.Displaces == "" {
		o.Displaces = "kerosene"
	}
	if o.MulchYears <= 0 {
		o.MulchYears = int(figure("mulch_years").Mid)
	}
	return o
}
