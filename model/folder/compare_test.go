package folder

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
)

// TestCompare counts the rows of the tables that came, and says of what changed from what to what.
func TestCompare(t *testing.T) {
	before, err := Read(place(t, "", "", ""))
	if err != nil {
		t.Fatal(err)
	}
	after := *before
	after.Profiles = append([]model.Profile{}, before.Profiles...)
	after.Profiles[0].Width = 33 * model.Millimetre
	after.Profiles[0].Title = strings.Repeat("long ", 20)
	after.Profiles = append(after.Profiles, model.Profile{Name: "elm", Width: 30 * model.Millimetre, Keep: model.Metre})
	after.Rack = nil
	after.Habits.Headings = "profiles.profile=Leiste\n"
	c := Compare(before, &after, "profiles", "offers", "workshop")
	var lines []string
	for _, d := range c.Lines {
		lines = append(lines, d.String())
	}
	if diff := cmp.Diff([]string{"~ profiles oak: title nothing → " + strings.Repeat("long ", 8) + "…, width 32 → 33", "+ profiles elm", "- rack R1"}, lines); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]Sum{{Table: "profiles", New: 1, Changed: 1, Same: 1}, {Table: "offers", Same: 2}, {Table: "rack", Gone: 1}}, c.Sums); diff != "" || !c.Headings {
		t.Errorf("headings %v: %s", c.Headings, diff)
	}
	if got := c.All().String(); got != "1 row new, 1 changed, 1 gone, 3 as before" {
		t.Error(got)
	}
}
