package solver

import (
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"slices"
	"time"

	"longpoint/solver/glpk"
)

// column is a pattern in the restricted master problem.
type column struct {
	kind     int
	take     []Take
	declined bool // it declines the credit for what it leaves, and so counts in no condition on credits
}

// key identifies a column.
func (c *column) key() string {
	b := binary.AppendVarint(nil, int64(c.kind))
	if c.declined {
		b = append(b, 0)
	}
	for _, t := range c.take {
		b = binary.AppendVarint(b, int64(t.Item))
		b = binary.AppendVarint(b, t.Quantity)
	}
	return string(b)
}

// holds tells how many of item i the pattern has.
func (c *column) holds(i int) int64 {
	for _, t := range c.take {
		if t.Item == i {
			return t.Quantity
		}
	}
	return 0
}

// meets tells whether sticks that are cut so count in the condition.
func (c *column) meets(in *instance, d *Condition) bool {
	if d.OnChoice || !d.AnyKind && d.Kind != c.kind || d.Credited && (c.declined || !in.credited(c.kind, c.take)) {
		return false
	}
	for _, h := range d.Holds {
		if c.holds(h.Item) < h.Quantity {
			return false
		}
	}
	return true
}

// master is the restricted master problem of one node: the linear relaxation over the columns generated so far.
//
// Rows: one per wanted item (at least the demand), one per limited kind, one per condition of the node, one per row
// of the problem.
//
// Columns: first the artificial ones. One supplies each item at the cost penalty, so that there is always a solution;
// where a surplus has a penalty, one takes a surplus of each item away; one meets each at-least condition and each
// row at the cost penalty. Then come the choices, then the dual cuts, then the patterns. Only the root's master may
// use the dual cuts; other nodes have them fixed at 0, so that they can start from its basis.
//
// Costs are divided by unit, so that GLPK's tolerances suit them.
type master struct {
	lp           *glpk.Problem
	in           *instance
	conds        []Condition
	items        []int // item of row r
	limits       []int // kinds with a limit row, in row order
	artificials  int
	penalised    []int // artificial columns of cost penalty
	dualCuts     []dualCut
	dualCutsOpen bool      // the dual cuts are not fixed at 0
	patternsFrom int       // number of columns before the patterns
	cols         []*column // the patterns, in the order of the LP's columns
	present      map[*column]bool
	sol          glpk.Solution
	unit         float64
	rowUnit      float64 // the problem's rows are divided by it
	penalty      float64
}

// basis is the statuses from which a child's simplex starts.
type basis struct {
	rows        []int
	artificials []int
	choices     []int
	columns     map[*column]int
}

// lpSlice is how long GLPK may run before the context is looked at again. Each further slice of the same linear
// program is twice as long, up to lpSliceMost. Each begins anew to weigh columns, so where it ends matters to the way that is taken.
const lpSlice, lpSliceMost = 100 * time.Millisecond, 1600 * time.Millisecond

// endless is longer than anything takes. It stands for a limit on time where the context cannot end: no clock has a part in such a search then, so that it
// does the same each time.
const endless = 24 * time.Hour

// newMaster builds the master problem of a node. A surplus piece costs surplusPenalty; at 0, there are no columns for
// it.
func newMaster(in *instance, conds []Condition, cols []*column, from *basis, penalty, surplusPenalty float64) (*master, error) {
	lp, err := glpk.Open()
	if err != nil {
		return nil, err
	}
	m := &master{lp: lp, in: in, conds: conds, unit: max(1, float64(in.maxCost)), rowUnit: in.rowUnit(), penalty: penalty, present: map[*column]bool{}}
	m.dualCuts, m.dualCutsOpen = in.dualCuts(), surplusPenalty == 0 && len(conds) == 0
	if err := m.build(surplusPenalty, cols, from); err != nil {
		lp.Close()
		return nil, err
	}
	return m, nil
}

func (m *master) close() { m.lp.Close() }

