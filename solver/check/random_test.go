package check

import (
	"context"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
)

// randomChoices adds to an instance, at random, credits, items that may not be held, choices that give and
// ask and earn, and rows. It may leave no plan.
func randomChoices(random *rand.Rand, instance Instance) Instance {
	if random.IntN(2) == 0 { // otherwise the longest stick can always be had
		instance.Kinds[0].Limit = new(random.Int64N(2))
	}
	for k := range instance.Kinds {
		kind := &instance.Kinds[k]
		if random.IntN(3) == 0 {
			kind.Credit = randomCredit(random, *kind)
		}
		if k > 0 && random.IntN(3) == 0 {
			kind.Only = []int{}
			for i := range instance.Items {
				if random.IntN(2) == 0 {
					kind.Only = append(kind.Only, i)
				}
			}
		}
	}
	for range random.IntN(3) {
		instance.Rows = append(instance.Rows, Row{Least: random.Int64N(4) - 1})
	}
	for range 1 + random.IntN(3) {
		choice := Choice{Cost: random.Int64N(16) - 3, Most: random.Int64N(3)}
		for k, kind := range instance.Kinds {
			if kind.Limit != nil && random.IntN(2) == 0 {
				choice.Gives = append(choice.Gives, Give{k, 1 + random.Int64N(2)})
			}
		}
		if random.IntN(3) == 0 {
			choice.Asks = append(choice.Asks, Take{random.IntN(len(instance.Items)), 1 + random.Int64N(2)})
		}
		for r := range instance.Rows {
			if coefficient := random.Int64N(6) - 2; coefficient != 0 {
				choice.In = append(choice.In, Entry{r, coefficient})
			}
		}
		instance.Choices = append(instance.Choices, choice)
	}
	return instance
}

// small says whether trying every plan is quick.
func small(instance Instance) bool {
	var pieces int64
	for _, most := range instance.wanted() {
		pieces += most
	}
	return pieces <= 7
}

// randomChoiceInstance is a small instance with choices that has a plan.
func randomChoiceInstance(random *rand.Rand) (instance Instance, best int64) {
	for {
		instance = randomChoices(random, randomInstance(random))
		if !small(instance) {
			continue
		}
		if best, any := optimum(instance); any {
			return instance, best
		}
	}
}

// splitByChoices gives the leaves of a tree that splits on choices in place of some of the conditions on sticks.
func splitByChoices(random *rand.Rand, instance Instance, depth int) []Leaf {
	leaves := []Leaf{{}}
	for range depth {
		n := random.IntN(len(leaves))
		condition := Condition{Choice: new(random.IntN(len(instance.Choices)))}
		if random.IntN(3) == 0 {
			condition = Condition{Kind: new(random.IntN(len(instance.Kinds)))}
		}
		most, least := condition, condition
		most.Sense, most.Count = Most, random.Int64N(2)
		least.Sense, least.Count = Least, most.Count+1
		branch := leaves[n].Branch
		leaves[n].Branch = append(slices.Clone(branch), most)
		leaves = append(leaves, Leaf{Branch: append(slices.Clone(branch), least)})
	}
	for n := range leaves {
		multiply(random, instance, &leaves[n])
	}
	return leaves
}

// multiply gives a leaf random dual values.
func multiply(random *rand.Rand, instance Instance, leaf *Leaf) {
	first := instance.Kinds[0]
	for _, item := range instance.Items {
		leaf.DualValues = append(leaf.DualValues, item.Length*12/first.Length*first.Cost+random.Int64N(9)-4)
	}
	leaf.LimitDualValues = make([]int64, len(instance.Kinds))
	for k, kind := range instance.Kinds {
		if kind.Limit != nil {
			leaf.LimitDualValues[k] = random.Int64N(40)
		}
	}
	for range instance.Rows {
		leaf.RowDualValues = append(leaf.RowDualValues, random.Int64N(40))
	}
	for r := range leaf.Branch {
		leaf.Branch[r].DualValue = random.Int64N(40)
		if leaf.Branch[r].Sense == Most {
			leaf.Branch[r].DualValue *= -1
		}
	}
}

