package check

import (
	"context"
	"fmt"
	"slices"
	"testing"
)

// TestLeavesThatShareDualValues has two leaves with the same dual values: what was shown of the first must not be taken for more
// than it says of the second.
func TestLeavesThatShareDualValues(t *testing.T) {
	// Sticks of 10 at 4 and at most three of 9 at 3; pieces of 5. A stick of either kind holds two or one.
	document := func(first, second string) []byte {
		return fmt.Appendf(nil, `{"format":"longpoint-cuts/2","kinds":[{"length":10,"cost":4},{"length":9,"cost":3,"limit":3}],
			"items":[{"length":5,"demand":4}],"patterns":[{"kind":0,"count":2,"take":[[0,2]]}],"cost":8,"lower":8,"grade":"proven",
			"certificate":{"scale":1,"leaves":[%s,%s]}}`, first, second)
	}
	leaf := func(side string, dual, branch, limit int) string {
		return fmt.Sprintf(`{"branch":[{"kind":0,"%s":%d,"dual_value":%d}],"dual_values":[%d],"limit_dual_values":[0,%d]}`,
			side, map[string]int{"most": 1, "least": 2}[side], branch, dual, limit)
	}
	for _, tc := range []struct {
		name          string
		first, second string
		wrong         []string // where a pattern's dual value is too great
	}{
		{"both right", leaf("most", 2, 0, 0), leaf("least", 2, 0, 0), nil},
		// A piece at 4: two of them exceed the cost of kind 0 by 4, one that of kind 1 by 1.
		{"carried by a condition and a limit", leaf("most", 4, -4, 1), leaf("least", 2, 0, 0), nil},
		{"the second has no limit's dual value", leaf("most", 4, -4, 1), leaf("least", 4, 0, 0), []string{"leaf 1, kind 0", "leaf 1, kind 1"}},
		{"the first has none", leaf("most", 4, -4, 0), leaf("least", 4, 0, 1), []string{"leaf 0, kind 1", "leaf 1, kind 0"}},
		{"the second has less", leaf("most", 4, -4, 1), leaf("least", 4, 0, 1), []string{"leaf 1, kind 0"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			report, err := Document(context.Background(), document(tc.first, tc.second))
			if err != nil {
				t.Fatal(err)
			}
			var wrong []string
			for _, v := range report.Violations {
				if v.Code == DualInfeasible {
					wrong = append(wrong, v.Where)
				}
			}
			if !slices.Equal(wrong, tc.wrong) {
				t.Errorf("too great a dual value at %q, want %q; all: %+v", wrong, tc.wrong, report.Violations)
			}
		})
	}
}