func (m *master) build(surplusPenalty float64, cols []*column, from *basis) error {
	for i := range m.in.demand {
		if m.in.maxDemand[i] > 0 {
			m.items = append(m.items, i)
		}
	}
	for k := range m.in.capacity {
		if m.in.limited[k] {
			m.limits = append(m.limits, k)
		}
	}
	if err := m.lp.AddRows(m.rowBounds(m.conds)); err != nil {
		return err
	}
	artificials := m.artificialColumns(surplusPenalty)
	m.artificials = len(artificials)
	m.patternsFrom = m.artificials + len(m.in.choices) + len(m.dualCuts)
	if err := m.lp.AddColumns(slices.Concat(artificials, m.choiceColumns(m.conds, m.unit), m.dualCutColumns(m.dualCutsOpen))); err != nil {
		return err
	}
	if err := m.add(cols); err != nil {
		return err
	}
	if from == nil {
		return m.lp.Crash()
	}
	return m.restoreBasis(from)
}

// rowBounds are the bounds of the rows: items, limits, these conditions, and the problem's rows.
func (m *master) rowBounds(conds []Condition) []glpk.Bounds {
	var bounds []glpk.Bounds
	for _, i := range m.items {
		bounds = append(bounds, glpk.Bounds{Lower: float64(m.in.demand[i]), Upper: glpk.Inf})
	}
	for _, k := range m.limits {
		bounds = append(bounds, glpk.Bounds{Lower: -glpk.Inf, Upper: float64(m.in.limit[k])})
	}
	for _, c := range conds {
		if c.AtLeast {
			bounds = append(bounds, glpk.Bounds{Lower: float64(c.Bound), Upper: glpk.Inf})
		} else {
			bounds = append(bounds, glpk.Bounds{Lower: -glpk.Inf, Upper: float64(c.Bound)})
		}
	}
	for _, r := range m.in.rows {
		bounds = append(bounds, glpk.Bounds{Lower: float64(r.Least) / m.rowUnit, Upper: glpk.Inf})
	}
	return bounds
}

// artificialColumns are the artificial columns, and those of surplus pieces where these have a penalty. It lists in
// m.penalised which of them cost m.penalty.
func (m *master) artificialColumns(surplusPenalty float64) []glpk.Column {
	var cols []glpk.Column
	add := func(row int, cost, value float64) {
		cols = append(cols, glpk.Column{Cost: cost, Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}, Row: []int{row}, Value: []float64{value}})
	}
	penalised := func(row int, value float64) {
		m.penalised = append(m.penalised, len(cols))
		add(row, m.penalty, value)
	}
	for r := range m.items {
		penalised(r, 1)
	}
	if surplusPenalty > 0 {
		for r := range m.items {
			add(r, surplusPenalty, -1)
		}
	}
	for t, c := range m.conds {
		if c.AtLeast {
			penalised(len(m.items)+len(m.limits)+t, 1)
		}
	}
	for r := range m.in.rows {
		// Numbers in rows are whole, so a row that is not met lacks at least a unit.
		penalised(len(m.items)+len(m.limits)+len(m.conds)+r, 1/m.rowUnit)
	}
	return cols
}

// rowOf gives the rows of items and of kinds with a limit.
func (m *master) rowOf() (item, limit map[int]int) {
	item, limit = make(map[int]int, len(m.items)), make(map[int]int, len(m.limits))
	for r, i := range m.items {
		item[i] = r
	}
	for r, k := range m.limits {
		limit[k] = len(m.items) + r
	}
	return item, limit
}

// choiceColumns are the columns of the problem's choices, with rows for these conditions; costs are divided by unit.
func (m *master) choiceColumns(conds []Condition, unit float64) []glpk.Column {
	itemRow, limitRow := m.rowOf()
	firstCond := len(m.items) + len(m.limits)
	cols := make([]glpk.Column, len(m.in.choices))
	for j, c := range m.in.choices {
		col := glpk.Column{Cost: float64(c.Cost) / unit, Bounds: glpk.Bounds{Lower: 0, Upper: float64(c.Most)}}
		put := func(row int, v float64) { col.Row, col.Value = append(col.Row, row), append(col.Value, v) }
		for _, t := range c.Asks {
			if r, ok := itemRow[t.Item]; ok {
				put(r, -float64(t.Quantity))
			}
		}
		for _, g := range c.Gives {
			if r, ok := limitRow[g.Kind]; ok {
				put(r, -float64(g.Quantity))
			}
		}
		for r := range conds {
			if conds[r].OnChoice && conds[r].Choice == j {
				put(firstCond+r, 1)
			}
		}
		for _, in := range c.In {
			put(firstCond+len(conds)+in.Row, float64(in.Value)/m.rowUnit)
		}
		cols[j] = col
	}
	return cols
}

