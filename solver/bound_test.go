package solver

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// Whatever dual values lagrangianBound is given, no pattern has a greater dual value than allowed in what comes back, and no plan costs less
// than the bound: held against every pattern and every plan of small problems.
func TestProveAgainstEveryPlan(t *testing.T) {
	shrunk, paid, negative, met := 0, 0, 0, 0
	for seed := range uint64(3000) {
		r := rand.New(rand.NewPCG(seed, 2))
		p := tinyProblem(r)
		if k := &p.Kinds[0]; k.Limited && k.Limit == 1000 {
			k.Limit = 1 << 40
		}
		conds := tinyConditions(r, p)
		s := newSearch(p, Options{})
		if r.IntN(3) == 0 {
			s.scale = 1 + r.Int64N(9) // so coarse that every rounding shows
		}
		m := drawMultipliers(r, s, conds)
		best := make([]int64, len(p.Kinds))
		for k := range p.Kinds {
			for n, v := range vectors(p, k) {
				if w := dualOf(m, conds, k, v); n == 0 || w > best[k] {
					best[k] = w
				}
			}
			// The pricer answers with the greatest value allowed, or a little more, when no pattern has a greater one.
			if may := s.scale * p.Kinds[k].Cost; best[k] < may && r.IntN(2) == 0 {
				best[k] = may + r.Int64N(2)*min(may, 3)
			}
		}
		before := intDuals{append([]int64(nil), m.item...), append([]int64(nil), m.cond...), nil}
		got := s.lagrangianBound(m, best, conds)

		for k, kind := range p.Kinds {
			switch v := got.limitDuals[k]; {
			case v < 0, v > 0 && !(kind.Limited && s.in.limited[k]):
				t.Fatalf("seed %d: limit's dual value %d of kind %d\n%+v", seed, v, k, p)
			case v > 0:
				paid++
			}
			for _, v := range vectors(p, k) {
				if w, may := dualOf(got.duals, conds, k, v), s.scale*kind.Cost+got.limitDuals[k]; w > may {
					t.Fatalf("seed %d: pattern %v of kind %d has value %d, more than %d\n%+v\n%+v", seed, v, k, w, may, p, got)
				}
			}
		}
		for r, c := range conds {
			if w := got.duals.cond[r]; c.AtLeast && w < 0 || !c.AtLeast && w > 0 {
				t.Fatalf("seed %d: condition %+v has the dual value %d", seed, c, w)
			}
		}
		exact := exactBound(s, p, got, conds)
		if want := ceilRat(exact); got.bound != want {
			t.Fatalf("seed %d: bound %d, but the dual values prove %v", seed, got.bound, exact)
		}
		if f, _ := exact.Float64(); got.value != f {
			t.Fatalf("seed %d: value %v in place of %v", seed, got.value, exact)
		}
		if cost, ok := leastCost(p, conds); ok {
			if got.bound > cost {
				t.Fatalf("seed %d: bound %d, but there is a plan at %d\n%+v\n%+v", seed, got.bound, cost, p, conds)
			}
			if s.newPay().roundUp(got.bound) > cost {
				t.Fatalf("seed %d: bound %d rounded up to %d, but there is a plan at %d\n%+v", seed, got.bound, s.newPay().roundUp(got.bound), cost, p)
			}
			if got.bound == cost && cost > 0 {
				met++
			}
		}
		if least := farley(s, p, before, best, conds); got.value < least {
			t.Fatalf("seed %d: value %v, though shrinking allows %v\n%+v\n%+v", seed, got.value, least, p, got)
		}
		for i := range before.item {
			if got.duals.item[i] != before.item[i] {
				shrunk++
			}
			if got.duals.item[i] < 0 {
				negative++
			}
		}
	}
	if shrunk < 100 || paid < 100 || negative < 100 || met < 100 {
		t.Errorf("%d dual values shrunk, %d limits paid for, %d negative dual values, %d bounds met: the test says too little", shrunk, paid, negative, met)
	}
}

// newPay is payable up to far more than any small plan costs.
func (s *search) newPay() *payable { return newPayable(s.in, 1<<16) }

// drawMultipliers draws dual values near what pieces cost, of every sign that is allowed.
func drawMultipliers(r *rand.Rand, s *search, conds []Condition) intDuals {
	var m intDuals
	coin := float64(s.scale) * float64(1+s.in.maxCost)
	longest := 1.0
	for _, room := range s.in.capacity {
		longest = max(longest, float64(room))
	}
	for _, l := range s.in.length {
		u := coin * float64(l) / longest * (0.5 + 0.8*r.Float64())
		if r.IntN(6) == 0 {
			u = -u / 3
		}
		m.item = append(m.item, int64(u))
	}
	for _, c := range conds {
		w := int64(coin * 0.4 * r.Float64() * float64(r.IntN(2)))
		if !c.AtLeast {
			w = -w
		}
		m.cond = append(m.cond, w)
	}
	return m
}

