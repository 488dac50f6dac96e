package solver

import (
	"container/heap"
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/bits"
	"slices"
	"time"
)

// search is one run of Solve.
type search struct {
	problem    Problem
	in         *instance
	opts       Options
	scale      int64   // dual values are whole numbers of 1/scale of the problem's money
	maxPenalty float64 // highest cost of an artificial column, in the dearest stick's cost
	pool       map[string]*column
	exchanged  exchanged
	pricer     pricer
	payable    *payable
	fillings   *fillings // nil: none

	decimations         uint64    // how many were made
	lastRound, lastDive int       // the nodes at which these heuristics last ran
	correctedValues     []float64 // of correctValues, one per item; nil before it ran

	hasPlan     bool
	patterns    []Pattern
	times       []int64 // how often each choice is made
	cost        int64
	maxPlanCost int64 // no plan costs more, whatever sticks it uses

	cuts        []*bendersCut
	mixes       *mixes      // nil: not searched for
	cutLP       *cutProgram // nil: none
	closingFor  int64       // what closing is for
	closing     int64       // see closingBound
	root        proof       // the root's bound
	rootValue   float64     // of the root's relaxation
	rootColumns []*column   // with which it ended
	rootMix     []float64   // and how many sticks of each kind it uses
	nodes       int
	lower       int64 // payable bound over all open nodes
	closed      []closedNode
	uncertified int // leaves that were closed without a certificate
	stalled     int // leaves that were given up because GLPK stalled

	end      time.Time // of the run; zero: there is none
	patient  bool      // nothing from outside can end the run
	next     *node     // the child that a plunge or a descent goes on with; nil: it ends
	unpriced int       // nodes branched on by cuts alone since the last one was priced
	plunging bool
	open     nodeQueue
	started  bool // there is a first plan and a first bound
	rootDone bool // the root is solved and branched on

	serial int // of the last node

	learned   []pseudoCost // by choice, kind, credits of each kind, and a place for those of all, which is not used; nil: nothing yet
	learnedOf [groups]pseudoCost
}

// closedNode is a leaf of the tree.
type closedNode struct {
	conds []Condition
	proof proof
	final bool // it was closed without a proof, and stays closed
}

// node is an open node of the tree. Its bound is its parent's until it is solved.
type node struct {
	conds         []Condition
	bound         int64
	proof         proof // its parent's; the dual value of the condition added last is 0
	from          *basis
	cols          []*column
	discrepancies int     // at-most conditions on the way to it
	distance      float64 // from its last condition's bound to the number that its parent's relaxation had; 0: not known
	serial        int
}

// Solve looks for a cheapest plan and its proof. It ends when the plan is proved, when ctx ends, or at a limit in o.
//
// A context that ends and a limit that is reached are no errors: the result then has the incumbent, the bound and the
// reason. Errors are ErrProblem, for numbers that are not a problem, and faults of this package or of GLPK
// (glpk.ErrFault).
func Solve(ctx context.Context, p Problem, o Options) (Result, error) {
	s, err := NewSearch(p)
	if err != nil {
		return Result{}, err
	}
	return s.Run(ctx, o)
}

// Search is a search that can be stopped and gone on with. It is for one goroutine at a time.
type Search struct {
	s     *search
	known *Result     // nil: it must be searched for
	root  rootColumns // once the root is solved
}

// NewSearch begins a search for a cheapest plan and its proof. Its error is ErrProblem.
func NewSearch(p Problem) (*Search, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	s := newSearch(p, Options{})
	for i, d := range s.in.demand {
		if d > 0 && !s.in.fitsSomewhere(i) {
			return &Search{known: &Result{Status: Infeasible, Reason: fmt.Sprintf("item %d, of length %d, fits no stick", i, p.Items[i].Length)}}, nil
		}
	}
	if s.in.totalDemand == 0 && len(s.in.choices) == 0 && len(s.in.rows) == 0 {
		r := s.emptyResult()
		return &Search{known: &r}, nil
	}
	return &Search{s: s}, nil
}