// patternColumns are the columns of patterns, with rows for these conditions; costs are divided by unit.
func (m *master) patternColumns(patterns []*column, conds []Condition, unit float64) []glpk.Column {
	itemRow, limitRow := m.rowOf()
	firstCond := len(m.items) + len(m.limits)
	cols := make([]glpk.Column, len(patterns))
	for j, c := range patterns {
		col := glpk.Column{Cost: float64(m.in.columnCost(c)) / unit, Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}}
		put := func(row int, v float64) { col.Row, col.Value = append(col.Row, row), append(col.Value, v) }
		for _, t := range c.take {
			put(itemRow[t.Item], float64(t.Quantity))
		}
		if r, ok := limitRow[c.kind]; ok {
			put(r, 1)
		}
		for r := range conds {
			if c.meets(m.in, &conds[r]) {
				put(firstCond+r, 1)
			}
		}
		cols[j] = col
	}
	return cols
}

// restoreBasis sets a basis that was saved from this master or its parent's. Rows and columns that came since are as
// at the start: rows basic, columns not.
func (m *master) restoreBasis(from *basis) error {
	rows := append([]int(nil), from.rows...)
	for len(rows) < m.lp.Rows() {
		rows = append(rows, glpk.StatBasic)
	}
	stats := make([]int, m.lp.Columns())
	for j := range stats {
		stats[j] = glpk.StatLower
		switch {
		case j < m.artificials:
			if j < len(from.artificials) {
				stats[j] = from.artificials[j]
			}
		case j < m.patternsFrom:
			stats[j] = from.choices[j-m.artificials]
		default:
			if st, ok := from.columns[m.cols[j-m.patternsFrom]]; ok {
				stats[j] = st
			}
		}
	}
	return m.lp.SetBasis(rows, stats)
}

// add appends columns to the LP.
func (m *master) add(cols []*column) error {
	for _, c := range cols {
		m.present[c] = true
	}
	m.cols = append(m.cols, cols...)
	return m.lp.AddColumns(m.patternColumns(cols, m.conds, m.unit))
}

// has tells whether the LP has the column.
func (m *master) has(c *column) bool { return m.present[c] }

// setPenalty changes the cost of the artificial columns.
func (m *master) setPenalty(price float64) error {
	m.penalty = price
	for _, j := range m.penalised {
		if err := m.lp.SetCost(j, price); err != nil {
			return err
		}
	}
	return nil
}

// setDemand changes the right-hand sides to what a partial plan leaves to be cut.
func (m *master) setDemand(d *partialPlan) error {
	asked, given := make([]int64, len(m.in.demand)), make([]int64, len(m.in.capacity)) // by the choices that the plan has made
	for j, c := range m.in.choices {
		b := glpk.Bounds{Lower: 0, Upper: float64(c.Most)}
		if d.times != nil {
			b = glpk.Bounds{Lower: float64(d.times[j]), Upper: float64(d.times[j])}
			for _, t := range c.Asks {
				asked[t.Item] += t.Quantity * d.times[j]
			}
			for _, g := range c.Gives {
				given[g.Kind] += g.Quantity * d.times[j]
			}
		}
		if err := m.lp.SetColumnBounds(m.artificials+j, b); err != nil {
			return err
		}
	}
	for r, i := range m.items {
		if err := m.lp.SetRowBounds(r, glpk.Bounds{Lower: float64(d.demand[i] - asked[i]), Upper: glpk.Inf}); err != nil {
			return err
		}
	}
	for r, k := range m.limits {
		b := glpk.Bounds{Lower: -glpk.Inf, Upper: float64(d.limit[k] - given[k])}
		if err := m.lp.SetRowBounds(len(m.items)+r, b); err != nil {
			return err
		}
	}
	for r := range m.conds {
		c := &m.conds[r]
		if c.OnChoice {
			continue
		}
		b := glpk.Bounds{Lower: -glpk.Inf, Upper: float64(max(0, c.Bound-d.count(c)))}
		if d.freed && c.countsKind() && !c.AtLeast {
			b.Upper = glpk.Inf
		}
		if c.AtLeast {
			b = glpk.Bounds{Lower: float64(max(0, c.Bound-d.count(c))), Upper: glpk.Inf}
		}
		if err := m.lp.SetRowBounds(len(m.items)+len(m.limits)+r, b); err != nil {
			return err
		}
	}
	return nil
}

