// Package species is the catalogue: what each plant is, how large it grows, where it stands, what it
// hurts, how far apart it is planted and what pollinates it. The rows are CSV files in this folder; a
// species is one row. Every figure carries its source, and an empty cell is unknown, never a guess.
//
// To add a species or a cultivar, add a row. A cell that has a source reads value@CODE, where CODE is a row of sources.csv;
// A+B names two sources, and the weaker confidence of them holds. Ranges read 4-8, 4-6-8 (least, usual, greatest) or >8; lists
// have bars between (hawthorn|whitethorn), entries of several parts colons and semicolons (high:cattle:leaves@CODE; ...).
// Where tables disagree each has its own column, row or entry. Load refuses what it cannot read, with file, line and column.
//
// A Catalogue is parsed once and never altered. Lengths are metres, ages are years, densities are
// kg of dry wood per m3 of green wood unless a name says otherwise.
package species

import "quickthorn/planner"

// A Num is one figure from a source. V means nothing unless Known.
type Num struct {
	V      float64
	Known  bool
	Source planner.Source
}

// A Range is a figure with its spread. Where the source gives one figure, Low, Usual and High are equal;
// where it gives two, Usual is the middle of them. AtLeast marks a band open at the top (">8"): all three then
// hold the lower bound.
type Range struct {
	Low, Usual, High float64
	AtLeast          bool
	Known            bool
	Source           planner.Source
}

// Holds reports whether v lies within the range, both ends counted; an open band holds all above it.
func (r Range) Holds(v float64) bool {
	const slack = 1e-9
	return r.Known && v >= r.Low-slack && (r.AtLeast || v <= r.High+slack)
}

// A Word is one of a closed set of words, or free text, from a source.
type Word struct {
	V      string
	Known  bool
	Source planner.Source
}

// Yes reports a known "yes".
func (w Word) Yes() bool { return w.Known && w.V == "yes" }

// No reports a known "no"; an unknown word is neither yes nor no.
func (w Word) No() bool { return w.Known && w.V == "no" }

// Habit is the way a plant grows.
type Habit string

// The habits. Conifers stand apart from broad-leaved trees because several tables do.
const (
	Tree    Habit = "tree"
	Conifer Habit = "conifer"
	Shrub   Habit = "shrub"
	Climber Habit = "climber"
	Herb    Habit = "herb"
)

// Layer is the storey in which a crown stands: crowns of one layer compete.
type Layer string

// The layers, tallest first.
const (
	TreeLayer    Layer = "tree"
	ShrubLayer   Layer = "shrub"
	ClimberLayer Layer = "climber"
	GroundLayer  Layer = "ground"
)

// Use is what a planting is for, as the catalogue's spacing and stock know it.
type Use string

// The uses.
const (
	Hedge     Use = "hedge"
	Windbreak Use = "windbreak"
	Row       Use = "row"
	Orchard   Use = "orchard"
	Grove     Use = "grove"
	Single    Use = "single"
)

// Uses lists every Use.
var Uses = []Use{Hedge, Windbreak, Row, Orchard, Grove, Single}

// Verdict is how a species does on ground of one class.
type Verdict string

// The verdicts on ground, best first; NoVerdict is unknown, never "unsuitable".
const (
	Suitable   Verdict = "suitable"
	Marginal   Verdict = "marginal"
	Unsuitable Verdict = "unsuitable"
	NoVerdict  Verdict = ""
)

// A Fit is the verdict for one class of ground with what it rests on.
type Fit struct {
	Verdict Verdict
	Source  planner.Source
}

// ServiceClass sorts plants by how far their roots are kept from sewers, mains and drains.
type ServiceClass string

// The classes of the sewer operator's table (Severn Trent Water, Tree planting restrictions), greediest first.
const (
	WillowPoplar ServiceClass = "willow-poplar"
	LargeTree    ServiceClass = "large"
	MediumTree   ServiceClass = "medium"
	ShrubClass   ServiceClass = "shrub"
	SoftFruit    ServiceClass = "soft-fruit"
)

// A Toxicity is one entry of one list of plants that hurt livestock.
type Toxicity struct {
	Stock  string // cattle, sheep, horses, goats, pigs, poultry; "" is all stock
	Class  string // extreme, high, medium-high, medium, low-medium, accepted (first list); severe, mild, none (second list)
	Part   string // which part, and when
	Source planner.Source
}

// First reports whether the entry is of the first list, the one that decides (a table with classes by kind of stock);
// the second list ("severe", "mild", "none") speaks only where the first is silent about the plant.
func (t Toxicity) First() bool { return firstList[t.Class] }

// A Law is a rule of some country against a species.
type Law struct {
	Countries []string // as rule sets are named: england, wales, ireland, ...
	Text      string   // which law and list
	Source    planner.Source
}

