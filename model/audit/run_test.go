package audit_test

import (
	"maps"
	"slices"
	"testing"

	"longpoint/model"
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

// TestSetByTwins audits by which finished sides stops are set: a frame of which side C is cut and one of which A, B and D are, whose plan says so at the
// cuts of A and of C and nowhere else.
func TestSetByTwins(t *testing.T) {
	w := shoptest.Tiny()
	id := func(job, letter string) model.SideID {
		return model.SideID{Job: job, Frame: "a", Copy: 1, Ring: 1, Letter: letter}
	}
	w.Jobs = model.MarkCut(w.Jobs, []model.SideID{id("101", "C"), id("102", "A"), id("102", "B"), id("102", "D")})
	good := shoptest.MustMake(t, w, planner.Options{})
	if findings := shoptest.MustAudit(t, w, good); len(findings) > 0 {
		t.Fatalf("the document is not good to begin with: %v", findings)
	}
	p := good.Profiles[0]
	said := map[string]string{}
	for _, c := range p.Run.Cuts {
		side := p.Sticks[c.Stick].Sides[c.Side]
		said[side.Job+side.Letter] = c.By
	}
	if want := map[string]string{"101A": "C", "101B": "", "101D": "", "102C": "A"}; !maps.Equal(said, want) {
		t.Errorf("%v, want %v", said, want)
	}
	spoil := func(side string, by, what string) {
		bad := shoptest.CopyOf(t, good)
		for n, c := range p.Run.Cuts {
			if s := p.Sticks[c.Stick].Sides[c.Side]; s.Job+s.Letter == side {
				bad.Profiles[0].Run.Cuts[n].By = by
			}
		}
		shoptest.WantFinding(t, w, bad, "pair", what)
	}
	spoil("101A", "", "is equal to side C, which is cut already")
	spoil("101A", "B", "is equal to side C, which is cut already")
	spoil("101B", "D", "no equal of side B is cut before")
}

// TestEqualLongPoints plans a square and a hexagon of which a side is as long as the other's and takes more of the stick: two lengths to the run, of which the
// stops can stand at one at a time only, however near they may stand.
func TestEqualLongPoints(t *testing.T) {
	w := shoptest.Tiny()
	w.Rack = nil
	w.Machine.Limits.Stops = 2
	hexagon := shoptest.Ring("ash-20", 150*mm, 0)
	hexagon.Size.Shape.Sides = 6
	frame := shoptest.Frame("hexagon", 5, hexagon)
	rings, err := frame.Geometry(w.ProfileByName)
	if err != nil {
		t.Fatal(err)
	}
	long := rings[0].Sides[0].LongPoint
	square := shoptest.Ring("ash-20", 0, 0)
	square.Allowance, square.Size.By = 0, model.ByOutside
	square.Size.Width, square.Size.Height = long, long
	w.Jobs = []model.Job{shoptest.Job("101", "", frame, shoptest.Frame("square", 5, square))}
	for _, order := range []string{plan.StickByStick, plan.StopByStop} {
		d := shoptest.MustMake(t, w, planner.Options{CutOrder: order})
		if findings := shoptest.MustAudit(t, w, d); len(findings) > 0 {
			t.Errorf("%s: %v", order, findings)
		}
		sides := map[model.Length]bool{}
		for _, s := range d.Profiles[0].Sticks {
			for _, side := range s.Sides {
				if side.LongPoint == long {
					sides[side.Takes] = true
				}
			}
		}
		if run := d.Profiles[0].Run; len(sides) != 2 || run.FirstCome < 4 {
			t.Errorf("sides of one length take %v, and %d settings in first-come order: the test says too little", sides, run.FirstCome)
		}
	}
}

// TestPairsInFirstComeOrder cuts two frames whose sides lie in pairs from one stick: in first-come order pair follows pair, so that each length is set once.
func TestPairsInFirstComeOrder(t *testing.T) {
	w := shoptest.TwoSticks(model.Offer{Supplier: "Hill", Price: 1200})
	w.Machine.Limits.Stops = 2
	w.Profiles[0].Match = model.MatchPair
	w.Jobs = []model.Job{shoptest.Job("101", "", shoptest.Frame("a", 1, shoptest.Ring("ash-20", 298*mm, 398*mm)), shoptest.Frame("b", 1, shoptest.Ring("ash-20", 198*mm, 248*mm)))}
	d := shoptest.MustMake(t, w, planner.Options{})
	if findings := shoptest.MustAudit(t, w, d); len(findings) > 0 {
		t.Error(findings)
	}
	if p := d.Profiles[0]; len(p.Sticks) != 1 || p.Run.FirstCome != 4 {
		t.Errorf("%d sticks, and %d settings in first-come order", len(p.Sticks), p.Run.FirstCome)
	}
}