// exactBound is what a leaf with these dual values proves.
func exactBound(s *search, p Problem, got proof, conds []Condition) *big.Rat {
	sum := new(big.Rat)
	add := func(a, b int64) { sum.Add(sum, new(big.Rat).Mul(new(big.Rat).SetInt64(a), new(big.Rat).SetInt64(b))) }
	for i, it := range p.Items {
		add(got.duals.item[i], it.Demand)
	}
	for r, c := range conds {
		add(got.duals.cond[r], c.Bound)
	}
	for k, kind := range p.Kinds {
		if got.limitDuals[k] != 0 {
			add(-got.limitDuals[k], kind.Limit)
		}
	}
	return sum.Quo(sum, new(big.Rat).SetInt64(s.scale))
}

// ceilRat rounds up, and up to 0.
func ceilRat(x *big.Rat) int64 {
	q, r := new(big.Int).QuoRem(x.Num(), x.Denom(), new(big.Int))
	if r.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	return max(0, q.Int64())
}

// floatSlack is what prove may lose to floating point, relatively: it gives up 2⁻⁵⁰ and a few roundings at 2⁻⁵².
const floatSlack = 1.0 / (1 << 46)

// farley is what the dual values prove when they are shrunk as far as they must be, less what whole numbers and floating
// point may lose.
func farley(s *search, p Problem, m intDuals, best []int64, conds []Condition) float64 {
	shrink := 1.0
	for k, kind := range p.Kinds {
		if may := s.scale * kind.Cost; !s.in.limited[k] && best[k] > may {
			shrink = min(shrink, float64(may)/float64(best[k]))
		}
	}
	var sum, lost float64
	add := func(value, times, lose float64) {
		sum += value * times
		lost += times * (lose + floatSlack*math.Abs(value))
	}
	one := 0.0 // lost by rounding a dual value
	if shrink < 1 {
		one = 1
	}
	for i, it := range p.Items {
		add(shrink*float64(m.item[i]), float64(it.Demand), one)
	}
	for r, c := range conds {
		add(shrink*float64(m.cond[r]), float64(c.Bound), one)
	}
	for k, kind := range p.Kinds {
		if excess := shrink*float64(best[k]) - float64(s.scale*kind.Cost); s.in.limited[k] {
			add(-max(0, excess), float64(kind.Limit), one)
			if shrink < 1 && excess > -floatSlack*math.Abs(shrink*float64(best[k]))-1 {
				lost += floatSlack * math.Abs(shrink*float64(best[k])) * float64(kind.Limit)
			}
		}
	}
	return (sum - lost - floatSlack*math.Abs(sum)) / float64(s.scale)
}

func TestShrunkRoundsDown(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 3))
	for range 20000 {
		x := r.Int64N(1<<53) >> r.IntN(53)
		if r.IntN(2) == 0 {
			x = -x
		}
		by := r.Float64()
		exact := new(big.Rat).Mul(new(big.Rat).SetInt64(x), new(big.Rat).SetFloat64(by))
		low := new(big.Rat).SetInt64(scaledDown([]int64{x}, by)[0])
		if low.Cmp(exact) > 0 {
			t.Fatalf("%d times %v is shrunk to %v", x, by, low)
		}
		high := new(big.Rat).SetInt64(ceilSafe(float64(x) * by))
		if high.Cmp(exact) < 0 {
			t.Fatalf("%d times %v is rounded up to %v", x, by, high)
		}
		// Neither errs by more than 1 and 2⁻⁴⁹ of the value.
		width, _ := new(big.Rat).Sub(high, low).Float64()
		if width > 2+math.Abs(float64(x))/(1<<49) {
			t.Fatalf("%d times %v is rounded to %v and %v", x, by, low, high)
		}
	}
}

// Past 2⁵³ an integer is rounded on its way to a float; the product must not end above the true one all the same.
func TestShrunkPastTheFloats(t *testing.T) {
	const v, by = -24995628001030074, 0.5161180895274338
	exact := new(big.Rat).Mul(new(big.Rat).SetInt64(v), new(big.Rat).SetFloat64(by))
	if got := scaledDown([]int64{v}, by)[0]; new(big.Rat).SetInt64(got).Cmp(exact) > 0 {
		t.Errorf("%d lies above %s", got, exact.FloatString(3))
	}
}
