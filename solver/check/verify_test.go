package check

import (
	"bytes"
	"context"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// worked is testdata/worked.json, an example worked out by hand.
//
// Sticks: A, 10 long at 10, no limit; B, 6 long at 5, one of them. To cut: three of 5
// and two of 3. Two A and one B do it, A(5,5) A(5,3) B(3), for 25. The linear relaxation
// costs 20 (A(5,5) one and a half times, B(3,3) once), so 25 takes three leaves, scale 2:
//
//	B at most 0 (−10):               items 10, 10. A holds at most two pieces: 20 <= 20. B: 20 − 10 <= 10.
//	                                 (3·10 + 2·10 − 10·0)/2 = 25
//	B at least 1 (0), A at most 1 (−20): items 20, 12, limit of B 14. A: 40 − 20 <= 20. B: 24 <= 10 + 14.
//	                                 (3·20 + 2·12 − 20·1 − 14·1)/2 = 25
//	B at least 1 (10), A at least 2 (20): items 0. A: 20 <= 20. B: 10 <= 10.
//	                                 (10·1 + 20·2)/2 = 25
func worked(t testing.TB) []byte {
	t.Helper()
	data, err := os.ReadFile("testdata/worked.json")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func workedCuts(t testing.TB) Cuts {
	t.Helper()
	cuts, err := Parse(worked(t))
	if err != nil {
		t.Fatal(err)
	}
	return cuts
}

func verify(t testing.TB, c Cuts) Report {
	t.Helper()
	report, err := Verify(context.Background(), c.Instance, c.Plan, c.Certificate, c.Claims)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

func TestWorkedExampleIsAccepted(t *testing.T) {
	report, err := Document(context.Background(), worked(t))
	if err != nil || !report.OK() {
		t.Fatalf("not accepted: %v\n%v", err, report)
	}
	want := Report{Cost: 25, Sticks: 3, CutLength: 21, StickLength: 26, Waste: 5, Certified: true, Bound: 25, Grade: Proven, finished: true}
	if diff := cmp.Diff(want, report, cmp.AllowUnexported(Report{})); diff != "" {
		t.Errorf("report (-want +got):\n%s", diff)
	}
}

// spoilt are changes to the worked example that must each be refused, with at least this code
// and, where one is given, exactly this amount and place.
var spoilt = []struct {
	name   string
	spoil  func(c *Cuts)
	code   Code
	where  string
	amount string
}{
	{"a side dropped", func(c *Cuts) { c.Plan.Patterns[1].Take = c.Plan.Patterns[1].Take[:1] }, Short, "item 1", "1"},
	{"a pattern dropped", func(c *Cuts) { c.Plan.Patterns = c.Plan.Patterns[1:] }, Short, "item 0", "2"},
	{"no patterns", func(c *Cuts) { c.Plan.Patterns = nil }, Short, "item 0", "3"},
	{"a side too many", func(c *Cuts) { c.Plan.Patterns[2].Take[0].Quantity = 2 }, Surplus, "item 1", "1"},
	{"a stick too full", func(c *Cuts) { c.Plan.Patterns[1].Take[1].Quantity = 2 }, TooLong, "pattern 1", "1"},
	{"a limit broken", func(c *Cuts) { c.Plan.Patterns[2].Count = 3 }, OverLimit, "kind 1", "2"},
	{"a limit lowered", func(c *Cuts) { *c.Instance.Kinds[1].Limit = 0 }, OverLimit, "kind 1", "1"},
	{"cost too low", func(c *Cuts) { c.Claims.Cost = 24 }, WrongCost, "cost", "1"},
	{"cost too high", func(c *Cuts) { c.Claims.Cost = 27 }, WrongCost, "cost", "2"},
	{"a kind that is not there", func(c *Cuts) { c.Plan.Patterns[0].Kind = 2 }, BadIndex, "pattern 0", ""},
	{"a negative kind", func(c *Cuts) { c.Plan.Patterns[0].Kind = -1 }, BadIndex, "pattern 0", ""},
	{"an item that is not there", func(c *Cuts) { c.Plan.Patterns[0].Take[0].Item = 2 }, BadIndex, "pattern 0", ""},
	{"an item twice in a take", func(c *Cuts) { c.Plan.Patterns[0].Take = []Take{{0, 1}, {0, 1}} }, Repeated, "pattern 0, item 0", ""},
	{"count 0", func(c *Cuts) { c.Plan.Patterns[0].Count = 0 }, OutOfRange, "pattern 0", "1"},
	{"a negative quantity", func(c *Cuts) { c.Plan.Patterns[0].Take[0].Quantity = -1 }, OutOfRange, "pattern 0, item 0", "2"},
	{"a stick without length", func(c *Cuts) { c.Instance.Kinds[0].Length = 0 }, OutOfRange, "kind 0", "1"},
	{"a negative cost", func(c *Cuts) { c.Instance.Kinds[0].Cost = -1 }, OutOfRange, "kind 0", "1"},
	{"a negative limit", func(c *Cuts) { *c.Instance.Kinds[1].Limit = -2 }, OutOfRange, "kind 1", "2"},
	{"an item without length", func(c *Cuts) { c.Instance.Items[1].Length = 0 }, OutOfRange, "item 1", "1"},
	{"a negative demand", func(c *Cuts) { c.Instance.Items[1].Demand = -1 }, OutOfRange, "item 1", "1"},
	{"a plan past 64 bits", func(c *Cuts) { c.Plan.Patterns[0].Count = 1 << 62 }, TooLarge, "plan", ""},

	{"a dual value raised", func(c *Cuts) { c.Certificate.Leaves[0].DualValues[0]++ }, DualInfeasible, "leaf 0, kind 0", "2"},
	{"a dual value raised on the short stick", func(c *Cuts) { c.Certificate.Leaves[1].DualValues[1]++ }, DualInfeasible, "leaf 1, kind 1", "2"},
	{"a limit's dual value lowered", func(c *Cuts) { c.Certificate.Leaves[1].LimitDualValues[1] -= 3 }, DualInfeasible, "leaf 1, kind 1", "3"},
	{"an \"at most\" dual value raised", func(c *Cuts) { c.Certificate.Leaves[1].Branch[1].DualValue++ }, DualInfeasible, "leaf 1, kind 0", "1"},
	{"an \"at least\" dual value raised", func(c *Cuts) { c.Certificate.Leaves[2].Branch[1].DualValue++ }, DualInfeasible, "leaf 2, kind 0", "1"},
	{"the scale lowered", func(c *Cuts) { c.Certificate.Scale = 1 }, DualInfeasible, "leaf 0, kind 0", "10"},
	{"the scale raised", func(c *Cuts) { c.Certificate.Scale = 4 }, WrongBound, "lower", "10"},
	{"scale 0", func(c *Cuts) { c.Certificate.Scale = 0 }, OutOfRange, "certificate", "1"},
	{"a negative scale", func(c *Cuts) { c.Certificate.Scale = -2 }, OutOfRange, "certificate", "3"},
	{"all dual values 0", func(c *Cuts) {
		for n := range c.Certificate.Leaves {
			leaf := &c.Certificate.Leaves[n]
			clear(leaf.DualValues)
			clear(leaf.LimitDualValues)
			for r := range leaf.Branch {
				leaf.Branch[r].DualValue = 0
			}
		}
	}, WrongBound, "lower", "25"},
	{"a negative limit's dual value", func(c *Cuts) { c.Certificate.Leaves[0].LimitDualValues[1] = -4 }, WrongSign, "leaf 0, kind 1", "4"},
	{"a limit's dual value where there is no limit", func(c *Cuts) { c.Certificate.Leaves[0].LimitDualValues[0] = 6 }, WrongSign, "leaf 0, kind 0", "6"},
	{"an \"at most\" with a positive dual value", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].DualValue = 1 }, WrongSign, "leaf 0, branch 0", "1"},
	{"an \"at least\" with a negative dual value", func(c *Cuts) { c.Certificate.Leaves[2].Branch[0].DualValue = -1 }, WrongSign, "leaf 2, branch 0", "1"},
	{"neither most nor least", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Sense = 0 }, OutOfRange, "leaf 0, branch 0", ""},
	{"a dual value too few", func(c *Cuts) { c.Certificate.Leaves[0].DualValues = []int64{10} }, WrongVector, "leaf 0", ""},
	{"a dual value too many", func(c *Cuts) { c.Certificate.Leaves[0].DualValues = []int64{10, 10, 0} }, WrongVector, "leaf 0", ""},
	{"a limit's dual value missing", func(c *Cuts) { c.Certificate.Leaves[2].LimitDualValues = nil }, WrongVector, "leaf 2", ""},
	{"dual values past 64 bits", func(c *Cuts) { c.Certificate.Leaves[0].DualValues[0] = 1 << 62 }, TooLarge, "leaf 0, kind 0", ""},

	{"no certificate", func(c *Cuts) { c.Certificate = Certificate{} }, WrongBound, "lower", "25"},
	{"no certificate, called proven", func(c *Cuts) { c.Certificate = Certificate{} }, WrongGrade, "grade", ""},
	{"no leaves", func(c *Cuts) { c.Certificate.Leaves = nil }, WrongBound, "lower", "25"},
	{"an empty leaf", func(c *Cuts) { c.Certificate.Leaves = []Leaf{{}} }, WrongVector, "leaf 0", ""},
	{"the first leaf missing", func(c *Cuts) { c.Certificate.Leaves = c.Certificate.Leaves[1:] }, WrongTree, "leaf 0, branch 0", ""},
	{"the middle leaf missing", func(c *Cuts) {
		c.Certificate.Leaves = append(c.Certificate.Leaves[:1], c.Certificate.Leaves[2])
	}, WrongTree, "leaf 1, branch 1", ""},
	{"the last leaf missing", func(c *Cuts) { c.Certificate.Leaves = c.Certificate.Leaves[:2] }, WrongTree, "leaf 1, branch 1", ""},
	{"a leaf twice", func(c *Cuts) { c.Certificate.Leaves = append(c.Certificate.Leaves, c.Certificate.Leaves[0]) }, WrongTree, "leaf 0", ""},
	{"a gap between the sides", func(c *Cuts) { c.Certificate.Leaves[2].Branch[1].Count = 3 }, WrongTree, "leaf 2, branch 1", ""},
	{"sides that overlap", func(c *Cuts) { c.Certificate.Leaves[2].Branch[1].Count = 1 }, WrongTree, "leaf 2, branch 1", ""},
	{"a side with two numbers", func(c *Cuts) { c.Certificate.Leaves[2].Branch[0].Count = 2 }, WrongTree, "leaf 2, branch 0", ""},
	{"another kind's measure", func(c *Cuts) { c.Certificate.Leaves[2].Branch[1].Kind = new(1) }, WrongTree, "leaf 2, branch 1", ""},
	{"another item's measure", func(c *Cuts) { c.Certificate.Leaves[2].Branch[1].Holds = []Hold{{0, 1}} }, WrongTree, "leaf 2, branch 1", ""},
	{"a branch list cut short", func(c *Cuts) { c.Certificate.Leaves[2].Branch = c.Certificate.Leaves[2].Branch[:1] }, WrongTree, "leaf 2", ""},
	{"a branch of its own", func(c *Cuts) {
		c.Certificate.Leaves[0].Branch = append(c.Certificate.Leaves[0].Branch, Condition{Sense: Most, Count: 9})
	}, WrongTree, "leaf 0, branch 1", ""},
	{"a branch on a kind that is not there", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Kind = new(7) }, BadIndex, "leaf 0, branch 0", ""},
	{"a branch on an item that is not there", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Holds = []Hold{{2, 1}} }, BadIndex, "leaf 0, branch 0", ""},
	{"a branch that holds an item twice", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Holds = []Hold{{0, 1}, {0, 2}} }, Repeated, "leaf 0, branch 0", ""},
	{"a branch that holds none", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Holds = []Hold{{0, 0}} }, OutOfRange, "leaf 0, branch 0", "1"},
	{"a branch on a negative number", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Count = -1 }, OutOfRange, "leaf 0, branch 0", "1"},

	{"the bound raised", func(c *Cuts) { c.Claims.Lower = 26 }, WrongBound, "lower", "1"},
	{"the bound too good for one leaf", func(c *Cuts) { c.Certificate.Leaves[1].DualValues[0] -= 4 }, WrongBound, "lower", "5"},
	{"a bound above the cost, called open", func(c *Cuts) { c.Claims.Lower, c.Claims.Grade = 30, Open }, WrongBound, "lower", "5"},
	{"a bound above the cost and far above the certified", func(c *Cuts) {
		c.Certificate.Leaves[1].DualValues[0] -= 4 // certifies 20
		c.Claims.Lower, c.Claims.Grade = 32, Searched
	}, WrongBound, "lower", "7"},
	{"a bound that does not meet the cost", func(c *Cuts) { c.Claims.Lower = 20 }, WrongGrade, "grade", "5"},
	{"no grade", func(c *Cuts) { c.Claims.Grade = "" }, WrongGrade, "grade", ""},
	{"the grade of what is not accepted", func(c *Cuts) { c.Claims.Grade = None }, WrongGrade, "grade", ""},
	{"a grade there is not", func(c *Cuts) { c.Claims.Grade = "Proven" }, WrongGrade, "grade", ""},
	{"a dearer plan called proven", func(c *Cuts) { // two whole sticks where one was enough
		c.Plan.Patterns = []Pattern{{0, 3, []Take{{0, 1}}}, {0, 2, []Take{{1, 1}}}}
		c.Claims.Cost = 50
	}, WrongGrade, "grade", "25"},
}

