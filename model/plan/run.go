package plan

import (
	"slices"
	"strings"

	"longpoint/model"
)

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
	PickUps   int    `json:"pick_ups"`   // how often a stick is taken in hand again after another one
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
	// By is the letter of a side that is as long in the same frame and is cut already, from a setting that does not stand any more: that finished side is
	// held against the stop, so that the two come out equal (common practice, no source). Empty: the cut needs none.
	By string `json:"set_by,omitempty"`
}

// AsTheyStand is the order of cuts of a plan that has none: stick after stick, each from its head on, with one stop.
func AsTheyStand(sticks []Stick) Run {
	r := Run{Order: StickByStick, Stops: 1}
	set := model.Length(0)
	for i, s := range sticks {
		for j, side := range s.Sides {
			r.Cuts = append(r.Cuts, Cut{Stick: i, Side: j, Stop: 1, Placed: side.LongPoint != set, Left: s.Length - side.Slot().To})
			set = side.LongPoint
		}
	}
	for _, c := range r.Cuts {
		if c.Placed {
			r.Settings++
		}
	}
	return r
}

// Number is what a cut is called, by its place in the order from 0.
func (r Run) Number(place int) int {
	if no := r.Cuts[place].No; no > 0 {
		return no
	}
	return place + 1
}

// SetsBySide tells whether a finished side is laid in by hand before a cut, to set the stop by.
func (r Run) SetsBySide() bool {
	return slices.ContainsFunc(r.Cuts, func(c Cut) bool { return c.By != "" })
}

// LeftOf gives the stick of the profile that a stick is what is left of, in a run that goes on with it: it never was on the rack. "": it is of none.
func (p *ProfilePlan) LeftOf(id string) string {
	for _, s := range p.Sticks {
		if s.Left.ID == id || slices.ContainsFunc(s.Between, func(l Left) bool { return l.ID == id }) {
			return s.ID
		}
	}
	return ""
}

// OnTheWay is how many of the profile's sticks are ordered and not here yet. Its figures count them as the rack's.
func (p *ProfilePlan) OnTheWay() (sticks int) {
	for _, s := range p.Sticks {
		if s.From == OnTheWay {
			sticks++
		}
	}
	return sticks
}

// Has tells whether a stick is one of the profile's.
func (p *ProfilePlan) Has(id string) bool {
	return slices.ContainsFunc(p.Sticks, func(s Stick) bool { return s.ID == id })
}

// CutNumbers gives what the cut of each side is called, by stick and side. Without a run cuts are counted as the sides stand.
func (p *ProfilePlan) CutNumbers() map[[2]int]int {
	numbers := map[[2]int]int{}
	for n, c := range p.Run.Cuts {
		numbers[[2]int{c.Stick, c.Side}] = p.Run.Number(n)
	}
	if len(numbers) == 0 {
		for i, s := range p.Sticks {
			for k := range s.Sides {
				numbers[[2]int{i, k}] = len(numbers) + 1
			}
		}
	}
	return numbers
}

// SideKind is what sides must have in common to lie in each other's place and to be cut from one setting. Sides of another
// mitre angle take another length of the stick, for their loss is another, or none at all is lost.
type SideKind struct{ Takes, LongPoint model.Length }

func (s Side) Kind() SideKind { return SideKind{s.Takes, s.LongPoint} }

// Mitres gives the mitre angles of a profile's sides, the least first; none where all have the usual one of 45 degrees.
func (p *ProfilePlan) Mitres() (all []model.Angle) {
	for _, s := range p.Sticks {
		for _, side := range s.Sides {
			if !slices.Contains(all, side.Angle) {
				all = append(all, side.Angle)
			}
		}
	}
	slices.Sort(all)
	if len(all) == 1 && all[0] == UsualMitre {
		return nil
	}
	return all
}

// TurnTo says what mitres the machine is turned to, and where they stand; nothing where all have the usual one.
func (p *ProfilePlan) TurnTo() string {
	all := p.Mitres()
	switch len(all) {
	case 0:
		return ""
	case 1:
		return "All mitres are of " + all[0].String() + ": turn the machine to that."
	}
	words := make([]string, len(all))
	for i, a := range all {
		words[i] = a.String()
	}
	last := len(all) - 1
	return "Mitres of " + strings.Join(words[:last], ", ") + " and " + words[last] + ": turn the machine to the one that stands behind a side's letter."
}

// UsualMitre is that of a rectangle, which goes without saying.
const UsualMitre = 45 * model.Degree

// Lettered gives a side's letter, with its mitre where the profile has others than of 45 degrees: "B" or "B 30°".
func (p *ProfilePlan) Lettered(side Side) string {
	if p.Mitres() == nil {
		return side.Letter
	}
	return side.Letter + " " + side.Angle.String()
}

// SeveralOf tells whether the side's frame is one of several alike in the profile's plan.
func (p *ProfilePlan) SeveralOf(side Side) bool {
	return slices.ContainsFunc(p.Sticks, func(s Stick) bool {
		return slices.ContainsFunc(s.Sides, func(o Side) bool { return o.Copy > 1 && o.OfLine() == side.OfLine() })
	})
}

// PartOf says which part of a damaged stick a side comes from, and where the first side of a part behind damage begins: "after the damage at 812 mm,
// from 892 mm on". Nothing where all damage lies in what is given up at the ends anyway.
func (p *ProfilePlan) PartOf(s Stick, side Side, u model.Unit) string {
	var before, after []model.Span
	for _, d := range s.Damage {
		switch {
		case d.To <= p.HeadTrim || d.From >= s.Length-p.TailTrim:
		case d.From < side.Start:
			before = append(before, d)
		default:
			after = append(after, d)
		}
	}
	at := func(d model.Span) string { return "the damage at " + d.From.Near(u) }
	said := ""
	switch last := len(before) - 1; {
	case len(before)+len(after) == 0:
		return ""
	case len(before) == 0:
		return "before " + at(after[0])
	case before[last].From > 0 && len(after) > 0:
		said = "between " + at(before[last]) + " and " + at(after[0])
	case before[last].From > 0:
		said = "after " + at(before[last])
	case len(after) > 0:
		said = "before " + at(after[0])
	default:
		said = "after the damage at its head"
	}
	return said + ", from " + p.begins(s, s.DamageBefore(side)).InToCut(u) + " on"
}

// begins is where the first side of a part of a stick takes from, with its half of the loss: behind so many places of damage.
func (p *ProfilePlan) begins(s Stick, part int) model.Length {
	for _, side := range s.Sides {
		if s.DamageBefore(side) == part {
			return side.Slot().From
		}
	}
	return 0
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
