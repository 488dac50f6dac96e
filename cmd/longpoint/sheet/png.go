package sheet

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"longpoint/model"
)

// mostPixels bounds a picture: 100 million pixels is an A4 page at 1,100 dots per inch.
const mostPixels = 100_000_000

// PNG gives the drawing on white, with so many dots per inch. A picture that would be too large is an error of kind BadUsage.
func (d *Drawing) PNG(dotsPerInch float64) ([]byte, error) {
	picture, err := d.raster(dotsPerInch)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := png.Encode(&out, picture); err != nil {
		return nil, &model.Error{Kind: model.Fault, What: "a PNG picture could not be written", Err: err}
	}
	return out.Bytes(), nil
}

// raster gives the drawing as pixels.
func (d *Drawing) raster(dotsPerInch float64) (*image.RGBA, error) {
	scale := dotsPerInch / 25.4
	w, h := math.Ceil(d.Width*scale), math.Ceil(d.Height*scale)
	if !(w >= 1 && h >= 1 && w*h <= mostPixels) {
		return nil, &model.Error{Kind: model.BadUsage, What: "a picture cannot be drawn with so many or so few dots",
			Do: "take a number of dots per inch such as 150"}
	}
	c := &canvas{RGBA: image.NewRGBA(image.Rect(0, 0, int(w), int(h))), scale: scale}
	draw.Draw(c.RGBA, c.Bounds(), image.White, image.Point{}, draw.Src)
	for _, m := range d.marks {
		switch m := m.(type) {
		case pattern:
			c.fill(m.area().Outlines, Black)
		case area:
			c.fill(m.Outlines, m.Ink)
		case strokes:
			for _, line := range m.Lines {
				c.stroke(line, m)
			}
		case words:
			c.words(m)
		}
	}
	return c.RGBA, nil
}

// canvas is a picture in the making.
type canvas struct {
	*image.RGBA
	scale  float64 // pixels a millimetre
	raster vector.Rasterizer
	buffer sfnt.Buffer
}

// pen draws outlines in pixels.
type pen interface {
	MoveTo(x, y float32)
	LineTo(x, y float32)
	QuadTo(bx, by, x, y float32)
	CubeTo(bx, by, cx, cy, x, y float32)
	ClosePath()
}

// fill fills outlines.
func (c *canvas) fill(outlines [][]Point, ink Ink) {
	x0, y0, x1, y1 := bounds(outlines)
	c.within(x0, y0, x1, y1, ink, func(p pen, dx, dy float64) {
		for _, outline := range outlines {
			for i, at := range outline {
				x, y := float32(at.X*c.scale-dx), float32(at.Y*c.scale-dy)
				if i == 0 {
					p.MoveTo(x, y)
				} else {
					p.LineTo(x, y)
				}
			}
			p.ClosePath()
		}
	})
}

// within inks what outline draws in the rectangle given in millimetres. outline takes the place of the rectangle in pixels off.
func (c *canvas) within(x0, y0, x1, y1 float64, ink Ink, outline func(p pen, dx, dy float64)) {
	r := image.Rect(int(math.Floor(x0*c.scale)), int(math.Floor(y0*c.scale)), int(math.Ceil(x1*c.scale))+1, int(math.Ceil(y1*c.scale))+1)
	if r = r.Intersect(c.Bounds()); r.Empty() { // the rasterizer minds the picture's edges only in its own outlines
		return
	}
	c.raster.Reset(r.Dx(), r.Dy())
	outline(&c.raster, float64(r.Min.X), float64(r.Min.Y))
	c.raster.Draw(c.RGBA, r, image.NewUniform(color.RGBA{ink.R, ink.G, ink.B, 255}), image.Point{})
}

