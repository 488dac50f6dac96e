package check

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
)

// choices is testdata/choices.json, worked out by hand. Five questions that have nothing to do with one another lie side by
// side in it, each with sticks of its own ("only"). The scale is 2.
//
//	delivery  Two pieces of 5 on bought sticks of 10 at 8. Buying needs an order (5, once), and an order takes two
//	          sticks at least: 2·8 + 5 = 21. Rows: 4 orders − sticks >= 0, sticks − 2 orders >= 0.
//	          No order (−102): dual values: a piece 22, a stick there 44, the first row 28: 16 − 44 + 28 = 0 for a stick,
//	          10 − 4·28 + 102 = 0 for an order: 44/2 = 22. An order at least (42): the dual value of the second row is
//	          16: 16 − 16 = 0, 10 + 2·16 − 42 = 0: 42/2 = 21.
//	damage    A stick of which runs of 8 and 7 are sound, 6 to open; or a new one of 20 at 10. Pieces of 8 and 7,
//	          each dual value 6 and so each run: 12 − 6 − 6 = 0 for opening: 12/2 = 6.
//	lot       A frame of four pieces of 5, all from the one lot (one stick of 10 at 4) or all from the other (two
//	          at 3). Dual values: a piece 3, the row "one lot at least" 12: 4·3 − 12 = 0 for each: 12/2 = 6.
//	credit    Two pieces of 3 on sticks of 10 at 10. What is left and 1 more count half where they are 4 or more:
//	          10 − ⌊5/2⌋ = 8 for two on a stick. The dual value of a piece is 8: 2·8 <= 2·8, 8 <= 2·6: 16/2 = 8.
//	bundle    Six pieces of 5 on sticks of 10 that come three at a time for 24. Dual values: a piece 8, a stick 16:
//	          48 − 3·16 = 0 for a bundle: 48/2 = 24.
//
// Together 22 or 21, and 6 + 6 + 8 + 24 = 44: 66 without an order and 65 with one.
func choices(t testing.TB) []byte {
	t.Helper()
	data, err := os.ReadFile("testdata/choices.json")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func choiceCuts(t testing.TB) Cuts {
	t.Helper()
	cuts, err := Parse(choices(t))
	if err != nil {
		t.Fatal(err)
	}
	return cuts
}

func TestChoicesAreAccepted(t *testing.T) {
	report, err := Document(context.Background(), choices(t))
	if err != nil || !report.OK() || report.Grade != Proven || report.Cost != 65 || report.Bound != 65 || report.Sticks != 9 {
		t.Fatalf("want 65, proven, with 9 sticks: %v\n%+v", err, report)
	}
	if best, any := optimum(choiceCuts(t).Instance); !any || best != 65 {
		t.Errorf("the cheapest plan costs %d, %v", best, any)
	}
}

// Each element by itself, with the certificate that proves the plan.
func TestElements(t *testing.T) {
	bundle := Instance{
		Kinds:   []Kind{{Length: 10, Limit: new(int64(0))}},
		Items:   []Item{{Length: 5, Demand: 5}},
		Choices: []Choice{{Cost: 24, Most: 5, Gives: []Give{{0, 3}}}},
	}
	priceBreak := Instance{ // sticks at 10, or at 8 from four on
		Kinds: []Kind{{Length: 10, Limit: new(int64(0))}},
		Items: []Item{{Length: 10, Demand: 4}},
		Choices: []Choice{
			{Cost: 10, Most: 9, Gives: []Give{{0, 1}}},
			{Cost: 32, Most: 1, Gives: []Give{{0, 4}}, In: []Entry{{0, 5}}},
			{Cost: 8, Most: 5, Gives: []Give{{0, 1}}, In: []Entry{{0, -1}}},
		},
		Rows: []Row{{Least: 0}},
	}
	earning := Instance{ // each further piece, up to two, brings 3
		Kinds:   []Kind{{Length: 10, Cost: 4}},
		Items:   []Item{{Length: 5, Demand: 1}},
		Choices: []Choice{{Cost: -3, Most: 2, Asks: []Take{{0, 1}}}},
	}
	barred := Instance{ // the cheap stick may not hold the second item, the dear one holds both
		Kinds: []Kind{{Length: 10, Cost: 3, Only: []int{0}}, {Length: 10, Cost: 7}, {Length: 10, Cost: 1, Only: []int{}}},
		Items: []Item{{Length: 6, Demand: 1}, {Length: 6, Demand: 1}},
	}
	rack := Instance{ // one stick there, a second can be had for 2, and costs 5 like the first
		Kinds:   []Kind{{Length: 10, Cost: 5, Limit: new(int64(1))}},
		Items:   []Item{{Length: 9, Demand: 2}},
		Choices: []Choice{{Cost: 2, Most: 3, Gives: []Give{{0, 1}}}},
	}
	choice := func(sense Sense, count, dual int64) Condition {
		return Condition{Choice: new(0), Sense: sense, Count: count, DualValue: dual}
	}
	sticks := func(sense Sense, count, dual int64) Condition {
		return Condition{Kind: new(0), Sense: sense, Count: count, DualValue: dual}
	}
	for _, row := range []struct {
		name     string
		instance Instance
		plan     Plan
		cost     int64
		scale    int64
		leaves   []Leaf
	}{
		// 5·4 = 20, and only multiples of 24 can be paid.
		{"a bundle, rounded up to what bundles cost", bundle, Plan{[]Pattern{{0, 2, []Take{{0, 2}}}, {0, 1, []Take{{0, 1}}}}, []int64{1}}, 24, 1,
			[]Leaf{{DualValues: []int64{4}, LimitDualValues: []int64{8}}}},
		// Dual values: a piece and a stick 8: 10 − 8, 32 − 32, 8 − 8; 4·8 = 32.
		{"a price break", priceBreak, Plan{[]Pattern{{0, 4, []Take{{0, 1}}}}, []int64{0, 1, 0}}, 32, 1,
			[]Leaf{{DualValues: []int64{8}, LimitDualValues: []int64{8}, RowDualValues: []int64{0}}}},
		// At most one more: 2 − 1 and −3 + 2 + 1 = 0. Two more on one stick: 10 − 16 + 2·7 and −3 + 10 − 7 = 0. Two more
		// on two sticks: 2·4 − 2·3 = 2.
		{"a choice that earns", earning, Plan{[]Pattern{{0, 1, []Take{{0, 2}}}}, []int64{1}}, 1, 1, []Leaf{
			{Branch: []Condition{choice(Most, 1, -1)}, DualValues: []int64{2}, LimitDualValues: []int64{0}},
			{Branch: []Condition{choice(Least, 2, 7), sticks(Most, 1, -16)}, DualValues: []int64{10}, LimitDualValues: []int64{0}},
			{Branch: []Condition{choice(Least, 2, 0), sticks(Least, 2, 4)}, DualValues: []int64{0}, LimitDualValues: []int64{0}},
		}},
		{"items that may not be held", barred, Plan{Patterns: []Pattern{{0, 1, []Take{{0, 1}}}, {1, 1, []Take{{1, 1}}}}}, 10, 1,
			[]Leaf{{DualValues: []int64{3, 7}, LimitDualValues: []int64{0, 0, 0}}}},
		// Dual values: a piece 7, a stick 2 besides its 5: 2·7 − 2·1 = 12, and 2 − 2 = 0.
		{"more than the rack has", rack, Plan{[]Pattern{{0, 2, []Take{{0, 1}}}}, []int64{1}}, 12, 1,
			[]Leaf{{DualValues: []int64{7}, LimitDualValues: []int64{2}}}},
	} {
		t.Run(row.name, func(t *testing.T) {
			cuts := Cuts{row.instance, row.plan, Certificate{Scale: row.scale, Leaves: row.leaves}, Claims{row.cost, row.cost, Proven}}
			if report := verify(t, cuts); !report.OK() || report.Grade != Proven {
				t.Errorf("not accepted:\n%v", report)
			}
			if best, any := optimum(row.instance); !any || best != row.cost {
				t.Errorf("the cheapest plan costs %d, %v; want %d", best, any, row.cost)
			}
		})
	}
}

// spoiltChoices are changes to the example with choices that must each be refused, with at least this
// code at this place, by this amount where one is given.
var spoiltChoices = []struct {
	name   string
	spoil  func(c *Cuts)
	code   Code
	where  string
	amount string
}{
	{"a choice over its most", func(c *Cuts) { c.Plan.Chosen[2] = 3 }, OverLimit, "choice 2", "2"},
	{"a choice made a negative number of times", func(c *Cuts) { c.Plan.Chosen[0] = -2 }, OutOfRange, "choice 0", "2"},
	{"a least order not met", func(c *Cuts) { c.Plan.Chosen[0] = 1 }, RowShort, "row 1", "1"},
	{"bought without an order", func(c *Cuts) { c.Plan.Chosen[1] = 0 }, RowShort, "row 0", "2"},
	{"cut from neither lot", func(c *Cuts) { c.Plan.Chosen[4] = 0 }, RowShort, "row 2", "1"},
	{"pieces cut that no choice asks for", func(c *Cuts) { c.Plan.Chosen[4] = 0 }, Surplus, "item 4", "4"},
	{"pieces of a second lot missing", func(c *Cuts) { c.Plan.Chosen[3] = 1 }, Short, "item 3", "4"},
	{"one of the pieces asked for missing", func(c *Cuts) { c.Plan.Patterns[3].Count = 1 }, Short, "item 4", "2"},
	{"a bundle not bought", func(c *Cuts) { c.Plan.Chosen[5] = 0 }, OverLimit, "kind 7", "3"},
	{"a damaged stick not opened", func(c *Cuts) { c.Plan.Chosen[2] = 0 }, OverLimit, "kind 2", "1"},
	{"a stick more than the bundle has", func(c *Cuts) {
		c.Plan.Patterns[5] = Pattern{7, 2, []Take{{6, 2}}}
		c.Plan.Patterns = append(c.Plan.Patterns, Pattern{7, 2, []Take{{6, 1}}})
	}, OverLimit, "kind 7", "1"},
	{"a bundle of fewer", func(c *Cuts) { c.Instance.Choices[5].Gives[0].Quantity = 2 }, OverLimit, "kind 7", "1"},
	{"the choices left out", func(c *Cuts) { c.Plan.Chosen = nil }, WrongVector, "chosen", ""},
	{"a choice too many", func(c *Cuts) { c.Plan.Chosen = append(c.Plan.Chosen, 0) }, WrongVector, "chosen", ""},
	{"choices past 64 bits", func(c *Cuts) { c.Instance.Choices[5].Cost, c.Plan.Chosen[5] = 1<<62, 2 }, TooLarge, "plan", ""},
	{"an item on a stick that may not hold it", func(c *Cuts) { c.Plan.Patterns[3].Take[0].Item = 6 }, Barred, "pattern 3, item 6", "4"},
	{"any item on a stick that may hold none", func(c *Cuts) { c.Instance.Kinds[5].Only = []int{} }, Barred, "pattern 3, item 4", "4"},
	{"the other lot's item", func(c *Cuts) { c.Instance.Kinds[5].Only = []int{3} }, Barred, "pattern 3, item 4", "4"},

	{"a credit counted too high", func(c *Cuts) { c.Claims.Cost = 64 }, WrongCost, "cost", "1"},
	{"a credit left out", func(c *Cuts) { c.Claims.Cost = 67 }, WrongCost, "cost", "2"},
	{"too short to be kept", func(c *Cuts) { c.Instance.Kinds[6].Credit.Keep = 6 }, WrongCost, "cost", "2"},
	{"a lower rate", func(c *Cuts) { c.Instance.Kinds[6].Credit.Den = 3 }, WrongCost, "cost", "1"},
	{"a credit for two sticks cut as one", func(c *Cuts) {
		c.Plan.Patterns[4] = Pattern{6, 2, []Take{{5, 1}}} // 2 · (10 − 4)
	}, WrongCost, "cost", "4"},
	{"a whole stick with more credit than it costs", func(c *Cuts) { c.Instance.Kinds[6].Credit.Num = 2 }, OutOfRange, "kind 6", "1"},
	{"an extra that makes it so", func(c *Cuts) { c.Instance.Kinds[6].Credit.Extra = 13 }, OutOfRange, "kind 6", "1"},
	{"a negative keep", func(c *Cuts) { c.Instance.Kinds[6].Credit.Keep = -1 }, OutOfRange, "kind 6", "1"},
	{"a negative extra", func(c *Cuts) { c.Instance.Kinds[6].Credit.Extra = -3 }, OutOfRange, "kind 6", "3"},
	{"a rate of none", func(c *Cuts) { c.Instance.Kinds[6].Credit.Num = 0 }, OutOfRange, "kind 6", "1"},
	{"a rate over 0", func(c *Cuts) { c.Instance.Kinds[6].Credit.Den = 0 }, OutOfRange, "kind 6", "1"},
	{"a whole credit past 64 bits", func(c *Cuts) { *c.Instance.Kinds[6].Credit = Credit{0, math.MaxInt64, math.MaxInt64, 1} }, OutOfRange, "kind 6", ""},

	{"an \"only\" that does not rise", func(c *Cuts) { c.Instance.Kinds[1].Only = []int{2, 1} }, OutOfRange, "kind 1", ""},
	{"an \"only\" with an item twice", func(c *Cuts) { c.Instance.Kinds[1].Only = []int{1, 1} }, OutOfRange, "kind 1", ""},
	{"an \"only\" on an item that is not there", func(c *Cuts) { c.Instance.Kinds[1].Only = []int{1, 7} }, BadIndex, "kind 1", ""},
	{"a negative most", func(c *Cuts) { c.Instance.Choices[3].Most = -1 }, OutOfRange, "choice 3", "1"},
	{"sticks given of a kind without a limit", func(c *Cuts) { c.Instance.Choices[5].Gives[0].Kind = 3 }, OutOfRange, "choice 5", ""},
	{"sticks given of a kind that is not there", func(c *Cuts) { c.Instance.Choices[5].Gives[0].Kind = 8 }, BadIndex, "choice 5", ""},
	{"no sticks given", func(c *Cuts) { c.Instance.Choices[5].Gives[0].Quantity = 0 }, OutOfRange, "choice 5", "1"},
	{"a kind given twice", func(c *Cuts) { c.Instance.Choices[2].Gives[1].Kind = 1 }, Repeated, "choice 2", ""},
	{"pieces asked of an item that is not there", func(c *Cuts) { c.Instance.Choices[3].Asks[0].Item = 7 }, BadIndex, "choice 3", ""},
	{"no pieces asked for", func(c *Cuts) { c.Instance.Choices[3].Asks[0].Quantity = 0 }, OutOfRange, "choice 3", "1"},
	{"an item asked for twice", func(c *Cuts) { c.Instance.Choices[3].Asks = []Take{{3, 2}, {3, 2}} }, Repeated, "choice 3", ""},
	{"a row that is not there", func(c *Cuts) { c.Instance.Choices[3].In[0].Row = -1 }, BadIndex, "choice 3", ""},
	{"a row twice", func(c *Cuts) { c.Instance.Choices[0].In[1].Row = 0 }, Repeated, "choice 0", ""},
	{"a coefficient of 0", func(c *Cuts) { c.Instance.Choices[0].In[0].Coefficient = 0 }, OutOfRange, "choice 0", ""},
	{"a row that asks for more", func(c *Cuts) { c.Instance.Rows[1].Least = 3 }, RowShort, "row 1", "3"},

	{"a row's dual value negative", func(c *Cuts) { c.Certificate.Leaves[1].RowDualValues[0] = -5 }, WrongSign, "leaf 1, row 0", "5"},
	{"a row's dual value missing", func(c *Cuts) { c.Certificate.Leaves[0].RowDualValues = []int64{28, 0} }, WrongVector, "leaf 0", ""},
	{"the row dual values missing", func(c *Cuts) { c.Certificate.Leaves[1].RowDualValues = nil }, WrongVector, "leaf 1", ""},
	{"a row's dual value too many", func(c *Cuts) {
		c.Certificate.Leaves[0].RowDualValues = append(c.Certificate.Leaves[0].RowDualValues, 0)
	}, WrongVector, "leaf 0", ""},
	{"the leaf with an order missing", func(c *Cuts) { c.Certificate.Leaves = c.Certificate.Leaves[:1] }, WrongTree, "leaf 0, branch 0", ""},
	{"the leaf without an order missing", func(c *Cuts) { c.Certificate.Leaves = c.Certificate.Leaves[1:] }, WrongTree, "leaf 0, branch 0", ""},
	{"a condition on another choice", func(c *Cuts) { c.Certificate.Leaves[1].Branch[0].Choice = new(0) }, WrongTree, "leaf 1, branch 0", ""},
	{"a condition on sticks in place of the choice", func(c *Cuts) {
		c.Certificate.Leaves[1].Branch[0].Choice, c.Certificate.Leaves[1].Branch[0].Kind = nil, new(1)
	}, WrongTree, "leaf 1, branch 0", ""},
	{"a gap between the orders", func(c *Cuts) { c.Certificate.Leaves[1].Branch[0].Count = 2 }, WrongTree, "leaf 1, branch 0", ""},
	{"a condition on a choice that is not there", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Choice = new(6) }, BadIndex, "leaf 0, branch 0", ""},
	{"a condition on a choice and a kind", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Kind = new(0) }, OutOfRange, "leaf 0, branch 0", ""},
	{"a condition on a choice and pieces", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].Holds = []Hold{{0, 1}} }, OutOfRange, "leaf 0, branch 0", ""},
	{"a positive dual value of \"at most\" a choice", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].DualValue = 1 }, WrongSign, "leaf 0, branch 0", "1"},
	{"a negative dual value of \"at least\" a choice", func(c *Cuts) { c.Certificate.Leaves[1].Branch[0].DualValue = -1 }, WrongSign, "leaf 1, branch 0", "1"},

	{"a piece above its stick less the credit", func(c *Cuts) { c.Certificate.Leaves[1].DualValues[5]++ }, DualInfeasible, "leaf 1, kind 6", "2"},
	{"a piece asked for above its stick", func(c *Cuts) { c.Certificate.Leaves[1].DualValues[4]++ }, DualInfeasible, "leaf 1, kind 5", "2"},
	{"a bundle's stick below its pieces", func(c *Cuts) { c.Certificate.Leaves[1].LimitDualValues[7]-- }, DualInfeasible, "leaf 1, kind 7", "1"},
	// What makes a choice's reduced cost negative is taken off as often as it can be made: 2 bundles that save 3 of 2 each.
	{"a bundle's stick above its cost", func(c *Cuts) { c.Certificate.Leaves[1].LimitDualValues[7]++ }, WrongBound, "lower", "3"},
	{"a row above what the lots cost", func(c *Cuts) { c.Certificate.Leaves[1].RowDualValues[2] += 2 }, WrongBound, "lower", "1"},
	{"pieces asked for at 0", func(c *Cuts) { c.Certificate.Leaves[1].DualValues[3] = 0 }, WrongBound, "lower", "6"},
	{"an order above what it saves", func(c *Cuts) { c.Certificate.Leaves[1].RowDualValues[1] = 15 }, WrongBound, "lower", "1"},
	{"a choice condition's dual value lowered", func(c *Cuts) { c.Certificate.Leaves[1].Branch[0].DualValue -= 2 }, WrongBound, "lower", "1"},
	{"an \"at most\" condition at 0", func(c *Cuts) { c.Certificate.Leaves[0].Branch[0].DualValue = 0 }, WrongBound, "lower", "50"},
	{"the bound raised", func(c *Cuts) { c.Claims.Lower = 66 }, WrongBound, "lower", "1"},
	{"credits past what is summed", func(c *Cuts) { c.Certificate.Scale = 1 << 60 }, TooLarge, "leaf 0, kind 6", ""},
}

