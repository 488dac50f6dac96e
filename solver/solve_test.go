package solver

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"longpoint/solver/check"
)

// ample is far more time than anything here takes. A test that meets it has failed.
const ample = time.Minute

// accepted has the checker look at a plan, and gives what it makes of it.
func accepted(t *testing.T, p Problem, r Result) check.Report {
	t.Helper()
	data, err := Document(p, r)
	if err != nil {
		t.Fatal(err)
	}
	report, err := check.Document(context.Background(), data)
	if err != nil || !report.OK() {
		t.Fatalf("the checker says %v, %v\n%s", report, err, data)
	}
	return report
}

// answered solves a problem and checks what holds of every result.
func answered(t *testing.T, p Problem, o Options) Result {
	t.Helper()
	r, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatalf("%v\n%+v", err, p)
	}
	sane(t, p, r)
	return r
}

// sane checks what holds of every result.
func sane(t *testing.T, p Problem, r Result) {
	t.Helper()
	if r.LowerBound < 0 || r.CertifiedBound < 0 || r.CertifiedBound > r.LowerBound {
		t.Fatalf("lower %d, certified %d\n%+v", r.LowerBound, r.CertifiedBound, p)
	}
	if !r.HasPlan {
		if r.Status != Infeasible && r.Status != Stopped || r.Reason == "" || r.Patterns != nil || r.Cost != 0 {
			t.Fatalf("without a plan: %+v\n%+v", r, p)
		}
		return
	}
	if r.LowerBound > r.Cost || r.Status == Infeasible || (r.Status == Certified) != (r.Reason == "") {
		t.Fatalf("%+v\n%+v", r, p)
	}
	if r.Status != Stopped && r.LowerBound != r.Cost || r.Status == Certified && r.CertifiedBound != r.Cost {
		t.Fatalf("%v with the cost %d, lower %d, certified %d\n%+v", r.Status, r.Cost, r.LowerBound, r.CertifiedBound, p)
	}
	accepted(t, p, r)
}

