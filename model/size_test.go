package model

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestParseSize reads sizes as people write them in one.
func TestParseSize(t *testing.T) {
	for text, want := range map[string][]Length{
		"40x50":            {40 * Millimetre, 50 * Millimetre},
		"40 x 50 cm":       {40 * Centimetre, 50 * Centimetre},
		"21 × 29.7 cm":     {21 * Centimetre, 297 * Millimetre},
		"16x20in":          {16 * Inch, 20 * Inch},
		`8 1/2 X 11"`:      {17 * Inch / 2, 11 * Inch},
		"40 cm x 500 mm":   {40 * Centimetre, 50 * Centimetre},
		"25 cm":            {25 * Centimetre},
		"40 cm x 50":       nil,
		"x":                nil,
		"40 x 50 x 3":      nil,
		"0 x 50":           nil,
		"a x b":            nil,
		"40 x 50 furlongs": nil,
	} {
		got, err := ParseSize(text, Millimetres)
		if diff := cmp.Diff(want, got); diff != "" || (err == nil) != (want != nil) {
			t.Errorf("%q: %v, %v", text, diff, err)
		}
	}
}

// TestDayWithoutYear reads days without a year beside a day in late autumn.
func TestDayWithoutYear(t *testing.T) {
	today, err := ParseDate("2026-11-30")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		text string
		set  DateOrder
		want string // blank: it is refused
	}{
		{"3.12.", "", "2026-12-03"},
		{"3. 12.", "", "2026-12-03"},
		{"24.12", "", "2026-12-24"},
		{"12/24", "", "2026-12-24"},
		{"3.1.", "", "2027-01-03"},
		{"30.8.", "", "2027-08-30"},
		{"1.9.", "", "2026-09-01"},
		{"5/8", "", ""},
		{"5/8", "month/day/year", "2027-05-08"},
		{"12/8", "day/month/year", "2027-08-12"},
		{"5.8.", "month/day/year", ""},
		{"30.2.", "", ""},
		{"3.12.26", "day.month.year", "2026-12-03"},
		{"3.12.26", "", ""},
		{"2026-12-04", "day.month.year", "2026-12-04"},
		{"16 March", "", ""},
	} {
		d, err := Habits{Dates: c.set}.ParseDateNear(c.text, today)
		if (err == nil) != (c.want != "") || d.String() != c.want {
			t.Errorf("%q as %q: %s, %v", c.text, c.set, d, err)
		}
	}
}

// TestTinyFrames: in millimetres frames below any photograph are named once.
func TestTinyFrames(t *testing.T) {
	frame := func(width, height Length) JobFrame {
		return JobFrame{ID: "1", Quantity: 1, Rings: []Ring{{Profile: "oak", Size: Size{Width: width, Height: height}}}}
	}
	w := &Workshop{Unit: Millimetres, Jobs: []Job{{ID: "A", Frames: []JobFrame{frame(90*Millimetre, 130*Millimetre), frame(40*Millimetre, 50*Millimetre), frame(60*Millimetre, 80*Millimetre)}}}}
	if all := w.tiny(); len(all) != 1 || all[0].What != "job A, frame 1 is 40 × 50 mm, smaller than any photograph" ||
		all[0].Do != `if centimetres are meant, write cm behind the size or in the heading of its column, or say so with the heading: --is "HEADING=width in cm" (and so of 1 more)` {
		t.Errorf("%v", all)
	}
	if w.Unit = Centimetres; len(w.tiny()) > 0 {
		t.Error("centimetres are named")
	}
}
