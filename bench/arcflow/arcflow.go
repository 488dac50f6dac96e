// Package arcflow writes a cutting problem as the textbook arc-flow integer program, for general-purpose solvers.
//
// J. M. Valério de Carvalho, "Exact solution of bin-packing problems using column generation and branch-and-bound",
// Annals of Operations Research 86, 1999, 629–659. Nodes are positions on a stick, from 0 to the longest L; an item of length
// ℓ is an arc from p to p + ℓ, and waste is an arc from one position to the next. A stick of kind k is a unit of flow z_k from 0
// to L_k. With x the flow on an arc,
//
//	min  Σ_k c_k z_k + Σ_j c_j y_j
//	     flow into p − flow out of p = 0               for every position p strictly inside
//	     flow out of 0 = Σ_k z_k, flow into L_k keeps its z_k
//	     Σ x over the arcs of item i ≥ d_i             for every item
//	     z_k − Σ_j g_jk y_j ≤ m_k                      for every kind with a limit
//	     Σ_j a_rj y_j ≥ b_r                            for every row r
//	     x, z, y ≥ 0 whole, y_j ≤ the most of choice j
//
// where choice j, such as a bundle that is bought, costs c_j and gives g_jk sticks of kind k. Choices, their rows and limits are ours; the paper has one kind
// of stick.
//
// The arcs are the paper's reduced ones: longer items come before shorter ones on a stick, an item begins only where a
// longer item ends or where one of its own does, no more often in a row than its demand, and waste comes last.
// Positions that no arc reaches are left out, so that waste runs from each position to the next one used.
package arcflow

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"longpoint/solver"
)

// Arc is a unit that flow can pass: an item, or waste.
type Arc struct {
	From, To int // indexes in Model.Positions
	Waste    bool
	Item     int // index in Model.Problem.Items; meaningless for waste
}

// Model is the integer program of a problem.
type Model struct {
	Problem   solver.Problem
	Positions []int64 // rising; the first is 0
	Arcs      []Arc
}

// ErrTooLarge says that the model has more arcs than allowed.
var ErrTooLarge = errors.New("the arc-flow model has too many arcs")

// ErrBeyond says that a problem has what the model does not state: kinds that hold only some items, credits, or choices that ask for pieces.
var ErrBeyond = errors.New("the arc-flow model does not state all of the problem")

// States says whether the model can state a problem.
func States(p solver.Problem) bool {
	return !slices.ContainsFunc(p.Kinds, func(k solver.Kind) bool { return k.Only != nil || k.Credit.Num != 0 }) &&
		!slices.ContainsFunc(p.Choices, func(c solver.Choice) bool { return len(c.Asks) > 0 })
}

// Build makes the model of a problem, or fails with ErrTooLarge where it would have more than most arcs, or with ErrBeyond.
func Build(p solver.Problem, most int) (Model, error) {
	if !States(p) {
		return Model{}, ErrBeyond
	}
	longest := int64(0)
	for _, k := range p.Kinds {
		longest = max(longest, k.Length)
	}
	order := make([]int, 0, len(p.Items))
	for i, it := range p.Items {
		if it.Demand > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.Items[b].Length, p.Items[a].Length) })

	type span struct {
		from int64
		item int
	}
	reached := map[int64]bool{0: true}
	var spans []span
	for _, i := range order {
		length := p.Items[i].Length
		starts := make([]int64, 0, len(reached))
		for at := range reached {
			starts = append(starts, at)
		}
		begun := map[int64]bool{}
		for _, at := range starts {
			for n := int64(0); n < p.Items[i].Demand && at+length <= longest; n++ {
				if !begun[at] {
					begun[at] = true
					spans = append(spans, span{at, i})
				}
				at += length
				reached[at] = true
			}
			if len(spans) > most {
				return Model{}, fmt.Errorf("%w: more than %d", ErrTooLarge, most)
			}
		}
	}
	for _, k := range p.Kinds {
		reached[k.Length] = true
	}
	m := Model{Problem: p}
	for at := range reached {
		m.Positions = append(m.Positions, at)
	}
	slices.Sort(m.Positions)
	index := make(map[int64]int, len(m.Positions))
	for n, at := range m.Positions {
		index[at] = n
	}
	slices.SortFunc(spans, func(a, b span) int { return cmp.Or(cmp.Compare(a.item, b.item), cmp.Compare(a.from, b.from)) })
	for _, s := range spans {
		m.Arcs = append(m.Arcs, Arc{From: index[s.from], To: index[s.from+p.Items[s.item].Length], Item: s.item})
	}
	for n := 1; n < len(m.Positions)-1; n++ { // none from 0: a stick of nothing but waste helps nobody
		m.Arcs = append(m.Arcs, Arc{From: n, To: n + 1, Waste: true})
	}
	if len(m.Arcs) > most {
		return Model{}, fmt.Errorf("%w: more than %d", ErrTooLarge, most)
	}
	return m, nil
}
