package solver_test

import (
	"math"
	"time"

	"longpoint/solver"
	"longpoint/solver/glpk"
)

// creditFor is what the plan gets back for what is left of a stick.
func creditFor(k solver.Kind, left int64) int64 {
	if k.Credit.Num == 0 || left+k.Credit.Extra < k.Credit.Keep {
		return 0
	}
	high := left + k.Credit.Extra
	// In two steps, so that the product fits: high = whole · Den + rest.
	return high/k.Credit.Den*k.Credit.Num + high%k.Credit.Den*k.Credit.Num/k.Credit.Den
}

// priced is a pattern and what one stick of it costs, its credit taken off.
type priced struct {
	solver.Pattern
	cost int64
}

// everyPattern lists the patterns of every kind: of one with a credit all of them, of another those that no piece could be
// added to. Pieces are counted up to what the demand and the choices can ask for.
func everyPattern(p solver.Problem, most int) (list []priced, ok bool) {
	wanted := make([]int64, len(p.Items))
	for i, it := range p.Items {
		wanted[i] = it.Demand
	}
	for _, c := range p.Choices {
		for _, a := range c.Asks {
			wanted[a.Item] += a.Quantity * c.Most
		}
	}
	for k, kind := range p.Kinds {
		held := make([]int64, len(p.Items))
		if kind.Only == nil {
			copy(held, wanted)
		}
		for _, i := range kind.Only {
			held[i] = wanted[i]
		}
		take := make([]int64, len(p.Items))
		var walk func(i int, room int64) bool
		walk = func(i int, room int64) bool {
			if i == len(p.Items) {
				pat := priced{solver.Pattern{Kind: k}, kind.Cost - creditFor(kind, room)}
				for j, it := range p.Items {
					if kind.Credit.Num == 0 && take[j] < held[j] && it.Length <= room {
						return true
					}
					if take[j] > 0 {
						pat.Take = append(pat.Take, solver.Take{Item: j, Quantity: take[j]})
					}
				}
				if len(pat.Take) > 0 {
					list = append(list, pat)
				}
				return len(list) <= most
			}
			for take[i] = min(held[i], room/p.Items[i].Length); ; take[i]-- {
				if !walk(i+1, room-take[i]*p.Items[i].Length) {
					return false
				}
				if take[i] == 0 {
					return true
				}
			}
		}
		if !walk(0, kind.Length) {
			return nil, false
		}
	}
	return list, true
}

// outcome is what GLPK makes of a problem with choices.
type outcome struct {
	finished, feasible bool
	relaxed            float64   // value of the relaxation
	dual               []float64 // of its rows: items, kinds, rows of choices
	cost               int64
	patterns           []solver.Pattern // trimmed to what is wanted
	choices            []int64
}

// choiceMIP solves a problem with choices over all its patterns with GLPK's branch and bound.
func choiceMIP(p solver.Problem, patterns []priced, limit time.Duration) (out outcome, err error) {
	lp, err := glpk.Open()
	if err != nil {
		return out, err
	}
	defer lp.Close()
	if err := fillMIP(lp, p, patterns); err != nil {
		return out, err
	}
	if lp.Columns() == 0 { // no patterns and no choices: only nothing can be done
		out.finished, out.feasible = true, true
		for _, it := range p.Items {
			out.feasible = out.feasible && it.Demand == 0
		}
		for _, row := range p.Rows {
			out.feasible = out.feasible && row.Least <= 0
		}
		return out, nil
	}
	st, reached, err := lp.Simplex(glpk.Simplex{Time: limit})
	if err != nil || reached != glpk.NoLimit {
		return out, err
	}
	if st != glpk.Optimal {
		out.finished = st == glpk.NoFeasible || st == glpk.Infeasible
		return out, nil
	}
	var relaxed glpk.Solution
	if err := lp.Read(&relaxed); err != nil {
		return out, err
	}
	out.relaxed, out.dual = relaxed.Objective, relaxed.Dual
	if st, err = lp.Branch(limit, 0); err != nil {
		return out, err
	}
	switch st {
	case glpk.NoFeasible:
		out.finished = true
	case glpk.Optimal:
		objective, value, err := lp.ReadInteger()
		if err != nil {
			return out, err
		}
		out.finished, out.feasible, out.cost = true, true, int64(math.Round(objective))
		out.read(p, patterns, value)
	}
	return out, nil
}

// fillMIP adds the rows (items, kinds, rows of choices) and the columns (patterns, choices).
func fillMIP(lp *glpk.Problem, p solver.Problem, patterns []priced) error {
	var rows []glpk.Bounds
	for _, it := range p.Items {
		rows = append(rows, glpk.Bounds{Lower: float64(it.Demand), Upper: glpk.Inf})
	}
	for _, k := range p.Kinds {
		upper := glpk.Inf
		if k.Limited {
			upper = float64(k.Limit)
		}
		rows = append(rows, glpk.Bounds{Lower: -glpk.Inf, Upper: upper})
	}
	for _, row := range p.Rows {
		rows = append(rows, glpk.Bounds{Lower: float64(row.Least), Upper: glpk.Inf})
	}
	if err := lp.AddRows(rows); err != nil {
		return err
	}
	var columns []glpk.Column
	for _, pat := range patterns {
		c := glpk.Column{Cost: float64(pat.cost), Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}, Row: []int{len(p.Items) + pat.Kind}, Value: []float64{1}}
		for _, t := range pat.Take {
			c.Row, c.Value = append(c.Row, t.Item), append(c.Value, float64(t.Quantity))
		}
		columns = append(columns, c)
	}
	for _, choice := range p.Choices {
		c := glpk.Column{Cost: float64(choice.Cost), Bounds: glpk.Bounds{Lower: 0, Upper: float64(choice.Most)}}
		for _, g := range choice.Gives {
			c.Row, c.Value = append(c.Row, len(p.Items)+g.Kind), append(c.Value, -float64(g.Quantity))
		}
		for _, a := range choice.Asks {
			c.Row, c.Value = append(c.Row, a.Item), append(c.Value, -float64(a.Quantity))
		}
		for _, in := range choice.In {
			c.Row, c.Value = append(c.Row, len(p.Items)+len(p.Kinds)+in.Row), append(c.Value, float64(in.Value))
		}
		columns = append(columns, c)
	}
	if err := lp.AddColumns(columns); err != nil {
		return err
	}
	for j := range columns {
		if err := lp.SetInteger(j); err != nil {
			return err
		}
	}
	return nil
}

// read takes the plan from the columns' values. Pieces too many are left out of the last sticks.
func (out *outcome) read(p solver.Problem, patterns []priced, value []float64) {
	left := make([]int64, len(p.Items))
	for i, it := range p.Items {
		left[i] = it.Demand
	}
	for j, c := range p.Choices {
		times := int64(math.Round(value[len(patterns)+j]))
		out.choices = append(out.choices, times)
		for _, a := range c.Asks {
			left[a.Item] += a.Quantity * times
		}
	}
	for j, pat := range patterns {
		for range int64(math.Round(value[j])) {
			stick := solver.Pattern{Kind: pat.Kind, Count: 1}
			for _, t := range pat.Take {
				if q := min(t.Quantity, left[t.Item]); q > 0 {
					stick.Take = append(stick.Take, solver.Take{Item: t.Item, Quantity: q})
					left[t.Item] -= q
				}
			}
			out.patterns = append(out.patterns, stick)
		}
	}
}
