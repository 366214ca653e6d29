package rules

// HedgeDefaults are what a rule set gives to a hedge whose plan does not say: the defaults of setting out.
type HedgeDefaults struct {
	Rows           int
	RowGapM        float64 // between the rows
	PerMetre       float64 // plants a metre, all rows together
	FillPerMetre   float64 // the same in a gap of an existing hedge
	CloseByLayingM float64 // below this length an opening is closed by laying a neighbour across
	GatewayClearM  float64 // no plant nearer to a gateway
	StemClear      float64 // in-row spacings kept from living stems at the ends of a gap
	TreeEveryM     float64 // hedgerow trees
	FenceM         float64 // fence from the hedge centre
	Split          Limit   // an opening that holds it leaves one hedge; one that does not makes two
}

// Hedge reads the defaults for hedges. An unknown one is 0; general has them all.
func (s *Set) Hedge() HedgeDefaults {
	v := func(rule, limit string) float64 { return s.find(key{rule, limit}).Value }
	return HedgeDefaults{
		Rows:           int(v("hedge.layout", "rows")),
		RowGapM:        v("hedge.layout", "row_gap_m"),
		PerMetre:       v("hedge.density", "per_metre"),
		FillPerMetre:   v("hedge.fill", "fill_per_metre"),
		CloseByLayingM: v("hedge.fill", "close_by_laying_below_m"),
		GatewayClearM:  v("hedge.fill", "gateway_clear_m"),
		StemClear:      v("hedge.fill", "stem_clear_spacings"),
		TreeEveryM:     v("hedge.trees", "tree_spacing_m"),
		FenceM:         v("hedge.fence", "fence_least_m"),
		Split:          s.find(key{"hedge.split", "gap_m"}),
	}
}
