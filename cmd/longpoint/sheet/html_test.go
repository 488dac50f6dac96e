package sheet

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"longpoint/model/plan"
)

// element is one element of an HTML page, with what is in it.
type element struct {
	name string
	attr map[string]string
	said []string // its own text and that of what is in it
	in   []*element
}

// text is all that an element says.
func (e *element) text() string { return strings.Join(e.said, "") }

// readHTML takes a page of ours apart: strictly, save that void elements need not be closed.
func readHTML(t *testing.T, page []byte) *element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(strings.TrimPrefix(string(page), "<!DOCTYPE html>")))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	root := &element{}
	stack := []*element{root}
	for {
		token, err := d.Token()
		if err == io.EOF {
			if len(stack) != 1 {
				t.Fatalf("%s is not closed", stack[len(stack)-1].name)
			}
			return root
		}
		if err != nil {
			t.Fatal(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			e := &element{name: token.Name.Local, attr: map[string]string{}}
			for _, a := range token.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			top := stack[len(stack)-1]
			top.in = append(top.in, e)
			stack = append(stack, e)
		case xml.EndElement:
			if stack[len(stack)-1].name != token.Name.Local {
				t.Fatalf("%s is closed as %s", stack[len(stack)-1].name, token.Name.Local)
			}
			stack = stack[:len(stack)-1]
		case xml.CharData:
			for _, e := range stack {
				e.said = append(e.said, string(token))
			}
		}
	}
}

// all gives the elements of a name under an element, in order.
func (e *element) all(names ...string) (out []*element) {
	for _, in := range e.in {
		if slices.Contains(names, in.name) {
			out = append(out, in)
		}
		out = append(out, in.all(names...)...)
	}
	return out
}

// inaccessible says what of a page those cannot use who do not see it: a language that is not given, headings that skip a
// step, tables without a caption or with heads that are not said to be heads, rows longer or shorter than the heads, drawings
// without words, boxes without a name, ids that stand twice.
func inaccessible(page *element) (wrong []string) {
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	for _, e := range page.all("html") {
		if e.attr["lang"] == "" {
			say("the language is not given")
		}
	}
	if titles := page.all("title"); len(titles) == 0 || strings.TrimSpace(titles[0].text()) == "" {
		say("the page has no title")
	}
	level := 0
	for _, h := range page.all("h1", "h2", "h3", "h4") {
		now := int(h.name[1] - '0')
		if now > level+1 || strings.TrimSpace(h.text()) == "" {
			say("heading %q of level %d follows one of level %d", h.text(), now, level)
		}
		level = now
	}
	if level == 0 {
		say("there is no heading")
	}
	ids := map[string]*element{}
	var walk func(*element)
	walk = func(e *element) {
		if id := e.attr["id"]; id != "" {
			if ids[id] != nil {
				say("the id %s stands twice", id)
			}
			ids[id] = e
		}
		for _, in := range e.in {
			walk(in)
		}
	}
	walk(page)
	for _, svg := range page.all("svg") {
		title := ids[svg.attr["aria-labelledby"]]
		if svg.attr["role"] != "img" || title == nil || len(title.text()) < 10 {
			say("a drawing does not say in words what it shows")
		}
	}
	for _, t := range page.all("table") {
		heads := t.all("thead")
		if captions := t.all("caption"); len(captions) != 1 || captions[0].text() == "" {
			say("a table has no caption")
		}
		if len(heads) != 1 {
			say("a table has no heads")
			continue
		}
		columns := heads[0].all("th")
		for _, th := range columns {
			if th.attr["scope"] != "col" || strings.TrimSpace(th.text()) == "" {
				say("a column's head %q is not said to be one", th.text())
			}
		}
		for _, row := range t.all("tbody")[0].all("tr") {
			wide := len(row.all("td"))
			for _, th := range row.all("th") {
				if th.attr["scope"] == "" {
					say("a head %q is not said to be one", th.text())
				}
				wide += len(columns) // it goes over all of them
			}
			if wide != len(columns) {
				say("a row has %d cells under %d heads", wide, len(columns))
			}
		}
	}
	labelled := map[*element]bool{}
	for _, l := range page.all("label") {
		for _, input := range l.all("input") {
			labelled[input] = strings.TrimSpace(l.text()) != ""
		}
	}
	for _, input := range page.all("input") {
		if input.attr["aria-label"] == "" && !labelled[input] {
			say("a box to tick has no name")
		}
	}
	return wrong
}

