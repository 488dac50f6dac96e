package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/round"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

// pricesFlags is the command line of "longpoint prices".
type pricesFlags struct {
	form            model.PriceForm
	is, from        []string
	decimal, marks  string
	part, yes, json bool
	strict          bool
	kept            bool // how the list is laid out was not in the book before
	how             planning
	sign            signature
}

// prices is "longpoint prices": a supplier's price list as it comes.
func (p *program) prices() *cobra.Command {
	var f pricesFlags
	cmd := &cobra.Command{
		Use:   "prices [FILE] LIST",
		Short: "Take a supplier's price list into a book, as it comes",
		Long: `Read the price list LIST of a supplier, as CSV, TSV or XLSX with whatever
columns it has, and show what would change in the book FILE: what is new, gone,
dearer and cheaper, by how much, and what all that is left to cut would cost
then. With --yes, or a yes at a terminal, the prices change. Old ones stay in
the book's history: "longpoint quote --on" goes by the prices of a day.

The first time, say which columns mean what. That is kept, so that the next list
needs --supplier alone. Which profile an article is, the offers say, where it
has this name there, or its name is a profile's; else --is says it. Offers that
end on a day stay as they are.`,
		Example: pricesExample,
		Args:    bookArguments("LIST, the supplier's price list,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.run(cmd.Context(), p, args[0], args[1])
		},
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.form.Supplier, "supplier", "", "whose list it is, by `name`")
	flags.StringVar(&f.form.Article, "article", "", "the `heading` of the articles' column")
	flags.StringVar(&f.form.Price, "price", "", "the `heading` of the prices' column")
	flags.StringArrayVar(&f.from, "from", nil, "the prices from so many bundles on, as `N=HEADING`; may be repeated")
	flags.StringVar(&f.form.By, "by", "", "what a price is of: `stick`, bundle, m, ft or a length (default stick)")
	flags.StringVar(&f.form.Length, "length", "", "the `heading` of the sticks' lengths, or lengths with ; between them")
	flags.StringVar(&f.form.Unit, "unit", "", "the `unit` of bare lengths in it: mm, cm, m, in or ft")
	flags.StringVar(&f.form.Bundle, "bundle", "", "sticks in a bundle: a `heading` or a number")
	flags.StringVar(&f.form.Least, "least-charge", "", "where prices are by length, the least for a stick: a `heading` or an amount")
	flags.StringVar(&f.form.Cut, "cut-charge", "", "where prices are by length, on top for cutting a stick: a `heading` or an amount")
	flags.StringArrayVar(&f.is, "is", nil, "an article is this profile, as `ARTICLE=PROFILE`; may be repeated")
	flags.StringVar(&f.form.Sheet, "sheet", "", "the `sheet` of a workbook")
	flags.StringVar(&f.decimal, "decimal", "", "the list's decimal `mark`, point or comma, if it is not the shop's")
	flags.StringVar(&f.marks, "thousands", "", "its `mark` between thousands: point, comma, apostrophe or blank")
	flags.BoolVar(&f.part, "part", false, "LIST is a part: what it lacks stays on offer")
	flags.BoolVar(&f.strict, "strict", false, "refuse a price that is far from all others")
	flags.BoolVar(&f.yes, "yes", false, "change the prices")
	flags.StringVar(&f.how.until, "until", "", "reckon with jobs due up to this `date` only")
	f.how.addTimes(flags)
	flags.BoolVar(&f.json, "json", false, "the answer as JSON")
	f.sign.addFlags(cmd)
	return cmd
}

func (f *pricesFlags) run(ctx context.Context, p *program, path, list string) error {
	if err := f.complete(); err != nil {
		return err
	}
	return p.writing(ctx, path, func(b *book.Book) error {
		form, err := b.PriceForm(ctx, f.form.Supplier)
		if err != nil {
			return err
		}
		if form = form.Over(f.form); form.Article == "" || form.Price == "" {
			return usage("nobody has said yet how the price list of "+f.form.Supplier+" is laid out", `name the headings of its columns with --article and --price; "longpoint prices --help" shows how`)
		}
		if err := notOneOf(list, aTable, aWorkbook); err != nil {
			return err
		}
		in, err := folder.OpenPrices(list, form, f.part)
		if err != nil {
			return err
		}
		tried, err := b.Import(ctx, carefulPrices{in, p, f.strict}, book.Importing{DryRun: true}, f.sign.by())
		if err != nil {
			return err
		}
		f.kept, err = b.Do(ctx, f.sign.by(), book.KeepPriceForm(form))
		if err != nil {
			return err
		}
		a := round.NewPrices(form, list, tried, in.Seen)
		if a.Differ() {
			if err := f.reckon(ctx, p, b, a, tried.After); err != nil {
				return err
			}
		}
		return f.finish(ctx, p, b, a, func() error {
			_, err := b.Import(ctx, in, book.Importing{}, f.sign.by())
			return err
		})
	})
}