func TestSolveNamedCases(t *testing.T) {
	limited := func(length, cost, limit int64) Kind {
		return Kind{Length: length, Cost: cost, Limit: limit, Limited: true}
	}
	const mm = 1_000_000
	for _, tc := range []struct {
		name   string
		items  []Item
		kinds  []Kind
		status Status
		cost   int64
		reason string // a part of it
	}{
		{"nothing at all", nil, nil, Certified, 0, ""},
		{"nothing wanted", []Item{{5, 0}, {500, 0}}, []Kind{{Length: 10, Cost: 3}}, Certified, 0, ""},
		{"nothing wanted and no sticks", []Item{{5, 0}}, nil, Certified, 0, ""},
		{"no sticks", []Item{{5, 1}}, nil, Infeasible, 0, "item 0, of length 5, fits no stick"},
		{"one piece", []Item{{5, 1}}, []Kind{{Length: 5, Cost: 3}}, Certified, 3, ""},
		{"too long", []Item{{5, 1}, {11, 1}}, []Kind{{Length: 10, Cost: 3}}, Infeasible, 0, "item 1, of length 11, fits no stick"},
		{"too long by a nanometre", []Item{{3000*mm + 1, 1}}, []Kind{{Length: 3000 * mm, Cost: 3}}, Infeasible, 0, "item 0, of length 3000000001, fits no stick"},
		{"long enough to the nanometre", []Item{{1500 * mm, 2}}, []Kind{{Length: 3000 * mm, Cost: 3}}, Certified, 3, ""},
		{"too long for the sticks there are", []Item{{9, 1}}, []Kind{{Length: 8, Cost: 3}, limited(10, 1, 0)}, Infeasible, 0, "item 0, of length 9, fits no stick"},
		{"too long, but not wanted", []Item{{5, 2}, {11, 0}}, []Kind{{Length: 10, Cost: 3}}, Certified, 3, ""},
		{"too few sticks", []Item{{6, 3}}, []Kind{limited(10, 3, 2)}, Infeasible, 0, "not enough sticks"},
		{"too few free sticks", []Item{{6, 3}}, []Kind{limited(10, 0, 2)}, Infeasible, 0, "not enough sticks"},
		{"room enough, but in too many pieces", []Item{{8, 1}, {5, 3}}, []Kind{limited(12, 3, 2)}, Infeasible, 0, "not enough sticks"},
		{"enough for the relaxation only", []Item{{44, 2}, {33, 3}, {12, 6}}, []Kind{limited(132, 3, 2)}, Infeasible, 0, "not enough sticks"},
		{"just enough sticks", []Item{{6, 2}, {4, 2}}, []Kind{limited(10, 3, 2)}, Certified, 6, ""},
		{"a limit of none beside", []Item{{6, 3}}, []Kind{limited(12, 0, 0), {Length: 10, Cost: 3}}, Certified, 9, ""},
		{"free sticks without end", []Item{{6, 3}, {7, 9}}, []Kind{{Length: 10, Cost: 0}}, Certified, 0, ""},
		{"free sticks first", []Item{{6, 3}}, []Kind{{Length: 10, Cost: 4}, limited(10, 0, 2)}, Certified, 4, ""},
		{"free sticks that fit one length only", []Item{{6, 3}, {9, 2}}, []Kind{{Length: 10, Cost: 4}, {Length: 6, Cost: 0}}, Certified, 8, ""},
		{"dear and long, or cheap and short", []Item{{5, 4}}, []Kind{{Length: 10, Cost: 9}, {Length: 5, Cost: 5}}, Certified, 18, ""},
		{"cheap and short, or dear and long", []Item{{5, 4}}, []Kind{{Length: 10, Cost: 11}, {Length: 5, Cost: 5}}, Certified, 20, ""},
		{"equal items", []Item{{5, 1}, {5, 1}, {5, 1}}, []Kind{{Length: 10, Cost: 3}}, Certified, 6, ""},
		{"equal kinds", []Item{{6, 3}}, []Kind{limited(10, 3, 1), limited(10, 3, 1), limited(10, 3, 1)}, Certified, 9, ""},
		{"equal kinds at two prices", []Item{{6, 3}}, []Kind{limited(10, 7, 2), limited(10, 3, 2)}, Certified, 13, ""},
		{"a limit far above what is wanted", []Item{{6, 1}}, []Kind{limited(10, 7, 1000)}, Certified, 7, ""},
		{"the greatest limit", []Item{{6, 3}, {5, 3}}, []Kind{limited(10, 7, math.MaxInt64)}, Certified, 35, ""},
		{"the greatest length and cost", []Item{{MaxLength / 2, 3}}, []Kind{{Length: MaxLength, Cost: MaxCost}}, Certified, 2 * MaxCost, ""},
		{"the greatest demand", []Item{{1, MaxDemand}}, []Kind{{Length: 1 << 20, Cost: MaxCost}}, Certified, 16 * MaxCost, ""},
		{"the greatest demand, one a stick", []Item{{3, MaxDemand}}, []Kind{{Length: 5, Cost: 7}}, Certified, 7 * MaxDemand, ""},
		{"a gap of one above the relaxation rounded up", []Item{{44, 2}, {33, 3}, {12, 6}}, []Kind{{Length: 132, Cost: 1}}, Certified, 3, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p := Problem{Items: tc.items, Kinds: tc.kinds}
			r := answered(t, p, Options{TimeLimit: ample})
			if r.Status != tc.status || r.HasPlan != (tc.status == Certified) || r.Cost != tc.cost || !strings.Contains(r.Reason, tc.reason) {
				t.Errorf("%v, cost %d, %q; want %v, %d, %q", r.Status, r.Cost, r.Reason, tc.status, tc.cost, tc.reason)
			}
		})
	}
}

