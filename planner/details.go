package planner

// The typed properties of every kind. Zero means "not stated" wherever the table of kinds has no default; Feature.Stated
// tells a stated zero apart. Lengths are metres, bearings degrees from true north, winters the year in which they start.

// Share is one part of a mix: a species by any of its names, and its percent.
type Share struct {
	Species      string  `json:"species"`
	SharePercent float64 `json:"share_percent"`
}

// Tree is one entry of an orchard's or row's trees: how many (Count) or what share of them.
type Tree struct {
	Species      string  `json:"species"`
	Cultivar     string  `json:"cultivar,omitempty"`
	Rootstock    string  `json:"rootstock,omitempty"`
	Form         string  `json:"form,omitempty"`
	Count        int     `json:"count,omitempty"`
	SharePercent float64 `json:"share_percent,omitempty"`
}

// BeltRow is one row of a windbreak, from the windward side in.
type BeltRow struct {
	Mix      []Share // a species alone is a mix of one
	SpacingM float64 // 0: the catalogue's
}

// Cut is a winter that the user pins or forbids, for the whole length or from one chainage to another.
type Cut struct {
	Winter int
	FromM  float64
	ToM    float64 // 0: to the end
}

// Sward is a plant seen growing in the field, with its share where it was estimated (0: not).
type Sward struct {
	Species string
	Percent float64
}

// Ground is what parcels and ground features say of the land.
type Ground struct {
	Moisture     Moisture `prop:"moisture"`
	Soil         Soil     `prop:"soil"`
	Shrinkable   string   `prop:"shrinkable"` // unknown, yes, no
	PH           float64  `prop:"ph"`
	PeatDepthM   float64  `prop:"peat_depth_m"`
	Sward        []Sward  `prop:"sward"`
	SlopePercent float64  `prop:"slope_percent"`
	FallsToDeg   float64  `prop:"falls_to_deg"`
	Exposure     Exposure `prop:"exposure"`
}

// Parcel is a field: its ground, and what grazes it.
type Parcel struct {
	Ground
	GrazedBy []string `prop:"grazed_by"`
}

// Patch is a `ground` feature: it overrides the parcel where it says something.
type Patch struct{ Ground }

// Bed is cultivated ground that wants light.
type Bed struct {
	Use        string  `prop:"use"`
	LightHours float64 `prop:"light_hours"`
}

// Protected is a place that must not be planted.
type Protected struct {
	Because string `prop:"because"`
}

// Building stands on the holding.
type Building struct {
	HeightM    float64 `prop:"height_m"`
	Dwelling   bool    `prop:"dwelling"`
	WantsLight bool    `prop:"wants_light"`
}

// Watercourse is a stream or a pond.
type Watercourse struct {
	WidthM float64 `prop:"width_m"`
}

// Ditch is an open field ditch.
type Ditch struct {
	WidthM    float64 `prop:"width_m"`
	CleanedBy string  `prop:"cleaned_by"`
}

// Drain is a buried field drain.
type Drain struct{}

// Service is a buried service.
type Service struct {
	Carries string `prop:"carries"`
}

// OverheadLine is a line of wires; ClearanceM is what the operator says, 0 where nobody asked yet.
type OverheadLine struct {
	VoltageKV  float64 `prop:"voltage_kv"`
	ClearanceM float64 `prop:"clearance_m"`
}

// Way is a road, track or path.
type Way struct {
	WidthM float64 `prop:"width_m"`
	Public bool    `prop:"public"`
}

// Septic is a septic tank or its drainage field.
type Septic struct {
	Part string `prop:"part"`
}

// Well is a well or borehole.
type Well struct{}

// Fence is a fence or a wall.
type Fence struct {
	Stockproof bool    `prop:"stockproof"`
	HeightM    float64 `prop:"height_m"`
}

// Gateway is an opening that is kept open.
type Gateway struct {
	WidthM float64 `prop:"width_m"`
}

// Screen is an artificial windbreak of no width.
type Screen struct {
	HeightM        float64 `prop:"height_m"`
	DensityPercent float64 `prop:"density_percent"`
	Until          int     `prop:"until"`
}

