package solver

import (
	"cmp"
	"slices"

	"longpoint/solver/glpk"
)

// exchange says that a piece of item long can be used for one of item short: whatever stick may hold the one may hold
// the other in its place. In the relaxation a column that trades them changes no optimum, and its row in the dual says
// that what is longer is worth no less (Valério de Carvalho, Using extra dual cuts to accelerate column generation,
// INFORMS Journal on Computing 17, 2005). Multipliers that wander less need fewer rounds.
type exchange struct{ long, short int }

// exchanges pairs every wanted item with the next shorter one that can take its place, in order of falling length.
func (in *instance) exchanges() []exchange {
	var order []int
	for i, n := range in.wanted {
		if n > 0 {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(in.length[b], in.length[a]), cmp.Compare(a, b)) })
	var out []exchange
	for t, i := range order {
		for _, j := range order[t+1:] {
			if in.replaces(i, j) {
				out = append(out, exchange{i, j})
				break
			}
		}
	}
	return out
}

// replaces tells whether every kind that may hold item i may hold item j.
func (in *instance) replaces(i, j int) bool {
	for k := range in.room {
		if in.holds(k, i) && !in.holds(k, j) {
			return false
		}
	}
	return true
}

// exchangeColumns are the columns of the exchanges; closed: none can be made.
func (m *master) exchangeColumns(open bool) []glpk.Column {
	rowOf := make(map[int]int, len(m.items))
	for r, i := range m.items {
		rowOf[i] = r
	}
	bounds := glpk.Bounds{Lower: 0, Upper: 0}
	if open {
		bounds.Upper = glpk.Inf
	}
	cols := make([]glpk.Column, len(m.exchanges))
	for e, x := range m.exchanges {
		cols[e] = glpk.Column{Bounds: bounds, Row: []int{rowOf[x.long], rowOf[x.short]}, Value: []float64{-1, 1}}
	}
	return cols
}

// settleExchanges closes the exchanges and adds the columns in which those of the solution are made: the same solution
// without them. They are found in order of falling length, so that what was traded for a piece can itself be traded.
func (m *master) settleExchanges(s *search) error {
	first := m.fixed - len(m.exchanges)
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
		if x := m.x(j); x > nought {
			put(c, x)
		}
	}
	made := len(parts)
	for e, x := range m.exchanges {
		left := m.sol.Value[first+e]
		for at := 0; at < len(holding[x.long]) && left > nought; at++ {
			p := &parts[holding[x.long][at]]
			n := min(left, p.x)
			if n <= nought {
				continue
			}
			left -= n
			p.x -= n
			put(p.c.traded(s.in, x), n)
		}
	}
	var added []*column
	for _, p := range parts[made:] {
		if p.x <= nought {
			continue
		}
		c := p.c
		if known, ok := s.pool[c.key()]; ok {
			c = known
		} else {
			s.pool[c.key()] = c
		}
		if !m.has(c) && !slices.Contains(added, c) {
			added = append(added, c)
		}
	}
	if err := m.closeExchanges(); err != nil {
		return err
	}
	return m.add(added)
}

// closeExchanges lets no more exchanges be made.
func (m *master) closeExchanges() error {
	m.trading = false
	for e := range m.exchanges {
		if err := m.lp.SetColumnBounds(m.fixed-len(m.exchanges)+e, glpk.Bounds{}); err != nil {
			return err
		}
	}
	return nil
}

// traded is the pattern with a piece of one item in place of one of the other, or without it where that makes more of
// it than is wanted.
func (c *column) traded(in *instance, x exchange) *column {
	out := &column{kind: c.kind}
	has := false
	for _, t := range c.take {
		switch t.Item {
		case x.long:
			t.Quantity--
		case x.short:
			t.Quantity = min(t.Quantity+1, in.wanted[x.short])
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
