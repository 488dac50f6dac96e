package planner_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
	"longpoint/model/stock"
)

// mustRemake plans the rest of a plan and holds what must be true of any such plan: it passes the audit against the workshop
// that is left, it costs what a plan made from nothing costs, with the same bound and grade, and its sides are all those that
// are not done.
func mustRemake(t *testing.T, w *model.Workshop, d *plan.Document, events []stock.Event) *planner.Remade {
	t.Helper()
	r, err := planner.Remake(t.Context(), w, d, events, planner.Options{On: shoptest.Today, Verify: shoptest.Checker, MadeWith: "longpoint test", TimeLimit: shoptest.Ample})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range shoptest.MustAudit(t, r.Workshop, r.Plan) {
		t.Errorf("audit: %s %s", f.Code, f)
	}
	fresh := shoptest.MustMake(t, r.Workshop, planner.Options{Profiles: d.Only, Until: until(d)})
	if a, b := fresh.Total, r.Plan.Total; a.Figures.Cost != b.Figures.Cost || a.Bound != b.Bound || a.Grade != b.Grade || a.FirstFit != b.FirstFit {
		t.Errorf("made from nothing it is\n%+v\nand this is\n%+v", a, b)
	}
	if got := r.Changes.Done + r.Plan.Total.Figures.Sides; got != d.Total.Figures.Sides {
		t.Errorf("%d sides are done or planned, of %d", got, d.Total.Figures.Sides)
	}
	return r
}

func until(d *plan.Document) model.Date {
	if d.Until == "" {
		return model.Date{}
	}
	return shoptest.DayOf(d.Until)
}

// TestRemakeNothing: where nothing has happened nothing changes, for a plan that was cheapest is so still when its new sticks
// are bought. The runs are the old ones.
func TestRemakeNothing(t *testing.T) {
	rows := []struct {
		name  string
		w     *model.Workshop
		order string
	}{{"fair", shoptest.Fair(), plan.StickByStick}, {"fair, by stops", shoptest.Fair(), plan.StopByStop}, {"plain", shoptest.PlainWorkshop(t), plan.StickByStick}}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			w := row.w
			d := shoptest.MustMake(t, w, planner.Options{CutOrder: row.order})
			r := mustRemake(t, w, d, nil)
			for n, p := range d.Profiles {
				if now := r.Plan.Profiles[n].Run; !reflect.DeepEqual(now, p.Run) {
					t.Errorf("%s: the run was\n%+v\nand is\n%+v", p.Name, p.Run, now)
				}
			}
			if c := r.Changes; c.Kept != d.Total.Figures.Sticks() || c.Changed != 0 || c.Moved != 0 || c.Done != 0 || c.Again != 0 {
				t.Errorf("of %d sticks: %+v", d.Total.Figures.Sticks(), c)
			}
			if len(r.Plan.Buy) != 0 {
				t.Errorf("bought a second time: %+v", r.Plan.Buy)
			}
			holdKept(t, w, d, r, nil)
		})
	}
}

// holdKept counts again, from the two documents, how many sticks with sides still to cut are as they were, and compares the
// count with what is claimed.
func holdKept(t *testing.T, w *model.Workshop, d *plan.Document, r *planner.Remade, events []stock.Event) {
	t.Helper()
	cut := map[string]int{}
	for _, e := range events {
		if e.Became.OfSide() {
			cut[e.Profile+"/"+e.Stick] = max(cut[e.Profile+"/"+e.Stick], e.Side)
		}
	}
	now := map[string][]plan.Side{}
	for _, p := range r.Plan.Profiles {
		for _, s := range p.Sticks {
			if s.From == plan.FromRack {
				now[p.Name+"/"+s.ID] = s.Sides
			}
		}
	}
	kept, all := 0, 0
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			left := s.Sides[cut[p.Name+"/"+s.ID]:]
			if len(left) == 0 {
				continue
			}
			all++
			id := p.Name + "/" + s.ID
			if s.From == plan.Bought {
				id = p.Name + "/" + p.Name + " " + s.ID
				if slices.ContainsFunc(w.Rack, func(r model.Stick) bool { return r.ID == p.Name+" "+s.ID }) {
					id += " (2)"
				}
			}
			same := true
			for n := range left {
				moved := left[n]
				if cut := len(s.Sides) - len(left); cut > 0 { // half of what a side takes beyond its long point lies at each end
					last := s.Sides[cut-1]
					moved.Start -= last.Start - (last.Takes-last.LongPoint)/2 + last.Takes - p.HeadTrim
				}
				same = same && slices.Contains(now[id], moved)
			}
			if same {
				kept++
			}
		}
	}
	if r.Changes.Kept != kept || r.Changes.Changed != all-kept {
		t.Errorf("%d sticks of %d are as they were, and it says %+v", kept, all, r.Changes)
	}
}

