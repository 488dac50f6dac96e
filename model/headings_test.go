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
		if got := h.Column("jobs", heading); got != want {
			t.Errorf("%s is %q, want %q", heading, got, want)
		}
	}
	moved := h.Over(model.Headings("").Add("jobs", "job", "abholung"))
	if got := moved.Of("jobs", "due"); !slices.Equal(got, []string{"Fertig am"}) || moved.Column("jobs", "Abholung") != "job" {
		t.Errorf("moved: %q", moved)
	}
	if again := h.Over(h); again != h {
		t.Errorf("over itself: %q, was %q", again, h)
	}
}
