package solver

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"longpoint/solver/glpk"
)

// part is a column and how many of four parts of a stick the relaxed solution uses of it.
type part struct {
	kind     int
	take     []Take
	quarters int64
}

// crafted is a search and a master that hold no more than a solution.
func crafted(kinds, items int, parts []part) (*search, *master) {
	in := &instance{}
	for k := range kinds {
		in.capacity, in.cost = append(in.capacity, 1000), append(in.cost, int64(10+k))
	}
	for i := range items {
		in.length = append(in.length, int64(100+i)) // the longest come last, and are tried first
	}
	in.maxCost = int64(10 + kinds)
	m := &master{in: in, sol: glpk.Solution{}}
	for _, p := range parts {
		m.cols = append(m.cols, &column{kind: p.kind, take: p.take})
		m.sol.Value = append(m.sol.Value, float64(p.quarters)/4)
	}
	return &search{in: in}, m
}

// splits checks that choose finds a fractional number just when the solution is fractional.
func splits(t *testing.T, kinds, items int, parts []part) (c Condition, fractional bool) {
	t.Helper()
	s, m := crafted(kinds, items, parts)
	for _, p := range parts {
		fractional = fractional || p.quarters%4 != 0
	}
	c, ok := s.chooseCondition(m)
	if ok != fractional {
		t.Fatalf("a number to split is found: %v, the solution is fractional: %v\n%+v", ok, fractional, parts)
	}
	if !ok {
		return c, fractional
	}
	var n int64
	for _, p := range parts {
		v := make([]int64, items)
		for _, x := range p.take {
			v[x.Item] = x.Quantity
		}
		if counts(c, p.kind, v) {
			n += p.quarters
		}
	}
	if n%4 == 0 || c.Bound != n/4 {
		t.Fatalf("%d/4 sticks are split at %d by %+v\n%+v", n, c.Bound, c, parts)
	}
	if c.AtLeast || c.DualValue != 0 || c.AnyKind && c.Kind != 0 || c.Kind < 0 || c.Kind >= kinds {
		t.Fatalf("condition %+v", c)
	}
	last := -1
	for _, h := range c.Holds {
		if h.Item <= last || h.Item >= items || h.Quantity < 1 {
			t.Fatalf("condition %+v", c)
		}
		last = h.Item
	}
	return c, fractional
}

// Solutions are drawn in layers: whole columns, columns fractional at random, and columns that are fractional only where several
// items are looked at together.
func TestChooseSplitsWhatIsBroken(t *testing.T) {
	deep := map[int]int{}
	whole := 0
	for seed := range uint64(6000) {
		r := rand.New(rand.NewPCG(seed, 12))
		kinds, items := 1+r.IntN(3), 6
		var layers []part
		for range r.IntN(6) {
			p := part{kind: r.IntN(kinds), quarters: 4 * (1 + r.Int64N(3)), take: []Take{{r.IntN(items), 1 + r.Int64N(3)}}}
			layers = append(layers, p)
		}
		for range r.IntN(3) {
			place := r.Perm(items)
			quantity := 1 + r.Int64N(2)
			for _, p := range parity(2+r.IntN(4), r.IntN(2), r.IntN(kinds)) {
				for x := range p.take {
					p.take[x] = Take{place[p.take[x].Item], quantity}
				}
				slices.SortFunc(p.take, func(a, b Take) int { return a.Item - b.Item })
				layers = append(layers, p)
			}
		}
		if r.IntN(6) == 0 && len(layers) > 0 {
			layers[r.IntN(len(layers))].quarters += r.Int64N(4)
		}
		var parts []part
		at := map[string]int{}
		for _, p := range layers {
			key := fmt.Sprint(p.kind, p.take)
			if j, ok := at[key]; ok {
				parts[j].quarters += p.quarters
				continue
			}
			at[key] = len(parts)
			parts = append(parts, p)
		}
		c, fractional := splits(t, kinds, items, parts)
		if !fractional {
			whole++
			continue
		}
		deep[len(c.Holds)]++
	}
	if whole < 100 || deep[0] < 100 || deep[1] < 100 || deep[2] < 100 || deep[3] < 100 || deep[4] < 100 {
		t.Errorf("%d whole solutions, conditions on so many items: %v: the test says too little", whole, deep)
	}
}

// parity lists, half a stick each, every choice among n items that takes an even (or odd) number of them, with one more
// item so that none is empty. Any n−1 of the items are on a whole number of sticks together (for n > 2).
func parity(n, odd, kind int) []part {
	var parts []part
	for set := range 1 << n {
		p := part{kind: kind, quarters: 2}
		size := 0
		for i := range n {
			if set>>i&1 == 1 {
				p.take = append(p.take, Take{i, 1})
				size++
			}
		}
		if p.take = append(p.take, Take{n, 1}); size%2 == odd {
			parts = append(parts, p)
		}
	}
	return parts
}

