package check

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

func TestCredit(t *testing.T) {
	for _, row := range []struct {
		name   string
		credit *Credit
		left   int64
		want   int64
	}{
		{"none", nil, 100, 0},
		{"a third, rounded down", &Credit{Num: 1, Den: 3}, 8, 2},
		{"extra counts", &Credit{Extra: 1, Num: 1, Den: 3}, 8, 3},
		{"just kept", &Credit{Keep: 9, Extra: 1, Num: 2, Den: 3}, 8, 6},
		{"just not kept", &Credit{Keep: 10, Extra: 1, Num: 2, Den: 3}, 8, 0},
		{"nothing left", &Credit{Num: 1, Den: 1}, 0, 0},
		{"products past 64 bits", &Credit{Num: 1 << 60, Den: 1 << 60}, 1 << 46, 1 << 46},
		{"sums past 63 bits", &Credit{Keep: math.MaxInt64, Extra: math.MaxInt64, Num: 1, Den: 4}, math.MaxInt64, math.MaxInt64 / 2},
	} {
		t.Run(row.name, func(t *testing.T) {
			if got := row.credit.of(row.left); got != row.want {
				t.Errorf("%d left gives %d, want %d", row.left, got, row.want)
			}
		})
	}
}

// randomCredit is a credit that is never more than the kind's cost, generous or mean, often exactly the cost
// of a whole stick.
func randomCredit(random *rand.Rand, kind Kind) *Credit {
	if kind.Cost == 0 {
		return nil
	}
	credit := &Credit{Keep: random.Int64N(kind.Length + 2), Extra: random.Int64N(3), Num: 1 + random.Int64N(kind.Cost), Den: kind.Length}
	if random.IntN(3) == 0 {
		credit.Keep = 0
	}
	if random.IntN(3) == 0 {
		credit.Num = kind.Cost
	}
	credit.Den += credit.Extra
	if common := random.Int64N(1000) + 1; random.IntN(2) == 0 {
		credit.Num, credit.Den = credit.Num*common, credit.Den*common
	}
	return credit
}

// With a credit, and items that may not be held, the knapsack finds the same as trying all patterns.
func TestKnapsackWithCredit(t *testing.T) {
	random := rand.New(rand.NewPCG(31, 32))
	credited, overs := 0, 0
	for n := range 6000 {
		instance, leaf := randomLeaf(random)
		scale := []int64{1, 7, 1000, 1 << 20}[random.IntN(4)]
		greatest := int64(1)
		for _, dual := range leaf.DualValues {
			greatest = max(greatest, dual)
		}
		for k := range instance.Kinds {
			kind := &instance.Kinds[k]
			// From far less than the pieces' dual values to far more.
			kind.Cost = 1 + random.Int64N(2+min(1<<50, greatest*(1+random.Int64N(10)))/scale)
			kind.Credit = randomCredit(random, *kind)
			if random.IntN(3) == 0 {
				kind.Only = []int{}
				for i := range instance.Items {
					if random.IntN(3) > 0 {
						kind.Only = append(kind.Only, i)
					}
				}
			}
			v := &verifier{instance: instance}
			if !v.checkInstance() {
				t.Fatalf("not an instance: %v", v.report)
			}
			most := greatestValue(instance, leaf, k, scale)
			for _, may := range []int64{most - 1000*scale, most - 7, most - 1, most, most + 1, most + 50} {
				want := max(0, most-may)
				if got := overByScaled(t, instance, leaf, k, scale, may); got != want {
					t.Fatalf("question %d, kind %d, scale %d: a pattern may have the value %d; the knapsack finds %d more, all patterns give %d more\n%+v\n%+v\n%+v",
						n, k, scale, may, got, want, instance, kind.Credit, leaf)
				}
				if want > 0 {
					overs++
				}
			}
			if most > greatestValue(instance, leaf, k, 0) {
				credited++
			}
		}
	}
	if credited < 1000 || overs < 1000 {
		t.Errorf("the questions are too easy: a credit counts in %d, %d patterns of too great a value", credited, overs)
	}
}

