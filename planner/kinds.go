package planner

// Kind is what a feature is.
type Kind string

// The kinds of the vocabulary.
const (
	KindParcel       Kind = "parcel"
	KindGround       Kind = "ground"
	KindBed          Kind = "bed"
	KindProtected    Kind = "protected"
	KindBuilding     Kind = "building"
	KindWatercourse  Kind = "watercourse"
	KindDitch        Kind = "ditch"
	KindDrain        Kind = "drain"
	KindService      Kind = "service"
	KindOverheadLine Kind = "overhead_line"
	KindRoad         Kind = "road"
	KindTrack        Kind = "track"
	KindPath         Kind = "path"
	KindSeptic       Kind = "septic"
	KindWell         Kind = "well"
	KindFence        Kind = "fence"
	KindWall         Kind = "wall"
	KindGateway      Kind = "gateway"
	KindScreen       Kind = "screen"
	KindHedge        Kind = "hedge"
	KindGap          Kind = "gap"
	KindWindbreak    Kind = "windbreak"
	KindOrchard      Kind = "orchard"
	KindGrove        Kind = "grove"
	KindRow          Kind = "row"
	KindPlant        Kind = "plant"
)

// PropType is the form a property's value takes.
type PropType string

// The forms of values. What each accepts is written in readers (props_read.go) and in the JSON Schema (schema.go) from this list.
const (
	TypeNumber  PropType = "number"
	TypeInteger PropType = "integer"
	TypeText    PropType = "text"
	TypeYesNo   PropType = "yes or no"      // true, false, "yes", "no"
	TypeChoice  PropType = "choice"         // one of Allowed
	TypeChoices PropType = "choices"        // a list of Allowed, each once
	TypeWinter  PropType = "winter"         // a year
	TypeBearing PropType = "bearing"        // 0 to 360, or "auto" where the default is "auto"
	TypeID      PropType = "id"             // the id of a feature: text, or a number that counts as text
	TypeIDs     PropType = "ids"            // a list of feature ids
	TypeSpecies PropType = "species"        // a name; on a kind with a mix it is a mix of one
	TypeMix     PropType = "mix"            // [{species, share_percent}], sum 100 within 0.5
	TypeTrees   PropType = "trees"          // [{species, cultivar, rootstock, form, count | share_percent}]
	TypeRows    PropType = "windbreak rows" // [{species | mix, spacing_m}]
	TypeCuts    PropType = "cuts"           // [winter | {winter, from_m, to_m}]
	TypeSward   PropType = "sward"          // [name | {species, percent}]
)

// A Prop is one property of a kind: the reader, the JSON Schema, the forms of the page and the reference in the README all
// come from it.
type Prop struct {
	Name    string
	Type    PropType
	Unit    string // m, degrees, percent, hours, kV, per metre, or ""
	Default any    // nil where there is none or it is not fixed
	Else    string // where Default is nil: what holds when the property is not stated
	Allowed []string
	Least   float64 // numbers: least and greatest sensible value, both allowed; both 0 means no limit
	Most    float64
	Help    string
}

// A KindSpec is one row of the table of kinds.
type KindSpec struct {
	Kind       Kind
	Title      string   // in the user's words
	Help       string   // one line
	Geometries []string // GeoJSON types allowed
	Props      []Prop   // besides the common ones
	New        func() any
	Grows      bool // planted, or can be
}

const (
	point     = "Point"
	line      = "LineString"
	multiLine = "MultiLineString"
	polygon   = "Polygon"
	multiPoly = "MultiPolygon"
)

// Stock that grazes, and what browses: the closed lists of the vocabulary.
var (
	GrazingStock = []string{"cattle", "sheep", "horses", "goats", "pigs", "poultry"}
	Browsers     = []string{"rabbits", "hares", "roe", "red", "fallow", "voles"}
)

