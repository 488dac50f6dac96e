// Package glpk is a thin binding to the linear and integer programming of GLPK, the GNU Linear Programming Kit
// (GPL-3.0-or-later, version 5.0 or later). It minimises
//
//	Σ cost_j x_j   with  lower_r ≤ Σ_j value_rj x_j ≤ upper_r  for every row r,  lower_j ≤ x_j ≤ upper_j  for every column j
//
// by the simplex method and, where columns must be whole, by branch and bound. Rows and columns count from 0.
//
// GLPK keeps its memory per OS thread. Open therefore locks the calling goroutine to its thread until Close, and a
// Problem may only be used by the goroutine that opened it: otherwise the process aborts inside glp_free. When the
// last problem of a thread is closed, GLPK's memory for that thread is freed.
//
// GLPK ends the process when it is misused. The binding checks indexes and bounds first, and a hook catches what is
// left. Every error of this package wraps ErrFault, except *BasisError, which only Simplex returns. After a fault
// inside GLPK all problems of the thread are lost and can only be closed; an index or bound that was refused changes
// nothing.
package glpk

/*
#cgo LDFLAGS: -lglpk
#include "shim.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"time"
)

// ErrFault is wrapped by errors that tell of a fault inside GLPK or of a misuse of this package. The caller cannot
// mend it.
var ErrFault = errors.New("glpk fault")

// Inf as an upper bound means none, -Inf as a lower bound likewise.
var Inf = math.Inf(1)

// Status is what GLPK says of a solution.
type Status int

// The states of a solution that matter here.
const (
	Undefined  Status = C.GLP_UNDEF
	Feasible   Status = C.GLP_FEAS
	Infeasible Status = C.GLP_INFEAS
	NoFeasible Status = C.GLP_NOFEAS
	Optimal    Status = C.GLP_OPT
	Unbounded  Status = C.GLP_UNBND
)

// The basis statuses that matter here.
const (
	StatBasic = C.GLP_BS
	StatLower = C.GLP_NL
)

// Method is the simplex variant.
type Method int

// The simplex variants.
const (
	Primal Method = C.GLP_PRIMAL
	Dual   Method = C.GLP_DUAL
)

// Problem is a linear program, minimised. Create it with Open.
type Problem struct {
	h          *C.lp_handle
	rows, cols int
	closed     bool
}

// Open gives an empty problem and locks the goroutine to its OS thread until Close. It fails only where GLPK does.
func Open() (*Problem, error) {
	runtime.LockOSThread()
	p := &Problem{h: new(C.lp_handle)}
	if C.lp_open(p.h) != 0 {
		runtime.UnlockOSThread()
		return nil, fmt.Errorf("%w: cannot create a problem: %s", ErrFault, C.GoString(&p.h.fault[0]))
	}
	return p, nil
}

// Close frees the problem and unlocks the thread. Closing twice is harmless.
func (p *Problem) Close() {
	if p.closed {
		return
	}
	p.closed = true
	C.lp_close(p.h)
	runtime.UnlockOSThread()
}

// Rows is the number of rows.
func (p *Problem) Rows() int { return p.rows }

// Columns is the number of columns.
func (p *Problem) Columns() int { return p.cols }

// Bounds is a lower and an upper bound; infinite ones are none.
type Bounds struct{ Lower, Upper float64 }

func (b Bounds) glpkType() C.int {
	switch {
	case math.IsInf(b.Lower, -1) && math.IsInf(b.Upper, 1):
		return C.GLP_FR
	case math.IsInf(b.Upper, 1):
		return C.GLP_LO
	case math.IsInf(b.Lower, -1):
		return C.GLP_UP
	case b.Lower == b.Upper:
		return C.GLP_FX
	default:
		return C.GLP_DB
	}
}

func (b Bounds) valid() bool {
	return b.Lower <= b.Upper && !math.IsInf(b.Lower, 1) && !math.IsInf(b.Upper, -1)
}

// finite says whether x is a number that GLPK can reckon with: of others it says that all is well.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// AddRows appends empty rows with these bounds. Empty bounds are refused.
func (p *Problem) AddRows(bounds []Bounds) error {
	if len(bounds) == 0 {
		return nil
	}
	types := make([]C.int, len(bounds))
	lower, upper := make([]C.double, len(bounds)), make([]C.double, len(bounds))
	for i, b := range bounds {
		if !b.valid() {
			return fmt.Errorf("%w: bounds %v are empty", ErrFault, b)
		}
		types[i], lower[i], upper[i] = b.glpkType(), C.double(b.Lower), C.double(b.Upper)
	}
	if err := p.done(C.lp_add_rows(p.h, C.int(len(bounds)), &types[0], &lower[0], &upper[0])); err != nil {
		return err
	}
	p.rows += len(bounds)
	return nil
}

// Column is a column to add: its cost, its bounds (Lower must be finite), and its non-zero entries.
type Column struct {
	Cost   float64
	Bounds Bounds
	Row    []int
	Value  []float64
}

// AddColumns appends columns. A row that does not exist, empty bounds, an infinite lower bound, and a cost or an entry that is not finite are refused.
func (p *Problem) AddColumns(columns []Column) error {
	if len(columns) == 0 {
		return nil
	}
	n := len(columns)
	cost, lower, upper := make([]C.double, n), make([]C.double, n), make([]C.double, n)
	start := make([]C.int, n+1)
	var row []C.int
	var value []C.double
	for j, c := range columns {
		if len(c.Row) != len(c.Value) || !c.Bounds.valid() || math.IsInf(c.Bounds.Lower, 0) || !finite(c.Cost) {
			return fmt.Errorf("%w: column %d is malformed", ErrFault, j)
		}
		cost[j], lower[j], upper[j] = C.double(c.Cost), C.double(c.Bounds.Lower), C.double(c.Bounds.Upper)
		for t, r := range c.Row {
			if r < 0 || r >= p.rows || !finite(c.Value[t]) {
				return fmt.Errorf("%w: column %d names row %d of %d, entry %v", ErrFault, j, r, p.rows, c.Value[t])
			}
			row, value = append(row, C.int(r+1)), append(value, C.double(c.Value[t]))
		}
		start[j+1] = C.int(len(row))
	}
	row, value = append(row, 0), append(value, 0) // never read; gives empty columns an address
	if err := p.done(C.lp_add_cols(p.h, C.int(n), &cost[0], &lower[0], &upper[0], &start[0], &row[0], &value[0])); err != nil {
		return err
	}
	p.cols += n
	return nil
}

// DeleteColumns removes the columns with these indexes, which must rise; the later ones move up.
func (p *Problem) DeleteColumns(cols []int) error {
	if len(cols) == 0 {
		return nil
	}
	list := make([]C.int, len(cols))
	last := -1
	for t, j := range cols {
		if j <= last || j >= p.cols {
			return fmt.Errorf("%w: cannot delete column %d of %d after %d", ErrFault, j, p.cols, last)
		}
		last, list[t] = j, C.int(j+1)
	}
	if err := p.done(C.lp_del_cols(p.h, C.int(len(list)), &list[0])); err != nil {
		return err
	}
	p.cols -= len(cols)
	return nil
}

// SetRowBounds changes a row's bounds.
func (p *Problem) SetRowBounds(row int, b Bounds) error {
	if row < 0 || row >= p.rows || !b.valid() {
		return fmt.Errorf("%w: row %d of %d, bounds %v", ErrFault, row, p.rows, b)
	}
	return p.done(C.lp_set_row_bounds(p.h, C.int(row+1), b.glpkType(), C.double(b.Lower), C.double(b.Upper)))
}

// SetColumnBounds changes a column's bounds.
func (p *Problem) SetColumnBounds(col int, b Bounds) error {
	if col < 0 || col >= p.cols || !b.valid() {
		return fmt.Errorf("%w: column %d of %d, bounds %v", ErrFault, col, p.cols, b)
	}
	return p.done(C.lp_set_col_bounds(p.h, C.int(col+1), b.glpkType(), C.double(b.Lower), C.double(b.Upper)))
}

// SetCost changes a column's cost.
func (p *Problem) SetCost(col int, cost float64) error {
	if col < 0 || col >= p.cols || !finite(cost) {
		return fmt.Errorf("%w: column %d of %d, cost %v", ErrFault, col, p.cols, cost)
	}
	return p.done(C.lp_set_cost(p.h, C.int(col+1), C.double(cost)))
}

// SetInteger makes a column whole-numbered, for Branch.
func (p *Problem) SetInteger(col int) error {
	if col < 0 || col >= p.cols {
		return fmt.Errorf("%w: column %d of %d", ErrFault, col, p.cols)
	}
	return p.done(C.lp_set_integer(p.h, C.int(col+1)))
}

// Simplex says how Simplex is to run.
type Simplex struct {
	Method     Method        // 0: Primal
	Time       time.Duration // at least a millisecond
	Iterations int           // 0: no limit
	// Plain says to choose pivots by the textbook's rules in place of steepest edge and Harris's ratio test: slower, and
	// another way round a degenerate corner.
	Plain bool
	// Tolerance is how far below zero a reduced cost may lie in a solution that is called optimal, relative to the costs.
	// 0: GLPK's own, 1e-7.
	Tolerance float64
}

// Limit says at which limit Simplex stopped.
type Limit int

// At none, at the time's or at that of iterations.
const (
	NoLimit Limit = iota
	TimeLimit
	IterationLimit
)

// Simplex solves the linear relaxation from the current basis. Reaching a limit is not an error: the status then says
// what is there, and another call goes on from it. The error is a *BasisError where GLPK cannot go on from the basis.
func (p *Problem) Simplex(o Simplex) (status Status, reached Limit, err error) {
	if how, yes := stopped(); yes {
		return how.simplex()
	}
	if o.Method == 0 {
		o.Method = Primal
	}
	var code, st C.int
	err = p.done(C.lp_simplex(p.h, C.int(o.Method), milliseconds(o.Time), C.int(o.Iterations), cBool(o.Plain), C.double(o.Tolerance), &code, &st))
	if err != nil {
		return Undefined, NoLimit, err
	}
	switch code {
	case 0:
		return Status(st), NoLimit, nil
	case C.GLP_ETMLIM:
		return Status(st), TimeLimit, nil
	case C.GLP_EITLIM:
		return Status(st), IterationLimit, nil
	case C.GLP_EBADB, C.GLP_ESING, C.GLP_ECOND, C.GLP_EFAIL:
		return Undefined, NoLimit, &BasisError{Code: int(code)}
	default:
		return Undefined, NoLimit, fmt.Errorf("%w: simplex returned code %d", ErrFault, int(code))
	}
}

// BasisError says that the simplex method could not go on from the basis it had: it is singular, ill-conditioned or
// not a basis. Reset mends it.
type BasisError struct{ Code int }

func (e *BasisError) Error() string {
	return fmt.Sprintf("the simplex method lost its basis (code %d)", e.Code)
}

// Reset sets the standard basis, in which every row's own variable is basic.
func (p *Problem) Reset() error { return p.done(C.lp_std_basis(p.h)) }

// Crash sets an advanced, triangular basis.
func (p *Problem) Crash() error {
	if p.cols == 0 {
		return p.Reset()
	}
	return p.done(C.lp_adv_basis(p.h))
}

// Solution is a basic solution. The slices are reused by the next Read into the same Solution.
type Solution struct {
	Objective float64
	Value     []float64 // one per column
	Reduced   []float64 // reduced cost, one per column
	Dual      []float64 // one per row
	RowStat   []int     // GLPK's basis status
	ColStat   []int
	rowStat   []C.int
	colStat   []C.int
}

// Basic tells whether column j is in the basis.
func (s *Solution) Basic(j int) bool { return s.ColStat[j] == StatBasic }

// Read fills s with the current basic solution. An empty problem has none.
func (p *Problem) Read(s *Solution) error {
	if p.rows == 0 || p.cols == 0 {
		return fmt.Errorf("%w: an empty problem has no solution to read", ErrFault)
	}
	s.Value, s.Reduced = resize(s.Value, p.cols), resize(s.Reduced, p.cols)
	s.Dual = resize(s.Dual, p.rows)
	s.RowStat, s.ColStat = resize(s.RowStat, p.rows), resize(s.ColStat, p.cols)
	s.rowStat, s.colStat = resize(s.rowStat, p.rows), resize(s.colStat, p.cols)
	var objective C.double
	err := p.done(C.lp_read(p.h, &objective, (*C.double)(&s.Value[0]), (*C.double)(&s.Dual[0]),
		(*C.double)(&s.Reduced[0]), &s.rowStat[0], &s.colStat[0]))
	s.Objective = float64(objective)
	for i, v := range s.rowStat {
		s.RowStat[i] = int(v)
	}
	for j, v := range s.colStat {
		s.ColStat[j] = int(v)
	}
	return err
}

// SetBasis sets the basis from statuses as Read gave them. Missing ones count as non-basic at the lower bound.
func (p *Problem) SetBasis(rowStat, colStat []int) error {
	if p.rows == 0 || p.cols == 0 {
		return nil
	}
	rs, cs := make([]C.int, p.rows), make([]C.int, p.cols)
	for i := range rs {
		rs[i] = C.GLP_NL
		if i < len(rowStat) {
			rs[i] = C.int(rowStat[i])
		}
	}
	for j := range cs {
		cs[j] = C.GLP_NL
		if j < len(colStat) {
			cs[j] = C.int(colStat[j])
		}
	}
	return p.done(C.lp_write_basis(p.h, &rs[0], &cs[0]))
}

// Branch runs GLPK's branch and bound on a problem whose relaxation Simplex has solved, for at most the given time
// and, where nodes is above 0, until its tree has had more than so many nodes. The status is Optimal, Feasible
// (stopped with a solution), or one without a solution.
func (p *Problem) Branch(limit time.Duration, nodes int) (status Status, err error) {
	if how, yes := stopped(); yes {
		return how.branch()
	}
	var code, st C.int
	if err := p.done(C.lp_intopt(p.h, milliseconds(limit), C.int(nodes), &code, &st)); err != nil {
		return Undefined, err
	}
	if code != 0 && code != C.GLP_ETMLIM && code != C.GLP_ESTOP && code != C.GLP_EFAIL {
		return Undefined, fmt.Errorf("%w: branch and bound returned code %d", ErrFault, int(code))
	}
	return Status(st), nil
}

// ReadInteger gives the objective and the values of the best solution that Branch found.
func (p *Problem) ReadInteger() (objective float64, value []float64, err error) {
	if p.cols == 0 {
		return 0, nil, nil
	}
	value = make([]float64, p.cols)
	var obj C.double
	err = p.done(C.lp_mip_read(p.h, &obj, (*C.double)(&value[0])))
	return float64(obj), value, err
}

// done turns a shim's return into an error.
func (p *Problem) done(code C.int) error {
	switch {
	case code == 0:
		return nil
	case p.closed:
		return fmt.Errorf("%w: the problem is closed", ErrFault)
	default:
		return fmt.Errorf("%w: %s", ErrFault, C.GoString(&p.h.fault[0]))
	}
}

func cBool(b bool) C.int {
	if b {
		return 1
	}
	return 0
}

func milliseconds(d time.Duration) C.int {
	ms := d.Milliseconds()
	if ms < 1 {
		ms = 1
	}
	if ms > math.MaxInt32 {
		ms = math.MaxInt32
	}
	return C.int(ms)
}

func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/2)
	}
	return s[:n]
}
