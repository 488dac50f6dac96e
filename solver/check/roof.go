package check

import "math/bits"

// roof bounds from above what the parts still to come can add to a partial pattern:
// pieces may be cut into fractions and go in by worth per length, the greatest first,
// and every step that is worth something is counted as reached.
type roof struct {
	runs     []run // by worth per length, the greatest first; the last is worth nothing and has no end
	bonus    int64 // Σ of the positive steps
	shortest int64 // no piece fits where less than this is free
}

// run is one part in that order.
type run struct {
	start  int64 // the length of all runs before it
	sum    int64 // and their worth
	length int64 // of one piece
	worth  int64 // of one piece, >= 0
}

// newRoof is the roof of the parts that are in order from place n on. byDensity
// holds all parts worth taking, the densest first; place is where a part is in order.
func (q *knapsack) newRoof(order, byDensity, place []int, n int) roof {
	r := roof{shortest: q.capacity + 1}
	for _, p := range order[n:] {
		r.shortest = min(r.shortest, q.parts[p].length)
		for _, step := range q.parts[p].steps {
			r.bonus += max(0, step.worth)
		}
	}
	var start, sum int64
	for _, p := range byDensity {
		if place[p] < n {
			continue
		}
		part := q.parts[p]
		r.runs = append(r.runs, run{start, sum, part.length, part.worth})
		start += part.length * part.most
		sum += part.worth * part.most
		if start > q.capacity {
			return r
		}
	}
	r.runs = append(r.runs, run{start, sum, 1, 0})
	return r
}

// prune keeps, in place, the states that might come to be worth more than floor, given
// that settling joints can add no more than promised. A state where nothing fits any
// more is finished, and has been counted as it is.
func (r roof) prune(states front, capacity, promised, floor int64) front {
	kept := states[:0]
	at := len(r.runs) - 1
	for _, s := range states {
		free := capacity - s.length
		if free < r.shortest {
			break // the states after it are longer still
		}
		for r.runs[at].start > free {
			at--
		}
		run := r.runs[at]
		// Is worth + promised + bonus + sum + worth·(free − start)/length > floor?
		missing := floor - s.worth - promised - r.bonus - run.sum
		if missing < 0 || compareProducts(run.worth, free-run.start, missing+1, run.length) >= 0 {
			kept = append(kept, s)
		}
	}
	return kept
}

// denser orders parts by worth per length, the greatest first. What takes worth away
// counts as worth nothing.
func denser(a, b part) int {
	return compareProducts(max(0, b.worth), a.length, max(0, a.worth), b.length)
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
