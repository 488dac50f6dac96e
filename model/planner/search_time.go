package planner

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/solver"
)

// leastReserve and mostReserve are the parts of the time limit, in per cent, that are kept at least and at most for what follows the search: checking, and
// the order of cuts. Between them it is as much as the certificates so far will need at the pace of those that were checked. A plan that is made and then
// made to keep what it can has searchPercent for both.
const leastReserve, mostReserve, searchPercent = 5, 40, 85

// secondSlice is how many nodes a problem is searched for in its second turn. Each further turn is twice as long; the first is the root alone, so that something
// is known of every problem early. Time is dealt out in nodes so that the plan does not depend on the clock.
const secondSlice = 8

// slice is how long the turn after so many others is.
func slice(turns int) int {
	if turns == 0 {
		return 1
	}
	return secondSlice << min(turns-1, 20)
}

// errWithin is why a search stops where nothing worth having is left.
type errWithin struct{ share int64 }

func (e errWithin) Error() string {
	percent := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.4f", float64(e.share)/10_000), "0"), ".")
	return "no plan is cheaper by more than " + percent + " %, and there the search was to end"
}

// clock gives a context that ends when the search must end, and the board that ends it where nothing worth having is left.
func (o Options) clock(ctx context.Context, problems []*jointProblem) (context.Context, *board, context.CancelFunc) {
	ctx, stop := context.WithTimeout(ctx, o.TimeLimit*(100-leastReserve)/100)
	ctx, enough := context.WithCancelCause(ctx)
	b := &board{o: o, enough: enough, start: o.begun}
	b.end = time.AfterFunc(o.TimeLimit, func() { enough(context.DeadlineExceeded) })
	for _, jp := range problems {
		b.all = append(b.all, standing{names: jp.profileNames(), profiles: len(jp.profiles)})
	}
	return ctx, b, func() {
		b.end.Stop()
		enough(nil)
		stop()
	}
}

// unchecked notes how long the certificates will take to be checked that the n-th search has found, and ends the searches in time for them.
func (b *board) unchecked(n int, takes time.Duration) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.all[n].unchecked = takes
	check := 0.0
	for _, s := range b.all {
		if !s.done {
			check += s.unchecked.Seconds()
		}
	}
	gone := time.Since(b.start)
	// They grow with the search: at its end, after T − r, they need r = check · (T − r) / gone.
	reserve := time.Duration(float64(b.o.TimeLimit)*check/(gone.Seconds()+check)) + b.o.TimeLimit*leastReserve/100
	b.end.Reset(b.o.TimeLimit - min(reserve, b.o.TimeLimit*mostReserve/100) - gone)
}

// leastCheck is how long checking may at least take after the last moment at which the searches end.
const leastCheck = 300 * time.Millisecond

// lateCheck is the part of the time limit that may be taken for it then: to lose a bound is worse than to end a little late.
const lateCheck = 5

// begin notes that planning begins, and gives the verifier so long that planning ends in time; then its error is context.DeadlineExceeded.
func (o Options) begin() Options {
	o.begun = time.Now()
	verify, end := o.Verify, o.begun.Add(o.TimeLimit*(100-leastReserve)/100+max(leastCheck, o.TimeLimit/lateCheck))
	if verify != nil {
		o.Verify = func(ctx context.Context, cuts []byte) (string, int64, error) {
			clock, stop := context.WithDeadline(ctx, end)
			defer stop()
			grade, bound, err := verify(clock, cuts)
			if err != nil && ctx.Err() == nil && clock.Err() != nil {
				err = context.DeadlineExceeded
			}
			return grade, bound, err
		}
	}
	return o
}

// tried is a certificate that was checked while the search goes on, so that it is known how long that takes: of one with conditions on credits ten times as long as
// of another with as many numbers.
type tried struct {
	numbers int
	cuts    []byte // that the verifier accepted; nil: none
	bound   int64
}

// A certificate is tried where it has leastTried numbers, and triedEvery times as many as the one before. Searches that are over in a triedAfter-th part of the time
// limit need no trial.
const leastTried, triedEvery, triedAfter = 300, 3, 10

// tryCheck has the verifier try the certificate of a search that goes on.
func (jp *jointProblem) tryCheck(ctx context.Context, r solver.Result, o Options, t *tried) {
	numbers, start := jp.numbersOf(r), time.Now()
	if o.Verify == nil || !r.HasPlan || !r.Unfinished || numbers < max(leastTried, triedEvery*t.numbers) || start.Sub(o.begun) < o.TimeLimit/triedAfter {
		return
	}
	cuts, err := solver.Document(jp.problem, r)
	if err != nil {
		return
	}
	_, bound, err := o.Verify(ctx, cuts)
	if ctx.Err() != nil || errors.Is(err, plan.ErrUnchecked) || errors.Is(err, context.DeadlineExceeded) {
		return
	}
	t.numbers = numbers
	o.Known.noteCheck(jp.profileNames(), numbers, time.Since(start))
	if err == nil {
		t.cuts, t.bound = cuts, bound
	}
}

