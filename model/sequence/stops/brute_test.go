package stops

import (
	"math/rand/v2"
	"slices"
)

// brute finds the least cost of any order by trying every cut of one piece after another, and every stop for it. It shares
// nothing with the search but Problem: which group a piece belongs to is chosen at each cut.
type brute struct {
	p         Problem
	keepStick bool // each stick is finished before the next
	onePlace  bool // a length is set once
	picksRank bool // pick-ups count before settings
	known     map[string][2]int
	whole     [][]int // as left, at the start
}

// bruteState is one moment. Everything in it is small and copied.
type bruteState struct {
	left    [][]int // by stick, segment and class
	taken   []bool
	hand    int
	stops   []int     // length of each stop, or none
	groups  [][]group // by class
	wasSet  []bool    // by length
	current []int     // by length: number of its present setting
}

// group is how many pieces are still to be cut of a group, and by which setting of its length it was begun (0: not yet).
type group struct{ left, by int }

var impossible = [2]int{1 << 20, 1 << 20}

func (b *brute) best() (settings, pickUps int, ok bool) {
	b.whole = nil
	s := bruteState{hand: none, taken: make([]bool, len(b.p.Sticks)), wasSet: make([]bool, len(b.p.Lengths)),
		current: make([]int, len(b.p.Lengths))}
	for _, stick := range b.p.Sticks {
		left := make([]int, len(stick)*len(b.p.Classes))
		for g, seg := range stick {
			for _, lot := range seg {
				left[g*len(b.p.Classes)+lot.Class] += lot.Count
			}
		}
		s.left = append(s.left, left)
		b.whole = append(b.whole, left)
	}
	for range b.p.Stops {
		s.stops = append(s.stops, none)
	}
	for _, c := range b.p.Classes {
		var groups []group
		for _, n := range c.Groups {
			groups = append(groups, group{left: n})
		}
		s.groups = append(s.groups, groups)
	}
	b.known = map[string][2]int{}
	got := b.from(s)
	if got == impossible {
		return 0, 0, false
	}
	if b.picksRank {
		return got[1], got[0], true
	}
	return got[0], got[1], true
}

// from gives the least of what is still to be paid: what counts first, and what counts next.
func (b *brute) from(s bruteState) [2]int {
	key := s.key()
	if got, ok := b.known[key]; ok {
		return got
	}
	best := impossible
	over := true
	for i := range s.left {
		for at, n := range s.left[i] {
			if n == 0 {
				continue
			}
			over = false
			c := at % len(b.p.Classes)
			if b.otherBegun(s, i, at/len(b.p.Classes)) {
				continue
			}
			if b.keepStick && s.hand != none && i != s.hand && sum(s.left[s.hand]) > 0 {
				continue
			}
			pick := 0
			if i != s.hand && s.taken[i] {
				pick = 1
			}
			l := b.p.Classes[c].Length
			if slices.Contains(s.stops, l) {
				best = better(best, b.cut(s, i, at, l), [2]int{0, pick}, b.picksRank)
				continue
			}
			if b.onePlace && s.wasSet[l] {
				continue
			}
			for stop := range s.stops {
				if n, ok := b.place(s, stop, l); ok {
					best = better(best, b.cut(n, i, at, l), [2]int{1, pick}, b.picksRank)
				}
			}
		}
	}
	if over {
		best = [2]int{}
	}
	b.known[key] = best
	return best
}

// key is equal for equal moments: every number in it is below 100.
func (s bruteState) key() string {
	key := []byte{byte(s.hand + 1)}
	for i, left := range s.left {
		for _, n := range left {
			key = append(key, byte(n))
		}
		if s.taken[i] {
			key = append(key, 100)
		}
	}
	for _, l := range s.stops {
		key = append(key, byte(l+1))
	}
	for _, groups := range s.groups {
		for _, g := range groups {
			key = append(key, byte(g.left), byte(g.by))
		}
	}
	for l, n := range s.current {
		key = append(key, byte(n))
		if s.wasSet[l] {
			key = append(key, 100)
		}
	}
	return string(key)
}

// better gives the less of what is known and of a way with its first step's settings and pick-ups.
func better(known, rest, step [2]int, picksFirst bool) [2]int {
	if rest == impossible {
		return known
	}
	if picksFirst {
		step[0], step[1] = step[1], step[0]
	}
	rest[0] += step[0]
	rest[1] += step[1]
	if rest[0] < known[0] || rest[0] == known[0] && rest[1] < known[1] {
		return rest
	}
	return known
}