// stroke draws a line as the quadrilaterals of its parts; those of a line drawn through with corners are each a little
// longer than they are, so that the corners close.
func (c *canvas) stroke(line []Point, s strokes) {
	half := max(s.Width, leastPixels/c.scale) / 2
	beyond := 0.0
	if s.Dash == 0 && len(line) > 2 {
		beyond = half
	}
	for _, part := range dashed(line, s.Dash) {
		a, b := part[0], part[1]
		dx, dy := b.X-a.X, b.Y-a.Y
		length := math.Hypot(dx, dy)
		if length == 0 {
			continue
		}
		dx, dy = dx/length, dy/length
		a, b = Point{a.X - dx*beyond, a.Y - dy*beyond}, Point{b.X + dx*beyond, b.Y + dy*beyond}
		ex, ey := dx*half, dy*half
		c.fill([][]Point{{{a.X - ey, a.Y + ex}, {b.X - ey, b.Y + ex}, {b.X + ey, b.Y - ex}, {a.X + ey, a.Y - ex}}}, s.Ink)
	}
}

// leastPixels is the width under which no line goes, in pixels: fainter ones are lost.
const leastPixels = 0.7

// dashed gives a line's straight parts, or where it is dashed their dashes. The dashes go on round corners.
func dashed(line []Point, dash float64) (parts [][2]Point) {
	phase := 0.0 // how far into a dash and the gap after it
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		if dash == 0 {
			parts = append(parts, [2]Point{a, b})
			continue
		}
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		at := func(s float64) Point { return Point{a.X + (b.X-a.X)*s/length, a.Y + (b.Y-a.Y)*s/length} }
		for done := 0.0; done < length; {
			step := min(max(dash-math.Mod(phase, dash), rounding), length-done)
			if phase < dash {
				parts = append(parts, [2]Point{at(done), at(done + step)})
			}
			done += step
			phase = math.Mod(phase+step, 2*dash)
		}
	}
	return parts
}

// words draws a line of text by its letters' outlines.
func (c *canvas) words(w words) {
	f := faceOf(w.Bold)
	x0, y0, x1, y1 := w.extent()
	margin := w.Size / 2 // some letters reach beyond their room
	along := x0
	if w.Turned {
		along = -y1
	}
	em := fixed.I(int(f.units))
	perUnit := w.Size / f.units
	c.within(x0-margin, y0-margin, x1+margin, y1+margin, w.Ink, func(p pen, dx, dy float64) {
		to := func(at fixed.Point26_6) (float32, float32) {
			ax, ay := along+float64(at.X)/64*perUnit, float64(at.Y)/64*perUnit
			x, y := ax, w.At.Y+ay
			if w.Turned {
				x, y = w.At.X+ay, -ax
			}
			return float32(x*c.scale - dx), float32(y*c.scale - dy)
		}
		for _, r := range w.Text {
			if r >= beyond {
				continue
			}
			segments, err := f.font.LoadGlyph(&c.buffer, sfnt.GlyphIndex(f.glyphs[r]), em, nil)
			if err == nil {
				outline(p, segments, to)
			}
			along += float64(f.advances[r]) * perUnit
		}
	})
}

// outline draws a letter.
func outline(p pen, segments sfnt.Segments, to func(fixed.Point26_6) (float32, float32)) {
	open := false
	for _, s := range segments {
		ax, ay := to(s.Args[0])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if open {
				p.ClosePath()
			}
			p.MoveTo(ax, ay)
			open = true
		case sfnt.SegmentOpLineTo:
			p.LineTo(ax, ay)
		case sfnt.SegmentOpQuadTo:
			bx, by := to(s.Args[1])
			p.QuadTo(ax, ay, bx, by)
		case sfnt.SegmentOpCubeTo:
			bx, by := to(s.Args[1])
			x, y := to(s.Args[2])
			p.CubeTo(ax, ay, bx, by, x, y)
		}
	}
	if open {
		p.ClosePath()
	}
}

// bounds gives the corners of the rectangle round lines.
func bounds(lines [][]Point) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, line := range lines {
		for _, p := range line {
			x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
		}
	}
	return x0, y0, x1, y1
}
