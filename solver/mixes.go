package solver

import (
	"container/heap"
	"context"
	"slices"
)

// mixes is an exact search over the numbers of sticks of each kind, in place of branching on them, for problems without choices and credits. It prices the
// cheapest mix that satisfies all cuts. Either that gives cuts which exclude the mix, or the mix is left to a tree of its own, in which what sticks hold is
// branched on. Where no mix is left at a cost, the bound rises (combinatorial Benders cuts: G. Codato, M. Fischetti, Operations Research 54, 2006).
type mixes struct {
	s      *search
	all    enumeration
	groups []*mixGroup
	lower  int64     // all mixes that cost less are excluded by rows or in a group
	from   *basis    // the last mix's
	cols   []*column // the last mix's
	ended  bool      // there are too many mixes; the tree goes on
}

// mixGroup is a mix that no cut excludes, with its tree.
type mixGroup struct {
	mix    []int64
	cost   int64
	open   nodeQueue
	closed []closedNode
	nodes  int
}

const (
	mixKinds   = 24 // with more kinds there are too many mixes
	mixFresh   = 5  // so many of the cuts that a mix gives are kept at most
	mixPending = 6  // groups with open nodes before one of them is gone on with
	mixTurn    = 10 // nodes of a group before another has its turn
)

// mixable tells whether the problem's mixes can be searched.
func (s *search) mixable() bool {
	kinds := 0
	for _, most := range s.in.maxLimit {
		if most > 0 {
			kinds++
		}
	}
	return kinds > 1 && kinds <= mixKinds && len(s.in.choices) == 0 && !s.in.credits && s.hasPlan && len(s.cuts) > 0
}

// newMixes begins with the cuts and the tree's first node.
func newMixes(s *search) *mixes {
	x := &mixes{s: s, all: enumeration{s: s}, lower: s.lower, from: s.open[0].from, cols: s.open[0].cols}
	for _, c := range s.cuts {
		x.all.addRow(c)
	}
	return x
}

// mixing tells whether the mixes are searched.
func (s *search) mixing() bool { return s.mixes != nil && !s.mixes.ended }

// searchMixes searches until the incumbent is proved optimal. It reports false where there are too many mixes.
func (s *search) searchMixes(ctx context.Context) (done bool, err error) {
	if err := s.nodeLimit(); err != nil {
		return false, err
	}
	if s.mixes == nil {
		s.mixes = newMixes(s)
	}
	for x := s.mixes; ; {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		pending, many := x.pending()
		s.lower = x.lower
		if pending != nil {
			s.lower = min(s.lower, pending.cost)
		}
		switch {
		case s.lower >= s.goal():
			return true, nil
		case pending != nil && (many || x.lower > pending.cost):
			err = x.work(ctx, pending)
		default:
			var mix []int64
			var ok bool
			if mix, ok, err = x.next(ctx, pending); err == nil && !ok {
				x.ended, x.all, x.groups = true, enumeration{}, nil
				return false, nil
			}
			if err == nil && mix != nil {
				err = x.price(ctx, mix)
			}
		}
		if err != nil {
			return false, err
		}
	}
}

// nodeLimit is the error of a search that may have no more nodes.
func (s *search) nodeLimit() error {
	if s.opts.NodeLimit > 0 && s.nodes >= s.opts.NodeLimit {
		return errNodeLimit
	}
	return nil
}

// goal is the cost from which on nothing is looked for.
func (s *search) goal() int64 {
	goal := s.upperBound()
	if s.opts.Cutoff > 0 {
		goal = min(goal, s.opts.Cutoff)
	}
	return goal
}

// pending is the group of least cost that has open nodes, of these the one with the fewest, and whether there are many of that cost. Nil: there is none.
func (x *mixes) pending() (best *mixGroup, many bool) {
	n := 0
	for _, g := range x.groups {
		switch {
		case g.open.Len() == 0:
			continue
		case best == nil || g.cost < best.cost:
			best, n = g, 0
		case g.cost == best.cost && g.nodes < best.nodes:
			best = g
		}
		if g.cost == best.cost {
			n++
		}
	}
	return best, n >= mixPending
}

