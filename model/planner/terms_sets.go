package planner

import (
	"cmp"
	"context"
	"errors"
	"maps"
	"slices"
	"sync"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// Suppliers' terms bind profiles together, and one problem of many profiles is hard to prove: the little that each
// profile's relaxation falls short of a whole plan adds up. But only through the orders are they bound. For a set T of
// the suppliers with terms let every profile be planned alone with the offers of T, and of those without terms, as if
// there were no terms. With c_p(T) the least cost of profile p, every plan that orders from all of T and from no others
// with terms costs at least
//
//	Σ_p c_p(T) + Σ_{s ∈ T} delivery of s
//
// and the least of that over all T is a bound on every plan. A supplier who delivers free from a sum on can be ordered from in two ways
// (model.Supplier.Ways): at its delivery, or without it at a least order of that sum. A set then says in which way, too. Where the plans of the best T come to what its suppliers ask
// they are the cheapest there is. Where they do not, profiles are planned for orders of so much (terms_amounts.go).

// mostListed is up to how many sets of suppliers with terms are listed from the start: those of five. Where there are more they are divided as needed
// (terms_many.go).
const mostListed = 1 << 5

// standIn is a stick that no supplier sells, for a profile that cannot be cut from the sticks that a restriction leaves: as long as the
// longest stick of any list, in any number, at a price that no plan pays. More sticks to choose from never raise a bound, so a bound with the
// stand-in holds without it.
type standIn struct {
	length model.Length
	price  model.Money
}

// restriction leaves a profile the suppliers without terms and the open ones. None of them has terms then, except what orders says.
type restriction struct {
	open    []string // by name
	orders  []plan.Ordered
	standIn *standIn // nil: none
}

// variant is a profile with its joint problem for one set of open suppliers, and what was found.
type variant struct {
	profile string
	open    []string // those of the set that offer the profile
	orders  []plan.Ordered
	standIn *standIn

	problem *jointProblem
	search  *search
	turns   int         // how often it was searched
	cutoff  model.Money // its search need not show more; 0: it goes on to the end
	known   found
	bound   model.Money // on the profile's cost
	solved  bool        // something is known
	ok      bool        // there is a plan, without the stand-in
	never   bool        // it cannot be cut
	tried   tried
}

// unfinished says whether more can be found.
func (v *variant) unfinished() bool { return !v.never && (!v.solved || v.known.result.Unfinished) }

// supplierSet is one set of suppliers: which variant each profile has in it.
type supplierSet struct {
	open      []string
	ordered   []model.Supplier // those of the open ones that are ordered from, each in one way, by name
	undecided []string         // the others, from which nothing need be ordered; see terms_many.go
	delivery  model.Money      // of what is ordered
	variants  []*variant
	stuck     bool      // nothing raises its bound any more
	ordering  *ordering // the work on orders that come to what they must; nil: not begun
}

// setSearch looks for the best set of suppliers to order from, and for a bound over all sets.
type setSearch struct {
	b       *jointProblem
	o       Options
	price   model.Money    // of the stand-in
	sets    []*supplierSet // the empty one first
	left    int            // how many of them have not been tried yet, from the first on
	all     [][]*variant   // of each profile
	best    *setPlan
	stuck   bool         // there is nothing more to do
	rounds  int          // how often variants were solved, and so how much is known; not 0
	changes []int        // how often variants of each profile were solved, or what is known of them was changed; not 0
	likely  *supplierSet // to be tried before all others; nil: none
}

// newSearch lists the sets of ways to order from the joint problem's suppliers, with their variants, each variant once. Where these are many it
// lists one set, in which all suppliers are undecided.
func (jp *jointProblem) newSearch(o Options) *setSearch {
	ss := &setSearch{b: jp, o: o, price: jp.unpayable(), rounds: 1, all: make([][]*variant, len(jp.profiles)), changes: slices.Repeat([]int{1}, len(jp.profiles))}
	if jp.sets() > mostListed {
		var names []string
		for _, s := range jp.terms {
			names = append(names, s.Name)
		}
		ss.sets, ss.likely = []*supplierSet{ss.set(nil, names)}, ss.set(ss.cheapSuppliers(), nil)
	} else {
		lists := [][]model.Supplier{nil}
		for _, s := range jp.terms {
			for _, list := range lists {
				for _, way := range s.Ways() {
					lists = append(lists, append(slices.Clone(list), way))
				}
			}
		}
		for _, list := range lists {
			ss.sets = append(ss.sets, ss.set(list, nil))
		}
	}
	ss.left = len(ss.sets)
	return ss
}

// sets counts the sets of ways to order from the suppliers.
func (jp *jointProblem) sets() int {
	sets := 1
	for _, s := range jp.terms {
		if sets *= 1 + len(s.Ways()); sets > mostListed {
			break
		}
	}
	return sets
}

// set makes a set of suppliers: from some it is ordered in one way, and from others it may be.
func (ss *setSearch) set(ordered []model.Supplier, undecided []string) *supplierSet {
	slices.SortFunc(ordered, func(x, y model.Supplier) int { return cmp.Compare(x.Name, y.Name) })
	one := &supplierSet{ordered: ordered, undecided: undecided}
	for _, s := range ss.b.terms {
		at := slices.IndexFunc(ordered, func(way model.Supplier) bool { return way.Name == s.Name })
		if at >= 0 {
			one.delivery += ordered[at].Delivery
		}
		if at >= 0 || slices.Contains(undecided, s.Name) {
			one.open = append(one.open, s.Name)
		}
	}
	for n, pp := range ss.b.profiles {
		offering := slices.DeleteFunc(append([]string{}, one.open...), func(name string) bool { return !pp.offered(name) })
		one.variants = append(one.variants, ss.variant(n, offering, nil))
	}
	return one
}

// offered says whether a supplier offers the profile.
func (pp *profileProblem) offered(supplier string) bool {
	return slices.ContainsFunc(pp.supplies, func(s supply) bool { return s.supplier == supplier })
}

// variant gives a profile's variant, known or new.
func (ss *setSearch) variant(n int, open []string, orders []plan.Ordered) *variant {
	for _, v := range ss.all[n] {
		if slices.Equal(v.open, open) && slices.Equal(v.orders, orders) {
			return v
		}
	}
	v := &variant{open: open, orders: orders, profile: ss.b.profiles[n].profile.Name}
	ss.all[n] = append(ss.all[n], v)
	return v
}

// goOn plans the joint problem's profiles alone for sets of suppliers, a step at a time. With all suppliers open it plans each of them; with
// fewer open a profile costs no less than with more, and so of any other set only as many are planned as it takes to see
// that it is no better, those first that are likely to show it. Then it goes on with the set that bounds all plans: either with the profiles whose
// plans are not proven, or with orders that come to what they must, whichever is more of the gap.
func (ss *setSearch) goOn(ctx context.Context) error {
	if s := ss.likely; s != nil {
		ss.likely = nil
		return ss.try(ctx, s)
	}
	if ss.left > 0 { // all open first, then fewer
		ss.left--
		return ss.try(ctx, ss.sets[ss.left])
	}
	var next *supplierSet
	for _, s := range ss.sets {
		if (ss.best == nil || ss.boundOf(s) < ss.best.cost) && !s.stuck && (next == nil || ss.boundOf(s) < ss.boundOf(next)) {
			next = s
		}
	}
	if next == nil {
		ss.stuck = true
		return nil
	}
	ss.takeAlone(next) // with what was found for other sets
	gains, sum := ss.gains(next)
	steps := []func() (bool, error){
		func() (bool, error) { return ss.deepen(ctx, next, gains) },
		func() (bool, error) { return ss.fill(ctx, next) },
	}
	if len(next.undecided) > 0 {
		steps[1] = func() (bool, error) { return ss.divide(ctx, next) }
	}
	if ss.best != nil && 2*sum < ss.best.cost-ss.boundOf(next) {
		slices.Reverse(steps)
	}
	for _, step := range steps {
		if did, err := step(); did || err != nil {
			return err
		}
	}
	next.stuck = true
	return nil
}

// settled says whether the best plan is proven.
func (ss *setSearch) settled() bool {
	return ss.left == 0 && ss.best != nil && ss.best.cost <= ss.boundOfAll()
}

// boundOfAll is the bound on every plan.
func (ss *setSearch) boundOfAll() model.Money {
	bound := model.Money(maxSum)
	for _, s := range ss.sets {
		bound = min(bound, ss.boundOf(s))
	}
	return bound
}

// gains returns by how much a set's bound might rise at each of its profiles that can be searched on, and in all.
func (ss *setSearch) gains(s *supplierSet) (gains map[int]model.Money, sum model.Money) {
	gains = map[int]model.Money{}
	for n, v := range ss.planned(s) {
		if !v.unfinished() {
			continue
		}
		most := v.known.cost
		if !v.solved {
			most = v.guess(ss.b.profiles[n], ss.o)
		}
		if gain := most - ss.least(s, n); gain > 0 {
			gains[n] = gain
			sum = min(maxSum, sum+gain)
		}
	}
	return gains, sum
}

// deepen goes on with the profiles of a set of which most is to be gained a node of their next turns. It says whether there are any.
func (ss *setSearch) deepen(ctx context.Context, s *supplierSet, gains map[int]model.Money) (bool, error) {
	order := slices.Sorted(maps.Keys(gains))
	if len(order) == 0 {
		return false, nil
	}
	planned := ss.planned(s)
	aNode := func(n int) float64 { return float64(gains[n]) / float64(slice(planned[n].turns)) }
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(aNode(y), aNode(x)) })
	most := aNode(order[0])
	order = slices.DeleteFunc(order[:min(len(order), ss.o.Workers)], func(n int) bool { return aNode(n) < most/worthIt })
	var variants []*variant
	for _, n := range order {
		variants = append(variants, planned[n])
	}
	err := ss.solve(ctx, order, variants)
	ss.takeAlone(s)
	return true, err
}