// A Species is one row of species.csv.
type Species struct {
	ID        string   // botanical name in lower case with hyphens; stable
	Botanical string   // without multiplication sign
	English   []string // every English name in use; the first is the one shown
	Synonyms  []string // other botanical names in use
	Habit     Habit
	Layer     Layer

	Height         Range         // mature height, m
	Spread         Range         // mature crown spread, m
	ListedHeight   Num           // the flora's greatest height, m
	GreatestHeight Num           // the greatest over Height, ListedHeight, NHBCHeight and HeightAt, with the table it is from
	NHBCHeight     Num           // mature height in the building standard's table, m
	WaterDemand    Word          // high, moderate, low, in the same table
	HeightAt       map[int]Range // height at 5, 10, 20 years, m, where a curve or a working figure has been published
	GrowthNote     string        // what those heights were hung on
	GrowthClass    Word          // slow, middling, fast

	EllenbergF, EllenbergL, EllenbergR, EllenbergN, EllenbergS Num                      // British values: wetness 1-12, light, reaction, fertility 1-9, salt 0-9
	ShadeTolerance, DroughtTolerance, WaterloggingTolerance    Num                      // scores 1 (intolerant) to 5 (very tolerant)
	Fit                                                        map[planner.Moisture]Fit // see Suits
	FitNote                                                    string                   // why a verdict was set by hand
	PH                                                         Range                    // soil reaction that the crop wants
	Exposure                                                   Word                     // very low, low, moderate, high, very high: how much wind it bears
	Coastal                                                    Word                     // yes: bears salt wind

	NativeBritain, NativeIreland, Evergreen, Thorny Word
	Toxic                                           []Toxicity
	Regulated                                       []Law
	Invasive                                        Word // text: spreads, and how
	Disease                                         Word // text
	PlantingAdvice                                  Word // text: "do not plant", or from what stock only
	Suckers                                         Word

	WoodDensity     Num  // world database, mean of the taxon
	WoodDensitySD   Num  // its standard deviation
	WoodDensityIPCC Num  // a second table
	WoodDensityUK   Num  // a third table
	Coppices        Word // strong, moderate, weak, no
	CoppiceRotation Range
	Firewood        Word

	Stock        map[Use]Word // usual planting stock
	Crop         bool         // planted for fruit or nuts
	Pool         string       // species of one pool can pollinate each other; "" bears no crop we know of
	NeedsPartner Word         // without a named cultivar: yes, better (crops alone, better with another), no
	Service      ServiceClass
	ServiceFrom  planner.Source
	Purposes     []string // what it is planted for (common practice): hedge, windbreak, grove, orchard, row, nuts, fuel, ...
	Note         string
}

// Name is the English name that is shown.
func (s *Species) Name() string {
	if len(s.English) == 0 {
		return s.Botanical
	}
	return s.English[0]
}

// Genus is the first word of the botanical name.
func (s *Species) Genus() string { return genusOf(s.Botanical) }

// A Match is the answer to a name; exactly one of the three is set (Nearest may be empty for an empty catalogue).
type Match struct {
	Species   *Species
	Ambiguous *Ambiguous
	Nearest   []*Species // for an unknown name: at most five, nearest spelling first
}

// An Ambiguous name fits several species.
type Ambiguous struct {
	Name      string
	Species   []*Species
	TellApart string
}

// A Rootstock is one row of rootstocks.csv.
type Rootstock struct {
	Name      string
	Also      []string // other spellings
	Species   []*Species
	Vigour    string
	Forms     []string // tree forms it is used for
	InRow     Range    // m
	RowGap    Range    // m
	Height    Range    // m
	Spread    Range    // m; where the source is a planting distance it says so
	FirstCrop Range    // years from planting
	Stake     Word     // permanent, first years, no
	WetGround Word     // fail, warn, pass: on heavy, wet ground (crown and collar rot, anchorage)
	Heavy     Word     // the same on heavy ground that drains
	Ground    Word     // text: what it stands
	Note      string
}

// A SpacingRange is how far apart a species stands for one use.
type SpacingRange struct {
	InRow  Range          // m, least, usual, greatest
	RowGap Range          // m between rows; unknown for single rows
	For    string         // what the row of the table is about: "apple on MM106", "alders in a single row"
	Others []SpacingRange // other published opinions, which may disagree
}

// A Cultivar is one row of cultivars.csv.
type Cultivar struct {
	Species   *Species
	Name      string
	Also      []string
	Group     Groups // flowering group or groups
	Fertility Word   // self-fertile, partly, self-sterile, triploid
	Ploidy    Num    // sets of chromosomes: 2, 3, 4, 6
	Alleles   Word   // S-alleles as printed, "S3S4'"
	Pollen    Word   // for hazel: the alleles that the pollen expresses, where known
	Clash     Word   // incompatibility group: those of one group do not set each other
	Partners  Word   // published pollen donors, "A|B"
	Bloom     []Bloom
	Days      Num    // full flower in days after DaysAfter
	DaysAfter string // the cultivar that Days counts from
	PoorDonor Word   // yes: its pollen does little for others
	Note      string
}

// Groups are the flowering groups of one cultivar on one scale; groups compare only within a scale.
type Groups struct {
	From, To int    // 1 is earliest; From equals To for a single group
	Scale    string // apple 1-7, pear 1-4, plum 1-5, cherry 1-6
	Known    bool
	Source   planner.Source
}

// A Bloom is one season's flowering; dates are days of that year (1 January is 1), 0 where not recorded.
// Year 0 is a page that names no year, or a mean of many: it tells how long or about when, and is never compared.
type Bloom struct {
	Year, First, Full, Last int
	Source                  planner.Source
}
