package sheet

import (
	"longpoint/model"
	"longpoint/model/plan"
)

// cut is one side cut from its stick.
type cut struct {
	stick, side int          // which stick of the profile, from 0, and which of its sides, from 0
	stop        int          // that the side is cut at, from 1
	placed      bool         // the stop is set anew for this cut
	left        model.Length // of the stick after it
	number      int          // what it is called
	by          string       // the finished side that is held against the stop
}

// order is the order in which the sides of one profile are cut.
type order struct {
	name  string // "stick by stick" or "stop by stop"
	stops int    // that the machine has
	cuts  []cut
}

// byStop tells whether sticks are taken up again for each setting.
func (o order) byStop() bool { return o.name == "stop by stop" }

// settings is how often a stop is set.
func (o order) settings() int {
	n := 0
	for _, c := range o.cuts {
		if c.placed {
			n++
		}
	}
	return n
}

// orderOf gives the order of a profile's cuts: the plan's own or, where it has none, the sticks as they stand.
func orderOf(pp plan.ProfilePlan) order {
	if len(pp.Run.Cuts) == 0 {
		return asTheyStand(pp)
	}
	o := order{name: pp.Run.Order, stops: pp.Run.Stops}
	for n, c := range pp.Run.Cuts {
		o.cuts = append(o.cuts, cut{stick: c.Stick, side: c.Side, stop: c.Stop, placed: c.Placed, left: c.Left, number: pp.Run.Number(n), by: c.By})
	}
	return o
}

// asTheyStand takes stick after stick, and each one's sides from the head on, with one stop.
func asTheyStand(pp plan.ProfilePlan) order {
	o := order{name: "stick by stick", stops: 1}
	set := model.Length(0)
	for i, s := range pp.Sticks {
		for j, side := range s.Sides {
			o.cuts = append(o.cuts, cut{stick: i, side: j, stop: 1, placed: side.LongPoint != set, left: s.Length - endOf(side), number: len(o.cuts) + 1})
			set = side.LongPoint
		}
	}
	return o
}

// endOf gives where a side's share of its stick ends, from the stick's head. The long point lies in the middle of the share,
// and what halving leaves of an odd number comes after it.
func endOf(side plan.Side) model.Length {
	return side.Start - (side.Takes-side.LongPoint)/2 + side.Takes
}

// numbers gives what each side's cut is called, by stick and side.
func (o order) numbers() map[[2]int]int {
	at := make(map[[2]int]int, len(o.cuts))
	for _, c := range o.cuts {
		at[[2]int{c.stick, c.side}] = c.number
	}
	return at
}

// lasts tells of each cut whether it is the last one of its stick.
func (o order) lasts() []bool {
	lasts, seen := make([]bool, len(o.cuts)), map[int]bool{}
	for n := len(o.cuts) - 1; n >= 0; n-- {
		lasts[n] = !seen[o.cuts[n].stick]
		seen[o.cuts[n].stick] = true
	}
	return lasts
}
