package solver

import (
	"cmp"
	"math"
	"slices"
)

// chooseCondition picks the condition to branch on and fills in the bound of its at-most side. It looks for a
// fractional value in this order:
//
// - how often a choice is made, how many sticks of a kind are used, or how many earn a credit, see branchByGain;
// - how many sticks, of any kind or of one, hold at least so many pieces of one item; then of two items, of three,
// and so on (F. Vanderbeck, Mathematical Programming 86, 1999). As long as the solution is fractional, some such
// number is.
//
// It reports false when the solution is whole.
func (s *search) chooseCondition(m *master) (Condition, bool) {
	var parts []fractionalColumn
	sum := make([]float64, len(s.in.capacity))
	for j, c := range m.cols {
		x := m.columnValue(j)
		sum[c.kind] += x
		if f := x - math.Floor(x+zeroTolerance); f > zeroTolerance {
			parts = append(parts, fractionalColumn{c, x})
		}
	}
	if len(s.in.choices) > 0 || s.in.credits {
		if c, ok := s.branchByGain(m, sum); ok {
			return c, true
		}
	} else if c, ok := s.branchOnKind(sum, m.conds); ok {
		return c, true
	}
	if len(parts) == 0 {
		return Condition{}, false
	}
	for _, anyKind := range []bool{true, false} {
		if c, ok := s.branchOnContents(m, parts, anyKind); ok {
			return c, true
		}
	}
	return Condition{}, false
}

// branchOnOpenChoice picks a choice that the relaxation makes a whole number of times and the node's conditions do
// not fix.
func (s *search) branchOnOpenChoice(n *node, m *master) (Condition, bool) {
	for j, c := range s.in.choices {
		low, high := int64(0), c.Most
		for _, x := range n.conds {
			switch {
			case !x.OnChoice || x.Choice != j:
			case x.AtLeast:
				low = max(low, x.Bound)
			default:
				high = min(high, x.Bound)
			}
		}
		if low < high {
			at := max(low, min(high-1, int64(math.Round(m.choiceValue(j)))))
			return Condition{OnChoice: true, Choice: j, Bound: at}, true
		}
	}
	return Condition{}, false
}

// kindCountsFractional tells whether there are several kinds and the relaxation uses a fractional number of sticks of
// one.
func (s *search) kindCountsFractional(m *master) bool {
	if len(s.in.capacity) < 2 {
		return false
	}
	_, fractional := s.branchOnKind(s.mixOf(m), m.conds)
	return fractional
}

// mixOf is how many sticks of each kind the relaxation uses.
func (s *search) mixOf(m *master) []float64 {
	sum := make([]float64, len(s.in.capacity))
	for j, c := range m.cols {
		sum[c.kind] += m.columnValue(j)
	}
	return sum
}

// branchOnKind picks a kind of which a fractional number of sticks is used. The numbers are first brought within the node's conditions: in floating
// point one can miss its bound by more than zeroTolerance, and the same branching would follow without end.
func (s *search) branchOnKind(sum []float64, conds []Condition) (Condition, bool) {
	for _, c := range conds {
		switch {
		case len(sum) == 0 || !c.countsKind() || c.AnyKind:
		case c.AtLeast:
			sum[c.Kind] = max(sum[c.Kind], float64(c.Bound))
		default:
			sum[c.Kind] = min(sum[c.Kind], float64(c.Bound))
		}
	}
	best, at := 0.0, -1
	for k, n := range sum {
		// The dearer the kind, the more the bounds rise on both sides.
		if score := fractionality(n) * (1 + float64(s.in.cost[k])/float64(max(1, s.in.maxCost))); score > best {
			best, at = score, k
		}
	}
	if at < 0 {
		return Condition{}, false
	}
	return Condition{Kind: at, Bound: int64(math.Floor(sum[at] + zeroTolerance))}, true
}

// fractionalColumn is a column whose value x is not whole.
type fractionalColumn struct {
	c *column
	x float64
}

// fractionality is the distance to the nearest whole number, at most ½. It is 0 within zeroTolerance of a whole
// number.
func fractionality(x float64) float64 {
	f := x - math.Floor(x)
	if f < zeroTolerance || f > 1-zeroTolerance {
		return 0
	}
	return min(f, 1-f)
}

