package solver

import (
	"context"
	"math"
	"slices"

	"longpoint/solver/glpk"
)

// enumeration goes through all mixes, the numbers of sticks of each kind, that cost no more than a level and satisfy all cuts. It fixes the number of one
// kind after another. A cut bounds each of them by what the kinds that are still to come can give, and by what that costs at least, see price. The checker
// goes through them in the same order.
type enumeration struct {
	s    *search
	rows []*mixRow
	out  [][]int64 // mixes that are left out, and those with no more sticks of any kind

	order   []int       // the kinds, in the order in which their numbers are fixed
	level   float64     // no mix may cost more
	enough  int64       // a mix that costs no more ends it
	fixed   []int64     // the numbers fixed so far, in order
	left    [][]float64 // by how many are fixed and by row: what the other kinds must give
	killers [][]int     // by place in order: the rows that left no number there last
	best    []int64     // the cheapest mix found, by kind; nil: none
	cost    int64       // of it
	looks   int         // at rows
	full    bool        // enumerationLooks are used up
}

// mixRow is a cut in money: Σ coefficient · n ≥ least.
type mixRow struct {
	cut         *bendersCut
	coefficient []float64 // by kind
	least       float64
	gives       []float64  // by place: what the kinds from there on can give in all
	prices      [][2]price // by place: of the kinds from there on
	used        bool       // it bounds a number in the last enumeration
	kept        bool       // it is needed for the bound that is known
	idle        int        // enumerations since it was used
}

// price is a price for a unit that a cut asks for. Whatever the price, n_k sticks of kinds k that give a need cost
//
//	Σ_k c_k n_k  ≥  price · need + Σ_k min(0, c_k − price · coefficient_k) · most n_k
//
// The last sum is spare.
type price struct{ unit, spare float64 }

const (
	enumerationLooks    = 5_000_000 // at rows in one enumeration; the checker has time for many times as many
	enumerationPatience = 5_000     // after so many looks cuts are added up to one that may exclude all that is left
	enumerationIdle     = 12        // a row that was not used in so many enumerations is dropped
)

// enumerationError is by how much, as a share of the level, costs and cuts may be off in floating point.
const enumerationError = 1e-10

func newMixRow(s *search, c *bendersCut) *mixRow {
	r := &mixRow{cut: c, least: c.rhs / float64(s.scale)}
	for _, u := range c.coefficient {
		r.coefficient = append(r.coefficient, float64(u)/float64(s.scale))
	}
	return r
}

// excludes tells whether the row excludes a mix.
func (r *mixRow) excludes(mix []int64) bool {
	sum, size := 0.0, math.Abs(r.least)
	for k, n := range mix {
		sum += r.coefficient[k] * float64(n)
		size += math.Abs(r.coefficient[k]) * float64(n)
	}
	return sum < r.least-enumerationError*size
}

// setPrices works out, for the kinds from each place on, what they can give in all and two prices. At the least at which any of them gives, spare is 0; that says
// most where little is needed. At 1, the certificate's scale, or at the price of a kind without a limit where it is less, it says most where the kinds that give most
// for their cost are soon used up.
func (r *mixRow) setPrices(in *instance, order []int) {
	r.gives, r.prices = make([]float64, len(order)+1), make([][2]price, len(order)+1)
	least, second := math.Inf(1), 1.0
	for place := len(order) - 1; place >= 0; place-- {
		k := order[place]
		r.gives[place] = r.gives[place+1]
		if a := r.coefficient[k]; a > 0 && in.limit[k] > 0 {
			own := float64(in.cost[k]) / a
			r.gives[place] += a * float64(in.limit[k])
			least = min(least, own)
			if !in.limited[k] {
				second = min(second, own)
			}
		}
		r.prices[place] = [2]price{{unit: least}, {unit: second}}
		for _, o := range order[place:] {
			r.prices[place][1].spare += min(0, float64(in.cost[o])-second*r.coefficient[o]) * float64(in.limit[o])
		}
	}
}

// cheapest looks for the cheapest mix that costs no more than level; one that costs no more than enough will do. Nil: there is none. It reports false where there are too
// many mixes to go through.
func (e *enumeration) cheapest(ctx context.Context, level, enough int64) (mix []int64, ok bool, err error) {
	kinds := len(e.s.in.capacity)
	e.level, e.enough, e.best, e.looks, e.full, e.fixed = float64(level), enough, nil, 0, false, e.fixed[:0]
	e.setOrder()
	e.left, e.killers = make([][]float64, kinds+1), make([][]int, kinds+1)
	for _, r := range e.rows {
		r.setPrices(e.s.in, e.order)
		r.used = false
		e.left[0] = append(e.left[0], r.least)
	}
	if err := e.fix(ctx, 0); err != nil {
		return nil, false, err
	}
	e.dropRows()
	return e.best, !e.full, nil
}

