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
