package model_test

import (
	"fmt"

	"longpoint/model"
)

// A frame for a sheet of A4 (210 × 297 mm) from a profile 32 mm wide with a rebate of 6 mm.
func ExampleProfile_Ring() {
	oak := model.Profile{Name: "oak", Width: 32 * model.Millimetre, Rebate: 6 * model.Millimetre}
	a4 := model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: 210 * model.Millimetre, Height: 297 * model.Millimetre}
	ring, err := oak.Ring(a4, 3*model.Millimetre, model.Millimetres)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range ring.Sides {
		fmt.Printf("%s: stop at %s, or scale set to %s and measure %s\n", s.Letter, s.LongPoint, s.Set, s.Measure)
	}
	fmt.Println("moulding:", ring.Moulding)
	// Output:
	// A: stop at 265 mm, or scale set to 26 mm and measure 213 mm
	// B: stop at 352 mm, or scale set to 26 mm and measure 300 mm
	// C: stop at 265 mm, or scale set to 26 mm and measure 213 mm
	// D: stop at 352 mm, or scale set to 26 mm and measure 300 mm
	// moulding: 1234 mm
}

func ExampleParseLength() {
	for _, text := range []string{"419", "41,9 cm", `1' 4 1/2"`, `1/3"`} {
		l, err := model.ParseLength(text, model.Millimetres)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(l.In(model.Millimetres), "=", l.In(model.Inches))
	}
	// Output:
	// 419 mm = 419 mm
	// 419 mm = 419 mm
	// 419.1 mm = 16 1/2"
	// “1/3"” is not a whole number of nanometres, and lengths are never rounded; write it in mm, or in fractions of an inch down to 1/64"
}
