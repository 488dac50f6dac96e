package stops

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
	stickByStick, laidAside, givenUp := 0, 0, 0
	for seed := range *seeds {
		r := rand.New(rand.NewPCG(seed, 1))
		p := randomProblem(r, 5, 8)
		settings, pickUps, ok := (&brute{p: p, keepStick: true}).best()
		if ok {
			stickByStick++
			compareSearch(t, seed, p, finish, settings, pickUps)
		} else {
			laidAside++
			if settings, pickUps, ok = (&brute{p: p, picksRank: true}).best(); !ok {
				givenUp++
				settings, pickUps, _ = (&brute{p: oneSegment(p), picksRank: true}).best()
			} else {
				compareSearch(t, seed, p, aside, settings, pickUps)
			}
		}
		compare(t, seed, p, ByStick(p), settings, pickUps, false)
		if settings, pickUps, ok = (&brute{p: p, onePlace: true}).best(); !ok {
			settings, pickUps, _ = (&brute{p: oneSegment(p), onePlace: true}).best()
		} else {
			compareSearch(t, seed, p, once, settings, pickUps)
		}
		compare(t, seed, p, ByStop(p), settings, pickUps, true)
	}
	if min(stickByStick, laidAside) < int(*seeds)/20 {
		t.Errorf("only %d runs can be cut stick by stick and only %d cannot", stickByStick, laidAside)
	}
	t.Logf("%d stick by stick, %d with a stick laid aside, of which %d in spite of segments", stickByStick, laidAside, givenUp)
}

// TestPartsAgainstBrute does so for sticks of two parts, of which the first is finished before the second is begun: where such an order is,
// it is found, and the best of them. Without the parts some orders would be better, so that the parts are held by this.
func TestPartsAgainstBrute(t *testing.T) {
	kept, dearer := 0, 0
	for seed := range *seeds / 2 {
		p := randomProblem(rand.New(rand.NewPCG(seed, 4)), 3, 7)
		sticks := p.Sticks
		p.Sticks = nil
		for i, s := range sticks {
			all := slices.Concat(s...)
			p.Sticks = append(p.Sticks, Stick{all[len(all)/2:]}, Stick{all[:len(all)/2]})
			p.Parts = append(p.Parts, Part{i, 1}, Part{i, 0})
		}
		whole, _ := joined(p)
		for _, order := range []struct {
			mode  mode
			brute brute
			find  func(Problem) Plan
		}{{finish, brute{keepStick: true}, ByStick}, {aside, brute{picksRank: true}, ByStick}, {once, brute{onePlace: true}, ByStop}} {
			b := order.brute
			b.p = whole
			settings, pickUps, ok := b.best()
			if !ok {
				continue
			}
			kept++
			compareSearch(t, seed, whole, order.mode, settings, pickUps)
			plan := order.find(p)
			hand, taken, ups := none, map[int]bool{}, 0
			left := map[int]int{} // of the first part of each stick
			for i, s := range p.Sticks {
				left[i] = len(s[0])
			}
			for _, c := range plan.Cuts {
				if left[c.Stick]--; c.Stick%2 == 0 && left[c.Stick+1] > 0 {
					t.Errorf("seed %d: the first part of stick %d is passed over; %+v", seed, c.Stick/2, p)
				}
				if of := c.Stick / 2; of != hand && taken[of] {
					ups++
				}
				hand, taken[c.Stick/2] = c.Stick/2, true
			}
			if plan.Settings != settings || plan.PickUps != pickUps || ups != pickUps {
				t.Errorf("seed %d, mode %d: %d settings and %d pick-ups, counted %d, not %d and %d; %+v", seed, order.mode, plan.Settings, plan.PickUps, ups, settings, pickUps, p)
			}
			free := p
			free.Parts = nil
			if other := order.find(free); other.Settings < plan.Settings {
				dearer++
			}
			if order.mode == finish {
				break
			}
		}
	}
	t.Logf("%d orders keep the parts, of which %d are dearer for it", kept, dearer)
	if kept < int(*seeds)/4 || dearer == 0 {
		t.Errorf("only %d orders keep the parts, and %d are dearer for it", kept, dearer)
	}
}

// oneSegment gives the problem without segments.
func oneSegment(p Problem) Problem {
	sticks := make([]Stick, len(p.Sticks))
	for i, s := range p.Sticks {
		sticks[i] = Stick{slices.Concat(s...)}
	}
	p.Sticks = sticks
	return p
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

// TestLarger orders runs too large to try everything: the order is right, the bound is never above it, and every part of
// the search that is tried (with one to three stops, gaps, segments) comes to an end with an order that splits no group.
func TestLarger(t *testing.T) {
	proven, gap := 0, 0
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 2))
		p := largerProblem(r)
		for _, once := range []bool{false, true} {
			plan := ByStick(p)
			if once {
				plan = ByStop(p)
			}
			if what := verify(p, plan, once); what != "" {
				t.Errorf("seed %d, set once %t: %s", seed, once, what)
			}
			if plan.Proven {
				proven++
			}
			gap += plan.Settings - plan.Least
		}
	}
	t.Logf("%d of 24 proven, %d settings above the bounds in all", proven, gap)
	if proven == 0 || proven == 24 {
		t.Errorf("%d of 24 are proven: the runs are meant to be of both sorts", proven)
	}
}