// TestHTMLIsAccessible.
func TestHTMLIsAccessible(t *testing.T) {
	for name, p := range map[string]planned{"demo": demoPlan(t), "by hand": handPlan()} {
		pieces := everyPiece(t, sourceOf(t, p, A4))
		for _, piece := range pieces {
			for _, wrong := range inaccessible(readHTML(t, HTML(piece.Title, piece))) {
				t.Errorf("%s, %s: %s", name, piece.Title, wrong)
			}
		}
		for _, wrong := range inaccessible(readHTML(t, HTML("all", pieces...))) {
			t.Errorf("%s, all in one: %s", name, wrong)
		}
	}
}

// TestHTMLIsAccessibleCanFail spoils a page in each way that is looked for.
func TestHTMLIsAccessibleCanFail(t *testing.T) {
	page := string(HTML("cuts", sourceOf(t, handPlan(), A4).Cuts(0)))
	for name, change := range map[string][]string{
		"no language":             {` lang="en-GB"`, ``},
		"a step skipped":          {`<h1 `, `<h4 `, `</h1>`, `</h4>`},
		"a drawing that is none":  {`role="img"`, `role="none"`},
		"a drawing without words": {`aria-labelledby="drawing1"`, ``},
		"a box without a name":    {` aria-label="cut 1 done"`, ``},
		"a head that is none":     {`scope="col"`, `scope=""`},
		"a section that is none":  {`scope="colgroup"`, ``},
		"no caption":              {`<caption class="aside">Cuts in order of oak-30`, `<caption class="aside">`},
		"an id twice":             {`id="drawing1"`, `id="piece0"`},
		"a cell gone":             {`<td class="m"><strong>set 1</strong></td>`, ``},
	} {
		spoiled := strings.NewReplacer(change...).Replace(page)
		if spoiled == page {
			t.Errorf("%s: there is no %q to spoil", name, change[0])
		}
		if len(inaccessible(readHTML(t, []byte(spoiled)))) == 0 {
			t.Errorf("%s is not seen", name)
		}
	}
}

// TestContrast: words have at least 4.5 to 1 against what is under them (WCAG 2.1, success criterion 1.4.3, level AA; its
// formula for relative luminance, from memory).
func TestContrast(t *testing.T) {
	for name, pair := range map[string][2]Ink{"black on white": {Black, White}, "black on pale": {Black, Pale}, "grey on white": {Grey, White}} {
		if c := contrast(pair[0], pair[1]); c < 4.5 {
			t.Errorf("%s: %.1f to 1", name, c)
		}
	}
	if c := contrast(Pale, White); c > 4.5 {
		t.Errorf("pale on white has %.1f to 1: the test could not fail", c)
	}
}

func contrast(a, b Ink) float64 {
	luminance := func(k Ink) float64 {
		part := func(v uint8) float64 {
			c := float64(v) / 255
			if c <= 0.03928 {
				return c / 12.92
			}
			return math.Pow((c+0.055)/1.055, 2.4)
		}
		return 0.2126*part(k.R) + 0.7152*part(k.G) + 0.0722*part(k.B)
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// TestHTMLSaysTheSame: the list of cuts says in a browser what it says on paper, cell by cell, and names whole.
func TestHTMLSaysTheSame(t *testing.T) {
	p := extremes()["long names"]
	p.Document.Profiles = append([]plan.ProfilePlan{}, p.Document.Profiles...)
	s := sourceOf(t, p, A4)
	page := readHTML(t, HTML("cuts", s.Cuts(0)))
	var rows [][]string
	for _, tr := range page.all("table")[0].all("tbody")[0].all("tr") {
		var cells []string
		for _, td := range tr.all("td") {
			cells = append(cells, td.text())
		}
		if len(cells) > 0 {
			rows = append(rows, cells)
		}
	}
	want := cutLines(p.Document.Profiles[0], p.Workshop.Unit, map[string]bool{p.Document.Profiles[0].Sticks[0].Sides[0].Job + "/" + p.Document.Profiles[0].Sticks[0].Sides[0].Frame: true})
	if len(rows) != len(want) {
		t.Fatalf("%d rows for %d cuts", len(rows), len(want))
	}
	for i, cells := range rows {
		if got := strings.Join(strings.Fields(strings.Join(cells, " ")), " "); got != want[i] {
			t.Errorf("row %d says\n%s\nnot\n%s", i+1, got, want[i])
		}
	}
}

// TestHTMLEscapes: a name cannot become part of the page.
func TestHTMLEscapes(t *testing.T) {
	const nasty = `</style><script>alert("1")</script>&amp;`
	p := handmade(30*mm, 1200*mm, 4, nasty, nasty, 300*mm)
	p.Document.Workshop, p.Document.Profiles[0].Title = nasty, nasty
	page := HTML(nasty, sourceOf(t, p, A4).Cuts(0))
	if strings.Contains(string(page), "<script") {
		t.Error("a name has become a script")
	}
	if n := len(readHTML(t, page).all("script")); n != 0 {
		t.Errorf("%d scripts", n)
	}
}
