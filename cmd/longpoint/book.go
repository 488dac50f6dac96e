package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

// book is "longpoint book": what is done to a book as a whole.
func (p *program) book() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "book",
		Short: "Make, fill, copy and check the shop's book",
		Long: `The shop's book is one file that remembers: the rack, the jobs and all that a
workshop's folder holds, and what was ordered, planned and cut. Every command
that takes a workshop's folder takes a book in its place.`,
		Example: bookExample,
		Args:    arguments("COMMAND"),
		RunE: func(_ *cobra.Command, args []string) error {
			return usage(fmt.Sprintf("there is no command \"book %s\"", args[0]), `run "longpoint book --help" for those there are`)
		},
	}
	cmd.AddCommand(p.bookNew(), p.bookImport(), p.bookExport(), p.bookCheck(), p.bookBackup(), p.bookBackups(), p.bookRestore(), p.bookRepair())
	return cmd
}

// bookNew is "longpoint book new".
func (p *program) bookNew() *cobra.Command {
	var from string
	var sign signature
	cmd := &cobra.Command{
		Use:   "new FILE",
		Short: "Make a new book",
		Long: `Make a new book in FILE, which must not be there yet. With --from it is filled
with a workshop's folder; without, import one that was exported.`,
		Args: bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			var fill func(*book.Book) error
			do := "To fill it: longpoint book import " + shellWord(args[0]) + " DIR"
			if from != "" {
				w, err := folder.Read(from)
				if err != nil {
					return err
				}
				fill = func(b *book.Book) error { return b.Fill(cmd.Context(), w, sign.by()) }
				do = "To plan it: longpoint plan " + shellWord(args[0])
			}
			if err := book.Create(cmd.Context(), args[0], fill); err != nil {
				return err
			}
			p.kept = "the book is in " + args[0]
			return p.show(fmt.Sprintf("The book is in %s. %s\n", plain(args[0]), do))
		},
	}
	cmd.Flags().StringVar(&from, "from", "", "fill it with the workshop in this `folder`")
	sign.addFlags(cmd)
	return cmd
}

// bookCheck is "longpoint book check".
func (p *program) bookCheck() *cobra.Command {
	var jsonOut bool
	cmd := &cobra.Command{
		Use:   "check [FILE]",
		Short: "Check a book, from the file to the last cut",
		Long: `Check the file of the book FILE, its tables and triggers, the references
between them, the seal of every step, by which a step that is lost, changed or
swapped is seen, and the rules of the shop: what went into every stick came out
of it, in length and in money; every side of a finished job was cut; no stick
is in two runs; and more. What is off is listed, and the exit status is then 5.
A book of an older version is first copied and brought up to date.`,
		Args: bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			return checking(cmd.Context(), args[0], func(b *book.Book) error {
				found, err := b.Check(cmd.Context())
				if err != nil {
					return err
				}
				return p.showFindings(args[0]+": the book is sound", found, jsonOut)
			})
		},
	}
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the findings as JSON")
	return cmd
}

// bookCheckAnswer is what "longpoint book check --json" prints.
type bookCheckAnswer struct {
	Format   string         `json:"format"`
	OK       bool           `json:"ok"`
	Findings []book.Finding `json:"findings"`
}

// showFindings prints what is wrong with a book, which is then an error, or that nothing is.
func (p *program) showFindings(right string, found []book.Finding, jsonOut bool) error {
	lines := []string{}
	for _, f := range found {
		lines = append(lines, paragraph(f.String(), "  "))
	}
	if len(found) == 0 {
		lines = []string{"checked: " + plain(right) + "\n"}
	}
	a := bookCheckAnswer{Format: "longpoint-book-check/1", OK: len(found) == 0, Findings: append([]book.Finding{}, found...)}
	if err := p.answer(jsonOut, a, strings.Join(lines, "")); err != nil || a.OK {
		return err
	}
	return &model.Error{Kind: model.CheckFailed, What: "the check found " + count(len(found), "thing", "things") + " off in the book",
		Do: `see "longpoint history" for the step that did it and take it back with "longpoint undo", or go back to the last backup that is sound with "longpoint book restore"`}
}

// bookRepair is "longpoint book repair".
func (p *program) bookRepair() *cobra.Command {
	var yes, jsonOut bool
	cmd := &cobra.Command{
		Use:   "repair [FILE]",
		Short: "Say what would mend a book, and do it with --yes",
		Long: `Look for what mends the book FILE, and say so; with --yes it is done. A log
that is not the book's own is put aside. A book whose tables, triggers or
indexes are damaged is written anew from its rows, where they are all there: the
seals of its steps tell. What was there is kept under another name. Where
nothing gives a sound book nothing is done; then go back to a backup with
"longpoint book restore".`,
		Args: bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			r, err := book.Mend(cmd.Context(), args[0], yes)
			if err != nil {
				return err
			}
			return p.showRepair(args[0], r, yes, jsonOut)
		},
	}
	cmd.Flags().BoolVar(&yes, "yes", false, "do it")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "what is done as JSON")
	return cmd
}

// bookRepairAnswer is what "longpoint book repair --json" prints.
type bookRepairAnswer struct {
	Format string `json:"format"`
	Done   bool   `json:"done"`
	book.Repair
}

