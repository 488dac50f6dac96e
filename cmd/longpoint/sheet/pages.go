package sheet

import (
	"fmt"
	"math"
	"strings"
)

// Sizes of type on a page.
const (
	titleSize   = 15 * point
	underSize   = 8.5 * point
	partSize    = 12 * point
	bodySize    = 9.5 * point
	leading     = 1.28 // from line to line, of the type's size
	blockGap    = 3.2  // between blocks
	titleHeight = 12.4 // of what stands on top of each page
)

// Pages sets a piece on paper. What belongs together is not parted: a row of a table, a picture, a heading and what
// comes after it. Each page takes as much as fits, which gives the fewest pages that keep the order. Labels and tickets are
// pieces of their own: their pages carry nothing else.
func (p Piece) Pages() []*Drawing {
	inner := p.Paper.inner()
	s := newSetter(p.Paper.Width, p.Paper.Height, spot{margin, margin + titleHeight, inner, p.Paper.Height - 2*margin - titleHeight - p.footHeight()})
	for _, block := range p.Blocks {
		switch b := block.(type) {
		case Labels:
			return b.pages(p.Paper)
		case Cards:
			return b.pages(p.Paper)
		}
		for _, next := range slabs(block, inner) {
			s.place(next)
		}
	}
	s.flush()
	if len(s.pages) == 0 {
		s.newPage()
	}
	for i, page := range s.pages {
		p.furnish(page, i+1, len(s.pages))
	}
	out := make([]*Drawing, len(s.pages))
	for i, page := range s.pages {
		out[i] = page.Drawing
	}
	return out
}

// footHeight is the room that the foot of each page takes.
func (p Piece) footHeight() float64 {
	if p.Foot == "" {
		return 0
	}
	return 1.6 // it stands in the margin for the rest
}

// furnish writes what stands on every page: title with the chapters that are on it, whose and when, page x of y, the foot.
func (p Piece) furnish(page setPage, number, of int) {
	inner := p.Paper.inner()
	at := fmt.Sprintf("page %d of %d", number, of)
	title := strings.TrimSpace(p.Title + " " + strings.Join(page.chapters, " · "))
	room := inner - widthOf(at, underSize, false) - 4
	page.write(words{At: Point{margin, margin + ascent*titleSize}, Text: fit(title, room, titleSize, true), Size: titleSize, Bold: true})
	page.write(words{At: Point{margin + inner, margin + ascent*titleSize}, Text: at, Size: underSize, Align: right})
	page.write(words{At: Point{margin, margin + 9.6}, Text: fit(p.Under, inner, underSize, false), Size: underSize, Ink: Grey})
	page.line(firmLine, Black, Point{margin, margin + 11.4}, Point{margin + inner, margin + 11.4})
	page.write(words{At: Point{margin, p.Paper.Height - margin + 1.3}, Text: fit(p.Foot, inner, underSize, false), Size: underSize})
}

// slab is something that is not parted, as it is laid on a page.
type slab struct {
	height float64
	gap    float64 // over it, except at the top of a page
	keep   bool    // with the slab that follows
	repeat *slab   // what stands over it where it comes first on a page: a table's heads
	begins string  // the chapter that begins with it
	lay    func(d *Drawing, x, y float64)
}

// spot is where on a page slabs go, in millimetres.
type spot struct{ left, top, width, height float64 }

// setPage is a page in the making.
type setPage struct {
	*Drawing
	chapters []string // of which there is something on it
}

// setter sets slabs on pages.
type setter struct {
	width, height float64 // of a page
	at            spot    // of the slabs on it
	pages         []setPage
	used          float64 // of the last page
	held          []slab  // those that must stay with what follows
	chapter       string  // that what is laid down belongs to
}

func newSetter(width, height float64, at spot) *setter {
	return &setter{width: width, height: height, at: at}
}

// place lays down a slab with those that are held for it, on a new page where the last one has no room for them. A slab
// higher than a page goes on a page of its own, and over its end.
func (s *setter) place(next slab) {
	s.held = append(s.held, next)
	if !next.keep {
		s.flush()
	}
}

func (s *setter) newPage() {
	s.pages = append(s.pages, setPage{Drawing: NewDrawing(s.width, s.height)})
	s.used = 0
}

