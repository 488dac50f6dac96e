package check

import (
	"cmp"
	"math/bits"
)

// dantzigBound bounds from above what the items still to come can add to a partial pattern (G. B. Dantzig, Operations
// Research 5, 1957): pieces may be cut into fractions and go in by value per length, the greatest first. Every step
// of positive value counts as reached.
//
// There are two such bounds. A pattern ends without a credit, or with one. With one it must leave enough of the
// stick, and a piece adds only its net value to the credit's line.
type dantzigBound struct {
	plain     fractionalFill // of the pieces' values
	net       fractionalFill // of their net values
	credit    stickCredit
	capacity  int64
	stepValue int64 // Σ of the positive steps
	shortest  int64 // no piece fits where less than this is free
}

// fractionalFill gives the greatest value of fractions of pieces in some length.
type fractionalFill struct {
	segments []segment // by value per length, the greatest first; the last has value 0 and no end
	at       int       // the segment where the last question ended
}

// segment is all pieces of one item in that order.
type segment struct {
	start       int64 // length of all segments before it
	value       int64 // and their value
	pieceLength int64 // of one piece
	pieceValue  int64 // >= 0
}

// newDantzigBound is the bound for the items that are in order from place n on.
func (s *dynamicProgram) newDantzigBound(n int) dantzigBound {
	r := dantzigBound{credit: s.credit, capacity: s.capacity, shortest: s.capacity + 1}
	for _, p := range s.order[n:] {
		r.shortest = min(r.shortest, s.items[p].length)
		for _, step := range s.items[p].steps {
			r.stepValue += max(0, step.value)
		}
	}
	r.plain = s.newFractionalFill(n, s.byValue, knapsackItem.plainValue)
	if s.credit.credit != nil {
		r.net = s.newFractionalFill(n, s.byNetValue, knapsackItem.valueNetOfCredit)
	}
	return r
}

// newFractionalFill takes the items of a ranking, the densest first, that are in order from place n on.
func (s *dynamicProgram) newFractionalFill(n int, ranking []int, value func(knapsackItem) int64) fractionalFill {
	var l fractionalFill
	var start, sum int64
	for _, p := range ranking {
		if s.place[p] < n {
			continue
		}
		part := s.items[p]
		l.segments = append(l.segments, segment{start, sum, part.length, value(part)})
		start += part.length * part.most
		sum += value(part) * part.most
		if start > s.capacity {
			return l
		}
	}
	l.segments = append(l.segments, segment{start, sum, 1, 0})
	return l
}

// reaches says whether fractions of pieces in the free length can have a value above missing. From one question to
// the next the free length may only shrink, until rewind.
func (l *fractionalFill) reaches(free, missing int64) bool {
	for l.segments[l.at].start > free {
		l.at--
	}
	run := l.segments[l.at]
	missing -= run.value
	return missing < 0 || compareProducts(run.pieceValue, free-run.start, missing+1, run.pieceLength) >= 0
}

func (l *fractionalFill) rewind() { l.at = len(l.segments) - 1 }

// prune keeps, in place, the states that might come to a value above floor. openValue is the most that undecided
// conjunctions can add. A state where nothing fits any more is finished, and has been recorded as it is.
func (r *dantzigBound) prune(states front, openValue, floor int64) front {
	kept := states[:0]
	r.plain.rewind()
	r.net.rewind()
	for _, s := range states {
		free := r.capacity - s.length
		if free < r.shortest {
			break // the states after it are longer still
		}
		missing := floor - s.value - openValue - r.stepValue
		if r.plain.reaches(free, missing) || r.reachesWithCredit(s, free, missing) {
			kept = append(kept, s)
		}
	}
	return kept
}

// reachesWithCredit says whether the state can come to more than what is missing and still leave enough of the stick
// for a credit.
func (r *dantzigBound) reachesWithCredit(s state, free, missing int64) bool {
	if r.credit.credit == nil {
		return false
	}
	left := r.credit.length - s.length // more than is free where the capacity was shortened
	room := left - r.credit.minLeft()
	return room >= 0 && r.net.reaches(min(free, room), missing-r.credit.line(left))
}

func (p knapsackItem) plainValue() int64 { return p.value }

func (p knapsackItem) valueNetOfCredit() int64 { return p.netValue }

// denser orders items by some value per length, the greatest first. Negative values count as 0.
func denser(value func(knapsackItem) int64) func(a, b knapsackItem) int {
	return func(a, b knapsackItem) int {
		return compareProducts(max(0, value(b)), a.length, max(0, value(a)), b.length)
	}
}

// compareProducts compares a·b with c·d, none of them negative, in 128 bits.
func compareProducts(a, b, c, d int64) int {
	highAB, lowAB := bits.Mul64(uint64(a), uint64(b))
	highCD, lowCD := bits.Mul64(uint64(c), uint64(d))
	return cmp.Or(cmp.Compare(highAB, highCD), cmp.Compare(lowAB, lowCD))
}
