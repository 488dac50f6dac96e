package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/folder"
	tabular "longpoint/model/table"
)

// addHeadings adds the option that says what headings of the shop's own are. It is that of "longpoint prices": theirs = ours.
func addHeadings(cmd *cobra.Command, is *[]string) {
	cmd.Flags().StringArrayVar(is, "is", nil, "a heading is this column, or none, as `HEADING=COLUMN`; may be repeated")
}

// typedHeadings is the option as it was typed, for a hint.
func typedHeadings(is []string) (typed string) {
	for _, pair := range is {
		typed += fmt.Sprintf(` --is "%s"`, pair)
	}
	return typed
}

// headingsIn reads what was typed of a table's headings, over what is known of them.
func headingsIn(is []string, table string, known model.Headings) (model.Headings, error) {
	if len(is) > 0 && table == "" {
		return known, usage("--is: it is not said whose headings these are", "add --as with "+tabular.Either(folder.TableNames()))
	}
	columns := append(folder.Columns(table), model.NoColumn)
	for _, pair := range is {
		heading, column := "", ""
		if at := strings.LastIndex(pair, "="); at > 0 {
			heading, column = strings.TrimSpace(pair[:at]), strings.TrimSpace(pair[at+1:])
		}
		if heading == "" || column == "" {
			return known, usage(fmt.Sprintf("--is: %q is no heading and column", pair), `write it like --is "Collected on=due"`)
		}
		if strings.Contains(heading, ";") {
			return known, usage(fmt.Sprintf("--is: a heading with a semicolon in it cannot be kept: %q", heading), "give it another heading in the table")
		}
		at := slices.IndexFunc(columns, func(c string) bool { return model.FoldName(c) == model.FoldName(column) })
		if at < 0 {
			return known, usage(fmt.Sprintf("--is: a table of %s has no column %q", table, column), model.DidYouMean(column, columns, "write one of "+strings.Join(columns, ", ")))
		}
		known = known.Add(table, columns[at], heading)
	}
	return known, nil
}

// tableNamed says which table a file is: the one that was typed, or the one that it is called like.
func tableNamed(typed, path string) (string, error) {
	names := folder.TableNames()
	if typed != "" && !slices.Contains(names, typed) {
		return "", usage(fmt.Sprintf("--as: there is no table %q", typed), model.DidYouMean(typed, names, "write "+tabular.Either(names)))
	}
	base := model.FoldName(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
	if typed == "" && slices.Contains(names, base) {
		return base, nil
	}
	return typed, nil
}
