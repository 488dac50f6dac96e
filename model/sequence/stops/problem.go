package stops

// Problem is the pieces on the sticks of one run and the machine's stops. The functions of this package do not change it.
type Problem struct {
	Stops   int     // at least 1
	Gap     int64   // least distance of two stops that both stand; two stops never stand at one place, even where it is 0
	Lengths []int64 // where a stop stands for each length; two may be equal
	Classes []Class
	Sticks  []Stick
	Parts   []Part // by stick, what it is a part of; nil: each is whole
	Firm    bool   // segments are never given up; see inTurn for what they must be then

	parts [][]int // of a joined problem, by stick: in which of its parts each segment lies
}

// Part says of which stick something is a part, and how many parts lie before it: those are finished before it is begun. Only where no such order is
// found the parts are sticks by themselves.
type Part struct{ Of, Before int }

// Class is pieces of one length that may stand in for one another. Groups are how many of them belong together in each
// group: at least 1 each, and their sum is the pieces of the class on all sticks.
type Class struct {
	Length int // index in Problem.Lengths
	Groups []int
}

// Stick is the segments of a stick, in any order. A segment that is begun is finished before another one of the same stick
// is begun, but for problems that are not firm and where no such order is found: their sticks are taken as one segment each.
type Stick []Segment

// Segment is pieces that lie next to each other, in any order.
type Segment []Lot

// Lot is so many pieces of a class.
type Lot struct {
	Class int // index in Problem.Classes
	Count int
}

// Plan is an order of cuts.
type Plan struct {
	Cuts     []Cut
	Settings int // how often a stop is placed
	Least    int // no order of this kind, with no more pick-ups, has fewer settings
	PickUps  int // how often a stick is taken in hand again
	// Proven says that the search came to its end: no order of this kind is better.
	Proven bool
}

// Cut is one piece cut from its stick.
type Cut struct {
	Stick    int // index in Problem.Sticks
	Segment  int // index in its segments
	Class    int
	Stop     int  // from 1
	Placed   bool // the stop is placed for this cut
	Standing int  // which setting it is cut from, counted from 0 in the order of the settings
}

// ByStick gives an order that finishes each stick before the next, as far as the groups allow that.
func ByStick(p Problem) Plan { return solve(p, finish, aside) }

// ByStop gives an order that sets each length once. Where firm segments forbid that, as far as is found, lengths are set
// as seldom as is found.
func ByStop(p Problem) Plan {
	if p.Firm {
		return solve(p, once, seldom)
	}
	return solve(p, once)
}

// solve tries the modes in turn, with the parts joined, then without that, and then without the segments. Without segments the last mode always has an
// order: where a group is open, a piece of it is left on some stick, and its stop stands.
func solve(p Problem, modes ...mode) Plan {
	whole, from := joined(p)
	for _, m := range modes {
		if plan, ok := newTable(whole).solve(m); ok {
			for i := range plan.Cuts {
				c := &plan.Cuts[i]
				c.Stick, c.Segment = from[c.Stick][c.Segment][0], from[c.Stick][c.Segment][1]
			}
			return plan
		}
	}
	if p.Parts != nil {
		parts := p.Parts
		p.Parts = nil
		plan := solve(p, modes...)
		plan.PickUps = pickUps(plan.Cuts, parts)
		return plan
	}
	if p.Firm {
		plan, ok := inTurn(p)
		if !ok {
			panic("stops: firm segments that cannot be cut in turn")
		}
		return plan
	}
	whole = merged(p)
	if whole.Sticks == nil {
		panic("stops: a run whose groups do not add up to its pieces")
	}
	plan := solve(whole, modes[len(modes)-1])
	plan.inSegments(p)
	return plan
}

// joined gives the problem with the parts of each stick as one stick. from says of its sticks and segments which stick and segment of p they are.
func joined(p Problem) (whole Problem, from [][][2]int) {
	whole = p
	whole.Sticks, whole.Parts, whole.parts = nil, nil, nil
	at := map[int]int{} // by what they are parts of
	for i, s := range p.Sticks {
		part := Part{Of: i}
		if p.Parts != nil {
			part = p.Parts[i]
		}
		n, ok := at[part.Of]
		if !ok {
			n = len(whole.Sticks)
			at[part.Of] = n
			whole.Sticks, whole.parts, from = append(whole.Sticks, nil), append(whole.parts, nil), append(from, nil)
		}
		for k, seg := range s {
			whole.Sticks[n] = append(whole.Sticks[n], seg)
			whole.parts[n] = append(whole.parts[n], part.Before)
			from[n] = append(from[n], [2]int{i, k})
		}
	}
	return whole, from
}

// pickUps counts how often a stick is taken in hand again.
func pickUps(cuts []Cut, parts []Part) (n int) {
	hand, taken := none, map[int]bool{}
	for _, c := range cuts {
		of := parts[c.Stick].Of
		if of != hand && taken[of] {
			n++
		}
		hand, taken[of] = of, true
	}
	return n
}

// inSegments says from which segment each piece comes, after the segments were given up: from the first that has one left.
func (plan *Plan) inSegments(p Problem) {
	left := map[[3]int]int{} // by stick, segment and class
	for i, s := range p.Sticks {
		for n, seg := range s {
			for _, lot := range seg {
				left[[3]int{i, n, lot.Class}] += lot.Count
			}
		}
	}
	for i := range plan.Cuts {
		c := &plan.Cuts[i]
		for left[[3]int{c.Stick, c.Segment, c.Class}] == 0 {
			c.Segment++
		}
		left[[3]int{c.Stick, c.Segment, c.Class}]--
	}
}

// merged gives the problem with one segment a stick. Its sticks are nil where that is so already.
func merged(p Problem) Problem {
	sticks := make([]Stick, len(p.Sticks))
	several := false
	for i, s := range p.Sticks {
		several = several || len(s) > 1
		var all Segment
		for _, seg := range s {
			all = append(all, seg...)
		}
		sticks[i] = Stick{all}
	}
	if p.Sticks = nil; several {
		p.Sticks = sticks
	}
	return p
}
