package solver

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// decimation looks for a plan that fills every stick to the end, without a linear program.
//
// Among all relaxed plans of fillings, x_p sticks of filling p and so for every piece i one stick in all that holds it, it takes the one of greatest
// entropy, Σ x_p (1 − ln x_p). There x_p is the product of one weight for each piece of p (J. N. Darroch, D. Ratcliff, Annals of Mathematical Statistics
// 43, 1972), so that sums over all fillings come from one pass over the lengths. It cuts one stick of the filling with the greatest x_p, which leaves the
// most plans open, and begins again with what is left (decimation: M. Mézard, G. Parisi, R. Zecchina, Science 297, 2002; both from memory).
type decimation struct {
	fillings  *fillings
	length    []int // of an item
	left      []int64
	pieces    int64
	logWeight []float64 // of one piece of an item
	expected  []float64 // how many sticks hold one given piece of an item; 1 is wanted
	sums      []float64 // by length used: the weights of all sets of pieces, each the product of its pieces' weights
	anderson  anderson
}

func newDecimation(in *instance, f *fillings) *decimation {
	n := len(in.length)
	d := &decimation{fillings: f, length: make([]int, n), left: slices.Clone(in.demand), logWeight: make([]float64, n), expected: make([]float64, n),
		sums: make([]float64, f.capacity+1)}
	for i, l := range in.length {
		d.length[i] = int(l)
		d.pieces += in.demand[i]
		d.logWeight[i] = -1 - 6*float64(l)/float64(f.capacity)
	}
	return d
}

// sweep works out expected, and returns how far it is from 1: the greatest absolute logarithm.
func (d *decimation) sweep() float64 {
	capacity := d.fillings.capacity
	clear(d.sums)
	d.sums[0] = 1
	reached := 0
	for i, l := range d.length {
		w := math.Exp(d.logWeight[i])
		for range d.left[i] {
			reached = min(capacity, reached+l)
			without := d.sums[:reached+1-l]
			with := d.sums[l:][:len(without)]
			for r := len(without) - 1; r >= 0; r-- {
				with[r] += w * without[r]
			}
		}
	}
	worst := 0.0
	for i, l := range d.length {
		if d.left[i] == 0 {
			continue
		}
		// The sets without one piece of i: all, less those that have it, which are sets without it and the piece, and so on.
		w, rest, sign := math.Exp(d.logWeight[i]), 0.0, 1.0
		for r := capacity - l; r >= 0; r -= l {
			rest += sign * d.sums[r]
			sign *= -w
		}
		d.expected[i] = max(w*rest, leastExpected)
		worst = max(worst, math.Abs(math.Log(d.expected[i])))
	}
	return worst
}

const leastExpected = 1e-9

// settle changes the weights until every piece is expected once. It reports false where that does not come about: what is left has hardly any plan then.
func (d *decimation) settle(ctx context.Context, sweeps int) bool {
	wrong := make([]float64, len(d.expected))
	d.anderson.begin()
	for range sweeps {
		off := d.sweep()
		if off < settled {
			return true
		}
		if ctx.Err() != nil || math.IsNaN(off) {
			return false
		}
		for i, e := range d.expected {
			wrong[i] = -math.Log(e)
		}
		d.anderson.step(d.logWeight, wrong)
	}
	return d.sweep() < hopeless
}

// Within settled the weights are good enough. Beyond hopeless, after so many sweeps, they will not settle. Of 20 decimations of AI 402 a first version found a
// plan in 6 at 0.05, in 8 at 0.02, and in 12 at 0.01, which took nearly twice the time.
const (
	settled, hopeless         = 0.02, 1.0
	firstSweeps, sweepsPerCut = 200, 30
)

