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

// Odd is a number in the workshop's tables that lies far from all others of its column, or terms of a supplier who offers nothing.
type Odd struct {
	Profile string // what it is about; empty: none
	*Error         // where it stands, what is usual there, and what to do
	Reading bool   // only how something was read: no fault of the tables
}

// Odds gives what is odd in the workshop's tables: sizes of frames, lengths of sticks, prices by length, widths of profiles,
// suppliers.
func (w *Workshop) Odds() []Odd {
	prices := w.oddPrices()
	var out []Odd
	for _, c := range []oddColumn{w.oddWidths(), prices, w.oddOffered(), w.oddSticks(), w.oddSizes()} {
		out = append(out, c.odds(c.numbers)...)
	}
	of := map[string][]figure{}
	for _, n := range prices.numbers {
		name := w.Offers[n.row].Profile
		of[name] = append(of[name], n)
	}
	prices.least = crowdOfOne
	for _, p := range w.Profiles { // one profile's prices lie closer together than all of them
		for _, odd := range prices.odds(of[p.Name]) {
			if !slices.ContainsFunc(out, func(o Odd) bool { return o.Where == odd.Where }) {
				out = append(out, odd)
			}
		}
	}
	for _, tiny := range w.tiny() {
		if !slices.ContainsFunc(out, func(o Odd) bool {
			return o.Where.File != "" && o.Where.File == tiny.Where.File && o.Where.Line == tiny.Where.Line
		}) {
			out = append(out, tiny)
		}
	}
	for _, e := range w.Readings {
		out = append(out, Odd{Error: e, Reading: true})
	}
	offers := w.offering()
	for _, s := range w.Suppliers {
		if !offers[s.Name] {
			out = append(out, Odd{Error: bad("supplier", fmt.Sprintf(hasNoOffers, Quote(s.Name)), "that is right until its offers are taken in, which comes next; if they are in, write the name as they do").at(s.Where)})
		}
	}
	return out
}

// OddErrors gives the same as errors, for somebody who wants none.
func (w *Workshop) OddErrors() error {
	var errs Errors
	for _, o := range w.Odds() {
		if !o.Reading {
			errs = append(errs, o.Error)
		}
	}
	return errs.AsError()
}

// figure is one number of a column, and the row of the workshop that it stands in.
type figure struct {
	n      int64
	row    int
	column string
}

// oddColumn is what stands in one column, or in several that hold the same.
type oddColumn struct {
	what    string // a size, a price
	show    func(int64) string
	least   int // others that say what is usual
	numbers []figure
	row     func(int) (profile, of string, where Place) // what people know a row by
}

// add adds a number that is given.
func (c *oddColumn) add(n int64, row int, column string) {
	if n > 0 {
		c.numbers = append(c.numbers, figure{n, row, column})
	}
}

// oddLengths is a column of lengths.
func (w *Workshop) oddLengths(what string) oddColumn {
	return oddColumn{what: what, least: crowd, show: func(n int64) string { return Length(n).In(w.Unit) }}
}

func (w *Workshop) oddWidths() oddColumn {
	c := w.oddLengths("a width")
	for i, p := range w.Profiles {
		c.add(int64(p.Width), i, "width")
	}
	c.row = func(i int) (string, string, Place) {
		return w.Profiles[i].Name, "profile " + w.Profiles[i].Name, w.Profiles[i].Where
	}
	return c
}

func (w *Workshop) oddSticks() oddColumn {
	c := w.oddLengths("a length")
	for i := range w.Rack {
		c.add(int64(w.Rack[i].Length), i, "length")
	}
	c.row = func(i int) (string, string, Place) {
		return w.Rack[i].Profile, "stick " + w.Rack[i].ID, w.Rack[i].Where
	}
	return c
}

func (w *Workshop) oddOffered() oddColumn {
	c := w.oddLengths("a stick length")
	for i := range w.Offers {
		c.add(int64(w.Offers[i].Length), i, "stick_length")
	}
	c.row = w.oddOffer
	return c
}

// oddPrices holds the offers' prices by length: of a metre, or of a foot where the workshop works in inches.
func (w *Workshop) oddPrices() oddColumn {
	unit, name := Metre, "metre"
	if w.Unit.IsInches() {
		unit, name = Foot, "foot"
	}
	c := oddColumn{what: "a price", least: crowd, row: w.oddOffer, show: func(n int64) string { return Money(n).With(w.Currency) + " a " + name }}
	for i := range w.Offers {
		if o := &w.Offers[i]; o.Length > 0 {
			by := float64(o.Price) * float64(unit) / float64(o.Length) / float64(o.PerBundle()) // only compared and shown
			c.add(int64(by+0.5), i, "price")
		}
	}
	return c
}

