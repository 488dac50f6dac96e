//go:build browser

package manual

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// What .ci/deps puts into bin for the tests of pages.
const (
	axePath      = "../../../bin/axe.min.js"
	validatePath = "../../../bin/html-validate/node_modules/.bin/html-validate"
)

// validate gives what html-validate finds in a page; nothing where all is well.
func validate(t *testing.T, page string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(name, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(validatePath, "--preset", "recommended", name).CombinedOutput()
	if _, failed := err.(*exec.ExitError); err != nil && !failed {
		t.Fatalf("html-validate, which make browser fetches: %v", err)
	}
	return string(out)
}

// TestBrowserHTMLIsValid has html-validate read the page, and shows that it would find what is wrong.
func TestBrowserHTMLIsValid(t *testing.T) {
	page := string(HTML("1.2.3"))
	if found := validate(t, page); found != "" {
		t.Error(found)
	}
	if found := validate(t, strings.Replace(page, "</header>", "<p id=\"top\"></header>", 1)); !strings.Contains(found, "no-dup-id") {
		t.Errorf("html-validate finds no second id: %q", found)
	}
}

// TestBrowserAxe opens the page on screens from a telephone's to a desk's, in light and in the dark: axe finds nothing, and nothing is wider
// than the screen. A planted fault is found.
func TestBrowserAxe(t *testing.T) {
	axe, err := os.ReadFile(axePath)
	if err != nil {
		t.Fatalf("axe-core is missing: run make browser, which fetches it: %v", err)
	}
	name := filepath.Join(t.TempDir(), "manual.html")
	if err := os.WriteFile(name, HTML("1.2.3"), 0o600); err != nil {
		t.Fatal(err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath("chromium"), chromedp.NoSandbox)
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	defer stop()
	ctx, stop = chromedp.NewContext(ctx)
	defer stop()
	ctx, stop = context.WithTimeout(ctx, 4*time.Minute)
	defer stop()
	look := func(width int, scheme, plant, part string) (seen struct {
		Found []string
		Over  bool
	}) {
		t.Helper()
		media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}
		if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
			t.Fatal(err)
		}
		if err := chromedp.Do(ctx, chromedp.EmulateViewport(int64(width), 900), chromedp.Navigate("file://"+name)); err != nil {
			t.Fatal(err)
		}
		answer, err := chromedp.Run(ctx, chromedp.Evaluate[string](string(axe)+";"+plant+`; axe.run("`+part+`", {resultTypes: ["violations"],
			runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then(r => JSON.stringify(
			{Found: r.violations.map(v => v.id + ": " + v.nodes[0].html), Over: document.documentElement.scrollWidth > innerWidth}))`, chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal([]byte(answer), &seen); err != nil {
			t.Fatal(err)
		}
		return seen
	}
	for _, c := range []struct {
		width  int
		scheme string
	}{{320, "light"}, {1200, "dark"}} {
		seen := look(c.width, c.scheme, "", "html")
		for _, f := range seen.Found {
			t.Errorf("%d wide, %s: axe: %s", c.width, c.scheme, f)
		}
		if seen.Over {
			t.Errorf("at %d the page is wider than the screen", c.width)
		}
	}
	seen := look(320, "light", `document.querySelector("main").insertAdjacentHTML("beforeend",
		"<p style='color:#ccc;background:#fff;width:900px'>pale</p>")`, "main > p")
	if !seen.Over || !strings.Contains(strings.Join(seen.Found, " "), "color-contrast") {
		t.Errorf("a planted fault is not found: %+v", seen)
	}
}
