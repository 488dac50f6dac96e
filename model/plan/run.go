package plan

import "longpoint/model"

// The orders of cuts.
const (
	StickByStick = "stick by stick" // each stick is finished before the next, as far as equal sides of a frame allow it
	StopByStop   = "stop by stop"   // each length is set once, and sticks are picked up again
)

// Run is the order of cuts of one profile's sticks. A setting is one placing of one stop at one length. Equal sides of a
// frame are always cut from one setting. Where sticks cannot be cut one after another without breaking that, which
// happens with few stops, StickByStick has the fewest pick-ups and after that the fewest settings that are found.
type Run struct {
	Order     string `json:"order"`      // StickByStick or StopByStop
	Stops     int    `json:"stops"`      // that the machine has; 1 where its limits do not say
	Settings  int    `json:"settings"`   // how often a stop is placed
	Least     int    `json:"least"`      // no order of this kind with as few pick-ups has fewer, as far as is proved
	FirstCome int    `json:"first_come"` // settings when the longest sides come first, stick after stick
	PickUps   int    `json:"pick_ups"`   // how often a stick, or a sound part of a damaged one, is taken in hand again after another one
	Cuts      []Cut  `json:"cuts"`       // in order; those of one sound part of a stick from its head on
}

// Cut is one side cut from its stick.
type Cut struct {
	Stick  int          `json:"stick"`   // index in the profile's sticks
	Side   int          `json:"side"`    // index in that stick's sides
	Stop   int          `json:"stop"`    // which stop, from 1
	Placed bool         `json:"placed"`  // the stop is placed anew for this cut
	Left   model.Length `json:"left_nm"` // what is left of the stick, or of its sound part, after it
	// No is what the cut is called where that is not its place in the order, counted from 1: in a run whose rest was planned anew,
	// cuts that stay as they are keep their numbers. 0: it is its place.
	No int `json:"no,omitempty"`
}

// Number is what a cut is called, by its place in the order from 0.
func (r Run) Number(place int) int {
	if no := r.Cuts[place].No; no > 0 {
		return no
	}
	return place + 1
}

// SideKind is what sides must have in common to lie in each other's place and to be cut from one setting. Sides of another
// mitre angle take another length of the stick, for their loss is another, or none at all is lost.
type SideKind struct{ Takes, LongPoint model.Length }

func (s Side) Kind() SideKind { return SideKind{s.Takes, s.LongPoint} }

// Standing is what the stops stand at, by their numbers. Where that is not known of a stop it is not in it.
type Standing map[int]SideKind

// Place tells whether a stop is to be set before a side is cut at it, and has it stand there from then on.
func (s Standing) Place(stop int, side Side) (set bool) {
	set = s[stop] != side.Kind()
	s[stop] = side.Kind()
	return set
}

// DamageBefore says how many places of damage lie before a side.
func (s *Stick) DamageBefore(one Side) int {
	n := 0
	for _, d := range s.Damage {
		if d.From < one.Start {
			n++
		}
	}
	return n
}
