package model

// Shape is the outline of a frame: a rectangle or a regular polygon of 3 to 24 sides. Sides is 4 for both a rectangle
// and a square.
type Shape struct{ Sides int }

// Given says which of a frame's sizes the customer's measure is.
type Given uint8

// The sizes a frame can be given by.
const (
	ByContent Given = iota + 1 // what goes in
	ByRebate                   // the step's opening
	BySight                    // the visible opening
	ByOutside                  // along the back edge
)

// Size is a frame's size as the customer gave it.
//
// A rectangle (Sides 4) has Width and Height. A regular polygon has one measure in Width, Height being 0: the length
// of a side, or, with Across set, the distance across flats (even numbers of sides only).
type Size struct {
	Shape  Shape
	By     Given
	Width  Length
	Height Length
	Across bool
}
