package table

import (
	"fmt"
	"iter"
	"slices"
	"strings"
	"unicode"

	"longpoint/model"
)

const (
	// maxHeading is the number of heading cells beyond which a file is no table of ours; a person who keeps notes of their
	// own beside the table stays far below.
	maxHeading = 1000
	// maxTitle is how many rows with anything in them may stand above the heading.
	maxTitle = 20
)

// Table is a table whose heading has been found and understood. The zero Table has no rows.
type Table struct {
	set      Set
	own      model.Headings // with the words in cells
	file     string
	sheet    *sheet
	way      way
	heading  int                // the line of the heading
	columns  []int              // what each cell of the heading is: an index of set.Columns, -1 for nothing
	units    map[int]model.Unit // that the heading names for a column of lengths, by the index of set.Columns
	problems *Problems
	stopped  bool
	limits   Limits
	orders   map[string]model.DateOrder // that the days of a column have, by the column and the first of the orders that one can have
}

// Table finds the table of a sort in a file: the only one, or in a workbook the sheet that is called like it, or the one whose
// heading says so. What is wrong goes to problems. ok tells whether its rows mean anything.
func (f *File) Table(set Set, problems *Problems) (t *Table, ok bool) {
	s, bad := f.sheetOf(set)
	if bad == nil && s == nil && len(f.sheets) == 1 && !f.sheets[0].hidden {
		s = f.sheets[0]
	}
	if bad == nil && s == nil {
		bad = unreadable(f.Path, "none of its sheets is a table of "+set.Name+": "+sheetNames(f.sheets),
			fmt.Sprintf("call the one that is meant %s, or give it the heading %s", set.Name, set.list()), nil)
	}
	if bad != nil {
		problems.Keep(bad)
		return Unread(), false
	}
	t = &Table{set: set, own: set.Own, file: f.Path, sheet: s, problems: problems, limits: f.limits}
	return t, t.findHeading()
}

// Has tells whether a workbook has a sheet that is called like a set or whose heading says that it is one, or several of which
// nobody knows which is meant.
func (f *File) Has(set Set) bool {
	s, bad := f.sheetOf(set)
	return s != nil || bad != nil
}

// Likely gives, by column of a set, the heading in the file that is it or is among what people call it; of several sheets those of the one with
// most of them.
func (f *File) Likely(set Set) (most map[string]string) {
	for _, s := range f.sheets {
		_, _, heading, _ := s.bestHeading(set)
		likely := map[string]string{}
		for _, c := range set.Columns {
			for _, cell := range heading.cells {
				if is := set.find(cell.text) == set.at(c.Name) || set.find(cell.text) < 0 && set.mayBe(c, cell.text); is && likely[c.Name] == "" {
					likely[c.Name] = Clip(plainSpaces(cell.text))
				}
			}
		}
		if len(likely) > len(most) {
			most = likely
		}
	}
	return most
}

// Named tells whether a workbook has a sheet that is called like a set.
func (f *File) Named(set Set) bool {
	return slices.ContainsFunc(f.sheets, func(s *sheet) bool { return model.FoldName(s.name) == model.FoldName(set.Name) })
}

// sheetOf finds the sheet that holds a set's table; nil where none says that it does.
func (f *File) sheetOf(set Set) (*sheet, *model.Error) {
	var fitting []*sheet
	for _, s := range f.sheets {
		switch named := model.FoldName(s.name) == model.FoldName(set.Name); {
		case named && s.hidden:
			return nil, unreadable(f.Path, "the sheet "+s.name+" is hidden", "show it, or take it out", nil)
		case named:
			return s, nil
		case !s.hidden && s.holds(set):
			fitting = append(fitting, s)
		}
	}
	switch len(fitting) {
	case 0:
		return nil, nil
	case 1:
		return fitting[0], nil
	}
	return nil, unreadable(f.Path, fmt.Sprintf("%d sheets look like %s: %s", len(fitting), set.Name, sheetNames(fitting)), "call the one that is meant "+set.Name, nil)
}

func sheetNames(all []*sheet) string {
	names := make([]string, len(all))
	for i, s := range all {
		names[i] = s.name
	}
	return strings.Join(names, ", ")
}

