package lists

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWorkedExample(t *testing.T) {
	l := worked().list()
	require.Equal(t, 427, l.TotalPlants)
	assert.Equal(t, 427, sum(l))
	assert.Equal(t, 48, area(t, l, "orchard").Total)
	assert.Equal(t, 379, area(t, l, "long-field").Total)
	assert.Equal(t, 0, area(t, l, "kitchen-bed").Total)
	assert.Equal(t, 0, l.OutsideAnyArea)
	var got *Order
	for i := range l.Order {
		if o := &l.Order[i]; o.English == "hawthorn" {
			require.Nil(t, got, "one line")
			got = o
		}
	}
	require.NotNil(t, got)
	assert.Equal(t, []int{229, 23, 252, 11}, []int{got.Plants, got.Spare, got.Order, got.Bundles})
}
