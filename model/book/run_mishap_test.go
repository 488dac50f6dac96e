package book

import (
	"testing"

	"longpoint/model"
)

// TestMishapsRefused refuses what cannot have happened to a stick that is being cut, and takes what is known already as nothing new.
func TestMishapsRefused(t *testing.T) {
	b := runningShop(t)
	r, err := b.Run(t.Context(), 1)
	must(t, err)
	begun, uncut := r.Sticks[0], r.Sticks[1]
	if left, whole := begun.LeftNow(), uncut.LeftNow(); left >= begun.Length-begun.Sides[0].LongPoint || left <= 0 || whole != uncut.Length {
		t.Errorf("%s of %s are left of the one that is begun, %s of %s of the other", left, begun.Length, whole, uncut.Length)
	}
	span := func(from, to model.Length) model.Span { return model.Span{From: from, To: to} }
	for _, c := range []struct {
		does Change
		says string
	}{
		{FlawStick(1, begun.Number, span(2, 1), ""), "does not lie on " + begun.Stick},
		{FlawStick(1, begun.Number, span(0, begun.Length+1), ""), "does not lie on " + begun.Stick},
		{FlawStick(1, begun.Number, span(1, begun.Length), ""), "the flaw begins at"},
		{ShortenStick(1, begun.Number, 1), "the sides that are cut and the head trim take"},
		{ShortenStick(1, begun.Number, begun.Length+1), "is not shorter than"},
		{ShortenStick(1, uncut.Number, 0), "is not shorter than"},
		{LoseStick(1, begun.Number), "so it is there"},
	} {
		_, err := b.Do(t.Context(), tester, c.does)
		wantError(t, err, model.BadUsage, c.says)
	}
	if left := r.Unplanned(); len(left) != 0 {
		t.Errorf("unplanned: %v", left)
	}
	do(t, b, FlawStick(1, uncut.Number, model.Span{}, "a knot"))
	if do(t, b, FlawStick(1, uncut.Number, model.Span{}, "a knot again")) {
		t.Error("what is known is written down again")
	}
	r, err = b.Run(t.Context(), 1)
	must(t, err)
	if left := r.Unplanned(); len(left) != len(uncut.Sides) {
		t.Errorf("unplanned: %v, want the %d of %s", left, len(uncut.Sides), uncut.Stick)
	}
	sound(t, b)
}