func TestSpoiltChoicesAreRefused(t *testing.T) {
	for _, row := range spoiltChoices {
		t.Run(row.name, func(t *testing.T) {
			cuts := choiceCuts(t)
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
					return
				}
			}
			t.Errorf("want %s at %s by %q, got\n%v", row.code, row.where, row.amount, report)
		})
	}
}

// Without a certificate the bound is what choices can earn at most, not 0.
func TestBoundOfChoicesThatEarn(t *testing.T) {
	instance := Instance{Choices: []Choice{{Cost: -3, Most: 2}, {Cost: 5, Most: 9}, {Cost: -1, Most: 1}}}
	plan := Plan{Chosen: []int64{2, 0, 1}}
	for _, row := range []struct {
		name        string
		certificate Certificate
		claims      Claims
		ok          bool
	}{
		{"open at the floor", Certificate{}, Claims{-7, -7, Open}, true},
		{"open above it", Certificate{}, Claims{-7, -6, Open}, false},
		{"proven by nothing but the choices", Certificate{Scale: 1, Leaves: []Leaf{{}}}, Claims{-7, -7, Proven}, true},
		{"another cost", Certificate{Scale: 1, Leaves: []Leaf{{}}}, Claims{0, 0, Proven}, false},
	} {
		t.Run(row.name, func(t *testing.T) {
			if report := verify(t, Cuts{instance, plan, row.certificate, row.claims}); report.OK() != row.ok || report.Bound != -7 {
				t.Errorf("got %v, want %v\n%+v", report.OK(), row.ok, report)
			}
		})
	}
	instance.Choices[0] = Choice{Cost: math.MinInt64, Most: 2}
	if report := verify(t, Cuts{instance, Plan{Chosen: []int64{0, 0, 0}}, Certificate{}, Claims{0, math.MinInt64, Open}}); report.OK() || !report.Has(TooLarge) {
		t.Errorf("a floor past 64 bits: %+v", report)
	}
}

