package solver

import (
	"context"
	"encoding/binary"
	"errors"
	"slices"
	"sort"
	"time"

	"longpoint/solver/glpk"
)

// cond is a condition of the search tree; its Worth is not used here.
type cond = Condition

// column is a pattern in the restricted master problem.
type column struct {
	kind int
	take []Take
}

// key identifies a pattern.
func (c *column) key() string {
	b := binary.AppendVarint(nil, int64(c.kind))
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

// meets tells whether sticks cut so count in the condition.
func (c *column) meets(d *cond) bool {
	if d.OnChoice || !d.AnyKind && d.Kind != c.kind {
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
// Rows: one per wanted item (at least the demand), one per limited kind, one per condition of the node, one per row of the
// problem. The first columns are helpers: for each item one that supplies it at the price big, so that there is always a
// solution, and, where surplus is charged, one that takes a surplus away; for each at-least condition and each row one
// that meets it at the price big. Then come the choices, then the exchanges, which only the root's master may use (children
// have them closed, so that they can start from its basis), then the patterns. Costs are divided by unit so that GLPK's
// tolerances suit them.
type master struct {
	lp        *glpk.Problem
	in        *instance
	conds     []cond
	items     []int // item of row r
	limits    []int // kinds with a limit row, in row order
	helpers   int
	dear      []int // helpers that cost big
	exchanges []exchange
	trading   bool      // whether exchanges can be made
	fixed     int       // columns before the patterns: helpers, choices and exchanges
	cols      []*column // of the LP's columns after the fixed ones
	present   map[*column]bool
	sol       glpk.Solution
	unit      float64
	rowUnit   float64 // what the problem's rows are divided by
	big       float64
}

// basis is what a child needs to start from where its parent ended.
type basis struct {
	rows    []int
	helpers []int
	choices []int
	columns map[*column]int
}

// lpSlice is how long GLPK may run before the context is looked at again; every further slice of the same program is
// twice as long, up to lpSliceMost.
const lpSlice, lpSliceMost = 100 * time.Millisecond, 1600 * time.Millisecond

// newMaster builds the master problem of a node. surplus > 0 charges so much for a piece too many.
func newMaster(in *instance, conds []cond, cols []*column, from *basis, big, surplus float64) (*master, error) {
	lp, err := glpk.Open()
	if err != nil {
		return nil, err
	}
	m := &master{lp: lp, in: in, conds: conds, unit: max(1, float64(in.maxCost)), rowUnit: in.rowUnit(), big: big, present: map[*column]bool{}}
	m.exchanges, m.trading = in.exchanges(), surplus == 0 && len(conds) == 0
	if err := m.build(surplus, cols, from); err != nil {
		lp.Close()
		return nil, err
	}
	return m, nil
}

func (m *master) close() { m.lp.Close() }

func (m *master) build(surplus float64, cols []*column, from *basis) error {
	var bounds []glpk.Bounds
	for i, d := range m.in.demand {
		if m.in.wanted[i] > 0 {
			m.items = append(m.items, i)
			bounds = append(bounds, glpk.Bounds{Lower: float64(d), Upper: glpk.Inf})
		}
	}
	for k := range m.in.room {
		if m.in.limited[k] {
			m.limits = append(m.limits, k)
			bounds = append(bounds, glpk.Bounds{Lower: -glpk.Inf, Upper: float64(m.in.limit[k])})
		}
	}
	for _, c := range m.conds {
		if c.AtLeast {
			bounds = append(bounds, glpk.Bounds{Lower: float64(c.Bound), Upper: glpk.Inf})
		} else {
			bounds = append(bounds, glpk.Bounds{Lower: -glpk.Inf, Upper: float64(c.Bound)})
		}
	}
	for _, r := range m.in.rows {
		bounds = append(bounds, glpk.Bounds{Lower: float64(r.Least) / m.rowUnit, Upper: glpk.Inf})
	}
	if err := m.lp.AddRows(bounds); err != nil {
		return err
	}
	var helpers []glpk.Column
	help := func(row int, cost, value float64) {
		helpers = append(helpers, glpk.Column{Cost: cost, Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}, Row: []int{row}, Value: []float64{value}})
	}
	dear := func(row int, value float64) {
		m.dear = append(m.dear, len(helpers))
		help(row, m.big, value)
	}
	for r := range m.items {
		dear(r, 1)
	}
	if surplus > 0 {
		for r := range m.items {
			help(r, surplus, -1)
		}
	}
	for t, c := range m.conds {
		if c.AtLeast {
			dear(len(m.items)+len(m.limits)+t, 1)
		}
	}
	for r := range m.in.rows {
		// Numbers in rows are whole: a row that is missed is missed by a unit at least.
		dear(len(m.items)+len(m.limits)+len(m.conds)+r, 1/m.rowUnit)
	}
	m.helpers = len(helpers)
	m.fixed = m.helpers + len(m.in.choices) + len(m.exchanges)
	if err := m.lp.AddColumns(slices.Concat(helpers, m.choices(), m.exchangeColumns(m.trading))); err != nil {
		return err
	}
	if err := m.add(cols); err != nil {
		return err
	}
	if from == nil {
		return m.lp.Crash()
	}
	return m.restore(from)
}

// choices are the columns of the problem's choices.
func (m *master) choices() []glpk.Column {
	itemRow, limitRow := map[int]int{}, map[int]int{}
	for r, i := range m.items {
		itemRow[i] = r
	}
	for r, k := range m.limits {
		limitRow[k] = len(m.items) + r
	}
	cols := make([]glpk.Column, len(m.in.choices))
	for j, c := range m.in.choices {
		col := glpk.Column{Cost: float64(c.Cost) / m.unit, Bounds: glpk.Bounds{Lower: 0, Upper: float64(c.Most)}}
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
		for r := range m.conds {
			if m.conds[r].OnChoice && m.conds[r].Choice == j {
				put(len(m.items)+len(m.limits)+r, 1)
			}
		}
		for _, in := range c.In {
			put(len(m.items)+len(m.limits)+len(m.conds)+in.Row, float64(in.Value)/m.rowUnit)
		}
		cols[j] = col
	}
	return cols
}

// restore sets a basis saved from this master or from its parent's: rows, helpers and columns that came since are as at
// the start, rows basic and columns not.
func (m *master) restore(from *basis) error {
	rows := append([]int(nil), from.rows...)
	for len(rows) < m.lp.Rows() {
		rows = append(rows, glpk.StatBasic)
	}
	stats := make([]int, m.lp.Columns())
	for j := range stats {
		stats[j] = glpk.StatLower
		switch {
		case j < m.helpers:
			if j < len(from.helpers) {
				stats[j] = from.helpers[j]
			}
		case j < m.fixed:
			stats[j] = from.choices[j-m.helpers]
		default:
			if st, ok := from.columns[m.cols[j-m.fixed]]; ok {
				stats[j] = st
			}
		}
	}
	return m.lp.SetBasis(rows, stats)
}

// add appends columns to the LP.
func (m *master) add(cols []*column) error {
	list := make([]glpk.Column, len(cols))
	rowOf := make(map[int]int, len(m.items))
	for r, i := range m.items {
		rowOf[i] = r
	}
	for j, c := range cols {
		col := glpk.Column{Cost: float64(m.in.price(c.kind, c.take)) / m.unit, Bounds: glpk.Bounds{Lower: 0, Upper: glpk.Inf}}
		put := func(row int, v float64) { col.Row, col.Value = append(col.Row, row), append(col.Value, v) }
		for _, t := range c.take {
			put(rowOf[t.Item], float64(t.Quantity))
		}
		for r, k := range m.limits {
			if k == c.kind {
				put(len(m.items)+r, 1)
			}
		}
		for r := range m.conds {
			if c.meets(&m.conds[r]) {
				put(len(m.items)+len(m.limits)+r, 1)
			}
		}
		list[j] = col
	}
	for _, c := range cols {
		m.present[c] = true
	}
	m.cols = append(m.cols, cols...)
	return m.lp.AddColumns(list)
}

// has tells whether the LP has the column.
func (m *master) has(c *column) bool { return m.present[c] }

// setBig changes the price of the helpers.
func (m *master) setBig(price float64) error {
	m.big = price
	for _, j := range m.dear {
		if err := m.lp.SetCost(j, price); err != nil {
			return err
		}
	}
	return nil
}

// setDemand changes the right-hand sides to what a draft leaves to be cut.
func (m *master) setDemand(d *draft) error {
	asked, given := make([]int64, len(m.in.demand)), make([]int64, len(m.in.room)) // by the choices that the draft has made
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
		if err := m.lp.SetColumnBounds(m.helpers+j, b); err != nil {
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
// degenerate corner; it is then sent another way.
func (m *master) solve(ctx context.Context, method glpk.Method) error {
	most := 3000 + 30*m.lp.Rows()
	for _, way := range []struct {
		how   glpk.Simplex
		reset bool
	}{
		{glpk.Simplex{Method: method, Iterations: most, Tolerance: looseTolerance}, false},
		{glpk.Simplex{Method: glpk.Dual, Iterations: most, Tolerance: looseTolerance}, false},
		{glpk.Simplex{Iterations: 2 * most, Tolerance: looseTolerance, Plain: true}, true},
		{glpk.Simplex{Method: glpk.Dual, Iterations: 2 * most, Tolerance: looseTolerance, Plain: true}, true},
		{glpk.Simplex{Iterations: 4 * most, Tolerance: lastTolerance}, true},
	} {
		if way.reset {
			if err := m.lp.Reset(); err != nil {
				return err
			}
		}
		if done, err := m.attempt(ctx, way.how); done || err != nil {
			return err
		}
	}
	return errStalled
}

// errStalled says that GLPK found no way to a linear program's optimum.
var errStalled = errors.New("the linear program stalled")

// polish solves the LP to a sharper tolerance, and reports false when that takes too long.
func (m *master) polish(ctx context.Context) (bool, error) {
	return m.attempt(ctx, glpk.Simplex{Tolerance: sharpTolerance, Iterations: 1000 + 5*m.lp.Rows()})
}

// The tolerances on reduced costs, when the dearest stick costs 1. The loose one is GLPK's own, the last one is tried
// when all else has failed.
const looseTolerance, sharpTolerance, lastTolerance = 1e-7, 1e-10, 1e-6

// attempt solves the LP and reads the solution; it reports false when the iterations do not suffice.
func (m *master) attempt(ctx context.Context, how glpk.Simplex) (bool, error) {
	resets := 0
	allowed := how.Iterations
	for how.Time = lpSlice; ; how.Time = min(2*how.Time, lpSliceMost) {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		status, short, err := m.lp.Simplex(how)
		var lost *glpk.BasisError
		switch {
		case errors.As(err, &lost) && resets < 2:
			resets++
			how.Method = glpk.Primal
			if err := m.lp.Reset(); err != nil {
				return false, err
			}
		case err != nil:
			return false, err
		case short == glpk.ShortOfIterations:
			return false, nil
		case short == glpk.ShortOfTime:
			// GLPK counts iterations from each call; what a slice can do at most is counted against the allowance.
			allowed -= how.Iterations / 8
			if allowed <= 0 {
				return false, nil
			}
		case status == glpk.Optimal:
			return true, m.lp.Read(&m.sol)
		case resets < 2:
			// The master always has a solution and a bounded one: what GLPK says here is numerical trouble.
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

// helped is how much of the solution rests on helpers that cost big.
func (m *master) helped() float64 {
	var sum float64
	for _, j := range m.dear {
		sum += m.sol.Value[j]
	}
	return sum
}

// x gives the value of column j of cols.
func (m *master) x(j int) float64 { return m.sol.Value[m.fixed+j] }

// times gives how often choice j is made.
func (m *master) times(j int) float64 { return m.sol.Value[m.helpers+j] }

// duals reads the multipliers: one per item of the instance, one per condition, one per kind (of its limit; ≥ 0).
func (m *master) duals() duals {
	d := duals{item: make([]float64, len(m.in.length)), cond: make([]float64, len(m.conds)), limit: make([]float64, len(m.in.room)),
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

// duals are multipliers in the problem's money.
type duals struct{ item, cond, limit, row []float64 }

// mix gives (1 − share)·d + share·o.
func (d duals) mix(o duals, share float64) duals {
	blend := func(a, b []float64) []float64 {
		out := make([]float64, len(a))
		for i := range a {
			out[i] = (1-share)*a[i] + share*b[i]
		}
		return out
	}
	return duals{blend(d.item, o.item), blend(d.cond, o.cond), blend(d.limit, o.limit), blend(d.row, o.row)}
}

// prune deletes non-basic columns whose reduced cost is high, when there are many.
func (m *master) prune(most int) error {
	if len(m.cols) <= most {
		return nil
	}
	type dear struct {
		j int
		d float64
	}
	var list []dear
	for j := range m.cols {
		if at := m.fixed + j; at < len(m.sol.ColStat) && !m.sol.Basic(at) {
			list = append(list, dear{j, m.sol.Reduced[at]})
		}
	}
	cut := len(m.cols) - most*2/3
	if cut > len(list) {
		cut = len(list)
	}
	// Partial order by reduced cost, dearest first; ties by age, oldest first.
	sort.Slice(list, func(a, b int) bool { return list[a].d > list[b].d || list[a].d == list[b].d && list[a].j < list[b].j })
	gone := make(map[int]bool, cut)
	for _, x := range list[:cut] {
		gone[x.j] = true
	}
	var at []int
	kept := m.cols[:0:0]
	for j, c := range m.cols {
		if gone[j] {
			at = append(at, m.fixed+j)
			delete(m.present, c)
		} else {
			kept = append(kept, c)
		}
	}
	m.cols = kept
	return m.lp.DeleteColumns(at)
}

// save remembers the basis for children.
func (m *master) save() *basis {
	b := &basis{rows: append([]int(nil), m.sol.RowStat...), helpers: append([]int(nil), m.sol.ColStat[:m.helpers]...),
		choices: append([]int(nil), m.sol.ColStat[m.helpers:m.fixed]...),
		columns: map[*column]int{}}
	for j, c := range m.cols {
		if at := m.fixed + j; at < len(m.sol.ColStat) && m.sol.Basic(at) {
			b.columns[c] = m.sol.ColStat[at]
		}
	}
	return b
}
