//go:build browser

package page

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// The tests of the pages in a real browser: Debian's chromium, with axe-core, which .ci/deps puts into bin/.

var (
	update  = flag.Bool("update", false, "write the golden pictures anew; then look at them")
	picture = flag.String("pictures", "", "write a picture of every page that is passed into this folder")
)

// axePath is where .ci/deps puts axe-core.
const axePath = "../../../bin/axe.min.js"

// tab is a tab of a browser on a site.
type tab struct {
	testing.TB
	ctx   context.Context
	site  *site
	url   string
	axe   string // empty: scripts are off
	name  string // of the way the pages are shown
	dark  bool
	wide  int64
	high  int64
	plain bool // without scripts
	quick bool // without axe, which takes its time
	keyed int  // keys that were pressed, and clicks
}

// newBrowser starts a browser, whose tabs share what it keeps.
func newBrowser(t testing.TB) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath("chromium"), chromedp.NoSandbox)
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	must(t, chromedp.Do(ctx, chromedp.Navigate("about:blank")))
	return ctx
}

// TestBrowserAxe shows that axe would find what is wrong.
func TestBrowserAxe(t *testing.T) {
	d := newTab(t, newBrowser(t), newSite(t, Config{Book: newBook(t, true), Who: "Ada"}), "axe", 1280, 900, false, true)
	d.open("/jobs", "jobs")
	d.do(clicked(`document.querySelector("[name=job]").removeAttribute("aria-label"); document.querySelector("h1").remove(); document.querySelector("caption").style.color = "#999"`))
	found := d.axed()
	for _, rule := range []string{"label", "page-has-heading-one", "color-contrast"} {
		if !slices.ContainsFunc(found, func(f string) bool { return strings.HasPrefix(f, rule+":") }) {
			t.Errorf("axe does not find %s: %q", rule, found)
		}
	}
}

// newTab opens a tab of a size, light or dark, with scripts or without. Whatever the page writes to its console is an error.
func newTab(t testing.TB, browser context.Context, s *site, name string, wide, high int64, dark, scripts bool) *tab {
	t.Helper()
	ctx, stop := chromedp.NewContext(browser)
	t.Cleanup(stop)
	b := &tab{TB: t, ctx: ctx, site: s, url: s.url, name: name, dark: dark, wide: wide, high: high, plain: !scripts}
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	must(t, chromedp.Do(ctx, chromedp.EmulateViewport(wide, high)))
	_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme},
		{Name: "prefers-reduced-motion", Value: "reduce"}}}) // else a press misses what is still moving into view
	must(t, err)
	if !scripts {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		must(t, err)
		return b
	}
	messages := chromedp.Console(ctx)
	go func() { // what fails in a script
		for m, err := range messages {
			if text := fmt.Sprint(m); err == nil && !strings.Contains(text, "Failed to load resource") && !strings.Contains(text, "the end") &&
				!strings.Contains(text, "Autofocus processing was blocked") { // which happens where a test is quicker with the focus than the page
				t.Errorf("%s: the console says: %s", name, text)
			}
		}
	}()
	data, err := os.ReadFile(axePath)
	if err != nil {
		t.Fatalf("axe-core is missing: run make browser, which fetches it: %v", err)
	}
	b.axe = string(data)
	return b
}

// do runs actions, each within a time.
func (b *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	b.Helper()
	ctx, stop := context.WithTimeout(b.ctx, 20*time.Second)
	defer stop()
	if err := chromedp.Do(ctx, actions...); err != nil {
		text, _ := chromedp.Run(b.ctx, chromedp.Text(chromedp.CSS("body")))
		b.Fatalf("%s: %v; the page says: %.1500s", b.name, err, blanks.ReplaceAllString(text, " "))
	}
}

// open goes to a page and looks at it.
func (b *tab) open(path, name string) {
	b.Helper()
	b.navigate(path)
	b.look(name)
}

// navigate goes to a page. A page that is just leading on to another by itself can break that off; then it is asked for again.
func (b *tab) navigate(path string) {
	b.Helper()
	ctx, stop := context.WithTimeout(b.ctx, 20*time.Second)
	defer stop()
	for {
		err := chromedp.Do(ctx, chromedp.Navigate(b.url+path))
		if err == nil {
			return
		}
		if !strings.Contains(err.Error(), "ERR_ABORTED") || ctx.Err() != nil {
			b.Fatalf("%s: %s: %v", b.name, path, err)
		}
	}
}

