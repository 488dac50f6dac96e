package solver

import (
	"math"
	"time"

	"longpoint/solver/glpk"
)

// There are few choices beside patterns, and once they are made the rest is a problem without choices. So the
// heuristics first make choices as near as possible to the relaxation's, then cut the patterns, and then revise the
// choices to the cheapest that give the sticks used.

// GLPK's branch and bound may look for choices with a tree of choiceNodes; choiceTime is for the rare case that these take longer.
const (
	choiceNodes = 500
	choiceTime  = 2 * time.Second
)

// choiceBias is the weight of following the relaxation's choices, in the dearest cost. It only has to tell choices of
// equal cost apart; no other values were tried.
const choiceBias = 1e-3

// chooseTimes gives how often to make each choice, at least cost, so that three things hold: every row is met, so is
// every condition of the node on choices, and there are need[k] sticks of every kind that choices give. Where asks is
// not nil, choices that ask for pieces are made as often as it says. Otherwise those that the relaxation makes are
// preferred. It reports false where there is no way, or none was found in time.
func (s *search) chooseTimes(conds []Condition, need, asks []int64, relaxed func(j int) float64) ([]int64, bool, error) {
	in := s.in
	if len(in.choices) == 0 {
		return nil, true, nil
	}
	lp, err := glpk.Open()
	if err != nil {
		return nil, false, err
	}
	defer lp.Close()
	rowUnit := in.rowUnit()
	var bounds []glpk.Bounds
	for _, r := range in.rows {
		bounds = append(bounds, glpk.Bounds{Lower: float64(r.Least) / rowUnit, Upper: glpk.Inf})
	}
	for k := range in.capacity {
		bounds = append(bounds, glpk.Bounds{Lower: float64(max(0, need[k]-in.limit[k])), Upper: glpk.Inf})
	}
	if err := lp.AddRows(bounds); err != nil {
		return nil, false, err
	}
	cols := make([]glpk.Column, len(in.choices))
	for j, c := range in.choices {
		b := choiceBounds(c, j, conds)
		if asks != nil && len(c.Asks) > 0 {
			b = glpk.Bounds{Lower: float64(asks[j]), Upper: float64(asks[j])}
		}
		if b.Lower > b.Upper {
			return nil, false, nil
		}
		cols[j] = glpk.Column{Cost: float64(c.Cost) / max(1, float64(in.maxCost)), Bounds: b}
		if asks == nil && relaxed != nil {
			cols[j].Cost += choiceBias * (0.5 - min(1, relaxed(j)))
		}
		for _, r := range c.In {
			cols[j].Row, cols[j].Value = append(cols[j].Row, r.Row), append(cols[j].Value, float64(r.Value)/rowUnit)
		}
		for _, g := range c.Gives {
			cols[j].Row, cols[j].Value = append(cols[j].Row, len(in.rows)+g.Kind), append(cols[j].Value, float64(g.Quantity))
		}
	}
	x, ok, err := s.integerSolution(lp, cols, choiceTime, choiceNodes)
	if err != nil || !ok {
		return nil, false, err
	}
	times := make([]int64, len(x))
	for j, v := range x {
		times[j] = int64(math.Round(v))
	}
	return times, s.allowed(times), nil
}

// choiceBounds are how often choice j may be made under the conditions.
func choiceBounds(c Choice, j int, conds []Condition) glpk.Bounds {
	b := glpk.Bounds{Lower: 0, Upper: float64(c.Most)}
	for _, x := range conds {
		switch {
		case !x.OnChoice || x.Choice != j:
		case x.AtLeast:
			b.Lower = max(b.Lower, float64(x.Bound))
		default:
			b.Upper = min(b.Upper, float64(x.Bound))
		}
	}
	return b
}

// allowed tells in integers whether choices may be made so often.
func (s *search) allowed(times []int64) bool {
	sum := make([]int64, len(s.in.rows))
	for j, n := range times {
		c := &s.in.choices[j]
		if n < 0 || n > c.Most {
			return false
		}
		for _, r := range c.In {
			sum[r.Row] += n * r.Value
		}
	}
	for r, row := range s.in.rows {
		if sum[r] < row.Least {
			return false
		}
	}
	return true
}

// partialPlanAt starts a plan at a node that is solved. It makes the choices so that there are the sticks that the
// relaxation uses, rounded up, and spare more of each kind. It reports false when no choices give them.
func (s *search) partialPlanAt(m *master, spare int64) (*partialPlan, bool, error) {
	d := newPartialPlan(s.in, m.conds)
	if len(s.in.choices) == 0 {
		return d, true, nil
	}
	sum := make([]float64, len(s.in.capacity))
	for j, c := range m.cols {
		sum[c.kind] += m.columnValue(j)
	}
	need := make([]int64, len(sum))
	for k, v := range sum {
		if v > zeroTolerance {
			need[k] = min(s.in.maxLimit[k], int64(math.Ceil(v-zeroTolerance))+spare)
		}
	}
	times, ok, err := s.chooseTimes(m.conds, need, nil, m.choiceValue)
	if err != nil || !ok {
		return nil, false, err
	}
	d.choose(times, m.conds)
	return d, true, nil
}

// reviseChoices replaces a finished plan's choices by the cheapest that give the sticks that it uses. It reports
// false when its own choices are not allowed and no others were found.
func (s *search) reviseChoices(d *partialPlan) bool {
	if len(s.in.choices) == 0 {
		return true
	}
	before := d.times
	if before == nil {
		before = make([]int64, len(s.in.choices))
	}
	need := make([]int64, len(s.in.capacity))
	for _, p := range d.patterns {
		need[p.Kind] += p.Count
	}
	times, ok, err := s.chooseTimes(nil, need, before, nil)
	if err != nil || !ok {
		if d.times = before; !s.allowed(before) {
			return false
		}
		return true
	}
	for j, n := range times {
		d.cost += (n - before[j]) * s.in.choices[j].Cost
	}
	d.times = times
	return true
}

// choiceCost is what a plan's choices cost.
func (d *partialPlan) choiceCost() int64 {
	var sum int64
	for j, n := range d.times {
		sum += n * d.in.choices[j].Cost
	}
	return sum
}