// judge has the checker look at a certificate.
func judge(t *testing.T, instance Instance, certificate Certificate) Report {
	t.Helper()
	v := &verifier{instance: instance}
	if !v.checkInstance() {
		t.Fatalf("not an instance: %v\n%+v", v.report, instance)
	}
	if err := v.checkCertificate(context.Background(), certificate); err != nil {
		t.Fatal(err)
	}
	return v.report
}

// Whatever the dual values, a certificate that is accepted bounds the cheapest plan there is; and it is accepted exactly
// when no pattern of all there are has a greater dual value than allowed.
func TestCertifiedBoundOfChoicesIsBelowTheCheapestPlan(t *testing.T) {
	random := rand.New(rand.NewPCG(41, 42))
	met, refused, earning := 0, 0, 0
	for n := range 2500 {
		instance, best := randomChoiceInstance(random)
		leaves := splitByChoices(random, instance, random.IntN(3))
		scale, any := dearEnough(instance, leaves)
		if !any {
			continue
		}
		report := judge(t, instance, Certificate{Scale: scale, Leaves: leaves})
		if report.Bound > best {
			t.Fatalf("certificate %d: bound %d, the cheapest plan costs %d\n%+v\n%+v\nscale %d\n%v", n, report.Bound, best, instance, leaves, scale, report)
		}
		if !report.Certified || len(report.Violations) > 0 {
			t.Fatalf("certificate %d is refused\n%+v\n%+v\nscale %d\n%v", n, instance, leaves, scale, report)
		}
		if report.Bound == best {
			met++
			if best < 0 {
				earning++
			}
		}
		if scale > 1 {
			report := judge(t, instance, Certificate{Scale: scale - 1, Leaves: leaves})
			if report.Certified || !report.Has(DualInfeasible) {
				t.Fatalf("certificate %d is accepted with scale %d\n%+v\n%+v", n, scale-1, instance, leaves)
			}
			refused++
		}
	}
	if met < 50 || earning < 5 || refused < 1000 {
		t.Errorf("too few say anything: %d meet the cost, %d of them below 0, %d refused", met, earning, refused)
	}
}

// nudge changes one dual value of the leaves by up to so much, within its sign. It gives a way to undo it.
func nudge(random *rand.Rand, instance Instance, leaves []Leaf, most int64) (undo func()) {
	leaf := &leaves[random.IntN(len(leaves))]
	low, at := int64(0), (*int64)(nil)
	by := 1 + random.Int64N(most)
	if random.IntN(2) == 0 {
		by = -by
	}
	k := random.IntN(len(instance.Kinds))
	switch choice := random.IntN(4); {
	case choice == 0 && instance.Kinds[k].Limit != nil:
		at = &leaf.LimitDualValues[k]
	case choice == 1 && len(leaf.RowDualValues) > 0:
		at = &leaf.RowDualValues[random.IntN(len(leaf.RowDualValues))]
	case choice == 2 && len(leaf.Branch) > 0:
		condition := &leaf.Branch[random.IntN(len(leaf.Branch))]
		at, low = &condition.DualValue, 0
		if condition.Sense == Most {
			low = -1 << 40
			by = min(by, -condition.DualValue)
		}
	default:
		at, low = &leaf.DualValues[random.IntN(len(leaf.DualValues))], -1<<40
	}
	before := *at
	*at = max(low, before+by)
	return func() { *at = before }
}

// lowest is the least of the leaves' bounds before it is rounded, in units of cost / scale, by the checker's own formula; the dual values
// are climbed by it.
func lowest(instance Instance, leaves []Leaf, scale int64) *big.Int {
	var least *big.Int
	for _, leaf := range leaves {
		scaled := instance
		scaled.Choices = slices.Clone(instance.Choices)
		for j := range scaled.Choices {
			scaled.Choices[j].Cost *= scale
		}
		if bound := leafBound(scaled, leaf, 1); least == nil || bound.Cmp(least) < 0 {
			least = bound
		}
	}
	return least
}