// click presses what a selector finds, and waits for the page that it leads to.
func (b *tab) click(selector string) {
	b.Helper()
	b.keyed++
	ctx, stop := context.WithTimeout(b.ctx, 20*time.Second)
	defer stop()
	for !b.plain && !eval[bool](b, `document.readyState === "complete"`) {
		time.Sleep(20 * time.Millisecond)
	}
	for {
		err := chromedp.Do(ctx, chromedp.ScrollIntoView(chromedp.CSS(selector)), chromedp.Click(chromedp.CSS(selector)))
		if err == nil {
			break
		}
		if !strings.Contains(err.Error(), "node with given id") || ctx.Err() != nil { // else the page is just leading on to another
			b.Fatalf("%s: %s: %v", b.name, selector, err)
		}
	}
	b.do(chromedp.WaitReady(chromedp.CSS("footer")))
}

// choose presses a choice until it is chosen: a press can miss where the page is still moving into view.
func (b *tab) choose(selector string) {
	b.Helper()
	end := time.Now().Add(20 * time.Second)
	for {
		b.click(selector)
		b.keyed--
		ctx, stop := context.WithTimeout(b.ctx, time.Second)
		err := chromedp.Do(ctx, chromedp.WaitReady(chromedp.CSS(selector+":checked")))
		stop()
		if err == nil {
			b.keyed++
			return
		}
		if time.Now().After(end) {
			b.Fatalf("%s: %s cannot be chosen: %v", b.name, selector, err)
		}
	}
}

func (b *tab) keys(selector, keys string) {
	b.Helper()
	b.keyed += len(keys)
	b.do(chromedp.SendKeys(chromedp.CSS(selector), keys))
}

func (b *tab) text(selector string) string {
	b.Helper()
	ctx, stop := context.WithTimeout(b.ctx, 20*time.Second)
	defer stop()
	for {
		text, err := chromedp.Run(ctx, chromedp.TextContent(chromedp.CSS(selector)))
		if err == nil {
			return blanks.ReplaceAllString(text, " ")
		}
		if ctx.Err() != nil {
			b.Fatalf("%s: %v", b.name, err)
		}
		time.Sleep(20 * time.Millisecond) // the page is just leading on to another
	}
}

// says waits until the page says something.
func (b *tab) says(words string) {
	b.Helper()
	end := time.Now().Add(15 * time.Second)
	for {
		text := b.text("body")
		if strings.Contains(text, words) {
			return
		}
		if time.Now().After(end) {
			b.Fatalf("%s: the page does not say %q: %.2000s", b.name, words, text)
		}
		time.Sleep(30 * time.Millisecond)
	}
}

// eval gives what a script gives. Where the script fails it is tried again for a while: a page that is just leading on to another has no
// body, or goes before the script has ended.
func eval[T any](b *tab, script string) T {
	b.Helper()
	ctx, stop := context.WithTimeout(b.ctx, 20*time.Second)
	defer stop()
	var last error
	for {
		v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
		if err == nil {
			return v
		}
		if ctx.Err() != nil {
			b.Fatalf("%s: %.200s: %v; before: %v", b.name, script, err, last)
		}
		last = err
		time.Sleep(50 * time.Millisecond)
	}
}

// look looks at the page that is shown: nothing is wider than the screen, and axe finds nothing.
func (b *tab) look(name string) {
	b.Helper()
	if *picture != "" {
		data, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
		must(b, err)
		must(b, os.MkdirAll(*picture, 0o755))
		must(b, os.WriteFile(filepath.Join(*picture, name+"-"+b.name+".png"), data, 0o644))
	}
	if b.plain {
		return
	}
	if over := eval[int](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
		b.Errorf("%s, %s: the page is %d pixels wider than the screen: %s", name, b.name, over,
			eval[string](b, `[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".wide")).slice(0, 5).map(e => e.outerHTML.slice(0, 120)).join("\n")`))
	}
	if b.quick {
		return
	}
	for _, f := range b.axed() {
		b.Errorf("%s, %s: axe: %s", name, b.name, f)
	}
}

