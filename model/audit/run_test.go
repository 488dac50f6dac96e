package audit_test

import (
	"slices"
	"testing"

	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// runSpoils are ways to spoil the order of cuts of a good document of the fair workshop.
var runSpoils = []struct {
	name  string
	spoil func(*plan.ProfilePlan)
	code  string
	what  string // in a finding of that code
}{
	{"no such order", func(p *plan.ProfilePlan) { p.Run.Order = "as it comes" }, "run", "there is no order"},
	{"a stop more", func(p *plan.ProfilePlan) { p.Run.Stops++ }, "run", "the machine has 2"},
	{"a setting hidden", func(p *plan.ProfilePlan) { p.Run.Settings-- }, "run", "settings: "},
	{"a bound too good", func(p *plan.ProfilePlan) { p.Run.Least++ }, "run", "least number of settings"},
	{"a bound too low", func(p *plan.ProfilePlan) { p.Run.Least-- }, "run", "least number of settings"},
	{"first come made to look bad", func(p *plan.ProfilePlan) { p.Run.FirstCome++ }, "run", "first-come order"},
	{"a pick-up invented", func(p *plan.ProfilePlan) { p.Run.PickUps++ }, "run", "pick-ups: "},
	{"a cut left out", func(p *plan.ProfilePlan) { p.Run.Cuts = p.Run.Cuts[:len(p.Run.Cuts)-1] }, "run", "1 sides of stick"},
	{"a cut twice", func(p *plan.ProfilePlan) { p.Run.Cuts = append(p.Run.Cuts, p.Run.Cuts[0]) }, "run", "is not the next one"},
	{"no cuts", func(p *plan.ProfilePlan) { p.Run.Cuts = nil }, "run", "never cut"},
	{"a side before the one nearer the head", func(p *plan.ProfilePlan) { c := p.Run.Cuts; c[0].Side, c[1].Side = 1, 0 }, "run", "is not the next one"},
	{"no such stick", func(p *plan.ProfilePlan) { p.Run.Cuts[0].Stick = len(p.Sticks) }, "run", "is not the next one"},
	{"no such side", func(p *plan.ProfilePlan) { c := &p.Run.Cuts[len(p.Run.Cuts)-1]; c.Side = 99 }, "run", "is not the next one"},
	{"no such stop", func(p *plan.ProfilePlan) { p.Run.Cuts[3].Stop = 3 }, "run", "has no stop 3"},
	{"the other stop", func(p *plan.ProfilePlan) { c := &p.Run.Cuts[1]; c.Stop = 3 - c.Stop }, "run", "does not stand at"},
	{"a stop never placed", func(p *plan.ProfilePlan) { p.Run.Cuts[0].Placed = false }, "run", "does not stand at"},
	{"a stop placed between a pair", func(p *plan.ProfilePlan) {
		i := slices.IndexFunc(p.Run.Cuts, func(c plan.Cut) bool { return !c.Placed })
		p.Run.Cuts[i].Placed = true
		p.Run.Settings++
	}, "pair", "from another setting than its equal"},
	{"more left than there is", func(p *plan.ProfilePlan) { p.Run.Cuts[2].Left += mm }, "run", "is left of the stick"},
	{"sticks out of order", func(p *plan.ProfilePlan) {
		for i := range p.Run.Cuts {
			if c := &p.Run.Cuts[i]; c.Stick < 2 {
				c.Stick = 1 - c.Stick
			}
		}
		p.Sticks[0], p.Sticks[1] = p.Sticks[1], p.Sticks[0]
	}, "run", "stick 2 is taken before stick 1"},
}

func TestSpoiledRuns(t *testing.T) {
	w := shoptest.Fair()
	good := shoptest.MustMake(t, w, planner.Options{})
	if findings := shoptest.MustAudit(t, w, good); len(findings) > 0 {
		t.Fatalf("the document is not good to begin with: %v", findings)
	}
	for _, tt := range runSpoils {
		t.Run(tt.name, func(t *testing.T) {
			bad := shoptest.CopyOf(t, good)
			tt.spoil(&bad.Profiles[0])
			shoptest.WantFinding(t, w, bad, tt.code, tt.what)
		})
	}
}

// TestSpoiledStopByStop sets a length twice where each is to be set once.
func TestSpoiledStopByStop(t *testing.T) {
	w := shoptest.Fair()
	bad := shoptest.MustMake(t, w, planner.Options{CutOrder: plan.StopByStop})
	if findings := shoptest.MustAudit(t, w, bad); len(findings) > 0 {
		t.Fatalf("the document is not good to begin with: %v", findings)
	}
	r := &bad.Profiles[0].Run
	i := slices.IndexFunc(r.Cuts, func(c plan.Cut) bool { return !c.Placed })
	r.Cuts[i].Placed = true
	r.Settings++
	shoptest.WantFinding(t, w, bad, "run", "is set 2 times")
}

// TestRunOfAnotherMachine audits a run against a machine whose stops cannot stand where it has them.
func TestRunOfAnotherMachine(t *testing.T) {
	w := shoptest.Fair()
	w.Machine.Limits.StopGap.Length = 0
	d := shoptest.MustMake(t, w, planner.Options{})
	w.Machine.Limits.StopGap.Length = 5000 * mm
	shoptest.WantFinding(t, w, d, "run", "does not stand at")
}