// Multipliers that climb as high as the checker lets them never get above the cheapest plan: a term
// left out of the bound, or of what a pattern may have, would be found and used. Often they reach it.
func TestMultipliersClimbNoHigherThanTheCheapestPlan(t *testing.T) {
	const scale = 60
	random := rand.New(rand.NewPCG(43, 44))
	met, all := 0, 0
	for n := range 150 {
		instance, best := randomChoiceInstance(random)
		leaves := splitByChoices(random, instance, random.IntN(3))
		for l := range leaves { // a start that is allowed: all dual values 0
			clear(leaves[l].DualValues)
			clear(leaves[l].LimitDualValues)
			clear(leaves[l].RowDualValues)
			for r := range leaves[l].Branch {
				leaves[l].Branch[r].DualValue = 0
			}
		}
		high := lowest(instance, leaves, scale)
		for step := range 1200 {
			size := int64(4 * scale)
			if step%2 == 0 {
				size = 5
			}
			undo := nudge(random, instance, leaves, size)
			redo := nudge(random, instance, leaves, size) // two at a time get round corners
			now := lowest(instance, leaves, scale)
			if now.Cmp(high) < 0 {
				redo()
				undo()
				continue
			}
			report := judge(t, instance, Certificate{Scale: scale, Leaves: leaves})
			if !report.Certified {
				redo()
				undo()
				continue
			}
			high = now
			if report.Bound > best {
				t.Fatalf("certificate %d: bound %d, the cheapest plan costs %d\n%+v\n%+v", n, report.Bound, best, instance, leaves)
			}
			if report.Bound == best {
				met++
				break
			}
		}
		all++
	}
	t.Logf("%d of %d reach the cheapest plan", met, all)
	if met < all/4 {
		t.Errorf("only %d of %d reach the cheapest plan: the test says too little", met, all)
	}
}

// A tree on choices and sticks is accepted in any order of its leaves, and not with one of them left out or
// there twice.
func TestTreeOfChoices(t *testing.T) {
	random := rand.New(rand.NewPCG(45, 46))
	for range 300 {
		instance := randomChoices(random, randomInstance(random))
		leaves := splitByChoices(random, instance, 1+random.IntN(4))
		random.Shuffle(len(leaves), func(a, b int) { leaves[a], leaves[b] = leaves[b], leaves[a] })
		v := &verifier{instance: instance}
		if !v.checkTree(leaves) {
			t.Fatalf("refused: %v\n%+v", v.report, leaves)
		}
		n := random.IntN(len(leaves))
		if v.checkTree(append(slices.Clone(leaves), leaves[n])) || v.checkTree(slices.Delete(slices.Clone(leaves), n, n+1)) {
			t.Fatalf("accepted with leaf %d twice or left out\n%+v", n, leaves)
		}
	}
}

// The linear relaxation with choices, rows and credits is never above the cheapest plan, and one leaf's bound
// before it is rounded is never above the relaxation.
func TestLPBoundOfChoicesLiesBetween(t *testing.T) {
	random := rand.New(rand.NewPCG(47, 48))
	compared := 0
	for range 600 {
		instance, best := randomChoiceInstance(random)
		value, _, ok := lpBound(instance)
		if !ok {
			t.Fatalf("no bound for %+v", instance)
		}
		if value > float64(best) && !near(value, float64(best)) {
			t.Fatalf("bound %v, the cheapest plan costs %v\n%+v", value, best, instance)
		}
		leaves := splitByChoices(random, instance, 0)
		if scale, any := dearEnough(instance, leaves); any {
			exact, _ := new(big.Rat).SetFrac(lowest(instance, leaves, scale), big.NewInt(scale)).Float64()
			if exact > value && !near(exact, value) {
				t.Fatalf("dual values give %v, the relaxation %v\n%+v\n%+v", exact, value, instance, leaves)
			}
			compared++
		}
	}
	if compared < 300 {
		t.Errorf("only %d compared", compared)
	}
}
