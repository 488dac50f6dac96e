package check

import (
	"context"
	"encoding/binary"
	"errors"
	"math/big"
)

// leafBound is what every trimmed plan of the leaf costs at least, before it is
// rounded up to a payable cost:
//
//	⌈(Σ u_i d_i + Σ w_h n_h − Σ v_k m_k + Σ ρ_r R_r + Σ min(0, f_j M_j)) / S⌉
//
// The shape of the leaf must have been checked.
func leafBound(instance Instance, leaf Leaf, scale int64) *big.Int {
	sum := new(big.Int)
	for i, item := range instance.Items {
		sum.Add(sum, product(leaf.DualValues[i], item.Demand))
	}
	for _, condition := range leaf.Branch {
		sum.Add(sum, product(condition.DualValue, condition.Count))
	}
	for k, kind := range instance.Kinds {
		if kind.Limit != nil {
			sum.Sub(sum, product(leaf.LimitDualValues[k], *kind.Limit))
		}
	}
	for r, row := range instance.Rows {
		sum.Add(sum, product(leaf.RowDualValues[r], row.Least))
	}
	for j, choice := range instance.Choices {
		if reduced := reducedCost(instance, leaf, scale, j); reduced.Sign() < 0 {
			sum.Add(sum, reduced.Mul(reduced, big.NewInt(choice.Most)))
		}
	}
	return ceilQuo(sum, big.NewInt(scale))
}

// reducedCost is f_j, what choice j costs once what it gives, asks for and comes to in rows
// and branch entries is set against it, in units of cost / S:
//
//	f_j = S b_j − Σ_k g_jk v_k + Σ_i q_ji u_i − Σ_r t_jr ρ_r − Σ_{h on j} w_h
func reducedCost(instance Instance, leaf Leaf, scale int64, j int) *big.Int {
	choice := instance.Choices[j]
	sum := product(scale, choice.Cost)
	for _, give := range choice.Gives {
		sum.Sub(sum, product(give.Quantity, leaf.LimitDualValues[give.Kind]))
	}
	for _, ask := range choice.Asks {
		sum.Add(sum, product(ask.Quantity, leaf.DualValues[ask.Item]))
	}
	for _, entry := range choice.In {
		sum.Sub(sum, product(entry.Coefficient, leaf.RowDualValues[entry.Row]))
	}
	for _, condition := range leaf.Branch {
		if condition.Choice != nil && *condition.Choice == j {
			sum.Sub(sum, big.NewInt(condition.DualValue))
		}
	}
	return sum
}

// checkDualFeasible reports, for every kind, a pattern whose dual value, its credit included, exceeds S c_k + v_k in
// this leaf. The error is one of a check that was not finished.
func (v *verifier) checkDualFeasible(ctx context.Context, n int, leaf Leaf, scale int64) (bool, error) {
	holds := true
	wanted := v.instance.wanted()
	for k, kind := range v.instance.Kinds {
		allowed := product(scale, kind.Cost)
		allowed.Add(allowed, big.NewInt(leaf.LimitDualValues[k]))
		where := at("leaf", n, "kind", k)
		knapsack, target, err := newKnapsack(v.instance, wanted, leaf, k, scale, allowed)
		if errors.Is(err, errTooLarge) {
			v.violate(TooLarge, where, nil, "the dual values are too large to be summed exactly in 64 bits; use a smaller scale")
			holds = false
			continue
		}
		key := ""
		if knapsack.unconditional() {
			key = sameDuals(k, leaf.DualValues)
			if proved, known := v.proved[key]; known && target >= proved {
				continue // shown for another leaf with the same dual values and no greater target
			}
		}
		over, err := knapsack.excess(ctx, target)
		if err != nil {
			return false, err
		}
		if over > 0 {
			v.violate(DualInfeasible, where, big.NewInt(over), "a pattern's dual value is %d above the %d that its cost allows", over, allowed)
			holds = false
			continue
		}
		if key != "" {
			if v.proved == nil {
				v.proved = map[string]int64{}
			}
			v.proved[key] = target
		}
	}
	return holds, nil
}

// sameDuals is a key that is equal for equal dual values of one kind's items only.
func sameDuals(k int, duals []int64) string {
	key := binary.AppendVarint(nil, int64(k))
	for _, u := range duals {
		key = binary.AppendVarint(key, u)
	}
	return string(key)
}
