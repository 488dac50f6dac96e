package folder

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/model"
	"longpoint/model/table"
)

// everything is an invented workshop with something in every field that a folder keeps.
func everything(unit model.Unit) *model.Workshop {
	const mm, inch = model.Millimetre, model.Inch
	some := func(l model.Length) model.OptionalLength { return model.OptionalLength{Length: l, Given: true} }
	day := func(text string) model.Date {
		d, err := model.ParseDate(text)
		if err != nil {
			panic(err)
		}
		return d
	}
	w := &model.Workshop{
		Name: `Invented "Corner", & sons`, Address: "1 Quay / Harbour Town", Unit: unit, Currency: model.Currency{Code: "KWD", Decimals: 3},
		Habits: model.Habits{Dates: "day.month.year", Decimal: ",", Thousands: ".",
			Headings: model.Headings("").Add("jobs", "frame", "profile").Add("jobs", "due", "Fällig").Add("jobs", "due", "am").Add("rack", model.NoColumn, "Fach")},
		Machine: model.Machine{Name: "Invented", Type: model.Guillotine, Overrun: mm / 2, Shave: inch / 16, HeadTrim: 5 * mm, TailTrim: 123_456, Bite: 15 * mm, FinishingBite: 2 * mm, Unit: unit,
			Limits: model.Limits{GreatestWidth: some(100 * mm), LongestSide: some(60 * inch), ShortestSide: some(99*mm + 1), LeastAngle: model.OptionalAngle{Angle: 22_500_000, Given: true},
				GreatestAngle: model.OptionalAngle{Angle: 45_000_000, Given: true}, Stops: 2, StopGap: some(60 * mm)}},
		Defaults: model.Defaults{Allowance: inch / 8, Clearance: 2 * mm, RackShare: 50, OffcutShare: 12, Keep: some(11 * inch)},
		Printing: model.Printing{Paper: "Letter", Tickets: 2, Labels: model.LabelSheet{Columns: 3, Rows: 11, Width: 60 * mm, Height: 24 * mm, Left: 15 * mm, Top: 8 * mm, Across: mm, Down: 2 * mm}},
		Profiles: []model.Profile{{Name: "oak-40", Title: "Oak; \"waxed\"", Width: inch * 3 / 2, Rebate: 8 * mm, Finish: "=waxed", HeadTrim: 8 * mm, TailTrim: 9 * mm, Keep: 300 * mm,
			Metre: model.OptionalMoney{Amount: 12345, Given: true}, OffcutShare: model.OptionalShare{Percent: 10, Given: true}, Match: model.MatchLot, Repeat: 48 * mm, SetUp: "rest 20 mm; block"},
			{Name: "007", Width: 20 * mm, Rebate: 5 * mm, Keep: 12 * inch}},
		Suppliers: []model.Supplier{{Name: "North, Invented", LeastMoney: model.OptionalMoney{Amount: 1, Given: true}, LeastSticks: 6, Delivery: 14500, FreeFrom: model.OptionalMoney{Amount: 2, Given: true}, Address: "2 Quay / Harbour Town",
			DeliveryDays: model.OptionalDays{Days: 4, Given: true}}},
		Offers: []model.Offer{{Supplier: "North, Invented", Profile: "oak-40", Length: 3000 * mm, Longest: 118*inch + inch/3*1, Bundle: 4, From: 2, Price: 1_017_400, Until: day("2027-12-03"), Article: "-A1"},
			{Supplier: "South", Profile: "007", Length: 123_456_000, Bundle: 1, From: 1, Price: 1},
			{Supplier: "South", Profile: "007", Length: 9 * model.Foot, Bundle: 2, From: 1, Price: 2 * (7538 + 1200), ByLength: model.ByLength{Price: 83_750, Per: 100 * model.Foot, Least: 5000, Cut: 1200}}},
		Rack: []model.Stick{{ID: "R1", Profile: "oak-40", Length: 2290 * mm, Place: "+1", Value: model.OptionalMoney{Amount: 0, Given: true}, Offcut: true, Lot: "1,2", Damage: []model.Span{{From: 0, To: 45 * mm}, {From: 1200 * mm, To: 1260 * mm}}},
			{ID: "3-4", Profile: "007", Length: 9 * inch, Value: model.OptionalMoney{Amount: 1500, Given: true}},
			{ID: "W1", Profile: "007", Length: 90 * inch, Lot: "order 4711, line 1", Coming: model.Coming{Order: "4711", Supplier: "South", Expected: day("2027-03-09")}},
			{ID: "W2", Profile: "007", Length: 91 * inch, Coming: model.Coming{Order: "-4712", Supplier: "South"}}},
		Jobs: []model.Job{{ID: "2701", Customer: "@home", Due: day("2027-03-12"), Note: "first\nsecond", Match: model.MatchPair, Frames: []model.JobFrame{
			{ID: "a b", Quantity: 3, Rings: []model.Ring{
				{Profile: "oak-40", Allowance: 0, Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.BySight, Width: 16*inch + inch/2, Height: 500 * mm}},
				{Profile: "007", Allowance: 123_456}}},
			{ID: "hexagon", Quantity: 1, Rings: []model.Ring{{Profile: "007", Allowance: 3 * mm, Size: model.Size{Shape: model.Shape{Sides: 6}, By: model.ByOutside, Width: 16 * inch, Across: true}}}}}},
			{ID: "2702", Due: day("2027-03-13"), Frames: []model.JobFrame{{ID: "octagon", Quantity: 1, Rings: []model.Ring{{Profile: "007", Allowance: 3 * mm,
				Size: model.Size{Shape: model.Shape{Sides: 8}, By: model.ByContent, Width: 150 * mm}}}}}}},
	}
	if unit.IsInches() {
		w.Printing.Fraction = 32
		w.Unit = w.Unit.ReadTo(32)
		w.Machine.Unit = w.Unit
	}
	return w
}

