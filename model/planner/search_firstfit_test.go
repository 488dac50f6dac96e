package planner

import (
	"fmt"
	"strings"
	"testing"

	"longpoint/model"
)

// TestFirstFit lays sides out by the rule. Lengths are plain numbers; trims and losses are 0.
func TestFirstFit(t *testing.T) {
	rack := func(length model.Length, cost model.Money, count int) kind {
		return kind{length: length, usable: length, cost: cost, rack: make([]model.Stick, count)}
	}
	offer := func(length model.Length, cost model.Money) kind {
		return kind{length: length, usable: length, cost: cost}
	}
	setUp := func(kinds []kind, needs ...model.Length) *profileProblem {
		pp := &profileProblem{}
		for _, k := range kinds {
			k.damaged, k.lot, k.value = undivided, free, k.cost
			if k.bought() {
				k.supply = len(pp.supplies)
				pp.supplies = append(pp.supplies, supply{length: k.length, bundle: 1, tiers: []tier{{from: 1, price: k.cost}}, kind: len(pp.kinds)})
			}
			pp.kinds = append(pp.kinds, k)
		}
		for n, need := range needs {
			pp.units = append(pp.units, unit{pieces: []int{n}, need: need, longPoint: need, bound: free})
		}
		pp.fillItems()
		return pp
	}
	for _, tt := range []struct {
		name  string
		kinds []kind
		needs []model.Length // one side each, longest first
		want  string         // length of the stick: sides
		left  int
	}{
		{"on the first open stick that it fits", []kind{offer(100, 10)}, []model.Length{60, 50, 40, 30, 20}, "100: 60 40; 100: 50 30 20", 0},
		{"the shortest of the rack first", []kind{rack(90, 5, 1), rack(70, 9, 2), offer(100, 1)}, []model.Length{60, 60, 60, 60}, "70: 60; 70: 60; 90: 60; 100: 60", 0},
		{"the cheapest for its length, not the cheapest", []kind{offer(200, 15), offer(100, 10)}, []model.Length{60}, "200: 60", 0},
		{"as cheap for their length, the longest", []kind{offer(200, 20), offer(100, 10)}, []model.Length{60}, "200: 60", 0},
		{"only what it fits", []kind{offer(200, 30), offer(100, 10)}, []model.Length{150}, "200: 150", 0},
		{"sides that find nothing", []kind{rack(70, 5, 1)}, []model.Length{60, 60, 10}, "70: 60 10", 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			pp := setUp(tt.kinds, tt.needs...)
			sol, left := pp.firstFit()
			open := sol.layouts
			var sticks []string
			for _, l := range open {
				text := fmt.Sprintf("%d:", int64(pp.kinds[l.kind].length))
				for _, i := range l.items {
					text += fmt.Sprintf(" %d", int64(pp.items[i].need))
				}
				sticks = append(sticks, text)
			}
			if got := strings.Join(sticks, "; "); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
			if left != tt.left {
				t.Errorf("%d left over, want %d", left, tt.left)
			}
			var inPatterns int64
			for _, p := range pp.patterns(open) {
				inPatterns += p.Count
			}
			if inPatterns != int64(len(open)) {
				t.Errorf("%d sticks became %d in patterns", len(open), inPatterns)
			}
		})
	}
	t.Run("of equal sticks the one of least value is taken", func(t *testing.T) {
		pp := setUp([]kind{rack(70, 3, 1), rack(70, 2, 1)}, 60)
		if sol, _ := pp.firstFit(); pp.kinds[sol.layouts[0].kind].cost != 2 {
			t.Errorf("took the one of %d", pp.kinds[sol.layouts[0].kind].cost)
		}
	})
}
