package manual

import (
	"bytes"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"golang.org/x/image/font/sfnt"
)

// TestWholeHTML: every link within the page leads somewhere, no id stands there twice, nothing is loaded from elsewhere, and there are
// no scripts. The page is made of well-formed elements; html-validate and axe look closer (make browser).
func TestWholeHTML(t *testing.T) {
	page := HTML("1.2.3")
	if !bytes.Equal(page, HTML("1.2.3")) {
		t.Error("the same manual gives other bytes")
	}
	ids, links := map[string]int{}, map[string]bool{}
	decoder := xml.NewDecoder(bytes.NewReader(page))
	decoder.Strict, decoder.AutoClose, decoder.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		token, err := decoder.Token()
		if token == nil {
			if err.Error() != "EOF" {
				t.Error(err)
			}
			break
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		if name := start.Name.Local; name == "script" || name == "link" || name == "img" || name == "iframe" {
			t.Errorf("the page has an element %s", name)
		}
		for _, a := range start.Attr {
			switch {
			case a.Name.Local == "id":
				ids[a.Value]++
			case a.Name.Local == "href":
				links[a.Value] = true
			case a.Name.Local == "src", strings.HasPrefix(a.Name.Local, "on"):
				t.Errorf("the page has an attribute %s", a.Name.Local)
			}
		}
	}
	for id, n := range ids {
		if n > 1 {
			t.Errorf("the id %s stands there %d times", id, n)
		}
	}
	for link := range links {
		if id, ok := strings.CutPrefix(link, "#"); !ok && !strings.HasPrefix(link, "https://") || ok && ids[id] == 0 {
			t.Errorf("the link %s leads nowhere", link)
		}
	}
	for _, topic := range Topics() {
		if !links["#"+topic.Name] {
			t.Errorf("nothing leads to %s", topic.Name)
		}
	}
}

// TestWholePDF reads the PDF file back: every part is on the page that the contents give, and the same manual gives the same bytes.
func TestWholePDF(t *testing.T) {
	data, err := PDF("1.2.3")
	if err != nil {
		t.Fatal(err)
	}
	if again, err := PDF("1.2.3"); err != nil || !bytes.Equal(data, again) {
		t.Errorf("the same manual gives other bytes (%v)", err)
	}
	name := filepath.Join(t.TempDir(), "manual.pdf")
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", name, "-").Output()
	if err != nil {
		t.Fatalf("pdftotext, which make test installs: %v", err)
	}
	pages := strings.Split(string(out), "\f")
	contents := regexp.MustCompile(`(?m)^ *(\S.*?) *\.[ .]+(\d+)$`)
	found := 0
	var front strings.Builder
	for _, page := range pages {
		if strings.HasPrefix(page, "Contents") {
			front.WriteString(page)
		}
	}
	for _, line := range contents.FindAllStringSubmatch(front.String(), -1) {
		title := line[1]
		number, _ := strconv.Atoi(line[2])
		found++
		if number < 1 || number > len(pages) || !strings.Contains(squeezed(pages[number-1]), squeezed(title)) {
			t.Errorf("%q is not on page %d", title, number)
		}
	}
	for _, topic := range Topics() {
		found--
		for _, part := range topic.Parts() {
			if part.Level == 2 {
				found--
			}
		}
	}
	if found != 0 {
		t.Errorf("the contents have %+d lines", found)
	}
	for n, page := range pages[:len(pages)-1] {
		if first, _, _ := strings.Cut(page, "\n"); !strings.HasSuffix(first, " "+strconv.Itoa(n+1)) {
			t.Errorf("page %d begins with %q", n+1, first)
		}
	}
}

// squeezed leaves blanks out: where words stand apart on paper is not where they do in a line.
func squeezed(text string) string { return strings.Join(strings.Fields(text), "") }

// TestSigns: the typefaces of the paper have every sign that the topics use.
func TestSigns(t *testing.T) {
	typeface, err := sfnt.Parse(liberationmonoregular.TTF)
	if err != nil {
		t.Fatal(err)
	}
	var buffer sfnt.Buffer
	for _, topic := range Topics() {
		for _, r := range topic.Markdown {
			if glyph, err := typeface.GlyphIndex(&buffer, r); r >= ' ' && (err != nil || glyph == 0) {
				t.Errorf("topic %s uses %q, which the typeface lacks", topic.Name, r)
			}
		}
	}
}
