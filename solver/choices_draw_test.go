package solver_test

import (
	"math/rand/v2"

	"longpoint/solver"
)

// drawing is a problem being drawn, with at most 6 items and 4 kinds.
type drawing struct {
	*rand.Rand
	unit int64
	p    solver.Problem
}

const (
	mostItems = 6
	mostKinds = 4
)

// choiceProblem draws a small problem with all that a workshop may choose: sticks in bundles and at prices that fall with
// the quantity, deliveries and least orders, damaged sticks, frames to be cut from one lot, orders to be
// taken or left, and credits for what is left of sticks. In one of six there is little of everything, and the sticks may not suffice.
func choiceProblem(r *rand.Rand) solver.Problem {
	d := drawing{Rand: r, unit: []int64{1, 10, 396_875, 1_000_000}[r.IntN(4)]}
	for range 2 + r.IntN(3) {
		d.p.Items = append(d.p.Items, solver.Item{Length: d.length(12, 50), Demand: 1 + r.Int64N(3)})
	}
	d.bought()
	if r.IntN(2) == 0 {
		d.rack()
	}
	if r.IntN(2) == 0 {
		d.lots()
	}
	if r.IntN(3) == 0 {
		d.damaged()
	}
	if r.IntN(6) == 0 {
		d.sale()
	}
	if r.IntN(2) == 0 {
		d.credits()
	}
	if r.IntN(6) == 0 {
		d.scarce()
	}
	if r.IntN(15) == 0 { // a kind that may hold nothing, which is not the same as one that may hold anything
		d.p.Kinds[r.IntN(len(d.p.Kinds))].Only = []int{}
	}
	return d.p
}

// creditsLotsBundles draws a small problem with credits for what is left, frames to be cut from one lot, and sticks in bundles.
func creditsLotsBundles(r *rand.Rand) solver.Problem {
	d := drawing{Rand: r, unit: 1}
	for range 2 + r.IntN(2) {
		d.p.Items = append(d.p.Items, solver.Item{Length: d.length(12, 50), Demand: 1 + r.Int64N(3)})
	}
	d.offer(1)
	d.rack()
	d.lots()
	d.credits()
	return d.p
}

// length draws a length of so many units.
func (d *drawing) length(least, most int64) int64 { return d.unit * (least + d.Int64N(most-least+1)) }

// kind adds a kind and gives its index.
func (d *drawing) kind(k solver.Kind) int {
	d.p.Kinds = append(d.p.Kinds, k)
	return len(d.p.Kinds) - 1
}

func (d *drawing) choice(c solver.Choice) { d.p.Choices = append(d.p.Choices, c) }

func (d *drawing) row(least int64) int {
	d.p.Rows = append(d.p.Rows, solver.Row{Least: least})
	return len(d.p.Rows) - 1
}

// bought adds sticks that can be bought, in one of the ways that suppliers sell, now and then in two.
func (d *drawing) bought() {
	d.offer(d.IntN(5))
	if d.IntN(4) == 0 {
		d.offer(d.IntN(5))
	}
}

// offer adds a kind of stick at a price. A stick is worth some of its price once it is bought: that is what using
// it costs, and the purchase costs so much less.
func (d *drawing) offer(way int) {
	length, price := d.length(50, 100), 50+d.Int64N(1500)
	pieces := int64(2)
	for _, it := range d.p.Items {
		pieces += it.Demand
	}
	if way == 0 {
		d.kind(solver.Kind{Length: length, Cost: price})
		return
	}
	value := d.Int64N(price/2 + 1)
	k := d.kind(solver.Kind{Length: length, Cost: value, Limited: true, Limit: d.Int64N(2) * d.Int64N(2)})
	gives := func(n int64) []solver.Give { return []solver.Give{{Kind: k, Quantity: n}} }
	switch way {
	case 1: // bundles
		n := 2 + d.Int64N(3)
		d.choice(solver.Choice{Cost: n * (price - value), Most: 1 + pieces/n, Gives: gives(n)})
	case 2: // a lower price from so many on
		from, less := 2+d.Int64N(3), price-value-d.Int64N((price-value)/2+1)
		row := d.row(0)
		d.choice(solver.Choice{Cost: price - value, Most: from, Gives: gives(1)})
		d.choice(solver.Choice{Cost: from * less, Most: 1, Gives: gives(from), In: []solver.Coef{{Row: row, Value: pieces}}})
		d.choice(solver.Choice{Cost: less, Most: pieces, Gives: gives(1), In: []solver.Coef{{Row: row, Value: -1}}})
	case 3: // a delivery charge and a least order in sticks
		ordered, enough := d.row(0), d.row(0)
		d.choice(solver.Choice{Cost: price - value, Most: pieces, Gives: gives(1), In: []solver.Coef{{Row: ordered, Value: -1}, {Row: enough, Value: 1}}})
		d.choice(solver.Choice{Cost: d.Int64N(price), Most: 1, In: []solver.Coef{{Row: ordered, Value: pieces}, {Row: enough, Value: -1 - d.Int64N(4)}}})
	default: // a delivery charge and a least order in money, for singles and bundles alike
		ordered, enough := d.row(0), d.row(0)
		bundle := 2 + d.Int64N(2)
		dear := bundle*price - d.Int64N(price/2)
		d.choice(solver.Choice{Cost: price - value, Most: pieces, Gives: gives(1), In: []solver.Coef{{Row: ordered, Value: -1}, {Row: enough, Value: price}}})
		d.choice(solver.Choice{Cost: dear - bundle*value, Most: pieces, Gives: gives(bundle), In: []solver.Coef{{Row: ordered, Value: -1}, {Row: enough, Value: dear}}})
		d.choice(solver.Choice{Cost: d.Int64N(price), Most: 1, In: []solver.Coef{{Row: ordered, Value: 2 * pieces}, {Row: enough, Value: -1 - d.Int64N(4*price)}}})
	}
}

