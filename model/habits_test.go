package model

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestPlain reads numbers as shops write them. What may mean two things is refused where nothing is said.
func TestPlain(t *testing.T) {
	none := Habits{}
	german, swiss, french, british := Habits{Decimal: ","}, Habits{Decimal: ".", Thousands: "'"}, Habits{Decimal: ",", Thousands: " "}, Habits{Decimal: ".", Thousands: ","}
	for _, row := range []struct {
		name   string
		habits Habits
		in     string
		want   string // the plain text, or what the error says
	}{
		{"whole", none, "1200", "1200"},
		{"decimal point", none, "12.4", "12.4"},
		{"decimal comma", none, "12,4", "12.4"},
		{"no whole part", none, ",5 in", ".5 in"},
		{"three decimals behind a nought", none, "0.125", "0.125"},
		{"a point before three digits", none, "3.000", "“3.000” can be read in two ways, as 3 and as 3000; write 3 or 3000, or, if the first is what you mean by such, set decimal = \"point\" under [tables] in workshop.toml, of a book by \"longpoint settings --set tables.decimal=point\""},
		{"a comma before three digits", none, "1,200", "as 1.2 and as 1200"},
		{"in the middle of a text", none, "0 to 1.200", "“1.200” can be read in two ways"},
		{"four digits before the point", none, "1234.567", "1234.567"},
		{"both marks", none, "1.234,5", "1234.5"},
		{"both marks the other way", none, "1,234.50", "1234.50"},
		{"two groups", none, "1.234.567", "1234567"},
		{"grouped in other ways", none, "12.34.5", "not a number"},
		{"an apostrophe before three digits", none, "3'000", `as 3000 and as 3' 0"`},
		{"typographic apostrophe", none, "1’200", `as 1200 and as 1' 200"`},
		{"feet and inches", none, `1'4 1/2"`, `1'4 1/2"`},
		{"feet", none, "6'", "6'"},
		{"four digits before an apostrophe are feet", none, "1234'567", "1234'567"},
		{"three may be either", none, "123'456", "as 123456 and as 123' 456"},
		{"five behind it are inches", none, "1'23456", "1'23456"},
		{"a comma between numbers", none, "12, 13", "12, 13"},
		{"a comma before a letter", none, "5,a5", "5,a5"},
		{"inches and a fraction", none, `16 1/2"`, `16 1/2"`},
		{"inches and a hyphen", none, "16-1/2", "16-1/2"},
		{"spans", none, "0 to 45; 1200 to 1260", "0 to 45; 1200 to 1260"},

		{"said: an apostrophe, and it is a point", Habits{Thousands: "'"}, "1.234.567", "“1.234.567” is not a number as this workshop writes them, with an apostrophe between thousands; write it so, or change thousands"},
		{"said: an apostrophe, and it is a blank that does not break", Habits{Thousands: "'"}, "1\u00a0234", "1234"},
		{"said: three digits are decimals", british, "3.000", "3.000"},
		{"said: the comma parts thousands", british, "3,000", "3000"},
		{"said: no decimal comma", british, "2,5", "“2,5” is not a number as this workshop writes them, with a decimal point"},
		{"German: thousands", german, "3.000", "3000"},
		{"German: decimals", german, "3,000", "3.000"},
		{"German: both", german, "3.000,50", "3000.50"},
		{"German: a decimal point", german, "2.5", "with a decimal comma; write it so, or change decimal under [tables] in workshop.toml"},
		{"Swiss: thousands", swiss, "3'000.50", "3000.50"},
		{"Swiss: typographic", swiss, "3’000", "3000"},
		{"Swiss: a point before three digits", swiss, "3.000", "3.000"},
		{"French: an ordinary blank", french, "1 200,5 mm", "1200.5 mm"},
		{"French: inches and their fraction", french, "16 100/128", "16 100/128"},

		{"grouped by an unbreakable blank", none, "1\u00a0200", "1200"},
		{"grouped by a narrow one", none, "1\u202f200,5", "1200.5"},
		{"grouped by a thin one", none, "1\u2009200\u2009000", "1200000"},
		{"unit behind an unbreakable blank", none, "1\u00a0200\u00a0mm", "1200 mm"},
		{"inches and their fraction", none, "16\u00a01/2\"", "16 1/2\""},
		{"three digits of a fraction", none, "16\u00a0100/128\"", "16 100/128\""},
		{"two digits are no group", none, "12\u00a034", "12 34"},
		{"four digits are no group", none, "12\u00a03456", "12 3456"},
		{"an ordinary blank groups nothing unless that is said", none, "1 200", "1 200"},
		{"no number, and blanks at the ends", none, "\u00a0mm\u00a0", "mm"},
		{"blanks at the ends", none, "\u00a0 7 \u00a0", "7"},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := row.habits.Plain(row.in, true)
			if err != nil {
				got = err.Error()
			}
			if got != row.want && (err == nil || !strings.Contains(got, row.want) || strings.Contains(row.in, row.want)) { // an error quotes what it was given
				t.Errorf("%q gives %q, want %q", row.in, got, row.want)
			}
		})
	}
	if got, err := none.Plain("3'000", false); got != "3000" || err != nil {
		t.Errorf("money knows no feet: %q, %v", got, err)
	}
}

