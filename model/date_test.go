package model

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParseDate(t *testing.T) {
	for text, want := range map[string]string{"2026-11-24": "2026-11-24", " 2028-02-29 ": "2028-02-29", "1900-01-01": "1900-01-01"} {
		if got, err := ParseDate(text); err != nil || got.String() != want {
			t.Errorf("ParseDate(%q) = %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "24.11.2026", "11/24/2026", "2026-11-31", "2027-02-29", "2026-1-2", "0001-01-01", "1899-12-31", "2026-11-24T10:00:00Z", "tomorrow"} {
		_, err := ParseDate(text)
		wantRefusal(t, err, "not a date")
	}
	if got := (Date{}).String(); got != "" {
		t.Errorf("no date is printed %q", got)
	}
}

func TestDatesReadBack(t *testing.T) {
	first := time.Date(firstYear, 1, 1, 0, 0, 0, 0, time.UTC)
	rapid.Check(t, func(t *rapid.T) {
		d := Date{first.AddDate(0, 0, rapid.IntRange(0, 400_000).Draw(t, "day"))}
		if got, err := ParseDate(d.String()); err != nil || !got.Equal(d.Time) {
			t.Fatalf("%v is read back as %v, %v", d, got, err)
		}
	})
}

func FuzzParseDate(f *testing.F) {
	for _, text := range []string{"2026-11-24", "24.11.2026", "2026-02-30", ""} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ParseDate(text)
		if err != nil {
			wantRefusal(t, err, "")
			return
		}
		if again, err := ParseDate(d.String()); err != nil || again != d {
			t.Fatalf("%q is printed %q and read back as %v, %v", text, d, again, err)
		}
	})
}
