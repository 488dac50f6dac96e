package planner

import (
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestOffcutNamesAreNotUsedTwice: neither a name on the rack nor one that an offcut once had is given again.
func TestOffcutNamesAreNotUsedTwice(t *testing.T) {
	plans := []profileOutcome{{plan: plan.ProfilePlan{Sticks: []plan.Stick{{Left: plan.Left{Becomes: plan.Kept}}, {Left: plan.Left{Becomes: plan.Kept}}}}}}
	nameOffcuts(&model.Workshop{Rack: []model.Stick{{ID: "offcut 3"}}, Gone: []string{"offcut 1", "offcut 2"}}, plans)
	for i, want := range []string{"offcut 4", "offcut 5"} {
		if got := plans[0].plan.Sticks[i].Left.ID; got != want {
			t.Errorf("the offcut is called %q, want %q", got, want)
		}
	}
}
