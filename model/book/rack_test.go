package book

import (
	"slices"
	"strings"
	"testing"

	"longpoint/model"
)

// onRack gives a stick that lies on the rack.
func onRack(t *testing.T, b *Book, name string) RackStick {
	t.Helper()
	sound(t, b)
	all, err := b.Rack(t.Context())
	must(t, err)
	for _, s := range all {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("there is no stick %s on the rack", name)
	return RackStick{}
}

// TestAddSticks puts found sticks on the rack, with names of their own and a worth.
func TestAddSticks(t *testing.T) {
	b := newShop(t)
	ctx := t.Context()
	var names []string
	add := func(s model.Stick, n int) error {
		_, err := b.Do(ctx, tester, AddSticks(s, n, func(name string) { names = append(names, name) }))
		return err
	}
	must(t, add(model.Stick{Profile: "oak-40", Length: 2 * model.Metre, Place: "left"}, 2))
	must(t, add(model.Stick{ID: "mine", Profile: "oak-40", Length: model.Metre, Value: model.OptionalMoney{Amount: 5, Given: true}}, 2))
	if !slices.Equal(names, []string{"F1", "F2", "mine", "F3"}) {
		t.Errorf("they are called %v", names)
	}
	// Half the price of new moulding, which is 7.00 a metre at its cheapest.
	if s := onRack(t, b, "F2"); s.Cost != 700 || s.Worth != 700 || s.Place != "left" {
		t.Errorf("%+v", s)
	}
	if s := onRack(t, b, "mine"); s.Cost != 5 || s.Worth != 5 {
		t.Errorf("%+v", s)
	}
	wantError(t, add(model.Stick{ID: "mine", Profile: "oak-40", Length: model.Metre}, 1), model.BadUsage, "a stick mine in the book already")
	wantError(t, add(model.Stick{Profile: "elm", Length: model.Metre}, 1), model.BadUsage, "no profile")
	wantError(t, add(model.Stick{Profile: "oak-40"}, 1), model.BadUsage, "more than 0")
	wantError(t, add(model.Stick{Profile: "oak-40", Length: model.Metre}, 0), model.BadUsage, "0 sticks")
	undoAll(t, b)
}

// TestMeasure puts lengths and damage right: what an offcut is shorter is waste of the stick it was cut from.
func TestMeasure(t *testing.T) {
	b := halfCut(t)
	ctx := t.Context()
	was := onRack(t, b, "offcut 1")
	before, err := b.Yields(ctx, ByProfile)
	must(t, err)
	damage := []model.Span{{From: 0, To: model.Centimetre}}
	_, err = b.Do(ctx, tester, MeasureStick("offcut 1", was.Length-model.Centimetre, damage))
	must(t, err)
	is := onRack(t, b, "offcut 1")
	after, err := b.Yields(ctx, ByProfile)
	must(t, err)
	if is.Length != was.Length-model.Centimetre || is.Cost != was.Cost || !slices.Equal(is.Damage, damage) || after[0].Waste != before[0].Waste+model.Centimetre {
		t.Errorf("%+v; waste %s, was %s", is, after[0].Waste, before[0].Waste)
	}
	fresh, err := b.Do(ctx, tester, MeasureStick("offcut 1", is.Length, damage))
	if err != nil || fresh {
		t.Errorf("measured again: fresh %t, error %v", fresh, err)
	}
	_, err = b.Do(ctx, tester, MeasureStick("offcut 1", was.Length+model.Metre, nil))
	wantError(t, err, model.BadUsage, "it was cut from S1")
	_, err = b.Do(ctx, tester, MeasureStick("S2", 0, []model.Span{}))
	must(t, err)
	_, err = b.Do(ctx, tester, MeasureStick("S2", model.Metre, nil))
	must(t, err)
	_, err = b.Do(ctx, tester, MeasureStick("S1", model.Metre, nil))
	wantError(t, err, model.BadUsage, "it is used up")
	undoAll(t, b)
}

// TestMoveAndPutBack moves, discards and finds again, all or none.
func TestMoveAndPutBack(t *testing.T) {
	b := newShop(t)
	ctx := t.Context()
	_, err := b.Do(ctx, tester, MoveSticks("attic", "S1", "S9"))
	wantError(t, err, model.BadUsage, `no stick "S9"`)
	_, err = b.Do(ctx, tester, Discard("S1", "S9"))
	wantError(t, err, model.BadUsage, `no stick "S9"`)
	if s := onRack(t, b, "S1"); s.Place != "left" {
		t.Errorf("%+v", s)
	}
	_, err = b.Do(ctx, tester, MoveSticks("attic", "S1", "S2"))
	must(t, err)
	_, err = b.Do(ctx, tester, Discard("S1"))
	must(t, err)
	_, err = b.Do(ctx, tester, MoveSticks("left", "S1"))
	wantError(t, err, model.BadUsage, "it is discarded")
	_, err = b.Do(ctx, tester, PutBack("S1"))
	must(t, err)
	if s := onRack(t, b, "S1"); s.Place != "attic" {
		t.Errorf("%+v", s)
	}
	undoAll(t, b)
}

// TestCount counts a profile on the rack.
func TestCount(t *testing.T) {
	b := newShop(t)
	ctx := t.Context()
	var expected, there Stock
	var found []string
	told := func(e, h Stock, f []string) { expected, there, found = e, h, f }
	count := func(c Counted) (bool, error) { return b.Do(ctx, tester, Count("oak-40", c, told)) }
	// S1, 2290 mm, and S2, 770.000001 mm, at 3.50 a metre: 8.02 and 2.70, rounded half up.
	fresh, err := count(Counted{})
	must(t, err)
	if !fresh || expected != there || there != (Stock{2, 3060*model.Millimetre + 1, 1072}) {
		t.Errorf("expected %+v, there %+v", expected, there)
	}
	if fresh, err = count(Counted{}); err != nil || fresh {
		t.Errorf("counted once more: fresh %t, error %v", fresh, err)
	}
	for _, c := range []Counted{{Missing: []string{"S3"}}, {Measured: map[string]model.Length{"S9": 1}}, {Found: []model.Stick{{}}}} {
		_, err = count(c)
		if err == nil {
			t.Errorf("%+v was taken", c)
		}
	}
	_, err = count(Counted{Missing: []string{"S2"}, Measured: map[string]model.Length{"S1": 2 * model.Metre}, Found: []model.Stick{{Length: model.Metre}}})
	must(t, err)
	if expected.Sticks != 2 || there != (Stock{2, 3 * model.Metre, 1050}) || !slices.Equal(found, []string{"F1"}) {
		t.Errorf("expected %+v, there %+v, found %v", expected, there, found)
	}
	if s := onRack(t, b, "S1"); s.Length != 2*model.Metre {
		t.Errorf("%+v", s)
	}
	_, sum, err := b.Expected(ctx, "oak-40")
	must(t, err)
	if sum != there {
		t.Errorf("now expected: %+v", sum)
	}
	_, _, err = b.Expected(ctx, "elm")
	wantError(t, err, model.BadUsage, "no profile")
	undoAll(t, b)
}

// TestPutBackWhatIsThere tells only of the stick that was gone.
func TestPutBackWhatIsThere(t *testing.T) {
	b := newShop(t)
	do(t, b, Discard("S1"))
	do(t, b, PutBack("S2", "S1"))
	_, last, err := b.Undoable(t.Context())
	must(t, err)
	if !strings.Contains(last.What, "S1 is on the rack after all") || strings.Contains(last.What, "S2") {
		t.Errorf("it says %q", last.What)
	}
}
