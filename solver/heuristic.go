package solver

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"sort"
	"time"

	"longpoint/solver/glpk"
)

// guide tells the heuristics what pieces and sticks are worth.
type guide struct {
	worth []int64
	price []float64 // of a stick of each kind, its limit's worth included, in units of worth
	limit []float64 // of that, the limit's worth
	// relaxed says that worth and price are a relaxation's multipliers times the search's scale, so that what is left of
	// a draft costs at least its worth less the limits', and a pattern worth its price is good enough.
	relaxed bool
}

// guideOf reads the guide from a master that is solved. Conditions on how many sticks of a kind may be used at most count
// as limits. Where conditions that ask for sticks leave the pieces worth little, the root's multipliers guide better.
func (s *search) guideOf(m *master) guide {
	g := s.guideAt(m)
	if s.root.m.worth == nil || s.wants(g.worth) > poorShare*s.wants(s.root.m.worth) {
		return g
	}
	g = guide{worth: s.root.m.worth, price: make([]float64, len(s.in.room)), limit: make([]float64, len(s.in.room)), relaxed: true}
	for k, w := range s.root.limitWorth {
		g.limit[k] = float64(w)
		g.price[k] = float64(s.in.cost[k])*float64(s.scale) + g.limit[k]
	}
	return g
}

// poorShare is the share of what all pieces are worth at the root below which a node's worths are poor guides.
const poorShare = 0.8

// wants is what all pieces are worth together.
func (s *search) wants(worth []int64) float64 {
	sum := 0.0
	for i, u := range worth {
		sum += float64(u) * float64(s.in.demand[i])
	}
	return sum
}

// guideAt is the guide that a master's own multipliers give.
func (s *search) guideAt(m *master) guide {
	d := m.duals()
	g := guide{worth: s.integers(d).worth, price: make([]float64, len(d.limit)), limit: make([]float64, len(d.limit)), relaxed: true}
	for r, c := range m.conds {
		switch {
		case d.cond[r] >= 0, c.OnChoice:
		case len(c.Holds) == 0 && !c.AnyKind:
			d.limit[c.Kind] -= d.cond[r]
		default:
			g.relaxed = false
		}
	}
	for k, v := range d.limit {
		g.limit[k] = v * float64(s.scale)
		g.price[k] = float64(s.in.cost[k])*float64(s.scale) + g.limit[k]
	}
	return g
}

