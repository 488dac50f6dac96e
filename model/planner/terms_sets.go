package planner

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
	"slices"
	"sync"
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
// they are the cheapest there is. Where they do not, profiles are planned for orders of so much (amounts.go).

// maxSets bounds the sets of suppliers that are tried: beyond, the profiles are planned as one problem only.
const maxSets = 32

// standIn is a kind of stick that stands for what cannot be bought where a profile cannot be cut from the rest: as long
// as the longest stick of any list, in any number, at a price that no plan pays. Nothing like it can be bought, so that a
// bound with it is one without it too.
type standIn struct {
	length model.Length
	price  model.Money
}

// alone restricts a task to the suppliers without terms and the open ones, all without terms but for what is said of its orders.
type alone struct {
	open    []string // by name
	orders  []plan.Ordered
	standIn *standIn // nil: none
	effort
}

// effort is how far a search goes.
type effort struct {
	enough model.Money // a bound that is as good as any higher one; 0: none is
	nodes  int         // of the search tree at most; 0: any number
}

// variant is a task with its batch for one set of open suppliers, and what was found.
type variant struct {
	batch   *batch
	open    []string // those of the set that offer the profile
	orders  []plan.Ordered
	effort  effort
	standIn *standIn
	courses []course
	proof   proof
	profile string
	tried   bool // to be solved, for orders of so much
	solved  bool
	ok      bool // there is a plan, without the stand-in
}

// Memory keeps what was found for profiles alone, for further plans of the same workshop by the same options, such as those
// of NextBests. It serves the workshop, the day and the end of the jobs that it first served, and no others: a plan of
// others that is given it does without. The workshop must not change meanwhile. Several goroutines may use it.
type Memory struct {
	mu        sync.Mutex
	found     map[string]*variant
	of        *model.Workshop
	on, until model.Date
}

// serves tells whether the memory is of a workshop and options, and makes it so where it is of none yet.
func (m *Memory) serves(w *model.Workshop, o Options) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.of == nil {
		m.of, m.on, m.until = w, o.On, o.Until
	}
	return m.of == w && m.on == o.On && m.until == o.Until
}

// NewMemory gives an empty one.
func NewMemory() *Memory { return &Memory{found: map[string]*variant{}} }

// key is that of a variant of a profile.
func (v *variant) key(t *task) string { return fmt.Sprintf("%q %q", t.profile.Name, v.open) }

// takeOver takes over what is known of a task's variant, and says whether there was anything. Nothing is where the plan is to
// do without one of the profile's price lists, or has so much ordered.
func (v *variant) takeOver(t *task, o Options) bool {
	if o.Memory == nil || v.orders != nil || o.without != nil && o.without.Profile == t.profile.Name {
		return false
	}
	o.Memory.mu.Lock()
	defer o.Memory.mu.Unlock()
	known := o.Memory.found[v.key(t)]
	if known != nil {
		*v = *known
	}
	return known != nil
}

// keep notes what was found, as takeOver would take it.
func (v *variant) keep(t *task, o Options) {
	if o.Memory == nil || v.orders != nil || o.without != nil && o.without.Profile == t.profile.Name {
		return
	}
	o.Memory.mu.Lock()
	defer o.Memory.mu.Unlock()
	o.Memory.found[v.key(t)] = v
}

// set is one set of suppliers: which variant each task has in it.
type set struct {
	open     []string
	delivery model.Money
	variants []*variant
	ordering *ordering // the work on orders that come to what they must; nil: not begun
}

// search is the work on the sets of a batch's suppliers.
type search struct {
	b      *batch
	o      Options
	report func(Progress)
	price  model.Money  // of the stand-in
	sets   []*set       // the empty one first
	all    [][]*variant // of each task
	best   *setPlan
	bound  model.Money // of every plan
	open   string      // why a profile alone was left open, if one was
	late   bool        // the time for orders of so much was up
	rounds int         // how often variants were solved, and so how much is known; not 0
}

// newSearch lists the subsets of the batch's suppliers with their variants, each variant once. It gives nil where there are
// too many.
func (b *batch) newSearch(o Options, report func(Progress)) *search {
	if len(b.terms) >= 31 || 1<<len(b.terms) > maxSets {
		return nil
	}
	w := &search{b: b, o: o, report: report, price: b.unpayable(), rounds: 1, all: make([][]*variant, len(b.tasks))}
	for bits := range 1 << len(b.terms) {
		one := &set{open: []string{}}
		for n, s := range b.terms {
			if bits>>n&1 == 1 {
				one.open = append(one.open, s.Name)
				one.delivery += s.Delivery
			}
		}
		for n, t := range b.tasks {
			open := slices.DeleteFunc(slices.Clone(one.open), func(name string) bool { return !t.offered(name) })
			one.variants = append(one.variants, w.variant(n, open, nil))
		}
		w.sets = append(w.sets, one)
	}
	return w
}

