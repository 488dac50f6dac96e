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
		column, unit := inUnit(column)
		column, word, isWord := strings.Cut(column, ":")
		at := slices.IndexFunc(columns, func(c string) bool { return model.FoldName(c) == model.FoldName(column) })
		fields := strings.Fields(column)
		if at < 0 && len(fields) == 2 && slices.Contains(columns, fields[0]) {
			return known, badUsage(fmt.Sprintf("--is: a table of %s has no column %q", of, column), howToSayUnit(heading, fields[0], fields[1]))
		}
		if at < 0 {
			return known, badUsage(fmt.Sprintf("--is: a table of %s has no column %q", of, column), model.DidYouMean(column, columns, "write one of "+strings.Join(columns, ", ")))
		}
		isLength := columnOf(of, columns[at]).Kind == table.Length
		switch ours := slices.ContainsFunc(columns, func(c string) bool { return model.FoldName(c) == model.FoldName(heading) }); {
		case unit != 0 && !isLength:
			return known, badUsage(fmt.Sprintf("--is: only of a column of lengths a unit is said, and not of %q", column), fmt.Sprintf("write --is \"%s=%s\"", heading, column))
		case unit != 0 && ours:
			return known, badUsage(fmt.Sprintf("--is: %q is a heading of ours, below which bare numbers are in the shop's own unit", heading),
				fmt.Sprintf("write %s behind the sizes, or call the column %s (%s) and say what that is", unit, heading, unit))
		case unit != 0:
			known = known.AddIn(of, columns[at], heading, unit)
			continue
		case !isWord:
			known = known.Add(of, columns[at], heading)
			continue
		}
		word = strings.TrimSpace(word)
		if _, err := model.ParseUnit(word); isLength && err == nil {
			return known, badUsage(fmt.Sprintf("--is: %q is nothing that can stand in the column %s", word, columns[at]), howToSayUnit(heading, columns[at], word))
		}
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

// inUnit takes the unit off a column that is given with one, as width in cm; 0: it has none.
func inUnit(text string) (column string, unit model.Unit) {
	if fields := strings.Fields(text); len(fields) > 2 && !strings.Contains(text, ":") && strings.EqualFold(fields[len(fields)-2], "in") {
		if unit, err := model.ParseUnit(fields[len(fields)-1]); err == nil {
			return strings.Join(fields[:len(fields)-2], " "), unit
		}
	}
	return text, 0
}

func howToSayUnit(heading, column, unit string) string {
	return fmt.Sprintf(`where %s is the unit of the numbers below that heading, write --is "%s=%s in %s"`, unit, heading, column, unit)
}

// columnOf gives a column of a table; the zero Column: it has none such.
func columnOf(of, column string) table.Column {
	for _, set := range sets() {
		for _, c := range set.Columns {
			if set.Name == of && c.Name == column {
				return c
			}
		}
	}
	return table.Column{}
}

// wordsIn gives the words that can stand in a column of a table; nil: any text.
func wordsIn(of, column string) []string { return columnOf(of, column).Words }

func badUsage(what, do string) error {
	return &model.Error{Kind: model.BadUsage, What: what, Do: do}
}