// axed gives what axe finds.
func (b *tab) axed() []string {
	b.Helper()
	for {
		found := eval[*[]string](b, `document.readyState !== "complete" || typeof axe === "undefined" ? null :
			axe.run(document, {resultTypes: ["violations"], runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]})
			.then(r => r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " " + n.failureSummary.slice(0, 200)).join(" | ")))`)
		if found != nil {
			return *found
		}
		eval[bool](b, b.axe+"; true")
	}
}

// golden compares what is shown with a picture that was looked at.
func (b *tab) golden(name string) {
	b.Helper()
	data, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	must(b, err)
	file := filepath.Join("testdata", name+"-"+b.name+".png")
	if *update {
		must(b, os.MkdirAll("testdata", 0o755))
		must(b, os.WriteFile(file, data, 0o644))
		return
	}
	got, err := png.Decode(bytes.NewReader(data))
	must(b, err)
	was, err := os.ReadFile(file)
	must(b, err)
	want, err := png.Decode(bytes.NewReader(was))
	must(b, err)
	if d := difference(got, want); d > pictureTolerance {
		bad := filepath.Join(os.TempDir(), "longpoint-"+name+"-"+b.name+".png")
		os.WriteFile(bad, data, 0o644)
		b.Errorf("%s: the page differs from %s by %.3f, more than %.3f; as it is now it is in %s", b.name, file, d, pictureTolerance, bad)
	}
}

// pictureTolerance is how far apart two pictures may be, as difference has it: another version of the browser draws letters a little
// otherwise; a line that is moved or missing takes more (TestDifference).
const pictureTolerance = 0.08

// difference is the greatest mean difference in grey over tiles of 64 × 64 pixels, taken in cells of 4 × 4, black against white being 1.
// Different sizes are wholly different.
func difference(a, b image.Image) float64 {
	const cell, tile = 4, 16
	if a.Bounds().Size() != b.Bounds().Size() {
		return 1
	}
	sums := map[image.Point]float64{}
	for y := range a.Bounds().Dy() / cell {
		for x := range a.Bounds().Dx() / cell {
			d := grey(a, x*cell, y*cell, cell) - grey(b, x*cell, y*cell, cell)
			sums[image.Point{X: x / tile, Y: y / tile}] += max(d, -d) / (tile * tile)
		}
	}
	most := 0.0
	for _, d := range sums {
		most = max(most, d)
	}
	return most
}

func grey(m image.Image, x, y, cell int) float64 {
	sum := 0
	for j := range cell {
		for i := range cell {
			sum += int(color.GrayModel.Convert(m.At(m.Bounds().Min.X+x+i, m.Bounds().Min.Y+y+j)).(color.Gray).Y)
		}
	}
	return float64(sum) / float64(255*cell*cell)
}

// TestDifference shows that the comparison of pictures can tell: a golden picture is not like another page, nor like itself with a strip
// of it blank.
func TestDifference(t *testing.T) {
	files, err := filepath.Glob("testdata/*.png")
	must(t, err)
	if len(files) < 4 {
		t.Fatalf("there are %d golden pictures", len(files))
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		must(t, err)
		m, err := png.Decode(bytes.NewReader(data))
		must(t, err)
		if d := difference(m, m); d != 0 {
			t.Errorf("%s differs from itself by %.3f", name, d)
		}
		if d := difference(m, blanked{m}); d <= pictureTolerance {
			t.Errorf("%s without its head differs by %.3f only", name, d)
		}
	}
}

// blanked is a picture with its upper part blank.
type blanked struct{ image.Image }

func (b blanked) At(x, y int) color.Color {
	if y < b.Bounds().Min.Y+200 {
		return b.Image.At(b.Bounds().Max.X-1, b.Bounds().Max.Y-1)
	}
	return b.Image.At(x, y)
}