// notWritten are the fields of a workshop that its tables have no column for.
var notWritten = []string{"Where", "Rack.Begun", "Rack.Paid", "Rack.Unnamed", "Gone", "Jobs.Frames.Cut", "Machine.Kerf", "Machine.Blades", "Printing.Labels.Roll"}

// TestEverythingIsWritten looks whether the invented workshop has something in every field, so that the tests below see whether it is
// written: a field that is new to a workshop must be, or be named in notWritten.
func TestEverythingIsWritten(t *testing.T) {
	var look func(v reflect.Value, path string) bool
	missing := map[string]bool{}
	look = func(v reflect.Value, path string) (filled bool) {
		for _, skip := range notWritten {
			if path == skip || strings.HasSuffix(path, ".Where") {
				return true
			}
		}
		switch {
		case v.Kind() == reflect.Struct && v.Type() != reflect.TypeFor[model.Date]():
			for i := range v.NumField() {
				name := strings.TrimPrefix(path+"."+v.Type().Field(i).Name, ".")
				if look(v.Field(i), name) {
					delete(missing, name)
					missing[name+" is filled"] = true
				} else if !missing[name+" is filled"] {
					missing[name] = true
				}
			}
			return true
		case v.Kind() == reflect.Slice:
			for i := range v.Len() {
				look(v.Index(i), path)
			}
			return v.Len() > 0
		}
		return !v.IsZero()
	}
	look(reflect.ValueOf(*everything(model.Inches)), "")
	for name := range missing {
		if !strings.HasSuffix(name, " is filled") && name != "Readings" { // which are said of a reading, and are in no table
			t.Errorf("there is nothing in %s", name)
		}
	}
}

// TestExportIsRead writes workshops as folders and as workbooks, in every unit, and reads the same again; writing gives the same bytes.
func TestExportIsRead(t *testing.T) {
	workshops := map[string]*model.Workshop{"in mm": everything(model.Millimetres), "in cm": everything(model.Centimetres), "in inches": everything(model.Inches),
		"the demo": readFiles(t, Demo()), "the small one": readFiles(t, Small())}
	saw := everything(model.Millimetres)
	saw.Machine.Type, saw.Machine.Kerf = model.Saw, 3*model.Millimetre
	saw.Machine.Overrun, saw.Machine.Bite, saw.Machine.FinishingBite = 0, 0, 0
	saw.Printing.Labels = model.LabelSheet{Roll: true, Width: 60 * model.Millimetre, Height: 30 * model.Millimetre}
	saw.Habits = model.Habits{}
	workshops["with a saw, and nothing said of habits"] = saw
	past := []table.Written{{Set: table.Set{Name: "thing", Columns: []table.Column{{Name: "id", Kind: table.Count}, {Name: "text", Kind: table.Exact}}}, Rows: table.RowsOf([][]string{{"1", " x\n\n "}, {"2", "'=1"}})}}
	for name, want := range workshops {
		for _, ending := range []string{"", ".xlsx"} {
			t.Run(name+ending, func(t *testing.T) {
				path := filepath.Join(t.TempDir(), "out"+ending)
				if err := Export(path, want, past); err != nil {
					t.Fatal(err)
				}
				got, err := Read(path)
				if err != nil {
					t.Fatal(err)
				}
				if diff := cmp.Diff(want, got, cmpopts.IgnoreTypes(model.Place{}), cmpopts.EquateEmpty()); diff != "" {
					t.Errorf("want, got:\n%s", diff)
				}
				if c := Compare(want, got, TableNames()...); len(c.Lines) > 0 || c.All().Same == 0 {
					t.Errorf("%v", c)
				}
				in, err := OpenIncoming(path)
				if err != nil {
					t.Fatal(err)
				}
				var p table.Problems
				things, given := in.History(past[0].Set, &p)
				var texts []string
				for r := range things.Rows() {
					texts = append(texts, r.Cell("id").Text, r.Cell("text").Text)
				}
				if diff := cmp.Diff([]string{"1", " x\n\n ", "2", "'=1"}, texts); !given || !p.None() || diff != "" {
					t.Errorf("%v %v %s", given, p.Errors(), diff)
				}
				again := filepath.Join(t.TempDir(), "again"+ending)
				if err := Export(again, got, past); err != nil {
					t.Fatal(err)
				}
				if snapshotOf(t, path) != snapshotOf(t, again) {
					t.Error("the same tables give other bytes")
				}
				if err := Export(path, want, past); err == nil {
					t.Error("what was there is written over")
				}
			})
		}
	}
}

