package solver

import (
	"context"
	"math"
	"sort"
	"time"

	"longpoint/solver/glpk"
)

// fill completes a draft stick by stick: each time the kind and pattern that hold the most worth for their cost, among
// what is still wanted. Where worths are the relaxation's multipliers times scale, a pattern worth what it costs is good
// enough; scale 0 says that they are not. It reports false when what is left fits no stick that is left, or the cost
// reaches stopAt.
func (s *search) fill(ctx context.Context, d *draft, worth []int64, scale, stopAt int64) bool {
	for !d.done() {
		if ctx.Err() != nil || d.cost >= stopAt || scale > 0 && s.hopeless(d, worth, stopAt) {
			return false
		}
		k, take := s.nextStick(d, worth, scale)
		if len(take) == 0 {
			return false
		}
		times := d.limit[k]
		for _, t := range take {
			times = min(times, d.demand[t.Item]/t.Quantity)
		}
		d.use(k, times, take)
	}
	return d.cost < stopAt
}

// hopeless tells whether the relaxation's multipliers already say that a draft cannot end below stopAt: what is left to
// cut costs at least its worth, as far as limits do not matter.
func (s *search) hopeless(d *draft, worth []int64, stopAt int64) bool {
	left := 0.0
	for i, n := range d.demand {
		left += float64(n) * float64(worth[i])
	}
	for k, limited := range s.in.limited {
		if limited && d.limit[k] > 0 {
			return false
		}
	}
	return d.cost+s.rounded(left/float64(s.scale)) >= stopAt
}

// nextStick picks the stick that fill cuts next.
func (s *search) nextStick(d *draft, worth []int64, scale int64) (kind int, take []Take) {
	in := s.in
	bestRate := math.Inf(-1)
	all := false // whether the pick cuts everything that is left
	for k := range in.room {
		if d.limit[k] == 0 {
			continue
		}
		enough := int64(math.MaxInt64)
		if scale > 0 && !in.limited[k] && in.cost[k] > 0 {
			enough = scale*in.cost[k] - int64(float64(scale)*float64(in.maxCost)*nought)
		}
		w, t, ok := s.pr.best(in.room[k], worth, d.demand, 0, max(1, enough))
		if !ok {
			continue
		}
		var n int64
		for _, x := range t {
			n += x.Quantity
		}
		switch whole := n == d.wanted; {
		case whole && (!all || in.cost[k] < in.cost[kind]):
			kind, take, all = k, t, true
		case whole || all:
		default:
			rate := float64(w) / max(float64(in.cost[k]), 0.5)
			if rate > bestRate {
				bestRate, kind, take = rate, k, t
			}
		}
	}
	return kind, take
}

// correct builds plans one after another, each time raising the worth of the items whose sticks were wasteful
// (sequential value correction: Mukhacheva, Belov, Kartak and Mukhacheva, Pesquisa Operacional 20, 2000).
func (s *search) correct(ctx context.Context, rounds int) {
	in := s.in
	value := make([]float64, len(in.length))
	const unit = 1 << 20
	longest := 1.0
	for i := range value {
		longest = max(longest, float64(in.length[i]))
	}
	for i, l := range in.length {
		value[i] = float64(l) / longest
	}
	worth := make([]int64, len(value))
	for range rounds {
		if ctx.Err() != nil || s.atBound() {
			return
		}
		for i, v := range value {
			worth[i] = max(1, int64(v*unit))
		}
		d := newDraft(in, nil)
		if s.fill(ctx, d, worth, 0, math.MaxInt64) {
			s.offer(d)
		}
		for _, p := range d.patterns {
			var used float64
			for _, t := range p.Take {
				used += float64(t.Quantity) * float64(in.length[t.Item])
			}
			stretch := float64(in.room[p.Kind]) / used
			for _, t := range p.Take {
				base := math.Pow(float64(in.length[t.Item])/longest, 1.03)
				value[t.Item] = 0.5*value[t.Item] + 0.5*base*min(stretch, 3)
			}
		}
	}
}

// round builds plans from a relaxed solution: the whole part of every column, then one more of the columns with the
// greatest remainders, more and more of them, and fill for the rest; so many tries.
func (s *search) round(ctx context.Context, m *master, worth []int64, tries int) {
	type part struct {
		c *column
		f float64
	}
	base := newDraft(s.in, m.conds)
	var parts []part
	for j, c := range m.cols {
		x := m.x(j)
		whole := math.Floor(x + nought)
		if whole >= 1 {
			base.cut(c, int64(whole))
		}
		if f := x - whole; f > nought {
			parts = append(parts, part{c, f})
		}
	}
	sort.SliceStable(parts, func(a, b int) bool { return parts[a].f > parts[b].f })
	next := 0
	for n := 0; n <= len(parts) && tries > 0; n++ {
		if ctx.Err() != nil || s.atBound() || s.hopeless(base, worth, s.stopAt()) {
			return
		}
		if n == next {
			tries--
			next += 1 + n/2
			d := base.clone()
			if s.fill(ctx, d, worth, s.scale, s.stopAt()) {
				s.offer(d)
			}
		}
		if n < len(parts) {
			base.cut(parts[n].c, 1)
		}
	}
}