// TestRemakeTorn: one side of each profile's first stick is torn when everything else is still to be cut. One side more changes a
// stick or two, not the whole week, unless that is cheaper: of black-20 it leaves two offcuts of the rack, worth 2.08, that were to be cut up.
func TestRemakeTorn(t *testing.T) {
	most := map[string]int{"black-20": 10}
	w := shoptest.PlainWorkshop(t)
	d := shoptest.MustMake(t, w, planner.Options{})
	for _, p := range d.Profiles {
		events := []stock.Event{{Profile: p.Name, Stick: p.Sticks[0].ID, Side: 1, Became: stock.Torn}}
		r := mustRemake(t, w, d, events)
		holdKept(t, w, d, r, events)
		if c := r.Changes; c.Again != 1 || c.Kept+c.Changed < d.Total.Figures.Sticks()-1 || c.Changed > max(3, most[p.Name]) {
			t.Errorf("%s: %+v", p.Name, c)
		}
	}
}

// TestRemakeTogether: one side is torn where suppliers' terms bind all profiles together, some of which have frames to match. All but
// a few sticks stay as they are marked out, also where what is missing must be ordered, with more than is needed.
func TestRemakeTogether(t *testing.T) {
	w := shoptest.DemoWorkshop(t)
	d := shoptest.MustMake(t, w, planner.Options{})
	if len(d.Together) != 1 || len(d.Together[0].Profiles) != len(d.Profiles) {
		t.Fatalf("planned together: %+v", d.Together)
	}
	ordered := 0
	for _, name := range []string{"oak-32", "oak-56", "maple-1in", "white-1.5in", "walnut-45"} {
		p := d.Profiles[slices.IndexFunc(d.Profiles, func(p plan.ProfilePlan) bool { return p.Name == name })]
		events := []stock.Event{{Profile: p.Name, Stick: p.Sticks[0].ID, Side: 1, Became: stock.Torn}}
		r := mustRemake(t, w, d, events)
		holdKept(t, w, d, r, events)
		if c := r.Changes; c.Again != 1 || c.Kept+c.Changed < d.Total.Figures.Sticks()-1 || c.Changed > 5 || len(r.Anew) > 0 {
			t.Errorf("%s: %+v, anew %v", p.Name, c, r.Anew)
		}
		if g := r.Plan.Together[0]; g.Grade != plan.Proven || len(g.Cuts) > 0 {
			t.Errorf("%s: %s (%s)", p.Name, g.Grade, g.Reason)
		}
		for _, o := range r.Plan.Orders {
			if o.LeastSticks > 0 || o.LeastMoney > 0 {
				ordered++
			}
		}
	}
	if ordered < 2 {
		t.Errorf("%d orders that must come to something: that tests little", ordered)
	}
}

