package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"longpoint/bench/instances"
)

// writeSolveSummary writes a Markdown table with a line a class.
func writeSolveSummary(w io.Writer, rows []solveRow) error {
	lines := [][]string{{"class", "instances", "proven", "searched", "open", "faults", "median s", "slowest s", "peak MiB"}}
	for _, g := range groups(rows) {
		count := map[string]int{}
		var seconds []float64
		faults, peak := 0, 0.0
		for _, r := range g.rows {
			count[r.Status]++
			if r.bad() {
				faults++
			}
			seconds = append(seconds, r.Seconds)
			peak = max(peak, r.PeakMB)
		}
		slices.Sort(seconds)
		lines = append(lines, []string{
			g.title, fmt.Sprint(len(g.rows)), fmt.Sprint(count[proven] + count[impossible]), fmt.Sprint(count[searched]), fmt.Sprint(count[open]),
			fmt.Sprint(faults), fmt.Sprintf("%.3f", median(seconds)), fmt.Sprintf("%.2f", seconds[len(seconds)-1]), fmt.Sprintf("%.0f", peak),
		})
	}
	return writeMarkdown(w, lines)
}

// group is the rows of one class.
type group struct {
	title string
	rows  []solveRow
}

// groups sorts rows by class, in the order of instances.Classes; then what belongs to none, by the first part of its name.
func groups(rows []solveRow) []group {
	titles := map[string]int{}
	for i, c := range instances.Classes() {
		titles[c.Title] = i
	}
	byTitle := map[string][]solveRow{}
	for _, r := range rows {
		title, _, _ := strings.Cut(r.File, "/")
		if c, ok := instances.ClassOf(r.File); ok {
			title = c.Title
		}
		byTitle[title] = append(byTitle[title], r)
	}
	var gs []group
	for title, rows := range byTitle {
		gs = append(gs, group{title, rows})
	}
	rank := func(title string) int {
		if i, ok := titles[title]; ok {
			return i
		}
		return len(titles)
	}
	slices.SortFunc(gs, func(a, b group) int {
		return cmp.Or(cmp.Compare(rank(a.title), rank(b.title)), strings.Compare(a.title, b.title))
	})
	return gs
}

// median of sorted values; the mean of the middle two where their number is even; 0 of none.
func median(sorted []float64) float64 {
	n := len(sorted)
	if n == 0 {
		return 0
	}
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// writeMarkdown writes a table, the first line being its heading, the first column text and the others figures.
func writeMarkdown(w io.Writer, lines [][]string) error {
	width := make([]int, len(lines[0]))
	for _, l := range lines {
		for i, cell := range l {
			width[i] = max(width[i], utf8.RuneCountInString(cell))
		}
	}
	var b strings.Builder
	for n, l := range lines {
		for i, cell := range l {
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell))
			if i == 0 {
				cell += pad
			} else {
				cell = pad + cell
			}
			b.WriteString("| " + cell + " ")
		}
		b.WriteString("|\n")
		if n == 0 {
			for i := range l {
				if i == 0 {
					b.WriteString("| " + strings.Repeat("-", width[i]) + " ")
				} else {
					b.WriteString("| " + strings.Repeat("-", width[i]-1) + ": ")
				}
			}
			b.WriteString("|\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
