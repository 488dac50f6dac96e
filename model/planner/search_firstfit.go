package planner

import (
	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
	"sort"
)

// layout is what is cut from one stick, or from one sound part of a damaged one, in order.
type layout struct {
	kind  int   // index in task.kinds
	items []int // indexes in task.items, one for each unit
	used  model.Length
}

// firstFit lays the sides out the way it is done without a plan, from the same sticks: the longest side first (sides that
// must lie next to each other as one); each on the first stick already opened that it fits; else on the shortest stick
// of the rack that it fits (of equal ones the one of least value); else on a new stick of the offer that costs least for
// its length among those it fits, in the smallest quantity it is sold in (of equal ones the longest). A damaged stick is
// opened whole, part by part from its head. A frame whose sides must come from one lot is cut from new sticks of the
// offer that its longest side would be. It gives the sticks in the order they were opened, what is bought, and how many
// sides found no stick.
func (t *task) firstFit() (c course, leftOver int) {
	h := hand{t: t, course: newCourse(t), used: make([]int, len(t.kinds)), bindings: t.handBindings()}
	h.rack, h.offers = t.openingOrder()
	for n, u := range t.units {
		if n == 0 || t.units[n-1].need != u.need {
			h.from = map[int]int{}
		}
		if !h.lay(u) {
			leftOver += len(u.pieces)
		}
	}
	used := t.used(h.course)
	for n, s := range t.supplies {
		h.course.bundles[n] = s.needs(used[s.kind])
	}
	for n, b := range t.bound {
		for l, lot := range b.lots {
			if k := h.bindings[n]; k != free && t.kinds[k].lot == lot {
				h.course.rings[n][l] = int64(len(b.rings))
			}
		}
	}
	return h.course, leftOver
}

// hand is first-fit at work.
type hand struct {
	t            *task
	course       course
	used         []int       // sticks opened of each kind
	rack, offers []int       // kinds in the order in which they are tried
	bindings     []int       // for each bound kind of ring, the kind of stick it is cut from, or free for none
	from         map[int]int // by binding: no open stick before this one has room for a unit as long, nor ever will
}

// lay puts a unit on a stick, and says whether there is one.
func (h *hand) lay(u unit) bool {
	binding, lot := free, free
	if u.bound != free {
		if binding = h.bindings[u.bound]; binding == free {
			return false
		}
		lot = h.t.kinds[binding].lot
	}
	for {
		from := h.from[binding]
		for from < len(h.course.layouts) && !h.fits(u, from, binding) {
			from++
		}
		h.from[binding] = from
		if from < len(h.course.layouts) {
			l := &h.course.layouts[from]
			l.items = append(l.items, h.t.itemOf(u.key(lot)))
			l.used += u.need
			return true
		}
		if !h.open(u, binding) {
			return false
		}
	}
}

func (h *hand) fits(u unit, open, binding int) bool {
	l := h.course.layouts[open]
	return l.used+u.need <= h.t.kinds[l.kind].usable && (binding == free || binding == l.kind)
}

// open opens the stick that is next for a unit, if there is one.
func (h *hand) open(u unit, binding int) bool {
	if binding != free {
		h.course.layouts = append(h.course.layouts, layout{kind: binding})
		return true
	}
	for _, k := range h.rack {
		kind := h.t.kinds[k]
		if h.used[k] == len(kind.rack) || u.need > h.t.room(k) {
			continue
		}
		parts := []int{k}
		if kind.damaged != undivided {
			parts = h.t.damaged[kind.damaged].kinds
		}
		for _, part := range parts {
			h.used[part]++
			h.course.layouts = append(h.course.layouts, layout{kind: part})
		}
		return true
	}
	for _, k := range h.offers {
		if u.need <= h.t.kinds[k].usable {
			h.course.layouts = append(h.course.layouts, layout{kind: k})
			return true
		}
	}
	return false
}

// room is the longest unit that a stick of a kind takes, on any of its parts.
func (t *task) room(k int) model.Length {
	if t.kinds[k].damaged == undivided {
		return t.kinds[k].usable
	}
	var room model.Length
	for _, part := range t.damaged[t.kinds[k].damaged].kinds {
		room = max(room, t.kinds[part].usable)
	}
	return room
}

// handBindings gives for each bound kind of ring the offer that its longest side would be bought from, or free.
func (t *task) handBindings() []int {
	_, offers := t.openingOrder()
	out := make([]int, len(t.bound))
	for n, b := range t.bound {
		out[n] = free
		for _, k := range offers {
			if b.sides[0].need <= t.kinds[k].usable {
				out[n] = k
				break
			}
		}
	}
	return out
}

// openingOrder gives the rack's kinds and the offers in the order in which first-fit tries them.
func (t *task) openingOrder() (rack, offers []int) {
	for k := range t.kinds {
		if t.kinds[k].bought() {
			offers = append(offers, k)
		} else {
			rack = append(rack, k)
		}
	}
	sort.SliceStable(rack, func(a, b int) bool {
		ka, kb := t.kinds[rack[a]], t.kinds[rack[b]]
		if ka.length != kb.length {
			return ka.length < kb.length
		}
		if ka.value != kb.value {
			return ka.value < kb.value
		}
		return len(ka.rack[0].Damage) == 0 && len(kb.rack[0].Damage) > 0 // equal sound sticks are one kind, so they come together
	})
	sort.SliceStable(offers, func(a, b int) bool {
		sa, sb := t.supplies[t.kinds[offers[a]].supply], t.supplies[t.kinds[offers[b]].supply]
		if c := comparePrices(sa.tiers[0].price, sa.length*model.Length(sa.bundle), sb.tiers[0].price, sb.length*model.Length(sb.bundle)); c != 0 {
			return c < 0
		}
		return sa.length > sb.length
	})
	return rack, offers
}

// patterns gives layouts as patterns of the problem, equal ones counted together, in the order they first occur.
func (t *task) patterns(layouts []layout) []solver.Pattern {
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
		p := solver.Pattern{Kind: t.firstKind + l.kind, Count: 1}
		sorted := append([]int(nil), l.items...)
		sort.Ints(sorted)
		for _, i := range sorted {
			if n := len(p.Take); n > 0 && p.Take[n-1].Item == t.firstItem+i {
				p.Take[n-1].Quantity++
			} else {
				p.Take = append(p.Take, solver.Take{Item: t.firstItem + i, Quantity: 1})
			}
		}
		patterns = append(patterns, p)
	}
	return patterns
}

// FirstFit gives first-fit's plan of all jobs as a document, open and without certificates: something to carry on from,
// not to show. Sides that first-fit finds no stick for are in none of its sticks.
func FirstFit(w *model.Workshop, o Options) (*plan.Document, error) {
	tasks, err := prepare(w, o)
	if err != nil {
		return nil, err
	}
	byTask := map[*task]profileOutcome{}
	for _, b := range batches(w, tasks) {
		hand := b.firstFit()
		for n, one := range b.describe(hand.courses, hand) {
			one.plan.Grade = plan.Open
			byTask[b.tasks[n]] = one
		}
	}
	var outcomes []profileOutcome
	for _, t := range tasks {
		outcomes = append(outcomes, byTask[t])
	}
	nameOffcuts(w, outcomes)
	d := &plan.Document{Format: plan.Format, Workshop: w.Name, Unit: w.Unit.String(), Buy: buyList(w, outcomes)}
	for _, one := range outcomes {
		d.Profiles = append(d.Profiles, one.plan)
	}
	d.Sum(w)
	return d, nil
}
