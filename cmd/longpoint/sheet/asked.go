package sheet

import (
	"fmt"

	"longpoint/model"
)

// AskedPictures gives the drawings beside one of the questions that a new shop is asked (text.Questions), by its name. They are black
// and white, and have no figures: those are the shop's own.
func AskedPictures(name string) []Figure {
	draw, ok := askedDrawings[name]
	if !ok {
		return nil
	}
	return draw()
}

var askedDrawings = map[string]func() []Figure{
	"units": askedUnits, "currency": askedCurrency, "machine": askedMachine, "loss": askedLoss, "allowance": askedAllowance, "offcut": askedOffcut,
}

// The measures of these drawings, in millimetres.
const (
	askedWide = 74
	askedHigh = 34
	askedType = 3.2
)

func askedDrawing(alt string) (*Drawing, func() Figure) {
	d := NewDrawing(askedWide, askedHigh)
	return d, func() Figure { return Figure{d, alt} }
}

// note writes a word of a drawing.
func (d *Drawing) note(x, y float64, text string, a align) {
	d.write(words{At: Point{x, y}, Text: text, Size: askedType, Align: a})
}

// span marks a distance with a line between two ticks and names it.
func (d *Drawing) span(from, to Point, text string, at Point, a align) {
	dx, dy := to.X-from.X, to.Y-from.Y
	long := max(abs(dx)+abs(dy), 0.001)
	tx, ty := -dy/long*1.3, dx/long*1.3
	d.line(thinLine, Black, from, to)
	for _, p := range []Point{from, to} {
		d.line(firmLine, Black, Point{p.X - tx, p.Y - ty}, Point{p.X + tx, p.Y + ty})
	}
	d.note(at.X, at.Y, text, a)
}

func abs(v float64) float64 { return max(v, -v) }

// askedUnits draws a ruler with millimetres on one edge and inches on the other, true to scale.
func askedUnits() []Figure {
	d, done := askedDrawing("A ruler: millimetres and centimetres along its upper edge, inches along its lower one.")
	const left, top, high, long = 3.0, 6.0, 22.0, 68.0
	d.frame(firmLine, Black, left, top, long, high)
	for mm := 0; mm <= int(long)-2; mm++ {
		x, tick := left+1+float64(mm), 1.6
		if mm%5 == 0 {
			tick = 2.6
		}
		if mm%10 == 0 {
			tick = 3.6
			d.note(max(x, left+2), top+7.4, fmt.Sprint(mm), centre)
		}
		d.line(thinLine, Black, Point{x, top}, Point{x, top + tick})
	}
	inch := float64(model.Inch) / float64(model.Millimetre)
	for part := 0; float64(part)*inch/8 <= long-2; part++ {
		x, tick := left+1+float64(part)*inch/8, 1.8
		if part%4 == 0 {
			tick = 2.8
		}
		if part%8 == 0 {
			tick = 3.8
			d.note(max(x, left+2), top+high-4.8, fmt.Sprint(part/8), centre)
		}
		d.line(thinLine, Black, Point{x, top + high}, Point{x, top + high - tick})
	}
	d.note(left+long-2, top+11.4, "mm", right)
	d.note(left+long-2, top+14.8, "in", right)
	return []Figure{done()}
}

// askedCurrency draws a stick with a price tag.
func askedCurrency() []Figure {
	d, done := askedDrawing("A stick of moulding with a price tag, on which the price is still blank.")
	d.box(Pale, 3, 7, 68, 6)
	d.frame(firmLine, Black, 3, 7, 68, 6)
	d.line(thinLine, Black, Point{3, 9.4}, Point{71, 9.4})
	d.line(thinLine, Black, Point{44, 10}, Point{40, 20}, Point{38, 24.5})
	tag := []Point{{10, 18}, {34, 18}, {39, 24.5}, {34, 31}, {10, 31}}
	d.fill(White, tag...)
	d.outline(firmLine, Black, "price tag", tag...)
	d.frame(thinLine, Black, 35.2, 23.8, 1.4, 1.4)
	d.note(13, 26, "1 stick:  ____", left)
	return []Figure{done()}
}

// moulding draws a moulding from above, its back edge up, from x to right.
func (d *Drawing) moulding(x, to, top, high float64) {
	d.box(Pale, x, top, to-x, high)
	d.line(firmLine, Black, Point{x, top}, Point{to, top})
	d.line(firmLine, Black, Point{x, top + high}, Point{to, top + high})
	d.line(thinLine, Grey, Point{x, top + high*0.72}, Point{to, top + high*0.72})
}

