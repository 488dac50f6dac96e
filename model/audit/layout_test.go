package audit

import (
	"fmt"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// ringOf is a ring of sides that take so much, and as much less as margin at their long points.
func ringOf(number int, match model.Match, margin model.Length, takes ...model.Length) *wantedRing {
	r := &wantedRing{key: model.SideID{Job: "101", Frame: "a", Copy: 1, Ring: number, Letter: "A"}, match: match, of: len(takes)}
	for n, l := range takes {
		side := model.Side{Letter: string(rune('A' + n)), LongPoint: l - margin}
		r.sides = append(r.sides, &wantedSide{profile: "oak", side: side, place: n, takes: l})
	}
	return r
}

// TestFirstFitLeavesOver lays out by first-fit a ring that must be of one lot, where none is on offer, and a side that is longer than the sticks: both find none,
// and the rack's sticks hold the others alone.
func TestFirstFitLeavesOver(t *testing.T) {
	a := &audit{w: &model.Workshop{Rack: []model.Stick{{ID: "r1", Profile: "oak", Length: 1000, Lot: "spring"}, {ID: "r2", Profile: "oak", Length: 1500, Lot: "autumn"}}}}
	want := &derived{profile: model.Profile{Name: "oak"}, rings: []*wantedRing{
		ringOf(1, model.MatchFree, 0, 800, 1600), ringOf(2, model.MatchLot, 0, 200, 100), ringOf(3, model.MatchFree, 0, 50)}}
	open, leftOver := a.layFirstFit(want)
	if leftOver != 3 {
		t.Errorf("%d sides find no stick", leftOver)
	}
	if len(open) != 1 {
		t.Fatalf("%d sticks are opened", len(open))
	}
	if s := open[0]; s.stick.ID != "r1" || s.sides != 2 || s.room != 150 {
		t.Errorf("%d sides on %s, and room for %d", s.sides, s.stick.ID, s.room)
	}
}

// TestUnitsThatTakeMostFirst has, of the units on a stick, the one first that takes most of it, whatever its long points come to.
func TestUnitsThatTakeMostFirst(t *testing.T) {
	want := &derived{profile: model.Profile{Name: "oak"}, rings: []*wantedRing{ringOf(1, model.MatchStick, 0, 100, 10), ringOf(2, model.MatchStick, 10, 60, 60)}}
	stick := plan.Stick{From: plan.Bought, Length: 1000}
	for _, r := range want.rings {
		for _, s := range r.sides {
			id := r.key
			id.Letter = s.side.Letter
			stick.Sides = append(stick.Sides, plan.Side{SideID: id, LongPoint: s.side.LongPoint, Takes: s.takes})
		}
	}
	got := ""
	for _, s := range (&audit{w: &model.Workshop{}}).longestFirst(&plan.ProfilePlan{Sticks: []plan.Stick{stick}}, want) {
		got += fmt.Sprint(s.Ring, s.Letter, " ")
	}
	if got != "2A 2B 1A 1B " && got != "2B 2A 1A 1B " {
		t.Error(got)
	}
}
