package instances

import (
	"cmp"
	"fmt"
	"slices"

	"longpoint/solver"
)

// Cutgen describes a class of CUTGEN1, the published generator of cutting-stock instances (T. Gau, G. Wäscher,
// "CUTGEN1: a problem generator for the standard one-dimensional cutting stock problem", European Journal of
// Operational Research 84, 1995, 572–579). The paper's letters are m for Items, L for Capacity, v1 and v2 for Shortest
// and Longest, d̄ for Demand.
type Cutgen struct {
	Items             int     // lengths drawn; equal ones merge
	Capacity          int64   // of a stick
	Shortest, Longest float64 // lengths as shares of the capacity
	Demand            int64   // mean demand of an item
	Seed              int64   // 1 to 2³¹ − 2
}

// The random numbers are those of S. K. Park and K. W. Miller, "Random number generators: good ones are hard to find",
// Communications of the ACM 31, 1988, 1192–1201, computed without overflow in 32 bits (Schrage's method).
const (
	cutgenModulus    = 1<<31 - 1
	cutgenMultiplier = 16807
	cutgenQuotient   = 127773 // modulus div multiplier
	cutgenRemainder  = 2836   // modulus mod multiplier
)

// Generate gives the class's first count instances, called prefix/01, prefix/02, … The stream of random numbers runs
// on from one instance to the next.
func (c Cutgen) Generate(prefix string, count int) []Instance {
	z := c.Seed
	next := func() float64 {
		k := z / cutgenQuotient
		z = cutgenMultiplier*(z-cutgenQuotient*k) - cutgenRemainder*k
		if z < 0 {
			z += cutgenModulus
		}
		return float64(z) / cutgenModulus
	}
	ins := make([]Instance, count)
	for n := range ins {
		ins[n] = Instance{Name: fmt.Sprintf("%s/%02d", prefix, n+1), Problem: oneKind(c.Capacity, c.items(next))}
	}
	return ins
}

// items draws one instance: all lengths, then all demands, the last demand being what is left of the total.
func (c Cutgen) items(next func() float64) []solver.Item {
	lengths := make([]int64, c.Items)
	for i := range lengths {
		r := next()
		// The conversions keep a machine with fused multiply-add from rounding otherwise.
		share := c.Shortest + float64((c.Longest-c.Shortest)*r)
		lengths[i] = int64(float64(share*float64(c.Capacity)) + r)
	}
	slices.SortFunc(lengths, func(a, b int64) int { return cmp.Compare(b, a) })
	shares, sum := make([]float64, c.Items), 0.0
	for i := range shares {
		shares[i] = next()
		sum += shares[i]
	}
	total := int64(c.Items) * c.Demand
	left := total
	var items []solver.Item
	for i, l := range lengths {
		d := left
		if i < c.Items-1 {
			d = int64(float64(total)*shares[i]/sum + 0.5) // nothing here to fuse: the division comes between
		}
		d = max(1, d)
		left -= d
		if n := len(items); n > 0 && items[n-1].Length == l {
			items[n-1].Demand += d
		} else {
			items = append(items, solver.Item{Length: l, Demand: d})
		}
	}
	return items
}

// Name tells the class from the others of our table by m, d̄ and how long its lengths are: "m10-d100-mixed".
func (c Cutgen) Name() string {
	sort := "mixed"
	switch {
	case c.Longest <= cutgenShort:
		sort = "short"
	case c.Shortest >= cutgenShort:
		sort = "long"
	}
	return fmt.Sprintf("m%d-d%d-%s", c.Items, c.Demand, sort)
}

// cutgenShort parts short lengths from long ones, as a share of the capacity.
const cutgenShort = 0.2

// cutgenClasses are the 18 classes we measure: L = 1000, every m, d̄ and range of lengths of this table, each with the
// seed of the paper's own example.
func cutgenClasses() []Cutgen {
	var classes []Cutgen
	for _, m := range []int{10, 20, 40} {
		for _, d := range []int64{10, 100} {
			for _, v := range [][2]float64{{0.01, cutgenShort}, {0.01, 0.8}, {cutgenShort, 0.8}} {
				classes = append(classes, Cutgen{
					Items: m, Capacity: 1000, Shortest: v[0], Longest: v[1], Demand: d, Seed: 1994,
				})
			}
		}
	}
	return classes
}
