package journey

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// patience is how long a condition is waited for; a loaded machine takes its time.
const patience = 90 * time.Second

var browser struct {
	once   sync.Once
	ctx    context.Context
	cancel func()
	err    error
}

func TestMain(m *testing.M) {
	if path := os.Getenv(childStore); path != "" {
		os.Exit(childServe(path, os.Getenv(childListen)))
	}
	code := m.Run()
	if browser.cancel != nil {
		browser.cancel()
	}
	os.Exit(code)
}

// chromium is the one browser of the run; each window is a tab with storage of its own.
func chromium(t testing.TB) context.Context {
	t.Helper()
	browser.once.Do(func() {
		path := os.Getenv("CHROMIUM")
		if path == "" {
			for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
				if found, err := exec.LookPath(name); err == nil {
					path = found
					break
				}
			}
		}
		if path == "" {
			browser.err = fmt.Errorf("these tests need Chromium: apt-get install chromium, or name one in CHROMIUM")
			return
		}
		dir, err := os.MkdirTemp("", "quickthorn-journey-")
		if err != nil {
			browser.err = err
			return
		}
		opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
			chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
			chromedp.UserDataDir(filepath.Join(dir, "profile")), chromedp.Env("TMPDIR="+dir))
		alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
		ctx, cancel := chromedp.NewContext(alloc)
		browser.ctx, browser.cancel = ctx, func() { cancel(); stop(); _ = os.RemoveAll(dir) }
		browser.err = chromedp.Do(ctx)
	})
	require.NoError(t, browser.err)
	return browser.ctx
}

// A window is one tab. It remembers what the page did that it must not: console complaints and requests to elsewhere.
type window struct {
	t   testing.TB
	ctx context.Context
	at  string // origin of the server

	mu       sync.Mutex
	trouble  []string
	expected []string // parts of complaints that the test brings about itself
	answers  []string // status and address of each answer, in the order in which they came
}

// look says how a window is.
type look struct {
	w, h  int64
	dark  bool
	touch bool
}

var desk = look{w: 1280, h: 860}

// open opens a page of the server in a new tab and waits until it is ready.
func open(t testing.TB, at, path string, l look) *window {
	t.Helper()
	w := blank(t, at, l)
	w.goTo(at + path)
	w.until(`document.documentElement.dataset.ready === 'yes'`)
	return w
}

// blank is a new tab with nothing in it yet.
func blank(t testing.TB, at string, l look) *window {
	t.Helper()
	ctx, cancel := chromedp.NewContext(chromium(t), chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	w := &window{t: t, ctx: ctx, at: at}
	require.NoError(t, chromedp.Do(ctx))
	require.NoError(t, chromedp.Listen(ctx, w.hear))
	_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{})
	require.NoError(t, err)
	_, err = chromedp.Call(ctx, log.Enable, cdp.Empty{})
	require.NoError(t, err)
	w.dress(l)
	t.Cleanup(w.clean)
	return w
}

