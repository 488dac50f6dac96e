package main

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model/book"
	"longpoint/model/folder"
)

// bookEnding is what the name of a book ends with, so that the one in a folder can be found. A book that is named may be called
// anything.
const bookEnding = ".book"

// bookVariable names the book where none is named on the command line.
const bookVariable = "LONGPOINT_BOOK"

// withoutStore is the annotation that names the flag with which a command takes neither book nor folder.
const withoutStore = "without store"

// byDefault lets every command whose first argument stands in brackets in its line of use, [FILE] or [DIR], be called without it:
// it then takes the book of bookVariable, or else the one book in the current folder, or the folder itself where it is a workshop's. To the command itself the book is always
// args[0].
func (p *program) byDefault(root *cobra.Command) {
	for _, cmd := range root.Commands() {
		p.byDefault(cmd)
		places := strings.Fields(cmd.Use)[1:]
		if len(places) == 0 || places[0] != "[FILE]" && places[0] != "[DIR]" {
			continue
		}
		check, work := cmd.Args, cmd.RunE
		var all []string
		cmd.Args = func(cmd *cobra.Command, args []string) (err error) {
			if all, err = withBook(cmd, places[1:], args); err != nil {
				return err
			}
			return check(cmd, all)
		}
		cmd.RunE = func(cmd *cobra.Command, _ []string) error {
			if len(all) > 0 {
				p.shop = " " + shellWord(all[0])
			}
			return work(cmd, all)
		}
		completed(cmd, places[1:])
	}
}

// withBook puts the book before the arguments where it is left out. places are those behind it in the command's line of use.
func withBook(cmd *cobra.Command, places, args []string) ([]string, error) {
	if flag := cmd.Annotations[withoutStore]; flag != "" && cmd.Flags().Lookup(flag).Changed {
		return args, nil
	}
	needed := 0
	for _, p := range places {
		if !strings.HasPrefix(p, "[") {
			needed++
		}
	}
	// By their number, or by what the first one is where the number may vary.
	leftOut := len(args) <= needed
	if needed < len(places) {
		leftOut = len(args) == 0 || !namesStore(args[0])
	}
	if !leftOut {
		return args, nil
	}
	path, err := usualBook()
	if err != nil {
		if len(args) < needed || needed > 0 && len(args) == needed && namesStore(args[0]) {
			return args, nil // the command says what is missing
		}
		return nil, err
	}
	return append([]string{path}, args...), nil
}

// namesStore tells whether an argument is meant as a workshop's folder or a book.
func namesStore(arg string) bool {
	return strings.HasSuffix(arg, bookEnding) || book.IsBook(arg) || folder.IsWorkshop(arg) // and not a folder of printed sheets that is called like a piece
}

// usualBook is the book, or the workshop folder, that is meant where none is named.
func usualBook() (string, error) {
	if path := os.Getenv(bookVariable); path != "" {
		return path, nil
	}
	const do = "name the book, set " + bookVariable + " to its name, or go to the folder that it is in; \"longpoint start\" makes a new one"
	books, err := filepath.Glob("*" + bookEnding)
	switch {
	case err != nil:
		return "", err
	case len(books) == 0 && folder.IsWorkshop("."):
		return ".", nil
	case len(books) == 0:
		return "", usage("no book is named, and there is none in this folder", do)
	case len(books) > 1:
		return "", usage("no book is named, and there are several in this folder: "+joinAnd(books), do)
	}
	return books[0], nil
}