// holds tells whether a sheet's heading is that of a set: all that is required, and nothing else.
func (s *sheet) holds(set Set) bool {
	_, _, rec, _ := s.bestHeading(set)
	_, whole := set.fits(rec)
	return whole
}

// bestHeading gives the way to take the sheet apart, and the row among the first ones, that make most known columns; of those
// the way that makes most cells, and the first row. A fault stands for the row that shows it.
func (s *sheet) bestHeading(set Set) (way way, known int, heading record, bad *fault) {
	known = -1
	names := set.bareNames()
	for _, w := range s.ways {
		rows := 0
		var first record
		var firstBad *fault
		bestKnown, best := -1, record{}
		for rec, bad := range w.records {
			if rows == 0 {
				first, firstBad = rec, bad
			}
			if rows++; bad != nil || rows > maxTitle {
				break
			}
			if rec.width() > maxHeading {
				continue
			}
			if set.Loose && len(rec.cells) > len(first.cells) {
				first = rec // most likely a heading, though not with the columns that are looked for
			}
			if n := set.promises(rec, names); n > bestKnown || n == 0 && bestKnown == 0 && len(rec.cells) > len(best.cells) && rec.isWords() {
				bestKnown, best = n, rec
			}
		}
		if bestKnown <= 0 {
			if bestKnown = 0; set.Loose || len(best.cells) == 0 {
				best = first
			}
		} else {
			firstBad = nil
		}
		if bestKnown > known || bestKnown == known && best.width() > heading.width() {
			way, known, heading, bad = w, bestKnown, best, firstBad
		}
	}
	return way, known, heading, bad
}

// promises says how likely a row is to be the heading of a set: columns that it names count twice, those that it may mean, by one of
// names, once.
func (s Set) promises(rec record, names map[string]bool) int {
	known, _ := s.fits(rec)
	n := 2 * known
	for _, c := range rec.cells {
		if s.find(c.text) < 0 && names[bareHeading(c.text)] {
			n++
		}
	}
	return n
}

// place gives the place of a row, or with a column's index in its sheet that of a cell.
func (t *Table) place(line int, at int, column string) model.Place {
	p := model.Place{File: t.file, Sheet: t.sheet.name, Line: line, Column: column}
	if t.sheet.name != "" {
		p.Cell = at + 1
	}
	return p
}

// findHeading finds heading and columns, and reports what is wrong with them.
func (t *Table) findHeading() (ok bool) {
	t.stopped = true
	way, _, heading, bad := t.sheet.bestHeading(t.set)
	t.way, t.heading = way, heading.line
	row := t.place(heading.line, -1, "")
	switch names := "the names of the columns: " + t.set.list(); {
	case bad != nil:
		t.problems.Add(row, bad.what, bad.do)
		return false
	case heading.width() == 0 || isSeparators(heading):
		t.problems.Add(t.place(0, -1, ""), "the table has no heading", "give it a first line with "+names)
		return false
	case heading.width() > maxHeading:
		t.problems.Add(row, fmt.Sprintf("the heading has %d cells", heading.width()), "see that its first line holds "+names)
		return false
	}
	t.stopped = !t.findColumns(heading)
	return !t.stopped
}

// isSeparators tells whether a row is one cell of separators: those of a row with nothing in it.
func isSeparators(r record) bool {
	return len(r.cells) == 1 && strings.Trim(r.cells[0].text, " ,;\t") == ""
}