// setOrder puts the kinds in the order of how many numbers of them there can be.
func (e *enumeration) setOrder() {
	kinds := len(e.s.in.capacity)
	width, left := make([]int64, kinds), make([]float64, len(e.rows))
	for t, r := range e.rows {
		left[t] = r.least
	}
	for k := range width {
		e.order = append(e.order[:0], k)
		for o := range width {
			if o != k {
				e.order = append(e.order, o)
			}
		}
		for _, r := range e.rows {
			r.setPrices(e.s.in, e.order)
		}
		sp := e.interval(0, left, 0)
		low, high := sp.ends()
		width[k] = high - low
	}
	slices.Sort(e.order)
	slices.SortStableFunc(e.order, func(a, b int) int { return int(min(1, max(-1, width[a]-width[b]))) })
}

// dropRows drops the rows that were not used for long. Those that were used last come first.
func (e *enumeration) dropRows() {
	for _, r := range e.rows {
		if r.idle++; r.used {
			r.idle = 0
		}
	}
	e.rows = slices.DeleteFunc(e.rows, func(r *mixRow) bool { return r.idle > enumerationIdle && !r.kept })
	slices.SortStableFunc(e.rows, func(a, b *mixRow) int { return a.idle - b.idle })
}

// addRow adds a cut, also while mixes are gone through.
func (e *enumeration) addRow(c *bendersCut) {
	r := newMixRow(e.s, c)
	e.rows = append(e.rows, r)
	if len(e.order) == 0 {
		return
	}
	r.setPrices(e.s.in, e.order)
	left := r.least
	for place := range len(e.fixed) + 1 {
		e.left[place] = append(e.left[place], left)
		if place < len(e.fixed) {
			left -= r.coefficient[e.order[place]] * float64(e.fixed[place])
		}
	}
}

// span is what the numbers of sticks of the kind at a place are bounded by, and the rows that do so; nil: none does.
type span struct {
	place           int
	paid            float64 // for the kinds before
	lowest, highest float64
	lower, upper    *mixRow
}

// span begins with what the kind's limit and the level leave.
func (e *enumeration) span(place int, paid float64) span {
	k := e.order[place]
	sp := span{place: place, paid: paid, highest: float64(e.s.in.limit[k])}
	if cost := float64(e.s.in.cost[k]); cost > 0 {
		sp.highest = min(sp.highest, (e.level+e.slack()-paid)/cost)
	}
	return sp
}

func (e *enumeration) slack() float64 { return enumerationError * max(1, e.level) }

// keepTo narrows a span to what a row leaves where so much is needed. It reports false where that is nothing.
func (e *enumeration) keepTo(sp *span, r *mixRow, need float64) bool {
	if need <= 0 {
		return true
	}
	k := e.order[sp.place]
	a, cost := r.coefficient[k], float64(e.s.in.cost[k])
	raise := func(v float64) {
		if v > sp.lowest {
			sp.lowest, sp.lower = v, r
		}
	}
	if short := need - r.gives[sp.place+1] - e.slack(); short > 0 {
		if a <= 0 {
			sp.lowest, sp.highest, sp.lower = 1, 0, r
			return false
		}
		raise(short / a)
	}
	for _, p := range r.prices[sp.place+1] {
		if math.IsInf(p.unit, 1) || p.unit == 0 {
			continue
		}
		// With n sticks, base + slope · n is by how much the mix costs more than the level at least.
		base, slope := sp.paid+need*p.unit+p.spare-e.level-e.slack(), cost-a*p.unit
		switch {
		case base <= 0 && slope > 0:
			if v := -base / slope; v < sp.highest {
				sp.highest, sp.upper = v, r
			}
		case base <= 0:
		case slope >= 0:
			sp.lowest, sp.highest, sp.lower = 1, 0, r
			return false
		default:
			raise(base / -slope)
		}
	}
	low, high := sp.ends()
	return low <= high
}

// ends are the least and the greatest whole number in the span.
func (sp *span) ends() (low, high int64) {
	return int64(math.Ceil(sp.lowest - enumerationError*max(1, sp.lowest))), int64(math.Floor(sp.highest + enumerationError*max(1, sp.highest)))
}

// interval is what all rows leave.
func (e *enumeration) interval(place int, left []float64, paid float64) span {
	sp := e.span(place, paid)
	for t, r := range e.rows {
		e.looks++
		if !e.keepTo(&sp, r, left[t]) {
			break
		}
	}
	sp.mark()
	return sp
}

// mark notes that the rows that bound the span are used.
func (sp *span) mark() {
	for _, r := range []*mixRow{sp.lower, sp.upper} {
		if r != nil {
			r.used = true
		}
	}
}

// dead tells whether the rows that left no number of the next kind last leave none with n sticks of the kind at a place either.
func (e *enumeration) dead(place int, n int64, paid float64) bool {
	sp := e.span(place+1, paid)
	for _, t := range e.killers[place+1] {
		e.looks++
		if r := e.rows[t]; !e.keepTo(&sp, r, e.left[place][t]-r.coefficient[e.order[place]]*float64(n)) {
			sp.mark()
			return true
		}
	}
	return false
}

