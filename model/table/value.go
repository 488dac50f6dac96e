package table

import (
	"slices"
	"strings"

	"longpoint/model"
)

// Row is one row of a table.
type Row struct {
	table *Table
	line  int
	cells []cell // one a column of the set; blank where the table lacks the column
}

// Where gives the row's place.
func (r Row) Where() model.Place { return r.table.place(r.line, -1, "") }

// Line gives the line or row it starts on, from 1.
func (r Row) Line() int { return r.line }

// Cell gives the cell of a column, which must be one of the set's.
func (r Row) Cell(column string) Value {
	i := slices.IndexFunc(r.table.set.Columns, func(c Column) bool { return c.Name == column })
	c := r.cells[i]
	return Value{Text: c.text, Where: r.place(i), form: c.form, reported: c.form == faulty, set: &r.table.set, unit: r.table.units[i], table: r.table, column: i}
}

// place gives the place of a column's cell.
func (r Row) place(i int) model.Place {
	return r.table.place(r.line, slices.Index(r.table.columns, i), r.table.set.Columns[i].Name)
}

// Value is one cell of a table, or one setting: what a person wrote, or what a spreadsheet or a parser has made of it.
type Value struct {
	Text     string // without blanks at its ends
	Where    model.Place
	form     form
	reported bool       // it means nothing, which has been reported, and Text is blank
	set      *Set       // of the table it stands in; nil: in none
	unit     model.Unit // that its heading names for bare numbers; 0: none
	table    *Table     // in which it stands; nil: in none
	column   int        // of its set
}

// kind is that of the value's column.
func (v Value) kind() Kind {
	if v.set == nil || v.set.at(v.Where.Column) < 0 {
		return Text
	}
	return v.set.Columns[v.set.at(v.Where.Column)].Kind
}

// meaning says what to do about a value that is none of a few words: which was meant, or how to tell what it means.
func (v Value) meaning(words []string) string {
	do := "write " + Either(words)
	if near, found := model.Nearest(v.Text, words); found {
		return "did you mean " + near + "? " + do
	}
	return v.orSay(do)
}

// orSay adds to what to do about a value that is a word how to tell what it means.
func (v Value) orSay(do string) string {
	if v.set == nil || v.set.Loose || v.set.Fixed || strings.ContainsAny(v.Text, "0123456789=;\"") || v.set.at(v.Where.Column) < 0 {
		return do
	}
	return do + ", " + v.set.howToSayWord(v.Where.Column, Clip(v.Text))
}

// Setting makes a value of what a parser has read, in which a decimal mark is a point.
func Setting(text string, where model.Place) Value {
	return Value{Text: text, Where: where, form: number}
}

// Reported makes a value of what means nothing and has been reported.
func Reported(where model.Place) Value { return Value{Where: where, reported: true} }

// Blank tells whether nothing is given.
func (v Value) Blank() bool { return v.Text == "" }