// Run goes on with the search until it is done, ctx ends, or a limit in o is reached, which is one of this run. What it returns, and what is an
// error, is as for Solve; after an error the search is of no use. A search that is done gives its result again. Where ctx ends with a cause of
// its own (context.Cause), that is the reason.
func (x *Search) Run(ctx context.Context, o Options) (Result, error) {
	if x.known != nil {
		return *x.known, nil
	}
	s := x.s
	if o.TimeLimit > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, o.TimeLimit)
		defer cancel()
	}
	s.opts = o
	s.end, _ = ctx.Deadline()
	s.patient = ctx.Done() == nil
	if o.NodeLimit > 0 {
		s.opts.NodeLimit += s.nodes
	}
	s.reopen()
	defer s.closeCutProgram()
	err := s.branchAndPrice(ctx)
	x.root = rootColumns{s.problem, s.rootColumns}
	stopped, unfinished := "", false
	switch {
	case err == nil:
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		stopped, unfinished = reasonOf(ctx), true
	case errors.Is(err, errNodeLimit):
		stopped, unfinished = err.Error(), true
	case errors.Is(err, errStalled):
		stopped = err.Error()
	default:
		return Result{}, err
	}
	if stopped == "" && s.stalled > 0 {
		stopped = fmt.Sprintf("%v in %d of %d nodes", errStalled, s.stalled, s.nodes)
	}
	r := s.result(stopped)
	r.Unfinished = unfinished && r.Status == Stopped
	if r.Status != Stopped {
		x.known, x.s = &r, nil // what it needed is let go
	}
	return r, nil
}

// reopen opens the nodes again that were closed at a lower cutoff than the one of this run.
func (s *search) reopen() {
	s.closed = s.reopenOf(s.closed, &s.open)
	if s.mixing() {
		for _, g := range s.mixes.groups {
			g.closed = s.reopenOf(g.closed, &g.open)
		}
	}
}

// reopenOf opens those of some closed nodes again and gives the others.
func (s *search) reopenOf(closed []closedNode, open *nodeQueue) []closedNode {
	return slices.DeleteFunc(closed, func(c closedNode) bool {
		if c.final || s.prunes(c.proof.bound) {
			return false
		}
		s.serial++
		heap.Push(open, &node{conds: c.conds, proof: c.proof, bound: s.payable.roundUp(c.proof.bound), serial: s.serial})
		return true
	})
}

// reasonOf says why a context has ended.
func reasonOf(ctx context.Context) string {
	switch cause := context.Cause(ctx); {
	case errors.Is(cause, context.DeadlineExceeded):
		return "the time limit was reached"
	case cause == nil, errors.Is(cause, context.Canceled):
		return "the search was interrupted"
	default:
		return cause.Error()
	}
}

var errNodeLimit = errors.New("the limit on search nodes was reached")

func newSearch(p Problem, o Options) *search {
	in := newInstance(p)
	s := &search{problem: p, in: in, opts: o, pool: map[string]*column{}}
	s.pricer.in = in
	// A pattern's dual value stays below 2^60 with artificial columns at 2^headroom times the dearest stick's cost.
	const headroom = 14
	exponent := 60 - bits.Len64(uint64(in.maxCost)) - bits.Len64(uint64(in.maxPieces)) - headroom - 1
	s.scale = 1 << max(0, min(exponent, 40))
	s.maxPenalty = 1 << headroom
	for k, c := range in.cost {
		if c > 0 && in.maxLimit[k] > (math.MaxInt64-1-s.maxPlanCost)/c {
			s.maxPlanCost = math.MaxInt64 - 1
			break
		}
		s.maxPlanCost += c * in.maxLimit[k]
	}
	for _, c := range in.choices {
		if c.Cost > 0 && c.Most > (math.MaxInt64-1-s.maxPlanCost)/c.Cost {
			s.maxPlanCost = math.MaxInt64 - 1
			break
		}
		s.maxPlanCost += max(0, c.Cost) * c.Most
	}
	s.payable = newPayable(in, 0)
	return s
}

// emptyResult is the result when nothing is wanted.
func (s *search) emptyResult() Result {
	return Result{Status: Certified, HasPlan: true, Certificate: Certificate{Scale: 1, Leaves: []Leaf{{
		DualValues: make([]int64, len(s.in.length)), LimitDualValues: make([]int64, len(s.in.capacity))}}}}
}

