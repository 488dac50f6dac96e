package model

import (
	"cmp"
	"fmt"
	"slices"
)

// What lies far from everything else in its column is most likely a slip: 16 for 16 in, 30 for 300, 174.00 for 17.40. It may be
// meant, so it is a warning and no error.
const (
	// far is how many times as small or as large a number is: a slipped digit makes ten times, a slipped unit more.
	far = 5
	// crowd is the least number of others that say what is usual, and crowdOfOne of one profile's prices.
	crowd      = 6
	crowdOfOne = 3
	// fewOf says of how many rows one may be odd, and few how many at most: more of them are a sort of their own.
	fewOf = 20
	few   = 5
)

// Odd is a number in the workshop's tables that lies far from all others of its column.
type Odd struct {
	Profile string // what it is about
	*Error         // where it stands, what is usual there, and what to do
}

// Odds gives what is odd in the workshop's tables: sizes of frames, lengths of sticks, prices by length, widths of profiles.
func (w *Workshop) Odds() []Odd {
	var out []Odd
	for _, c := range w.oddColumns() {
		out = append(out, c.odds(c.numbers)...)
	}
	prices := w.offeredPrices()
	of := map[string][]figure{}
	for _, n := range prices.numbers {
		of[n.profile] = append(of[n.profile], n)
	}
	for _, p := range w.Profiles { // one profile's prices lie closer together than all of them
		prices.least = crowdOfOne
		for _, odd := range prices.odds(of[p.Name]) {
			if !slices.ContainsFunc(out, func(o Odd) bool { return o.Where == odd.Where }) {
				out = append(out, odd)
			}
		}
	}
	return out
}

// OddErrors gives the same as errors, for somebody who wants none.
func (w *Workshop) OddErrors() error {
	var errs Errors
	for _, o := range w.Odds() {
		errs = append(errs, o.Error)
	}
	return errs.AsError()
}

// figure is one number of a column.
type figure struct {
	profile string
	of      string // what people know the row by
	where   Place
	column  string
	n       int64
}

// oddColumn is what stands in one column, or in several that hold the same.
type oddColumn struct {
	what    string // "a size of %s"
	show    func(int64) string
	least   int // others that say what is usual
	numbers []figure
}

// add adds a number that is given.
func (c *oddColumn) add(profile, of string, where Place, column string, n int64) {
	if n > 0 {
		c.numbers = append(c.numbers, figure{profile, of, where, column, n})
	}
}

// oddColumns gathers the columns that are looked at.
func (w *Workshop) oddColumns() []*oddColumn {
	length := func(what string) *oddColumn {
		return &oddColumn{what: what, least: crowd, show: func(n int64) string { return Length(n).In(w.Unit) }}
	}
	widths, sticks, offered, sizes := length("a width"), length("a length"), length("a stick length"), length("a size")
	for _, p := range w.Profiles {
		widths.add(p.Name, "profile "+p.Name, p.Where, "width", int64(p.Width))
	}
	for _, s := range w.Rack {
		sticks.add(s.Profile, "stick "+s.ID, s.Where, "length", int64(s.Length))
	}
	for _, o := range w.Offers {
		offered.add(o.Profile, o.Supplier+", "+o.Profile, o.Where, "stick_length", int64(o.Length))
	}
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			if len(f.Rings) == 0 {
				continue
			}
			ring := f.Rings[0]
			column := "width"
			if ring.Size.Across {
				column = "across"
			}
			of := fmt.Sprintf("job %s, frame %s", j.ID, f.ID)
			sizes.add(ring.Profile, of, ring.Where, column, int64(ring.Size.Width))
			sizes.add(ring.Profile, of, ring.Where, "height", int64(ring.Size.Height))
		}
	}
	return []*oddColumn{widths, w.offeredPrices(), offered, sticks, sizes}
}

// offeredPrices gives the offers' prices by length: of a metre, or of a foot where the workshop works in inches.
func (w *Workshop) offeredPrices() *oddColumn {
	unit, name := Metre, "metre"
	if w.Unit == Inches {
		unit, name = Foot, "foot"
	}
	c := &oddColumn{what: "a price", least: crowd, show: func(n int64) string { return Money(n).With(w.Currency) + " a " + name }}
	for _, o := range w.Offers {
		if o.Length > 0 {
			by := float64(o.Price) * float64(unit) / float64(o.Length) / float64(o.PerBundle()) // only compared and shown
			c.add(o.Profile, o.Supplier+", "+o.Profile, o.Where, "price", int64(by+0.5))
		}
	}
	return c
}

// odds gives the numbers that lie far below or far above all others, if they are few.
func (c *oddColumn) odds(numbers []figure) (out []Odd) {
	numbers = slices.Clone(numbers)
	slices.SortStableFunc(numbers, func(a, b figure) int { return cmp.Compare(a.n, b.n) })
	most := min(max(1, len(numbers)/fewOf), few)
	low := outliers(numbers, most, func(odd, usual figure) bool { return usual.n/far >= odd.n })
	slices.Reverse(numbers)
	high := outliers(numbers[:len(numbers)-low], most, func(odd, usual figure) bool { return odd.n/far >= usual.n })
	usual := numbers[high : len(numbers)-low]
	if len(usual) < c.least {
		return nil
	}
	seen := map[Place]bool{}
	for _, n := range append(numbers[:high:high], numbers[len(numbers)-low:]...) {
		if seen[n.where] {
			continue // one slip for width and height
		}
		seen[n.where] = true
		where := n.where
		where.Column = n.column
		out = append(out, Odd{n.profile, &Error{Kind: BadInput, Where: where,
			What: fmt.Sprintf("%s: %s of %s is far from all others, which are %s to %s", n.of, c.what, c.show(n.n), c.show(usual[len(usual)-1].n), c.show(usual[0].n)),
			Do:   "check its digits and its unit"}})
	}
	return out
}

// outliers gives how many of the numbers at the start lie far from the next one. They stand in so many rows at most.
func outliers(numbers []figure, most int, far func(odd, usual figure) bool) (n int) {
	rows := map[Place]bool{}
	for i := 1; i < len(numbers); i++ {
		rows[numbers[i-1].where] = true
		if len(rows) > most {
			return n
		}
		if far(numbers[i-1], numbers[i]) {
			n = i
		}
	}
	return n
}

// String says what is odd, for a plan, which outlives the tables' places.
func (o Odd) String() string { return o.What + "; " + o.Do }