// prove writes down what is known of each variant, has it verified, and says why a profile alone was left open, if one was. Bounds that the
// verifier does not accept are lowered to what it does.
func (ss *setSearch) prove(ctx context.Context) (cases []plan.Case, open string, err error) {
	cases = []plan.Case{}
	var solved []*variant
	ss.forgetNeedless()
	for n := range ss.all {
		for _, v := range ss.all[n] {
			if v.solved {
				solved = append(solved, v)
			}
		}
	}
	// Those first that take least: where the time does not suffice, others with more suppliers to choose from stand for the last ones.
	order, takes := make([]int, len(solved)), make([]time.Duration, len(solved))
	for n, v := range solved {
		order[n], takes[n] = n, v.problem.checkOf(v.known.result, ss.o)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(takes[a], takes[b]) })
	proofs, errs := make([]proof, len(solved)), make([]error, len(solved))
	slots := make(chan struct{}, ss.o.Workers)
	var workers sync.WaitGroup
	for _, n := range order {
		v := solved[n]
		slots <- struct{}{}
		workers.Go(func() {
			defer func() { <-slots }()
			errs[n] = v.problem.recovered(func() (err error) {
				proofs[n], err = v.problem.prove(ctx, v.known, ss.o)
				if refused, ok := errors.AsType[*refusal](err); ok { // nothing is known of it then
					proofs[n], err = proof{gap: v.known.cost, reason: refused.reason()}, nil
				}
				if v.tried.instead(&proofs[n], v.known); proofs[n].unchecked { // nor of what was not checked
					proofs[n] = proof{gap: v.known.cost, reason: proofs[n].reason}
				}
				return err
			})
		})
	}
	workers.Wait()
	if err := join(errs); err != nil {
		return nil, "", err
	}
	lowered := false
	for n, v := range solved {
		if proofs[n].bound < v.bound {
			v.bound, lowered = proofs[n].bound, true
			for m := range ss.changes {
				ss.changes[m]++
			}
		}
		if proofs[n].cuts == nil {
			open = cmp.Or(open, v.profile+" alone: "+proofs[n].reason)
			continue
		}
		c := plan.Case{Profile: v.profile, Open: v.open, Orders: v.orders, Bound: v.bound, Cuts: proofs[n].cuts}
		if v.standIn != nil {
			c.StandIn = v.standIn.price
		}
		cases = append(cases, c)
		if proofs[n].gap > 0 && open == "" && v.orders == nil {
			open = v.profile + " alone: " + proofs[n].reason
		}
	}
	for _, s := range ss.sets {
		f := s.ordering
		if f == nil || f.boundAt == 0 || f.boundAt == ss.rounds && !lowered {
			continue
		}
		if lowered {
			f.bound = 0
		}
		if ctx.Err() != nil { // there is little time left
			f.pairs = firstPairs
		}
		ss.bestAndBound(context.WithoutCancel(ctx), s)
	}
	return cases, open, nil
}

