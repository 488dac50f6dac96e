package solver

import (
	"container/heap"
	"context"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"sort"
	"time"
)

// search is one run of Solve.
type search struct {
	problem Problem
	in      *instance
	opts    Options
	scale   int64   // multipliers are whole numbers of 1/scale of the problem's money
	biggest float64 // highest price of a helper, in the dearest stick's cost
	pool    map[string]*column
	pr      pricer
	pay     *payable

	lastRound, lastDive int       // the last nodes where plans were looked for
	corrected           []float64 // worth of each item, as correct left it; nil before

	hasPlan  bool
	patterns []Pattern
	times    []int64 // how often each choice is made
	cost     int64
	most     int64 // no plan that needs every stick it may costs more

	cuts      []*countsCut
	root      proof   // the root's bound
	rootValue float64 // of the root's relaxation
	nodes     int
	lower     int64 // payable bound over all open nodes, while the tree is searched
	leaves    []Leaf
	loose     int // leaves closed without a certificate
	stalled   int // leaves given up because GLPK stalled

	serial int // of the last node
}

// node is an open node of the tree. Its bound is its parent's until it is solved.
type node struct {
	conds  []cond
	bound  int64
	proof  proof // its parent's proof, the condition added last having no multiplier
	from   *basis
	cols   []*column
	turns  int // at-most conditions on the way here
	serial int
}

// Solve looks for a cheapest plan and its proof. It ends when the plan is proved, when ctx ends, or at a limit in o.
// A context that ends is not an error: the result then says what is known. Errors are ErrProblem, for numbers that are
// not a problem, or faults of this package or of GLPK.
func Solve(ctx context.Context, p Problem, o Options) (Result, error) {
	if err := p.Validate(); err != nil {
		return Result{}, err
	}
	if o.TimeLimit > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, o.TimeLimit)
		defer cancel()
	}
	s := newSearch(p, o)
	for i, d := range s.in.demand {
		if d > 0 && !s.in.fits(i) {
			return Result{Status: Infeasible, Reason: fmt.Sprintf("item %d, of length %d, fits no stick", i, p.Items[i].Length)}, nil
		}
	}
	if s.in.total == 0 && len(s.in.choices) == 0 && len(s.in.rows) == 0 {
		return s.nothing(), nil
	}
	err := s.run(ctx)
	stopped := ""
	switch {
	case err == nil:
	case errors.Is(err, context.DeadlineExceeded):
		stopped = "the time limit was reached"
	case errors.Is(err, context.Canceled):
		stopped = "the search was interrupted"
	case errors.Is(err, errNodeLimit), errors.Is(err, errStalled):
		stopped = err.Error()
	default:
		return Result{}, err
	}
	if stopped == "" && s.stalled > 0 {
		stopped = fmt.Sprintf("%v in %d of %d nodes", errStalled, s.stalled, s.nodes)
	}
	return s.result(stopped), nil
}

var errNodeLimit = errors.New("the limit on search nodes was reached")

func newSearch(p Problem, o Options) *search {
	in := newInstance(p)
	s := &search{problem: p, in: in, opts: o, pool: map[string]*column{}}
	s.pr.in = in
	// A pattern's worth stays below 2^60 with helpers at 2^headroom times the dearest stick.
	const headroom = 14
	exponent := 60 - bits.Len64(uint64(in.maxCost)) - bits.Len64(uint64(in.pieces)) - headroom - 1
	s.scale = 1 << max(0, min(exponent, 40))
	s.biggest = 1 << headroom
	for k, c := range in.cost {
		if c > 0 && in.ever[k] > (math.MaxInt64-1-s.most)/c {
			s.most = math.MaxInt64 - 1
			break
		}
		s.most += c * in.ever[k]
	}
	for _, c := range in.choices {
		if c.Cost > 0 && c.Most > (math.MaxInt64-1-s.most)/c.Cost {
			s.most = math.MaxInt64 - 1
			break
		}
		s.most += max(0, c.Cost) * c.Most
	}
	s.pay = newPayable(in, 0)
	return s
}

