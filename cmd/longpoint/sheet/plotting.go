package sheet

import (
	"image"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// plotted gives a plot of gonum's as a drawing, so that it goes to paper, page and picture as all else does, in the same
// typeface.
func plotted(p *plot.Plot, width, height float64) *Drawing {
	c := &plotCanvas{d: NewDrawing(width, height), state: plotState{width: thinLine, scale: Point{1, 1}}}
	c.state.shift = Point{0, height}
	p.Draw(draw.NewCanvas(c, vg.Length(width)*vg.Millimeter, vg.Length(height)*vg.Millimeter))
	return c.d
}

// plotCanvas takes what gonum draws, whose y runs up, into a drawing, whose y runs down.
type plotCanvas struct {
	d     *Drawing
	state plotState
	kept  []plotState
}

// plotState is what Push keeps. Angles other than of words are not needed by the plots that are drawn here.
type plotState struct {
	width float64 // of lines, in millimetres
	dash  float64
	ink   Ink
	shift Point // of the origin, on paper
	scale Point
	turns int // quarters, against the clock
}

// onPaper gives a place of gonum's on paper.
func (c *plotCanvas) onPaper(p vg.Point) Point {
	x, y := float64(p.X/vg.Millimeter)*c.state.scale.X, float64(p.Y/vg.Millimeter)*c.state.scale.Y
	for range c.state.turns {
		x, y = -y, x
	}
	return Point{c.state.shift.X + x, c.state.shift.Y - y}
}

func (c *plotCanvas) SetLineWidth(w vg.Length) { c.state.width = float64(w / vg.Millimeter) }

func (c *plotCanvas) SetLineDash(pattern []vg.Length, _ vg.Length) {
	c.state.dash = 0
	if len(pattern) > 0 {
		c.state.dash = float64(pattern[0] / vg.Millimeter)
	}
}

func (c *plotCanvas) SetColor(k color.Color) {
	if k == nil {
		k = color.Black
	}
	r, g, b, _ := k.RGBA()
	c.state.ink = Ink{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8)}
}

// Rotate turns by the nearest whole number of quarters.
func (c *plotCanvas) Rotate(rad float64) {
	quarters := int(math.Round(rad / (math.Pi / 2)))
	c.state.turns = ((c.state.turns+quarters)%4 + 4) % 4
}

func (c *plotCanvas) Translate(p vg.Point) { c.state.shift = c.onPaper(p) }

func (c *plotCanvas) Scale(x, y float64) { c.state.scale.X *= x; c.state.scale.Y *= y }

func (c *plotCanvas) Push() { c.kept = append(c.kept, c.state) }

func (c *plotCanvas) Pop() {
	c.state = c.kept[len(c.kept)-1]
	c.kept = c.kept[:len(c.kept)-1]
}

func (c *plotCanvas) Stroke(path vg.Path) {
	if c.state.width > 0 {
		c.d.marks = append(c.d.marks, strokes{Lines: c.lines(path), Width: c.state.width, Ink: c.state.ink, Dash: c.state.dash})
	}
}

func (c *plotCanvas) Fill(path vg.Path) {
	c.d.marks = append(c.d.marks, area{Outlines: c.lines(path), Ink: c.state.ink})
}

// lines gives a path as lines; an arc as short ones.
func (c *plotCanvas) lines(path vg.Path) (lines [][]Point) {
	to := func(p vg.Point) {
		last := len(lines) - 1
		lines[last] = append(lines[last], c.onPaper(p))
	}
	for _, part := range path {
		switch part.Type {
		case vg.MoveComp:
			lines = append(lines, nil)
			to(part.Pos)
		case vg.LineComp:
			to(part.Pos)
		case vg.ArcComp:
			const parts = 32
			if len(lines) == 0 {
				lines = append(lines, nil)
			}
			for i := range parts + 1 {
				angle := part.Start + part.Angle*float64(i)/parts
				to(vg.Point{X: part.Pos.X + part.Radius*vg.Length(math.Cos(angle)), Y: part.Pos.Y + part.Radius*vg.Length(math.Sin(angle))})
			}
		case vg.CurveComp:
			for _, p := range append(append([]vg.Point{}, part.Control...), part.Pos) {
				to(p)
			}
		case vg.CloseComp:
			if last := len(lines) - 1; last >= 0 && len(lines[last]) > 0 {
				lines[last] = append(lines[last], lines[last][0])
			}
		}
	}
	return lines
}

func (c *plotCanvas) FillString(f font.Face, p vg.Point, text string) {
	if text = readable(text); text == "" {
		return
	}
	size := float64(f.Font.Size / vg.Millimeter)
	c.d.write(words{At: c.onPaper(p), Text: text, Size: size, Turned: c.state.turns == 1, Ink: c.state.ink})
}

// DrawImage is never called by the plots that are drawn here.
func (c *plotCanvas) DrawImage(vg.Rectangle, image.Image) {}
