package planner

// Confidence says how far a figure can be trusted. It is shown wherever the figure is.
type Confidence string

// The five degrees of confidence, from the firmest to the loosest; User is a limit the user set.
const (
	Published      Confidence = "published"       // read in the source named
	Derived        Confidence = "derived"         // worked out from published figures
	FromMemory     Confidence = "from memory"     // recalled from the source named, not read again
	CommonPractice Confidence = "common practice" // no source known
	User           Confidence = "user"            // stated by the user
)

// Confidences lists every Confidence, firmest first.
var Confidences = []Confidence{Published, Derived, FromMemory, CommonPractice, User}

// Weaker reports whether c is to be trusted less than other. User counts as firm: it is the user's own.
func (c Confidence) Weaker(other Confidence) bool { return c.rank() > other.rank() }

func (c Confidence) rank() int {
	switch c {
	case Published, User:
		return 0
	case Derived:
		return 1
	case FromMemory:
		return 2
	}
	return 3
}

// A Source is where a figure comes from.
type Source struct {
	Code       string // short code in the data files, such as "BN11"; never shown alone
	Text       string // who, what, year, table: what the user is shown
	URL        string // where it was read, may be empty
	Confidence Confidence
}

// String gives the source as it is shown: the text, and the confidence where it is not "published".
func (s Source) String() string {
	if s.Confidence == Published || s.Confidence == "" {
		return s.Text
	}
	if s.Text == "" {
		return string(s.Confidence)
	}
	return s.Text + " (" + string(s.Confidence) + ")"
}
