package book

import (
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/runs"
)

// oneBlade gives the only blade set of a book.
func oneBlade(t *testing.T, b *Book) Blade {
	t.Helper()
	all, err := b.Blades(t.Context())
	must(t, err)
	if len(all) != 1 {
		t.Fatalf("%d blade sets", len(all))
	}
	return all[0]
}

// TestTwoEdges: each edge of a set is counted by itself; the reminder asks to turn the blades while the other edge is sharper, and to
// sharpen them when both are due.
func TestTwoEdges(t *testing.T) {
	b := squareShop(t)
	do(t, b, AddBlade(Blade{Name: "set A", Height: 30 * model.Millimetre, Edges: make([]Edge, 2)}), MountBlade("set A"))
	r := startRun(t, b, "oak-40", byHand(t, b, "A", "B", "C"))
	do(t, b, TurnBlade("set A", 2)) // it counts for the edge that cut when the run began
	cut(t, b, r.ID, 1, []int{1, 2}, runs.Done)
	finish(t, b, r.ID, nil)
	if a := oneBlade(t, b); len(a.Edges) != 2 || a.Edges[0] != (Edge{3, 12}) || a.Edges[1] != (Edge{}) || a.Edge != 2 {
		t.Errorf("%+v", a)
	}
	if do(t, b, TurnBlade("set A", 2)) {
		t.Error("turned twice to one edge, it is another step")
	}
	do(t, b, Remind("set A", 0, 3))
	if a := oneBlade(t, b); len(a.Due) != 0 {
		t.Errorf("the edge that cuts is new: %v", a.Due)
	}
	do(t, b, TurnBlade("set A", 1))
	if a := oneBlade(t, b); len(a.Due) != 1 || !strings.Contains(a.Due[0], "turn the blades to edge 2, which has 0, as the machine's manual says") {
		t.Errorf("%q", a.Due)
	}
	_, err := b.write(t.Context(), "more", tester, func(tx *transaction) error {
		_, err := tx.insert("run", "plan", r.Plan, "profile", "oak-40", "started", tx.today(), "state", "finished", "strokes", 2, "chops", 5, "blade", "set A", "edge", 2)
		return err
	})
	must(t, err)
	if a := oneBlade(t, b); a.Edges[1] != (Edge{5, 10}) || len(a.Due) != 1 || a.Due[0] != "3 chops with one edge and 5 with the other, to be sharpened after 3" {
		t.Errorf("%+v", a)
	}
	do(t, b, Sharpen("set A", 29*model.Millimetre))
	if a := oneBlade(t, b); a.Edges[0] != (Edge{}) || a.Edges[1] != (Edge{}) || len(a.Due) != 0 {
		t.Errorf("%+v", a)
	}
	_, err = b.Do(t.Context(), tester, TurnBlade("set A", 3))
	wantError(t, err, model.BadUsage, `blade set "set A" has no edge 3: it has 2`)
	do(t, b, TurnBlade("set A", 2))
	do(t, b, ChangeBlade("set A", 0, 0, 1))
	if a := oneBlade(t, b); len(a.Edges) != 1 || a.Edge != 1 {
		t.Errorf("%+v", a)
	}
	sound(t, b)
}

// TestNearTheLeastHeight: a set that the next sharpening would take under the least height is reminded of, by what its sharpenings took
// so far or, before the first, by what they usually take; one that is under it is to be replaced. Both leave it to the manual.
func TestNearTheLeastHeight(t *testing.T) {
	const near, under = "have a new set ready; the machine's manual says", "cut no more with it, and replace it as the machine's manual says"
	for _, c := range []struct {
		name    string
		heights []float64 // when it came, and after each sharpening
		want    string    // "" = no reminder
	}{
		{"new and high", []float64{33}, ""},
		{"new, and the usual millimetre is there", []float64{31}, ""},
		{"new and near", []float64{30.9}, near},
		{"it takes little", []float64{31, 30.8, 30.6}, ""},
		{"it takes much", []float64{35, 33, 31}, near},
		{"under it", []float64{31, 29.9}, under},
		{"just at it", []float64{31, 30}, near},
	} {
		b := newShop(t)
		high := func(mm float64) model.Length { return model.Length(mm*1e6 + 0.5) }
		do(t, b, AddBlade(Blade{Name: "set A", Height: high(c.heights[0]), Least: 30 * model.Millimetre}))
		for _, h := range c.heights[1:] {
			do(t, b, Sharpen("set A", high(h)))
		}
		due := strings.Join(oneBlade(t, b).Due, "; ")
		if (due == "") != (c.want == "") || !strings.Contains(due, c.want) {
			t.Errorf("%s: the reminder is %q", c.name, due)
		}
	}
}

// TestMountedWidth: the set that is mounted is a part of the workshop's machine, with the widest profile that it is for.
func TestMountedWidth(t *testing.T) {
	b := newShop(t)
	mounted := func() model.BladeSet {
		w, err := b.Workshop(t.Context())
		must(t, err)
		return w.Machine.Blades
	}
	do(t, b, AddBlade(Blade{Name: "narrow", Height: 30 * model.Millimetre, GreatestWidth: 25 * model.Millimetre}), AddBlade(Blade{Name: "wide", Height: 30 * model.Millimetre}))
	if got := mounted(); got != (model.BladeSet{}) {
		t.Errorf("%+v", got)
	}
	do(t, b, MountBlade("narrow"))
	if got, want := mounted(), (model.BladeSet{Name: "narrow", GreatestWidth: model.OptionalLength{Length: 25 * model.Millimetre, Given: true}}); got != want {
		t.Errorf("%+v", got)
	}
	do(t, b, ChangeBlade("narrow", 0, 60*model.Millimetre, 0))
	if got := mounted(); got.GreatestWidth.Length != 60*model.Millimetre {
		t.Errorf("%+v", got)
	}
	if do(t, b, ChangeBlade("narrow", 0, 60*model.Millimetre, 0)) {
		t.Error("the same once more is a step")
	}
	do(t, b, MountBlade("wide"))
	if got := mounted(); got != (model.BladeSet{Name: "wide"}) {
		t.Errorf("%+v", got)
	}
}
