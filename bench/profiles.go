package main

import (
	"context"
	"fmt"
	"os"
	"time"

	"longpoint/bench/arcflow"
	"longpoint/bench/instances"
	"longpoint/bench/workshop"
	"longpoint/model/folder"
	"longpoint/model/planner"
	"longpoint/solver"
	"longpoint/solver/check"
)

// weekProfiles gives the problems of a generated week's profiles that the arc-flow model states: several lengths, limits, bundles and prices that fall with the
// number. Suppliers' terms are left out, so that each profile is a problem of its own. others is how many more there are: with credits, or with lots to match.
func weekProfiles(ctx context.Context, week workshop.Everything) (all []instances.Instance, others int, err error) {
	dir, err := os.MkdirTemp("", "bench-profiles-")
	if err != nil {
		return nil, 0, err
	}
	defer os.RemoveAll(dir)
	tables := workshop.GenerateEverything(week)
	delete(tables, "suppliers.csv")
	if err := tables.Write(dir); err != nil {
		return nil, 0, err
	}
	w, err := folder.Read(dir)
	if err != nil {
		return nil, 0, err
	}
	d, err := planner.Make(ctx, w, planner.Options{TimeLimit: time.Millisecond, CostsOnly: true, MadeWith: "bench"}) // for the problems alone
	if err != nil {
		return nil, 0, err
	}
	for _, p := range d.Profiles {
		cuts, err := check.Parse(p.Cuts)
		if err != nil {
			return nil, 0, fmt.Errorf("profile %s: %w", p.Name, err)
		}
		problem := problemOf(cuts.Instance)
		if !arcflow.States(problem) {
			others++
			continue
		}
		all = append(all, instances.Instance{Name: fmt.Sprintf("week/%d-%d/%s", week.Frames, week.Seed, p.Name), Problem: problem})
	}
	return all, others, nil
}

// problemOf gives the checker's instance to the solver.
func problemOf(in check.Instance) (p solver.Problem) {
	for _, it := range in.Items {
		p.Items = append(p.Items, solver.Item{Length: it.Length, Demand: it.Demand})
	}
	for _, k := range in.Kinds {
		kind := solver.Kind{Length: k.Length, Cost: k.Cost, Only: k.Only, Limited: k.Limit != nil}
		if k.Limit != nil {
			kind.Limit = *k.Limit
		}
		if c := k.Credit; c != nil {
			kind.Credit = solver.Credit{Keep: c.Keep, Extra: c.Extra, Num: c.Num, Den: c.Den}
		}
		p.Kinds = append(p.Kinds, kind)
	}
	for _, c := range in.Choices {
		choice := solver.Choice{Cost: c.Cost, Most: c.Most}
		for _, g := range c.Gives {
			choice.Gives = append(choice.Gives, solver.Give{Kind: g.Kind, Quantity: g.Quantity})
		}
		for _, a := range c.Asks {
			choice.Asks = append(choice.Asks, solver.Take{Item: a.Item, Quantity: a.Quantity})
		}
		for _, e := range c.In {
			choice.In = append(choice.In, solver.Coef{Row: e.Row, Value: e.Coefficient})
		}
		p.Choices = append(p.Choices, choice)
	}
	for _, row := range in.Rows {
		p.Rows = append(p.Rows, solver.Row{Least: row.Least})
	}
	return p
}
