package solver

import (
	"sort"
)

// partialPlan is a plan under construction: what is cut, what is still to be cut, and how many sticks are left.
type partialPlan struct {
	in        *instance
	demand    []int64
	limit     []int64
	patterns  []Pattern
	cost      int64
	remaining int64   // Σ demand: pieces still to be cut
	times     []int64 // how often each choice is made; nil: none
	freed     bool    // see free
}

// newPartialPlan is an empty plan that keeps to the conditions on how many sticks of a kind may be used at most.
func newPartialPlan(in *instance, conds []Condition) *partialPlan {
	d := &partialPlan{in: in, demand: append([]int64(nil), in.demand...), limit: append([]int64(nil), in.limit...)}
	for _, n := range d.demand {
		d.remaining += n
	}
	d.keepTo(conds)
	return d
}

// keepTo lowers the limits to what the conditions allow of each kind.
func (d *partialPlan) keepTo(conds []Condition) {
	for _, c := range conds {
		if c.countsKind() && !c.AtLeast && !c.AnyKind {
			d.limit[c.Kind] = min(d.limit[c.Kind], c.Bound)
		}
	}
}

// free lets the plan use more sticks of a kind than conditions allow.
func (d *partialPlan) free(conds []Condition) {
	d.freed = true
	kept := newPartialPlan(d.in, conds)
	for k := range d.limit {
		d.limit[k] += d.in.limit[k] - kept.limit[k]
	}
}

// choose makes the choices: what they give may be used, what they ask for is wanted. No pattern may have been cut
// before.
func (d *partialPlan) choose(times []int64, conds []Condition) {
	if len(times) == 0 {
		return
	}
	d.times = append([]int64(nil), times...)
	for j, n := range times {
		c := &d.in.choices[j]
		d.cost += n * c.Cost
		for _, t := range c.Asks {
			d.demand[t.Item] += n * t.Quantity
			d.remaining += n * t.Quantity
		}
		for _, g := range c.Gives {
			d.limit[g.Kind] += n * g.Quantity
		}
	}
	d.keepTo(conds)
}

// count is how many of the sticks count in a condition.
func (d *partialPlan) count(c *Condition) int64 {
	var n int64
	for _, p := range d.patterns {
		if (&column{kind: p.Kind, take: p.Take}).meets(d.in, c) {
			n += p.Count
		}
	}
	return n
}

func (d *partialPlan) clone() *partialPlan {
	return &partialPlan{d.in, append([]int64(nil), d.demand...), append([]int64(nil), d.limit...),
		append([]Pattern(nil), d.patterns...), d.cost, d.remaining, d.times, d.freed}
}

// done tells whether everything is cut.
func (d *partialPlan) done() bool { return d.remaining == 0 }

// cut uses count sticks of a column, as far as the kind's limit goes, leaving out pieces that are no longer wanted. It
// reports whether it used a stick.
func (d *partialPlan) cut(c *column, count int64) bool {
	used := false
	for count = min(count, d.limit[c.kind]); count > 0; {
		var take []Take
		times := count
		for _, t := range c.take {
			q := min(t.Quantity, d.demand[t.Item])
			if q > 0 {
				take = append(take, Take{t.Item, q})
				times = min(times, d.demand[t.Item]/q)
			}
		}
		if len(take) == 0 {
			break
		}
		d.use(c.kind, times, take)
		count -= times
		used = true
	}
	return used
}

// use takes count sticks cut alike; the pieces must be wanted.
func (d *partialPlan) use(kind int, count int64, take []Take) {
	for _, t := range take {
		d.demand[t.Item] -= count * t.Quantity
		d.remaining -= count * t.Quantity
	}
	d.limit[kind] -= count
	d.cost += count * d.in.price(kind, take)
	d.patterns = append(d.patterns, Pattern{kind, count, take})
}

// mergePatterns merges equal patterns and orders them: by kind, then by what they hold, most of the first items
// first.
func mergePatterns(patterns []Pattern) []Pattern {
	at := map[string]int{}
	var out []Pattern
	for _, p := range patterns {
		key := (&column{kind: p.Kind, take: p.Take}).key()
		if j, ok := at[key]; ok {
			out[j].Count += p.Count
			continue
		}
		at[key] = len(out)
		out = append(out, Pattern{p.Kind, p.Count, append([]Take(nil), p.Take...)})
	}
	sort.SliceStable(out, func(a, b int) bool {
		x, y := out[a], out[b]
		if x.Kind != y.Kind {
			return x.Kind < y.Kind
		}
		for t := 0; t < len(x.Take) && t < len(y.Take); t++ {
			if x.Take[t].Item != y.Take[t].Item {
				return x.Take[t].Item < y.Take[t].Item
			}
			if x.Take[t].Quantity != y.Take[t].Quantity {
				return x.Take[t].Quantity > y.Take[t].Quantity
			}
		}
		return len(x.Take) > len(y.Take)
	})
	return out
}
