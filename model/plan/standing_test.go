package plan_test

import (
	"fmt"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestStanding follows the stops of a machine with a gap of 60 mm between them through cuts, each "stop job.letter length": what is set, and by which
// finished side.
func TestStanding(t *testing.T) {
	for _, row := range []struct {
		name string
		cuts string
		want string // a cut each: "-" the stop stays, "set" it is set, and then by which finished side
	}{
		{"twins from one setting", "1 a.A 400; 1 a.C 400", "set; -"},
		{"a twin after the stop was elsewhere", "1 a.A 400; 1 a.B 300; 1 a.C 400", "set; set; set A"},
		{"another frame's side does no harm", "1 a.A 400; 1 b.A 400; 1 a.C 400", "set; -; -"},
		{"the stop stands for another frame", "1 a.A 400; 1 a.B 300; 1 b.A 400; 1 a.C 400", "set; set; set; - A"},
		{"two stops keep both", "1 a.A 400; 2 a.B 300; 1 a.C 400; 2 a.D 300", "set; set; -; -"},
		{"two stops too near each other", "1 a.A 400; 2 a.B 350; 1 a.C 400; 2 a.D 350", "set; set; set A; set B"},
		{"the one across the frame, of four that are equal", "1 a.B 400; 1 a.C 400; 1 b.A 300; 1 a.A 400; 1 a.D 400", "set; -; set; set C; -"},
		{"once it is set by one, its equals need none", "1 a.A 400; 1 b.B 300; 1 a.C 400; 1 a.D 400", "set; set; set A; -"},
		{"the same side again is no twin of itself", "1 a.A 400; 1 b.B 300; 1 a.A 400", "set; set; set"},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := plan.NewStanding(model.Machine{Limits: model.Limits{Stops: 2, StopGap: model.OptionalLength{Length: 60, Given: true}}})
			before := s.Clone()
			var got []string
			for _, cut := range strings.Split(row.cuts, "; ") {
				var stop int
				var which string
				var long model.Length
				if _, err := fmt.Sscan(cut, &stop, &which, &long); err != nil {
					t.Fatal(err)
				}
				job, letter, _ := strings.Cut(which, ".")
				side := plan.Side{SideID: model.SideID{Job: job, Frame: "f", Copy: 1, Ring: 1, Letter: letter}, Of: 4, LongPoint: long, Takes: long + 6}
				stands := s.Stands(stop, side)
				placed, by := s.Cut(stop, side)
				if placed == stands {
					t.Errorf("%s: the stop stands at it: %v, and is set: %v", cut, stands, placed)
				}
				got = append(got, strings.TrimSpace(map[bool]string{true: "set ", false: "- "}[placed]+by))
			}
			if strings.Join(got, "; ") != row.want {
				t.Errorf("%s, want %s", strings.Join(got, "; "), row.want)
			}
			if placed, by := before.Cut(1, plan.Side{LongPoint: 400, Takes: 406}); !placed || by != "" {
				t.Error("what is cut at one is cut at its copy too")
			}
		})
	}
}

// TestSpoiltIsNoTwin: by a side that is spoilt no stop is set.
func TestSpoiltIsNoTwin(t *testing.T) {
	s := plan.NewStanding(model.Machine{})
	side := func(letter string) plan.Side {
		return plan.Side{SideID: model.SideID{Job: "a", Frame: "f", Copy: 1, Ring: 1, Letter: letter}, Of: 4, LongPoint: 400, Takes: 406}
	}
	s.HasCut(side("A"))
	if _, by := s.Clone().Cut(1, side("C")); by != "A" {
		t.Errorf("set by %q", by)
	}
	s.Spoilt(side("A"))
	if _, by := s.Unknown().Cut(1, side("C")); by != "" {
		t.Errorf("set by %q, which is spoilt", by)
	}
}