// rack adds some sticks that are there, valued by length.
func (d *drawing) rack() {
	if len(d.p.Kinds) < mostKinds {
		length := d.length(20, 90)
		d.kind(solver.Kind{Length: length, Cost: (3 + d.Int64N(6)) * length / d.unit, Limited: true, Limit: 1 + d.Int64N(3)})
	}
}

// damaged adds a stick with a bad place: opened, it gives two short ones.
func (d *drawing) damaged() {
	if len(d.p.Kinds)+2 > mostKinds {
		return
	}
	worth := d.Int64N(400)
	choice := solver.Choice{Most: 1}
	for range 2 {
		run := solver.Kind{Length: d.length(15, 60), Cost: d.Int64N(worth/2 + 1), Limited: true}
		choice.Gives = append(choice.Gives, solver.Give{Kind: d.kind(run), Quantity: 1})
		worth -= run.Cost
	}
	choice.Cost = worth
	d.choice(choice)
}

// lots adds frames each of which must be cut from one of two lots. The first lot is what the first kind is of, the other
// one lies on the rack; what the frames need is an item a lot, which other lots' sticks may not hold.
func (d *drawing) lots() {
	if len(d.p.Items)+2 > mostItems || len(d.p.Kinds)+1 > mostKinds {
		return
	}
	first := len(d.p.Items)
	length := d.length(12, 40)
	d.p.Items = append(d.p.Items, solver.Item{Length: length}, solver.Item{Length: length})
	other := d.kind(solver.Kind{Length: d.length(40, 100), Cost: d.Int64N(800), Limited: true, Limit: 1 + d.Int64N(3)})
	for range 1 + d.IntN(2) {
		sides, row := 2+d.Int64N(3), d.row(1)
		for lot := range 2 {
			d.choice(solver.Choice{Most: 1, Asks: []solver.Take{{Item: first + lot, Quantity: sides}}, In: []solver.Coef{{Row: row, Value: 1}}})
		}
	}
	for k := range d.p.Kinds {
		barred := first + 1 // the other lot's item
		if k == other {
			barred = first
		} else if k > 0 && d.IntN(2) == 0 {
			barred = -1 // of no lot: neither
		}
		d.p.Kinds[k].Only = []int{}
		for i := range d.p.Items {
			if i != barred && (barred >= 0 || i < first) {
				d.p.Kinds[k].Only = append(d.p.Kinds[k].Only, i)
			}
		}
	}
}

// sale adds an order that may be taken or left: it earns, and asks for more pieces.
func (d *drawing) sale() {
	d.choice(solver.Choice{Cost: -d.Int64N(900), Most: 1 + d.Int64N(2), Asks: []solver.Take{{Item: d.IntN(len(d.p.Items)), Quantity: 1 + d.Int64N(2)}}})
}

// scarce leaves few of everything, so that the sticks may not suffice.
func (d *drawing) scarce() {
	for k := range d.p.Kinds {
		kind := &d.p.Kinds[k]
		kind.Limited, kind.Limit = true, d.Int64N(3)
	}
	for j := range d.p.Choices {
		if c := &d.p.Choices[j]; len(c.Gives) > 0 {
			c.Most = min(c.Most, d.Int64N(4))
		}
	}
}

// credits pays a share of the price by length for what is left of sticks, of most kinds.
func (d *drawing) credits() {
	share := 20 + d.Int64N(81)
	for k := range d.p.Kinds {
		kind := &d.p.Kinds[k]
		if extra := d.unit * d.Int64N(4); kind.Cost > 0 && d.IntN(4) > 0 {
			kind.Credit = solver.Credit{Keep: d.length(0, 30), Extra: extra, Num: kind.Cost * share, Den: 100 * (kind.Length + extra)}
		}
	}
}
