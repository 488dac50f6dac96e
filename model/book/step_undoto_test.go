package book

import (
	"testing"

	"longpoint/model"
)

// TestUndoTo takes back several steps at once: then the book is as before the first of them, and all or none are taken back.
func TestUndoTo(t *testing.T) {
	b := newShop(t)
	do(t, b, AddBlade(Blade{Name: "first", Height: 30 * model.Millimetre}))
	before := tables(t, b)
	_, last, err := b.Undoable(t.Context())
	must(t, err)
	do(t, b, AddBlade(Blade{Name: "set A", Height: 30 * model.Millimetre}))
	do(t, b, MountBlade("set A"))
	_, err = b.Undo(t.Context(), 0, tester) // a hole among those that stand
	must(t, err)
	do(t, b, MoveSticks("right", "S1"))
	id := keepPlan(t, b, planOf(t, b))
	placeOrders(t, b, id, true)
	after := tables(t, b)
	for _, to := range []int64{last.ID + 2, last.ID + 3, last.ID + 100} { // taken back, an undo, none
		_, err = b.UndoTo(t.Context(), to, tester)
		wantError(t, err, model.BadUsage, "that can be taken back")
		if tables(t, b) != after {
			t.Fatalf("to step %d: refused, and something is taken back", to)
		}
	}
	by := tester
	by.Key = "once"
	undone, err := b.UndoTo(t.Context(), last.ID+1, by)
	must(t, err)
	if len(undone) != 4 || undone[3].ID != last.ID+1 {
		t.Errorf("taken back %+v", undone)
	}
	if tables(t, b) != before {
		t.Error("something is left")
	}
	if _, err = b.UndoTo(t.Context(), last.ID, by); err != ErrSent {
		t.Errorf("sent twice: %v", err)
	}
	sound(t, b)
}
