package check_test

import (
	"context"
	"fmt"

	"longpoint/solver/check"
)

// Sticks of 2400 mm at 9.50 each, and five sides of 1000 mm. Two fit a stick, so three sticks are
// needed; the dual value of a side is half a stick's cost, and 2½ sticks are rounded up to 3.
func ExampleDocument() {
	report, err := check.Document(context.Background(), []byte(`{
		"format": "longpoint-cuts/2",
		"kinds": [{"length": 2400, "cost": 950}],
		"items": [{"length": 1000, "demand": 5}],
		"patterns": [
			{"kind": 0, "count": 2, "take": [[0, 2]]},
			{"kind": 0, "count": 1, "take": [[0, 1]]}],
		"cost": 2850, "lower": 2850, "grade": "proven",
		"certificate": {"scale": 2, "leaves": [
			{"branch": [], "dual_values": [950], "limit_dual_values": [0]}]}}`))
	fmt.Println(err)
	fmt.Print(report)
	// Output:
	// <nil>
	// accepted as proven: cost 2850, certified bound 2850, 3 sticks, 5000 of 7200 cut
}

// The same with one side left out.
func ExampleVerify() {
	instance := check.Instance{
		Kinds: []check.Kind{{Length: 2400, Cost: 950}},
		Items: []check.Item{{Length: 1000, Demand: 5}},
	}
	plan := check.Plan{Patterns: []check.Pattern{{Kind: 0, Count: 2, Take: []check.Take{{Item: 0, Quantity: 2}}}}}
	certificate := check.Certificate{Scale: 2, Leaves: []check.Leaf{{DualValues: []int64{950}, LimitDualValues: []int64{0}}}}
	claims := check.Claims{Cost: 1900, Lower: 1900, Grade: check.Proven}

	report, err := check.Verify(context.Background(), instance, plan, certificate, claims)
	fmt.Println(report.OK(), err)
	fmt.Print(report)
	// Output:
	// false <nil>
	// short: item 0: 4 pieces are cut, 5 are asked for: 1 too few
}