func TestChooseLooksAsDeepAsItMust(t *testing.T) {
	same := []part{{0, []Take{{0, 1}}, 2}, {0, []Take{{0, 2}}, 2}, {1, []Take{{0, 1}}, 2}, {1, []Take{{0, 2}}, 2}}
	for _, tc := range []struct {
		name  string
		kinds int
		items int
		parts []part
		holds int
		any   bool
	}{
		{"sticks of a kind", 2, 1, []part{{0, []Take{{0, 1}}, 5}, {1, []Take{{0, 1}}, 3}}, 0, false},
		{"sticks of the dearer kind", 2, 1, []part{{0, []Take{{0, 1}}, 6}, {1, []Take{{0, 1}}, 6}}, 0, false},
		{"one item", 1, 2, []part{{0, []Take{{0, 1}}, 5}, {0, []Take{{1, 1}}, 3}}, 1, true},
		{"a second piece of it", 1, 1, []part{{0, []Take{{0, 1}}, 5}, {0, []Take{{0, 2}}, 3}}, 1, true},
		{"two items", 1, 3, parity(2, 0, 0), 1, true},
		{"two of three", 1, 4, parity(3, 0, 0), 2, true},
		{"three of four", 1, 5, parity(4, 0, 0), 3, true},
		{"four of five", 1, 6, parity(5, 1, 0), 4, true},
		{"five of six", 1, 7, parity(6, 0, 0), 5, true},
		{"whole over all kinds, fractional within each", 2, 1, same, 1, false},
		{"two kinds, one even and one odd, are looked at together first", 2, 4, slices.Concat(parity(3, 0, 0), parity(3, 1, 1)), 3, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c, _ := splits(t, tc.kinds, tc.items, tc.parts)
			if len(c.Holds) != tc.holds || c.AnyKind != tc.any {
				t.Errorf("split by %+v", c)
			}
			if tc.name == "sticks of the dearer kind" && c.Kind != 1 {
				t.Errorf("split by kind %d", c.Kind)
			}
		})
	}
}

// What GLPK leaves of a whole number counts as whole, above it and below.
func TestChooseOverlooksNoise(t *testing.T) {
	for _, noise := range []float64{0, zeroTolerance / 10, -zeroTolerance / 10} {
		t.Run(fmt.Sprint(noise), func(t *testing.T) {
			s, m := crafted(1, 2, []part{{0, []Take{{0, 1}}, 8}, {0, []Take{{1, 1}}, 4}})
			m.sol.Value[0] += noise
			if c, ok := s.chooseCondition(m); ok {
				t.Errorf("%v is split by %+v", m.sol.Value, c)
			}
			m.sol.Value[0] += 0.5
			m.sol.Value[1] += 0.5
			if c, ok := s.chooseCondition(m); !ok || c.Bound != int64(math.Floor(m.sol.Value[c.Holds[0].Item])) {
				t.Errorf("%v is split by %+v, %v", m.sol.Value, c, ok)
			}
		})
	}
}

// TestTroubledProgram: GLPK says of a node's linear program here that it has no solution, which every one has. The search must go on
// another way. The first order can never come to anything, for its sticks cost nothing; the second must come to 4480.
func TestTroubledProgram(t *testing.T) {
	p := Problem{
		Items: []Item{{Length: 262366668, Demand: 2}, {Length: 248033334, Demand: 2}, {Length: 179666668, Demand: 2}, {Length: 165333334, Demand: 6}},
		Kinds: []Kind{{Length: 80000000, Limit: 4, Limited: true}, {Length: 1201000000, Limited: true}, {Length: 1180000000, Limited: true},
			{Length: 1180000000, Limited: true}},
		Choices: []Choice{
			{Cost: 400, Most: 1, In: []Coef{{Row: 0, Value: -1}, {Row: 3, Value: 3}}},
			{Most: 1, In: []Coef{{Row: 1, Value: -4480}, {Row: 2, Value: 3}, {Row: 5, Value: 1}, {Row: 6, Value: 1}}},
			{Most: 3, Gives: []Give{{Kind: 2, Quantity: 1}}, In: []Coef{{Row: 2, Value: -1}}},
			{Most: 3, Gives: []Give{{Kind: 3, Quantity: 1}}, In: []Coef{{Row: 3, Value: -1}}},
			{Cost: 4, Most: 1, Gives: []Give{{Kind: 1, Quantity: 2}}, In: []Coef{{Row: 1, Value: 4}, {Row: 4, Value: -1}, {Row: 5, Value: -1}}},
			{Cost: 4, Most: 1, Gives: []Give{{Kind: 1, Quantity: 4}},
				In: []Coef{{Row: 1, Value: 4}, {Row: 4, Value: -1}, {Row: 6, Value: -1}, {Row: 7, Value: 2238}}},
			{Cost: 2, Most: 2238, Gives: []Give{{Kind: 1, Quantity: 2}}, In: []Coef{{Row: 1, Value: 2}, {Row: 7, Value: -1}}},
		},
		Rows: []Row{{}, {}, {}, {}, {Least: -1}, {}, {}, {}},
	}
	r, err := Solve(t.Context(), p, Options{})
	if err != nil || r.Status != Certified || r.Cost != 4480 {
		t.Errorf("%v at %d: %v", r.Status, r.Cost, err)
	}
}

// A number of sticks that misses the bound of its condition by the linear program's error is not branched on: the children would be the same node again.
func TestBranchOnKindKeepsToConditions(t *testing.T) {
	s := newSearch(Problem{Items: []Item{{Length: 4, Demand: 90}}, Kinds: []Kind{{Length: 9, Cost: 9}, {Length: 14, Cost: 13}}}, Options{})
	atLeast, atMost := Condition{Kind: 0, AtLeast: true, Bound: 20}, Condition{Kind: 0, Bound: 20}
	for _, c := range []struct {
		name  string
		count float64
		conds []Condition
		want  bool
	}{
		{"free", 19.9999, nil, true},
		{"below at least", 19.9999, []Condition{atLeast}, false},
		{"above at most", 20.0001, []Condition{atMost}, false},
		{"inside", 20.5, []Condition{atLeast}, true},
		{"of another kind", 19.9999, []Condition{{Kind: 1, AtLeast: true, Bound: 20}}, true},
	} {
		if _, got := s.branchOnKind([]float64{c.count, 30}, c.conds); got != c.want {
			t.Errorf("%s: %v sticks are fractional: %v, want %v", c.name, c.count, got, c.want)
		}
	}
}