// TestBrowserWeek plays the week in a browser with scripts, by clicks and keys, from an empty book; each page it passes is looked at.
func TestBrowserWeek(t *testing.T) {
	b := newBook(t, false)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	d := newTab(t, newBrowser(t), s, "desktop", 1280, 900, false, true)
	d.open("/", "fill")
	d.click(`button[value="small"]`)
	d.says("The book is filled.")
	d.look("jobs")
	d.click(`a[href="/jobs/new"]`)
	d.look("newjob")
	d.keys(`#job`, "106\t")
	d.do(chromedp.SetValue(chromedp.CSS(`#due`), "2027-04-08"))
	d.keys(`#customer`, "surgery")
	d.keys(`input[name="width"]`, "21 cm\t290") // the next field by the Tab key
	d.says("A C 277 mm, B D 357 mm")
	d.keys(`input[name="height"]`, "\r") // the next frame by Enter
	d.keys(`tr[data-row="1"] [name="width"]`, "8 x")
	d.says("is not a length")
	d.look("slip")
	d.keys(`tr[data-row="1"] [name="width"]`, "\b\b in\t10 in")
	d.says("Moulding: 1182.4 mm")
	d.golden("jobform")
	d.click(`button[value="take"]`)
	d.says("Taken in: 106.")
	d.look("job")
	d.click(`a[href="/plan"]`)
	d.look("plan")
	d.click(`form[action="/plan"] button.main`)
	d.says("Put this into orders")
	d.look("oneplan")
	d.golden("plan")
	d.open("/plan/of/1/oak-40", "profile")
	d.open("/plan/of/1", "oneplan")
	d.click(`form[action="/orders/place"] button`)
	d.says("Nothing is sent yet.")
	d.look("orders")
	d.click(`h2 a[href="/orders/1"]`)
	d.look("order")
	d.click(`form[action="/orders/1/send"] button`)
	d.says("has gone to its supplier")
	d.keys(`form:has([value="1"][name="line"]) [name="sticks"]`, "1") // received short
	d.click(`form:has([value="1"][name="line"]) button`)
	d.says("On the rack: P1-1.")
	d.click(`form[action="/orders/1/receive"] button.main`)
	d.says("On the rack: P1-2, P1-3 and P1-4.")
	d.open("/bench", "bench")
	d.click(`button[value="oak-40"]`)
	d.says("before the first cut")
	d.look("runbegin")
	d.click(`.presses a.button`)
	d.look("run")
	total := strings.Split(strings.Split(d.text("[data-line]"), " of ")[1], " ")[0]
	d.click(`button[value="done"]`)
	d.says("1 of " + total + " sides done.")
	d.do(chromedp.KeyEvent("t")) // the focus is on a button: keys press all the same
	d.says("The rest is planned anew")
	d.says("1 torn")
	d.look("torn")
	d.do(chromedp.Blur(chromedp.CSS(`button[value="done"]`)), chromedp.KeyEvent("\r"))
	d.says("2 of " + total + " sides done, 1 torn.")
	d.click(`[data-undo]`)
	d.says("Take back step")
	d.look("undo")
	d.click(`form[action="/undo"] button.main`)
	d.says("1 of " + total + " sides done, 1 torn.")
	d.do(chromedp.KeyEvent("w"))
	time.Sleep(400 * time.Millisecond) // what follows within 300 is a scanner's
	d.click(`summary`)
	d.keys(`[name="what"]`, "a knot")
	d.click(`button[value="flaw"]`)
	d.says("The rest is planned anew")
	if eval[bool](d, `document.querySelector("details").open || document.querySelector("[name=what]").value !== ""`) {
		t.Error("what was said of the stick still stands there")
	}
	d.look("flaw")
	code := eval[string](d, `document.querySelector("[name=side]").value`)
	d.do(chromedp.KeyEvent(code), chromedp.KeyEvent("\r")) // a scanner types the code of the side that is shown
	d.says("2 of " + total + " sides done")
	for n := 0; !strings.Contains(d.text("h1"), "to be finished") && !strings.Contains(d.text("h1"), "waits for wood"); n++ {
		if n > 100 {
			t.Fatal("the run does not end")
		}
		done := strings.Split(d.text("body"), " of "+total)[0]
		d.do(clicked(`(document.querySelector('button[value="done"]') || document.body)?.click()`))
		for end := time.Now().Add(10 * time.Second); strings.Split(d.text("body"), " of "+total)[0] == done && time.Now().Before(end); {
			time.Sleep(10 * time.Millisecond)
		}
	}
	d.look("runend")
	if strings.Contains(d.text("h1"), "waits for wood") {
		d.click(`input[name="leave"]`)
	}
	d.click(`form[action$="/finish"] .presses button`)
	d.says("Run 1 is finished")
	d.look("runover")
	for _, page := range []string{"/rack", "/rack/of/S1", "/rack/count?profile=oak-40", "/diary", "/yield?by=week", "/blades", "/tables", "/help", "/help/page", "/sign-in", "/jobs/paste", "/no-such-page", "/bench/run/1/sticks"} {
		d.open(page, strings.Trim(strings.NewReplacer("/", "-", "?", "-", "=", "-").Replace(page), "-"))
	}
	if got := s.get(200, "/paper/run/1/labels.pdf"); !strings.HasPrefix(got, "%PDF") {
		t.Errorf("labels: %.40s", got)
	}
	if found, err := b.Check(t.Context()); err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
}

