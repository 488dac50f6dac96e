package arcflow

import (
	"cmp"
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/bench/instances"
	"longpoint/bench/peer"
	"longpoint/solver"
)

func problem(capacity int64, items ...solver.Item) solver.Problem {
	return solver.Problem{Items: items, Kinds: []solver.Kind{{Length: capacity, Cost: 1}}}
}

// Worked by hand: 5 from 0; 3 from 0; 2 from 0 and, twice in a row, from 2; from 3, where a 3 ends, and on from 5.
func TestBuildByHand(t *testing.T) {
	m, err := Build(problem(7, solver.Item{Length: 2, Demand: 2}, solver.Item{Length: 5, Demand: 3}, solver.Item{Length: 3, Demand: 1}), 100)
	if err != nil {
		t.Fatal(err)
	}
	if want := []int64{0, 2, 3, 4, 5, 7}; !slices.Equal(m.Positions, want) {
		t.Errorf("positions %v in place of %v", m.Positions, want)
	}
	var got []Arc
	for _, a := range m.Arcs {
		if !a.Waste {
			got = append(got, a)
		}
	}
	want := []Arc{{0, 1, false, 0}, {1, 3, false, 0}, {2, 4, false, 0}, {4, 5, false, 0}, {0, 4, false, 1}, {0, 2, false, 2}}
	if !slices.Equal(got, want) {
		t.Errorf("arcs %v in place of %v", got, want)
	}
	if waste := len(m.Arcs) - len(got); waste != 4 {
		t.Errorf("%d arcs of waste", waste)
	}
	var lp strings.Builder
	if err := m.WriteLP(&lp); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"Minimize\n cost: + z0\n", " p0: - x0 - x4 - x5 + z0 = 0\n", " p5: + x3 + x9 - z0 = 0\n",
		" d0: + x0 + x1 + x2 + x3 >= 2\n", " d1: + x4 >= 3\n", "0 <= x4 <= 3\n", "Generals\nx0\n", "z0\nEnd\n",
	} {
		if !strings.Contains(lp.String(), want) {
			t.Errorf("no %q in\n%s", want, lp.String())
		}
	}
}

// Every pattern within the demand, its items longest first, is a path of arcs.
func TestEveryPatternIsAPath(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		p := problem(int64(20 + r.IntN(60)))
		for range 1 + r.IntN(6) {
			p.Items = append(p.Items, solver.Item{Length: int64(3 + r.IntN(25)), Demand: int64(1 + r.IntN(4))})
		}
		slices.SortFunc(p.Items, func(a, b solver.Item) int { return cmp.Compare(b.Length, a.Length) })
		m, err := Build(p, math.MaxInt)
		if err != nil {
			t.Fatal(err)
		}
		has := map[Arc]bool{}
		for _, a := range m.Arcs {
			has[a] = true
		}
		node := func(at int64) int { n, _ := slices.BinarySearch(m.Positions, at); return n }
		at := int64(0)
		for i, it := range p.Items {
			for range r.Int64N(it.Demand + 1) {
				if at+it.Length > p.Kinds[0].Length {
					break
				}
				if a := (Arc{From: node(at), To: node(at + it.Length), Item: i}); !has[a] {
					t.Fatalf("%+v: no arc for item %d from %d", p, i, at)
				}
				at += it.Length
			}
		}
	}
}

func TestBuildStopsWhenTooLarge(t *testing.T) {
	p := problem(7, solver.Item{Length: 2, Demand: 2}, solver.Item{Length: 3, Demand: 1})
	if _, err := Build(p, 100); err != nil {
		t.Fatal(err)
	}
	for most := range 5 {
		if _, err := Build(p, most); !errors.Is(err, ErrTooLarge) {
			t.Errorf("most %d: error %v", most, err)
		}
	}
}

// GLPK finds the known optimum of the textbook examples on our model, those that it solves at once.
func TestModelHasTheTextbookOptima(t *testing.T) {
	glpk := glpsol(t)
	examples, err := instances.Textbook()
	if err != nil {
		t.Fatal(err)
	}
	solved := 0
	for _, e := range examples {
		if m, err := Build(e.Problem, math.MaxInt); err != nil || len(m.Arcs) > 200 {
			continue
		}
		solved++
		if got := least(t, glpk, e.Problem); got.Status != peer.Optimal || math.Abs(got.Cost-float64(e.Optimum)) > wholeTolerance {
			t.Errorf("%s: %+v in place of %d", e.ID, got, e.Optimum)
		}
	}
	if solved < 20 {
		t.Errorf("only %d of %d examples", solved, len(examples))
	}
}

