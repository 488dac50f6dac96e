package model

// Shape is the outline of a frame: a rectangle or a regular polygon of 3 to 24 sides. Sides is 4 for both a rectangle
// and a square.
type Shape struct{ Sides int }

// The least and the greatest number of sides of a frame.
const (
	MinSides = 3
	MaxSides = 24
)

// Angle gives the mitre angle, 180°/n, rounded to the nearest millionth of a degree. It is for display and for comparing
// with a machine's limits; no length is computed from it. The shape must have 3 to 24 sides.
func (s Shape) Angle() Angle {
	n := Angle(s.Sides)
	return (180*Degree + n/2) / n
}

// Given says which of a frame's sizes the customer's measure is.
type Given uint8

// The sizes a frame can be given by.
const (
	ByContent Given = iota + 1 // what goes in
	ByRebate                   // the step's opening
	BySight                    // the visible opening
	ByOutside                  // along the back edge
)

// String gives the size's name in the trade's words.
func (g Given) String() string {
	switch g {
	case ByContent:
		return "content"
	case ByRebate:
		return "rebate"
	case BySight:
		return "sight"
	case ByOutside:
		return "outside"
	}
	return ""
}

// Size is a frame's size as the customer gave it.
//
// A rectangle (Sides 4) has Width and Height. A regular polygon has one measure in Width, Height being 0: the length
// of a side, or, with Across set, the distance across flats (even numbers of sides only). A square may be given across
// flats as well.
type Size struct {
	Shape  Shape
	By     Given
	Width  Length
	Height Length
	Across bool
}
