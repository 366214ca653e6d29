package journey

import (
	"io"
	"net/http"
	"strings"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// standIn answers for shelter and light in the page itself, in the shapes that the server has agreed on, as long as the server under test
// has no such addresses: the page can be tried before they are there. Events are put into the sheet where it has none. With a server that
// answers it is not used.
const standIn = `(() => {
const real = globalThis.fetch;
const json = (v) => new Response(JSON.stringify(v), { status: 200, headers: { 'Content-Type': 'application/json', ETag: '"1"' } });
const ring = (x, y, r) => Array.from({ length: 41 }, (_, i) => [x + r * Math.cos(i % 40 / 40 * 2 * Math.PI), y + r * Math.sin(i % 40 / 40 * 2 * Math.PI)]);
globalThis.fetch = async (url, opt) => {
  const u = new URL(url, location.href);
  const m = u.pathname.match(/\/holdings\/[^/]+\/(shelter|light)(\/field)?$/);
  if (!m) {
    const answer = await real(url, opt);
    if (!/\/sheet$/.test(u.pathname) || answer.status !== 200) return answer;
    const s = await answer.json();
    s.events ??= [{ from: 7, mid: 9, to: 12, text: 'Crowns meet.', features: s.features.slice(0, 1).map((f) => f.id), x: 0, y: 0, rests: 'a stand-in', confidence: 'derived' }];
    return new Response(JSON.stringify(s), { status: 200, headers: answer.headers });
  }
  const { sheet } = quickthorn.store.get();
  const beds = sheet.features.filter((f) => f.kind === 'bed').map((f) => ({ id: f.id, name: f.label }));
  const [west, south, east, north] = sheet.box ?? [0, 0, 1, 1];
  if (m[2]) {
    const year = Number(u.searchParams.get('year'));
    const step = m[1] === 'shelter' ? 20 : 2;
    const bands = [0, 1, 2, 3, 4].map((i) => ({ from: i * step, to: (i + 1) * step, area_m2: 1, words: 'band ' + i, rings: [0, 1].slice(i ? 0 : 1).map((k) => ring((west + east) / 2, (south + north) / 2, (10 + year) * (i + k))) }));
    return json({ year, unit: '', cell_m: 1, least: 0, greatest: 100, bands, said: [] });
  }
  const years = u.searchParams.get('years').split(',').map(Number);
  if (m[1] === 'shelter') return json({ holding: '', wind: [], said: [], unknown: [], source: '', years: years.map((year) => ({ year, beds: beds.map((b) => ({ ...b, mean_wind_percent: 100 - year, least_wind_percent: 90 - year, greatest_wind_percent: 100, leaf_off: { mean_wind_percent: 100 }, by: [] })) })) });
  return json({ holding: '', season: '', said: [], unknown: [], source: '', buildings: [], falls_below: [], years: years.map((year) => ({ year, beds: beds.map((b) => ({ ...b, hours: {}, mean_hours: 9 - year / 5, worst_hours: 8 - year / 5, wanted_hours: 6, taken_by: [] })) })) });
};
})()`

// lend puts the stand-in into a window where the server needs it.
func (w *window) lend() {
	w.t.Helper()
	r, err := http.Get(w.at + "/holdings/none/shelter?years=0")
	if err != nil {
		return // a server that is not there yet
	}
	text, err := io.ReadAll(r.Body)
	require.NoError(w.t, err)
	require.NoError(w.t, r.Body.Close())
	if !strings.Contains(string(text), "nothing at") {
		return // the address is there, only the holding is not
	}
	_, err = chromedp.Call(w.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: standIn})
	require.NoError(w.t, err)
}
