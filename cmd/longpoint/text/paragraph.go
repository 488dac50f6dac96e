// Package text has the words that screen, page and terminal share, and sets words for a terminal.
package text

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Paragraph wraps words at so many columns and ends with a line end. Every line but the first begins with indent. A number
// stays on one line with a short word after it, its unit. A word that is longer than a line is left whole, and so is a command to type, to be copied.
func Paragraph(words, indent string, width int) string {
	words = toType.ReplaceAllStringFunc(words, func(command string) string {
		last := strings.TrimRight(command, " ")
		first := strings.TrimLeft(last, ": ")
		return last[:len(last)-len(first)] + strings.ReplaceAll(first, " ", unbroken) + command[len(last):]
	})
	var b strings.Builder
	at := 0
	for i, word := range withUnits(strings.Fields(words)) {
		long := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case at+1+long > width:
			b.WriteString("\n" + indent)
			at = utf8.RuneCountInString(indent)
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += long
	}
	return strings.ReplaceAll(b.String(), unbroken, " ") + "\n"
}

// toType finds the commands of this program in a text: in quotation marks, or from a colon on to the end of the sentence.
var toType = regexp.MustCompile(strings.ReplaceAll(`"program [^"]*"|: program [a-z][^;"]*?(?:\. |;|$)`, "program", "longpoint"))

// unbroken stands for a blank at which no line ends, and is in no text (a character for private use).
const unbroken = "\ue000"

// withUnits joins each number with the unit after it.
func withUnits(words []string) (out []string) {
	const unit = 4 // bytes: "mm", "EUR", "in."
	for _, word := range words {
		if last := len(out) - 1; last >= 0 && len(word) <= unit && unicode.IsDigit(rune(out[last][len(out[last])-1])) {
			out[last] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}