// dive follows the relaxation down: fix what is whole and the column nearest to it, solve what is left by column
// generation again, until all is cut or no better plan can come of it. It leaves the master with other demands.
func (s *search) dive(ctx context.Context, m *master) error {
	d := newDraft(s.in, m.conds)
	for !d.done() {
		if err := m.setDemand(d); err != nil {
			return err
		}
		if err := s.regenerate(ctx, m, d); err != nil {
			return err
		}
		if d.cost+s.rounded(m.value()) >= s.stopAt() || m.helped() > nought {
			return nil
		}
		best, at := 0.0, -1
		fixed := false
		type whole struct {
			c *column
			n int64
		}
		var list []whole
		for j, c := range m.cols {
			x := m.x(j)
			if n := math.Floor(x + nought); n >= 1 {
				list = append(list, whole{c, int64(n)})
			}
			if f := x - math.Floor(x+nought); f > best {
				best, at = f, j
			}
		}
		for _, w := range list {
			fixed = d.cut(w.c, w.n) || fixed
		}
		if at >= 0 && (!fixed || best > 0.7) {
			fixed = d.cut(m.cols[at], 1) || fixed
		}
		if !fixed {
			return nil
		}
		worth := s.integers(m.duals()).worth
		if rest := d.clone(); s.fill(ctx, rest, worth, s.scale, s.stopAt()) {
			s.offer(rest)
		}
		if s.atBound() {
			return nil
		}
	}
	s.offer(d)
	return nil
}

// regenerate solves the relaxation of what a dive has left, in a few rounds.
func (s *search) regenerate(ctx context.Context, m *master, d *draft) error {
	const rounds = 12
	method := glpk.Dual
	for range rounds {
		if err := m.solve(ctx, method); err != nil {
			return err
		}
		method = glpk.Primal
		lp := m.duals()
		_, found := s.priceAll(m.conds, s.integers(lp), lp.limit, d.demand)
		added := s.fresh(m, found, lp)
		if len(added) == 0 {
			return nil
		}
		if err := m.add(added); err != nil {
			return err
		}
	}
	return m.solve(ctx, method)
}

// restrict lets GLPK's branch and bound choose among the columns at hand, those whose reduced cost leaves room for a
// better plan, for a short while.
func (s *search) restrict(m *master, bound float64, limit time.Duration) error {
	in := s.in
	gap := (float64(s.stopAt()) - bound) / m.unit
	lp, err := glpk.Open()
	if err != nil {
		return err
	}
	defer lp.Close()
	var bounds []glpk.Bounds
	rowOf := map[int]int{}
	for i, d := range in.demand {
		if d > 0 {
			rowOf[i] = len(bounds)
			bounds = append(bounds, glpk.Bounds{Lower: float64(d), Upper: glpk.Inf})
		}
	}
	limitRow := map[int]int{}
	for k, limited := range in.limited {
		if limited {
			limitRow[k] = len(bounds)
			bounds = append(bounds, glpk.Bounds{Lower: -glpk.Inf, Upper: float64(in.limit[k])})
		}
	}
	if err := lp.AddRows(bounds); err != nil {
		return err
	}
	var list []*column
	var cols []glpk.Column
	for j, c := range m.cols {
		at := m.helpers + j
		if at >= len(m.sol.Reduced) || m.sol.Reduced[at] >= gap {
			continue
		}
		col := glpk.Column{Cost: float64(in.cost[c.kind]), Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}}
		for _, t := range c.take {
			col.Row, col.Value = append(col.Row, rowOf[t.Item]), append(col.Value, float64(t.Quantity))
		}
		if r, ok := limitRow[c.kind]; ok {
			col.Row, col.Value = append(col.Row, r), append(col.Value, 1)
		}
		list, cols = append(list, c), append(cols, col)
	}
	if len(cols) == 0 || len(cols) > s.restrictMost {
		return nil
	}
	if err := lp.AddColumns(cols); err != nil {
		return err
	}
	for j := range cols {
		if err := lp.SetInteger(j); err != nil {
			return err
		}
	}
	if st, late, err := lp.Simplex(glpk.Primal, limit); err != nil || late || st != glpk.Optimal {
		return nil // only a heuristic: the search goes on without it
	}
	st, err := lp.Branch(limit)
	if err != nil || st != glpk.Optimal && st != glpk.Feasible {
		return nil
	}
	_, x, err := lp.ReadInteger()
	if err != nil {
		return err
	}
	d := newDraft(in, nil)
	for j, c := range list {
		if n := int64(math.Round(x[j])); n > 0 {
			d.cut(c, n)
		}
	}
	if d.done() {
		s.offer(d)
	}
	return nil
}
