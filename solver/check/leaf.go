package check

import (
	"context"
	"errors"
	"math/big"
)

// leafBound is what every trimmed plan of the leaf costs at least, before it is
// rounded up to a payable cost: ⌈(Σ u_i d_i + Σ w_r n_r − Σ v_k m_k) / S⌉.
// The shape of the leaf must have been checked.
func leafBound(instance Instance, leaf Leaf, scale int64) *big.Int {
	sum := new(big.Int)
	for i, item := range instance.Items {
		sum.Add(sum, product(leaf.Worth[i], item.Demand))
	}
	for _, condition := range leaf.Branch {
		sum.Add(sum, product(condition.Worth, condition.Count))
	}
	for k, kind := range instance.Kinds {
		if kind.Limit != nil {
			sum.Sub(sum, product(leaf.LimitWorth[k], *kind.Limit))
		}
	}
	return ceilQuo(sum, big.NewInt(scale))
}

// checkWorths reports, for every kind, a pattern that is worth more than S c_k + v_k
// in this leaf. The error is one of a check that was not finished.
func (v *verifier) checkWorths(ctx context.Context, n int, leaf Leaf, scale int64) (bool, error) {
	holds := true
	for k, kind := range v.instance.Kinds {
		may := product(scale, kind.Cost)
		may.Add(may, big.NewInt(leaf.LimitWorth[k]))
		where := at("leaf", n, "kind", k)
		knapsack, target, err := newKnapsack(v.instance, leaf, k, may)
		if errors.Is(err, errTooLarge) {
			v.violate(TooLarge, where, nil, "the worths are too large to be summed exactly in 64 bits; use a smaller scale")
			holds = false
			continue
		}
		over, err := knapsack.excess(ctx, target)
		if err != nil {
			return false, err
		}
		if over > 0 {
			v.violate(TooMuch, where, big.NewInt(over), "a pattern is worth %d more than the %d it may be", over, may)
			holds = false
		}
	}
	return holds, nil
}
