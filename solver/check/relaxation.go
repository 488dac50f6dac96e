package check

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// patternLimit is the most patterns LPBound works with. gonum's simplex is dense and
// goes through all of them at every step; this many take a fraction of a second.
const patternLimit = 30_000

// firstPrice and greatestPrice are what a missing piece is priced at, first and at most,
// where the dearest stick costs 1. A greater price than needed costs digits: with the
// greatest, some 12 of 16 are left.
const firstPrice, greatestPrice = 10, 10_000

// relaxation is the linear program of LPBound in the form min c x, A x = b, x >= 0. Rows
// are the items wanted and the limits. Columns are the patterns, one for every row
// (an item's surplus, or what is left within a limit), and one for every item wanted, its
// shortage. A shortage is no solution; it makes a basis to start from that is
// feasible and not singular, and A of full row rank.
type relaxation struct {
	a        *mat.Dense
	b        []float64
	cost     []float64 // of the patterns, the dearest stick being 1
	wanted   int       // items wanted: the first rows
	dearest  float64   // what the dearest stick costs
	shortage int       // the first column that is one
	basis    []int     // to start from
}

func newRelaxation(instance Instance, columns []column) *relaxation {
	l := &relaxation{dearest: 1}
	rowOfItem, rowOfKind := make(map[int]int), make(map[int]int)
	for i, item := range instance.Items {
		if item.Demand > 0 {
			rowOfItem[i] = len(l.b)
			l.b = append(l.b, float64(item.Demand))
		}
	}
	l.wanted = len(l.b)
	for k, kind := range instance.Kinds {
		l.dearest = math.Max(l.dearest, float64(kind.Cost))
		if kind.Limit != nil && *kind.Limit > 0 {
			rowOfKind[k] = len(l.b)
			l.b = append(l.b, float64(*kind.Limit))
		}
	}
	if l.wanted == 0 {
		return l
	}
	l.shortage = len(columns) + len(l.b)
	l.a = mat.NewDense(len(l.b), l.shortage+l.wanted, nil)
	for p, column := range columns {
		l.cost = append(l.cost, float64(instance.Kinds[column.kind].Cost)/l.dearest)
		for i, quantity := range column.quantity {
			if quantity > 0 {
				l.a.Set(rowOfItem[i], p, float64(quantity))
			}
		}
		if row, limited := rowOfKind[column.kind]; limited {
			l.a.Set(row, p, 1)
		}
	}
	for row := range l.b {
		if row < l.wanted {
			l.a.Set(row, len(columns)+row, -1)
			l.a.Set(row, l.shortage+row, 1)
			l.basis = append(l.basis, l.shortage+row)
		} else {
			l.a.Set(row, len(columns)+row, 1)
			l.basis = append(l.basis, len(columns)+row)
		}
	}
	return l
}

// solve first asks for the least shortage, which must be none. Then it prices the shortage,
// dearer and dearer until none is used: what is cheapest then is so at any price.
func (l *relaxation) solve() (value float64, ok bool) {
	if l.wanted == 0 {
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
