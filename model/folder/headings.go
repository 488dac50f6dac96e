package folder

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/table"
)

// OwnHeadings reads what was typed of a table's headings, over what is known of them.
func OwnHeadings(is []string, of string, known model.Headings) (model.Headings, error) {
	if len(is) > 0 && of == "" {
		return known, badUsage("--is: it is not said whose headings these are", "add --as with "+table.Either(TableNames()))
	}
	columns := append(Columns(of), model.NoColumn)
	for _, pair := range is {
		heading, column := "", ""
		if at := strings.LastIndex(pair, "="); at > 0 {
			heading, column = strings.TrimSpace(pair[:at]), strings.TrimSpace(pair[at+1:])
		}
		if heading == "" || column == "" {
			return known, badUsage(fmt.Sprintf("--is: %q is no heading and column", pair), `write it like --is "Collected on=due"`)
		}
		if strings.Contains(heading, ";") {
			return known, badUsage(fmt.Sprintf("--is: a heading with a semicolon in it cannot be kept: %q", heading), "give it another heading in the table")
		}
		column, word, isWord := strings.Cut(column, ":")
		at := slices.IndexFunc(columns, func(c string) bool { return model.FoldName(c) == model.FoldName(column) })
		if at < 0 {
			return known, badUsage(fmt.Sprintf("--is: a table of %s has no column %q", of, column), model.DidYouMean(column, columns, "write one of "+strings.Join(columns, ", ")))
		}
		if !isWord {
			known = known.Add(of, columns[at], heading)
			continue
		}
		word = strings.TrimSpace(word)
		if words := wordsIn(of, columns[at]); word == "" || words != nil && !slices.Contains(words, word) {
			do := "write after the colon what it means here"
			if words != nil {
				do = model.DidYouMean(word, words, "write one of "+strings.Join(words, ", "))
			}
			return known, badUsage(fmt.Sprintf("--is: %q is nothing that can stand in the column %s", word, columns[at]), do)
		}
		known = known.AddWord(of, columns[at], heading, word)
	}
	return known, nil
}

// wordsIn gives the words that can stand in a column of a table; nil: any text.
func wordsIn(of, column string) []string {
	for _, set := range sets() {
		for _, c := range set.Columns {
			if set.Name == of && c.Name == column {
				return c.Words
			}
		}
	}
	return nil
}

func badUsage(what, do string) error {
	return &model.Error{Kind: model.BadUsage, What: what, Do: do}
}
