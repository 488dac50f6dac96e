package stock

import (
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// TestFreeLots gives every lot a name of its own, be it wanted twice.
func TestFreeLots(t *testing.T) {
	l := newLots(&model.Workshop{Rack: []model.Stick{{ID: "R1", Lot: "from Hill"}}})
	for _, want := range []string{"from Hill (2)", "from Hill (3)", "from Hill (4)"} {
		if got := l.free("from Hill"); got != want {
			t.Errorf("a lot is called %q, want %q", got, want)
		}
	}
}

// TestFreeIDs gives sticks of a plan ids that are not on the rack.
func TestFreeIDs(t *testing.T) {
	a := &State{taken: map[string]bool{"ash new 1": true}}
	for _, want := range []string{"ash new 1 (2)", "ash new 1 (3)"} {
		if got := a.free("ash new 1"); got != want {
			t.Errorf("an id is %q, want %q", got, want)
		}
	}
}

// TestNoSuchDay refuses a plan whose last day is none.
func TestNoSuchDay(t *testing.T) {
	if err := sameTrims(&model.Workshop{}, &plan.Document{Until: "soon"}); err == nil {
		t.Error("it is taken")
	}
}

// TestTrimsOfNoFrame refuses to look at the trims of a frame that is none.
func TestTrimsOfNoFrame(t *testing.T) {
	w := &model.Workshop{Jobs: []model.Job{{ID: "101", Frames: []model.JobFrame{{ID: "a", Quantity: 1}}}}}
	if err := sameTrims(w, &plan.Document{}); err == nil {
		t.Error("they are taken as the same")
	}
}

// TestPieceAtDamage takes pieces of a stick that is damaged from 100 to 200 mm: what only touches the damage has none.
func TestPieceAtDamage(t *testing.T) {
	const mm = model.Millimetre
	s := model.Stick{Length: 500 * mm, Damage: []model.Span{{From: 100 * mm, To: 200 * mm}}}
	for _, c := range []struct {
		from, to model.Length
		want     []model.Span
	}{
		{200, 500, nil}, {0, 100, nil}, {199, 500, []model.Span{{From: 0, To: 1 * mm}}}, {0, 101, []model.Span{{From: 100 * mm, To: 101 * mm}}},
		{50, 300, []model.Span{{From: 50 * mm, To: 150 * mm}}},
	} {
		if got := pieceOf(s, c.from*mm, c.to*mm).Damage; !slices.Equal(got, c.want) {
			t.Errorf("from %d to %d mm: %v, want %v", c.from, c.to, got, c.want)
		}
	}
}

// TestPartOf finds the sound part that a side lies in.
func TestPartOf(t *testing.T) {
	parts := []model.Span{{From: 10, To: 100}, {From: 150, To: 300}, {From: 350, To: 400}}
	for start, want := range map[model.Length]int{10: 0, 99: 0, 150: 1, 299: 1, 350: 2, 380: 2} {
		if got := partOf(parts, plan.Side{Start: start}); got != parts[want] {
			t.Errorf("a side from %d on lies in %v, want part %d", start, got, want)
		}
	}
}

// TestFinished: a stick is finished once all its sides are cut, and not where the last is spoilt, be it the only one.
func TestFinished(t *testing.T) {
	for _, c := range []struct {
		became []Became
		want   bool
	}{{nil, true}, {[]Became{Done}, true}, {[]Became{Torn}, false}, {[]Became{""}, false}, {[]Became{Torn, Done}, true}, {[]Became{Done, Torn}, false}} {
		m := &MarkedStick{Stick: plan.Stick{Sides: make([]plan.Side, len(c.became))}, Became: c.became}
		if got := m.finished(); got != c.want {
			t.Errorf("of a stick whose sides became %q: %t", c.became, got)
		}
	}
}