// offered says whether a supplier offers the task's profile.
func (t *task) offered(supplier string) bool {
	return slices.ContainsFunc(t.supplies, func(s supply) bool { return s.supplier == supplier })
}

// variant gives a task's variant, known or new.
func (w *search) variant(n int, open []string, orders []plan.Ordered) *variant {
	for _, v := range w.all[n] {
		if slices.Equal(v.open, open) && slices.Equal(v.orders, orders) {
			return v
		}
	}
	v := &variant{open: open, orders: orders, profile: w.b.tasks[n].profile.Name}
	w.all[n] = append(w.all[n], v)
	return v
}

// solveSets plans the batch's profiles alone for sets of suppliers. With all suppliers open it plans each of them; with
// fewer open a profile costs no less than with more, and so of any other set only as many are planned as it takes to see
// that it is no better, those first that are likely to show it. Then it does the same for orders that come to what they
// must. It gives nil where there are too many sets.
func (b *batch) solveSets(ctx context.Context, o Options, report func(Progress)) (*search, []plan.Case, error) {
	w := b.newSearch(o, report)
	if w == nil {
		return nil, nil, nil
	}
	for _, s := range slices.Backward(w.sets) { // all open, then fewer
		if err := w.try(ctx, s); err != nil {
			return nil, nil, err
		}
	}
	if err := w.fillOrders(ctx); err != nil {
		return nil, nil, err
	}
	w.bound = maxSum
	for _, s := range w.sets {
		w.bound = min(w.bound, w.boundOf(s))
	}
	var cases []plan.Case
	for n := range w.all {
		for _, v := range w.all[n] {
			if !v.solved {
				continue
			}
			c := plan.Case{Profile: v.profile, Open: v.open, Orders: v.orders, Bound: v.proof.bound, Cuts: v.proof.cuts}
			if v.standIn != nil {
				c.StandIn = v.standIn.price
			}
			cases = append(cases, c)
			if v.proof.gap > 0 && w.open == "" && v.orders == nil {
				w.open = v.profile + " alone: " + v.proof.reason
			}
		}
	}
	return w, cases, nil
}

// try plans profiles of a set until it is seen to be no better than the best plan, or all of them are planned.
func (w *search) try(ctx context.Context, s *set) error {
	var rest []int
	for n, v := range s.variants {
		if !v.solved {
			rest = append(rest, n)
		}
	}
	gain := map[int]model.Money{}
	for _, n := range rest {
		gain[n] = s.variants[n].promise(w.b.tasks[n], w.o) - w.least(s, n)
	}
	slices.SortStableFunc(rest, func(x, y int) int { return cmp.Compare(gain[y], gain[x]) })
	for len(rest) > 0 && (w.best == nil || w.boundOf(s) < w.best.cost) {
		now := rest[:min(len(rest), w.o.Workers)]
		rest = rest[len(now):]
		var variants []*variant
		for _, n := range now {
			variants = append(variants, s.variants[n])
		}
		if err := w.solve(ctx, now, variants); err != nil {
			return err
		}
	}
	if !slices.ContainsFunc(s.variants, func(v *variant) bool { return !v.ok }) {
		var plans []alonePlan
		for _, v := range s.variants {
			plans = append(plans, alonePlan{v, v.courses[0]})
		}
		w.take(w.b.planOf(plans))
	}
	return nil
}

// take takes a plan that is better than the best.
func (w *search) take(p *setPlan) {
	if p != nil && (w.best == nil || p.cost < w.best.cost) {
		w.best = p
	}
}

// solve plans variants of tasks side by side.
func (w *search) solve(ctx context.Context, tasks []int, variants []*variant) error {
	errs := make([]error, len(tasks))
	var workers sync.WaitGroup
	for m, n := range tasks {
		workers.Go(func() {
			errs[m] = w.b.caught(func() error { return variants[m].solve(ctx, w.b.tasks[n], w.o, w.price, w.report) })
		})
	}
	workers.Wait()
	w.rounds++
	return join(errs)
}

