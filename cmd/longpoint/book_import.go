package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	tabular "longpoint/model/table"
)

// bookImport is "longpoint book import".
func (p *program) bookImport() *cobra.Command {
	var how book.Importing
	var jsonOut, strict bool
	var as string
	var is []string
	var sign signature
	cmd := &cobra.Command{
		Use:   "import [FILE] FROM",
		Short: "Take tables into a book, all or none",
		Long: `Take tables into the book FILE from FROM: a workshop's folder or workbook,
whole or in part, or one table as CSV, TSV or XLSX, with the columns that the
tables of a workshop have. A row that the book has already is changed, another
is new, and each is listed: + for new, ~ for changed, - for gone. Columns that a
table lacks stay as they are. If anything is wrong, nothing is taken in.

Where a table has headings of your own, say once with --is which column each one
is, and with --as which table it is. That is kept.

A new book takes in a whole export together with its history. What is far from
all others of its column is named, as it may be a slip; with --strict it is
refused.`,
		Args: bookArguments("FROM, what to import,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := notOneOf(args[1], aTable, aWorkbook, aShopDir, aFolder, someSettings); err != nil {
				return err
			}
			in, err := folder.OpenIncoming(args[1])
			if err != nil {
				return err
			}
			name, err := tableNamed(as, args[1])
			if err != nil {
				return err
			}
			in.As = as
			if in.Own, err = folder.OwnHeadings(is, name, ""); err != nil {
				return err
			}
			in.Command = func(file, table string) string {
				return "longpoint book import " + shellWord(args[0]) + " " + shellWord(file) + " --as " + table + typedHeadings(is)
			}
			in.Prices = func(file string) string { return "longpoint prices " + shellWord(args[0]) + " " + shellWord(file) }
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				from := &careful{Incoming: in, p: p, strict: strict}
				r, err := b.Import(cmd.Context(), from, how, sign.by())
				if err != nil {
					return err
				}
				a := newImportAnswer(r, from.came)
				return p.answer(jsonOut, a, a.page(how.DryRun))
			})
		},
	}
	cmd.Flags().StringVar(&as, "as", "", "FROM is this `table`: "+tabular.Either(folder.TableNames()))
	addHeadings(cmd, &is)
	cmd.Flags().BoolVar(&how.DryRun, "dry-run", false, "only list what would change")
	cmd.Flags().BoolVar(&how.Replace, "replace", false, "take out rows of these tables that FROM does not have")
	cmd.Flags().BoolVar(&strict, "strict", false, "refuse what is far from all others")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the list as JSON")
	sign.addFlags(cmd)
	return cmd
}

// careful is tables of which what is odd is named, or refused.
type careful struct {
	*folder.Incoming
	p      *program
	strict bool
	came   []string // the tables
}

// Read reads the tables and looks at what of them is odd.
func (c *careful) Read(now *model.Workshop, replace bool) (*model.Workshop, []string, error) {
	w, given, err := c.Incoming.Read(now, replace)
	c.came = given
	if err == nil && w != nil {
		err = c.p.odd(w, c.strict, func(where model.Place) bool { return where.File != "" && !strings.Contains(where.File, ", table ") })
	}
	return w, given, err
}

// importAnswer is what "longpoint book import --json" prints.
type importAnswer struct {
	Lines    []folder.Difference `json:"lines"`
	Tables   []folder.Sum        `json:"tables"`   // those that came
	Headings bool                `json:"headings"` // what headings and words of the shop's own are is kept with it
	New      int                 `json:"new"`
	Changed  int                 `json:"changed"`
	Gone     int                 `json:"gone"`
	Same     int                 `json:"same"`
	Restored bool                `json:"restored"` // a whole book with its history, of which rows are counted only
	Rows     int                 `json:"rows"`     // that came with it
	Skipped  bool                `json:"skipped"`  // there was a history, which only an empty book takes
}

func newImportAnswer(r book.Imported, came []string) importAnswer {
	a := importAnswer{Lines: []folder.Difference{}, Tables: []folder.Sum{}, Restored: r.Restored, Rows: r.Rows, Skipped: r.Skipped}
	if r.After == nil {
		return a
	}
	c := folder.Compare(r.Before, r.After, came...)
	all := c.All()
	a.Lines, a.Tables, a.Headings = append(a.Lines, c.Lines...), append(a.Tables, c.Sums...), c.Headings
	a.New, a.Changed, a.Gone, a.Same = all.New, all.Changed, all.Gone, all.Same
	return a
}

// page lists what an import changed.
func (a importAnswer) page(dry bool) string {
	var b strings.Builder
	for _, l := range a.Lines {
		b.WriteString(plain(l.String()) + "\n")
	}
	if a.Restored {
		b.WriteString(paragraph(fmt.Sprintf("A whole book with its history, %s.", count(a.Rows, "row", "rows")), ""))
	}
	if a.Skipped {
		b.WriteString("The history is left alone: the book has one of its own.\n")
	}
	if len(a.Tables) > 1 {
		for _, s := range a.Tables {
			b.WriteString(s.Table + ": " + s.String() + ".\n")
		}
	}
	text := folder.Sum{New: a.New, Changed: a.Changed, Gone: a.Gone, Same: a.Same}.String() + "."
	if a.Headings {
		text += " What your headings are is kept."
	}
	if dry {
		text += " This was tried only: nothing was changed."
	}
	return b.String() + paragraph(text, "")
}

// bookExport is "longpoint book export".
func (p *program) bookExport() *cobra.Command {
	var workbook bool
	cmd := &cobra.Command{
		Use:   "export [FILE] TO",
		Short: "Write a book's tables as a workshop's folder or a workbook",
		Long: `Write the tables of the book FILE into the new folder TO, or with --xlsx into
the new workbook TO: settings, profiles, suppliers, offers, rack and open jobs
as a workshop's folder has them, in its units, which every command that takes a
folder takes; and beside them, under "history", everything else that the book
remembers. Importing all that into a new book gives the same book.`,
		Args: bookArguments("TO, where to write,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			const ending = ".xlsx"
			to := args[1]
			if isXLSX := strings.EqualFold(filepath.Ext(to), ending); workbook && !isXLSX {
				to += ending // by which spreadsheets know it
			} else if !workbook && isXLSX {
				return usage("a workbook is written with --xlsx", "add --xlsx, or name a folder")
			}
			return reading(cmd.Context(), args[0], func(b *book.Book) error {
				err := b.Export(cmd.Context(), to, func(w *model.Workshop, past []tabular.Written) error { return folder.Export(to, w, past) })
				if err != nil {
					return err
				}
				p.kept = "the book's tables are in " + to
				return p.show(fmt.Sprintf("The book's tables are in %s.\n", plain(to)))
			})
		},
	}
	cmd.Flags().BoolVar(&workbook, "xlsx", false, "as one XLSX workbook")
	return cmd
}
