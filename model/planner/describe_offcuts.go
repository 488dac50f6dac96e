package planner

import (
	"fmt"

	"longpoint/model"
	"longpoint/model/plan"
)

// nameOffcuts gives every kept offcut an id that is not on the rack yet.
func nameOffcuts(w *model.Workshop, plans []profileOutcome) {
	onRack := map[string]bool{}
	for _, s := range w.Rack {
		onRack[s.ID] = true
	}
	n := 0
	name := func(left *plan.Left) {
		for left.Becomes == plan.Kept && left.ID == "" {
			n++
			if id := fmt.Sprintf("offcut %d", n); !onRack[id] {
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
