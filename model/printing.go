package model

import (
	"fmt"
	"slices"
	"strings"
)

// Printing is how the workshop prints. What is not given is up to whoever prints.
type Printing struct {
	Paper    string // one of Papers; blank: not given
	Tickets  int    // job tickets on a page, one of TicketsAPage; 0: not given
	Fraction int    // least fraction of an inch that lengths are read to, one of Fractions; 0: not given
	Labels   LabelSheet
}

// LabelSheet says how labels lie on a sheet, or that they are on a roll, in lengths that the user measured.
type LabelSheet struct {
	Roll          bool   // each label is printed as a page of its own; only its size counts
	Columns, Rows int    // labels across and down a sheet
	Width, Height Length // of one label
	Left, Top     Length // from the sheet's edges to the first label
	Across, Down  Length // between labels side by side, and one under the other
}

// IsZero tells that no label sheet is given.
func (l LabelSheet) IsZero() bool { return l == LabelSheet{} }

// Papers are the papers that can be printed on.
func Papers() []string { return []string{"A4", "Letter"} }

// TicketsAPage are the numbers of job tickets that a page can be parted into.
func TicketsAPage() []int { return []int{1, 2, 4} }

// MaxLabels is the greatest number of labels across or down a sheet.
const MaxLabels = 100

// lineMark parts the lines of an address that stands in one cell.
const lineMark = " / "

// AddressLines gives the lines of an address as it stands in a cell: "1 Quay / Harbour Town". Blank lines are left out.
func AddressLines(address string) (lines []string) {
	for line := range strings.SplitSeq(address, lineMark) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// printing reports settings of printing that make no sense.
func (c *checker) printing() {
	p := c.w.Printing
	if p.Paper != "" && !slices.Contains(Papers(), p.Paper) {
		c.report(c.w.Where, "printing.paper", fmt.Sprintf("there is no paper %s", Quote(p.Paper)), "write A4 or Letter")
	}
	if p.Tickets != 0 && !slices.Contains(TicketsAPage(), p.Tickets) {
		c.report(c.w.Where, "printing.tickets", fmt.Sprintf("a page cannot hold %d tickets", p.Tickets), "write 1, 2 or 4")
	}
	if p.Fraction != 0 && !slices.Contains(Fractions(), p.Fraction) {
		c.report(c.w.Where, "printing.fraction", fmt.Sprintf("inches are not read to 1/%d", p.Fraction), "write 1/16, 1/32 or 1/64")
	}
	l := p.Labels
	for _, s := range []struct {
		key    string
		length Length
	}{{"width", l.Width}, {"height", l.Height}, {"left", l.Left}, {"top", l.Top}, {"across", l.Across}, {"down", l.Down}} {
		if s.length < 0 || s.length > Metre {
			c.report(c.w.Where, "labels."+s.key, "it is not a length from 0 to 1 m", "check the number and its unit")
		}
	}
	switch {
	case l.IsZero():
	case l.Width == 0:
		c.report(c.w.Where, "labels.width", "the width of a label is missing", "measure one, or leave out all about labels")
	case l.Height == 0:
		c.report(c.w.Where, "labels.height", "the height of a label is missing", "measure one, or leave out all about labels")
	case !l.Roll && (l.Columns < 1 || l.Columns > MaxLabels):
		c.report(c.w.Where, "labels.columns", fmt.Sprintf("%d labels across a sheet is not from 1 to %d", l.Columns, MaxLabels), "count them")
	case !l.Roll && (l.Rows < 1 || l.Rows > MaxLabels):
		c.report(c.w.Where, "labels.rows", fmt.Sprintf("%d labels down a sheet is not from 1 to %d", l.Rows, MaxLabels), "count them")
	}
}
