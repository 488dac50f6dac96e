package sheet

import (
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"longpoint/model"
	"longpoint/model/plan"
)

// PlainLabels are labels on plain paper, to be cut apart. They fit both papers.
var PlainLabels = model.LabelSheet{Columns: 3, Rows: 11, Width: 60 * model.Millimetre, Height: 24 * model.Millimetre,
	Left: 15 * model.Millimetre, Top: 8 * model.Millimetre}

// LabelSheet says how labels lie on a sheet, or that they are on a roll, and which of the first sheet is the first still there.
type LabelSheet struct {
	model.LabelSheet
	Start int // from 1, row by row
}

// Labels are labels on their sheets. As a block they are a piece's only one.
type Labels struct {
	Sheet LabelSheet
	Items []Figure // each of a label's size
}

// onPaper gives the sheet that the labels lie on and its paper: of a roll, one label.
func (l LabelSheet) onPaper(p Paper) (LabelSheet, Paper) {
	if !l.Roll {
		return l, p
	}
	one := LabelSheet{model.LabelSheet{Columns: 1, Rows: 1, Width: l.Width, Height: l.Height}, 1}
	return one, Paper{Width: paper(l.Width, 1), Height: paper(l.Height, 1)}
}

// check says whether the labels lie on the paper.
func (l LabelSheet) check(p Paper) error {
	bad := func(what, do string) error { return &model.Error{Kind: model.BadUsage, What: what, Do: do} }
	mm := func(v model.Length) float64 { return paper(v, 1) }
	wide := mm(l.Left) + float64(l.Columns)*mm(l.Width) + float64(l.Columns-1)*mm(l.Across)
	high := mm(l.Top) + float64(l.Rows)*mm(l.Height) + float64(l.Rows-1)*mm(l.Down)
	const most = model.MaxLabels
	switch {
	case l.Rows < 1 || l.Columns < 1 || l.Rows > most || l.Columns > most:
		return bad(fmt.Sprintf("a sheet of %d rows and %d columns of labels cannot be printed", l.Rows, l.Columns), fmt.Sprintf("count the labels down and across the sheet: 1 to %d", most))
	case l.Width <= 0 || l.Height <= 0:
		return bad("the size of a label is missing", "measure a label and give its width and height")
	case min(l.Top, l.Left, l.Across, l.Down) < 0:
		return bad("a distance on the label sheet is negative", "measure from the sheet's edge, and between labels")
	case wide > p.Width+rounding:
		return bad(fmt.Sprintf("the labels are %.1f mm wide in all and the paper is %.1f mm wide", wide, p.Width), "measure the label, the margin and the gap again, or give the other paper")
	case high > p.Height+rounding:
		return bad(fmt.Sprintf("the labels are %.1f mm high in all and the paper is %.1f mm high", high, p.Height), "measure the label, the margin and the gap again, or give the other paper")
	case l.Start < 1 || l.Start > l.Rows*l.Columns:
		return bad(fmt.Sprintf("there is no label %d on a sheet of %d", l.Start, l.Rows*l.Columns), "count along the rows from the first label, which is 1")
	}
	return nil
}

// place gives the sheet, from 0, and the corner of the label that is the n-th to be printed, from 0, in millimetres.
func (l LabelSheet) place(n int) (sheet int, at Point) {
	n += l.Start - 1
	sheet, n = n/(l.Rows*l.Columns), n%(l.Rows*l.Columns)
	row, column := n/l.Columns, n%l.Columns
	return sheet, Point{paper(l.Left, 1) + float64(column)*paper(l.Width+l.Across, 1), paper(l.Top, 1) + float64(row)*paper(l.Height+l.Down, 1)}
}

// pages lays the labels on their sheets.
func (l Labels) pages(p Paper) (pages []*Drawing) {
	for n, item := range l.Items {
		sheet, at := l.Sheet.place(n)
		for len(pages) <= sheet {
			pages = append(pages, NewDrawing(p.Width, p.Height))
		}
		pages[sheet].place(item.Drawing, at.X, at.Y)
	}
	if len(pages) == 0 {
		pages = append(pages, NewDrawing(p.Width, p.Height))
	}
	return pages
}

