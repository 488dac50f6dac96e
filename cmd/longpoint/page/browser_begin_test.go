//go:build browser

package page

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// TestBrowserBegin begins in a browser: the choice, the six questions with slips, what comes next, profiles, an offer, a job, a plan and
// its labels. With scripts and without, wide and narrow, light and dark; each page it passes is looked at.
func TestBrowserBegin(t *testing.T) {
	browser := newBrowser(t)
	for _, c := range []struct {
		name          string
		wide, high    int64
		dark, scripts bool
	}{{"desktop", 1280, 900, false, true}, {"telephone-dark", 390, 844, true, true}, {"plain", 1024, 768, false, false}} {
		t.Run(c.name, func(t *testing.T) {
			s, _ := newBeginning(t)
			d := newTab(t, browser, s, c.name, c.wide, c.high, c.dark, c.scripts)
			d.open("/", "begin")
			d.click(`a[href="/start"]`)
			d.look("questions")
			if c.name == "desktop" {
				d.golden("questions")
			}
			d.choose(`input[value="mm"]`)
			d.keys(`#currency`, "euros")
			d.choose(`input[value="guillotine"]`)
			d.keys(`#machine-overrun`, "0.5")
			d.keys(`#machine-kerf`, "3")
			d.keys(`#machine-shave`, "2")
			d.keys(`#defaults-allowance`, "3")
			d.keys(`#defaults-keep`, "300")
			d.click(`form[action="/start"] button.main`)
			d.says("2 answers cannot be taken as they are")
			d.says("a guillotine has no kerf; take it out, or change the answer to question 3")
			d.look("questions-slips")
			if got := eval[string](d, `document.querySelector("#defaults-keep").value + document.querySelector("input[value=guillotine]").checked`); got != "300true" {
				t.Errorf("what was typed is gone: %s", got)
			}
			d.do(chromedp.SetValue(chromedp.CSS(`#currency`), "EUR"), clicked(`document.querySelector("#machine-kerf").value = ""`))
			d.click(`form[action="/start"] button.main`)
			d.says("What comes next")
			d.look("begun")
			d.click(`ol a[href="/tables"]`)
			d.keys(`#cells`, "profile,width,rebate\roak,40,8\r")
			d.keys(`form:has(#cells) [name="why"]`, "ours")
			d.click(`form:has(#cells) button[value="take"]`)
			d.says("Tables taken in")
			d.look("taken-first")
			d.open("/tables", "tables-first")
			d.do(chromedp.SetValue(chromedp.CSS(`#table`), "offers"))
			d.keys(`#cells`, "supplier,profile,stick_length,price\rInvented Timber,oak,3000,21.00\r")
			d.keys(`form:has(#cells) [name="why"]`, "ours")
			d.click(`form:has(#cells) button[value="take"]`)
			d.says("Tables taken in")
			d.open("/jobs/new", "job-first")
			d.keys(`#job`, "1")
			d.do(chromedp.SetValue(chromedp.CSS(`#due`), "2027-04-08"))
			d.keys(`input[name="width"]`, "300")
			d.keys(`input[name="height"]`, "400")
			d.click(`button[value="take"]`)
			d.says("Taken in: 1.")
			d.click(`a[href="/plan"]`)
			d.click(`form[action="/plan"] button.main`)
			s.s = s.s.next.Load() // which has the book
			for end := time.Now().Add(20 * time.Second); s.s.lastTask() == nil && time.Now().Before(end); {
				time.Sleep(20 * time.Millisecond)
			}
			s.planned()
			d.open("/plan/of/1", "plan-first")
			d.says("oak")
			if got := s.get(200, "/paper/plan/1/labels.pdf"); !strings.HasPrefix(got, "%PDF") {
				t.Errorf("labels: %.40s", got)
			}
			d.click(`form[action="/stop"] button`)
			d.says("Longpoint has stopped")
			d.look("stopped")
		})
	}
}