// solve solves the LP and reads the solution. An ended context is an error, and so is errStalled. GLPK may cycle at a
// degenerate vertex; then other simplex variants are tried.
func (m *master) solve(ctx context.Context, method glpk.Method) error {
	most := 3000 + 30*m.lp.Rows()
	for _, way := range []struct {
		how   glpk.Simplex
		reset bool
	}{
		{glpk.Simplex{Method: method, Iterations: most, Tolerance: defaultTolerance}, false},
		{glpk.Simplex{Method: glpk.Dual, Iterations: most, Tolerance: defaultTolerance}, false},
		{glpk.Simplex{Iterations: 2 * most, Tolerance: defaultTolerance, Plain: true}, true},
		{glpk.Simplex{Method: glpk.Dual, Iterations: 2 * most, Tolerance: defaultTolerance, Plain: true}, true},
		{glpk.Simplex{Iterations: 4 * most, Tolerance: lastTolerance}, true},
	} {
		if way.reset {
			if err := m.lp.Reset(); err != nil {
				return err
			}
		}
		if done, err := m.simplex(ctx, way.how); done || err != nil {
			return err
		}
	}
	return errStalled
}

// errStalled says that GLPK found no way to a linear program's optimum.
var errStalled = errors.New("the linear program stalled")

// solveTight solves the LP to tightTolerance. It reports false when that takes too many iterations.
func (m *master) solveTight(ctx context.Context) (bool, error) {
	return m.simplex(ctx, glpk.Simplex{Tolerance: tightTolerance, Iterations: 1000 + 5*m.lp.Rows()})
}

// The tolerances on reduced costs, the dearest stick costing 1. The default is GLPK's own. The last one is tried when
// all else has failed.
const defaultTolerance, tightTolerance, lastTolerance = 1e-7, 1e-10, 1e-6

// simplex solves the LP and reads the solution. It reports false when the iterations do not suffice.
func (m *master) simplex(ctx context.Context, how glpk.Simplex) (bool, error) {
	resets := 0
	allowed := how.Iterations
	slice, most := lpSlice, lpSliceMost
	if ctx.Done() == nil {
		slice, most = endless, endless
	}
	for how.Time = slice; ; how.Time = min(2*how.Time, most) {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		status, reached, err := m.lp.Simplex(how)
		var lost *glpk.BasisError
		switch {
		case errors.As(err, &lost) && resets < 2:
			resets++
			how.Method = glpk.Primal
			if err := m.lp.Reset(); err != nil {
				return false, err
			}
		case lost != nil:
			return false, nil // another way may do
		case err != nil:
			return false, err
		case reached == glpk.IterationLimit:
			return false, nil
		case reached == glpk.TimeLimit:
			// GLPK counts iterations from each call. A slice is charged an eighth of the allowance.
			allowed -= how.Iterations / 8
			if allowed <= 0 {
				return false, nil
			}
		case status == glpk.Optimal:
			return true, m.lp.Read(&m.sol)
		case resets < 2:
			// The master always has a solution and is bounded: anything else is numerical trouble.
			resets++
			how.Method = glpk.Primal
			if err := m.lp.Reset(); err != nil {
				return false, err
			}
		default:
			return false, nil
		}
	}
}

// value is the LP's value in the problem's money.
func (m *master) value() float64 { return m.sol.Objective * m.unit }

