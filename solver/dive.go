package solver

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"longpoint/solver/glpk"
)

// roundColumns builds plans from a relaxed solution. It takes the whole part of every column, then one stick more of
// the columns with the greatest fractions, of more and more of them, and completes each such plan greedily; so many
// tries.
func (s *search) roundColumns(ctx context.Context, m *master, tries int) error {
	for spare := range int64(2) {
		base, ok, err := s.partialPlanAt(m, spare)
		if err != nil {
			return err
		}
		if ok {
			if s.mixing() {
				base.free(m.conds) // a plan with other sticks is as welcome
			}
			s.roundFromPlan(ctx, m, base, tries)
		}
		if len(s.in.choices) == 0 {
			break
		}
	}
	return nil
}

// roundFromPlan is roundColumns for choices that are made already, in a plan in which nothing is cut yet.
func (s *search) roundFromPlan(ctx context.Context, m *master, base *partialPlan, tries int) {
	type part struct {
		c *column
		f float64
	}
	g := s.pricesAt(m)
	if !g.fromLP {
		return // without a bound on what is left, a plan takes too long
	}
	var parts []part
	for j, c := range m.cols {
		x := m.columnValue(j)
		whole := math.Floor(x + zeroTolerance)
		if whole >= 1 {
			base.cut(c, int64(whole))
		}
		if f := x - whole; f > zeroTolerance {
			parts = append(parts, part{c, f})
		}
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(b.f, a.f) })
	next := 0
	for n := 0; n <= len(parts) && tries > 0; n++ {
		if ctx.Err() != nil || s.rootBoundMet() || s.cannotImprove(base, g, s.upperBound()) {
			return
		}
		if n == next {
			tries--
			next += 1 + n/2
			d := base.clone()
			if s.completeGreedily(ctx, d, g, s.upperBound()) {
				s.updateIncumbent(d)
			}
		}
		if n < len(parts) {
			base.cut(parts[n].c, 1)
		}
	}
}

// dive fixes columns one after another: those that are whole and the one nearest to it. It then solves what is left
// by column generation again, until all is cut or no better plan can come of it. The master is left as it was found,
// but for new columns.
func (s *search) dive(ctx context.Context, m *master) error {
	before := m.saveBasis()
	avoid := map[*column]bool{}
	tries := diveTries
	if s.nodes == 1 {
		tries = rootDives
	}
	if len(s.in.capacity) > 1 && !slices.ContainsFunc(m.conds, func(c Condition) bool { return len(c.Holds) > 0 }) {
		tries = 1 // how many sticks of a kind to use is branched on first
	}
	for range tries {
		if err := s.diveOnce(ctx, m, avoid); err != nil && !errors.Is(err, errStalled) {
			return err
		}
		if err := m.setDemand(newPartialPlan(s.in, nil)); err != nil {
			return err
		}
		if err := m.restoreBasis(before); err != nil {
			return err
		}
		if err := m.solve(ctx, glpk.Primal); err != nil {
			return err
		}
		if s.rootBoundMet() {
			break
		}
	}
	return nil
}

// diveTries is how often a dive starts again from the top, each time without the columns that the ones before it
// rounded up first (R. Sadykov, F. Vanderbeck, A. Pessoa, I. Tahiri, E. Uchoa, INFORMS Journal on Computing 31,
// 2019). At the root it is rootDives: a plan found there saves the tree. Both were found by trial on the published
// instances.
const diveTries, rootDives = 3, 8

// diveOnce is one dive. It takes no column in avoid, and adds to it the first column that it rounds up alone.
func (s *search) diveOnce(ctx context.Context, m *master, avoid map[*column]bool) error {
	d, ok, err := s.partialPlanAt(m, 0)
	if err != nil || !ok {
		return err
	}
	marked := false
	completeAt := d.remaining * 2 / 3 // when so little is left, and again when a third less is, the rest is completed greedily
	for !d.done() {
		if err := m.setDemand(d); err != nil {
			return err
		}
		if err := s.reoptimise(ctx, m, d); err != nil {
			return err
		}
		if m.artificialValue() > zeroTolerance && s.mixing() && !d.freed {
			d.free(m.conds) // with the sticks of this mix it cannot be completed any more
			continue
		}
		if d.cost+s.payableAbove(m.value()-float64(d.choiceCost())) >= s.upperBound() || m.artificialValue() > zeroTolerance {
			return nil
		}
		steps, alone := diveSteps(m, avoid)
		if alone && !marked {
			avoid[steps[0].c], marked = true, true
		}
		fixed := false
		for _, st := range steps {
			fixed = d.cut(st.c, st.n) || fixed
		}
		if !fixed {
			return nil
		}
		if d.remaining <= completeAt {
			completeAt = d.remaining * 2 / 3
			if g := s.pricesAt(m); g.fromLP {
				rest := d.clone()
				if s.mixing() && !rest.freed {
					rest.free(m.conds)
				}
				if s.completeGreedily(ctx, rest, g, s.upperBound()) {
					s.updateIncumbent(rest)
				}
			}
		}
		if s.rootBoundMet() {
			return nil
		}
	}
	s.updateIncumbent(d)
	return nil
}

// diveStep is a column and how many sticks a dive cuts so.
type diveStep struct {
	c *column
	n int64
}

// diveSteps are the whole parts of all columns, those with a fraction above diveRoundUp rounded up. Where there are none, the
// column with the greatest fraction that is not in avoid is rounded up alone.
func diveSteps(m *master, avoid map[*column]bool) (steps []diveStep, alone bool) {
	best, at := 0.0, -1
	for j, c := range m.cols {
		x := m.columnValue(j)
		n := math.Floor(x + zeroTolerance)
		if f := x - n; f > diveRoundUp {
			n++
		} else if f > best && !avoid[c] {
			best, at = f, j
		}
		if n >= 1 {
			steps = append(steps, diveStep{c, int64(n)})
		}
	}
	if len(steps) == 0 && at >= 0 {
		return []diveStep{{m.cols[at], 1}}, true
	}
	return steps, false
}

// diveRoundUp is the fraction above which a dive rounds a column up together with others. Where there is none, it
// rounds up the one with the greatest.
const diveRoundUp = 0.8

// onlyFillings tells whether a better plan fills every stick to the end: it has as many as the pieces' lengths come to.
func (s *search) onlyFillings() bool {
	return s.fillings != nil && s.hasPlan && s.cost <= s.lower+s.in.cost[0]
}

// reoptimise solves the relaxation of what a dive has left, in a few rounds of heuristic pricing.
func (s *search) reoptimise(ctx context.Context, m *master, d *partialPlan) error {
	const rounds = 12
	method := glpk.Dual
	for range rounds {
		if err := m.solve(ctx, method); err != nil {
			return err
		}
		method = glpk.Primal
		lp := m.duals()
		added := s.improving(m, s.fillings.columns(lp.item, d.demand, float64(s.in.maxCost)), lp)
		if len(added) == 0 && !s.onlyFillings() {
			_, found, _ := s.priceAll(m.conds, s.roundDuals(lp), lp.limit, d.demand, heuristicStates)
			added = s.improving(m, found, lp)
		}
		if len(added) == 0 {
			return nil
		}
		if err := m.add(added); err != nil {
			return err
		}
	}
	return m.solve(ctx, method)
}