// cut cuts one stick after another, until nothing is left or what is left has hardly any plan. At the same weights it cuts what is expected on more than
// likelyAt of a stick. The weights are disturbed a little, so that one decimation differs from another.
func (d *decimation) cut(ctx context.Context, plan *partialPlan, random *rand.Rand) bool {
	value := make([]float64, len(d.logWeight))
	for sweeps := firstSweeps; d.pieces > 0; sweeps = sweepsPerCut {
		if !d.settle(ctx, sweeps) {
			return false
		}
		for i := range value {
			value[i] = d.logWeight[i] + disturbance*random.NormFloat64()
		}
		for n := 0; d.pieces > 0; n++ {
			take, logExpected := d.fillings.best(value, d.left)
			if n > 0 && logExpected < math.Log(likelyAt) {
				break
			}
			if take == nil || !plan.cut(&column{take: take}, 1) {
				return false
			}
			for _, t := range take {
				d.left[t.Item] -= t.Quantity
				d.pieces -= t.Quantity
			}
		}
	}
	return true
}

// likelyAt, disturbance: of 25 decimations of AI 402, 15 found a plan at 0.8 and 12 at 0.65, which took 1.7 and 1.5 s each. Disturbed by 0.15 as many did as
// by 0.05.
const likelyAt, disturbance = 0.8, 0.05

// mostDecimated is the greatest number of pieces: a stick is cut at a time, after passes over the lengths for every piece.
const mostDecimated = 2000

// decimate makes up to so many decimations, where a better plan fills every stick and the bound allows one, and reports whether it found one. No plan is
// better than that.
func (s *search) decimate(ctx context.Context, tries int) bool {
	for range tries {
		if !s.onlyFillings() || s.rootBoundMet() || s.in.totalDemand > mostDecimated || ctx.Err() != nil {
			break
		}
		s.decimations++
		plan := newPartialPlan(s.in, nil)
		if newDecimation(s.in, s.fillings).cut(ctx, plan, rand.New(rand.NewPCG(s.decimations, 0))) {
			s.updateIncumbent(plan)
			return s.rootBoundMet()
		}
	}
	return false
}

// anderson speeds the iteration x ← x + r(x) up by Anderson acceleration: of the last few steps it takes the combination that would have left the least r,
// were r linear (D. G. Anderson, Journal of the ACM 12, 1965; from memory).
type anderson struct {
	xs, rs   [][]float64 // differences of steps
	x, r     []float64   // of the last step
	anything bool
}

// andersonSteps is how many steps are combined, andersonDamping the share of r that a step takes. Without acceleration steps of more than ½ did not settle.
const andersonSteps, andersonDamping = 5, 0.3

// begin forgets the steps.
func (m *anderson) begin() { m.xs, m.rs, m.anything = m.xs[:0], m.rs[:0], false }

// step changes x, where r is.
func (m *anderson) step(x, r []float64) {
	if m.anything {
		if len(m.xs) == andersonSteps {
			m.xs, m.rs = slices.Delete(m.xs, 0, 1), slices.Delete(m.rs, 0, 1)
		}
		m.xs, m.rs = append(m.xs, difference(x, m.x)), append(m.rs, difference(r, m.r))
	}
	m.x, m.r, m.anything = append(m.x[:0], x...), append(m.r[:0], r...), true
	factors := leastSquares(m.rs, r)
	for i := range x {
		step := andersonDamping * r[i]
		for k, f := range factors {
			step -= f * (m.xs[k][i] + andersonDamping*m.rs[k][i])
		}
		x[i] += max(-1, min(1, step))
	}
}

func difference(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] - b[i]
	}
	return out
}

// leastSquares are the factors f for which r − Σ f_k v_k is least.
func leastSquares(v [][]float64, r []float64) []float64 {
	n := len(v)
	a := make([][]float64, n) // the normal equations
	for i := range a {
		a[i] = make([]float64, n+1)
		for j := range n {
			a[i][j] = dot(v[i], v[j])
		}
		a[i][i] *= 1 + 1e-8
		a[i][n] = dot(v[i], r)
	}
	for i := range a {
		for _, row := range a[i+1:] {
			f := row[i] / max(a[i][i], math.SmallestNonzeroFloat64)
			for j := i; j <= n; j++ {
				row[j] -= f * a[i][j]
			}
		}
	}
	f := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		f[i] = a[i][n]
		for j := i + 1; j < n; j++ {
			f[i] -= a[i][j] * f[j]
		}
		f[i] /= max(a[i][i], math.SmallestNonzeroFloat64)
	}
	return f
}

func dot(a, b []float64) (sum float64) {
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}
