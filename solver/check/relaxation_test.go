package check

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// lpBound recomputes the bound of the linear relaxation with gonum's simplex:
//
//	min Σ_p c_p x_p + Σ_j c_j y_j   with
//	Σ_p a_i x_p − Σ_j asks_i y_j >= d_i,  Σ_{p of k} x_p − Σ_j gives_k y_j <= m_k,
//	Σ_j coefficient_q y_j >= L_q,  0 <= y_j <= M_j,  x >= 0
//
// over the patterns p = (k, a) with 0 <= a_i <= d_i + Σ_j asks_i M_j to which no piece can be
// added, and with a credit, which counts in c_p, over all others too. Those left out change
// nothing: any pattern is part of such a one, and >= allows a surplus.
// Without the surplus, over all patterns within those bounds, the bound is the same.
//
// A bound over patterns without a_i <= d_i, as some books give it, can be lower; it is the
// bound of the instance with all demands and limits multiplied by a number that no
// stick can hold of any item, divided by that number.
//
// The value is in floating point, to compare with; no verdict rests on it. It is good to
// a millionth of itself, or of all that choices can earn, where no stick costs more than a thousand times what another costs.
// ok is false when there are too many patterns, no solution within the limits, or the
// simplex failed. patterns counts those found, up to one past what is worked with.
func lpBound(instance Instance) (value float64, patterns int, ok bool) {
	v := verifier{instance: instance}
	if !v.checkInstance() {
		return 0, 0, false
	}
	columns, ok := usefulPatterns(instance, patternLimit)
	if !ok {
		return 0, len(columns), false
	}
	value, ok = newRelaxation(instance, columns).solve()
	return value, len(columns), ok
}

// patternLimit is the most patterns lpBound works with. gonum's simplex is dense and
// goes through all of them at every step; this many take a fraction of a second.
const patternLimit = 30_000

// firstPrice and greatestPrice are what a missing piece is priced at, first and at most,
// where the dearest stick costs 1. A greater price than needed costs digits: with the
// greatest, some 12 of 16 are left.
const firstPrice, greatestPrice = 10, 10_000

// relaxation is the linear program of lpBound in the form min c x, A x = b, x >= 0. The first rows
// are those that ask for something: items and rows of choices. Then come those that
// limit: kinds, choices, and what asks for nothing until a choice is made. Columns are the patterns, the
// choices, one for every row (its surplus, or what is left within a limit), and one
// for every row that asks, its shortage. A shortage is no solution; it makes a basis to
// start from that is feasible and not singular, and A of full row rank.
type relaxation struct {
	a        *mat.Dense
	b        []float64
	cost     []float64 // of the patterns and choices, the dearest of them being 1
	wanted   int       // rows that ask: the first
	dearest  float64   // what the dearest costs
	shortage int       // the first column that is one
	basis    []int     // to start from
}

// line is one row of a relaxation before it is put in order: Σ value · column >= least.
type line struct {
	least float64
	value map[int]float64 // by column
}

func newRelaxation(instance Instance, columns []column) *relaxation {
	l := &relaxation{dearest: 1}
	for _, column := range columns {
		l.cost = append(l.cost, float64(column.cost))
	}
	var choices []int // that can be made, in the order of their columns
	for j, choice := range instance.Choices {
		if choice.Most > 0 {
			choices = append(choices, j)
			l.cost = append(l.cost, float64(choice.Cost))
		}
	}
	for _, kind := range instance.Kinds {
		l.dearest = math.Max(l.dearest, float64(kind.Cost))
	}
	for _, j := range choices {
		l.dearest = math.Max(l.dearest, math.Abs(float64(instance.Choices[j].Cost)))
	}
	floats.Scale(1/l.dearest, l.cost)
	l.arrange(lines(instance, columns, choices))
	return l
}

