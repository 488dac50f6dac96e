package planner

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"longpoint/model"
)

// layoutProblem is a profile of sticks that are so long and of units that take so much; trims and losses are 0.
func layoutProblem(sticks []model.Length, onEach ...[]model.Length) (*profileProblem, []layout) {
	pp := &profileProblem{}
	pp.profile.Keep = 1
	for _, length := range sticks {
		pp.kinds = append(pp.kinds, kind{length: length, usable: length, damaged: undivided, lot: free, rack: make([]model.Stick, 1)})
	}
	for _, needs := range onEach {
		for _, need := range needs {
			pp.units = append(pp.units, unit{pieces: []int{len(pp.units)}, need: need, longPoint: need, bound: free})
		}
	}
	slices.SortStableFunc(pp.units, func(a, b unit) int { return cmp.Compare(b.need, a.need) })
	pp.fillItems()
	var layouts []layout
	for k, needs := range onEach {
		l := layout{kind: k}
		for _, need := range needs {
			l.add(pp, pp.itemOf(itemKey{need, need, 1, free}))
		}
		slices.Sort(l.items)
		layouts = append(layouts, l)
	}
	return pp, layouts
}

// layoutText writes layouts down: length of the stick, what its units take.
func layoutText(pp *profileProblem, layouts []layout) string {
	var out []string
	for _, l := range layouts {
		text := fmt.Sprintf("%d:", int64(pp.kinds[l.kind].length))
		for _, i := range l.items {
			text += fmt.Sprintf(" %d", int64(pp.items[i].need))
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

func TestLengthen(t *testing.T) {
	type sticks = []model.Length
	for _, tt := range []struct {
		name   string
		sticks sticks
		onEach []sticks
		want   string
	}{
		{"moves into the room of another", sticks{100, 100}, []sticks{{40, 20}, {50, 30}}, "100: 50 30 20; 100: 40"},
		{"exchanges a long one for a short one", sticks{100, 100}, []sticks{{60, 10}, {40, 35}}, "100: 60 40; 100: 35 10"},
		{"never empties a stick", sticks{100, 100}, []sticks{{30}, {50}}, "100: 50; 100: 30"},
		{"goes round several", sticks{100, 100, 100}, []sticks{{50, 20}, {60, 20}, {40, 30}}, "100: 60 40; 100: 50 20 30; 100: 20"},
		{"the longest stick, for the longest offcut", sticks{200, 100}, []sticks{{50}, {20, 20}}, "200: 20; 100: 50 20"},
		{"leaves what is full", sticks{100, 90}, []sticks{{60, 40}, {50}}, "100: 60 40; 90: 50"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			pp, layouts := layoutProblem(tt.sticks, tt.onEach...)
			before := layoutText(pp, layouts)
			got := pp.lengthen(layouts)
			if text := layoutText(pp, got); sortedText(text) != sortedText(tt.want) {
				t.Errorf("got %q, want %q", text, tt.want)
			}
			if after := layoutText(pp, layouts); after != before {
				t.Errorf("the layouts that were given have changed from %q to %q", before, after)
			}
		})
	}
}

// sortedText puts sticks, and what is on each, in order.
func sortedText(text string) string {
	var sticks []string
	for stick := range strings.SplitSeq(text, "; ") {
		length, units, _ := strings.Cut(stick, ":")
		fields := strings.Fields(units)
		slices.Sort(fields)
		sticks = append(sticks, length+": "+strings.Join(fields, " "))
	}
	slices.Sort(sticks)
	return strings.Join(sticks, "; ")
}

// TestLengthenRandom holds random layouts to what must not change, and on two sticks to the longest offcut there is.
func TestLengthenRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lengths []model.Length
		var onEach [][]model.Length
		for range rapid.IntRange(2, 4).Draw(t, "sticks") {
			var needs []model.Length
			length := model.Length(rapid.IntRange(0, 30).Draw(t, "room"))
			for range rapid.IntRange(1, 4).Draw(t, "units") {
				need := model.Length(rapid.IntRange(5, 40).Draw(t, "need"))
				needs = append(needs, need)
				length += need
			}
			lengths, onEach = append(lengths, length), append(onEach, needs)
		}
		pp, layouts := layoutProblem(lengths, onEach...)
		got := pp.lengthen(layouts)
		if pp.longestOf(got) < pp.longestOf(layouts) {
			t.Errorf("the longest offcut has become shorter")
		}
		count := func(layouts []layout) (units []int, kinds []int) {
			for _, l := range layouts {
				var used model.Length
				for _, i := range l.items {
					used += pp.items[i].need
				}
				if used != l.used || used > pp.kinds[l.kind].usable || len(l.items) == 0 {
					t.Errorf("stick %d holds %v, %d in all", l.kind, l.items, used)
				}
				units, kinds = append(units, l.items...), append(kinds, l.kind)
			}
			slices.Sort(units)
			slices.Sort(kinds)
			return units, kinds
		}
		units, kinds := count(got)
		wantUnits, wantKinds := count(layouts)
		if !slices.Equal(units, wantUnits) || !slices.Equal(kinds, wantKinds) {
			t.Errorf("other units or sticks than before")
		}
		if len(lengths) == 2 {
			if want := longestOfTwo(pp, layouts); pp.longestOf(got) != want {
				t.Errorf("longest offcut %d, and there is one of %d", pp.longestOf(got), want)
			}
		}
	})
}

// longestOfTwo tries every division of the units of two sticks.
func longestOfTwo(pp *profileProblem, layouts []layout) (longest model.Length) {
	units := append(slices.Clone(layouts[0].items), layouts[1].items...)
	for bits := 1; bits < 1<<len(units)-1; bits++ {
		parts := []layout{{kind: layouts[0].kind}, {kind: layouts[1].kind}}
		for n, i := range units {
			parts[bits>>n&1].add(pp, i)
		}
		if parts[0].used <= pp.kinds[0].usable && parts[1].used <= pp.kinds[1].usable {
			longest = max(longest, pp.longestOf(parts))
		}
	}
	return longest
}
