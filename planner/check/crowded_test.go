package check

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestACrowdedFileEnds holds every rule against a file in which everything is drawn many times on one spot: it ends, keeps within the
// greatest number of findings, and says that there are more.
func TestACrowdedFileEnds(t *testing.T) {
	var list []drawn
	for i := range 600 {
		list = append(list, pointAt(fmt.Sprintf("tree-%04d", i), "plant", 0, 0, props{"species": "yew", "status": "planned"}))
	}
	for i := range 100 {
		id := fmt.Sprintf("%03d", i)
		list = append(list, boxOf("house-"+id, "building", 1, -5, 9, 5, props{"dwelling": true}), boxOf("field-"+id, "parcel", -50, -50, 50, 50, props{"grazed_by": []string{"sheep"}, "soil": "clay"}),
			lineOf("pipe-"+id, "service", nil, [2]float64{2, -50}, [2]float64{2, 50}), lineOf("wires-"+id, "overhead_line", nil, [2]float64{3, -50}, [2]float64{3, 50}))
	}
	in := inputOf(t, nil, list...)
	for _, rule := range []*Rule{inputOverlap(), sameSpot(), tooClose(), tooWide(), crownsMeet(), obstructed(), setbackBuilding(), setbackOverheadLine(), setbackService(), stockToxic()} {
		start := time.Now()
		found, err := Run(context.Background(), in, []*Rule{rule})
		require.NoError(t, err)
		assert.LessOrEqual(t, len(found), MostPerRule+1, rule.ID)
		assert.Less(t, time.Since(start), 30*time.Second, rule.ID)
		if rule.ID != "spacing.too-close" && rule.ID != "spacing.too-wide" && rule.ID != "spacing.obstructed" {
			assert.NotEmpty(t, found, rule.ID)
		}
	}
}

// TestAnEmptyPlan has nothing to say, whatever the rule.
func TestAnEmptyPlan(t *testing.T) {
	for _, set := range []string{"general", "england", "ireland", "scotland", "northern-ireland", "wales"} {
		found, err := Run(context.Background(), inputOf(t, props{"rule_set": set}), Rules())
		require.NoError(t, err)
		assert.Empty(t, found, set)
	}
}

// TestPlantsOutsideEveryField and with nothing else drawn: no rule fails for want of land.
func TestPlantsOutsideEveryField(t *testing.T) {
	in := inputOf(t, nil, treeAt("a", 0, "zzz", nil), treeAt("b", 50, "beech", nil),
		lineOf("hedge", "hedge", props{"status": "planned"}, [2]float64{0, 50}, [2]float64{50, 50}))
	_, err := Run(context.Background(), in, Rules())
	require.NoError(t, err)
}
