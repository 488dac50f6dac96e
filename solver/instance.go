package solver

// instance is a problem made ready for the search: lengths divided by what the items have in common, which changes no
// pattern, and demands capped by nothing but themselves. Indexes are the problem's own.
type instance struct {
	length  []int64 // of items, in units of the items' common divisor
	demand  []int64
	room    []int64 // of kinds: how many such units fit
	cost    []int64
	limit   []int64 // how many of the kind can be used at all: the limit, or the total demand
	limited []bool
	supply  []int64 // the limit as the problem gives it, where limited
	total   int64   // Σ demand
	pieces  int64   // most pieces on one stick
	maxCost int64
}

func newInstance(p Problem) *instance {
	in := &instance{}
	var g int64
	shortest := int64(MaxLength)
	for _, it := range p.Items {
		if it.Demand > 0 {
			g = gcd(g, it.Length)
			shortest = min(shortest, it.Length)
			in.total += it.Demand
		}
	}
	g = max(g, 1)
	for _, it := range p.Items {
		// The length of an item that nobody wants need not be a multiple; it is in no pattern.
		in.length = append(in.length, max(it.Length/g, 1))
		in.demand = append(in.demand, it.Demand)
	}
	for _, k := range p.Kinds {
		in.room = append(in.room, k.Length/g)
		in.cost = append(in.cost, k.Cost)
		// A limit that no plan can reach is none: its multiplier could only blunt the bound.
		in.limited = append(in.limited, k.Limited && k.Limit < in.total)
		in.supply = append(in.supply, k.Limit)
		most := in.total
		if k.Limited {
			most = min(most, k.Limit)
		}
		in.limit = append(in.limit, most)
		in.maxCost = max(in.maxCost, k.Cost)
		in.pieces = max(in.pieces, min(in.total, k.Length/shortest))
	}
	in.pieces = max(in.pieces, 1)
	return in
}

// most is how many of item i a stick of kind k can hold in a trimmed plan.
func (in *instance) most(i, k int) int64 { return min(in.demand[i], in.room[k]/in.length[i]) }

// fits tells whether item i fits any kind that may be used.
func (in *instance) fits(i int) bool {
	for k := range in.room {
		if in.limit[k] > 0 && in.length[i] <= in.room[k] {
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
