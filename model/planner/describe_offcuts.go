package planner

import (
	"fmt"

	"longpoint/model"
	"longpoint/model/plan"
)

// nameOffcuts gives every kept offcut an id that is not on the rack, and that no other ever had.
func nameOffcuts(w *model.Workshop, plans []profileOutcome) {
	taken := map[string]bool{}
	for _, s := range w.Rack {
		taken[s.ID] = true
	}
	for _, id := range w.Gone {
		taken[id] = true
	}
	n := 0
	name := func(left *plan.Left) {
		for left.Becomes == plan.Kept && left.ID == "" {
			n++
			if id := fmt.Sprintf("offcut %d", n); !taken[id] {
				left.ID = id
			}
		}
	}
	for p := range plans {
		sticks := plans[p].plan.Sticks
		for s := range sticks {
			for b := range sticks[s].Between {
				name(&sticks[s].Between[b])
			}
			name(&sticks[s].Left)
		}
	}
}
