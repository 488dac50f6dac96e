package stock_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
	"longpoint/model/stock"
)

// TestAfterMarket: every kept part of a damaged stick goes on the rack, and so do the sticks of a bundle that nothing is cut from.
func TestAfterMarket(t *testing.T) {
	w := shoptest.Market()
	yew := &w.Profiles[3]
	yew.Keep = 20 * mm // so that both parts of y4 leave something
	d := shoptest.MustMake(t, w, planner.Options{On: shoptest.DayOf("2027-01-05")})
	next, err := stock.After(w, d)
	if err != nil {
		t.Fatal(err)
	}
	balance(t, w, d, next)
	if err := next.Check(); err != nil {
		t.Error(err)
	}
	y4 := shoptest.DamagedStick(d)
	if len(y4.Between) != 1 || y4.Between[0].Becomes != plan.Kept || y4.Left.Becomes != plan.Kept {
		t.Fatalf("of y4 is left %+v and %+v", y4.Between, y4.Left)
	}
	for _, left := range []plan.Left{y4.Between[0], y4.Left} {
		n := slices.IndexFunc(next.Rack, func(s model.Stick) bool { return s.ID == left.ID })
		if n < 0 {
			t.Errorf("%q is not on the rack", left.ID)
			continue
		}
		want := model.Stick{ID: left.ID, Profile: "yew-20", Length: left.Length, Place: "bay 3", Lot: "stick y4", Offcut: true}
		if diff := cmp.Diff(want, next.Rack[n]); diff != "" {
			t.Errorf("%s (-want +got):\n%s", left.ID, diff)
		}
	}
	for _, id := range []string{"spare 1", "spare 2"} {
		if !slices.ContainsFunc(next.Rack, func(s model.Stick) bool { return s.ID == id && s.Profile == "elm-20" && s.Length == 3000*mm }) {
			t.Errorf("%q of the bundle of elm is not on the rack", id)
		}
	}
}

// TestAfterLots: what was bought together is one lot, where frames are matched by it, and what was bought another day is another.
func TestAfterLots(t *testing.T) {
	w := shoptest.Market()
	w.Rack = nil
	w.Jobs[len(w.Jobs)-1].Frames[0].Quantity = 3 // more than one new stick of yew
	d := shoptest.MustMake(t, w, planner.Options{Profiles: []string{"yew-20"}})
	next, err := stock.After(w, d)
	if err != nil {
		t.Fatal(err)
	}
	again, err := stock.After(next.WithJobs(w.Jobs), shoptest.MustMake(t, next.WithJobs(w.Jobs), planner.Options{Profiles: []string{"yew-20"}}))
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for _, s := range slices.Concat(next.Rack, again.Rack) {
		found[s.Lot] = true
	}
	if len(next.Rack) == 0 || !found["from Moor"] || !found["from Moor (2)"] || found[""] {
		t.Errorf("lots %v on %+v", found, next.Rack)
	}
}

// TestRoundOfSmallWorkshops carries, mishandles and remakes plans of seeded workshops with bundles, breaks, terms, damage, lots,
// matching, patterns and credits.
func TestRoundOfSmallWorkshops(t *testing.T) {
	seeds := uint64(400)
	if testing.Short() {
		seeds = 40
	}
	planned, kept, changed, anew, between, spare := 0, 0, 0, 0, 0, 0
	for seed := range seeds {
		g := rand.New(rand.NewPCG(seed, 7))
		w := shoptest.SmallWorkshop(g)
		if w.Check() != nil {
			continue // two offers drawn alike
		}
		d, err := planner.Make(t.Context(), w, planner.Options{Verify: shoptest.Checker})
		if err != nil {
			continue
		}
		planned++
		next, err := stock.After(w, d)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		balance(t, w, d, next)
		if err := next.Check(); err != nil || len(next.Jobs) != 0 {
			t.Errorf("seed %d: %v, %d jobs left", seed, err, len(next.Jobs))
		}
		ids := 0
		for _, p := range d.Profiles {
			for _, s := range p.Sticks {
				for _, left := range s.Lefts() {
					if left.Becomes == plan.Kept {
						ids++
						if !slices.ContainsFunc(next.Rack, func(r model.Stick) bool { return r.ID == left.ID && r.Length == left.Length && len(r.Damage) == 0 }) {
							t.Errorf("seed %d: %q is not on the rack", seed, left.ID)
						}
					}
				}
				between += len(s.Between)
			}
		}
		for _, line := range d.Buy {
			ids += line.Spare
			spare += line.Spare
		}
		if got := len(next.Rack) - len(w.Rack) + d.Total.Figures.RackSticks; got != ids {
			t.Errorf("seed %d: %d pieces came to the rack, want %d", seed, got, ids)
		}
		// What is remade may be impossible: the frame may have been the only one that a lot or a rack could give.
		events := smallMishaps(g, w, d)
		r, err := planner.Remake(t.Context(), w, d, events, planner.Options{Verify: shoptest.Checker, TimeLimit: shoptest.Ample})
		if err != nil {
			if now, e := stock.Midway(w, d, events); e != nil {
				t.Errorf("seed %d: %v", seed, e)
			} else if _, e := planner.Make(t.Context(), now, planner.Options{Verify: shoptest.Checker}); e == nil {
				t.Errorf("seed %d: the rest can be planned, and it says %v", seed, err)
			}
			continue
		}
		for _, f := range shoptest.MustAudit(t, r.Workshop, r.Plan) {
			t.Errorf("seed %d: audit: %s %s", seed, f.Code, f)
		}
		fresh := shoptest.MustMake(t, r.Workshop, planner.Options{})
		if a, b := fresh.Total, r.Plan.Total; a.Figures.Cost != b.Figures.Cost || a.Bound != b.Bound || a.Grade != b.Grade {
			t.Errorf("seed %d: from nothing %+v, remade %+v", seed, a, b)
		}
		kept, changed, anew = kept+r.Changes.Kept, changed+r.Changes.Changed, anew+len(r.Anew)
	}
	if planned < int(seeds)/2 || kept == 0 || changed == 0 || anew > 0 || between == 0 || spare == 0 {
		t.Errorf("that tests nothing: %d planned, %d kept, %d changed, %d anew, %d lefts between, %d spare", planned, kept, changed, anew, between, spare)
	}
	t.Logf("%d planned, %d sticks kept, %d changed, %d profiles anew, %d lefts between, %d spare", planned, kept, changed, anew, between, spare)
}

// smallMishaps has some sides of a plan cut, well or not, from the head of each stick on.
func smallMishaps(g *rand.Rand, w *model.Workshop, d *plan.Document) (events []stock.Event) {
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			for n := range g.IntN(len(s.Sides) + 1) {
				became := []stock.Became{stock.Done, stock.Done, stock.Done, stock.Torn}[g.IntN(4)]
				events = append(events, stock.Event{Profile: p.Name, Stick: s.ID, Side: n + 1, Became: became})
			}
		}
	}
	return events
}
