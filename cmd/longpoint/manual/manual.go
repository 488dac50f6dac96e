// Package manual holds the help topics: Markdown files, built into the program, each about one thing that a user looks up.
// A topic's file is named after it. Its first line is the title, its first paragraph says in one short line what the topic
// is about, and the rest is the topic. A link to proof.md means the topic proof.
//
// The files are written to be read in three places: in a browser on the web, as they stand; in the terminal, which
// Terminal does; and as pages of our own server, for which Markdown gives the text. Every example in them is typed in by
// a test of the program.
package manual

import (
	"embed"
	"fmt"
	"slices"
	"strings"
)

//go:embed *.md *.svg
var files embed.FS

// names is the order in which topics are listed: what a newcomer reads first comes first.
var names = []string{"start", "questions", "week", "words", "cautions", "tables", "lengths", "machines", "measuring", "reading", "money", "proof", "paper", "mishaps",
	"book", "backup", "page", "refused", "refused-tables", "refused-plan", "refused-book", "refused-page", "refused-command"}

// Topic is one help topic.
type Topic struct {
	Name     string // what the user types
	Title    string
	About    string // one short line, without a full stop
	Markdown string // all of it, title included
}

// Topics gives all topics, in the order of a list.
func Topics() []Topic {
	all := make([]Topic, len(names))
	for i, name := range names {
		all[i] = read(name)
	}
	return all
}

// Listed gives the topics without those that are parts of another, such as refused-book: that one leads to them.
func Listed() []Topic {
	return slices.DeleteFunc(Topics(), func(t Topic) bool { return strings.Contains(t.Name, "-") })
}

// Find gives the topic of that name.
func Find(name string) (Topic, bool) {
	if !slices.Contains(names, name) {
		return Topic{}, false
	}
	return read(name), true
}

// read reads a topic that is known to be there.
func read(name string) Topic {
	data, err := files.ReadFile(name + ".md")
	if err != nil {
		panic(err) // the files are built into the program
	}
	text := string(data)
	title, rest, _ := strings.Cut(text, "\n\n")
	about, _, _ := strings.Cut(rest, "\n\n")
	heading, ok := strings.CutPrefix(title, "# ")
	if !ok {
		panic(fmt.Sprintf("manual: topic %s has no title", name)) // a slip of ours, which the tests see
	}
	return Topic{Name: name, Title: heading, About: strings.TrimSuffix(about, "."), Markdown: text}
}

// Picture gives a picture of the topics by its file's name.
func Picture(name string) ([]byte, bool) {
	if !strings.HasSuffix(name, ".svg") {
		return nil, false
	}
	data, err := files.ReadFile(name)
	return data, err == nil
}
