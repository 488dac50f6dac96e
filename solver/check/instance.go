package check

import "math/big"

// Instance is the question: which sticks there are and what must be cut from them.
// Lengths share one unit and so do costs; which, is the caller's affair.
type Instance struct {
	Kinds []Kind
	Items []Item
}

// Kind is one kind of stick.
type Kind struct {
	Length int64  // > 0
	Cost   int64  // of one stick, >= 0
	Limit  *int64 // how many there are, >= 0; nil when there is no limit
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
	}
	for i, item := range v.instance.Items {
		v.atLeast(1, item.Length, at("item", i), "length")
		v.atLeast(0, item.Demand, at("item", i), "demand")
	}
	return len(v.report.Violations) == before
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
