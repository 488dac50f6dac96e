package main

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
)

// oddity is one thing that is odd in a shop. It may be meant.
type oddity struct {
	About string `json:"about"`           // settings, rack, offers, jobs, orders, runs, book or files
	Wrong bool   `json:"wrong,omitempty"` // it is not odd but wrong
	What  string `json:"what"`            // in a sentence
	Next  string `json:"next"`            // the command to type
}

// examined is what "longpoint examine --json" prints.
type examined struct {
	Format string   `json:"format"`
	On     string   `json:"on"`
	Odd    []oddity `json:"odd"`
}

// examine is "longpoint examine".
func (p *program) examine() *cobra.Command {
	var on string
	var jsonOut bool
	cmd := &cobra.Command{
		Use:   "examine [DIR]",
		Short: "Look a whole shop over and say what is odd, and what to type next",
		Long: `Look over the workshop in the folder DIR, or the book DIR: settings and paper;
sticks that hold nothing that is wanted, that were never measured, that lie
there for long or stand there twice; profiles that nobody offers, and old
prices; jobs that are late or not planned; orders and runs that were left open;
copies of the book, and files that were left behind. What is odd may be meant:
each line says what, and the command to type next. Nothing is changed.

The exit status is 0 whatever is odd, and 5 where the book is unsound.`,
		Example: examineExample,
		Args:    arguments("DIR, the workshop's folder or book,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			x := &examination{path: args[0], name: shellWord(args[0]), day: cmp.Or(on, time.Now().Format(time.DateOnly))}
			if err := p.look(cmd.Context(), x); err != nil {
				return err
			}
			return p.showExamined(x, jsonOut)
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&on, "on", "", "as on this `day`; today where not given")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "what is odd as JSON")
	return cmd
}

// examination is a look at one shop.
type examination struct {
	path, name string // of folder or book, as named and as one types it
	day        string
	isBook     bool
	w          *model.Workshop // with what is left to cut
	odd        []oddity
}

// find notes something odd. next is the command without "longpoint".
func (x *examination) find(about, next, format string, args ...any) {
	x.odd = append(x.odd, oddity{About: about, What: fmt.Sprintf(format, args...), Next: "longpoint " + next})
}

// ago says whether a day is so many days before the day of the examination, or more.
func (x *examination) ago(day string, days int) bool {
	now, err := model.ParseDate(x.day)
	if err != nil || day == "" {
		return false
	}
	return day <= now.AddDate(0, 0, -days).Format(time.DateOnly)
}

// readDay reads the day as the shop writes days.
func (x *examination) readDay() error {
	day, err := x.w.Habits.ParseDate(x.day)
	if err != nil {
		return flagError("on", err)
	}
	x.day = day.String()
	return nil
}

// look looks at everything.
func (p *program) look(ctx context.Context, x *examination) (err error) {
	x.isBook = isBook(x.path)
	if !x.isBook {
		if x.w, err = p.workshop(ctx, x.path); err != nil {
			return err
		}
		if err := x.readDay(); err != nil {
			return err
		}
		x.workshop()
		x.pricesOfFolder()
		x.files()
		return nil
	}
	return reading(ctx, x.path, func(b *book.Book) error {
		found, err := b.Check(ctx)
		if err != nil {
			return err
		}
		for _, f := range found {
			x.find("book", "book check "+x.name, "%s", f.String())
			x.odd[len(x.odd)-1].Wrong = true
		}
		if x.w, _, err = b.Rest(ctx); err != nil {
			return err
		}
		if err := x.readDay(); err != nil {
			return err
		}
		x.workshop()
		if err := x.book(ctx, b); err != nil {
			return err
		}
		x.files()
		return nil
	})
}

// showExamined prints what was found.
func (p *program) showExamined(x *examination, jsonOut bool) error {
	slices.SortStableFunc(x.odd, func(a, b oddity) int { return cmp.Compare(order(a), order(b)) })
	page, about, wrong := "", "", 0
	for _, o := range x.odd {
		if o.Wrong {
			wrong++
		}
		if o.About != about {
			about = o.About
			page += strings.ToUpper(about[:1]) + about[1:] + "\n"
		}
		page += hanging("  ", o.What+".") + "    " + plain(o.Next) + "\n"
	}
	if len(x.odd) == 0 {
		page = plain(x.path) + ": nothing odd\n"
	} else {
		page += paragraph(fmt.Sprintf("\n%s to look at. What is odd may be meant; the line below each says what to type.", count(len(x.odd), "thing", "things")), "")
	}
	a := examined{Format: "longpoint-examine/1", On: x.day, Odd: append([]oddity{}, x.odd...)}
	if err := p.answer(jsonOut, a, page); err != nil || wrong == 0 {
		return err
	}
	return &model.Error{Kind: model.CheckFailed, What: "the check found " + count(wrong, "thing", "things") + " off in the book",
		Do: `see "longpoint history" for the step that did it and take it back with "longpoint undo", or go back to the last backup that is sound with "longpoint book restore"`}
}

// order puts what is wrong first, then one sort after the other.
func order(o oddity) int {
	if o.Wrong {
		return -1
	}
	return slices.Index([]string{"book", "settings", "rack", "offers", "jobs", "orders", "runs", "files"}, o.About)
}

// After how many days something is worth a look: common practice, no source.
const (
	daysOffcut = 180 // that an offcut lies on the rack untouched
	daysPrices = 365 // since a supplier's prices were taken in
	daysCopy   = 7   // since the book was copied
	daysRun    = 2   // that a run is open
	daysSoon   = 7   // until a job is due that is in no plan
)

// pricesOfFolder looks at the age of a folder's list of offers.
func (x *examination) pricesOfFolder() {
	const list = "offers.csv"
	if info, err := os.Stat(filepath.Join(x.path, list)); err == nil && x.ago(info.ModTime().Format(time.DateOnly), daysPrices) {
		x.find("offers", "prices --help", "%s was last changed on %s: prices may be old", list, info.ModTime().Format(time.DateOnly))
	}
}

// files looks for what an interrupted program has left behind.
func (x *examination) files() {
	dir := x.path
	if x.isBook {
		dir = filepath.Dir(x.path)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return // it was read a moment ago, and is gone
	}
	for _, e := range entries {
		name := e.Name()
		switch {
		case strings.HasPrefix(name, ".longpoint-"), strings.HasPrefix(name, ".") && strings.Count(name, ".") > 2 && temporary(name):
			x.find("files", "help refused", "%s was left behind by a command that was interrupted, if none is at work now; it can be taken away", filepath.Join(dir, name))
		case x.isBook && strings.HasPrefix(name, filepath.Base(x.path)+".before-") && !strings.HasSuffix(name, "-wal") && !strings.HasSuffix(name, "-shm"):
			x.find("files", "help book", "%s is a book that a backup took the place of", filepath.Join(dir, name))
		}
	}
}

// temporary tells the names of files that are written before they get their own: the name, a dot and figures.
func temporary(name string) bool {
	end := name[strings.LastIndex(name, ".")+1:]
	return len(end) >= 6 && strings.Trim(end, "0123456789") == ""
}