// checks is how long the certificates of all variants will take to be checked.
func (ss *setSearch) checks() time.Duration {
	var all, longest time.Duration
	for n := range ss.all {
		for _, v := range ss.all[n] {
			if v.solved {
				one := v.problem.checkOf(v.known.result, ss.o)
				all, longest = all+one, max(longest, one)
			}
		}
	}
	return max(longest, all/time.Duration(ss.o.Workers))
}

// try plans the profiles of a set, until its bound reaches the best plan's cost or all of them are planned.
func (ss *setSearch) try(ctx context.Context, s *supplierSet) error {
	var rest []int
	for n, v := range ss.planned(s) {
		if !v.solved {
			rest = append(rest, n)
		}
	}
	gain := map[int]model.Money{}
	for _, n := range rest {
		gain[n] = s.variants[n].guess(ss.b.profiles[n], ss.o) - ss.least(s, n)
	}
	slices.SortStableFunc(rest, func(x, y int) int { return cmp.Compare(gain[y], gain[x]) })
	for len(rest) > 0 && ctx.Err() == nil && (ss.best == nil || ss.boundOf(s) < ss.best.cost) {
		now := rest
		if ss.best != nil { // the first of them may suffice
			now = rest[:min(len(rest), ss.o.Workers)]
		}
		rest = rest[len(now):]
		var variants []*variant
		for _, n := range now {
			variants = append(variants, s.variants[n])
		}
		if err := ss.solve(ctx, now, variants); err != nil {
			return err
		}
	}
	ss.takeAlone(s)
	return nil
}