// fill completes a draft stick by stick: each time the kind and pattern that hold the most worth for their price, among
// what is still wanted. It reports false when what is left fits no stick that is left, or the cost will reach stopAt.
func (s *search) fill(ctx context.Context, d *draft, g guide, stopAt int64) bool {
	for !d.done() {
		if ctx.Err() != nil || d.cost >= stopAt || s.hopeless(d, g, stopAt) {
			return false
		}
		k, take := s.nextStick(d, g)
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

// hopeless tells whether the guide already says that a draft cannot end below stopAt.
func (s *search) hopeless(d *draft, g guide, stopAt int64) bool {
	if !g.relaxed {
		return false
	}
	left := 0.0
	for i, n := range d.demand {
		left += float64(n) * float64(g.worth[i])
	}
	for k, v := range g.limit {
		if v > 0 {
			left -= v * float64(d.limit[k])
		}
	}
	return d.cost+s.rounded(left/float64(s.scale)) >= stopAt
}

// nextStick picks the stick that fill cuts next.
func (s *search) nextStick(d *draft, g guide) (kind int, take []Take) {
	in := s.in
	bestRate := math.Inf(-1)
	all := false // whether the pick cuts everything that is left
	type cut struct {
		worth int64
		take  []Take
	}
	known := map[int]cut{} // by class
	for k, room := range in.room {
		if d.limit[k] == 0 {
			continue
		}
		best, ok := known[in.class[k]]
		if !ok {
			enough := int64(math.MaxInt64)
			if g.relaxed && in.cost[k] > 0 {
				enough = max(1, int64(g.price[k]-float64(s.scale)*float64(in.maxCost)*nought))
			}
			s.pr.hold(k, 0)
			best.worth, best.take, _ = s.pr.best(room, g.worth, d.demand, 0, enough)
			known[in.class[k]] = best
		}
		if len(best.take) == 0 {
			continue
		}
		var n int64
		for _, x := range best.take {
			n += x.Quantity
		}
		switch whole := n == d.wanted; {
		case whole && (!all || in.cost[k] < in.cost[kind]):
			kind, take, all = k, best.take, true
		case whole || all:
		default:
			// A free stick is as good as one at half the smallest coin.
			rate := float64(best.worth) / max(g.price[k], 0.5)
			if rate > bestRate {
				bestRate, kind, take = rate, k, best.take
			}
		}
	}
	return kind, take
}

// begin gives a first plan at once, whatever the size: stick by stick, of the kind that costs least by length among
// those that the longest piece left fits, the longest pieces first. It may fail where sticks are few.
func (s *search) begin() {
	in := s.in
	if len(in.choices) > 0 {
		return // what sticks there are is not known yet
	}
	order := make([]int, 0, len(in.demand))
	for i, n := range in.demand {
		if n > 0 {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(in.length[b], in.length[a]), cmp.Compare(a, b)) })
	for d := newDraft(in, nil); ; {
		for len(order) > 0 && d.demand[order[0]] == 0 {
			order = order[1:]
		}
		if len(order) == 0 {
			s.offer(d)
			return
		}
		kind := -1
		for k, room := range in.room {
			if d.limit[k] > 0 && in.most(order[0], k) > 0 &&
				(kind < 0 || float64(in.cost[k])/float64(room) < float64(in.cost[kind])/float64(in.room[kind])) {
				kind = k
			}
		}
		if kind < 0 {
			return
		}
		room, times := in.room[kind], d.limit[kind]
		var take []Take
		for _, i := range order {
			if q := min(d.demand[i], room/in.length[i]); q > 0 && in.holds(kind, i) {
				take = append(take, Take{i, q})
				room -= q * in.length[i]
				times = min(times, d.demand[i]/q)
			}
		}
		slices.SortFunc(take, func(a, b Take) int { return cmp.Compare(a.Item, b.Item) })
		d.use(kind, times, take)
	}
}

// correct builds plans one after another, each time raising the worth of the items whose sticks were wasteful
// (sequential value correction: Mukhacheva, Belov, Kartak and Mukhacheva, Pesquisa Operacional 20, 2000). Called again, it
// goes on from the worths that it had come to.
func (s *search) correct(ctx context.Context, rounds int) {
	in := s.in
	if len(in.choices) > 0 {
		return
	}
	const unit = 1 << 20
	longest := 1.0
	for _, l := range in.length {
		longest = max(longest, float64(l))
	}
	if s.corrected == nil {
		s.corrected = make([]float64, len(in.length))
		for i, l := range in.length {
			s.corrected[i] = float64(l) / longest
		}
	}
	value := s.corrected
	g := guide{worth: make([]int64, len(value)), price: make([]float64, len(in.cost))}
	for k, c := range in.cost {
		g.price[k] = float64(c)
	}
	for range rounds {
		if ctx.Err() != nil || s.atBound() {
			return
		}
		for i, v := range value {
			g.worth[i] = max(1, int64(v*unit))
		}
		d := newDraft(in, nil)
		if s.fill(ctx, d, g, math.MaxInt64) {
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
func (s *search) round(ctx context.Context, m *master, tries int) error {
	for spare := range int64(2) {
		base, ok, err := s.draftAt(m, spare)
		if err != nil {
			return err
		}
		if ok {
			s.roundFrom(ctx, m, base, tries)
		}
		if len(s.in.choices) == 0 {
			break
		}
	}
	return nil
}

// roundFrom builds plans from a draft in which nothing is cut yet.
func (s *search) roundFrom(ctx context.Context, m *master, base *draft, tries int) {
	type part struct {
		c *column
		f float64
	}
	g := s.guideOf(m)
	if !g.relaxed {
		return // without its bound on what is left, a draft takes longer than it is worth
	}
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
		if ctx.Err() != nil || s.atBound() || s.hopeless(base, g, s.stopAt()) {
			return
		}
		if n == next {
			tries--
			next += 1 + n/2
			d := base.clone()
			if s.fill(ctx, d, g, s.stopAt()) {
				s.offer(d)
			}
		}
		if n < len(parts) {
			base.cut(parts[n].c, 1)
		}
	}
}

// dive follows the relaxation down: fix what is whole and the column nearest to it, solve what is left by column
// generation again, until all is cut or no better plan can come of it. The master is left as it was found, but for new
// columns.
func (s *search) dive(ctx context.Context, m *master) error {
	before := m.save()
	avoid := map[*column]bool{}
	tries := diveTries
	if s.nodes == 1 {
		tries = rootDives
	}
	if len(s.in.room) > 1 && !slices.ContainsFunc(m.conds, func(c cond) bool { return len(c.Holds) > 0 }) {
		tries = 1 // how many sticks of a kind to use is to be settled first
	}
	for range tries {
		if err := s.follow(ctx, m, avoid); err != nil && !errors.Is(err, errStalled) {
			return err
		}
		if err := m.setDemand(newDraft(s.in, nil)); err != nil {
			return err
		}
		if err := m.restore(before); err != nil {
			return err
		}
		if err := m.solve(ctx, glpk.Primal); err != nil {
			return err
		}
		if s.atBound() {
			break
		}
	}
	return nil
}

// diveTries is how often a dive starts over from the top, each time without the columns that the ones before it rounded
// up first (Sadykov, Vanderbeck, Pessoa, Tahiri and Uchoa, INFORMS Journal on Computing 31, 2019).
// The root's are worth more tries: a plan found there saves the tree. How many was found by trial on the published
// instances.
const diveTries, rootDives = 3, 8

// follow is one dive. It adds the first column that it rounds up alone to avoid, and keeps to those not in it.
func (s *search) follow(ctx context.Context, m *master, avoid map[*column]bool) error {
	d, ok, err := s.draftAt(m, 0)
	if err != nil || !ok {
		return err
	}
	marked := false
	fillAt := d.wanted * 2 / 3 // as so little is left, and again as a third less is, the rest is filled in
	for !d.done() {
		if err := m.setDemand(d); err != nil {
			return err
		}
		if err := s.regenerate(ctx, m, d); err != nil {
			return err
		}
		if d.cost+s.rounded(m.value()-float64(d.paid())) >= s.stopAt() || m.helped() > nought {
			return nil
		}
		type step struct {
			c *column
			n int64
		}
		var steps []step
		best, at := 0.0, -1
		for j, c := range m.cols {
			x := m.x(j)
			n := math.Floor(x + nought)
			if f := x - n; f > diveSure {
				n++
			} else if f > best && !avoid[c] {
				best, at = f, j
			}
			if n >= 1 {
				steps = append(steps, step{c, int64(n)})
			}
		}
		if len(steps) == 0 && at >= 0 {
			steps = append(steps, step{m.cols[at], 1})
			if !marked {
				avoid[m.cols[at]], marked = true, true
			}
		}
		fixed := false
		for _, st := range steps {
			fixed = d.cut(st.c, st.n) || fixed
		}
		if !fixed {
			return nil
		}
		if d.wanted <= fillAt {
			fillAt = d.wanted * 2 / 3
			if g := s.guideOf(m); g.relaxed {
				if rest := d.clone(); s.fill(ctx, rest, g, s.stopAt()) {
					s.offer(rest)
				}
			}
		}
		if s.atBound() {
			return nil
		}
	}
	s.offer(d)
	return nil
}

// diveSure is the remainder above which a dive rounds a column up along with others; where there is none, it rounds up
// the one with the greatest.
const diveSure = 0.8

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
		_, found, _ := s.priceAll(m.conds, s.integers(lp), lp.limit, d.demand, quickStates)
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
		if in.wanted[i] > 0 {
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
	firstRow := len(bounds)
	for _, r := range in.rows {
		bounds = append(bounds, glpk.Bounds{Lower: float64(r.Least) / m.rowUnit, Upper: glpk.Inf})
	}
	if err := lp.AddRows(bounds); err != nil {
		return err
	}
	var list []*column
	var cols []glpk.Column
	for _, c := range in.choices {
		col := glpk.Column{Cost: float64(c.Cost), Bounds: glpk.Bounds{Lower: 0, Upper: float64(c.Most)}}
		put := func(row int, v float64) { col.Row, col.Value = append(col.Row, row), append(col.Value, v) }
		for _, t := range c.Asks {
			if in.wanted[t.Item] > 0 {
				put(rowOf[t.Item], -float64(t.Quantity))
			}
		}
		for _, g := range c.Gives {
			if r, ok := limitRow[g.Kind]; ok {
				put(r, -float64(g.Quantity))
			}
		}
		for _, x := range c.In {
			put(firstRow+x.Row, float64(x.Value)/m.rowUnit)
		}
		cols = append(cols, col)
	}
	for j, c := range m.cols {
		at := m.fixed + j
		if at >= len(m.sol.Reduced) || m.sol.Reduced[at] >= gap {
			continue
		}
		col := glpk.Column{Cost: float64(in.price(c.kind, c.take)), Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}}
		for _, t := range c.take {
			col.Row, col.Value = append(col.Row, rowOf[t.Item]), append(col.Value, float64(t.Quantity))
		}
		if r, ok := limitRow[c.kind]; ok {
			col.Row, col.Value = append(col.Row, r), append(col.Value, 1)
		}
		list, cols = append(list, c), append(cols, col)
	}
	if len(list) == 0 || len(list) > restrictMost {
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
	if st, short, err := lp.Simplex(glpk.Simplex{Time: limit}); err != nil || short != glpk.NotShort || st != glpk.Optimal {
		return nil // only a heuristic: the search goes on without it
	}
	st, err := lp.Branch(limit, restrictNodes)
	if err != nil || st != glpk.Optimal && st != glpk.Feasible {
		return nil
	}
	_, x, err := lp.ReadInteger()
	if err != nil {
		return err
	}
	d := newDraft(in, nil)
	times := make([]int64, len(in.choices))
	for j := range times {
		times[j] = int64(math.Round(x[j]))
	}
	d.choose(times, nil)
	for j, c := range list {
		if n := int64(math.Round(x[len(times)+j])); n > 0 {
			d.cut(c, n)
		}
	}
	if d.done() {
		s.offer(d)
	}
	return nil
}
