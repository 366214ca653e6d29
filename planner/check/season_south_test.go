package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// South of the equator the dates of the rule sets would fall into the time when birds nest there, so none is given; north of it they are.
func TestSeasonsSouthOfTheEquator(t *testing.T) {
	file := func(lat string) string {
		return `{"type": "FeatureCollection", "holding": {"origin": [173.2, ` + lat + `], "planting_winter": 2026}, "features": [
			{"type": "Feature", "id": "lane", "properties": {"kind": "hedge", "status": "existing", "manage": "coppice", "last_cut": 2000, "mix": [{"species": "hazel", "share_percent": 100}]},
			 "geometry": {"type": "LineString", "coordinates": [[173.2, ` + lat + `], [173.201, ` + lat + `]]}},
			{"type": "Feature", "id": "new", "properties": {"kind": "plant", "species": "hazel", "status": "planned"}, "geometry": {"type": "Point", "coordinates": [173.202, ` + lat + `]}}]}`
	}
	for _, c := range []struct{ lat, says, never string }{
		{"-41.3", "No dates are given", "31 March"},
		{"41.3", "31 March", "No dates are given"},
	} {
		in := readInput(t, file(c.lat))
		for _, rule := range []*Rule{seasonCut(), seasonPlant()} {
			found := ruleOn(t, rule, in)
			require.Len(t, found, 1, "%s at %s", rule.ID, c.lat)
			assert.Contains(t, found[0].Message, c.says, rule.ID)
			assert.NotContains(t, found[0].Message, c.never, rule.ID)
		}
		assert.Empty(t, ruleOn(t, woodClosed(), in), "no day is open there, or all of them are; neither is a stop")
	}
}