func TestSpoiltIsRefused(t *testing.T) {
	for _, row := range spoilt {
		t.Run(row.name, func(t *testing.T) {
			cuts := workedCuts(t)
			row.spoil(&cuts)
			report := verify(t, cuts)
			if report.OK() || report.Grade != None {
				t.Fatalf("accepted as %s", report.Grade)
			}
			if report.Certified && strings.HasPrefix(row.where, "leaf") {
				t.Errorf("bound %d is certified in spite of %s", report.Bound, row.where)
			}
			for _, violation := range report.Violations {
				if violation.Code != row.code || violation.Where != row.where {
					continue
				}
				if amount := violation.Amount; row.amount == "" || amount != nil && amount.String() == row.amount {
					if !strings.Contains(violation.Sentence, row.where) || row.amount != "" && violation.Amount.Sign() <= 0 {
						t.Errorf("sentence %q, amount %v", violation.Sentence, violation.Amount)
					}
					return
				}
			}
			t.Errorf("want %s at %s by %q, got\n%v", row.code, row.where, row.amount, report)
		})
	}
}

// What is weaker than it could be is accepted all the same.
func TestModestIsAccepted(t *testing.T) {
	for _, row := range []struct {
		name   string
		modify func(c *Cuts)
		grade  Grade
		bound  int64
	}{
		{"called searched", func(c *Cuts) { c.Claims.Grade = Searched }, Searched, 25},
		{"called open with a lower bound", func(c *Cuts) { c.Claims.Grade, c.Claims.Lower = Open, 20 }, Open, 25},
		{"open without a certificate", func(c *Cuts) { c.Claims.Grade, c.Claims.Lower, c.Certificate = Open, 0, Certificate{} }, Open, 0},
		{"a dual value lowered", func(c *Cuts) { c.Certificate.Leaves[0].DualValues[0]-- }, Proven, 25}, // 23.5, next payable 25
		{"leaves in another order", func(c *Cuts) {
			l := c.Certificate.Leaves
			l[0], l[2] = l[2], l[0]
		}, Proven, 25},
		{"a pattern in two lots", func(c *Cuts) {
			c.Plan.Patterns = []Pattern{{0, 2, []Take{{0, 1}}}, {1, 1, []Take{{1, 2}}}, {0, 1, []Take{{0, 1}}}}
			c.Claims = Claims{Cost: 35, Lower: 25, Grade: Open}
		}, Open, 25},
		{"an empty stick", func(c *Cuts) {
			c.Plan.Patterns = append(c.Plan.Patterns, Pattern{Kind: 0, Count: 1})
			c.Claims = Claims{Cost: 35, Lower: 25, Grade: Open}
		}, Open, 25},
	} {
		t.Run(row.name, func(t *testing.T) {
			cuts := workedCuts(t)
			row.modify(&cuts)
			report := verify(t, cuts)
			if !report.OK() || report.Grade != row.grade || report.Bound != row.bound {
				t.Errorf("want %s, %d\n%+v", row.grade, row.bound, report)
			}
		})
	}
}

