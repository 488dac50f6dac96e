package model

import (
	"slices"
	"strings"
	"unicode"
)

// Headings are a shop's own headings for the columns of its tables: lines like jobs.due=Collected on, in order. A column may have several. What a shop
// writes in a column in place of a word of ours stands there too, behind a colon ours: jobs.sides:6=Hexagon.
type Headings string

// wordMark parts a column from a word of ours in it.
const wordMark = ":"

// NoColumn is the column of headings that mean nothing to us.
const NoColumn = "none"

// unitMark parts a column from the unit of the bare numbers below a heading: jobs.width in cm=Format.
const unitMark = " in "

// bare gives a heading or a word as it is kept: without the marks that part several of them, and their units, where they are written in one.
func bare(text string) string {
	if strings.ContainsAny(text, "=;") {
		if without := strings.Join(strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || r == '=' || r == ';' }), " "); without != "" {
			return without
		}
	}
	return strings.Join(strings.Fields(text), " ")
}

// folded gives that as it is compared.
func folded(text string) string {
	if strings.ContainsAny(text, "=;") {
		text = bare(text)
	}
	return FoldName(text)
}

// parted takes the part of a line before its heading apart: table and column, and the unit that is said with them; 0: none.
func parted(of string) (column string, unit Unit) {
	column, text, _ := strings.Cut(of, unitMark)
	if unit, err := ParseUnit(text); err == nil {
		return column, unit
	}
	return of, 0
}

// Of gives the headings of a table's column, each with the unit that is said of it: Format = cm.
func (h Headings) Of(table, column string) (all []string) {
	for line := range strings.Lines(string(h)) {
		of, heading, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "=")
		if of, unit := parted(of); of == table+"."+column {
			if unit != 0 {
				heading += " = " + unit.String()
			}
			all = append(all, heading)
		}
	}
	return all
}

// Column gives the column of a table that has a heading, and the unit that is said of it, 0 for none; empty: none has.
func (h Headings) Column(table, heading string) (column string, unit Unit) {
	heading = folded(heading)
	for line := range strings.Lines(string(h)) {
		if of, own, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "="); folded(own) == heading {
			if column, found := strings.CutPrefix(of, table+"."); found && !strings.Contains(column, wordMark) {
				return parted(column)
			}
		}
	}
	return "", 0
}

// Word gives our word for what a cell of a column says; false: the shop has said none.
func (h Headings) Word(table, column, cell string) (word string, found bool) {
	cell = folded(cell)
	for line := range strings.Lines(string(h)) {
		of, own, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "=")
		if word, found = strings.CutPrefix(of, table+"."+column+wordMark); found && folded(own) == cell {
			return word, true
		}
	}
	return "", false
}

// Words gives the words of the shop's own in a table's column, each with ours behind it.
func (h Headings) Words(table, column string) (all [][2]string) {
	for line := range strings.Lines(string(h)) {
		of, own, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "=")
		if word, found := strings.CutPrefix(of, table+"."+column+wordMark); found {
			all = append(all, [2]string{own, word})
		}
	}
	return all
}

// AddWord gives the headings with one more word in a column.
func (h Headings) AddWord(table, column, own, word string) Headings {
	return h.Add(table, column+wordMark+word, own)
}

// AddIn gives the headings with one more, below which bare numbers are in a unit.
func (h Headings) AddIn(table, column, heading string, unit Unit) Headings {
	return h.Add(table, column+unitMark+unit.String(), heading)
}

// HeadingIn takes a heading apart as Of gives it, with its unit; 0: it has none.
func HeadingIn(text string) (heading string, unit Unit) {
	if at := strings.LastIndex(text, " = "); at > 0 {
		if unit, err := ParseUnit(text[at+len(" = "):]); err == nil {
			return text[:at], unit
		}
	}
	return text, 0
}

// within is where a heading or a word must mean one thing: in its table or, of a word, in its column.
func within(of string) string {
	if column, _, found := strings.Cut(of, wordMark); found {
		return column
	}
	table, _, _ := strings.Cut(of, ".")
	return table
}

// Add gives the headings with one more, which is taken off what else it meant in its table.
func (h Headings) Add(table, column, heading string) Headings {
	heading = bare(heading)
	var lines []string
	for line := range strings.Lines(string(h)) {
		of, own, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "=")
		if within(of) != within(table+"."+column) || folded(own) != folded(heading) {
			lines = append(lines, of+"="+own)
		}
	}
	lines = append(lines, table+"."+column+"="+heading)
	slices.Sort(lines)
	return Headings(strings.Join(lines, "\n") + "\n")
}

// Over gives the headings with those of another where they are about the same.
func (h Headings) Over(by Headings) Headings {
	for line := range strings.Lines(string(by)) {
		of, heading, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "=")
		table, column, _ := strings.Cut(of, ".")
		h = h.Add(table, column, heading)
	}
	return h
}
