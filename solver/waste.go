package solver

import (
	"context"
	"errors"
	"slices"
)

// fullSearch looks for a plan with fewer sticks than the incumbent has, and for nothing else. With n sticks of one kind such a plan leaves
//
//	W = n·L − Σ_i ℓ_i d_i
//
// in all, so that no stick of it leaves more (waste limits; V. L. de Lima, M. Iori, F. K. Miyazawa, Mathematical Programming 197, 2023; from memory).
// Where W is small hardly any pattern is left. A search of its own prices, dives and branches over those alone. Its bounds hold for such plans only, and
// are in no certificate; its plans are plans.
type fullSearch struct {
	*search
	done bool // it has found a plan or shown that there is none
}

// A fullSearch is made where sticks are at most fullCells units long, for a table of all lengths is kept, and where W is at most a stick's length
// divided by fullShare.
const fullCells, fullShare = 1 << 14, 64

// The nodes that a fullSearch may take at once, after the root of the search that it helps and after each of its nodes.
const fullFirst, fullEach = 40, 2

// mostWaste is W for the plans that are cheaper than the incumbent. It reports false where it says nothing.
func (s *search) mostWaste(d *partialPlan) (waste int64, ok bool) {
	in := s.in
	if !s.hasPlan || len(in.capacity) != 1 || len(in.choices) > 0 || len(in.rows) > 0 || in.credits || in.cost[0] == 0 || in.capacity[0] > fullCells {
		return 0, false
	}
	waste = (s.cost - 1 - d.cost) / in.cost[0] * in.capacity[0]
	for i, n := range d.demand {
		waste -= n * in.length[i]
	}
	return waste, true
}

// keepFull makes the patterns that are priced from now on those that a plan better than the incumbent can have beside what is cut already. It does so
// in a fullSearch only. It reports false where there is none.
func (s *search) keepFull(d *partialPlan) bool {
	s.pricer.leastUsed = 0
	if !s.full {
		return true
	}
	waste, ok := s.mostWaste(d)
	if ok {
		s.pricer.leastUsed = max(0, s.in.capacity[0]-waste)
	}
	return !ok || waste >= 0
}

// isFull tells whether a column is one of the patterns that are priced.
func (s *search) isFull(c *column) bool {
	left := s.in.capacity[c.kind]
	for _, t := range c.take {
		left -= t.Quantity * s.in.length[t.Item]
	}
	return s.pricer.leastUsed <= s.in.capacity[c.kind]-left
}

// openFullSearch begins a fullSearch where it can help: the root is solved, and there is a gap.
func (s *search) openFullSearch() {
	waste, ok := s.mostWaste(newPartialPlan(s.in, nil))
	if s.full || !ok || waste < 0 || waste > s.in.capacity[0]/fullShare {
		return
	}
	f := &fullSearch{search: newSearch(s.problem, Options{})}
	f.full, f.started = true, true
	f.adopt(s)
	f.root, f.lower = f.lengthBound(), s.lower
	f.keepFull(newPartialPlan(f.in, nil))
	for _, c := range s.pool {
		if f.isFull(c) {
			f.pooled(c)
		}
	}
	s.fuller = f
}

// adopt takes another search's incumbent.
func (s *search) adopt(o *search) {
	s.hasPlan, s.cost, s.patterns, s.times = true, o.cost, slices.Clone(o.patterns), o.times
	s.payable = newPayable(s.in, s.cost)
}

// lookForFull lets the fullSearch go on for so many nodes and takes the plan that it finds.
func (s *search) lookForFull(ctx context.Context, nodes int) error {
	f := s.fuller
	if f == nil || f.done {
		return nil
	}
	f.end, f.opts.NodeLimit = s.end, f.nodes+nodes
	err := f.branchAndPrice(ctx)
	f.done = err == nil || errors.Is(err, errStalled)
	if f.cost < s.cost {
		s.adopt(f.search)
		for _, p := range s.patterns {
			s.pooled(&column{p.Kind, p.Take})
		}
		s.reportProgress()
		s.fuller = nil
		s.openFullSearch() // for one stick less still
	}
	if err != nil && !errors.Is(err, errNodeLimit) && !errors.Is(err, errStalled) {
		return err
	}
	return nil
}

// noFullPlan tells whether a fullSearch has shown, without a certificate, that no plan is better than the incumbent: then only the proof is missing.
func (s *search) noFullPlan() bool {
	return s.fuller != nil && s.fuller.done && s.fuller.stalled == 0 && s.fuller.cost == s.cost
}
