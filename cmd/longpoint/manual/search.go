package manual

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"github.com/yuin/goldmark/ast"
	east "github.com/yuin/goldmark/extension/ast"
)

// Refusal is an entry of the manual on what the program says when it cannot go on. It stands in a topic as a block of code of the
// language says, a sentence a line, and the paragraph after it. In a sentence … stands for what differs from time to time.
type Refusal struct {
	Says  []string
	Why   string // and what to do, as plain text
	Topic string
	Part  string // the title of the part of the topic that it stands in
}

// Refusals gives all entries, in the order of the topics.
func Refusals() (all []Refusal) {
	for _, t := range Topics() {
		root, source := t.parse()
		s, part := setter{source: source}, ""
		for n := root.FirstChild(); n != nil; n = n.NextSibling() {
			switch n := n.(type) {
			case *ast.Heading:
				part = s.inline(n)
			case *ast.FencedCodeBlock:
				if language, _ := blockInfo(n, source); language == "says" {
					entry := Refusal{Topic: t.Name, Part: part, Says: strings.Split(strings.TrimSpace(s.code(n, "", len(source))), "\n")}
					if why, ok := n.NextSibling().(*ast.Paragraph); ok {
						entry.Why = strings.ReplaceAll(s.inline(why), together, " ")
					}
					all = append(all, entry)
				}
			}
		}
	}
	return all
}

// Explanation is an entry that explains what was said.
type Explanation struct {
	Refusal
	Sentence string // the one of its sentences that was said
}

// Explain gives the entries of which a sentence is part of what was said, those first of which most of the words are fixed.
func Explain(said string) (found []Explanation) {
	for _, r := range Refusals() {
		fits := Explanation{Refusal: r}
		for _, sentence := range r.Says {
			if fixedLetters(sentence) > fixedLetters(fits.Sentence) && sentencePattern(sentence).MatchString(said) {
				fits.Sentence = sentence
			}
		}
		if fits.Sentence != "" {
			found = append(found, fits)
		}
	}
	slices.SortStableFunc(found, func(a, b Explanation) int { return fixedLetters(b.Sentence) - fixedLetters(a.Sentence) })
	return found
}

// sentencePattern finds a sentence in what was said.
func sentencePattern(sentence string) *regexp.Regexp {
	parts := strings.Split(sentence, "…")
	for i, part := range parts {
		parts[i] = regexp.QuoteMeta(part)
	}
	return regexp.MustCompile(strings.Join(parts, ".+?"))
}

// fixedLetters counts the letters of a sentence that are always the same.
func fixedLetters(sentence string) (n int) {
	for _, r := range sentence {
		if unicode.IsLetter(r) {
			n++
		}
	}
	return n
}

// Place is where the manual speaks of something.
type Place struct {
	Topic Topic
	Part  string // the title of its part; empty: before the first
	Line  string // the paragraph, row or heading that has the words, as plain text
}

// Search gives the places that have all the words, and which words those are: where no place has all, the shortest are left out.
func Search(words string) (places []Place, found []string) {
	found = strings.FieldsFunc(strings.ToLower(words), notOfWord)
	for places = search(found); len(places) == 0 && len(found) > 1; places = search(found) {
		shortest := slices.MinFunc(found, func(a, b string) int { return len(a) - len(b) })
		found = slices.Delete(found, slices.Index(found, shortest), slices.Index(found, shortest)+1)
	}
	return places, found
}

// search gives the places that have all the words, in whichever case and as beginnings of words: first topics and parts that are
// called so, then places that speak of them, one a part.
func search(wanted []string) (places []Place) {
	var spoken []Place
	for _, t := range Topics() {
		root, source := t.parse()
		s, part, seen := setter{source: source}, "", false
		for n := root.FirstChild(); n != nil; n = n.NextSibling() {
			if h, ok := n.(*ast.Heading); ok {
				part, seen = "", false
				if h.Level > 1 {
					part = plainWords(s.inline(h))
				}
				if hasWords(s.inline(h), wanted) {
					places, seen = append(places, Place{t, part, plainWords(s.inline(h))}), true
				}
				continue
			}
			for _, line := range s.linesOf(n) {
				if !seen && hasWords(line, wanted) {
					spoken, seen = append(spoken, Place{t, part, plainWords(line)}), true
				}
			}
		}
	}
	return append(places, spoken...)
}

func notOfWord(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' }

func plainWords(text string) string { return strings.ReplaceAll(text, together, " ") }

// hasWords tells whether a text has words that begin so.
func hasWords(text string, wanted []string) bool {
	there := strings.FieldsFunc(strings.ToLower(plainWords(text)), notOfWord)
	for _, w := range wanted {
		if !slices.ContainsFunc(there, func(word string) bool { return strings.HasPrefix(word, w) }) {
			return false
		}
	}
	return len(wanted) > 0
}

// linesOf gives a block's paragraphs and rows of tables as plain text. Examples say nothing that the words round them do not.
func (s setter) linesOf(n ast.Node) (lines []string) {
	switch n := n.(type) {
	case *ast.Paragraph, *ast.TextBlock:
		return []string{s.inline(n)}
	case *east.TableHeader, *east.TableRow:
		var cells []string
		for cell := n.FirstChild(); cell != nil; cell = cell.NextSibling() {
			if words := s.cell(cell); words != "" {
				cells = append(cells, words)
			}
		}
		return []string{strings.Join(cells, ": ")}
	}
	for child := n.FirstChild(); child != nil; child = child.NextSibling() {
		lines = append(lines, s.linesOf(child)...)
	}
	return lines
}
