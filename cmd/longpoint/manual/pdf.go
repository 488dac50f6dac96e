package manual

import (
	"bytes"
	"fmt"
	"strings"

	"codeberg.org/go-fonts/liberation/liberationmonobold"
	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansitalic"
	"codeberg.org/go-pdf/fpdf"
	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"

	"longpoint/cmd/longpoint/sheet"
)

// The typefaces that the manual's paper has besides that of all sheets.
const mono = "Liberation Mono"

// How the manual is set on paper: places in millimetres, type in points.
const (
	pageLeft   = 22.0
	pageTop    = 24.0
	pageBottom = 276.0
	pageInner  = 166.0

	bodySize  = 9.5
	codeSize  = 8.0
	tableSize = 8.5
	aPoint    = 25.4 / 72
	leading   = 1.36
)

// headingSizes are the sizes of headings by their level.
var headingSizes = [...]float64{1: 20, 2: 13, 3: 11, 4: bodySize}

// PDF gives the whole manual on A4 paper, of this version of the program: contents, page numbers, links within it, and the tree
// of topics that readers of PDF files show beside the pages. The same manual gives the same bytes.
func PDF(version string) ([]byte, error) {
	first := newPaper(nil)
	first.whole(version) // to know on which page everything is
	p := newPaper(first.pages)
	p.whole(version)
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		return nil, fmt.Errorf("the manual could not be written as PDF: %w", err)
	}
	return b.Bytes(), nil
}

// paper sets the manual on pages, from top to bottom.
type paper struct {
	*fpdf.Fpdf
	y      float64
	topic  string         // whose name stands over the page
	name   string         // of the same
	source []byte         // its Markdown
	pages  map[string]int // on which topics and their parts begin, as far as they are set
	told   map[string]int // the same of all, for the contents
	links  map[string]int // fpdf's own numbers for them
}

func newPaper(told map[string]int) *paper {
	p := &paper{Fpdf: sheet.NewPDF(WholeTitle, sheet.A4), pages: map[string]int{}, told: told, links: map[string]int{}}
	p.AddUTF8FontFromBytes(sheet.Typeface, "I", liberationsansitalic.TTF)
	p.AddUTF8FontFromBytes(mono, "", liberationmonoregular.TTF)
	p.AddUTF8FontFromBytes(mono, "B", liberationmonobold.TTF)
	return p
}

// whole sets all of it.
func (p *paper) whole(version string) {
	p.topic = "Contents"
	p.newPage()
	p.y += 4
	p.inline([]run{{text: WholeTitle, style: "B"}}, pageLeft, pageInner, 24)
	p.inline([]run{{text: "Of version " + version + "."}}, pageLeft, pageInner, bodySize)
	p.y += 6
	for _, t := range Topics() {
		p.contentLine(0, t.Title, wholeID(t.Name, ""))
		for _, part := range t.Parts() {
			if part.Level == 2 {
				p.contentLine(1, part.Title, wholeID(t.Name, part.Name))
			}
		}
	}
	for _, t := range Topics() {
		root, source := t.parse()
		p.topic, p.name, p.source = t.Title, t.Name, source
		p.newPage()
		p.blocks(root, pageLeft, pageInner)
	}
}

// contentLine sets a line of the contents.
func (p *paper) contentLine(level int, title, id string) {
	size, style, indent := bodySize, "", 6*float64(level)
	if level == 0 {
		style = "B"
		p.y += 1.4
		p.need(3 * size * leading * aPoint)
	}
	p.need(size * leading * aPoint)
	base, number := p.y+size*aPoint, fmt.Sprint(p.told[id])
	p.SetTextColor(0, 0, 0)
	p.SetFont(sheet.Typeface, style, size)
	p.Text(pageLeft+indent, base, title)
	from := pageLeft + indent + p.GetStringWidth(title) + 2
	p.SetFont(sheet.Typeface, "", size)
	at := pageLeft + pageInner - p.GetStringWidth(number)
	for dot := at - 3; dot > from; dot -= 2 {
		p.Text(dot, base, ".")
	}
	p.Text(at, base, number)
	p.Link(pageLeft, p.y, pageInner, size*leading*aPoint, p.linkTo(id))
	p.y += size * leading * aPoint
}

// linkTo gives fpdf's number for a place, which may come later.
func (p *paper) linkTo(id string) int {
	if p.links[id] == 0 {
		p.links[id] = p.AddLink()
	}
	return p.links[id]
}

// newPage begins a page: what it is about, and its number.
func (p *paper) newPage() {
	p.AddPage()
	p.SetFont(sheet.Typeface, "", 8)
	p.SetTextColor(80, 80, 80)
	p.Text(pageLeft, 14, p.topic)
	number := fmt.Sprint(p.PageNo())
	p.Text(pageLeft+pageInner-p.GetStringWidth(number), 14, number)
	p.SetDrawColor(150, 150, 150)
	p.SetLineWidth(0.2)
	p.Line(pageLeft, 16, pageLeft+pageInner, 16)
	p.y = pageTop
}

// need begins a new page where there is no room for so much.
func (p *paper) need(height float64) {
	if p.y+height > pageBottom && p.y > pageTop {
		p.newPage()
	}
}

