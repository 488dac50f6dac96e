package book

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/model"
)

// notKept are the fields of a workshop that a book has no column for: where something stands is the book's own, a stick that is
// begun and sides that are cut are those of its runs, the blades are among its blade sets, every stick has its name, and how a table was read
// is said when it is.
var notKept = []string{"Where", "Readings", "Rack.Begun", "Rack.Paid", "Rack.Unnamed", "Gone", "Jobs.Frames.Cut", "Machine.Blades"}

// TestEveryField fills every field that a workshop has with something, and demands it back: a field that is new to a workshop must
// be kept, or named in notKept.
func TestEveryField(t *testing.T) {
	full := fullShop()
	given := map[string]bool{}
	fields(reflect.ValueOf(*full), "", given)
	for path, filled := range given {
		if !filled {
			t.Errorf("the full shop has nothing in %s: give it something there, so that this test sees whether a book keeps it", path)
		}
	}
	if len(given) < 60 {
		t.Errorf("only %d fields were found", len(given))
	}
	path := t.TempDir() + "/shop.book"
	must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), full, tester) }))
	b := openBook(t, path)
	got, err := b.Workshop(t.Context())
	must(t, err)
	if diff := cmp.Diff(full, got, withoutPlaces, cmpopts.EquateComparable(model.Date{}), cmp.AllowUnexported(time.Time{})); diff != "" {
		t.Error(diff)
	}
}

// TestInTheMiddle demands that what a book would not keep is refused, and nothing written.
func TestInTheMiddle(t *testing.T) {
	for _, c := range []struct {
		words string
		spoil func(*model.Workshop)
	}{
		{"stick S1 is begun", func(w *model.Workshop) { w.Rack[0].Begun = model.Millimetre }},
		{"job 101, frame print is partly cut", func(w *model.Workshop) {
			w.Jobs[0].Frames[0].Cut = []model.SideID{{Job: w.Jobs[0].ID, Frame: w.Jobs[0].Frames[0].ID, Copy: 1, Ring: 1, Letter: "A"}}
		}},
	} {
		w := smallShop()
		c.spoil(w)
		path := t.TempDir() + "/shop.book"
		err := Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), w, tester) })
		wantError(t, err, model.BadInput, c.words)
		if IsBook(path) {
			t.Errorf("%s: a book was made", c.words)
		}
	}
	b := newShop(t)
	job := smallShop().Jobs[0]
	job.ID, job.Frames[0].Cut = "201", []model.SideID{{Job: "201", Frame: job.Frames[0].ID, Copy: 1, Ring: 1, Letter: "A"}}
	_, err := b.TakeIn(t.Context(), []model.Job{job}, tester)
	wantError(t, err, model.BadInput, "job 201, frame print is partly cut")
}

// fullShop is the small shop with something in every field.
func fullShop() *model.Workshop {
	w := smallShop()
	w.Habits = model.Habits{Dates: "day.month.year", Decimal: ",", Thousands: ".", Headings: model.Headings("").Add("jobs", "due", "Fällig")}
	m := &w.Machine
	m.Kerf, m.HeadTrim, m.TailTrim = 3*model.Millimetre, 7*model.Millimetre, 9*model.Millimetre
	m.Limits.GreatestWidth = model.OptionalLength{Length: 90 * model.Millimetre, Given: true}
	m.Limits.LongestSide = model.OptionalLength{Length: 2 * model.Metre, Given: true}
	m.Limits.StopGap = model.OptionalLength{Length: 11 * model.Millimetre, Given: true}
	m.Limits.GreatestAngle = model.OptionalAngle{Angle: 60_000_000, Given: true}
	w.Profiles[0].HeadTrim, w.Profiles[0].TailTrim = 4*model.Millimetre, 6*model.Millimetre
	w.Offers[0].Bundle, w.Offers[0].From, w.Offers[0].Longest, w.Offers[0].Article = 6, 2, 3300*model.Millimetre, "OC 32 / 3"
	w.Offers[0].ByLength = model.ByLength{Price: 580, Per: model.Metre, Least: 500, Cut: 120}
	w.Address, w.Defaults.Clearance = "2 Invented Lane / Nowhere", 2*model.Millimetre
	w.Suppliers[0].Address, w.Suppliers[0].DeliveryDays = "1 Invented Quay / Nowhere", model.OptionalDays{Days: 4, Given: true}
	w.Printing = model.Printing{Paper: "Letter", Tickets: 2, Fraction: 32, Labels: model.LabelSheet{Roll: true, Columns: 2, Rows: 5,
		Width: 70 * model.Millimetre, Height: 30 * model.Millimetre, Left: model.Millimetre, Top: 2 * model.Millimetre, Across: 3 * model.Millimetre, Down: 4 * model.Millimetre}}
	w.Rack = append(w.Rack, model.Stick{ID: "P1-1", Profile: "oak-40", Length: 3 * model.Metre, Lot: "order 1, line 1",
		Coming: model.Coming{Order: "1", Supplier: w.Offers[0].Supplier, Expected: w.Jobs[0].Due}})
	return w
}

// fields gathers the paths of all fields below a value, and whether any of each kind is filled.
func fields(v reflect.Value, path string, given map[string]bool) {
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			fields(v.Index(i), path, given)
		}
	case reflect.Struct:
		if v.Type().PkgPath() != reflect.TypeFor[model.Workshop]().PkgPath() {
			return // it is one thing to us, such as a time
		}
		for i := range v.NumField() {
			f := v.Type().Field(i)
			below := strings.TrimPrefix(path+"."+f.Name, ".")
			if f.Name == "Where" || slices.Contains(notKept, below) {
				continue
			}
			if _, seen := given[below]; !seen {
				given[below] = false
			}
			if !v.Field(i).IsZero() {
				given[below] = true
			}
			if f.IsExported() {
				fields(v.Field(i), below, given)
			}
		}
	}
}
