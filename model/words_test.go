package model

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestSideID names a side, and what it is a part of.
func TestSideID(t *testing.T) {
	s := SideID{Job: "7", Frame: "b", Copy: 1, Ring: 1, Letter: "A"}
	for _, row := range []struct {
		id   SideID
		want string
	}{
		{s, "job 7, frame b, copy 1, ring 1, side A"},
		{s.OfRing(), "job 7, frame b, copy 1, ring 1"},
		{s.OfFrame(), "job 7, frame b, copy 1"},
		{s.OfLine(), "job 7, frame b"},
	} {
		if got := row.id.String(); got != row.want {
			t.Errorf("it is %q, want %q", got, row.want)
		}
	}
}

// TestPlace says where something stands, as far as that is known.
func TestPlace(t *testing.T) {
	for _, row := range []struct {
		place Place
		want  string
	}{
		{Place{}, ""},
		{Place{Column: "width"}, "column width"},
		{Place{File: "jobs.csv"}, "jobs.csv"},
		{Place{File: "jobs.csv", Line: 3, Column: "width"}, "jobs.csv:3, column width"},
		{Place{File: "workshop.toml", Line: 1, Column: "units"}, "workshop.toml:1, setting units"},
		{Place{File: "a.xlsx", Sheet: "jobs", Line: 12, Cell: 6, Column: "width"}, "a.xlsx, sheet jobs, cell F12, column width"},
		{Place{File: "a.xlsx", Sheet: "jobs", Line: 1, Cell: 1}, "a.xlsx, sheet jobs, cell A1"},
		{Place{File: "a.xlsx", Sheet: "jobs", Line: 1}, "a.xlsx, sheet jobs, row 1"},
		{Place{File: "a.xlsx", Sheet: "jobs", Cell: 1}, "a.xlsx, sheet jobs"},
		{Place{File: "a.xlsx", Sheet: "workshop", Line: 2, Column: "units"}, "a.xlsx, sheet workshop, row 2, setting units"},
	} {
		if got := row.place.String(); got != row.want {
			t.Errorf("%+v is %q, want %q", row.place, got, row.want)
		}
	}
	for n, want := range map[int]string{1: "A", 26: "Z", 27: "AA", 52: "AZ", 53: "BA", 702: "ZZ", 703: "AAA"} {
		if got := columnLetters(n); got != want {
			t.Errorf("column %d is %q, want %q", n, got, want)
		}
	}
}

// TestErrors keeps the causes of errors, one by one, and makes no error of none.
func TestErrors(t *testing.T) {
	cause := errors.New("the disk is full")
	es := Errors{{Kind: BadInput, What: "a", Do: "b"}, {What: "c", Err: cause}}
	if got, want := es.Error(), "a; b\nc: the disk is full"; got != want {
		t.Errorf("they are %q, want %q", got, want)
	}
	if !errors.Is(es.AsError(), cause) || Errors(nil).AsError() != nil || (Errors{}).AsError() != nil {
		t.Error("causes are lost, or no errors are one")
	}
	if e, ok := errors.AsType[*Error](es.AsError()); !ok || e.Kind != BadInput {
		t.Errorf("the first is %v", e)
	}
}

// TestQuote cuts long texts short and shows what cannot be printed.
func TestQuote(t *testing.T) {
	forty := strings.Repeat("ä", 40)
	for in, want := range map[string]string{
		"":          "“”",
		`5"`:        `“5"”`,
		"a\nb":      `“a\nb”`,
		forty:       "“" + forty + "”",
		forty + "b": "“" + forty + "…”",
	} {
		if got := Quote(in); got != want {
			t.Errorf("%q is shown as %s, want %s", in, got, want)
		}
	}
}

