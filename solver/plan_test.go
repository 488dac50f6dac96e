package solver

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestDraftCut(t *testing.T) {
	p := Problem{
		Items: []Item{{3, 5}, {4, 2}, {5, 0}},
		Kinds: []Kind{{Length: 20, Cost: 10, Limited: true, Limit: 3}, {Length: 20, Cost: 7}},
	}
	for _, tc := range []struct {
		name   string
		cut    column
		count  int64
		used   bool
		want   []Pattern
		demand []int64
		cost   int64
	}{
		{"as often as asked", column{kind: 1, take: []Take{{0, 2}, {1, 1}}}, 2, true, []Pattern{{1, 2, []Take{{0, 2}, {1, 1}}}}, []int64{1, 0, 0}, 14},
		{"the last stick is trimmed", column{kind: 1, take: []Take{{0, 2}, {1, 1}}}, 9, true,
			[]Pattern{{1, 2, []Take{{0, 2}, {1, 1}}}, {1, 1, []Take{{0, 1}}}}, []int64{0, 0, 0}, 21},
		{"more than is wanted at once", column{kind: 1, take: []Take{{0, 9}, {1, 1}}}, 1, true, []Pattern{{1, 1, []Take{{0, 5}, {1, 1}}}}, []int64{0, 1, 0}, 7},
		{"no further than the limit", column{kind: 0, take: []Take{{0, 1}}}, 4, true, []Pattern{{0, 3, []Take{{0, 1}}}}, []int64{2, 2, 0}, 30},
		{"only what nobody wants", column{kind: 1, take: []Take{{2, 1}}}, 3, false, nil, []int64{5, 2, 0}, 0},
		{"nothing", column{kind: 1}, 3, false, nil, []int64{5, 2, 0}, 0},
		{"no times", column{kind: 1, take: []Take{{0, 1}}}, 0, false, nil, []int64{5, 2, 0}, 0},
		{"fewer than no times", column{kind: 1, take: []Take{{0, 1}}}, -2, false, nil, []int64{5, 2, 0}, 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			d := newPartialPlan(newInstance(p), nil)
			if used := d.cut(&tc.cut, tc.count); used != tc.used {
				t.Errorf("used a stick: %v", used)
			}
			if x := cmp.Diff(tc.want, d.patterns); x != "" {
				t.Error(x)
			}
			if x := cmp.Diff(tc.demand, d.demand); x != "" {
				t.Error(x)
			}
			if d.cost != tc.cost || d.remaining != tc.demand[0]+tc.demand[1]+tc.demand[2] || d.done() != (d.remaining == 0) {
				t.Errorf("cost %d, %d wanted, done %v", d.cost, d.remaining, d.done())
			}
		})
	}
}

// A partial plan adds up after any number of cuts, and its clone goes its own way.
func TestDraftAddsUp(t *testing.T) {
	full := 0
	for seed := range uint64(2000) {
		r := rand.New(rand.NewPCG(seed, 11))
		p := tinyProblem(r)
		in := newInstance(p)
		conds := tinyConditions(r, p)
		d := newPartialPlan(in, conds)
		var other *partialPlan
		var c *column
		for range 1 + r.IntN(8) {
			k := r.IntN(len(p.Kinds))
			all := vectors(p, k)
			c = &column{kind: k}
			for i, q := range all[r.IntN(len(all))] {
				if q > 0 {
					c.take = append(c.take, Take{i, q})
				}
			}
			before := d.clone()
			used := d.cut(c, r.Int64N(4))
			if used != (len(d.patterns) > len(before.patterns)) {
				t.Fatalf("seed %d: used a stick: %v", seed, used)
			}
			addsUp(t, in, conds, before)
			other = before
		}
		addsUp(t, in, conds, d)
		tidied := d.clone()
		tidied.patterns = mergePatterns(d.patterns)
		addsUp(t, in, conds, tidied)
		other.cut(c, 1)
		addsUp(t, in, conds, other)
		addsUp(t, in, conds, d)
		if d.done() && in.totalDemand > 0 {
			full++
		}
	}
	if full < 50 {
		t.Errorf("only %d partial plans finished: the test says too little", full)
	}
}

