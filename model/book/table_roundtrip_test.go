package book

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"longpoint/model"
	"longpoint/model/folder"
	tabular "longpoint/model/table"
)

// TestTablesRoundTrip demands of random shops: table → book → table → book gives the same, as CSV and as XLSX, in every unit and with any
// habits; and that a book's own tables change nothing in it.
func TestTablesRoundTrip(t *testing.T) {
	const shops = 30
	coming := 0
	for seed := range shops {
		ending := []string{"", ".xlsx"}[seed%2]
		t.Run(fmt.Sprint(seed, ending), func(t *testing.T) {
			dir := t.TempDir()
			want := rapid.Custom(randomShop).Example(seed)
			from := filepath.Join(dir, "given"+ending)
			must(t, folder.Export(from, want, nil))
			for _, round := range []string{"first", "second"} {
				b := filledFrom(t, filepath.Join(dir, round+".book"), from)
				from = filepath.Join(dir, round+ending)
				must(t, b.Export(t.Context(), from, func(w *model.Workshop, _ []tabular.Written) error { return folder.Export(from, w, nil) }))
				got, err := folder.Read(from)
				must(t, err)
				sameShop(t, want, got)
				for _, s := range got.Rack {
					if s.OnTheWay() {
						coming++
					}
				}
				ownTables(t, b, from)
			}
		})
	}
	if coming < shops {
		t.Errorf("only %d sticks were on the way", coming)
	}
}

// sameShop demands the same workshop; where something stands, and the order of what is on the rack beside what is on the way, is not told.
func sameShop(t *testing.T, want, got *model.Workshop) {
	t.Helper()
	sorted := cmpopts.SortSlices(func(a, b model.Stick) bool { return a.ID < b.ID })
	if diff := cmp.Diff(want, got, withoutPlaces, cmpopts.EquateEmpty(), cmpopts.EquateComparable(model.Date{}), sorted); diff != "" {
		t.Errorf("want, got:\n%s", diff)
	}
}

// filledFrom makes a new book of tables.
func filledFrom(t *testing.T, path, from string) *Book {
	t.Helper()
	must(t, Create(t.Context(), path, nil))
	b := openBook(t, path)
	_, err := importFrom(t.Context(), b, from, Importing{})
	must(t, err)
	sound(t, b)
	return b
}

// ownTables imports a book's own tables, which is no step.
func ownTables(t *testing.T, b *Book, from string) {
	t.Helper()
	for _, replace := range []bool{false, true} {
		r, err := importFrom(t.Context(), b, from, Importing{Replace: replace})
		must(t, err)
		if d := differences(r); d != "" {
			t.Errorf("its own tables change it: %s", d)
		}
	}
	if steps, err := b.Steps(t.Context(), 10); err != nil || len(steps) != 1 {
		t.Errorf("%d steps, %v", len(steps), err)
	}
}