// Hedge is an existing hedge or one to be planted.
type Hedge struct {
	Mix         []Share `prop:"mix"` // `species` alone is a mix of one
	Rows        int     `prop:"rows"`
	RowGapM     float64 `prop:"row_gap_m"` // 0: the rule set's
	PerMetre    float64 `prop:"per_metre"` // 0: the rule set's
	Stock       string  `prop:"stock"`
	HeightM     float64 `prop:"height_m"` // planned: 2 where not stated; existing: 0 where not stated
	WidthM      float64 `prop:"width_m"`  // planned: 1.5 where not stated; existing: 0 where not stated
	BaseM       float64 `prop:"base_m"`
	RaisedM     float64 `prop:"raised_m"`
	TreesEveryM float64 `prop:"trees_every_m"`
	TreeMix     []Share `prop:"tree_mix"`
	FillMix     []Share `prop:"fill_mix"`
	FillPerM    float64 `prop:"fill_per_metre"` // 0: the rule set's
	LastCut     int     `prop:"last_cut"`
	Manage      string  `prop:"manage"`  // trim, coppice, lay, leave
	Sheeted     bool    `prop:"sheeted"` // thorns pruned to the ground and covered with a sheet
	CutIn       []Cut   `prop:"cut_in"`
	NotIn       []Cut   `prop:"not_in"`
}

// Gap is a break drawn in an existing hedge.
type Gap struct {
	WidthM float64 `prop:"width_m"` // of a gap drawn as a point
}

// Windbreak is a belt of one or more rows; the drawn line is the windward row.
type Windbreak struct {
	Rows     []BeltRow `prop:"rows"`
	RowGapM  float64   `prop:"row_gap_m"`
	Side     string    `prop:"side"` // auto, left, right
	Purpose  string    `prop:"purpose"`
	Protects []string  `prop:"protects"`
	HeightM  float64   `prop:"height_m"`
	RaisedM  float64   `prop:"raised_m"`
	Stock    string    `prop:"stock"`
}

// Block is an orchard or a grove: trees on a lattice (or scattered) inside a polygon.
type Block struct {
	Pattern     string  `prop:"pattern"`
	SpacingM    float64 `prop:"spacing_m"`     // 0: from the rootstock or the catalogue
	RowSpacingM float64 `prop:"row_spacing_m"` // 0: as SpacingM
	BearingDeg  float64 `prop:"bearing_deg"`
	Auto        bool    // bearing_deg is "auto" or not stated
	MarginM     float64 `prop:"margin_m"` // where not stated (Feature.Stated): half the spacing
	Trees       []Tree  `prop:"trees"`
	Mix         []Share `prop:"mix"`
	RaisedM     float64 `prop:"raised_m"`
	Stock       string  `prop:"stock"`
	Manage      string  `prop:"manage"` // groves: leave, coppice
	LastCut     int     `prop:"last_cut"`
	CutIn       []Cut   `prop:"cut_in"`
	NotIn       []Cut   `prop:"not_in"`
	HeightM     float64 `prop:"height_m"` // existing
}

// Row is one line of plants: bush fruit, canes, nuts, a line of trees.
type Row struct {
	Mix      []Share `prop:"mix"`
	Trees    []Tree  `prop:"trees"`
	SpacingM float64 `prop:"spacing_m"` // 0: the catalogue's
	RaisedM  float64 `prop:"raised_m"`
	Stock    string  `prop:"stock"`
	HeightM  float64 `prop:"height_m"` // existing
}

// Plant is a single tree or bush.
type Plant struct {
	Species   string  `prop:"species"`
	Cultivar  string  `prop:"cultivar"`
	Rootstock string  `prop:"rootstock"`
	Form      string  `prop:"form"`
	HeightM   float64 `prop:"height_m"`
	SpreadM   float64 `prop:"spread_m"`
	RaisedM   float64 `prop:"raised_m"`
	Stock     string  `prop:"stock"`
}
