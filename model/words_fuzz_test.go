package model

import (
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
