package sheet

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"longpoint/model"
)

var update = flag.Bool("update", false, "write the golden pictures anew; then look at them")

// pictureTolerance is how far apart two pictures of one page by our own hand may be, as difference has it: smoothing on
// another processor takes less than 0.01; a word that is missing or moved takes 0.1 and more (TestDifference).
const pictureTolerance = 0.03

// difference compares two pictures: the greatest, over tiles of 32 × 32 pixels, of the mean difference in grey of the
// tile's cells of 4 × 4, black against white being 1. So one word that is gone counts on a full page too, and a pixel's worth of
// smoothing does not. Different sizes are wholly different; a pixel at the edges does not matter.
func difference(a, b image.Image) float64 {
	const cell, tile = 4, 8
	w, h := min(a.Bounds().Dx(), b.Bounds().Dx())/cell, min(a.Bounds().Dy(), b.Bounds().Dy())/cell
	if max(a.Bounds().Dx(), b.Bounds().Dx()) > cell*w+cell || max(a.Bounds().Dy(), b.Bounds().Dy()) > cell*h+cell {
		return 1
	}
	tiles := map[image.Point]float64{}
	for y := range h {
		for x := range w {
			d := grey(a, x*cell, y*cell, cell) - grey(b, x*cell, y*cell, cell)
			tiles[image.Point{x / tile, y / tile}] += max(d, -d) / (tile * tile)
		}
	}
	greatest := 0.0
	for _, d := range tiles {
		greatest = max(greatest, d)
	}
	return greatest
}

func grey(m image.Image, x, y, cell int) float64 {
	sum := 0
	for j := range cell {
		for i := range cell {
			sum += int(color.GrayModel.Convert(m.At(m.Bounds().Min.X+x+i, m.Bounds().Min.Y+y+j)).(color.Gray).Y)
		}
	}
	return float64(sum) / float64(255*cell*cell)
}

func blankLike(m image.Image) image.Image {
	blank := image.NewRGBA(m.Bounds())
	draw.Draw(blank, blank.Bounds(), image.White, image.Point{}, draw.Src)
	return blank
}

func readPNG(t *testing.T, name string) image.Image {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// readPGM reads a picture in grey as pdftoppm writes it: P5, width, height, 255, one byte a pixel.
func readPGM(t *testing.T, name string) *image.Gray {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var w, h, most int
	if _, err := fmt.Sscanf(string(data[:min(len(data), 40)]), "P5\n%d %d\n%d\n", &w, &h, &most); err != nil || most != 255 || len(data) < w*h {
		t.Fatalf("%s is no picture in grey: %v", name, err)
	}
	return &image.Gray{Pix: data[len(data)-w*h:], Stride: w, Rect: image.Rect(0, 0, w, h)}
}

// need gives a program of the system's to run.
func need(t *testing.T, name string) func(args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Fatalf("%s is not installed; make test-deps installs it", name)
	}
	return func(args ...string) string {
		t.Helper()
		var stdout, stderr bytes.Buffer
		cmd := exec.Command(name, args...)
		cmd.Stdout, cmd.Stderr = &stdout, &stderr
		if err := cmd.Run(); err != nil {
			t.Fatalf("%s %v: %v\n%s", name, args, err, stderr.String())
		}
		return stdout.String()
	}
}

// extremePage is a page with all extreme sticks on it.
func extremePage(t *testing.T) *Drawing {
	page := NewDrawing(A4.Width, A4.Height)
	all := extremes()
	y := 8.0
	for _, name := range slices.Sorted(maps.Keys(all)) {
		p := all[name]
		d, _ := NewSticks(p.Document.Profiles[0], model.Millimetres, A4.inner(), "").Draw(0)
		if y+d.Height > A4.Height {
			t.Fatalf("the extreme sticks need %.0f mm", y+d.Height)
		}
		page.place(d, margin, y)
		y += d.Height + 3
	}
	return page
}

// golden compares a drawing with a picture that somebody has looked at.
func golden(t *testing.T, name string, d *Drawing) {
	t.Helper()
	const dpi = 90
	name = filepath.Join("testdata", name+".png")
	if *update {
		data, err := d.PNG(dpi)
		if err != nil {
			t.Fatal(err)
		}
		write(t, name, data)
		return
	}
	got, err := d.raster(dpi)
	if err != nil {
		t.Fatal(err)
	}
	if off := difference(got, readPNG(t, name)); off > pictureTolerance {
		t.Errorf("the page differs from %s by %.4f; look at both, then run the test with -update", name, off)
	}
}

// TestGoldenSticks.
func TestGoldenSticks(t *testing.T) { golden(t, "sticks", extremePage(t)) }

// TestDifference: the comparison sees a word that has moved by half its height, and a row that is gone.
func TestDifference(t *testing.T) {
	page := func(moved float64, lines int) image.Image {
		d := NewDrawing(100, 60)
		for i := range lines {
			d.write(words{At: Point{5, 8 + float64(i)*6 + moved}, Text: "no 12 set 1 567 503 + 2 × 32 B 104 watercolour", Size: 3.2})
		}
		m, err := d.raster(90)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	if off := difference(page(0, 8), page(0, 8)); off != 0 {
		t.Errorf("the same page differs by %.4f", off)
	}
	if off := difference(page(0, 8), page(0.02, 8)); off > pictureTolerance {
		t.Errorf("a page moved by less than a pixel differs by %.4f", off)
	}
	if off := difference(page(0, 8), page(1.6, 8)); off <= pictureTolerance {
		t.Errorf("a page moved by half a line differs by %.4f only", off)
	}
	if off := difference(page(0, 8), page(0, 7)); off <= pictureTolerance {
		t.Errorf("a page without one of eight lines differs by %.4f only", off)
	}
}