// The line is never below a credit, falls over a piece by no less than is said, both rounded down, and
// stays below what it is said to stay below.
func TestCreditLine(t *testing.T) {
	random := rand.New(rand.NewPCG(33, 34))
	for range 20_000 {
		kind := Kind{Length: 1 + random.Int64N(1<<(1+random.IntN(46))), Cost: 1 + random.Int64N(1<<(1+random.IntN(30)))}
		kind.Credit = randomCredit(random, kind)
		if kind.Cost > 1 && random.IntN(8) == 0 { // an extra far longer than the stick
			kind.Credit = &Credit{Extra: math.MaxInt64, Num: 1, Den: math.MaxInt64 / kind.Cost * 2}
		}
		if v := (&verifier{instance: Instance{Kinds: []Kind{kind}}}); !v.checkInstance() {
			t.Fatalf("not an instance: %v", v.report)
		}
		scale := 1 + random.Int64N(1<<(1+random.IntN(28)))
		r, greatest := newStickCredit(kind, scale, 0)
		left := random.Int64N(kind.Length + 1)
		line, piece := r.line(left), random.Int64N(left+1)
		if credit := r.of(kind.Length - left); line < credit || big.NewInt(line).Cmp(greatest) >= 0 {
			t.Fatalf("%+v, %+v, scale %d: with %d left the credit is %d, the line %d, all below %d", kind, kind.Credit, scale, left, credit, line, greatest)
		}
		// ⌊S·Num·(left + Extra)/Den⌋ <= line, and the same after a piece, by what is lost.
		for _, at := range []struct{ left, most int64 }{{left, line}, {left - piece, line - r.lost(piece)}} {
			exact := product(scale, kind.Credit.Num)
			exact.Mul(exact, new(big.Int).Add(big.NewInt(at.left), big.NewInt(kind.Credit.Extra)))
			exact.Quo(exact, big.NewInt(kind.Credit.Den))
			if exact.Cmp(big.NewInt(at.most)) > 0 {
				t.Fatalf("%+v, %+v, scale %d: with %d left the line is %d, too low", kind, kind.Credit, scale, at.left, at.most)
			}
		}
	}
}

// Credits past what is summed exactly are refused, as dual values are.
func TestKnapsackRefusesCreditsTooLarge(t *testing.T) {
	instance := Instance{Kinds: []Kind{{Length: 10, Cost: 1 << 40, Credit: &Credit{Num: 1, Den: 1}}}, Items: []Item{{Length: 5, Demand: 2}}}
	leaf := Leaf{DualValues: []int64{1}, LimitDualValues: []int64{0}}
	if _, _, err := newKnapsack(instance, instance.wanted(), leaf, 0, 1<<21, big.NewInt(1)); !errors.Is(err, errTooLarge) {
		t.Errorf("got %v, want %v", err, errTooLarge)
	}
	if _, _, err := newKnapsack(instance, instance.wanted(), leaf, 0, 1<<20, big.NewInt(1)); err != nil {
		t.Errorf("just below: %v", err)
	}
}

// randomCreditEntries adds to a leaf entries on credits, of one kind or of all, with dual values of either sign up to so much.
func randomCreditEntries(random *rand.Rand, instance Instance, leaf *Leaf, most int64) {
	for range 1 + random.IntN(3) {
		condition := Condition{Credited: true, Sense: Least, DualValue: random.Int64N(most + 1)}
		if random.IntN(2) == 0 {
			condition.Sense, condition.DualValue = Most, -condition.DualValue
		}
		if random.IntN(2) == 0 {
			condition.Kind = new(random.IntN(len(instance.Kinds)))
		}
		leaf.Branch = append(leaf.Branch, condition)
	}
}

// With entries on credits the knapsack finds the same as trying all patterns, the credit and the entries counting as nothing where they come to less.
func TestKnapsackWithEntriesOnCredits(t *testing.T) {
	random := rand.New(rand.NewPCG(35, 36))
	up, down, clipped := 0, 0, 0
	for n := range 4000 {
		instance, leaf := randomLeaf(random)
		scale := []int64{1, 7, 1000}[random.IntN(3)]
		for k := range instance.Kinds {
			kind := &instance.Kinds[k]
			kind.Cost = 1 + random.Int64N(2+min(1<<40, 10*max(1, leaf.DualValues[0]))/scale)
			kind.Credit = randomCredit(random, *kind)
		}
		plain := leaf
		leaf.Branch = append([]Condition(nil), leaf.Branch...)
		randomCreditEntries(random, instance, &leaf, 2*scale*instance.Kinds[0].Cost)
		for k, kind := range instance.Kinds {
			var entries int64
			for _, condition := range leaf.Branch[len(plain.Branch):] {
				if condition.Kind == nil || *condition.Kind == k {
					entries += condition.DualValue
				}
			}
			most := int64(math.MinInt64)
			allPatterns(instance, k, func(a []int64) {
				left := kind.Length
				for i, quantity := range a {
					left -= quantity * instance.Items[i].Length
				}
				value := patternValue(plain, k, a)
				if kind.Credit != nil && left+kind.Credit.Extra >= kind.Credit.Keep {
					credit := scale*creditOf(instance, k, a) + entries
					if credit < 0 {
						clipped++
					}
					value += max(0, credit)
				}
				most = max(most, value)
			})
			switch without := greatestValue(instance, plain, k, scale); {
			case most > without:
				up++
			case most < without:
				down++
			}
			for _, may := range []int64{most - 1000*scale, most - 1, most, most + 1} {
				if got, want := overByScaled(t, instance, leaf, k, scale, may), max(0, most-may); got != want {
					t.Fatalf("question %d, kind %d, scale %d: a pattern may have the value %d; the knapsack finds %d more, all patterns give %d more\n%+v\n%+v\n%+v",
						n, k, scale, may, got, want, instance, kind.Credit, leaf)
				}
			}
		}
	}
	if up < 500 || down < 500 || clipped < 500 {
		t.Errorf("the questions are too easy: entries raise %d values, lower %d, and take away %d credits", up, down, clipped)
	}
}

