package main

import (
	"fmt"
	"os"

	"longpoint/bench/arcflow"
	"longpoint/bench/instances"
	"longpoint/bench/workshop"
	"longpoint/model/folder"
	"longpoint/model/planner"
)

// weekProfiles gives the problems of a generated week's profiles that the arc-flow model states: several lengths, limits, bundles and prices that fall with the
// number. Suppliers' terms are left out, so that each profile is a problem of its own. others is how many more there are: with credits, or with lots to match.
func weekProfiles(week workshop.Everything) (all []instances.Instance, others int, err error) {
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
	problems, err := planner.Problems(w, planner.Options{})
	if err != nil {
		return nil, 0, err
	}
	for _, p := range problems {
		if !arcflow.States(p.Problem) {
			others++
			continue
		}
		all = append(all, instances.Instance{Name: fmt.Sprintf("week/%d-%d/%s", week.Frames, week.Seed, p.Profiles[0]), Problem: p.Problem})
	}
	return all, others, nil
}
