package order

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// verify goes through a plan cut by cut with rules of its own and says what is wrong with it, or nothing.
func verify(p Problem, plan Plan, once bool) string {
	left := make([][]map[int]int, len(p.Sticks)) // by stick, segment and class
	pieces := 0
	for i, stick := range p.Sticks {
		for _, seg := range stick {
			m := map[int]int{}
			for _, lot := range seg {
				m[lot.Class] += lot.Count
				pieces += lot.Count
			}
			left[i] = append(left[i], m)
		}
	}
	if len(plan.Cuts) != pieces {
		return fmt.Sprintf("%d cuts of %d pieces", len(plan.Cuts), pieces)
	}
	stands := make([]int, p.Stops)
	for i := range stands {
		stands[i] = none
	}
	counts := make([][]map[int]int, len(p.Classes)) // pieces by class, one map of standings
	for c := range counts {
		counts[c] = []map[int]int{{}}
	}
	taken := map[int]bool{}
	wasSet := map[int]bool{}
	hand, settings, pickUps := none, 0, 0
	for n, cut := range plan.Cuts {
		if cut.Stick != hand {
			if taken[cut.Stick] {
				pickUps++
			}
			taken[cut.Stick], hand = true, cut.Stick
		}
		if left[cut.Stick][cut.Segment][cut.Class]--; left[cut.Stick][cut.Segment][cut.Class] < 0 {
			return fmt.Sprintf("cut %d: no such piece", n)
		}
		l := p.Classes[cut.Class].Length
		if cut.Placed {
			for i, at := range stands {
				if at != none && max(p.Lengths[at]-p.Lengths[l], p.Lengths[l]-p.Lengths[at]) < max(p.Gap, 1) {
					stands[i] = none
				}
			}
			if slices.Contains(stands, l) || once && wasSet[l] {
				return fmt.Sprintf("cut %d: set again", n)
			}
			stands[cut.Stop-1], wasSet[l] = l, true
			settings++
		}
		if stands[cut.Stop-1] != l || cut.Standing < 0 || cut.Standing >= plan.Settings {
			return fmt.Sprintf("cut %d: the stop does not stand there", n)
		}
		counts[cut.Class][0][cut.Standing]++
	}
	if settings != plan.Settings || pickUps != plan.PickUps || plan.Least > plan.Settings {
		return fmt.Sprintf("settings %d, pick-ups %d, counted %d and %d, at least %d", plan.Settings, plan.PickUps, settings, pickUps, plan.Least)
	}
	for c, class := range p.Classes {
		var bins []int
		for _, n := range counts[c][0] {
			bins = append(bins, n)
		}
		if !fill(bins, class.Groups) {
			return fmt.Sprintf("class %d: settings of %v pieces split groups of %v", c, bins, class.Groups)
		}
	}
	return ""
}

// fill says whether the groups fill the bins exactly.
func fill(bins, groups []int) bool {
	if len(groups) == 0 {
		return sum(bins) == 0
	}
	if len(groups) > 60 {
		return !slices.ContainsFunc(bins, func(n int) bool { return n%groups[0] != 0 }) // only for equal groups
	}
	for i := range bins {
		if bins[i] >= groups[0] && !slices.Contains(bins[:i], bins[i]) {
			bins[i] -= groups[0]
			ok := fill(bins, groups[1:])
			bins[i] += groups[0]
			if ok {
				return true
			}
		}
	}
	return false
}

var seeds = flag.Uint64("orders", 300, "how many random runs are held against every order there is")

// TestAgainstBrute compares with every order there is.
func TestAgainstBrute(t *testing.T) {
	stickByStick, laidAside := 0, 0
	for seed := range *seeds {
		r := rand.New(rand.NewPCG(seed, 1))
		p := randomProblem(r, 5, 8)
		settings, pickUps, ok := (&brute{p: p, keepStick: true}).best()
		if ok {
			stickByStick++
		} else {
			laidAside++
			settings, pickUps, _ = (&brute{p: p, picksRank: true}).best()
		}
		compare(t, seed, p, ByStick(p), settings, pickUps, false)
		settings, pickUps, _ = (&brute{p: p, onePlace: true}).best()
		compare(t, seed, p, ByStop(p), settings, pickUps, true)
	}
	if min(stickByStick, laidAside) < int(*seeds)/20 {
		t.Errorf("only %d runs can be cut stick by stick and only %d cannot", stickByStick, laidAside)
	}
}

func compare(t *testing.T, seed uint64, p Problem, got Plan, settings, pickUps int, once bool) {
	t.Helper()
	if what := verify(p, got, once); what != "" {
		t.Errorf("seed %d: %s; %+v", seed, what, p)
	}
	if whole(p) && !(got.Proven && got.Least == got.Settings) {
		t.Errorf("seed %d: a small run is not proven: %+v", seed, got)
	}
	if got.Settings != settings || got.PickUps != pickUps {
		t.Errorf("seed %d, set once %t: %d settings and %d pick-ups, not %d and %d; %+v", seed, once, got.Settings, got.PickUps, settings, pickUps, p)
	}
}

// whole says whether the sizes of the groups in each class divide each other, without which no proof is promised.
func whole(p Problem) bool {
	for _, c := range p.Classes {
		sizes, _ := Sizes(c.Groups)
		for i := 1; i < len(sizes); i++ {
			if sizes[i-1]%sizes[i] != 0 {
				return false
			}
		}
	}
	return true
}
