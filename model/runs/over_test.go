package runs

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestToldOfComing: of sticks on the way it is told which will have other sides cut from them, and which none at all; what is not ordered yet is nobody's
// stick that anything could be taken from.
func TestToldOfComing(t *testing.T) {
	id := func(letter string) model.SideID {
		return model.SideID{Job: "J", Frame: "f", Copy: 1, Ring: 1, Letter: letter}
	}
	awaited := func(stick string, order int64, letters ...string) Awaited {
		a := Awaited{Stick: stick, Order: order}
		for n, l := range letters {
			a.Sides = append(a.Sides, Side{SideID: id(l), No: n + 1})
		}
		return a
	}
	stick := func(name, from string, letters ...string) plan.Stick {
		s := plan.Stick{ID: name, From: from}
		for _, l := range letters {
			s.Sides = append(s.Sides, plan.Side{SideID: id(l)})
		}
		return s
	}
	o := (&Rest{}).Over(Run{Waiting: []Awaited{awaited("P1-1", 1, "A", "B"), awaited("P1-2", 1, "C"), awaited("P1-3", 1, "D"), awaited("P1-4", 1, "E"), awaited("new 1", 0, "F")}})
	left, coming := o.Coming([]plan.Stick{stick("P1-1", plan.OnTheWay, "B", "A"), stick("P1-2", plan.OnTheWay, "D"), stick("P1-4", plan.OnTheWay, "E", "C")})
	if want := []string{"P1-2", "P1-4"}; !slices.Equal(coming, want) {
		t.Errorf("other sides come from %v, want %v", coming, want)
	}
	if want := []string{"P1-3"}; !slices.Equal(left, want) {
		t.Errorf("nothing more comes from %v, want %v", left, want)
	}
}

// TestKeptNames: a flaw nearer the head makes a sound part more, and the offcut behind it keeps its name.
func TestKeptNames(t *testing.T) {
	s := plan.Stick{Between: []plan.Left{{Length: 28, Becomes: plan.Waste}, {Length: 43, Becomes: plan.Waste}}, Left: plan.Left{Length: 1108, Becomes: plan.Kept}}
	if got := keptNames(s, []string{"", "offcut 1"}); !slices.Equal(got, []string{"", "", "offcut 1"}) {
		t.Errorf("%q", got)
	}
	s.Between[0].Becomes = plan.Kept
	if got := keptNames(s, []string{"offcut 1", "offcut 2"}); !slices.Equal(got, []string{"offcut 1", "", "offcut 2"}) {
		t.Errorf("%q", got)
	}
}
