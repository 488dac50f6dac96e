package main

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/quote"
)

// quoteAnswer is what "longpoint quote --json" prints. Lengths are whole nanometres, money minor units of the currency.
type quoteAnswer struct {
	Format   string        `json:"format"`
	Workshop string        `json:"workshop"`
	Until    string        `json:"until,omitempty"`
	Plan     string        `json:"plan,omitempty"` // the file that yield and worth are taken from
	Currency plan.Currency `json:"currency"`
	*quote.Quotation
	unit     model.Unit
	currency model.Currency
}

// quoteFlags is the command line of "longpoint quote": a job, or one frame.
type quoteFlags struct {
	how       planning
	job       string
	frame     sizeFlags // its sizes, sides and across
	profile   string
	allowance string
	quantity  int
	plan      string
	json      bool
	out       string // the customer's page
	way       int    // by which its price is worked out; 0: by none
	price     string // or that is typed
}

// quote is "longpoint quote": what a job's moulding comes to.
func (p *program) quote() *cobra.Command {
	var f quoteFlags
	cmd := &cobra.Command{
		Use:   "quote [DIR]",
		Short: "Say what a job's or a frame's moulding comes to, in five ways",
		Long: `Work out what the moulding of one job comes to: one of the jobs in the workshop
folder DIR, with --job, or a frame that is not in it yet, with --profile and one
of --content, --rebate, --sight and --outside, written as for "longpoint size".

The answer has the net moulding, the trade's perimeter + 8 × width, the net
moulding with the shop's own share of waste, what the job adds to the cost of
all other jobs due, and what the proof says its sides are worth; with each a
line on what it means and when to charge by it. Nothing is written to DIR.

Yield and worth are those of the plan of the jobs in DIR and this one. --plan
takes them from a plan that "longpoint plan --out" wrote, such as last week's.

--out writes a page for the customer besides: the frames with their sizes and
mouldings and one price, by one of the five ways (--way) or as you say it
(--price). Nothing else of the quotation is on it.`,
		Example: quoteExample,
		Args:    arguments("DIR, the workshop's folder,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.run(cmd, p, args[0])
		},
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.job, "job", "", "the job of this `name` or number, or its customer's name where that is one job's")
	flags.StringVar(&f.profile, "profile", "", "for a frame that is not in jobs.csv: its profile, by `name`")
	flags.StringVar(&f.frame.content, "content", "", "its content `size`, such as \"400 x 500 mm\"")
	flags.StringVar(&f.frame.rebate, "rebate", "", "or its rebate `size`")
	flags.StringVar(&f.frame.sight, "sight", "", "or its sight `size`")
	flags.StringVar(&f.frame.outside, "outside", "", "or its outside `size`")
	flags.IntVar(&f.frame.sides, "sides", 4, "its `number` of sides, 3 to 24")
	flags.BoolVar(&f.frame.across, "across", false, "the size is the distance across flats (even number of sides)")
	flags.StringVar(&f.allowance, "allowance", "", "its play, as a `length`; blank: the workshop's own")
	flags.IntVar(&f.quantity, "quantity", 1, "`number` of equal frames")
	flags.StringVar(&f.plan, "plan", "", "take yield and worth from the plan in this `file`")
	flags.StringVar(&f.how.on, "on", "", "at the prices of this `date`, which a book remembers (default today)")
	flags.StringVar(&f.how.until, "until", "", "of the other jobs only those due up to this `date`")
	f.how.addTimes(flags)
	flags.StringVar(&f.out, "out", "", "write a page for the customer into this `file`, as PDF, or as HTML where it is called so")
	flags.IntVar(&f.way, "way", 0, "with the price by the way of this `number`, 1 to 5")
	flags.StringVar(&f.price, "price", "", "or with this `amount` as the price of all")
	flags.BoolVar(&f.json, "json", false, "the quotation as JSON, lengths in nanometres")
	return cmd
}