// Labels makes the labels of all sides, in the order in which they are cut, and of all offcuts that are kept, each behind
// the last side of its stick. Errors are of kind BadUsage: labels that are not on the paper, or too small.
func (s *Source) Labels(sheet LabelSheet) (Piece, error) {
	p, _, err := s.labelsOf(sheet)
	return p, err
}

// labelsOf is Labels, and says how many there are.
func (s *Source) labelsOf(sheet LabelSheet) (Piece, int, error) {
	sheet, on := sheet.onPaper(s.Paper)
	p := Piece{File: "labels", Paper: on, Title: "Labels", Under: s.under()}
	if err := sheet.check(on); err != nil {
		return p, 0, err
	}
	var all []label
	for i, pp := range s.Plan.Profiles {
		lasts := s.orders[i].lasts()
		for n, c := range s.orders[i].cuts {
			stick := pp.Sticks[c.stick]
			if s.labelled(i, c) {
				all = append(all, s.sideLabel(pp, stick, stick.Sides[c.side], c.number))
			}
			if !lasts[n] || s.OnlyChanged && !s.changed(i, c) || s.became(i, c) == waits {
				continue
			}
			for _, r := range remaindersOf(pp, stick) {
				if r.Becomes == plan.Kept {
					all = append(all, s.offcutLabel(pp, stick, r.Left))
				}
			}
		}
	}
	items, err := drawLabels(all, paper(sheet.Width, 1), paper(sheet.Height, 1))
	p.add(Labels{Sheet: sheet, Items: items})
	return p, len(all), err
}

// drawLabels draws labels side by side on all processors, for finding a code takes a millisecond. An error is that of the
// first label that has one.
func drawLabels(all []label, width, height float64) ([]Figure, error) {
	items, errs := make([]Figure, len(all)), make([]error, len(all))
	var next atomic.Int64
	var done sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		done.Go(func() {
			for n := int(next.Add(1)) - 1; n < len(all); n = int(next.Add(1)) - 1 {
				items[n].Alt = all[n].alt
				items[n].Drawing, errs[n] = all[n].draw(width, height)
			}
		})
	}
	done.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return items, nil
}

// label is what is on a label.
type label struct {
	id    string
	lines []labelLine // the most important first
	due   string      // stands before the customer's name or, where that has no room then, behind the job's
	alt   string
}

// labelLine is a line of words: a part that is never cut short and a name that may be.
type labelLine struct {
	text, name string
	bold       bool
	after      string // behind the name, never bold
}

// space is how wide the space between two words is.
func space(size float64) float64 { return widthOf("a a", size, false) - widthOf("aa", size, false) }

// The lines of a side's label that due may stand in.
const jobLine, customerLine = 1, 3

// fits tells whether a line is not cut short.
func (l labelLine) fits(room, size float64) bool {
	wide := widthOf(l.text+l.name, size, l.bold)
	if l.after != "" {
		wide += space(size) + widthOf(l.after, size, false)
	}
	return wide <= room
}

// set gives the lines at a size: where the customer's name has no room behind the day, the day goes behind the job, if it has room there.
func (b label) set(lines []labelLine, room, size float64) []labelLine {
	if b.due == "" || len(lines) <= customerLine || lines[customerLine].fits(room, size) {
		return lines
	}
	lines = slices.Clone(lines)
	lines[jobLine].after = "· " + b.due
	lines[customerLine].text = ""
	if !lines[jobLine].fits(room, size) {
		return b.lines[:len(lines)]
	}
	return lines
}

