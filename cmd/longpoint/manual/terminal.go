package manual

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"

	"longpoint/cmd/longpoint/text"
)

// Terminal sets a topic as plain text, at most so many columns wide.
func Terminal(t Topic, width int) string {
	doc, source := t.parse()
	s := setter{source: source}
	return strings.ReplaceAll(s.blocks(doc, "", width), together, " ")
}

// together stands for a blank at which no line is broken: one within a command or a name that fits a line's half.
const together = "\x00"

// unbroken keeps a short text on one line.
func unbroken(words string) string {
	const half = 32
	if len(words) > half {
		return words
	}
	return strings.ReplaceAll(words, " ", together)
}

// setter sets the nodes of one document.
type setter struct{ source []byte }

// blocks sets what stands in a node, each block after a blank line, every line indented.
func (s setter) blocks(parent ast.Node, indent string, width int) string {
	var b strings.Builder
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		if n != parent.FirstChild() {
			b.WriteString("\n")
		}
		b.WriteString(s.block(n, indent, width))
	}
	return b.String()
}

// block sets one block; each of its lines ends with a line end.
func (s setter) block(n ast.Node, indent string, width int) string {
	switch n := n.(type) {
	case *ast.Heading:
		words := s.inline(n)
		rule := "─"
		if n.Level == 1 {
			rule = "═"
		}
		return indent + words + "\n" + indent + strings.Repeat(rule, utf8.RuneCountInString(words)) + "\n"
	case *ast.Paragraph, *ast.TextBlock:
		return indent + text.Paragraph(s.inline(n), indent, width-len(indent))
	case *ast.List:
		return s.list(n, indent, width)
	case *ast.FencedCodeBlock:
		return s.code(n, indent, width)
	case *east.Table:
		return s.table(n, indent, width)
	}
	panic(fmt.Sprintf("manual: no way to set a %s in a terminal", n.Kind()))
}

// list sets a list, tight or loose, with dashes or numbers.
func (s setter) list(l *ast.List, indent string, width int) string {
	var b strings.Builder
	number := l.Start
	for item := l.FirstChild(); item != nil; item = item.NextSibling() {
		mark := "- "
		if l.IsOrdered() {
			mark = fmt.Sprintf("%d. ", number)
			number++
		}
		if item != l.FirstChild() && !l.IsTight {
			b.WriteString("\n")
		}
		hang := indent + strings.Repeat(" ", len(mark))
		b.WriteString(indent + mark + strings.TrimPrefix(s.blocks(item, hang, width), hang))
	}
	return b.String()
}

// code sets a block of code as it stands. Only lines that are too long are wrapped, as a terminal would.
func (s setter) code(n *ast.FencedCodeBlock, indent string, width int) string {
	var b strings.Builder
	for i := range n.Lines().Len() {
		segment := n.Lines().At(i)
		line := strings.TrimRight(indent+string(segment.Value(s.source)), "\n ")
		if utf8.RuneCountInString(line) > width {
			line = strings.TrimSuffix(indent+text.Paragraph(line, indent+"  ", width), "\n")
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}

// inline gives a node's words as plain text.
func (s setter) inline(parent ast.Node) string {
	var b strings.Builder
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Text:
			b.Write(n.Value(s.source))
			if n.SoftLineBreak() || n.HardLineBreak() {
				b.WriteByte(' ')
			}
		case *ast.CodeSpan:
			b.WriteString(unbroken(quoted(s.inline(n))))
		case *ast.Emphasis:
			b.WriteString(stressed(s.inline(n), n.Level))
		case *ast.AutoLink:
			b.Write(n.URL(s.source))
		case *ast.Link:
			b.WriteString(link(s.inline(n), string(n.Destination)))
		case *ast.Image:
			b.WriteString("[Picture: " + s.inline(n) + "]")
		default:
			panic(fmt.Sprintf("manual: no way to set a %s in a terminal", n.Kind()))
		}
	}
	return b.String()
}

// link says where a link leads: its words, unless they are a topic's name, and what to type for the topic, or the address.
func link(words, destination string) string {
	if topic, _, ok := target(destination); ok {
		command := unbroken(`"longpoint help ` + topic + `"`)
		if words == topic {
			return command
		}
		return words + " (" + command + ")"
	}
	return words + " (" + destination + ")"
}

// stressed puts quotation marks round a word that is spoken of. What is printed bold begins a line and needs none.
func stressed(words string, level int) string {
	if level == 1 {
		return `"` + words + `"`
	}
	return words
}

// quoted puts quotation marks round what would otherwise be read as words of the sentence: commands, and names made of
// letters only. What has a quotation mark in it, such as a length in inches, is left as it is.
func quoted(code string) string {
	alike := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsSpace(r) }
	if strings.Contains(code, `"`) || strings.HasPrefix(code, "-") ||
		!strings.Contains(code, " ") && strings.IndexFunc(code, func(r rune) bool { return !alike(r) }) >= 0 {
		return code
	}
	return `"` + code + `"`
}
