package model

import (
	"fmt"
	"math"
)

// Opening is one of a frame's sizes: a rectangle's width and height, or the length of a regular polygon's side in Width,
// Height being 0.
type Opening struct{ Width, Height Length }

// RingGeometry is one closed frame as it is cut. All its lengths are along the sticks, and exact against each other:
// Rebate = Content + a t = Sight + 2 r t, Outside = Rebate + 2 (w − r) t, where a t, r t and (w − r) t have each been
// rounded up to 0.01 mm once where t is irrational.
type RingGeometry struct {
	Profile   string
	Shape     Shape
	Angle     Angle  // of each mitre
	Allowance Length // a, across the frame: from a side to the one opposite, or once for the width and once for the height
	Content   Opening
	Rebate    Opening
	Sight     Opening
	Outside   Opening
	Sides     []Side // in order round the frame
	Moulding  Length // the sum of the long points
}

// Side is one cut piece. A framer sets the stop to LongPoint; or, with the stop's own scale set to Set, which allows for
// the profile's width, to Measure, the inside measure. Measure + 2 Set = LongPoint exactly.
type Side struct {
	Letter    string // A, B … round the frame; in a rectangle A and C are the width sides, B and D the height sides
	LongPoint Length
	Angle     Angle
	Measure   Length // the rebate size of this side
	Set       Length // (w − r) t
}

// MaxRings is the greatest number of nested rings in one frame.
const MaxRings = 8

// MaxWidth is the widest profile that is taken as one: 1 m.
const MaxWidth = Metre

// Ring gives one closed frame of the profile. Errors are *Error of kind BadInput, and speak in the unit.
//
// The allowance is added to the content size once per dimension, so that every side carries it: 8 × 10 in with 1/8 in of
// play in stock of 2 3/8 in with a rebate of 3/8 in takes 2 (8 1/8 + 10 1/8) + 8 × 2 = 52 1/2 in. (WOOD magazine, "Making
// the Perfect Frame", prints 52 1/4 in for it, adding the play to only one side of each pair.)
//
// On a regular frame the allowance is play across it: it is added to twice the apothem, which with an even number of sides is the
// distance from a side to the one opposite. Along the stick it is a · tan(180°/n), rounded up, so that there is never less play than
// was asked for. Were it added along the stick as it is, a frame of 24 sides would have 7.6 times the play. A distance across flats is
// turned into the side first (flats · tan(180°/n)).
func (p Profile) Ring(size Size, allowance Length, u Unit) (RingGeometry, error) {
	if err := p.check(u); err != nil {
		return RingGeometry{}, err
	}
	if allowance < 0 || allowance > MaxLength {
		return RingGeometry{}, bad("allowance", "the allowance is not a length from 0 to 1 km", "check the number and its unit")
	}
	given, err := size.opening()
	if err != nil {
		return RingGeometry{}, err
	}
	n := size.Shape.Sides
	play, lip, set := timesTan(allowance, n), timesTan(p.Rebate, n), timesTan(p.Width-p.Rebate, n)
	rebate := given
	switch size.By {
	case ByContent:
		rebate = given.grown(play, size.Shape)
	case BySight:
		rebate = given.grown(2*lip, size.Shape)
	case ByOutside:
		rebate = given.grown(-2*set, size.Shape)
	}
	g := RingGeometry{
		Profile: p.Name, Shape: size.Shape, Angle: size.Shape.Angle(), Allowance: allowance,
		Content: rebate.grown(-play, size.Shape), Rebate: rebate, Sight: rebate.grown(-2*lip, size.Shape), Outside: rebate.grown(2*set, size.Shape),
	}
	if least := min(g.Content.least(size.Shape), g.Sight.least(size.Shape)); least <= 0 {
		return RingGeometry{}, bad(size.column(), fmt.Sprintf("a frame of %s size %s leaves no opening in profile %s, width %s, rebate %s",
			size.By, given.in(u), p.Name, p.Width.In(u), p.Rebate.In(u)), "check the size and what it is given by, or take a narrower profile")
	}
	if max(g.Outside.Width, g.Outside.Height) > MaxLength {
		return RingGeometry{}, bad(size.column(), "the frame is longer than 1 km", "check the size and its unit")
	}
	g.cut(set)
	return g, nil
}

// Fill gives the size to which glass, mount and backing are cut for the frame: its content size less a clearance, which like the
// allowance is across the frame. ok is false where the clearance leaves nothing.
func (g RingGeometry) Fill(clearance Length) (o Opening, ok bool) {
	o = g.Content.grown(-timesTan(clearance, g.Shape.Sides), g.Shape)
	return o, o.least(g.Shape) > 0
}

// Flats gives the distance across flats of a regular opening, to the nearest 0.01 mm, for display. ok is false where a corner lies opposite each side,
// and for a rectangle, which has two.
func (o Opening) Flats(s Shape) (across Length, ok bool) {
	if s.Sides%2 == 1 || s.Sides == 4 {
		return 0, false
	}
	const grain = float64(Millimetre / 100)
	return Length(math.Round(float64(o.Width)/math.Tan(math.Pi/float64(s.Sides))/grain) * grain), true
}