// next looks for the cheapest mix that is not excluded and raises lower to its cost. It goes up cost by cost, in steps that double. Nil: there is none below the goal
// or the pending group's cost. It reports false where there are too many.
func (x *mixes) next(ctx context.Context, pending *mixGroup) (mix []int64, ok bool, err error) {
	s := x.s
	x.all.out = nil
	for _, g := range x.groups {
		x.all.out = append(x.all.out, g.mix)
	}
	for step := 0; x.lower < s.goal() && (pending == nil || x.lower <= pending.cost); step = max(1, 2*step) {
		level := x.lower
		for n := 0; n < step && level < s.goal()-1; n++ {
			level = min(s.payable.roundUp(level+1), s.goal()-1)
		}
		mix, ok, err := x.all.cheapest(ctx, level, x.lower)
		if err != nil || !ok {
			return nil, false, err
		}
		if mix != nil {
			x.raise(x.all.cost)
			return mix, true, nil
		}
		x.raise(min(s.payable.roundUp(level+1), s.goal()))
	}
	return nil, true, nil
}

// raise raises lower after an enumeration and keeps the rows that it takes to prove it.
func (x *mixes) raise(lower int64) {
	if lower <= x.lower {
		return
	}
	x.lower = lower
	for _, r := range x.all.rows {
		r.kept = r.used
	}
}

// price solves the relaxation of a mix.
func (x *mixes) price(ctx context.Context, mix []int64) error {
	s := x.s
	if err := s.nodeLimit(); err != nil {
		return err
	}
	g := &mixGroup{mix: mix, cost: x.all.cost}
	n := &node{bound: g.cost, proof: s.root, from: x.from, cols: x.cols}
	for k, m := range mix {
		n.conds = append(n.conds, Condition{Kind: k, Bound: m})
		n.proof = n.proof.withCondition()
	}
	before := len(x.all.rows)
	if err := x.solve(ctx, g, n); err != nil {
		return err
	}
	if n.from != nil {
		x.from, x.cols = n.from, n.cols
	}
	fresh := slices.DeleteFunc(slices.Clone(x.all.rows[before:]), func(r *mixRow) bool { return !r.excludes(mix) })
	x.all.rows = append(x.all.rows[:before], fresh[max(0, len(fresh)-mixFresh):]...)
	if g.open.Len() > 0 || len(fresh) == 0 {
		x.groups = append(x.groups, g)
	}
	return nil
}

// solve solves a node of a group.
func (x *mixes) solve(ctx context.Context, g *mixGroup, n *node) error {
	s := x.s
	g.nodes++
	others := s.closed
	s.closed = nil
	err := s.solveNode(ctx, n, &g.open)
	g.closed = append(g.closed, s.closed...)
	s.closed = others
	return err
}

// work goes on with a group's tree.
func (x *mixes) work(ctx context.Context, g *mixGroup) error {
	s := x.s
	for turn := 0; turn < mixTurn && g.open.Len() > 0 && g.cost < s.goal(); turn++ {
		n := heap.Pop(&g.open).(*node)
		if s.prunes(n.proof.bound) {
			g.closed = append(g.closed, closedNode{conds: n.conds, proof: n.proof})
			continue
		}
		err := s.nodeLimit()
		if err == nil {
			err = x.solve(ctx, g, n)
		}
		if err != nil {
			heap.Push(&g.open, n)
			return err
		}
	}
	return nil
}

// proves tells whether a group's leaves prove that it has no plan below the goal.
func (x *mixes) proves(g *mixGroup) bool {
	return g.open.Len() == 0 && !slices.ContainsFunc(g.closed, func(c closedNode) bool { return x.s.payable.roundUp(c.proof.bound) < x.s.goal() })
}

// certificate gives the rows that exclude all mixes below a bound, and the leaves of those that they do not exclude. It reports false where that proves no more than the root.
func (x *mixes) certificate() (Certificate, int64, bool) {
	s := x.s
	bound := min(x.lower, s.goal())
	for _, g := range x.groups {
		if !x.proves(g) {
			bound = min(bound, g.cost)
		}
	}
	if bound <= s.payable.roundUp(s.root.bound) {
		return Certificate{}, 0, false
	}
	out := Certificate{Scale: s.scale, Mixes: &Mixes{Bound: bound}}
	x.all.out = nil
	for _, g := range x.groups {
		if g.cost >= bound {
			continue
		}
		x.all.out = append(x.all.out, g.mix)
		for _, c := range g.closed {
			out.Leaves = append(out.Leaves, leafOf(c.conds, c.proof))
		}
	}
	if mix, ok, err := x.all.cheapest(context.Background(), bound-1, 0); mix != nil || !ok || err != nil {
		return Certificate{}, 0, false
	}
	out.Mixes.Order = slices.Clone(x.all.order)
	for _, r := range x.all.rows {
		if r.used {
			out.Mixes.Cuts = append(out.Mixes.Cuts, Cut{r.cut.duals, r.cut.coefficient})
		}
	}
	return out, bound, true
}
