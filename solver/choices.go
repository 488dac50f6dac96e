package solver

import (
	"math"
	"time"

	"longpoint/solver/glpk"
)

// Choices are few beside patterns, and once they are made the rest is a problem without any. So drafts begin with choices
// made as near as may be to what a relaxation makes of them, and end with the cheapest that give the sticks used.

// GLPK's branch and bound may look for choices with a tree of choiceNodes, for at most choiceTime.
const (
	choiceNodes = 500
	choiceTime  = 200 * time.Millisecond
)

// choiceBias is what following the relaxation counts for, in the dearest cost: enough to tell choices of one cost apart.
// Found good enough as it is, not by trial.
const choiceBias = 1e-3

// timesFor gives how often to make each choice, at least cost, so that the rows hold, the node's conditions on choices
// are met, and need[k] sticks of every kind that choices give are there. Where asks is not nil, choices that ask for
// pieces are made as often as it says; otherwise those that the relaxation makes are preferred. It reports false when
// there is no way, or none was found in time.
func (s *search) timesFor(conds []cond, need, asks []int64, relaxed func(j int) float64) ([]int64, bool, error) {
	in := s.in
	if len(in.choices) == 0 {
		return nil, true, nil
	}
	lp, err := glpk.Open()
	if err != nil {
		return nil, false, err
	}
	defer lp.Close()
	unit, rowUnit := max(1, float64(in.maxCost)), in.rowUnit()
	var bounds []glpk.Bounds
	for _, r := range in.rows {
		bounds = append(bounds, glpk.Bounds{Lower: float64(r.Least) / rowUnit, Upper: glpk.Inf})
	}
	for k := range in.room {
		bounds = append(bounds, glpk.Bounds{Lower: float64(max(0, need[k]-in.limit[k])), Upper: glpk.Inf})
	}
	if err := lp.AddRows(bounds); err != nil {
		return nil, false, err
	}
	cols := make([]glpk.Column, len(in.choices))
	for j, c := range in.choices {
		b := glpk.Bounds{Lower: 0, Upper: float64(c.Most)}
		for _, x := range conds {
			if x.OnChoice && x.Choice == j {
				if x.AtLeast {
					b.Lower = max(b.Lower, float64(x.Bound))
				} else {
					b.Upper = min(b.Upper, float64(x.Bound))
				}
			}
		}
		if asks != nil && len(c.Asks) > 0 {
			b = glpk.Bounds{Lower: float64(asks[j]), Upper: float64(asks[j])}
		}
		if b.Lower > b.Upper {
			return nil, false, nil
		}
		cols[j] = glpk.Column{Cost: float64(c.Cost) / unit, Bounds: b}
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
	if err := lp.AddColumns(cols); err != nil {
		return nil, false, err
	}
	for j := range cols {
		if err := lp.SetInteger(j); err != nil {
			return nil, false, err
		}
	}
	if st, short, err := lp.Simplex(glpk.Simplex{Time: choiceTime}); err != nil || short != glpk.NotShort || st != glpk.Optimal {
		return nil, false, nil // only a heuristic: the search goes on without it
	}
	if st, err := lp.Branch(choiceTime, choiceNodes); err != nil || st != glpk.Optimal && st != glpk.Feasible {
		return nil, false, nil
	}
	_, x, err := lp.ReadInteger()
	if err != nil {
		return nil, false, err
	}
	times := make([]int64, len(x))
	for j, v := range x {
		times[j] = int64(math.Round(v))
	}
	return times, s.allowed(times), nil
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

// draftAt begins a draft at a node that is solved: with its choices made so that there are the sticks that the
// relaxation uses, rounded up, and spare more of each kind. It reports false when that cannot be had.
func (s *search) draftAt(m *master, spare int64) (*draft, bool, error) {
	d := newDraft(s.in, m.conds)
	if len(s.in.choices) == 0 {
		return d, true, nil
	}
	sum := make([]float64, len(s.in.room))
	for j, c := range m.cols {
		sum[c.kind] += m.x(j)
	}
	need := make([]int64, len(sum))
	for k, v := range sum {
		if v > nought {
			need[k] = min(s.in.ever[k], int64(math.Ceil(v-nought))+spare)
		}
	}
	times, ok, err := s.timesFor(m.conds, need, nil, m.times)
	if err != nil || !ok {
		return nil, false, err
	}
	d.choose(times, m.conds)
	return d, true, nil
}

// refit makes a finished draft's choices again, as cheaply as gives the sticks that it uses. It reports false when its
// choices are not allowed.
func (s *search) refit(d *draft) bool {
	if len(s.in.choices) == 0 {
		return true
	}
	before := d.times
	if before == nil {
		before = make([]int64, len(s.in.choices))
	}
	need := make([]int64, len(s.in.room))
	for _, p := range d.patterns {
		need[p.Kind] += p.Count
	}
	times, ok, err := s.timesFor(nil, need, before, nil)
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

// paid is what a draft's choices cost.
func (d *draft) paid() int64 {
	var sum int64
	for j, n := range d.times {
		sum += n * d.in.choices[j].Cost
	}
	return sum
}
