package report

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner/lists"
	"quickthorn/testdata"
)

// The list prints the windows of its winter; a closed season is that of the spring after it. England: Management of Hedgerows
// (England) Regulations 2024, 1 March to 31 August; bare-root planting to 31 March (Countryside Stewardship BN11).
func TestTheListPrintsTheDatesOfItsWinter(t *testing.T) {
	e, err := NewEngine()
	require.NoError(t, err)
	r, err := e.Read(testdata.Demo, Options{Winter: 2031})
	require.NoError(t, err)
	require.NoError(t, r.SetOut(context.Background()))
	l := r.List()
	all := strings.Join(l.Dates, "\n")
	assert.Contains(t, all, "Plant bare-rooted stock from 1 November 2031 to 31 March 2032")
	assert.Contains(t, all, "No hedge is cut or trimmed from 1 March 2032 to 31 August 2032; nests in use are protected at any date. Exceptions: laying and coppicing are excepted until 30 April; road safety")
	for _, d := range l.Dates {
		assert.True(t, strings.HasSuffix(d, "]"), "%s: has its source", d)
	}
	for _, f := range lists.Formats() {
		if f.Binary || f.Name == "csv" {
			continue
		}
		var b strings.Builder
		require.NoError(t, f.Write(&b, l, lists.Options{Width: 400}))
		assert.Contains(t, b.String(), "1 November 2031", f.Name)
	}
}
