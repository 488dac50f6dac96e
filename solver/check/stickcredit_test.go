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
		r, greatest := newStickCredit(kind, scale)
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
