package planner

// unionFind divides the numbers from 0 on into sets. Each number names one before it in its set, or itself where it is the first.
type unionFind []int

// newUnionFind gives n sets of one number each.
func newUnionFind(n int) unionFind {
	u := make(unionFind, n)
	for i := range u {
		u[i] = i
	}
	return u
}

// first is the least number of a number's set.
func (u unionFind) first(n int) int {
	for u[n] != n {
		n = u[n]
	}
	return n
}

// join makes one set of the sets of two numbers.
func (u unionFind) join(a, b int) {
	a, b = u.first(a), u.first(b)
	u[max(a, b)] = min(a, b)
}

// sets lists the sets, by their first numbers.
func (u unionFind) sets() (all [][]int) {
	at := map[int]int{}
	for n := range u {
		first := u.first(n)
		if first == n {
			at[n] = len(all)
			all = append(all, nil)
		}
		all[at[first]] = append(all[at[first]], n)
	}
	return all
}
