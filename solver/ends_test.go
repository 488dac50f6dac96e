package solver

import "testing"

// TestPayableWithCredits: where sticks earn credits any cost can be paid, be it below what the cheapest stick costs.
func TestPayableWithCredits(t *testing.T) {
	in := costsOnly(Kind{Cost: 6})
	in.credits, in.minCost = true, 6
	if got := newPayable(in, 100).roundUp(5); got != 5 {
		t.Errorf("5 is rounded up to %d", got)
	}
}

// TestCreditAtItsEnds takes a credit for offcuts that are as long as a length can be, and none that is longer.
func TestCreditAtItsEnds(t *testing.T) {
	for _, c := range []struct {
		keep, extra int64
		good        bool
	}{{MaxLength, 0, true}, {0, 1, true}, {MaxLength + 1, 0, false}, {0, MaxLength + 1, false}, {-1, 0, false}} {
		p := Problem{Items: []Item{{5, 1}}, Kinds: []Kind{{Length: 10, Cost: 9, Credit: Credit{Num: 1, Den: 2, Keep: c.keep, Extra: c.extra}}}}
		if _, err := Solve(t.Context(), p, Options{}); (err == nil) != c.good {
			t.Errorf("kept from %d on, with %d more: %v", c.keep, c.extra, err)
		}
	}
}

// TestChoicesAtTheirEnds refuses choices that cost too much or can be made fewer times than never.
func TestChoicesAtTheirEnds(t *testing.T) {
	for _, c := range []struct {
		cost, most int64
		good       bool
	}{{MaxCost, 1, true}, {MaxCost + 1, 1, false}, {1, -1, false}} {
		p := Problem{Items: []Item{{5, 1}}, Kinds: []Kind{{Length: 10, Cost: 9}}, Choices: []Choice{{Cost: c.cost, Most: c.most}}}
		if _, err := Solve(t.Context(), p, Options{}); (err == nil) != c.good {
			t.Errorf("a choice of cost %d, %d times: %v", c.cost, c.most, err)
		}
	}
}
