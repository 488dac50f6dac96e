package check

import "math/bits"

// roof bounds from above what the parts still to come can add to a partial pattern:
// pieces may be cut into fractions and go in by worth per length, the greatest first,
// and every step that is worth something is counted as reached. In the end a pattern has
// no refund, or it has one; then it must leave the length that takes, and a piece adds
// only its net worth to the refund's line.
type roof struct {
	bare     slope // of the pieces' worths
	net      slope // of their net worths
	refund   refund
	capacity int64
	bonus    int64 // Σ of the positive steps
	shortest int64 // no piece fits where less than this is free
}

// slope is the greatest worth of fractions of pieces in some length.
type slope struct {
	runs []run // by worth per length, the greatest first; the last is worth nothing and has no end
	at   int   // the run where the last question ended
}

// run is one part in that order.
type run struct {
	start  int64 // the length of all runs before it
	sum    int64 // and their worth
	length int64 // of one piece
	worth  int64 // of one piece, >= 0
}

// newRoof is the roof of the parts that are in order from place n on.
func (s *search) newRoof(n int) roof {
	r := roof{refund: s.refund, capacity: s.capacity, shortest: s.capacity + 1}
	for _, p := range s.order[n:] {
		r.shortest = min(r.shortest, s.parts[p].length)
		for _, step := range s.parts[p].steps {
			r.bonus += max(0, step.worth)
		}
	}
	r.bare = s.newSlope(n, s.byWorth, part.bareWorth)
	if s.refund.credit != nil {
		r.net = s.newSlope(n, s.byNet, part.netWorth)
	}
	return r
}

// newSlope goes by the parts in a ranking, the densest first, that are in order from place n on.
func (s *search) newSlope(n int, ranking []int, worth func(part) int64) slope {
	var l slope
	var start, sum int64
	for _, p := range ranking {
		if s.place[p] < n {
			continue
		}
		part := s.parts[p]
		l.runs = append(l.runs, run{start, sum, part.length, worth(part)})
		start += part.length * part.most
		sum += worth(part) * part.most
		if start > s.capacity {
			return l
		}
	}
	l.runs = append(l.runs, run{start, sum, 1, 0})
	return l
}

// reaches says whether fractions of pieces in what is free can be worth more than
// missing. From one question to the next, what is free may only shrink, until rewind.
func (l *slope) reaches(free, missing int64) bool {
	for l.runs[l.at].start > free {
		l.at--
	}
	run := l.runs[l.at]
	missing -= run.sum
	return missing < 0 || compareProducts(run.worth, free-run.start, missing+1, run.length) >= 0
}

func (l *slope) rewind() { l.at = len(l.runs) - 1 }

// prune keeps, in place, the states that might come to be worth more than floor, given
// that settling joints can add no more than promised. A state where nothing fits any
// more is finished, and has been counted as it is.
func (r *roof) prune(states front, promised, floor int64) front {
	kept := states[:0]
	r.bare.rewind()
	r.net.rewind()
	for _, s := range states {
		free := r.capacity - s.length
		if free < r.shortest {
			break // the states after it are longer still
		}
		missing := floor - s.worth - promised - r.bonus
		if r.bare.reaches(free, missing) || r.reachesWithRefund(s, free, missing) {
			kept = append(kept, s)
		}
	}
	return kept
}

// reachesWithRefund says whether the state can be worth more than what is missing and still
// leave enough of the stick for a refund.
func (r *roof) reachesWithRefund(s state, free, missing int64) bool {
	if r.refund.credit == nil {
		return false
	}
	left := r.refund.length - s.length // more than is free where the capacity was shortened
	room := left - r.refund.need()
	return room >= 0 && r.net.reaches(min(free, room), missing-r.refund.line(left))
}

func (p part) bareWorth() int64 { return p.worth }

func (p part) netWorth() int64 { return p.net }

// denser orders parts by some worth per length, the greatest first. What takes worth away
// counts as worth nothing.
func denser(worth func(part) int64) func(a, b part) int {
	return func(a, b part) int {
		return compareProducts(max(0, worth(b)), a.length, max(0, worth(a)), b.length)
	}
}

// compareProducts compares a·b with c·d, none of them negative, in 128 bits.
func compareProducts(a, b, c, d int64) int {
	highAB, lowAB := bits.Mul64(uint64(a), uint64(b))
	highCD, lowCD := bits.Mul64(uint64(c), uint64(d))
	switch {
	case highAB != highCD && highAB > highCD, highAB == highCD && lowAB > lowCD:
		return +1
	case highAB == highCD && lowAB == lowCD:
		return 0
	}
	return -1
}
