package manual

import (
	"fmt"
	"strings"

	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"

	"longpoint/cmd/longpoint/text"
)

// Man is a manual page in the making, in roff as man(7) describes it. Text is set in short lines, as its readers and writers
// expect.
type Man struct{ strings.Builder }

// manWidth is how wide lines of roff are, and examples and tables in a page.
const manWidth = 72

// NewMan begins a manual page: its name, as a command or a topic, and in one line what it is about.
func NewMan(name, about string, section int, date, version string) *Man {
	m := &Man{}
	fmt.Fprintf(m, ".TH %s %d %s \"Longpoint %s\" Longpoint\n", strings.ToUpper(name), section, date, version)
	m.Heading("NAME")
	m.text(name + ` \- ` + escaped(about))
	return m
}

// Heading begins a section.
func (m *Man) Heading(words string) { fmt.Fprintf(m, ".SH %s\n", argument(words)) }

// Paragraph sets running text.
func (m *Man) Paragraph(words string) {
	m.open()
	m.text(escaped(words))
}

// open begins a paragraph, unless a heading, which does so, has just been set.
func (m *Man) open() {
	lines := strings.Split(strings.TrimSuffix(m.String(), "\n"), "\n")
	if last := lines[len(lines)-1]; !strings.HasPrefix(last, ".S") {
		m.WriteString(".PP\n")
	}
}

// Item sets text beside a tag, as for an option.
func (m *Man) Item(tag, words string) {
	fmt.Fprintf(m, ".TP\n%s\n", safe(escaped(tag)))
	m.text(escaped(words))
}

// Verbatim sets lines as they stand.
func (m *Man) Verbatim(lines string) {
	m.open()
	m.WriteString(".nf\n")
	for line := range strings.SplitSeq(strings.Trim(lines, "\n"), "\n") {
		if line = strings.TrimRight(line, " "); line == "" {
			line = `\&` // an empty line of roff is another thing
		}
		m.WriteString(safe(strings.ReplaceAll(escaped(line), `\e&`, `\&`)) + "\n")
	}
	m.WriteString(".fi\n")
}

// text sets words that are escaped.
func (m *Man) text(words string) {
	for line := range strings.Lines(text.Paragraph(words, "", manWidth)) {
		m.WriteString(safe(line))
	}
}

// escaped writes text so that roff shows it as it is.
func escaped(words string) string {
	return strings.NewReplacer(`\`, `\e`, "-", `\-`, together, " ").Replace(words)
}

// safe keeps roff from taking a line of text for a request.
func safe(line string) string {
	if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
		return `\&` + line
	}
	return line
}

// argument writes text as one argument of a request.
func argument(words string) string {
	return `"` + strings.ReplaceAll(escaped(words), `"`, `\(dq`) + `"`
}

// Man gives a topic as a manual page of section 7.
func (t Topic) Man(date, version string) []byte {
	m := NewMan("longpoint-"+t.Name, t.About, 7, date, version)
	m.Heading("DESCRIPTION")
	root, source := t.parse()
	s := setter{source: source}
	m.blocks(s, root)
	return []byte(m.String())
}

// blocks sets what stands in a node.
func (m *Man) blocks(s setter, parent ast.Node) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Heading:
			if n.Level > 1 {
				fmt.Fprintf(m, ".SS %s\n", argument(s.inline(n)))
			}
		case *ast.Paragraph:
			m.Paragraph(s.inline(n))
		case *ast.TextBlock:
			m.text(escaped(s.inline(n)))
		case *ast.List:
			m.list(s, n)
		case *ast.FencedCodeBlock:
			m.Verbatim(s.code(n, "", manWidth))
		case *east.Table:
			m.Verbatim(s.table(n, "", manWidth))
		default:
			panic(fmt.Sprintf("manual: no way to set a %s in a manual page", n.Kind())) // a slip of ours, which the tests see
		}
	}
}

// list sets a list, with dots or numbers.
func (m *Man) list(s setter, l *ast.List) {
	number := l.Start
	for item := l.FirstChild(); item != nil; item = item.NextSibling() {
		mark := `\(bu`
		if l.IsOrdered() {
			mark = fmt.Sprintf("%d.", number)
			number++
		}
		fmt.Fprintf(m, ".IP %s 4\n", mark)
		for n := item.FirstChild(); n != nil; n = n.NextSibling() {
			if inner, ok := n.(*ast.List); ok {
				m.WriteString(".RS 4\n")
				m.list(s, inner)
				m.WriteString(".RE\n")
			} else {
				m.text(escaped(s.inline(n)))
			}
		}
	}
}
