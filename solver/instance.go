package solver

import (
	"math"
	"math/bits"
	"slices"
)

// instance is a problem made ready for the search. Item lengths are divided by their greatest common divisor, which
// changes no pattern. Items and kinds keep the problem's indexes.
type instance struct {
	length       []int64 // of items, in units of lengthUnit
	demand       []int64
	maxDemand    []int64 // of items: the demand, and all that choices can ask for
	capacity     []int64 // of kinds, in units of lengthUnit, rounded down
	cost         []int64
	limit        []int64 // of kinds: most sticks without any choice; where there is no limit, totalDemand; 0 where the kind holds no item
	maxLimit     []int64 // of kinds: the same with all the sticks that choices can give
	limited      []bool
	supply       []int64 // of kinds with a limit: the problem's limit and all that choices can give
	totalDemand  int64   // Σ maxDemand
	maxPieces    int64   // most pieces that fit on one stick
	maxCost      int64
	lengthUnit   int64    // greatest common divisor of the lengths of the items that can be wanted
	stickLength  []int64  // of kinds, in the problem's unit
	credit       []Credit // of kinds
	credits      bool     // some kind has a credit
	allowed      [][]bool // of kinds: the items that it may hold; nil: all
	class        []int    // of kinds: equal for kinds that have the same patterns and credits
	choices      []Choice
	choiceWeight []float64 // of choices: what they cost and ask for, by which they are branched on
	rows         []Row
	minCost      int64 // no plan costs less: the sum of all negative costs of choices, or 0
}

func newInstance(p Problem) *instance {
	in := &instance{choices: p.Choices, rows: p.Rows}
	for _, it := range p.Items {
		in.maxDemand = append(in.maxDemand, it.Demand)
	}
	gives := make([]int64, len(p.Kinds))
	for _, c := range p.Choices {
		for _, t := range c.Asks {
			in.maxDemand[t.Item] += t.Quantity * c.Most
		}
		for _, g := range c.Gives {
			gives[g.Kind] += g.Quantity * c.Most
		}
		in.minCost += min(0, c.Cost*c.Most)
		in.maxCost = max(in.maxCost, c.Cost, -c.Cost)
	}
	var g int64
	shortest := int64(MaxLength)
	for i, it := range p.Items {
		if in.maxDemand[i] > 0 {
			g = gcd(g, it.Length)
			shortest = min(shortest, it.Length)
			in.totalDemand += in.maxDemand[i]
		}
	}
	g = max(g, 1)
	in.lengthUnit = g
	for _, it := range p.Items {
		// An item that is never wanted is in no pattern, so its length need not be a multiple of the divisor.
		in.length = append(in.length, max(it.Length/g, 1))
		in.demand = append(in.demand, it.Demand)
	}
	for n, k := range p.Kinds {
		in.capacity = append(in.capacity, k.Length/g)
		in.stickLength = append(in.stickLength, k.Length)
		in.credit = append(in.credit, k.Credit)
		in.credits = in.credits || k.Credit.Num > 0
		in.allowed = append(in.allowed, allowedItems(k.Only, len(p.Items)))
		in.class = append(in.class, patternClass(p.Kinds, n))
		in.cost = append(in.cost, k.Cost)
		// A limit that no plan can reach is left out: its dual value could only weaken the bound.
		in.limited = append(in.limited, k.Limited && (k.Limit < in.totalDemand || gives[n] > 0))
		in.supply = append(in.supply, k.Limit+gives[n])
		most := in.totalDemand
		if k.Limited {
			most = min(most, k.Limit)
		}
		in.limit = append(in.limit, most)
		in.maxLimit = append(in.maxLimit, min(in.totalDemand, most+gives[n]))
		if !in.holdsAny(n) {
			in.limited[n], in.limit[n], in.maxLimit[n] = false, 0, 0
		}
		in.maxCost = max(in.maxCost, k.Cost)
		in.maxPieces = max(in.maxPieces, min(in.totalDemand, k.Length/shortest))
	}
	in.maxPieces = max(in.maxPieces, 1)
	in.weighChoices()
	return in
}