// branchAndPrice searches until the incumbent is proved optimal, ctx ends or the limit on nodes is reached. Then it can be called again.
func (s *search) branchAndPrice(ctx context.Context) error {
	if !s.started {
		s.started = true
		s.greedyPlan()
		s.root = s.lengthBound()
		s.lower = s.payable.roundUp(s.root.bound)
		s.correctValues(ctx, firstCorrections)
	}
	open := &s.open
	if !s.rootDone {
		s.nodes = 0
		if err := s.solveRoot(ctx, open); err != nil {
			return err
		}
		s.rootDone = true
	}
	if s.mixing() || s.mixes == nil && open.Len() > 0 && s.mixable() {
		if done, err := s.searchMixes(ctx); done || err != nil {
			return err
		}
	}
	for open.Len() > 0 {
		s.lower = (*open)[0].bound
		n := s.nextNode(open)
		if s.prunes(n.bound) {
			s.addLeaf(n.conds, n.proof)
			continue
		}
		if p, ok := s.closeByCut(n.conds); ok {
			s.addLeaf(n.conds, p)
			continue
		}
		p, counts, ok, err := s.boundByCuts(ctx, n.conds)
		if err != nil {
			return err
		}
		if ok && p.value > n.proof.value {
			n.proof, n.bound = p, max(n.bound, s.payable.roundUp(p.bound))
			if s.prunes(n.bound) {
				s.addLeaf(n.conds, n.proof)
				continue
			}
			if open.Len() > 0 && (*open)[0].bound < n.bound {
				heap.Push(open, n)
				continue
			}
		}
		if c, fractional := s.branchOnKind(counts, n.conds); ok && fractional {
			fewer, more := s.branchOn(n, c, open)
			s.descend(fewer, more, counts[c.Kind]-float64(c.Bound))
			continue
		}
		s.unpriced = 0
		if s.opts.NodeLimit > 0 && s.nodes >= s.opts.NodeLimit {
			heap.Push(open, n)
			return errNodeLimit
		}
		if err := s.solveNode(ctx, n, open); err != nil {
			heap.Push(open, n)
			return err
		}
		if err := s.plunge(ctx, open); err != nil {
			return err
		}
		s.next = nil
	}
	return nil
}

// nextNode takes the node from the queue that is solved next: the child that a descent goes on with, or else the first.
func (s *search) nextNode(open *nodeQueue) *node {
	n := s.next
	if n == nil {
		return heap.Pop(open).(*node)
	}
	s.next = nil
	return heap.Remove(open, slices.Index(*open, n)).(*node)
}

// descendAfter is how many nodes are branched on by cuts alone before the search descends. Where many numbers of sticks come to the same cost, best bound
// first never comes to a whole mix of them: vsbpp/hs_conv2000-3-5 had 270,000 open nodes and no plan after half a minute, and is proven in 2 s since.
const descendAfter = 50

// descend goes on with the child whose numbers of sticks are nearest to those of the cuts' relaxation, where many nodes were branched on since the last
// one was priced. above is how far the number branched on lies above the bound of the child with fewer.
func (s *search) descend(fewer, more *node, above float64) {
	s.unpriced++
	switch {
	case s.unpriced <= descendAfter:
	case above > 0.5:
		s.next = more
	default:
		s.next = fewer
	}
}

// Every plungeEvery-th node is followed by a plunge, as long as the gap is wider than plungeGap of the cost: best bound first finds plans late where
// there are many choices.
const plungeEvery, plungeGap = 8, 1e-3

// plunge goes from a node that was just solved straight down, each time with the child that makes a choice as often as the relaxation nearly does,
// until all choices are whole or the node is closed.
func (s *search) plunge(ctx context.Context, open *nodeQueue) error {
	if len(s.in.choices) == 0 || s.nodes%plungeEvery != 0 || s.hasPlan && float64(s.cost-s.lower) <= plungeGap*float64(s.cost) {
		return nil
	}
	s.plunging = true
	defer func() { s.plunging = false }()
	for s.next != nil && (s.opts.NodeLimit == 0 || s.nodes < s.opts.NodeLimit) {
		n := heap.Remove(open, slices.Index(*open, s.next)).(*node)
		s.next = nil
		if s.prunes(n.bound) {
			s.addLeaf(n.conds, n.proof)
			return nil
		}
		if err := s.solveNode(ctx, n, open); err != nil {
			heap.Push(open, n)
			return err
		}
	}
	return nil
}

