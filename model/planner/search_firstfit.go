package planner

import (
	"sort"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// layout is what is cut from one stick, or from one sound part of a damaged one, in order.
type layout struct {
	kind  int   // index in profileProblem.kinds
	items []int // indexes in profileProblem.items, one for each unit
	used  model.Length
}

// firstFit lays the sides out the way it is done without a plan, from the same sticks: the longest side first (sides that
// must lie next to each other as one); each on the first stick already opened that it fits; else on the shortest stick
// of the rack that it fits (of equal ones the one of least value); else on a new stick of the offer that costs least for
// its length among those it fits, in the smallest quantity it is sold in (of equal ones the longest). A damaged stick is
// opened whole, part by part from its head. A frame whose sides must come from one lot is cut from new sticks of the
// offer that its longest side would be. It gives the sticks in the order they were opened, what is bought, and how many
// sides found no stick.
func (pp *profileProblem) firstFit() (sol solution, leftOver int) {
	ff := firstFitter{t: pp, solution: newSolution(pp), used: make([]int, len(pp.kinds)), bindings: pp.bindingsOfRings()}
	ff.rack, ff.offers = pp.openingOrder()
	for n, u := range pp.units {
		if n == 0 || pp.units[n-1].need != u.need {
			ff.from = map[int]int{}
		}
		if !ff.lay(u) {
			leftOver += len(u.pieces)
		}
	}
	used := pp.used(ff.solution)
	for n, s := range pp.supplies {
		ff.solution.bundles[n] = s.bundlesFor(used[s.kind])
	}
	for n, b := range pp.bound {
		for l, lot := range b.lots {
			if k := ff.bindings[n]; k != free && pp.kinds[k].lot == lot {
				ff.solution.rings[n][l] = int64(len(b.rings))
			}
		}
	}
	return ff.solution, leftOver
}

// firstFitter is first-fit at work.
type firstFitter struct {
	t            *profileProblem
	solution     solution
	used         []int       // sticks opened of each kind
	rack, offers []int       // kinds in the order in which they are tried
	bindings     []int       // for each bound kind of ring, the kind of stick it is cut from, or free for none
	from         map[int]int // by binding: no open stick before this one has room for a unit as long, nor ever will
}

// lay puts a unit on a stick, and says whether there is one.
func (ff *firstFitter) lay(u unit) bool {
	binding, lot := free, free
	if u.bound != free {
		if binding = ff.bindings[u.bound]; binding == free {
			return false
		}
		lot = ff.t.kinds[binding].lot
	}
	for {
		from := ff.from[binding]
		for from < len(ff.solution.layouts) && !ff.fits(u, from, binding) {
			from++
		}
		ff.from[binding] = from
		if from < len(ff.solution.layouts) {
			l := &ff.solution.layouts[from]
			l.items = append(l.items, ff.t.itemOf(u.key(lot)))
			l.used += u.need
			return true
		}
		if !ff.open(u, binding) {
			return false
		}
	}
}

func (ff *firstFitter) fits(u unit, open, binding int) bool {
	l := ff.solution.layouts[open]
	return l.used+u.need <= ff.t.kinds[l.kind].usable && (binding == free || binding == l.kind)
}

// open opens the stick that is next for a unit, if there is one.
func (ff *firstFitter) open(u unit, binding int) bool {
	if binding != free {
		ff.solution.layouts = append(ff.solution.layouts, layout{kind: binding})
		return true
	}
	for _, k := range ff.rack {
		kind := ff.t.kinds[k]
		if ff.used[k] == len(kind.rack) || u.need > ff.t.room(k) {
			continue
		}
		parts := []int{k}
		if kind.damaged != undivided {
			parts = ff.t.damaged[kind.damaged].kinds
		}
		for _, part := range parts {
			ff.used[part]++
			ff.solution.layouts = append(ff.solution.layouts, layout{kind: part})
		}
		return true
	}
	for _, k := range ff.offers {
		if u.need <= ff.t.kinds[k].usable {
			ff.solution.layouts = append(ff.solution.layouts, layout{kind: k})
			return true
		}
	}
	return false
}

// room is the longest unit that a stick of a kind takes, on any of its parts.
func (pp *profileProblem) room(k int) model.Length {
	if pp.kinds[k].damaged == undivided {
		return pp.kinds[k].usable
	}
	var room model.Length
	for _, part := range pp.damaged[pp.kinds[k].damaged].kinds {
		room = max(room, pp.kinds[part].usable)
	}
	return room
}

// bindingsOfRings gives for each bound kind of ring the offer that its longest side would be bought from, or free.
func (pp *profileProblem) bindingsOfRings() []int {
	_, offers := pp.openingOrder()
	out := make([]int, len(pp.bound))
	for n, b := range pp.bound {
		out[n] = free
		for _, k := range offers {
			if b.sides[0].need <= pp.kinds[k].usable {
				out[n] = k
				break
			}
		}
	}
	return out
}

// openingOrder gives the rack's kinds and the offers in the order in which first-fit tries them.
func (pp *profileProblem) openingOrder() (rack, offers []int) {
	for k := range pp.kinds {
		if pp.kinds[k].bought() {
			offers = append(offers, k)
		} else {
			rack = append(rack, k)
		}
	}
	sort.SliceStable(rack, func(a, b int) bool {
		ka, kb := pp.kinds[rack[a]], pp.kinds[rack[b]]
		if ka.length != kb.length {
			return ka.length < kb.length
		}
		if ka.value != kb.value {
			return ka.value < kb.value
		}
		return len(ka.rack[0].Damage) == 0 && len(kb.rack[0].Damage) > 0 // equal sound sticks are one kind, so they come together
	})
	sort.SliceStable(offers, func(a, b int) bool {
		sa, sb := pp.supplies[pp.kinds[offers[a]].supply], pp.supplies[pp.kinds[offers[b]].supply]
		if c := comparePrices(sa.tiers[0].price, sa.length*model.Length(sa.bundle), sb.tiers[0].price, sb.length*model.Length(sb.bundle)); c != 0 {
			return c < 0
		}
		return sa.length > sb.length
	})
	return rack, offers
}

// patterns gives layouts as patterns of the problem, equal ones counted together, in the order they first occur.
func (pp *profileProblem) patterns(layouts []layout) []solver.Pattern {
	var patterns []solver.Pattern
	index := map[string]int{}
	for _, l := range layouts {
		if len(l.items) == 0 {
			continue
		}
		key := layoutKey(l)
		if i, ok := index[key]; ok {
			patterns[i].Count++
			continue
		}
		index[key] = len(patterns)
		p := solver.Pattern{Kind: pp.firstKind + l.kind, Count: 1}
		sorted := append([]int(nil), l.items...)
		sort.Ints(sorted)
		for _, i := range sorted {
			if n := len(p.Take); n > 0 && p.Take[n-1].Item == pp.firstItem+i {
				p.Take[n-1].Quantity++
			} else {
				p.Take = append(p.Take, solver.Take{Item: pp.firstItem + i, Quantity: 1})
			}
		}
		patterns = append(patterns, p)
	}
	return patterns
}

// FirstFit gives first-fit's plan of the jobs and profiles that the options name as a document, open and without certificates: something to
// carry on from, not to show. Sides that first-fit finds no stick for are in none of its sticks. Errors are those of Problems.
func FirstFit(w *model.Workshop, o Options) (*plan.Document, error) {
	profiles, err := prepare(w, o)
	if err != nil {
		return nil, err
	}
	byProfile := map[*profileProblem]profileOutcome{}
	for _, jp := range jointProblems(w, profiles) {
		firstFit := jp.firstFit()
		for n, one := range jp.describe(firstFit.solutions, firstFit) {
			one.plan.Grade = plan.Open
			byProfile[jp.profiles[n]] = one
		}
	}
	var outcomes []profileOutcome
	for _, pp := range profiles {
		outcomes = append(outcomes, byProfile[pp])
	}
	nameOffcuts(w, outcomes)
	d := &plan.Document{Format: plan.Format, Workshop: w.Name, Unit: w.Unit.String(), Buy: buyList(w, outcomes)}
	for _, one := range outcomes {
		d.Profiles = append(d.Profiles, one.plan)
	}
	d.Sum(w)
	return d, nil
}