func (w *Workshop) oddOffer(i int) (profile, of string, where Place) {
	o := &w.Offers[i]
	return o.Profile, o.Supplier + ", " + o.Profile, o.Where
}

func (w *Workshop) oddSizes() oddColumn {
	c := w.oddLengths("a size")
	var frames [][2]int // by row, the job and its frame
	for j := range w.Jobs {
		for f := range w.Jobs[j].Frames {
			if len(w.Jobs[j].Frames[f].Rings) == 0 {
				continue
			}
			size := &w.Jobs[j].Frames[f].Rings[0].Size
			column := "width"
			if size.Across {
				column = "across"
			}
			c.add(int64(size.Width), len(frames), column)
			c.add(int64(size.Height), len(frames), "height")
			frames = append(frames, [2]int{j, f})
		}
	}
	c.row = func(i int) (string, string, Place) {
		j := &w.Jobs[frames[i][0]]
		f := &j.Frames[frames[i][1]]
		return f.Rings[0].Profile, fmt.Sprintf("job %s, frame %s", j.ID, f.ID), f.Rings[0].Where
	}
	return c
}

// smallPrint is the longer side of the smallest photograph that is usual, 9 x 13 cm (common practice, no source).
const smallPrint = 130 * Millimetre

// tiny gives the first frame, of a shop that measures in millimetres, whose numbers are more likely centimetres: in that trade sizes are said in them.
func (w *Workshop) tiny() []Odd {
	first, more, _ := w.Tiny()
	if first == nil {
		return nil
	}
	first.Do = "if centimetres are meant, write cm behind the size or in the heading of its column, or say so with the heading: --is \"HEADING=width in cm\""
	if more > 0 {
		first.Do += fmt.Sprintf(" (and so of %d more)", more)
	}
	return []Odd{*first}
}

// Tiny gives the first frame, of a shop that measures in millimetres, that is smaller than any photograph, how many more there are, and whether all
// frames are; nil: none is.
func (w *Workshop) Tiny() (first *Odd, more int, all bool) {
	all = true
	for j := range w.Jobs {
		for f := range w.Jobs[j].Frames {
			frame := &w.Jobs[j].Frames[f]
			if len(frame.Rings) == 0 {
				continue
			}
			size := frame.Rings[0].Size
			switch {
			case w.Unit != Millimetres || size.Height == 0 || max(size.Width, size.Height) >= smallPrint:
				all = false
			case first != nil:
				more++
			default:
				first = &Odd{Profile: frame.Rings[0].Profile, Error: bad("width", fmt.Sprintf("job %s, frame %s is %s × %s, smaller than any photograph",
					w.Jobs[j].ID, frame.ID, size.Width.Bare(w.Unit), size.Height.In(w.Unit)), "").at(frame.Rings[0].Where)}
			}
		}
	}
	return first, more, all
}

// odds gives the numbers that lie far below or far above all others, if they are few.
func (c oddColumn) odds(numbers []figure) (out []Odd) {
	numbers = slices.Clone(numbers)
	slices.SortFunc(numbers, func(a, b figure) int { return cmp.Or(cmp.Compare(a.n, b.n), cmp.Compare(a.row, b.row)) })
	most := min(max(1, len(numbers)/fewOf), few)
	low := outliers(numbers, most, func(odd, usual figure) bool { return usual.n/far >= odd.n })
	slices.Reverse(numbers)
	high := outliers(numbers[:len(numbers)-low], most, func(odd, usual figure) bool { return odd.n/far >= usual.n })
	usual := numbers[high : len(numbers)-low]
	if len(usual) < c.least {
		return nil
	}
	seen := map[int]bool{}
	for _, n := range append(numbers[:high:high], numbers[len(numbers)-low:]...) {
		if seen[n.row] {
			continue // one slip for width and height
		}
		seen[n.row] = true
		profile, of, where := c.row(n.row)
		where.Column = n.column
		out = append(out, Odd{Profile: profile, Error: &Error{Kind: BadInput, Where: where,
			What: fmt.Sprintf("%s: %s of %s is far from all others, which are %s to %s", of, c.what, c.show(n.n), c.show(usual[len(usual)-1].n), c.show(usual[0].n)),
			Do:   "check its digits and its unit"}})
	}
	return out
}

// outliers gives how many of the numbers at the start lie far from the next one. They stand in so many rows at most.
func outliers(numbers []figure, most int, far func(odd, usual figure) bool) (n int) {
	rows := map[int]bool{}
	for i := 1; i < len(numbers); i++ {
		rows[numbers[i-1].row] = true
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
