package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/model/planner"
)

// pricesFlags is the command line of "longpoint prices".
type pricesFlags struct {
	form            model.PriceForm
	is, from        []string
	decimal, marks  string
	part, yes, json bool
	strict          bool
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
needs --supplier alone. What an article is goes by its name in the offers, by
the name of a profile, or by --is. Offers that end on a day stay as they are.`,
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
	flags.StringArrayVar(&f.from, "from", nil, "prices from more bundles on, as `N=HEADING`; may be repeated")
	flags.StringVar(&f.form.By, "by", "", "what a price is of: `stick`, bundle, m, ft or a length (default stick)")
	flags.StringVar(&f.form.Length, "length", "", "the `heading` of the sticks' lengths, or lengths with ; between them")
	flags.StringVar(&f.form.Unit, "unit", "", "the `unit` of bare lengths in it: mm, cm, m, in or ft")
	flags.StringVar(&f.form.Bundle, "bundle", "", "sticks in a bundle: a `heading` or a number")
	flags.StringVar(&f.form.Least, "least-charge", "", "by length, the least for a stick: a `heading` or an amount")
	flags.StringVar(&f.form.Cut, "cut-charge", "", "by length, on top for cutting a stick: a `heading` or an amount")
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
		if _, err := b.Do(ctx, f.sign.by(), book.KeepPriceForm(form)); err != nil {
			return err
		}
		a := newPricesAnswer(form, list, tried, in.Seen)
		if a.New+a.Gone+a.Dearer+a.Cheaper > 0 {
			if err := a.reckon(ctx, p, b, f.how, tried.After.Offers); err != nil {
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
func (f *pricesFlags) finish(ctx context.Context, p *program, b *book.Book, a *pricesAnswer, change func() error) error {
	changes := a.New+a.Gone+a.Dearer+a.Cheaper+a.Renamed > 0
	yes := f.yes
	if changes && !yes && !f.json && p.atTerminal() {
		if err := p.show(a.page() + "\n"); err != nil {
			return err
		}
		if !p.agreed("Change these prices?") {
			return p.show("Nothing is changed.\n")
		}
		if err := change(); err != nil {
			return err
		}
		return p.show("The prices are in the book.\n")
	}
	last := "\nNothing is changed yet: with --yes it is.\n"
	switch {
	case !changes:
		last = ""
	case yes:
		if err := change(); err != nil {
			return err
		}
		last, a.Changed = "\nThe prices are in the book.\n", true
	}
	return p.answer(f.json, a, a.page()+last)
}

// complete reads what is typed in pairs, and the marks.
func (f *pricesFlags) complete() (err error) {
	if f.form.Supplier == "" {
		return usage("--supplier is missing", "say whose price list it is")
	}
	f.form.Profiles = map[string]string{}
	for _, pair := range f.is {
		at := strings.LastIndex(pair, "=")
		if at < 1 || at == len(pair)-1 {
			return usage(fmt.Sprintf("--is: %q is no article and profile", pair), "write it like --is 4711=oak-40")
		}
		f.form.Profiles[strings.Join(strings.Fields(pair[:at]), " ")] = pair[at+1:]
	}
	for _, pair := range f.from {
		text, heading, _ := strings.Cut(pair, "=")
		n, err := strconv.Atoi(text)
		if err != nil || n < 2 || heading == "" {
			return usage(fmt.Sprintf("--from: %q is no number and heading", pair), `write it like --from "10=from 10 on"`)
		}
		f.form.Breaks = append(f.form.Breaks, model.PriceBreak{From: n, Column: heading})
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
	if !slices.Contains([]string{"", "mm", "cm", "m", "in", "ft"}, f.form.Unit) {
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

// pricesAnswer is what "longpoint prices --json" prints. Lengths are whole nanometres, money minor units of the currency.
type pricesAnswer struct {
	Format   string        `json:"format"`
	Supplier string        `json:"supplier"`
	List     string        `json:"list"`
	Lines    []priceChange `json:"lines"`
	New      int           `json:"new"`
	Gone     int           `json:"gone"`
	Dearer   int           `json:"dearer"`
	Cheaper  int           `json:"cheaper"`
	Same     int           `json:"same"`
	Renamed  int           `json:"renamed"` // at the same price, another article or way to print it
	folder.PricesSeen
	Was      *model.Money `json:"was,omitempty"` // what is left to cut costs at the prices before
	Is       *model.Money `json:"is,omitempty"`  // and at these
	NoPlan   string       `json:"no_plan,omitempty"`
	Changed  bool         `json:"changed"`
	unit     model.Unit
	currency model.Currency
	asStick  bool // nobody said what a price of the list is of
}

// priceChange is an offer that is new, gone, dearer or cheaper.
type priceChange struct {
	What    string       `json:"what"`
	Profile string       `json:"profile"`
	Length  model.Length `json:"length_nm"`
	Bundle  int          `json:"bundle"`
	From    int          `json:"from"`
	Article string       `json:"article,omitempty"`
	Was     model.Money  `json:"was"`
	Is      model.Money  `json:"is"`
}

func newPricesAnswer(form model.PriceForm, list string, r book.Imported, seen folder.PricesSeen) *pricesAnswer {
	a := &pricesAnswer{Format: "longpoint-prices/1", Supplier: form.Supplier, List: list, Lines: []priceChange{}, PricesSeen: seen, unit: r.After.Unit, currency: r.After.Currency, asStick: form.By == ""}
	type key struct {
		profile         string
		length, longest model.Length
		bundle, from    int
	}
	of := func(w *model.Workshop) (offers []model.Offer, at map[key]model.Offer) {
		at = map[key]model.Offer{}
		for _, o := range w.Offers {
			k := key{o.Profile, o.Length, o.Longest, o.PerBundle(), o.LeastBundles()}
			if _, twice := at[k]; o.Supplier == form.Supplier && o.Until.IsZero() && !twice {
				at[k] = o
				offers = append(offers, o)
			}
		}
		return offers, at
	}
	was, before := of(r.Before)
	is, after := of(r.After)
	add := func(what string, n *int, o model.Offer, was, is model.Money) {
		*n++
		a.Lines = append(a.Lines, priceChange{what, o.Profile, o.Length, o.PerBundle(), o.LeastBundles(), o.Article, was, is})
	}
	for _, o := range is {
		old, there := before[key{o.Profile, o.Length, o.Longest, o.PerBundle(), o.LeastBundles()}]
		switch {
		case !there:
			add("new", &a.New, o, 0, o.Price)
		case o.Price > old.Price:
			add("dearer", &a.Dearer, o, old.Price, o.Price)
		case o.Price < old.Price:
			add("cheaper", &a.Cheaper, o, old.Price, o.Price)
		case o.Article != old.Article || o.ByLength != old.ByLength:
			a.Renamed++
		default:
			a.Same++
		}
	}
	for _, o := range was {
		if _, there := after[key{o.Profile, o.Length, o.Longest, o.PerBundle(), o.LeastBundles()}]; !there {
			add("gone", &a.Gone, o, o.Price, 0)
		}
	}
	return a
}

// reckon plans what is left to cut at the prices before, and at the new ones.
func (a *pricesAnswer) reckon(ctx context.Context, p *program, b *book.Book, how planning, offers []model.Offer) error {
	w, _, err := b.Rest(ctx)
	if err != nil || len(w.Jobs) == 0 {
		return err
	}
	options, err := how.options(w.Habits)
	if err != nil {
		return err
	}
	show := startProgress(p.stderr, w.Currency)
	defer show.stop()
	options.Progress = show.update
	then := *w
	then.Offers = offers
	for _, plan := range []struct {
		at   *model.Workshop
		cost **model.Money
	}{{w, &a.Was}, {&then, &a.Is}} {
		d, err := planner.Make(ctx, plan.at, options)
		if err != nil {
			if ctx.Err() != nil {
				return err
			}
			a.NoPlan = err.Error()
			return nil
		}
		*plan.cost = &d.Total.Figures.Cost
	}
	return nil
}

// page shows what a price list changes.
func (a *pricesAnswer) page() string {
	parts := []string{paragraph(fmt.Sprintf("Prices of %s by %s: %s", plain(a.Supplier), plain(a.List), count(a.Rows, "row", "rows")), "")}
	if len(a.Lines) > 0 {
		parts = append(parts, a.table().String())
	}
	parts = append(parts, paragraph(fmt.Sprintf("%d new, %d gone, %d dearer, %d cheaper, %d as before.%s", a.New, a.Gone, a.Dearer, a.Cheaper, a.Same+a.Renamed, a.costs()), "")+a.leftOut())
	if a.asStick && slices.ContainsFunc(a.Lines, func(l priceChange) bool { return l.Bundle > 1 }) {
		parts = append(parts, paragraph("The prices of the list are taken to be of one stick, and times the sticks in a bundle where it is sold by the bundle. Where they are of a bundle, add --by bundle.", ""))
	}
	return strings.Join(parts, "\n")
}

func (a *pricesAnswer) table() *table {
	const profileWidth, articleWidth = 16, 14
	c, u := a.currency, a.unit
	t := &table{columns: []column{words(""), words("profile"), numbers("stick " + u.String()), words("sold"), words("article"), numbers("was " + c.Code), numbers("is " + c.Code), numbers("%")}}
	for _, l := range a.Lines {
		was, is, by := l.Was.In(c), l.Is.In(c), ""
		switch {
		case l.What == "new":
			was = ""
		case l.What == "gone":
			is = ""
		case l.Was > 0:
			by = fmt.Sprintf("%+.1f", 100*(float64(l.Is)/float64(l.Was)-1)) // shown only
		}
		var sold []string
		if l.Bundle > 1 {
			sold = append(sold, fmt.Sprintf("by %d", l.Bundle))
		}
		if l.From > 1 {
			sold = append(sold, fmt.Sprintf("from %d", l.From))
		}
		t.add(l.What, cell(l.Profile, profileWidth), near(l.Length, u), strings.Join(sold, " "), cell(l.Article, articleWidth), was, is, by)
	}
	return t
}

// costs says what that means for what is left to cut.
func (a *pricesAnswer) costs() string {
	c := a.currency
	switch {
	case a.NoPlan != "":
		return " What is left to cut cannot be planned: " + plain(a.NoPlan) + "."
	case a.Was == nil || a.Is == nil:
		return ""
	}
	text := fmt.Sprintf(" All that is left to cut costs %s now and %s at these prices", a.Was.With(c), a.Is.With(c))
	switch more := *a.Is - *a.Was; {
	case more > 0:
		text += ", " + more.With(c) + " more"
	case more < 0:
		text += ", " + (-more).With(c) + " less"
	default:
		text += ", the same"
	}
	return text + "."
}

// leftOut names what of the list is not taken.
func (a *pricesAnswer) leftOut() string {
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
