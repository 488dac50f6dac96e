package page

import (
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// TestWhatIsLeft: with the last cut off a stick for now the bench says what to do with what is left of it: lay it aside where more comes off it, keep it
// where it goes on the rack, and nothing where it is waste; and where a stick comes again, to take it up.
func TestWhatIsLeft(t *testing.T) {
	side := func(letter string) plan.Side {
		return plan.Side{SideID: model.SideID{Job: "J", Frame: "f", Copy: 1, Ring: 1, Letter: letter}, LongPoint: 400}
	}
	pp := plan.ProfilePlan{Sticks: []plan.Stick{
		{ID: "R1", Sides: []plan.Side{side("A"), side("B")}, Left: plan.Left{Becomes: plan.Kept, Length: 900}},
		{ID: "R2", Sides: []plan.Side{side("C")}, Left: plan.Left{Becomes: plan.Waste, Length: 9}},
	}}
	cut := func(no, stick, of int, left string) *benchCut {
		s := pp.Sticks[stick]
		return &benchCut{No: no, Stick: s.ID, Letter: s.Sides[of].Letter, Job: "J", Left: left, Stop: 1, at: [2]int{stick, of}}
	}
	s := &benchState{Cuts: []*benchCut{cut(1, 0, 0, "1300 mm"), cut(2, 1, 0, "9 mm"), cut(3, 0, 1, "900 mm")},
		d: &runs.Document{Plan: &plan.Document{Profiles: []plan.ProfilePlan{pp}}, Became: [][][]string{{{runs.ToCut, runs.ToCut}, {runs.ToCut}}}, Stand: []plan.Standing{plan.NewStanding(model.Machine{})}}}
	s.follow()
	for i, want := range []string{
		"Lay R1 aside, 1300 mm: 1 more side comes off it. Then side C of job J off R2",
		"Take up R1 again. Then side B of job J off R1",
		"Keep what is left of R1, 900 mm. This is the last cut of the run.",
	} {
		if got := s.Cuts[i].Next; !strings.HasPrefix(got, want) {
			t.Errorf("with cut %d: %q, want %q", i+1, got, want)
		}
	}
}
