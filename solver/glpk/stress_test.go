package glpk

import (
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

var (
	solves     = flag.Int("solves", 3000, "how many programs TestFlatMemory solves")
	solvesSeed = flag.Uint64("solves-seed", 3, "the seed of TestFlatMemory")
)

// program is min c x with a x ≥ b and 0 ≤ x ≤ upper.
type program struct {
	a        [][]float64
	b        []float64
	c, upper []float64
}

// randomProgram has small whole numbers. Where bounded, every x has an upper bound.
func randomProgram(r *rand.Rand, rows, cols int, bounded bool) *program {
	g := &program{}
	for range rows {
		row := make([]float64, cols)
		for j := range row {
			if r.IntN(3) > 0 {
				row[j] = float64(r.IntN(9) - 2)
			}
		}
		g.a, g.b = append(g.a, row), append(g.b, float64(r.IntN(20)-4))
	}
	for range cols {
		g.c = append(g.c, float64(r.IntN(12)-1))
		upper := Inf
		if bounded || r.IntN(2) == 0 {
			upper = float64(1 + r.IntN(6))
		}
		g.upper = append(g.upper, upper)
	}
	return g
}

// open gives the program to GLPK.
func (g *program) open(t *testing.T) *Problem {
	t.Helper()
	p, err := Open()
	if err != nil {
		t.Fatal(err)
	}
	rows := make([]Bounds, len(g.b))
	for i, b := range g.b {
		rows[i] = Bounds{b, Inf}
	}
	cols := make([]Column, len(g.c))
	for j := range cols {
		cols[j] = Column{Cost: g.c[j], Bounds: Bounds{0, g.upper[j]}}
		for i := range g.a {
			if g.a[i][j] != 0 {
				cols[j].Row, cols[j].Value = append(cols[j].Row, i), append(cols[j].Value, g.a[i][j])
			}
		}
	}
	if err := errors.Join(p.AddRows(rows), p.AddColumns(cols)); err != nil {
		t.Fatal(err)
	}
	return p
}

// near is far above GLPK's tolerance, 1e-7 of numbers of this size, and far below the least difference of two corners that matters here.
const near = 1e-5

// holdsOptimal demands that a solution proves itself: x keeps every constraint, the dual values have the right sign, and both cost the same.
func (g *program) holdsOptimal(t *testing.T, s *Solution) {
	t.Helper()
	cost, bound := 0.0, 0.0
	for j, x := range s.Value {
		if x < -near || x > g.upper[j]+near {
			t.Errorf("x%d is %v of %v", j, x, g.upper[j])
		}
		cost += g.c[j] * x
		reduced := g.c[j]
		for i := range g.a {
			reduced -= s.Dual[i] * g.a[i][j]
		}
		if reduced < -near {
			bound += reduced * g.upper[j] // -Inf where there is no upper bound: then nothing is proven
		}
	}
	for i, row := range g.a {
		sum := 0.0
		for j, x := range s.Value {
			sum += row[j] * x
		}
		if sum < g.b[i]-near || s.Dual[i] < -near {
			t.Errorf("row %d is %v of %v, its dual value %v", i, sum, g.b[i], s.Dual[i])
		}
		bound += s.Dual[i] * g.b[i]
	}
	if !(math.Abs(cost-bound) < near*(1+math.Abs(cost))) || math.Abs(cost-s.Objective) > near*(1+math.Abs(cost)) {
		t.Errorf("x costs %v, its dual values prove %v, GLPK says %v", cost, bound, s.Objective)
	}
}

// lack is the least sum of what the rows lack, with dual values that prove it: 0 where the program has a solution.
func (g *program) lack(t *testing.T) float64 {
	t.Helper()
	with := &program{b: g.b, c: make([]float64, len(g.c)), upper: append([]float64{}, g.upper...)}
	for range g.b {
		with.c, with.upper = append(with.c, 1), append(with.upper, Inf)
	}
	for i := range g.a {
		row := append([]float64{}, g.a[i]...)
		for k := range g.b {
			own := 0.0
			if k == i {
				own = 1
			}
			row = append(row, own)
		}
		with.a = append(with.a, row)
	}
	return with.optimum(t)
}

// optimum solves a program that has a cheapest solution.
func (g *program) optimum(t *testing.T) float64 {
	t.Helper()
	p := g.open(t)
	defer p.Close()
	st, _, err := p.Simplex(Simplex{Time: time.Minute})
	if err != nil || st != Optimal {
		t.Fatalf("status %v, %v", st, err)
	}
	var s Solution
	if err := p.Read(&s); err != nil {
		t.Fatal(err)
	}
	g.holdsOptimal(t, &s)
	return s.Objective
}

// holds demands that what GLPK says of a program is true.
func (g *program) holds(t *testing.T, p *Problem, st Status) {
	t.Helper()
	switch st {
	case Optimal:
		var s Solution
		if err := p.Read(&s); err != nil {
			t.Fatal(err)
		}
		g.holdsOptimal(t, &s)
	case NoFeasible:
		if lack := g.lack(t); lack < near {
			t.Errorf("it has a solution, and GLPK says none")
		}
	case Unbounded:
		capped := &program{a: g.a, b: g.b, c: g.c}
		for _, u := range g.upper {
			capped.upper = append(capped.upper, min(u, 1e6))
		}
		if lack := g.lack(t); lack > near {
			t.Errorf("it has no solution, and GLPK says any cost")
		} else if least := capped.optimum(t); least > -1e4 {
			t.Errorf("up to a million it costs no less than %v, and GLPK says any cost", least)
		}
	default:
		t.Errorf("status %v of %+v", st, g)
	}
}

// TestEveryStatus has a program for each answer that GLPK gives, from both methods.
func TestEveryStatus(t *testing.T) {
	big := randomProgram(rand.New(rand.NewPCG(2, 2)), 30, 30, true)
	for i := range big.b {
		big.b[i] = 20 // so that nothing is no solution
	}
	for _, tt := range []struct {
		name    string
		program *program
		how     Simplex
		status  Status
		limit   Limit
	}{
		{"optimal", &program{[][]float64{{1, 1}}, []float64{3}, []float64{1, 2}, []float64{2, Inf}}, Simplex{}, Optimal, NoLimit},
		{"optimal, by the dual method", &program{[][]float64{{1, 1}}, []float64{3}, []float64{1, 2}, []float64{2, Inf}}, Simplex{Method: Dual}, Optimal, NoLimit},
		{"optimal, by plain rules", &program{[][]float64{{1, 1}}, []float64{3}, []float64{1, 2}, []float64{2, Inf}}, Simplex{Plain: true, Tolerance: 1e-9}, Optimal, NoLimit},
		{"no solution", &program{[][]float64{{1, 1}}, []float64{5}, []float64{1, 2}, []float64{2, 2}}, Simplex{}, NoFeasible, NoLimit},
		{"no solution, by the dual method", &program{[][]float64{{1, 1}}, []float64{5}, []float64{1, 2}, []float64{2, 2}}, Simplex{Method: Dual}, NoFeasible, NoLimit},
		{"any cost", &program{[][]float64{{1, -1}}, []float64{1}, []float64{-1, 0}, []float64{Inf, Inf}}, Simplex{}, Unbounded, NoLimit},
		{"stopped before there is a solution", big, Simplex{Iterations: 1}, Infeasible, IterationLimit},
		{"stopped with a solution", big, Simplex{Iterations: 40}, Feasible, IterationLimit},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := tt.program.open(t)
			defer p.Close()
			tt.how.Time = time.Minute
			st, reached, err := p.Simplex(tt.how)
			if err != nil || st != tt.status || reached != tt.limit {
				t.Fatalf("status %v, limit %v, %v; want %v, %v", st, reached, err, tt.status, tt.limit)
			}
			if reached == NoLimit {
				tt.program.holds(t, p, st)
			}
			if st, reached, err = p.Simplex(Simplex{Time: time.Minute}); err != nil || reached != NoLimit {
				t.Fatalf("another call: status %v, limit %v, %v", st, reached, err)
			}
			tt.program.holds(t, p, st)
		})
	}
}

