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
	r := pp.Run
	if len(r.Cuts) == 0 {
		r = plan.AsTheyStand(pp.Sticks)
	}
	o := order{name: r.Order, stops: r.Stops}
	for n, c := range r.Cuts {
		o.cuts = append(o.cuts, cut{stick: c.Stick, side: c.Side, stop: c.Stop, placed: c.Placed, left: c.Left, number: r.Number(n), by: c.By})
	}
	return o
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
