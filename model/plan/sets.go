package plan

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"longpoint/model"
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
// they are the cheapest there is. It takes no more searches than there are sets for each profile of those suppliers
// that offer it.

// maxSets bounds the sets of suppliers that are tried: beyond, the profiles are planned as one problem only.
const maxSets = 32

// standIn is a kind of stick that stands for what cannot be bought where a profile cannot be cut from the rest: as long
// as the longest stick of any list, in any number, at a price that no plan pays. Nothing like it can be bought, so that a
// bound with it is one without it too.
type standIn struct {
	length model.Length
	price  model.Money
}

// alone restricts a task to the suppliers without terms and the open ones, all without terms.
type alone struct {
	open    []string // by name
	standIn *standIn // nil: none
}

// variant is a task with its batch for one set of open suppliers, and what was found.
type variant struct {
	batch   *batch
	open    []string // those of the set that offer the profile
	standIn *standIn
	courses []course
	cost    model.Money
	proof   proof
	ok      bool // there is a plan without the stand-in
	of      int  // how many variants the task has
}

// variants keeps what was found for profiles alone, for further plans of the same workshop that differ in one price list.
type variants struct {
	mu    sync.Mutex
	found map[string]*variant
}

// key is that of a variant of a profile.
func (v *variant) key(t *task) string { return fmt.Sprintf("%q %q", t.profile.Name, v.open) }

// takeOver takes over what is known of a task's variant, and says whether there was anything. Nothing is where the plan is to
// do without one of the profile's price lists.
func (v *variant) takeOver(t *task, o Options) bool {
	if o.known == nil || o.without != nil && o.without.Profile == t.profile.Name {
		return false
	}
	o.known.mu.Lock()
	defer o.known.mu.Unlock()
	known := o.known.found[v.key(t)]
	if known != nil {
		*v = *known
	}
	return known != nil
}

// keep notes what was found, as takeOver would take it.
func (v *variant) keep(t *task, o Options) {
	if o.known == nil || o.without != nil && o.without.Profile == t.profile.Name {
		return
	}
	o.known.mu.Lock()
	defer o.known.mu.Unlock()
	o.known.found[v.key(t)] = v
}

// set is one set of suppliers: which variant each task has in it.
type set struct {
	open     []string
	delivery model.Money
	variants []*variant
}

// sets lists the subsets of the batch's suppliers, the empty one first, with their variants, each variant once. It gives
// nil where there are too many.
func (b *batch) sets() (sets []set, all []*variant) {
	if len(b.terms) >= 31 || 1<<len(b.terms) > maxSets {
		return nil, nil
	}
	known := make([]map[string]*variant, len(b.tasks))
	for bits := range 1 << len(b.terms) {
		one := set{open: []string{}}
		for n, s := range b.terms {
			if bits>>n&1 == 1 {
				one.open = append(one.open, s.Name)
				one.delivery += s.Delivery
			}
		}
		for n, t := range b.tasks {
			open := []string{}
			for _, name := range one.open {
				if slices.ContainsFunc(t.supplies, func(s supply) bool { return s.supplier == name }) {
					open = append(open, name)
				}
			}
			key := fmt.Sprintf("%q", open)
			if known[n] == nil {
				known[n] = map[string]*variant{}
			}
			if known[n][key] == nil {
				known[n][key] = &variant{open: open}
				all = append(all, known[n][key])
			}
			one.variants = append(one.variants, known[n][key])
		}
		sets = append(sets, one)
	}
	return sets, all
}

