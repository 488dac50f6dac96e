package solver

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/solver/check"
)

// branched is a problem and a result worked out by hand, with every part that a document can have. Two 10s at 10 and the
// one 6 at 5 cut three 5s and two 3s for 25; the three leaves are those of testdata/worked.json beside the checker.
func branched() (Problem, Result) {
	p := Problem{
		Items: []Item{{Length: 5, Demand: 3}, {Length: 3, Demand: 2}},
		Kinds: []Kind{{Length: 10, Cost: 10}, {Length: 6, Cost: 5, Limited: true, Limit: 1}},
	}
	few := func(value int64) Condition { return Condition{Kind: 1, Bound: 0, DualValue: value} }
	one := func(value int64) Condition { return Condition{Kind: 1, AtLeast: true, Bound: 1, DualValue: value} }
	return p, Result{
		Status: Certified, HasPlan: true, Cost: 25, LowerBound: 25, CertifiedBound: 25,
		Patterns: []Pattern{
			{Kind: 0, Count: 1, Take: []Take{{0, 2}}},
			{Kind: 0, Count: 1, Take: []Take{{0, 1}, {1, 1}}},
			{Kind: 1, Count: 1, Take: []Take{{1, 1}}},
		},
		Certificate: Certificate{Scale: 2, Leaves: []Leaf{
			{Branch: []Condition{few(-10)}, DualValues: []int64{10, 10}, LimitDualValues: []int64{0, 0}},
			{Branch: []Condition{one(0), {Kind: 0, Bound: 1, DualValue: -20}}, DualValues: []int64{20, 12}, LimitDualValues: []int64{0, 14}},
			{Branch: []Condition{one(10), {Kind: 0, AtLeast: true, Bound: 2, DualValue: 20}}, DualValues: []int64{0, 0}, LimitDualValues: []int64{0, 0}},
		}},
	}
}

