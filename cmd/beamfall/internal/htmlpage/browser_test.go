package htmlpage

import (
	"context"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Pages are tested where they are used: in a browser, opened from a file.

var thorough = flag.Bool("browser", false,
	"fail rather than skip where there is no Chromium, and try the demo at 100 settings")

// names that Chromium goes by.
var names = []string{"chromium", "chromium-browser", "google-chrome", "chrome"}

var chromium = sync.OnceValues(func() (context.Context, func()) {
	at := slices.IndexFunc(names, func(name string) bool { _, err := exec.LookPath(name); return err == nil })
	if at < 0 {
		return nil, func() {}
	}
	dir, err := os.MkdirTemp("", "beamfall-browser")
	if err != nil {
		panic(err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(dir), chromedp.ExecPath(names[at]),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
	)
	ctx, endBrowser := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, end := chromedp.NewContext(ctx)
	return ctx, func() {
		end()
		endBrowser()
		for range 20 { // its children may still write
			if os.RemoveAll(dir) == nil {
				return
			}
			time.Sleep(50 * time.Millisecond)
		}
	}
})

func TestMain(m *testing.M) {
	flag.Parse()
	code := m.Run()
	if begun {
		_, end := chromium()
		end()
	}
	os.Exit(code)
}

var begun bool // the browser

// tab is a page in a browser, and what it did that a page must not do.
type tab struct {
	*testing.T
	ctx   context.Context
	mu    sync.Mutex
	wrong []string
}

// open opens a page from a file, at a width and height in CSS pixels, with what stands behind # in
// its address.
func open(t *testing.T, page []byte, width, height int64, address string) *tab {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser is started in long tests only")
	}
	begun = true
	browser, _ := chromium()
	if browser == nil {
		if *thorough {
			t.Fatalf("none of %s is installed, and -browser asks for it", strings.Join(names, ", "))
		}
		t.Skipf("none of %s is installed: the page is not tried in a browser", strings.Join(names, ", "))
	}
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, page, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(browser); err != nil {
		t.Fatal(err)
	}
	ctx, end := chromedp.NewContext(browser)
	t.Cleanup(end)
	ctx, end = context.WithTimeout(ctx, 15*time.Minute)
	t.Cleanup(end)
	tab := &tab{T: t, ctx: ctx}
	if err := chromedp.Listen(ctx, tab.hear); err != nil {
		t.Fatal(err)
	}
	for _, on := range []cdp.Command[cdp.Empty, cdp.Empty]{log.Enable, runtime.Enable} {
		if _, err := chromedp.Call(ctx, on, cdp.Empty{}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	tab.do(
		chromedp.EmulateViewport(width, height),
		chromedp.Navigate("file://"+filepath.ToSlash(file)+address),
		chromedp.WaitVisible(chromedp.CSS("#main")),
	)
	return tab
}

// hear notes what the page logs, throws and asks for beside itself.
func (t *tab) hear(event any) {
	t.mu.Lock()
	defer t.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		t.wrong = append(t.wrong, "it wrote to the console")
	case *runtime.EventExceptionThrown:
		t.wrong = append(t.wrong, "it threw "+e.ExceptionDetails.Text)
	case *log.EventEntryAdded:
		t.wrong = append(t.wrong, "the browser logged "+e.Entry.Text)
	case *network.EventRequestWillBeSent:
		if !strings.HasPrefix(e.Request.URL, "file://") {
			t.wrong = append(t.wrong, "it asked for "+e.Request.URL)
		}
	}
}

// close reports what went wrong with the page.
func (t *tab) close() {
	t.Helper()
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, w := range t.wrong {
		t.Error(w)
	}
}

func (t *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(t.ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

// press presses keys in an element, and waits until the page has shown what that comes to.
func (t *tab) press(element string, keys ...string) {
	t.Helper()
	if element != "" {
		t.do(chromedp.Focus(chromedp.CSS(element)))
	}
	for _, key := range keys {
		t.do(chromedp.KeyEvent(key))
	}
	const frames = `new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`
	if _, err := chromedp.Run(t.ctx, chromedp.Evaluate[bool](frames, chromedp.EvalAwaitPromise)); err != nil {
		t.Fatal(err)
	}
}

// looks sets the colours that the browser asks for: light or dark.
func (t *tab) looks(scheme string) {
	t.Helper()
	_, err := chromedp.Call(t.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	if err != nil {
		t.Fatal(err)
	}
}

// ask evaluates a script's expression.
func ask[T any](t *tab, expression string) T {
	t.Helper()
	v, err := chromedp.Run(t.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		t.Fatalf("%s: %v", expression, err)
	}
	return v
}
