package stops

// FirstCome counts the settings when sides are cut one after another as they are given, whatever belongs together. lengths
// are indexes in Problem.Lengths. Of the stops that may be moved the one goes whose length is wanted again last, which with
// no gap is the least there can be (L. A. Belady, IBM Systems Journal 5, 1966; from memory).
func FirstCome(p Problem, lengths []int) int {
	t := &table{p: p}
	next := nextUse(lengths, len(p.Lengths))
	wanted := map[int]int{} // of the lengths that are set: where they are wanted next
	settings := 0
	for i, l := range lengths {
		if _, ok := wanted[l]; !ok {
			settings++
			for other := range wanted {
				if t.near(other, l) {
					delete(wanted, other)
				}
			}
			if len(wanted) == p.Stops {
				delete(wanted, latest(wanted))
			}
		}
		wanted[l] = next[i]
	}
	return settings
}

// nextUse says for each place where its length comes next; past the end where it does not.
func nextUse(lengths []int, n int) []int {
	next := make([]int, len(lengths))
	seen := make([]int, n)
	for l := range seen {
		seen[l] = len(lengths)
	}
	for i := len(lengths) - 1; i >= 0; i-- {
		next[i] = seen[lengths[i]]
		seen[lengths[i]] = i
	}
	return next
}

// latest is the length wanted last, of several the least.
func latest(wanted map[int]int) int {
	best := none
	for l, at := range wanted {
		if best == none || at > wanted[best] || at == wanted[best] && l < best {
			best = l
		}
	}
	return best
}
