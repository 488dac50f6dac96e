package planner

import (
	"context"
	"errors"
	"fmt"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
)

// NextBest is what it would take to do without one line of the buy list.
type NextBest struct {
	Unknown  bool        // the time was up before any plan without it was found; there may be one
	Possible bool        // without it there is still a plan
	More     model.Money // what that plan costs more; meaningless unless Possible
	Grade    plan.Grade  // that plan's; if it is not Proven there may be one that costs less more
}

// NextBests gives the next-best choice for each line of a document's buy list: its profile, with those it was planned
// together with, is planned again as if that price list were not there. What sticks and offcuts are worth stays as it was.
// The workshop and the options must be those that the document was made of; with the same Options.Known, what the plan has found of other profiles
// serves here. Options.TimeLimit is for all lines together. Errors are those of Make, except that a list without which
// something cannot be cut is no error; when ctx ends it stops early, with ctx's error.
func NextBests(ctx context.Context, w *model.Workshop, o Options, d *plan.Document) ([]NextBest, error) {
	out := make([]NextBest, len(d.Buy))
	o = o.withDefaults()
	start, limit := time.Now(), o.TimeLimit
	for n, line := range d.Buy {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		names, cost := plannedWith(d, line.Profile)
		o.Profiles, o.leftOut, o.CostsOnly = names, &line, true
		o.TimeLimit = max(1, (limit-time.Since(start))/time.Duration(len(d.Buy)-n))
		o.Step = fmt.Sprintf("without line %d of %d", n+1, len(d.Buy))
		other, err := o.without(ctx, w, line)
		var known model.Errors
		switch {
		case err == nil:
			out[n] = NextBest{Possible: true, More: max(0, other.Total.Figures.Cost-cost), Grade: other.Total.Grade}
		case errors.Is(err, ErrNoPlan):
			out[n] = NextBest{Unknown: true}
		case errors.As(err, &known) && known[0].Kind == model.CannotCut:
			out[n] = NextBest{}
		default:
			return nil, err
		}
	}
	return out, nil
}

// without plans without a line of the buy list. Where its profile has no plan even from all suppliers without their terms, no others are planned.
func (o Options) without(ctx context.Context, w *model.Workshop, line plan.Purchase) (*plan.Document, error) {
	if len(o.Profiles) > 1 {
		alone := o
		alone.Profiles, alone.restriction, alone.Within, alone.Verify, alone.Progress = []string{line.Profile}, &restriction{}, million, nil, nil
		for _, s := range w.Suppliers {
			alone.restriction.open = append(alone.restriction.open, s.Name)
		}
		if _, err := Make(ctx, w, alone); onlyCannotCut(err) && !errors.Is(err, ErrNoPlan) {
			return nil, err
		}
	}
	return Make(ctx, w, o)
}

// plannedWith gives the profiles that one was planned together with, itself included, and what they cost.
func plannedWith(d *plan.Document, profile string) (names []string, cost model.Money) {
	for _, p := range d.Profiles {
		if p.Name != profile {
			continue
		}
		if p.Together == 0 {
			return []string{p.Name}, p.Figures.Cost
		}
		t := d.Together[p.Together-1]
		return t.Profiles, t.Cost
	}
	return nil, 0
}
