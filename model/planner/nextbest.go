package planner

import (
	"context"
	"errors"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
)

// NextBest is what it would take to do without one line of the buy list.
type NextBest struct {
	Possible bool        // without it there is still a plan
	More     model.Money // what that plan costs more; meaningless unless Possible
	Grade    plan.Grade  // that plan's; if it is not Proven there may be one that costs less more
}

// nextBestTime is the longest search for one line's next-best plan: these plans are not for cutting, and a list may have
// many lines.
const nextBestTime = time.Second

// NextBests gives the next-best choice for each line of a document's buy list: its profile, with those it was planned
// together with, is planned again as if that price list were not there. What sticks and offcuts are worth stays as it was.
// The workshop and the options must be those that the document was made of. Where a second
// is too short to find any plan without it, that is taken as there being none. Errors are those of Make, except that a list without which
// something cannot be cut is no error; when ctx ends it stops early, with ctx's error.
func NextBests(ctx context.Context, w *model.Workshop, o Options, d *plan.Document) ([]NextBest, error) {
	out := make([]NextBest, len(d.Buy))
	o.TimeLimit = min(o.withDefaults().TimeLimit, nextBestTime)
	o.Progress = nil
	o.memory = &memory{found: map[string]*variant{}} // a profile's plans without another one's price list are the same for each line
	for n, line := range d.Buy {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		names, cost := plannedWith(d, line.Profile)
		o.Profiles, o.leftOut = names, &line
		other, err := Make(ctx, w, o)
		var known model.Errors
		switch {
		case err == nil:
			out[n] = NextBest{Possible: true, More: max(0, other.Total.Figures.Cost-cost), Grade: other.Total.Grade}
		case errors.As(err, &known) && known[0].Kind == model.CannotCut:
			out[n] = NextBest{}
		default:
			return nil, err
		}
	}
	return out, nil
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
