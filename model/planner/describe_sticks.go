package planner

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// layouts gives the solver's patterns stick by stick in cutting order: on a stick the longest side first; the sticks
// by their longest sides, longest first (then by their second longest, and so on), so that equal sticks follow each
// other and the stop is seldom moved; of sticks with equal sides, the rack's first, the longer first.
func (pp *profileProblem) layouts(patterns []solver.Pattern) []layout {
	var all []layout
	for _, p := range patterns {
		l := layout{kind: p.Kind - pp.firstKind}
		if l.kind < 0 || l.kind >= len(pp.kinds) {
			continue // of another profile
		}
		for _, take := range p.Take {
			for range take.Quantity {
				l.items = append(l.items, take.Item-pp.firstItem)
			}
			l.used += pp.items[take.Item-pp.firstItem].need * model.Length(take.Quantity)
		}
		if len(l.items) == 0 {
			continue
		}
		slices.Sort(l.items) // items are longest first
		for range p.Count {
			all = append(all, l) // equal sticks share the slice, which nobody changes
		}
	}
	slices.SortStableFunc(all, pp.cuttingOrder)
	return all
}

// cuttingOrder compares layouts for cutting order.
func (pp *profileProblem) cuttingOrder(a, b layout) int {
	if c := slices.Compare(a.items, b.items); c != 0 {
		return c
	}
	return a.kind - b.kind // kinds are the rack's first, longest first
}

// stickOf is one stick: its layout, or one for each sound part where it is damaged, from the head on; those of parts
// that nothing is cut from have no items.
type stickOf []layout

// sticksOf puts the parts of damaged sticks together, where the first of them is met.
func (pp *profileProblem) sticksOf(layouts []layout) []stickOf {
	var sticks []stickOf
	at := map[int]int{} // by damaged stick, where it is in sticks
	for _, l := range layouts {
		d := pp.kinds[l.kind].damaged
		if d == undivided {
			sticks = append(sticks, stickOf{l})
			continue
		}
		n, ok := at[d]
		if !ok {
			n = len(sticks)
			at[d] = n
			var s stickOf
			for _, k := range pp.damaged[d].kinds {
				s = append(s, layout{kind: k})
			}
			sticks = append(sticks, s)
		}
		for part := range sticks[n] {
			if sticks[n][part].kind == l.kind {
				sticks[n][part] = l
			}
		}
	}
	return slices.DeleteFunc(sticks, func(s stickOf) bool { // opened by first-fit for nothing
		return !slices.ContainsFunc(s, func(l layout) bool { return len(l.items) > 0 })
	})
}

// layoutKey is equal for equal layouts only.
func layoutKey(l layout) string {
	var b strings.Builder
	b.WriteString(strconv.Itoa(l.kind))
	for _, i := range l.items {
		b.WriteByte(' ')
		b.WriteString(strconv.Itoa(i))
	}
	return b.String()
}

// sticks gives a solution as sticks, each side with its job and its position. Kept offcuts have no id yet.
func (pp *profileProblem) sticks(sol solution) []plan.Stick {
	a := newAssigner(pp, pp.unitsOf(sol))
	taken := make([]int, len(pp.kinds)) // sticks of the rack used of each kind
	bought := 0
	var sticks []plan.Stick
	for _, parts := range pp.sticksOf(sol.layouts) {
		k := pp.kinds[parts[0].kind]
		s := plan.Stick{Length: k.length, Cost: k.value, Sides: []plan.Side{}}
		if k.bought() {
			bought++
			supply := pp.supplies[k.supply]
			s.From, s.ID, s.Supplier, s.Longest = plan.Bought, fmt.Sprintf("new %d", bought), supply.supplier, supply.longest
			s.Cost = supply.price(sol.bundles[k.supply]) / model.Money(supply.bundle)
			if supply.bundle > 1 {
				s.Bundle = supply.bundle
			}
		} else {
			r := k.rack[taken[parts[0].kind]]
			taken[parts[0].kind]++
			s = ofRack(r)
			s.Cost, s.Sides = k.value, []plan.Side{}
		}
		for n, part := range parts {
			at := pp.kinds[part.kind].from
			for _, p := range a.assign(part.items) {
				s.Sides = append(s.Sides, pp.side(p, at))
				at += pp.pieces[p].need
			}
			left := pp.left(pp.kinds[part.kind], part.used)
			if n < len(parts)-1 {
				s.Between = append(s.Between, left)
			} else {
				s.Left = left
			}
		}
		sticks = append(sticks, s)
	}
	return sticks
}

