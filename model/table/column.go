package table

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"longpoint/model"
)

// Kind is what the cells of a column hold.
type Kind uint8

// The kinds of column.
const (
	Text   Kind = iota // for people; or one of a few words
	Exact              // a text that means what it says to the last blank
	Name               // what other tables refer to
	Length             // in the workshop's unit, unless the cell names its own
	Money              // in the workshop's currency
	Date
	Count // a whole number
	Share // per cent
	Angle // degrees
	Spans // parts of a stick: 0 to 45; 1200 to 1260
)

// numeric tells the kinds whose cells hold numbers.
func (k Kind) numeric() bool { return slices.Contains([]Kind{Length, Money, Count, Share, Angle}, k) }

// isText tells the kinds whose cells hold text that is not a name.
func (k Kind) isText() bool { return k == Text || k == Exact }

// Need is how much a table needs a column.
type Need uint8

// The needs.
const (
	Optional Need = iota // the table may lack it
	Must                 // the table must have it; whether a cell may be blank is up to the row
	Each                 // and a row with two such cells blank is none of the table's
)

// Column is one column that a table may have.
type Column struct {
	Name    string
	Kind    Kind
	Need    Need
	Key     bool     // people tell rows apart by it
	Words   []string // that can stand in it; nil: any text
	About   string   // what it is, for a form
	Instead string   // the column whose heading may stand for it where no heading is likely
}

// Set is what a table of one sort is called and which columns it may have.
type Set struct {
	Name    string // what its file or its sheet is called
	Columns []Column
	Loose   bool // other columns may stand beside them, which are left alone
	Fixed   bool // its headings and words are these: no shop has its own for them
	// Called are, by column, the headings that people give it in tables of their own, with commas between: none is taken for the column before
	// somebody says so, but a question names the column as the likely one.
	Called map[string]string
	// Own are the shop's own headings. Command is what is typed to say what one of them is, but for the option --is; empty: that is said in
	// the settings of a folder.
	Own     model.Headings
	Command string
}

// Names gives the columns' names.
func (s Set) Names() []string {
	out := make([]string, len(s.Columns))
	for i, c := range s.Columns {
		out[i] = c.Name
	}
	return out
}

func (s Set) list() string { return strings.Join(s.Names(), ", ") }

// at gives the index of a column by its name, -1 for none.
func (s Set) at(name string) int {
	return slices.IndexFunc(s.Columns, func(c Column) bool { return c.Name == name })
}

// find gives the index of the column that a heading cell names as a person may write it, or as the shop calls it; -1 for none.
func (s Set) find(heading string) int {
	if own, _ := s.Own.Column(s.Name, heading); own != "" {
		return s.at(own)
	}
	heading = model.FoldName(heading)
	return slices.IndexFunc(s.Columns, func(c Column) bool { return model.FoldName(c.Name) == heading })
}

// passes tells whether a heading is one that the shop has and that means nothing to us.
func (s Set) passes(heading string) bool {
	column, _ := s.Own.Column(s.Name, heading)
	return column == model.NoColumn
}

// meaning gives the set for a heading: where it has our own names and no others these mean what they mean here, whatever the shop
// calls its columns elsewhere.
func (s Set) meaning(heading record) Set {
	plain := s
	plain.Own = "" // Table keeps the words
	if _, whole := plain.fits(heading); whole {
		return plain
	}
	return s
}

// howToSay says how to tell what headings of the shop's own are, where some of our columns are missing.
func (s Set) howToSay(headings, missing []string) string {
	columns := "the columns of this table are " + s.list()
	if len(missing) > 0 {
		columns += ", of which " + strings.Join(missing, ", ") + " must be there"
	}
	if s.Fixed {
		return columns
	}
	if s.Command == "" {
		return fmt.Sprintf("%s; say in workshop.toml which of them it is, below [headings.%s], in a line like %s = %q, or none = %q where it is none",
			columns, s.Name, s.Columns[0].Name, headings[0], headings[0])
	}
	command, ask := s.Command, "say once which it is, as here if that is right"
	for i, column := range s.likely(headings, missing) {
		if column == "" {
			column, ask = "COLUMN", "say once which COLUMN it is, or none"
		}
		command += fmt.Sprintf(` --is "%s=%s"`, headings[i], column)
	}
	return fmt.Sprintf("%s; %s: %s", columns, ask, command)
}

// likely gives the column that each of some headings most likely is, blank where nobody can tell: one that has the heading among what it is
// called, each once. missing are columns that must be there.
func (s Set) likely(headings, missing []string) []string {
	out := make([]string, len(headings))
	for i, heading := range headings {
		for _, c := range s.Columns {
			if out[i] == "" && s.mayBe(c, heading) && !slices.Contains(out, c.Name) {
				out[i] = c.Name
			}
		}
		if out[i] == "" && s.mayBe(Column{Name: model.NoColumn}, heading) {
			out[i] = model.NoColumn
		}
	}
	for _, c := range s.Columns {
		if at := slices.Index(out, c.Instead); c.Instead != "" && at >= 0 && slices.Contains(missing, c.Name) && !slices.Contains(out, c.Name) {
			out[at] = c.Name
		}
	}
	return out
}

