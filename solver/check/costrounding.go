package check

import (
	"math/big"
	"slices"
)

// newCostRounding gives the function that rounds a bound up to a cost that a plan can have. It may be asked of the
// bounds given and no others, and is false where no plan costs so much. With credits, or choices that earn something,
// any whole number from the least cost on may be a cost.
func newCostRounding(instance Instance, bounds []*big.Int) func(bound *big.Int) (*big.Int, bool) {
	if floor := instance.floor(); floor.Sign() < 0 || instance.hasCredits() {
		return func(bound *big.Int) (*big.Int, bool) {
			if bound.Cmp(floor) < 0 {
				return floor, true
			}
			return bound, true
		}
	}
	return newPayable(instance.paidFor(), bounds).next
}

func (n Instance) hasCredits() bool {
	for _, kind := range n.Kinds {
		if kind.Credit != nil {
			return true
		}
	}
	return false
}

// paidFor is all that a plan can pay for, as kinds: the kinds on which a wanted item fits, limited to all the sticks
// that there can be of them, and the choices. An empty stick is in no trimmed plan.
func (n Instance) paidFor() []Kind {
	var list []Kind
	for k, kind := range n.Kinds {
		if !n.fitsAny(k) {
			continue
		}
		paid := Kind{Cost: kind.Cost}
		if supply := n.supply(k); supply != nil && supply.IsInt64() {
			paid.Limit = new(supply.Int64())
		}
		list = append(list, paid)
	}
	for _, choice := range n.Choices {
		list = append(list, Kind{Cost: choice.Cost, Limit: new(choice.Most)})
	}
	return list
}

// fitsAny says whether a kind may hold an item that a plan can have, and is long enough for it.
func (n Instance) fitsAny(k int) bool {
	kind := n.Kinds[k]
	wanted := make([]bool, len(n.Items))
	for i, item := range n.Items {
		wanted[i] = item.Demand > 0
	}
	for _, choice := range n.Choices {
		for _, ask := range choice.Asks {
			wanted[ask.Item] = wanted[ask.Item] || choice.Most > 0
		}
	}
	for i, item := range n.Items {
		if wanted[i] && item.Length <= kind.Length && (kind.Only == nil || slices.Contains(kind.Only, i)) {
			return true
		}
	}
	return false
}