// ofRack describes a stick that is there or on the way, without what it costs and what is cut from it.
func ofRack(r model.Stick) plan.Stick {
	s := plan.Stick{ID: r.ID, From: plan.FromRack, Place: r.Place, Lot: r.Lot, Length: r.Length, Damage: r.Damage, Paid: r.Paid}
	if r.OnTheWay() {
		s.From, s.Supplier, s.Order = plan.OnTheWay, r.Coming.Supplier, r.Coming.Order
		s.Expected = r.Coming.Expected.String()
	}
	return s
}

// unitsOf gives the units of each item: of the bound ones those of the rings that the solution gives to their lot, in the
// order of the rings.
func (pp *profileProblem) unitsOf(sol solution) [][][]int {
	units := make([][][]int, len(pp.items))
	for i, it := range pp.items {
		units[i] = it.units
	}
	for n, b := range pp.bound {
		next := 0
		for l, rings := range sol.rings[n] {
			for _, ring := range b.rings[next : next+int(rings)] {
				if pp.lots[b.lots[l]].name == alone {
					i := pp.itemOf(pp.itemsFrom(b, b.lots[l])[0])
					units[i] = append(units[i], pp.longestFirst(ring))
					continue
				}
				for _, p := range ring {
					i := pp.itemOf(itemKey{pp.pieces[p].need, pp.pieces[p].side.LongPoint, 1, b.lots[l]})
					units[i] = append(units[i], []int{p})
				}
			}
			next += int(rings)
		}
	}
	return units
}

// side describes the side whose share of the stick starts at a place. The long point lies in the middle of it, behind half the
// mitre loss and a shave, and of a patterned profile half of what makes the share whole repeats; what the half leaves
// of an odd number comes after it.
func (pp *profileProblem) side(n int, at model.Length) plan.Side {
	p := pp.pieces[n]
	return plan.Side{SideID: p.id, Of: p.shape.Sides, Angle: p.side.Angle,
		LongPoint: p.side.LongPoint, Measure: p.side.Measure, Set: p.side.Set,
		Start: at + (p.need-p.side.LongPoint)/2, Takes: p.need}
}

// assigner hands out the units that an item stands for: first those of a frame that is on the same stick already, then
// in the order of the jobs. It forgets what it has handed out.
type assigner struct {
	t        *profileProblem
	units    [][][]int                // of each item
	next     []int                    // for each item, how far its units have been looked through
	assigned []bool                   // by a unit's first piece
	mates    []map[model.SideID][]int // for each item, its units by frame, in order
}

func newAssigner(pp *profileProblem, units [][][]int) *assigner {
	a := &assigner{t: pp, units: units, next: make([]int, len(units)), assigned: make([]bool, len(pp.pieces)),
		mates: make([]map[model.SideID][]int, len(units))}
	for i := range units {
		a.mates[i] = make(map[model.SideID][]int)
		for u := range units[i] {
			fc := a.frame(i, u)
			a.mates[i][fc] = append(a.mates[i][fc], u)
		}
	}
	return a
}

// frame is the frame that a unit of an item belongs to.
func (a *assigner) frame(i, u int) model.SideID { return a.t.pieces[a.units[i][u][0]].id.OfFrame() }

// assign gives the pieces of a unit for each item of a stick.
func (a *assigner) assign(items []int) []int {
	var pieces []int
	var frames []model.SideID
	for _, i := range items {
		u, ok := a.mate(i, frames)
		if !ok {
			u = a.inOrder(i)
			frames = append(frames, a.frame(i, u))
		}
		a.assigned[a.units[i][u][0]] = true
		pieces = append(pieces, a.units[i][u]...)
	}
	return pieces
}

// mate gives a unit of the item that belongs to one of the frames.
func (a *assigner) mate(i int, frames []model.SideID) (int, bool) {
	for _, fc := range frames {
		rest := a.mates[i][fc]
		for len(rest) > 0 {
			u := rest[0]
			rest = rest[1:]
			a.mates[i][fc] = rest
			if !a.assigned[a.units[i][u][0]] {
				return u, true
			}
		}
	}
	return 0, false
}

// inOrder gives the item's next unit.
func (a *assigner) inOrder(i int) int {
	for {
		u := a.next[i]
		a.next[i]++
		if !a.assigned[a.units[i][u][0]] {
			return u
		}
	}
}
