package check

// state is a partial pattern: the length it uses and what it is worth.
type state struct{ length, worth int64 }

// front is a list of states of which none is beaten by another: by length, the
// shortest first, and each worth more than the one before. Its last state is worth the most.
type front []state

// merge appends to into (empty, sharing no memory with a or b) the front of the states
// of a and those of b made longer and worth more by what is given. Of b only what
// stays within the capacity counts.
func merge(into, a, b front, length, worth, capacity int64) front {
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		var next state
		if j < len(b) {
			next = state{b[j].length + length, b[j].worth + worth}
			if next.length > capacity {
				b = b[:j]
				continue
			}
		}
		if j == len(b) || i < len(a) && a[i].length < next.length {
			next = a[i]
			i++
		} else {
			j++
		}
		if n := len(into); n == 0 || next.worth > into[n-1].worth {
			if n > 0 && next.length == into[n-1].length {
				into = into[:n-1]
			}
			into = append(into, next)
		}
	}
	return into
}