// TestBadBases gives the simplex method what is no basis, a singular one, and one that is nearly so. Each is said, and Reset and Crash mend it.
func TestBadBases(t *testing.T) {
	const basic, lower = StatBasic, StatLower
	for name, tt := range map[string]struct {
		program  *program
		row, col []int
	}{
		"too few basic":   {&program{[][]float64{{1, 2}, {2, 1}}, []float64{3, 3}, []float64{1, 1}, []float64{Inf, Inf}}, []int{lower, lower}, []int{basic, lower}},
		"too many basic":  {&program{[][]float64{{1, 2}, {2, 1}}, []float64{3, 3}, []float64{1, 1}, []float64{Inf, Inf}}, []int{basic, lower}, []int{basic, basic}},
		"singular":        {&program{[][]float64{{1, 2}, {2, 4}}, []float64{3, 3}, []float64{1, 1}, []float64{Inf, Inf}}, []int{lower, lower}, []int{basic, basic}},
		"nearly singular": {&program{[][]float64{{1, 1}, {1, 1 + 1e-15}}, []float64{3, 3}, []float64{1, 1}, []float64{Inf, Inf}}, []int{lower, lower}, []int{basic, basic}},
	} {
		for mend, by := range map[string]func(*Problem) error{"Reset": (*Problem).Reset, "Crash": (*Problem).Crash} {
			for _, method := range []Method{Primal, Dual} {
				p := tt.program.open(t)
				if err := p.SetBasis(tt.row, tt.col); err != nil {
					t.Fatal(err)
				}
				var lost *BasisError
				st, _, err := p.Simplex(Simplex{Method: method, Time: time.Minute})
				if name == "nearly singular" && err == nil { // good enough for GLPK: then its answer must be
					tt.program.holds(t, p, st)
				} else if !errors.As(err, &lost) || st != Undefined || errors.Is(err, ErrFault) || !strings.Contains(err.Error(), "lost its basis") {
					t.Errorf("%s: status %v, %v", name, st, err)
				}
				if err := by(p); err != nil {
					t.Fatal(err)
				}
				if st, _, err = p.Simplex(Simplex{Method: method, Time: time.Minute}); err != nil || st != Optimal {
					t.Errorf("%s, after %s: status %v, %v", name, mend, st, err)
				} else {
					tt.program.holds(t, p, st)
				}
				p.Close()
			}
		}
	}
}

