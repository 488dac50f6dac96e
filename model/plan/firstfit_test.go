package plan

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
			task := &task{kinds: tt.kinds}
			for n, need := range tt.needs {
				if n > 0 && tt.needs[n-1] == need {
					last := &task.items[len(task.items)-1]
					last.pieces = append(last.pieces, n)
					continue
				}
				task.items = append(task.items, item{need: need, longPoint: need, pieces: []int{n}})
			}
			open, left := task.firstFit()
			var sticks []string
			for _, l := range open {
				text := fmt.Sprintf("%d:", int64(task.kinds[l.kind].length))
				for _, i := range l.items {
					text += fmt.Sprintf(" %d", int64(task.items[i].need))
				}
				sticks = append(sticks, text)
			}
			if got := strings.Join(sticks, "; "); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
			if c := task.compare(open, left); c.LeftOver != tt.left || c.Complete != (tt.left == 0) {
				t.Errorf("comparison %+v, want %d left over", c, tt.left)
			}
			var inPatterns int64
			for _, p := range task.patterns(open) {
				inPatterns += p.Count
			}
			if inPatterns != int64(len(open)) {
				t.Errorf("%d sticks became %d in patterns", len(open), inPatterns)
			}
		})
	}
	t.Run("of equal sticks the one of least value is taken", func(t *testing.T) {
		task := &task{kinds: []kind{rack(70, 3, 1), rack(70, 2, 1)}, items: []item{{need: 60, pieces: []int{0}}}}
		if open, _ := task.firstFit(); task.kinds[open[0].kind].cost != 2 {
			t.Errorf("took the one of %d", task.kinds[open[0].kind].cost)
		}
	})
}
