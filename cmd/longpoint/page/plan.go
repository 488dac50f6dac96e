package page

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/grouping"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/quote"
)

var planRoutes = []route{
	{method: "GET", path: "/plan", do: (*call).planPage, shop: true},
	{method: "POST", path: "/plan", do: (*call).makePlan},
	{method: "GET", path: "/plan/now", do: (*call).planNow},
	{method: "POST", path: "/plan/stop", do: (*call).stopPlan, keyless: true},
	{method: "GET", path: "/plan/of/{plan}", do: (*call).onePlan, shop: true},
	{method: "GET", path: "/plan/of/{plan}/{profile}", do: (*call).planProfile, shop: true},
	{method: "GET", path: "/plan/next/{plan}", do: (*call).nextBestPage, shop: true},
	{method: "GET", path: "/plan/groups", do: (*call).groupsPage},
	{method: "GET", path: "/api/planning", do: (*call).apiPlanning},
	{method: "GET", path: "/api/planning/events", do: (*call).planEvents},
}

// limits are how long a plan may take, for a list to choose from.
var limits = []time.Duration{3 * time.Second, 10 * time.Second, 30 * time.Second, 2 * time.Minute}

// planPage is where a plan begins.
func (c *call) planPage() error {
	data := map[string]any{"Limits": limits, "Today": c.s.Book.Now().Format(time.DateOnly), "Profiles": profileNames(c.workshop)}
	due := map[string]int{}
	for _, j := range c.workshop.Jobs {
		due[j.Due.String()]++
	}
	type day struct {
		Day        string
		Jobs, UpTo int
	}
	var days []day
	for d, n := range due {
		if d != "" {
			days = append(days, day{Day: d, Jobs: n})
		}
	}
	slices.SortFunc(days, func(a, b day) int { return strings.Compare(a.Day, b.Day) })
	sum := due[""]
	for i := range days {
		sum += days[i].Jobs
		days[i].UpTo = sum
	}
	data["Days"], data["Jobs"] = days, len(c.workshop.Jobs)
	if t := c.s.lastTask(); t != nil && !t.over() {
		data["Making"] = t.now()
	}
	if d, id, err := c.s.Book.Plan(c.ctx, 0); err == nil {
		data["Last"], data["LastID"] = d, id
		news, err := c.s.Book.Since(c.ctx, id)
		if err != nil {
			return err
		}
		data["Since"] = round.Since(news)
	}
	return c.show("plan", "Plan", data)
}

// makePlan starts a plan.
func (c *call) makePlan() error {
	limit, err := time.ParseDuration(c.form("limit"))
	if err != nil || !slices.Contains(limits, limit) {
		limit = limits[1]
	}
	o, err := c.s.options(c.form("until"), c.form("here") != "", c.form("order"), limit, c.s.Book.Now())
	if err != nil {
		return err
	}
	o.Profiles = c.r.PostForm["profile"]
	if err := c.startPlan(o, c.by); err != nil {
		return err
	}
	c.redirect("/plan/now")
	return nil
}

// free says of a plan's orders what they lack of a free delivery.
func (c *call) free(d *plan.Document) (said []string) {
	if none := text.ForNoJob(d.Buy, c.currency); none != "" {
		said = append(said, none)
	}
	for _, o := range d.Orders {
		if one := text.ToFree(o, c.currency); one != "" {
			said = append(said, o.Supplier+": "+one)
		}
	}
	return said
}

// planNow shows a plan in the making, and leads to it once it is made.
func (c *call) planNow() error {
	t := c.s.lastTask()
	if t == nil {
		c.redirect("/plan")
		return nil
	}
	s := t.now()
	if s.Over && t.failed == nil && s.Plan > 0 {
		c.redirect(planPath(s.Plan))
		return nil
	}
	if s.Over && t.failed != nil {
		if isSent := c.done(t.failed, "/plan", ""); isSent == nil {
			return nil
		}
		return t.failed
	}
	return c.show("planning", "A plan in the making", s)
}

// stopPlan ends the search; what it has found is the plan.
func (c *call) stopPlan() error {
	if t := c.s.lastTask(); t != nil {
		t.cancel()
	}
	c.redirect("/plan/now")
	return nil
}

func (c *call) apiPlanning() error {
	t := c.s.lastTask()
	if t == nil {
		return notFound("no plan is in the making", "start one")
	}
	c.json(200, t.now())
	return nil
}

