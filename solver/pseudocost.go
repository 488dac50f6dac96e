package solver

import "math"

// A pseudo-cost is by how much the bound has risen on average, for each unit by which a number was rounded down or up, where the search branched on that
// number before (M. Bénichou, J. M. Gauthier, P. Girodet, G. Hentges, G. Ribière, O. Vincent, Mathematical Programming 1, 1971; from memory).

// pseudoCost is what the search has learned of branching on one number.
type pseudoCost struct {
	rise [2]float64 // sum of all rises for a unit, down and up
	n    [2]int     // how many
}

func (p *pseudoCost) note(side int, rise float64) {
	p.rise[side] += rise
	p.n[side]++
}

// Groups of numbers that are branched on. Of a number that was never branched on the average of its group is expected.
const (
	groupBought   = iota // choices that ask for nothing
	groupKind            // sticks of one kind
	groupCredited        // sticks that earn a credit, of one kind or of all
	groupAsked           // choices that ask for pieces
	groups
)

// measureOf gives the place of a condition's number in search.learned and its group; false: the condition is on what sticks hold.
func (s *search) measureOf(c *Condition) (place, group int, ok bool) {
	kinds := len(s.in.choices)
	switch {
	case c.Credited && c.AnyKind:
		return kinds + 2*len(s.in.capacity), groupCredited, true
	case c.Credited:
		return kinds + len(s.in.capacity) + c.Kind, groupCredited, true
	case len(c.Holds) > 0 || c.AnyKind:
		return 0, 0, false
	case c.OnChoice && len(s.in.choices[c.Choice].Asks) > 0:
		return c.Choice, groupAsked, true
	case c.OnChoice:
		return c.Choice, groupBought, true
	}
	return kinds + c.Kind, groupKind, true
}

// learn notes by how much a node's bound has risen above its parent's.
func (s *search) learn(n *node, rise float64) {
	if len(n.conds) == 0 || n.distance <= 0 {
		return
	}
	c := &n.conds[len(n.conds)-1]
	place, group, ok := s.measureOf(c)
	if !ok {
		return
	}
	side := 0
	if c.AtLeast {
		side = 1
	}
	if s.learned == nil {
		s.learned = make([]pseudoCost, len(s.in.choices)+2*len(s.in.capacity)+1)
	}
	rise = max(0, min(rise, s.riseCap(n.proof.value))) / n.distance
	s.learned[place].note(side, rise)
	s.learnedOf[group].note(side, rise)
}

// riseCap is the greatest rise that counts: it closes the node. Infeasible nodes would drown all others in the averages.
func (s *search) riseCap(from float64) float64 {
	if !s.hasPlan {
		return float64(s.in.maxCost)
	}
	return max(1, float64(s.cost)-from)
}

// expected is the rise for a unit that is expected on one side.
func (s *search) expected(place, group, side int) float64 {
	if s.learned != nil && s.learned[place].n[side] > 0 {
		return s.learned[place].rise[side] / float64(s.learned[place].n[side])
	}
	if p := &s.learnedOf[group]; p.n[side] > 0 {
		return p.rise[side] / float64(p.n[side])
	}
	return float64(s.in.maxCost) * groupPrior[group]
}

// groupPrior is what is expected of a group that was never branched on, in the dearest cost: it only puts the groups in order.
var groupPrior = [groups]float64{1, 0.2, 0.05, 0.1}

// branchByGain picks, among the choices and the numbers of sticks and of credits that are fractional, the one that promises the greatest rise of the bound on both sides.
func (s *search) branchByGain(m *master, sum []float64) (Condition, bool) {
	var best Condition
	bestScore := 0.0
	try := func(c Condition, value, weight float64) {
		if fractionality(value) == 0 {
			return
		}
		c.Bound = int64(math.Floor(value + zeroTolerance))
		f := value - float64(c.Bound)
		place, group, _ := s.measureOf(&c)
		least := riseLeast * float64(max(1, s.in.maxCost))
		score := weight * max(least, f*s.expected(place, group, 0)) * max(least, (1-f)*s.expected(place, group, 1))
		if score > bestScore*(1+zeroTolerance) {
			best, bestScore = c, score
		}
	}
	for j, c := range s.in.choices {
		if len(c.Asks) == 0 {
			try(Condition{OnChoice: true, Choice: j}, m.choiceValue(j), s.in.choiceWeight[j])
		}
	}
	if bestScore > 0 {
		return best, true
	}
	for j := range s.in.choices {
		try(Condition{OnChoice: true, Choice: j}, m.choiceValue(j), s.in.choiceWeight[j])
	}
	for k, n := range sum {
		// The dearer the kind, the more the bounds rise on both sides.
		try(Condition{Kind: k}, n, 1+float64(s.in.cost[k])/float64(max(1, s.in.maxCost)))
	}
	if s.in.credits {
		s.eachCredited(m, func(c Condition, value float64) { try(c, value, 1) })
	}
	return best, bestScore > 0
}

// riseLeast is a rise, in the dearest cost, below which rises are not told apart.
const riseLeast = 1e-6

// valueOf is the number of a condition on choices or on sticks whatever they hold, in the relaxation.
func (s *search) valueOf(m *master, c *Condition) (value float64) {
	if c.OnChoice {
		return m.choiceValue(c.Choice)
	}
	for j, x := range m.cols {
		if x.meets(s.in, c) {
			value += m.columnValue(j)
		}
	}
	return value
}

// eachCredited visits the numbers of sticks of each kind that earn a credit and do not decline it. That of all kinds together is not branched on: an empty
// stick meets such a condition at its least in the bound but not in the linear program, so that nodes without a plan were never closed.
func (s *search) eachCredited(m *master, visit func(c Condition, value float64)) {
	of := make([]float64, len(s.in.capacity))
	for j, x := range m.cols {
		if v := m.columnValue(j); v > 0 && !x.declined && s.in.credited(x.kind, x.take) {
			of[x.kind] += v
		}
	}
	for k, v := range of {
		if v > 0 && s.in.credit[k].Num > 0 && s.in.leastCredit(k) > 0 {
			visit(Condition{Kind: k, Credited: true}, v)
		}
	}
}