// randomShop draws a workshop with lengths, money, words and days as shops may write them.
func randomShop(r *rapid.T) *model.Workshop {
	unit := rapid.SampledFrom([]model.Unit{model.Millimetres, model.Centimetres, model.Inches}).Draw(r, "unit")
	length := func(name string, from, to int) model.Length {
		step := rapid.SampledFrom([]model.Length{model.Millimetre, model.Millimetre / 1000, model.Inch / 64, model.Millimetre / 10}).Draw(r, name+" in")
		return (model.Length(rapid.IntRange(from, to).Draw(r, name))*model.Millimetre)/step*step + step
	}
	money := func(name string) model.Money { return model.Money(rapid.IntRange(1, 9_999_999).Draw(r, name)) }
	word := func(name string) string {
		return rapid.SampledFrom([]string{"", "oak, waxed", "=1+1", "-3", "@home", "+49", `16 1/2" wide`, "semi; colon", "3.000", "'quoted", "two words", "Öl", "007", "1e5"}).Draw(r, name)
	}
	optional := func(name string) (m model.OptionalMoney) {
		if m.Given = rapid.Bool().Draw(r, name+" given"); m.Given {
			m.Amount = money(name)
		}
		return m
	}
	day := func(name string) model.Date {
		d, err := model.ParseDate(fmt.Sprintf("2027-%02d-%02d", rapid.IntRange(1, 12).Draw(r, name+" month"), rapid.IntRange(1, 28).Draw(r, name+" day")))
		if err != nil {
			panic(err)
		}
		return d
	}
	w := smallShop()
	w.Unit, w.Machine.Unit = unit, unit
	w.Habits = rapid.SampledFrom([]model.Habits{{}, {Dates: "day.month.year", Decimal: ",", Thousands: ".", Headings: model.Headings("").Add("jobs", "due", "Fällig").Add("jobs", "frame", "profile")}, {Dates: "month/day/year", Decimal: ".", Thousands: ","}, {Dates: "day/month/year", Decimal: ","}, {Decimal: ".", Thousands: "'"}}).Draw(r, "habits")
	w.Profiles, w.Suppliers, w.Offers, w.Rack, w.Jobs = nil, nil, nil, nil, nil
	for p := range rapid.IntRange(1, 3).Draw(r, "profiles") {
		name := fmt.Sprintf("p%d%s", p, rapid.SampledFrom([]string{"", " gold", ".5", ",5"}).Draw(r, "profile"))
		w.Profiles = append(w.Profiles, model.Profile{Name: name, Title: word("title"), Finish: word("finish"), Width: length("width", 20, 60), Rebate: length("rebate", 0, 9), Keep: length("keep", 0, 400),
			Metre: optional("metre"), OffcutShare: model.OptionalShare{Percent: p, Given: p > 0}, SetUp: word("set up")})
		for n := range rapid.IntRange(1, 3).Draw(r, "offers") {
			o := model.Offer{Supplier: fmt.Sprintf("s%d", n%2), Profile: name, Length: length("stick length", 2000, 4000) + model.Length(n)*model.Metre, Bundle: 1 + n, From: 1, Price: money("price"), Article: strings.TrimSpace(word("article"))}
			if rapid.Bool().Draw(r, "ends") {
				o.Until = day("until")
			}
			if rapid.Bool().Draw(r, "by length") {
				o.ByLength = model.ByLength{Price: money("rate"), Per: rapid.SampledFrom([]model.Length{model.Metre, model.Foot, 100 * model.Foot, 7 * model.Inch}).Draw(r, "per"), Least: model.Money(n * 500), Cut: model.Money(n)}
				o.Price = o.ByLength.Bundle(o.Length, o.Bundle)
			}
			w.Offers = append(w.Offers, o)
		}
		for n := range rapid.IntRange(0, 4).Draw(r, "rack") {
			w.Rack = append(w.Rack, randomStick(r, w, fmt.Sprintf("r%d-%d", p, n), name, length("rack length", 500, 3000), optional, word))
		}
	}
	if slices.ContainsFunc(w.Offers, func(o model.Offer) bool { return o.Supplier == "s0" }) {
		w.Suppliers = []model.Supplier{{Name: "s0", LeastMoney: optional("least"), Delivery: money("delivery"), FreeFrom: optional("free"), Address: word("address")}}
	}
	for j := range rapid.IntRange(1, 3).Draw(r, "jobs") {
		job := model.Job{ID: fmt.Sprintf("%03d", j), Customer: word("customer"), Due: day("due"), Note: word("note")}
		if rapid.Bool().Draw(r, "always due") {
			job.Due = model.Date{}
		}
		sides := rapid.SampledFrom([]int{4, 4, 6}).Draw(r, "sides")
		size := model.Size{Shape: model.Shape{Sides: sides}, By: rapid.SampledFrom([]model.Given{model.ByContent, model.BySight, model.ByOutside}).Draw(r, "by"), Width: length("side", 150, 600)}
		if sides == 4 {
			size.Height = length("height", 150, 600)
		}
		job.Frames = []model.JobFrame{{ID: "f", Quantity: 1 + j, Rings: []model.Ring{{Profile: w.Profiles[0].Name, Allowance: length("allowance", 0, 3), Size: size}}}}
		w.Jobs = append(w.Jobs, job)
	}
	return w
}