// How far a bound is rounded up: to what sticks and choices can cost, and with credits or choices
// that earn to a whole number only.
func TestRounding(t *testing.T) {
	base := func() Instance {
		return Instance{
			Kinds:   []Kind{{Length: 10, Cost: 6, Limit: new(int64(1))}},
			Items:   []Item{{Length: 10, Demand: 4}},
			Choices: []Choice{{Cost: 10, Most: 2, Gives: []Give{{0, 2}}}},
		}
	}
	for _, row := range []struct {
		name   string
		modify func(n *Instance)
		dual   int64 // of a piece, in tenths
		bound  int64
	}{
		{"sticks that choices give count", func(*Instance) {}, 39, 16},
		{"as many as they can give", func(n *Instance) { n.Choices[0].Most = 1; n.Choices[0].Gives[0].Quantity = 1 }, 39, 16},
		{"only sticks that choices give", func(n *Instance) {
			*n.Kinds[0].Limit = 0
			n.Choices[0] = Choice{Cost: 10, Most: 1, Gives: []Give{{0, 4}}}
		}, 39, 16},
		{"as many of them as it takes", func(n *Instance) {
			*n.Kinds[0].Limit = 0
			n.Choices[0] = Choice{Cost: 10, Most: 1, Gives: []Give{{0, 4}}}
		}, 58, 24},
		{"a choice that cannot be made", func(n *Instance) { n.Choices[0].Most = 0; *n.Kinds[0].Limit = 9 }, 39, 18},
		{"a credit", func(n *Instance) { n.Kinds[0].Credit = &Credit{Num: 1, Den: 100} }, 31, 12 + 1},
		{"a choice that earns", func(n *Instance) { n.Choices = append(n.Choices, Choice{Cost: -1, Most: 1}) }, 39, 16 - 1},
	} {
		t.Run(row.name, func(t *testing.T) {
			instance := base()
			row.modify(&instance)
			v := &verifier{instance: instance}
			certificate := Certificate{Scale: 10, Leaves: []Leaf{{DualValues: []int64{row.dual}, LimitDualValues: []int64{0}}}}
			if err := v.checkCertificate(context.Background(), certificate); err != nil || !v.report.Certified || v.report.Bound != row.bound {
				t.Errorf("bound %d, want %d: %v %v", v.report.Bound, row.bound, err, v.report)
			}
		})
	}
}