// takeAlone puts the plans that a set's profiles have alone together, if there is one of each.
func (ss *setSearch) takeAlone(s *supplierSet) { ss.takeOf(ss.planned(s)) }

// planned gives for each profile of a set the variant whose plan serves it: its own or, as long as that is not solved, one with more suppliers
// open whose plan orders only from those of the set.
func (ss *setSearch) planned(s *supplierSet) []*variant {
	out := slices.Clone(s.variants)
	for n, own := range out {
		if own.solved {
			continue
		}
		for _, v := range ss.all[n] {
			if v.ok && v.orders == nil && v.opens(own) && v.ordersOnlyFrom(own.open) && (out[n] == own || v.known.cost < out[n].known.cost) {
				out[n] = v
			}
		}
	}
	return out
}

// ordersOnlyFrom says whether the variant's plan orders from none of its open suppliers but these.
func (v *variant) ordersOnlyFrom(suppliers []string) bool {
	jp := jointProblem{profiles: v.problem.profiles}
	return !slices.ContainsFunc(v.open, func(name string) bool {
		_, sticks := jp.orderTotal(v.known.solutions, name)
		return sticks > 0 && !slices.Contains(suppliers, name)
	})
}

// takeOf puts the plans of a variant of each profile together, if there is one of each.
func (ss *setSearch) takeOf(variants []*variant) {
	var plans []variantPlan
	for _, v := range variants {
		if !v.ok {
			return
		}
		plans = append(plans, variantPlan{v, v.known.solutions[0]})
	}
	ss.take(ss.b.planOf(plans))
}