func TestSolveRefuses(t *testing.T) {
	items := func(list ...Item) Problem { return Problem{Items: list, Kinds: []Kind{{Length: 10, Cost: 1}}} }
	kind := func(k Kind) Problem { return Problem{Items: []Item{{5, 1}}, Kinds: []Kind{k}} }
	for _, tc := range []struct {
		name string
		p    Problem
		want string
	}{
		{"an item of no length", items(Item{5, 1}, Item{0, 1}), "item 1 has length 0"},
		{"an item of negative length", items(Item{-5, 1}), "item 0 has length -5"},
		{"an item too long", items(Item{MaxLength + 1, 1}), "item 0 has length 70368744177665"},
		{"an unwanted item of no length", items(Item{0, 0}), "item 0 has length 0"},
		{"a negative demand", items(Item{5, -1}), "item 0 has demand -1"},
		{"a demand too great", items(Item{5, MaxDemand + 1}), "item 0 has demand 16777217"},
		{"the greatest number as a demand", items(Item{5, math.MaxInt64}, Item{5, math.MaxInt64}), "item 0 has demand"},
		{"demands too great together", items(Item{5, MaxDemand}, Item{4, 1}), "16777217 pieces in all"},
		{"a kind of no length", kind(Kind{Cost: 1}), "kind 0 has length 0"},
		{"a kind too long", kind(Kind{Length: MaxLength + 1}), "kind 0 has length 70368744177665"},
		{"a negative cost", kind(Kind{Length: 10, Cost: -1}), "kind 0 has cost -1"},
		{"a cost too great", kind(Kind{Length: 10, Cost: MaxCost + 1}), "kind 0 has cost 1099511627777"},
		{"a negative limit", kind(Kind{Length: 10, Limited: true, Limit: -1}), "kind 0 has limit -1"},
		{"too many items", Problem{Items: make([]Item, MaxItems+1)}, "more than 65536 items or kinds"},
		{"too many kinds", Problem{Kinds: make([]Kind, MaxItems+1)}, "more than 65536 items or kinds"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r, err := Solve(context.Background(), tc.p, Options{})
			if !errors.Is(err, ErrProblem) || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("error %v, want %q", err, tc.want)
			}
			if d := cmp.Diff(Result{}, r); d != "" {
				t.Errorf("a result beside the error:\n%s", d)
			}
		})
	}
	most := Problem{Items: slices.Repeat([]Item{{Length: 1}}, MaxItems), Kinds: slices.Repeat([]Kind{{Length: 10}}, MaxItems)}
	if err := most.Validate(); err != nil {
		t.Errorf("the most items and kinds there may be: %v", err)
	}
	if none, some := (&search{cost: 7}).upperBound(), (&search{cost: 7, hasPlan: true}).upperBound(); none != math.MaxInt64 || some != 7 {
		t.Errorf("without a plan nothing is dearer than %d, with one of 7 than %d", none, some)
	}
	if err := kind(Kind{Length: 10, Limit: -1}).Validate(); err != nil {
		t.Errorf("a limit that is off is looked at: %v", err)
	}
}

// The cheapest cost of small problems of every sort is found, and no plan where there is none.
func TestSolveAgainstEveryPlan(t *testing.T) {
	plans, impossible, free := 0, 0, 0
	for seed := range uint64(3000) {
		p := tinyProblem(rand.New(rand.NewPCG(seed, 13)))
		cost, ok := leastCost(p, nil)
		r := answered(t, p, Options{TimeLimit: ample})
		if r.HasPlan != ok || r.Cost != cost || r.Status == Stopped {
			t.Fatalf("seed %d: plan %v at %d, %v; there is one %v at %d\n%+v", seed, r.HasPlan, r.Cost, r.Status, ok, cost, p)
		}
		if ok && r.Status != Certified {
			t.Errorf("seed %d: %v, %s\n%+v", seed, r.Status, r.Reason, p)
		}
		switch {
		case !ok:
			impossible++
		case cost == 0:
			free++
		default:
			plans++
		}
	}
	if plans < 1000 || impossible < 100 || free < 100 {
		t.Errorf("%d plans, %d free, %d impossible: the test says too little", plans, free, impossible)
	}
}

// large draws a problem that keeps a search busy for longer than a test waits: so many lengths at nanometre scale, sticks
// of three lengths at prices that have little to do with them.
func large(seed uint64, lengths int) Problem {
	r := rand.New(rand.NewPCG(seed, 14))
	p := Problem{Kinds: []Kind{
		{Length: 3_000_000_000, Cost: 2999}, {Length: 2_440_000_000, Cost: 2503}, {Length: 1_700_000_001, Cost: 1711, Limited: true, Limit: 40},
	}}
	for range lengths {
		p.Items = append(p.Items, Item{Length: 200_000_000 + r.Int64N(900_000_000), Demand: 1 + r.Int64N(4)})
	}
	return p
}