// CommonProps are the properties that every feature may have, `kind` aside.
func CommonProps() []Prop {
	return []Prop{
		{Name: "name", Type: TypeText, Else: "none", Help: "what you call it"},
		{Name: "notes", Type: TypeText, Else: "none", Help: "anything you want to remember"},
		{Name: "status", Type: TypeChoice, Allowed: []string{"existing", "planned"}, Else: "planned for what is still to be planted, existing for all else", Help: "whether it stands there now"},
		{Name: "planted", Type: TypeWinter, Else: "none", Help: "winter of planting, by the year it starts in"},
		{Name: "area", Type: TypeID, Else: "where it lies", Help: "id of the list area it counts to"},
	}
}

// Kinds is the table of kinds in the order menus show them. The slice is made anew at each call and may be altered.
func Kinds() []KindSpec { return append(landKinds(), growingKinds()...) }

// SpecOf is the row of the table for a kind.
func SpecOf(k Kind) (KindSpec, bool) {
	for _, s := range Kinds() {
		if s.Kind == k {
			return s, true
		}
	}
	return KindSpec{}, false
}

func groundProps() []Prop {
	return []Prop{
		{Name: "moisture", Type: TypeChoice, Allowed: []string{"dry", "moist", "damp", "wet", "waterlogged"}, Default: "moist", Help: "how wet the ground is through winter"},
		{Name: "soil", Type: TypeChoice, Allowed: []string{"clay", "loam", "sand", "peat", "chalk"}, Default: "loam", Help: "what the ground is made of"},
		{Name: "shrinkable", Type: TypeChoice, Allowed: []string{"unknown", "yes", "no"}, Default: "unknown", Help: "whether the clay shrinks as it dries, which matters beside foundations"},
		{Name: "ph", Type: TypeNumber, Least: 3, Most: 9.5, Else: "unknown", Help: "soil reaction"},
		{Name: "peat_depth_m", Type: TypeNumber, Unit: "m", Least: 0, Most: 15, Else: "none", Help: "depth of peat"},
		{Name: "sward", Type: TypeSward, Else: "none", Help: "plants seen growing there: the moisture is estimated from them where it is not given"},
		{Name: "slope_percent", Type: TypeNumber, Unit: "percent", Least: 0, Most: 100, Else: "none", Help: "fall of the ground"},
		{Name: "falls_to_deg", Type: TypeNumber, Unit: "degrees", Least: 0, Most: 360, Else: "none", Help: "bearing downhill"},
		{Name: "exposure", Type: TypeChoice, Allowed: []string{"sheltered", "moderate", "exposed", "coastal"}, Default: "moderate", Help: "how open it lies to the wind"},
	}
}

// patchProps are the same without defaults: a patch of ground overrides only what it states.
func patchProps() []Prop {
	props := groundProps()
	for i := range props {
		if props[i].Default != nil {
			props[i].Default, props[i].Else = nil, "as the parcel"
		}
	}
	return props
}

func width(def float64) Prop {
	return Prop{Name: "width_m", Type: TypeNumber, Unit: "m", Default: def, Least: 0.1, Most: 60, Help: "full width"}
}

func height(def any, or, help string) Prop {
	return Prop{Name: "height_m", Type: TypeNumber, Unit: "m", Default: def, Else: or, Least: 0.1, Most: 60, Help: help}
}