// flush lays down what is held.
func (s *setter) flush() {
	if len(s.held) == 0 {
		return
	}
	if len(s.pages) == 0 || s.used+s.heldHeight(s.used == 0) > s.at.height+rounding {
		s.newPage()
	}
	page := &s.pages[len(s.pages)-1]
	for _, next := range s.held {
		if next.begins != "" {
			s.chapter = next.begins
		}
		if n := len(page.chapters); s.chapter != "" && (n == 0 || page.chapters[n-1] != s.chapter) {
			page.chapters = append(page.chapters, s.chapter)
		}
		if s.used == 0 && next.repeat != nil {
			next.repeat.lay(page.Drawing, s.at.left, s.at.top)
			s.used = next.repeat.height
		}
		s.used += next.gapOn(s.used)
		next.lay(page.Drawing, s.at.left, s.at.top+s.used)
		s.used += next.height
	}
	s.held = nil
}

// rounding is more than sums of some thousand heights in millimetres are off, and less than anybody sees.
const rounding = 1e-6

// gapOn is the room over a slab; none on top of a page.
func (b slab) gapOn(used float64) float64 {
	if used == 0 {
		return 0
	}
	return b.gap
}

// heldHeight is what the held slabs take, on top of a page or further down.
func (s *setter) heldHeight(top bool) float64 {
	sum := 0.0
	for i, next := range s.held {
		switch {
		case i == 0 && top && next.repeat != nil:
			sum += next.repeat.height + next.gap
		case i > 0 || !top:
			sum += next.gap
		}
		sum += next.height
	}
	return sum
}

// slabs takes a block apart, to be set so wide.
func slabs(block Block, inner float64) []slab {
	switch b := block.(type) {
	case Heading:
		return []slab{headingSlab(b, inner)}
	case Paragraph:
		return []slab{paragraphSlab(b, inner)}
	case Bullets:
		return bulletSlabs(b, inner)
	case Figure:
		return []slab{figureSlab(Figures{b})}
	case Figures:
		var out []slab
		for _, line := range b.lines(inner) {
			out = append(out, figureSlab(line))
		}
		return out
	case Table:
		return tableSlabs(b, inner)
	case Beside:
		return []slab{besideSlab(b, inner)}
	case Abreast:
		return []slab{abreastSlab(b, inner)}
	case Lines:
		return []slab{linesSlab(b, inner)}
	}
	return nil
}

// headingSlab sets a heading; one that begins a chapter under a line.
func headingSlab(b Heading, inner float64) slab {
	over := 0.0
	if b.Chapter != "" {
		over = 2
	}
	return slab{height: over + partSize*leading, gap: blockGap * 1.2, keep: true, begins: b.Chapter, lay: func(d *Drawing, x, y float64) {
		if over > 0 {
			d.line(firmLine, Black, Point{x, y}, Point{x + inner, y})
		}
		d.write(words{At: Point{x, y + over + ascent*partSize}, Text: fitFrame(b.Text, inner, partSize, true), Size: partSize, Bold: true})
	}}
}

// paragraphSlab sets running text. A strong one stands in a box.
func paragraphSlab(b Paragraph, inner float64) slab {
	inset := 0.0
	if b.Strong {
		inset = 2
	}
	lines := wrap(b.Text, inner-2*inset, bodySize, false)
	step := bodySize * leading
	height := float64(len(lines))*step + 2*inset*0.7
	return slab{height: height, gap: blockGap * 0.6, keep: b.Leads, lay: func(d *Drawing, x, y float64) {
		if b.Strong {
			d.frame(firmLine, Black, x, y, inner, height)
		}
		for i, line := range lines {
			d.write(words{At: Point{x + inset, y + inset*0.7 + float64(i)*step + ascent*bodySize}, Text: line, Size: bodySize})
		}
	}}
}