// TestSetBasisShort takes missing statuses as non-basic, and an empty problem as one without a basis.
func TestSetBasisShort(t *testing.T) {
	p := tiny(t)
	defer p.Close()
	if err := p.SetBasis(nil, []int{StatBasic}); err != nil {
		t.Fatal(err)
	}
	if st, _, err := p.Simplex(Simplex{Time: time.Second}); err != nil || st != Optimal {
		t.Errorf("status %v, %v", st, err)
	}
	if p.Rows() != 1 || p.Columns() != 2 {
		t.Errorf("%d rows and %d columns", p.Rows(), p.Columns())
	}
	empty, err := Open()
	if err != nil {
		t.Fatal(err)
	}
	defer empty.Close()
	if err := errors.Join(empty.SetBasis(nil, nil), empty.Crash(), empty.AddRows(nil), empty.AddColumns(nil), empty.DeleteColumns(nil)); err != nil {
		t.Errorf("nothing done to an empty problem: %v", err)
	}
	if err := empty.Read(&Solution{}); !errors.Is(err, ErrFault) {
		t.Errorf("reading an empty problem: %v", err)
	}
	if obj, x, err := empty.ReadInteger(); obj != 0 || x != nil || err != nil {
		t.Errorf("an empty problem's whole solution: %v, %v, %v", obj, x, err)
	}
}

