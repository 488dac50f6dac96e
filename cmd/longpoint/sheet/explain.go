package sheet

import (
	"math"

	"longpoint/model"
)

// Explained is a drawing that explains something, for the manual, and the name of its file.
type Explained struct {
	File string
	*Drawing
}

// Explain gives the drawings that explain words of the trade and how lengths are worked out. They are to no scale, save the
// frames: what is small in a workshop is drawn large enough to be seen.
func Explain() []Explained {
	return []Explained{
		{"moulding.svg", drawSection()},
		{"sizes.svg", drawSizes()},
		{"letters.svg", drawLetters()},
		{"takes.svg", drawTakes()},
		{"loss.svg", drawLoss()},
		{"bites.svg", drawBites()},
		{"stop.svg", drawStop()},
		{"test-cut.svg", drawTestCut()},
		{"shave.svg", drawShave()},
	}
}

// How explaining drawings are made, in millimetres: narrow enough for a telephone.
const (
	sketchWide = 112
	sketchSize = 8.5 * point
)

// sketch is an explaining drawing in the making.
type sketch struct{ *Drawing }

func newSketch(height float64) sketch { return sketch{NewDrawing(sketchWide, height)} }

// say writes words round a place.
func (s sketch) say(x, y float64, a align, text string) {
	s.write(words{At: Point{x, y}, Text: text, Size: sketchSize, Align: a})
}

// name writes a title.
func (s sketch) name(x, y float64, text string) {
	s.write(words{At: Point{x, y}, Text: text, Size: sketchSize, Bold: true})
}

// wood draws a piece of moulding.
func (s sketch) wood(corners ...Point) {
	s.fill(Pale, corners...)
	s.outline(thinLine, Black, "", corners...)
}

// dashed draws a dashed line.
func (s sketch) dashed(through ...Point) {
	s.marks = append(s.marks, strokes{Lines: [][]Point{through}, Width: thinLine, Ink: Black, Dash: 1.1})
}

// head draws an arrow's head at a point, pointing along (dx, dy), a unit vector.
func (s sketch) head(at Point, dx, dy float64) {
	const long, half = 1.8, 0.6
	back := Point{at.X - long*dx, at.Y - long*dy}
	s.fill(Black, at, Point{back.X - half*dy, back.Y + half*dx}, Point{back.X + half*dy, back.Y - half*dx})
}

// arrow draws a line with a head at its end.
func (s sketch) arrow(from, to Point) {
	s.line(thinLine, Black, from, to)
	d := math.Hypot(to.X-from.X, to.Y-from.Y)
	s.head(to, (to.X-from.X)/d, (to.Y-from.Y)/d)
}

// across draws a measure from x0 to x1, with its name over it. Where there is no room for arrows between, they stand outside and the
// name beside the right one.
func (s sketch) across(x0, x1, y float64, text string) {
	for _, x := range []float64{x0, x1} {
		s.line(hairline, Black, Point{x, y - 1.4}, Point{x, y + 1.4})
	}
	if x1-x0 > 5 {
		s.arrow(Point{x1, y}, Point{x0, y})
		s.arrow(Point{x0, y}, Point{x1, y})
		s.say((x0+x1)/2, y-1.2, centre, text)
		return
	}
	s.arrow(Point{x0 - 4, y}, Point{x0, y})
	s.arrow(Point{x1 + 4, y}, Point{x1, y})
	s.say(x1+4.8, y+1, left, text)
}

// drawSection draws a moulding cut across, with what lies in it.
func drawSection() *Drawing {
	s := newSketch(59)
	s.wood(Point{16, 14}, Point{30, 12}, Point{50, 17}, Point{76, 22}, Point{76, 30}, Point{62, 30}, Point{62, 44}, Point{16, 44})
	for i, text := range []string{"glass", "mount and picture", "backing"} {
		y := 30.4 + 4.4*float64(i)
		s.outline(hairline, Black, "", Point{64, y}, Point{88, y}, Point{88, y + 3.8}, Point{64, y + 3.8})
		s.say(89, y+3, left, text)
	}
	s.across(16, 76, 7, "width w")
	s.dashed(Point{16, 7}, Point{16, 14})
	s.dashed(Point{76, 7}, Point{76, 22})
	s.across(62, 76, 53, "")
	s.say(78, 54, left, "rebate width r")
	s.dashed(Point{62, 44}, Point{62, 53})
	s.dashed(Point{76, 30}, Point{76, 53})
	s.say(14, 28, right, "back")
	s.say(14, 32, right, "edge")
	s.say(79, 20, left, "sight edge")
	s.say(39, 33, centre, "moulding, cut across")
	s.arrow(Point{52, 49}, Point{62.8, 42})
	s.say(51, 50, right, "play: half the allowance a")
	return s.Drawing
}