// TestRemakeBreak: what an order must have is bought in a number that has another price than the number of the rest would have.
func TestRemakeBreak(t *testing.T) {
	w := shoptest.TwoSticks(
		model.Offer{Supplier: "Hill", Price: 1200},
		model.Offer{Supplier: "Hill", Price: 1100, From: 3},
		model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 5000},
	)
	w.Suppliers = []model.Supplier{{Name: "Hill", LeastSticks: 3}}
	slip := w.Profiles[0]
	slip.Name, slip.Width, slip.Rebate = "slip-12", 12*mm, 6*mm
	w.Profiles = append(w.Profiles, slip)
	w.Jobs = []model.Job{shoptest.Job("1", "", shoptest.Frame("a", 3, shoptest.Ring("ash-20", 1200*mm, 1200*mm))), shoptest.Job("2", "", shoptest.Frame("a", 1, shoptest.Ring("slip-12", 598*mm, 598*mm)))}
	for i := range 6 {
		w.Rack = append(w.Rack, model.Stick{ID: fmt.Sprint("a", i), Profile: "ash-20", Length: 3000 * mm})
	}
	for i := range 2 {
		w.Rack = append(w.Rack, model.Stick{ID: fmt.Sprint("s", i), Profile: "slip-12", Length: 2400 * mm})
	}
	d := shoptest.MustMake(t, w, planner.Options{})
	r := mustRemake(t, w, d, []stock.Event{{Profile: "ash-20", Stick: d.Profiles[0].Sticks[0].ID, Side: 1, Became: stock.Torn}})
	if want := "Hill ash-20 3×1 at 1100, 2 spare"; bought(r.Plan) != want || r.Changes.Kept == 0 {
		t.Errorf("bought %s, want %s; %+v", bought(r.Plan), want, r.Changes)
	}
}

// TestRemakeRun: one side after another is torn, in each order of cuts. The sides that are equal to it lie on sticks that stay
// as they are marked out, and it must be cut from their setting.
func TestRemakeRun(t *testing.T) {
	w := shoptest.Fair()
	for _, how := range []string{plan.StickByStick, plan.StopByStop} {
		d := shoptest.MustMake(t, w, planner.Options{CutOrder: how})
		torn := 0
		for _, p := range d.Profiles {
			for _, s := range p.Sticks {
				events := []stock.Event{{Profile: p.Name, Stick: s.ID, Side: 1, Became: stock.Torn}}
				r := mustRemake(t, w, d, events)
				holdKept(t, w, d, r, events)
				if r.Changes.Changed > 3 {
					t.Errorf("%s, stick %s: %+v", p.Name, s.ID, r.Changes)
				}
				for n := range r.Plan.Profiles {
					now := &r.Plan.Profiles[n]
					shoptest.HoldRun(t, r.Workshop, now)
					if now.Run.Order != how {
						t.Errorf("the order was %s and is %s", how, now.Run.Order)
					}
				}
				torn++
			}
		}
		if torn < 5 {
			t.Errorf("%s: %d sticks: that tests nothing", how, torn)
		}
	}
}

// TestRemakeOtherGap: the stops may not stand as near to each other any more as the run has them.
func TestRemakeOtherGap(t *testing.T) {
	w := shoptest.Fair()
	d := shoptest.MustMake(t, w, planner.Options{})
	w.Machine.Limits.StopGap.Length = 300 * mm
	r := mustRemake(t, w, d, nil)
	for n := range r.Plan.Profiles {
		shoptest.HoldRun(t, w, &r.Plan.Profiles[n])
	}
}

// TestRemakeStrangeRun: of a plan whose run does not hold the sides are put in order anew.
func TestRemakeStrangeRun(t *testing.T) {
	w := shoptest.Fair()
	for name, spoil := range map[string]func(r *plan.Run){
		"no cuts":           func(r *plan.Run) { r.Cuts = nil },
		"no such stick":     func(r *plan.Run) { r.Cuts[0].Stick = 99 },
		"no such side":      func(r *plan.Run) { r.Cuts[0].Side = 99 },
		"no such stop":      func(r *plan.Run) { r.Cuts[0].Stop = 3 },
		"a side twice":      func(r *plan.Run) { r.Cuts = append(r.Cuts, r.Cuts[0]) },
		"one for another":   func(r *plan.Run) { r.Cuts[len(r.Cuts)-1] = r.Cuts[0] },
		"not from the head": func(r *plan.Run) { slices.Reverse(r.Cuts) },
		"one stop only": func(r *plan.Run) {
			for n := range r.Cuts {
				r.Cuts[n].Stop = 1
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			d := shoptest.MustMake(t, w, planner.Options{})
			for n := range d.Profiles {
				spoil(&d.Profiles[n].Run)
			}
			mustRemake(t, w, d, nil)
		})
	}
}

