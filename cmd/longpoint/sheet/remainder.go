package sheet

import (
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// remainder is what is left of a stick, or of one of its sound parts, after the last side: where it ends, from the stick's
// head, and how much of its end is tail trim.
type remainder struct {
	plan.Left
	end, tail model.Length
}

// start is where it begins, from the stick's head.
func (r remainder) start() model.Length { return r.end - r.Length }

// remaindersOf gives what is left of a stick's sound parts, from the head on. Only the last one can have the stick's tail.
func remaindersOf(pp plan.ProfilePlan, s plan.Stick) (out []remainder) {
	lefts := s.Lefts()
	parts := longestOf(model.Stick{Length: s.Length, Damage: s.Damage}.Sound(pp.Trims()), len(lefts))
	for n, left := range lefts {
		part := model.Span{To: s.Length - pp.TailTrim}
		if n < len(parts) {
			part = parts[n]
		}
		end := soundTo(s, part.To)
		out = append(out, remainder{Left: left, end: end, tail: min(end-part.To, left.Length)})
	}
	return out
}

// longestOf gives the n longest parts, in their order. Of a pattern each part gives up a repeat, and the plan has nothing to say
// of those that are no longer than that.
func longestOf(parts []model.Span, n int) []model.Span {
	if len(parts) <= n {
		return parts
	}
	lengths := make([]model.Length, len(parts))
	for i, p := range parts {
		lengths[i] = p.Length()
	}
	slices.Sort(lengths)
	least := lengths[len(parts)-n]
	return slices.DeleteFunc(slices.Clone(parts), func(p model.Span) bool { return p.Length() < least })
}

// soundTo gives how far a stick is sound behind a place: to the next damage or to its end.
func soundTo(s plan.Stick, place model.Length) model.Length {
	for _, d := range s.Damage {
		if d.From >= place {
			return d.From
		}
	}
	return s.Length
}
