package check

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
)

// randomInstance has a plan always: the first kind is the longest and has no limit.
func randomInstance(random *rand.Rand) Instance {
	var instance Instance
	longest := 6 + random.Int64N(10)
	instance.Kinds = []Kind{{Length: longest, Cost: 1 + random.Int64N(12)}}
	for range random.IntN(3) {
		kind := Kind{Length: 1 + random.Int64N(longest), Cost: random.Int64N(12)}
		if random.IntN(3) > 0 {
			kind.Limit = new(random.Int64N(3))
		}
		instance.Kinds = append(instance.Kinds, kind)
	}
	for range 1 + random.IntN(3) {
		instance.Items = append(instance.Items, Item{Length: 1 + random.Int64N(longest), Demand: random.Int64N(3)})
	}
	return instance
}

// randomLeaves splits all plans by random conditions, down to depth at most.
func randomLeaves(random *rand.Rand, instance Instance, branch []Condition, depth int) []Leaf {
	if depth == 0 || random.IntN(4) == 0 {
		leaf := Leaf{Branch: slices.Clone(branch), LimitDualValues: make([]int64, len(instance.Kinds))}
		for _, item := range instance.Items { // near a share of the longest stick
			leaf.DualValues = append(leaf.DualValues, item.Length*12/instance.Kinds[0].Length*instance.Kinds[0].Cost+random.Int64N(9)-4)
		}
		for r := range leaf.Branch {
			dual := random.Int64N(40)
			if leaf.Branch[r].Sense == Most {
				dual = -dual
			}
			leaf.Branch[r].DualValue = dual
		}
		for k, kind := range instance.Kinds {
			if kind.Limit != nil {
				leaf.LimitDualValues[k] = random.Int64N(40)
			}
		}
		return []Leaf{leaf}
	}
	var condition Condition
	if random.IntN(3) > 0 {
		condition.Kind = new(random.IntN(len(instance.Kinds)))
	}
	for _, i := range random.Perm(len(instance.Items))[:random.IntN(len(instance.Items)+1)] {
		condition.Holds = append(condition.Holds, Hold{i, 1 + random.Int64N(2)})
	}
	n := random.Int64N(3)
	most, least := condition, condition
	most.Sense, most.Count = Most, n
	least.Sense, least.Count = Least, n+1
	leaves := randomLeaves(random, instance, append(slices.Clone(branch), most), depth-1)
	return append(leaves, randomLeaves(random, instance, append(slices.Clone(branch), least), depth-1)...)
}

// dearEnough is the least scale with which no pattern of the leaves has a greater dual value than it
// may be; false when a pattern that costs nothing forbids any.
func dearEnough(instance Instance, leaves []Leaf) (int64, bool) {
	scale, any := int64(1), true
	for _, leaf := range leaves {
		for k, kind := range instance.Kinds {
			allPatterns(instance, k, func(a []int64) {
				over := patternValue(leaf, k, a) - leaf.LimitDualValues[k]
				cost := kind.Cost - creditOf(instance, k, a)
				switch {
				case over <= 0:
				case cost == 0:
					any = false
				default:
					scale = max(scale, (over+cost-1)/cost)
				}
			})
		}
	}
	return scale, any
}

// Whatever the dual values, a certificate that is accepted bounds the cheapest plan
// there is; with a scale one less it is refused.
func TestCertifiedBoundIsBelowTheCheapestPlan(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 12))
	met, refused, deep := 0, 0, 0
	for n := range 4000 {
		instance := randomInstance(random)
		leaves := randomLeaves(random, instance, nil, 3)
		scale, any := dearEnough(instance, leaves)
		if !any {
			continue
		}
		best := cheapest(instance)
		v := &verifier{instance: instance}
		if err := v.checkCertificate(context.Background(), Certificate{Scale: scale, Leaves: leaves}); err != nil {
			t.Fatal(err)
		}
		if !v.report.Certified || len(v.report.Violations) > 0 || v.report.Bound > best {
			t.Fatalf("certificate %d: bound %d, the cheapest plan costs %d\n%+v\n%+v\nscale %d\n%v", n, v.report.Bound, best, instance, leaves, scale, v.report)
		}
		if best > 0 && v.report.Bound == best {
			met++
			if len(leaves) > 1 {
				deep++
			}
		}
		if scale > 1 {
			v := &verifier{instance: instance}
			if err := v.checkCertificate(context.Background(), Certificate{Scale: scale - 1, Leaves: leaves}); err != nil {
				t.Fatal(err)
			}
			if v.report.Certified || !v.report.Has(DualInfeasible) {
				t.Fatalf("certificate %d is accepted with scale %d\n%+v\n%+v", n, scale-1, instance, leaves)
			}
			refused++
		}
	}
	if met < 100 || deep < 20 || refused < 1000 {
		t.Errorf("too few say anything: %d meet the cost, %d of them with several leaves, %d refused", met, deep, refused)
	}
}

