package table

import (
	"encoding/csv"
	"strings"
)

// mostCells bounds what is shown as cells, in bytes: more is not put right by hand.
const mostCells = 200_000

// Cells gives the one sheet of a file as cells, parted by tabs, that can be put right and read again: numbers with the shop's decimal mark. Rows keep their numbers.
// "" where there are several sheets with something in them, or where they are too much.
func (f *File) Cells(decimal string) string {
	var one *sheet
	for _, s := range f.sheets {
		if s.hidden || len(s.ways) == 0 {
			continue
		}
		for _, bad := range s.ways[0].records {
			if bad != nil || one != nil {
				return ""
			}
			one = s
			break
		}
	}
	if one == nil {
		return ""
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Comma = '\t'
	line := 1
	for r, bad := range one.ways[0].records {
		if bad != nil || b.Len() > mostCells {
			return ""
		}
		w.Flush()
		for ; line < r.line; line++ {
			b.WriteString("\n")
		}
		row := make([]string, r.width())
		for _, c := range r.cells {
			row[c.at] = c.shown(decimal)
		}
		w.Write(row)
		line++
	}
	w.Flush()
	return b.String()
}

// shown gives a cell as somebody types it.
func (c cell) shown(decimal string) string {
	switch c.form {
	case faulty:
		return ""
	case number, percent:
		text := c.text
		if decimal == "," {
			text = strings.Replace(text, ".", ",", 1)
		}
		if c.form == percent {
			text += " %"
		}
		return text
	}
	return c.text
}
