package sheet

import (
	"bytes"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"longpoint/model"
)

// PDF gives drawings as the pages of a PDF file, each of its drawing's size. The Typeface is embedded, as far as it is
// used, and words are text. The same drawings give the same bytes. An error is a fault of ours.
func PDF(title string, pages []*Drawing) ([]byte, error) {
	if len(pages) == 0 {
		return nil, &model.Error{Kind: model.Fault, What: "a PDF file without a page was asked for"}
	}
	f := NewPDF(title, Paper{Width: pages[0].Width, Height: pages[0].Height})
	for _, page := range pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: page.Width, Ht: page.Height})
		page.Print(f)
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil {
		return nil, &model.Error{Kind: model.Fault, What: "a PDF file could not be written", Err: err}
	}
	return out.Bytes(), nil
}

// NewPDF begins a PDF file with our Typeface in it, in two weights. It has no page yet.
func NewPDF(title string, paper Paper) *fpdf.Fpdf {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: paper.Width, Ht: paper.Height}})
	f.SetCatalogSort(true)
	f.SetCreationDate(undated)
	f.SetModificationDate(undated)
	f.SetTitle(readable(title), true)
	f.SetCreator("Longpoint", false)
	f.SetProducer("Longpoint", false)
	f.SetLang("en-GB")
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes(Typeface, "", regular().data)
	f.AddUTF8FontFromBytes(Typeface, "B", bold().data)
	return f
}

// Print puts the drawing on the last page of a file of NewPDF, its upper left corner at the page's.
func (d *Drawing) Print(f *fpdf.Fpdf) {
	p := pdfPage{Fpdf: f}
	for _, m := range d.marks {
		p.draw(m)
	}
}

// undated stands in a PDF file for when it was made, so that the same plan gives the same file; the day that matters is
// printed on the page.
var undated = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// pdfPage writes marks. It remembers what is set, for most marks look like the one before.
type pdfPage struct {
	*fpdf.Fpdf
	fill, stroke *Ink
	width, dash  float64
	size         float64
	bold         bool
}

func (p *pdfPage) draw(m mark) {
	switch m := m.(type) {
	case pattern:
		p.draw(m.area())
	case area:
		if p.fill == nil || *p.fill != m.Ink {
			p.SetFillColor(m.Ink.rgb())
			p.fill = &m.Ink
		}
		p.path(m.Outlines, true)
		p.DrawPath("f")
	case strokes:
		if p.stroke == nil || *p.stroke != m.Ink {
			p.SetDrawColor(m.Ink.rgb())
			p.stroke = &m.Ink
		}
		if p.width != m.Width {
			p.SetLineWidth(m.Width)
			p.width = m.Width
		}
		if p.dash != m.Dash {
			p.SetDashPattern(dashes(m.Dash), 0)
			p.dash = m.Dash
		}
		p.path(m.Lines, false)
		p.DrawPath("D")
	case words:
		p.words(m)
	}
}

// words prints one line of text.
func (p *pdfPage) words(w words) {
	if p.size != w.Size || p.bold != w.Bold {
		style := ""
		if w.Bold {
			style = "B"
		}
		p.SetFont(Typeface, style, w.Size/point)
		p.size, p.bold = w.Size, w.Bold
	}
	p.SetTextColor(w.Ink.rgb())
	back := 0.0
	switch w.Align {
	case centre:
		back = widthOf(w.Text, w.Size, w.Bold) / 2
	case right:
		back = widthOf(w.Text, w.Size, w.Bold)
	}
	if !w.Turned {
		p.Text(w.At.X-back, w.At.Y, w.Text)
		return
	}
	p.TransformBegin()
	p.TransformRotate(90, w.At.X, w.At.Y)
	p.Text(w.At.X-back, w.At.Y, w.Text)
	p.TransformEnd()
}

// path lays down a path.
func (p *pdfPage) path(lines [][]Point, closed bool) {
	for _, line := range lines {
		for i, at := range line {
			if i == 0 {
				p.MoveTo(at.X, at.Y)
			} else {
				p.LineTo(at.X, at.Y)
			}
		}
		if closed {
			p.ClosePath()
		}
	}
}

// dashes is a pattern of dashes and gaps, or none.
func dashes(length float64) []float64 {
	if length == 0 {
		return []float64{}
	}
	return []float64{length, length}
}

func (k Ink) rgb() (r, g, b int) { return int(k.R), int(k.G), int(k.B) }
