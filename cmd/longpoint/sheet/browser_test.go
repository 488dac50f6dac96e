//go:build browser

package sheet

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/chromedp"
)

// browse opens a page of ours in a browser without a window, and gives what it tells those who do not see it, by role, and
// the page as it prints it.
func browse(t *testing.T, html []byte) (roles map[string][]string, pdf []byte) {
	t.Helper()
	name := filepath.Join(t.TempDir(), "page.html")
	write(t, name, html)
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath("chromium"), chromedp.NoSandbox)
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	defer stop()
	ctx, stop = chromedp.NewContext(ctx)
	defer stop()
	ctx, stop = context.WithTimeout(ctx, 2*time.Minute)
	defer stop()
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+name)); err != nil {
		t.Fatal(err)
	}
	tree, err := chromedp.Call(ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	if err != nil {
		t.Fatal(err)
	}
	if pdf, err = chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground())); err != nil {
		t.Fatal(err)
	}
	roles = map[string][]string{}
	for _, n := range tree.Nodes {
		if n.Ignored || n.Role == nil {
			continue
		}
		role := strings.Trim(string(n.Role.Value), `"`)
		said := ""
		if n.Name != nil {
			said = strings.Trim(string(n.Name.Value), `"`)
		}
		roles[role] = append(roles[role], said)
	}
	return roles, pdf
}

// TestBrowserTells: a real browser finds the headings, tables, heads, boxes and drawings of a cut sheet and a ticket, each
// with a name, as many as there are.
func TestBrowserTells(t *testing.T) {
	s := sourceOf(t, handPlan(), A4)
	tickets, err := s.Tickets(4)
	if err != nil {
		t.Fatal(err)
	}
	for _, piece := range []Piece{s.Cuts(0), tickets[0]} {
		html := HTML(piece.Title, piece)
		roles, _ := browse(t, html)
		ours := readHTML(t, html)
		for role, want := range map[string]int{
			"heading":      len(ours.all("h1", "h2", "h3")),
			"table":        len(ours.all("table")),
			"columnheader": countHeads(ours),
			"checkbox":     len(ours.all("input")),
			"image":        len(ours.all("svg")),
		} {
			got := roles[role]
			if len(got) != want {
				t.Errorf("%s: the browser tells of %d of role %s, not %d", piece.Title, len(got), role, want)
			}
			for _, name := range got {
				if name == "" {
					t.Errorf("%s: something of role %s has no name", piece.Title, role)
				}
			}
		}
	}
}

// countHeads counts the heads of columns and of sections.
func countHeads(page *element) int { return len(page.all("th")) }

// TestBrowserPrints: printed from a real browser, a cut sheet has the same paper and every cut of the plan, and labels lie
// where their codes can be read as on our own paper.
func TestBrowserPrints(t *testing.T) {
	p := demoPlan(t)
	info := need(t, "pdfinfo")
	for _, paper := range []Paper{A4, Letter} {
		s := sourceOf(t, p, paper)
		piece := s.Cuts(0)
		_, pdf := browse(t, HTML(piece.Title, piece))
		name := filepath.Join(t.TempDir(), "browser.pdf")
		write(t, name, pdf)
		var w, h float64
		for line := range strings.Lines(info(name)) {
			fmt.Sscanf(line, "Page size: %f x %f pts", &w, &h)
		}
		const tolerance = 1 // points; browsers round a page's size
		if d := w*point - paper.Width; d > tolerance*point || d < -tolerance*point {
			t.Errorf("%s: a page of the browser is %.1f mm wide", paper.Name, w*point)
		}
		if d := h*point - paper.Height; d > tolerance*point || d < -tolerance*point {
			t.Errorf("%s: a page of the browser is %.1f mm high", paper.Name, h*point)
		}
		all := strings.Join(lines(t, name), "\n")
		for _, want := range cutLines(p.Document.Profiles[0], p.Workshop.Unit, severalOf(p.Workshop)) {
			if !strings.Contains(all, want) {
				t.Errorf("%s: the browser's paper does not say %q", paper.Name, want)
			}
		}
		if !strings.Contains(all, "page 1 of ") {
			t.Errorf("%s: the browser's paper has no page numbers", paper.Name)
		}
	}
	labels, err := sourceOf(t, extremes()["sixty sides"], A4).Labels(plainLabels)
	if err != nil {
		t.Fatal(err)
	}
	_, pdf := browse(t, HTML(labels.Title, labels))
	name := filepath.Join(t.TempDir(), "labels.pdf")
	write(t, name, pdf)
	got := decodedFrom(t, name, labels)
	want := labelIDs(extremes()["sixty sides"].Document)
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("%d codes are read from the browser's paper, and %d labels printed", len(got), len(want))
	}
}
