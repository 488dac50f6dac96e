package sheet

import (
	"cmp"
	"slices"
	"strings"
)

// How tables are set, in millimetres.
const (
	cellSize = 9 * point
	cellPad  = 1.4  // left and right of what a cell holds
	rowPad   = 0.8  // over and under it
	closePad = 0.45 // likewise, of rows close together
	largePad = 0.2  // likewise, of type that is larger than cellSize
)

// largeLeading is from line to line of type larger than cellSize, of its size: it stands in rows of one line.
const largeLeading = 1.14

// tableSetter sets one table.
type tableSetter struct {
	Table
	widths []float64
	inner  float64
	tight  bool    // heads go over several lines
	size   float64 // of the type in rows; heads are of cellSize
	step   float64 // from line to line
	pad    float64 // over and under what a row holds
}

// tableSlabs sets a table: heads on top of each page it goes over, rows whole, a section with its first row, a sum with
// the row before it.
func tableSlabs(b Table, inner float64) []slab {
	if len(b.Columns) == 0 {
		return nil
	}
	t := &tableSetter{Table: b, inner: inner, size: cellSize, step: cellSize * leading, pad: rowPad}
	if b.Close {
		t.pad = closePad
	}
	if b.Size > cellSize {
		t.size, t.step, t.pad = b.Size, b.Size*largeLeading, largePad
	}
	t.widths = t.share()
	heads := t.heads()
	first := heads
	first.keep, first.gap = len(b.Rows) > 0, blockGap*0.7
	out := []slab{first}
	section := ""
	for i, row := range b.Rows {
		next := t.row(row)
		if row.Section {
			section = strings.Join(row.Cells[:min(1, len(row.Cells))], "")
		}
		switch {
		case i == 0: // the first row's heads are held for it
		case row.Section || section == "":
			next.repeat = &heads
		default:
			next.repeat = under(heads, t.band(Row{Cells: []string{section + ", continued"}}))
		}
		next.keep = t.keeps(i)
		out = append(out, next)
	}
	return out
}

// keeps tells whether a row stays with the one after it: a section with its first row and that with the second, the last row of a
// section with the one before, a sum and a note with the row above.
func (t *tableSetter) keeps(i int) bool {
	row := func(i int) Row {
		if i < 0 || i >= len(t.Rows) {
			return Row{Section: true}
		}
		return t.Rows[i]
	}
	if i+1 >= len(t.Rows) {
		return false
	}
	after := row(i + 1)
	return row(i).Section || after.Sum || after.Note || row(i-1).Section && !after.Section || !after.Section && row(i+2).Section
}

// under puts one slab under another, as one.
func under(first, second slab) *slab {
	return &slab{height: first.height + second.height, lay: func(d *Drawing, x, y float64) {
		first.lay(d, x, y)
		second.lay(d, x, y+first.height)
	}}
}

// share gives each column its width: what it needs with its head in one line or, where that is too much, in several; where
// that still is too much, less to names and lists, the widest first. What is left over goes to all alike, up to a limit.
func (t *tableSetter) share() []float64 {
	widths, sum := t.naturals()
	if sum > t.inner {
		t.tight = true
		widths, sum = t.naturals()
	}
	if over := sum - t.inner; over > 0 {
		var elastic []int
		for i, c := range t.Columns {
			if c.Kind == Name || c.Kind == List {
				elastic = append(elastic, i)
			}
		}
		slices.SortFunc(elastic, func(a, b int) int { return cmp.Compare(widths[b], widths[a]) })
		lower(widths, elastic, over)
		return widths
	}
	const most = 5 // columns farther apart are hard to follow across
	for i := range widths {
		widths[i] += min(most, (t.inner-sum)/float64(len(widths)))
	}
	return widths
}

// least gives the least width at which the table's numbers and marks have room.
func (b Table) least() (sum float64) {
	t := &tableSetter{Table: b, size: max(cellSize, b.Size), tight: true}
	for i, c := range b.Columns {
		if c.Kind == Name || c.Kind == List {
			sum += leastColumn
		} else {
			sum += t.natural(i)
		}
	}
	return sum
}

// naturals gives the widths at which the columns show all they hold, and their sum.
func (t *tableSetter) naturals() (widths []float64, sum float64) {
	for i := range t.Columns {
		widths = append(widths, t.natural(i))
		sum += widths[i]
	}
	return widths, sum
}

// leastColumn is the least width of a column: room for a few letters.
const leastColumn = 8

// lower takes so much off the columns, which stand widest first: the widest come down to one width.
func lower(widths []float64, columns []int, over float64) {
	for n := 1; n <= len(columns); n++ {
		next := float64(leastColumn)
		if n < len(columns) {
			next = max(next, widths[columns[n]])
		}
		sum := 0.0
		for _, c := range columns[:n] {
			sum += max(widths[c], next) - next
		}
		if sum < over && n < len(columns) {
			continue
		}
		level := next
		if sum >= over {
			level += (sum - over) / float64(n)
		}
		for _, c := range columns[:n] {
			widths[c] = min(widths[c], level)
		}
		return
	}
}