// rootDecimations is how many decimations are made before there is a linear program.
const rootDecimations = 2

// solveRoot solves the root's relaxation and runs the heuristics longest there.
func (s *search) solveRoot(ctx context.Context, open *nodeQueue) error {
	s.nodes++
	s.fillings = newFillings(s.in)
	if s.decimate(ctx, rootDecimations) { // the relaxation then comes to what the lengths do
		s.rootValue = s.root.value
		s.addLeaf(nil, s.root)
		return nil
	}
	m, err := newMaster(s.in, nil, s.initialColumns(), nil, firstPenalty, 0)
	if err != nil {
		return err
	}
	defer m.close()
	got, err := s.generateColumns(ctx, m)
	if got.proof.value > s.root.value {
		s.root = got.proof
	}
	if err != nil {
		return err
	}
	s.rootValue, s.rootColumns, s.rootMix = m.value(), slices.Clone(m.cols), s.mixOf(m)
	s.lower = s.payable.roundUp(s.root.bound)
	if got.pruned {
		s.addLeaf(nil, s.root)
		return nil
	}
	if !got.infeasible {
		mixed := s.kindCountsFractional(m) // then the numbers of sticks are branched on before plans are looked for
		tries := rootTries
		if mixed {
			tries = nodeTries
		}
		if err := s.roundColumns(ctx, m, tries); err != nil {
			return err
		}
		if len(s.in.choices) > 0 && !s.rootBoundMet() {
			if err := s.searchColumnsAndChoices(ctx, m, float64(s.root.bound)); err != nil {
				return err
			}
		}
		if !s.rootBoundMet() && !mixed {
			if err := s.dive(ctx, m); err != nil {
				return err
			}
		}
		if !s.rootBoundMet() && !mixed && ctx.Err() == nil {
			s.correctValues(ctx, rootCorrections)
		}
	}
	if s.prunes(s.root.bound) {
		s.addLeaf(nil, s.root)
		return nil
	}
	return s.branch(&node{proof: s.root, bound: s.payable.roundUp(s.root.bound)}, m, got, open)
}

// A dive is made at the first diveFirst nodes, and diveEvery nodes after the last. Rounding runs at the first nodes
// too, and roundEvery nodes after the last.
const diveFirst, diveEvery, roundEvery = 8, 5, 5

// After rareDivesAfter nodes the search more likely lacks a proof than a plan: no more rounding, and dives
// rareDivesFactor times rarer.
const rareDivesAfter, rareDivesFactor = 200, 8

// runHeuristics looks for a plan at a node that is solved, where it is time to.
func (s *search) runHeuristics(ctx context.Context, m *master, n *node) error {
	if s.onlyFillings() {
		if bits.OnesCount(uint(s.nodes)) != 1 { // ever rarer: where nodes are many, there is more likely no such plan
			return nil
		}
		if s.decimate(ctx, 1) {
			return nil
		}
	}
	bottom := s.plunging && s.choicesWhole(m) || s.mixing() && len(n.conds) == len(s.in.capacity) && len(s.mixes.groups) < diveFirst
	if bottom || s.nodes <= diveFirst || s.nodes >= s.lastRound+roundEvery && s.nodes <= rareDivesAfter {
		s.lastRound = s.nodes
		if err := s.roundColumns(ctx, m, nodeTries); err != nil {
			return err
		}
	}
	every := diveEvery
	if s.nodes > rareDivesAfter {
		every *= rareDivesFactor
	}
	if s.prunes(n.bound) || !bottom && s.nodes > diveFirst && s.nodes < s.lastDive+every {
		return nil
	}
	s.lastDive = s.nodes
	return s.dive(ctx, m)
}

// choicesWhole tells whether the relaxation makes every choice a whole number of times.
func (s *search) choicesWhole(m *master) bool {
	for j := range s.in.choices {
		if fractionality(m.choiceValue(j)) > 0 {
			return false
		}
	}
	return true
}

