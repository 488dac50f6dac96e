package audit

import (
	"context"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// Check derives everything in the document again from the workshop, for the jobs due up to the document's own day and
// the profiles it names, and says what is off. No findings means that the plan is right and that its certificates hold
// (where Tools.Verify is nil, that nobody has looked at the certificates is itself a finding). The error says why there was no
// audit: a workshop that does not pass its own check, ctx ended, or the verifier could not finish. Then nothing is known.
func Check(ctx context.Context, w *model.Workshop, d *plan.Document, with Tools) ([]Finding, error) {
	if err := w.Check(); err != nil {
		return nil, err
	}
	if d.Here {
		w = w.Here()
	}
	given := w
	w = hereFirst(w)
	a := &audit{w: w, given: given, d: d, with: with, offcuts: map[string]bool{}, rack: map[string]*model.Stick{}, used: map[string]bool{}}
	for i := range w.Rack {
		a.rack[w.Rack[i].ID] = &w.Rack[i]
	}
	if !a.header() {
		return a.findings, nil
	}
	if err := a.wantSides(); err != nil {
		return nil, err
	}
	a.warnings()
	for i := range d.Profiles {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		a.profile(i)
	}
	if err := a.certificates(ctx, with.Verify); err != nil {
		return nil, err
	}
	a.missingSides()
	a.buy()
	a.jobs()
	a.total()
	return a.findings, nil
}

// Tools are what the audit does not work out by itself.
type Tools struct {
	Verify plan.Verifier // the independent checker of certificates

	// Warnings gives each profile's warnings, in words: of the jobs due up to a day, what is on offer on a day, and some profiles (none: all).
	Warnings func(w *model.Workshop, until, on model.Date, profiles []string) (map[string][]string, error)

	// Least gives a number of settings that every order of these sticks' cuts needs, as far as a search proves.
	Least func(w *model.Workshop, profile, order string, sticks []plan.Stick) int
}

// hereFirst is the workshop with the sticks that are on the way behind those that are here, by the day they are expected and those without
// a day last: the order in which a plan is to take equal ones.
func hereFirst(w *model.Workshop) *model.Workshop {
	now := *w
	now.Rack = nil
	var coming []model.Stick
	for _, s := range w.Rack {
		if s.OnTheWay() {
			coming = append(coming, s)
			continue
		}
		now.Rack = append(now.Rack, s)
	}
	slices.SortStableFunc(coming, func(a, b model.Stick) int {
		if a.Coming.Expected.IsZero() || b.Coming.Expected.IsZero() {
			return strings.Compare(day(b.Coming.Expected), day(a.Coming.Expected)) // no day is last
		}
		return strings.Compare(day(a.Coming.Expected), day(b.Coming.Expected))
	})
	now.Rack = append(now.Rack, coming...)
	return &now
}

// audit is one audit at work.
type audit struct {
	w        *model.Workshop // what is on the way last on its rack
	given    *model.Workshop // as it was given, less what the plan leaves out
	d        *plan.Document
	with     Tools
	until    model.Date
	on       model.Date // of ordering
	findings []Finding

	wanted   map[model.SideID]*wantedSide
	order    []model.SideID      // of wanted
	profiles map[string]*derived // by name, those with something to cut

	rack    map[string]*model.Stick // by id
	used    map[string]bool         // sticks of the rack used so far, by id
	offcuts map[string]bool         // ids given to offcuts so far

	laid map[string]plan.Comparison // what first-fit makes of each profile; nil: not laid out yet
}

// derived is what follows from the jobs for one profile, before looking at its plan.
type derived struct {
	profile    model.Profile
	shapes     []model.Shape
	head, tail model.Length
	apart      model.Length // of the two chops beside damage
	sides      []*wantedSide
	rings      []*wantedRing
	lists      []*priceList
	rate       *big.Rat // what a kept offcut is worth by length; nil: nothing
	warnings   []string
	met        bool // it has a plan in the document
}

// report adds a finding.
func (a *audit) report(code, where, what string, args ...any) {
	a.findings = append(a.findings, Finding{Code: code, Where: where, What: fmt.Sprintf(what, args...)})
}

// in writes a length for a finding, in the workshop's unit.
func (a *audit) in(l model.Length) string { return l.In(a.w.Unit) }

// money writes an amount for a finding.
func (a *audit) money(m model.Money) string { return m.With(a.w.Currency) }

// header checks what the document says of itself. False means that the rest cannot be looked at.
func (a *audit) header() bool {
	same := func(what, got, want string) {
		if got != want {
			a.report("header", "", "the document's %s is %q and the workshop's is %q", what, got, want)
		}
	}
	same("format", a.d.Format, plan.Format)
	same("workshop", a.d.Workshop, a.w.Name)
	same("unit", a.d.Unit, a.w.Unit.String())
	same("currency", a.d.Currency.Code, a.w.Currency.Code)
	if a.d.Currency.Decimals != a.w.Currency.Decimals {
		a.report("header", "", "the document's currency has %d decimals and the workshop's has %d", a.d.Currency.Decimals, a.w.Currency.Decimals)
	}
	if a.d.Until != "" {
		day, err := model.ParseDate(a.d.Until)
		if err != nil {
			a.report("header", "", "the day up to which jobs are planned is no date: %q", a.d.Until)
			return false
		}
		a.until = day
	}
	if a.d.On != "" {
		day, err := model.ParseDate(a.d.On)
		if err != nil {
			a.report("header", "", "the day of ordering is no date: %q", a.d.On)
			return false
		}
		a.on = day
	} else if slices.ContainsFunc(a.w.Offers, func(o model.Offer) bool { return !o.Until.IsZero() }) {
		a.report("header", "", "the day of ordering is missing, and there are offers with a last day: whether they had ended cannot be told")
	}
	for _, name := range a.d.Only {
		if _, ok := a.w.ProfileByName(name); !ok {
			a.report("header", "", "the document is for a profile %q that the workshop does not have", name)
		}
	}
	return true
}

// planned says whether the document is about a profile.
func (a *audit) planned(profile string) bool {
	return len(a.d.Only) == 0 || slices.Contains(a.d.Only, profile)
}

// warnings has the machine's warnings worked out again.
func (a *audit) warnings() {
	warnings, err := a.with.Warnings(a.given, a.until, a.on, a.d.Only)
	if err != nil {
		a.report("impossible", "", "the workshop's sides cannot be planned as the document says: %s", err)
		return
	}
	for name, p := range a.profiles {
		p.warnings = warnings[name]
	}
}

// profile audits one profile's plan.
func (a *audit) profile(i int) {
	p := &a.d.Profiles[i]
	where := "profile " + p.Name
	want := a.profiles[p.Name]
	switch {
	case want == nil:
		a.report("profile", where, "there is nothing to cut from it in these jobs")
		return
	case want.met:
		a.report("profile", where, "it is planned twice")
		return
	}
	want.met = true
	if i > 0 && a.tableIndex(p.Name) < a.tableIndex(a.d.Profiles[i-1].Name) {
		a.report("order", where, "it does not stand in the order of the workshop's table")
	}
	if p.Title != want.profile.Title || p.Width != want.profile.Width {
		a.report("profile", where, "it is described as %q, %s wide, and the workshop says %q, %s", p.Title, a.in(p.Width), want.profile.Title, a.in(want.profile.Width))
	}
	if p.HeadTrim != want.head || p.TailTrim != want.tail {
		a.report("trim", where, "head and tail trim are %s and %s instead of %s and %s", a.in(p.HeadTrim), a.in(p.TailTrim), a.in(want.head), a.in(want.tail))
	}
	if p.Apart != want.apart {
		a.report("trim", where, "the two chops beside damage are to be %s apart instead of %s", a.in(p.Apart), a.in(want.apart))
	}
	if p.SetUp != want.profile.SetUp {
		a.report("profile", where, "the note for setting up is %q, and in the workshop it is %q", p.SetUp, want.profile.SetUp)
	}
	bites := a.w.Machine.Bites(want.profile)
	if p.Bites.Finishing != bites.Finishing {
		a.report("bites", where, "whether the last bite is the finishing bite is %t instead of %t", p.Bites.Finishing, bites.Finishing)
	}
	if p.Bites.Strokes != bites.Strokes || !slices.Equal(p.Bites.Advances, bites.Advances) {
		a.report("bites", where, "the bites are %v in %d strokes instead of %v in %d", p.Bites.Advances, p.Bites.Strokes, bites.Advances, bites.Strokes)
	}
	if !slices.Equal(p.Warnings, want.warnings) {
		a.report("warnings", where, "the warnings are %q instead of %q", p.Warnings, want.warnings)
	}
	a.sticks(p, want)
	a.run(p, want)
	a.figures(p, want)
	a.jobShares(p, want)
	a.firstFit(p)
}

// tableIndex is where a profile stands in the workshop's table.
func (a *audit) tableIndex(name string) int {
	return slices.IndexFunc(a.w.Profiles, func(p model.Profile) bool { return p.Name == name })
}

// jobIndex is where a job stands in the workshop's table, or -1.
func (a *audit) jobIndex(id string) int {
	return slices.IndexFunc(a.w.Jobs, func(j model.Job) bool { return j.ID == id })
}

// finished says whether a verifier's error means that it found something, and not that it could not finish.
func finished(ctx context.Context, err error) bool {
	return ctx.Err() == nil && !errors.Is(err, plan.ErrUnchecked)
}

// list writes names for a finding.
func list(names []string) string {
	if len(names) == 0 {
		return "none"
	}
	return strings.Join(names, ", ")
}