// A certificate whose tree splits on credits, if it is accepted, bounds the cheapest plan there is, found by trying all.
func TestCertifiedBoundOfEntriesOnCredits(t *testing.T) {
	random := rand.New(rand.NewPCG(37, 38))
	accepted, met, counted := 0, 0, 0
	for n := 0; n < 3000; {
		instance, best := randomChoiceInstance(random)
		if !instance.hasCredits() {
			continue
		}
		n++
		leaves := splitByChoices(random, instance, random.IntN(3))
		at := random.IntN(len(leaves))
		split := Condition{Credited: true, DualValue: random.Int64N(30)}
		if random.IntN(2) == 0 {
			split.Kind = new(random.IntN(len(instance.Kinds)))
		}
		most, least := split, split
		most.Sense, most.Count, most.DualValue = Most, random.Int64N(3), -random.Int64N(30)
		least.Sense, least.Count = Least, most.Count+1
		other := leaves[at]
		other.DualValues = append([]int64(nil), other.DualValues...)
		other.Branch = append(append([]Condition(nil), other.Branch...), least)
		leaves[at].Branch = append(append([]Condition(nil), leaves[at].Branch...), most)
		leaves = append(leaves, other)
		for scale := int64(1); scale <= 1<<12; scale *= 2 {
			report := judge(t, instance, Certificate{Scale: scale, Leaves: leaves})
			if !report.Certified {
				continue
			}
			accepted++
			if report.Bound > best {
				t.Fatalf("certificate %d: bound %d, the cheapest plan costs %d\n%+v\n%+v\nscale %d\n%v", n, report.Bound, best, instance, leaves, scale, report)
			}
			if report.Bound == best {
				met++
			}
			if most.DualValue < 0 || least.DualValue > 0 {
				counted++
			}
			break
		}
	}
	if accepted < 1000 || met < 20 || counted < 1000 {
		t.Errorf("too few say anything: %d accepted, %d meet the cost, in %d the entries count", accepted, met, counted)
	}
}

// An entry on credits splits only with one on the same credits, and counts nothing besides.
func TestEntriesOnCreditsStandAlone(t *testing.T) {
	instance := Instance{Kinds: []Kind{{Length: 10, Cost: 10, Credit: &Credit{Keep: 4, Num: 1, Den: 2}}}, Items: []Item{{Length: 5, Demand: 1}}}
	leaf := func(c Condition) Leaf {
		return Leaf{Branch: []Condition{c}, DualValues: []int64{0}, LimitDualValues: []int64{0}}
	}
	most := Condition{Kind: new(0), Credited: true, Sense: Most, Count: 1}
	for _, row := range []struct {
		name  string
		least Condition
		ok    bool
	}{
		{"the same", Condition{Kind: new(0), Credited: true, Sense: Least, Count: 2}, true},
		{"all sticks", Condition{Kind: new(0), Sense: Least, Count: 2}, false},
		{"credits of all kinds", Condition{Credited: true, Sense: Least, Count: 2}, false},
		{"with pieces", Condition{Kind: new(0), Credited: true, Holds: []Hold{{0, 1}}, Sense: Least, Count: 2}, false},
		{"with a choice", Condition{Choice: new(0), Credited: true, Sense: Least, Count: 2}, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			report := judge(t, instance, Certificate{Scale: 1, Leaves: []Leaf{leaf(most), leaf(row.least)}})
			if report.Certified != row.ok {
				t.Errorf("certified %v, want %v\n%v", report.Certified, row.ok, report)
			}
			if besides := row.least.Choice != nil || len(row.least.Holds) > 0; report.Has(OutOfRange) != besides {
				t.Errorf("it counts something besides: %v\n%v", besides, report)
			}
		})
	}
}
