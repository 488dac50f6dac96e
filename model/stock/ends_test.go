package stock_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
	"longpoint/model/stock"
)

// TestBegunWithDamage: damage keeps its place in the wood, measured from the new head, and what lay nearer the head than the begun stick
// begins is gone.
func TestBegunWithDamage(t *testing.T) {
	w := shoptest.Tiny()
	s := model.Stick{ID: "r1", Profile: "ash-20", Length: 2000 * mm,
		Damage: []model.Span{{From: 0, To: 510 * mm}, {From: 700 * mm, To: 800 * mm}, {From: 1990 * mm, To: 2000 * mm}}}
	got := stock.Begun(w, s, 20*mm, 500*mm)
	want := []model.Span{{From: 200 * mm, To: 300 * mm}, {From: 1490 * mm, To: 1500 * mm}}
	if diff := cmp.Diff(want, got.Damage); diff != "" || got.Length != 1500*mm || got.Begun != 20*mm {
		t.Errorf("begun %+v, damage (-want +got):\n%s", got, diff)
	}
	s.Damage[0].To = 530 * mm // 30 mm from the new head, 20 of which are trimmed off
	if got, want := stock.Begun(w, s, 20*mm, 500*mm).Damage[0], (model.Span{From: 20 * mm, To: 30 * mm}); got != want {
		t.Errorf("damage at the head is %v, want %v", got, want)
	}
}

// TestDamagedBesides makes one place of damage of two that touch.
func TestDamagedBesides(t *testing.T) {
	w := shoptest.Tiny()
	s := model.Stick{ID: "r1", Profile: "ash-20", Length: 1000 * mm, Damage: []model.Span{{From: 100 * mm, To: 200 * mm}}}
	for _, row := range []struct{ flaw, want []model.Span }{
		{[]model.Span{{From: 200 * mm, To: 300 * mm}}, []model.Span{{From: 100 * mm, To: 300 * mm}}},
		{[]model.Span{{From: 200*mm + 1, To: 300 * mm}}, []model.Span{{From: 100 * mm, To: 200 * mm}, {From: 200*mm + 1, To: 300 * mm}}},
		{[]model.Span{{From: 0, To: 100 * mm}, {From: 900 * mm, To: 2000 * mm}}, []model.Span{{From: 0, To: 200 * mm}, {From: 900 * mm, To: 1000 * mm}}},
		{[]model.Span{{From: 120 * mm, To: 130 * mm}}, []model.Span{{From: 100 * mm, To: 200 * mm}}},
	} {
		if diff := cmp.Diff(row.want, stock.Damaged(w, s, row.flaw).Damage); diff != "" {
			t.Errorf("flaw %v (-want +got):\n%s", row.flaw, diff)
		}
	}
}

// TestDamagedWorth has a flaw leave just enough to keep, and just not; a profile of which nothing is kept leaves nothing of worth.
func TestDamagedWorth(t *testing.T) {
	s := model.Stick{ID: "r1", Profile: "ash-20", Length: 1000 * mm, Value: model.OptionalMoney{Amount: 1000, Given: true}}
	for _, row := range []struct {
		keep, from model.Length
		want       model.Money
	}{{300 * mm, 300 * mm, 300}, {300*mm + 1, 300 * mm, 0}, {0, 300 * mm, 0}} {
		w := shoptest.Tiny()
		w.Profiles[0].Keep = row.keep
		if got := stock.Damaged(w, s, []model.Span{{From: row.from, To: 1000 * mm}}).Value; !got.Given || got.Amount != row.want {
			t.Errorf("with %s to keep it is worth %+v, want %d", row.keep.In(w.Unit), got, row.want)
		}
	}
}

// TestMissingAndMore refuses two stories of one stick.
func TestMissingAndMore(t *testing.T) {
	w, d := shoptest.Hall(t)
	missing := stock.Event{Profile: "ash-20", Stick: "r1", Became: stock.Missing}
	for name, more := range map[string]stock.Event{"shorter": shorter(1900 * mm), "flawed": flawed(100*mm, 200*mm), "cut": shoptest.Event(1, stock.Done)} {
		if _, err := stock.StateOf(w, d, []stock.Event{missing, more}); err == nil {
			t.Errorf("missing and %s: nobody says anything", name)
		}
	}
	if _, err := stock.StateOf(w, d, []stock.Event{missing}); err != nil {
		t.Error(err)
	}
}

