package solver_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"longpoint/solver"
	"longpoint/solver/check"
)

// choiceSeeds is how many random problems with choices are solved both ways.
var choiceSeeds = flag.Uint64("choices", 300, "random problems with choices to hold against GLPK's branch and bound")

// choicePatterns is the most patterns, and choiceLimit the most time, that GLPK is given; a problem past either counts for
// nothing. choiceShare of them at least must count.
const (
	choicePatterns = 1500
	choiceLimit    = 500 * time.Millisecond
	choiceShare    = 0.85
)

// searchedShare is the share of the problems that may end without a full certificate.
const searchedShare = 0.03

// TestChoicesAgainstMIP solves random problems with choices, rows, credits and kinds that hold only some items, and has
// GLPK's branch and bound over all patterns find the same cost; the independent checker must accept every plan, all but
// a few as proven.
func TestChoicesAgainstMIP(t *testing.T) {
	n := *choiceSeeds
	if testing.Short() {
		n = min(n, 40)
	}
	ctx := context.Background()
	compared, impossible, searched := uint64(0), 0, uint64(0)
	for seed := range n {
		p := drawChoices(seed)
		name := fmt.Sprintf("seed %d", seed)
		r, err := solver.Solve(ctx, p, solver.Options{TimeLimit: time.Minute})
		if err != nil {
			t.Fatalf("%s: %v\n%+v", name, err, p)
		}
		switch {
		case !r.HasPlan && r.Status != solver.Infeasible:
			t.Errorf("%s: %v without a plan", name, r.Status)
		case r.HasPlan:
			if r.Status == solver.Searched {
				searched++
			} else if r.Status != solver.Certified {
				t.Errorf("%s: %v, cost %d, lower %d, certified %d, %s\n%+v", name, r.Status, r.Cost, r.LowerBound, r.CertifiedBound, r.Reason, p)
			}
			data, err := solver.Document(p, r)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			report, err := check.Document(ctx, data)
			if err != nil || !report.OK() || report.Cost != r.Cost || (report.Grade == check.Proven) != (r.Status == solver.Certified) {
				t.Errorf("%s: %v, cost %d, but the checker says %v, %s, cost %d, %+v\n%s", name, r.Status, r.Cost, err, report.Grade, report.Cost, report.Violations, data)
			}
			if cuts, err := check.Parse(data); err != nil || !sameQuestion(cuts.Instance, inChecksWords(p)) {
				t.Errorf("%s: the document is about another problem\n%s", name, data)
			}
		}
		out, counts := exactly(t, name, p)
		if !counts {
			continue
		}
		compared++
		if !out.feasible {
			impossible++
		}
		if out.feasible != r.HasPlan || out.feasible && out.cost != r.Cost {
			t.Errorf("%s: MIP has plan %v at %d, Solve has plan %v at %d (%v)\n%+v", name, out.feasible, out.cost, r.HasPlan, r.Cost, r.Status, p)
		}
		if t.Failed() && seed > 20 {
			break // a fault shows often; a page of them says no more
		}
	}
	t.Logf("%d problems, %d compared, %d of them impossible, %d searched", n, compared, impossible, searched)
	if !t.Failed() && float64(compared) < choiceShare*float64(n) {
		t.Errorf("only %d of %d compared: the test says too little", compared, n)
	}
	if float64(searched) > searchedShare*float64(n) {
		t.Errorf("%d of %d end without a full certificate", searched, n)
	}
}

// drawChoices draws a problem; one in five has credits, lots and bundles at once.
func drawChoices(seed uint64) solver.Problem {
	r := rand.New(rand.NewPCG(seed, 3))
	if seed%5 == 4 {
		return creditsLotsBundles(r)
	}
	return choiceProblem(r)
}