// clicked runs a script for what it does.
func clicked(script string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Evaluate[any](script)(ctx, t)
		return err
	})
}

// shop is a book in which there is something of everything: plans, orders, a run that goes on.
func browserShop(t testing.TB) *site {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	s.post(200, "/jobs/new", typedForm("106", "2027-04-08", "oak-40", "210", "290")...)
	s.post(200, "/plan", "limit", "10s")
	s.planned()
	s.post(200, "/orders/place", "plan", "1")
	s.post(200, "/orders/1/send")
	s.post(200, "/orders/1/receive", "place", "left")
	s.post(200, "/blades", "do", "add", "set", "wide", "height", "60", "edges", "2")
	s.post(200, "/bench/start", "profile", "oak-40")
	s.pressNext(1, s.get(200, "/bench/run/1?begin=1"), "done")
	return s
}

// shownPages are all pages of browserShop that are looked at.
var shownPages = []string{"/jobs", "/jobs/new", "/jobs/of/104", "/jobs/of/104/change", "/plan/of/1", "/plan/of/1/oak-40", "/orders", "/orders/1", "/bench", "/bench/run/1?begin=1", "/rack", "/rack/of/S1", "/diary", "/blades",
	"/tables", "/tables/row?of=offers", "/settings", "/settings/odd", "/tables/prices", "/settings/supplier?of=Invented+Timber", "/plan", "/plan/next/1", "/help/tables", "/undo", "/bench/run/1/sticks", "/bench/run/1/end"}

// validatePath is where .ci/deps puts html-validate.
const validatePath = "../../../bin/html-validate/node_modules/.bin/html-validate"

// validated has html-validate read every page, and shows that it would find what is wrong.
func validated(t *testing.T, s *site) {
	t.Helper()
	dir := t.TempDir()
	for i, page := range append([]string{"wrong"}, shownPages...) {
		text := s.get(200, shownPages[max(0, i-1)])
		if page == "wrong" {
			text = strings.Replace(text, "</header>", `<p id="main"></header>`, 1)
		}
		must(t, os.WriteFile(filepath.Join(dir, asID(page)+".html"), []byte(text), 0o600))
	}
	out, err := exec.Command(validatePath, "--preset", "standard", "--formatter", "text", dir).Output()
	if _, failed := err.(*exec.ExitError); !failed {
		t.Fatalf("html-validate, which make browser fetches: %v", err)
	}
	planted := false
	for line := range strings.Lines(string(out)) {
		if strings.HasPrefix(line, filepath.Join(dir, "wrong.html")) {
			planted = planted || strings.Contains(line, "no-dup-id")
			continue
		}
		t.Error(line)
	}
	if !planted {
		t.Errorf("html-validate finds no second id: %s", out)
	}
}

// TestBrowserSizes looks at every page at the size of a desktop, a tablet and a telephone, and at 320 pixels, which a desktop shows at
// four times the size; light and dark.
func TestBrowserSizes(t *testing.T) {
	s := browserShop(t)
	validated(t, s)
	browser := newBrowser(t)
	for n, c := range []struct {
		name       string
		wide, high int64
		dark       bool
	}{{"desktop-dark", 1280, 900, true}, {"tablet", 820, 1180, false}, {"telephone-dark", 412, 900, true}, {"narrow", 320, 700, false}} {
		d := newTab(t, browser, s, c.name, c.wide, c.high, c.dark, true)
		d.quick = n == 1 || n == 2
		for i, page := range shownPages {
			if n == 0 || n == 3 || i%2 == 0 || *picture != "" {
				d.open(page, strings.Trim(strings.NewReplacer("/", "-", "?", "-", "=", "-").Replace(page), "-"))
			}
		}
		d.navigate("/bench/run/1?begin=1")
		d.says("sides done")
		d.golden("run")
	}
	for _, high := range []int64{720, 600} {
		d := newTab(t, browser, s, fmt.Sprintf("low-%d", high), 1280, high, false, true)
		d.quick = true
		d.open("/bench/run/1?begin=1", "run")
		if over := eval[float64](d, `document.querySelector("[data-cut]").getBoundingClientRect().bottom - document.querySelector("[data-press] > .presses").getBoundingClientRect().top`); over > 0 {
			t.Errorf("in a window %d pixels high the buttons lie over %.0f pixels of the cut", high, over)
		}
	}
}

