package stops

import (
	"math/rand/v2"
	"testing"
)

// firmProblem draws matched rings as a plan has them: each has classes of its own, and either all its pieces on a stick are
// one segment, or all its lengths can be set at once. Other pieces are segments by themselves.
func firmProblem(r *rand.Rand) Problem {
	p := Problem{Stops: 1 + r.IntN(3), Lengths: []int64{10, 20, 30, 40}, Firm: true, Sticks: make([]Stick, 1+r.IntN(3))}
	class := func(length int) int {
		p.Classes = append(p.Classes, Class{Length: length, Groups: []int{2}})
		return len(p.Classes) - 1
	}
	for range 1 + r.IntN(3) {
		l := r.Perm(4)
		a, b := class(l[0]), class(l[1])
		x, y := r.IntN(len(p.Sticks)), r.IntN(len(p.Sticks))
		pair := Segment{{a, 1}, {b, 1}}
		if x == y && p.Stops == 1 {
			p.Sticks[x] = append(p.Sticks[x], Segment{{a, 2}, {b, 2}})
			continue
		}
		p.Sticks[x] = append(p.Sticks[x], pair)
		p.Sticks[y] = append(p.Sticks[y], pair)
	}
	for range r.IntN(3) {
		c := class(r.IntN(4))
		for range 2 {
			x := r.IntN(len(p.Sticks))
			p.Sticks[x] = append(p.Sticks[x], Segment{{c, 1}})
		}
	}
	return p
}

// TestFirm puts firm problems in order and in turn: no segment is given up, and the order in turn is never better.
func TestFirm(t *testing.T) {
	again := 0
	for seed := range uint64(150) {
		p := firmProblem(rand.New(rand.NewPCG(seed, 7)))
		turn, ok := inTurn(p)
		if !ok {
			t.Errorf("seed %d: no order in turn; %+v", seed, p)
			continue
		}
		stick, stop := ByStick(p), ByStop(p)
		for _, plan := range []Plan{turn, stick, stop} {
			if what := verify(p, plan, false); what != "" {
				t.Errorf("seed %d: %s; %+v", seed, what, p)
			}
			if what := broken(p, plan); what {
				t.Errorf("seed %d: a segment is broken; %+v: %+v", seed, p, plan)
			}
		}
		if stick.PickUps > turn.PickUps || stop.Settings > turn.Settings || stop.Least > stop.Settings {
			t.Errorf("seed %d: %d pick-ups and %d settings, in turn %d and %d", seed, stick.PickUps, stop.Settings, turn.PickUps, turn.Settings)
		}
		if stop.Settings > len(lengthsOf(p, allPieces(p))) {
			again++
		}
	}
	if again == 0 {
		t.Error("no run sets a length again")
	}
	t.Logf("%d runs set a length again stop by stop", again)
}

// broken says whether something else is cut from a stick between pieces of one segment.
func broken(p Problem, plan Plan) bool {
	last := map[int]int{}
	seen := map[[2]int]bool{}
	for _, c := range plan.Cuts {
		key := [2]int{c.Stick, c.Segment}
		if n, ok := last[c.Stick]; ok && n != c.Segment && seen[key] {
			return true
		}
		last[c.Stick], seen[key] = c.Segment, true
	}
	return false
}