func planPath(id int64) string { return fmt.Sprintf("/plan/of/%d", id) }

// plan reads the plan that the address names, and sets the units it is in.
func (c *call) plan() (*plan.Document, error) {
	d, _, err := c.s.Book.Plan(c.ctx, c.id)
	if err != nil {
		return nil, err
	}
	unit, err := model.ParseUnit(d.Unit)
	c.unit = unit.ReadTo(c.workshop.Printing.Fraction)
	c.currency = model.Currency{Code: d.Currency.Code, Decimals: d.Currency.Decimals}
	return d, err
}

// onePlan shows a plan.
func (c *call) onePlan() error {
	d, err := c.plan()
	if err != nil {
		return err
	}
	var minds []string
	if t := c.s.lastTask(); t != nil && t.over() && t.kept == c.id {
		minds = t.minds
	}
	_, last, err := c.s.Book.Plan(c.ctx, 0)
	if err != nil {
		return err
	}
	if last == c.id {
		mixed, err := c.s.Book.MixedLots(c.ctx)
		if err != nil {
			return err
		}
		minds = append(slices.Clone(minds), round.Mixed(mixed)...)
	}
	news, err := c.s.Book.Since(c.ctx, c.id)
	if err != nil {
		return err
	}
	restOf, running, err := c.s.Book.RestOf(c.ctx, c.id)
	if err != nil {
		return err
	}
	waits, err := round.Waits(c.ctx, c.s.Book, c.id)
	if err != nil {
		return err
	}
	toStart, err := c.s.Book.ToStart(c.ctx, c.id)
	if err != nil {
		return err
	}
	return c.show("oneplan", fmt.Sprintf("Plan %d", c.id), map[string]any{"ID": c.id, "D": d, "Grade": text.Grade(d), "Saving": text.Saving(d), "JobCosts": text.JobCosts(d), "Minds": minds,
		"Since": round.Since(news), "Waiting": plan.AlreadyOrdered(waits), "Late": plan.LateJobs(waits, c.dates), "Last": last == c.id, "RestOf": restOf, "Newer": last > c.id, "Running": running, "ToStart": toStart, "ToPay": d.Total.Figures.Paid(), "Free": c.free(d), "Come": text.OnTheWay(d)})
}

// planProfile shows a profile of a plan: its sticks, drawn.
func (c *call) planProfile() error {
	d, err := c.plan()
	if err != nil {
		return err
	}
	at := slices.IndexFunc(d.Profiles, func(p plan.ProfilePlan) bool { return p.Name == c.r.PathValue("profile") })
	if at < 0 {
		return notFound("plan "+fmt.Sprint(c.id)+" has no profile "+model.Quote(c.r.PathValue("profile")), "choose one of its own")
	}
	pp := d.Profiles[at]
	const most = 60 // sticks a page
	from, err := c.from(len(pp.Sticks))
	if err != nil {
		return err
	}
	to := min(from+most, len(pp.Sticks))
	pictures := c.stickPictures(pp, nil)[from:to]
	return c.show("planprofile", fmt.Sprintf("Plan %d, %s", c.id, pp.Name), map[string]any{"ID": c.id, "P": pp, "Pictures": pictures,
		"From": from, "To": to, "Next": nextFrom(to, len(pp.Sticks)), "Jobs": pp.Jobs})
}

// from reads where a long list begins.
func (c *call) from(of int) (int, error) {
	if c.query("from") == "" {
		return 0, nil
	}
	var n int
	if _, err := fmt.Sscanf(c.query("from"), "%d", &n); err != nil || n < 0 || n > of {
		return 0, notFound("the list has no such part", "go back to its beginning")
	}
	return n, nil
}

// nextFrom is where a list goes on; 0: it does not.
func nextFrom(to, of int) int {
	if to < of {
		return to
	}
	return 0
}

// alone plans for a page that waits for the answer: one after the other, and never longer than a limit.
func (c *call) alone(work func(ctx context.Context) error) error {
	const most = 20 * time.Second
	ctx, cancel := context.WithTimeout(c.ctx, most)
	defer cancel()
	if !c.s.making.planner.TryLock() {
		return &answerError{409, usage("a plan is in the making, and this would make it wait", "wait for it, then ask again")}
	}
	defer c.s.making.planner.Unlock()
	return work(ctx)
}

