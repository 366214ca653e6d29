package lists

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quickthorn/planner"
	"quickthorn/planner/setout"
	"quickthorn/planner/site"
)

// Feature by feature the mulch adds up to that of the list.
func TestMulchByFeatureAddsUp(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p, _, out := drawBench(r).plan()
		sum := 0.0
		for _, m := range MulchByFeature(p, out) {
			require.Positive(r, m.DepthM)
			sum += m.OwnM3() + m.FillsM3()
		}
		b := drawBenchList(p, out)
		assert.InDelta(r, b, sum, 0.001)
	})
}

func drawBenchList(p *planner.Plan, out *setout.Result) float64 {
	for _, s := range Make(p, site.New(p, nil), out, nil, nil).Sundries {
		if s.Item == "mulch" && s.Unit == "m3" {
			return s.Quantity
		}
	}
	return 0
}