// With several kinds, limits, bundles and lower prices from a number on the model has the same least cost as our solver, or none where there is no plan.
func TestModelAgreesWithTheSolver(t *testing.T) {
	glpk := glpsol(t)
	r := rand.New(rand.NewPCG(3, 4))
	impossible := 0
	for seed := range 60 {
		p := solver.Problem{}
		for range 1 + r.IntN(5) {
			p.Items = append(p.Items, solver.Item{Length: int64(3 + r.IntN(20)), Demand: r.Int64N(5)})
		}
		for range 1 + r.IntN(3) {
			limited := r.IntN(2) == 0
			p.Kinds = append(p.Kinds, solver.Kind{Length: int64(15 + r.IntN(30)), Cost: int64(1 + r.IntN(30)), Limited: limited, Limit: r.Int64N(4)})
		}
		if seed%2 == 1 {
			addBundles(r, &p)
		}
		want, err := solver.Solve(context.Background(), p, solver.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := least(t, glpk, p)
		if want.Status == solver.Infeasible {
			impossible++
			if got.Status == peer.Optimal {
				t.Errorf("%d: %+v: GLPK finds cost %v, the solver nothing", seed, p, got.Cost)
			}
			continue
		}
		if got.Status != peer.Optimal || math.Abs(got.Cost-float64(want.Cost)) > wholeTolerance {
			t.Errorf("%d: %+v: %+v in place of %d", seed, p, got, want.Cost)
		}
	}
	if impossible == 0 || impossible == 60 {
		t.Errorf("%d of 60 problems have no plan: the test says little", impossible)
	}
}

// addBundles has the first kind sold in bundles, each of some cheaper from a number of them on.
func addBundles(r *rand.Rand, p *solver.Problem) {
	p.Kinds[0].Limited, p.Kinds[0].Limit = true, r.Int64N(2)
	most, size, from := int64(20), 1+r.Int64N(4), 2+r.Int64N(2)
	price := 2 + r.Int64N(15)
	gives := func(bundles int64) []solver.Give { return []solver.Give{{Kind: 0, Quantity: bundles * size}} }
	p.Choices = []solver.Choice{
		{Cost: price * size, Most: from - 1, Gives: gives(1)},
		{Cost: (price - 1) * size * from, Most: 1, Gives: gives(from), In: []solver.Coef{{Row: 0, Value: most}}},
		{Cost: (price - 1) * size, Most: most, Gives: gives(1), In: []solver.Coef{{Row: 0, Value: -1}}},
	}
	p.Rows = []solver.Row{{Least: 0}}
}

// TestBuildBeyond: what the model does not state is refused, not left out.
func TestBuildBeyond(t *testing.T) {
	for name, p := range map[string]solver.Problem{
		"only":   {Kinds: []solver.Kind{{Length: 9, Cost: 1, Only: []int{}}}},
		"credit": {Kinds: []solver.Kind{{Length: 9, Cost: 1, Credit: solver.Credit{Num: 1, Den: 9}}}},
		"asks":   {Kinds: []solver.Kind{{Length: 9, Cost: 1}}, Choices: []solver.Choice{{Most: 1, Asks: []solver.Take{{Item: 0, Quantity: 1}}}}},
	} {
		p.Items = []solver.Item{{Length: 3, Demand: 1}}
		if _, err := Build(p, 100); !errors.Is(err, ErrBeyond) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// wholeTolerance is how far from the whole optimum GLPK's floating-point answer may be; its own tolerance is 1e-7 a row.
const wholeTolerance = 1e-3

func glpsol(t *testing.T) peer.Program {
	t.Helper()
	for _, p := range peer.Find(context.Background(), "") {
		if p.Name == "glpsol" {
			return p
		}
	}
	t.Skip("glpsol is not installed (Debian: glpk-utils)")
	return peer.Program{}
}

// least solves a problem's model with GLPK.
func least(t *testing.T, glpk peer.Program, p solver.Problem) peer.Outcome {
	t.Helper()
	m, err := Build(p, math.MaxInt)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "model.lp")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(m.WriteLP(f), f.Close()); err != nil {
		t.Fatal(err)
	}
	o, err := glpk.Run(context.Background(), path, 20*time.Second)
	if err != nil {
		t.Fatal(err)
	}
	return o
}