// middling draws a problem that is solved in a moment, but not without a search.
func middling(seed uint64) Problem {
	r := rand.New(rand.NewPCG(seed, 15))
	p := Problem{Kinds: []Kind{{Length: 3000, Cost: 2999}, {Length: 2440, Cost: 2503, Limited: true, Limit: 4}, {Length: 1700, Cost: 1711, Limited: true, Limit: 2}}}
	for range 10 {
		p.Items = append(p.Items, Item{Length: 400 + r.Int64N(900), Demand: 1 + r.Int64N(4)})
	}
	return p
}

func TestSolveStopped(t *testing.T) {
	ended, end := context.WithCancel(context.Background())
	end()
	late, cancel := context.WithDeadline(context.Background(), time.Unix(0, 0))
	defer cancel()
	for _, tc := range []struct {
		name   string
		ctx    context.Context
		o      Options
		reason string
	}{
		{"interrupted before the start", ended, Options{}, "interrupted"},
		{"too late before the start", late, Options{}, "time limit"},
		{"no time to speak of", context.Background(), Options{TimeLimit: 1}, "time limit"},
		{"a short time", context.Background(), Options{TimeLimit: 50 * time.Millisecond}, "time limit"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p := large(1, 250)
			start := time.Now()
			r, err := Solve(tc.ctx, p, tc.o)
			if err != nil {
				t.Fatal(err)
			}
			sane(t, p, r)
			if r.Status != Stopped || !strings.Contains(r.Reason, tc.reason) {
				t.Errorf("%v, %q", r.Status, r.Reason)
			}
			if took := time.Since(start); took > tc.o.TimeLimit+lateness {
				t.Errorf("it took %v", took)
			}
		})
	}
	r, err := Solve(ended, Problem{Items: []Item{{5, 0}}}, Options{})
	if err != nil || r.Status != Certified {
		t.Errorf("nothing wanted, interrupted: %v, %v", r.Status, err)
	}
	if _, err := Solve(ended, Problem{Items: []Item{{0, 0}}}, Options{}); !errors.Is(err, ErrProblem) {
		t.Errorf("no problem, interrupted: %v", err)
	}
}

// lateness is how long after its time a search may still be at work in a test. It is far less in truth; the machine may
// be busy with other things, and the race detector slows everything down.
const lateness = 10 * time.Second

// A search that is interrupted when it first tells of something says what it knows by then.
func TestSolveInterrupted(t *testing.T) {
	for after := range 4 {
		t.Run(fmt.Sprintf("at report %d", after), func(t *testing.T) {
			ctx, interrupt := context.WithCancel(context.Background())
			defer interrupt()
			p := large(2, 90)
			n := 0
			var at time.Time
			var last Progress
			r, err := Solve(ctx, p, Options{TimeLimit: ample, Progress: func(state Progress) {
				if n == after {
					interrupt()
					at = time.Now()
				}
				n++
				last = state
			}})
			if err != nil {
				t.Fatal(err)
			}
			took := time.Since(at)
			sane(t, p, r)
			if n <= after || r.Status != Stopped || !strings.Contains(r.Reason, "interrupted") || took > lateness {
				t.Errorf("%d reports, %v, %q, %v later", n, r.Status, r.Reason, took)
			}
			if r.HasPlan != last.HasPlan || r.Cost > last.Cost || r.LowerBound < last.LowerBound {
				t.Errorf("%+v after %+v was told", r, last)
			}
		})
	}
}

func TestSolveNodeLimit(t *testing.T) {
	stopped := 0
	for seed := range uint64(30) {
		p := middling(seed)
		whole := answered(t, p, Options{TimeLimit: ample})
		for _, limit := range []int{1, 2, 5} {
			r := answered(t, p, Options{TimeLimit: ample, NodeLimit: limit})
			if r.Nodes > limit {
				t.Errorf("seed %d: %d nodes, the limit being %d", seed, r.Nodes, limit)
			}
			if r.LowerBound > whole.Cost || r.HasPlan && r.Cost < whole.Cost {
				t.Errorf("seed %d: between %d and %d with %d nodes, %d with all", seed, r.LowerBound, r.Cost, limit, whole.Cost)
			}
			if whole.Nodes <= limit {
				continue
			}
			stopped++
			if r.Status != Stopped || !strings.Contains(r.Reason, "nodes") {
				t.Errorf("seed %d: %v, %q with %d nodes of %d", seed, r.Status, r.Reason, limit, whole.Nodes)
			}
		}
	}
	if stopped < 10 {
		t.Errorf("only %d searches stopped: the test says too little", stopped)
	}
}

