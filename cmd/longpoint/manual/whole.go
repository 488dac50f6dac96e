package manual

import (
	_ "embed"
	"fmt"
	"html"
	"strings"

	"longpoint/cmd/longpoint/sheet"
)

//go:embed whole.css
var wholeStyle string

// WholeTitle is the title of the manual as one document.
const WholeTitle = "Longpoint: the manual"

// HTML gives the whole manual as one page for a browser, of this version of the program. Style and pictures are in it; it has no
// scripts and loads nothing.
func HTML(version string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, `<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="Longpoint">
<title>%s</title>
<style>
%s</style>
</head>
<body>
<header>
<h1 id="top">%s</h1>
<p>Of version %s. Look here first: <a href="#questions">what do you want to know?</a></p>
</header>
`, WholeTitle, wholeStyle, WholeTitle, html.EscapeString(version))
	contents(&b)
	b.WriteString("<main>\n")
	pictures := 0
	web := Web{Title: 2,
		Link: func(topic, part string) string { return "#" + wholeID(topic, part) },
		ID:   wholeID,
		Picture: func(_, file, alt string) string {
			pictures++
			figure := drawing(file)
			figure.Alt = alt
			return `<span class="picture">` + figure.Inline(fmt.Sprintf("picture-%d", pictures)) + `</span>`
		},
	}
	for _, t := range Topics() {
		fmt.Fprintf(&b, "<section aria-labelledby=\"%s\">\n%s<p class=\"up\"><a href=\"#contents\">Contents</a></p>\n</section>\n", wholeID(t.Name, ""), t.HTML(web))
	}
	b.WriteString("</main>\n</body>\n</html>\n")
	return []byte(b.String())
}

// wholeID is the id of a topic or a part of it in the whole manual.
func wholeID(topic, part string) string {
	if part == "" {
		return topic
	}
	return topic + "-" + part
}

// contents lists topics and their parts.
func contents(b *strings.Builder) {
	b.WriteString("<nav aria-labelledby=\"contents\">\n<h2 id=\"contents\">Contents</h2>\n<ol>\n")
	for _, t := range Topics() {
		fmt.Fprintf(b, `<li><a href="#%s">%s</a>`, t.Name, html.EscapeString(t.Title))
		begun := false
		for _, p := range t.Parts() {
			if p.Level > 2 {
				continue
			}
			if !begun {
				b.WriteString("\n<ul>")
				begun = true
			}
			fmt.Fprintf(b, "\n"+`<li><a href="#%s">%s</a></li>`, html.EscapeString(wholeID(t.Name, p.Name)), html.EscapeString(p.Title))
		}
		if begun {
			b.WriteString("\n</ul>\n")
		}
		b.WriteString("</li>\n")
	}
	b.WriteString("</ol>\n</nav>\n")
}

// drawing reads a picture of the topics as a drawing.
func drawing(file string) sheet.Figure {
	data, ok := Picture(file)
	if !ok {
		panic("manual: there is no picture " + file) // a slip of ours, which the tests see
	}
	figure, err := sheet.ReadSVG(data)
	if err != nil {
		panic("manual: " + file + ": " + err.Error()) // likewise
	}
	return figure
}
