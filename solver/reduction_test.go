package solver

import (
	"context"
	"math/rand/v2"
	"testing"
)

// paperRolls is the example of Wikipedia, Cutting stock problem: rolls of 5600 mm, 73 of which are the least. The page says
// that ten patterns are the least for 73 rolls.
func paperRolls() Problem {
	p := Problem{Kinds: []Kind{{Length: 5600, Cost: 1}}}
	for _, it := range [][2]int64{{1380, 22}, {1520, 25}, {1560, 12}, {1710, 14}, {1820, 18}, {1880, 18}, {1930, 20},
		{2000, 10}, {2050, 12}, {2100, 14}, {2140, 16}, {2150, 18}, {2200, 20}} {
		p.Items = append(p.Items, Item{it[0], it[1]})
	}
	return p
}

// TestFewerPaperRolls reaches the ten patterns.
func TestFewerPaperRolls(t *testing.T) {
	p := paperRolls()
	r, err := Solve(t.Context(), p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := FewerPatterns(t.Context(), p, r.Patterns)
	samePlan(t, p, r.Patterns, got)
	t.Logf("%d patterns before, %d after", len(r.Patterns), len(got))
	if r.Cost != 73 || len(got) != 10 {
		t.Errorf("cost %d, %d patterns; 73 and 10 are known", r.Cost, len(got))
	}
}

// TestFewerByHand reduces plans whose least number of patterns is seen at once.
func TestFewerByHand(t *testing.T) {
	two := Problem{Kinds: []Kind{{Length: 10, Cost: 5}}, Items: []Item{{4, 4}, {3, 4}}}
	credit := two
	credit.Kinds = []Kind{{Length: 10, Cost: 5, Credit: Credit{Keep: 4, Num: 1, Den: 1}}}
	kinds := Problem{Kinds: []Kind{{Length: 10, Cost: 5}, {Length: 10, Cost: 6}}, Items: []Item{{4, 4}, {3, 4}}}
	for _, tt := range []struct {
		name     string
		p        Problem
		patterns []Pattern
		want     int
	}{
		{"the mean of two", two, []Pattern{{0, 2, []Take{{0, 2}}}, {0, 2, []Take{{1, 2}}}}, 1},
		{"equal ones", two, []Pattern{{0, 1, []Take{{0, 1}, {1, 1}}}, {0, 3, []Take{{0, 1}, {1, 1}}}}, 1},
		{"not where a kept offcut would be lost", credit, []Pattern{{0, 2, []Take{{0, 2}}}, {0, 2, []Take{{1, 2}}}}, 2},
		{"not over two kinds", kinds, []Pattern{{0, 2, []Take{{0, 2}}}, {1, 2, []Take{{1, 2}}}}, 2},
		{"nothing", two, nil, 0},
	} {
		got := FewerPatterns(t.Context(), tt.p, tt.patterns)
		samePlan(t, tt.p, tt.patterns, got)
		if len(got) != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}

// TestFewerRandom reduces random plans: the pieces and sticks stay, the cost and the number of patterns do not rise. Where ctx
// has ended the plan stays as it is.
func TestFewerRandom(t *testing.T) {
	less := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 9))
		p, plan := randomPlan(r)
		got := FewerPatterns(t.Context(), p, plan)
		samePlan(t, p, plan, got)
		if len(got) < len(mergePatterns(plan)) {
			less++
		}
		ended, end := context.WithCancel(t.Context())
		end()
		if same := FewerPatterns(ended, p, plan); len(same) != len(mergePatterns(plan)) {
			t.Errorf("seed %d: changed after its end", seed)
		}
	}
	if less < 100 {
		t.Errorf("only %d of 300 plans got fewer patterns", less)
	}
}

// randomPlan draws patterns that fit and the problem that they are a plan of.
func randomPlan(r *rand.Rand) (Problem, []Pattern) {
	var p Problem
	for range 1 + r.IntN(2) {
		k := Kind{Length: 50 + r.Int64N(100), Cost: 100}
		if r.IntN(2) == 0 {
			k.Credit = Credit{Keep: 20, Extra: r.Int64N(5), Num: 1, Den: 2}
		}
		p.Kinds = append(p.Kinds, k)
	}
	for range 2 + r.IntN(4) {
		p.Items = append(p.Items, Item{Length: 10 + r.Int64N(40)})
	}
	var plan []Pattern
	for range 2 + r.IntN(6) {
		pattern := Pattern{Kind: r.IntN(len(p.Kinds)), Count: 1 + r.Int64N(4)}
		rest := p.Kinds[pattern.Kind].Length
		for i, it := range p.Items {
			if q := r.Int64N(rest/it.Length + 1); q > 0 {
				rest -= q * it.Length
				pattern.Take = append(pattern.Take, Take{i, q})
				p.Items[i].Demand += q * pattern.Count
			}
		}
		plan = append(plan, pattern)
	}
	return p, plan
}

// samePlan demands that a plan has no more patterns, costs no more and has the same pieces and sticks as another.
func samePlan(t *testing.T, p Problem, before, after []Pattern) {
	t.Helper()
	sums := func(plan []Pattern) (pieces, sticks []int64, credit int64) {
		pieces, sticks = make([]int64, len(p.Items)), make([]int64, len(p.Kinds))
		for _, pattern := range plan {
			rest := p.Kinds[pattern.Kind].Length
			last := -1
			for _, take := range pattern.Take {
				pieces[take.Item] += take.Quantity * pattern.Count
				rest -= take.Quantity * p.Items[take.Item].Length
				if take.Item <= last || take.Quantity <= 0 {
					t.Errorf("a pattern takes %v", pattern.Take)
				}
				last = take.Item
			}
			if rest < 0 || pattern.Count <= 0 {
				t.Errorf("pattern %v has %d left", pattern, rest)
			}
			sticks[pattern.Kind] += pattern.Count
			if c := p.Kinds[pattern.Kind].Credit; c.Num > 0 && rest+c.Extra >= c.Keep {
				credit += c.Num * (rest + c.Extra) / c.Den * pattern.Count
			}
		}
		return pieces, sticks, credit
	}
	pieces, sticks, credit := sums(before)
	pieces2, sticks2, credit2 := sums(after)
	for i := range pieces {
		if pieces[i] != pieces2[i] {
			t.Errorf("item %d is cut %d times, not %d", i, pieces2[i], pieces[i])
		}
	}
	for k := range sticks {
		if sticks[k] != sticks2[k] {
			t.Errorf("%d sticks of kind %d, not %d", sticks2[k], k, sticks[k])
		}
	}
	if credit2 < credit || len(after) > len(mergePatterns(before)) {
		t.Errorf("credit %d instead of %d, %d patterns instead of %d", credit2, credit, len(after), len(before))
	}
}
