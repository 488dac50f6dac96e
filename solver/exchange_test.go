package solver

import (
	"context"
	"slices"
	"testing"
)

// twoLots has two frames of one side, of 100 and of 60, that each come from lot a or from lot b: a has one stick of 100, b one of 60 and, bought in pairs at
// 49 a stick, any number of 100.
func twoLots() Problem {
	from := func(item, row int) Choice {
		return Choice{Most: 1, Asks: []Take{{item, 1}}, In: []Coef{{row, 1}, {row + 1, -1}}}
	}
	return Problem{
		Items: []Item{{Length: 100}, {Length: 100}, {Length: 60}, {Length: 60}},
		Kinds: []Kind{{Length: 100, Cost: 1, Limited: true, Limit: 1, Only: []int{0, 2}}, {Length: 60, Cost: 1, Limited: true, Limit: 1, Only: []int{1, 3}},
			{Length: 100, Cost: 1, Limited: true, Only: []int{1, 3}}},
		Choices: []Choice{from(0, 0), from(1, 0), from(2, 2), from(3, 2), {Cost: 98, Most: 3, Gives: []Give{{2, 2}}}},
		Rows:    []Row{{1}, {-1}, {1}, {-1}},
	}
}

func TestExchange(t *testing.T) {
	for _, row := range []struct {
		name         string
		begin, times []int64
		cost         int64
	}{
		{"two change places", []int64{0, 1, 1, 0, 1}, []int64{1, 0, 0, 1, 0}, 2},
		{"one moves", []int64{1, 0, 1, 0, 0}, []int64{1, 0, 0, 1, 0}, 2},
		{"nothing to gain", []int64{1, 0, 0, 1, 0}, []int64{1, 0, 0, 1, 0}, 2},
	} {
		s := newSearch(twoLots(), Options{})
		x := newExchange(s)
		if x == nil {
			t.Fatal("the frames' choices stand for one another")
		}
		x.improve(context.Background(), row.begin)
		if !s.hasPlan || s.cost != row.cost || !slices.Equal(s.times, row.times) {
			t.Errorf("%s: a plan (%v) at %d with choices %v, want %d with %v", row.name, s.hasPlan, s.cost, s.times, row.cost, row.times)
		}
	}
}

func TestExchangeCounts(t *testing.T) {
	s := newSearch(twoLots(), Options{})
	x := newExchange(s)
	if a, b := x.lot[0], x.lot[1]; a == b || a != x.lot[2] || b != x.lot[3] {
		t.Errorf("the choices' lots are %v", x.lot)
	}
	for n, want := range map[int64]int64{1: 98, 2: 98, 3: 196, mostGiven + 50: (mostGiven + 50) * 49} {
		if got := x.givesAt(2, n); got != want {
			t.Errorf("%d sticks cost %d, want %d", n, got, want)
		}
	}
	p := twoLots()
	p.Choices = slices.Delete(p.Choices, 2, 3)
	p.Choices = slices.Delete(p.Choices, 0, 1)
	if newExchange(newSearch(p, Options{})) != nil {
		t.Error("with one lot for each frame there is nothing to exchange")
	}
}
