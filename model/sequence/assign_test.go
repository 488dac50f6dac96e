package sequence

import (
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/sequence/stops"
)

// TestDealSizes deals a frame of four equal sides and one of two to a run that sets their length twice: for two pieces, then for
// four. The frame that comes first does not fit the first setting.
func TestDealSizes(t *testing.T) {
	side := func(frame, letter string) plan.Side {
		return plan.Side{SideID: model.SideID{Job: "1", Frame: frame, Copy: 1, Ring: 1, Letter: letter}, Of: 4, LongPoint: 300, Takes: 310}
	}
	stick := plan.Stick{Length: 5000, Sides: []plan.Side{side("square", "A"), side("square", "B"), side("square", "C"), side("square", "D"),
		side("tall", "A"), side("tall", "C")}}
	q := newRunProblem(&model.Workshop{}, "", []plan.Stick{stick})
	run := stops.Plan{Settings: 2}
	for n := range 6 {
		cut := stops.Cut{Stop: 1, Placed: n == 0 || n == 2}
		if n >= 2 {
			cut.Standing = 1
		}
		run.Cuts = append(run.Cuts, cut)
	}
	a := q.newAssigner(run)
	for n, c := range run.Cuts {
		want := "tall"
		if n >= 2 {
			want = "square"
		}
		if got := a.next(c); got.Frame != want {
			t.Errorf("cut %d is of frame %s, not %s", n, got.Frame, want)
		}
	}
}

// TestDealMates deals to each stick the sides of a frame that has a side there already.
func TestDealMates(t *testing.T) {
	side := func(frame, letter string, longPoint model.Length) plan.Side {
		return plan.Side{SideID: model.SideID{Job: "1", Frame: frame, Copy: 1, Ring: 1, Letter: letter}, Of: 4, LongPoint: longPoint, Takes: longPoint + 10}
	}
	stick := func(f1, f2 string) plan.Stick {
		return plan.Stick{Length: 5000, Sides: []plan.Side{side(f1, "B", 400), side(f1, "D", 400), side(f2, "A", 300), side(f2, "C", 300)}}
	}
	sticks := []plan.Stick{stick("a", "b"), stick("b", "a")}
	q := newRunProblem(&model.Workshop{}, "", sticks)
	none := func(plan.Side) model.Length { return 0 }
	laid, _ := q.layOut(Memory(nil).solve(q, plan.StickByStick), plan.StickByStick, sticks, none)
	for _, s := range laid {
		for _, one := range s.Sides {
			if one.Frame != s.Sides[0].Frame {
				t.Errorf("sides of frames %s and %s on one stick", s.Sides[0].Frame, one.Frame)
			}
		}
	}
}