// How many plans are rounded from a relaxed solution, and how often values are corrected before the root and after
// it.
const rootTries, nodeTries, firstCorrections, rootCorrections = 12, 3, 3, 7

// solveNode solves a node below the root.
func (s *search) solveNode(ctx context.Context, n *node, open *nodeQueue) error {
	s.nodes++
	s.next = nil
	if n.cols == nil { // it was closed before
		n.cols = s.initialColumns()
	}
	m, err := newMaster(s.in, n.conds, n.cols, n.from, firstPenalty, surplusPenalty)
	if err != nil {
		return err
	}
	defer m.close()
	got, err := s.generateColumns(ctx, m)
	if err == nil {
		s.learn(n, got.proof.value-n.proof.value)
		if s.mixing() {
			n.from, n.cols = m.saveBasis(), slices.Clone(m.cols)
		}
	}
	if errors.Is(err, errStalled) {
		// Nothing is known of this node but its parent's bound: it stays open to the end.
		s.stalled++
		s.closed = append(s.closed, closedNode{conds: n.conds, proof: n.proof, final: true})
		return nil
	}
	if err != nil {
		return err
	}
	if got.pruned {
		s.addLeaf(n.conds, got.proof)
		return nil
	}
	if got.proof.bound > n.bound || got.proof.value > n.proof.value {
		n.proof = got.proof
	}
	n.bound = max(n.bound, s.payable.roundUp(n.proof.bound))
	if !got.infeasible {
		if err := s.runHeuristics(ctx, m, n); err != nil {
			return err
		}
	}
	if (s.nodes == restrictAfter || len(s.in.choices) > 0 && s.nodes%restrictEvery == 0) && !got.infeasible {
		if err := s.searchColumnsAndChoices(ctx, m, float64(n.bound)); err != nil {
			return err
		}
	}
	if s.prunes(n.bound) {
		s.addLeaf(n.conds, n.proof)
		return nil
	}
	return s.branch(n, m, got, open)
}

// branch branches on what is fractional in the relaxation of a node that is solved.
func (s *search) branch(n *node, m *master, got relaxation, open *nodeQueue) error {
	s.next = nil
	c, ok := s.chooseCondition(m)
	if !ok && (got.infeasible || m.artificialValue() > zeroTolerance) {
		c, ok = s.branchOnOpenChoice(n, m) // the choices are not allowed together, but others may be
	}
	if !ok {
		// The relaxed solution is whole: it is a plan. With artificial columns in it, the node has none.
		if !got.infeasible && m.artificialValue() <= zeroTolerance {
			d := newPartialPlan(s.in, nil)
			times := make([]int64, len(s.in.choices))
			for j := range times {
				times[j] = int64(math.Round(m.choiceValue(j)))
			}
			d.choose(times, nil)
			uses := map[*column]float64{} // whether credits are declined or not
			for j, c := range m.cols {
				uses[s.pooled(&column{kind: c.kind, take: c.take})] += m.columnValue(j)
			}
			for _, c := range m.cols {
				c = s.pooled(&column{kind: c.kind, take: c.take})
				if x := int64(math.Round(uses[c])); x > 0 {
					d.cut(c, x)
				}
				delete(uses, c)
			}
			if d.done() {
				s.updateIncumbent(d)
			} else {
				s.stalled++ // a whole solution that is no plan: the LP's numbers cannot be trusted
			}
		}
		final := !s.prunes(n.proof.bound)
		if final {
			s.uncertified++
		}
		s.closed = append(s.closed, closedNode{n.conds, n.proof, final})
		return nil
	}
	n.from, n.cols = m.saveBasis(), append([]*column(nil), m.cols...)
	fewer, more := s.branchOn(n, c, open)
	if _, group, ok := s.measureOf(&c); ok {
		value := s.valueOf(m, &c)
		fewer.distance, more.distance = value-float64(c.Bound), float64(c.Bound)+1-value
		s.next = fewer
		if fewer.distance >= 0.5 || group == groupAsked {
			s.next = more
		}
	}
	return nil
}