// TestRemakeSeeds: seeded mishaps of every kind in the middle of a week, and a second round of them after the first. The week is a
// plain one, in which each profile is proven by itself.
func TestRemakeSeeds(t *testing.T) {
	rounds := 5
	if testing.Short() {
		rounds = 3
	}
	w := shoptest.PlainWorkshop(t)
	d := shoptest.MustMake(t, w, planner.Options{Until: shoptest.DayOf("2027-03-19")})
	kept, changed := 0, 0
	for seed := range rounds {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			g := rand.New(rand.NewPCG(uint64(seed), 1))
			events := mishaps(g, d)
			r := mustRemake(t, w, d, events)
			holdKept(t, w, d, r, events)
			kept, changed = kept+r.Changes.Kept, changed+r.Changes.Changed
			second := mishaps(g, r.Plan)
			again := mustRemake(t, r.Workshop, r.Plan, second)
			holdKept(t, r.Workshop, r.Plan, again, second)
		})
	}
	if kept == 0 || changed == 0 {
		t.Errorf("%d sticks kept and %d changed: that tests nothing", kept, changed)
	}
	t.Logf("%d sticks kept, %d changed", kept, changed)
}

// TestRemakeKeepsMost: of weeks in which keeping sticks from the first on is not the best way, most stay as they are marked out. Of these four 97 do; from the first on alone
// it is 87.
func TestRemakeKeepsMost(t *testing.T) {
	w := shoptest.PlainWorkshop(t)
	d := shoptest.MustMake(t, w, planner.Options{Until: shoptest.DayOf("2027-03-19")})
	kept := 0
	for _, seed := range []uint64{24, 42, 46, 49} {
		r, err := planner.Remake(t.Context(), w, d, mishaps(rand.New(rand.NewPCG(seed, 77)), d), planner.Options{On: shoptest.Today, MadeWith: "longpoint test", TimeLimit: shoptest.Ample})
		if err != nil {
			t.Fatal(err)
		}
		kept += r.Changes.Kept
	}
	if kept < 94 {
		t.Errorf("only %d sticks stay as they are marked out", kept)
	}
}

// mishaps makes up what became of some of a plan's sticks.
func mishaps(g *rand.Rand, d *plan.Document) (events []stock.Event) {
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			e := stock.Event{Profile: p.Name, Stick: s.ID}
			cut := 0
			if g.IntN(3) == 0 {
				cut = g.IntN(len(s.Sides) + 1)
			}
			end := p.HeadTrim
			for n := range cut {
				e.Side, e.Became = n+1, []stock.Became{stock.Done, stock.Done, stock.Done, stock.Short, stock.Torn}[g.IntN(5)]
				events = append(events, e)
				end += s.Sides[n].Takes
			}
			e.Side = 0
			switch mishap := g.IntN(12); {
			case mishap == 0 && cut == 0 && s.From == plan.Bought: // it never came; what is missing can be bought
				e.Became = stock.Missing
			case mishap == 1:
				e.Became, e.Length = stock.Shorter, max(s.Length-model.Length(1+g.IntN(40))*mm, end)
				if e.Length >= s.Length {
					continue
				}
			case mishap == 2:
				e.Became = stock.Flawed
				e.Flaw.From = end + model.Length(g.Int64N(int64(s.Length-end)))
				e.Flaw.To = min(e.Flaw.From+50*mm, s.Length)
			default:
				continue
			}
			events = append(events, e)
		}
	}
	return events
}

