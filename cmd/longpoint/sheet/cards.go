package sheet

import (
	"fmt"
	"slices"
)

// How cards are set, in millimetres. They are cut apart along their outlines.
const (
	cardEdge   = 6.0  // white round the page, which printers leave out
	cardInset  = 4.0  // from a card's outline to what is on it
	cardHeader = 12.5 // of what stands on top of each field
	cardTitle  = 14 * point
	footSize   = 7 * point
	cardGap    = 0.6 // of the gap between blocks that pages have
)

// footLeading is from line to line of a card's foot, of its size.
const footLeading = 1.2

// fields is how many fields a page is parted into, across and down.
func (c Cards) fields() (across, down int) {
	switch c.PerPage {
	case 1:
		return 1, 1
	case 2:
		return 1, 2
	}
	return 2, 2
}

// size gives how wide and high a field is.
func (c Cards) size(p Paper) (wide, high float64) {
	across, down := c.fields()
	return (p.Width - 2*cardEdge) / float64(across), (p.Height - 2*cardEdge) / float64(down)
}

// fields is how many fields the card takes where there are so many on a page.
func (c Card) fields(p Paper, perPage int) int {
	return len(c.set(Cards{PerPage: perPage}.size(p)))
}

// pages lays cards on pages. A card takes one field; one that needs two takes a row of them, and one that needs more takes whole
// pages. Each takes the first room there is, so that small cards fill what larger ones before them left.
func (c Cards) pages(p Paper) (pages []*Drawing) {
	across, down := c.fields()
	wide, high := c.size(p)
	var taken [][]bool // of each page, its fields row by row
	for _, card := range c.Cards {
		set := card.set(wide, high)
		for len(set) > 0 {
			now := set[:min(len(set), across*down)]
			set = set[len(now):]
			need := len(now)
			if need > across {
				need = across * down
			}
			page, first := freeFields(&taken, need, across*down)
			if page == len(pages) {
				pages = append(pages, NewDrawing(p.Width, p.Height))
			}
			for i := range need {
				taken[page][first+i] = true
			}
			at := func(field int) Point {
				return Point{cardEdge + float64(field%across)*wide, cardEdge + float64(field/across)*high}
			}
			corner, last := at(first), at(first+need-1)
			pages[page].frame(hairline, Grey, corner.X, corner.Y, last.X+wide-corner.X, last.Y+high-corner.Y)
			for i, d := range now {
				pages[page].place(d, at(first+i).X, at(first+i).Y)
			}
		}
	}
	if len(pages) == 0 {
		pages = append(pages, NewDrawing(p.Width, p.Height))
	}
	return pages
}

// freeFields finds so many fields side by side, the first of them at a multiple of their number, on the first page that has
// them; that may be a page more.
func freeFields(taken *[][]bool, need, perPage int) (page, first int) {
	for page, fields := range *taken {
		for first := 0; first+need <= perPage; first += need {
			if !slices.Contains(fields[first:first+need], true) {
				return page, first
			}
		}
	}
	*taken = append(*taken, make([]bool, perPage))
	return len(*taken) - 1, 0
}

// set sets a card on as many fields as it needs.
func (c Card) set(wide, high float64) (fields []*Drawing) {
	inner := wide - 2*cardInset
	foot := wrap(c.Foot, inner, footSize, false)
	s := newSetter(wide, high, spot{cardInset, cardInset + cardHeader, inner, high - 2*cardInset - cardHeader - float64(len(foot))*footSize*footLeading - 1})
	for _, block := range c.Blocks {
		for _, next := range slabs(block, inner) {
			next.gap *= cardGap
			s.place(next)
		}
	}
	s.flush()
	if len(s.pages) == 0 {
		s.newPage()
	}
	for i, field := range s.pages {
		c.furnish(field.Drawing, inner, i+1, len(s.pages))
		for n, line := range foot {
			y := high - cardInset - float64(len(foot)-1-n)*footSize*footLeading
			field.write(words{At: Point{cardInset, y}, Text: line, Size: footSize})
		}
		fields = append(fields, field.Drawing)
	}
	return fields
}

// furnish writes what stands on every field: title, what is beside it, the line under them.
func (c Card) furnish(d *Drawing, inner float64, number, of int) {
	y := cardInset + ascent*cardTitle
	title := c.Title
	if of > 1 {
		title += fmt.Sprintf(" (%d of %d)", number, of)
	}
	aside := widthOf(readable(c.Aside), partSize, true)
	d.write(words{At: Point{cardInset, y}, Text: fit(title, inner-aside-3, cardTitle, true), Size: cardTitle, Bold: true})
	d.write(words{At: Point{cardInset + inner, y}, Text: c.Aside, Size: partSize, Bold: true, Align: right})
	d.write(words{At: Point{cardInset, y + 4.2}, Text: fit(c.Under, inner, underSize, false), Size: underSize, Ink: Grey})
	d.line(thinLine, Black, Point{cardInset, y + 5.8}, Point{cardInset + inner, y + 5.8})
}