// findColumns finds the columns in the heading. It reports unknown, double and missing ones. A name that is nearly that of a
// column the heading lacks is reported and then taken for it, so that one slip is one error. ok = false: the rows mean
// nothing, because a required column is missing or what an unknown one stands for cannot be told.
func (t *Table) findColumns(heading record) (ok bool) {
	t.set = t.set.meaning(heading)
	t.columns = slices.Repeat([]int{-1}, heading.width())
	place := func(c cell) model.Place { return t.place(heading.line, c.at, Clip(plainSpaces(c.text))) }
	var unknown []cell
	for _, c := range heading.cells {
		i := t.set.find(c.text)
		switch {
		case t.set.passes(c.text):
		case i < 0:
			unknown = append(unknown, c)
		case slices.Contains(t.columns, i):
			t.problems.Add(place(c), "the column stands in the heading twice", "take one away")
		default:
			t.columns[c.at] = i
		}
	}
	if t.set.Loose {
		unknown = nil
	}
	var own []cell // that may be the shop's
	for _, c := range unknown {
		near, found := model.Nearest(c.text, t.set.Names())
		if !found || !t.set.Fixed && t.set.guesses(c.text) {
			own = append(own, c)
			continue
		}
		if i := t.set.at(near); !slices.Contains(t.columns, i) {
			t.columns[c.at] = i
		}
		t.problems.Add(place(c), "there is no column "+model.Quote(plainSpaces(c.text)), "did you mean "+near+"?")
	}
	t.units = map[int]model.Unit{}
	for _, c := range heading.cells {
		if i := t.columns[c.at]; i >= 0 && t.set.Columns[i].Kind == Length {
			t.units[i] = t.set.unitOf(c.text)
		}
	}
	var missing []string
	for i, c := range t.set.Columns {
		if c.Need != Optional && !slices.Contains(t.columns, i) {
			missing = append(missing, c.Name)
		}
	}
	if len(own) > 0 {
		var names, quoted []string
		for _, c := range own {
			names = append(names, Clip(plainSpaces(c.text)))
			quoted = append(quoted, model.Quote(plainSpaces(c.text)))
		}
		for _, name := range missing {
			if stands, found := t.instead(heading, name); found && !slices.Contains(t.set.likely(names, missing), name) {
				names = append(names, stands)
			}
		}
		t.problems.Add(place(own[0]), "there is no column "+strings.Join(quoted, ", "), t.set.howToSay(names, missing))
		return false
	}
	for _, name := range missing {
		t.problems.Add(t.place(heading.line, -1, name), "the column is missing", t.howToAdd(heading, name))
	}
	return len(missing) == 0
}

// howToAdd says what to do about a column that is missing; where other columns are left alone, which there are.
func (t *Table) howToAdd(heading record, name string) string {
	if stands, found := t.instead(heading, name); found && t.set.Command != "" {
		return fmt.Sprintf(`add it to the heading, or let the column %s stand for it: %s --is "%s=%s"`, stands, t.set.Command, stands, name)
	}
	if !t.set.Loose {
		return "add it to the heading"
	}
	var names []string
	for _, c := range heading.cells {
		names = append(names, Clip(plainSpaces(c.text)))
	}
	return "name one of its columns: " + strings.Join(names, ", ")
}

// instead gives the heading of a column that may stand for one that is missing.
func (t *Table) instead(heading record, missing string) (stands string, found bool) {
	column := t.set.Columns[t.set.at(missing)].Instead
	for _, c := range heading.cells {
		if i := t.columns[c.at]; i >= 0 && t.set.Columns[i].Name == column {
			return Clip(plainSpaces(c.text)), true
		}
	}
	return "", false
}

// Has tells whether the heading has a column.
func (t *Table) Has(column string) bool { return slices.Contains(t.columns, t.set.at(column)) }

// InUnit tells whether a unit is said of a column: with its heading, in it, or in every cell that is filled in.
func (t *Table) InUnit(column string) bool {
	if t.units[t.set.at(column)] != 0 {
		return true
	}
	for r := range t.Rows() {
		if v := r.Cell(column); !v.Blank() && !unitInside.MatchString(v.Text) {
			return false
		}
	}
	return true
}

// HowToSayUnit says how to tell in which unit the bare numbers of a column are.
func (t *Table) HowToSayUnit(column, unit string) string {
	for rec := range t.way.records {
		for _, c := range rec.cells {
			if rec.line == t.heading && t.columns[c.at] == t.set.at(column) {
				return t.set.howToSayUnit(Clip(plainSpaces(c.text)), column, unit)
			}
		}
	}
	return t.set.howToSayUnit(column, column, unit)
}

// Whole tells whether all rows were read, once they have been asked for.
func (t *Table) Whole() bool { return !t.stopped }

// Unread gives a table that could not be read.
func Unread() *Table { return &Table{stopped: true} }

