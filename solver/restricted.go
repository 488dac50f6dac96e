package solver

import (
	"math"
	"time"

	"longpoint/solver/glpk"
)

// GLPK's branch and bound looks for a better plan among the columns at hand, if they are at most restrictMost, at node
// restrictAfter; with choices, at every restrictEvery-th node, since partial plans make them less well. Its own tree may have
// restrictNodes nodes, which end it; restrictTime is for the rare case that these take longer.
const (
	restrictMost  = 800
	restrictAfter = 60
	restrictEvery = 10
	restrictNodes = 30
	restrictTime  = time.Second
)

// solveRestrictedMaster lets GLPK's branch and bound choose among the columns at hand, for a short while. It takes only columns
// whose reduced cost leaves room for a better plan.
func (s *search) solveRestrictedMaster(m *master, bound float64) error {
	in := s.in
	lp, err := glpk.Open()
	if err != nil {
		return err
	}
	defer lp.Close()
	gap := (float64(s.upperBound()) - bound) / m.unit
	var patterns []*column
	for j, c := range m.cols {
		if at := m.patternsFrom + j; at < len(m.sol.Reduced) && m.sol.Reduced[at] < gap {
			patterns = append(patterns, c)
		}
	}
	if len(patterns) == 0 || len(patterns) > restrictMost {
		return nil
	}
	if err := lp.AddRows(m.rowBounds(nil)); err != nil {
		return err
	}
	cols := append(m.choiceColumns(nil, 1), m.patternColumns(patterns, nil, 1)...)
	x, ok, err := s.integerSolution(lp, cols, restrictTime, restrictNodes)
	if err != nil || !ok {
		return err
	}
	d := newPartialPlan(in, nil)
	times := make([]int64, len(in.choices))
	for j := range times {
		times[j] = int64(math.Round(x[j]))
	}
	d.choose(times, nil)
	for j, c := range patterns {
		if n := int64(math.Round(x[len(times)+j])); n > 0 {
			d.cut(c, n)
		}
	}
	if d.done() {
		s.updateIncumbent(d)
	}
	return nil
}

// integerSolution adds columns of whole numbers to a problem that has rows and solves it with GLPK's branch and bound, with at
// most so many nodes, for no longer than limit and the run may take. It reports false where that gives no solution: it serves heuristics, and the search goes on without.
func (s *search) integerSolution(lp *glpk.Problem, cols []glpk.Column, limit time.Duration, nodes int) (x []float64, ok bool, err error) {
	switch {
	case s.patient:
		limit = endless
	case !s.end.IsZero():
		limit = min(limit, time.Until(s.end))
	}
	if limit < time.Millisecond { // GLPK counts in them
		return nil, false, nil
	}
	if err := lp.AddColumns(cols); err != nil {
		return nil, false, err
	}
	for j := range cols {
		if err := lp.SetInteger(j); err != nil {
			return nil, false, err
		}
	}
	if st, reached, err := lp.Simplex(glpk.Simplex{Time: limit}); err != nil || reached != glpk.NoLimit || st != glpk.Optimal {
		return nil, false, nil
	}
	if st, err := lp.Branch(limit, nodes); err != nil || st != glpk.Optimal && st != glpk.Feasible {
		return nil, false, nil
	}
	_, x, err = lp.ReadInteger()
	return x, err == nil, err
}
