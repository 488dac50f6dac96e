package folder

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/table"
)

// Difference is a row of a workshop's tables that is not the same in two workshops.
type Difference struct {
	Table string   `json:"table"`
	Row   string   `json:"row"`             // as people tell it apart
	What  string   `json:"what"`            // new, changed or gone
	Cells []string `json:"cells,omitempty"` // of a new row its amounts of money, and of a supplier all that is said, of a changed one what is another
}

// String gives the difference as it is printed.
func (d Difference) String() string {
	sign := map[string]string{"new": "+", "changed": "~", "gone": "-"}[d.What]
	s := fmt.Sprintf("%s %s %s", sign, d.Table, d.Row)
	if len(d.Cells) > 0 {
		s += ": " + strings.Join(d.Cells, ", ")
	}
	return s
}

// Sum counts what became of the rows of a table.
type Sum struct {
	Table   string `json:"table"`
	New     int    `json:"new"`
	Changed int    `json:"changed"`
	Gone    int    `json:"gone"`
	Same    int    `json:"same"`
}

// String gives the sum as it is printed.
func (s Sum) String() string {
	rows := "rows"
	if s.New == 1 {
		rows = "row"
	}
	return fmt.Sprintf("%d %s new, %d changed, %d gone, %d as before", s.New, rows, s.Changed, s.Gone, s.Same)
}

// Comparison is what differs between a workshop before and after.
type Comparison struct {
	Lines    []Difference
	Sums     []Sum // by table, of those that came
	Headings bool  // that the shop has said what some of its headings or words are, which is in no line
}

// Compare compares a workshop before and after, in the tables as they are written, as far as they came or differ. before may be nil.
func Compare(before, after *model.Workshop, came ...string) (c Comparison) {
	if before == nil {
		before = &model.Workshop{}
	}
	c.Headings = before.Habits.Headings != after.Habits.Headings
	if c.Headings {
		same := *before
		same.Habits.Headings = after.Habits.Headings
		before = &same
	}
	was := append([]table.Written{SettingsTable(before)}, Tables(before)...)
	is := append([]table.Written{SettingsTable(after)}, Tables(after)...)
	for n := range is {
		d, sum := compareTables(is[n].Set, keyed(was[n]), keyed(is[n]))
		c.Lines = append(c.Lines, d...)
		if len(d) > 0 || slices.Contains(came, sum.Table) && (n > 0 || !c.Headings) {
			c.Sums = append(c.Sums, sum)
		}
	}
	return c
}

// All is the sum of all tables.
func (c Comparison) All() (all Sum) {
	for _, s := range c.Sums {
		all.New, all.Changed, all.Gone, all.Same = all.New+s.New, all.Changed+s.Changed, all.Gone+s.Gone, all.Same+s.Same
	}
	return all
}

// keyedRow is a row under what people tell it apart by; of several alike the first, the second and so on.
type keyedRow struct {
	key   string
	shown string
	cells []string
}

func keyed(t table.Written) (rows []keyedRow) {
	seen := map[string]int{}
	for cells := range t.Rows {
		var parts []string
		for i, c := range t.Set.Columns {
			if c.Key {
				parts = append(parts, cells[i])
			}
		}
		key := strings.Join(parts, "\x1f")
		seen[key]++
		for len(parts) > 1 && parts[len(parts)-1] == "" {
			parts = parts[:len(parts)-1]
		}
		for i, text := range parts {
			if text == "" {
				parts[i] = "–"
			}
		}
		rows = append(rows, keyedRow{fmt.Sprintf("%s\x1f%d", key, seen[key]), strings.Join(parts, " / "), cells})
	}
	return rows
}

func compareTables(set table.Set, was, is []keyedRow) (differences []Difference, sum Sum) {
	sum.Table = set.Name
	before := map[string]keyedRow{}
	for _, r := range was {
		before[r.key] = r
	}
	for _, r := range is {
		old, there := before[r.key]
		delete(before, r.key)
		switch {
		case !there:
			d := Difference{Table: set.Name, Row: r.shown, What: "new"}
			for i, c := range set.Columns {
				if (c.Kind == table.Money || set.Name == supplierSet.Name && !c.Key) && r.cells[i] != "" || set.Name == settingSet.Name && !c.Key {
					d.Cells = append(d.Cells, c.Name+" "+table.Clip(r.cells[i]))
				}
			}
			sum.New++
			differences = append(differences, d)
		case slices.Equal(old.cells, r.cells):
			sum.Same++
		default:
			sum.Changed++
			d := Difference{Table: set.Name, Row: r.shown, What: "changed"}
			for i, c := range set.Columns {
				if old.cells[i] != r.cells[i] {
					d.Cells = append(d.Cells, fmt.Sprintf("%s %s → %s", c.Name, table.Clip(orNothing(old.cells[i])), table.Clip(orNothing(r.cells[i]))))
				}
			}
			differences = append(differences, d)
		}
	}
	for _, r := range was {
		if _, gone := before[r.key]; gone {
			differences = append(differences, Difference{Table: set.Name, Row: r.shown, What: "gone"})
			sum.Gone++
		}
	}
	return differences, sum
}

func orNothing(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}