// TestHabitsParseDate reads days.
func TestHabitsParseDate(t *testing.T) {
	for _, row := range []struct {
		name   string
		habits DateOrder
		in     string
		want   string // the day, or what the error says
	}{
		{"year, month, day", "", "2027-03-12", "2027-03-12"},
		{"and also where others are said", "day.month.year", "2027-03-12", "2027-03-12"},
		{"two ways", "", "03.12.2026", "“03.12.2026” can be read in two ways, as 2026-12-03 and as 2026-03-12; write 2026-12-03 or 2026-03-12, or, if the first is what you mean by such, set dates = \"day.month.year\" under [tables] in workshop.toml, of a book by \"longpoint settings --set tables.dates=day.month.year\""},
		{"one way", "", "23.12.2026", "2026-12-23"},
		{"the same both ways", "", "5/5/2026", "2026-05-05"},
		{"two digits of the year", "", "13.12.26", "two ways, as 2026-12-13 and as 2013-12-26"},
		{"said: day first", "day.month.year", "03.12.2026", "2026-12-03"},
		{"said: and of two digits", "day.month.year", "3.12.26", "2026-12-03"},
		{"said: month first", "month/day/year", "03/12/2026", "2026-03-12"},
		{"said: with another mark", "month/day/year", "03.12.2026", "not a date as this workshop writes them, month/day/year"},
		{"said: no such day", "day.month.year", "31.02.2026", "not a date"},
		{"no such day", "", "2027-02-30", "not a date"},
		{"words", "", "next week", "not a date"},
		{"letters for the year", "day.month.year", "3.12.xy", "not a date"},
		{"three digits of the year", "day.month.year", "1.1.202", "not a date"},
	} {
		t.Run(row.name, func(t *testing.T) {
			d, err := Habits{Dates: row.habits}.ParseDate(row.in)
			got := d.String()
			if err != nil {
				got = err.Error()
			}
			if got != row.want && (err == nil || !strings.Contains(got, row.want)) {
				t.Errorf("%q gives %q, want %q", row.in, got, row.want)
			}
		})
	}
}

// TestSaidIsNeverTwoWays reads numbers and days of a shop that says how it writes them: each as it was meant.
func TestSaidIsNeverTwoWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := Habits{Decimal: rapid.SampledFrom([]string{".", ","}).Draw(t, "decimal")}
		group := rapid.SampledFrom([]string{"", " ", "'", ".", ","}).Filter(func(m string) bool { return m != h.Decimal }).Draw(t, "thousands")
		h.Thousands = group
		n := rapid.Int64Range(0, 999_999_999).Draw(t, "n")
		part := rapid.SampledFrom([]string{"", "5", "25", "125", "0625"}).Draw(t, "part")
		want := Length(n).decimal(1)
		text := want
		for at := len(text) - 3; at > 0 && group != ""; at -= 3 {
			text = text[:at] + group + text[at:]
		}
		if part != "" {
			want, text = want+"."+part, text+h.Decimal+part
		}
		if got, err := h.Plain(text+" mm", true); err != nil || got != want+" mm" {
			t.Fatalf("%q of %+v gives %q, %v; want %q", text, h, got, err, want)
		}
	})
}

func TestParseHabits(t *testing.T) {
	for in, want := range map[string]string{"day.month.year": "day.month.year", " Month/Day/Year ": "month/day/year", "year month day": "year month day",
		"day.month": "", "day.day.year": "", "day.month/year": "", "": ""} {
		if got, err := ParseDateOrder(in); string(got) != want || (err == nil) != (want != "") {
			t.Errorf("%q gives %q, %v", in, got, err)
		}
	}
	for in, want := range map[string]string{".": ".", "point": ".", "Comma": ",", "’": "'", "\u202f": " ", " ": " ", "blank": " ", "dot": "", "": ""} {
		if got, err := ParseMark(in, ".,' "); got != want || (err == nil) != (want != "") {
			t.Errorf("%q gives %q, %v", in, got, err)
		}
	}
	if err := (Habits{Decimal: ",", Thousands: ","}).Check(); err == nil {
		t.Error("one mark for two things is not refused")
	}
}