// TestDateOrder reads how days are written, and writes them so.
func TestDateOrder(t *testing.T) {
	day, err := ParseDate("2027-04-06")
	if err != nil {
		t.Fatal(err)
	}
	for in, want := range map[string]string{"day.month.year": "06.04.2027", " Month/Day/Year ": "04/06/2027", "year-month-day": "2027-04-06", "year day month": "2027 06 04"} {
		o, err := ParseDateOrder(in)
		if err != nil || o.Write(day) != want {
			t.Errorf("%q writes %q, want %q; %v", in, o.Write(day), want, err)
		}
		if back, err := (Habits{Dates: o}).ParseDate(want); err != nil || back != day {
			t.Errorf("%q is read as %v, %v", want, back, err)
		}
		if back, err := (Habits{Dates: o}).ParseDate(" " + strings.ReplaceAll(want, " ", "   ") + "\t"); err != nil || back != day {
			t.Errorf("with blanks around it %q is read as %v, %v", want, back, err)
		}
	}
	if got := DateOrder("").Write(day); got != "2027-04-06" {
		t.Errorf("no order writes %q", got)
	}
	if got := DateOrder("day.month.year").Write(Date{}); got != "" {
		t.Errorf("no day is written as %q", got)
	}
	for _, bad := range []string{"", "day", "day.month", "day.month.month", "day.month-year", "day,month,year", "day.month.year.day"} {
		if o, err := ParseDateOrder(bad); err == nil || o != "" {
			t.Errorf("%q is taken for an order: %q", bad, o)
		}
	}
}

// TestMarks reads marks given themselves or by name.
func TestMarks(t *testing.T) {
	for in, want := range map[string]string{".": ".", "comma": ",", " Apostrophe ": "'", "’": "'", "blank": " ", "\u202f": " "} {
		if got, err := ParseMark(in, ".,' "); got != want || err != nil {
			t.Errorf("%q is mark %q, want %q; %v", in, got, want, err)
		}
	}
	if _, err := ParseMark("blank", ".,"); err == nil || !strings.Contains(err.Error(), "write point or comma, or the mark itself") {
		t.Errorf("a blank where none is allowed: %v", err)
	}
	if MarkName(",") != "comma" || MarkName("") != "" {
		t.Errorf("names %q and %q", MarkName(","), MarkName(""))
	}
	if (Habits{Decimal: ",", Thousands: ","}).Check() == nil || (Habits{Decimal: ",", Thousands: "."}).Check() != nil || (Habits{}).Check() != nil {
		t.Error("the same mark twice is taken, or two are not")
	}
}

// TestParsePer reads what a price is of, and writes it.
func TestParsePer(t *testing.T) {
	for in, want := range map[string]Length{"m": Metre, " Metre ": Metre, "meter": Metre, "ft": Foot, "Foot": Foot, "100 ft": 100 * Foot, "2 m": 2 * Metre, `12"`: Foot, "50 cm": Metre / 2} {
		if got, err := ParsePer(in); got != want || err != nil {
			t.Errorf("%q is %s, want %s; %v", in, got.In(Millimetres), want.In(Millimetres), err)
		}
	}
	for _, bad := range []string{"", "100", "0", "0 m", "0 ft", "stick", "-1 m"} {
		if got, err := ParsePer(bad); err == nil || got != 0 {
			t.Errorf("%q is taken for %s", bad, got.In(Millimetres))
		}
	}
	for per, want := range map[Length]string{Metre: "m", Foot: "ft", 3 * Metre: "3 m", 100 * Foot: "100 ft", Metre / 2: "500 mm"} {
		if got := PerText(per); got != want {
			t.Errorf("%s is written %q, want %q", per.In(Millimetres), got, want)
		}
	}
}

