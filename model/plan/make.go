package plan

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"longpoint/model"
	"longpoint/solver"
)

// ErrNoPlan is wrapped by the error for a profile whose search was stopped before it had any plan, or knew that there is
// none. That happens only where the rack is all there is, for with offers there is first-fit's plan.
var ErrNoPlan = errors.New("no plan was found before the search stopped")

// Make plans the workshop's jobs. The document is nil when there is an error: everything wrong with the workshop's
// references, every side that no stick can give, or a fault of ours, such as a plan that the verifier rejects. When ctx
// ends, or a profile's time is up, the profile gets the best plan so far, graded Open.
//
// Profiles are searched side by side; the document does not depend on how their searches interleave. It is the same
// from run to run unless a time limit cut a search short.
func Make(ctx context.Context, w *model.Workshop, o Options) (*Document, error) {
	o = o.withDefaults()
	if err := w.Check(); err != nil {
		return nil, err
	}
	tasks, err := prepare(w, o)
	if err != nil {
		return nil, err
	}
	plans, err := solveAll(ctx, tasks, o)
	if err != nil {
		return nil, err
	}
	nameOffcuts(w, plans)
	d := &Document{Format: Format, MadeWith: o.MadeWith, Workshop: w.Name, Unit: w.Unit.String(),
		Currency: Currency{Code: w.Currency.Code, Decimals: w.Currency.Decimals},
		Profiles: plans, Buy: buyList(w, plans), Jobs: jobCosts(w, plans), Total: total(plans)}
	if !o.Until.IsZero() {
		d.Until = o.Until.String()
	}
	if len(o.Profiles) > 0 {
		d.Only = inTableOrder(w, o.Profiles)
	}
	return d, nil
}

// inTableOrder gives the names in the order of the table of profiles, each once.
func inTableOrder(w *model.Workshop, names []string) []string {
	var out []string
	for _, p := range w.Profiles {
		if slices.Contains(names, p.Name) {
			out = append(out, p.Name)
		}
	}
	return out
}

// solveAll searches the tasks side by side and gives their plans in the tasks' order. Errors of all of them come
// together.
func solveAll(ctx context.Context, tasks []*task, o Options) ([]ProfilePlan, error) {
	plans := make([]ProfilePlan, len(tasks))
	errs := make([]error, len(tasks))
	var reporting sync.Mutex
	report := func(p Progress) {
		if o.Progress != nil {
			reporting.Lock()
			defer reporting.Unlock()
			o.Progress(p)
		}
	}
	next := make(chan int)
	var workers sync.WaitGroup
	for range min(o.Workers, len(tasks)) {
		workers.Go(func() {
			for n := range next {
				plans[n], errs[n] = tasks[n].caught(func() (ProfilePlan, error) { return tasks[n].plan(ctx, o, report) })
			}
		})
	}
	for n := range tasks {
		next <- n
	}
	close(next)
	workers.Wait()
	return plans, join(errs)
}

// join gives one error for all.
func join(errs []error) error {
	var known model.Errors
	for _, err := range errs {
		var one *model.Error
		switch {
		case err == nil:
		case errors.As(err, &one):
			known = append(known, one)
		default:
			known = append(known, &model.Error{Kind: model.Fault, What: "planning failed", Err: err})
		}
	}
	return known.AsError()
}

// plan searches one profile and describes what was found.
func (t *task) plan(ctx context.Context, o Options, report func(Progress)) (ProfilePlan, error) {
	progress := Progress{Profile: t.profile.Name}
	result, err := solver.Solve(ctx, t.problem, solver.Options{TimeLimit: o.TimeLimit, Progress: func(s solver.Progress) {
		progress.HasPlan, progress.Cost, progress.Bound = s.HasPlan, model.Money(s.Cost), model.Money(s.Lower)
		progress.Gap = progress.Cost - progress.Bound
		report(progress)
	}})
	if err != nil {
		return ProfilePlan{}, t.fault("the search failed", err)
	}
	open, left := t.firstFit()
	firstFit := t.compare(open, left)
	if err := t.settle(&result, open, firstFit); err != nil {
		return ProfilePlan{}, err
	}
	cuts, err := solver.Document(t.problem, result)
	if err != nil {
		return ProfilePlan{}, t.fault("the plan cannot be written down", err)
	}
	p := t.describe(result)
	p.FirstFit = firstFit
	p.Cuts = cuts
	if err := t.grade(ctx, &p, result, o.Verify); err != nil {
		return ProfilePlan{}, err
	}
	report(Progress{Profile: p.Name, HasPlan: true, Cost: p.Figures.Cost, Bound: p.Bound, Gap: p.Gap, Done: true, Grade: p.Grade})
	return p, nil
}

// settle makes sure that there is a plan and that first-fit's is no better: a search that was stopped early may have
// none, or a dearer one, and then first-fit's is the plan.
func (t *task) settle(r *solver.Result, open []layout, firstFit Comparison) error {
	cost := int64(firstFit.Figures.Cost)
	switch {
	case firstFit.Complete && (r.Status == solver.Impossible || r.Certified > cost):
		return t.fault("the search claims that a plan at hand cannot be", nil)
	case r.Status == solver.Impossible:
		return t.missing(firstFit)
	case firstFit.Complete && (!r.HasPlan || cost < r.Cost):
		r.Patterns, r.Cost, r.HasPlan = t.patterns(open), cost, true
		r.Status = solver.Stopped
		r.Lower = min(r.Lower, cost)
		if r.Reason == "" {
			r.Reason = "first-fit was better than what the search had"
		}
	case !r.HasPlan:
		return &model.Error{Kind: model.CannotCut, What: "profile " + t.profile.Name, Err: fmt.Errorf("%w (%s)", ErrNoPlan, r.Reason),
			Do: "allow more time, add an offer of this profile, or plan the jobs of fewer days at a time"}
	}
	return nil
}

