package table

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

// merges fills the cells that a spreadsheet shows as one. What stands in several rows of a column of words or days stands in each of
// them; a number there, or anything in several columns, could be meant in two ways and is reported.
type merges struct {
	table *Table
	rows  map[int][]*merged // by row
}

// merged is a rectangle of cells and what its first cell holds.
type merged struct {
	merge
	first cell
}

// newMerges finds which rows below the heading are concerned.
func newMerges(t *Table) *merges {
	m := &merges{table: t, rows: map[int][]*merged{}}
	for _, r := range t.sheet.merged() {
		if r.top <= t.heading || r.bottom-r.top > t.limits.Rows {
			continue // a title, or a column that is merged as a whole
		}
		one := &merged{merge: r}
		for line := r.top; line <= r.bottom; line++ {
			m.rows[line] = append(m.rows[line], one)
		}
	}
	return m
}

// fill fills a row. ok = false: it cannot be told what is meant, which is reported.
func (m *merges) fill(r *Row) (ok bool) {
	for _, one := range m.rows[r.line] {
		at, known := 0, 0
		for c := one.left; c <= one.right && c <= len(m.table.columns); c++ {
			if i := m.table.columns[c-1]; i >= 0 {
				if known++; known == 1 {
					at = i
				}
			}
		}
		if known == 0 {
			continue
		}
		if r.line == one.top {
			one.first = r.cells[at]
		}
		if one.first.text == "" {
			continue
		}
		if known > 1 || one.top < one.bottom && m.table.set.Columns[at].Kind.numeric() {
			m.table.problems.Add(r.Where(), fmt.Sprintf("the cells %s are merged", one), "part them, and give each row and column its own")
			return false
		}
		r.cells[at] = one.first
	}
	return true
}

// String gives the rectangle as spreadsheets name it.
func (m merge) String() string {
	name := func(column, row int) string {
		s, _ := excelize.CoordinatesToCellName(column, row) // of numbers that were read from such a name
		return s
	}
	return strings.Join([]string{name(m.left, m.top), name(m.right, m.bottom)}, ":")
}