// branchOn opens a node's two children: at most c's bound, and more.
func (s *search) branchOn(n *node, c Condition, open *nodeQueue) (fewer, more *node) {
	bound := s.payable.roundUp(n.proof.bound)
	for _, least := range []bool{false, true} {
		d := c
		d.AtLeast = least
		if least {
			d.Bound++
		}
		child := &node{
			conds:         append(append([]Condition(nil), n.conds...), d),
			bound:         max(bound, n.bound),
			proof:         n.proof.withCondition(),
			from:          n.from,
			cols:          n.cols,
			discrepancies: n.discrepancies,
		}
		if least {
			more = child
		} else {
			fewer = child
			child.discrepancies++
		}
		s.serial++
		child.serial = s.serial
		heap.Push(open, child)
	}
	return fewer, more
}

// withCondition is the proof with one more condition, whose dual value is 0.
func (p proof) withCondition() proof {
	p.duals.cond = append(append([]int64(nil), p.duals.cond...), 0)
	return p
}

// addLeaf records a closed node.
func (s *search) addLeaf(conds []Condition, p proof) {
	s.closed = append(s.closed, closedNode{conds: conds, proof: p})
}

// leafOf makes a leaf of a node.
func leafOf(conds []Condition, p proof) Leaf {
	l := Leaf{DualValues: p.duals.item, LimitDualValues: p.limitDuals, RowDualValues: p.duals.row, Branch: append([]Condition(nil), conds...)}
	for r := range l.Branch {
		l.Branch[r].DualValue = p.duals.cond[r]
	}
	return l
}

// allLeaves lists the closed nodes and, of a search that has stopped early, the open ones, each with the best bound that it has.
func (s *search) allLeaves() []Leaf {
	var all []Leaf
	for _, c := range s.closed {
		all = append(all, leafOf(c.conds, c.proof))
	}
	for _, n := range s.open {
		all = append(all, leafOf(n.conds, n.proof))
	}
	return all
}

// lowerBound is the lowest bound of an open node, where there are any.
func (s *search) lowerBound() int64 {
	if len(s.open) == 0 || s.mixing() {
		return s.lower
	}
	lower := s.open[0].bound
	for _, n := range s.open {
		lower = min(lower, n.bound)
	}
	return lower
}

// updateIncumbent makes a finished plan the incumbent if it is cheaper.
func (s *search) updateIncumbent(d *partialPlan) {
	if !d.done() || !s.reviseChoices(d) || s.hasPlan && d.cost >= s.cost {
		return
	}
	s.hasPlan, s.cost, s.patterns, s.times = true, d.cost, mergePatterns(d.patterns), d.times
	for _, p := range s.patterns {
		s.pooled(&column{kind: p.Kind, take: p.Take})
	}
	s.payable = newPayable(s.in, d.cost)
	s.reportProgress()
}

// upperBound is the incumbent's cost, or the greatest number where there is none.
func (s *search) upperBound() int64 {
	if s.hasPlan {
		return s.cost
	}
	return math.MaxInt64
}

// prunes tells whether a node with this bound has no better plan than the incumbent, or none below the cutoff.
func (s *search) prunes(bound int64) bool {
	if s.hasPlan {
		return s.payable.roundUp(bound) >= s.cost || s.opts.Cutoff > 0 && s.payable.roundUp(bound) >= s.opts.Cutoff
	}
	return bound > s.maxPlanCost
}

// rootBoundMet tells whether the incumbent meets the root's bound.
func (s *search) rootBoundMet() bool { return s.hasPlan && s.prunes(s.root.bound) }

// initialColumns are the columns to begin with: sticks filled with one item, and the incumbent's.
func (s *search) initialColumns() []*column {
	var out []*column
	for k := range s.in.capacity {
		if s.in.maxLimit[k] == 0 {
			continue
		}
		for i := range s.in.maxDemand {
			if n := s.in.maxQuantity(i, k); n > 0 {
				s.pooled(&column{kind: k, take: []Take{{i, n}}})
			}
		}
	}
	for _, p := range s.patterns {
		s.pooled(&column{kind: p.Kind, take: p.Take})
	}
	for _, key := range slices.Sorted(maps.Keys(s.pool)) {
		out = append(out, s.pool[key])
	}
	return out
}

// pooled gives the search's own copy of a column: equal columns are one.
func (s *search) pooled(c *column) *column {
	key := c.key()
	if known, ok := s.pool[key]; ok {
		return known
	}
	s.pool[key] = c
	return c
}