// Every byte cut off the end, and it is refused.
func TestTruncatedChoicesAreRefused(t *testing.T) {
	data := bytes.TrimSpace(choices(t))
	for size := range data {
		if report, err := Document(context.Background(), data[:size]); err == nil || report.OK() {
			t.Fatalf("the first %d of %d bytes are accepted", size, len(data))
		}
	}
}

// Every number raised and lowered by one: never a cheaper claim than the truth.
func TestEveryNumberOfChoicesMatters(t *testing.T) {
	accepted, all := numbersChanged(t, choices(t), func(instance Instance) int64 {
		best, any := optimum(instance)
		if !any {
			t.Errorf("accepted, and there is no plan: %+v", instance)
		}
		return best
	})
	if accepted == 0 || accepted > all/2 {
		t.Errorf("%d of %d changes are accepted; some are harmless, most are not", accepted, all)
	}
}

// numbersChanged changes every number of a document by one, up and down, and holds what is then
// accepted against the least cost.
func numbersChanged(t *testing.T, data []byte, least func(Instance) int64) (accepted, all int) {
	for start := bytes.Index(data, []byte("kinds")); start < len(data); start++ {
		end := start
		for end < len(data) && (data[end] == '-' || '0' <= data[end] && data[end] <= '9') {
			end++
		}
		if end == start {
			continue
		}
		var number int64
		if err := json.Unmarshal(data[start:end], &number); err != nil {
			t.Fatal(err)
		}
		for _, other := range []int64{number - 1, number + 1} {
			all++
			text, _ := json.Marshal(other)
			changed := bytes.Join([][]byte{data[:start], text, data[end:]}, nil)
			report, err := Document(context.Background(), changed)
			if err != nil {
				t.Fatal(err)
			}
			if report.OK() {
				accepted++
				cuts, _ := Parse(changed)
				if best := least(cuts.Instance); report.Bound > best || report.Grade == Proven && report.Cost != best {
					t.Errorf("%s for %s at byte %d: accepted as %s with bound %d, cost %d; the cheapest plan costs %d",
						text, data[start:end], start, report.Grade, report.Bound, report.Cost, best)
				}
			}
		}
		start = end
	}
	return accepted, all
}