// TestTookBehindRepeat counts what a pattern's repeat gives up at the head as no side's.
func TestTookBehindRepeat(t *testing.T) {
	w := shoptest.Tiny()
	w.Profiles[0].Repeat = 30 * mm
	w.Jobs = w.Jobs[:1]
	d := shoptest.MustMake(t, w, planner.Options{})
	s := d.Profiles[0].Sticks[0]
	state, err := stock.StateOf(w, d, []stock.Event{{Profile: "ash-20", Stick: s.ID, Side: 1, Became: stock.Done}})
	if err != nil {
		t.Fatal(err)
	}
	if took := state.Sticks[0].Took(); took != s.Sides[0].Takes {
		t.Errorf("the first side took %s of the stick, want %s", took.In(w.Unit), s.Sides[0].Takes.In(w.Unit))
	}
}

// TestAfterLeavesItsWorkshop changes nothing of what it is given, not even behind the end of a list.
func TestAfterLeavesItsWorkshop(t *testing.T) {
	w := shoptest.Tiny()
	w.Jobs[0].Frames[0].Quantity = 2
	d := shoptest.MustMake(t, w, planner.Options{Until: shoptest.DayOf("2027-01-05")})
	room := make([]model.SideID, 0, 16)
	for j := range w.Jobs {
		w.Jobs[j].Frames[0].Cut = room
	}
	if _, err := stock.After(w, d); err != nil {
		t.Fatal(err)
	}
	for _, s := range room[:16] {
		if s != (model.SideID{}) {
			t.Errorf("it wrote %s behind the end of a list", s)
		}
	}
}

// TestAfterOfBadFrame says that a frame of the workshop has no geometry.
func TestAfterOfBadFrame(t *testing.T) {
	w := shoptest.Tiny()
	d := shoptest.MustMake(t, w, planner.Options{})
	w.Jobs = append(w.Jobs, shoptest.Job("103", "", shoptest.Frame("a", 1, shoptest.Ring("elm-9", 100*mm, 100*mm))))
	if _, err := stock.After(w, d); err == nil {
		t.Error("a frame of an unknown profile, and nobody says anything")
	}
}

// TestAfterNothingCut takes a profile of which the plan cuts nothing, whatever its trims.
func TestAfterNothingCut(t *testing.T) {
	w := shoptest.Fair()
	w.Jobs = w.Jobs[:1]
	d := shoptest.MustMake(t, w, planner.Options{})
	d.Profiles = append(d.Profiles, plan.ProfilePlan{Name: "slip-12"})
	if _, err := stock.StateOf(w, d, nil); err != nil {
		t.Error(err)
	}
}

// TestSpareNames calls no two sticks alike.
func TestSpareNames(t *testing.T) {
	w := shoptest.TwoSticks(model.Offer{Supplier: "Hill", Price: 3600, Bundle: 4})
	w.Rack = []model.Stick{{ID: "spare 1", Profile: "ash-20", Length: 300 * mm}, {ID: "offcut 1", Profile: "ash-20", Length: 300 * mm}}
	d := shoptest.MustMake(t, w, planner.Options{})
	kept := 0
	for i := range d.Profiles[0].Sticks {
		if left := &d.Profiles[0].Sticks[i].Left; left.Becomes == plan.Kept && kept == 0 {
			left.ID = "spare 2"
			kept++
		}
	}
	next, err := stock.After(w, d)
	if err != nil || kept != 1 {
		t.Fatalf("%d offcuts, %v", kept, err)
	}
	named := map[string]bool{}
	for _, s := range next.Rack {
		if named[s.ID] {
			t.Errorf("there are two sticks %q", s.ID)
		}
		named[s.ID] = true
	}
	if len(next.Rack) < 5 {
		t.Errorf("only %d sticks: %v", len(next.Rack), next.Rack)
	}
}
