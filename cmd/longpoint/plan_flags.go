package main

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"longpoint/cmd/longpoint/round"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/planner"
)

// planning is what "plan" and "buy" share: which workshop, which jobs, how long to search.
type planning struct {
	until     string
	on        string
	profiles  []string
	here      bool // leave out what is on the way
	strict    bool // what is odd in the tables is an error
	timeLimit time.Duration
	within    string // share of the cost
	order     string // of the cuts; empty: the plan's own default
	anew      bool   // without regard to what a book's last plan has marked out
}

// planningFlags are the names of the flags of planning.
var planningFlags = []string{"until", "on", "profile", "time-limit", "within"}

// addFlags gives a command the flags of planning.
func (o *planning) addFlags(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.StringVar(&o.until, "until", "", "only jobs due up to this `date`, such as 2027-03-12")
	flags.StringVar(&o.on, "on", "", "order on this `date`, which leaves out offers that have ended (default today)")
	flags.StringArrayVar(&o.profiles, "profile", nil, "only this profile, by `name`; may be repeated")
	flags.BoolVar(&o.here, "here", false, "plan with what is here, and leave out what is on the way")
	flags.BoolVar(&o.strict, "strict", false, "refuse a size, length or price that is far from all others")
	o.addTimes(flags)
}

// addTimes gives a command the flags that say when planning is to end.
func (o *planning) addTimes(flags *pflag.FlagSet) {
	flags.DurationVar(&o.timeLimit, "time-limit", usualTimeLimit(),
		"longest time for all of it, such as 10s or 2m")
	flags.StringVar(&o.within, "within", "0 %", "end the search where no plan is cheaper by more than this `share`")
}

// timeVariable says how long a command may take where --time-limit does not.
const timeVariable = "LONGPOINT_TIME_LIMIT"

// usualTimeLimit is how long a command may take where the command line does not say; 0 where timeVariable is no time.
func usualTimeLimit() time.Duration {
	text := os.Getenv(timeVariable)
	if text == "" {
		return planner.DefaultTimeLimit
	}
	limit, err := time.ParseDuration(text)
	if err != nil {
		return 0
	}
	return limit
}

// millionths reads a share of the cost in per cent.
func (o *planning) millionths() (int64, error) {
	const one = 10_000 // a per cent in millionths
	text := cmp.Or(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(o.within), "%")), "0")
	percent, err := strconv.ParseFloat(text, 64)
	if err != nil || !(percent >= 0 && percent <= 100) {
		return 0, usage(fmt.Sprintf("--within: %q is no share of the cost", o.within), "write it in per cent, like 0.1 %")
	}
	return int64(math.Round(percent * one)), nil
}

// setOrder takes the order of cuts as it is typed.
func (o *planning) setOrder(word string) error {
	switch word {
	case "sticks":
		o.order = plan.StickByStick
	case "stops":
		o.order = plan.StopByStop
	default:
		return usage(fmt.Sprintf("--order: there is no order %q", word), "write sticks or stops")
	}
	return nil
}

// makeFrom reads the workshop and plans it, and gives the workshop and the options that the plan was made from too. It shows
// progress while that lasts, and says afterwards which profiles were left open.
func (o *planning) makeFrom(ctx context.Context, p *program, dir string) (*plan.Document, *model.Workshop, planner.Options, error) {
	workshop, options, err := o.read(ctx, p, dir)
	if err != nil {
		return nil, nil, options, err
	}
	show := startProgress(p.stderr, workshop.Currency)
	options.Progress = show.update
	document, err := o.make(ctx, dir, workshop, options)
	show.stop()
	if err != nil {
		return nil, nil, options, err
	}
	p.warnOpen(document)
	var cutFrom map[model.SideID][]string
	if isBook(dir) {
		if err := reading(ctx, dir, func(b *book.Book) (err error) {
			cutFrom, err = b.CutFrom(ctx)
			return err
		}); err != nil {
			return nil, nil, options, err
		}
	}
	for _, mind := range planner.UnmatchedFrames(workshop, document.Profiles, cutFrom) {
		p.warn("%s", mind)
	}
	p.warnWide(workshop, document)
	return document, workshop, options, nil
}