// askedMachine draws the two machines at work, from above.
func askedMachine() []Figure {
	g, guillotine := askedDrawing("Guillotine, from above: two blades in a V, its point at the back edge, cut a wedge out of the moulding.")
	g.moulding(3, 71, 8, 14)
	v := []Point{{37, 6.4}, {21.4, 22}, {52.6, 22}}
	g.fill(White, v...)
	g.line(3*firmLine, Black, v[1], v[0], v[2])
	g.note(37, 19, "wedge", centre)
	g.note(4, 5.6, "back edge", left)
	g.note(4, 26.4, "sight edge", left)
	g.note(37, 32, "guillotine", centre)
	s, saw := askedDrawing("Saw, from above: one blade, turned to the mitre, cuts a slot as wide as its teeth through the moulding.")
	s.moulding(3, 71, 8, 14)
	slot := []Point{{28, 22}, {42, 8}, {45, 8}, {31, 22}}
	s.fill(White, slot...)
	s.line(thinLine, Black, slot[0], slot[1])
	s.line(thinLine, Black, slot[3], slot[2])
	s.line(3*firmLine, Black, Point{24.5, 27}, Point{49, 2.5})
	s.note(52, 5.6, "blade", left)
	s.note(4, 5.6, "back edge", left)
	s.note(4, 26.4, "sight edge", left)
	s.note(48, 32, "saw", centre)
	return []Figure{guillotine(), saw()}
}

// askedLoss draws what is lost of a stick at a cut.
func askedLoss() []Figure {
	g, overrun := askedDrawing("Overrun: the distance from the back edge to the point of the V beyond it.")
	g.moulding(3, 71, 13, 14)
	v := []Point{{34, 8}, {15, 27}, {53, 27}}
	g.fill(White, v...)
	g.line(2*firmLine, Black, v[1], v[0], v[2])
	g.line(thinLine, Black, Point{34, 8}, Point{45, 8})
	g.span(Point{44, 8}, Point{44, 13}, "overrun", Point{46, 11.6}, left)
	g.note(4, 11, "back edge", left)
	g.note(34, 32, "guillotine", centre)

	s, kerf := askedDrawing("Kerf: the width of the saw's cut, measured square to the blade.")
	s.moulding(3, 71, 8, 14)
	slot := []Point{{24, 22}, {38, 8}, {46, 8}, {32, 22}}
	s.fill(White, slot...)
	s.line(firmLine, Black, slot[0], slot[1])
	s.line(firmLine, Black, slot[3], slot[2])
	s.span(Point{33, 13}, Point{37, 17}, "kerf", Point{50, 16}, left)
	s.line(thinLine, Black, Point{38, 16}, Point{49, 15})
	s.note(4, 5.6, "back edge", left)
	s.note(35, 32, "saw", centre)

	h, shave := askedDrawing("Shave: a thin slice along the mitre, which the finishing cut takes off; its length is measured along the stick.")
	h.moulding(3, 52, 8, 14)
	slice := []Point{{34, 22}, {48, 8}, {52, 8}, {38, 22}}
	h.fill(White, Point{38, 22}, Point{52, 8}, Point{53, 8}, Point{53, 22.3}, Point{38, 22.3})
	h.fill(White, slice...)
	h.outline(thinLine, Black, "shave", slice...)
	for i := range 6 {
		y := 20.5 - 2.2*float64(i)
		h.line(thinLine, Black, Point{56 - y, y}, Point{59.2 - y, y - 0.4})
	}
	h.line(firmLine, Black, slice[0], slice[1])
	h.span(Point{48, 5.6}, Point{52, 5.6}, "shave", Point{54, 6.8}, left)
	h.note(4, 5.6, "back edge", left)
	h.note(27, 32, "either machine", centre)
	return []Figure{overrun(), kerf(), shave()}
}

// askedAllowance draws a picture in its frame, seen from behind, pushed into a corner.
func askedAllowance() []Figure {
	d, done := askedDrawing("A frame from behind: what goes in is pushed into one corner of the rebate, and the gap at the other sides is the play.")
	d.frame(firmLine, Black, 14, 2, 46, 30)
	d.frame(thinLine, Black, 17, 5, 40, 24)
	d.box(Pale, 17, 8, 36, 21)
	d.frame(firmLine, Black, 17, 8, 36, 21)
	d.note(35, 20, "what goes in", centre)
	d.span(Point{53, 24}, Point{57, 24}, "play", Point{61.5, 25}, left)
	d.span(Point{24, 5}, Point{24, 8}, "play", Point{12, 7.6}, right)
	d.line(thinLine, Black, Point{12.5, 6.5}, Point{24, 6.5})
	return []Figure{done()}
}

// askedOffcut draws a stick of which sides are cut, and what is left.
func askedOffcut() []Figure {
	d, done := askedDrawing("A stick: three sides are cut off it, long point up, and what is left at its tail is an offcut if it is long enough.")
	const top, high = 10.0, 6.0
	x := 3.0
	for _, long := range []float64{18, 14, 18} {
		side := []Point{{x, top}, {x + long, top}, {x + long - high, top + high}, {x + high, top + high}}
		d.outline(firmLine, Black, "side", side...)
		x += long + 0.8
	}
	d.fill(Pale, Point{x, top}, Point{72, top}, Point{72, top + high}, Point{x + high, top + high})
	d.outline(firmLine, Black, "what is left", Point{x, top}, Point{72, top}, Point{72, top + high}, Point{x + high, top + high})
	d.span(Point{x, top + high + 4}, Point{72, top + high + 4}, "left over: from what length on is it kept?", Point{72, top + high + 9.4}, right)
	d.note(3, 7, "sides, long point up", left)
	return []Figure{done()}
}