// artificialValue is the sum of the artificial columns of cost penalty. Above zeroTolerance the solution is
// infeasible.
func (m *master) artificialValue() float64 {
	var sum float64
	for _, j := range m.penalised {
		sum += m.sol.Value[j]
	}
	return sum
}

// columnValue gives the value of column j of cols.
func (m *master) columnValue(j int) float64 { return m.sol.Value[m.patternsFrom+j] }

// choiceValue gives how often choice j is made.
func (m *master) choiceValue(j int) float64 { return m.sol.Value[m.artificials+j] }

// duals reads the dual values: one per item of the instance, one per condition, one per kind (of its limit; ≥ 0), one
// per row.
func (m *master) duals() lpDuals {
	d := lpDuals{item: make([]float64, len(m.in.length)), cond: make([]float64, len(m.conds)), limit: make([]float64, len(m.in.capacity)),
		row: make([]float64, len(m.in.rows))}
	for r, i := range m.items {
		d.item[i] = m.sol.Dual[r] * m.unit
	}
	for r, k := range m.limits {
		d.limit[k] = max(0, -m.sol.Dual[len(m.items)+r]*m.unit)
	}
	for r, c := range m.conds {
		v := m.sol.Dual[len(m.items)+len(m.limits)+r] * m.unit
		if c.AtLeast {
			v = max(v, 0)
		} else {
			v = min(v, 0)
		}
		d.cond[r] = v
	}
	for r := range d.row {
		d.row[r] = max(0, m.sol.Dual[len(m.items)+len(m.limits)+len(m.conds)+r]*m.unit/m.rowUnit)
	}
	return d
}

// lpDuals are the LP's dual values in the problem's money. That of a limit is given with its sign turned: not
// negative.
type lpDuals struct{ item, cond, limit, row []float64 }

// smoothed gives (1 − share)·d + share·o.
func (d lpDuals) smoothed(o lpDuals, share float64) lpDuals {
	blend := func(a, b []float64) []float64 {
		out := make([]float64, len(a))
		for i := range a {
			out[i] = (1-share)*a[i] + share*b[i]
		}
		return out
	}
	return lpDuals{blend(d.item, o.item), blend(d.cond, o.cond), blend(d.limit, o.limit), blend(d.row, o.row)}
}

// dropColumns deletes non-basic columns of high reduced cost when there are more than most columns.
func (m *master) dropColumns(most int) error {
	if len(m.cols) <= most {
		return nil
	}
	type nonBasic struct {
		j int
		d float64 // reduced cost
	}
	var list []nonBasic
	for j := range m.cols {
		if at := m.patternsFrom + j; at < len(m.sol.ColStat) && !m.sol.Basic(at) {
			list = append(list, nonBasic{j, m.sol.Reduced[at]})
		}
	}
	cut := len(m.cols) - most*2/3
	if cut > len(list) {
		cut = len(list)
	}
	// By reduced cost, the highest first; of equals the oldest first.
	slices.SortFunc(list, func(a, b nonBasic) int { return cmp.Or(cmp.Compare(b.d, a.d), cmp.Compare(a.j, b.j)) })
	gone := make(map[int]bool, cut)
	for _, x := range list[:cut] {
		gone[x.j] = true
	}
	var at []int
	kept := m.cols[:0:0]
	for j, c := range m.cols {
		if gone[j] {
			at = append(at, m.patternsFrom+j)
			delete(m.present, c)
		} else {
			kept = append(kept, c)
		}
	}
	m.cols = kept
	return m.lp.DeleteColumns(at)
}

// saveBasis gives the basis for children.
func (m *master) saveBasis() *basis {
	b := &basis{rows: append([]int(nil), m.sol.RowStat...), artificials: append([]int(nil), m.sol.ColStat[:m.artificials]...),
		choices: append([]int(nil), m.sol.ColStat[m.artificials:m.patternsFrom]...),
		columns: map[*column]int{}}
	for j, c := range m.cols {
		if at := m.patternsFrom + j; at < len(m.sol.ColStat) && m.sol.Basic(at) {
			b.columns[c] = m.sol.ColStat[at]
		}
	}
	return b
}