// TestRemakeKeepsBegun: a stick that is begun goes on without a second head trim, and its kept offcut keeps its name.
func TestRemakeKeepsBegun(t *testing.T) {
	w, _ := shoptest.Hall(t)
	w.Rack[0].Length -= 416 * mm // four sides and two trims: no nanometre to spare
	d := shoptest.MustMake(t, w, planner.Options{})
	r := mustRemake(t, w, d, []stock.Event{shoptest.Event(1, stock.Done), shoptest.Event(2, stock.Done)})
	if c := r.Changes; c != (planner.Changes{Done: 2, Kept: 1}) {
		t.Fatalf("%+v", c)
	}
	s := r.Plan.Profiles[0].Sticks[0]
	if len(r.Plan.Buy) != 0 || s.ID != "r1" || len(s.Sides) != 2 || s.Sides[0].Letter != d.Profiles[0].Sticks[0].Sides[2].Letter {
		t.Errorf("%+v", s)
	}
	next, err := stock.After(r.Workshop, r.Plan)
	if err != nil {
		t.Fatal(err)
	}
	if len(next.Rack) != 0 || len(next.Jobs) != 0 {
		t.Errorf("left over: %+v, %+v", next.Rack, next.Jobs)
	}

	w, d = shoptest.Hall(t)
	d.Profiles[0].Sticks[0].Left.ID = "the good end"
	r = mustRemake(t, w, d, []stock.Event{shoptest.Event(1, stock.Done)})
	if left := r.Plan.Profiles[0].Sticks[0].Left; left != (plan.Left{Length: 436 * mm, Becomes: plan.Kept, ID: "the good end"}) {
		t.Errorf("%+v", left)
	}
}

// TestRemakeGoesOnWithBegun: the stick in the machine is laid aside for a shorter one of the rack, r2, only where the offcut that it would become is
// worth more. Of r1 436 mm are left, at 4.00 a metre times the share, and no more by length than r1, which is worth 2.00 a metre.
func TestRemakeGoesOnWithBegun(t *testing.T) {
	for _, row := range []struct {
		share int
		from  string
		worth model.Money
	}{{0, "r1", 0}, {20, "r1", 34}, {45, "r1", 78}, {60, "r2", 80}} {
		t.Run(fmt.Sprint("offcut_share ", row.share), func(t *testing.T) {
			w, _ := shoptest.Hall(t)
			w.Defaults.OffcutShare = row.share
			w.Rack = append(w.Rack, model.Stick{ID: "r2", Profile: "ash-20", Length: 400 * mm})
			d := shoptest.MustMake(t, w, planner.Options{})
			if got := len(d.Profiles[0].Sticks); got != 1 {
				t.Fatalf("%d sticks", got)
			}
			r := mustRemake(t, w, d, shoptest.TornAfter("ash-20", "r1", 4))
			s := r.Plan.Profiles[0].Sticks[0]
			if s.ID != row.from || s.Cost != row.worth {
				t.Errorf("the side is made again from %s, worth %d; want %s, worth %d", s.ID, s.Cost, row.from, row.worth)
			}
		})
	}
}

// TestRemakeFlawedBegun: of a begun stick with a flaw each sound part counts as the offcut that it becomes, for plan and audit alike.
func TestRemakeFlawedBegun(t *testing.T) {
	w, _ := shoptest.Hall(t)
	w.Defaults.OffcutShare = 20
	w.Rack[0].Length = 2700 * mm
	d := shoptest.MustMake(t, w, planner.Options{})
	events := append(shoptest.TornAfter("ash-20", "r1", 3), stock.Event{Profile: "ash-20", Stick: "r1", Became: stock.Flawed, Flaw: model.Span{From: 1900 * mm, To: 1950 * mm}})
	r := mustRemake(t, w, d, events)
	var worth model.Money
	for _, s := range r.Workshop.Rack {
		if s.ID == "r1" {
			worth = r.Workshop.StickValue(s)
		}
	}
	// 3,000 mm cost 12.00. Three sides took 1,208 or 1,108 mm; behind the head trim 20 % of the price of both parts is left.
	parts := model.Length(2700-50-20)*mm - (d.Profiles[0].Sticks[0].Sides[2].Start + d.Profiles[0].Sticks[0].Sides[2].LongPoint + 3*mm - 20*mm)
	if most := model.Money(int64(parts) * 80 / int64(1000*mm)); worth > most || worth < most-1 {
		t.Errorf("what is left is worth %d, want %d", worth, most)
	}
}

// TestRemakeCannot: what cannot be cut from what is left.
func TestRemakeCannot(t *testing.T) {
	w, d := shoptest.Hall(t)
	w.Offers = nil
	_, err := planner.Remake(t.Context(), w, d, []stock.Event{shoptest.Event(1, stock.Torn), shoptest.Event(2, stock.Torn)}, planner.Options{Verify: shoptest.Checker})
	if err == nil {
		t.Error("two sides came from nowhere")
	}
}