// make plans a workshop. As much as can be of what a book's last plan has marked out, where it was ordered or is being cut, stays as it is.
func (o *planning) make(ctx context.Context, path string, w *model.Workshop, options planner.Options) (*plan.Document, error) {
	var marked *plan.Document
	if isBook(path) && !o.anew {
		if err := reading(ctx, path, func(b *book.Book) (err error) {
			marked, err = round.Marked(ctx, b, options)
			return err
		}); err != nil {
			return nil, err
		}
	}
	return round.Plan(ctx, w, marked, options)
}

// warnWide says which of a plan's profiles are too wide for the blades that are mounted.
func (p *program) warnWide(w *model.Workshop, d *plan.Document) {
	for _, pp := range d.Profiles {
		profile, _ := w.ProfileByName(pp.Name)
		if warning, ok := w.Machine.ReviewBlades(profile); !ok {
			p.warn("%s", warning)
		}
	}
}

// options reads the flags, and days as the shop writes them.
func (o *planning) options(habits model.Habits) (planner.Options, error) {
	options, err := o.limits()
	if err != nil {
		return options, err
	}
	o.on = cmp.Or(o.on, time.Now().Format(time.DateOnly))
	for _, day := range []struct {
		flag string
		text *string
		to   *model.Date
	}{{"until", &o.until, &options.Until}, {"on", &o.on, &options.On}} {
		if *day.text == "" {
			continue
		}
		if *day.to, err = habits.ParseDate(*day.text); err != nil {
			return options, flagError(day.flag, err)
		}
		*day.text = day.to.String()
	}
	return options, nil
}

// limits reads the flags but for those that are days.
func (o *planning) limits() (planner.Options, error) {
	options := planner.Options{
		Profiles:  o.profiles,
		Here:      o.here,
		TimeLimit: o.timeLimit,
		Known:     planner.NewKnown(),
		CutOrder:  o.order,
		Verify:    verify,
		MadeWith:  "longpoint " + release,
	}
	if o.timeLimit <= 0 {
		return options, usage("--time-limit must be more than nothing, and "+timeVariable+" a time", "write it like 10s or 2m")
	}
	var err error
	options.Within, err = o.millionths()
	return options, err
}

// read reads the workshop and makes options of the flags.
func (o *planning) read(ctx context.Context, p *program, dir string) (*model.Workshop, planner.Options, error) {
	if options, err := o.limits(); err != nil {
		return nil, options, err
	}
	workshop, err := p.workshop(ctx, dir)
	if err != nil {
		return nil, planner.Options{}, err
	}
	options, err := o.options(workshop.Habits)
	if err != nil {
		return nil, options, err
	}
	if o.strict {
		if err := workshop.OddErrors(); err != nil {
			return nil, options, err
		}
	}
	return workshop, options, knownProfiles(workshop, o.profiles)
}

// warnOpen says which profiles were left open, in one line for each reason.
func (p *program) warnOpen(d *plan.Document) {
	var reasons []string
	names := map[string][]string{}
	for _, pp := range d.Profiles {
		if pp.Grade != plan.Open {
			continue
		}
		if names[pp.Reason] == nil {
			reasons = append(reasons, pp.Reason)
		}
		names[pp.Reason] = append(names[pp.Reason], pp.Name)
	}
	for _, reason := range reasons {
		is := "is"
		if len(names[reason]) > 1 {
			is = "are"
		}
		p.warn("%s %s open: %s; the plan can be cut, but a cheaper one may exist", joinAnd(names[reason]), is, reason)
	}
}

// knownProfiles says which of the named profiles the workshop does not have.
func knownProfiles(w *model.Workshop, names []string) error {
	var errs model.Errors
	for _, name := range names {
		if _, ok := w.ProfileByName(name); !ok {
			errs = append(errs, usage(fmt.Sprintf("--profile: there is no profile %q", name),
				`use a name from the first column of profiles.csv, or one that "longpoint rack" lists`))
		}
	}
	return errs.AsError()
}

// currencyOf gives the currency a document's money is in.
func currencyOf(d *plan.Document) model.Currency {
	return model.Currency{Code: d.Currency.Code, Decimals: d.Currency.Decimals}
}

// scope says which jobs and profiles a document is about.
func scope(d *plan.Document, dates model.DateOrder) string {
	s := "all jobs"
	if d.Until != "" {
		s = "jobs due up to " + dates.Rewrite(d.Until)
	}
	if d.On != "" {
		s += ", ordered on " + dates.Rewrite(d.On)
	}
	if len(d.Only) > 0 {
		s += ", only " + joinAnd(d.Only)
	}
	return s
}
