package main

import (
	"bytes"
	"slices"
	"strings"
	"unicode"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
)

// pageWidth is how many columns a table, a paragraph or a drawing may take: the width of a terminal as it opens.
const pageWidth = 80

// gap is what stands between two columns.
const gap = "  "

// table is rows under headings. A heading names the unit of what stands below it.
type table struct {
	columns []column
	rows    [][]string // one cell a column
	foot    []string   // totals; nil = none
}

// column is a heading and which side its cells are flush with: numbers right, words left.
type column struct {
	heading string
	number  bool
	day     bool            // its cells are days, year-month-day, or words where there is none
	dates   model.DateOrder // how the shop writes them
}

// words is a column of words, numbers a column of numbers, days a column of days that are shown as the shop writes them.
func words(heading string) column   { return column{heading: heading} }
func numbers(heading string) column { return column{heading: heading, number: true} }
func days(heading string, dates model.DateOrder) column {
	return column{heading: heading, day: true, dates: dates}
}

// shown gives what of a cell of the column is shown.
func (c column) shown(cell string) string {
	if c.day {
		cell = c.dates.Rewrite(cell)
	}
	return shownOf(cell)
}

// add appends a row.
func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

// String sets the table: a rule below the headings and above the totals, no other lines, no trailing blanks. The table itself is carried along
// (carry), which show takes out.
func (t *table) String() string {
	rows := t.rows
	if t.foot != nil {
		rows = append(rows[:len(rows):len(rows)], t.foot)
	}
	lines := t.layOut(rows)
	carried := t.carry()
	rule := strings.Repeat("─", widest(strings.Join(lines, "\n")))
	lines = slices.Insert(lines, 1, rule)
	if t.foot != nil {
		lines = slices.Insert(lines, len(lines)-1, rule)
	}
	return carried + strings.Join(lines, "\n") + "\n"
}

// layOut gives the lines of headings and rows.
func (t *table) layOut(rows [][]string) []string {
	headings := make([]string, len(t.columns))
	align := make([]tw.Align, len(t.columns))
	for i, c := range t.columns {
		headings[i], align[i] = c.heading, tw.AlignLeft
		if c.number {
			align[i] = tw.AlignRight
		}
	}
	cell := tw.CellConfig{
		Formatting: tw.CellFormatting{AutoWrap: tw.WrapNone, AutoFormat: tw.Off},
		Padding:    tw.CellPadding{Global: tw.Padding{Left: "", Right: gap, Overwrite: true}},
		Alignment:  tw.CellAlignment{PerColumn: align},
	}
	var b bytes.Buffer
	w := tablewriter.NewTable(&b,
		tablewriter.WithConfig(tablewriter.Config{Header: cell, Row: cell}),
		tablewriter.WithRenderer(renderer.NewBlueprint(tw.Rendition{
			Borders: tw.BorderNone,
			Settings: tw.Settings{
				Separators: tw.Separators{BetweenColumns: tw.Off, BetweenRows: tw.Off, ShowHeader: tw.Off, ShowFooter: tw.Off},
				Lines:      tw.Lines{ShowTop: tw.Off, ShowBottom: tw.Off, ShowHeaderLine: tw.Off, ShowFooterLine: tw.Off},
			},
		})),
	)
	w.Header(headings)
	for _, r := range rows {
		clean := make([]string, len(r))
		for i, c := range r {
			clean[i] = t.columns[i].shown(c)
		}
		if err := w.Append(clean); err != nil {
			panic(err) // a row of strings: only our own misuse can fail
		}
	}
	if err := w.Render(); err != nil {
		panic(err)
	}
	lines := strings.Split(strings.TrimRight(b.String(), "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return lines
}

// plain makes text from outside safe for one line of a terminal: every control character becomes a space, so that a
// cell can neither break the table nor steer the terminal, and what is no text a mark that says so.
func plain(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToValidUTF8(s, "\uFFFD"), func(r rune) bool {
		return unicode.IsControl(r) || unicode.IsSpace(r) || unicode.Is(unicode.Cf, r)
	}), " ")
}

// hanging sets text beside a head, two blanks from it, and wraps it there.
func hanging(head, words string) string {
	wide := len([]rune(head)) + 2
	room := strings.Repeat("_", wide-1) // a word that keeps the room for the head
	return head + "  " + strings.TrimPrefix(paragraph(room+" "+words, strings.Repeat(" ", wide)), room+" ")
}

// paragraph wraps text at the page's width; every line but the first is indented by indent.
func paragraph(words, indent string) string { return text.Paragraph(words, indent, pageWidth) }
