package check

import "testing"

// TestCheckCredit reports each number of a credit that makes no sense, once, and goes on to the credit of a whole stick only with numbers that do.
func TestCheckCredit(t *testing.T) {
	for name, row := range map[string]struct {
		credit Credit
		want   int
	}{
		"good":                      {Credit{Num: 1, Den: 2}, 0},
		"as much as the stick":      {Credit{Num: 1, Den: 1}, 0},
		"more than the stick":       {Credit{Num: 2, Den: 1}, 1},
		"more, by what is left off": {Credit{Num: 1, Den: 1, Extra: 1}, 1},
		"no keep":                   {Credit{Keep: -1, Num: 100, Den: 1}, 1},
		"no extra":                  {Credit{Extra: -1, Num: 100, Den: 1}, 1},
		"no num":                    {Credit{Extra: 1 << 40, Den: 1}, 1},
		"no den":                    {Credit{Num: 100}, 1},
		"nothing right":             {Credit{Keep: -1, Extra: -1}, 4},
	} {
		v := &verifier{}
		v.checkCredit("here", Kind{Length: 100, Cost: 100, Credit: &row.credit})
		if got := len(v.report.Violations); got != row.want {
			t.Errorf("%s: %d violations, want %d: %v", name, got, row.want, v.report.Violations)
		}
	}
}
