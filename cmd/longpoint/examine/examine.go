// Package examine looks a whole shop over and says what is odd in it, for the command and for the page: settings and paper, the rack, offers,
// jobs, orders, runs, copies of the book, and files that were left behind. What is odd may be meant. Nothing is changed.
package examine

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"longpoint/model"
	"longpoint/model/book"
)

// Oddity is one thing that is odd in a shop. It may be meant.
type Oddity struct {
	About string `json:"about"`           // settings, rack, offers, jobs, orders, runs, book or files
	Wrong bool   `json:"wrong,omitempty"` // it is not odd but wrong
	What  string `json:"what"`            // in a sentence
	Next  string `json:"next"`            // the command to type
	Of    string `json:"-"`               // the stick, supplier, order or run that it is of, by name or number; of several none
}

// Shop is a look at one shop.
type Shop struct {
	Path, Name string              // of folder or book, and as it is typed in a command
	Day        string              // on which it is looked at
	Word       func(string) string // gives a name as it is typed in a command
	Odd        []Oddity            // what was found, what is wrong first
	isBook     bool
	w          *model.Workshop // with what is left to cut
}

// Folder looks at a workshop that was read from a folder.
func (x *Shop) Folder(w *model.Workshop) error {
	x.w = w
	if err := x.readDay(); err != nil {
		return err
	}
	x.workshop()
	x.pricesOfFolder()
	x.files()
	x.sort()
	return nil
}

// Book looks at a book.
func (x *Shop) Book(ctx context.Context, b *book.Book) error {
	x.isBook = true
	found, err := b.Check(ctx)
	if err != nil {
		return err
	}
	for _, f := range found {
		x.find("book", "book check "+x.Name, "%s", f.String()).Wrong = true
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
	x.sort()
	return nil
}

// find notes something odd. next is the command without "longpoint".
func (x *Shop) find(about, next, format string, args ...any) *Oddity {
	x.Odd = append(x.Odd, Oddity{About: about, What: fmt.Sprintf(format, args...), Next: "longpoint " + next})
	return &x.Odd[len(x.Odd)-1]
}

// ago says whether a day is so many days before the day of the examination, or more.
func (x *Shop) ago(day string, days int) bool {
	now, err := model.ParseDate(x.Day)
	if err != nil || day == "" {
		return false
	}
	return day <= now.AddDate(0, 0, -days).Format(time.DateOnly)
}

// date writes a day as the shop does.
func (x *Shop) date(day string) string { return x.w.Habits.Dates.Rewrite(day) }

// readDay reads the day as the shop writes days.
func (x *Shop) readDay() error {
	day, err := x.w.Habits.ParseDate(x.Day)
	if err != nil {
		return &DayError{err}
	}
	x.Day = day.String()
	return nil
}

// DayError is an error in the day that a shop is looked at on.
type DayError struct{ Err error }

func (e *DayError) Error() string { return e.Err.Error() }
func (e *DayError) Unwrap() error { return e.Err }

// sort puts what is wrong first, then one sort after the other.
func (x *Shop) sort() {
	slices.SortStableFunc(x.Odd, func(a, b Oddity) int { return cmp.Compare(order(a), order(b)) })
}

func order(o Oddity) int {
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
func (x *Shop) pricesOfFolder() {
	const list = "offers.csv"
	if info, err := os.Stat(filepath.Join(x.Path, list)); err == nil && x.ago(info.ModTime().Format(time.DateOnly), daysPrices) {
		x.find("offers", "prices --help", "%s was last changed on %s: prices may be old", list, x.date(info.ModTime().Format(time.DateOnly)))
	}
}

// files looks for what an interrupted program has left behind.
func (x *Shop) files() {
	dir := x.Path
	if x.isBook {
		dir = filepath.Dir(x.Path)
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
		case x.isBook && strings.HasPrefix(name, filepath.Base(x.Path)+".before-") && !strings.HasSuffix(name, "-wal") && !strings.HasSuffix(name, "-shm"):
			x.find("files", "help book", "%s is a book that a backup took the place of", filepath.Join(dir, name))
		}
	}
}

// temporary tells the names of files that are written before they get their own: the name, a dot and figures.
func temporary(name string) bool {
	end := name[strings.LastIndex(name, ".")+1:]
	return len(end) >= 6 && strings.Trim(end, "0123456789") == ""
}