func TestDocumentToTheLetter(t *testing.T) {
	p, r := branched()
	r.Certificate.Leaves[0].Branch = []Condition{{AnyKind: true, Kind: 0, Holds: []Take{{0, 1}, {1, 2}}, Bound: 3, DualValue: -4}, {Kind: 1, Credited: true, AtLeast: true, Bound: 1}}
	got, err := Document(p, r)
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"format":"longpoint-cuts/2",` +
		`"kinds":[{"length":10,"cost":10},{"length":6,"cost":5,"limit":1}],` +
		`"items":[{"length":5,"demand":3},{"length":3,"demand":2}],` +
		`"patterns":[{"kind":0,"count":1,"take":[[0,2]]},{"kind":0,"count":1,"take":[[0,1],[1,1]]},{"kind":1,"count":1,"take":[[1,1]]}],` +
		`"cost":25,"lower":25,"grade":"proven","certificate":{"scale":2,"leaves":[` +
		`{"branch":[{"holds":[[0,1],[1,2]],"most":3,"dual_value":-4},{"kind":1,"credited":true,"least":1,"dual_value":0}],"dual_values":[10,10],"limit_dual_values":[0,0]},` +
		`{"branch":[{"kind":1,"least":1,"dual_value":0},{"kind":0,"most":1,"dual_value":-20}],"dual_values":[20,12],"limit_dual_values":[0,14]},` +
		`{"same":1,"same_dual_values":[[0,10]],"branch":[{"kind":0,"least":2,"dual_value":20}],"dual_values":[0,0],"limit_dual_values":[0,0]}]}}`
	if d := cmp.Diff(want, string(got)); d != "" {
		t.Error(d)
	}
}

// TestParseProblem reads back the problems of documents, whatever is in them.
func TestParseProblem(t *testing.T) {
	plain, r := branched()
	full := plain
	full.Kinds = []Kind{{Length: 10, Cost: 10, Only: []int{}}, {Length: 6, Cost: 5, Limit: 1, Limited: true, Only: []int{0}, Credit: Credit{Keep: 2, Extra: 1, Num: 1, Den: 3}}}
	full.Choices = []Choice{{Cost: -3, Most: 2, Gives: []Give{{Kind: 1, Quantity: 3}}, Asks: []Take{{Item: 1, Quantity: 2}}, In: []Coef{{Row: 0, Value: -4}}}}
	full.Rows = []Row{{Least: -2}}
	for _, p := range []Problem{plain, full} {
		data, err := Document(p, r)
		if err != nil {
			t.Fatal(err)
		}
		got, err := ParseProblem(data)
		if d := cmp.Diff(p, got, cmpopts.EquateEmpty()); err != nil || d != "" {
			t.Errorf("%v: %s", err, d)
		}
		if k := slices.IndexFunc(got.Kinds, func(k Kind) bool { return k.Only != nil && len(k.Only) == 0 }); (k == 0) != (len(p.Choices) > 0) {
			t.Errorf("a kind for no item at all became one for any, or the other way round: %+v", got.Kinds)
		}
	}
	for _, bad := range []string{"", "[]", `{"format": "longpoint-cuts/1"}`, `{"format": "longpoint-cuts/2", "kinds": 7}`} {
		if _, err := ParseProblem([]byte(bad)); err == nil {
			t.Errorf("%s is taken for a cuts document", bad)
		}
	}
}

// TestWithPlan puts another plan beside a certificate, which stays.
func TestWithPlan(t *testing.T) {
	p, r := branched()
	before, err := Document(p, r)
	if err != nil {
		t.Fatal(err)
	}
	other := r
	other.Patterns, other.Cost = r.Patterns[:1], 10
	after, err := WithPlan(before, other)
	if err != nil {
		t.Fatal(err)
	}
	if want, err := Document(p, other); err != nil || string(after) != string(want) {
		t.Errorf("%s instead of %s, %v", after, want, err)
	}
	if _, err := WithPlan([]byte("{}"), other); err == nil {
		t.Error("an empty document is taken")
	}
}

func TestDocumentIsAccepted(t *testing.T) {
	p, r := branched()
	data, err := Document(p, r)
	if err != nil {
		t.Fatal(err)
	}
	report, err := check.Document(context.Background(), data)
	if err != nil || !report.OK() || report.Grade != check.Proven || report.Bound != 25 {
		t.Errorf("%v, %v", report, err)
	}
}

// Everything in a result comes back out of its document.
func TestDocumentRoundTrip(t *testing.T) {
	worked := func(change func(*Problem, *Result)) func() (Problem, Result) {
		return func() (Problem, Result) {
			p, r := branched()
			change(&p, &r)
			return p, r
		}
	}
	for _, tc := range []struct {
		name  string
		make  func() (Problem, Result)
		grade check.Grade
	}{
		{"branched", branched, check.Proven},
		{"searched", worked(func(_ *Problem, r *Result) { r.Status, r.CertifiedBound = Searched, 24 }), check.Searched},
		{"stopped", worked(func(_ *Problem, r *Result) { r.Status, r.LowerBound, r.CertifiedBound = Stopped, 24, 20 }), check.Open},
		{"a limit of none", worked(func(p *Problem, _ *Result) { p.Kinds[0].Limited, p.Kinds[0].Limit = true, 0 }), check.Proven},
		{"a limit that is off", worked(func(p *Problem, _ *Result) { p.Kinds[0].Limit = 9 }), check.Proven},
		{"the greatest numbers", worked(func(p *Problem, r *Result) {
			p.Items[0].Length, p.Kinds[1].Limit = MaxLength, math.MaxInt64
			r.Certificate.Scale, r.Certificate.Leaves[1].DualValues[0] = math.MaxInt64, math.MinInt64
		}), check.Proven},
		{"no patterns and no leaves", func() (Problem, Result) { return Problem{}, Result{HasPlan: true, Status: Certified} }, check.Proven},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p, r := tc.make()
			data, err := Document(p, r)
			if err != nil {
				t.Fatal(err)
			}
			cuts, err := check.Parse(data)
			if err != nil {
				t.Fatalf("%v\n%s", err, data)
			}
			if d := cmp.Diff(retold(p, r, tc.grade), cuts); d != "" {
				t.Errorf("%s\n%s", d, data)
			}
		})
	}
}

// retold is what the checker should read.
func retold(p Problem, r Result, grade check.Grade) check.Cuts {
	c := check.Cuts{Claims: check.Claims{Cost: r.Cost, Lower: r.CertifiedBound, Grade: grade}}
	for _, k := range p.Kinds {
		kind := check.Kind{Length: k.Length, Cost: k.Cost}
		if k.Limited {
			kind.Limit = new(k.Limit)
		}
		c.Instance.Kinds = append(c.Instance.Kinds, kind)
	}
	for _, it := range p.Items {
		c.Instance.Items = append(c.Instance.Items, check.Item{Length: it.Length, Demand: it.Demand})
	}
	for _, x := range r.Patterns {
		pattern := check.Pattern{Kind: x.Kind, Count: x.Count}
		for _, q := range x.Take {
			pattern.Take = append(pattern.Take, check.Take{Item: q.Item, Quantity: q.Quantity})
		}
		c.Plan.Patterns = append(c.Plan.Patterns, pattern)
	}
	c.Certificate.Scale = r.Certificate.Scale
	for _, l := range r.Certificate.Leaves {
		leaf := check.Leaf{DualValues: l.DualValues, LimitDualValues: l.LimitDualValues}
		for _, b := range l.Branch {
			cond := check.Condition{Sense: check.Most, Count: b.Bound, DualValue: b.DualValue}
			if b.AtLeast {
				cond.Sense = check.Least
			}
			if !b.AnyKind {
				cond.Kind = new(b.Kind)
			}
			for _, h := range b.Holds {
				cond.Holds = append(cond.Holds, check.Hold{Item: h.Item, AtLeast: h.Quantity})
			}
			leaf.Branch = append(leaf.Branch, cond)
		}
		c.Certificate.Leaves = append(c.Certificate.Leaves, leaf)
	}
	return c
}

func TestDocumentWithoutPlan(t *testing.T) {
	p, r := branched()
	r.HasPlan = false
	if data, err := Document(p, r); !errors.Is(err, ErrNoPlan) || data != nil {
		t.Errorf("%s, %v", data, err)
	}
}