// noteBound records a better bound of the node that is being solved. Only the root's is the bound of the whole
// problem.
func (s *search) noteBound(conds []Condition, p proof) {
	if len(conds) == 0 && p.value > s.root.value {
		s.root = p
		s.lower = max(s.lower, s.payable.roundUp(p.bound))
		s.reportProgress()
	}
}

func (s *search) reportProgress() {
	if s.opts.Progress != nil {
		s.opts.Progress(Progress{s.hasPlan, s.cost, s.lower, len(s.pool), s.nodes})
	}
}

// result sums up. stopped says why the search did not end of itself, or is empty.
func (s *search) result(stopped string) Result {
	s.lower = s.lowerBound()
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
		r.Reason = fmt.Sprintf("%d of %d leaves of the search have no certificate", s.uncertified, len(s.closed))
		if s.mixing() {
			r.Reason = "part of the numbers of sticks are excluded without a certificate"
		}
	default:
		r.Status, r.LowerBound = Stopped, min(s.cost, max(s.lower, r.CertifiedBound))
	}
	return r
}

// certificate gives the tree's leaves, or the root's dual values alone where the tree proves no more, and the bound
// that they prove.
func (s *search) certificate() (Certificate, int64) {
	tree, most := int64(math.MaxInt64), s.maxPlanCost
	if s.hasPlan {
		most = s.cost
	}
	if s.mixing() {
		if c, bound, ok := s.mixes.certificate(); ok {
			return c, bound
		}
		return s.rootCertificate(most)
	}
	leaves := s.allLeaves()
	for _, l := range leaves {
		bound, _ := s.dualBound(intDuals{l.DualValues, conditionDuals(l.Branch), l.RowDualValues}, l.LimitDualValues, l.Branch)
		tree = min(tree, s.payable.roundUp(bound))
	}
	if s.root.duals.item == nil {
		zero := Leaf{DualValues: make([]int64, len(s.in.length)), LimitDualValues: make([]int64, len(s.in.capacity)),
			RowDualValues: make([]int64, len(s.in.rows))}
		return Certificate{Scale: s.scale, Leaves: []Leaf{zero}}, s.in.minCost
	}
	if len(leaves) == 0 || tree <= s.payable.roundUp(s.root.bound) {
		return s.rootCertificate(most)
	}
	return Certificate{Scale: s.scale, Leaves: leaves}, min(tree, most)
}

// rootCertificate is the root's dual values alone, and the bound that they prove.
func (s *search) rootCertificate(most int64) (Certificate, int64) {
	root := Leaf{DualValues: s.root.duals.item, LimitDualValues: s.root.limitDuals, RowDualValues: s.root.duals.row}
	return Certificate{Scale: s.scale, Leaves: []Leaf{root}}, min(s.payable.roundUp(s.root.bound), most)
}

// conditionDuals lists the conditions' dual values.
func conditionDuals(conds []Condition) []int64 {
	out := make([]int64, len(conds))
	for r, c := range conds {
		out[r] = c.DualValue
	}
	return out
}

// nodeQueue is the open nodes in order of lowest bound. Among equal bounds the one with the fewest discrepancies
// comes first, turns away from the at-least side, which is the side that builds a plan (limited discrepancy search:
// W. D. Harvey, M. L. Ginsberg, IJCAI 1995); then the deepest.
type nodeQueue []*node

func (q nodeQueue) Len() int { return len(q) }
func (q nodeQueue) Less(a, b int) bool {
	if q[a].bound != q[b].bound {
		return q[a].bound < q[b].bound
	}
	if q[a].discrepancies != q[b].discrepancies {
		return q[a].discrepancies < q[b].discrepancies
	}
	if len(q[a].conds) != len(q[b].conds) {
		return len(q[a].conds) > len(q[b].conds)
	}
	return q[a].serial > q[b].serial
}
func (q nodeQueue) Swap(a, b int) { q[a], q[b] = q[b], q[a] }
func (q *nodeQueue) Push(x any)   { *q = append(*q, x.(*node)) }
func (q *nodeQueue) Pop() any {
	old := *q
	n := old[len(old)-1]
	old[len(old)-1] = nil
	*q = old[:len(old)-1]
	return n
}