// mayBe tells whether a heading is among what people call a column. What it says in brackets, and a unit behind it, is no part of the name.
func (s Set) mayBe(c Column, heading string) bool {
	bare := bareHeading(heading)
	return bare != "" && (bare == bareHeading(c.Name) || slices.ContainsFunc(strings.Split(s.Called[c.Name], ","), func(name string) bool { return bareHeading(name) == bare }))
}

// guesses tells whether a heading is among what people call any column.
func (s Set) guesses(heading string) bool { return s.bareNames()[bareHeading(heading)] }

// bareNames are the names of all columns and what people call them, as bareHeading has them.
func (s Set) bareNames() map[string]bool {
	names := map[string]bool{}
	for _, c := range s.Columns {
		names[bareHeading(c.Name)] = true
		for name := range strings.SplitSeq(s.Called[c.Name], ",") {
			names[bareHeading(name)] = true
		}
	}
	delete(names, "")
	return names
}

var (
	inBrackets = regexp.MustCompile(`\(.*?\)|\[.*?\]`)
	// unitBehind is a unit of length at the end of a heading: by itself, or in brackets.
	unitBehind = regexp.MustCompile(`(?i)(?:^|[\s,/])(?:in\s+)?(mm|cm|inch|inches|zoll)\.?\s*$|[(\[]\s*(?:in\s+)?(mm|cm|in|inch|inches|zoll)\.?\s*[)\]]\s*$`)
)

// unitInside is what a size has in it that names a unit.
var unitInside = regexp.MustCompile(`(?i)[a-wyz"″′']`)

// bareHeading makes headings equal that differ in what makes no other name: case, marks, a unit, something in brackets.
func bareHeading(heading string) string {
	if !strings.ContainsFunc(heading, unicode.IsLetter) {
		return ""
	}
	heading = inBrackets.ReplaceAllString(unitBehind.ReplaceAllString(heading, ""), "")
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, heading)
}

// unitOf gives the unit that is said of a heading, or that it names, for what stands below it; 0: none.
func (s Set) unitOf(heading string) (u model.Unit) {
	if _, u = s.Own.Column(s.Name, heading); u != 0 {
		return u
	}
	for _, word := range unitBehind.FindStringSubmatch(heading) {
		if strings.EqualFold(word, "zoll") {
			word = "in"
		}
		if unit, err := model.ParseUnit(word); err == nil {
			u = unit
		}
	}
	return u
}

// howToSayUnit says how to tell in which unit the bare numbers below a heading are. Of one of our own names it can only be said in the table.
func (s Set) howToSayUnit(heading, column, unit string) string {
	do := fmt.Sprintf("put %s behind the size or in the heading of its column", unit)
	switch {
	case s.Fixed || model.FoldName(heading) == model.FoldName(column):
		return do
	case s.Command == "":
		return fmt.Sprintf("%s, or say it in workshop.toml, below [headings.%s], in a line like %s = %q", do, s.Name, column, heading+" = "+unit)
	}
	command := strings.Replace(s.Command, fmt.Sprintf(` --is "%s=%s"`, heading, column), "", 1)
	return fmt.Sprintf(`%s, or say it once: %s --is "%s=%s in %s"`, do, command, heading, column, unit)
}

// howToSayWord says how to tell what a word in a column is.
func (s Set) howToSayWord(column, word string) string {
	meaning := "MEANING"
	if c := s.Columns[s.at(column)]; c.Kind == Count {
		meaning = "NUMBER"
	}
	if s.Command == "" {
		return fmt.Sprintf("or say in workshop.toml what it means, below [words.%s], in a line like %s = %q", s.Name, column, word+" = "+meaning)
	}
	return fmt.Sprintf(`or say once what it means: %s --is "%s=%s:%s"`, s.Command, word, column, meaning)
}

// fits counts the columns that a heading names, and tells whether it has all that are required and no others.
func (s Set) fits(heading record) (known int, whole bool) {
	if s.Own != "" {
		if plain := s.meaning(heading); plain.Own == "" {
			return plain.fits(heading)
		}
	}
	var found = make([]bool, len(s.Columns))
	whole = true
	for _, c := range heading.cells {
		i := s.find(c.text)
		if i < 0 {
			whole = whole && (s.Loose || s.passes(c.text))
			continue
		}
		if !found[i] {
			known++
		}
		found[i] = true
	}
	for i, c := range s.Columns {
		whole = whole && (found[i] || c.Need == Optional)
	}
	return known, whole
}
