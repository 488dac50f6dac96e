package sheet

import (
	"fmt"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/qr"

	"longpoint/model"
)

// leastModule is the smallest square of a code that is printed: three dots of a printer with 300 dots per inch.
const leastModule = 3 * 25.4 / 300

// quietZone is how many squares round a code stay white (ISO/IEC 18004:2015, clause 6.3.8, from memory).
const quietZone = 4

// code draws text as a QR code, its quiet zone included, so wide. It takes the correction level M (15 % may be lost to
// glue and dust), or where its squares would come out too small L. Where even those are too small, the error says so.
func code(text string, width float64) (*Drawing, error) {
	for _, level := range []qr.ErrorCorrectionLevel{qr.M, qr.L} {
		c, err := qr.Encode(text, level, qr.Auto)
		if err != nil {
			continue // more than the largest code holds
		}
		across := c.Bounds().Dx()
		if module := width / float64(across+2*quietZone); module >= leastModule-rounding {
			return modules(c, across, module), nil
		}
	}
	return nil, &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("a label is too small for the code of %q", text),
		Do: "take labels on which a larger square fits, or shorter names for jobs and frames"}
}

// modules draws a code's black squares, those that touch in a row as one.
func modules(c barcode.Barcode, across int, module float64) *Drawing {
	size := module * float64(across+2*quietZone)
	d := NewDrawing(size, size)
	black := area{About: "code"}
	at := func(n int) float64 { return float64(n+quietZone) * module }
	for y := range across {
		for x := 0; x < across; {
			start := x
			for x < across && isBlack(c, x, y) {
				x++
			}
			if x > start {
				black.Outlines = append(black.Outlines, []Point{{at(start), at(y)}, {at(x), at(y)}, {at(x), at(y + 1)}, {at(start), at(y + 1)}})
			}
			x++
		}
	}
	d.marks = append(d.marks, black)
	return d
}

func isBlack(c barcode.Barcode, x, y int) bool {
	r, _, _, _ := c.At(x, y).RGBA()
	return r == 0
}
