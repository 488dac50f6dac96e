package check

import (
	"context"
	"math/big"
	"runtime"
	"sync"
)

// Certificate is the proof of a lower bound, as the package comment explains it.
// One without leaves proves nothing.
type Certificate struct {
	Scale  int64 // S > 0: every dual value is in units of cost / S
	Leaves []Leaf
	Mixes  *Mixes // nil: the leaves are of one tree
}

// Leaf is one leaf of the branch-and-bound tree: a part of all plans, and the dual values that bound it.
type Leaf struct {
	Branch          []Condition // in the order of the tree, the root's first
	DualValues      []int64     // u, one entry an item, of either sign
	LimitDualValues []int64     // v, one entry a kind, >= 0, and 0 where there is no limit
	RowDualValues   []int64     // ρ, one entry a row, >= 0
}

// Condition is one branch entry. It counts the sticks of a plan that are of the kind
// and hold at least so many of every item named, those that leave enough for their kind's credit, or how often a choice is made.
type Condition struct {
	Kind      *int   // index into Instance.Kinds; nil for any kind
	Holds     []Hold // each item at most once; empty for every stick of the kind
	Credited  bool   // only sticks that leave enough for a credit, Holds being empty
	Sense     Sense
	Count     int64 // n >= 0
	DualValue int64 // w: <= 0 when Sense is Most, >= 0 when it is Least
	Choice    *int  // index into Instance.Choices, Kind and Holds then being empty; nil to count sticks
}

// Hold asks for a number of pieces on one stick.
type Hold struct {
	Item    int   // index into Instance.Items
	AtLeast int64 // >= 1
}

// Sense is the side a condition bounds its count from. The zero Sense is none.
type Sense int

// The senses there are.
const (
	Most Sense = iota + 1
	Least
)

// checkCertificate sets the report's bound from the certificate, if it holds. The
// error is one of a check that was not finished.
func (v *verifier) checkCertificate(ctx context.Context, certificate Certificate) error {
	if len(certificate.Leaves) == 0 && certificate.Mixes == nil {
		return ctx.Err() // nothing is certified
	}
	if !v.checkShape(certificate) {
		return ctx.Err()
	}
	if certificate.Mixes == nil && !v.checkTree(certificate.Leaves) {
		return ctx.Err()
	}
	bounds, holds, err := v.checkLeaves(ctx, certificate)
	if m := certificate.Mixes; m != nil && err == nil && holds {
		holds, err = v.checkMixes(ctx, certificate)
		bounds = append(bounds, big.NewInt(m.Bound))
	}
	if err == nil && holds {
		v.certify(bounds)
	}
	return err
}

// leavesInPart is how many leaves are worth a goroutine of their own.
const leavesInPart = 32

// checkLeaves checks leaf after leaf, as many parts of the list at the same time as there are processors, and gives the bounds of all leaves. Each
// part has a verifier of its own, whose violations are taken over in the order of the leaves.
func (v *verifier) checkLeaves(ctx context.Context, certificate Certificate) (bounds []*big.Int, holds bool, err error) {
	all := len(certificate.Leaves)
	bounds = make([]*big.Int, all)
	size := max(leavesInPart, (all+runtime.NumCPU()-1)/runtime.NumCPU())
	type part struct {
		verifier
		holds    bool
		err      error
		panicked any
	}
	parts := make([]part, (all+size-1)/size)
	var working sync.WaitGroup
	for m := range parts {
		p := &parts[m]
		p.instance, p.holds = v.instance, true
		working.Go(func() {
			defer func() { p.panicked = recover() }() // it is the caller's to see
			for n := m * size; n < min(all, (m+1)*size) && p.err == nil; n++ {
				leaf, ok := certificate.Leaves[n], false
				ok, p.err = p.checkDualFeasible(ctx, n, leaf, certificate.Scale)
				p.holds = p.holds && ok
				bounds[n] = leafBound(v.instance, leaf, certificate.Scale)
			}
		})
	}
	working.Wait()
	holds = true
	for m := range parts {
		p := &parts[m]
		if p.panicked != nil {
			panic(p.panicked)
		}
		v.report.Violations = append(v.report.Violations, p.report.Violations...)
		if p.err != nil {
			return nil, false, p.err
		}
		holds = holds && p.holds
	}
	return bounds, holds, nil
}

