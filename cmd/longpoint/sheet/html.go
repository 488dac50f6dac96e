package sheet

import (
	"fmt"
	"html"
	"strings"
)

// HTML gives pieces as one page for a browser, which prints them as Pages does: the same parts in the same order on the
// same paper, rows and pictures whole. Every drawing says in words what it shows, every table has heads, headings nest. Names
// are never cut short here, for a browser breaks lines.
func HTML(title string, pieces ...Piece) []byte {
	paper := A4
	if len(pieces) > 0 {
		paper = pieces[0].Paper
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="Longpoint">
<title>%s</title>
<style>%s</style>
</head>
<body>
<main>
`, html.EscapeString(readable(title)), style(paper, pieces))
	w := &htmlWriter{Builder: &b}
	for i, p := range pieces {
		w.piece(p, i)
	}
	b.WriteString("</main>\n</body>\n</html>\n")
	return []byte(b.String())
}

// style is the style sheet. Inks keep a contrast of 6 to 1 and more with what is under them. On paper each piece begins
// a page, and a page says which piece it is of and its number.
func style(paper Paper, pieces []Piece) string {
	var names strings.Builder
	for i, p := range pieces {
		if _, ok := p.labels(); ok {
			fmt.Fprintf(&names, "@page piece%d{size:%s;margin:0}", i, paper.css())
		} else {
			fmt.Fprintf(&names, `@page piece%d{size:%s;margin:%dmm;@bottom-left{content:"%s";font:7pt sans-serif}@bottom-right{content:"page " counter(page) " of " counter(pages);font:7pt sans-serif}}`,
				i, paper.css(), margin, cssText(strings.Join(p.says(), " · ")))
		}
		fmt.Fprintf(&names, ".piece%d{page:piece%d}", i, i)
	}
	return names.String() + fmt.Sprintf(`
body{font:9.5pt/1.3 "%s",Arial,Helvetica,sans-serif;color:#000;background:#fff;margin:0}
.piece+.piece{break-before:page}
h1{font-size:15pt;margin:0}h2{font-size:12pt;margin:4mm 0 1mm;break-after:avoid}
.under{color:#606060;margin:0 0 2mm;border-bottom:.4mm solid #000;padding-bottom:1mm}
.strong{border:.4mm solid #000;padding:1.4mm 2mm}
table{border-collapse:collapse;font-size:9pt;font-variant-numeric:tabular-nums;margin:2mm 0}
thead{display:table-header-group;border-bottom:.2mm solid #000}
tr{break-inside:avoid}
td,th{padding:.8mm 1.4mm;vertical-align:bottom;text-align:left}
td{border-bottom:.12mm solid #606060;vertical-align:top}
.n{text-align:right;white-space:nowrap}.m{white-space:nowrap}
th.n{white-space:normal}
.large tbody{font-size:%spt}.large td{padding:.2mm 1.4mm}
.drawing th{border:0;break-after:avoid;padding-bottom:0}.drawing figure{margin:1.6mm 0 0}
.section th{background:#ececec;break-after:avoid}
.sum td,.sum th{font-weight:bold;border-top:.2mm solid #000}
td input{margin:0;width:3.2mm;height:3.2mm}
figure{margin:3mm 0;break-inside:avoid}
figure svg,.label svg{max-width:100%%;height:auto;display:block}
.row{display:flex;flex-wrap:wrap;gap:0 %dmm}
.beside{display:flex;gap:%dmm;break-inside:avoid}
.abreast{display:flex;gap:%dmm;break-inside:avoid}.abreast>div{flex:1 1 0}
.lines{font-size:11pt;line-height:1.3}.lines .head{font-size:8.5pt}
.cards{display:grid;grid-template-columns:1fr}.cards4{grid-template-columns:1fr 1fr}.cards1 .card{break-after:page}
.card{border:.12mm solid #606060;padding:3mm 4mm;break-inside:avoid;min-width:0}.card p,.card ul,.card table,.card figure{margin:1mm 0}.card td,.card th{padding:.3mm 1.4mm}.card h2{margin:0}.card h3{font-size:11pt;margin:2mm 0 1mm}
.boxes{list-style:none;padding-left:0}
.sheet{position:relative;list-style:none;margin:0;padding:0;break-after:page}
.label{position:absolute}.label svg{max-width:none}
.aside{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%%);white-space:nowrap}
@media screen{main{max-width:%smm;margin:0 auto;padding:6mm}.piece+.piece{margin-top:12mm;border-top:1mm solid #000;padding-top:6mm}.sheet{outline:.2mm dashed #606060}}
`, Typeface, number(listSize/point), figureGap, figureGap, figureGap, number(paper.inner()))
}

// says gives what each page of a piece says at its foot in a browser.
func (p Piece) says() []string {
	if p.Foot == "" {
		return []string{p.Title, p.Under}
	}
	return []string{p.Title, p.Under, p.Foot}
}

// css names a paper as CSS does.
func (p Paper) css() string {
	if p.Name == "" {
		return number(p.Width) + "mm " + number(p.Height) + "mm"
	}
	return p.Name + " portrait"
}

// cssText puts text in the form of a CSS string within an HTML element.
func cssText(text string) string {
	return strings.NewReplacer(`\`, `\\`, `"`, `\"`, "<", `\3c `, "&", `\26 `).Replace(readable(text))
}

// labels gives a piece's labels, where it is one of labels.
func (p Piece) labels() (Labels, bool) {
	for _, b := range p.Blocks {
		if l, ok := b.(Labels); ok {
			return l, true
		}
	}
	return Labels{}, false
}

// htmlWriter writes pieces; it numbers drawings, so that each can be pointed at.
type htmlWriter struct {
	*strings.Builder
	drawings int
}

func (w *htmlWriter) put(format string, args ...any) { fmt.Fprintf(w, format, args...) }

// text gives text as HTML has it.
func text(s string) string { return html.EscapeString(readable(s)) }

func (w *htmlWriter) piece(p Piece, number int) {
	if labels, ok := p.labels(); ok {
		w.put("<section class=\"piece piece%d\" aria-labelledby=\"piece%d\">\n<h1 id=\"piece%d\" class=\"aside\">%s</h1>\n", number, number, number, text(p.Title))
		w.labelSheets(labels, p.Paper)
		w.put("</section>\n")
		return
	}
	w.put("<section class=\"piece piece%d\" aria-labelledby=\"piece%d\">\n<h1 id=\"piece%d\">%s</h1>\n<p class=\"under\">%s</p>\n", number, number, number, text(p.Title), text(p.Under))
	for _, b := range p.Blocks {
		w.block(b)
	}
	if p.Foot != "" {
		w.put("<p>%s</p>\n", text(p.Foot))
	}
	w.put("</section>\n")
}

func (w *htmlWriter) block(b Block) {
	switch b := b.(type) {
	case Heading:
		w.put("<h2>%s</h2>\n", text(b.Text))
	case Paragraph:
		class := ""
		if b.Strong {
			class = ` class="strong"`
		}
		w.put("<p%s>%s</p>\n", class, text(b.Text))
	case Bullets:
		w.bullets(b)
	case Figure:
		w.figure(b)
	case Figures:
		w.put("<div class=\"row\">\n")
		for _, f := range b {
			w.figure(f)
		}
		w.put("</div>\n")
	case Beside:
		w.put("<div class=\"beside\">\n")
		w.figure(b.Figure)
		w.put("<div>\n")
		for _, inner := range b.Blocks {
			w.block(inner)
		}
		w.put("</div>\n</div>\n")
	case Abreast:
		w.put("<div class=\"abreast\">\n")
		for _, column := range b {
			w.put("<div>\n")
			for _, inner := range column {
				w.block(inner)
			}
			w.put("</div>\n")
		}
		w.put("</div>\n")
	case Lines:
		w.put("<p class=\"lines\"><span class=\"head\">%s</span>", text(b.Head))
		for i, item := range b.Items {
			if item = text(item); i == 0 {
				item = "<strong>" + item + "</strong>"
			}
			w.put("<br>%s", item)
		}
		w.put("</p>\n")
	case Cards:
		w.put("<div class=\"cards cards%d\">\n", b.PerPage)
		for i, c := range b.Cards {
			w.card(c, i)
		}
		w.put("</div>\n")
	case Table:
		w.table(b)
	}
}

// card writes a card, which a page holds whole.
func (w *htmlWriter) card(c Card, number int) {
	w.put("<section class=\"card\" aria-labelledby=\"card%d\">\n<h2 id=\"card%d\">%s</h2>\n<p class=\"under\"><strong>%s</strong> %s</p>\n", number, number, text(c.Title), text(c.Aside), text(c.Under))
	for _, b := range c.Blocks {
		if h, ok := b.(Heading); ok {
			w.put("<h3>%s</h3>\n", text(h.Text))
			continue
		}
		w.block(b)
	}
	w.put("<p>%s</p>\n</section>\n", text(c.Foot))
}

func (w *htmlWriter) bullets(b Bullets) {
	if !b.Boxes {
		w.put("<ul>\n")
	} else {
		w.put("<ul class=\"boxes\">\n")
	}
	for _, item := range b.Items {
		if b.Boxes {
			w.put("<li><label><input type=\"checkbox\"> %s</label></li>\n", text(item))
		} else {
			w.put("<li>%s</li>\n", text(item))
		}
	}
	w.put("</ul>\n")
}

func (w *htmlWriter) figure(f Figure) { w.put("<figure>%s</figure>\n", w.svg(f)) }

func (w *htmlWriter) svg(f Figure) string {
	w.drawings++
	return f.Drawing.svg(f.Alt, fmt.Sprintf("drawing%d", w.drawings))
}

// classes of cells by the kind of their column.
var cellClasses = map[ColumnKind]string{Number: ` class="n"`, Mark: ` class="m"`}

func (w *htmlWriter) table(t Table) {
	class := ""
	if t.Size > cellSize {
		class = ` class="large"`
	}
	w.put("<table%s>\n<caption class=\"aside\">%s</caption>\n<thead><tr>", class, text(t.Caption))
	for _, c := range t.Columns {
		head := text(c.Head)
		if c.Unit != "" {
			head += " " + text(c.Unit)
		}
		switch {
		case c.Kind == Box:
			head = `<span class="aside">done</span>`
		case t.Bare:
			head = `<span class="aside">` + head + `</span>`
		}
		w.put(`<th scope="col"%s>%s</th>`, cellClasses[c.Kind], head)
	}
	w.put("</tr></thead>\n<tbody>\n")
	for _, r := range t.Rows {
		w.row(t, r)
	}
	w.put("</tbody>\n</table>\n")
}

func (w *htmlWriter) row(t Table, r Row) {
	switch {
	case r.Figure != nil:
		w.put("<tr class=\"drawing\"><th colspan=\"%d\" scope=\"colgroup\"><span class=\"aside\">%s</span><figure>%s</figure></th></tr>\n", len(t.Columns), text(r.Cells[0]), w.svg(*r.Figure))
		return
	case r.Section:
		w.put("<tr class=\"section\"><th colspan=\"%d\" scope=\"colgroup\">%s</th></tr>\n", len(t.Columns), text(r.Cells[0]))
		return
	case r.Note:
		w.put("<tr><th colspan=\"%d\" scope=\"colgroup\">%s</th></tr>\n", len(t.Columns), text(r.Cells[0]))
		return
	case r.Sum:
		w.put(`<tr class="sum">`)
	default:
		w.put(`<tr>`)
	}
	for i, c := range t.Columns {
		cell := text(r.Cells[i])
		switch {
		case r.Spoilt && cell != "":
			cell = "<s>" + cell + "</s>"
		case c.Kind == Box && !r.Sum && !r.Spoilt:
			ticked := ""
			if r.Ticked {
				ticked = " checked"
			}
			cell = fmt.Sprintf(`<input type="checkbox" aria-label="%s done"%s>`, text(r.Of), ticked)
		case r.strong(i) && cell != "" && !r.Sum:
			cell = "<strong>" + cell + "</strong>"
		}
		w.put("<td%s>%s</td>", cellClasses[c.Kind], cell)
	}
	w.put("</tr>\n")
}

// labelSheets writes labels where they lie on their sheets, sheet by sheet.
func (w *htmlWriter) labelSheets(l Labels, p Paper) {
	last := -1
	for n, item := range l.Items {
		sheet, at := l.Sheet.place(n)
		if sheet != last {
			if last >= 0 {
				w.put("</ul>\n")
			}
			w.put("<ul class=\"sheet\" aria-label=\"sheet %d\" style=\"width:%smm;height:%smm\">\n", sheet+1, number(p.Width), number(p.Height))
			last = sheet
		}
		w.put("<li class=\"label\" style=\"left:%smm;top:%smm\">%s</li>\n", number(at.X), number(at.Y), w.svg(item))
	}
	if last >= 0 {
		w.put("</ul>\n")
	}
}
