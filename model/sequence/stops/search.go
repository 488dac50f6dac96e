package stops

import "container/heap"

// exactWork is how many states the exact search makes at most where each of a few sticks is finished before the next, and
// exactAside where there are more sticks or more ways to go on, and it seldom gets to its end: some tens of milliseconds.
const (
	exactWork  = 5_000
	exactAside = 2_000
	fewSticks  = 12
)

// node is a state and how it was reached.
type node struct {
	s      *state // nil once it is not needed any more
	parent int32  // none: the start
	move   move
	stale  bool // a cheaper way to the same state was found
}

// found is a way to the end.
type found struct {
	moves    []move
	settings int32
	pickUps  int32
}

// exact looks for the best way that costs less than limit. bound is what every way costs at least; it is limit or more where
// there is nothing better, and ended says that the search came to its end.
func (t *table) exact(m mode, limit cost, work int) (best *found, bound cost, ended bool) {
	first := t.start()
	nodes := []node{{s: first, parent: none}}
	reached := map[string]int32{string(t.appendKey(nil, first)): 0} // the node of the cheapest way to each state
	made := 0
	var buffer []byte
	var moves []move
	open := &frontier{{estimate: t.ahead(m, first)}}
	for open.Len() > 0 {
		e := heap.Pop(open).(entry)
		s := nodes[e.node].s
		if nodes[e.node].stale {
			continue
		}
		if int(s.done) == t.pieces {
			return way(nodes, e.node), e.estimate, true
		}
		if made > work {
			return nil, e.estimate, false
		}
		moves = t.moves(m, s, moves[:0])
		for _, mv := range moves {
			made++
			n := t.apply(s, mv)
			c := m.cost(n.settings, n.pickUps)
			estimate := c + t.ahead(m, n)
			if estimate >= limit {
				continue
			}
			buffer = t.appendKey(buffer[:0], n)
			if before, ok := reached[string(buffer)]; ok {
				if old := nodes[before].s; m.cost(old.settings, old.pickUps) <= c {
					continue
				}
				nodes[before].stale = true
			}
			reached[string(buffer)] = int32(len(nodes))
			nodes = append(nodes, node{s: n, parent: e.node, move: mv})
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
