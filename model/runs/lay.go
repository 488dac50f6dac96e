package runs

import (
	"cmp"
	"math"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// IsCut tells whether a side came off its stick in this run.
func (s Side) IsCut() bool {
	return s.Became == Done || s.Became == Short || s.Became == Torn || s.Became == Unwanted
}

// ToCut gives the sides that are still to be cut from a stick in hand.
func (s Stick) ToCut() (sides []Side) {
	for _, side := range s.Sides {
		if s.State == "open" && side.Became == ToCut {
			sides = append(sides, side)
		}
	}
	return sides
}

// Begun tells whether a side came off the stick in this run.
func (s Stick) Begun() bool { return slices.ContainsFunc(s.Sides, Side.IsCut) }

// Whole is the stick as it lay on the rack.
func (s Stick) Whole() model.Stick {
	return model.Stick{ID: s.Stick, Profile: s.By.Name, Length: s.Length, Place: s.Place, Value: s.Value, Lot: s.Lot, Damage: s.Damage}
}

// part is a sound part of a stick: where its first side begins, where its last must end, and up to where it is sound.
type part struct{ at, to, end model.Length }

// parts gives the sound parts of a stick that sides can be cut from, from its head on.
func (s Stick) parts() []part {
	stick := model.Stick{Length: s.Length, Damage: s.Damage}
	var all []part
	for _, span := range stick.Sound(model.Trims{Head: s.Head, Tail: s.By.TailTrim, Apart: s.By.Apart}) {
		p := part{span.From + s.Repeat, span.To, stick.SoundEnd(span)}
		used := false
		for _, side := range s.Sides { // it begins where the plan begins it
			if at := side.As.Slot().From; at >= span.From && at < span.To && (!used || at < p.at) {
				p.at, used = at, true
			}
		}
		if used || p.at < span.To {
			all = append(all, p)
		}
	}
	if len(all) == 0 { // something was cut before it was seen that all of it is damaged
		at := min(s.Head, s.Length)
		all = []part{{at, at, s.Length}}
	}
	return all
}

// laidSide is a side as it lies on its stick.
type laidSide struct {
	plan.Side
	part int  // from 0
	fits bool // it ends where the part is still to be cut from
}

// Laid gives sides of a stick as they lie on it, one behind the other in each of its sound parts, and what they leave of each part.
func (s Stick) Laid(sides []Side) (laid []laidSide, left []model.Span) {
	parts := s.parts()
	at := make([]model.Length, len(parts))
	for n, p := range parts {
		at[n] = p.at
	}
	for _, one := range sides {
		side, n := one.As, len(parts)-1
		for n > 0 && parts[n].at > side.Slot().From {
			n--
		}
		side.Start = at[n] + (side.Takes-side.LongPoint)/2
		at[n] += side.Takes
		laid = append(laid, laidSide{side, n, at[n] <= parts[n].to})
	}
	for n, p := range parts {
		left = append(left, model.Span{From: at[n], To: max(p.end, at[n])})
	}
	return laid, left
}

// Leaves gives what is left of each sound part of a stick once all is cut from it that is to be.
func (s Stick) Leaves() []model.Span {
	sides, _ := s.Here()
	_, left := s.Laid(sides)
	return left
}

// PutOff says of sides that are still to cut which cannot be cut from the stick as it turned out.
func (s *Stick) PutOff() {
	if s.State != "open" {
		return
	}
	var sides []Side
	var at []int
	for _, first := range []bool{true, false} { // what is cut lies nearer the head of its part, in whatever order the plan has it
		for n, side := range s.Sides {
			if side.Became != Before && side.IsCut() == first {
				sides, at = append(sides, side), append(at, n)
			}
		}
	}
	laid, _ := s.Laid(sides)
	for n, side := range laid {
		if one := &s.Sides[at[n]]; one.Became == ToCut && !side.fits {
			one.Became = PutOff
		}
	}
}

// Here gives the sides that are to be cut from the stick in this run or were, but not those that are put off; once it is finished, those that
// were. wholly tells that all of them are cut.
func (s Stick) Here() (sides []Side, wholly bool) {
	wholly = true
	for _, side := range s.Sides {
		if side.Became != Before && side.Became != PutOff && (s.State == "open" || side.IsCut()) {
			sides = append(sides, side)
			wholly = wholly && side.IsCut()
		}
	}
	return sides, wholly
}

// asCut gives the sides that here gives, those of one sound part as they come off it: what is cut, in the order in which that was written down, and then
// what is still to be cut; and in which part each of them lies.
func (s Stick) asCut() (sides []Side, part map[model.SideID]int) {
	sides, _ = s.Here()
	laid, _ := s.Laid(sides)
	part = map[model.SideID]int{}
	for n, side := range sides {
		part[side.SideID] = laid[n].part
	}
	slices.SortStableFunc(sides, func(a, b Side) int {
		return cmp.Or(cmp.Compare(part[a.SideID], part[b.SideID]), a.compareTold(b))
	})
	return sides, part
}

// compareTold compares sides by when they were cut, those that are still to be cut last.
func (s Side) compareTold(o Side) int {
	last := func(s Side) int64 {
		if s.Told == 0 {
			return math.MaxInt64
		}
		return s.Told
	}
	return cmp.Compare(last(s), last(o))
}

// Left gives what can be kept of a stick as it was cut: where every side came off it, what is left of each sound part; else its tail in one
// piece, with the damage that is in it.
func (s Stick) Left() []model.Span {
	if _, wholly := s.Here(); wholly {
		return s.Leaves()
	}
	return []model.Span{{From: min(s.CutEnd(), s.Length), To: s.Length}}
}

// CutEnd is up to where a stick is cut, from its head. Sides lie one behind the other in each sound part, whichever of them were cut.
func (s Stick) CutEnd() model.Length {
	sides, _ := s.Here()
	laid, left := s.Laid(slices.DeleteFunc(slices.Clone(sides), func(side Side) bool { return !side.IsCut() }))
	end := left[0].From
	for _, side := range laid {
		end = max(end, side.Slot().To)
	}
	return end
}

// LeftNow is how much is left of a stick that is being cut, in one piece.
func (s Stick) LeftNow() model.Length {
	if !s.Begun() {
		return s.Length
	}
	left := s.Left()
	return left[len(left)-1].Length()
}
