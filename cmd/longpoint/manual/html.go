package manual

import (
	"bytes"
	"errors"
	"fmt"
	"html"
	"strings"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	east "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/renderer"
	mdhtml "github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/util"
)

// Web says how a topic is set for a browser.
type Web struct {
	Link    func(topic, part string) string      // the address of a topic, or of a part of it
	ID      func(topic, part string) string      // the id of the same; it is unique in its page
	Picture func(topic, file, alt string) string // the element that shows a picture
	Title   int                                  // the level of a topic's title; 0: the page shows it by itself
}

// HTML sets a topic for a browser. What may be wider than a narrow screen can be moved with the keys too.
func (t Topic) HTML(w Web) []byte {
	root, source := t.parse()
	if first := root.FirstChild(); w.Title == 0 {
		root.RemoveChild(root, first)
	}
	s := &webSetter{Web: w, topic: t.Name, words: setter{source: source}}
	r := renderer.NewRenderer(renderer.WithNodeRenderers(util.Prioritized(s, 100),
		util.Prioritized(extension.NewTableHTMLRenderer(extension.WithTableCellAlignMethod(extension.TableCellAlignNone)), 500),
		util.Prioritized(mdhtml.NewRenderer(), 1000)))
	var b bytes.Buffer
	if err := errors.Join(markCells(root), r.Render(&b, source, root)); err != nil {
		panic(err) // a buffer takes all, and the topics are ours
	}
	return b.Bytes()
}

// webSetter sets the nodes that goldmark sets otherwise.
type webSetter struct {
	Web
	topic  string
	words  setter
	tables int
}

// RegisterFuncs names them.
func (s *webSetter) RegisterFuncs(r renderer.NodeRendererFuncRegisterer) {
	r.Register(ast.KindHeading, s.heading)
	r.Register(ast.KindLink, s.link)
	r.Register(ast.KindImage, s.image)
	r.Register(ast.KindFencedCodeBlock, s.code)
	r.Register(east.KindTable, s.table)
}

func (s *webSetter) heading(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	h := n.(*ast.Heading)
	level := h.Level + max(s.Title, 1) - 1
	if !entering {
		fmt.Fprintf(w, "</h%d>\n", level)
		return ast.WalkContinue, nil
	}
	part := ""
	if h.Level > 1 {
		part = partName(s.words.inline(h))
	}
	fmt.Fprintf(w, `<h%d id="%s">`, level, html.EscapeString(s.ID(s.topic, part)))
	return ast.WalkContinue, nil
}

func (s *webSetter) link(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		fmt.Fprint(w, "</a>")
		return ast.WalkContinue, nil
	}
	address := string(n.(*ast.Link).Destination)
	if topic, part, ok := target(address); ok {
		address = s.Link(topic, part)
	}
	fmt.Fprintf(w, `<a href="%s">`, html.EscapeString(address))
	return ast.WalkContinue, nil
}

func (s *webSetter) image(w util.BufWriter, _ []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		fmt.Fprint(w, s.Picture(s.topic, string(n.(*ast.Image).Destination), s.words.inline(n)))
	}
	return ast.WalkSkipChildren, nil
}

// code sets a block of code. A file's has its name over it.
func (s *webSetter) code(w util.BufWriter, source []byte, n ast.Node, entering bool) (ast.WalkStatus, error) {
	if !entering {
		return ast.WalkContinue, nil
	}
	block := n.(*ast.FencedCodeBlock)
	language, file := blockInfo(block, source)
	if file != "" {
		fmt.Fprintf(w, "<p class=\"file\">%s</p>\n", html.EscapeString(file))
	}
	fmt.Fprintf(w, `<pre class="%s" tabindex="0"><code>`, html.EscapeString(language))
	for i := range block.Lines().Len() {
		segment := block.Lines().At(i)
		line := html.EscapeString(string(segment.Value(source)))
		if language == "console" && strings.HasPrefix(line, "$ ") {
			line = "<b>" + strings.TrimSuffix(line, "\n") + "</b>\n"
		}
		fmt.Fprint(w, line)
	}
	fmt.Fprint(w, "</code></pre>\n")
	return ast.WalkContinue, nil
}

// blockInfo says what a block of code is: its language, and the file that it is, where it is one.
func blockInfo(block *ast.FencedCodeBlock, source []byte) (language, file string) {
	if block.Info == nil {
		return "text", ""
	}
	language, file, _ = strings.Cut(string(block.Info.Value(source)), " ")
	return language, file
}

// table puts a table into a box that can be moved.
func (s *webSetter) table(w util.BufWriter, _ []byte, _ ast.Node, entering bool) (ast.WalkStatus, error) {
	if entering {
		s.tables++
		fmt.Fprintf(w, "<section class=\"wide\" tabindex=\"0\" aria-label=\"%s, table %d\">\n<table>\n", html.EscapeString(s.topic), s.tables)
	} else {
		fmt.Fprint(w, "</table>\n</section>\n")
	}
	return ast.WalkContinue, nil
}

// markCells gives the cells of tables what style and screen readers go by: columns of numbers the class n, heads their scope.
func markCells(root ast.Node) error {
	return ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if cell, ok := n.(*east.TableCell); ok && entering {
			if cell.Alignment == east.AlignRight {
				cell.SetAttributeString("class", "n")
			}
			if cell.Parent().Kind() == east.KindTableHeader {
				cell.SetAttributeString("scope", "col")
			}
		}
		return ast.WalkContinue, nil
	})
}