// weighChoices works out the choices' weights: 1, and the cost as a share of the dearest, and the length of what is asked for as a share of the
// longest kind. To make a heavy choice or not changes most of what is left.
func (in *instance) weighChoices() {
	longest := slices.Max(append([]int64{1}, in.capacity...))
	for _, c := range in.choices {
		var asked int64
		for _, t := range c.Asks {
			asked += t.Quantity * in.length[t.Item]
		}
		in.choiceWeight = append(in.choiceWeight, 1+math.Abs(float64(c.Cost))/float64(max(1, in.maxCost))+float64(asked)/float64(longest))
	}
}

// allowedItems marks the items that a kind may hold; nil: all.
func allowedItems(only []int, items int) []bool {
	if only == nil {
		return nil
	}
	may := make([]bool, items)
	for _, i := range only {
		may[i] = true
	}
	return may
}

// patternClass gives the first kind that has the same patterns as kind n, and the same credits for them.
func patternClass(kinds []Kind, n int) int {
	k := kinds[n]
	return slices.IndexFunc(kinds[:n+1], func(o Kind) bool {
		return o.Length == k.Length && o.Credit == k.Credit && (o.Only == nil) == (k.Only == nil) && slices.Equal(o.Only, k.Only)
	})
}

// holds tells whether kind k may hold item i.
func (in *instance) holds(k, i int) bool { return in.allowed[k] == nil || in.allowed[k][i] }

// holdsAny tells whether a stick of kind k can hold any item that is wanted.
func (in *instance) holdsAny(k int) bool {
	for i := range in.maxDemand {
		if in.maxQuantity(i, k) > 0 {
			return true
		}
	}
	return false
}

// creditOf is the credit of a stick of kind k of which the pieces use so much.
func (in *instance) creditOf(k int, used int64) int64 {
	c := in.credit[k]
	if c.Num == 0 {
		return 0
	}
	left := in.stickLength[k] - used*in.lengthUnit + c.Extra
	if left < c.Keep || left < 0 {
		return 0
	}
	high, low := bits.Mul64(uint64(c.Num), uint64(left))
	q, _ := bits.Div64(high, low, uint64(c.Den)) // Validate has seen that it fits
	return int64(q)
}

// leavesCredit tells whether a stick of kind k of which the pieces use so much earns a credit, however small.
func (in *instance) leavesCredit(k int, used int64) bool {
	c := in.credit[k]
	left := in.stickLength[k] - used*in.lengthUnit + c.Extra
	return c.Num > 0 && left >= c.Keep && left >= 0
}

// credited tells whether a stick of kind k that is cut so earns a credit.
func (in *instance) credited(k int, take []Take) bool {
	var used int64
	for _, t := range take {
		used += t.Quantity * in.length[t.Item]
	}
	return in.leavesCredit(k, used)
}

// leastCredit is the smallest credit that a stick of kind k earns, where it earns any.
func (in *instance) leastCredit(k int) int64 {
	c := in.credit[k]
	if c.Num == 0 {
		return 0
	}
	high, low := bits.Mul64(uint64(c.Num), uint64(max(c.Keep, c.Extra)))
	if high >= uint64(c.Den) {
		return 0 // no stick is so long
	}
	q, _ := bits.Div64(high, low, uint64(c.Den))
	return int64(min(q, uint64(in.cost[k])))
}

// price is the cost of a stick of kind k that is cut so, less its credit.
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

// columnCost is the cost of a stick that is cut as in the column, less the credit that it takes.
func (in *instance) columnCost(c *column) int64 {
	if c.declined {
		return in.cost[c.kind]
	}
	return in.price(c.kind, c.take)
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

// maxQuantity is how many of item i one stick of kind k can hold in a plan that cuts no more than is wanted.
func (in *instance) maxQuantity(i, k int) int64 {
	if !in.holds(k, i) {
		return 0
	}
	return min(in.maxDemand[i], in.capacity[k]/in.length[i])
}

// fitsSomewhere tells whether item i fits a kind of which there can be any stick.
func (in *instance) fitsSomewhere(i int) bool {
	for k := range in.capacity {
		if in.maxLimit[k] > 0 && in.maxQuantity(i, k) > 0 {
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