// TestByLengthEnds prices sticks of no length, and refuses what is no price.
func TestByLengthEnds(t *testing.T) {
	b := ByLength{Price: 1000, Per: Metre, Least: 200, Cut: 50}
	for l, want := range map[Length]Money{0: 250, 1: 250, Metre / 5: 250, Metre: 1050, 500_500_000: 551, 500_499_999: 550} {
		if got := b.Stick(l); got != want {
			t.Errorf("%s costs %d, want %d", l.In(Millimetres), got, want)
		}
	}
	if got := b.Bundle(Metre, 3); got != 3150 {
		t.Errorf("three sticks cost %d", got)
	}
	for name, got := range map[string]Money{
		"a length below nothing": b.Stick(-1),
		"of nothing":             ByLength{Price: 1}.Stick(Metre),
		"no price":               ByLength{Price: -1, Per: Metre}.Stick(Metre),
		"no least":               ByLength{Least: -1, Per: Metre}.Stick(Metre),
		"no charge":              ByLength{Cut: MaxMoney + 1, Per: Metre}.Stick(Metre),
		"more than any":          ByLength{Price: MaxMoney, Per: 1}.Stick(2),
		"far more than any":      ByLength{Price: MaxMoney, Per: 1}.Stick(MaxLength),
		"just more than any":     ByLength{Price: MaxMoney, Per: 2}.Stick(3),
	} {
		if got != MaxMoney+1 {
			t.Errorf("%s: it costs %d", name, got)
		}
	}
	if got := (ByLength{Price: MaxMoney, Per: Metre}).Stick(Metre); got != MaxMoney {
		t.Errorf("the greatest price of a metre makes %d", got)
	}
	if (ByLength{}).Given() || !b.Given() {
		t.Error("given where it is not, or the other way round")
	}
}

// TestPriceForm puts what is said of a supplier's list over what was said before.
func TestPriceForm(t *testing.T) {
	for by, want := range map[string]Length{"": 0, " Stick ": 0, "bundle": 0, "m": Metre, "100 ft": 100 * Foot} {
		if per, err := (PriceForm{By: by}).Per(); per != want || err != nil {
			t.Errorf("by %q is %s, %v", by, per.In(Millimetres), err)
		}
	}
	if _, err := (PriceForm{By: "box"}).Per(); err == nil || !strings.Contains(err.Error(), "“box” is nothing that a price is of") {
		t.Errorf("by the box: %v", err)
	}
	was := PriceForm{Supplier: "Hill", Sheet: "s", Article: "a", Length: "l", Unit: "mm", Price: "p", Breaks: []PriceBreak{{2, "two"}}, By: "m", Bundle: "b", Least: "1", Cut: "2",
		Habits: Habits{Decimal: ",", Thousands: "."}, Profiles: map[string]string{"1": "oak", "2": "ash"}}
	if got := was.Over(PriceForm{}); !cmp.Equal(got, was) {
		t.Errorf("nothing said: %s", cmp.Diff(was, got))
	}
	all := PriceForm{Sheet: "S", Article: "A", Length: "L", Unit: "in", Price: "P", Breaks: []PriceBreak{{3, "three"}}, By: "ft", Bundle: "B", Least: "3", Cut: "4",
		Habits: Habits{Decimal: ".", Thousands: "'"}, Profiles: map[string]string{"2": "elm", "3": "yew"}}
	want := all
	want.Supplier, want.Profiles = "Hill", map[string]string{"1": "oak", "2": "elm", "3": "yew"}
	if got := was.Over(all); !cmp.Equal(got, want) {
		t.Errorf("all said: %s", cmp.Diff(want, got))
	}
	if was.Profiles["2"] != "ash" || len(was.Profiles) != 2 {
		t.Errorf("what was said before has changed: %v", was.Profiles)
	}
}

// TestTermsOf tells suppliers that ask something of an order from those that do not.
func TestTermsOf(t *testing.T) {
	w := &Workshop{Suppliers: []Supplier{
		{Name: "none", LeastMoney: OptionalMoney{Amount: 5}}, {Name: "delivery", Delivery: 1}, {Name: "sticks", LeastSticks: 1}, {Name: "money", LeastMoney: OptionalMoney{1, true}}}}
	for name, want := range map[string]bool{"none": false, "delivery": true, "sticks": true, "money": true, "nobody": false} {
		if s, asks := w.TermsOf(name); asks != want || name != "nobody" && s.Name != name {
			t.Errorf("%s asks %t: %+v", name, asks, s)
		}
	}
	if w.Suppliers[0].LeastAmount() != 0 || w.Suppliers[3].LeastAmount() != 1 {
		t.Error("what is not given counts, or what is given does not")
	}
}