// TestBrowserPlain goes through the bench and a job in a browser without scripts, on a telephone.
func TestBrowserPlain(t *testing.T) {
	s := browserShop(t)
	d := newTab(t, newBrowser(t), s, "plain", 412, 900, true, false)
	d.open("/jobs/new", "jobs-new")
	d.keys(`#job`, "107")
	d.do(chromedp.SetAttributeValue(chromedp.CSS(`#due`), "value", "2027-04-09"))
	d.keys(`input[name="width"]`, "180")
	d.keys(`input[name="height"]`, "240")
	d.click(`button[value="draw"]`)
	d.says("long points")
	d.click(`button[value="more"]`)
	d.click(`button[value="take"]`)
	d.says("Taken in: 107.")
	d.open("/plan", "plan")
	d.click(`form[action="/plan"] button.main`)
	d.says("Plan 2") // by a refresh
	d.open("/bench/run/1?begin=1", "run")
	d.says(" 1 of 16 sides done")
	d.click(`button[value="done"]`)
	d.says(" 2 of 16 sides done")
	d.click(`[data-wait]`)
	d.click(`button[value="torn"]`)
	d.says("1 torn")
	d.look("torn")
	d.navigate("/bench/run/1?begin=1") // Enter in a field says nothing of the cut
	d.click(`[data-flaw] summary`)
	d.keys(`input[name="length"]`, "1200\r")
	d.says("it is not said what became of it")
}

// TestBrowserKeys: every control of a page is reached by the Tab key, and is seen when it has the focus.
func TestBrowserKeys(t *testing.T) {
	s := browserShop(t)
	d := newTab(t, newBrowser(t), s, "keys", 1280, 900, false, true)
	for _, page := range []string{"/jobs", "/jobs/new", "/bench/run/1?begin=1", "/orders/1", "/plan/of/1"} {
		d.navigate(page)
		d.do(clicked(`window.all = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")].filter(e => e.checkVisibility() && !e.disabled).length;
			window.reached = new Set(); document.activeElement.blur(); scrollTo(0, 0)`))
		all := eval[int](d, `all`)
		for range all + 20 { // a field for a day is several stops
			d.do(chromedp.KeyEvent("\t"))
			unseen := d.unseen()
			if unseen != "" { // the frame may not be drawn yet
				time.Sleep(100 * time.Millisecond)
				unseen = d.unseen()
			}
			if unseen != "" {
				d.Errorf("%s: not seen with the focus: %s", page, unseen)
			}
		}
		if reached := eval[int](d, `reached.size`); reached < all {
			d.Errorf("%s: %d of %d controls are reached: %s", page, reached, all,
				eval[string](d, `[...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")].filter(e => e.checkVisibility() && !reached.has(e)).map(e => e.outerHTML.slice(0, 80)).join("; ")`))
		}
	}
}

// unseen is what has the focus and does not show it.
func (b *tab) unseen() string {
	b.Helper()
	return eval[string](b, `(e => {
		if (e === document.body || reached.has(e)) return "";
		const s = getComputedStyle(e);
		if (s.outlineStyle === "none" || parseFloat(s.outlineWidth) < 2) return e.outerHTML.slice(0, 100);
		reached.add(e);
		return "";
	})(document.activeElement)`)
}