// sideLabel says which side it is, which cut from which stick, and when its job is due.
func (s *Source) sideLabel(pp plan.ProfilePlan, stick plan.Stick, side plan.Side, number int) label {
	cut := fmt.Sprintf("cut %d · ", number)
	b := label{
		id:    SideID(side),
		lines: []labelLine{{text: side.Letter + "  " + side.LongPoint.InToCut(s.unit), bold: true}, {text: "job ", name: side.Job, bold: true}, {text: cut, name: stick.ID}},
		alt: fmt.Sprintf("Side %s of job %s, frame %s, long point %s, profile %s, cut %d from stick %s", side.Letter, side.Job, s.frame(side),
			side.LongPoint.InToCut(s.unit), pp.Name, number, stick.ID),
	}
	if stick.Lot != "" && s.byLot(pp.Name, side.Job) {
		b.lines[2] = labelLine{text: cut, name: stick.ID + " · lot " + stick.Lot}
		b.alt += ", lot " + stick.Lot
	}
	frame := ""
	if strings.Trim(side.Frame, "0123456789") == "" {
		frame = "frame "
	}
	mitre := ""
	if side.Angle != plan.UsualMitre {
		mitre = "mitre " + side.Angle.String() + " · "
		b.alt += ", mitre " + side.Angle.String()
	}
	due, customer := s.due[side.Job], s.customer[side.Job]
	if due != "" {
		b.alt += ", due " + due
		due = "due " + due
	}
	if customer != "" {
		b.alt += ", for " + customer
		if due != "" {
			b.due, due = due, due+" · "
		}
	}
	if due+customer != "" {
		b.lines = append(b.lines, labelLine{text: due, name: customer})
	}
	b.lines = append(b.lines, labelLine{text: mitre + frame, name: s.frame(side)}, labelLine{name: titled(pp.Name, pp.Title)})
	b.alt += ". Code: " + b.id
	return b
}

// byLot tells whether the sides of a job of this profile are matched by lot: of others nobody asks at the bench which lot they are of.
func (s *Source) byLot(profile, job string) bool {
	p, _ := s.Workshop.ProfileByName(profile)
	n := slices.IndexFunc(s.Workshop.Jobs, func(j model.Job) bool { return j.ID == job })
	return n >= 0 && s.Workshop.MatchOf(s.Workshop.Jobs[n], p) == model.MatchLot
}

// offcutLabel says which offcut it is.
func (s *Source) offcutLabel(pp plan.ProfilePlan, stick plan.Stick, left plan.Left) label {
	b := label{
		id:    StickID(left.ID),
		lines: []labelLine{{name: offcutName(left.ID), bold: true}, {text: left.Length.Near(s.unit), bold: true}, {name: titled(pp.Name, pp.Title)}},
		alt:   fmt.Sprintf("The %s, %s, profile %s. Code: %s", offcutName(left.ID), left.Length.Near(s.unit), pp.Name, StickID(left.ID)),
	}
	if stick.Lot != "" {
		b.lines = append(b.lines, labelLine{text: "lot ", name: stick.Lot})
		b.alt = strings.Replace(b.alt, ". Code", ", lot "+stick.Lot+". Code", 1)
	}
	return b
}

// Sizes of type on labels, in millimetres. Smaller than the least is not read at a bench.
const (
	mostLabelType  = 11 * point
	leastLabelType = 5.5 * point
)

// draw draws the label: the code to the left, words to the right. Where they have no room, lines are left off from the
// last on; the first two stay, or the label is too small.
func (b label) draw(width, height float64) (*Drawing, error) {
	const edge = 0.8 // stays white: sheets are never fed quite straight
	d := NewDrawing(width, height)
	var square *Drawing
	var err error
	for _, share := range []float64{0.36, 0.5} { // of the label's width, as little as the code can do with
		if square, err = code(b.id, min(height-2*edge, share*width)); err == nil {
			break
		}
	}
	if err != nil {
		return nil, err
	}
	d.place(square, edge, (height-square.Height)/2)
	x := edge + square.Width + 0.3
	room := width - x - edge
	lines := b.lines
	for ; len(lines) >= 2; lines = lines[:len(lines)-1] {
		size := min(mostLabelType, (height-2*edge)/(float64(len(lines))+0.3)/1.12)
		first := 1.3 * size
		if w := widthOf(lines[0].text, first, true); w > room {
			first *= room / w
		}
		if size < leastLabelType || first < leastLabelType {
			continue
		}
		y := (height - (first+float64(len(lines)-1)*size)*1.12) / 2
		for i, line := range b.set(lines, room, size) {
			s := size
			if i == 0 {
				s = first
			}
			text := line.text + fitFrame(line.name, room-widthOf(line.text, s, line.bold), s, line.bold)
			d.write(words{At: Point{x, y + 0.86*s}, Text: text, Size: s, Bold: line.bold})
			if line.after != "" {
				d.write(words{At: Point{x + widthOf(text, s, line.bold) + space(s), y + 0.86*s}, Text: line.after, Size: s})
			}
			y += s * 1.12
		}
		return d, nil
	}
	return nil, &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("a label of %.1f × %.1f mm is too small to be written on", width, height),
		Do: "take larger labels"}
}
