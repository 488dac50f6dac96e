package planner

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"longpoint/model"
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
	b := &board{o: o, enough: enough, start: time.Now()}
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

// unchecked notes how many numbers the certificates have that the n-th search has found, all of them and the largest, and ends the searches in time for them.
func (b *board) unchecked(n, all, largest int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.all[n].unchecked = max(largest, all/b.o.Workers)
	numbers := 0
	for _, s := range b.all {
		if !s.done {
			numbers += s.unchecked
		}
	}
	gone := time.Since(b.start)
	check := b.o.Known.checkOf(numbers).Seconds()
	// They grow with the search: at its end, after T − r, they need r = check · (T − r) / gone.
	reserve := time.Duration(float64(b.o.TimeLimit)*check/(gone.Seconds()+check)) + b.o.TimeLimit*leastReserve/100
	b.end.Reset(b.o.TimeLimit - min(reserve, b.o.TimeLimit*mostReserve/100) - gone)
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
	unchecked   int // numbers of certificates that follow each other in checking
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

// endOf says why a search ended that had more to do.
func endOf(ctx context.Context) string {
	var within errWithin
	switch cause := context.Cause(ctx); {
	case errors.As(cause, &within):
		return within.Error()
	case errors.Is(cause, context.DeadlineExceeded):
		return "the time limit was reached"
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

// leastMore is how long may at least be taken for what is looked for after a plan and beside it.
const leastMore = 2 * time.Second

// More is how long may be taken, of a limit, for what is looked for after a plan and beside it, when planning took so long: as long as that.
func More(limit, took time.Duration) time.Duration {
	return max(1, min(limit-took, max(leastMore, took)))
}