// nothing is the result when nothing is wanted.
func (s *search) nothing() Result {
	return Result{Status: Certified, HasPlan: true, Certificate: Certificate{Scale: 1, Leaves: []Leaf{{
		DualValues: make([]int64, len(s.in.length)), LimitDualValues: make([]int64, len(s.in.room))}}}}
}

// run searches until the plan at hand is proved best or ctx ends.
func (s *search) run(ctx context.Context) error {
	s.begin()
	s.root = s.byLength()
	s.lower = s.pay.up(s.root.bound)
	s.correct(ctx, firstRounds)
	open := &queue{}
	heap.Init(open)
	if err := s.solveRoot(ctx, open); err != nil {
		s.closeOpen(open)
		return err
	}
	for open.Len() > 0 {
		s.lower = (*open)[0].bound
		n := heap.Pop(open).(*node)
		if s.closes(n.bound) {
			s.leaf(n.conds, n.proof)
			continue
		}
		if p, ok := s.repeat(n.conds); ok {
			s.leaf(n.conds, p)
			continue
		}
		p, counts, ok, err := s.recall(ctx, n.conds)
		if err != nil {
			return err
		}
		if ok && p.value > n.proof.value {
			n.proof, n.bound = p, max(n.bound, s.pay.up(p.bound))
			if s.closes(n.bound) {
				s.leaf(n.conds, n.proof)
				continue
			}
			if open.Len() > 0 && (*open)[0].bound < n.bound {
				heap.Push(open, n)
				continue
			}
		}
		if c, broken := s.chooseKind(counts); ok && broken {
			s.splitOn(n, c, open)
			continue
		}
		if s.opts.NodeLimit > 0 && s.nodes >= s.opts.NodeLimit {
			heap.Push(open, n)
			s.closeOpen(open)
			return errNodeLimit
		}
		if err := s.solveNode(ctx, n, open); err != nil {
			heap.Push(open, n)
			s.closeOpen(open)
			return err
		}
	}
	return nil
}

// solveRoot solves the root's relaxation and tries hard for a plan.
func (s *search) solveRoot(ctx context.Context, open *queue) error {
	s.nodes++
	m, err := newMaster(s.in, nil, s.starters(), nil, firstBig, 0)
	if err != nil {
		return err
	}
	defer m.close()
	got, err := s.generate(ctx, m)
	if got.proof.value > s.root.value {
		s.root = got.proof
	}
	if err != nil {
		return err
	}
	s.rootValue = m.value()
	s.lower = s.pay.up(s.root.bound)
	if got.closed {
		s.leaf(nil, s.root)
		return nil
	}
	if !got.helped {
		mixed := s.mixed(m) // then a plan is looked for once the search has settled on a mix
		tries := rootTries
		if mixed {
			tries = nodeTries
		}
		if err := s.round(ctx, m, tries); err != nil {
			return err
		}
		if len(s.in.choices) > 0 && !s.atBound() {
			if err := s.restrict(m, float64(s.root.bound), restrictTime); err != nil {
				return err
			}
		}
		if !s.atBound() && !mixed {
			if err := s.dive(ctx, m); err != nil {
				return err
			}
		}
		if !s.atBound() && !mixed && ctx.Err() == nil {
			s.correct(ctx, rootRounds)
		}
	}
	if s.closes(s.root.bound) {
		s.leaf(nil, s.root)
		return nil
	}
	return s.branch(&node{proof: s.root, bound: s.pay.up(s.root.bound)}, m, got, open)
}

// A dive is made diveEvery nodes after the last; at nodes that only choose how many sticks of a kind are used, where
// bounds do the work, diveEveryOfKinds nodes after it, and at the first diveFirst. Rounding is tried at the first nodes
// too, and roundEvery nodes after the last.
const diveFirst, diveEvery, diveEveryOfKinds, roundEvery = 8, 5, 20, 5

// After proofAfter nodes the search is more likely after a proof than after a plan: no more rounding, and dives so many
// times rarer.
const proofAfter, proofRarer = 200, 8

