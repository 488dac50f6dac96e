package manual

import (
	"fmt"
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"

	"longpoint/cmd/longpoint/sheet"
)

// run is words of one look.
type run struct {
	text   string
	family string // blank: that of all sheets
	style  string // blank, B or I
	link   string // where it leads: the id of a place in the manual, or an address
}

// runs gives a node's words, in the look that is given save where they say otherwise.
func (p *paper) runs(parent ast.Node, look run) (out []run) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		mine := look
		switch n := n.(type) {
		case *ast.Text:
			mine.text = string(n.Value(p.source))
			if n.SoftLineBreak() || n.HardLineBreak() {
				mine.text += " "
			}
			out = append(out, mine)
		case *ast.CodeSpan:
			mine.family = mono
			mine.style = strings.TrimSuffix(mine.style, "I")
			out = append(out, p.runs(n, mine)...)
		case *ast.Emphasis:
			mine.style = []string{1: "I", 2: "B"}[n.Level]
			out = append(out, p.runs(n, mine)...)
		case *ast.AutoLink:
			mine.text = string(n.URL(p.source))
			mine.link = mine.text
			out = append(out, mine)
		case *ast.Link:
			mine.link = string(n.Destination)
			if topic, part, ok := target(mine.link); ok {
				mine.link = wholeID(topic, part)
			}
			out = append(out, p.runs(n, mine)...)
		default:
			panic(fmt.Sprintf("manual: no way to set a %s on paper", n.Kind())) // a slip of ours, which the tests see
		}
	}
	return out
}

// font makes ready to write a run. What has letters of equal width is set a little smaller.
func (p *paper) font(r run, size float64) {
	if r.family == mono {
		size *= 0.93
	}
	family := r.family
	if family == "" {
		family = sheet.Typeface
	}
	p.SetFont(family, r.style, size)
}

// atom is a part of a line between which and the next there is no break.
type atom struct {
	run
	wide   float64
	spaced float64 // the blank before it; 0: there is none, and no break
}

// atoms takes runs apart at their blanks.
func (p *paper) atoms(runs []run, size float64) (out []atom) {
	blank := false
	for _, r := range runs {
		p.font(r, size)
		space := p.GetStringWidth(" ")
		for i, word := range strings.Split(r.text, " ") {
			blank = blank || i > 0
			if word == "" {
				continue
			}
			a := atom{run: r, wide: p.GetStringWidth(word)}
			a.text = word
			if blank && len(out) > 0 {
				a.spaced = min(space, size*aPoint/3) // a blank before a command is one of the sentence
			}
			out, blank = append(out, a), false
		}
	}
	return out
}

// lines breaks runs into lines that fit the room. What fits no line is broken where it must.
func (p *paper) lines(runs []run, room, size float64) (lines [][]atom) {
	var line []atom
	used := 0.0
	all := p.atoms(runs, size)
	for i := 0; i < len(all); {
		end, wide := i+1, all[i].wide // all[i:end] stays together
		for end < len(all) && all[end].spaced == 0 {
			wide += all[end].wide
			end++
		}
		if wide > room {
			all = slices.Replace(all, i, end, p.broken(all[i:end], room, size)...)
			end, wide = i+1, all[i].wide
		}
		if len(line) > 0 && used+all[i].spaced+wide > room {
			lines, line, used = append(lines, line), nil, 0
		}
		if len(line) > 0 {
			used += all[i].spaced
		}
		used += wide
		line = append(line, all[i:end]...)
		i = end
	}
	return append(lines, line)
}

// broken parts what is wider than a line into pieces that are not; each may begin a line.
func (p *paper) broken(word []atom, room, size float64) (out []atom) {
	const barely = 1e-9 // a blank that is not seen, and at which a line may be broken
	for _, a := range word {
		p.font(a.run, size)
		piece := atom{run: a.run, spaced: a.spaced}
		piece.text = ""
		for _, r := range a.text {
			wide := p.GetStringWidth(string(r))
			if piece.text != "" && piece.wide+wide > room {
				out = append(out, piece)
				piece = atom{run: a.run, spaced: barely}
				piece.text = ""
			}
			piece.text += string(r)
			piece.wide += wide
		}
		out = append(out, piece)
	}
	return out
}

