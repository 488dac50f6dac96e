package instances

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The paper's example: seed 1994, m = 10, L = 1000, v = (0.375, 0.625), d̄ = 50. Its first instance is printed there (p. 576);
// the 150th is known from the tests of a published implementation. Both stand in testdata/textbook.json.
func TestCutgenCheckValues(t *testing.T) {
	ins := Cutgen{Items: 10, Capacity: 1000, Shortest: 0.375, Longest: 0.625, Demand: 50, Seed: 1994}.Generate("check", 150)
	examples, err := Textbook()
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, e := range examples {
		n, ok := map[string]int{"cutgen1_first": 1, "cutgen1_150th": 150}[e.ID]
		if !ok {
			continue
		}
		checked++
		if d := cmp.Diff(e.Problem, ins[n-1].Problem); d != "" {
			t.Errorf("instance %d:\n%s", n, d)
		}
	}
	if checked != 2 {
		t.Errorf("%d check values in place of 2", checked)
	}
}

// By the recipe, an instance's demands sum to m·d̄ unless a demand was raised to 1, and no length is outside
// v1·L to v2·L + 1.
func TestCutgenKeepsItsRecipe(t *testing.T) {
	names := map[string]bool{}
	for _, c := range cutgenClasses() {
		names[c.Name()] = true
		for _, in := range c.Generate("x", 20) {
			if got, total := in.Pieces(), int64(c.Items)*c.Demand; got < total || got > total+int64(c.Items) {
				t.Errorf("%s %s: %d pieces in place of %d", c.Name(), in.Name, got, total)
			}
			for i, it := range in.Problem.Items {
				if share := float64(it.Length) / float64(c.Capacity); share < c.Shortest || share > c.Longest+0.001 {
					t.Errorf("%s %s: length %d", c.Name(), in.Name, it.Length)
				}
				if i > 0 && it.Length >= in.Problem.Items[i-1].Length {
					t.Errorf("%s %s: lengths do not fall", c.Name(), in.Name)
				}
			}
		}
	}
	if len(names) != 18 {
		t.Errorf("%d different names of classes", len(names))
	}
}