// noteKillers notes the rows that left no number at a place.
func (e *enumeration) noteKillers(sp *span) {
	list := e.killers[sp.place][:0]
	for t, r := range e.rows {
		if r == sp.lower || r == sp.upper {
			list = append(list, t)
		}
	}
	e.killers[sp.place] = list
}

// fix fixes the number of the next kind, after those that are fixed and cost paid, to all there can be in turn.
func (e *enumeration) fix(ctx context.Context, paid float64) error {
	place := len(e.fixed)
	k := e.order[place]
	sp := e.interval(place, e.left[place], paid)
	low, high := sp.ends()
	if low > high {
		e.noteKillers(&sp)
		return nil
	}
	// Mixes like the root's relaxation come first: cuts from others say little of those that cost least.
	from := max(low, min(high, e.nearest(k)))
	if err := e.fixFrom(ctx, sp, from, 1, paid); err != nil || e.done() {
		return err
	}
	return e.fixFrom(ctx, sp, from-1, -1, paid)
}

// fixFrom fixes the number of the next kind to all in a span from one number on, up or down.
func (e *enumeration) fixFrom(ctx context.Context, sp span, from, step int64, paid float64) error {
	place, k := sp.place, e.order[sp.place]
	low, high := sp.ends()
	start, patience := e.looks, enumerationPatience
	for n := from; low <= n && n <= high; n += step {
		if e.looks++; e.looks > enumerationLooks {
			e.full = true
		}
		if err := e.fixTo(ctx, n, paid+float64(e.s.in.cost[k])*float64(n)); err != nil || e.done() {
			return err
		}
		changed := e.best != nil
		if place < len(e.order)-1 && e.looks-start > patience {
			patience *= 4
			if err := ctx.Err(); err != nil {
				return err
			}
			box := [2]int64{n + step, high}
			if step < 0 {
				box = [2]int64{low, n + step}
			}
			added, err := e.addUp(box[0], box[1], k)
			if err != nil {
				return err
			}
			changed = changed || added
		}
		if changed {
			sp = e.interval(place, e.left[place], paid)
			low, high = sp.ends()
			if step > 0 {
				n = max(n, low-1)
			} else {
				n = min(n, high+1)
			}
		}
	}
	return nil
}

// nearest is the number of sticks of a kind in the root's relaxation, rounded down; 0 where that is not known.
func (e *enumeration) nearest(k int) int64 {
	if e.s.rootMix == nil {
		return 0
	}
	return int64(e.s.rootMix[k] + zeroTolerance)
}

// done tells whether nothing more is looked for.
func (e *enumeration) done() bool { return e.full || e.best != nil && e.cost <= e.enough }

// fixTo fixes the number of the next kind and goes on with those after it.
func (e *enumeration) fixTo(ctx context.Context, n int64, paid float64) error {
	place := len(e.fixed)
	last := place == len(e.order)-1
	if !last && e.dead(place, n, paid) {
		return nil
	}
	e.fixed = append(e.fixed, n)
	defer func() { e.fixed = e.fixed[:place] }()
	if last {
		e.note()
		return nil
	}
	next := e.left[place+1][:0]
	for t, r := range e.rows {
		next = append(next, e.left[place][t]-r.coefficient[e.order[place]]*float64(n))
	}
	e.left[place+1] = next
	return e.fix(ctx, paid)
}

// note notes the mix that is fixed, unless it is left out. Only cheaper ones are looked for from now on.
func (e *enumeration) note() {
	mix := make([]int64, len(e.order))
	var cost int64
	for place, n := range e.fixed {
		mix[e.order[place]] = n
		cost += n * e.s.in.cost[e.order[place]]
	}
	for _, o := range e.out {
		if !slices.ContainsFunc(e.order, func(k int) bool { return mix[k] > o[k] }) {
			return
		}
	}
	e.best, e.cost, e.level = mix, cost, float64(cost-1)
}

// addUp adds cuts up to one that excludes all mixes with the numbers fixed so far and from low to high sticks of kind k. It reports false where it finds none.
func (e *enumeration) addUp(low, high int64, k int) (bool, error) {
	s := e.s
	if low > high || len(s.cuts) == 0 {
		return false, nil
	}
	bounds := make([]glpk.Bounds, len(s.in.capacity))
	for o := range bounds {
		bounds[o].Upper = float64(s.in.limit[o])
	}
	for place, n := range e.fixed {
		bounds[e.order[place]] = glpk.Bounds{Lower: float64(n), Upper: float64(n)}
	}
	bounds[k] = glpk.Bounds{Lower: float64(low), Upper: float64(high)}
	weights, _, value, ok, err := s.weighCuts(bounds)
	if err != nil || !ok || value <= e.level+e.slack() {
		return false, err
	}
	sum, ok := s.weightedCut(weights)
	if !ok || !s.weighDemand(sum) {
		return false, nil
	}
	e.addRow(sum)
	return true, nil
}