// showRepair prints what mends a book. Where nothing does that is an error.
func (p *program) showRepair(path string, r book.Repair, yes, jsonOut bool) error {
	a := bookRepairAnswer{Format: "longpoint-book-repair/1", Done: yes && len(r.Do) > 0, Repair: r}
	var text strings.Builder
	for _, f := range r.Left {
		text.WriteString(paragraph(f.String(), "  "))
	}
	for _, do := range r.Do {
		if a.Done {
			text.WriteString(paragraph("Done: "+do+".", "  "))
		} else {
			text.WriteString(paragraph("To do: "+do+".", "  "))
		}
	}
	switch {
	case len(r.Left) > 0:
	case len(r.Do) == 0:
		text.WriteString(plain(path) + ": there is nothing to repair\n")
	case !a.Done:
		text.WriteString(paragraph("Nothing is done yet. To do it: longpoint book repair "+shellWord(path)+" --yes", "  "))
	default:
		p.kept = "the book is repaired"
		text.WriteString(paragraph("The book is sound. What was there is in "+joinAnd(r.Aside)+".", "  "))
	}
	if err := p.answer(jsonOut, a, text.String()); err != nil || len(r.Left) == 0 {
		return err
	}
	return &model.Error{Kind: model.CheckFailed, Where: model.Place{File: path}, What: "no repair gives a sound book",
		Do: `go back to the last backup that is sound with "longpoint book restore"`}
}

// bookRestore is "longpoint book restore".
func (p *program) bookRestore() *cobra.Command {
	return &cobra.Command{
		Use:   "restore [FILE] BACKUP",
		Short: "Go back to a backup, and put the present book aside",
		Long: `Make BACKUP, a copy that "longpoint book backup" made, the book FILE again. It
is checked first. The book that is there gets another name, with the log that
lies beside it: never copy a file over a book yourself, for that log holds
changes that do not belong to the copy. BACKUP itself stays.`,
		Args: bookArguments("BACKUP, the copy to go back to,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			aside, err := book.Restore(cmd.Context(), args[1], args[0])
			if err != nil {
				return err
			}
			text := fmt.Sprintf("%s is as it was in %s again.", args[0], args[1])
			if p.kept = "the backup is the book again"; aside != "" {
				text += fmt.Sprintf(" The book that was there is in %s.", aside)
			}
			return p.show(paragraph(text, "  "))
		},
	}
}

// bookBackups is "longpoint book backups".
func (p *program) bookBackups() *cobra.Command {
	var s book.Backups
	var none, jsonOut bool
	cmd := &cobra.Command{
		Use:   "backups [FILE]",
		Short: "Have the book backed up by itself, and say how old the last backup is",
		Long: `Say how the book FILE is backed up by itself, and when it last was. With --to it
is backed up from now on: whenever so many steps have been made since the last
backup, a copy goes into that folder, which is best on another drive, and is
checked. The oldest of these copies go. Where one cannot be made you are told,
and what you did is in the book all the same.`,
		Args: bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !none && s.Folder == "" {
				return reading(cmd.Context(), args[0], func(b *book.Book) error { return p.showBackups(cmd.Context(), b, jsonOut) })
			}
			if s.Every < 1 || s.Keep < 1 {
				return usage("--every and --keep are numbers from 1 on", "give such numbers, or end backups with --none")
			}
			if none {
				s = book.Backups{}
			}
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				if err := b.SetBackups(cmd.Context(), s); err != nil {
					return err
				}
				p.kept = "the backups are set"
				if _, err := b.BackUp(cmd.Context()); err != nil {
					return err
				}
				return p.showBackups(cmd.Context(), b, jsonOut)
			})
		},
	}
	const every, keep = 20, 10
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&s.Folder, "to", "", "put them in this `folder`")
	cmd.Flags().IntVar(&s.Every, "every", every, "after so many `steps`")
	cmd.Flags().IntVar(&s.Keep, "keep", keep, "keep this `number` of them")
	cmd.Flags().BoolVar(&none, "none", false, "make none any more")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "as JSON")
	return cmd
}

// backupsAnswer is what "longpoint book backups --json" prints.
type backupsAnswer struct {
	Format string `json:"format"`
	book.Backups
}

// showBackups prints how a book is backed up by itself.
func (p *program) showBackups(ctx context.Context, b *book.Book, jsonOut bool) error {
	s, err := b.Backups(ctx)
	if err != nil {
		return err
	}
	text := "The book is not backed up by itself."
	if s.Every > 0 {
		text = fmt.Sprintf("Backed up into %s after every %s; the last %d are kept. ", plain(s.Folder), count(s.Every, "step", "steps"), s.Keep)
		if s.Step == 0 {
			text += "There is no backup yet."
		} else {
			text += fmt.Sprintf("The last has step %d and was made on %s: %s.", s.Step, dayAndAge(s.At), plain(s.File))
		}
	}
	return p.answer(jsonOut, backupsAnswer{"longpoint-backups/1", s}, paragraph(text, "  "))
}

// dayAndAge gives the day of a time by this computer's clock, and how long ago that is.
func dayAndAge(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	const day = 24 * time.Hour
	return fmt.Sprintf("%s (%s ago)", t.Local().Format(time.DateOnly), count(max(int(time.Since(t)/day), 0), "day", "days")) // never of a day to come, where the clock was put back
}

// bookBackup is "longpoint book backup".
func (p *program) bookBackup() *cobra.Command {
	return &cobra.Command{
		Use:   "backup [FILE] COPY",
		Short: "Copy a book while it is in use, and check the copy",
		Long: `Copy the book FILE as it stands to the new file COPY. Others can go on writing
in the book. The copy is opened and checked before it gets its name.`,
		Args: bookArguments("COPY, the file to write,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return checking(cmd.Context(), args[0], func(b *book.Book) error {
				found, err := b.Backup(cmd.Context(), args[1])
				if err != nil {
					return err
				}
				p.kept = "the copy is in " + args[1]
				return p.showFindings(args[1]+": copied, and the copy is sound", found, false)
			})
		},
	}
}
