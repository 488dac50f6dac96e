package manual

import (
	"strings"
	"unicode"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	mdtext "github.com/yuin/goldmark/text"
)

// markdown reads what topics are written in: CommonMark and tables.
var markdown = goldmark.New(goldmark.WithExtensions(extension.Table))

// parse takes a topic apart.
func (t Topic) parse() (root ast.Node, source []byte) {
	source = []byte(t.Markdown)
	return markdown.Parser().Parse(mdtext.NewReader(source)), source
}

// Part is a part of a topic, under a heading of its own.
type Part struct {
	Name  string // by which links point at it
	Title string
	Level int // of the heading: 2 or 3
}

// Parts gives the parts of a topic, in its order.
func (t Topic) Parts() (parts []Part) {
	root, source := t.parse()
	for n := root.FirstChild(); n != nil; n = n.NextSibling() {
		if h, ok := n.(*ast.Heading); ok && h.Level > 1 {
			words := setter{source: source}.inline(h)
			parts = append(parts, Part{partName(words), words, h.Level})
		}
	}
	return parts
}

// partName makes a heading's words into the name that links use, the same that Git's web pages give it: small letters and
// figures, hyphens for blanks.
func partName(words string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == ' ' || r == '-':
			return '-'
		case unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_':
			return unicode.ToLower(r)
		}
		return -1
	}, words)
}

// target takes a link apart: the topic that it leads to and the part of it, where it leads to a topic.
func target(destination string) (topic, part string, ok bool) {
	file, part, _ := strings.Cut(destination, "#")
	topic, ok = strings.CutSuffix(file, ".md")
	return topic, part, ok
}