// lines gives the rows, those of items first, over the patterns and then the choices.
func lines(instance Instance, columns []column, choices []int) []line {
	items, kinds := len(instance.Items), len(instance.Kinds)
	list := make([]line, items+kinds+len(instance.Rows)+len(choices))
	for n := range list {
		list[n].value = make(map[int]float64)
	}
	for i, item := range instance.Items {
		list[i].least = float64(item.Demand)
	}
	for p, column := range columns {
		for i, quantity := range column.quantity {
			if quantity > 0 {
				list[i].value[p] = float64(quantity)
			}
		}
		if limit := instance.Kinds[column.kind].Limit; limit != nil {
			list[items+column.kind].value[p] = -1
			list[items+column.kind].least = -float64(*limit)
		}
	}
	for r, row := range instance.Rows {
		list[items+kinds+r].least = float64(row.Least)
	}
	for n, j := range choices {
		c, choice := len(columns)+n, instance.Choices[j]
		for _, ask := range choice.Asks {
			list[ask.Item].value[c] = -float64(ask.Quantity)
		}
		for _, give := range choice.Gives {
			if there := &list[items+give.Kind]; len(there.value) > 0 { // otherwise nothing comes off the kind
				there.value[c] = float64(give.Quantity)
			}
		}
		for _, entry := range choice.In {
			list[items+kinds+entry.Row].value[c] = float64(entry.Coefficient)
		}
		most := &list[items+kinds+len(instance.Rows)+n]
		most.value[c], most.least = -1, -float64(choice.Most)
	}
	return list
}

// arrange fills the program from its rows. A row without columns that asks for nothing is left
// out; one that asks for something is kept, and will be short.
func (l *relaxation) arrange(list []line) {
	var ask, limit []line
	for _, row := range list {
		switch {
		case row.least > 0:
			ask = append(ask, row)
		case len(row.value) > 0:
			limit = append(limit, row)
		}
	}
	l.wanted = len(ask)
	list = append(ask, limit...)
	if len(list) == 0 {
		return
	}
	l.shortage = len(l.cost) + len(list)
	l.a = mat.NewDense(len(list), l.shortage+l.wanted, nil)
	for r, row := range list {
		sign := 1.0
		if r >= l.wanted {
			sign = -1
		}
		l.b = append(l.b, math.Abs(row.least))
		for c, value := range row.value {
			l.a.Set(r, c, sign*value)
		}
		l.a.Set(r, len(l.cost)+r, -sign)
		if r < l.wanted {
			l.a.Set(r, l.shortage+r, 1)
			l.basis = append(l.basis, l.shortage+r)
		} else {
			l.basis = append(l.basis, len(l.cost)+r)
		}
	}
}

// solve first asks for the least shortage, which must be none. Then it prices the shortage,
// dearer and dearer until none is used: what is cheapest then is so at any price.
func (l *relaxation) solve() (value float64, ok bool) {
	if l.a == nil {
		return 0, true
	}
	if _, none, ok := l.priced(0, 1); !ok || !none {
		return 0, false
	}
	for price := float64(firstPrice); price <= greatestPrice; price *= 10 {
		value, none, ok := l.priced(1, price)
		if !ok {
			return 0, false
		}
		if none {
			return value * l.dearest, true
		}
	}
	return 0, false
}

// priced solves the program with the patterns' costs multiplied by weight, and a missing
// piece at price. none says that no piece is missing.
func (l *relaxation) priced(weight, price float64) (value float64, none, ok bool) {
	_, columns := l.a.Dims()
	c := make([]float64, columns)
	floats.AddScaled(c[:len(l.cost)], weight, l.cost)
	for column := l.shortage; column < columns; column++ {
		c[column] = price
	}
	value, x, err := steadySimplex(c, l.a, l.b, l.wanted, l.basis)
	if err != nil {
		return 0, false, false
	}
	return value, floats.Sum(x[l.shortage:]) <= shortTolerance*floats.Sum(l.b), true
}