func landKinds() []KindSpec {
	way := func(k Kind, title string, w float64, public bool) KindSpec {
		return KindSpec{Kind: k, Title: title, Help: "the middle of the " + string(k), Geometries: []string{line},
			Props: []Prop{width(w), {Name: "public", Type: TypeYesNo, Default: public, Help: "open to the public"}},
			New:   func() any { return new(Way) }}
	}
	barrier := func(k Kind, title string) KindSpec {
		return KindSpec{Kind: k, Title: title, Help: "a " + string(k) + " along this line", Geometries: []string{line},
			Props: []Prop{{Name: "stockproof", Type: TypeYesNo, Default: true, Help: "keeps stock in"}, height(nil, "unknown", "height")},
			New:   func() any { return new(Fence) }}
	}
	return []KindSpec{
		{Kind: KindParcel, Title: "field", Help: "a piece of land inside one boundary", Geometries: []string{polygon, multiPoly},
			Props: append(groundProps(), Prop{Name: "grazed_by", Type: TypeChoices, Allowed: GrazingStock, Default: []string{}, Help: "stock that grazes here"}),
			New:   func() any { return new(Parcel) }},
		{Kind: KindGround, Title: "wet ground", Help: "a patch that differs from its field; where two overlap the wetter wins", Geometries: []string{polygon, multiPoly},
			Props: patchProps(), New: func() any { return new(Patch) }},
		{Kind: KindBed, Title: "bed", Help: "cultivated ground that wants light", Geometries: []string{polygon, multiPoly},
			Props: []Prop{
				{Name: "use", Type: TypeChoice, Allowed: []string{"vegetables", "fruit", "flowers", "nursery"}, Default: "vegetables", Help: "what grows there"},
				{Name: "light_hours", Type: TypeNumber, Unit: "hours", Default: 6.0, Least: 0, Most: 24, Help: "hours of direct sun a day wanted from April to September"},
			}, New: func() any { return new(Bed) }},
		{Kind: KindProtected, Title: "protected ground", Help: "do not plant here; ask the body named", Geometries: []string{point, "MultiPoint", line, multiLine, polygon, multiPoly},
			Props: []Prop{{Name: "because", Type: TypeChoice, Allowed: []string{"monument", "designated", "species-rich", "other"}, Default: "other", Help: "why it is protected"}},
			New:   func() any { return new(Protected) }},
		{Kind: KindBuilding, Title: "building", Help: "its outline", Geometries: []string{polygon},
			Props: []Prop{height(5.0, "", "to the ridge"), {Name: "dwelling", Type: TypeYesNo, Default: false, Help: "people live in it"},
				{Name: "wants_light", Type: TypeYesNo, Default: false, Help: "its windows or panels want the sun"}},
			New: func() any { return new(Building) }},
		{Kind: KindWatercourse, Title: "stream or pond", Help: "the middle of a stream, or the outline of water", Geometries: []string{line, polygon},
			Props: []Prop{width(1)}, New: func() any { return new(Watercourse) }},
		{Kind: KindDitch, Title: "ditch", Help: "the middle of an open ditch", Geometries: []string{line},
			Props: []Prop{width(1), {Name: "cleaned_by", Type: TypeChoice, Allowed: []string{"hand", "digger"}, Default: "hand", Help: "a digger needs one bank clear"}},
			New:   func() any { return new(Ditch) }},
		{Kind: KindDrain, Title: "field drain", Help: "a buried field drain", Geometries: []string{line}, New: func() any { return new(Drain) }},
		{Kind: KindService, Title: "buried service", Help: "a buried pipe or cable", Geometries: []string{line},
			Props: []Prop{{Name: "carries", Type: TypeChoice, Allowed: []string{"sewer", "water", "gas", "electricity", "telecoms", "unknown"}, Default: "unknown", Help: "what it carries"}},
			New:   func() any { return new(Service) }},
		{Kind: KindOverheadLine, Title: "overhead line", Help: "wires, along the line below them", Geometries: []string{line},
			Props: []Prop{
				{Name: "voltage_kv", Type: TypeNumber, Unit: "kV", Least: 0.1, Most: 800, Else: "unknown", Help: "voltage"},
				{Name: "clearance_m", Type: TypeNumber, Unit: "m", Least: 0.1, Most: 60, Else: "the rule set's", Help: "the clearance that the operator asks for"},
			}, New: func() any { return new(OverheadLine) }},
		way(KindRoad, "road", 5, true), way(KindTrack, "track", 3, false), way(KindPath, "path", 2, false),
		{Kind: KindSeptic, Title: "septic tank", Help: "a septic tank or its drainage field", Geometries: []string{point, polygon},
			Props: []Prop{{Name: "part", Type: TypeChoice, Allowed: []string{"tank", "drainage field"}, Default: "tank", Help: "which part"}},
			New:   func() any { return new(Septic) }},
		{Kind: KindWell, Title: "well", Help: "a well or borehole", Geometries: []string{point}, New: func() any { return new(Well) }},
		barrier(KindFence, "fence"), barrier(KindWall, "wall"),
		{Kind: KindGateway, Title: "gateway", Help: "an opening kept open", Geometries: []string{point, line},
			Props: []Prop{width(3.6)}, New: func() any { return new(Gateway) }},
		{Kind: KindScreen, Title: "screen", Help: "an artificial windbreak of no width", Geometries: []string{line},
			Props: []Prop{height(2.0, "", "height"),
				{Name: "density_percent", Type: TypeNumber, Unit: "percent", Default: 50.0, Least: 1, Most: 100, Help: "share of the face that is solid"},
				{Name: "until", Type: TypeWinter, Else: "stays", Help: "winter in which it is taken away"}},
			New: func() any { return new(Screen) }},
	}
}

