package model

import (
	"testing"

	"pgregory.net/rapid"
)

func TestParseAngle(t *testing.T) {
	for text, want := range map[string]Angle{"45": 45_000_000, "22.5": 22_500_000, "22,5°": 22_500_000, "30 deg": 30_000_000, "25.714286": 25_714_286, "0": 0, "90": RightAngle} {
		if got, err := ParseAngle(text); err != nil || got != want {
			t.Errorf("ParseAngle(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for _, text := range []string{"", "-45", "90.000001", "999", "1000", "22.5000001", "45 mm", "45°°", "square"} {
		_, err := ParseAngle(text)
		wantRefusal(t, err, "not an angle")
	}
}

func TestAnglesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Angle(rapid.Int64Range(0, int64(RightAngle)).Draw(t, "angle"))
		if got, err := ParseAngle(a.String()); err != nil || got != a {
			t.Fatalf("%d is printed %q and read back as %d, %v", a, a, got, err)
		}
	})
}

func FuzzParseAngle(f *testing.F) {
	for _, text := range []string{"45", "22,5°", "30 deg", "91", "", "1e1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a, err := ParseAngle(text)
		if err != nil {
			wantRefusal(t, err, "")
			return
		}
		if again, err := ParseAngle(a.String()); a < 0 || a > RightAngle || err != nil || again != a {
			t.Fatalf("%q is printed %q and read back as %d, %v", text, a, again, err)
		}
	})
}
