package lists

import (
	"bytes"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/planner/setout"
)

// What is to be planted and is not in the list is named in it, on paper as well: a list that leaves plants out must not look whole.
func TestWhatIsNotListedIsNamed(t *testing.T) {
	b := newBench()
	failed := func(id string, s planner.Status) {
		f := lineOf(id, planner.KindRow, &planner.Row{}, orb.Point{0, 0}, orb.Point{30, 0})
		f.Status = s
		b.add(f, &setout.Layout{Failed: "it states no spacing_m.", Mend: "State its spacing_m."})
	}
	failed("alders", planner.Planned)
	failed("old limes", planner.Existing)
	full := pointOf("full", orb.Point{5, 5})
	b.add(full, &setout.Layout{Plants: []setout.Plant{{Listed: true, Use: setout.UsePlant}},
		Remarks: []setout.Remark{{Severity: planner.Stop, Message: "full is to hold 500 trees."}, {Severity: planner.Note, Message: "full is round."}}})
	l := b.list()
	assert.Equal(t, []string{"Not in this list: alders, which is not set out: it states no spacing_m. State its spacing_m.", "full is to hold 500 trees.",
		"No species is stated for 1 plant (full): order nothing until the plan says which."}, l.Notes)
	for _, format := range Formats() {
		if format.Name == "csv" || format.Name == "pdf" || format.Name == "xlsx" {
			continue // rows alone, or packed; PDF and the spreadsheet write the same notes
		}
		var out bytes.Buffer
		require.NoError(t, format.Write(&out, l, Options{Width: 200}))
		assert.Contains(t, out.String(), "Not in this list: alders", format.Name)
	}
}

// A count of areas is given where there are some, and no more plants are "outside" than there are.
func TestHeadCountsAreas(t *testing.T) {
	for _, row := range []struct {
		list List
		want string
	}{
		{List{}, "\n0 plants.\n"},
		{List{TotalPlants: 1, OutsideAnyArea: 1}, "\n1 plant, outside any area.\n"},
		{List{TotalPlants: 2, Areas: []Area{{ID: "a", Kind: "bed", Total: 2}}}, "\n2 plants, in 1 area.\n"},
		{List{TotalPlants: 3, OutsideAnyArea: 1, Areas: []Area{{ID: "a", Kind: "bed", Total: 2}}}, "\n3 plants, in 1 area, 1 of them outside any area.\n"},
	} {
		var out bytes.Buffer
		require.NoError(t, WriteText(&out, &row.list, Options{Width: 80}))
		assert.Contains(t, out.String(), row.want)
	}
}

// An area without a name is called as everywhere else: an id that begins with its kind does not say it twice.
func TestAreasAreCalledAsTheFeatureIs(t *testing.T) {
	for _, id := range []string{"1", "bed-1", "veg", "bed-"} {
		f := planner.Feature{ID: id, Kind: planner.KindBed}
		want := f.Label()
		assert.Equal(t, want, Area{ID: id, Kind: "bed"}.Label())
	}
	assert.Equal(t, "Veg", Area{ID: "bed-1", Kind: "bed", Name: "Veg"}.Label())
	assert.Equal(t, "outside any area", Area{}.Label())
}