// drawSizes draws a frame from the front and measures its four sizes.
func drawSizes() *Drawing {
	s := newSketch(96)
	box := func(x, y, wide, high float64) []Point {
		return []Point{{x, y}, {x + wide, y}, {x + wide, y + high}, {x, y + high}}
	}
	const left0, top, wide, high, w, r, play = 10.0, 3.0, 92.0, 56.0, 15.0, 5.0, 1.6
	at := func(in float64) []Point { return box(left0+in, top+in, wide-2*in, high-2*in) }
	s.wood(at(0)...)
	s.fill(White, at(w)...)
	s.outline(thinLine, Black, "", at(w)...)
	for _, in := range []float64{w - r, w - r + play} {
		corners := at(in)
		s.dashed(append(corners, corners[0])...)
	}
	for i, back := range at(0) {
		s.line(thinLine, Black, back, at(w)[i])
	}
	s.say(left0+wide/2, top+high/2, centre, "seen from the front")
	for i, size := range []struct {
		in   float64
		text string
	}{{w, "sight size"}, {w - r + play, "content size"}, {w - r, "rebate size = content size + a"}, {0, "outside size = the long points"}} {
		y := 67 + 8.4*float64(i)
		x0, x1 := left0+size.in, left0+wide-size.in
		for _, x := range []float64{x0, x1} {
			s.marks = append(s.marks, strokes{Lines: [][]Point{{{x, top + high - size.in}, {x, y}}}, Width: hairline, Ink: Grey, Dash: 0.8})
		}
		s.across(x0, x1, y, size.text)
	}
	return s.Drawing
}

// drawLetters draws frames of four and six sides with their letters.
func drawLetters() *Drawing {
	s := newSketch(52)
	rings := [][]model.RingGeometry{{ring(4, 300, 240)}, {ring(6, 160, 0)}}
	for i, r := range rings {
		s.place(framePicture(r, model.Millimetres, 52).Drawing, 2+58*float64(i), 0)
	}
	return s.Drawing
}

// ring gives a frame round a picture, in millimetres.
func ring(sides int, wide, high model.Length) model.RingGeometry {
	const mm = model.Millimetre
	size := model.Size{By: model.BySight, Shape: model.Shape{Sides: sides}, Width: wide * mm, Height: high * mm}
	g, err := model.Profile{Name: "moulding", Width: 36 * mm, Rebate: 8 * mm}.Ring(size, 2*mm, model.Millimetres)
	if err != nil {
		panic(err) // the sizes are ours
	}
	return g
}

// The stick of the drawings of cuts: its back edge is up.
const (
	stickTop  = 18.0
	stickDeep = 16.0 // the moulding's width, and how far a mitre of 45 degrees leans
)

// mitred gives the corners of a piece with a mitre at both ends, its long point up.
func mitred(x0, x1, top, deep float64) []Point {
	return []Point{{x0, top}, {x1, top}, {x1 - deep, top + deep}, {x0 + deep, top + deep}}
}

