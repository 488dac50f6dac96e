package sheet

import (
	"fmt"
	"math"

	"rsc.io/qr"

	"longpoint/model"
)

// dot is one of 300 to the inch, as label printers have them. The squares of a code are whole numbers of dots wide: of labels
// with squares of three dots zbarimg read all of 240, with squares of three and a half it missed some.
const dot = 25.4 / 300

// leastModule is the smallest square of a code that is printed.
const leastModule = 3 * dot

// quietZone is how many squares round a code stay white (ISO/IEC 18004:2015, clause 6.3.8, from memory).
const quietZone = 4

// code draws text as a QR code, its quiet zone included, so wide. It takes the correction level M (15 % may be lost to
// glue and dust), or where its squares would come out too small L. Where even those are too small, the error says so. The
// library takes one mask for all codes, which readers accept; to choose the best of eight for each label took most of the time
// that labels take.
func code(text string, width float64) (*Drawing, error) {
	for _, level := range []qr.Level{qr.M, qr.L} {
		c, err := qr.Encode(text, level)
		if err != nil {
			continue // more than the largest code holds
		}
		module := math.Floor(width/float64(c.Size+2*quietZone)/dot+rounding) * dot
		if module >= leastModule-rounding {
			return modules(c, module), nil
		}
	}
	return nil, &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("a label is too small for the code of %q", text),
		Do: "take labels on which a larger square fits, or shorter names for jobs and frames"}
}

// modules draws a code's black squares, those that touch in a row as one.
func modules(c *qr.Code, module float64) *Drawing {
	across := c.Size
	size := module * float64(across+2*quietZone)
	d := NewDrawing(size, size)
	black := pattern{Module: module}
	for y := range across {
		for x := 0; x < across; x++ {
			start := x
			for x < across && c.Black(x, y) {
				x++
			}
			if x > start {
				black.Runs = append(black.Runs, run{uint8(start + quietZone), uint8(y + quietZone), uint8(x - start)})
			}
		}
	}
	d.marks = append(d.marks, black)
	return d
}

// pattern is the black squares of a code, so wide each, from the corner At on. There may be thousands of codes on paper, so
// that it is kept small, and its runs are shared by all that are moved from one another.
type pattern struct {
	At     Point
	Module float64
	Runs   []run
}

// run is so many squares in a row, from the one in column X and row Y on. The largest code is 177 squares across.
type run struct{ X, Y, Squares uint8 }

func (p pattern) moved(dx, dy float64) mark {
	p.At = Point{p.At.X + dx, p.At.Y + dy}
	return p
}

// area gives the squares as an area.
func (p pattern) area() area {
	a := area{About: "code"}
	for _, r := range p.Runs {
		x0, y0 := p.At.X+float64(r.X)*p.Module, p.At.Y+float64(r.Y)*p.Module
		x1, y1 := x0+float64(r.Squares)*p.Module, y0+p.Module
		a.Outlines = append(a.Outlines, []Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}})
	}
	return a
}