// cut fills in the sides and the moulding in them; set is (w − r) t.
func (g *RingGeometry) cut(set Length) {
	n := g.Shape.Sides
	for i := range n {
		measure := g.Rebate.Width
		if n == 4 && i%2 == 1 {
			measure = g.Rebate.Height
		}
		side := Side{Letter: string(rune('A' + i)), LongPoint: measure + 2*set, Angle: g.Angle, Measure: measure, Set: set}
		g.Sides = append(g.Sides, side)
		g.Moulding += side.LongPoint
	}
}

// opening gives the size along the sticks, checked.
func (s Size) opening() (Opening, error) {
	n := s.Shape.Sides
	switch {
	case n < MinSides || n > MaxSides:
		return Opening{}, bad("sides", fmt.Sprintf("a frame of %d sides cannot be made", n), fmt.Sprintf("write a number of sides from %d to %d", MinSides, MaxSides))
	case s.By < ByContent || s.By > ByOutside:
		return Opening{}, bad("given_by", "it is not said what the frame is given by", "write content, rebate, sight or outside")
	case s.Across && n%2 == 1:
		return Opening{}, bad("across", fmt.Sprintf("a frame of %d sides has no distance across flats: a corner lies opposite each side", n), "give the length of a side")
	}
	switch measure := s.column(); {
	case s.Width < 0 || s.Width > MaxLength:
		return Opening{}, bad(measure, "the size is not a length from 0 to 1 km", "check the number and its unit")
	case s.Height < 0 || s.Height > MaxLength:
		return Opening{}, bad("height", "the size is not a length from 0 to 1 km", "check the number and its unit")
	case s.Width == 0:
		return Opening{}, bad(measure, "the size is missing or nought", "write a size greater than 0")
	case s.Across && s.Height != 0:
		return Opening{}, bad("height", "a frame given across flats has one measure only", "leave the height empty")
	case s.Across && n == 4:
		return Opening{s.Width, s.Width}, nil
	case n == 4 && s.Height == 0:
		return Opening{}, bad("height", "the height is missing or nought", "write a height greater than 0")
	case n == 4:
		return Opening{s.Width, s.Height}, nil
	case s.Height != 0:
		return Opening{}, bad("height", fmt.Sprintf("a regular frame of %d sides has one measure only", n), "leave the height empty")
	case s.Across:
		return Opening{Width: timesTan(s.Width, n)}, nil
	}
	return Opening{Width: s.Width}, nil
}

// column names the user's column that the size's first measure stands in.
func (s Size) column() string {
	if s.Across {
		return "across"
	}
	return "width"
}

// grown adds d to each dimension that the shape has.
func (o Opening) grown(d Length, s Shape) Opening {
	o.Width += d
	if s.Sides == 4 {
		o.Height += d
	}
	return o
}

// least gives the smaller of the dimensions that the shape has.
func (o Opening) least(s Shape) Length {
	if s.Sides == 4 {
		return min(o.Width, o.Height)
	}
	return o.Width
}

func (o Opening) in(u Unit) string {
	if o.Height == 0 {
		return o.Width.Said(u)
	}
	return o.Width.Said(u) + " × " + o.Height.Said(u)
}

// Geometry gives the frame's rings from the inside out: the outside size of each is the content size of the next. It
// stops at the first error, an *Error with the ring's place.
func (f JobFrame) Geometry(find func(name string) (Profile, bool)) ([]RingGeometry, error) {
	return f.geometry(find, Millimetres)
}

func (f JobFrame) geometry(find func(name string) (Profile, bool), u Unit) ([]RingGeometry, error) {
	if len(f.Rings) == 0 || len(f.Rings) > MaxRings {
		return nil, bad("ring", fmt.Sprintf("frame %s has %d rings", f.ID, len(f.Rings)), fmt.Sprintf("give it 1 to %d", MaxRings)).at(f.Where)
	}
	var out []RingGeometry
	for i, ring := range f.Rings {
		size := ring.Size
		if i > 0 {
			if size.Width != 0 || size.Height != 0 {
				return nil, bad("width", fmt.Sprintf("ring %d has a size of its own, but its size follows from the ring inside it", i+1), "leave the size empty").at(ring.Where)
			}
			inner := out[i-1]
			size = Size{Shape: inner.Shape, By: ByContent, Width: inner.Outside.Width, Height: inner.Outside.Height}
		}
		p, ok := find(ring.Profile)
		if !ok {
			return nil, bad("profile", fmt.Sprintf("there is no profile %s", Quote(ring.Profile)), "take in the profiles first, with this one among them, or correct the name").at(ring.Where)
		}
		g, err := p.Ring(size, ring.Allowance, u)
		if err != nil {
			return nil, err.(*Error).at(ring.Where)
		}
		out = append(out, g)
	}
	return out, nil
}

// bad makes an error about what the user wrote, in the column of that name.
func bad(column, what, do string) *Error {
	return &Error{Kind: BadInput, What: what, Where: Place{Column: column}, Do: do}
}

// at puts the error in a row, keeping its column.
func (e *Error) at(p Place) *Error {
	p.Column = e.Where.Column
	e.Where = p
	return e
}