func mixProps(or string) []Prop {
	return []Prop{
		{Name: "species", Type: TypeSpecies, Else: or, Help: "one species, by any of its names"},
		{Name: "mix", Type: TypeMix, Else: or, Help: "species and their shares, adding up to 100"},
	}
}

func raised() Prop {
	return Prop{Name: "raised_m", Type: TypeNumber, Unit: "m", Default: 0.0, Least: 0, Most: 3, Help: "height of the bank, ridge or mound it stands on"}
}

func stock() Prop {
	return Prop{Name: "stock", Type: TypeText, Else: "the catalogue's for that use", Help: "what is ordered, such as bare-root 40-60 cm"}
}

func spacing(name, or, help string) Prop {
	return Prop{Name: name, Type: TypeNumber, Unit: "m", Least: 0.1, Most: 50, Else: or, Help: help}
}

func cutProps() []Prop {
	return []Prop{
		{Name: "last_cut", Type: TypeWinter, Else: "unknown", Help: "winter of the last cut"},
		{Name: "cut_in", Type: TypeCuts, Else: "none", Help: "winters in which it is to be cut"},
		{Name: "not_in", Type: TypeCuts, Else: "none", Help: "winters in which it is not to be cut"},
	}
}

func blockProps(pattern string, patterns []string) []Prop {
	return []Prop{
		{Name: "pattern", Type: TypeChoice, Allowed: patterns, Default: pattern, Help: "how the trees are set out"},
		spacing("spacing_m", "from the rootstock or the catalogue", "between trees"),
		spacing("row_spacing_m", "as spacing_m", "between rows"),
		{Name: "bearing_deg", Type: TypeBearing, Unit: "degrees", Default: "auto", Least: 0, Most: 360, Help: "bearing along which the rows run, or auto: where most trees fit"},
		{Name: "margin_m", Type: TypeNumber, Unit: "m", Least: 0, Most: 50, Else: "half the spacing", Help: "distance to the boundary"},
		raised(), stock(), height(nil, "unknown", "height it has"),
	}
}

