package page

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// showEnd shows how a run is finished.
func (c *call) showEnd(s *benchState, title string, data map[string]any) error {
	data["Flawed"], data["Left"] = c.flawed(s.d.Runs[0]), leftWaiting(s.d.Runs[0])
	return c.show("runend", fmt.Sprintf("Run %d, %s: %s", s.Run, s.Profile, title), data)
}

// endPage asks, once, whether a run ends now, and says what is not cut by then and goes to the next plan.
func (c *call) endPage() error {
	s, err := c.bench(c.id)
	if err != nil {
		return err
	}
	if s.State != "open" || len(s.Cuts) == 0 {
		c.redirect(runPath(c.id))
		return nil
	}
	standing, _, err := c.s.Book.Undoable(c.ctx)
	if err != nil {
		return err
	}
	return c.showEnd(s, "end it now?", map[string]any{"S": s, "Standing": standing, "Back": runPath(c.id), "Papers": papers["run"], "Uncut": s.uncut()})
}

// uncutJob is a job of a run of which sides are not cut.
type uncutJob struct {
	Job, Which string
	Sides      int
}

// uncut gives what of a run is not cut, job by job.
func (s *benchState) uncut() (all []*uncutJob) {
	last := ""
	add := func(side plan.Side, in string) {
		at := slices.IndexFunc(all, func(u *uncutJob) bool { return u.Job == side.Job })
		if at < 0 {
			at, all = len(all), append(all, &uncutJob{Job: side.Job})
		}
		u, frame := all[at], side.Job+"/"+in
		switch {
		case u.Which == "":
			u.Which = "frame " + in + ": " + side.Letter
		case frame == last:
			u.Which += ", " + side.Letter
		default:
			u.Which += "; frame " + in + ": " + side.Letter
		}
		last = frame
		u.Sides++
	}
	left := s.sides()
	for _, id := range s.d.Runs[0].Unplanned() {
		side := plan.Side{SideID: id}
		left = append(left, benchSide{Side: side, In: sheet.FrameOf(side, s.d.Plan.Profiles[0].SeveralOf(side)), Became: runs.ToCut})
	}
	slices.SortStableFunc(left, func(a, b benchSide) int {
		return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.Copy, b.Copy), cmp.Compare(a.Ring, b.Ring), cmp.Compare(a.Letter, b.Letter))
	})
	for _, side := range left {
		if side.Became == runs.ToCut || side.Became == runs.Waits {
			add(side.Side, side.In)
		}
	}
	return all
}

// leftWaiting is how many sides of a run wait for sticks.
func leftWaiting(r runs.Run) (sides int) {
	for _, a := range r.Waiting {
		sides += len(a.Sides)
	}
	return sides
}

// flawed gives the sticks in hand of which only the framer can say what is left.
func (c *call) flawed(r runs.Run) (all []flawedStick) {
	for _, s := range r.Sticks {
		if s.State != "open" || s.Flaw == "" {
			continue
		}
		var keeps []string
		for _, piece := range s.Keeps() {
			keeps = append(keeps, piece.Near(c.unit))
		}
		one := flawedStick{s, "nothing is kept"}
		if len(keeps) > 0 {
			one.Blank = text.JoinAnd(keeps) + " on the rack"
		}
		all = append(all, one)
	}
	return all
}

// flawedStick is a stick in hand of which something is wrong, and what becomes of it where nothing is said.
type flawedStick struct {
	runs.Stick
	Blank string
}

// finishRun ends a run.
func (c *call) finishRun() error {
	r, err := c.s.Book.Run(c.ctx, c.id)
	if err != nil {
		return err
	}
	if n := leftWaiting(r); n > 0 && r.State == "open" && c.form("leave") == "" {
		return usage(text.Count(n, "side", "sides")+" of run "+fmt.Sprint(c.id)+" wait for wood", "go back and tick that they go to the next plan, or wait for the wood")
	}
	keep := map[int]model.Length{}
	for _, s := range r.Sticks {
		typed := c.form(fmt.Sprintf("left-%d", s.Number))
		if typed == "" {
			continue
		}
		if keep[s.Number], err = model.ParseLength(typed, c.unit); err != nil {
			return err
		}
	}
	f, fresh, err := c.s.Book.Finish(c.ctx, c.id, keep, c.by)
	if err == nil && !fresh {
		return c.done(nil, runPath(c.id), "This run was finished already.")
	}
	return c.done(err, runPath(c.id), "%s", strings.Join(round.Finished(c.id, f, c.unit), " "))
}

// apiFinish ends a run.
func (c *call) apiFinish() error {
	var sent struct {
		signature
		Left map[string]model.Length `json:"left_nm"` // by the stick's number in the run
	}
	if err := c.body(&sent); err != nil {
		return err
	}
	by, err := sent.by(c)
	if err != nil {
		return err
	}
	keep := map[int]model.Length{}
	for number, left := range sent.Left {
		n, err := strconv.Atoi(number)
		if err != nil {
			return usage(model.Quote(number)+" is no number of a stick", "send the stick's number in the run")
		}
		keep[n] = left
	}
	f, _, err := c.s.Book.Finish(c.ctx, c.id, keep, by)
	if err := unlessSent(err); err != nil {
		return err
	}
	c.json(http.StatusOK, f)
	return nil
}
