package planner

import (
	"context"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// mostExchanged is how many sticks are looked at for exchanges at most: their pairs are gone through again and again.
const mostExchanged = 150

// bothOrdered is up to how many sticks a plan is put in order with and without exchanges, to see which is better; beyond that
// the search takes longer, and a simpler plan is taken to be better.
const bothOrdered = 12

// simplified gives solutions of the same cost that are simpler to cut, where there are any.
func (jp *jointProblem) simplified(ctx context.Context, all []solution) []solution {
	all = slices.Clone(all)
	for n, pp := range jp.profiles {
		all[n].layouts = pp.simplify(ctx, all[n])
	}
	return all
}

// simplerLayouts finds layouts of the same units on the same sticks, no dearer, that are likely to need fewer settings: the sticks
// have fewer lengths each, and fewer lengths of which they have an odd number, for a pair on one stick holds no stop. No
// less is kept in offcuts, and the longest rest is no shorter. It exchanges units between sticks and, where patterns repeat,
// tries fewer of them.
func (pp *profileProblem) simplerLayouts(ctx context.Context, layouts []layout) (simpler []layout, found bool) {
	best := newExchange(pp, layouts)
	if len(best.sticks) > mostExchanged {
		return nil, false
	}
	before, kept, longest := best.setUpCost(), best.kept(), best.longest()
	best.improve()
	if fewer := pp.fewerPatterns(ctx, layouts); fewer != nil {
		other := newExchange(pp, fewer)
		if len(other.sticks) == len(best.sticks) && other.kept() >= kept && other.longest() >= longest {
			if other.improve(); other.setUpCost() < best.setUpCost() {
				best = other
			}
		}
	}
	if best.setUpCost() == before || best.bare() {
		return nil, false
	}
	return best.layouts(), true
}

// fewerPatterns gives the layouts in fewer patterns where patterns repeat, else nothing.
func (pp *profileProblem) fewerPatterns(ctx context.Context, layouts []layout) []layout {
	own := *pp // as a problem of its own
	own.firstItem, own.firstKind = 0, 0
	patterns := own.patterns(layouts)
	if len(layouts) < 2*len(patterns) {
		return nil
	}
	var p solver.Problem
	for _, it := range pp.items {
		p.Items = append(p.Items, solver.Item{Length: int64(it.need)})
	}
	for _, k := range pp.kinds {
		p.Kinds = append(p.Kinds, solver.Kind{Length: int64(k.usable), Credit: k.credit})
	}
	return own.layouts(solver.FewerPatterns(ctx, p, patterns))
}

// simplify gives the simplest layouts; those of the solution itself where there are none, or where they are seen not to run
// better.
func (pp *profileProblem) simplify(ctx context.Context, sol solution) []layout {
	simpler, found := pp.simplerLayouts(ctx, sol.layouts)
	if !found || len(sol.layouts) <= bothOrdered && !pp.runsBetter(simpler, sol) {
		return sol.layouts
	}
	return simpler
}

// runsBetter says whether a solution with other layouts needs fewer pick-ups stick by stick, or as many and fewer settings.
func (pp *profileProblem) runsBetter(layouts []layout, sol solution) bool {
	run := func(sol solution) plan.Run {
		return pp.runs.Figures(pp.w, pp.profile.Name, plan.StickByStick, pp.sticks(sol))
	}
	other := sol
	other.layouts = layouts
	x, y := run(other), run(sol)
	return x.PickUps < y.PickUps || x.PickUps == y.PickUps && x.Settings < y.Settings
}

// exchange is sticks with how many they hold of each item.
type exchange struct {
	t      *profileProblem
	sticks []exchangeStick
}

type exchangeStick struct {
	kind  int
	count []int64 // by item
	rest  int64   // of what is usable
}

// portion is a number of units of one item; none where n is 0.
type portion struct {
	item int
	n    int64
}

func newExchange(pp *profileProblem, layouts []layout) *exchange {
	e := &exchange{t: pp}
	for _, l := range layouts {
		if len(l.items) == 0 {
			continue
		}
		s := exchangeStick{kind: l.kind, count: make([]int64, len(pp.items)), rest: int64(pp.kinds[l.kind].usable)}
		for _, i := range l.items {
			s.count[i]++
			s.rest -= int64(pp.items[i].need)
		}
		e.sticks = append(e.sticks, s)
	}
	return e
}

// bare says whether nothing is left on some stick.
func (e *exchange) bare() bool {
	return slices.ContainsFunc(e.sticks, func(s exchangeStick) bool { return s.rest == int64(e.t.kinds[s.kind].usable) })
}

// keeps is how much of a stick is kept when so much of what is usable is left.
func (e *exchange) keeps(kind int, rest int64) int64 {
	k := e.t.kinds[kind]
	if left := e.t.left(k, k.usable-model.Length(rest)); left.Becomes == plan.Kept {
		return int64(left.Length)
	}
	return 0
}

// kept is how much is kept of all sticks.
func (e *exchange) kept() int64 {
	var sum int64
	for _, s := range e.sticks {
		sum += e.keeps(s.kind, s.rest)
	}
	return sum
}

// longest is the longest rest.
func (e *exchange) longest() int64 {
	var most int64
	for _, s := range e.sticks {
		most = max(most, s.rest)
	}
	return most
}

// setUpCost is what the sticks cost in settings, one by one.
func (e *exchange) setUpCost() int {
	n := 0
	for _, s := range e.sticks {
		for _, count := range s.count {
			n += setUpCost(count)
		}
	}
	return n
}

// improve makes exchanges between any two sticks as long as one is for the better.
func (e *exchange) improve() {
	for again := true; again; {
		again = false
		for a := range e.sticks {
			for b := a + 1; b < len(e.sticks); b++ {
				again = e.between(a, b) || again
			}
		}
	}
}

// between makes the best exchange between two sticks, where one is for the better.
func (e *exchange) between(a, b int) bool {
	x, y := &e.sticks[a], &e.sticks[b]
	best := 0
	var give, get portion
	for _, from := range portionsOf(x.count) {
		for _, back := range portionsOf(y.count) {
			if from.item == back.item || from.n == 0 && back.n == 0 {
				continue
			}
			if gain := e.gain(x, y, from, back); gain > best && e.may(a, b, from, back) {
				best, give, get = gain, from, back
			}
		}
	}
	if best == 0 {
		return false
	}
	e.move(x, y, give)
	e.move(y, x, get)
	return true
}

// portionsOf lists nothing, and every number of every item that a stick has.
func portionsOf(count []int64) []portion {
	all := []portion{{item: -1}}
	for i, n := range count {
		for q := int64(1); q <= n; q++ {
			all = append(all, portion{i, q})
		}
	}
	return all
}

// gain is by how much an exchange makes two sticks simpler.
func (e *exchange) gain(x, y *exchangeStick, from, back portion) int {
	gain := 0
	for _, l := range []struct {
		portion
		giver, taker *exchangeStick
	}{{from, x, y}, {back, y, x}} {
		if l.n > 0 {
			g, t := l.giver.count[l.item], l.taker.count[l.item]
			gain += setUpCost(g) + setUpCost(t) - setUpCost(g-l.n) - setUpCost(t+l.n)
		}
	}
	return gain
}

// setUpCost is what it costs a stick to have so many pieces of a length: a setting, and another where one of a pair is elsewhere.
func setUpCost(n int64) int {
	if n == 0 {
		return 0
	}
	return 1 + int(n%2)
}

// may says whether an exchange fits, costs nothing, keeps as much, and leaves the longest rest as long as it is.
func (e *exchange) may(a, b int, from, back portion) bool {
	x, y := &e.sticks[a], &e.sticks[b]
	less := e.length(back) - e.length(from) // that is left of x
	if x.rest < less || y.rest < -less || !e.holds(x.kind, back) || !e.holds(y.kind, from) {
		return false
	}
	keptX, keptY := e.keeps(x.kind, x.rest), e.keeps(y.kind, y.rest)
	nowX, nowY := e.keeps(x.kind, x.rest-less), e.keeps(y.kind, y.rest+less)
	if nowX+nowY < keptX+keptY || (nowX != keptX || nowY != keptY) && (e.credits(x.kind) || e.credits(y.kind)) {
		return false // what is kept of each stick counts where it is credited
	}
	if before := max(x.rest, y.rest); max(x.rest-less, y.rest+less) < before {
		for i, s := range e.sticks {
			if i != a && i != b && s.rest >= before {
				return true
			}
		}
		return false
	}
	return true
}

func (e *exchange) length(l portion) int64 {
	if l.n == 0 {
		return 0
	}
	return l.n * int64(e.t.items[l.item].need)
}

// holds says whether a kind of stick may hold an item.
func (e *exchange) holds(kind int, l portion) bool {
	if l.n == 0 {
		return true
	}
	lot := e.t.items[l.item].lot
	return lot == free || lot == e.t.kinds[kind].lot
}

// credits says whether what is left of a stick of a kind counts for the cost.
func (e *exchange) credits(kind int) bool { return e.t.kinds[kind].credit.Num != 0 }

func (e *exchange) move(from, to *exchangeStick, l portion) {
	if l.n == 0 {
		return
	}
	from.count[l.item] -= l.n
	to.count[l.item] += l.n
	from.rest += e.length(l)
	to.rest -= e.length(l)
}

// layouts gives the sticks as layouts in cutting order.
func (e *exchange) layouts() []layout {
	var layouts []layout
	for _, s := range e.sticks {
		l := layout{kind: s.kind}
		for i, n := range s.count {
			for range n {
				l.add(e.t, i)
			}
		}
		layouts = append(layouts, l)
	}
	slices.SortStableFunc(layouts, e.t.cuttingOrder)
	return layouts
}
