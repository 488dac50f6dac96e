package planner

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

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
// and the least of that over all T is a bound on every plan. Where the plans of the best T come to what its suppliers ask
// they are the cheapest there is. Where they do not, profiles are planned for orders of so much (terms_amounts.go).

// maxSets bounds the sets of suppliers that are tried: beyond, the profiles are planned as one problem only.
const maxSets = 32

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
	searchLimits
}

// searchLimits say when a search may end early.
type searchLimits struct {
	enough model.Money // the search ends when its bound reaches this; 0: it does not
	nodes  int         // of the search tree at most; 0: any number
}

// variant is a profile with its joint problem for one set of open suppliers, and what was found.
type variant struct {
	problem   *jointProblem
	open      []string // those of the set that offer the profile
	orders    []plan.Ordered
	limits    searchLimits
	standIn   *standIn
	solutions []solution
	proof     proof
	profile   string
	tried     bool // to be solved, for orders of so much
	solved    bool
	ok        bool // there is a plan, without the stand-in
}

// memory keeps what was found for profiles alone, for further plans of one workshop by the same options. Several goroutines may use it.
type memory struct {
	mu    sync.Mutex
	found map[string]*variant
}

// key is that of a variant of a profile.
func (v *variant) key(pp *profileProblem) string {
	return fmt.Sprintf("%q %q", pp.profile.Name, v.open)
}

// takeOver takes over what the memory has of a profile's variant, and says whether it has anything. It never has where one of the profile's
// price lists is left out, or where the variant supposes something of the orders.
func (v *variant) takeOver(pp *profileProblem, o Options) bool {
	if o.memory == nil || v.orders != nil || o.leftOut != nil && o.leftOut.Profile == pp.profile.Name {
		return false
	}
	o.memory.mu.Lock()
	defer o.memory.mu.Unlock()
	known := o.memory.found[v.key(pp)]
	if known != nil {
		*v = *known
	}
	return known != nil
}

// keep puts what was found into the memory, from which takeOver takes it.
func (v *variant) keep(pp *profileProblem, o Options) {
	if o.memory == nil || v.orders != nil || o.leftOut != nil && o.leftOut.Profile == pp.profile.Name {
		return
	}
	o.memory.mu.Lock()
	defer o.memory.mu.Unlock()
	o.memory.found[v.key(pp)] = v
}

// supplierSet is one set of suppliers: which variant each profile has in it.
type supplierSet struct {
	open     []string
	delivery model.Money
	variants []*variant
	ordering *ordering // the work on orders that come to what they must; nil: not begun
}

// setSearch looks for the best set of suppliers to order from, and for a bound over all sets.
type setSearch struct {
	b      *jointProblem
	o      Options
	report func(Progress)
	price  model.Money    // of the stand-in
	sets   []*supplierSet // the empty one first
	all    [][]*variant   // of each profile
	best   *setPlan
	bound  model.Money // of every plan
	open   string      // why a profile alone was left open, if one was
	late   bool        // the time for orders of so much was up
	rounds int         // how often variants were solved, and so how much is known; not 0
}

