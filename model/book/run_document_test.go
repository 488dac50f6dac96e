package book

import (
	"fmt"
	"slices"
	"testing"

	"longpoint/model/plan"
	"longpoint/model/runs"
)

// receivedShop is a book of the small shop with a plan of everything, all of which is on the rack.
func receivedShop(t *testing.T) (*Book, *plan.Document) {
	t.Helper()
	b := newShop(t)
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	orders := placeOrders(t, b, id, true)
	for _, o := range orders {
		receive(t, b, o.ID, Receipt{})
	}
	return b, d
}

// TestRunDocument: what a run shows before it is cut is what it says when it is finished, offcuts and their names included, and its
// sides lie apart on their sticks.
func TestRunDocument(t *testing.T) {
	b, d := receivedShop(t)
	ctx := t.Context()
	var ids []int64
	for _, p := range d.Profiles { // both are open at once, and both plan an "offcut 1"
		r := startRun(t, b, p.Name, 0)
		ids = append(ids, r.ID)
	}
	doc, err := b.RunDocument(ctx)
	must(t, err)
	if len(doc.Runs) != len(d.Profiles) {
		t.Fatalf("%d runs", len(doc.Runs))
	}
	cuts, kept := 0, map[string]plan.Left{}
	for i, p := range doc.Plan.Profiles {
		was := d.Profiles[slices.IndexFunc(d.Profiles, func(q plan.ProfilePlan) bool { return q.Name == p.Name })]
		if len(p.Sticks) != len(was.Sticks) || len(p.Run.Cuts) != len(was.Run.Cuts) {
			t.Errorf("%s has %d sticks and %d cuts, and its plan %d and %d", p.Name, len(p.Sticks), len(p.Run.Cuts), len(was.Sticks), len(was.Run.Cuts))
		}
		for n, c := range p.Run.Cuts {
			cuts++
			old := was.Run.Cuts[n]
			side := p.Sticks[c.Stick].Sides[c.Side]
			if side != was.Sticks[old.Stick].Sides[old.Side] || c.Stop != old.Stop || c.Placed != old.Placed || c.Left != old.Left || p.Run.Number(n) != n+1 {
				t.Errorf("%s, cut %d: %+v of %+v, and in its plan %+v", p.Name, n+1, c, side, old)
			}
		}
		for n, s := range p.Sticks {
			if s.From != plan.FromRack || s.Length != was.Sticks[n].Length || was.Sticks[n].From == plan.Bought && s.ID[0] != 'P' {
				t.Errorf("%+v, and in its plan %+v", s, was.Sticks[n])
			}
			if s.Left.Becomes == plan.Kept {
				if _, twice := kept[s.Left.ID]; twice {
					t.Errorf("two offcuts are called %s", s.Left.ID)
				}
				kept[s.Left.ID] = s.Left
			}
			if len(doc.Became[i][n]) != len(s.Sides) {
				t.Errorf("%s: what became of %d sides", s.ID, len(doc.Became[i][n]))
			}
		}
	}
	if cuts == 0 || len(kept) < 2 {
		t.Errorf("%d cuts and %d offcuts show nothing", cuts, len(kept))
	}
	for i := len(ids) - 1; i >= 0; i-- { // the other way round, so that names would be mixed up
		for _, s := range doc.Runs[i].Sticks {
			cut(t, b, ids[i], s.Number, nil, runs.Done)
		}
		f := finish(t, b, ids[i], nil)
		for _, o := range f.Offcuts {
			if left, there := kept[o.Name]; !there || left.Length != o.Length {
				t.Errorf("offcut %+v, and the run said %+v", o, left)
			}
			delete(kept, o.Name)
		}
		after, err := b.RunDocument(ctx, ids[i])
		must(t, err)
		if got, want := fmt.Sprintf("%+v", after.Plan.Profiles[0].Sticks), fmt.Sprintf("%+v", doc.Plan.Profiles[i].Sticks); got != want {
			t.Errorf("finished it says\n%s\nand before it said\n%s", got, want)
		}
		for _, stick := range after.Became[0] {
			for _, became := range stick {
				if became != runs.Done {
					t.Errorf("%s", became)
				}
			}
		}
	}
	if len(kept) > 0 {
		t.Errorf("not kept: %v", kept)
	}
	sound(t, b)
}

// TestRunOfOneSide shows the job of a run of which a single side is cut.
func TestRunOfOneSide(t *testing.T) {
	b := squareShop(t)
	startRun(t, b, "oak-40", byHand(t, b, "A"))
	d, err := b.RunDocument(t.Context())
	must(t, err)
	if len(d.Workshop.Jobs) != 1 || len(d.Plan.Jobs) != 1 || d.Plan.Jobs[0].Job != "101" || d.Plan.Jobs[0].Sides != 1 {
		t.Errorf("the run is for %+v", d.Plan.Jobs)
	}
}
