package model

import (
	"slices"
	"testing"
)

// FuzzHabits reads numbers and days in a shop's habits. Nothing may panic; what is plain already is read so by anybody, and a
// day that is written as the shop writes days is the same day.
func FuzzHabits(f *testing.F) {
	for _, text := range []string{"3.000", "1,200", "1.234.567,5", "16 1/2\"", "1'4 1/2\"", "1\u202f200", "12, 13", "06.04.2027", "4/6/27", "2027 6 4.", "’"} {
		f.Add(text, byte(0), byte(0), byte(0))
		f.Add(text, byte(1), byte(2), byte(1))
	}
	marks := []string{"", ".", ",", "'", " "}
	orders := []DateOrder{"", "day.month.year", "month/day/year", "year-month-day", "year day month"}
	f.Fuzz(func(t *testing.T, text string, order, decimal, thousands byte) {
		h := Habits{Dates: orders[int(order)%len(orders)], Decimal: marks[int(decimal)%3], Thousands: marks[int(thousands)%len(marks)]}
		if h.Check() != nil {
			return
		}
		if plain, err := h.Plain(text, true); err == nil {
			point := Habits{Decimal: "."}
			if again, err := point.Plain(plain, true); err != nil || again != plain {
				t.Errorf("%q is plainly %q, and that %q, %v", text, plain, again, err)
			}
		}
		if day, err := h.ParseDate(text); err == nil {
			if again, err := h.ParseDate(h.Dates.Write(day)); err != nil || again != day {
				t.Errorf("%q is %s, written %q, read back %s, %v", text, day, h.Dates.Write(day), again, err)
			}
		}
		today, _ := ParseDate("2028-01-31")
		if day, err := h.ParseDateNear(text, today); err == nil {
			if same, err := h.ParseDate(text); err == nil && same != day {
				t.Errorf("%q is %s, and near %s it is %s", text, same, today, day)
			}
			if again, err := h.ParseDateNear(h.Dates.Write(day), today); err != nil || again != day {
				t.Errorf("%q is %s, written %q, read back %s, %v", text, day, h.Dates.Write(day), again, err)
			}
		}
		DayOrders(text, today)
	})
}

// FuzzSizes reads sizes that are written in one. Nothing may panic, and what is read is more than nothing and comes back from what it is written as.
func FuzzSizes(f *testing.F) {
	for _, text := range []string{"400 x 500 mm", "40×50 cm", "16 1/2\" x 20\"", "16 x 20 in", "300", "xx", "1x2x3", "1e9 X 2", "½ x 1"} {
		f.Add(text, byte(0))
		f.Add(text, byte(1))
	}
	f.Fuzz(func(t *testing.T, text string, unit byte) {
		bare := []Unit{Millimetres, Centimetres, Inches}[unit%3]
		measures, err := ParseSize(text, bare)
		if (err == nil) != (len(measures) > 0) || len(measures) > 2 {
			t.Fatalf("%q: %v, %v", text, measures, err)
		}
		written := ""
		for i, l := range measures {
			if l <= 0 {
				t.Errorf("%q: %d nm", text, l)
			}
			if i > 0 {
				written += " x "
			}
			written += l.String()
		}
		if again, err := ParseSize(written, bare); written != "" && (err != nil || !slices.Equal(again, measures)) {
			t.Errorf("%q is %v, written %q, read back %v, %v", text, measures, written, again, err)
		}
	})
}

// FuzzHeadings keeps a shop's heading for a column, with the unit that is said of it or without, and a word of its own. Each means afterwards what it was kept for, and comes
// back from what it is written as.
func FuzzHeadings(f *testing.F) {
	for _, heading := range []string{"Format", "Format = cm", "a=b", "a: b", "width in cm", " two  words ", "jobs.due=x", "\u00a0", "="} {
		f.Add(heading, "other", byte(0))
		f.Add(heading, heading, byte(2))
	}
	f.Fuzz(func(t *testing.T, heading, other string, unit byte) {
		units := []Unit{0, Millimetres, Centimetres, Inches}
		if folded(heading) == "" || folded(other) == "" {
			return
		}
		in := units[unit%4]
		h := Headings("").Add("jobs", "due", other).AddWord("jobs", "sides", heading, "6")
		if in == 0 {
			h = h.Add("jobs", "width", heading)
		} else {
			h = h.AddIn("jobs", "width", heading, in)
		}
		if column, as := h.Column("jobs", heading); column != "width" || as != in {
			t.Errorf("%q is kept for width in %v and means %q in %v: %q", heading, in, column, as, h)
		}
		if word, found := h.Word("jobs", "sides", heading); !found || word != "6" {
			t.Errorf("%q is kept as a word for 6 and means %q, %t: %q", heading, word, found, h)
		}
		again := Headings("")
		for _, text := range h.Of("jobs", "width") {
			if own, as := HeadingIn(text); as == 0 {
				again = again.Add("jobs", "width", own)
			} else {
				again = again.AddIn("jobs", "width", own, as)
			}
		}
		if column, as := again.Column("jobs", heading); column != "width" || as != in {
			t.Errorf("%q is kept for width in %v, written %q and then means %q in %v", heading, in, h.Of("jobs", "width"), column, as)
		}
		if _, bad := h.Column("jobs", other); bad != 0 && folded(heading) != folded(other) {
			t.Errorf("%q has a unit that is another's: %q", other, h)
		}
	})
}

// FuzzWords reads any text as each of the small words that settings, tables and price lists have. Nothing may panic, and what is read
// comes back from what it is written as.
func FuzzWords(f *testing.F) {
	for _, text := range []string{"m", "100 ft", "12\"", "mm", "in", "EUR", " eur ", "comma", "’", "day.month.year", "stick"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if per, err := ParsePer(text); err == nil {
			if again, err := ParsePer(PerText(per)); err != nil || again != per {
				t.Errorf("a price of %q is of %d nm, written %q, read back %d, %v", text, per, PerText(per), again, err)
			}
		}
		if unit, err := ParseUnit(text); err == nil {
			if again, err := ParseUnit(unit.String()); err != nil || again != unit {
				t.Errorf("unit %q is written %q, read back %v, %v", text, unit, again, err)
			}
		}
		if c, err := ParseCurrency(text); err == nil {
			if again, err := ParseCurrency(c.Code); err != nil || again != c {
				t.Errorf("currency %q is %v, read back %v, %v", text, c, again, err)
			}
		}
		if mark, err := ParseMark(text, ".,' "); err == nil {
			if again, err := ParseMark(MarkName(mark), ".,' "); err != nil || again != mark {
				t.Errorf("mark %q is %q, read back %q, %v", text, mark, again, err)
			}
		}
		if o, err := ParseDateOrder(text); err == nil {
			if again, err := ParseDateOrder(string(o)); err != nil || again != o {
				t.Errorf("order %q is %q, read back %q, %v", text, o, again, err)
			}
		}
		if _, err := (PriceForm{By: text}).Per(); err != nil && text == "" {
			t.Error(err)
		}
	})
}