// finish shows what would change, and changes it on a yes.
func (f *pricesFlags) finish(ctx context.Context, p *program, b *book.Book, a *round.Prices, change func() error) error {
	changes := a.Differ() || a.Renamed > 0
	yes := f.yes
	if changes && !yes && !f.json && p.atTerminal() {
		if err := p.show(pricesPage(a) + "\n"); err != nil {
			return err
		}
		if !p.agreed("Change these prices?") {
			if f.kept {
				return p.show("No price is changed; how the list is laid out is kept.\n")
			}
			return p.show("Nothing is changed.\n")
		}
		if err := change(); err != nil {
			return err
		}
		return p.show("The prices are in the book.\n")
	}
	last := "\nNothing is changed yet: with --yes it is.\n"
	if f.kept {
		last = "\nHow the list is laid out is kept. The prices are not changed yet: with --yes they\nare.\n"
	}
	switch {
	case !changes:
		last = ""
	case yes:
		if err := change(); err != nil {
			return err
		}
		last, a.Changed = "\nThe prices are in the book.\n", true
	}
	return p.answer(f.json, a, pricesPage(a)+last)
}

// complete reads what is typed in pairs, and the marks.
func (f *pricesFlags) complete() (err error) {
	if f.form.Supplier == "" {
		return usage("--supplier is missing", "say whose price list it is")
	}
	if f.form.Profiles, err = round.Articles(f.is); err != nil {
		return flagError("is", err)
	}
	if f.form.Breaks, err = round.Breaks(f.from); err != nil {
		return flagError("from", err)
	}
	for _, mark := range []struct {
		flag, text, allowed string
		to                  *string
	}{{"decimal", f.decimal, ".,", &f.form.Habits.Decimal}, {"thousands", f.marks, ".,' ", &f.form.Habits.Thousands}} {
		if mark.text == "" {
			continue
		}
		if *mark.to, err = model.ParseMark(mark.text, mark.allowed); err != nil {
			return flagError(mark.flag, err)
		}
	}
	if f.form.Unit != "" && !slices.Contains(round.ListUnits, f.form.Unit) {
		return usage(fmt.Sprintf("--unit: %q is no unit of length", f.form.Unit), "write mm, cm, m, in or ft")
	}
	if _, err := f.form.Per(); err != nil {
		return flagError("by", err)
	}
	if _, err := f.how.limits(); err != nil {
		return err
	}
	return nil
}

// carefulPrices is a price list of which what is odd is named, or refused.
type carefulPrices struct {
	*folder.IncomingPrices
	p      *program
	strict bool
}

// Read reads the list and looks at what of it is odd.
func (c carefulPrices) Read(now *model.Workshop, replace bool) (*model.Workshop, []string, error) {
	w, given, err := c.IncomingPrices.Read(now, replace)
	if err == nil {
		err = c.p.odd(w, c.strict, func(where model.Place) bool { return where.File == c.Path() })
	}
	return w, given, err
}

// reckon plans what is left to cut at the prices before, and at the new ones.
func (f *pricesFlags) reckon(ctx context.Context, p *program, b *book.Book, a *round.Prices, then *model.Workshop) error {
	options, err := f.how.options(then.Habits)
	if err != nil {
		return err
	}
	show := startProgress(p.stderr, then.Currency)
	defer show.stop()
	options.Progress = show.update
	return a.Reckon(ctx, b, options, then.Offers)
}

// pricesPage shows what a price list changes.
func pricesPage(a *round.Prices) string {
	parts := []string{paragraph(fmt.Sprintf("Prices of %s by %s: %s", plain(a.Supplier), plain(a.List), count(a.Rows, "row", "rows")), "")}
	if len(a.Lines) > 0 {
		parts = append(parts, pricesTable(a).String())
	}
	parts = append(parts, paragraph(fmt.Sprintf("%d new, %d gone, %d dearer, %d cheaper, %d as before. %s", a.New, a.Gone, a.Dearer, a.Cheaper, a.Same+a.Renamed, plain(a.Costs())), "")+leftOut(a))
	if a.TakenAsStick() {
		parts = append(parts, paragraph("The prices of the list are taken to be of one stick, and times the sticks in a bundle where it is sold by the bundle. Where they are of a bundle, add --by bundle.", ""))
	}
	return strings.Join(parts, "\n")
}

func pricesTable(a *round.Prices) *table {
	const profileWidth, articleWidth = 16, 14
	c, u := a.Currency, a.Unit
	t := &table{columns: []column{words(""), words("profile"), numbers("stick " + u.String()), words("sold"), words("article"), numbers("was " + c.Code), numbers("is " + c.Code), numbers("%")}}
	for _, l := range a.Lines {
		was, is := l.Was.In(c), l.Is.In(c)
		switch l.What {
		case "new":
			was = ""
		case "gone":
			is = ""
		}
		t.add(l.What, cell(l.Profile, profileWidth), near(l.Length, u), l.Sold(), cell(l.Article, articleWidth), was, is, l.Percent())
	}
	return t
}

// leftOut names what of the list is not taken.
func leftOut(a *round.Prices) string {
	var b strings.Builder
	few := func(all []string) string {
		const most = 5
		if len(all) > most {
			return joinAnd(append(slices.Clone(all[:most]), fmt.Sprintf("%d more", len(all)-most)))
		}
		return joinAnd(all)
	}
	if len(a.Unknown) > 0 {
		b.WriteString(paragraph(fmt.Sprintf("Not a profile of yours: %s. Where one is, say so with --is ARTICLE=PROFILE.", plain(few(a.Unknown))), ""))
	}
	if len(a.Unpriced) > 0 {
		b.WriteString(paragraph("Without a price: "+plain(few(a.Unpriced))+".", ""))
	}
	return b.String()
}