// instead takes what the verifier accepted during the search where there was no time to check the certificate of its end.
func (t *tried) instead(p *proof, f found) {
	if !p.unchecked || t.cuts == nil {
		return
	}
	cuts, err := solver.WithPlan(t.cuts, f.result)
	if err != nil {
		return
	}
	p.cuts, p.bound, p.unchecked = cuts, max(0, min(model.Money(t.bound), f.cost)), false
	p.gap, p.reason = f.cost-p.bound, timeUp
}

// board knows how all searches of a plan stand, and tells of it.
type board struct {
	o      Options
	enough context.CancelCauseFunc
	start  time.Time
	end    *time.Timer // of the searches

	mu  sync.Mutex
	all []standing
}

// standing is how the search of one joint problem stands.
type standing struct {
	names       string
	profiles    int
	hasPlan     bool
	cost, bound model.Money
	unchecked   time.Duration // that its certificates will take to be checked
	done        bool
}

// note takes down how the n-th search stands, and ends all of them where nothing worth having is left.
func (b *board) note(n int, hasPlan bool, cost, bound model.Money, done bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	s := &b.all[n]
	if hasPlan && (!s.hasPlan || cost < s.cost) {
		s.hasPlan, s.cost = true, cost
	}
	s.bound, s.done = max(s.bound, bound), s.done || done
	p := b.progress()
	if b.o.Within > 0 && p.HasPlan && float64(p.Gap)*million <= float64(b.o.Within)*float64(p.Cost) {
		b.enough(errWithin{b.o.Within})
	}
	if b.o.Progress != nil {
		b.o.Progress(p)
	}
}

// gaps gives how far each search is from its bound, and all together. Where one has no plan yet its gap counts as all that is known to be paid.
func (b *board) gaps() (gaps []float64, sum float64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, s := range b.all {
		gap := float64(max(0, s.cost-s.bound))
		if !s.hasPlan {
			gap = float64(s.bound)
		}
		gaps, sum = append(gaps, gap), sum+gap
	}
	return gaps, sum
}

// progress sums up.
func (b *board) progress() Progress {
	p := Progress{Step: b.o.Step, HasPlan: true}
	var widest *standing
	for n := range b.all {
		s := &b.all[n]
		p.All += s.profiles
		p.HasPlan = p.HasPlan && s.hasPlan
		p.Cost, p.Bound = p.Cost+s.cost, p.Bound+s.bound
		switch {
		case s.done:
			p.Done += s.profiles
		case widest == nil, !s.hasPlan && widest.hasPlan, s.hasPlan == widest.hasPlan && s.cost-s.bound > widest.cost-widest.bound:
			widest = s
		}
	}
	if widest != nil {
		p.Proving = widest.names
	}
	p.Gap = max(0, p.Cost-p.Bound)
	return p
}

// timeUp is why a plan is open whose search, or the checking of its certificate, ended at the limit.
const timeUp = "the time limit was reached"

// endOf says why a search ended that had more to do.
func endOf(ctx context.Context) string {
	var within errWithin
	switch cause := context.Cause(ctx); {
	case errors.As(cause, &within):
		return within.Error()
	case errors.Is(cause, context.DeadlineExceeded):
		return timeUp
	case cause != nil:
		return "the search was interrupted"
	}
	return "what was left to search makes no difference"
}

// inTwo halves the time limit, for a plan from nothing and for what is done with it after. The context ends when both must have ended.
func (o Options) inTwo(ctx context.Context) (context.Context, Options, context.CancelFunc) {
	o = o.withDefaults()
	ctx, stop := context.WithTimeout(ctx, o.TimeLimit*searchPercent/100)
	o.TimeLimit = max(1, o.TimeLimit/2)
	return ctx, o, stop
}

// leastMore is the part of the time limit that may at least be taken for what is looked for after a plan and beside it, in per cent.
const leastMore = 3

// More is how long may be taken, of a limit, for what is looked for after a plan and beside it, when planning took so long: nearly as long as that, so that both
// are over in the time of two plans.
func More(limit, took time.Duration) time.Duration {
	return max(1, min(limit-took, max(limit*leastMore/100, took*4/5)))
}