// solveSets plans the batch's profiles alone for every set of suppliers, several at the same time. It gives the best plan
// of all that they make together, nil where there is none, what they prove, and why one of them is open, if one is.
func (b *batch) solveSets(ctx context.Context, o Options, report func(Progress)) (best *setPlan, bound model.Money, cases []Case, open string, err error) {
	sets, all := b.sets()
	if len(sets) == 0 {
		return nil, 0, nil, "", nil
	}
	if err := b.solveVariants(ctx, o, sets, all, report); err != nil {
		return nil, 0, nil, "", err
	}
	bound = maxSum
	for _, s := range sets {
		sum, possible := s.delivery, true
		for _, v := range s.variants {
			sum += v.proof.bound
			possible = possible && v.ok
		}
		bound = min(bound, sum)
		if possible {
			if p := b.planOf(s); p != nil && (best == nil || p.cost < best.cost) {
				best = p
			}
		}
	}
	seen := map[*variant]bool{}
	for n, t := range b.tasks {
		for _, s := range sets {
			if v := s.variants[n]; !seen[v] {
				seen[v] = true
				c := Case{Profile: t.profile.Name, Open: v.open, Bound: v.proof.bound, Cuts: v.proof.cuts}
				if v.standIn != nil {
					c.StandIn = v.standIn.price
				}
				cases = append(cases, c)
				if v.proof.gap > 0 && open == "" {
					open = t.profile.Name + " alone: " + v.proof.reason
				}
			}
		}
	}
	return best, bound, cases, open, nil
}

// solveVariants searches them, several at the same time.
func (b *batch) solveVariants(ctx context.Context, o Options, sets []set, all []*variant, report func(Progress)) error {
	of := map[*variant]*task{}
	for _, s := range sets {
		for n, v := range s.variants {
			of[v] = b.tasks[n]
		}
	}
	for n := range b.tasks {
		own := map[*variant]bool{}
		for _, s := range sets {
			own[s.variants[n]] = true
		}
		for v := range own {
			v.of = len(own)
		}
	}
	price := b.unpayable()
	errs := make([]error, len(all))
	next := make(chan int)
	var workers sync.WaitGroup
	for range min(o.Workers, len(all)) {
		workers.Go(func() {
			for n := range next {
				v, t := all[n], of[all[n]]
				if v.takeOver(t, o) {
					continue
				}
				errs[n] = b.caught(func() error { return v.solve(ctx, t, o, price, report) })
				if errs[n] == nil {
					v.keep(t, o)
				}
			}
		})
	}
	for n := range all {
		next <- n
	}
	close(next)
	workers.Wait()
	return join(errs)
}

// unpayable is a price that no cheapest plan pays for a stick.
func (b *batch) unpayable() model.Money {
	hand := b.firstFit()
	price := model.Money(1)
	for _, f := range hand.figures {
		price += 2 * f.Cost
	}
	return min(price, solver.MaxCost/2)
}

// solve plans a task's variant; where it cannot be planned, once more with the stand-in.
func (v *variant) solve(ctx context.Context, t *task, o Options, price model.Money, report func(Progress)) error {
	o.TimeLimit /= time.Duration(v.of) // the limit is a profile's
	for _, in := range []*standIn{nil, {length: t.longestOffered(), price: price}} {
		o.alone = &alone{open: v.open, standIn: in}
		g := t.group
		g.warnings = g.warnings[:t.given:t.given]
		one := newTask(t.w, g, o)
		if len(one.cannotCut()) > 0 {
			continue
		}
		v.batch, v.standIn = &batch{w: t.w, tasks: []*task{one}}, in
		v.batch.fill()
		found, err := v.batch.solve(ctx, o, report)
		var known *model.Error
		switch {
		case err == nil:
			v.courses, v.cost, v.proof, v.ok = found.courses, found.cost, found.proof, in == nil
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

// planOf puts the plans of a set together, and brings the orders up to what the suppliers ask; nil where that cannot be.
func (b *batch) planOf(s set) *setPlan {
	p := &setPlan{batch: &batch{w: b.w, terms: b.terms}}
	for _, v := range s.variants {
		p.batch.tasks = append(p.batch.tasks, v.batch.tasks[0])
		c := v.courses[0]
		c.bundles = slices.Clone(c.bundles)
		p.courses = append(p.courses, c)
	}
	p.batch.trim(p.courses)
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
