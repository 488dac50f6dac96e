package book

import (
	"cmp"
	"math"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// isCut tells whether a side came off its stick in this run.
func (s RunSide) isCut() bool {
	return s.Became == Done || s.Became == Short || s.Became == Torn || s.Became == Unwanted
}

// begun tells whether a side came off the stick in this run.
func (s RunStick) begun() bool { return slices.ContainsFunc(s.Sides, RunSide.isCut) }

// part is a sound part of a stick: where its first side begins, where its last must end, and up to where it is sound.
type part struct{ at, to, end model.Length }

// parts gives the sound parts of a stick that sides can be cut from, from its head on.
func (s RunStick) parts() []part {
	stick := model.Stick{Length: s.Length, Damage: s.damage}
	var all []part
	for _, span := range stick.Sound(model.Trims{Head: s.head, Tail: s.by.TailTrim, Apart: s.by.Apart}) {
		p := part{span.From + s.repeat, span.To, stick.SoundEnd(span)}
		used := false
		for _, side := range s.Sides { // it begins where the plan begins it
			if at := side.as.Slot().From; at >= span.From && at < span.To && (!used || at < p.at) {
				p.at, used = at, true
			}
		}
		if used || p.at < span.To {
			all = append(all, p)
		}
	}
	if len(all) == 0 { // something was cut before it was seen that all of it is damaged
		at := min(s.head, s.Length)
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

// laid gives sides of a stick as they lie on it, one behind the other in each of its sound parts, and what they leave of each part.
func (s RunStick) laid(sides []RunSide) (laid []laidSide, left []model.Span) {
	parts := s.parts()
	at := make([]model.Length, len(parts))
	for n, p := range parts {
		at[n] = p.at
	}
	for _, one := range sides {
		side, n := one.as, len(parts)-1
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

// putOff says of sides that are still to cut which cannot be cut from the stick as it turned out.
func (s *RunStick) putOff() {
	if s.State != "open" {
		return
	}
	var sides []RunSide
	var at []int
	for _, first := range []bool{true, false} { // what is cut lies nearer the head of its part, in whatever order the plan has it
		for n, side := range s.Sides {
			if side.Became != Before && side.isCut() == first {
				sides, at = append(sides, side), append(at, n)
			}
		}
	}
	laid, _ := s.laid(sides)
	for n, side := range laid {
		if one := &s.Sides[at[n]]; one.Became == ToCut && !side.fits {
			one.Became = PutOff
		}
	}
}

// here gives the sides that are to be cut from the stick in this run or were, but not those that are put off; once it is finished, those that
// were. wholly tells that all of them are cut.
func (s RunStick) here() (sides []RunSide, wholly bool) {
	wholly = true
	for _, side := range s.Sides {
		if side.Became != Before && side.Became != PutOff && (s.State == "open" || side.isCut()) {
			sides = append(sides, side)
			wholly = wholly && side.isCut()
		}
	}
	return sides, wholly
}

// asCut gives the sides that here gives, those of one sound part as they come off it: what is cut, in the order in which that was written down, and then
// what is still to be cut; and in which part each of them lies.
func (s RunStick) asCut() (sides []RunSide, part map[model.SideID]int) {
	sides, _ = s.here()
	laid, _ := s.laid(sides)
	part = map[model.SideID]int{}
	for n, side := range sides {
		part[side.SideID] = laid[n].part
	}
	slices.SortStableFunc(sides, func(a, b RunSide) int {
		return cmp.Or(cmp.Compare(part[a.SideID], part[b.SideID]), a.compareTold(b))
	})
	return sides, part
}

// compareTold compares sides by when they were cut, those that are still to be cut last.
func (s RunSide) compareTold(o RunSide) int {
	last := func(s RunSide) int64 {
		if s.told == 0 {
			return math.MaxInt64
		}
		return s.told
	}
	return cmp.Compare(last(s), last(o))
}

// left gives what can be kept of a stick as it was cut: where every side came off it, what is left of each sound part; else its tail in one
// piece, with the damage that is in it.
func (s RunStick) left() []model.Span {
	sides, wholly := s.here()
	if wholly {
		_, left := s.laid(sides)
		return left
	}
	return []model.Span{{From: min(s.cutEnd(), s.Length), To: s.Length}}
}

// cutEnd is up to where a stick is cut, from its head. Sides lie one behind the other in each sound part, whichever of them were cut.
func (s RunStick) cutEnd() model.Length {
	sides, _ := s.here()
	laid, left := s.laid(slices.DeleteFunc(slices.Clone(sides), func(side RunSide) bool { return !side.isCut() }))
	end := left[0].From
	for _, side := range laid {
		end = max(end, side.Slot().To)
	}
	return end
}

// LeftNow is how much is left of a stick that is being cut, in one piece.
func (s RunStick) LeftNow() model.Length {
	if !s.begun() {
		return s.Length
	}
	left := s.left()
	return left[len(left)-1].Length()
}
