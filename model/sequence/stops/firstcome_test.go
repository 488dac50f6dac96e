package stops

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestFirstCome compares with every way to choose the stop, where no gap is in the way.
func TestFirstCome(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 3))
		p := Problem{Stops: 1 + r.IntN(3), Lengths: []int64{10, 20, 30, 40, 50}}
		var lengths []int
		for range r.IntN(12) {
			lengths = append(lengths, r.IntN(len(p.Lengths)))
		}
		stands := make([]int, p.Stops)
		for i := range stands {
			stands[i] = none
		}
		if got, want := FirstCome(p, lengths), leastFirstCome(stands, lengths); got != want {
			t.Errorf("seed %d: %d stops, lengths %v: %d settings, not %d", seed, p.Stops, lengths, got, want)
		}
	}
}

func leastFirstCome(stands, lengths []int) int {
	if len(lengths) == 0 {
		return 0
	}
	if slices.Contains(stands, lengths[0]) {
		return leastFirstCome(stands, lengths[1:])
	}
	best := len(lengths)
	for i := range stands {
		n := slices.Clone(stands)
		n[i] = lengths[0]
		best = min(best, 1+leastFirstCome(n, lengths[1:]))
	}
	return best
}

// TestFirstComeGap counts where two stops cannot stand together.
func TestFirstComeGap(t *testing.T) {
	p := Problem{Stops: 2, Gap: 15, Lengths: []int64{10, 20, 30}}
	for _, tt := range []struct {
		lengths  []int
		settings int
	}{
		{[]int{0, 2, 0, 2}, 2},
		{[]int{0, 1, 0, 1}, 4},
		{[]int{0, 2, 1, 0, 2}, 5},
	} {
		if got := FirstCome(p, tt.lengths); got != tt.settings {
			t.Errorf("lengths %v: %d settings, not %d", tt.lengths, got, tt.settings)
		}
	}
}
