package main

import (
	"testing"

	"pgregory.net/rapid"

	"longpoint/model"
)

// TestSettings reads back what is shown: measure + 2 × set is the long point shown, and set is off by no more than half
// of what is shown, measure by one and a half times that.
func TestSettings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom([]model.Unit{model.Millimetres, model.Centimetres, model.Inches}).Draw(t, "unit")
		step := model.Length(100_000)
		if u == model.Inches {
			step = 396_875
		}
		measure := model.Length(rapid.Int64Range(50_000_000, 3_000_000_000).Draw(t, "measure"))
		set := model.Length(rapid.Int64Range(0, 200_000_000).Draw(t, "set"))
		longPoint := measure + 2*set
		read := func(text string) model.Length {
			l, err := model.ParseLength(text, u)
			if err != nil {
				t.Fatal(err)
			}
			return l
		}
		m, s := settings(longPoint, set, u)
		if got, want := read(m)+2*read(s), read(near(longPoint, u)); got != want {
			t.Errorf("%s + 2 × %s is %s, and the long point is shown as %s", m, s, got, want)
		}
		if off := read(s) - set; max(off, -off)*2 > step {
			t.Errorf("set is %s and shown as %s", set, s)
		}
		if off := read(m) - measure; max(off, -off)*2 > 3*step+1 {
			t.Errorf("measure is %s and shown as %s", measure, m)
		}
	})
}