// What is told of a search gets better and never contradicts itself or the end.
func TestSolveProgress(t *testing.T) {
	told := 0
	for seed := range uint64(40) {
		p := middling(seed)
		var last Progress
		r := answered(t, p, Options{TimeLimit: ample, Progress: func(now Progress) {
			told++
			if now.HasPlan && now.LowerBound > now.Cost || now.LowerBound < 0 || now.Columns < 0 || now.Nodes < 0 {
				t.Errorf("seed %d: %+v", seed, now)
			}
			if last.HasPlan && (!now.HasPlan || now.Cost > last.Cost) || now.LowerBound < last.LowerBound || now.Nodes < last.Nodes || now.Columns < last.Columns {
				t.Errorf("seed %d: %+v after %+v", seed, now, last)
			}
			last = now
		}})
		if !last.HasPlan || last.Cost != r.Cost || last.LowerBound > r.LowerBound || last.Nodes > r.Nodes {
			t.Errorf("seed %d: %+v was told last, the result is %+v", seed, last, r)
		}
	}
	if told < 100 {
		t.Errorf("only %d reports: the test says too little", told)
	}
}

// The same problem has the same result, however many are solved at once.
func TestSolveTwiceAndAtOnce(t *testing.T) {
	const problems = 6
	first := make([]Result, problems)
	nodes := 0
	for i := range first {
		first[i] = answered(t, middling(uint64(i)), Options{})
		nodes += first[i].Nodes
	}
	var wait sync.WaitGroup
	for i := range first {
		for range 2 {
			wait.Go(func() {
				p := middling(uint64(i))
				r, err := Solve(context.Background(), p, Options{})
				if d := cmp.Diff(first[i], r); err != nil || d != "" {
					t.Errorf("problem %d, %v: %s", i, err, d)
				}
				if d := cmp.Diff(middling(uint64(i)), p); d != "" {
					t.Errorf("the problem was changed:\n%s", d)
				}
			})
		}
	}
	wait.Wait()
	if nodes <= problems {
		t.Errorf("%d nodes: nothing was searched", nodes)
	}
}

// The order of items and kinds, and the unit of lengths and money, change nothing about the cost.
func TestSolveInOtherWords(t *testing.T) {
	for seed := range uint64(25) {
		r := rand.New(rand.NewPCG(seed, 16))
		p := middling(seed)
		cost := answered(t, p, Options{TimeLimit: ample}).Cost
		q := Problem{}
		for _, i := range r.Perm(len(p.Items)) {
			it := p.Items[i]
			q.Items = append(q.Items, Item{it.Length * 1_000_003, it.Demand})
		}
		for _, k := range r.Perm(len(p.Kinds)) {
			kind := p.Kinds[k]
			kind.Length = kind.Length*1_000_003 + r.Int64N(1_000_003)
			kind.Cost *= 3
			q.Kinds = append(q.Kinds, kind)
		}
		// Half of an item's pieces may go by another name.
		if half := q.Items[0].Demand / 2; half > 0 {
			q.Items[0].Demand -= half
			q.Items = append(q.Items, Item{q.Items[0].Length, half})
		}
		if got := answered(t, q, Options{TimeLimit: ample}).Cost; got != 3*cost {
			t.Errorf("seed %d: %d in place of %d", seed, got, 3*cost)
		}
	}
}

func TestStatusNames(t *testing.T) {
	for s, want := range map[Status]string{Stopped: "stopped", Certified: "certified", Searched: "searched", Infeasible: "infeasible"} {
		if s.String() != want {
			t.Errorf("%d is called %s", s, s)
		}
	}
}

// A plan and a bound, from lengths alone, are at hand from the start, however large the problem and however little time
// there is.
func TestSolveHasAPlanAtOnce(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	r, err := Solve(ctx, large(1, 250), Options{})
	if err != nil || !r.HasPlan || r.Status != Stopped || r.CertifiedBound < r.Cost*9/10 {
		t.Errorf("status %v, plan %v at %d, certified %d, err %v", r.Status, r.HasPlan, r.Cost, r.CertifiedBound, err)
	}
}