// TestBrowserSteady: nothing moves once it is shown, no page writes to its console, and the first page is usable soon.
func TestBrowserSteady(t *testing.T) {
	s := browserShop(t)
	browser := newBrowser(t)
	d := newTab(t, browser, s, "steady", 1280, 900, false, true)
	messages := chromedp.Console(d.ctx)
	var fast []float64
	for _, page := range []string{"/", "/jobs/new", "/bench/run/1?begin=1", "/plan/of/1", "/", "/", "/"} {
		d.navigate(page)
		moved := eval[float64](d, `new Promise(done => { let sum = 0; new PerformanceObserver(l => l.getEntries().forEach(e => sum += e.value)).observe({type: "layout-shift", buffered: true}); setTimeout(() => done(sum), 400); })`)
		if moved > 0.001 {
			t.Errorf("%s moves by %.3f after it is shown", page, moved)
		}
		if page == "/" {
			fast = append(fast, eval[float64](d, `performance.getEntriesByType("navigation")[0].domInteractive`))
		}
	}
	t.Logf("the first page can be used after %.0f ms", fast)
	eval[int](d, `console.log("the end"), 1`)
	for m, err := range messages {
		must(t, err)
		if strings.Contains(fmt.Sprint(m), "the end") {
			break
		}
		t.Errorf("the console says: %v", m)
	}
}

// TestBrowserTwo: two tabs on one run press done at the same moment, over and over.
func TestBrowserTwo(t *testing.T) {
	b := manyCuts(t, *rivals/3)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	var run benchJSON
	must(t, json.Unmarshal([]byte(s.get(200, "/api/runs/1")), &run))
	n := run.ToCut
	browser := newBrowser(t)
	one, two := newTab(t, browser, s, "one", 1024, 800, false, true), newTab(t, newBrowser(t), s, "two", 1024, 800, false, true)
	for _, d := range []*tab{one, two} {
		d.navigate("/bench/run/1?begin=1")
	}
	for i := range n {
		// Both show the same cut before either presses.
		for _, d := range []*tab{one, two} {
			d.says(fmt.Sprintf(" %d of %d sides done", i, n))
		}
		pressed := make(chan error, 2)
		for _, d := range []*tab{one, two} {
			go func() {
				pressed <- chromedp.Do(d.ctx, clicked(`document.querySelector('button[value="done"]').click()`))
			}()
		}
		for range 2 {
			must(t, <-pressed)
		}
	}
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if r, err := b.Run(t.Context(), 1); err == nil && r.ID == 1 && !strings.Contains(s.get(200, "/api/runs/1"), `"to_cut":0`) {
			continue
		}
		break
	}
	everyCutOnce(t, b, n)
}

// TestBrowserAway: what is pressed while the server is not there is kept, through a reload too, and sent once when it is back.
func TestBrowserAway(t *testing.T) {
	b := manyCuts(t, 12)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	between := newBroken(t, strings.TrimPrefix(s.url, "http://"))
	d := newTab(t, newBrowser(t), s, "away", 1024, 800, false, true)
	d.url = "http://" + between.Addr().String()
	d.navigate("/bench/run/1?begin=1")
	d.says(" 0 of 36 sides done")
	d.click(`button[value="done"]`)
	d.says(" 1 of 36 sides done")
	between.set(true)
	before := d.text("[data-cut]")
	for range 3 {
		d.do(clicked(`document.querySelector('button[value="done"]').click()`))
	}
	d.says("The server is not there. What was pressed is kept here (3)")
	if d.text("[data-cut]") == before {
		t.Error("the page does not go on while the server is away")
	}
	d.look("away")
	between.set(false)
	d.do(chromedp.Reload()) // at once, with all three still kept
	d.says(" 4 of 36 sides done")
	d.do(chromedp.Sleep(2 * time.Second))
	d.says(" 4 of 36 sides done")
	everyCutOnce(t, b, 4)
}