// try looks for a plan at a node that is solved, where it is time to.
func (s *search) try(ctx context.Context, m *master, n *node) error {
	if s.nodes <= diveFirst || s.nodes >= s.lastRound+roundEvery && s.nodes <= proofAfter {
		s.lastRound = s.nodes
		if err := s.round(ctx, m, nodeTries); err != nil {
			return err
		}
	}
	every := diveEvery
	if s.nodes > proofAfter {
		every *= proofRarer
	}
	if s.closes(n.bound) || s.nodes > diveFirst && s.nodes < s.lastDive+every {
		return nil
	}
	s.lastDive = s.nodes
	return s.dive(ctx, m)
}

// How many plans are built from a relaxed solution, and how often worths are corrected before the root and after it.
const rootTries, nodeTries, firstRounds, rootRounds = 12, 3, 3, 7

// GLPK's branch and bound may look once for a better plan among the columns at hand, if they are at most restrictMost,
// when the tree has grown to restrictAfter nodes. It may have a tree of restrictNodes itself, for at most restrictTime.
const (
	restrictMost  = 800
	restrictAfter = 60
	restrictEvery = 10 // where there are choices, which drafts make less well
	restrictNodes = 60
	restrictTime  = 300 * time.Millisecond
)

// solveNode solves a node below the root.
func (s *search) solveNode(ctx context.Context, n *node, open *queue) error {
	s.nodes++
	m, err := newMaster(s.in, n.conds, n.cols, n.from, firstBig, surplusCost)
	if err != nil {
		return err
	}
	defer m.close()
	got, err := s.generate(ctx, m)
	if errors.Is(err, errStalled) {
		// Nothing is known of this node but its parent's bound: it stays open to the end.
		s.stalled++
		s.leaf(n.conds, n.proof)
		return nil
	}
	if err != nil {
		return err
	}
	if got.closed {
		s.leaf(n.conds, got.proof)
		return nil
	}
	if got.proof.bound > n.bound || got.proof.value > n.proof.value {
		n.proof = got.proof
	}
	n.bound = max(n.bound, s.pay.up(n.proof.bound))
	if !got.helped {
		if err := s.try(ctx, m, n); err != nil {
			return err
		}
	}
	if (s.nodes == restrictAfter || len(s.in.choices) > 0 && s.nodes%restrictEvery == 0) && !got.helped {
		if err := s.restrict(m, float64(n.bound), restrictTime); err != nil {
			return err
		}
	}
	if s.closes(n.bound) {
		s.leaf(n.conds, n.proof)
		return nil
	}
	return s.branch(n, m, got, open)
}

// branch splits a node that is solved in two, on what is broken in its relaxation.
func (s *search) branch(n *node, m *master, got relaxed, open *queue) error {
	c, ok := s.choose(m)
	if !ok && (got.helped || m.helped() > nought) {
		c, ok = s.chooseOpen(n, m) // the choices made are not allowed together, but others may be
	}
	if !ok {
		// The relaxed solution is whole: it is a plan, unless it leans on helpers, and then there is none here.
		if !got.helped && m.helped() <= nought {
			d := newDraft(s.in, nil)
			times := make([]int64, len(s.in.choices))
			for j := range times {
				times[j] = int64(math.Round(m.times(j)))
			}
			d.choose(times, nil)
			for j, c := range m.cols {
				if x := int64(math.Round(m.x(j))); x > 0 {
					d.cut(c, x)
				}
			}
			if d.done() {
				s.offer(d)
			} else {
				s.stalled++ // a whole solution that is no plan: the LP's numbers are not to be trusted here
			}
		}
		if !s.closes(n.proof.bound) {
			s.loose++
		}
		s.leaf(n.conds, n.proof)
		return nil
	}
	n.from, n.cols = m.save(), append([]*column(nil), m.cols...)
	s.splitOn(n, c, open)
	return nil
}

