package main

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"longpoint/model"
)

// TestSettings reads back what is shown: measure + 2 × set is the long point to which the side is cut, which is never short; set is
// off by no more than half of what is shown, and measure by what the long point and two sets are off together.
func TestSettings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom([]model.Unit{model.Millimetres, model.Centimetres, model.Inches, model.Inches.ReadTo(32), model.Inches.ReadTo(16)}).Draw(t, "unit")
		fine, coarse := model.Length(100_000), model.Length(100_000)
		if u.IsInches() {
			fine, coarse = 396_875, model.Inch/model.Length(u.Fraction())
		}
		measure := model.Length(rapid.Int64Range(50_000_000, 3_000_000_000).Draw(t, "measure"))
		set := model.Length(rapid.Int64Range(0, 200_000_000).Draw(t, "set"))
		longPoint := measure + 2*set
		m, s := settings(longPoint, set, u)
		shown := readMarks(t, toCut(longPoint, u), u)
		if got := readMarks(t, m, u) + 2*readMarks(t, s, u); got != shown || shown < longPoint || shown-longPoint >= fine {
			t.Errorf("%s + 2 × %s is %s, and the long point, %s, is shown as %s", m, s, got, longPoint, shown)
		}
		if off := readMarks(t, s, u) - set; max(off, -off)*2 > coarse {
			t.Errorf("set is %s and shown as %s", set, s)
		}
		if off := readMarks(t, m, u) - measure; max(off, -off) > fine+coarse+1 {
			t.Errorf("measure is %s and shown as %s", measure, m)
		}
	})
}

// readMarks reads a length back that may be a mark and what is over or short of it.
func readMarks(t *rapid.T, text string, u model.Unit) model.Length {
	mark, over, sign := text, "0", model.Length(1)
	for cut, s := range map[string]model.Length{" +": 1, " −": -1} {
		if before, after, found := strings.Cut(text, cut); found {
			mark, over, sign = before, after, s
		}
	}
	sum, err := model.ParseLength(mark, u)
	if err != nil {
		t.Fatal(err)
	}
	rest, err := model.ParseLength(over, u)
	if err != nil {
		t.Fatal(err)
	}
	return sum + sign*rest
}
