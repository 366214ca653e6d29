package wood

import (
	"fmt"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// A Result is the rota and the balance of a holding. Everything is mid, low and high where the yields are; nothing is rounded
// before it is written.
type Result struct {
	Holding    string
	RuleSet    string
	First      int    // first winter of the rota
	FirstSays  string // why, where the plan has no planting winter
	Options    Options
	Sections   []Section
	LeftOut    []string // hedges and groves that cannot be used as they stand, and why
	Cuts       [][]int  // winters of each section
	Winters    []Winter
	Rota       Quality
	Conflicts  []Conflict
	Heat       Heat
	NoLogs     bool // logs are not among the holding's uses, so nothing is kept for the stove
	Shortfall  Shortfall
	Carbon     Carbon
	Comparison []Compared
	Browns     Browns
	Store      Store
	Woods      []WoodLine
	Fills      []Fill
	Calendar   Calendar
	Prompts    []Prompt // what the law asks to look at, and whom to ask
	Cautions   []Caution
	Notes      []string
}

// Heat is what the house wants.
type Heat struct {
	WantedKWh  float64
	Efficiency float64
}

// A Winter is one row of the balance. Tonnes are of dry wood, volumes of chip loose, heat is useful heat.
type Winter struct {
	Winter      int
	Cut         []Cutting
	CutM        float64
	CutM2       float64
	Dry         Range // = Logs + Brash + Loss
	Logs        Range // that reach the stove
	Stems       Range // solid m3 of the stems that are felled, whatever becomes of them
	Brash       Range // chipped or left, with stems that are chipped
	Loss        Range // of the logs while they dry
	LogsSolid   Range
	LogsStacked Range
	ReadyWinter int   // by which nine tenths of the logs are ready; 0 where there are none
	Made        Range // heat in this winter's logs
	Ready       Range // heat in logs that are ready by this winter, newly
	Burned      Range
	Short       Range
	Carried     Range // heat in ready logs left for the next winter
	Chip        Range // made, m3
	Needs       []Need
	Needed      float64
	Used, Left  Range // m3; Chip = Used + Left + ChipLoss
	ChipLoss    Range
	ChipShort   Range
}

// A Need is the chip that one use wants in a winter, and gets.
type Need struct {
	Use      string
	WantedM3 float64
	Got      Range
}

// A Cutting is one section cut in one winter.
type Cutting struct {
	Section int
	Age     int
	Dry     Range
}

// Quality is how good a rota is.
type Quality struct {
	HedgeM            float64 // all hedge of the holding
	MostM             float64 // that one winter may cut
	ShareLimit        float64 // percent
	GreatestShare     float64 // percent of all hedge that the heaviest winter cuts
	LeastM, GreatestM float64
	AreaControlM      float64 // length over usual age
	AreaControlM2     float64
	TargetT           float64 // dry tonnes of logs a winter that the rota aims at
	SustainedT        float64 // that grow
	Over              int     // winters in a row over which the logs are held against the target
	Evenness          float64 // coefficient of variation of the logs of each winter
	Cost, Bound       float64
	Exact             bool
	Source            planner.Source // of the share
}

// Shortfall is what the house lacks a year once logs of this rota are dry, and what would close it.
type Shortfall struct {
	KWh      float64
	From     int // winter from which it is reckoned
	Until    int // winters before it had no dry logs yet
	ClosedBy []Closing
}

// A Closing is one way to close a shortfall.
type Closing struct {
	What     string
	Quantity float64
	Unit     string
	Rests    string
}

// Carbon are four numbers that are never added up, t CO2.
type Carbon struct {
	Standing, Cut, Regrowth, Displaced float64
	Fuel                               Fuel
}

// Compared is a kilowatt-hour of useful heat by one fuel.
type Compared struct {
	Fuel
	KgPerKWhHeat float64
}

// Store is what logs need to lie in.
type Store struct {
	StackedM3, FloorM2 float64
	Years              int
}

// WoodLine is what is known of one kind of wood of the holding.
type WoodLine struct {
	Name                      string
	Share                     float64 // of the logs
	FreshPercent              float64
	DryKgM3                   float64
	KWhStacked                float64 // net, a stacked m3 of the logs at 20 percent
	Safe, Good                int     // winters until it is dry
	KeptOut                   []string
	DensityFrom, MoistureFrom planner.Source
}

// A Fill is a gap that is filled when the section beside it is cut.
type Fill struct {
	Section    string
	FromM, ToM float64
	Plants     int
	Winter     int
	Action     setout.Action // fill, or close-by-laying where it is so short that a neighbour is laid across
}

// Words tells what is done about the gap.
func (f Fill) Words() string {
	if f.Action == setout.CloseByLaying {
		return fmt.Sprintf("from %.1f to %.1f m, so short that a stem from each side is laid across it and pegged down (common practice)", f.FromM, f.ToM)
	}
	return fmt.Sprintf("from %.1f to %.1f m, %s", f.FromM, f.ToM, count(f.Plants, "plant"))
}

// A Prompt is something to look up before work.
type Prompt struct {
	Rule, Text string
	Source     planner.Source
}

// A Caution stands beside the figures.
type Caution struct {
	About, Text string
	Source      planner.Source
}