// splitOn opens a node's two sides: at most c's bound, and more.
func (s *search) splitOn(n *node, c cond, open *queue) {
	bound := s.pay.up(n.proof.bound)
	for _, least := range []bool{false, true} {
		d := c
		d.AtLeast = least
		if least {
			d.Bound++
		}
		child := &node{
			conds: append(append([]cond(nil), n.conds...), d),
			bound: max(bound, n.bound),
			proof: n.proof.extended(),
			from:  n.from,
			cols:  n.cols,
			turns: n.turns,
		}
		if !least {
			child.turns++
		}
		s.serial++
		child.serial = s.serial
		heap.Push(open, child)
	}
}

// extended is the proof with one more condition, which it does not use.
func (p proof) extended() proof {
	p.m.cond = append(append([]int64(nil), p.m.cond...), 0)
	return p
}

// leaf records a closed node.
func (s *search) leaf(conds []cond, p proof) {
	l := Leaf{DualValues: p.m.worth, LimitDualValues: p.limitWorth, RowDualValues: p.m.row, Branch: append([]cond(nil), conds...)}
	for r := range l.Branch {
		l.Branch[r].DualValue = p.m.cond[r]
	}
	s.leaves = append(s.leaves, l)
}

// closeOpen records the open nodes as leaves when the search stops early, each with the best bound it has.
func (s *search) closeOpen(open *queue) {
	if open.Len() == 0 {
		return
	}
	s.lower = (*open)[0].bound
	for _, n := range *open {
		s.lower = min(s.lower, n.bound)
		s.leaf(n.conds, n.proof)
	}
}

// offer takes a finished draft as the plan, if it is cheaper than the one at hand.
func (s *search) offer(d *draft) {
	if !d.done() || !s.refit(d) || s.hasPlan && d.cost >= s.cost {
		return
	}
	s.hasPlan, s.cost, s.patterns, s.times = true, d.cost, tidy(d.patterns), d.times
	for _, p := range s.patterns {
		c := &column{p.Kind, p.Take}
		if key := c.key(); s.pool[key] == nil {
			s.pool[key] = c
		}
	}
	s.pay = newPayable(s.in, d.cost)
	s.tell()
}

// stopAt is the cost from which on a plan is no better than the one at hand.
func (s *search) stopAt() int64 {
	if s.hasPlan {
		return s.cost
	}
	return math.MaxInt64
}

// closes tells whether a bound leaves no room for a better plan, or none that is asked for.
func (s *search) closes(bound int64) bool {
	if s.hasPlan {
		return s.pay.up(bound) >= s.cost || s.opts.Cutoff > 0 && s.pay.up(bound) >= s.opts.Cutoff
	}
	return bound > s.most
}

// atBound tells whether the plan at hand costs what the root's bound says it must.
func (s *search) atBound() bool { return s.hasPlan && s.closes(s.root.bound) }

// starters are the columns to begin with: sticks filled with one length, and the plan at hand.
func (s *search) starters() []*column {
	var out []*column
	for k := range s.in.room {
		if s.in.ever[k] == 0 {
			continue
		}
		for i := range s.in.wanted {
			if n := s.in.most(i, k); n > 0 {
				c := &column{k, []Take{{i, n}}}
				if key := c.key(); s.pool[key] == nil {
					s.pool[key] = c
				}
			}
		}
	}
	for _, p := range s.patterns {
		c := &column{p.Kind, p.Take}
		if key := c.key(); s.pool[key] == nil {
			s.pool[key] = c
		}
	}
	keys := make([]string, 0, len(s.pool))
	for key := range s.pool {
		keys = append(keys, key)
	}
	sort.Strings(keys)
	for _, key := range keys {
		out = append(out, s.pool[key])
	}
	return out
}

// report notes a better bound of the node being solved; only the root's moves the bound of the whole.
func (s *search) report(conds []cond, p proof) {
	if len(conds) == 0 && p.value > s.root.value {
		s.root = p
		s.lower = max(s.lower, s.pay.up(p.bound))
		s.tell()
	}
}

func (s *search) tell() {
	if s.opts.Progress != nil {
		s.opts.Progress(Progress{s.hasPlan, s.cost, s.lower, len(s.pool), s.nodes})
	}
}