// TestStoppedAnywhere stops the simplex method after every few steps, or at moments of the clock, and goes on: what it
// says at a stop or at the end is true. Between stops bounds move, as the search moves them, or the method changes.
func TestStoppedAnywhere(t *testing.T) {
	stops := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 1))
		g := randomProgram(r, 4+r.IntN(24), 4+r.IntN(24), r.IntN(4) > 0)
		p := g.open(t)
		for step := 0; ; step++ {
			how := Simplex{Method: []Method{Primal, Dual}[r.IntN(2)], Plain: r.IntN(4) == 0, Time: time.Minute, Iterations: 1 + r.IntN(5)}
			if step > 1000 { // changing the method may go round; one method ends
				how = Simplex{Time: time.Minute}
			}
			if r.IntN(4) == 0 {
				how.Iterations, how.Time = 0, time.Millisecond
			}
			st, reached, err := p.Simplex(how)
			var lost *BasisError
			if errors.As(err, &lost) {
				if err := p.Reset(); err != nil {
					t.Fatal(err)
				}
				continue
			}
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			if reached == NoLimit && how.Method == Dual && st == Infeasible {
				continue // no dual values fit these costs, and whether there is a solution the dual method does not say
			}
			if reached == NoLimit {
				g.holds(t, p, st)
				break
			}
			stops++
			if st == Optimal || st == NoFeasible { // it came to the end and to the limit in one step
				g.holds(t, p, st)
			}
			if step < 100 && r.IntN(5) == 0 {
				j := r.IntN(len(g.c))
				g.upper[j] = float64(1 + r.IntN(4))
				if err := p.SetColumnBounds(j, Bounds{0, g.upper[j]}); err != nil {
					t.Fatal(err)
				}
			}
		}
		p.Close()
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	if stops < 200 {
		t.Errorf("stopped %d times only", stops)
	}
}

// TestFlatMemory solves many programs, each true to what is said of it, and holds the memory of the process, and GLPK's own count.
func TestFlatMemory(t *testing.T) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	says := map[Status]int{}
	early := 0
	for n := range *solves {
		r := rand.New(rand.NewPCG(uint64(n), *solvesSeed))
		g := randomProgram(r, 1+r.IntN(6), 1+r.IntN(6), r.IntN(2) == 0)
		p := g.open(t)
		st, _, err := p.Simplex(Simplex{Method: []Method{Primal, Dual}[r.IntN(2)], Time: time.Minute})
		if err != nil {
			t.Fatalf("program %d: %v", n, err)
		}
		if st == Infeasible { // from the dual method: no dual values fit these costs
			if st, _, err = p.Simplex(Simplex{Time: time.Minute}); err != nil {
				t.Fatalf("program %d: %v", n, err)
			}
		}
		g.holds(t, p, st)
		says[st]++
		p.Close()
		if held := blocks(); held > 1 {
			t.Fatalf("program %d: GLPK holds %d blocks after Close", n, held)
		}
		if n == *solves/5 {
			early = resident(t)
		}
		if t.Failed() {
			t.Fatalf("program %d", n)
		}
	}
	late := resident(t)
	t.Logf("%d programs, of which %v; %d KB after a fifth, %d KB at the end", *solves, says, early, late)
	if late > early+16<<10 {
		t.Errorf("from %d KB after a fifth to %d KB", early, late)
	}
	for _, st := range []Status{Optimal, NoFeasible, Unbounded} {
		if says[st] < *solves/200 {
			t.Errorf("status %v came %d times only", st, says[st])
		}
	}
}

// resident is the memory that the process has, in KB, after what Go holds is given back.
func resident(t *testing.T) int {
	t.Helper()
	runtime.GC()
	data, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		t.Skip("there is no /proc here")
	}
	pages, err := strconv.Atoi(strings.Fields(string(data))[1])
	if err != nil {
		t.Fatal(err)
	}
	return pages * os.Getpagesize() / 1024
}

