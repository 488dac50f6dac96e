package manual

import (
	"io/fs"
	"slices"
	"strings"
	"testing"
)

func TestTopics(t *testing.T) {
	entries, err := fs.Glob(files, "*.md")
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != len(Topics()) {
		t.Errorf("%d files and %d topics", len(entries), len(Topics()))
	}
	for _, topic := range Topics() {
		if found, ok := Find(topic.Name); !ok || found != topic {
			t.Errorf("topic %s is not found", topic.Name)
		}
		if n := len([]rune(topic.About)); n == 0 || n > 68 || strings.Contains(topic.About, "\n") {
			t.Errorf("topic %s: what it is about is no short line: %q", topic.Name, topic.About)
		}
	}
	if _, ok := Find("nothing"); ok {
		t.Error("a topic is found that there is not")
	}
}

// TestLinks looks for the topics, and the parts of them, that topics point at.
func TestLinks(t *testing.T) {
	for _, topic := range Topics() {
		for _, part := range strings.Split(topic.Markdown, "](")[1:] {
			destination, _, _ := strings.Cut(part, ")")
			name, part, isTopic := target(destination)
			there, ok := Find(name)
			hasPart := part == "" || slices.ContainsFunc(there.Parts(), func(p Part) bool { return p.Name == part })
			if isTopic && (!ok || !hasPart) {
				t.Errorf("topic %s points at %s", topic.Name, destination)
			}
		}
		seen := map[string]bool{}
		for _, p := range topic.Parts() {
			if seen[p.Name] {
				t.Errorf("topic %s has two parts %s", topic.Name, p.Name)
			}
			seen[p.Name] = true
		}
	}
}

func TestTerminal(t *testing.T) {
	const markdown = `# A title

What it is about now, with ` + "`longpoint plan`, `width`, `--out` and `16 1/2\"`" + `, *such* as [lengths](lengths.md), **bold** or
[a page](https://example.com/).

## Part

1. one thing that is long enough to be wrapped
2. another

- loose

- list
  - within a list

| name | n | meaning of the name |
| --- | ---: | --- |
| ` + "`width`" + ` | 5 | across the face, from the back edge to the sight edge of a moulding |
| b | 10 | short |

` + "```text\n  as it stands\n\nbut a line that is longer than the page is wide is wrapped\n```" + `

![a stick](stick.svg)
`
	const want = `A title
═══════

What it is about now, with
"longpoint plan", "width", --out and
16 1/2", "such" as
"longpoint help lengths", bold or a page
(https://example.com/).

Part
────

1. one thing that is long enough to be
   wrapped
2. another

- loose

- list

  - within a list

name    n  meaning of the name
────────────────────────────────────────
width   5  across the face, from the
           back edge to the sight edge
           of a moulding

b      10  short

  as it stands

but a line that is longer than the page
  is wide is wrapped

[Picture: a stick]
`
	if got := Terminal(Topic{Markdown: markdown}, 40); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestColumnWidths shows that no word is broken, and that a column takes no more than it needs.
func TestColumnWidths(t *testing.T) {
	for _, c := range []struct {
		name  string
		row   []string
		width int
		want  []int
	}{
		{"room for all", []string{"ab", "abc d"}, 20, []int{2, 5}},
		{"the longer one wraps", []string{"ab", "abc def ghi"}, 10, []int{2, 6}},
		{"both wrap evenly", []string{"ab cd ef gh", "abc def ghi"}, 12, []int{5, 5}},
		{"a long word takes its room", []string{"abcdefgh i", "a b c d e f g h"}, 14, []int{8, 4}},
	} {
		got := columnWidths([][]string{c.row}, c.width)
		if len(got) != 2 || got[0] != c.want[0] || got[1] != c.want[1] {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
