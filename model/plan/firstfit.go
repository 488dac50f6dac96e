package plan

import (
	"sort"

	"longpoint/model"
	"longpoint/solver"
)

// layout is one stick and the items cut from it, in order.
type layout struct {
	kind  int   // index in task.kinds
	items []int // indexes in task.items, one for each side
	used  model.Length
}

// firstFit lays the sides out the way it is done without a plan, from the same sticks: the longest side first; each on
// the first stick already opened that it fits; else on the shortest stick of the rack that it fits (of equal ones the
// one of least value); else on a new stick of the offer that costs least for its length among those it fits (of equal
// ones the longest). It gives the sticks in the order they were opened and, for each item, how many sides found none.
func (t *task) firstFit() (open []layout, left []int) {
	left = make([]int, len(t.items))
	used := make([]int, len(t.kinds)) // sticks opened of each kind
	rack, offers := t.openingOrder()
	for i, it := range t.items {
		from := 0 // no stick before this one has room for this item, nor ever will
		for n := range it.pieces {
			for from < len(open) && open[from].used+it.need > t.kinds[open[from].kind].usable {
				from++
			}
			if from == len(open) {
				k, ok := t.opens(it.need, rack, offers, used)
				if !ok {
					left[i] = len(it.pieces) - n
					break
				}
				used[k]++
				open = append(open, layout{kind: k})
			}
			open[from].items = append(open[from].items, i)
			open[from].used += it.need
		}
	}
	return open, left
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
		return ka.cost < kb.cost
	})
	sort.SliceStable(offers, func(a, b int) bool {
		ka, kb := t.kinds[offers[a]], t.kinds[offers[b]]
		if c := comparePrices(ka.cost, ka.length, kb.cost, kb.length); c != 0 {
			return c < 0
		}
		return ka.length > kb.length
	})
	return rack, offers
}

// opens gives the kind of the stick that first-fit opens for a side.
func (t *task) opens(need model.Length, rack, offers, used []int) (int, bool) {
	for _, k := range rack {
		if used[k] < len(t.kinds[k].rack) && need <= t.kinds[k].usable {
			return k, true
		}
	}
	for _, k := range offers {
		if need <= t.kinds[k].usable {
			return k, true
		}
	}
	return 0, false
}

// patterns gives layouts as patterns of the solver, equal ones counted together, in the order they first occur.
func (t *task) patterns(layouts []layout) []solver.Pattern {
	var patterns []solver.Pattern
	index := map[string]int{}
	for _, l := range layouts {
		key := layoutKey(l)
		if i, ok := index[key]; ok {
			patterns[i].Count++
			continue
		}
		index[key] = len(patterns)
		p := solver.Pattern{Kind: l.kind, Count: 1}
		sorted := append([]int(nil), l.items...)
		sort.Ints(sorted)
		for _, i := range sorted {
			if n := len(p.Take); n > 0 && p.Take[n-1].Item == i {
				p.Take[n-1].Quantity++
			} else {
				p.Take = append(p.Take, solver.Take{Item: i, Quantity: 1})
			}
		}
		patterns = append(patterns, p)
	}
	return patterns
}

// compare gives first-fit's figures.
func (t *task) compare(open []layout, left []int) Comparison {
	c := Comparison{Complete: true}
	for _, l := range open {
		var longPoints model.Length
		for _, i := range l.items {
			longPoints += t.items[i].longPoint
		}
		t.add(&c.Figures, t.kinds[l.kind], len(l.items), longPoints, l.used)
	}
	for _, n := range left {
		c.LeftOver += n
	}
	c.Complete = c.LeftOver == 0
	return c
}