// TestManyThreadsWithFaults has many threads solve programs while some misuse GLPK on purpose: a fault takes the problems of its own
// thread and no other's.
func TestManyThreadsWithFaults(t *testing.T) {
	var wg sync.WaitGroup
	for worker := range uint64(12) {
		wg.Go(func() {
			r := rand.New(rand.NewPCG(worker, 4))
			for range 40 {
				g := randomProgram(r, 1+r.IntN(8), 1+r.IntN(8), true)
				p := g.open(t)
				if worker%3 == 0 {
					if err := p.misuse(); !errors.Is(err, ErrFault) {
						t.Errorf("misused: %v", err)
					}
					if _, _, err := p.Simplex(Simplex{Time: time.Second}); !errors.Is(err, ErrFault) {
						t.Errorf("after the fault: %v", err)
					}
					p.Close()
					continue
				}
				runtime.Gosched()
				st, _, err := p.Simplex(Simplex{Time: time.Minute})
				if err != nil {
					t.Error(err)
				} else {
					g.holds(t, p, st)
				}
				p.Close()
			}
		})
	}
	wg.Wait()
}

// TestEmptyColumnBasic has a basis with a column without entries, on which GLPK 5.0 faults: that comes back as an error, and the thread goes on.
func TestEmptyColumnBasic(t *testing.T) {
	g := &program{[][]float64{{1, 0}, {2, 0}}, []float64{3, 3}, []float64{1, 1}, []float64{Inf, Inf}}
	p := g.open(t)
	if err := p.SetBasis([]int{StatLower, StatBasic}, []int{StatLower, StatBasic}); err != nil {
		t.Fatal(err)
	}
	var lost *BasisError
	if st, _, err := p.Simplex(Simplex{Time: time.Minute}); !errors.Is(err, ErrFault) && !errors.As(err, &lost) {
		t.Errorf("status %v, %v", st, err)
	}
	p.Close()
	again := g.open(t)
	defer again.Close()
	st, _, err := again.Simplex(Simplex{Time: time.Minute})
	if err != nil {
		t.Fatal(err)
	}
	g.holds(t, again, st)
}

// TestNoNumbers gives the binding what is no number: it is refused, and changes nothing. What is too large or too small to reckon with
// does not end the process.
func TestNoNumbers(t *testing.T) {
	nan := math.NaN()
	p := tiny(t)
	defer p.Close()
	for _, b := range []Bounds{{nan, 1}, {0, nan}, {2, 1}, {Inf, Inf}, {-Inf, -Inf}} {
		if p.SetRowBounds(0, b) == nil || p.AddRows([]Bounds{b}) == nil || p.SetColumnBounds(0, b) == nil || p.AddColumns([]Column{{Bounds: b}}) == nil {
			t.Errorf("bounds %v are taken", b)
		}
	}
	for _, x := range []float64{nan, Inf, -Inf} {
		if p.SetCost(0, x) == nil || p.AddColumns([]Column{{Cost: x, Bounds: Bounds{0, 1}}}) == nil {
			t.Errorf("cost %v is taken", x)
		}
		if p.AddColumns([]Column{{Bounds: Bounds{0, 1}, Row: []int{0}, Value: []float64{x}}}) == nil {
			t.Errorf("entry %v is taken", x)
		}
	}
	if st, _, err := p.Simplex(Simplex{Time: time.Second}); err != nil || st != Optimal || p.Rows() != 1 || p.Columns() != 2 {
		t.Errorf("afterwards: status %v, %v", st, err)
	}
	g := &program{[][]float64{{1e300, 1e-300}, {1e-300, 1e300}}, []float64{1e150, 1e150}, []float64{1, 1}, []float64{Inf, Inf}}
	vast := g.open(t)
	defer vast.Close()
	st, _, err := vast.Simplex(Simplex{Time: time.Second, Iterations: 1000})
	t.Logf("from 1e-300 to 1e300: status %v, %v", st, err)
}
