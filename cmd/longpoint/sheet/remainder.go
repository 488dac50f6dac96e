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

// remaindersOf gives what is left of a stick, from the head on; the last one is at its tail.
func remaindersOf(pp plan.ProfilePlan, s plan.Stick) []remainder {
	return []remainder{{s.Left, s.Length, min(pp.TailTrim, s.Left.Length)}}
}

// damageOf gives what is damaged of a stick, from the head on.
func damageOf(w *model.Workshop, s plan.Stick) []model.Span {
	if w == nil || s.From != plan.FromRack {
		return nil
	}
	for _, r := range w.Rack {
		if r.ID == s.ID {
			return r.Damage
		}
	}
	return nil
}