// certify takes the least of the leaves' bounds, each rounded up to a cost that can be paid,
// for the certified bound.
func (v *verifier) certify(bounds []*big.Int) {
	next := newCostRounding(v.instance, bounds)
	var least *big.Int
	for _, bound := range bounds {
		cost, any := next(bound)
		if any && (least == nil || cost.Cmp(least) < 0) {
			least = cost
		}
	}
	switch {
	case least == nil:
		v.violate(Clash, "certificate", nil, "it leaves no cost that can be paid: it says that there is no plan at all")
	case !least.IsInt64():
		v.violate(TooLarge, "certificate", nil, "the bound is %d, too large to state", least)
	default:
		v.report.Certified = true
		v.report.Bound = least.Int64()
	}
}

// checkShape reports lists of the wrong length, indexes that name nothing and dual values of the wrong sign.
func (v *verifier) checkShape(certificate Certificate) bool {
	before := len(v.report.Violations)
	v.atLeast(1, certificate.Scale, "certificate", "scale")
	for n, leaf := range certificate.Leaves {
		v.checkVectors(n, leaf)
		for r, condition := range leaf.Branch {
			v.checkCondition(at("leaf", n, "branch", r), condition)
		}
	}
	return len(v.report.Violations) == before
}

// checkVectors reports a leaf's lists of the wrong length, and dual values of limits and rows of the wrong sign.
func (v *verifier) checkVectors(n int, leaf Leaf) {
	items, kinds := len(v.instance.Items), len(v.instance.Kinds)
	if len(leaf.DualValues) != items {
		v.violate(WrongVector, at("leaf", n), nil, "it has %d dual values for %d items", len(leaf.DualValues), items)
	}
	if rows := len(v.instance.Rows); len(leaf.RowDualValues) != rows {
		v.violate(WrongVector, at("leaf", n), nil, "it has %d row dual values for %d rows", len(leaf.RowDualValues), rows)
	}
	for r, dual := range leaf.RowDualValues {
		if dual < 0 {
			v.violate(WrongSign, at("leaf", n, "row", r), difference(0, dual), "the row's dual value is %d; it must not be negative", dual)
		}
	}
	if len(leaf.LimitDualValues) != kinds {
		v.violate(WrongVector, at("leaf", n), nil, "it has %d limit dual values for %d kinds", len(leaf.LimitDualValues), kinds)
		return
	}
	for k, dual := range leaf.LimitDualValues {
		if dual < 0 {
			v.violate(WrongSign, at("leaf", n, "kind", k), difference(0, dual), "the limit's dual value is %d; it must not be negative", dual)
		}
		if dual > 0 && v.instance.Kinds[k].Limit == nil {
			v.violate(WrongSign, at("leaf", n, "kind", k), big.NewInt(dual), "the limit's dual value is %d, but the kind has no limit; it must be 0", dual)
		}
	}
}

// checkCondition reports what cannot stand in a branch entry.
func (v *verifier) checkCondition(where string, condition Condition) {
	if condition.Choice != nil {
		v.isIndex(*condition.Choice, len(v.instance.Choices), where, "choice")
		if condition.Kind != nil || len(condition.Holds) > 0 {
			v.violate(OutOfRange, where, nil, "it names a choice and sticks; an entry counts one of the two")
		}
	}
	if condition.Credited && (condition.Choice != nil || len(condition.Holds) > 0) {
		v.violate(OutOfRange, where, nil, "it counts credits and something else; an entry counts one of the two")
	}
	if condition.Kind != nil {
		v.isIndex(*condition.Kind, len(v.instance.Kinds), where, "kind")
	}
	seen := make(map[int]bool, len(condition.Holds))
	for _, hold := range condition.Holds {
		v.isIndex(hold.Item, len(v.instance.Items), where, "item")
		v.atLeast(1, hold.AtLeast, where, "number of pieces held")
		if seen[hold.Item] {
			v.violate(Repeated, where, nil, "item %d is held twice; name it once", hold.Item)
		}
		seen[hold.Item] = true
	}
	v.atLeast(0, condition.Count, where, "number it is held to")
	switch {
	case condition.Sense != Most && condition.Sense != Least:
		v.violate(OutOfRange, where, nil, "it is neither an \"at most\" nor an \"at least\"")
	case condition.Sense == Most && condition.DualValue > 0:
		v.violate(WrongSign, where, big.NewInt(condition.DualValue), "the dual value of an \"at most\" is %d; it must not be positive", condition.DualValue)
	case condition.Sense == Least && condition.DualValue < 0:
		v.violate(WrongSign, where, difference(0, condition.DualValue), "the dual value of an \"at least\" is %d; it must not be negative", condition.DualValue)
	}
}