// snapshotOf gives all that is below a path.
func snapshotOf(t *testing.T, path string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(path, func(file string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(file)
		b.WriteString(strings.TrimPrefix(file, path) + "\n" + string(data))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestIncoming reads tables for a workshop that is kept elsewhere.
func TestIncoming(t *testing.T) {
	now := readFiles(t, Demo())
	dir := t.TempDir()
	read := func(file, text string, replace bool) (*model.Workshop, []string, error) {
		t.Helper()
		path := filepath.Join(dir, file)
		write(t, path, text)
		in, err := OpenIncoming(path)
		if err != nil {
			return nil, nil, err
		}
		return in.Read(now, replace)
	}
	const offers = "supplier;profile;stick_length;price\nInvented Supplies South;oak-32;2400;15.10\nNew Store;oak-32;\"118 1/8\"\"\";19\n"
	w, given, err := read("spring list.csv", offers, false)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"offers"}, given); diff != "" {
		t.Error(diff)
	}
	d := Compare(now, w).Lines
	var got []string
	for _, line := range d {
		got = append(got, line.String())
	}
	want := []string{
		"~ offers Invented Supplies South / oak-32 / 2400: price 14.60 → 15.10",
		"+ offers New Store / oak-32 / 3000.375: price 19.00",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if w, _, err := read("offers.csv", offers, true); err != nil || len(w.Offers) != 2 {
		t.Errorf("all other offers go, and a supplier who offers nothing by now keeps its terms: %v", err)
	}
	if _, _, err := read("rack.csv", "stick,profile,length\nX,oka-32,100\n", false); err == nil || !strings.Contains(err.Error(), "rack.csv:2, column profile: there is no profile “oka-32”; did you mean oak-32?") {
		t.Errorf("%v", err)
	}
	if _, _, err := read("notes.csv", "what,when\nx,y\n", false); err == nil || !strings.Contains(err.Error(), "nobody can tell which table this is") {
		t.Errorf("%v", err)
	}
}

// TestIncomingKeepsWhatItDoesNotTell reads tables that lack columns: what is there in those stays.
func TestIncomingKeepsWhatItDoesNotTell(t *testing.T) {
	now := everything(model.Millimetres)
	now.Habits = model.Habits{}
	for file, text := range map[string]string{
		"profiles.csv":  "profile,width,rebate\noak-40,1 1/2 in,8\n",
		"suppliers.csv": "supplier\n\"North, Invented\"\n",
		"offers.csv":    "supplier,profile,stick_length,longest,bundle,from,price,until\n\"North, Invented\",oak-40,3000,3005.666667 mm,4,2,1017.40,2027-12-03\n",
		"rack.csv":      "stick,profile,length\nR1,oak-40,2290\n",
		"jobs.csv":      "job,due,frame,ring,profile,sides,width,height,across\n2701,2027-03-12,a b,1,oak-40,,16 1/2 in,500,\n2701,,a b,2,007,,,,\n2701,,hexagon,,007,6,,,16 in\n",
	} {
		path := filepath.Join(t.TempDir(), file)
		if file == "offers.csv" {
			text = strings.Replace(text, "3005.666667 mm", now.Offers[0].Longest.Bare(model.Millimetres), 1)
		}
		write(t, path, text)
		in, err := OpenIncoming(path)
		if err != nil {
			t.Fatal(err)
		}
		w, _, err := in.Read(now, false)
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		if d := Compare(now, w).Lines; len(d) > 0 {
			t.Errorf("%s: %v", file, d)
		}
	}
}