func (w *window) dress(l look) {
	opts := []chromedp.EmulateViewportOption{}
	if l.touch {
		opts = append(opts, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	scheme := "light"
	if l.dark {
		scheme = "dark"
	}
	require.NoError(w.t, chromedp.Do(w.ctx, chromedp.EmulateViewport(l.w, l.h, opts...)))
	_, err := chromedp.Call(w.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
	require.NoError(w.t, err)
}

func (w *window) hear(ev any) {
	said := ""
	switch e := ev.(type) {
	case *runtime.EventExceptionThrown:
		said = "exception: " + e.ExceptionDetails.Text
		if x := e.ExceptionDetails.Exception; x != nil {
			said += " " + x.Description
		}
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			said = "console: " + string(e.Type)
			for _, a := range e.Args {
				said += " " + string(a.Value) + a.Description
			}
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError {
			said = "log: " + e.Entry.Text + " " + e.Entry.URL
		}
	case *network.EventRequestWillBeSent:
		if !w.ours(e.Request.URL) {
			said = "a request to elsewhere: " + e.Request.URL
		}
	case *network.EventWebSocketCreated:
		said = "a socket: " + e.URL
	case *network.EventResponseReceived:
		w.mu.Lock()
		w.answers = append(w.answers, fmt.Sprint(e.Response.Status, " ", e.Response.URL))
		w.mu.Unlock()
	}
	if said == "" {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.trouble = append(w.trouble, said)
}

// ours reports whether an address is the server's own, or made by the page itself.
func (w *window) ours(address string) bool {
	u, err := url.Parse(address)
	if err != nil {
		return false
	}
	return address == "about:blank" || u.Scheme+"://"+u.Host == w.at || u.Scheme == "data" || u.Scheme == "blob" && strings.HasPrefix(u.Opaque, w.at+"/")
}

// answered waits until an answer with this status came from an address that ends so.
func (w *window) answered(status int, end string) {
	w.t.Helper()
	require.Eventually(w.t, func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		return slices.ContainsFunc(w.answers, func(a string) bool {
			path, _, _ := strings.Cut(a, "?")
			return strings.HasPrefix(path, fmt.Sprint(status, " ")) && strings.HasSuffix(path, end)
		})
	}, patience, 20*time.Millisecond, "%d from %s", status, end)
}

// expect lets complaints through that the test brings about itself, such as a server that was killed.
func (w *window) expect(part string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.expected = append(w.expected, part)
}

// clean fails the test where the page complained or asked elsewhere.
func (w *window) clean() {
	w.mu.Lock()
	defer w.mu.Unlock()
next:
	for _, said := range w.trouble {
		for _, part := range w.expected {
			if strings.Contains(said, part) {
				continue next
			}
		}
		w.t.Errorf("the page: %s", said)
	}
}

// eval evaluates an expression (a promise is awaited) into v; nil throws the value away.
func (w *window) eval(js string, v any) {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.ctx, patience)
	defer cancel()
	raw, err := chromedp.Run(ctx, chromedp.Evaluate[[]byte]("(async () => JSON.stringify(await ("+js+") ?? null))()", chromedp.EvalAwaitPromise))
	require.NoError(w.t, err, "%s", js)
	if v == nil {
		return
	}
	var text string
	require.NoError(w.t, json.Unmarshal(raw, &text), "%s", js)
	require.NoError(w.t, json.Unmarshal([]byte(text), v), "%s gave %s", js, text)
}

func (w *window) number(js string) float64 {
	w.t.Helper()
	var v float64
	w.eval(js, &v)
	return v
}

func (w *window) text(js string) string {
	w.t.Helper()
	var v string
	w.eval(js, &v)
	return v
}

// until waits for a condition.
func (w *window) until(js string) {
	w.t.Helper()
	deadline := time.Now().Add(patience)
	for {
		var ok bool
		ctx, cancel := context.WithTimeout(w.ctx, patience)
		got, err := chromedp.Run(ctx, chromedp.Evaluate[[]byte]("Boolean("+js+")"))
		cancel()
		if err == nil {
			ok = string(got) == "true"
		}
		if ok {
			return
		}
		if time.Now().After(deadline) {
			state := "unknown"
			if raw, err := chromedp.Run(w.ctx, chromedp.Evaluate[[]byte](`(() => { const s = globalThis.quickthorn?.store.get(); return s && JSON.stringify({ message: s.message, tool: s.tool, chapter: s.chapter, selected: s.selected, pending: s.pending.length, online: s.online, revision: s.revision, features: s.sheet?.features.map((f) => [f.id, f.properties]) }); })()`)); err == nil {
				state = string(raw)
			}
			require.Fail(w.t, "waited in vain", "for %s; the page is at %s", js, state)
		}
		time.Sleep(30 * time.Millisecond)
	}
}

// settled waits until nothing is unsent and nothing is in hand.
func (w *window) settled() {
	w.t.Helper()
	w.until(`quickthorn.store.get().pending.length === 0 && quickthorn.store.get().trial === null`)
}

// pixel is where a place in metres stands on the screen.
func (w *window) pixel(x, y float64) (float64, float64) {
	w.t.Helper()
	var p [2]float64
	w.eval(fmt.Sprintf(`(() => { const { view, size } = quickthorn.store.get(); const r = quickthorn.plan.getBoundingClientRect(); return [(%g - view.x) * view.k + size.w / 2 + r.x, (view.y - %g) * view.k + size.h / 2 + r.y]; })()`, x, y), &p)
	return p[0], p[1]
}

// click presses and lets go at a point of the screen; on a touch screen it taps.
func (w *window) click(x, y float64) {
	w.t.Helper()
	require.NoError(w.t, chromedp.Do(w.ctx, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y), chromedp.MouseClickXY(x, y)))
}

func (w *window) tap(x, y float64) {
	w.t.Helper()
	require.NoError(w.t, chromedp.Do(w.ctx, chromedp.TapXY(x, y)))
}

// press types keys; see the kb package for those without a sign.
func (w *window) press(keys string, mods ...chromedp.Modifier) {
	w.t.Helper()
	require.NoError(w.t, chromedp.Do(w.ctx, chromedp.KeyEvent(keys, chromedp.KeyModifiers(mods...))))
}

// middle is the middle of the element that a JavaScript expression gives, once it is in view, lies still for as long as it takes the
// page to draw twice, and nothing covers it.
func (w *window) middle(el string) (float64, float64) {
	w.t.Helper()
	w.until(el)
	deadline := time.Now().Add(patience)
	for {
		var p *[2]float64
		w.eval(fmt.Sprintf(`(async () => {
			const place = () => {
				const e = %s;
				if (!e) return null;
				e.scrollIntoView({ block: 'center', inline: 'center', behavior: 'instant' });
				const r = e.getBoundingClientRect();
				const p = [r.x + r.width / 2, r.y + r.height / 2];
				const on = document.elementFromPoint(...p);
				if (!on || !(e.contains(on) || on.contains(e))) return null;
				globalThis.aim = on;
				return p;
			};
			const drawn = () => new Promise((then) => requestAnimationFrame(() => setTimeout(then)));
			const first = place();
			for (let i = 0; first && i < 2; i++) {
				await drawn();
				if (String(place()) !== String(first)) return null;
			}
			return first;
		})()`, el), &p)
		if p != nil {
			return p[0], p[1]
		}
		if time.Now().After(deadline) {
			require.Fail(w.t, "waited in vain", "for %s to lie still and open", el)
		}
		time.Sleep(40 * time.Millisecond)
	}
}

// button is a JavaScript expression for the visible button with these words inside an element.
func button(scope, words string) string {
	return fmt.Sprintf(`[...document.querySelectorAll(%q)].find((b) => b.checkVisibility() && b.textContent.trim().startsWith(%q))`, scope+" button", words)
}

// download does something that downloads a file, and gives what was saved.
func (w *window) download(do func()) []byte {
	w.t.Helper()
	dir := w.t.TempDir()
	on := true
	_, err := chromedp.Call(w.ctx, cdpbrowser.SetDownloadBehavior, cdpbrowser.SetDownloadBehaviorParams{Behavior: cdpbrowser.SetDownloadBehaviorBehaviorAllowAndName,
		BrowserContextID: chromedp.FromContext(w.ctx).BrowserContextID, DownloadPath: dir, EventsEnabled: &on})
	require.NoError(w.t, err)
	ctx, cancel := context.WithTimeout(w.ctx, patience)
	defer cancel()
	progress := chromedp.Events(ctx, cdpbrowser.DownloadProgress)
	do()
	for ev, err := range progress {
		require.NoError(w.t, err)
		require.NotEqual(w.t, cdpbrowser.DownloadProgressStateCanceled, ev.State)
		if ev.State == cdpbrowser.DownloadProgressStateCompleted {
			data, err := os.ReadFile(filepath.Join(dir, ev.GUID))
			require.NoError(w.t, err)
			return data
		}
	}
	require.Fail(w.t, "nothing was downloaded")
	return nil
}

// goTo opens another address in the window.
func (w *window) goTo(address string) {
	w.t.Helper()
	require.NoError(w.t, chromedp.Do(w.ctx, chromedp.Navigate(address)))
}