// boundOf is what every plan costs at least that orders from all of the set, as far as it is known.
func (w *search) boundOf(s *set) model.Money {
	sum := s.delivery
	for n := range s.variants {
		sum += w.least(s, n)
	}
	if s.ordering != nil {
		sum = max(sum, s.ordering.bound)
	}
	return sum
}

// least is what a profile costs at least in the set, whatever it orders: the greatest bound of its variants in which no fewer
// suppliers are open.
func (w *search) least(s *set, n int) (bound model.Money) {
	for _, v := range w.all[n] {
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

// promise guesses what a variant costs: as much as first-fit, or more than any plan where it cannot be cut.
func (v *variant) promise(t *task, o Options) model.Money {
	o.alone = &alone{open: v.open}
	one := t.again(o)
	if len(one.cannotCut()) > 0 {
		return maxSum
	}
	c, leftOver := one.firstFit()
	if leftOver > 0 {
		return maxSum
	}
	return one.figures(c, 0).Cost
}

// again makes the task once more, by other options.
func (t *task) again(o Options) *task {
	g := t.group
	g.warnings = g.warnings[:t.given:t.given]
	return newTask(t.w, g, o)
}

// unpayable is a price that no cheapest plan pays for a stick: above what a plan of first-fit costs, or everything that a cheapest
// plan might use.
func (b *batch) unpayable() model.Money {
	hand := b.firstFit()
	price := model.Money(1)
	for n, t := range b.tasks {
		price += 2 * hand.figures[n].Cost
		if hand.complete() {
			continue
		}
		for _, k := range t.kinds {
			price += k.value * model.Money(len(k.rack))
		}
		for _, s := range t.supplies {
			price += s.pays(max(s.most, s.tiers[0].from))
		}
	}
	if !hand.complete() {
		for _, s := range b.terms {
			price += s.Delivery
		}
	}
	return min(price, solver.MaxCost/2)
}

// solve plans a task's variant; where it cannot be planned, once more with the stand-in, but for one that orders so much: that
// stays unsolved.
func (v *variant) solve(ctx context.Context, t *task, o Options, price model.Money, report func(Progress)) error {
	if v.takeOver(t, o) {
		return nil
	}
	for _, in := range []*standIn{nil, {length: t.longestOffered(), price: price}} {
		if in != nil && v.orders != nil {
			return nil
		}
		o.alone = &alone{open: v.open, orders: v.orders, standIn: in, effort: v.effort}
		one := t.again(o)
		if len(one.cannotCut()) > 0 {
			continue
		}
		v.batch, v.standIn = &batch{w: t.w, tasks: []*task{one}, forced: slices.ContainsFunc(v.orders, asks)}, in
		v.batch.fill()
		found, err := v.batch.solve(ctx, o, report, false)
		var known *model.Error
		switch {
		case err == nil && v.solved && found.proof.bound < v.proof.bound: // less than was known, in less time perhaps
			return nil
		case err == nil:
			v.courses, v.proof, v.solved, v.ok = found.courses, found.proof, true, in == nil
			v.keep(t, o)
			return nil
		case in != nil || !errors.As(err, &known) || known.Kind != model.CannotCut:
			return err
		}
	}
	return (&batch{w: t.w, tasks: []*task{t}}).fault("it cannot be planned from any stick", nil)
}

// longestOffered is the longest stick of the task's lists.
func (t *task) longestOffered() (longest model.Length) {
	for _, s := range t.supplies {
		longest = max(longest, s.length)
	}
	return longest
}

// setPlan is a plan of all the batch's profiles, made of their plans alone.
type setPlan struct {
	batch   *batch
	courses []course
	cost    model.Money
}

// alonePlan is a plan of one profile alone.
type alonePlan struct {
	of     *variant
	course course
}

// planOf puts plans of all profiles together, and brings the orders up to what the suppliers ask; nil where that cannot be.
func (b *batch) planOf(plans []alonePlan) *setPlan {
	p := &setPlan{batch: &batch{w: b.w, terms: b.terms}}
	for _, one := range plans {
		p.batch.tasks = append(p.batch.tasks, one.of.batch.tasks[0])
		c := one.course
		c.bundles = slices.Clone(c.bundles)
		p.courses = append(p.courses, c)
	}
	p.batch.trim(p.courses, supply.pays)
	p.batch.topUp(p.courses)
	if !p.batch.allowed(p.courses, nil) {
		return nil
	}
	deliveries := p.batch.deliveries(p.courses)
	for n, t := range p.batch.tasks {
		p.cost += t.figures(p.courses[n], deliveries[n]).Cost
	}
	return p
}