// bulletSlabs sets a list.
func bulletSlabs(b Bullets, inner float64) (out []slab) {
	const indent = 6
	step := bodySize * leading
	for i, item := range b.Items {
		lines := wrap(item, inner-indent, bodySize, false)
		gap := 1.0
		if i == 0 {
			gap = blockGap * 0.6
		}
		out = append(out, slab{height: float64(len(lines)) * step, gap: gap, keep: b.Leads, lay: func(d *Drawing, x, y float64) {
			if b.Boxes {
				d.frame(thinLine, Black, x+0.4, y+0.4, tickBox, tickBox)
			} else {
				d.box(Black, x+1.5, y+1.5, 1.1, 1.1)
			}
			for i, line := range lines {
				d.write(words{At: Point{x + indent, y + float64(i)*step + ascent*bodySize}, Text: line, Size: bodySize})
			}
		}})
	}
	return out
}

// besideSlab sets a picture to the left and blocks to the right of it, as one.
func besideSlab(b Beside, inner float64) slab {
	aside := b.Figure.Drawing.Width + figureGap
	blocks := stack(b.Blocks, inner-aside)
	return slab{height: max(blocks.height, b.Figure.Drawing.Height), gap: blockGap, lay: func(d *Drawing, x, y float64) {
		d.place(b.Figure.Drawing, x, y)
		blocks.lay(d, x+aside, y)
	}}
}

// abreastSlab sets columns side by side, as one.
func abreastSlab(b Abreast, inner float64) slab {
	n := float64(len(b))
	wide := (inner - (n-1)*figureGap) / n
	columns := make([]slab, len(b))
	height := 0.0
	for i, blocks := range b {
		columns[i] = stack(blocks, wide)
		height = max(height, columns[i].height)
	}
	return slab{height: height, gap: blockGap, lay: func(d *Drawing, x, y float64) {
		for i, c := range columns {
			c.lay(d, x+float64(i)*(wide+figureGap), y)
		}
	}}
}

// stack sets blocks one under the other, as one.
func stack(blocks []Block, inner float64) slab {
	var all []slab
	height := 0.0
	for _, block := range blocks {
		for _, s := range slabs(block, inner) {
			height += s.gapOn(height) + s.height
			all = append(all, s)
		}
	}
	return slab{height: height, lay: func(d *Drawing, x, y float64) {
		used := 0.0
		for _, s := range all {
			used += s.gapOn(used)
			s.lay(d, x, y+used)
			used += s.height
		}
	}}
}

// linesSlab sets short lines.
func linesSlab(b Lines, inner float64) slab {
	const size = 11 * point
	heads := wrap(b.Head, inner, underSize, false)
	head := float64(len(heads)) * underSize * 1.15
	return slab{height: head + float64(len(b.Items))*size*leading, gap: blockGap * 0.6, lay: func(d *Drawing, x, y float64) {
		for i, line := range heads {
			d.write(words{At: Point{x, y + float64(i)*underSize*1.15 + ascent*underSize}, Text: line, Size: underSize})
		}
		for i, line := range b.Items {
			d.write(words{At: Point{x, y + head + float64(i)*size*leading + ascent*size}, Text: fit(line, inner, size, i == 0), Size: size, Bold: i == 0})
		}
	}}
}

// tickBox is the size of a box to tick, in millimetres.
const tickBox = 3.2

// tick ticks a box whose upper left corner is here.
func (d *Drawing) tick(x, y float64) {
	d.line(firmLine, Black, Point{x + 0.18*tickBox, y + 0.5*tickBox}, Point{x + 0.42*tickBox, y + 0.78*tickBox}, Point{x + 0.85*tickBox, y + 0.18*tickBox})
}

// lines parts figures into lines that fit.
func (f Figures) lines(inner float64) (lines []Figures) {
	used := math.Inf(1)
	for _, figure := range f {
		if used+figure.Drawing.Width > inner+rounding {
			lines = append(lines, nil)
			used = 0
		}
		lines[len(lines)-1] = append(lines[len(lines)-1], figure)
		used += figure.Drawing.Width + figureGap
	}
	return lines
}

// figureGap is the room between figures side by side.
const figureGap = 6

// figureSlab lays figures side by side.
func figureSlab(line Figures) slab {
	height := 0.0
	for _, f := range line {
		height = max(height, f.Drawing.Height)
	}
	return slab{height: height, gap: blockGap, lay: func(d *Drawing, x, y float64) {
		for _, f := range line {
			d.place(f.Drawing, x, y)
			x += f.Drawing.Width + figureGap
		}
	}}
}