// groupsPage compares cutting by day, week, fortnight and month.
func (c *call) groupsPage() error {
	w, _, err := c.s.Book.Rest(c.ctx)
	if err != nil {
		return err
	}
	c.setIn(w)
	o, err := c.s.options(c.query("until"), false, "", 15*time.Second, c.s.Book.Now())
	if err != nil {
		return err
	}
	var groups []grouping.Grouping
	var jobs []grouping.JobByPeriod
	if err := c.alone(func(ctx context.Context) error {
		groups, jobs, err = grouping.Compare(ctx, w, o, grouping.Periods())
		return err
	}); err != nil {
		return err
	}
	return c.show("groups", "Cutting together", map[string]any{"Groups": groups, "Jobs": jobs, "Rack": grouping.RackOf(w)})
}

// nextBestPage works out what it would cost more to do without each line of a plan's buy list.
func (c *call) nextBestPage() error {
	d, err := c.plan()
	if err != nil {
		return err
	}
	w, _, err := round.Holding(c.ctx, c.s.Book, c.id, c.s.Right)
	if err != nil {
		return err
	}
	on := c.s.Book.Now()
	if day, err := model.ParseDate(d.On); err == nil {
		on = day.Time
	}
	o, err := c.s.options(d.Until, d.Here, "", 10*time.Second, on)
	if err != nil {
		return err
	}
	o.Profiles = d.Only
	type line struct {
		plan.Purchase
		Next string
	}
	data := map[string]any{"ID": c.id, "Grade": string(d.Total.Grade)}
	if err := c.alone(func(ctx context.Context) error {
		others, err := planner.NextBests(ctx, w, o, d)
		var lines []line
		for n, other := range others {
			lines = append(lines, line{d.Buy[n], text.NextBest(other, c.currency)})
			data["Stopped"] = data["Stopped"] == true || other.Possible && other.Grade != plan.Proven
			data["Unknown"] = data["Unknown"] == true || other.Unknown
		}
		data["Lines"] = lines
		return err
	}); err != nil {
		return err
	}
	return c.show("nextbest", "What else could be bought", data)
}

// quotePage works out what a job's moulding comes to.
func (c *call) quotePage() error {
	name := c.r.PathValue("job")
	w, ordered, err := c.s.Book.ForQuotation(c.ctx, name)
	if err != nil {
		return err
	}
	c.setIn(w)
	at := slices.IndexFunc(w.Jobs, func(j model.Job) bool { return j.ID == name })
	if at < 0 {
		none, err := round.NoQuotation(c.ctx, c.s.Book, name, c.currency)
		if err != nil {
			return err
		}
		return c.show("cameto", "What job "+name+" comes to", map[string]any{"Said": strings.ToUpper(none.What[:1]) + none.What[1:] + ".", "Job": name})
	}
	on := c.query("on")
	if err := c.pricesOf(w, on); err != nil {
		return err
	}
	day, err := model.ParseDate(c.s.Book.Now().Format(time.DateOnly))
	if err != nil {
		return err
	}
	book.OfferAgain(w, day, ordered)
	q, err := c.quotation(w, w.Jobs[at])
	if err != nil {
		return err
	}
	whole, err := c.s.Book.Job(c.ctx, name)
	if err != nil {
		return err
	}
	round.Ordered(q, ordered, whole.Sides)
	soFar, err := round.SoFar(c.ctx, c.s.Book, name, c.currency)
	if err != nil {
		return err
	}
	return c.show("quote", "What job "+name+" comes to", map[string]any{"Q": q, "SoFar": soFar, "On": on, "Today": c.s.Book.Now().Format(time.DateOnly)})
}

// pricesOf puts the prices of a day that is past in place of today's; no day: none.
func (c *call) pricesOf(w *model.Workshop, day string) error {
	if day == "" || day >= c.s.Book.Now().Format(time.DateOnly) {
		return nil
	}
	on, err := model.ParseDate(day)
	if err == nil {
		w.Offers, err = c.s.Book.OffersOn(c.ctx, on)
	}
	return err
}

// quotation works out what a job comes to that is one of the workshop's, or none yet.
func (c *call) quotation(w *model.Workshop, job model.Job) (q *quote.Quotation, err error) {
	o, err := c.s.options("", false, "", 8*time.Second, c.s.Book.Now())
	if err != nil {
		return nil, err
	}
	err = c.alone(func(ctx context.Context) error {
		q, err = quote.Job(ctx, w, o, job, nil)
		return err
	})
	return q, err
}
