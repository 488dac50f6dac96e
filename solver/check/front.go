package check

// state is a partial pattern: the length that it uses and its value.
type state struct{ length, value int64 }

// front is a list of nondominated states: by length, the shortest first, and each of greater value than the one
// before.
type front []state

// merge appends to into the front of the states of a and of those of b with length and value added. into is empty and
// shares no memory with a or b. Of b only what stays within the capacity counts.
func merge(into, a, b front, length, value, capacity int64) front {
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		var next state
		if j < len(b) {
			next = state{b[j].length + length, b[j].value + value}
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
		if n := len(into); n == 0 || next.value > into[n-1].value {
			if n > 0 && next.length == into[n-1].length {
				into = into[:n-1]
			}
			into = append(into, next)
		}
	}
	return into
}
