package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Stems that are all chipped are felled all the same (Forestry Act 1967, section 9: 5 m3 in a calendar quarter), and a house is not
// heated by more hedge where no logs are kept.
func TestStemsThatAreChippedAreFelled(t *testing.T) {
	file := func(uses string) string {
		return `{"type": "FeatureCollection", "holding": {"origin": [-2.4, 52.3], "planting_winter": 2026, "heat_kwh_per_year": 12000, "uses": [` + uses + `]}, "features": [
			{"type": "Feature", "id": "grove", "properties": {"kind": "grove", "status": "existing", "manage": "coppice", "last_cut": 2010, "mix": [{"species": "hazel", "share_percent": 100}]},
			 "geometry": {"type": "Polygon", "coordinates": [[[-2.4, 52.3], [-2.3985, 52.3], [-2.3985, 52.3005], [-2.4, 52.3005], [-2.4, 52.3]]]}}]}`
	}
	logs, chip := readInput(t, file(`"logs", "mulch"`)), readInput(t, file(`"mulch"`))
	felled, chipped := ruleOn(t, woodLicence(), logs), ruleOn(t, woodLicence(), chip)
	require.Len(t, felled, 1)
	require.Len(t, chipped, 1)
	assert.Equal(t, felled[0].Message, chipped[0].Message)
	assert.Contains(t, chipped[0].Message, "more than 5 m3 in a calendar quarter needs a felling licence")

	short, none := ruleOn(t, woodShortfall(), logs), ruleOn(t, woodShortfall(), chip)
	require.Len(t, short, 1)
	require.Len(t, none, 1)
	assert.Contains(t, short[0].Message, "It would be closed by")
	assert.Contains(t, none[0].Message, "logs are not among the holding's uses")
	assert.NotContains(t, none[0].Message, "closed by")
}