// randomStick draws a stick that is here or on the way.
func randomStick(r *rapid.T, w *model.Workshop, name, profile string, length model.Length, optional func(string) model.OptionalMoney, word func(string) string) model.Stick {
	s := model.Stick{ID: name, Profile: profile, Length: length, Lot: strings.TrimSpace(rapid.SampledFrom([]string{"", "1,2", "=lot"}).Draw(r, "lot"))}
	if rapid.Bool().Draw(r, "on the way") {
		s.Coming = model.Coming{Order: rapid.SampledFrom([]string{"4711", "0012", "a b"}).Draw(r, "order"), Supplier: "s0"}
		if s.Coming.Order == "0012" {
			s.Coming.Expected = model.Date{Time: time.Date(2027, 12, 3, 0, 0, 0, 0, time.UTC)}
		}
		return s
	}
	s.Place, s.Offcut = word("place"), rapid.Bool().Draw(r, "offcut")
	s.Value = optional("value")
	if rapid.Bool().Draw(r, "damaged") {
		s.Damage = []model.Span{{From: 0, To: 45 * model.Millimetre}, {From: 100*model.Millimetre + model.Inch/64, To: 5 * model.Inch}}
	}
	return s
}

// TestImportComing takes in what tables say of sticks on the way: a new order, a day that changes, and nothing else of what is ordered.
func TestImportComing(t *testing.T) {
	b := newShop(t)
	take := func(text string, replace bool) error {
		file := filepath.Join(t.TempDir(), "rack.csv")
		must(t, os.WriteFile(file, []byte(text), 0o644))
		_, err := importFrom(t.Context(), b, file, Importing{Replace: replace})
		return err
	}
	const heading = "stick,profile,length,lot,order,supplier,expected\n"
	must(t, take(heading+"W1,oak-40,3000,,4711,Invented Timber,\nW2,oak-40,3000,,4711,Invented Timber,\nW3,oak-40,2400,L9,4711,Invented Timber,\n", false))
	orders, err := b.Purchases(t.Context(), true)
	must(t, err)
	if len(orders) != 1 || orders[0].Called != "4711" || len(orders[0].Lines) != 2 || orders[0].Lines[0].Sticks != 2 {
		t.Fatalf("%+v", orders)
	}
	must(t, take(heading+"W3,oak-40,2400,L9,4711,Invented Timber,2027-03-09\n", false))
	must(t, take("stick,profile,length\nS1,oak-40,3000\n", true)) // a list of what is here says nothing of what is on the way
	for _, c := range []struct{ row, says string }{
		{"W1,oak-40,2900,,4711,Invented Timber,2027-03-09", "stick W1 is on the way with order 4711 in the book, and is something else here"},
		{"W1,oak-40,3000,,,,", "stick W1 is on the way with order 4711 in the book"},
	} {
		wantError(t, take(heading+c.row+"\n", false), model.BadInput, c.says)
	}
	wantError(t, take(heading+"S1,oak-40,3000,,,,\n", true), model.BadInput, "is on the way with order 4711, and cannot be taken out of the rack")
	receive(t, b, orders[0].ID, Receipt{})
	rack, err := b.Rack(t.Context())
	must(t, err)
	lots := map[string]string{}
	for _, s := range rack {
		lots[s.Name] = s.Lot
	}
	if _, ok := lots["W2"]; !ok || lots["W3"] != "L9" || len(rack) != 4 {
		t.Errorf("on the rack: %v", lots)
	}
	if orders, err = b.Purchases(t.Context(), false); err != nil || orders[0].Expected != "2027-03-09" {
		t.Errorf("expected %v, %v", orders, err)
	}
	sound(t, b)
}
