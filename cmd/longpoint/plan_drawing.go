package main

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// drawing sets the sticks of a profile to one scale, so that sticks under one another compare.
type drawing struct {
	sticks  []plan.Stick
	numbers map[[2]int]int // of the cuts, by stick and side
	unit    model.Unit
	longest model.Length // this long is columns wide
	columns int
}

// The marks of a drawing.
const (
	markTrim = '#' // given up at the head
	markLeft = '.' // left over, the tail included
	markBad  = 'x' // damage
)

// newDrawing gives the scale at which every stick fits into so many columns.
func newDrawing(pp plan.ProfilePlan, u model.Unit, columns int) drawing {
	d := drawing{sticks: pp.Sticks, numbers: pp.CutNumbers(), unit: u, columns: columns, longest: 1}
	for _, s := range pp.Sticks {
		d.longest = max(d.longest, s.Length)
	}
	return d
}

// column is where a place on the stick is drawn, rounded to the nearest column.
func (d drawing) column(at model.Length) int {
	return int((int64(at)*2*int64(d.columns) + int64(d.longest)) / (2 * int64(d.longest)))
}

// stick draws one of the sticks over its ruler: sides with the numbers of their cuts as the mitred shapes they are, long point up, what is trimmed off the
// head as #, what is left over as dots.
//
//	#\   1 A 564   /\   2 A 564   /\ 3 B 464 /\ 4 B 464 /.......
//	0         500       1000      1500      2000      2500 mm
func (d drawing) stick(at int) string {
	s := d.sticks[at]
	line := []rune(strings.Repeat(string(markLeft), max(d.column(s.Length), 1)))
	for i, side := range s.Sides {
		from, to := d.column(side.Start), d.column(side.Start+side.LongPoint)
		if i == 0 && (len(s.Damage) == 0 || s.Damage[0].From > side.Start) {
			fill(line, 0, from, markTrim)
		}
		if i+1 < len(s.Sides) && !damageBetween(s, i) {
			to = d.column(s.Sides[i+1].Start) // what the machine takes in between is too little to draw
		}
		d.side(line, from, to, d.numbers[[2]int{at, i}], side)
	}
	for _, bad := range s.Damage {
		fill(line, d.column(bad.From), max(d.column(bad.To), d.column(bad.From)+1), markBad)
	}
	if len(s.Damage) == 0 {
		d.left(line, s)
	}
	return string(line) + "\n" + d.ruler(s.Length) + "\n"
}

// damageBetween says whether a stick is damaged between a side and the next.
func damageBetween(s plan.Stick, side int) bool {
	return slices.ContainsFunc(s.Damage, func(d model.Span) bool {
		return d.From >= s.Sides[side].Start+s.Sides[side].LongPoint && d.To <= s.Sides[side+1].Start
	})
}

// side draws one side between two columns: as much of "3 B 464" as there is room for between its mitres.
func (d drawing) side(line []rune, from, to, number int, s plan.Side) {
	from, to = max(from, 0), min(to, len(line))
	switch {
	case to <= from:
		return
	case to == from+1:
		line[from] = 'V'
		return
	}
	fill(line, from, to, ' ')
	line[from], line[to-1] = '\\', '/'
	for _, label := range []string{
		fmt.Sprintf("%d %s %s", number, s.Letter, toCut(s.LongPoint, d.unit)),
		fmt.Sprintf("%d %s", number, s.Letter),
		fmt.Sprintf("%d%s", number, s.Letter),
		s.Letter,
	} {
		if write(line, from+1, to-1, label) {
			return
		}
	}
}

// left labels what is left over, if there is room.
func (d drawing) left(line []rune, s plan.Stick) {
	from := 0
	if len(s.Sides) > 0 {
		last := s.Sides[len(s.Sides)-1]
		from = d.column(last.Start + last.LongPoint)
	}
	if s.Left.Becomes != plan.Nothing {
		write(line, from+1, len(line)-1, fmt.Sprintf(" %s %s ", s.Left.Becomes, near(s.Left.Length, d.unit)))
	}
}

// ruler marks round lengths below a stick, as many as there is room for, and names the unit after the last.
func (d drawing) ruler(end model.Length) string {
	step := rulerSteps(d.unit)[0]
	for _, step = range rulerSteps(d.unit) {
		if d.column(step) >= minTickGap {
			break
		}
	}
	line := []rune(strings.Repeat(" ", d.columns+rulerRoom))
	last := 0
	for at := model.Length(0); at <= end; at += step {
		text := near(at, d.unit)
		if at+step > end {
			text += " " + d.unit.String()
		}
		last = d.column(at)
		copy(line[last:], []rune(text))
	}
	return strings.TrimRight(string(line), " ")
}

// minTickGap is how many columns apart the marks of a ruler are at least: room for "1000" and some air.
const minTickGap = 8

// rulerRoom is what the last mark of a ruler may take past the longest stick's end: "1000000 mm".
const rulerRoom = 10

// rulerSteps are the distances between a ruler's marks, least first: the last one is long enough for any stick that a
// rack can hold.
func rulerSteps(u model.Unit) []model.Length {
	const millimetre, inch = model.Length(1_000_000), model.Length(25_400_000)
	if u.IsInches() {
		return []model.Length{inch, 2 * inch, 6 * inch, 12 * inch, 24 * inch, 48 * inch, 120 * inch, 1200 * inch, 12000 * inch, 120_000 * inch}
	}
	steps := []model.Length{}
	for base := 10 * millimetre; base <= 100_000*millimetre; base *= 10 {
		steps = append(steps, base, 2*base, 5*base)
	}
	return steps
}

// fill sets the columns from (included) to (not included).
func fill(line []rune, from, to int, r rune) {
	for i := max(from, 0); i < min(to, len(line)); i++ {
		line[i] = r
	}
}

// write centres text between two columns, or does nothing where it does not fit.
func write(line []rune, from, to int, text string) bool {
	runes := []rune(text)
	if from < 0 || to > len(line) || len(runes) > to-from {
		return false
	}
	copy(line[from+(to-from-len(runes))/2:], runes)
	return true
}