// missing says how far the rack falls short where there is no plan.
func (t *task) missing(firstFit Comparison) error {
	var need, have model.Length
	for _, it := range t.items {
		need += it.need * model.Length(len(it.pieces))
	}
	for _, k := range t.kinds {
		have += k.usable * model.Length(len(k.rack))
	}
	u := t.w.Unit
	what := fmt.Sprintf("profile %s: its %d sides take %s and the rack has %s that can be used, with nothing on offer",
		t.profile.Name, len(t.pieces), need.Near(u), have.Near(u))
	if need > have {
		what += fmt.Sprintf(": %s is missing", (need - have).Near(u))
	} else {
		what += fmt.Sprintf(": the sides do not go on the sticks there are; laid longest first, %d of them find none", firstFit.LeftOver)
	}
	return &model.Error{Kind: model.CannotCut, Where: t.profile.Where, What: what,
		Do: "add an offer or more sticks of this profile, or put off a job"}
}

func (t *task) fault(what string, err error) error {
	return &model.Error{Kind: model.Fault, What: "profile " + t.profile.Name + ": " + what, Err: err,
		Do: "nothing you did is wrong: please report it, if you can with the workshop's files"}
}

// describe turns the solver's plan back into sticks, with their sums.
func (t *task) describe(r solver.Result) ProfilePlan {
	layouts := t.layouts(r.Patterns)
	p := ProfilePlan{Name: t.profile.Name, Title: t.profile.Title, Width: t.profile.Width,
		HeadTrim: t.head, TailTrim: t.tail, Bites: t.bites(),
		Sticks: t.sticks(layouts), Warnings: append([]string{}, t.warnings...)}
	for _, l := range layouts {
		var longPoints model.Length
		for _, i := range l.items {
			longPoints += t.items[i].longPoint
		}
		t.add(&p.Figures, t.kinds[l.kind], len(l.items), longPoints, l.used)
	}
	p.Jobs = t.jobShares(p.Figures.Cost)
	return p
}

func (t *task) bites() Bites {
	b := t.w.Machine.Bites(t.profile)
	return Bites{Strokes: b.Strokes, Finishing: b.Finishing, Advances: append([]model.Length{}, b.Advances...)}
}

// checkTime is how long the verifier may take for one profile. It has its own clock so that a plan in hand is still
// checked after an interrupt; a check takes milliseconds for a workshop's profile.
const checkTime = 10 * time.Second

// grade has the plan verified and gives it the grade it earned: the worse of what the search claims and what the
// verifier accepts. A plan that the verifier rejects is a fault of ours, and no plan at all: it may be the plan that
// is wrong and not only its bound.
func (t *task) grade(ctx context.Context, p *ProfilePlan, r solver.Result, verify Verifier) error {
	bound, earned, reason := model.Money(r.Certified), Open, "the certificate has not been checked"
	if verify != nil {
		clock, stop := context.WithTimeout(context.WithoutCancel(ctx), checkTime)
		defer stop()
		grade, lower, err := verify(clock, p.Cuts)
		switch {
		case err == nil:
			bound, earned, reason = model.Money(lower), Grade(grade), r.Reason
		case errors.Is(err, ErrUnchecked), clock.Err() != nil:
			reason = "the certificate could not be checked: " + err.Error()
		default:
			return t.fault("the checker rejects the plan", err)
		}
	}
	p.Bound = min(bound, p.Figures.Cost)
	p.Gap = p.Figures.Cost - p.Bound
	p.Grade = worse(claim(r.Status), earned)
	if p.Grade == Proven && p.Gap != 0 {
		p.Grade = Searched
	}
	if p.Grade != Proven {
		p.Reason = reason
		if p.Reason == "" {
			p.Reason = "part of the search has no certificate"
		}
	}
	return nil
}

// claim is the grade that the search claims.
func claim(s solver.Status) Grade {
	switch s {
	case solver.Certified:
		return Proven
	case solver.Searched:
		return Searched
	}
	return Open
}

// worse gives the worse of two grades; what is no grade counts as Open.
func worse(a, b Grade) Grade {
	rank := func(g Grade) int { return slices.Index([]Grade{Searched, Proven}, g) }
	if rank(b) < rank(a) {
		a = b
	}
	if rank(a) < 0 {
		return Open
	}
	return a
}

// nameOffcuts gives every kept offcut an id that is not on the rack yet.
func nameOffcuts(w *model.Workshop, plans []ProfilePlan) {
	onRack := map[string]bool{}
	for _, s := range w.Rack {
		onRack[s.ID] = true
	}
	n := 0
	for p := range plans {
		for s := range plans[p].Sticks {
			left := &plans[p].Sticks[s].Left
			for left.Becomes == Kept && left.ID == "" {
				n++
				if id := fmt.Sprintf("offcut %d", n); !onRack[id] {
					left.ID = id
				}
			}
		}
	}
}

// total sums the profiles.
func total(plans []ProfilePlan) Total {
	t := Total{Grade: Proven, FirstFit: Comparison{Complete: true}}
	for _, p := range plans {
		t.Figures.plus(p.Figures)
		t.Bound += p.Bound
		t.Gap += p.Gap
		t.Grade = worse(t.Grade, p.Grade)
		t.FirstFit.Figures.plus(p.FirstFit.Figures)
		t.FirstFit.LeftOver += p.FirstFit.LeftOver
		t.FirstFit.Complete = t.FirstFit.Complete && p.FirstFit.Complete
	}
	return t
}
