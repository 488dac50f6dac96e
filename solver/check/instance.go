package check

import (
	"math"
	"math/big"
	"slices"
)

// Instance is the question: which sticks there are, what must be cut from them, and what
// may be chosen besides. Lengths share one unit and so do costs; which, is the caller's affair.
type Instance struct {
	Kinds   []Kind
	Items   []Item
	Choices []Choice
	Rows    []Row
}

// Kind is one kind of stick.
type Kind struct {
	Length int64   // > 0
	Cost   int64   // of one stick, >= 0
	Limit  *int64  // how many there are without those that choices give, >= 0; nil when there is no limit
	Only   []int   // the items it may hold, rising; nil for all, empty for none
	Credit *Credit // of what is left of a stick; nil for none
}

// Item is one length to be cut.
type Item struct {
	Length int64 // > 0
	Demand int64 // pieces, >= 0
}

// checkInstance reports every number of the instance that is out of its range.
func (v *verifier) checkInstance() bool {
	before := len(v.report.Violations)
	for k, kind := range v.instance.Kinds {
		v.atLeast(1, kind.Length, at("kind", k), "length")
		v.atLeast(0, kind.Cost, at("kind", k), "cost")
		if kind.Limit != nil {
			v.atLeast(0, *kind.Limit, at("kind", k), "limit")
		}
		v.checkOnly(at("kind", k), kind.Only)
		if kind.Credit != nil {
			v.checkCredit(at("kind", k), kind)
		}
	}
	for i, item := range v.instance.Items {
		v.atLeast(1, item.Length, at("item", i), "length")
		v.atLeast(0, item.Demand, at("item", i), "demand")
	}
	for j, choice := range v.instance.Choices {
		v.checkChoice(at("choice", j), choice)
	}
	return len(v.report.Violations) == before
}

// checkOnly reports a list of items that does not rise or names one that is not there.
func (v *verifier) checkOnly(where string, only []int) {
	for n, i := range only {
		v.isIndex(i, len(v.instance.Items), where, "item")
		if n > 0 && i <= only[n-1] {
			v.violate(OutOfRange, where, nil, "item %d follows item %d in \"only\"; the list must rise", i, only[n-1])
		}
	}
}

// mayHold says whether a stick of the kind may hold an item.
func (k Kind) mayHold(item int) bool {
	if k.Only == nil {
		return true
	}
	_, found := slices.BinarySearch(k.Only, item)
	return found
}

// wanted is, for every item, how many pieces a plan can have to cut: the demand and all
// that choices can ask for. What is past 64 bits is held to the largest int64.
func (n Instance) wanted() []int64 {
	most := make([]*big.Int, len(n.Items))
	for i, item := range n.Items {
		most[i] = big.NewInt(item.Demand)
	}
	for _, choice := range n.Choices {
		for _, ask := range choice.Asks {
			most[ask.Item].Add(most[ask.Item], product(ask.Quantity, choice.Most))
		}
	}
	pieces := make([]int64, len(n.Items))
	for i, number := range most {
		pieces[i] = math.MaxInt64
		if number.IsInt64() {
			pieces[i] = number.Int64()
		}
	}
	return pieces
}

// supply is how many sticks of a kind there can be: its limit and all that choices can
// give; nil where it has no limit.
func (n Instance) supply(k int) *big.Int {
	if n.Kinds[k].Limit == nil {
		return nil
	}
	sum := big.NewInt(*n.Kinds[k].Limit)
	for _, choice := range n.Choices {
		for _, give := range choice.Gives {
			if give.Kind == k {
				sum.Add(sum, product(give.Quantity, choice.Most))
			}
		}
	}
	return sum
}

// atLeast reports a number below the least it may be.
func (v *verifier) atLeast(least, got int64, where, what string) bool {
	if got >= least {
		return true
	}
	v.violate(OutOfRange, where, difference(least, got), "the %s is %d; it must be at least %d", what, got, least)
	return false
}

// isIndex reports an index that names nothing.
func (v *verifier) isIndex(index, size int, where, what string) bool {
	if index >= 0 && index < size {
		return true
	}
	v.violate(BadIndex, where, nil, "%s %d is named, but there are only %d, counted from 0", what, index, size)
	return false
}

// difference is a − b, exactly.
func difference(a, b int64) *big.Int {
	return new(big.Int).Sub(big.NewInt(a), big.NewInt(b))
}