// take replaces the best plan by one that costs less.
func (ss *setSearch) take(p *setPlan) {
	if p != nil && (ss.best == nil || p.cost < ss.best.cost) {
		ss.best = p
	}
}

// solve plans several variants, as many at the same time as there are workers.
func (ss *setSearch) solve(ctx context.Context, profiles []int, variants []*variant) error {
	errs := make([]error, len(profiles))
	slots := make(chan struct{}, ss.o.Workers)
	var workers sync.WaitGroup
	for m, n := range profiles {
		slots <- struct{}{}
		workers.Go(func() {
			defer func() { <-slots }()
			errs[m] = ss.b.recovered(func() error { return variants[m].solve(ctx, ss.b.profiles[n], ss.o, ss.price) })
		})
	}
	workers.Wait()
	ss.rounds++
	for _, n := range profiles {
		ss.changes[n]++
	}
	return join(errs)
}

// boundOf returns the best bound known on plans that order from every supplier of the set.
func (ss *setSearch) boundOf(s *supplierSet) model.Money {
	sum := s.delivery
	for n := range s.variants {
		sum += ss.least(s, n)
	}
	if s.ordering != nil {
		sum = max(sum, s.ordering.bound)
	}
	return sum
}

// least returns a bound on what a profile costs in the set, whatever it orders: the greatest bound of its solved variants in which all
// suppliers of the set are open.
func (ss *setSearch) least(s *supplierSet, n int) model.Money {
	if v := ss.bounding(s, n); v != nil {
		return v.bound
	}
	return 0
}

// bounding returns the variant that least takes its bound from, if there is one.
func (ss *setSearch) bounding(s *supplierSet, n int) (best *variant) {
	for _, v := range ss.all[n] {
		if v.solved && v.orders == nil && (best == nil || v.bound > best.bound) && v.opens(s.variants[n]) {
			best = v
		}
	}
	return best
}

// opens says whether all suppliers of another variant are open in this one.
func (v *variant) opens(other *variant) bool {
	return !slices.ContainsFunc(other.open, func(name string) bool { return !slices.Contains(v.open, name) })
}

// guess estimates what a variant costs: as much as first-fit, or more than any plan where it cannot be cut.
func (v *variant) guess(pp *profileProblem, o Options) model.Money {
	o.restriction = &restriction{open: v.open}
	restricted := pp.again(o)
	if len(restricted.cannotCut()) > 0 {
		return maxSum
	}
	sol, leftOver := restricted.firstFit()
	if leftOver > 0 {
		return maxSum
	}
	return restricted.figures(sol, 0).Cost
}

// again states the profile's problem once more, by other options.
func (pp *profileProblem) again(o Options) *profileProblem {
	g := pp.profileSides
	g.warnings = g.warnings[:pp.given:pp.given]
	return newProfileProblem(pp.w, g, o)
}

// unpayable returns a price that no cheapest plan pays for a stick: more than first-fit's plan costs or, where first-fit has none, more than
// everything that a cheapest plan might use.
func (jp *jointProblem) unpayable() model.Money {
	firstFit := jp.firstFit()
	price := model.Money(1)
	for n, pp := range jp.profiles {
		price += 2 * firstFit.figures[n].Cost
		if firstFit.complete() {
			continue
		}
		for _, k := range pp.kinds {
			price += k.value * model.Money(len(k.rack))
		}
		for _, s := range pp.supplies {
			price += s.pays(max(s.most, s.tiers[0].from))
		}
	}
	if !firstFit.complete() {
		for _, s := range jp.terms {
			price += s.Delivery
		}
	}
	return min(price, solver.MaxCost/2)
}

