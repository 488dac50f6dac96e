package sheet

import (
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
	parts := model.Stick{Length: s.Length, Damage: spansOf(s)}.Sound(pp.HeadTrim, pp.TailTrim)
	for n, left := range s.Between {
		if n < len(parts) {
			out = append(out, remainder{Left: left, end: parts[n].To})
		}
	}
	last := remainder{s.Left, s.Length, min(pp.TailTrim, s.Left.Length)}
	if n := len(parts); n > 0 && parts[n-1].To < s.Length-pp.TailTrim { // the tail is damaged
		last.end, last.tail = parts[n-1].To, 0
	}
	return append(out, last)
}

// spansOf gives what is damaged of a stick, from the head on.
func spansOf(s plan.Stick) (spans []model.Span) {
	for _, d := range s.Damage {
		spans = append(spans, model.Span(d))
	}
	return spans
}