// TestParts takes parts of a workshop and leaves the rest as it is.
func TestParts(t *testing.T) {
	day := func(text string) Date {
		d, err := ParseDate(text)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	w := &Workshop{Rack: []Stick{{ID: "a", Profile: "oak"}, {ID: "b", Profile: "ash", Coming: Coming{Order: "1"}}, {ID: "c", Profile: "oak"}},
		Jobs: []Job{{ID: "late", Due: day("2027-03-03")}, {ID: "2nd", Due: day("2027-03-02")}, {ID: "any"}, {ID: "first", Due: day("2027-03-02")}}}
	names := func(sticks []Stick) (names string) {
		for _, s := range sticks {
			names += s.ID
		}
		return names
	}
	if got := names(w.RackOf("oak")); got != "ac" {
		t.Errorf("of oak there is %q", got)
	}
	if got := names(w.Here().Rack); got != "ac" || len(w.Rack) != 3 {
		t.Errorf("here is %q, and on the rack %d", got, len(w.Rack))
	}
	if got := w.DueJobs(day("2027-03-02")); !slices.Equal(got, []int{2, 1, 3}) {
		t.Errorf("due on the day: %v", got)
	}
	if got := w.DueJobs(day("2027-03-01")); !slices.Equal(got, []int{2}) {
		t.Errorf("due the day before: %v", got)
	}
	if got := w.DueJobs(Date{}); !slices.Equal(got, []int{2, 1, 3, 0}) {
		t.Errorf("due some time: %v", got)
	}
	if got := w.WithJobs(w.Jobs[:1]); len(got.Jobs) != 1 || len(w.Jobs) != 4 || len(got.Rack) != 3 {
		t.Errorf("with one job: %+v", got)
	}
	jobs := []Job{{ID: "1", Frames: []JobFrame{{ID: "a", Cut: []SideID{{Job: "1", Frame: "a", Copy: 1, Ring: 1, Letter: "A"}}}, {ID: "b"}}}}
	cut := SideID{Job: "1", Frame: "a", Copy: 1, Ring: 1, Letter: "B"}
	got := MarkCut(jobs, []SideID{cut, {Job: "2", Frame: "a"}})
	if set := got[0].Frames[0].CutSet(); len(set) != 2 || !set[cut] || len(got[0].Frames[1].Cut) != 0 || len(jobs[0].Frames[0].Cut) != 1 {
		t.Errorf("marked: %+v, and before %+v", got, jobs)
	}
}

// TestSoundParts finds what of a stick can be cut, and where the wood behind a part ends.
func TestSoundParts(t *testing.T) {
	s := Stick{Length: mm(1000), Damage: []Span{{mm(200), mm(300)}, {mm(600), mm(610)}, {mm(620), mm(700)}}}
	parts := func(repeat Length) []Span { return s.Usable(Trims{Head: mm(50), Tail: mm(20)}, repeat) }
	if got, want := parts(0), []Span{{mm(50), mm(200)}, {mm(300), mm(600)}, {mm(610), mm(620)}, {mm(700), mm(980)}}; !slices.Equal(got, want) {
		t.Errorf("parts %v, want %v", got, want)
	}
	// A part that is no longer than a repeat has nothing left.
	if got, want := parts(mm(10)), []Span{{mm(60), mm(200)}, {mm(310), mm(600)}, {mm(710), mm(980)}}; !slices.Equal(got, want) {
		t.Errorf("with a repeat of 10 mm: %v, want %v", got, want)
	}
	for to, want := range map[Length]Length{mm(200): mm(200), mm(600): mm(600), mm(590): mm(600), mm(980): mm(1000)} {
		if got := s.SoundEnd(Span{To: to}); got != want {
			t.Errorf("behind %s the wood is sound to %s, want %s", to.In(Millimetres), got.In(Millimetres), want.In(Millimetres))
		}
	}
}

// TestPrinting reports settings of printing that make no sense, and takes those at the very ends.
func TestPrinting(t *testing.T) {
	labels := LabelSheet{Columns: 1, Rows: MaxLabels, Width: 1, Height: Metre}
	for _, row := range []struct {
		printing Printing
		want     string // blank: it is good
	}{
		{Printing{}, ""},
		{Printing{Paper: "A4", Tickets: 1, Fraction: 16, Labels: labels}, ""},
		{Printing{Paper: "Letter", Tickets: 2, Fraction: 32}, ""},
		{Printing{Tickets: 4, Fraction: 64, Labels: LabelSheet{Roll: true, Width: 1, Height: 1}}, ""},
		{Printing{Labels: LabelSheet{Columns: MaxLabels, Rows: 1, Width: Metre, Height: 1, Left: Metre, Top: Metre, Across: Metre, Down: Metre}}, ""},
		{Printing{Paper: "A5"}, "printing.paper: there is no paper “A5”"},
		{Printing{Tickets: 3}, "printing.tickets: a page cannot hold 3 tickets"},
		{Printing{Fraction: 8}, "printing.fraction: inches are not read to 1/8"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 1, Height: 1}}, "labels.width: the width of a label is missing"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 1, Width: 1}}, "labels.height: the height of a label is missing"},
		{Printing{Labels: LabelSheet{Rows: 1, Width: 1, Height: 1}}, "labels.columns: 0 labels across a sheet is not from 1 to 100"},
		{Printing{Labels: LabelSheet{Columns: 101, Rows: 1, Width: 1, Height: 1}}, "labels.columns: 101 labels across"},
		{Printing{Labels: LabelSheet{Columns: 1, Width: 1, Height: 1}}, "labels.rows: 0 labels down a sheet"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 101, Width: 1, Height: 1}}, "labels.rows: 101 labels down a sheet"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 1, Width: Metre + 1, Height: 1}}, "labels.width: it is not a length from 0 to 1 m"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 1, Width: 1, Height: -1}}, "labels.height: it is not a length"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 1, Width: 1, Height: 1, Left: -1}}, "labels.left: it is not a length"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 1, Width: 1, Height: 1, Top: -1}}, "labels.top: it is not a length"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 1, Width: 1, Height: 1, Across: Metre + 1}}, "labels.across: it is not a length"},
		{Printing{Labels: LabelSheet{Columns: 1, Rows: 1, Width: 1, Height: 1, Down: Metre + 1}}, "labels.down: it is not a length"},
	} {
		w := aWorkshop()
		w.Printing = row.printing
		switch err := w.Check(); {
		case row.want == "" && err != nil:
			t.Errorf("%+v: %v", row.printing, err)
		case row.want != "" && (err == nil || !strings.Contains(err.Error(), row.want) || strings.Contains(err.Error(), "\n")):
			t.Errorf("%+v: %v, want %q alone", row.printing, err, row.want)
		}
	}
	if got := AddressLines(" 1 Quay /  / Harbour Town / "); !slices.Equal(got, []string{"1 Quay", "Harbour Town"}) {
		t.Errorf("lines %q", got)
	}
}

