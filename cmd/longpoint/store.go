package main

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/user"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// isBook tells a book from the other places where a workshop may be kept: a folder, and a workbook.
func isBook(path string) bool { return book.IsBook(path) && !folder.IsWorkbook(path) }

// workshop reads a workshop from a folder or a workbook, or what a book says is left to cut.
func (p *program) workshop(ctx context.Context, path string) (w *model.Workshop, err error) {
	if err := notOneOf(path, aShop, aShopDir, aBook, aWorkbook, aFolder); err != nil {
		return nil, err
	}
	if !isBook(path) {
		return folder.Read(path)
	}
	err = reading(ctx, path, func(b *book.Book) error {
		w, _, err = b.Rest(ctx)
		return err
	})
	return w, err
}

// keepPlan puts a plan into a book and gives the line that says so; nothing where the workshop is a folder.
func (p *program) keepPlan(ctx context.Context, path string, d *plan.Document, dates model.DateOrder) (line string, err error) {
	if !isBook(path) {
		return "", nil
	}
	err = p.writing(context.WithoutCancel(ctx), path, func(b *book.Book) error { // a plan that was interrupted is kept too
		id, err := b.KeepPlan(context.WithoutCancel(ctx), d, book.By{Who: whoIsThis()})
		line = fmt.Sprintf("\nKept in the book as plan %d.\n", id)
		if d.Until != "" && err == nil {
			line += paragraph(fmt.Sprintf("Runs and orders go by it from now on, for jobs due up to %s only. Was that only a look? Take it back: longpoint undo.", dates.Rewrite(d.Until)), "")
		}
		if err != nil {
			return err
		}
		open, err := b.OpenRuns(context.WithoutCancel(ctx))
		line += notIn(open)
		return err
	})
	return line, err
}

// notIn says which runs are open: what they cut, and what that costs, is not in a plan.
func notIn(open []runs.Run) string {
	var runs []string
	for _, r := range open {
		runs = append(runs, fmt.Sprintf("run %d of %s", r.ID, plain(r.Profile)))
	}
	if len(runs) == 0 {
		return ""
	}
	return paragraph(fmt.Sprintf(`Not in it is what is being cut: %s. What a job comes to in all: longpoint quote --job JOB.`, joinAnd(runs)), "")
}

// reading opens a book to read for as long as f takes.
func reading(ctx context.Context, path string, f func(*book.Book) error) error {
	if err := notOneOf(path, aBook); err != nil {
		return err
	}
	b, err := book.OpenToRead(ctx, path)
	if err != nil {
		return err
	}
	defer b.Close()
	return f(b)
}

// checking opens a book that may be damaged for as long as f takes.
func checking(ctx context.Context, path string, f func(*book.Book) error) error {
	if err := notOneOf(path, aBook); err != nil {
		return err
	}
	b, err := book.OpenToCheck(ctx, path)
	if err != nil {
		return err
	}
	defer b.Close()
	return f(b)
}

// writing opens a book to write for as long as f takes. What is written for good is noted, so that an answer that gets lost does not
// make anybody do it again.
func (p *program) writing(ctx context.Context, path string, f func(*book.Book) error) error {
	if err := notOneOf(path, aBook); err != nil {
		return err
	}
	b, err := book.Open(ctx, path)
	if err != nil {
		return err
	}
	defer b.Close()
	b.Committed = func(step int64, what string) { p.kept = fmt.Sprintf("step %d in the book: %s", step, what) }
	b.BackedUp = p.backedUp
	return f(b)
}

// backedUp tells of a backup that the book should have made by itself and could not. What was done is done all the same.
func (p *program) backedUp(_ string, err error) {
	if err != nil {
		fmt.Fprintf(p.stderr, "longpoint: the backup that is due was not made: %v\n", err)
	}
}

// signature is who makes a step and why, from a command's flags.
type signature struct {
	who, why string
	needless bool // what is done is its own reason
}

// addFlags gives a command that writes in a book the flags of who and why.
func (s *signature) addFlags(cmd *cobra.Command) {
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&s.who, "who", "", "who does this, by `name`; LONGPOINT_WHO or the user's name where not given")
	cmd.Flags().StringVar(&s.why, "why", "", "why, as a `text` for the book's history")
}

func (s *signature) by() book.By {
	if s.who == "" {
		s.who = whoIsThis()
	}
	return book.By{Who: s.who, Why: s.why}
}

// whoIsThis names the person at the keyboard as well as can be told.
func whoIsThis() string {
	if who := os.Getenv("LONGPOINT_WHO"); who != "" {
		return who
	}
	if u, err := user.Current(); err == nil {
		return u.Username
	}
	return "somebody"
}

// bookArguments demands a book and then the arguments that are named.
func bookArguments(names ...string) cobra.PositionalArgs {
	return arguments(append([]string{"FILE, the book,"}, names...)...)
}

// bookArgumentsAndMore demands a book and then the arguments that are named, and lets any number follow.
func bookArgumentsAndMore(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		return bookArguments(names...)(cmd, args[:min(len(args), len(names)+1)])
	}
}

// number reads an argument that is a number of the book.
func number(text, what string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 {
		return 0, usage(fmt.Sprintf("%q is not %s", text, what), "give its number, such as 3")
	}
	return n, nil
}

// settled is what a book's pages are set in.
type settled struct {
	unit     model.Unit
	currency model.Currency
	habits   model.Habits
}

// settings reads a book's units.
func settingsOf(ctx context.Context, b *book.Book) (settled, error) {
	w, err := b.Workshop(ctx)
	if err != nil {
		return settled{}, err
	}
	return settled{w.Unit, w.Currency, w.Habits}, nil
}

// day writes a day as the shop does.
func (s settled) day(text string) string { return s.habits.Dates.Rewrite(text) }

// habitsOfBook gives how the shop of a book writes numbers and days.
func habitsOfBook(ctx context.Context, path string) (h model.Habits, err error) {
	err = reading(ctx, path, func(b *book.Book) error {
		s, err := settingsOf(ctx, b)
		h = s.habits
		return err
	})
	return h, err
}

// answer prints a value as JSON, or as a page.
func (p *program) answer(jsonOut bool, value any, page string) error {
	if !jsonOut {
		return p.show(page)
	}
	text, err := asJSON(value)
	if err != nil {
		return err
	}
	return p.show(text)
}

// atTerminal tells whether somebody sits at the keyboard who can be asked.
func (p *program) atTerminal() bool {
	in, ok := p.stdin.(*os.File)
	return ok && term.IsTerminal(int(in.Fd()))
}

// asked asks a question on standard error, and gives the line that is typed.
func (p *program) asked(question string) string {
	fmt.Fprint(p.stderr, strings.TrimSuffix(paragraph(plain(question), ""), "\n")+" ")
	line, err := bufio.NewReader(p.stdin).ReadString('\n')
	if err != nil {
		return "" // no answer is no yes
	}
	return strings.TrimSpace(line)
}

// agreed asks for a yes.
func (p *program) agreed(question string) bool {
	answer := strings.ToLower(p.asked(question + " (y/n)"))
	return answer == "y" || answer == "yes"
}