func growingKinds() []KindSpec {
	perMetre := func(name string) Prop {
		return Prop{Name: name, Type: TypeNumber, Unit: "per metre", Least: 1, Most: 12, Else: "the rule set's", Help: "plants per metre over all rows"}
	}
	hedge := append(mixProps("unknown"),
		Prop{Name: "rows", Type: TypeInteger, Default: 2, Least: 1, Most: 6, Help: "number of rows"},
		Prop{Name: "row_gap_m", Type: TypeNumber, Unit: "m", Least: 0.1, Most: 5, Else: "the rule set's", Help: "between rows"},
		perMetre("per_metre"), stock(),
		height(nil, "planned: 2", "height it has, or will be kept at"),
		Prop{Name: "width_m", Type: TypeNumber, Unit: "m", Least: 0.1, Most: 20, Else: "planned: 1.5", Help: "width it has, or will be kept at"},
		Prop{Name: "base_m", Type: TypeNumber, Unit: "m", Least: 0, Most: 20, Else: "unknown", Help: "height of the lowest leaves above the ground"},
		raised(),
		spacing("trees_every_m", "none", "distance between hedgerow trees"),
		Prop{Name: "tree_mix", Type: TypeMix, Else: "none", Help: "species of the hedgerow trees"},
		Prop{Name: "fill_mix", Type: TypeMix, Else: "none: gaps are reported, not filled", Help: "what fills the gaps"},
		perMetre("fill_per_metre"),
		Prop{Name: "manage", Type: TypeChoice, Allowed: []string{"trim", "coppice", "lay", "leave"}, Default: "trim", Help: "how it is kept"},
		Prop{Name: "sheeted", Type: TypeYesNo, Default: false, Help: "its thorns are pruned to the ground after planting and covered with a sheet: they need no guards and no chip"})
	belt := []Prop{
		{Name: "rows", Type: TypeRows, Else: "none", Help: "species and spacing of each row, from the windward side in"},
		{Name: "row_gap_m", Type: TypeNumber, Unit: "m", Default: 2.5, Least: 0.1, Most: 30, Help: "between rows"},
		{Name: "side", Type: TypeChoice, Allowed: []string{"auto", "left", "right"}, Default: "auto", Help: "side of the drawn line on which the further rows lie; auto: away from the wind"},
		{Name: "purpose", Type: TypeChoice, Allowed: []string{"crops", "buildings", "livestock"}, Default: "crops", Help: "what it shelters"},
		{Name: "protects", Type: TypeIDs, Else: "none", Help: "ids of the beds, orchards or buildings it is there for"},
		height(nil, "unknown", "height it has"), raised(), stock(),
	}
	trees := Prop{Name: "trees", Type: TypeTrees, Else: "none", Help: "what is planted, with counts or shares"}
	row := append(mixProps("none"), trees, spacing("spacing_m", "the catalogue's", "between plants"), raised(), stock(), height(nil, "unknown", "height it has"))
	lattices := []string{"square", "rectangle", "offset", "quincunx", "triangle"}
	grove := append(blockProps("triangle", append(lattices, "scatter")), mixProps("none")...)
	grove = append(grove, Prop{Name: "manage", Type: TypeChoice, Allowed: []string{"leave", "coppice"}, Default: "leave", Help: "how it is kept"})
	return []KindSpec{
		{Kind: KindHedge, Title: "hedge", Help: "a hedge that stands, or is to be planted", Geometries: []string{line, multiLine},
			Props: append(hedge, cutProps()...), New: func() any { return new(Hedge) }, Grows: true},
		{Kind: KindGap, Title: "gap", Help: "a break in the nearest existing hedge", Geometries: []string{line, point},
			Props: []Prop{{Name: "width_m", Type: TypeNumber, Unit: "m", Least: 0.1, Most: 100, Else: "the length drawn", Help: "width of a gap drawn as a point"}},
			New:   func() any { return new(Gap) }},
		{Kind: KindWindbreak, Title: "windbreak", Help: "a belt; the line drawn is its windward row", Geometries: []string{line},
			Props: belt, New: func() any { return new(Windbreak) }, Grows: true},
		{Kind: KindOrchard, Title: "orchard", Help: "fruit or nut trees on a lattice", Geometries: []string{polygon},
			Props: append(blockProps("square", lattices), trees), New: func() any { return new(Block) }, Grows: true},
		{Kind: KindGrove, Title: "grove", Help: "a block of trees", Geometries: []string{polygon},
			Props: append(grove, cutProps()...), New: func() any { return new(Block) }, Grows: true},
		{Kind: KindRow, Title: "row", Help: "one line of bushes, canes, nuts or trees", Geometries: []string{line},
			Props: row, New: func() any { return new(Row) }, Grows: true},
		{Kind: KindPlant, Title: "single tree", Help: "one tree or bush", Geometries: []string{point},
			Props: []Prop{
				{Name: "species", Type: TypeSpecies, Else: "unknown", Help: "by any of its names"},
				{Name: "cultivar", Type: TypeText, Else: "none", Help: "named variety"},
				{Name: "rootstock", Type: TypeText, Else: "none", Help: "rootstock"},
				{Name: "form", Type: TypeText, Else: "none", Help: "form it is grown in, such as bush or espalier"},
				height(nil, "unknown", "height it has"),
				{Name: "spread_m", Type: TypeNumber, Unit: "m", Least: 0.1, Most: 60, Else: "unknown", Help: "width of its crown"},
				raised(), stock(),
			}, New: func() any { return new(Plant) }, Grows: true},
	}
}
