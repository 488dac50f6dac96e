package model

import (
	"slices"
	"strings"
)

// Headings are a shop's own headings for the columns of its tables: lines like jobs.due=Collected on, in order. A column may have several.
type Headings string

// NoColumn is the column of headings that mean nothing to us.
const NoColumn = "none"

// Of gives the headings of a table's column.
func (h Headings) Of(table, column string) (all []string) {
	for line := range strings.Lines(string(h)) {
		if heading, found := strings.CutPrefix(strings.TrimSuffix(line, "\n"), table+"."+column+"="); found {
			all = append(all, heading)
		}
	}
	return all
}

// Column gives the column of a table that has a heading; empty: none has.
func (h Headings) Column(table, heading string) string {
	heading = FoldName(heading)
	for line := range strings.Lines(string(h)) {
		if of, own, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "="); FoldName(own) == heading {
			if column, found := strings.CutPrefix(of, table+"."); found {
				return column
			}
		}
	}
	return ""
}

// Add gives the headings with one more, which is taken off any other column of its table.
func (h Headings) Add(table, column, heading string) Headings {
	heading = strings.Join(strings.Fields(heading), " ")
	var lines []string
	for line := range strings.Lines(string(h)) {
		of, own, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "=")
		if !strings.HasPrefix(of, table+".") || FoldName(own) != FoldName(heading) {
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
