package order

import "container/heap"

// exactStates is how many states the exact search takes at most: some tens of milliseconds.
const exactStates = 20_000

// node is a state and how it was reached.
type node struct {
	s      *state // nil once it is not needed any more
	parent int32  // none: the start
	move   move
}

// found is a way to the end.
type found struct {
	moves    []move
	settings int32
	pickUps  int32
}

// exact looks for the best way that costs less than limit. bound is what every way costs at least; it is limit or more where
// there is nothing better, and ended says that the search came to its end.
func (t *table) exact(m mode, limit cost, states int) (best *found, bound cost, ended bool) {
	first := t.start()
	nodes := []node{{s: first, parent: none}}
	reached := map[string]cost{string(t.key(first)): 0}
	open := &frontier{{estimate: t.ahead(m, first)}}
	for open.Len() > 0 {
		e := heap.Pop(open).(entry)
		s := nodes[e.node].s
		cost := m.cost(s.settings, s.pickUps)
		if cost > reached[string(t.key(s))] {
			continue
		}
		if int(s.done) == t.pieces {
			return way(nodes, e.node), e.estimate, true
		}
		if len(nodes) > states {
			return nil, e.estimate, false
		}
		for _, mv := range t.moves(m, s) {
			n := t.apply(s, mv)
			c := m.cost(n.settings, n.pickUps)
			estimate := c + t.ahead(m, n)
			if estimate >= limit {
				continue
			}
			key := string(t.key(n))
			if before, ok := reached[key]; ok && before <= c {
				continue
			}
			reached[key] = c
			nodes = append(nodes, node{n, e.node, mv})
			heap.Push(open, entry{estimate, n.done, int32(len(nodes) - 1)})
		}
	}
	return nil, limit, true
}

// way lists the moves to a node.
func way(nodes []node, at int32) *found {
	f := &found{settings: nodes[at].s.settings, pickUps: nodes[at].s.pickUps}
	for ; nodes[at].parent != none; at = nodes[at].parent {
		f.moves = append(f.moves, nodes[at].move)
	}
	for i, j := 0, len(f.moves)-1; i < j; i, j = i+1, j-1 {
		f.moves[i], f.moves[j] = f.moves[j], f.moves[i]
	}
	return f
}

// entry is a node to be looked at: those with the least estimate first, of equal ones those that have got furthest, then the
// first found.
type entry struct {
	estimate cost
	done     int32
	node     int32
}

// frontier is a heap of entries.
type frontier []entry

func (f frontier) Len() int { return len(f) }
func (f frontier) Less(a, b int) bool {
	switch {
	case f[a].estimate != f[b].estimate:
		return f[a].estimate < f[b].estimate
	case f[a].done != f[b].done:
		return f[a].done > f[b].done
	}
	return f[a].node < f[b].node
}
func (f frontier) Swap(a, b int) { f[a], f[b] = f[b], f[a] }
func (f *frontier) Push(x any)   { *f = append(*f, x.(entry)) }
func (f *frontier) Pop() any {
	last := len(*f) - 1
	e := (*f)[last]
	*f = (*f)[:last]
	return e
}
