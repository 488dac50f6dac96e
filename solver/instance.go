package solver

import (
	"math"
	"math/bits"
	"slices"
)

// instance is a problem made ready for the search: lengths divided by what the items have in common, which changes no
// pattern, and demands capped by nothing but themselves. Indexes are the problem's own.
type instance struct {
	length  []int64 // of items, in units of the items' common divisor
	demand  []int64
	wanted  []int64 // demand and all that choices can ask for
	room    []int64 // of kinds: how many such units fit
	cost    []int64
	limit   []int64 // how many of the kind can be used without any choice: the limit, or the total wanted; none where it holds nothing
	ever    []int64 // limit and all that choices can give; likewise
	limited []bool
	supply  []int64 // the limit as the problem gives it and all that choices can give, where limited
	total   int64   // Σ wanted
	pieces  int64   // most pieces on one stick
	maxCost int64
	unit    int64    // of length
	whole   []int64  // of kinds: the length as the problem gives it
	credit  []Credit // of kinds
	credits bool     // whether any kind has a credit
	may     [][]bool // of kinds: which items it may hold; nil: all
	class   []int    // of kinds: equal where patterns are the same and earn the same credit
	choices []Choice
	rows    []Row
	floor   int64 // no plan costs less: what the choices that earn something earn at most, negative or 0
}

func newInstance(p Problem) *instance {
	in := &instance{choices: p.Choices, rows: p.Rows}
	for _, it := range p.Items {
		in.wanted = append(in.wanted, it.Demand)
	}
	gives := make([]int64, len(p.Kinds))
	for _, c := range p.Choices {
		for _, t := range c.Asks {
			in.wanted[t.Item] += t.Quantity * c.Most
		}
		for _, g := range c.Gives {
			gives[g.Kind] += g.Quantity * c.Most
		}
		in.floor += min(0, c.Cost*c.Most)
		in.maxCost = max(in.maxCost, c.Cost, -c.Cost)
	}
	var g int64
	shortest := int64(MaxLength)
	for i, it := range p.Items {
		if in.wanted[i] > 0 {
			g = gcd(g, it.Length)
			shortest = min(shortest, it.Length)
			in.total += in.wanted[i]
		}
	}
	g = max(g, 1)
	in.unit = g
	for _, it := range p.Items {
		// The length of an item that nobody wants need not be a multiple; it is in no pattern.
		in.length = append(in.length, max(it.Length/g, 1))
		in.demand = append(in.demand, it.Demand)
	}
	for n, k := range p.Kinds {
		in.room = append(in.room, k.Length/g)
		in.whole = append(in.whole, k.Length)
		in.credit = append(in.credit, k.Credit)
		in.credits = in.credits || k.Credit.Num > 0
		in.may = append(in.may, mayHold(k.Only, len(p.Items)))
		in.class = append(in.class, classOf(p.Kinds, n))
		in.cost = append(in.cost, k.Cost)
		// A limit that no plan can reach is none: its multiplier could only blunt the bound.
		in.limited = append(in.limited, k.Limited && (k.Limit < in.total || gives[n] > 0))
		in.supply = append(in.supply, k.Limit+gives[n])
		most := in.total
		if k.Limited {
			most = min(most, k.Limit)
		}
		in.limit = append(in.limit, most)
		in.ever = append(in.ever, min(in.total, most+gives[n]))
		if !in.holdsAny(n) {
			in.limited[n], in.limit[n], in.ever[n] = false, 0, 0
		}
		in.maxCost = max(in.maxCost, k.Cost)
		in.pieces = max(in.pieces, min(in.total, k.Length/shortest))
	}
	in.pieces = max(in.pieces, 1)
	return in
}

// mayHold marks the items that a kind may hold; nil where it may hold all.
func mayHold(only []int, items int) []bool {
	if only == nil {
		return nil
	}
	may := make([]bool, items)
	for _, i := range only {
		may[i] = true
	}
	return may
}

// classOf gives the first kind that holds the same patterns as kind n and earns the same credits for them.
func classOf(kinds []Kind, n int) int {
	k := kinds[n]
	return slices.IndexFunc(kinds[:n+1], func(o Kind) bool {
		return o.Length == k.Length && o.Credit == k.Credit && (o.Only == nil) == (k.Only == nil) && slices.Equal(o.Only, k.Only)
	})
}

// holds tells whether kind k may hold item i.
func (in *instance) holds(k, i int) bool { return in.may[k] == nil || in.may[k][i] }

// holdsAny tells whether a stick of kind k can hold any item that is wanted.
func (in *instance) holdsAny(k int) bool {
	for i := range in.wanted {
		if in.most(i, k) > 0 {
			return true
		}
	}
	return false
}

// creditOf is what is paid back for what is left of a stick of kind k of which so much is used.
func (in *instance) creditOf(k int, used int64) int64 {
	c := in.credit[k]
	if c.Num == 0 {
		return 0
	}
	left := in.whole[k] - used*in.unit + c.Extra
	if left < c.Keep || left < 0 {
		return 0
	}
	high, low := bits.Mul64(uint64(c.Num), uint64(left))
	q, _ := bits.Div64(high, low, uint64(c.Den)) // Validate has seen that it fits
	return int64(q)
}

// price is what a stick of kind k costs cut so, its credit taken off.
func (in *instance) price(k int, take []Take) int64 {
	if in.credit[k].Num == 0 {
		return in.cost[k]
	}
	var used int64
	for _, t := range take {
		used += t.Quantity * in.length[t.Item]
	}
	return in.cost[k] - in.creditOf(k, used)
}

// rowUnit is the greatest coefficient of the rows, and at least 1.
func (in *instance) rowUnit() float64 {
	most := 1.0
	for _, c := range in.choices {
		for _, r := range c.In {
			most = max(most, math.Abs(float64(r.Value)))
		}
	}
	return most
}

// most is how many of item i a stick of kind k can hold in a trimmed plan.
func (in *instance) most(i, k int) int64 {
	if !in.holds(k, i) {
		return 0
	}
	return min(in.wanted[i], in.room[k]/in.length[i])
}

// fits tells whether item i fits any kind that may be used.
func (in *instance) fits(i int) bool {
	for k := range in.room {
		if in.ever[k] > 0 && in.most(i, k) > 0 {
			return true
		}
	}
	return false
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