func TestNothingToCut(t *testing.T) {
	certificate := Certificate{Scale: 1, Leaves: []Leaf{{}}}
	report, err := Verify(context.Background(), Instance{}, Plan{}, certificate, Claims{Grade: Proven})
	if err != nil || !report.OK() || report.Grade != Proven {
		t.Errorf("an empty plan for nothing to cut: %v\n%v", err, report)
	}
	report, err = Verify(context.Background(), Instance{}, Plan{}, Certificate{}, Claims{Grade: Proven})
	if err != nil || report.OK() {
		t.Errorf("proven without a certificate is accepted: %v\n%v", err, report)
	}
}

// A certificate of "no plan at all" contradicts the plan beside it.
func TestNoPayableCost(t *testing.T) {
	cuts := Cuts{
		Instance:    Instance{Kinds: []Kind{{Length: 10, Cost: 7, Limit: new(int64(2))}}, Items: []Item{{Length: 6, Demand: 3}}},
		Plan:        Plan{Patterns: []Pattern{{Kind: 0, Count: 3, Take: []Take{{0, 1}}}}},
		Certificate: Certificate{Scale: 1, Leaves: []Leaf{{DualValues: []int64{7}, LimitDualValues: []int64{0}}}}, // 21 > 2 · 7
		Claims:      Claims{Cost: 21, Lower: 21, Grade: Proven},
	}
	report := verify(t, cuts)
	if !report.Has(OverLimit) || !report.Has(Clash) || report.Certified {
		t.Errorf("want %s and %s\n%v", OverLimit, Clash, report)
	}
}

