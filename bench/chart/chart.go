// Package chart draws the pictures of what was measured, as SVG or PNG files by the name's ending.
package chart

import (
	"image/color"
	"os"
	"path/filepath"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Size of every picture.
const (
	width  = 18 * vg.Centimeter
	height = 11 * vg.Centimeter
)

// Labels are a picture's words.
type Labels struct{ Title, X, Y string }

// Share is what was measured of a set, for those of the set that have a value at all. Values are positive.
type Share struct {
	Name   string
	Values []float64
	Total  int // size of the set
}

// Shares draws for every set the share of it with a value of at most x, in per cent, x on a logarithmic scale from the
// least value to the greatest. With x a time this is how much is solved by when; with x the ratio to the quickest it is
// the performance profile of E. D. Dolan and J. J. Moré, "Benchmarking optimization software with performance profiles",
// Mathematical Programming 91, 2002, 201–213.
func Shares(path string, l Labels, sets []Share) error {
	p := newPlot(l)
	p.X.Scale, p.X.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
	p.Y.Min, p.Y.Max = 0, 100
	least, greatest := ends(sets)
	p.X.Min, p.X.Max = least, greatest
	for n, s := range sets {
		line, err := plotter.NewLine(steps(s, least, greatest))
		if err != nil {
			return err
		}
		addLine(p, line, n, s.Name)
	}
	return save(p, path)
}

// ends gives the range of all values, never empty.
func ends(sets []Share) (least, greatest float64) {
	first := true
	for _, s := range sets {
		for _, v := range s.Values {
			if first {
				least, greatest, first = v, v, false
			}
			least, greatest = min(least, v), max(greatest, v)
		}
	}
	if first {
		least = 1
	}
	return least, max(greatest, 2*least)
}

// steps gives the corners of a set's staircase.
func steps(s Share, least, greatest float64) plotter.XYs {
	sorted := slices.Sorted(slices.Values(s.Values))
	corners := plotter.XYs{{X: least, Y: 0}}
	reached := 0.0
	for i, v := range sorted {
		corners = append(corners, plotter.XY{X: v, Y: reached})
		reached = 100 * float64(i+1) / float64(s.Total)
		corners = append(corners, plotter.XY{X: v, Y: reached})
	}
	return append(corners, plotter.XY{X: greatest, Y: reached})
}

// Curve is a named line through points in the order given.
type Curve struct {
	Name   string
	Points []Point
}

// Point is one of them.
type Point struct{ X, Y float64 }

// Curves draws lines with their points marked, both axes from 0.
func Curves(path string, l Labels, curves []Curve) error {
	p := newPlot(l)
	p.X.Min, p.Y.Min = 0, 0
	p.Legend.Top, p.Legend.Left = true, true
	for n, c := range curves {
		var xys plotter.XYs
		for _, q := range c.Points {
			xys = append(xys, plotter.XY(q))
		}
		line, points, err := plotter.NewLinePoints(xys)
		if err != nil {
			return err
		}
		points.GlyphStyle = draw.GlyphStyle{Color: ink(n), Radius: vg.Points(2.5), Shape: draw.CircleGlyph{}}
		p.Add(points)
		addLine(p, line, n, c.Name)
	}
	return save(p, path)
}

// Lines draws lines without marks, the axes no longer than what they show.
func Lines(path string, l Labels, curves []Curve) error {
	p := newPlot(l)
	p.Legend.Top, p.Legend.Left = true, true
	for n, c := range curves {
		var xys plotter.XYs
		for _, q := range c.Points {
			xys = append(xys, plotter.XY(q))
		}
		line, err := plotter.NewLine(xys)
		if err != nil {
			return err
		}
		addLine(p, line, n, c.Name)
	}
	const legend = 0.12 // of the height, so that the names stand above the lines
	p.Y.Max += legend * (p.Y.Max - p.Y.Min)
	return save(p, path)
}

func newPlot(l Labels) *plot.Plot {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = l.Title, l.X, l.Y
	p.BackgroundColor = color.White
	p.Add(plotter.NewGrid())
	return p
}

// addLine draws the n-th line so that it can be told from the others in black and white too.
func addLine(p *plot.Plot, line *plotter.Line, n int, name string) {
	dashes := [][]vg.Length{nil, {vg.Points(6), vg.Points(2)}, {vg.Points(2), vg.Points(2)}, {vg.Points(8), vg.Points(2), vg.Points(2), vg.Points(2)}, {vg.Points(12), vg.Points(4)}}
	line.Width, line.Color, line.Dashes = vg.Points(1.2), ink(n), dashes[n%len(dashes)]
	p.Add(line)
	p.Legend.Add(name, line)
}

// ink gives a dark colour for the n-th line.
func ink(n int) color.Color {
	inks := []color.RGBA{{20, 20, 20, 255}, {150, 50, 20, 255}, {30, 80, 140, 255}, {70, 110, 40, 255}, {110, 40, 120, 255}, {140, 110, 20, 255}}
	return inks[n%len(inks)]
}

func save(p *plot.Plot, path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return p.Save(width, height, path)
}
