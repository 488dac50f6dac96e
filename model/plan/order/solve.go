package order

import (
	"cmp"
	"slices"
)

// byPlace gives lengths by where a stop stands for them.
func (t *table) byPlace(lengths []int32) []int32 {
	out := slices.Clone(lengths)
	slices.SortFunc(out, func(a, b int32) int {
		return cmp.Or(cmp.Compare(t.p.Lengths[a], t.p.Lengths[b]), cmp.Compare(a, b))
	})
	return out
}

// solve gives the best order of a mode that is found. Not ok: there is none.
func (t *table) solve(m mode) (plan Plan, ok bool) {
	if t.pieces == 0 {
		return Plan{Proven: true}, true
	}
	const unlimited = cost(1) << 62
	best, limit := t.beam(m), unlimited
	if best != nil {
		limit = m.cost(best.settings, best.pickUps)
	}
	better, bound, ended := t.exact(m, limit, exactStates)
	if better != nil {
		best = better
	}
	if best == nil {
		return Plan{}, false
	}
	plan = t.replay(best.moves)
	plan.Settings, plan.PickUps = int(best.settings), int(best.pickUps)
	plan.Proven = ended && t.complete
	plan.Least = t.least(m, plan, bound)
	return plan, true
}

// least is how many settings every order of a mode takes, with no more pick-ups than the plan has.
func (t *table) least(m mode, plan Plan, bound cost) int {
	switch first := t.start(); {
	case plan.Proven || m == once:
		return plan.Settings
	case m == finish && t.complete:
		return min(int(bound/weight), plan.Settings)
	case m == finish:
		return int(t.ahead(m, first) / weight)
	default:
		return int(first.waiting)
	}
}