// A valid plan below a certified bound cannot be; if the checker ever finds one, it says so.
func TestClashIsReported(t *testing.T) {
	v := &verifier{report: Report{Cost: 5, Certified: true, Bound: 6}}
	v.checkClaims(Claims{Cost: 5, Lower: 5, Grade: Open})
	if !v.report.Has(Clash) {
		t.Errorf("want %s, got %v", Clash, v.report)
	}
}

func TestStoppedIsNotOK(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	report, err := Document(ctx, worked(t))
	if !errors.Is(err, context.Canceled) || report.OK() || !report.Has(Unchecked) || report.Grade != None {
		t.Errorf("stopped: %v\n%+v", err, report)
	}
	cuts := workedCuts(t)
	report, err = Verify(ctx, cuts.Instance, cuts.Plan, Certificate{}, Claims{Cost: 25, Grade: Open})
	if !errors.Is(err, context.Canceled) || report.OK() {
		t.Errorf("stopped without a certificate: %v\n%+v", err, report)
	}
}

func TestZeroReportIsNotOK(t *testing.T) {
	if (Report{}).OK() {
		t.Error("the zero Report is OK")
	}
	if got := (Report{}).String(); got != "not checked\n" {
		t.Errorf("the zero Report reads %q", got)
	}
}

// Every byte cut off the end of the document, and it is refused.
func TestTruncatedIsRefused(t *testing.T) {
	data := bytes.TrimSpace(worked(t))
	for size := range data {
		if report, err := Document(context.Background(), data[:size]); err == nil || report.OK() {
			t.Fatalf("the first %d of %d bytes are accepted", size, len(data))
		}
	}
}

// Every number of the document raised and lowered by one: never a cheaper claim than the truth.
func TestEveryNumberMatters(t *testing.T) {
	accepted, _ := numbersChanged(t, worked(t), cheapest)
	if accepted == 0 || accepted > 40 {
		t.Errorf("%d changes are accepted; some are harmless, most are not", accepted)
	}
}

// cheapest is the cost of the cheapest plan of an instance that has one.
func cheapest(instance Instance) int64 {
	best, _ := optimum(instance)
	return best
}