// TestNearestEnds leaves out names of quite another length, and takes those at the limit.
func TestNearestEnds(t *testing.T) {
	for _, row := range []struct {
		written, name string
		near          bool
	}{
		{"oak", "oak", true}, {"oka", "oak", true}, {"oa", "oak", true}, {"ox", "oak", false}, {"o", "oak", false}, {"oakoakoak", "oak", false},
		{"walnut-3x", "walnut-30", true}, {"", "oak", false}, {"abcdef", "abc", false}, {"-", "_", true},
		{"abcdef😀😀", "abcdef", false}, // two letters more, which take more than twice the room
	} {
		if got, near := Nearest(row.written, []string{row.name}); near != row.near || near && got != row.name {
			t.Errorf("%q and %q are near: %t", row.written, row.name, near)
		}
	}
	if got := DidYouMean("oak", []string{"oak" + strings.Repeat("-", 100_000)}, ""); len(got) > 100 || !strings.HasPrefix(got, "did you mean oak---") {
		t.Errorf("of a long name that is meant it says %.200s", got)
	}
	if got, _ := Nearest("ash-21", []string{"ash-30", "ash-20", "ash-22"}); got != "ash-20" {
		t.Errorf("of two that are equally near the first is taken, not %s", got)
	}
}

// TestAtTheEnds takes the longest outside there may be, and a fourth decimal of a dinar that says nothing.
func TestAtTheEnds(t *testing.T) {
	for side, good := range map[Length]bool{MaxLength: true, MaxLength + 1: false} {
		_, err := Profile{Name: "oak", Width: mm(32), Rebate: mm(6)}.Ring(Size{Shape: rectangle, By: ByOutside, Width: side, Height: mm(300)}, 0, Millimetres)
		if (err == nil) != good {
			t.Errorf("an outside of %s: %v", side.In(Millimetres), err)
		}
	}
	for text, want := range map[string]Money{"1.2340": 1234, "1.230": 1230, "1.23": 1230, "1": 1000} {
		if got, err := ParseMoney(text, dinar); got != want || err != nil {
			t.Errorf("%s is %d, want %d; %v", text, got, want, err)
		}
	}
	for _, text := range []string{"1.2345", "1.23400"} {
		if got, err := ParseMoney(text, dinar); err == nil || got != 0 {
			t.Errorf("%s is taken for %d", text, got)
		}
	}
}

