package folder

import (
	"maps"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
)

// TestReadsHowToPrint: settings of printing and labels, addresses, articles and delivery days are read as they are written, and
// what is left out stays ungiven.
func TestReadsHowToPrint(t *testing.T) {
	const mm = model.Millimetre
	w := readFiles(t, Demo())
	want := model.Printing{Paper: "A4", Tickets: 4, Labels: model.LabelSheet{Columns: 3, Rows: 11, Width: 60 * mm, Height: 24 * mm, Left: 15 * mm, Top: 8 * mm}}
	if diff := cmp.Diff(want, w.Printing); diff != "" {
		t.Error(diff)
	}
	if w.Defaults.Clearance != 2*mm || w.Offers[0].Article != "N-OC32-3000" {
		t.Errorf("clearance %s, article %q", w.Defaults.Clearance, w.Offers[0].Article)
	}
	if days := w.Suppliers[0].DeliveryDays; days != (model.OptionalDays{Days: 3, Given: true}) {
		t.Errorf("%+v", days)
	}
	if diff := cmp.Diff([]string{"Shed 7", "2 Example Yard", "00000 South Nowhere"}, model.AddressLines(w.Suppliers[1].Address)); diff != "" {
		t.Error(diff)
	}

	files := maps.Clone(small)
	files[settingsFile] = strings.Replace(files[settingsFile], `units = "mm"`, `units = "in"`, 1)
	dir := placeOf(t, files, settingsFile, "[defaults]", "[printing]\npaper = \"letter\"\ntickets = 1\nfraction = \"1/32\"\n[labels]\nform = \"roll\"\nwidth = 2\nheight = 1\n[defaults]")
	inches, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	want = model.Printing{Paper: "Letter", Tickets: 1, Fraction: 32, Labels: model.LabelSheet{Roll: true, Width: 2 * model.Inch, Height: model.Inch}}
	if diff := cmp.Diff(want, inches.Printing); diff != "" {
		t.Error(diff)
	}
	if inches.Unit != model.Inches.ReadTo(32) || inches.Machine.Unit != inches.Unit {
		t.Errorf("lengths are read to 1/%d, the machine's to 1/%d", inches.Unit.Fraction(), inches.Machine.Unit.Fraction())
	}
	if plain := readFiles(t, demos()["plain"]); plain.Printing != (model.Printing{}) || plain.Defaults.Clearance != 0 || plain.Address != "" {
		t.Errorf("%+v", plain.Printing)
	}
}
