package solver

import (
	"context"
	"testing"

	"longpoint/solver/check"
)

// FuzzParseProblem reads any bytes as the problem of a cuts document. Nothing may panic; what is valid is written and read as the same again, and
// what the checker accepts as a document this reads as well.
func FuzzParseProblem(f *testing.F) {
	for _, p := range []Problem{
		{Items: []Item{{Length: 3, Demand: 2}}, Kinds: []Kind{{Length: 10, Cost: 5}}},
		{Items: []Item{{Length: 3, Demand: 2}, {Length: 4, Demand: 1}}, Kinds: []Kind{{Length: 10, Cost: 5, Limited: true, Limit: 3, Only: []int{1}, Credit: Credit{Num: 1, Den: 3, Keep: 2}}, {Length: 7, Cost: 6}}},
	} {
		r, err := Solve(context.Background(), p, Options{})
		if err != nil {
			f.Fatal(err)
		}
		data, err := Document(p, r)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ParseProblem(data)
		if report, checked := check.Document(t.Context(), data); checked == nil && report.OK() && err != nil {
			t.Fatalf("the checker accepts it, and: %v", err)
		}
		if err != nil || p.Validate() != nil {
			return
		}
		again, err := Document(p, Result{})
		if err != nil {
			return // a document needs a bound
		}
		if q, err := ParseProblem(again); err != nil || q.Validate() != nil || len(q.Items) != len(p.Items) || len(q.Kinds) != len(p.Kinds) {
			t.Fatalf("%+v is read back as %+v, %v", p, q, err)
		}
	})
}
