package journey

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quickthorn/planner"
	"quickthorn/testdata"
)

// Land that was drawn before anybody knew where it lies is carried there; the sheet stays as it is, and one undo takes it back.
func TestLandIsCarriedToItsPlace(t *testing.T) {
	at, s := serve(t, map[string][]byte{"demo": testdata.Demo})
	p := pointer{w: open(t, at, "/#demo", desk)}
	p.w.until(`quickthorn.store.get().sheet && !quickthorn.store.get().sheet.later?.length`)
	const drawn = `JSON.stringify(quickthorn.store.get().sheet.features.map((f) => [f.id, f.geometry]))`
	was := p.w.text(drawn)
	p.chapter("holding")
	p.into(`[id$="origin-lat"]`, "53.1")
	p.press("#notebook", "Carry all that is drawn there")
	p.w.until(`document.getElementById('status').textContent.startsWith('All that is drawn lies there now.')`)
	p.w.settled()
	assert.Equal(t, was, p.w.text(drawn))
	latitude := func() float64 {
		data, _, err := s.Plan(t.Context(), "demo")
		require.NoError(t, err)
		plan, err := planner.Read(data, planner.ReadOptions{})
		require.NoError(t, err)
		return plan.Frame.Origin()[1]
	}
	assert.InDelta(t, 53.1, latitude(), 1e-9)
	p.press("#top", "Undo")
	p.w.until(`document.querySelector('[id$="origin-lat"]').value === '53.985'`)
	assert.InDelta(t, 53.985, latitude(), 1e-9)
}