// newSearch lists the subsets of the joint problem's suppliers with their variants, each variant once. It gives nil where there are
// too many.
func (jp *jointProblem) newSearch(o Options, report func(Progress)) *setSearch {
	if len(jp.terms) >= 31 || 1<<len(jp.terms) > maxSets {
		return nil
	}
	ss := &setSearch{b: jp, o: o, report: report, price: jp.unpayable(), rounds: 1, all: make([][]*variant, len(jp.profiles))}
	for bits := range 1 << len(jp.terms) {
		one := &supplierSet{open: []string{}}
		for n, s := range jp.terms {
			if bits>>n&1 == 1 {
				one.open = append(one.open, s.Name)
				one.delivery += s.Delivery
			}
		}
		for n, pp := range jp.profiles {
			open := slices.DeleteFunc(slices.Clone(one.open), func(name string) bool { return !pp.offered(name) })
			one.variants = append(one.variants, ss.variant(n, open, nil))
		}
		ss.sets = append(ss.sets, one)
	}
	return ss
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

// solveSets plans the joint problem's profiles alone for sets of suppliers. With all suppliers open it plans each of them; with
// fewer open a profile costs no less than with more, and so of any other set only as many are planned as it takes to see
// that it is no better, those first that are likely to show it. Then it does the same for orders that come to what they
// must. It gives nil where there are too many sets.
func (jp *jointProblem) solveSets(ctx context.Context, o Options, report func(Progress)) (*setSearch, []plan.Case, error) {
	ss := jp.newSearch(o, report)
	if ss == nil {
		return nil, nil, nil
	}
	for _, s := range slices.Backward(ss.sets) { // all open, then fewer
		if err := ss.try(ctx, s); err != nil {
			return nil, nil, err
		}
	}
	if err := ss.fillOrders(ctx); err != nil {
		return nil, nil, err
	}
	ss.bound = maxSum
	for _, s := range ss.sets {
		ss.bound = min(ss.bound, ss.boundOf(s))
	}
	var cases []plan.Case
	for n := range ss.all {
		for _, v := range ss.all[n] {
			if !v.solved {
				continue
			}
			c := plan.Case{Profile: v.profile, Open: v.open, Orders: v.orders, Bound: v.proof.bound, Cuts: v.proof.cuts}
			if v.standIn != nil {
				c.StandIn = v.standIn.price
			}
			cases = append(cases, c)
			if v.proof.gap > 0 && ss.open == "" && v.orders == nil {
				ss.open = v.profile + " alone: " + v.proof.reason
			}
		}
	}
	return ss, cases, nil
}

// try plans the profiles of a set, until its bound reaches the best plan's cost or all of them are planned.
func (ss *setSearch) try(ctx context.Context, s *supplierSet) error {
	var rest []int
	for n, v := range s.variants {
		if !v.solved {
			rest = append(rest, n)
		}
	}
	gain := map[int]model.Money{}
	for _, n := range rest {
		gain[n] = s.variants[n].guess(ss.b.profiles[n], ss.o) - ss.least(s, n)
	}
	slices.SortStableFunc(rest, func(x, y int) int { return cmp.Compare(gain[y], gain[x]) })
	for len(rest) > 0 && (ss.best == nil || ss.boundOf(s) < ss.best.cost) {
		now := rest[:min(len(rest), ss.o.Workers)]
		rest = rest[len(now):]
		var variants []*variant
		for _, n := range now {
			variants = append(variants, s.variants[n])
		}
		if err := ss.solve(ctx, now, variants); err != nil {
			return err
		}
	}
	if !slices.ContainsFunc(s.variants, func(v *variant) bool { return !v.ok }) {
		var plans []variantPlan
		for _, v := range s.variants {
			plans = append(plans, variantPlan{v, v.solutions[0]})
		}
		ss.take(ss.b.planOf(plans))
	}
	return nil
}

// take replaces the best plan by one that costs less.
func (ss *setSearch) take(p *setPlan) {
	if p != nil && (ss.best == nil || p.cost < ss.best.cost) {
		ss.best = p
	}
}

// solve plans several variants at the same time.
func (ss *setSearch) solve(ctx context.Context, profiles []int, variants []*variant) error {
	errs := make([]error, len(profiles))
	var workers sync.WaitGroup
	for m, n := range profiles {
		workers.Go(func() {
			errs[m] = ss.b.recovered(func() error { return variants[m].solve(ctx, ss.b.profiles[n], ss.o, ss.price, ss.report) })
		})
	}
	workers.Wait()
	ss.rounds++
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
func (ss *setSearch) least(s *supplierSet, n int) (bound model.Money) {
	for _, v := range ss.all[n] {
		if v.solved && v.orders == nil && v.proof.bound > bound && v.opens(s.variants[n]) {
			bound = v.proof.bound
		}
	}
	return bound
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

// solve plans a profile's variant. Where that cannot be cut it plans it again with the stand-in, unless the variant supposes something of the
// orders: then it stays unsolved.
func (v *variant) solve(ctx context.Context, pp *profileProblem, o Options, price model.Money, report func(Progress)) error {
	if v.takeOver(pp, o) {
		return nil
	}
	for _, in := range []*standIn{nil, {length: pp.longestOffered(), price: price}} {
		if in != nil && v.orders != nil {
			return nil
		}
		o.restriction = &restriction{open: v.open, orders: v.orders, standIn: in, searchLimits: v.limits}
		restricted := pp.again(o)
		if len(restricted.cannotCut()) > 0 {
			continue
		}
		v.problem, v.standIn = newJointProblem(pp.w, []*profileProblem{restricted}, slices.ContainsFunc(v.orders, asks)), in
		found, err := v.problem.solve(ctx, o, report, false)
		var known *model.Error
		switch {
		case err == nil && v.solved && found.proof.bound < v.proof.bound: // less than was known, in less time perhaps
			return nil
		case err == nil:
			v.solutions, v.proof, v.solved, v.ok = found.solutions, found.proof, true, in == nil
			v.keep(pp, o)
			return nil
		case in != nil || !errors.As(err, &known) || known.Kind != model.CannotCut:
			return err
		}
	}
	return (&jointProblem{w: pp.w, profiles: []*profileProblem{pp}}).fault("it cannot be planned from any stick", nil)
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
	p := &setPlan{problem: &jointProblem{w: jp.w, terms: jp.terms}}
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