// exactly solves a problem by GLPK; false when that was too much for it.
func exactly(t *testing.T, name string, p solver.Problem) (outcome, bool) {
	t.Helper()
	patterns, ok := everyPattern(p, choicePatterns)
	if !ok {
		return outcome{}, false
	}
	out, err := choiceMIP(p, patterns, choiceLimit)
	if err != nil {
		t.Fatalf("%s: %v\n%+v", name, err, p)
	}
	return out, out.finished
}

// inChecksWords gives the problem to the checker without the document.
func inChecksWords(p solver.Problem) check.Instance {
	var in check.Instance
	for _, it := range p.Items {
		in.Items = append(in.Items, check.Item{Length: it.Length, Demand: it.Demand})
	}
	for _, k := range p.Kinds {
		kind := check.Kind{Length: k.Length, Cost: k.Cost, Only: slices.Clone(k.Only)}
		if k.Limited {
			kind.Limit = new(k.Limit)
		}
		if k.Credit.Num != 0 {
			kind.Credit = &check.Credit{Keep: k.Credit.Keep, Extra: k.Credit.Extra, Num: k.Credit.Num, Den: k.Credit.Den}
		}
		in.Kinds = append(in.Kinds, kind)
	}
	for _, c := range p.Choices {
		choice := check.Choice{Cost: c.Cost, Most: c.Most}
		for _, g := range c.Gives {
			choice.Gives = append(choice.Gives, check.Give{Kind: g.Kind, Quantity: g.Quantity})
		}
		for _, a := range c.Asks {
			choice.Asks = append(choice.Asks, check.Take{Item: a.Item, Quantity: a.Quantity})
		}
		for _, e := range c.In {
			choice.In = append(choice.In, check.Entry{Row: e.Row, Coefficient: e.Value})
		}
		in.Choices = append(in.Choices, choice)
	}
	for _, row := range p.Rows {
		in.Rows = append(in.Rows, check.Row{Least: row.Least})
	}
	return in
}

// sameQuestion says whether two instances ask the same. Printed, pointers would differ.
func sameQuestion(a, b check.Instance) bool {
	sameKind := func(a, b check.Kind) bool {
		sameLimit := a.Limit == b.Limit || a.Limit != nil && b.Limit != nil && *a.Limit == *b.Limit
		sameCredit := a.Credit == b.Credit || a.Credit != nil && b.Credit != nil && *a.Credit == *b.Credit
		return a.Length == b.Length && a.Cost == b.Cost && sameLimit && sameCredit && (a.Only == nil) == (b.Only == nil) && slices.Equal(a.Only, b.Only)
	}
	sameChoice := func(a, b check.Choice) bool {
		return a.Cost == b.Cost && a.Most == b.Most && slices.Equal(a.Gives, b.Gives) && slices.Equal(a.Asks, b.Asks) && slices.Equal(a.In, b.In)
	}
	return slices.Equal(a.Items, b.Items) && slices.Equal(a.Rows, b.Rows) &&
		slices.EqualFunc(a.Kinds, b.Kinds, sameKind) && slices.EqualFunc(a.Choices, b.Choices, sameChoice)
}