// addsUp holds a partial plan's sums against its patterns.
func addsUp(t *testing.T, in *instance, conds []Condition, d *partialPlan) {
	t.Helper()
	cut, used := make([]int64, len(in.demand)), make([]int64, len(in.capacity))
	var cost, wanted int64
	for _, p := range d.patterns {
		length := int64(0)
		for _, x := range p.Take {
			if x.Quantity <= 0 {
				t.Fatalf("pattern %v", p)
			}
			cut[x.Item] += p.Count * x.Quantity
			length += x.Quantity * in.length[x.Item]
		}
		if length > in.capacity[p.Kind] || len(p.Take) == 0 || p.Count <= 0 {
			t.Fatalf("pattern %v", p)
		}
		used[p.Kind] += p.Count
		cost += p.Count * in.cost[p.Kind]
	}
	for i, n := range in.demand {
		if d.demand[i] < 0 || cut[i]+d.demand[i] != n {
			t.Fatalf("%d of item %d cut and %d wanted, %d in all", cut[i], i, d.demand[i], n)
		}
		wanted += d.demand[i]
	}
	for k, n := range in.limit {
		for _, c := range conds {
			if !c.AtLeast && !c.AnyKind && c.Kind == k && len(c.Holds) == 0 {
				n = min(n, c.Bound)
			}
		}
		if d.limit[k] < 0 || used[k]+d.limit[k] != n {
			t.Fatalf("%d of kind %d used and %d left, %d in all", used[k], k, d.limit[k], n)
		}
	}
	if d.cost != cost || d.remaining != wanted {
		t.Fatalf("cost %d, not %d; %d wanted, not %d", d.cost, cost, d.remaining, wanted)
	}
	for _, c := range conds {
		var n int64
		for _, p := range d.patterns {
			v := make([]int64, len(in.demand))
			for _, x := range p.Take {
				v[x.Item] = x.Quantity
			}
			if counts(c, p.Kind, v) {
				n += p.Count
			}
		}
		if d.count(&c) != n {
			t.Fatalf("%d sticks count in %+v, not %d", n, c, d.count(&c))
		}
	}
}

func TestTidy(t *testing.T) {
	for _, tc := range []struct {
		name     string
		in, want []Pattern
	}{
		{"nothing", nil, nil},
		{"equal ones merge", []Pattern{{0, 2, []Take{{0, 1}}}, {0, 1, []Take{{1, 1}}}, {0, 3, []Take{{0, 1}}}},
			[]Pattern{{0, 5, []Take{{0, 1}}}, {0, 1, []Take{{1, 1}}}}},
		{"kinds keep apart and in order", []Pattern{{1, 2, []Take{{0, 1}}}, {0, 2, []Take{{0, 1}}}},
			[]Pattern{{0, 2, []Take{{0, 1}}}, {1, 2, []Take{{0, 1}}}}},
		{"most of the first item first", []Pattern{{0, 1, []Take{{1, 9}}}, {0, 1, []Take{{0, 1}}}, {0, 1, []Take{{0, 2}}}, {0, 1, []Take{{0, 2}, {3, 1}}}, {0, 1, []Take{{0, 2}, {2, 1}}}},
			[]Pattern{{0, 1, []Take{{0, 2}, {2, 1}}}, {0, 1, []Take{{0, 2}, {3, 1}}}, {0, 1, []Take{{0, 2}}}, {0, 1, []Take{{0, 1}}}, {0, 1, []Take{{1, 9}}}}},
		{"a key is no run of digits", []Pattern{{0, 1, []Take{{1, 1}, {2, 3}}}, {0, 1, []Take{{1, 12}, {3, 1}}}, {0, 1, []Take{{11, 23}}}},
			[]Pattern{{0, 1, []Take{{1, 12}, {3, 1}}}, {0, 1, []Take{{1, 1}, {2, 3}}}, {0, 1, []Take{{11, 23}}}}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var before []Pattern
			for _, p := range tc.in {
				p.Take = append([]Take(nil), p.Take...)
				before = append(before, p)
			}
			got := mergePatterns(tc.in)
			if d := cmp.Diff(tc.want, got); d != "" {
				t.Error(d)
			}
			for j := range got { // what comes back may be changed
				got[j].Count++
				got[j].Take[0].Quantity++
			}
			if d := cmp.Diff(before, tc.in); d != "" {
				t.Errorf("tidy changed what it was given, or kept hold of it:\n%s", d)
			}
		})
	}
}