// result sums up. stopped says why the search did not end of itself, or is empty.
func (s *search) result(stopped string) Result {
	if s.opts.Cutoff > 0 {
		if stopped == "" && s.hasPlan {
			stopped = "the bound is as high as was asked"
		}
		s.lower = min(s.lower, s.opts.Cutoff) // leaves are closed there
	}
	r := Result{HasPlan: s.hasPlan, Patterns: s.patterns, Choices: s.times, Cost: s.cost, RootBound: s.rootValue, Columns: len(s.pool), Nodes: s.nodes, Reason: stopped}
	if !s.hasPlan {
		r.Patterns, r.Choices, r.Cost = nil, nil, 0
		if stopped == "" {
			r.Status = Infeasible
			r.Reason = "there are not enough sticks"
			r.LowerBound = s.lower
			return r
		}
		r.Certificate, r.CertifiedBound = s.certificate()
		r.LowerBound = max(s.lower, r.CertifiedBound)
		return r
	}
	r.Certificate, r.CertifiedBound = s.certificate()
	switch {
	case r.CertifiedBound >= s.cost:
		r.Status, r.LowerBound, r.Reason = Certified, s.cost, ""
	case stopped == "":
		r.Status, r.LowerBound = Searched, s.cost
		r.Reason = fmt.Sprintf("%d of %d leaves of the search have no certificate", s.loose, len(s.leaves))
	default:
		r.Status, r.LowerBound = Stopped, min(s.cost, max(s.lower, r.CertifiedBound))
	}
	return r
}

// certificate gives the tree's leaves, or the root's multipliers alone where the tree proves no more, and the cost they
// prove.
func (s *search) certificate() (Certificate, int64) {
	tree, most := int64(math.MaxInt64), s.most
	if s.hasPlan {
		most = s.cost
	}
	for _, l := range s.leaves {
		bound, _ := s.boundOf(multipliers{l.DualValues, worths(l.Branch), l.RowDualValues}, l.LimitDualValues, l.Branch)
		tree = min(tree, s.pay.up(bound))
	}
	if s.root.m.worth == nil {
		zero := Leaf{DualValues: make([]int64, len(s.in.length)), LimitDualValues: make([]int64, len(s.in.room)),
			RowDualValues: make([]int64, len(s.in.rows))}
		return Certificate{Scale: s.scale, Leaves: []Leaf{zero}}, s.in.floor
	}
	root := s.pay.up(s.root.bound)
	if len(s.leaves) == 0 || tree <= root {
		return Certificate{Scale: s.scale, Leaves: []Leaf{{DualValues: s.root.m.worth, LimitDualValues: s.root.limitWorth, RowDualValues: s.root.m.row}}}, min(root, most)
	}
	return Certificate{Scale: s.scale, Leaves: s.leaves}, min(tree, most)
}

// worths lists the conditions' multipliers.
func worths(conds []cond) []int64 {
	out := make([]int64, len(conds))
	for r, c := range conds {
		out[r] = c.DualValue
	}
	return out
}

// queue is the open nodes: lowest bound first; among equal bounds the one that has turned away least often from the
// at-least side, which is the side that builds a plan (limited discrepancy search: Harvey and Ginsberg, IJCAI 1995);
// then the deepest.
type queue []*node

func (q queue) Len() int { return len(q) }
func (q queue) Less(a, b int) bool {
	if q[a].bound != q[b].bound {
		return q[a].bound < q[b].bound
	}
	if q[a].turns != q[b].turns {
		return q[a].turns < q[b].turns
	}
	if len(q[a].conds) != len(q[b].conds) {
		return len(q[a].conds) > len(q[b].conds)
	}
	return q[a].serial > q[b].serial
}
func (q queue) Swap(a, b int) { q[a], q[b] = q[b], q[a] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*node)) }
func (q *queue) Pop() any {
	old := *q
	n := old[len(old)-1]
	old[len(old)-1] = nil
	*q = old[:len(old)-1]
	return n
}
