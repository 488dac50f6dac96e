package stops

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
	work := exactWork
	if m != finish || len(t.p.Sticks) > fewSticks {
		work = exactAside
	}
	better, bound, ended := t.exact(m, limit, work)
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
	first := t.start()
	switch {
	case plan.Proven || m == once:
		return plan.Settings
	case m == seldom && !t.complete:
		return int(first.waiting)
	case (m == finish || m == seldom) && t.complete:
		return min(int(bound/weight), plan.Settings)
	case m == finish:
		return int(max(first.waiting, t.stickByStick(first)))
	}
	// Each taking of a stick, the first and any other, finds at most as many lengths set as there are stops.
	least := max(int(first.waiting), int(t.stickByStick(first))-t.p.Stops*plan.PickUps)
	if t.complete && int(bound/weight) == plan.PickUps {
		least = max(least, int(bound%weight))
	}
	return least
}
