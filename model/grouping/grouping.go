package grouping

import (
	"cmp"
	"context"
	"fmt"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/stock"
)

// Period says which jobs are cut in one go: those due in one day, calendar week, fortnight or month.
type Period string

// The periods. Weeks begin on Monday (ISO 8601), fortnights with the week of the first job.
const (
	ByDay       Period = "day"
	ByWeek      Period = "week"
	ByFortnight Period = "fortnight"
	ByMonth     Period = "month"
)

// Periods lists them, shortest first.
func Periods() []Period { return []Period{ByDay, ByWeek, ByFortnight, ByMonth} }

// Grouping is the same jobs cut in the batches of one period, each planned for itself, with the rack that the batch before
// has left. Beside it stands first-fit by longest side, batch by batch with a rack of its own.
type Grouping struct {
	By       Period      `json:"by"`
	Batches  []Batch     `json:"batches"` // by day
	Plan     Outcome     `json:"plan"`
	Grade    plan.Grade  `json:"grade"`     // the worst of the batches'
	Gap      model.Money `json:"gap"`       // of all batches' costs over their bounds
	FirstFit Outcome     `json:"first_fit"` // of the batches as far as first-fit gets them cut
	Complete bool        `json:"first_fit_complete"`

	shares map[string]model.Money // what each job costs
}

// Batch is the jobs that are cut in one go.
type Batch struct {
	From     string       `json:"from,omitempty"` // the first day on which one of its jobs is due; empty: they have no day
	To       string       `json:"to,omitempty"`   // the last
	Jobs     int          `json:"jobs"`
	Plan     Cutting      `json:"plan"`
	Grade    plan.Grade   `json:"grade"`
	SameRack plan.Figures `json:"first_fit_same_rack"` // first-fit from the very rack the plan was made for
	FirstFit Cutting      `json:"first_fit"`           // first-fit from the rack that first-fit has left
}

// Cutting is what one batch takes, and the rack after it.
type Cutting struct {
	Figures plan.Figures `json:"figures"`
	Bought  model.Length `json:"bought_nm"`
	Rack    Rack         `json:"rack_after"`
}

// Rack sums the sticks and offcuts on a rack.
type Rack struct {
	Sticks int          `json:"sticks"`
	Length model.Length `json:"length_nm"`
	Value  model.Money  `json:"value"`
}

// Outcome is what all batches together take. What they cost by themselves does not add up to money: an offcut is paid for
// with its stick and valued again when it is used. So the cost here is Net: what is paid, and by how much less the rack is worth.
type Outcome struct {
	Figures plan.Figures `json:"figures"` // sums; RackValue and Cost count an offcut again each time it is used
	Bought  model.Length `json:"bought_nm"`
	Rack    Rack         `json:"rack_after"`
	Net     model.Money  `json:"net"` // Figures.Purchases + Figures.Delivery + the rack's value before − its value after
}

// JobByPeriod is a job's share of what its batch costs, period by period.
type JobByPeriod struct {
	Job      string        `json:"job"`
	Customer string        `json:"customer,omitempty"`
	Due      string        `json:"due,omitempty"`
	Costs    []model.Money `json:"costs"` // in the order of the groupings
	Gains    model.Money   `json:"gains"` // the first cost less the least of the others; 0 where none is less
}

// Compare plans the workshop's jobs due up to Options.Until once for each period, as if they were cut in its batches.
// Options.TimeLimit is for all of them together. Errors are those of Make. When ctx ends, plans are the best so far, graded Open.
func Compare(ctx context.Context, w *model.Workshop, o planner.Options, periods []Period) ([]Grouping, []JobByPeriod, error) {
	if err := w.Check(); err != nil {
		return nil, nil, err
	}
	batches := 0
	for _, by := range periods {
		batches += len(inPeriods(w, o.Until, by))
	}
	t := &timing{end: time.Now().Add(cmp.Or(o.TimeLimit, planner.DefaultTimeLimit)), batches: batches}
	if o.Known == nil {
		o.Known = planner.NewKnown() // a day alone in its week is the same batch
	}
	var all []Grouping
	for _, by := range periods {
		g, err := groupBy(ctx, w, o, by, t)
		if err != nil {
			return nil, nil, err
		}
		all = append(all, *g)
	}
	return all, jobsByPeriod(w, o, all), nil
}

// timing deals out the time to the batches.
type timing struct {
	end     time.Time
	batches int // still to be planned
}

// next is how long the next batch may take: what others leave of their time goes to those after them.
func (t *timing) next() time.Duration {
	left := max(1, time.Until(t.end)/time.Duration(max(1, t.batches)))
	t.batches--
	return left
}

// RackOf sums a workshop's rack.
func RackOf(w *model.Workshop) Rack {
	var r Rack
	for _, s := range w.Rack {
		r.Sticks++
		r.Length += s.Length - s.Begun
		r.Value += w.StickValue(s)
	}
	return r
}

