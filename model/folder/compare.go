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
	Cells []string `json:"cells,omitempty"` // of a new row its amounts of money, of a changed one what is another
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

// Compare gives what differs between a workshop before and after, in the tables as they are written, and counts the rows that are
// the same. before may be nil.
func Compare(before, after *model.Workshop) (differences []Difference, same int) {
	if before == nil {
		before = &model.Workshop{}
	}
	was := append([]table.Written{SettingsTable(before)}, Tables(before)...)
	is := append([]table.Written{SettingsTable(after)}, Tables(after)...)
	for n := range is {
		d, equal := compareTables(is[n].Set, keyed(was[n]), keyed(is[n]))
		differences = append(differences, d...)
		same += equal
	}
	return differences, same
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

func compareTables(set table.Set, was, is []keyedRow) (differences []Difference, same int) {
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
				if c.Kind == table.Money && r.cells[i] != "" {
					d.Cells = append(d.Cells, c.Name+" "+r.cells[i])
				}
			}
			differences = append(differences, d)
		case slices.Equal(old.cells, r.cells):
			same++
		default:
			d := Difference{Table: set.Name, Row: r.shown, What: "changed"}
			for i, c := range set.Columns {
				if old.cells[i] != r.cells[i] {
					d.Cells = append(d.Cells, fmt.Sprintf("%s %s → %s", c.Name, orNothing(old.cells[i]), orNothing(r.cells[i])))
				}
			}
			differences = append(differences, d)
		}
	}
	for _, r := range was {
		if _, gone := before[r.key]; gone {
			differences = append(differences, Difference{Table: set.Name, Row: r.shown, What: "gone"})
		}
	}
	return differences, same
}

func orNothing(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}
