package stops

import (
	"cmp"
	"container/heap"
	"slices"
)

// beamWork bounds the states a beam search looks at: its beam is the narrower the more pieces there are.
const beamWork = 2000

// widest is the widest beam.
const widest = 40

// candidate is a move from a node, with what the way over it would cost at least, as far as is seen before it is made.
type candidate struct {
	parent   int32
	move     move
	estimate cost
	untidy   int32
}

// beam looks for a good way: of the states with the same number of pieces cut it goes on with the most promising. nil
// where they all came to a dead end.
func (t *table) beam(m mode) *found {
	width := min(max(beamWork/max(t.pieces, 1), 1), widest)
	nodes := []node{{s: t.start(), parent: none}}
	level := make([][]candidate, t.pieces+1)
	var spare [][]candidate // levels that are done, to be filled again
	var moves []move
	alive := []int32{0}
	longest := t.mostEqual()
	kept := 0 // the first node whose state may still be needed
	for done := 0; ; {
		for _, at := range alive {
			s := nodes[at].s
			moves = t.moves(m, s, moves[:0])
			for _, mv := range moves {
				n := done + t.cuts(mv)
				if last := len(spare) - 1; level[n] == nil && last >= 0 {
					level[n], spare = spare[last][:0], spare[:last]
				}
				level[n] = append(level[n], candidate{at, mv, t.estimate(m, s, mv), s.untidy + t.departs(s, mv)})
			}
		}
		for done++; done <= t.pieces && len(level[done]) == 0; done++ {
		}
		if done > t.pieces {
			return nil
		}
		alive = t.survivors(m, level[done], width, &nodes)
		for ; int(nodes[kept].s.done)+longest < done; kept++ {
			nodes[kept].s = nil
		}
		spare = append(spare, level[done])
		level[done] = nil
		if done == t.pieces {
			return way(nodes, alive[0])
		}
	}
}

// mostEqual is the most pieces that one move can cut.
func (t *table) mostEqual() int {
	most := 0
	for _, ty := range t.types {
		for _, seg := range t.left(t.rems[ty]) {
			n := 0
			for _, lot := range seg {
				n += lot.Count
			}
			most = max(most, n)
		}
	}
	return most
}

// cuts is how many pieces a move cuts.
func (t *table) cuts(mv move) int {
	n := 0
	for i, lot := range t.rems[mv.rem].options[mv.option].lots {
		if mv.take == nil {
			n += lot.Count
		} else {
			n += int(mv.take[i])
		}
	}
	return n
}

// estimate is what a way over a move costs at least, without the bound stick by stick.
func (t *table) estimate(m mode, s *state, mv move) cost {
	settings, pickUps := s.settings+s.waiting, s.pickUps+int32(len(s.asides))
	if mv.from != inHand && s.hand != 0 {
		pickUps++
	}
	if mv.placed {
		length := t.rems[mv.rem].options[mv.option].length
		for _, st := range s.set {
			if st.length == mv.drop || t.near(int(st.length), length) {
				settings++
			}
		}
	}
	return m.cost(settings, pickUps)
}

// survivors makes the most promising moves, each state once, and gives the nodes of the width best.
func (t *table) survivors(m mode, all []candidate, width int, nodes *[]node) []int32 {
	open := &byPromise{of: all, index: make([]int32, len(all))} // few of thousands are taken, so they are not all sorted
	for i := range open.index {
		open.index[i] = int32(i)
	}
	heap.Init(open)
	type ranked struct {
		node     node
		estimate cost
		open     int
	}
	var made []ranked
	var key []byte
	seen := map[string]bool{}
	const second = 3 // so many times the width are looked at closely
	for open.Len() > 0 && len(made) < second*width {
		c := all[heap.Pop(open).(int32)]
		s := t.apply((*nodes)[c.parent].s, c.move)
		if key = t.appendKey(key[:0], s); !seen[string(key)] {
			seen[string(key)] = true
			made = append(made, ranked{node{s: s, parent: c.parent, move: c.move}, m.cost(s.settings, s.pickUps) + t.ahead(m, s), t.open(m, s)})
		}
	}
	slices.SortStableFunc(made, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(a.estimate, b.estimate), cmp.Compare(a.open, b.open), cmp.Compare(a.node.s.untidy, b.node.s.untidy))
	})
	var alive []int32
	for _, r := range made[:min(width, len(made))] {
		*nodes = append(*nodes, r.node)
		alive = append(alive, int32(len(*nodes)-1))
	}
	return alive
}

// byPromise is a heap of candidates' indexes: those that would cost least first, of equal ones the tidier, then the first found.
type byPromise struct {
	of    []candidate
	index []int32
}

func (h *byPromise) Len() int { return len(h.index) }
func (h *byPromise) Less(x, y int) bool {
	a, b := &h.of[h.index[x]], &h.of[h.index[y]]
	switch {
	case a.estimate != b.estimate:
		return a.estimate < b.estimate
	case a.untidy != b.untidy:
		return a.untidy < b.untidy
	}
	return h.index[x] < h.index[y]
}
func (h *byPromise) Swap(x, y int) { h.index[x], h.index[y] = h.index[y], h.index[x] }
func (h *byPromise) Push(any)      {} // nothing is added
func (h *byPromise) Pop() any {
	last := len(h.index) - 1
	i := h.index[last]
	h.index = h.index[:last]
	return i
}

// open counts the stops that may not go.
func (t *table) open(m mode, s *state) int {
	n := 0
	for _, st := range s.set {
		if !t.mayLeave(m, s, st) {
			n++
		}
	}
	return n
}
