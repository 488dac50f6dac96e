package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"longpoint/model"
	"longpoint/solver"
)

// layouts gives the solver's patterns stick by stick in cutting order: on a stick the longest side first; the sticks
// by their longest sides, longest first (then by their second longest, and so on), so that equal sticks follow each
// other and the stop is seldom moved; of sticks with equal sides, the rack's first, the longer first.
func (t *task) layouts(patterns []solver.Pattern) []layout {
	var all []layout
	for _, p := range patterns {
		l := layout{kind: p.Kind}
		for _, take := range p.Take {
			for range take.Quantity {
				l.items = append(l.items, take.Item)
			}
			l.used += t.items[take.Item].need * model.Length(take.Quantity)
		}
		slices.Sort(l.items) // items are longest first
		for range p.Count {
			all = append(all, l) // equal sticks share the slice, which nobody changes
		}
	}
	slices.SortStableFunc(all, func(a, b layout) int {
		if c := slices.Compare(a.items, b.items); c != 0 {
			return c
		}
		return a.kind - b.kind // kinds are the rack's first, longest first
	})
	return all
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

// sticks gives the layouts as sticks, each side with its job and its position. Kept offcuts have no id yet.
func (t *task) sticks(layouts []layout) []Stick {
	d := newDealer(t)
	taken := make([]int, len(t.kinds)) // sticks of the rack used of each kind
	bought := 0
	sticks := make([]Stick, 0, len(layouts))
	for _, l := range layouts {
		k := t.kinds[l.kind]
		s := Stick{Length: k.length, Cost: k.cost}
		if k.bought() {
			bought++
			s.From, s.ID, s.Supplier = Bought, fmt.Sprintf("new %d", bought), k.offer.Supplier
		} else {
			r := k.rack[taken[l.kind]]
			taken[l.kind]++
			s.From, s.ID, s.Place = FromRack, r.ID, r.Place
		}
		at := t.head
		for _, p := range d.deal(l.items) {
			s.Sides = append(s.Sides, t.side(p, at))
			at += t.pieces[p].need
		}
		s.Left = t.left(k.length, at-t.head)
		sticks = append(sticks, s)
	}
	return sticks
}

// side describes the side whose share of the stick starts at a place. The half mitre loss and the shave come before
// the long point; what the half leaves of an odd loss comes after it.
func (t *task) side(n int, at model.Length) Side {
	p := t.pieces[n]
	return Side{Job: t.w.Jobs[p.job].ID, Frame: p.frame, Copy: p.copy, Ring: p.ring,
		Letter: p.side.Letter, Of: p.shape.Sides, Angle: p.side.Angle,
		LongPoint: p.side.LongPoint, Measure: p.side.Measure, Set: p.side.Set,
		Start: at + p.loss/2 + t.w.Machine.Shave, Takes: p.need}
}

// dealer hands out the sides that an item stands for: first those of a frame that is on the same stick already, then
// in the order of the jobs. It forgets what it has handed out.
type dealer struct {
	t     *task
	next  []int // for each item, how far its pieces have been looked through
	dealt []bool
	mates []map[frameCopy][]int // for each item, its pieces by frame, in order
}

// frameCopy is one frame as the customer gets it.
type frameCopy struct {
	job   int
	frame string
	copy  int
}

func (p piece) frameCopy() frameCopy { return frameCopy{p.job, p.frame, p.copy} }

func newDealer(t *task) *dealer {
	d := &dealer{t: t, next: make([]int, len(t.items)), dealt: make([]bool, len(t.pieces)),
		mates: make([]map[frameCopy][]int, len(t.items))}
	for i, it := range t.items {
		d.mates[i] = make(map[frameCopy][]int)
		for _, p := range it.pieces {
			fc := t.pieces[p].frameCopy()
			d.mates[i][fc] = append(d.mates[i][fc], p)
		}
	}
	return d
}

// deal gives a piece for each item of a stick.
func (d *dealer) deal(items []int) []int {
	var pieces []int
	var frames []frameCopy
	for _, i := range items {
		p, ok := d.mate(i, frames)
		if !ok {
			p = d.inOrder(i)
			frames = append(frames, d.t.pieces[p].frameCopy())
		}
		d.dealt[p] = true
		pieces = append(pieces, p)
	}
	return pieces
}

// mate gives a piece of the item that belongs to one of the frames.
func (d *dealer) mate(i int, frames []frameCopy) (int, bool) {
	for _, fc := range frames {
		rest := d.mates[i][fc]
		for len(rest) > 0 {
			p := rest[0]
			rest = rest[1:]
			d.mates[i][fc] = rest
			if !d.dealt[p] {
				return p, true
			}
		}
	}
	return 0, false
}

// inOrder gives the item's next piece.
func (d *dealer) inOrder(i int) int {
	for {
		p := d.t.items[i].pieces[d.next[i]]
		d.next[i]++
		if !d.dealt[p] {
			return p
		}
	}
}
