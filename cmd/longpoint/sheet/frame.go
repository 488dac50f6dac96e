package sheet

import (
	"fmt"
	"math"

	"longpoint/model"
)

// framePicture draws a frame as it is joined, seen from the front: its rings one in the other, to one scale, the mitres
// between neighbouring sides, each side's letter on it. Side A is on top, the others follow clockwise. The drawing is at
// most so wide and high.
func framePicture(rings []model.RingGeometry, unit model.Unit, most float64) Figure {
	outer := rings[len(rings)-1]
	w, h := extentOf(outer.Outside, outer.Shape.Sides)
	const edge = 4.2 // room for letters that stand outside
	scale := (most - 2*edge) / max(w, h)
	f := &frameDrawing{Drawing: NewDrawing(w*scale+2*edge, h*scale+2*edge), scale: scale}
	f.middle = Point{f.Width / 2, f.Height / 2}
	for i, ring := range rings {
		f.ring(ring, i+1, i == len(rings)-1)
	}
	f.sight(rings[0], unit, len(rings) > 1)
	return Figure{f.Drawing, frameAlt(rings, unit)}
}

// FramePicture draws a frame as its ticket has it, at most so many millimetres wide and high.
func FramePicture(rings []model.RingGeometry, unit model.Unit, most float64) Figure {
	return framePicture(rings, unit, most)
}

// insideLetter is the room that a letter takes inside a thin ring.
const insideLetter = 3.4

// sight writes the sight size into the opening, as large as fits; where it is too small for words, the table has it.
func (f *frameDrawing) sight(inner model.RingGeometry, unit model.Unit, nested bool) {
	const most, least = 8 * point, 6.5 * point
	room := math.Min(paper(inner.Sight.Width, f.scale), paper(inner.Sight.Height, f.scale)) * 0.9
	if n := inner.Shape.Sides; n != 4 { // the circle that touches the sides has room all round
		room = paper(inner.Sight.Width, f.scale) / math.Tan(math.Pi/float64(n)) * 0.85
	}
	if nested {
		room -= 2 * insideLetter
	}
	text := WithUnit(Opening(inner.Sight, model.BySight, unit), unit)
	size := most * min(1, room/widthOf(text, most, false))
	if size < least || room < 3*size {
		return
	}
	f.write(words{At: Point{f.middle.X, f.middle.Y - 0.2*size}, Text: "sight", Size: size, Align: centre})
	f.write(words{At: Point{f.middle.X, f.middle.Y + 1.0*size}, Text: text, Size: size, Align: centre})
}

// frameAlt says in words what a frame's picture shows.
func frameAlt(rings []model.RingGeometry, unit model.Unit) string {
	text := "The frame from the front, to scale, side A on top and the others clockwise."
	for i, r := range rings {
		text += fmt.Sprintf(" Ring %d of %s: %d sides, outside %s, sight %s.", i+1, r.Profile, r.Shape.Sides, WithUnit(Opening(r.Outside, model.ByOutside, unit), unit), WithUnit(Opening(r.Sight, model.BySight, unit), unit))
	}
	return text
}

// frameDrawing is a picture of a frame in the making.
type frameDrawing struct {
	*Drawing
	middle Point
	scale  float64
}

// ring draws one ring: its back edge, its sight edge, the rebate behind it dashed, and the mitres.
func (f *frameDrawing) ring(r model.RingGeometry, number int, outermost bool) {
	n := r.Shape.Sides
	back, sight := f.corners(r.Outside, n), f.corners(r.Sight, n)
	f.outline(firmLine, Black, fmt.Sprintf("ring %d outside", number), back...)
	f.outline(firmLine, Black, fmt.Sprintf("ring %d sight", number), sight...)
	step := f.corners(r.Rebate, n)
	f.marks = append(f.marks, strokes{Width: hairline, Ink: Grey, Dash: 0.9, Lines: [][]Point{append(step, step[0])}})
	mitres := strokes{Width: thinLine, Ink: Black}
	for i := range n {
		mitres.Lines = append(mitres.Lines, []Point{back[i], sight[i]})
	}
	f.marks = append(f.marks, mitres)
	for i, side := range r.Sides {
		f.letter(side.Letter, back[i], back[(i+1)%n], sight[i], sight[(i+1)%n], outermost)
	}
}

// letter writes a side's letter on it where it is wide enough, else beside it: outside the outermost ring, inside others.
func (f *frameDrawing) letter(text string, a, b, c, d Point, outermost bool) {
	middle := func(p, q Point) Point { return Point{(p.X + q.X) / 2, (p.Y + q.Y) / 2} }
	back, sight := middle(a, b), middle(c, d)
	deep := math.Hypot(back.X-sight.X, back.Y-sight.Y)
	size := 8 * point
	at := middle(back, sight)
	if deep < size {
		size = 6.5 * point
		beyond := 0.5 + deep/2 + size*0.55
		if !outermost {
			beyond = -beyond
		}
		at.X += (back.X - sight.X) / deep * beyond
		at.Y += (back.Y - sight.Y) / deep * beyond
	}
	wide := widthOf(text, size, true) + 1
	f.box(White, at.X-wide/2, at.Y-0.4*size, wide, 0.8*size)
	f.write(words{At: Point{at.X, at.Y + 0.36*size}, Text: text, Size: size, Bold: true, Align: centre})
}

// corners gives a size's corners on paper, from the left end of side A on clockwise.
func (f *frameDrawing) corners(o model.Opening, n int) []Point {
	if n == 4 {
		w, h := paper(o.Width, f.scale)/2, paper(o.Height, f.scale)/2
		x, y := f.middle.X, f.middle.Y
		return []Point{{x - w, y - h}, {x + w, y - h}, {x + w, y + h}, {x - w, y + h}}
	}
	radius := paper(o.Width, f.scale) / (2 * math.Sin(math.Pi/float64(n)))
	out := make([]Point, n)
	for i := range out {
		angle := -math.Pi/2 - math.Pi/float64(n) + 2*math.Pi*float64(i)/float64(n)
		out[i] = Point{f.middle.X + radius*math.Cos(angle), f.middle.Y + radius*math.Sin(angle)}
	}
	return out
}

// extentOf gives how wide and high a frame is in millimetres, side A on top.
func extentOf(o model.Opening, n int) (w, h float64) {
	if n == 4 {
		return paper(o.Width, 1), paper(o.Height, 1)
	}
	radius := paper(o.Width, 1) / (2 * math.Sin(math.Pi/float64(n)))
	return 2 * radius, 2 * radius
}

// diagonal gives the distance between two opposite corners of a size, to nearest 0.01 mm: of a rectangle, or of a regular
// frame with an even number of sides. An odd frame has none.
func diagonal(o model.Opening, n int) (model.Length, bool) {
	const grain = model.Millimetre / 100
	length := 0.0
	switch {
	case n == 4:
		length = math.Hypot(float64(o.Width), float64(o.Height))
	case n%2 == 0:
		length = float64(o.Width) / math.Sin(math.Pi/float64(n))
	default:
		return 0, false
	}
	return model.Length(math.Round(length/float64(grain))) * grain, true
}
