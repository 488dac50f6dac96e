package manual

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"

	"longpoint/cmd/longpoint/text"
)

// between stands between two columns.
const between = "  "

// tall is the height of a row up to which rows need no blank line between them.
const tall = 2

// table sets a table: a rule below the headings, cells wrapped where the page is too narrow for them, rows apart where
// they are tall.
func (s setter) table(t *east.Table, indent string, width int) string {
	var rows [][]string
	for row := t.FirstChild(); row != nil; row = row.NextSibling() {
		var cells []string
		for cell := row.FirstChild(); cell != nil; cell = cell.NextSibling() {
			cells = append(cells, s.cell(cell))
		}
		rows = append(rows, cells)
	}
	widths := columnWidths(rows, width-len(indent))
	all := (len(widths) - 1) * len(between)
	for _, w := range widths {
		all += w
	}
	set, tallest := make([][]string, len(rows)), 0
	for n, cells := range rows {
		set[n] = setRow(cells, widths, t.Alignments)
		tallest = max(tallest, len(set[n]))
	}
	var b strings.Builder
	for n, lines := range set {
		for _, line := range lines {
			b.WriteString(strings.TrimRight(indent+line, " ") + "\n")
		}
		switch {
		case n == 0:
			b.WriteString(indent + strings.Repeat("─", all) + "\n")
		case tallest > tall && n < len(set)-1:
			b.WriteString("\n")
		}
	}
	return b.String()
}

// cell gives a cell's words; a word that stands alone in it needs no quotation marks.
func (s setter) cell(n ast.Node) string {
	only := n.FirstChild()
	if only != nil && only == n.LastChild() && (only.Kind() == ast.KindCodeSpan || only.Kind() == ast.KindEmphasis) {
		return s.inline(only)
	}
	return s.inline(n)
}

// setRow sets one row of cells in as many lines as its tallest cell needs.
func setRow(cells []string, widths []int, align []east.Alignment) []string {
	wrapped := make([][]string, len(cells))
	high := 0
	for i, c := range cells {
		wrapped[i] = strings.Split(strings.TrimSuffix(text.Paragraph(c, "", widths[i]), "\n"), "\n")
		high = max(high, len(wrapped[i]))
	}
	lines := make([]string, high)
	for l := range lines {
		for i, column := range wrapped {
			words := ""
			if l < len(column) {
				words = column[l]
			}
			blank := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(words))
			if align[i] == east.AlignRight {
				words = blank + words
			} else {
				words += blank
			}
			if i > 0 {
				lines[l] += between
			}
			lines[l] += words
		}
	}
	return lines
}

// columnWidths shares a page's width out among columns.
func columnWidths(rows [][]string, width int) []int {
	widths := make([]int, len(rows[0]))
	words := make([]int, len(widths))
	for _, cells := range rows {
		for i, c := range cells {
			widths[i] = max(widths[i], utf8.RuneCountInString(c))
			for line := range strings.Lines(text.Paragraph(c, "", 1)) {
				words[i] = max(words[i], utf8.RuneCountInString(strings.TrimSuffix(line, "\n")))
			}
		}
	}
	return shareWidth(widths, words, width, len(between))
}

// shareWidth shares a page's width out among columns that would take these widths, with a gap between two. A column that needs
// no more than its even share of what is left gets what it needs; the others share the rest evenly. None is narrower than its
// longest word.
func shareWidth[N int | float64](widths, words []N, width, gap N) []N {
	left := width - N(len(widths)-1)*gap
	order := make([]int, len(widths)) // columns, those first that need least
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(widths[i], widths[j]) })
	for n, i := range order {
		share := left / N(len(order)-n)
		widths[i] = min(widths[i], max(share, words[i]))
		left -= widths[i]
	}
	return widths
}