// place moves a stop, and those in its way out of it.
func (b *brute) place(s bruteState, stop, l int) (bruteState, bool) {
	n := s
	n.stops = slices.Clone(s.stops)
	for i, at := range s.stops {
		if at == none {
			continue
		}
		d := b.p.Lengths[at] - b.p.Lengths[l]
		if i != stop && (d >= b.p.Gap && d > 0 || -d >= b.p.Gap && d < 0) {
			continue
		}
		for c, class := range b.p.Classes {
			for _, g := range s.groups[c] {
				if class.Length == at && g.left > 0 && g.by > 0 {
					return n, false
				}
			}
		}
		n.stops[i] = none
	}
	n.stops[stop] = l
	n.wasSet = slices.Clone(s.wasSet)
	n.wasSet[l] = true
	n.current = slices.Clone(s.current)
	n.current[l]++
	return n, true
}

// otherBegun says whether another segment of the stick is begun and not finished, or something is left of an earlier part.
func (b *brute) otherBegun(s bruteState, stick, segment int) bool {
	n := len(b.p.Classes)
	for g := range b.p.Sticks[stick] {
		left, whole := sum(s.left[stick][g*n:(g+1)*n]), sum(b.whole[stick][g*n:(g+1)*n])
		if g != segment && left > 0 && (left < whole || b.p.partOf(stick, g) < b.p.partOf(stick, segment)) {
			return true
		}
	}
	return false
}

// cut takes one piece from a stick, of whichever group is best.
func (b *brute) cut(s bruteState, stick, at, l int) [2]int {
	best := impossible
	class := at % len(b.p.Classes)
	var tried []group
	for g, have := range s.groups[class] {
		if have.left == 0 || have.by > 0 && have.by != s.current[l] || slices.Contains(tried, have) {
			continue
		}
		tried = append(tried, have)
		n := s
		n.hand = stick
		n.taken = slices.Clone(s.taken)
		n.taken[stick] = true
		n.left = slices.Clone(s.left)
		n.left[stick] = slices.Clone(s.left[stick])
		n.left[stick][at]--
		n.groups = slices.Clone(s.groups)
		n.groups[class] = slices.Clone(s.groups[class])
		n.groups[class][g] = group{have.left - 1, s.current[l]}
		best = better(best, b.from(n), [2]int{}, false)
	}
	return best
}

func sum(list []int) int {
	n := 0
	for _, x := range list {
		n += x
	}
	return n
}

// randomProblem draws a run of at most so many sticks and pieces, of which the groups are mostly pairs.
func randomProblem(r *rand.Rand, sticks, pieces int) Problem {
	p := Problem{Stops: []int{1, 1, 1, 2, 2, 3}[r.IntN(6)], Gap: []int64{0, 0, 15, 25}[r.IntN(4)]}
	lengths := 1 + r.IntN(4)
	for l := range lengths {
		p.Lengths = append(p.Lengths, int64(100+10*l))
		if l > 0 && r.IntN(6) == 0 {
			p.Lengths[l] = p.Lengths[l-1]
		}
	}
	var all []int
	classes := lengths + r.IntN(2)
	for c := range classes {
		p.Classes = append(p.Classes, Class{Length: c % lengths})
	}
	for range 50 {
		c := r.IntN(classes)
		n := []int{2, 2, 2, 2, 4, 1, 3, 6}[r.IntN(8)]
		if len(all)+n > pieces {
			continue
		}
		p.Classes[c].Groups = append(p.Classes[c].Groups, n)
		for range n {
			all = append(all, c)
		}
	}
	r.Shuffle(len(all), func(a, b int) { all[a], all[b] = all[b], all[a] })
	p.Sticks = make([]Stick, min(2+r.IntN(4), sticks))
	for i := range p.Sticks {
		p.Sticks[i] = make(Stick, 1+r.IntN(6)/5)
	}
	for _, c := range all {
		i := r.IntN(len(p.Sticks))
		g := r.IntN(len(p.Sticks[i]))
		p.Sticks[i][g] = append(p.Sticks[i][g], Lot{c, 1})
	}
	return p
}
