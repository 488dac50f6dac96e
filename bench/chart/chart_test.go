package chart

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/plotter"
)

func TestSteps(t *testing.T) {
	got := steps(Share{Values: []float64{4, 2}, Total: 4}, 1, 8)
	want := plotter.XYs{{X: 1, Y: 0}, {X: 2, Y: 0}, {X: 2, Y: 25}, {X: 4, Y: 25}, {X: 4, Y: 50}, {X: 8, Y: 50}}
	if !slices.Equal(got, want) {
		t.Errorf("%v in place of %v", got, want)
	}
}

func TestEnds(t *testing.T) {
	for _, tc := range []struct {
		values          []float64
		least, greatest float64
	}{{nil, 1, 2}, {[]float64{3}, 3, 6}, {[]float64{3, 0.1, 50}, 0.1, 50}} {
		if a, b := ends([]Share{{Values: tc.values}}); a != tc.least || b != tc.greatest {
			t.Errorf("%v: %v to %v", tc.values, a, b)
		}
	}
}

func TestPicturesAreWritten(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	shares, curves, lines := filepath.Join(dir, "shares.svg"), filepath.Join(dir, "curves.svg"), filepath.Join(dir, "lines.svg")
	if err := Lines(lines, Labels{"A line", "week", "length (m)"}, []Curve{{"rack", []Point{{1, 2}, {3, 4}}}}); err != nil {
		t.Fatal(err)
	}
	if err := Shares(shares, Labels{"A share", "time (s)", "solved (%)"}, []Share{{"us", []float64{1, 2}, 2}, {"nobody", nil, 2}}); err != nil {
		t.Fatal(err)
	}
	if err := Curves(curves, Labels{"A curve", "frames", "time (s)"}, []Curve{{"growth", []Point{{1, 2}, {3, 4}}}}); err != nil {
		t.Fatal(err)
	}
	for path, words := range map[string][]string{shares: {"A share", "time (s)", "us", "nobody"}, curves: {"A curve", "frames", "growth"}, lines: {"A line", "week", "rack"}} {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range words {
			if !strings.Contains(string(data), w) {
				t.Errorf("%s does not show %q", filepath.Base(path), w)
			}
		}
	}
}