// A full tree is accepted in any order of its leaves and of what they hold; with any leaf
// left out or there twice it is not.
func TestTree(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 14))
	for range 1000 {
		instance := randomInstance(random)
		leaves := randomLeaves(random, instance, nil, 4)
		random.Shuffle(len(leaves), func(a, b int) { leaves[a], leaves[b] = leaves[b], leaves[a] })
		for _, leaf := range leaves {
			for r := range leaf.Branch {
				holds := slices.Clone(leaf.Branch[r].Holds)
				random.Shuffle(len(holds), func(a, b int) { holds[a], holds[b] = holds[b], holds[a] })
				leaf.Branch[r].Holds = holds
			}
		}
		v := &verifier{instance: instance}
		if !v.checkTree(leaves) {
			t.Fatalf("refused: %v\n%+v", v.report, leaves)
		}
		n := random.IntN(len(leaves))
		if v.checkTree(append(slices.Clone(leaves), leaves[n])) {
			t.Fatalf("accepted with leaf %d twice\n%+v", n, leaves)
		}
		if len(leaves) > 1 && v.checkTree(slices.Delete(slices.Clone(leaves), n, n+1)) {
			t.Fatalf("accepted without leaf %d\n%+v", n, leaves)
		}
	}
}

// Of a certificate of many leaves each is checked, and what is wrong with them is told in their order.
func TestManyLeaves(t *testing.T) {
	instance := Instance{Kinds: []Kind{{Length: 10, Cost: 4}}, Items: []Item{{Length: 6, Demand: 1}}}
	plan := Plan{Patterns: []Pattern{{Kind: 0, Count: 1, Take: []Take{{Item: 0, Quantity: 1}}}}}
	const leaves = 5*leavesInPart + 3
	chain := func() (all Certificate) { // leaf n: exactly n sticks; the last: so many or more
		all.Scale = 1
		var branch []Condition
		for n := range int64(leaves) {
			leaf := Leaf{Branch: slices.Clone(branch), DualValues: []int64{4}, LimitDualValues: []int64{0}}
			if n < leaves-1 {
				leaf.Branch = append(leaf.Branch, Condition{Kind: new(int), Sense: Most, Count: n})
				branch = append(branch, Condition{Kind: new(int), Sense: Least, Count: n + 1})
			}
			all.Leaves = append(all.Leaves, leaf)
		}
		return all
	}
	claims := Claims{Grade: Proven, Cost: 4, Lower: 4}
	report, err := Verify(t.Context(), instance, plan, chain(), claims)
	if err != nil || !report.OK() || report.Bound != 4 {
		t.Fatalf("%v, bound %d: %v", err, report.Bound, report.Violations)
	}
	for _, wrong := range [][]int{{0}, {leaves - 1}, {leavesInPart}, {3, leavesInPart + 1, 4 * leavesInPart, leaves - 1}} {
		c := chain()
		var want []string
		for _, n := range wrong {
			c.Leaves[n].DualValues[0] = 5
			want = append(want, at("leaf", n, "kind", 0))
		}
		report, err := Verify(t.Context(), instance, plan, c, claims)
		var got []string
		for _, v := range report.Violations {
			if v.Code == DualInfeasible {
				got = append(got, v.Where)
			}
		}
		if err != nil || report.Certified || !slices.Equal(got, want) {
			t.Errorf("%v: %v, certified %v, %q", wrong, err, report.Certified, got)
		}
	}
}
