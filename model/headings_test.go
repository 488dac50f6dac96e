package model_test

import (
	"slices"
	"testing"

	"longpoint/model"
)

func TestHeadings(t *testing.T) {
	var h model.Headings
	h = h.Add("jobs", "due", "Fertig  am").Add("jobs", "due", "Abholung").Add("rack", "stick", "Stab").Add("jobs", model.NoColumn, "Telefon")
	if got := h.Of("jobs", "due"); !slices.Equal(got, []string{"Abholung", "Fertig am"}) {
		t.Errorf("due is %q", got)
	}
	for heading, want := range map[string]string{"FERTIG AM": "due", "fertig_am": "due", "Telefon": model.NoColumn, "Stab": ""} {
		if got, _ := h.Column("jobs", heading); got != want {
			t.Errorf("%s is %q, want %q", heading, got, want)
		}
	}
	moved := h.Over(model.Headings("").Add("jobs", "job", "abholung"))
	if got := moved.Of("jobs", "due"); !slices.Equal(got, []string{"Fertig am"}) || columnOf(moved, "Abholung") != "job" {
		t.Errorf("moved: %q", moved)
	}
	if again := h.Over(h); again != h {
		t.Errorf("over itself: %q, was %q", again, h)
	}
}

func TestWords(t *testing.T) {
	h := model.Headings("").Add("jobs", "content", "Bild").AddWord("jobs", "given_by", "Bild", "content").AddWord("jobs", "sides", "Sechseck", "6").AddWord("jobs", "sides", "6-Eck", "6")
	if word, found := h.Word("jobs", "given_by", "BILD"); word != "content" || !found {
		t.Errorf("Bild is %q (%t)", word, found)
	}
	if word, found := h.Word("jobs", "match", "Bild"); found {
		t.Errorf("in another column Bild is %q", word)
	}
	if got, _ := h.Column("jobs", "Sechseck"); got != "" {
		t.Errorf("a word is the heading of %q", got)
	}
	if got := h.Words("jobs", "sides"); !slices.Equal(got, [][2]string{{"6-Eck", "6"}, {"Sechseck", "6"}}) {
		t.Errorf("sides are %q", got)
	}
	moved := h.AddWord("jobs", "given_by", "bild", "sight") // its column's word, and no heading
	if word, _ := moved.Word("jobs", "given_by", "Bild"); word != "sight" || columnOf(moved, "Bild") != "content" {
		t.Errorf("moved: %q", moved)
	}
	if again := h.Over(h); again != h {
		t.Errorf("over itself: %q, was %q", again, h)
	}
}

func columnOf(h model.Headings, heading string) string {
	column, _ := h.Column("jobs", heading)
	return column
}

// TestHeadingsIn: what is said of the unit of a heading goes with it, and takes the place of what was said before.
func TestHeadingsIn(t *testing.T) {
	h := model.Headings("").Add("jobs", "width", "Format").AddIn("jobs", "width", "format", model.Centimetres)
	if column, unit := h.Column("jobs", "Format"); column != "width" || unit != model.Centimetres {
		t.Errorf("%q in %q", column, unit)
	}
	if got := h.Of("jobs", "width"); !slices.Equal(got, []string{"format = cm"}) {
		t.Errorf("%q", got)
	}
	if heading, unit := model.HeadingIn("a = b = cm"); heading != "a = b" || unit != model.Centimetres {
		t.Errorf("%q in %q", heading, unit)
	}
	if heading, unit := model.HeadingIn("a = b"); heading != "a = b" || unit != 0 {
		t.Errorf("%q in %q", heading, unit)
	}
	if again := h.Over(h); again != h {
		t.Errorf("over itself: %q", again)
	}
	if h = h.Add("jobs", "width", "Format"); len(h.Of("jobs", "width")) != 1 {
		t.Errorf("twice: %q", h)
	}
}