func groupBy(ctx context.Context, w *model.Workshop, o planner.Options, by Period, t *timing) (*Grouping, error) {
	g := &Grouping{By: by, Batches: []Batch{}, Grade: plan.Proven, Complete: true, shares: map[string]model.Money{}}
	ours, theirs := w, w
	all := inPeriods(w, o.Until, by)
	for n, jobs := range all {
		o.Step, o.TimeLimit = fmt.Sprintf("by %s, %d of %d", by, n+1, len(all)), t.next()
		b := Batch{Jobs: len(jobs), From: jobs[0].Due.String(), To: jobs[len(jobs)-1].Due.String()}
		now := ours.WithJobs(jobs)
		d, err := planner.Make(ctx, now, o)
		if err != nil {
			return nil, err
		}
		if ours, err = stock.After(now, d); err != nil {
			return nil, err
		}
		b.Plan, b.Grade = Cutting{d.Total.Figures, boughtLength(d), RackOf(ours)}, d.Total.Grade
		b.SameRack = d.Total.FirstFit.Figures
		g.Grade = g.Grade.Worse(b.Grade)
		g.Gap += d.Total.Gap
		g.Plan.plus(b.Plan)
		for _, j := range d.Jobs {
			g.shares[j.Job] = j.Cost
		}
		if theirs, err = g.firstFit(theirs.WithJobs(jobs), o, &b); err != nil {
			return nil, err
		}
		g.Batches = append(g.Batches, b)
	}
	g.Plan.finish(w, ours)
	g.FirstFit.finish(w, theirs)
	return g, nil
}

// firstFit cuts a batch by first-fit, and gives the workshop after it. Once first-fit has found no stick for a side, its
// rack and its figures stay as they are.
func (g *Grouping) firstFit(now *model.Workshop, o planner.Options, b *Batch) (*model.Workshop, error) {
	if !g.Complete {
		b.FirstFit.Rack = RackOf(now)
		return now, nil
	}
	d, err := planner.FirstFit(now, o)
	if err != nil {
		return nil, err
	}
	next := now
	if g.Complete = d.Total.FirstFit.Complete; g.Complete {
		if next, err = stock.After(now, d); err != nil {
			return nil, err
		}
		b.FirstFit.Figures, b.FirstFit.Bought = d.Total.Figures, boughtLength(d)
		g.FirstFit.plus(b.FirstFit)
	}
	b.FirstFit.Rack = RackOf(next)
	return next, nil
}

func boughtLength(d *plan.Document) (l model.Length) {
	for _, line := range d.Buy {
		l += line.Length * model.Length(line.Count)
	}
	return l
}

// plus adds a batch.
func (o *Outcome) plus(c Cutting) {
	o.Figures.Add(c.Figures)
	o.Bought += c.Bought
}

// finish works out the rack and the net cost from the workshop before and after.
func (o *Outcome) finish(before, after *model.Workshop) {
	o.Rack = RackOf(after)
	o.Net = o.Figures.Paid() + RackOf(before).Value - o.Rack.Value
}

// inPeriods gives the jobs that are due, by day, in the batches of a period. Jobs without a day go with the first batch.
func inPeriods(w *model.Workshop, until model.Date, by Period) (out [][]model.Job) {
	var first model.Date
	last := ""
	for _, n := range w.DueJobs(until) {
		j := w.Jobs[n]
		if first.IsZero() {
			first = j.Due
		}
		key := by.key(j.Due, first)
		if len(out) == 0 || key != last && last != "" {
			out = append(out, nil)
		}
		last = key
		out[len(out)-1] = append(out[len(out)-1], j)
	}
	return out
}

// key is the same for two days of one period only; first is the first day of all. Empty for no day.
func (p Period) key(day, first model.Date) string {
	if day.IsZero() {
		return ""
	}
	const hoursADay, week = 24, 7
	monday := func(d model.Date) time.Time { return d.AddDate(0, 0, -(int(d.Weekday())+week-1)%week) }
	switch p {
	case ByWeek:
		return monday(day).Format(time.DateOnly)
	case ByFortnight:
		days := int(day.Sub(monday(first)).Hours()) / hoursADay
		return fmt.Sprint(days / (2 * week))
	case ByMonth:
		return day.Format("2006-01")
	}
	return day.String()
}

// jobsByPeriod sets each job's costs side by side.
func jobsByPeriod(w *model.Workshop, o planner.Options, all []Grouping) []JobByPeriod {
	out := []JobByPeriod{}
	for _, n := range w.DueJobs(o.Until) {
		job := w.Jobs[n]
		j := JobByPeriod{Job: job.ID, Customer: job.Customer, Due: job.Due.String()}
		cut := false
		for i, g := range all {
			cost, ok := g.shares[job.ID]
			cut = cut || ok
			j.Costs = append(j.Costs, cost)
			if i > 0 {
				j.Gains = max(j.Gains, j.Costs[0]-cost)
			}
		}
		if cut {
			out = append(out, j)
		}
	}
	return out
}
