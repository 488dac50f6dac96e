package solver

import (
	"cmp"
	"slices"

	"longpoint/solver/glpk"
)

// dualCut says that a piece of item long can be used for one of item short: every kind that may hold the one may hold
// the other. Its column in the relaxation exchanges the pieces and changes no optimum. In the dual it is a cut: the
// dual value of the longer item is no less than the shorter one's (J. M. Valério de Carvalho, Using extra dual cuts
// to accelerate column generation, INFORMS Journal on Computing 17, 2005). Dual values then vary less, and fewer
// rounds of pricing are needed.
type dualCut struct{ long, short int }

// dualCuts pairs every wanted item with the next shorter one that can take its place, in order of falling length.
func (in *instance) dualCuts() []dualCut {
	var order []int
	for i, n := range in.maxDemand {
		if n > 0 {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(in.length[b], in.length[a]), cmp.Compare(a, b)) })
	var out []dualCut
	for t, i := range order {
		for _, j := range order[t+1:] {
			if in.replaces(i, j) {
				out = append(out, dualCut{i, j})
				break
			}
		}
	}
	return out
}

// replaces tells whether every kind that may hold item i may hold item j.
func (in *instance) replaces(i, j int) bool {
	for k := range in.capacity {
		if in.holds(k, i) && !in.holds(k, j) {
			return false
		}
	}
	return true
}

// dualCutColumns are the columns of the dual cuts. Unless open, they are fixed at 0.
func (m *master) dualCutColumns(open bool) []glpk.Column {
	rowOf := make(map[int]int, len(m.items))
	for r, i := range m.items {
		rowOf[i] = r
	}
	bounds := glpk.Bounds{Lower: 0, Upper: 0}
	if open {
		bounds.Upper = glpk.Inf
	}
	cols := make([]glpk.Column, len(m.dualCuts))
	for e, x := range m.dualCuts {
		cols[e] = glpk.Column{Bounds: bounds, Row: []int{rowOf[x.long], rowOf[x.short]}, Value: []float64{-1, 1}}
	}
	return cols
}

// removeDualCuts closes the dual cuts and adds the columns in which their exchanges are made, so that the solution
// stays the same. It goes in order of falling length, so that a piece that was exchanged can be exchanged again.
func (m *master) removeDualCuts(s *search) error {
	first := m.patternsFrom - len(m.dualCuts)
	type part struct {
		c *column
		x float64
	}
	var parts []part
	holding := map[int][]int{} // parts by item
	put := func(c *column, x float64) {
		for _, t := range c.take {
			holding[t.Item] = append(holding[t.Item], len(parts))
		}
		parts = append(parts, part{c, x})
	}
	for j, c := range m.cols {
		if x := m.columnValue(j); x > zeroTolerance {
			put(c, x)
		}
	}
	made := len(parts)
	for e, x := range m.dualCuts {
		left := m.sol.Value[first+e]
		for at := 0; at < len(holding[x.long]) && left > zeroTolerance; at++ {
			p := &parts[holding[x.long][at]]
			n := min(left, p.x)
			if n <= zeroTolerance {
				continue
			}
			left -= n
			p.x -= n
			put(p.c.exchanged(s.in, x), n)
		}
	}
	var added []*column
	for _, p := range parts[made:] {
		if p.x <= zeroTolerance {
			continue
		}
		if c := s.pooled(p.c); !m.has(c) && !slices.Contains(added, c) {
			added = append(added, c)
		}
	}
	if err := m.closeDualCuts(); err != nil {
		return err
	}
	return m.add(added)
}

// closeDualCuts fixes the columns of the dual cuts at 0.
func (m *master) closeDualCuts() error {
	m.dualCutsOpen = false
	for e := range m.dualCuts {
		if err := m.lp.SetColumnBounds(m.patternsFrom-len(m.dualCuts)+e, glpk.Bounds{}); err != nil {
			return err
		}
	}
	return nil
}

// exchanged is the pattern with a piece of the short item in place of one of the long, or only without the long one
// where the pattern would hold more of the short item than is wanted.
func (c *column) exchanged(in *instance, x dualCut) *column {
	out := &column{kind: c.kind}
	has := false
	for _, t := range c.take {
		switch t.Item {
		case x.long:
			t.Quantity--
		case x.short:
			t.Quantity = min(t.Quantity+1, in.maxDemand[x.short])
			has = true
		}
		if t.Quantity > 0 {
			out.take = append(out.take, t)
		}
	}
	if !has {
		out.take = append(out.take, Take{x.short, 1})
	}
	slices.SortFunc(out.take, func(a, b Take) int { return cmp.Compare(a.Item, b.Item) })
	return out
}
