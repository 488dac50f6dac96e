package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/examine"
	"longpoint/model"
	"longpoint/model/book"
)

// examined is what "longpoint examine --json" prints.
type examined struct {
	Format string           `json:"format"`
	On     string           `json:"on"`
	Odd    []examine.Oddity `json:"odd"`
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
			x := &examine.Shop{Path: args[0], Name: shellWord(args[0]), Word: shellWord, Day: cmp.Or(on, time.Now().Format(time.DateOnly))}
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

// look looks at everything.
func (p *program) look(ctx context.Context, x *examine.Shop) (err error) {
	if isBook(x.Path) {
		err = reading(ctx, x.Path, func(b *book.Book) error { return x.Book(ctx, b) })
	} else if w, e := p.workshop(ctx, x.Path); e != nil {
		return e
	} else {
		err = x.Folder(w)
	}
	if day, ok := errors.AsType[*examine.DayError](err); ok {
		return flagError("on", day.Err)
	}
	return err
}

// showExamined prints what was found.
func (p *program) showExamined(x *examine.Shop, jsonOut bool) error {
	page, about, wrong := "", "", 0
	for _, o := range x.Odd {
		if o.Wrong {
			wrong++
		}
		if o.About != about {
			about = o.About
			page += strings.ToUpper(about[:1]) + about[1:] + "\n"
		}
		page += hanging("  ", o.What+".") + "    " + plain(o.Next) + "\n"
	}
	if len(x.Odd) == 0 {
		page = plain(x.Path) + ": nothing odd\n"
	} else {
		page += paragraph(fmt.Sprintf("\n%s to look at. What is odd may be meant; the line below each says what to type.", count(len(x.Odd), "thing", "things")), "")
	}
	a := examined{Format: "longpoint-examine/1", On: x.Day, Odd: append([]examine.Oddity{}, x.Odd...)}
	if err := p.answer(jsonOut, a, page); err != nil || wrong == 0 {
		return err
	}
	return &model.Error{Kind: model.CheckFailed, What: "the check found " + count(wrong, "thing", "things") + " off in the book",
		Do: `see "longpoint history" for the step that did it and take it back with "longpoint undo", or go back to the last backup that is sound with "longpoint book restore"`}
}
