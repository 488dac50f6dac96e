package planner

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// ErrNoPlan is wrapped by the error for a profile whose search was stopped before it found a plan or showed that there is none. It happens
// only where nothing is on offer: with offers there is first-fit's plan.
var ErrNoPlan = errors.New("no plan was found before the search stopped")

// Make plans the workshop's jobs. The document is nil when there is an error: everything wrong with the workshop's
// references, every side that no stick can give, or a fault of ours, such as a plan that the verifier rejects. When ctx
// ends, or a profile's time is up, the profile gets the best plan so far, graded Open.
//
// Profiles are searched side by side; the document does not depend on how their searches interleave. It is the same
// from run to run unless a time limit cut a search short.
func Make(ctx context.Context, w *model.Workshop, o Options) (*plan.Document, error) {
	o = o.withDefaults()
	if err := w.Check(); err != nil {
		return nil, err
	}
	if o.Here {
		w = w.Here()
	}
	profiles, err := prepare(w, o)
	if err != nil {
		return nil, err
	}
	plans, together, err := solveAll(ctx, w, profiles, o)
	if err != nil {
		return nil, err
	}
	nameOffcuts(w, plans)
	d := &plan.Document{Format: plan.Format, MadeWith: o.MadeWith, Workshop: w.Name, Unit: w.Unit.String(),
		Currency: plan.Currency{Code: w.Currency.Code, Decimals: w.Currency.Decimals},
		Profiles: []plan.ProfilePlan{}, Together: together, Buy: buyList(w, plans)}
	for _, p := range plans {
		d.Profiles = append(d.Profiles, p.plan)
	}
	d.Here = o.Here
	d.Sum(w)
	if !o.Until.IsZero() {
		d.Until = o.Until.String()
	}
	if !o.On.IsZero() && slices.ContainsFunc(w.Offers, func(o model.Offer) bool { return !o.Until.IsZero() }) {
		d.On = o.On.String()
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

// profileOutcome is the plan for one profile and what is bought for it.
type profileOutcome struct {
	plan  plan.ProfilePlan
	lines []plan.Purchase
}

// solveAll searches the joint problems in turns and gives the plans in the profiles' order, and what was planned together.
// Errors of all of them come together.
func solveAll(ctx context.Context, w *model.Workshop, profiles []*profileProblem, o Options) ([]profileOutcome, []plan.Together, error) {
	all := jointProblems(w, profiles)
	o = o.begin()
	ctx, board, stop := o.clock(ctx, all)
	defer stop()
	outcomes := make([][]profileOutcome, len(all))
	groups := make([]*plan.Together, len(all))
	errs := make([]error, len(all))
	q := newQueue(board)
	for n, jp := range all {
		q.add(&turn{jointProblem: jp, n: n, o: o, board: board})
	}
	var working sync.WaitGroup
	for range min(o.Workers, len(all)) {
		working.Go(func() {
			for t := q.next(); t != nil; t = q.next() {
				done, start := false, time.Now()
				errs[t.n] = t.recovered(func() (err error) {
					if done, err = t.goOn(ctx); done && err == nil {
						outcomes[t.n], groups[t.n], err = t.finish(ctx)
					}
					return err
				})
				t.spent += time.Since(start)
				q.back(t, done || errs[t.n] != nil)
			}
		})
	}
	working.Wait()
	if err := join(errs); err != nil {
		return nil, nil, err
	}
	byProfile := map[*profileProblem]profileOutcome{}
	var together []plan.Together
	for n, jp := range all {
		if groups[n] != nil {
			together = append(together, *groups[n])
		}
		for m, pp := range jp.profiles {
			one := outcomes[n][m]
			if groups[n] != nil {
				one.plan.Together = len(together)
			}
			byProfile[pp] = one
		}
	}
	plans := make([]profileOutcome, len(profiles))
	for n, pp := range profiles {
		plans[n] = byProfile[pp]
	}
	return plans, together, nil
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

// turn is a joint problem whose search takes turns with others.
type turn struct {
	*jointProblem
	n      int // on the board
	o      Options
	board  *board
	turns  int // that it has had
	spent  time.Duration
	sets   *setSearch // of several profiles
	search *search
	result solver.Result
	tried  tried
}

// goOn searches for one turn, and says whether there is nothing more to search for. Of several profiles the plans are made up from those that
// each has alone for every set of suppliers; where these do not settle it, all are searched as one problem.
func (t *turn) goOn(ctx context.Context) (done bool, err error) {
	if t.turns == 0 {
		if err := t.valid(); err != nil {
			return false, err
		}
		if firstFit := t.firstFit(); firstFit.complete() {
			t.board.note(t.n, true, sumOf(firstFit), 0, false)
		}
		if len(t.profiles) > 1 {
			t.sets = t.newSearch(t.o)
		}
	}
	t.turns++
	if t.sets != nil && !t.sets.stuck {
		err := t.sets.goOn(ctx)
		if t.sets.best != nil {
			t.board.note(t.n, true, t.sets.best.cost, t.sets.boundOfAll(), false)
		}
		t.board.unchecked(t.n, t.sets.checks())
		return ctx.Err() != nil || t.sets.settled(), err
	}
	if t.search == nil {
		if t.search, err = t.o.Known.of(t.problem, t.profileNames()); err != nil {
			return false, err
		}
	}
	t.result, err = t.search.run(ctx, solver.Options{NodeLimit: slice(t.turns - 1), Progress: func(s solver.Progress) {
		t.board.note(t.n, s.HasPlan, model.Money(s.Cost), model.Money(s.LowerBound), false)
	}})
	if err != nil {
		return false, t.fault("the search failed", err)
	}
	t.board.note(t.n, t.result.HasPlan, model.Money(t.result.Cost), model.Money(t.result.LowerBound), false)
	t.tryCheck(ctx, t.result, t.o, &t.tried)
	t.board.unchecked(t.n, t.checkOf(t.result, t.o))
	return !t.result.Unfinished || ctx.Err() != nil, nil
}

// valid says whether the problem can be searched at all.
func (jp *jointProblem) valid() error {
	if err := jp.problem.Validate(); err != nil {
		return &model.Error{Kind: model.BadInput, What: jp.name() + " is too large to plan", Err: err,
			Do: "look for a length or a price with too many digits"}
	}
	return nil
}

// sumOf is what first-fit's plan costs.
func sumOf(firstFit firstFitResult) (sum model.Money) {
	for _, f := range firstFit.figures {
		sum += f.Cost
	}
	return sum
}

// finish describes what was found.
func (t *turn) finish(ctx context.Context) (outcomes []profileOutcome, together *plan.Together, err error) {
	var p proof
	if len(t.profiles) == 1 {
		outcomes, p, err = t.finishOne(ctx)
	} else {
		outcomes, together, p, err = t.finishTogether(ctx)
	}
	if err != nil {
		return nil, nil, err
	}
	var cost model.Money
	for _, one := range outcomes {
		cost += one.plan.Figures.Cost
	}
	t.board.note(t.n, true, cost, p.bound, true)
	return outcomes, together, nil
}

// finishOne describes the plan of a profile that stands alone.
func (t *turn) finishOne(ctx context.Context) ([]profileOutcome, proof, error) {
	f, err := t.found(ctx, t.result, !t.o.CostsOnly)
	if err != nil {
		return nil, proof{}, err
	}
	p, err := t.prove(ctx, f, t.o)
	if refused, ok := errors.AsType[*refusal](err); ok {
		if f, p, ok = t.firstFitInstead(ctx, refused, t.o.Verify); ok {
			err = nil
		}
	}
	if err != nil {
		return nil, proof{}, t.unverified(err)
	}
	t.tried.instead(&p, f)
	outcomes, err := t.outcomes(f.solutions, f.firstFit, p, f.cost, t.o)
	if err != nil {
		return nil, proof{}, err
	}
	outcomes[0].plan.Cuts = p.cuts
	return outcomes, p, nil
}

// finishTogether describes the plan of profiles that suppliers' terms bind.
func (t *turn) finishTogether(ctx context.Context) ([]profileOutcome, *plan.Together, proof, error) {
	together := &plan.Together{Cases: []plan.Case{}, Suppliers: []string{}}
	var best *setPlan
	bound, open := model.Money(0), ""
	if t.sets != nil {
		var err error
		if together.Cases, open, err = t.sets.prove(ctx); err != nil {
			return nil, nil, proof{}, err
		}
		best, bound = t.sets.best, t.sets.boundOfAll()
	}
	if t.search != nil || best == nil {
		if t.search == nil {
			t.result = solver.Result{Status: solver.Stopped, Reason: endOf(ctx)}
		}
		f, err := t.found(ctx, t.result, !t.o.CostsOnly)
		if err != nil && best == nil {
			return nil, nil, proof{}, err
		}
		if err == nil && (best == nil || f.cost < best.cost) {
			best = &setPlan{problem: t.jointProblem, solutions: f.solutions, cost: f.cost}
		}
		if err == nil && t.search != nil {
			p, err := t.prove(ctx, f, t.o)
			if refused, ok := errors.AsType[*refusal](err); ok {
				open, err = refused.reason(), nil
			}
			if err != nil {
				return nil, nil, proof{}, err
			}
			together.Cuts = p.cuts
			bound = max(bound, p.bound)
		}
	}
	if open == "" && ctx.Err() != nil {
		open = endOf(ctx)
	}
	if !t.o.CostsOnly {
		best.solutions = best.problem.simplified(ctx, best.solutions)
	}
	p := t.togetherProof(best.cost, bound, open, t.o)
	outcomes, err := best.problem.outcomes(best.solutions, t.firstFit(), p, best.cost, t.o)
	if err != nil {
		return nil, nil, proof{}, err
	}
	for n, pp := range t.profiles { // the plan may be of profiles that do not know of some offers
		outcomes[n].plan.Warnings = append([]string{}, pp.warnings...)
		together.Profiles = append(together.Profiles, pp.profile.Name)
	}
	together.Cost, together.Bound, together.Gap, together.Grade, together.Reason = best.cost, p.bound, p.gap, p.grade, p.reason
	for _, s := range t.terms {
		together.Suppliers = append(together.Suppliers, s.Name)
	}
	return outcomes, together, p, nil
}

// found is what a search found for a joint problem, before sides are assigned to sticks.
type found struct {
	solutions []solution
	firstFit  firstFitResult
	cost      model.Money
	result    solver.Result
}

// found reads what a search found, or takes first-fit's plan where that is better. With simplify it makes the plan simpler to cut where it can.
func (jp *jointProblem) found(ctx context.Context, result solver.Result, simplify bool) (found, error) {
	result.Patterns = jp.fewerSticks(ctx, result)
	f := found{firstFit: jp.firstFit()}
	var err error
	if f.solutions, f.result, err = jp.settle(result, f.firstFit); err != nil {
		return found{}, err
	}
	if simplify {
		f.solutions = jp.simplified(ctx, f.solutions)
		f.result = jp.restated(f.result, f.solutions) // where the search was stopped, it may earn more for what it leaves
	}
	f.cost = model.Money(f.result.Cost)
	return f, nil
}

// prove writes the certificate of what was found, and has it verified. A certificate that is refused is tried with less proof (weaker); what is refused
// even so is a *refusal.
func (jp *jointProblem) prove(ctx context.Context, f found, o Options) (proof, error) {
	start := time.Now()
	defer func() { o.Known.noteCheck(jp.profileNames(), jp.numbersOf(f.result), time.Since(start)) }()
	if f.result.Unfinished {
		f.result.Reason = endOf(ctx)
	}
	cuts, err := solver.Document(jp.problem, f.result)
	if err != nil {
		return proof{}, jp.fault("the plan cannot be written down", err)
	}
	p, err := jp.grade(ctx, cuts, f.cost, f.result, o.Verify)
	if refused, ok := errors.AsType[*refusal](err); ok {
		return jp.weaker(ctx, f, refused, o.Verify)
	}
	return p, err
}

// unverified is the error for a plan that the verifier refuses where there is no other.
func (jp *jointProblem) unverified(err error) error {
	if refused, ok := errors.AsType[*refusal](err); ok {
		return jp.fault("the checker rejects the plan", refused)
	}
	return err
}

// togetherProof returns bound, gap and grade of profiles planned together. Their bound is a sum of bounds that the verifier accepted, unless there is
// no verifier. open is the reason why a profile planned alone was left open; empty: none was.
func (jp *jointProblem) togetherProof(cost, bound model.Money, open string, o Options) proof {
	p := proof{bound: min(bound, cost)}
	p.gap = cost - p.bound
	switch {
	case o.Verify == nil:
		p.grade, p.reason = plan.Open, "the certificates have not been checked"
	case p.gap > 0 && open != "":
		p.grade, p.reason = plan.Open, open
	case p.gap > 0:
		p.grade, p.reason = plan.Open, "what the suppliers ask of an order was not settled before the search stopped"
	default:
		p.grade = plan.Proven
	}
	return p
}

// outcomes returns the profiles' plans for solutions, with their cuts in order where they are asked for. It works out the cost once more and fails where it differs.
func (jp *jointProblem) outcomes(all []solution, firstFit firstFitResult, p proof, cost model.Money, o Options) ([]profileOutcome, error) {
	out := jp.describe(all, firstFit)
	for n, pp := range jp.profiles {
		if !o.CostsOnly {
			pp.findRun(&out[n].plan, o.CutOrder)
		}
	}
	var sum model.Money
	for n := range out {
		one := &out[n].plan
		sum += one.Figures.Cost
		one.Gap = min(p.gap, one.Figures.Cost)
		one.Bound, one.Grade, one.Reason = one.Figures.Cost-one.Gap, p.grade, p.reason
	}
	if sum != cost {
		return nil, jp.fault(fmt.Sprintf("its plan costs %d and its sticks %d", cost, sum), nil)
	}
	return out, nil
}

// profileNames names the joint problem's profiles.
func (jp *jointProblem) profileNames() string {
	names := make([]string, len(jp.profiles))
	for n, pp := range jp.profiles {
		names[n] = pp.profile.Name
	}
	return strings.Join(names, ", ")
}

// name is what the joint problem is called in an error.
func (jp *jointProblem) name() string {
	if len(jp.profiles) == 1 {
		return "profile " + jp.profileNames()
	}
	return "profiles " + jp.profileNames() + ", bound together by suppliers' terms,"
}

func (jp *jointProblem) fault(what string, err error) error {
	return &model.Error{Kind: model.Fault, What: jp.name() + ": " + what, Err: err,
		Do: "nothing you did is wrong: please report it, if you can with the workshop's files"}
}

// firstFitResult is what first-fit makes of a joint problem.
type firstFitResult struct {
	solutions []solution
	leftOver  []int  // sides of each profile that find no stick
	short     []bool // whether an order that a profile is in does not come to what it must
	figures   []plan.Figures
}

// complete says whether every side found a stick, and every order comes to what it must.
func (h firstFitResult) complete() bool {
	return !slices.ContainsFunc(h.leftOver, func(n int) bool { return n > 0 }) && !slices.Contains(h.short, true)
}

// firstFit lays out each profile's sides by first-fit. Orders that do not come to what they must are made larger.
func (jp *jointProblem) firstFit() firstFitResult {
	if jp.laid != nil {
		return *jp.laid
	}
	var h firstFitResult
	for _, pp := range jp.profiles {
		sol, leftOver := pp.firstFit()
		h.solutions, h.leftOver = append(h.solutions, sol), append(h.leftOver, leftOver)
	}
	jp.topUp(h.solutions)
	deliveries := jp.deliveries(h.solutions)
	for n, pp := range jp.profiles {
		h.figures = append(h.figures, pp.figures(h.solutions[n], deliveries[n]))
		short := false
		for m, s := range pp.supplies {
			short = short || h.solutions[n].bundles[m] > 0 && !jp.enoughOrdered(h.solutions, s.supplier)
		}
		h.short = append(h.short, short)
	}
	jp.laid = &h
	return h
}

// settle gives the solutions that make up the plan, and the search's result as they have it: the search's own, or first-fit's where the
// search was stopped with none or a dearer one. The solutions have their longest offcuts.
func (jp *jointProblem) settle(r solver.Result, firstFit firstFitResult) ([]solution, solver.Result, error) {
	patterns, choices := jp.patternsAndChoices(firstFit.solutions)
	usable := firstFit.complete() && jp.allowed(firstFit.solutions, choices)
	cost := jp.cost(patterns, choices)
	var found []solution
	if r.HasPlan {
		found = jp.solutions(r.Patterns, r.Choices)
		// A plan that is not the cheapest may buy of one list at several prices, and more than makes sense at one.
		if _, choices := jp.patternsAndChoices(found); !jp.allowed(found, choices) {
			r.HasPlan, r.Status = false, solver.Stopped
			r.Reason = cmp.Or(r.Reason, "what it found cannot be ordered")
		}
	}
	switch {
	case usable && (r.Status == solver.Infeasible || r.CertifiedBound > cost):
		return nil, r, jp.fault("the search claims that a plan at hand cannot be", nil)
	case r.Status == solver.Infeasible:
		return nil, r, jp.missing(firstFit)
	case usable && (!r.HasPlan || cost < r.Cost):
		found = firstFit.solutions
		r.HasPlan, r.Status, r.LowerBound = true, solver.Stopped, min(r.LowerBound, cost)
		r.Reason = cmp.Or(r.Reason, "first-fit was better than what the search had")
	case !r.HasPlan:
		return nil, r, &model.Error{Kind: model.CannotCut, What: jp.name(), Err: fmt.Errorf("%w (%s)", ErrNoPlan, r.Reason),
			Do: `allow more time with "longpoint plan --time-limit 60s", add an offer, or plan the jobs of fewer days at a time with --until`}
	}
	found = slices.Clone(found)
	for n, pp := range jp.profiles {
		found[n].layouts = pp.lengthen(found[n].layouts)
	}
	return found, jp.restated(r, found), nil
}

// restated gives a result with the patterns, choices and cost of other solutions.
func (jp *jointProblem) restated(r solver.Result, all []solution) solver.Result {
	r.Patterns, r.Choices = jp.patternsAndChoices(all)
	r.Cost = jp.cost(r.Patterns, r.Choices)
	r.LowerBound = min(r.LowerBound, r.Cost)
	if len(jp.problem.Choices) == 0 {
		r.Choices = nil
	}
	return r
}

// allowed says whether no choice is made oftener than the problem has it, and every order comes to what it must.
func (jp *jointProblem) allowed(all []solution, choices []int64) bool {
	for n, times := range choices {
		if times > jp.problem.Choices[n].Most {
			return false
		}
	}
	for n, pp := range jp.profiles {
		if choices == nil {
			break
		}
		// More bundles of a list than the problem has there cannot be said in choices.
		said := make([]int64, len(pp.supplies))
		for d, decision := range pp.decisions {
			if decision.kind == buyBundles {
				said[decision.supply] += choices[pp.firstChoice+d] * decision.bundles
			}
		}
		for m, s := range pp.supplies {
			if !s.single() && said[m] != all[n].bundles[m] {
				return false
			}
		}
	}
	for _, s := range jp.terms {
		if !jp.enoughOrdered(all, s.Name) {
			return false
		}
	}
	return true
}

// missing returns the error for a joint problem that has no plan.
func (jp *jointProblem) missing(firstFit firstFitResult) error {
	var errs model.Errors
	for n, pp := range jp.profiles {
		if firstFit.leftOver[n] > 0 {
			errs = append(errs, pp.missing(firstFit.leftOver[n]))
		}
	}
	if len(errs) > 0 {
		return errs[0]
	}
	return &model.Error{Kind: model.CannotCut, What: jp.name() + " cannot be cut: no choice of sticks and orders gives all sides",
		Do: `add an offer or more sticks, or leave later jobs out with "longpoint plan --until DAY"`}
}

// missing says how much moulding a profile lacks where there is no plan.
func (pp *profileProblem) missing(leftOver int) *model.Error {
	var need, have model.Length
	for _, u := range pp.units {
		need += u.need
	}
	for _, k := range pp.kinds {
		have += k.usable * model.Length(len(k.rack))
	}
	var whole []unit // that must each lie on one stick
	for _, u := range pp.units {
		if len(u.pieces) > 1 {
			whole = append(whole, u)
		}
	}
	u := pp.w.Unit
	what := fmt.Sprintf("profile %s: its %d sides take %s and the rack has %s that can be used", pp.profile.Name, len(pp.pieces), need.Near(u), have.Near(u))
	if len(pp.supplies) == 0 {
		what += ", with nothing on offer"
	}
	do := "add an offer or more sticks of this profile, or put off a job"
	short := len(pp.supplies) == 0 && need > have
	if short {
		what += fmt.Sprintf(": %s is missing", (need - have).Near(u))
	}
	switch {
	case len(whole) > 0:
		what += ": the sides do not go on the sticks there are with each of these on one stick: " + pp.onOneStick(whole) + "; " + pp.longestThere()
		do = "write free under match for some of them, add an offer or longer sticks, or put off a job"
	case len(pp.bound) > 0:
		var rings [][]int
		for _, b := range pp.bound {
			rings = append(rings, b.rings...)
		}
		what += ": the sides do not go on the sticks there are with each of these frames from one lot: " + pp.framesOf(rings)
		do = "write free under match for some of them, add an offer or more sticks of one lot, or put off a job"
	case !short:
		what += fmt.Sprintf(": the sides do not go on the sticks there are; laid longest first, %d of them find none", leftOver)
	}
	return &model.Error{Kind: model.CannotCut, Where: pp.profile.Where, What: what, Do: do}
}

// describe turns solutions into sticks and purchases, with their sums.
func (jp *jointProblem) describe(all []solution, firstFit firstFitResult) []profileOutcome {
	deliveries := jp.deliveries(all)
	out := make([]profileOutcome, len(jp.profiles))
	for n, pp := range jp.profiles {
		p := plan.ProfilePlan{Name: pp.profile.Name, Title: pp.profile.Title, Width: pp.profile.Width, SetUp: pp.profile.SetUp,
			HeadTrim: pp.trims.Head, TailTrim: pp.trims.Tail, Apart: pp.trims.Apart, Bites: pp.bites(), Sticks: pp.sticks(all[n]),
			Figures: pp.figures(all[n], deliveries[n]), Warnings: append([]string{}, pp.warnings...),
			FirstFit: plan.Comparison{Complete: firstFit.leftOver[n] == 0 && !firstFit.short[n], LeftOver: firstFit.leftOver[n], Figures: firstFit.figures[n]}}
		p.Jobs = pp.jobShares(p.Shared())
		out[n] = profileOutcome{plan: p, lines: pp.purchases(all[n])}
	}
	return out
}

func (pp *profileProblem) bites() plan.Bites {
	b := pp.w.Machine.Bites(pp.profile)
	return plan.Bites{Strokes: b.Strokes, Finishing: b.Finishing, Advances: append([]model.Length{}, b.Advances...)}
}