// drawTakes draws what two sides take of a stick.
func drawTakes() *Drawing {
	s := newSketch(53)
	const deep = 11.0
	const bottom = stickTop + deep
	const end0, end1, trim, shave, half = 4.0, 108.0, 11.0, 3.4, 2.2
	s.outline(thinLine, Black, "", Point{end0, stickTop}, Point{end1, stickTop}, Point{end1, bottom}, Point{end0, bottom})
	s.trimmed(end0, stickTop, trim, deep, "head trim")
	s.trimmed(end1-trim, stickTop, trim, deep, "tail trim")
	first := end0 + trim
	middle := (end0 + end1) / 2
	for _, part := range [][2]float64{{first, middle}, {middle, end1 - trim}} {
		x0, x1 := part[0]+half, part[1]-half
		s.fill(White, mitred(x0, x1, stickTop, deep)...)
		s.outline(hairline, Black, "", mitred(x0, x1, stickTop, deep)...)
		s.wood(mitred(x0+shave, x1-shave, stickTop, deep)...)
		s.across(x0+shave, x1-shave, 8, "long point")
		for _, x := range []float64{x0 + shave, x1 - shave} {
			s.marks = append(s.marks, strokes{Lines: [][]Point{{{x, 8}, {x, stickTop}}}, Width: hairline, Ink: Grey, Dash: 0.8})
		}
		s.say((x0+x1)/2, stickTop+6, centre, "side")
	}
	s.across(middle-half, middle+half, stickTop-3, "mitre loss")
	s.arrow(Point{middle - 14, bottom + 11}, Point{middle - half - shave/2 - 4, stickTop + 3.4})
	s.arrow(Point{middle + 14, bottom + 11}, Point{middle + half + shave/2 + 4, stickTop + 3.4})
	s.say(middle, bottom+15, centre, "a shave at each mitre, for the finishing cut")
	s.say(middle, bottom+5, centre, "wedge")
	s.say(end0, bottom+5, left, "head trim")
	s.say(end1, bottom+5, right, "tail trim")
	s.say(middle, bottom+21, centre, "back edge up; the wedge falls out at the sight edge")
	return s.Drawing
}

// drawLoss draws what a guillotine and a saw take on the back edge.
func drawLoss() *Drawing {
	s := newSketch(47)
	const top, deep = 22.0, 17.0
	s.name(4, 4, "guillotine")
	s.wood(Point{4, top}, Point{50, top}, Point{50, top + deep}, Point{4, top + deep})
	const apex, over = 25.0, 5.0
	s.fill(White, Point{apex, top - over}, Point{apex + over + deep, top + deep}, Point{apex - over - deep, top + deep})
	s.line(firmLine, Black, Point{apex - over - deep, top + deep}, Point{apex, top - over}, Point{apex + over + deep, top + deep})
	s.line(thinLine, Black, Point{4, top + deep}, Point{4, top}, Point{apex - over, top})
	s.line(thinLine, Black, Point{apex + over, top}, Point{50, top}, Point{50, top + deep})
	s.dashed(Point{apex - over, top}, Point{apex + over, top})
	s.across(apex-over, apex+over, top-9.5, "loss")
	for _, x := range []float64{apex - over, apex + over} {
		s.marks = append(s.marks, strokes{Lines: [][]Point{{{x, top - 9.5}, {x, top}}}, Width: hairline, Ink: Grey, Dash: 0.8})
	}
	s.line(hairline, Black, Point{apex, top - over}, Point{apex + 15, top - over})
	s.arrow(Point{apex + 13, top - over - 4}, Point{apex + 13, top - over})
	s.arrow(Point{apex + 13, top + 4}, Point{apex + 13, top})
	s.say(apex+14.5, top-1.4, left, "overrun")
	s.say(apex, top+12, centre, "blades")
	s.say(27, top+deep+5, centre, "loss = 2 × overrun")
	s.name(62, 4, "saw")
	s.wood(Point{60, top}, Point{108, top}, Point{108, top + deep}, Point{60, top + deep})
	const x, along = 80.0, 7.0
	s.fill(White, Point{x, top}, Point{x + along, top}, Point{x + along + deep, top + deep}, Point{x + deep, top + deep})
	s.line(thinLine, Black, Point{x, top}, Point{x + deep, top + deep})
	s.line(thinLine, Black, Point{x + along, top}, Point{x + along + deep, top + deep})
	s.across(x, x+along, top-5, "loss")
	const in, square = 6.5, along / 2
	s.arrow(Point{x + in - 5, top + in + 5}, Point{x + in, top + in})
	s.arrow(Point{x + in + square + 5, top + in + square - 5 - along + square}, Point{x + in + square, top + in - square})
	s.say(x+in-5.6, top+in+6, right, "kerf")
	s.say(84, top+deep+5, centre, "loss = kerf ÷ cos 45°")
	return s.Drawing
}