// blocks sets what stands in a node.
func (p *paper) blocks(parent ast.Node, x, width float64) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Heading:
			p.heading(n)
		case *ast.Paragraph, *ast.TextBlock:
			p.paragraph(n, x, width)
		case *ast.List:
			p.list(n, x, width)
		case *ast.FencedCodeBlock:
			p.code(n, x, width)
		case *east.Table:
			p.table(n)
		default:
			panic(fmt.Sprintf("manual: no way to set a %s on paper", n.Kind())) // a slip of ours, which the tests see
		}
	}
}

// heading sets a heading, with room for some lines under it, and remembers where it is.
func (p *paper) heading(h *ast.Heading) {
	size := headingSizes[h.Level]
	if p.y > pageTop {
		p.y += size * 0.8 * aPoint
	}
	const under = 26 // millimetres: some lines of text, or a table's head and first row
	p.need(size*leading*aPoint + under)
	words := setter{source: p.source}.inline(h)
	id := wholeID(p.name, "")
	if h.Level > 1 {
		id = wholeID(p.name, partName(words))
	}
	p.pages[id] = p.PageNo()
	p.SetLink(p.linkTo(id), p.y, -1)
	if h.Level <= 2 {
		p.Bookmark(words, h.Level-1, p.y)
	}
	p.inline([]run{{text: words, style: "B"}}, pageLeft, pageInner, size)
	p.y += 1
}

// paragraph sets running text, and pictures each by itself.
func (p *paper) paragraph(n ast.Node, x, width float64) {
	if image, ok := n.FirstChild().(*ast.Image); ok {
		p.picture(drawing(string(image.Destination)).Drawing, x)
		return
	}
	p.inline(p.runs(n, run{}), x, width, bodySize)
	p.y += 1.8
}

// picture sets a picture, smaller where it is wider than the text or takes more than half a page.
func (p *paper) picture(d *sheet.Drawing, x float64) {
	scale := min(1, pageInner/d.Width, (pageBottom-pageTop)*0.55/d.Height)
	p.need(d.Height*scale + 4)
	p.TransformBegin()
	p.TransformTranslate(x, p.y+1)
	p.TransformScaleXY(scale*100, 0, 0)
	d.Print(p.Fpdf)
	p.TransformEnd()
	p.SetFillColor(0, 0, 0) // the end brings back what was set before, of which fpdf knows nothing
	p.SetFont(mono, "B", bodySize)
	p.SetFont(sheet.Typeface, "", bodySize)
	if scale < 1 { // a page, as a page
		p.SetDrawColor(150, 150, 150)
		p.SetLineWidth(0.2)
		p.Rect(x, p.y+1, d.Width*scale, d.Height*scale, "D")
	}
	p.SetDashPattern([]float64{}, 0)
	p.y += d.Height*scale + 4
}

// list sets a list, with dots or numbers.
func (p *paper) list(l *ast.List, x, width float64) {
	const indent = 6
	number := l.Start
	for item := l.FirstChild(); item != nil; item = item.NextSibling() {
		p.need(2 * bodySize * leading * aPoint)
		mark := "•"
		if l.IsOrdered() {
			mark = fmt.Sprintf("%d.", number)
			number++
		}
		p.SetFont(sheet.Typeface, "", bodySize)
		p.SetTextColor(0, 0, 0)
		p.Text(x+1, p.y+bodySize*aPoint, mark)
		p.blocks(item, x+indent, width-indent)
	}
	p.y += 0.6
}

// code sets a block of code on a pale ground, in one piece where it is not longer than half a page.
func (p *paper) code(n *ast.FencedCodeBlock, x, width float64) {
	language, file := blockInfo(n, p.source)
	const step = codeSize * 1.26 * aPoint
	var lines []string
	for i := range n.Lines().Len() {
		segment := n.Lines().At(i)
		lines = append(lines, p.brokenCode(strings.TrimRight(string(segment.Value(p.source)), "\n "), width-5)...)
	}
	if file != "" {
		p.need(step * 4)
		p.inline([]run{{text: file, family: mono}}, x, width, codeSize)
		p.y += 1.2
	}
	height := float64(len(lines)) * step
	p.need(min(height, (pageBottom-pageTop)/2))
	for i, line := range lines {
		p.need(step)
		over, below := 0.0, 0.0
		if i == 0 {
			over = 1
		}
		if i == len(lines)-1 {
			below = 1
		}
		p.SetFillColor(241, 241, 241)
		p.Rect(x, p.y-over, width, step+over+below, "F")
		style := ""
		if language == "console" && strings.HasPrefix(line, "$ ") {
			style = "B"
		}
		p.SetFont(mono, style, codeSize)
		p.SetTextColor(0, 0, 0)
		p.Text(x+2.5, p.y+codeSize*aPoint, line)
		p.y += step
	}
	p.y += 3.4
}

// brokenCode breaks a line of code that is wider than the room, at blanks where there are any.
func (p *paper) brokenCode(line string, room float64) (lines []string) {
	p.SetFont(mono, "", codeSize)
	columns := int(room / p.GetStringWidth("m"))
	const indent = "    "
	for rest := []rune(line); ; {
		if len(rest) <= columns {
			return append(lines, string(rest))
		}
		end := columns
		for i := columns; i > columns/2; i-- {
			if rest[i] == ' ' {
				end = i
				break
			}
		}
		lines = append(lines, string(rest[:end]))
		rest = append([]rune(indent), []rune(strings.TrimLeft(string(rest[end:]), " "))...)
	}
}