// TestGoodAtTheEnds takes numbers that are just still good.
func TestGoodAtTheEnds(t *testing.T) {
	for name, change := range map[string]func(*Workshop){
		"width":            func(w *Workshop) { w.Profiles[1].Width = MaxWidth },
		"trim":             func(w *Workshop) { w.Profiles[1].HeadTrim = MaxLength },
		"clearance":        func(w *Workshop) { w.Defaults.Clearance = MaxLength },
		"allowance":        func(w *Workshop) { w.Defaults.Allowance = MaxLength },
		"keep":             func(w *Workshop) { w.Defaults.Keep = OptionalLength{MaxLength, true} },
		"least keep":       func(w *Workshop) { w.Defaults.Keep = OptionalLength{1, true} },
		"value of a stick": func(w *Workshop) { w.Rack[0].Value = OptionalMoney{MaxMoney, true} },
		"no value":         func(w *Workshop) { w.Rack[0].Value = OptionalMoney{-1, false} },
		"shares":           func(w *Workshop) { w.Defaults.RackShare, w.Defaults.OffcutShare = 100, 100 },
		"quantity":         func(w *Workshop) { w.Jobs[0].Frames[0].Quantity = MaxQuantity },
		"stick":            func(w *Workshop) { w.Rack[0].Length = MaxLength },
		"offer":            func(w *Workshop) { w.Offers[0].Length, w.Offers[0].Price = MaxLength, MaxMoney },
		"kerf":             func(w *Workshop) { w.Machine.Shave = 0 },
		"bite":             func(w *Workshop) { w.Machine.Bite = LeastBite },
		"bundle":           func(w *Workshop) { w.Offers[0].Bundle = MaxBundle },
		"no longest side":  func(w *Workshop) { w.Machine.Limits.ShortestSide = OptionalLength{mm(150), true} },
		"price by length": func(w *Workshop) {
			w.Offers[0].ByLength, w.Offers[0].Price = ByLength{Price: 500, Per: Metre}, 1500
		},
	} {
		w := aWorkshop()
		change(w)
		if err := w.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := (Profile{Name: "oak", Width: mm(32), Repeat: MaxLength}).check(Millimetres); err != nil {
		t.Errorf("repeat: %v", err)
	}
	for name, change := range map[string]func(*Workshop){
		"keep":      func(w *Workshop) { w.Defaults.Keep = OptionalLength{0, true} },
		"clearance": func(w *Workshop) { w.Defaults.Clearance = MaxLength + 1 },
		"bite":      func(w *Workshop) { w.Machine.Bite = 1 },
		"delivery": func(w *Workshop) {
			w.Suppliers = []Supplier{{Name: "North Store", DeliveryDays: OptionalDays{Days: MaxDeliveryDays + 1}}}
		},
		"price by length": func(w *Workshop) {
			w.Offers[0].ByLength, w.Offers[0].Price = ByLength{Price: 500, Per: Metre}, 1501
		},
	} {
		w := aWorkshop()
		change(w)
		if w.Check() == nil {
			t.Errorf("%s: nobody says anything", name)
		}
	}
	twice := aWorkshop()
	twice.Profiles = append(twice.Profiles, Profile{Name: "oak", Where: Place{File: "profiles.csv", Line: 4}})
	if found, _ := errors.AsType[Errors](twice.Check()); len(found) != 1 || !strings.Contains(found[0].Error(), "is there twice") {
		t.Errorf("of a second profile of a name more is said than that: %v", found)
	}
}

// TestSizesAtTheEnds takes the least opening and the most rings there may be, rounds an angle, and says sizes in one measure or two.
func TestSizesAtTheEnds(t *testing.T) {
	if got := (Shape{Sides: 21}).Angle(); got != 8_571_429 {
		t.Errorf("the mitre of 21 sides is %d millionths of a degree", got)
	}
	oak := Profile{Name: "oak", Width: mm(32), Rebate: mm(6)}
	if _, err := oak.Ring(Size{Shape: rectangle, By: BySight, Width: 1, Height: 1}, 0, Millimetres); err != nil {
		t.Errorf("the least opening: %v", err)
	}
	for sides, says := range map[int]string{4: "size 10 × 12 mm leaves", 6: "size 10 mm leaves"} {
		size := Size{Shape: Shape{Sides: sides}, By: ByOutside, Width: mm(10), Height: mm(12)}
		if sides != 4 {
			size.Height = 0
		}
		if _, err := oak.Ring(size, 0, Millimetres); err == nil || !strings.Contains(strings.ReplaceAll(err.Error(), "10 mm ×", "10 ×"), says) {
			t.Errorf("%v, and it should say %q", err, says)
		}
	}
	f := JobFrame{ID: "nest", Quantity: 1, Rings: slices.Repeat([]Ring{{Profile: "oak"}}, MaxRings)}
	f.Rings[0].Size = Size{Shape: rectangle, By: ByContent, Width: mm(300), Height: mm(400)}
	find := func(string) (Profile, bool) { return oak, true }
	if rings, err := f.Geometry(find); err != nil || len(rings) != MaxRings {
		t.Errorf("of %d rings: %d, %v", MaxRings, len(rings), err)
	}
	f.Rings = append(f.Rings, Ring{Profile: "oak"})
	if _, err := f.Geometry(find); err == nil {
		t.Errorf("%d rings are taken", MaxRings+1)
	}
	for begun, want := range map[Length]Money{0: 400, 1: 0} { // what is left of a stick that is begun is not kept here
		if got := aWorkshop().StickValue(Stick{Profile: "gilt", Length: Metre, Begun: begun, Value: OptionalMoney{400, true}}); got != want {
			t.Errorf("begun up to %d nm a stick is worth %d, want %d", begun, got, want)
		}
	}
	if got := (ByLength{Price: MaxMoney, Per: Metre, Cut: 5}).Bundle(Metre, 2); got != 2*(MaxMoney+1) {
		t.Errorf("two of what is no price come to %d", got)
	}
}

// TestLengthsAtTheEnds writes lengths where one form ends and another begins.
func TestLengthsAtTheEnds(t *testing.T) {
	for l, want := range map[Length]string{0: `0"`, Foot: "1'", Foot - sixtyFourth: `11 63/64"`, Foot + Inch/2: `1' 1/2"`, 5*Foot + 9*Inch/2: `5' 4 1/2"`} {
		if got := l.FeetAndInches(); got != want {
			t.Errorf("%d nm is %s, want %s", l, got, want)
		}
	}
	if got := Length(0).In(Inches); got != `0"` {
		t.Errorf("nothing is %s", got)
	}
	for l, want := range map[Length]Length{4: 0, 5: 10, 14: 10, 15: 20, -4: 0, -5: -10, -14: -10, -15: -20} {
		if got := l.toNearest(10); got != want {
			t.Errorf("%d to the nearest ten is %d, want %d", l, got, want)
		}
	}
	for text, good := range map[string]bool{"1000000": true, "1000000.000001": false, "1000000,0": true} {
		if got, err := ParseLength(text, Millimetres); (err == nil) != good || good && got != MaxLength {
			t.Errorf("%s mm is %d, %v", text, got, err)
		}
	}
}

// TestFillEnds says that nothing is left where the clearance takes all.
func TestFillEnds(t *testing.T) {
	g := RingGeometry{Shape: rectangle, Content: Opening{Width: mm(10), Height: mm(20)}}
	for clearance, want := range map[Length]bool{mm(10) - 1: true, mm(10): false} {
		if o, ok := g.Fill(clearance); ok != want {
			t.Errorf("with a clearance of %d nm: %+v, %t", clearance, o, ok)
		}
	}
}

// TestOddAtTheEnds finds odd what is five times as far as all others, takes frames without a ring, and shows prices by the foot where lengths are in inches.
func TestOddAtTheEnds(t *testing.T) {
	w := aWorkshop()
	w.Unit = Inches
	w.Jobs[0].Frames = append([]JobFrame{{ID: "none", Quantity: 1}}, w.Jobs[0].Frames...)
	w.Offers = nil
	for n, price := range []Money{100, 100, 101, 102, 103, 104, 20} {
		w.Offers = append(w.Offers, Offer{Supplier: "North Store", Profile: "oak", Length: Foot, Price: price, Where: Place{File: "offers.csv", Line: n + 2}})
	}
	odd := w.Odds()
	if len(odd) != 1 || odd[0].Profile != "oak" || !strings.Contains(odd[0].String(), "0.20 EUR a foot is far from all others, which are 1.00 EUR a foot to 1.04 EUR a foot") {
		t.Errorf("odd: %v", odd)
	}
	w.Offers[6].Price = 21
	if odd := w.Odds(); len(odd) != 0 || w.OddErrors() != nil {
		t.Errorf("less than five times as little: %v", odd)
	}
	w.Offers[6].Price = 520
	if odd := w.Odds(); len(odd) != 1 || w.OddErrors() == nil {
		t.Errorf("five times as much: %v", odd)
	}
	w.Offers[6].Length, w.Offers[6].Price = 1, 104
	if odd := w.Odds(); len(odd) != 2 || !strings.Contains(odd[0].String()+odd[1].String(), "EUR a foot is far from") {
		t.Errorf("the shortest stick there can be, and its price of a foot: %v", odd)
	}
	w.Offers[6].Length, w.Offers[6].Price = Foot, 519
	if odd := w.Odds(); len(odd) != 0 {
		t.Errorf("less than five times as much: %v", odd)
	}
	for n := range 6 {
		w.Profiles = append(w.Profiles, Profile{Name: fmt.Sprint("p", n), Width: mm(30), Rebate: mm(5)})
	}
	w.Profiles[3].Width = mm(3)
	if odd := w.Odds(); len(odd) != 1 || odd[0].Profile != "p1" || !strings.Contains(odd[0].String(), "profile p1: a width of") {
		t.Errorf("a width that is far from all others: %v", odd)
	}
}

// TestLongCause has an error whose cause holds what stands in a file: of a long one the beginning is said.
func TestLongCause(t *testing.T) {
	for n, end := range map[int]string{400: "xx; do", 401: "xx…; do"} {
		e := &Error{What: "no plan", Err: errors.New(strings.Repeat("é", n-2) + "xx"), Do: "do"}
		if n > 400 {
			e.Err = errors.New(strings.Repeat("é", 398) + "xxy")
		}
		if said := e.Error(); !strings.HasSuffix(said, end) || len([]rune(said)) != len([]rune("no plan: "))+398+len([]rune(end)) {
			t.Errorf("of %d characters it says %q", n, said)
		}
	}
}