// drawBites draws the strokes in which a guillotine goes through a wide moulding.
func drawBites() *Drawing {
	s := newSketch(56)
	const top, deep, apex = 8.0, 32.0, 56.0
	s.wood(Point{6, top}, Point{106, top}, Point{106, top + deep}, Point{6, top + deep})
	s.say(8, top+4.4, left, "back edge")
	s.say(8, top+deep-1.8, left, "sight edge")
	for i, at := range []float64{20, 8, 1.6, -1.6} {
		wide := top + deep - (top + at)
		through := []Point{{apex - wide, top + deep}, {apex, top + at}, {apex + wide, top + deep}}
		if i < 3 {
			s.dashed(through...)
		} else {
			s.line(firmLine, Black, through...)
		}
	}
	for i, text := range []string{"1", "2", "3"} {
		s.say(apex, []float64{34, 22.6, 13.6}[i], centre, text)
	}
	s.arrow(Point{88, 3.4}, Point{apex + 1.2, top - 1.2})
	s.say(89, 4.4, left, "finishing bite")
	s.say(apex, top+deep+6, centre, "1, 2, 3: bites, each one stroke further towards the back edge")
	s.say(apex, top+deep+11.4, centre, "last: a thin shave off both mitres, which makes the joint")
	return s.Drawing
}

// drawStop draws what a stop is set to.
func drawStop() *Drawing {
	s := newSketch(52)
	const top = 16.0
	s.wood(Point{24, top}, Point{106, top}, Point{106, top + stickDeep}, Point{24 + stickDeep, top + stickDeep})
	s.fill(Grey, Point{18, top - 4}, Point{24, top - 4}, Point{24, top + 4}, Point{18, top + 4})
	s.say(18, top+9, centre, "stop")
	const cut = 84.0
	s.line(firmLine, Black, Point{cut - 20, top + 20}, Point{cut, top}, Point{cut + 20, top + 20})
	s.say(cut, top+12, centre, "blades")
	s.across(24, cut, 7, "long point")
	s.across(24+stickDeep*0.75, cut-stickDeep*0.75, top+stickDeep*0.75, "measure")
	s.across(24, 24+stickDeep*0.75, top+stickDeep+7, "set")
	s.across(cut-stickDeep*0.75, cut, top+stickDeep+7, "set")
	for _, x := range []float64{24, 24 + stickDeep*0.75, cut - stickDeep*0.75, cut} {
		s.marks = append(s.marks, strokes{Lines: [][]Point{{{x, top + stickDeep*0.75}, {x, top + stickDeep + 7}}}, Width: hairline, Ink: Grey, Dash: 0.8})
	}
	s.say(56, top+stickDeep+15, centre, "long point = measure + 2 × set")
	return s.Drawing
}

// drawTestCut draws the test cut that tells the mitre loss.
func drawTestCut() *Drawing {
	s := newSketch(80)
	s.name(4, 4, "1  before: measure the long point P")
	s.wood(mitred(8, 104, 14, stickDeep)...)
	s.across(8, 104, 11, "P")
	s.name(4, 40, "2  cut once, then measure both: p and q")
	s.wood(mitred(8, 62, 52, stickDeep)...)
	s.wood(mitred(68, 104, 52, stickDeep)...)
	s.across(8, 62, 49, "p")
	s.across(68, 104, 49, "q")
	s.say(56, 77, centre, "mitre loss = P − p − q")
	return s.Drawing
}

// drawShave draws the test that tells the shave.
func drawShave() *Drawing {
	s := newSketch(50)
	const top, x0, x1, shave = 22.0, 10.0, 92.0, 6.0
	s.wood(mitred(x0, x1, top, stickDeep)...)
	s.marks = append(s.marks, strokes{Lines: [][]Point{{{x1 + shave, top}, {x1 + shave - stickDeep, top + stickDeep}}}, Width: thinLine, Ink: Black, Dash: 1.1})
	s.dashed(Point{x1, top}, Point{x1 + shave, top})
	s.dashed(Point{x1 - stickDeep, top + stickDeep}, Point{x1 + shave - stickDeep, top + stickDeep})
	s.across(x0, x1+shave, 7, "before the finishing cut: M")
	s.across(x0, x1, 15, "after it, at one end: m")
	for _, x := range []float64{x0, x1, x1 + shave} {
		s.marks = append(s.marks, strokes{Lines: [][]Point{{{x, 7}, {x, top}}}, Width: hairline, Ink: Grey, Dash: 0.8})
	}
	s.say(56, top+stickDeep+8, centre, "shave = M − m")
	return s.Drawing
}