// branchOnContents looks for the fewest items that a fractional number of sticks holds together: sticks of any kind,
// or of one kind.
func (s *search) branchOnContents(m *master, parts []fractionalColumn, anyKind bool) (Condition, bool) {
	kinds := []int{0}
	if !anyKind {
		kinds = kinds[:0]
		for _, p := range parts {
			if !slices.Contains(kinds, p.c.kind) {
				kinds = append(kinds, p.c.kind)
			}
		}
		slices.Sort(kinds)
	}
	var found Condition
	bestScore := 0.0
	for _, k := range kinds {
		var mine []fractionalColumn
		for _, p := range parts {
			if anyKind || p.c.kind == k {
				mine = append(mine, p)
			}
		}
		c, score := s.fractionalContents(mine, nil)
		if score > 0 && (bestScore == 0 || len(c) < len(found.Holds) || len(c) == len(found.Holds) && score > bestScore) {
			found = Condition{Kind: k, AnyKind: anyKind, Holds: c}
			bestScore = score
		}
	}
	if bestScore == 0 {
		return Condition{}, false
	}
	if anyKind {
		found.Kind = 0
	}
	slices.SortFunc(found.Holds, func(a, b Take) int { return cmp.Compare(a.Item, b.Item) })
	var n float64
	for j, c := range m.cols {
		if c.meets(s.in, &found) {
			n += m.columnValue(j)
		}
	}
	if fractionality(n) == 0 {
		return Condition{}, false
	}
	found.Bound = int64(math.Floor(n))
	return found, true
}

// fractionalContents takes columns that all hold what is in held. It looks for one or two items more that a
// fractional number of sticks holds, and goes deeper when there are none.
func (s *search) fractionalContents(parts []fractionalColumn, held []Take) ([]Take, float64) {
	if len(parts) < 2 {
		return nil, 0
	}
	levels := s.levels(parts, held)
	n := len(levels)
	one, two := reachCounts(parts, levels)
	var best []Take
	bestScore := 0.0
	try := func(sum float64, list ...Take) {
		// Of equal scores the first stands: levels are in order of falling length.
		if score := fractionality(sum); score > bestScore*(1+zeroTolerance) {
			best, bestScore = append(append([]Take(nil), held...), list...), score
		}
	}
	for x, a := range levels {
		try(one[x], a)
	}
	if bestScore > 0 {
		return best, bestScore
	}
	for x, a := range levels {
		for y := x + 1; y < n; y++ {
			if two[x*n+y] > 0 && a.Item != levels[y].Item {
				try(two[x*n+y], a, levels[y])
			}
		}
	}
	if bestScore > 0 {
		return best, bestScore
	}
	// One or two items do not do. Fix a level that some columns reach and look among those.
	for _, a := range levels {
		var with []fractionalColumn
		for _, p := range parts {
			if p.c.holds(a.Item) >= a.Quantity {
				with = append(with, p)
			}
		}
		if len(with) < len(parts) {
			if c, score := s.fractionalContents(with, append(append([]Take(nil), held...), a)); score > 0 {
				return c, score
			}
		}
	}
	return nil, 0
}

// reachCounts counts the sticks that reach each level, and those that reach levels x and y, x < y, at place x·n + y of two.
func reachCounts(parts []fractionalColumn, levels []Take) (one, two []float64) {
	n := len(levels)
	one, two = make([]float64, n), make([]float64, n*n)
	var reached []int
	for _, p := range parts {
		reached = reached[:0]
		for x, a := range levels {
			if p.c.holds(a.Item) >= a.Quantity {
				reached = append(reached, x)
			}
		}
		for t, x := range reached {
			one[x] += p.x
			for _, y := range reached[t+1:] {
				two[x*n+y] += p.x
			}
		}
	}
	return one, two
}

// levels lists the quantities of each item that occur in the columns, without the items that are held already.
func (s *search) levels(parts []fractionalColumn, held []Take) []Take {
	var out []Take
	for _, p := range parts {
		for _, t := range p.c.take {
			if !slices.Contains(out, t) && !slices.ContainsFunc(held, func(h Take) bool { return h.Item == t.Item }) {
				out = append(out, t)
			}
		}
	}
	slices.SortFunc(out, func(a, b Take) int {
		return cmp.Or(cmp.Compare(s.in.length[b.Item], s.in.length[a.Item]), cmp.Compare(a.Item, b.Item), cmp.Compare(a.Quantity, b.Quantity))
	})
	return out
}

// countsKind tells whether the condition counts all sticks of a kind, or of all kinds.
func (c *Condition) countsKind() bool { return !c.OnChoice && !c.Credited && len(c.Holds) == 0 }