// Rows gives the rows below the heading, one after another. What is wrong with a row as such is reported, and the row then
// left out.
func (t *Table) Rows() iter.Seq[Row] {
	return func(yield func(Row) bool) {
		if t.stopped {
			return
		}
		m := newMerges(t)
		hidden, firstHidden, n := 0, 0, 0
		for rec, bad := range t.way.records {
			if bad != nil {
				t.problems.Add(t.place(rec.line, -1, ""), bad.what, bad.do)
				t.stopped = true
				break
			}
			if rec.line <= t.heading {
				continue
			}
			if n++; n > t.limits.Rows {
				t.problems.Add(t.place(rec.line, -1, ""), fmt.Sprintf("the table has more than %d rows", t.limits.Rows), "take out what the week's plan does not need")
				t.stopped = true
				break
			}
			if rec.hidden {
				if hidden++; hidden == 1 {
					firstHidden = rec.line
				}
			}
			if row, ok := t.row(rec, m); ok && !yield(row) {
				return
			}
		}
		if hidden > 0 {
			what := "this row is hidden"
			if hidden > 1 {
				what = fmt.Sprintf("this row and %d more are hidden", hidden-1)
			}
			t.problems.Add(t.place(firstHidden, -1, ""), what, "show them, or take them out")
		}
	}
}

// row makes a row of a record, and reports what is wrong with it as a whole.
func (t *Table) row(rec record, m *merges) (Row, bool) {
	r := Row{table: t, line: rec.line, cells: make([]cell, len(t.set.Columns))}
	for _, c := range rec.cells {
		if c.at >= len(t.columns) && t.set.Loose {
			continue
		}
		if c.at >= len(t.columns) {
			t.problems.Add(t.place(rec.line, c.at, ""), fmt.Sprintf("the row has %d cells, the heading %d", rec.width(), len(t.columns)), t.howToWiden())
			return r, false
		}
		if i := t.columns[c.at]; i >= 0 {
			if t.set.Columns[i].Kind != Exact {
				c.text = strings.TrimSpace(c.text)
			}
			if word, found := t.own.Word(t.set.Name, t.set.Columns[i].Name, c.text); found && c.text != "" {
				c.text, c.form = word, written
			}
			r.cells[i] = c
		}
	}
	if !m.fill(&r) {
		return r, false
	}
	var missing []string
	given, musts := 0, 0 // cells with something in them, and those without that a row of its own needs
	for i, c := range t.set.Columns {
		if r.cells[i].text != "" {
			given++
			continue
		}
		if c.Need != Optional {
			musts++
		}
		if c.Need == Each {
			missing = append(missing, c.Name)
		}
	}
	if len(missing) > 0 && slices.ContainsFunc(rec.cells, cell.isTotal) {
		return r, false
	}
	if len(missing) > 1 || len(missing) == 1 && given == 1 && musts > 1 {
		fill := "fill them in"
		if len(missing) == 1 {
			fill = "fill it in"
		}
		t.problems.Add(r.Where(), "the row gives no "+strings.Join(missing, " and no "), fill+", take the row out, or start it with a hash and a blank if it is a note")
		return r, false
	}
	for i := range r.cells {
		t.settle(&r, i)
	}
	return r, true
}

func (t *Table) howToWiden() string {
	if t.way.separator == "" {
		return "give the cell a heading, or take it out"
	}
	return fmt.Sprintf("put quotation marks round a cell that holds a %s, or give the cell a heading", t.way.separator)
}

// settle reports a cell that holds what its column cannot hold, whatever its number. It then counts as not given.
func (t *Table) settle(r *Row, i int) {
	c := &r.cells[i]
	const again = "open the workbook in the spreadsheet program, put the cell right and save it again"
	what, do := "", again
	switch kind := t.set.Columns[i].Kind; {
	case c.form == written:
		return
	case c.form == faulty:
		what = c.text
	case c.form == day && kind != Date && !kind.isText():
		what, do = "the spreadsheet has made the day "+c.text+" of what was typed here", "give the column the format text and type it again"
	case c.form != day && kind == Date:
		what, do = c.text+" is a number or a word where a day should be", "give the cell the format of a date"
	case c.form == truth && !kind.isText():
		what = "the cell holds true or false"
	case c.form == percent && kind != Share && !kind.isText():
		what, do = "the cell holds "+c.text+" per cent", "give it a number format that is no percentage, and look at its number again"
	default:
		return
	}
	t.problems.Add(r.place(i), what, do)
	c.form, c.text = faulty, ""
}

// plainSpaces makes every kind of blank an ordinary one and takes those at the ends away.
func plainSpaces(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, text))
}

// Clip cuts what the user wrote short.
func Clip(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}
