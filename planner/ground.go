package planner

// Moisture is one of the five ground classes, from dry to waterlogged (standing water).
type Moisture string

// The ground classes, driest first.
const (
	Dry         Moisture = "dry"
	Moist       Moisture = "moist"
	Damp        Moisture = "damp"
	Wet         Moisture = "wet"
	Waterlogged Moisture = "waterlogged"
)

// Moistures lists every class, driest first.
var Moistures = []Moisture{Dry, Moist, Damp, Wet, Waterlogged}

// Rank is 0 for dry to 4 for waterlogged, and -1 for anything else.
func (m Moisture) Rank() int {
	for i, x := range Moistures {
		if x == m {
			return i
		}
	}
	return -1
}

// Drier is the class n steps drier, dry at the driest. A mound or ridge counts as one step (common practice).
func (m Moisture) Drier(n int) Moisture {
	r := m.Rank()
	if r < 0 {
		return m
	}
	return Moistures[max(0, r-n)]
}

// Soil is the texture of the ground.
type Soil string

// The soils of the vocabulary.
const (
	Clay  Soil = "clay"
	Loam  Soil = "loam"
	Sand  Soil = "sand"
	Peat  Soil = "peat"
	Chalk Soil = "chalk"
)

// Exposure is how open a place lies to the wind.
type Exposure string

// The exposures of the vocabulary, calmest first.
const (
	Sheltered Exposure = "sheltered"
	Moderate  Exposure = "moderate"
	Exposed   Exposure = "exposed"
	Coastal   Exposure = "coastal"
)