// TestBrowserCount counts the keys and clicks of a day: a job that comes in, the plan, its order sent and received short, and a run with a
// torn side, told cut by cut. Typed at the command line, the same takes more.
func TestBrowserCount(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	d := newTab(t, newBrowser(t), s, "count", 1280, 900, false, true)
	d.navigate("/")
	d.click(`a[href="/jobs/new"]`)
	d.keys(`#job`, "106\t")
	d.keys(`#due`, "04082027\t")
	d.keys(`#customer`, "surgery")
	d.keys(`input[name="width"]`, "210\t290")
	d.click(`button[value="take"]`)
	d.says("Taken in: 106.")
	d.click(`a[href="/plan"]`)
	d.click(`form[action="/plan"] button.main`)
	d.says("Put this into orders")
	d.click(`form[action="/orders/place"] button`)
	d.says("Nothing is sent yet.")
	d.click(`h2 a[href="/orders/1"]`)
	d.click(`form[action="/orders/1/send"] button`)
	d.says("has gone to its supplier")
	d.keys(`form:has([value="1"][name="line"]) [name="sticks"]`, "1")
	d.click(`form:has([value="1"][name="line"]) button`)
	d.says("On the rack: P1-1.")
	d.click(`form[action="/orders/1/receive"] button.main`)
	d.says("On the rack: P1-2")
	d.click(`a[href="/bench"]`)
	d.click(`button[value="oak-40"]`)
	d.click(`.presses a.button`)
	d.click(`button[value="done"]`)
	d.says(" 1 of 16 sides done")
	d.do(chromedp.Blur(chromedp.CSS(`button[value="done"]`)), chromedp.KeyEvent("t"))
	d.keyed++
	d.says("1 torn")
	for done := 1; done < 6; done++ {
		d.says(fmt.Sprintf(" %d of 16 sides done", done))
		d.do(chromedp.KeyEvent("\r"))
		d.keyed++
	}
	d.says(" 6 of 16 sides done")
	typed := 0
	for _, line := range []string{"nano new.csv", "job,due,customer,frame,profile,width,height", "106,2027-04-08,surgery,1,oak-40,210,290", "\x18y", "longpoint take new.csv", "longpoint plan --summary", "longpoint order",
		"longpoint order send", "longpoint receive 1 --line 1", "longpoint receive 1", "longpoint run oak-40", "longpoint cut P1-1:1", "longpoint cut P1-1:2 --became torn", "longpoint cut P1-1:3", "longpoint cut P1-1:4",
		"longpoint cut P1-1:5", "longpoint cut P1-2:6", "longpoint cut P1-2:7"} {
		typed += len(line) + 1 // and Enter
	}
	t.Logf("%d keys and clicks on the pages, %d keys at the command line", d.keyed, typed)
	if d.keyed >= typed {
		t.Errorf("the pages take %d keys and clicks, the command line %d", d.keyed, typed)
	}
}

// TestBrowserAgain: a form that was refused is there again with what was typed, a slip of a long form is one click away, and nobody leaves that form by mistake.
func TestBrowserAgain(t *testing.T) {
	s := newSite(t, Config{Book: newBook(t, true), Who: "Ada"})
	d := newTab(t, newBrowser(t), s, "again", 1280, 900, false, true)
	d.navigate("/rack")
	d.keys(`#length`, "wide")
	d.keys(`#place`, "left")
	d.do(clicked(`document.querySelector("[name=offcut]").checked = true`))
	d.click(`form[action="/rack/add"] button`)
	d.says("That did not work")
	d.click(`[data-again] a`)
	d.says("Put it on the rack")
	typed := `document.querySelector("#length").value + document.querySelector("#place").value + document.querySelector("[name=offcut]").checked`
	if got := eval[string](d, typed); got != "widelefttrue" {
		t.Errorf("what was typed is gone: %s", got)
	}
	d.navigate("/rack")
	if got := eval[string](d, typed); got != "false" {
		t.Errorf("it is there once more: %s", got)
	}
	d.navigate("/settings")
	shave := `document.querySelector("#machine_2eshave")`
	d.do(clicked(shave + `.value = "2.4 xx"; ` + shave + `.dispatchEvent(new Event("input", { bubbles: true }))`))
	d.click(`button[value="change"]`)
	d.says("1 slip, named beside its field: shave")
	d.look("settings-slip")
	if got := eval[bool](d, `dispatchEvent(new Event("beforeunload", { cancelable: true }))`); got {
		t.Error("the form is left without a question")
	}
	d.click(`.wrong a`)
	if got := eval[string](d, `location.hash + document.querySelector(":target").value`); got != "#machine_2eshave2.4 xx" {
		t.Errorf("the slip leads to %s", got)
	}
	d.do(clicked(shave + `.value = "2.4"`))
	d.click(`button[value="change"]`)
	d.says("Changed: machine.shave")
	if got := eval[bool](d, `dispatchEvent(new Event("beforeunload", { cancelable: true }))`); !got {
		t.Error("a form in which nothing is typed is not left")
	}
}