// natural is the width at which a column shows all it holds.
func (t *tableSetter) natural(i int) float64 {
	c := t.Columns[i]
	if c.Kind == Box {
		return tickBox + 2*cellPad
	}
	widest := 0.0
	for _, line := range t.head(c) {
		widest = max(widest, widthOf(readable(line), cellSize, true))
	}
	for _, r := range t.Rows {
		if !r.Section && !r.Note && i < len(r.Cells) {
			widest = max(widest, widthOf(readable(r.Cells[i]), t.size, r.strong(i)))
		}
	}
	return widest + 2*cellPad
}

// head gives a column's head, with its unit: in one line or, tightly set, a number's word by word.
func (t *tableSetter) head(c Column) []string {
	if t.Bare {
		return nil
	}
	whole := strings.TrimSpace(c.Head + " " + c.Unit)
	switch {
	case !t.tight:
		return []string{whole}
	case c.Kind == Number:
		return strings.Fields(whole)
	case c.Unit != "":
		return []string{c.Head, c.Unit}
	}
	return []string{whole}
}

func (r Row) strong(column int) bool { return r.Sum || slices.Contains(r.Strong, column) }

// heads sets the columns' heads.
func (t *tableSetter) heads() slab {
	lines := make([][]string, len(t.Columns))
	most := 1
	for i, c := range t.Columns {
		lines[i] = wrap(c.Head+" "+c.Unit, t.widths[i]-2*cellPad+rounding, cellSize, true)
		most = max(most, len(lines[i]))
	}
	step := cellSize * leading
	height := float64(most)*step + 2*rowPad
	if t.Bare {
		return slab{lay: func(*Drawing, float64, float64) {}}
	}
	return slab{height: height, lay: func(d *Drawing, x, y float64) {
		for i, c := range t.Columns {
			for k, line := range lines[i] {
				below := y + rowPad + float64(most-len(lines[i])+k)*step + ascent*cellSize
				t.cell(d, c, x, below, t.widths[i], line, cellSize, true)
			}
			x += t.widths[i]
		}
		x -= t.width()
		d.line(thinLine, Black, Point{x, y + height}, Point{x + t.width(), y + height})
	}}
}

// width is how wide the table is.
func (t *tableSetter) width() float64 {
	sum := 0.0
	for _, w := range t.widths {
		sum += w
	}
	return sum
}

// band sets a row that begins a section, or a note.
func (t *tableSetter) band(r Row) slab {
	if r.Figure != nil {
		return slab{height: r.Figure.Drawing.Height, gap: figureOver, lay: func(d *Drawing, x, y float64) { d.place(r.Figure.Drawing, x, y) }}
	}
	text, room := strings.Join(r.Cells[:min(1, len(r.Cells))], ""), t.width()-2*cellPad
	lines := []string{fit(text, room, t.size, true)}
	if r.Note { // which says what to do, so that all of it is read
		lines = wrap(text, room, t.size, true)
	}
	height := float64(max(len(lines), 1))*t.step + 2*t.pad
	return slab{height: height, lay: func(d *Drawing, x, y float64) {
		if !r.Note {
			d.box(Pale, x, y, t.width(), height)
		}
		for n, line := range lines {
			d.write(words{At: Point{x + cellPad, y + t.pad + float64(n)*t.step + ascent*t.size}, Text: line, Size: t.size, Bold: true})
		}
	}}
}

// figureOver is the room over a picture that begins a section.
const figureOver = 1.6

// row sets a row.
func (t *tableSetter) row(r Row) slab {
	if r.Section || r.Note {
		return t.band(r)
	}
	cells := make([][]string, len(t.Columns))
	most := 1
	for i, c := range t.Columns {
		text := ""
		if i < len(r.Cells) {
			text = r.Cells[i]
		}
		cells[i] = []string{text}
		switch c.Kind {
		case Name:
			cells[i] = []string{fitFrame(text, t.widths[i]-2*cellPad+rounding, t.size, r.strong(i))}
		case List:
			cells[i] = wrap(text, t.widths[i]-2*cellPad+rounding, t.size, r.strong(i))
		}
		most = max(most, len(cells[i]))
	}
	height := float64(most)*t.step + 2*t.pad
	return slab{height: height, lay: func(d *Drawing, x, y float64) {
		if r.Sum {
			d.line(thinLine, Black, Point{x, y}, Point{x + t.width(), y})
		}
		start := x
		for i, c := range t.Columns {
			if c.Kind == Box && !r.Sum && !r.Spoilt {
				d.frame(thinLine, Black, x+cellPad, y+t.pad+(t.step-tickBox)/2, tickBox, tickBox)
				if r.Ticked {
					d.tick(x+cellPad, y+t.pad+(t.step-tickBox)/2)
				}
			}
			for k, line := range cells[i] {
				t.cell(d, c, x, y+t.pad+float64(k)*t.step+ascent*t.size, t.widths[i], line, t.size, r.strong(i))
			}
			x += t.widths[i]
		}
		if r.Spoilt {
			d.line(thinLine, Black, Point{start + tickBox + 2*cellPad, y + height/2}, Point{x, y + height/2})
		}
		d.line(hairline, Grey, Point{start, y + height}, Point{x, y + height})
	}}
}

// cell writes one line of a cell.
func (t *tableSetter) cell(d *Drawing, c Column, x, y, width float64, text string, size float64, strong bool) {
	w := words{At: Point{x + cellPad, y}, Text: text, Size: size, Bold: strong}
	if c.Kind == Number {
		w.At.X, w.Align = x+width-cellPad, right
	}
	d.write(w)
}
