package planner

import (
	"cmp"
	"slices"

	"longpoint/model"
)

// Of plans that cost the same and open as many sticks the one with the longest single offcut is wanted: one long piece
// serves, five short ones are firewood. No stick changes but for what is cut from it. For each of the sticks that might
// give the longest offcut its units are moved to the others, two sticks at a time: of all that the two hold, the other one
// gets what fills it best (a subset sum, exactly), until nothing more moves. That is a local search and finds no
// longer offcut than there is, but not always the longest. Its work is bounded in steps, not in time, so that the same
// plan always gives the same.

const (
	lengthenTries = 8      // sticks that are tried, those with the longest offcuts first
	lengthenPairs = 2_000  // pairs of sticks that are refilled for one of them
	lengthenSteps = 20_000 // steps of each search for a subset
)

// lengthen gives layouts of the same units on the same sticks, with a longest offcut no shorter. Where a profile's offcuts
// are credited, or none is kept, it leaves the layouts as they are.
func (pp *profileProblem) lengthen(layouts []layout) []layout {
	credited := slices.ContainsFunc(pp.kinds, func(k kind) bool { return k.credit.Num > 0 })
	if len(layouts) < 2 || credited || pp.profile.Keep <= 0 {
		return layouts
	}
	order := make([]int, len(layouts))
	for n := range order {
		order[n] = n
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(pp.offcut(layouts[b]), pp.offcut(layouts[a])) })
	best := layouts
	for _, n := range order[:min(len(order), lengthenTries)] {
		if tried := pp.empty(layouts, n); pp.longestOf(tried) > pp.longestOf(best) {
			best = tried
		}
	}
	if pp.longestOf(best) < pp.profile.Keep {
		return layouts
	}
	best = slices.Clone(best)
	slices.SortStableFunc(best, pp.cuttingOrder)
	return best
}

// offcut is what is left of a layout's stick or part.
func (pp *profileProblem) offcut(l layout) model.Length {
	k := pp.kinds[l.kind]
	return k.usable - l.used + k.extra
}

func (pp *profileProblem) longestOf(layouts []layout) (longest model.Length) {
	for _, l := range layouts {
		longest = max(longest, pp.offcut(l))
	}
	return longest
}

// empty moves as much as it can off one stick, but not all.
func (pp *profileProblem) empty(layouts []layout, n int) []layout {
	out := slices.Clone(layouts)
	pairs := 0
	for moved := true; moved; {
		moved = false
		for m := range out {
			if m == n {
				continue
			}
			if pairs++; pairs > lengthenPairs {
				return out
			}
			if to, from, better := pp.refill(out[m], out[n]); better {
				out[m], out[n], moved = to, from, true
			}
		}
	}
	return out
}

// refill divides the units of two sticks so that the first is as full as can be, and the second keeps at least one.
func (pp *profileProblem) refill(to, from layout) (layout, layout, bool) {
	room := pp.kinds[to.kind].usable
	if to.used == room {
		return to, from, false
	}
	f := filling{t: pp, room: room, best: to.used, target: room, steps: lengthenSteps}
	for _, i := range append(slices.Clone(to.items), from.items...) {
		lot := pp.items[i].lot
		switch n := slices.IndexFunc(f.kinds, func(k filled) bool { return k.item == i }); {
		case lot != free && lot != pp.kinds[to.kind].lot:
			f.fixed = append(f.fixed, i) // stays where it is: in from
		case lot != free && lot != pp.kinds[from.kind].lot:
			f.room -= pp.items[i].need // likewise, in to
			f.target -= pp.items[i].need
			f.best -= pp.items[i].need
			f.stays = append(f.stays, i)
		case n < 0:
			f.kinds = append(f.kinds, filled{item: i, need: pp.items[i].need, have: 1})
		default:
			f.kinds[n].have++
		}
	}
	slices.SortFunc(f.kinds, func(a, b filled) int { return a.item - b.item }) // items are longest first
	f.search(0, 0)
	if f.found == nil {
		return to, from, false
	}
	newTo, newFrom := layout{kind: to.kind}, layout{kind: from.kind}
	for _, i := range f.stays {
		newTo.add(pp, i)
	}
	for _, i := range f.fixed {
		newFrom.add(pp, i)
	}
	for n, k := range f.kinds {
		for range f.found[n] {
			newTo.add(pp, k.item)
		}
		for range k.have - f.found[n] {
			newFrom.add(pp, k.item)
		}
	}
	if newFrom.used > pp.kinds[from.kind].usable {
		return to, from, false
	}
	slices.Sort(newTo.items)
	slices.Sort(newFrom.items)
	return newTo, newFrom, true
}

// add puts a unit of an item on the stick.
func (l *layout) add(pp *profileProblem, i int) {
	l.items = append(l.items, i)
	l.used += pp.items[i].need
}

// filling is a search for the units that fill a stick best.
type filling struct {
	t            *profileProblem
	room, target model.Length
	best         model.Length // the fullest so far; only fuller ones count
	kinds        []filled
	fixed, stays []int // items that a lot keeps on the other stick, and on this one
	taken        []int
	found        []int // of each kind
	steps        int
}

// filled is units of an item that may go on either stick.
type filled struct {
	item int
	need model.Length
	have int
}

// search tries every number of the n-th kind and of those after it, given what is taken of those before it.
func (f *filling) search(n int, used model.Length) {
	if f.taken == nil {
		f.taken = make([]int, len(f.kinds))
	}
	if used > f.best && !f.takesAll() {
		f.best, f.found = used, slices.Clone(f.taken)
	}
	if f.steps--; n == len(f.kinds) || f.steps < 0 || f.best == f.target {
		return
	}
	rest := used
	for _, k := range f.kinds[n:] {
		rest += k.need * model.Length(k.have)
	}
	if rest <= f.best {
		return
	}
	k := f.kinds[n]
	for count := min(k.have, int((f.room-used)/k.need)); count >= 0; count-- {
		f.taken[n] = count
		f.search(n+1, used+k.need*model.Length(count))
	}
	f.taken[n] = 0
}

// takesAll says whether the stick would get every unit, so that the other one had none.
func (f *filling) takesAll() bool {
	if len(f.fixed) > 0 {
		return false
	}
	for n, k := range f.kinds {
		if f.taken[n] < k.have {
			return false
		}
	}
	return true
}
