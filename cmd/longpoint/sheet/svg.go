package sheet

import (
	"fmt"
	"html"
	"strconv"
	"strings"
)

// SVG gives the drawing as an SVG document of its size in millimetres. Alt says in words what it shows. Shapes with
// something to say of themselves carry it in data-about.
func (d *Drawing) SVG(alt string) []byte {
	const paperIsWhite = `<svg style="background:#ffffff"` // whatever it is shown on
	return []byte(`<?xml version="1.0" encoding="UTF-8"?>` + "\n" + strings.Replace(d.svg(alt, ""), "<svg", paperIsWhite, 1) + "\n")
}

// Inline gives the figure as an element of a page that holds other things too, where no other element has this id.
func (f Figure) Inline(id string) string { return f.Drawing.svg(f.Alt, id) }

// svg gives the svg element, with an id that its title can be pointed at by, and no two alike in a page.
func (d *Drawing) svg(alt, id string) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img"`,
		number(d.Width), number(d.Height), number(d.Width), number(d.Height))
	if id != "" {
		fmt.Fprintf(&b, ` aria-labelledby="%s"><title id="%s">%s</title>`, id, id, html.EscapeString(readable(alt)))
	} else {
		fmt.Fprintf(&b, `><title>%s</title>`, html.EscapeString(readable(alt)))
	}
	fmt.Fprintf(&b, `<g font-family="'%s',Arial,Helvetica,sans-serif" stroke-linejoin="miter" fill="none">`, Typeface)
	for _, m := range d.marks {
		b.WriteByte('\n')
		if code, ok := m.(pattern); ok {
			m = code.area()
		}
		switch m := m.(type) {
		case area:
			fmt.Fprintf(&b, `<path fill="%s"%s d="%s"/>`, m.Ink.hex(), about(m.About), pathOf(m.Outlines, true))
		case strokes:
			dash := ""
			if m.Dash > 0 {
				dash = fmt.Sprintf(` stroke-dasharray="%s"`, number(m.Dash))
			}
			fmt.Fprintf(&b, `<path stroke="%s" stroke-width="%s"%s%s d="%s"/>`, m.Ink.hex(), number(m.Width), dash, about(m.About), pathOf(m.Lines, false))
		case words:
			b.WriteString(m.svg())
		}
	}
	b.WriteString("</g></svg>")
	return b.String()
}

// svg gives the text element. Its width is that of our own Typeface, whatever Typeface the reader has.
func (w words) svg() string {
	anchor := [...]string{"start", "middle", "end"}[w.Align]
	weight, turn := "", ""
	if w.Bold {
		weight = ` font-weight="bold"`
	}
	if w.Turned {
		turn = fmt.Sprintf(` transform="rotate(-90 %s %s)"`, number(w.At.X), number(w.At.Y))
	}
	return fmt.Sprintf(`<text x="%s" y="%s" font-size="%s" text-anchor="%s" fill="%s"%s%s textLength="%s" lengthAdjust="spacingAndGlyphs">%s</text>`,
		number(w.At.X), number(w.At.Y), number(w.Size), anchor, w.Ink.hex(), weight, turn,
		number(widthOf(w.Text, w.Size, w.Bold)), html.EscapeString(w.Text))
}

// about gives the attribute that says what a shape shows.
func about(text string) string {
	if text == "" {
		return ""
	}
	return fmt.Sprintf(` data-about="%s"`, html.EscapeString(text))
}

// pathOf gives the lines as path data.
func pathOf(lines [][]Point, closed bool) string {
	var b strings.Builder
	for _, line := range lines {
		for i, p := range line {
			if i == 0 {
				b.WriteByte('M')
			} else {
				b.WriteByte('L')
			}
			b.WriteString(number(p.X) + " " + number(p.Y))
		}
		if closed {
			b.WriteByte('Z')
		}
	}
	return b.String()
}

// number gives a coordinate to a micrometre.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// hex gives an ink as CSS writes it.
func (k Ink) hex() string { return fmt.Sprintf("#%02x%02x%02x", k.R, k.G, k.B) }