// checked has the checker look at GLPK's plan.
func checked(t *testing.T, in check.Instance, out outcome, certificate check.Certificate) check.Report {
	t.Helper()
	plan := check.Plan{Chosen: out.choices}
	for _, pat := range out.patterns {
		to := check.Pattern{Kind: pat.Kind, Count: pat.Count}
		for _, take := range pat.Take {
			to.Take = append(to.Take, check.Take{Item: take.Item, Quantity: take.Quantity})
		}
		plan.Patterns = append(plan.Patterns, to)
	}
	report, err := check.Verify(context.Background(), in, plan, certificate, check.Claims{Cost: out.cost, Lower: earned(in), Grade: check.Open})
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// earned is the cost of all choices that earn, made as often as can be: no plan costs less.
func earned(in check.Instance) (cost int64) {
	for _, c := range in.Choices {
		cost += min(0, c.Cost*c.Most)
	}
	return cost
}

// dualScale is the scale of certificates made from GLPK's duals, and dualTrust the share of a dual that is used: GLPK calls a solution
// optimal where reduced costs are off by a ten millionth. dualLoss is what a bound may lose by both, in units of cost; costs
// are below some ten thousand.
const (
	dualScale = 1 << 20
	dualTrust = 1 - 1e-6
	dualLoss  = 0.1
)

// fromDuals makes a certificate of one leaf from the duals of the relaxation.
func fromDuals(p solver.Problem, dual []float64) check.Certificate {
	var leaf check.Leaf
	for i := range p.Items {
		leaf.DualValues = append(leaf.DualValues, int64(math.Floor(dual[i]*dualTrust*dualScale)))
	}
	for k, kind := range p.Kinds {
		value := int64(math.Ceil(math.Max(0, -dual[len(p.Items)+k]) * dualScale))
		if !kind.Limited {
			value = 0
		}
		leaf.LimitDualValues = append(leaf.LimitDualValues, value)
	}
	for r := range p.Rows {
		leaf.RowDualValues = append(leaf.RowDualValues, int64(math.Max(0, dual[len(p.Items)+len(p.Kinds)+r])*dualScale))
	}
	return check.Certificate{Scale: dualScale, Leaves: []check.Leaf{leaf}}
}

// relaxedTolerance is the share that the value of a relaxation may err by: GLPK works in doubles.
const relaxedTolerance = 1e-6

// TestChoiceMIP has the checker add up GLPK's plans, solve the relaxations again and certify their value, and makes sure that the problems drawn are worth
// solving: choices matter, credits are paid, some problems have no plan, and few are too much for GLPK.
func TestChoiceMIP(t *testing.T) {
	n := *choiceSeeds
	if testing.Short() {
		n = min(n, 100)
	}
	compared, impossible, withChoices, credited, gap, proven := 0, 0, 0, 0, 0, 0
	for seed := range n {
		name := fmt.Sprintf("seed %d", seed)
		p := drawChoices(seed)
		if len(p.Items) > mostItems || len(p.Kinds) > mostKinds || p.Validate() != nil {
			t.Fatalf("%s: %v\n%+v", name, p.Validate(), p)
		}
		out, counts := exactly(t, name, p)
		if !counts {
			continue
		}
		compared++
		in := inChecksWords(p)
		if !out.feasible {
			impossible++
			continue
		}
		report := checked(t, in, out, fromDuals(p, out.dual))
		if !report.OK() || !report.Certified || float64(report.Bound) < out.relaxed-dualLoss {
			t.Errorf("%s: the value of the relaxation is %v, and the checker says\n%v%+v\n%+v", name, out.relaxed, report, p, out)
		}
		if report.Bound == out.cost {
			proven++
		}
		if math.Ceil(out.relaxed-relaxedTolerance*math.Abs(out.relaxed)) < float64(out.cost) {
			gap++
		}
		if slices.Max(append(out.choices, 0)) > 0 {
			withChoices++
		}
		without := p
		without.Kinds = slices.Clone(p.Kinds)
		for k := range without.Kinds {
			without.Kinds[k].Credit = solver.Credit{}
		}
		if dearer, counts := exactly(t, name, without); counts && dearer.cost > out.cost {
			credited++
		}
	}
	t.Logf("%d of %d compared, %d impossible, %d make choices, %d are paid credits, %d with a gap, %d proven by one leaf", compared, n, impossible, withChoices, credited, gap, proven)
	for _, least := range []struct {
		what  string
		is    int
		share float64
	}{
		{"compared", compared, choiceShare}, {"impossible", impossible, 0.02}, {"with choices", withChoices, 0.5}, {"paid credits", credited, 0.1},
		{"with a gap", gap, 0.1}, {"proven by one leaf", proven, 0.05},
	} {
		if float64(least.is) < least.share*float64(n) {
			t.Errorf("only %d %s: the problems say too little", least.is, least.what)
		}
	}
}

// TestChoiceMIPAgainstEveryPlan holds GLPK on the smallest of the problems against every way to choose and to cut.
func TestChoiceMIPAgainstEveryPlan(t *testing.T) {
	compared := 0
	for seed := uint64(0); compared < 150; seed++ {
		p := drawChoices(seed)
		if !tiny(p) {
			continue
		}
		name := fmt.Sprintf("seed %d", seed)
		out, counts := exactly(t, name, p)
		if !counts {
			t.Fatalf("%s: too much for GLPK", name)
		}
		compared++
		if cost, any := everyPlan(p); any != out.feasible || any && cost != out.cost {
			t.Errorf("%s: GLPK has plan %v at %d, among all there is one %v at %d\n%+v", name, out.feasible, out.cost, any, cost, p)
		}
	}
}

// tiny says whether going through all plans is quick.
func tiny(p solver.Problem) bool {
	ways, pieces := int64(1), int64(0)
	for _, it := range p.Items {
		pieces += it.Demand
	}
	for _, c := range p.Choices {
		ways *= c.Most + 1
		for _, a := range c.Asks {
			pieces += a.Quantity * c.Most
		}
	}
	return ways <= 600 && pieces <= 9
}

// everyPlan is the cost of the cheapest plan among all, for tiny problems: every number of times for every choice, and for
// each every way to cut, stick by stick, always from the first item that is not done.
func everyPlan(p solver.Problem) (best int64, any bool) {
	times := make([]int64, len(p.Choices))
	for {
		cost := int64(0)
		left, sticks, rows := make([]int64, len(p.Items)), make([]int64, len(p.Kinds)), make([]int64, len(p.Rows))
		for i, it := range p.Items {
			left[i] = it.Demand
		}
		for k, kind := range p.Kinds {
			if sticks[k] = kind.Limit; !kind.Limited {
				sticks[k] = math.MaxInt32
			}
		}
		for j, c := range p.Choices {
			cost += c.Cost * times[j]
			for _, g := range c.Gives {
				sticks[g.Kind] += g.Quantity * times[j]
			}
			for _, a := range c.Asks {
				left[a.Item] += a.Quantity * times[j]
			}
			for _, e := range c.In {
				rows[e.Row] += e.Value * times[j]
			}
		}
		met := true
		for r, row := range p.Rows {
			met = met && rows[r] >= row.Least
		}
		if met {
			cutOn(p, left, sticks, cost, &best, &any)
		}
		j := 0
		for ; j < len(times) && times[j] == p.Choices[j].Most; j++ {
			times[j] = 0
		}
		if j == len(times) {
			return best, any
		}
		times[j]++
	}
}

// cutOn cuts what is left from the sticks that are there, in every way, and keeps the least cost.
func cutOn(p solver.Problem, left, sticks []int64, cost int64, best *int64, any *bool) {
	if *any && cost >= *best {
		return
	}
	first := slices.IndexFunc(left, func(n int64) bool { return n > 0 })
	if first < 0 {
		*best, *any = cost, true
		return
	}
	for k, kind := range p.Kinds {
		if sticks[k] == 0 || kind.Only != nil && !slices.Contains(kind.Only, first) || p.Items[first].Length > kind.Length {
			continue
		}
		sticks[k]--
		left[first]--
		var more func(i int, room int64)
		more = func(i int, room int64) {
			cutOn(p, left, sticks, cost+kind.Cost-creditFor(kind, room), best, any)
			for ; i < len(left); i++ {
				if left[i] > 0 && p.Items[i].Length <= room && (kind.Only == nil || slices.Contains(kind.Only, i)) {
					left[i]--
					more(i, room-p.Items[i].Length)
					left[i]++
				}
			}
		}
		more(first, kind.Length-p.Items[first].Length)
		left[first]++
		sticks[k]++
	}
}