// patience is how many turns a variant is searched for a plan before it is searched with the stand-in.
const patience = 4

// solve searches a profile's variant for one turn. Where that cannot be cut, or no plan is found, it goes on with the stand-in, unless the variant
// supposes something of the orders: then it stays unsolved.
func (v *variant) solve(ctx context.Context, pp *profileProblem, o Options, price model.Money) error {
	for !v.never {
		err := v.state(pp, o)
		if err == nil {
			err = v.turn(ctx, o)
		}
		var known *model.Error
		switch {
		case err == nil, errors.Is(err, ErrNoPlan) && (v.turns < patience && ctx.Err() == nil || v.standIn != nil):
			return nil
		case !errors.As(err, &known) || known.Kind != model.CannotCut || v.standIn != nil:
			return err
		case v.orders != nil:
			v.never = true
		default:
			v.standIn, v.problem, v.turns, v.tried = &standIn{length: pp.longestOffered(), price: price}, nil, 0, tried{}
		}
	}
	return nil
}

// state states the variant's problem, once. Its error is of a side that no stick can give.
func (v *variant) state(pp *profileProblem, o Options) (err error) {
	if v.problem != nil {
		return nil
	}
	o.restriction = &restriction{open: v.open, orders: v.orders, standIn: v.standIn}
	restricted := pp.again(o)
	if errs := restricted.cannotCut(); len(errs) > 0 {
		return errs[0]
	}
	v.problem = newJointProblem(pp.w, []*profileProblem{restricted}, slices.ContainsFunc(v.orders, asks))
	if err := v.problem.valid(); err != nil {
		return err
	}
	v.search, err = o.Known.of(v.problem.problem, v.profile)
	return err
}

// turn goes on with the search, and reads what it has found.
func (v *variant) turn(ctx context.Context, o Options) error {
	v.turns++
	result, err := v.search.run(ctx, solver.Options{NodeLimit: slice(v.turns - 1), Cutoff: int64(v.cutoff)})
	if err != nil {
		return v.problem.fault("the search failed", err)
	}
	f, err := v.problem.found(ctx, result, false)
	if err != nil {
		return err
	}
	v.known, v.solved, v.ok = f, true, v.standIn == nil
	v.bound = max(v.bound, min(model.Money(result.CertifiedBound), f.cost))
	v.problem.tryCheck(ctx, f.result, o, &v.tried)
	return nil
}

// longestOffered is the longest stick of the profile's lists.
func (pp *profileProblem) longestOffered() (longest model.Length) {
	for _, s := range pp.supplies {
		longest = max(longest, s.length)
	}
	return longest
}

// setPlan is a plan of all the joint problem's profiles, made of their plans alone.
type setPlan struct {
	problem   *jointProblem
	solutions []solution
	cost      model.Money
}

// variantPlan is a plan of one profile alone.
type variantPlan struct {
	of       *variant
	solution solution
}

// planOf puts plans of all profiles together, and brings the orders up to what the suppliers ask; nil where that cannot be.
func (jp *jointProblem) planOf(plans []variantPlan) *setPlan {
	p := &setPlan{problem: &jointProblem{w: jp.w, terms: jp.terms, orders: jp.orders}}
	for _, one := range plans {
		p.problem.profiles = append(p.problem.profiles, one.of.problem.profiles[0])
		p.solutions = append(p.solutions, one.solution)
	}
	p.solutions = p.problem.trimmed(p.solutions, supply.pays)
	p.problem.topUp(p.solutions)
	if !p.problem.allowed(p.solutions, nil) {
		return nil
	}
	deliveries := p.problem.deliveries(p.solutions)
	for n, pp := range p.problem.profiles {
		p.cost += pp.figures(p.solutions[n], deliveries[n]).Cost
	}
	return p
}
