package quote

import (
	"context"
	"math/big"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/solver"
)

// dualValues is the dual value of each length: the u of the root, before any branching. They bound
// every plan from below by Σ u d − Σ v m, and no stick can hold sides of more dual value than it costs. The leaves of a certificate that
// branches do not do for prices: each is about some plans only.
type dualValues struct {
	lengths []int64 // of the items
	values  []int64 // in 1/scale of the minor unit
	scale   int64
	none    string // why there are none: Together or another; empty: there are some
}

// Why a profile's sides have no dual value.
const (
	Together = "together" // it was planned together with others, bound by suppliers' terms, for which there are none
	ByLot    = "lot"      // frames of it are matched by lot, so that what a side is worth hangs on the lot
	Absent   = "absent"   // the plan does not have it, or its certificate says nothing
)

// dualValuesOfJobs gives them for some profiles, as they are for all of the workshop's jobs.
func dualValuesOfJobs(ctx context.Context, w *model.Workshop, o planner.Options, of []Profile) (map[string]*dualValues, error) {
	problems, err := planner.Problems(w, o)
	if err != nil {
		return nil, err
	}
	all := map[string]*dualValues{}
	for _, p := range problems {
		if len(p.Profiles) > 1 {
			for _, name := range p.Profiles {
				all[name] = &dualValues{none: Together}
			}
			continue
		}
		if !named(of, p.Profiles[0]) {
			continue
		}
		if all[p.Profiles[0]], err = rootDualValues(ctx, p.Problem); err != nil {
			return nil, &model.Error{Kind: model.Fault, What: "profile " + p.Profiles[0] + ": the search failed", Err: err,
				Do: "nothing you did is wrong: please report it, if you can with the workshop's files"}
		}
	}
	return all, nil
}

// named says whether a profile is one of some.
func named(profiles []Profile, name string) bool {
	return slices.ContainsFunc(profiles, func(p Profile) bool { return p.Name == name })
}

// dualValuesOfPlan gives them for some profiles by the cutting problems of a plan document.
func dualValuesOfPlan(ctx context.Context, d *plan.Document, of []Profile) (map[string]*dualValues, error) {
	all := map[string]*dualValues{}
	for _, p := range d.Profiles {
		if !named(of, p.Name) {
			continue
		}
		if p.Together != 0 {
			all[p.Name] = &dualValues{none: Together}
			continue
		}
		problem, err := solver.ParseProblem(p.Cuts)
		if err == nil {
			all[p.Name], err = rootDualValues(ctx, problem)
		}
		if err != nil {
			return nil, &model.Error{Kind: model.BadInput, What: "the cuts of profile " + p.Name + " are no cutting problem", Err: err,
				Do: "give a plan that \"longpoint plan --out\" wrote"}
		}
	}
	return all, nil
}

// rootDualValues solves the root of a profile's problem.
func rootDualValues(ctx context.Context, p solver.Problem) (*dualValues, error) {
	if slices.ContainsFunc(p.Choices, func(c solver.Choice) bool { return len(c.Asks) > 0 }) {
		return &dualValues{none: ByLot}, nil
	}
	r, err := solver.Solve(ctx, p, solver.Options{NodeLimit: 1})
	if err != nil {
		return nil, err
	}
	leaf := nearest(p, r)
	if leaf == nil {
		return &dualValues{none: Absent}, nil
	}
	d := &dualValues{scale: r.Certificate.Scale, values: leaf.DualValues}
	for _, it := range p.Items {
		d.lengths = append(d.lengths, it.Length)
	}
	return d, nil
}

// nearest gives a leaf with the root's dual values. Where the proof has none, because it goes by the numbers of sticks and not
// by the root, it gives the leaf whose dual values of all sides, less those of the limits, come nearest to the cost. Nil: there is no
// leaf at all.
func nearest(p solver.Problem, r solver.Result) *solver.Leaf {
	var best *solver.Leaf
	var off *big.Int
	for n := range r.Certificate.Leaves {
		leaf := &r.Certificate.Leaves[n]
		if ofRoot(*leaf) {
			return leaf
		}
		sum := new(big.Int).Mul(big.NewInt(r.Certificate.Scale), big.NewInt(-r.Cost))
		for i, u := range leaf.DualValues {
			sum.Add(sum, new(big.Int).Mul(big.NewInt(u), big.NewInt(p.Items[i].Demand)))
		}
		for k, v := range leaf.LimitDualValues {
			sum.Sub(sum, new(big.Int).Mul(big.NewInt(v), big.NewInt(p.Kinds[k].Limit)))
		}
		if sum.Abs(sum); best == nil || sum.Cmp(off) < 0 {
			best, off = leaf, sum
		}
	}
	return best
}

// ofRoot says whether a leaf has the root's dual values: none of the conditions on the way to it has any.
func ofRoot(leaf solver.Leaf) bool {
	for _, c := range leaf.Branch {
		if c.DualValue != 0 {
			return false
		}
	}
	return true
}

// of gives what a side is worth that takes so much of a stick, in minor units. A length that is not listed is worth no more than
// the shortest listed one that is longer, for wherever that one can be cut so can it: exact is then false. For one longer
// than all of them the certificate says nothing, and neither does a profile without one.
func (d *dualValues) of(need int64) (value *big.Rat, exact, ok bool) {
	if d == nil || d.none != "" {
		return nil, false, false
	}
	best := -1
	for i, l := range d.lengths {
		if l >= need && (best < 0 || l < d.lengths[best] || l == d.lengths[best] && d.values[i] > d.values[best]) {
			best = i
		}
	}
	if best < 0 {
		return nil, false, false
	}
	return big.NewRat(d.values[best], d.scale), d.lengths[best] == need, true
}
