package glpk

import (
	"errors"
	"math"
	"runtime"
	"sync"
	"testing"
	"time"
)

// tiny is min x + 2y, x + y >= 3, x <= 2: x = 2, y = 1, cost 4; the row's dual is 2.
func tiny(t *testing.T) *Problem {
	t.Helper()
	p, err := Open()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.AddRows([]Bounds{{3, Inf}}); err != nil {
		t.Fatal(err)
	}
	err = p.AddColumns([]Column{
		{Cost: 1, Bounds: Bounds{0, 2}, Row: []int{0}, Value: []float64{1}},
		{Cost: 2, Bounds: Bounds{0, Inf}, Row: []int{0}, Value: []float64{1}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

const exact = 1e-9 // of GLPK's own tolerance, 1e-7, with room: these programs are solved in a pivot or two

func TestSimplex(t *testing.T) {
	p := tiny(t)
	defer p.Close()
	if st, _, err := p.Simplex(Simplex{Time: time.Second}); err != nil || st != Optimal {
		t.Fatalf("status %v, err %v", st, err)
	}
	var s Solution
	if err := p.Read(&s); err != nil {
		t.Fatal(err)
	}
	if math.Abs(s.Objective-4) > exact || math.Abs(s.Dual[0]-2) > exact || math.Abs(s.Value[0]-2) > exact {
		t.Errorf("objective %v, dual %v, x %v", s.Objective, s.Dual, s.Value)
	}
	// A cheaper column enters; the first two go.
	if err := p.AddColumns([]Column{{Cost: 0.5, Bounds: Bounds{0, Inf}, Row: []int{0}, Value: []float64{1}}}); err != nil {
		t.Fatal(err)
	}
	if err := p.DeleteColumns([]int{0, 1}); err != nil {
		t.Fatal(err)
	}
	// Both were basic or may have been: the basis is gone, and the binding says so until it is reset.
	var lost *BasisError
	if _, _, err := p.Simplex(Simplex{Time: time.Second}); !errors.As(err, &lost) {
		t.Fatalf("err %v, want a BasisError", err)
	}
	if err := p.Reset(); err != nil {
		t.Fatal(err)
	}
	if st, _, err := p.Simplex(Simplex{Time: time.Second}); err != nil || st != Optimal {
		t.Fatalf("status %v, err %v", st, err)
	}
	if err := p.Read(&s); err != nil {
		t.Fatal(err)
	}
	if len(s.Value) != 1 || math.Abs(s.Objective-1.5) > exact {
		t.Errorf("after the change: objective %v, values %v", s.Objective, s.Value)
	}
}

func TestBranch(t *testing.T) {
	p, err := Open()
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	// min x, 2x >= 3, x whole: 2.
	if err := errors.Join(p.AddRows([]Bounds{{3, Inf}}),
		p.AddColumns([]Column{{Cost: 1, Bounds: Bounds{0, Inf}, Row: []int{0}, Value: []float64{2}}}),
		p.SetInteger(0)); err != nil {
		t.Fatal(err)
	}
	if _, _, err := p.Simplex(Simplex{Time: time.Second}); err != nil {
		t.Fatal(err)
	}
	if st, err := p.Branch(time.Second, 0); err != nil || st != Optimal {
		t.Fatalf("status %v, err %v", st, err)
	}
	if obj, x, err := p.ReadInteger(); err != nil || obj != 2 || x[0] != 2 {
		t.Errorf("objective %v, x %v, err %v", obj, x, err)
	}
}

// TestBranchStopsAtNodes: min x, 2(y1 + … + y9) + x = 9 with y from 0 to 1, all whole, so x is 1: the relaxation says 0
// all the way down, and the tree has hundreds of nodes.
func TestBranchStopsAtNodes(t *testing.T) {
	solve := func(nodes int) Status {
		p, err := Open()
		if err != nil {
			t.Fatal(err)
		}
		defer p.Close()
		cols := []Column{{Cost: 1, Bounds: Bounds{0, Inf}, Row: []int{0}, Value: []float64{1}}}
		for range 9 {
			cols = append(cols, Column{Bounds: Bounds{0, 1}, Row: []int{0}, Value: []float64{2}})
		}
		if err := errors.Join(p.AddRows([]Bounds{{9, 9}}), p.AddColumns(cols)); err != nil {
			t.Fatal(err)
		}
		for j := range cols {
			if err := p.SetInteger(j); err != nil {
				t.Fatal(err)
			}
		}
		if _, _, err := p.Simplex(Simplex{Time: time.Second}); err != nil {
			t.Fatal(err)
		}
		st, err := p.Branch(time.Minute, nodes)
		if err != nil {
			t.Fatal(err)
		}
		return st
	}
	if st := solve(0); st != Optimal {
		t.Errorf("without a limit: status %v", st)
	}
	if st := solve(3); st == Optimal {
		t.Errorf("after three nodes: status %v", st)
	}
}

func TestMisuseIsAnError(t *testing.T) {
	p := tiny(t)
	defer p.Close()
	rows := map[string]error{
		"row index":        p.SetRowBounds(1, Bounds{0, 1}),
		"column index":     p.SetColumnBounds(2, Bounds{0, 1}),
		"negative index":   p.SetCost(-1, 0),
		"empty bounds":     p.SetRowBounds(0, Bounds{1, 0}),
		"bad entry":        p.AddColumns([]Column{{Bounds: Bounds{0, 1}, Row: []int{5}, Value: []float64{1}}}),
		"deleting twice":   p.DeleteColumns([]int{0, 0}),
		"integer of none":  p.SetInteger(9),
		"malformed column": p.AddColumns([]Column{{Bounds: Bounds{0, 1}, Row: []int{0}}}),
	}
	for name, err := range rows {
		if !errors.Is(err, ErrFault) {
			t.Errorf("%s: err %v, want ErrFault", name, err)
		}
	}
	if st, _, err := p.Simplex(Simplex{Time: time.Second}); err != nil || st != Optimal {
		t.Errorf("after the misuse: status %v, err %v", st, err)
	}
}

// A fault inside GLPK must come back as an error, take only this thread's problems with it, and leave the thread usable.
func TestFaultComesBack(t *testing.T) {
	p := tiny(t)
	other := tiny(t)
	err := p.misuse()
	if !errors.Is(err, ErrFault) {
		t.Fatalf("err %v, want ErrFault", err)
	}
	t.Log(err)
	if _, _, err := other.Simplex(Simplex{Time: time.Second}); !errors.Is(err, ErrFault) {
		t.Errorf("a problem of the freed environment: err %v, want ErrFault", err)
	}
	p.Close()
	other.Close()
	again := tiny(t)
	defer again.Close()
	if st, _, err := again.Simplex(Simplex{Time: time.Second}); err != nil || st != Optimal {
		t.Errorf("a new problem on the same thread: status %v, err %v", st, err)
	}
}

func TestCloseFreesTheThread(t *testing.T) {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	p := tiny(t)
	if blocks() == 0 {
		t.Error("an open problem holds no memory: the count cannot be right")
	}
	p.Close()
	p.Close()
	// An environment made afresh for the question holds no problem.
	if n := blocks(); n > 1 {
		t.Errorf("%d blocks left after Close", n)
	}
	if err := p.SetCost(0, 1); !errors.Is(err, ErrFault) {
		t.Errorf("use after Close: err %v, want ErrFault", err)
	}
}

func TestManyThreads(t *testing.T) {
	var wg sync.WaitGroup
	for range 16 {
		wg.Go(func() {
			for range 20 {
				p, err := Open()
				if err != nil {
					t.Error(err)
					return
				}
				err = errors.Join(p.AddRows([]Bounds{{3, Inf}}),
					p.AddColumns([]Column{{Cost: 1, Bounds: Bounds{0, Inf}, Row: []int{0}, Value: []float64{2}}}))
				runtime.Gosched() // give the scheduler a chance to move us
				st, _, err2 := p.Simplex(Simplex{Time: time.Second})
				if err != nil || err2 != nil || st != Optimal {
					t.Errorf("status %v, err %v, %v", st, err, err2)
				}
				p.Close()
			}
		})
	}
	wg.Wait()
}
