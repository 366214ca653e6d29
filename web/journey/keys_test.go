package journey

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// keyboard is a hand without a pointer: Tab to get somewhere, arrow keys for the cross-hair, Enter and Space to do things.
type keyboard struct{ w *window }

// goTo tabs on until an element has the focus; Tab goes round the page, so that every element that can be reached is.
func (k keyboard) goTo(el string) {
	k.w.t.Helper()
	k.w.until(el)
	for range 600 {
		if k.w.number(fmt.Sprintf(`document.activeElement === %s ? 1 : 0`, el)) == 1 {
			return
		}
		k.w.press(kb.Tab)
	}
	require.Fail(k.w.t, "Tab does not get there", "%s", el)
}

func (k keyboard) take(pen string) {
	k.w.t.Helper()
	// The tray is one stop of Tab; arrow keys go along it.
	k.goTo(`document.querySelector('#pens [role=toolbar] button[tabindex="0"]')`)
	for range 40 {
		if k.w.text(`document.activeElement.dataset.pen ?? ''`) == pen {
			break
		}
		k.w.press(kb.ArrowRight)
	}
	require.Equal(k.w.t, pen, k.w.text(`document.activeElement.dataset.pen ?? ''`))
	k.w.press(kb.Enter)
	k.w.until(`quickthorn.store.get().tool?.name === 'draw' && document.activeElement === quickthorn.plan`)
}

// move walks the cross-hair to a place: Ctrl with an arrow key is 10 m, Shift 1 m, alone 0.1 m.
func (k keyboard) move(to [2]float64) {
	k.w.t.Helper()
	var from *[2]float64
	k.w.eval(`quickthorn.store.get().cross`, &from)
	if from == nil {
		k.w.press(kb.ArrowRight) // brings it up
		k.w.until(`quickthorn.store.get().cross`)
		k.w.eval(`quickthorn.store.get().cross`, &from)
	}
	for axis, keys := range [2][2]string{{kb.ArrowRight, kb.ArrowLeft}, {kb.ArrowUp, kb.ArrowDown}} {
		tenths := int(math.Round((to[axis] - from[axis]) * 10))
		key := keys[0]
		if tenths < 0 {
			key, tenths = keys[1], -tenths
		}
		for _, step := range []struct {
			tenths int
			mods   []chromedp.Modifier
		}{{100, []chromedp.Modifier{2}}, {10, []chromedp.Modifier{8}}, {1, nil}} {
			for ; tenths >= step.tenths; tenths -= step.tenths {
				k.w.press(key, step.mods...)
			}
		}
	}
	k.w.until(fmt.Sprintf(`Math.hypot(quickthorn.store.get().cross[0] - %g, quickthorn.store.get().cross[1] - %g) < 0.06`, to[0], to[1]))
}

func (k keyboard) draw(places ...[2]float64) {
	k.w.t.Helper()
	before := k.w.number(`quickthorn.store.get().revision`)
	for i, at := range places {
		k.move(at)
		k.w.press(" ")
		k.w.until(fmt.Sprintf(`quickthorn.store.get().revision > %g || (quickthorn.store.get().tool?.state?.corners?.length ?? 0) >= %d`, before, i+1))
	}
	if k.w.number(`quickthorn.store.get().tool?.state?.corners?.length ?? 0`) > 0 {
		k.w.press(kb.Enter)
	}
	k.w.until(fmt.Sprintf(`quickthorn.store.get().revision > %g`, before))
	if k.w.number(`quickthorn.store.get().tool ? 1 : 0`) == 1 { // a pen for points stays in hand
		k.w.press(kb.Escape)
		k.w.until(`!quickthorn.store.get().tool`)
	}
	k.w.settled()
}

func (k keyboard) hit(el string) {
	k.w.t.Helper()
	k.goTo(el)
	k.w.press(kb.Enter)
}

func (k keyboard) press(scope, words string) {
	k.w.t.Helper()
	k.hit(button(scope, words))
}

func (k keyboard) into(selector, value string) {
	k.w.t.Helper()
	k.goTo(fmt.Sprintf(`document.querySelector(%q)`, selector))
	k.w.press("a", chromedp.Modifier(2))
	k.w.press(value)
	k.w.press(kb.Tab)
}

func (k keyboard) begin(name string, lat, lon float64) {
	k.w.t.Helper()
	k.into("#begin-name", name)
	k.into("#begin-lat", fmt.Sprint(lat))
	k.into("#begin-lon", fmt.Sprint(lon))
	k.press("#notebook", "Begin it")
}

func TestJourneyByKeyboardAlone(t *testing.T) {
	at, _ := serve(t, nil)
	w := open(t, at, "/", desk)
	journey(t, w, keyboard{w}, at)
}