func (f *quoteFlags) run(cmd *cobra.Command, p *program, dir string) error {
	if err := cmp.Or(f.either(), f.printable()); err != nil {
		return err
	}
	var ordered []book.Ordered
	var whole book.JobDetails
	workshop, options, err := f.how.read(cmd.Context(), p, dir)
	if err != nil {
		return err
	}
	job, err := f.asked(cmd.Context(), p, dir, workshop)
	if err != nil {
		return err
	}
	if f.job != "" && isBook(dir) {
		err = reading(cmd.Context(), dir, func(b *book.Book) error {
			workshop, ordered, err = b.ForQuotation(cmd.Context(), job.ID)
			if err == nil {
				whole, err = b.Job(cmd.Context(), job.ID)
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	printed, err := f.wholeJob(job, whole)
	if err != nil {
		return err
	}
	if err := f.pricesOf(cmd.Context(), dir, workshop); err != nil {
		return err
	}
	book.OfferAgain(workshop, options.On, ordered)
	recent, err := f.recent(p, workshop)
	if err != nil {
		return err
	}
	show := startProgress(p.stderr, workshop.Currency)
	options.Progress = show.update
	q, err := quote.Job(cmd.Context(), workshop, options, job, recent)
	show.stop()
	if err != nil {
		if f.job == "" {
			return asUsage(err) // the frame is the command line's
		}
		return err
	}
	round.Ordered(q, ordered, whole.Sides)
	c := workshop.Currency
	answer := &quoteAnswer{Format: "longpoint-quote/1", Workshop: workshop.Name, Until: f.how.until, Plan: f.plan,
		Currency: plan.Currency{Code: c.Code, Decimals: c.Decimals}, Quotation: q, unit: workshop.Unit, currency: c}
	text := answer.page()
	if f.json {
		if text, err = asJSON(answer); err != nil {
			return err
		}
	}
	if f.out == "" {
		return p.show(text)
	}
	page, err := f.customersPage(workshop, printed, q)
	if err != nil {
		return err
	}
	if !f.json {
		text += "\n" + paragraph("The customer's page is in "+plain(f.out)+".", "")
	}
	file, err := stage(f.out, page)
	if err != nil {
		return err
	}
	defer file.drop()
	if err := p.show(text); err != nil {
		return err
	}
	return file.keep()
}

// printable says what is wrong with the options for the customer's page.
func (f *quoteFlags) printable() error {
	switch {
	case f.out == "" && (f.way != 0 || f.price != ""):
		return usage("--way and --price are the price on the customer's page", "name the page's file with --out")
	case f.out == "":
		return nil
	case (f.way == 0) == (f.price == ""):
		return usage("the customer's page has one price", "give it with --price, or with --way 1 to 5 as it is worked out")
	case f.way < 0 || f.way > 5:
		return usage(fmt.Sprintf("there is no way %d to work out a price", f.way), "give --way 1 to 5")
	}
	return notThere("out", f.out)
}

// wholeJob gives a job as the customer's page has it: of a book's job all frames, those too that are cut or in a run and so in no plan. By those no price is worked out.
func (f *quoteFlags) wholeJob(job model.Job, d book.JobDetails) (model.Job, error) {
	var frames []model.JobFrame
	for _, frame := range d.Frames {
		if !frame.Dropped {
			frames = append(frames, frame.JobFrame)
		}
	}
	if len(frames) <= len(job.Frames) { // or of no book
		return job, nil
	}
	if job.Frames = frames; f.out != "" && f.price == "" {
		return job, usage(fmt.Sprintf("job %s is cut in part, and a price that is worked out is of the frames that are left", plain(job.ID)), "give the whole job's with --price")
	}
	return job, nil
}

// customersPage makes the page for the customer.
func (f *quoteFlags) customersPage(w *model.Workshop, job model.Job, q *quote.Quotation) ([]byte, error) {
	price, known := model.Money(0), true
	if f.price != "" {
		amount, err := moneyFlag("price", f.price, w.Currency)
		if err != nil {
			return nil, err
		}
		price = amount.Amount
	} else if price, known = q.Way(f.way); !known {
		return nil, usage(fmt.Sprintf("there is no one figure for this job by way %d", f.way), "give --price, or --way with another number")
	}
	source, err := sheet.OrderSource(w, model.Date{Time: time.Now()}, sheet.PrintingOf(w.Printing).Paper)
	if err != nil {
		return nil, err
	}
	piece, err := source.Quotation(job, price, f.price == "")
	if err != nil {
		return nil, err
	}
	if ending := strings.ToLower(filepath.Ext(f.out)); ending == ".html" || ending == ".htm" {
		return sheet.HTML(piece.Title, piece), nil
	}
	return sheet.PDF(piece.Title, piece.Pages())
}

// pricesOf puts the prices of a day that is past in place of today's, where a book remembers them.
func (f *quoteFlags) pricesOf(ctx context.Context, path string, w *model.Workshop) error {
	on, err := w.Habits.ParseDate(cmp.Or(f.how.on, time.Now().Format(time.DateOnly)))
	if err != nil {
		return flagError("on", err)
	}
	if on.String() >= time.Now().Format(time.DateOnly) || !isBook(path) {
		return nil
	}
	return reading(ctx, path, func(b *book.Book) error {
		w.Offers, err = b.OffersOn(ctx, on)
		return err
	})
}

// either demands a job or a frame, and not both.
func (f *quoteFlags) either() error {
	framed := f.profile != "" || f.frame.content != "" || f.frame.rebate != "" || f.frame.sight != "" || f.frame.outside != "" || f.frame.across ||
		f.frame.sides != 4 || f.allowance != "" || f.quantity != 1
	switch {
	case f.job == "" && !framed:
		return usage("it is not said what the quotation is for", "give --job with a job of jobs.csv, or --profile and a size")
	case f.job != "" && framed:
		return usage("--job names a job, and the other options describe a frame", "give the one or the other")
	case f.job == "" && f.profile == "":
		return usage("--profile is missing", "name the profile the frame is made of")
	case f.quantity < 1 || f.quantity > model.MaxQuantity:
		return usage(fmt.Sprintf("--quantity %d is not from 1 to %d", f.quantity, model.MaxQuantity), "check the number")
	}
	return nil
}

// known is the job that --job names, of the workshop or of a book's runs: by its own name, or by its customer's where that is only one job's. Of a book's
// job that a run cuts, or that is cut, the error says how far it is and what its share is; where a part is left to plan, p warns of the rest.
func (f *quoteFlags) known(ctx context.Context, p *program, path string, w *model.Workshop) (job model.Job, err error) {
	type one struct{ name, customer string }
	var all []one
	for _, j := range w.Jobs {
		all = append(all, one{j.ID, j.Customer})
	}
	find := func(b *book.Book) error {
		if b != nil {
			jobs, err := b.Jobs(ctx, true)
			if err != nil {
				return err
			}
			for _, j := range jobs {
				if j.Name == f.job || j.State == book.JobOpen || j.State == book.JobReady {
					all = append(all, one{j.Name, j.Customer})
				}
			}
		}
		var names []string
		for _, j := range all {
			if j.name == f.job {
				names = []string{j.name}
				break
			}
			if strings.EqualFold(j.customer, f.job) && !slices.Contains(names, j.name) {
				names = append(names, j.name)
			}
		}
		switch {
		case len(names) == 0:
			return usage(fmt.Sprintf("--job: there is no job %q", f.job), `use a name from the first column of jobs.csv, one that "longpoint jobs" lists, or a customer's`)
		case len(names) > 1:
			return usage(fmt.Sprintf("--job: %s has several jobs: %s", f.job, joinAnd(names)), "name the one you mean")
		}
		at := slices.IndexFunc(w.Jobs, func(j model.Job) bool { return j.ID == names[0] })
		if at < 0 {
			none, err := round.NoQuotation(ctx, b, names[0], w.Currency)
			if err == nil {
				err = none
			}
			return err
		}
		job = w.Jobs[at]
		if b == nil {
			return nil
		}
		said, err := round.SoFar(ctx, b, job.ID, w.Currency)
		if said != "" {
			p.warn("job %s is cut in part: %s. This quotation leaves out the frames that are wholly cut or in a run", plain(job.ID), plain(said))
		}
		return err
	}
	if !isBook(path) {
		return job, find(nil)
	}
	err = reading(ctx, path, find)
	return job, err
}

// asked is the job the quotation is for: one of the workshop's, or a new one with one frame.
func (f *quoteFlags) asked(ctx context.Context, p *program, path string, w *model.Workshop) (model.Job, error) {
	named := func(id string) func(model.Job) bool { return func(j model.Job) bool { return j.ID == id } }
	if f.job != "" {
		return f.known(ctx, p, path, w)
	}
	if err := knownProfiles(w, []string{f.profile}); err != nil {
		return model.Job{}, err
	}
	size, err := f.frame.frame(w.Unit)
	if err != nil {
		return model.Job{}, err
	}
	allowance := w.Defaults.Allowance
	if f.allowance != "" {
		if allowance, err = model.ParseLength(f.allowance, w.Unit); err != nil {
			return model.Job{}, flagError("allowance", err)
		}
	}
	id := "new frame"
	for n := 2; slices.ContainsFunc(w.Jobs, named(id)); n++ {
		id = fmt.Sprintf("new frame %d", n)
	}
	return model.Job{ID: id, Frames: []model.JobFrame{{ID: "frame", Quantity: f.quantity,
		Rings: []model.Ring{{Profile: f.profile, Allowance: allowance, Size: size}}}}}, nil
}

// recent reads the plan that is named, or gives nil.
func (f *quoteFlags) recent(p *program, w *model.Workshop) (*plan.Document, error) {
	if f.plan == "" {
		return nil, nil
	}
	d, err := p.readPlan(f.plan)
	if err != nil {
		return nil, err
	}
	if d.Currency.Code != w.Currency.Code || d.Currency.Decimals != w.Currency.Decimals {
		return nil, &model.Error{Kind: model.BadInput, Where: model.Place{File: f.plan},
			What: fmt.Sprintf("the plan is in %s and the workshop in %s", d.Currency.Code, w.Currency.Code), Do: "give a plan of this workshop"}
	}
	return d, nil
}

// page is the quotation for people.
func (a *quoteAnswer) page() string {
	title := fmt.Sprintf("Quotation for job %s", plain(a.Job))
	if a.Customer != "" {
		title += " (" + plain(a.Customer) + ")"
	}
	title += fmt.Sprintf(", %s: %s, %s", plain(a.Workshop), count(a.Frames, "frame", "frames"), count(a.Sides, "side", "sides"))
	if said := text.QuotedFor(a.Quotation); said != "" {
		title += ". " + strings.TrimSuffix(said, ".")
	}
	return strings.Join([]string{paragraph(title, ""), a.profiles().String(), a.ways().String(), a.meanings()}, "\n")
}

// profiles is a row a profile.
func (a *quoteAnswer) profiles() *table {
	u, by := a.unit, "a metre"
	if u == model.Inches {
		by = "a foot"
	}
	t := &table{columns: []column{words("profile"), numbers("sides"), numbers("net moulding " + u.String()),
		numbers("perimeter + 8 × width " + u.String()), numbers(by + " " + a.currency.Code)}}
	for _, p := range a.Profiles {
		price, each := "-", p.Metre
		if u == model.Inches {
			each = p.Foot
		}
		if each != nil {
			price = each.In(a.currency)
		}
		t.add(cell(p.Name, 14), fmt.Sprint(p.Sides), near(p.Net, u), near(p.Rule, u), price)
	}
	return t
}

// ways is a row a way of working it out.
func (a *quoteAnswer) ways() *table {
	u := a.unit
	t := &table{columns: []column{words("way"), numbers("moulding " + u.String()), numbers(a.currency.Code)}}
	length := func(name string, l quote.Length) {
		cost := "-"
		if l.Cost != nil {
			cost = l.Cost.In(a.currency)
		}
		t.add(name, near(l.Length, u), cost)
	}
	length("1 net moulding", a.Net)
	length("2 perimeter + 8 × width", a.Rule)
	length("3 at a yield of "+plan.Figures{Yield: a.Yield}.YieldPercent(), a.AtYield)
	marginal := a.Marginal.Cost.In(a.currency)
	if !a.Marginal.Proven {
		marginal = a.Marginal.Least.In(a.currency) + " to " + a.Marginal.Most.In(a.currency)
	}
	t.add("4 what the job adds", "", marginal)
	worth := a.DualValue.Cost.In(a.currency)
	if a.DualValue.None == a.Sides {
		worth = "-"
	}
	t.add("5 what its sides are worth", "", worth)
	return t
}

// meanings says what each way means and when to charge by it.
func (a *quoteAnswer) meanings() string {
	adds := fmt.Sprintf("4 is the plan with the job, %s, less the plan without it, %s: %s. It hangs on the "+
		"other jobs, and can be nothing where the sides come off waste. Charge no less.", a.Marginal.With.With(a.currency), a.Marginal.Without.With(a.currency), text.Unspent(a.Marginal))
	for _, part := range text.JobAdds(a.Marginal, a.currency) {
		adds += " " + part
	}
	if !a.Marginal.Proven {
		adds += " Not both plans are proven, so that only its bounds are known."
	}
	worth := "5 is what the first step of the proof says each of its sides is worth to all the jobs together: long ones, and those that fill " +
		"a stick badly, above their length. Charge by it when jobs share sticks, so that none pays for another's waste."
	if a.DualValue.Longer > 0 {
		worth += fmt.Sprintf(" The proof does not list %s: priced as the next longer length, which they are worth at most.", count(a.DualValue.Longer, "side", "sides"))
	}
	for _, sentence := range text.NoWorth(a.Quotation) {
		worth += " " + plain(sentence)
	}
	out := paragraph("1 is what hangs on the wall, at the lowest price by length. Charge by it only where waste is charged apart.", "  ") +
		paragraph("2 is the trade's rule of thumb (in general + 2 × sides × width × tan of the mitre). Its reserve is the same for every shop: for a price over the telephone.", "  ") +
		paragraph("3 is what moulding like it uses up in your shop. Charge by it in a price list.", "  ") +
		paragraph(adds, "  ") + paragraph(worth, "  ")
	if a.Net.Cost == nil {
		out += paragraph("There is no price for one of the profiles: give it an offer, or a metre_price.", "")
	}
	return out + paragraph("All of it is moulding alone: no glass, no work, no profit.", "")
}