// inline sets runs from here on down.
func (p *paper) inline(runs []run, x, width, size float64) {
	step := size * leading * aPoint
	for _, line := range p.lines(runs, width, size) {
		p.need(step)
		p.line(line, x, p.y, size)
		p.y += step
	}
}

// line writes a line whose upper edge is at y.
func (p *paper) line(line []atom, x, y, size float64) {
	for i, a := range line {
		if i > 0 {
			x += a.spaced
		}
		p.font(a.run, size)
		p.SetTextColor(0, 0, 0)
		if a.link != "" {
			p.SetTextColor(11, 79, 138)
			if strings.Contains(a.link, ":") {
				p.LinkString(x, y, a.wide, size*leading*aPoint, a.link)
			} else {
				p.Link(x, y, a.wide, size*leading*aPoint, p.linkTo(a.link))
			}
		}
		p.Text(x, y+size*aPoint, a.text)
		x += a.wide
	}
}

// tableGap is between two columns, in millimetres.
const tableGap = 3.0

// table sets a table, its heads on top of each page that it goes over, rows whole.
func (p *paper) table(t *east.Table) {
	var rows [][][]run
	for row := t.FirstChild(); row != nil; row = row.NextSibling() {
		look, cells := run{}, [][]run{}
		if row.Kind() == east.KindTableHeader {
			look.style = "B"
		}
		for cell := row.FirstChild(); cell != nil; cell = cell.NextSibling() {
			cells = append(cells, p.runs(cell, look))
		}
		rows = append(rows, cells)
	}
	widths := p.tableWidths(rows)
	for i, cells := range rows {
		height := p.rowHeight(cells, widths)
		if i == 0 {
			p.need(height + p.rowHeight(rows[min(1, len(rows)-1)], widths))
		} else if p.y+height > pageBottom {
			p.newPage()
			p.row(rows[0], widths, t.Alignments, true)
		}
		p.row(cells, widths, t.Alignments, i == 0)
	}
	p.y += 3
}

// rowHeight is how high a row is.
func (p *paper) rowHeight(cells [][]run, widths []float64) float64 {
	most := 1
	for i, c := range cells {
		most = max(most, len(p.lines(c, widths[i], tableSize)))
	}
	return float64(most)*tableSize*leading*aPoint + 1.6
}

// row sets a row with a line under it.
func (p *paper) row(cells [][]run, widths []float64, align []east.Alignment, heads bool) {
	x := pageLeft
	for i, c := range cells {
		for n, line := range p.lines(c, widths[i], tableSize) {
			at := x
			if align[i] == east.AlignRight {
				at += widths[i] - lineWidth(line)
			}
			p.line(line, at, p.y+0.6+float64(n)*tableSize*leading*aPoint, tableSize)
		}
		x += widths[i] + tableGap
	}
	p.y += p.rowHeight(cells, widths)
	grey, width := 170, 0.15
	if heads {
		grey, width = 0, 0.3
	}
	p.SetDrawColor(grey, grey, grey)
	p.SetLineWidth(width)
	p.Line(pageLeft, p.y, x-tableGap, p.y)
}

// lineWidth is how wide a line is.
func lineWidth(line []atom) (sum float64) {
	for i, a := range line {
		if i > 0 {
			sum += a.spaced
		}
		sum += a.wide
	}
	return sum
}

// tableWidths shares the page's width out among columns as columnWidths does those of a terminal.
func (p *paper) tableWidths(rows [][][]run) []float64 {
	widths, words := make([]float64, len(rows[0])), make([]float64, len(rows[0]))
	for _, cells := range rows {
		for i, c := range cells {
			atoms := p.atoms(c, tableSize)
			widths[i] = max(widths[i], lineWidth(atoms)+0.1)
			for _, a := range atoms {
				words[i] = max(words[i], a.wide+0.1)
			}
		}
	}
	return shareWidth(widths, words, pageInner, tableGap)
}