// largerProblem draws a run of pairs and fours on 4 to 23 sticks, now and then of several segments.
func largerProblem(r *rand.Rand) Problem {
	p := Problem{Stops: 1 + r.IntN(3), Gap: []int64{0, 25}[r.IntN(2)]}
	lengths := 3 + r.IntN(15)
	for l := range lengths {
		p.Lengths = append(p.Lengths, int64(100+10*l))
		p.Classes = append(p.Classes, Class{Length: l})
	}
	p.Sticks = make([]Stick, 4+r.IntN(20))
	for i := range p.Sticks {
		p.Sticks[i] = make(Stick, 1+r.IntN(8)/6)
	}
	for range 3 * len(p.Sticks) {
		c := r.IntN(lengths)
		n := 2 + 2*(r.IntN(5)/4)
		p.Classes[c].Groups = append(p.Classes[c].Groups, n)
		stick := p.Sticks[r.IntN(len(p.Sticks))]
		for range n {
			if r.IntN(3) == 0 {
				stick = p.Sticks[r.IntN(len(p.Sticks))]
			}
			seg := &stick[r.IntN(len(stick))]
			*seg = append(*seg, Lot{c, 1})
		}
	}
	return p
}

// TestHuge orders many sticks in a time that grows with their number, and not faster.
func TestHuge(t *testing.T) {
	p := Problem{Stops: 2, Lengths: []int64{100, 200, 300}, Classes: []Class{{Length: 0}, {Length: 1}, {Length: 2}}}
	for range 3000 {
		p.Sticks = append(p.Sticks, Stick{{{0, 2}, {1, 1}}}, Stick{{{1, 1}, {2, 2}}})
		for c := range p.Classes {
			p.Classes[c].Groups = append(p.Classes[c].Groups, 2)
		}
	}
	plan := ByStick(p)
	if what := verify(p, plan, false); what != "" || plan.PickUps > 0 {
		t.Errorf("%d settings, %d pick-ups; %s", plan.Settings, plan.PickUps, what)
	}
	if plan := ByStop(p); plan.Settings != 3 {
		t.Errorf("set once each: %d settings", plan.Settings)
	}
}

// TestByHand orders runs whose answers are seen at once.
func TestByHand(t *testing.T) {
	pair := func(lengths ...int64) []Class {
		var classes []Class
		for l := range lengths {
			classes = append(classes, Class{Length: l, Groups: []int{2}})
		}
		return classes
	}
	for _, tt := range []struct {
		name              string
		p                 Problem
		settings, pickUps int
	}{
		{"one length between two others is set once", Problem{Stops: 1, Lengths: []int64{1, 2, 3}, Classes: pair(1, 2, 3),
			Sticks: []Stick{{{{0, 2}, {1, 1}}}, {{{1, 1}, {2, 2}}}}}, 3, 0},
		{"two pairs on two sticks need two stops", Problem{Stops: 2, Lengths: []int64{1, 2}, Classes: pair(1, 2),
			Sticks: []Stick{{{{0, 1}, {1, 1}}}, {{{0, 1}, {1, 1}}}}}, 2, 0},
		{"with one stop a stick is laid aside", Problem{Stops: 1, Lengths: []int64{1, 2}, Classes: pair(1, 2),
			Sticks: []Stick{{{{0, 1}, {1, 1}}}, {{{0, 1}, {1, 1}}}}}, 2, 1},
		{"and with two that cannot stand so near", Problem{Stops: 2, Gap: 2, Lengths: []int64{1, 2}, Classes: pair(1, 2),
			Sticks: []Stick{{{{0, 1}, {1, 1}}}, {{{0, 1}, {1, 1}}}}}, 2, 1},
		{"the same with segments, which are given up", Problem{Stops: 1, Lengths: []int64{1, 2}, Classes: pair(1, 2),
			Sticks: []Stick{{{{0, 1}, {1, 1}}, nil}, {{{0, 1}}, {{1, 1}}}}}, 2, 1},
		{"nothing to cut", Problem{Stops: 1}, 0, 0},
	} {
		plan := ByStick(tt.p)
		if what := verify(tt.p, plan, false); what != "" {
			t.Errorf("%s: %s", tt.name, what)
		}
		if plan.Settings != tt.settings || plan.PickUps != tt.pickUps || !plan.Proven {
			t.Errorf("%s: %+v", tt.name, plan)
		}
	}
}

// compareSearch has the exact search find the best by itself, without a beam's order before it, and stops it early: its
// bound is never above the best.
func compareSearch(t *testing.T, seed uint64, p Problem, m mode, settings, pickUps int) {
	t.Helper()
	tb := newTable(p)
	if !tb.complete {
		return
	}
	best := m.cost(int32(settings), int32(pickUps))
	for _, work := range []int{1, 10, 100, 1 << 30} {
		found, bound, ended := tb.exact(m, 1<<62, work)
		if bound > best {
			t.Errorf("seed %d, mode %d, work %d: a bound of %x where the best is %x; %+v", seed, m, work, bound, best, p)
		}
		if ended && m.cost(found.settings, found.pickUps) != best {
			t.Errorf("seed %d, mode %d: %x is not the best, %x; %+v", seed, m, m.cost(found.settings, found.pickUps), best, p)
		}
		worse := Plan{Settings: settings + 2, PickUps: pickUps}
		if least := tb.least(m, worse, bound); m != once && least > settings {
			t.Errorf("seed %d, mode %d, work %d: at least %d settings, where %d are enough; %+v", seed, m, work, least, settings, p)
		}
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
