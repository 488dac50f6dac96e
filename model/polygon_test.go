package model

import (
	"math"
	"testing"
)

// TestIrrationalLengths holds both functions against the mathematics library, which is far finer than a grain at these
// lengths: the result is the least multiple of a grain not below the true value.
func TestIrrationalLengths(t *testing.T) {
	for n := MinSides; n <= MaxSides; n++ {
		theta := math.Pi / float64(n)
		for _, c := range []Length{1, 999, 10_000, 123_457, Millimetre, 3_175_000, 32 * Millimetre, 419_000_001, 2 * Metre, 999 * Metre} {
			if n != 4 {
				want := Length(math.Ceil(float64(c)*math.Tan(theta)/float64(grain))) * grain
				if got := timesTan(c, n); got != want {
					t.Errorf("timesTan(%d, %d) = %d, want %d", c, n, got, want)
				}
			}
			if n != 3 {
				want := Length(math.Ceil(float64(c)/math.Cos(theta)/float64(grain))) * grain
				if got := overCos(c, n); got != want {
					t.Errorf("overCos(%d, %d) = %d, want %d", c, n, got, want)
				}
			}
		}
	}
}

// TestRationalLengths: where the factor is rational the result is exact to the nanometre and not bumped.
func TestRationalLengths(t *testing.T) {
	for _, c := range []Length{0, 1, 9_999, 10_000, 396_875, 32 * Millimetre, MaxLength} {
		if got := timesTan(c, 4); got != c {
			t.Errorf("timesTan(%d, 4) = %d", c, got)
		}
		if got := overCos(c, 3); got != 2*c {
			t.Errorf("overCos(%d, 3) = %d", c, got)
		}
	}
	for n := MinSides; n <= MaxSides; n++ {
		if timesTan(0, n) != 0 || overCos(0, n) != 0 {
			t.Errorf("n = %d: nothing times something is not nothing", n)
		}
	}
}
