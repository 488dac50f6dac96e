package page

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

var benchRoutes = []route{
	{method: "GET", path: "/bench", do: (*call).benchPage, shop: true},
	{method: "POST", path: "/bench/start", do: (*call).startRun},
	{method: "GET", path: "/bench/run/{run}", do: (*call).runPage},
	{method: "GET", path: "/bench/run/{run}/sticks", do: (*call).runSticks},
	{method: "GET", path: "/bench/run/{run}/end", do: (*call).endPage},
	{method: "POST", path: "/bench/run/{run}/press", do: (*call).pressForm},
	{method: "POST", path: "/bench/run/{run}/finish", do: (*call).finishRun, shop: true},
	{method: "GET", path: "/api/runs", do: (*call).apiRuns},
	{method: "GET", path: "/api/runs/{run}", do: (*call).apiRun},
	{method: "POST", path: "/api/runs/{run}/press", do: (*call).apiPress},
	{method: "POST", path: "/api/runs/{run}/finish", do: (*call).apiFinish},
}

// remakeTime is how long the rest of a run is planned after a mishap, while somebody waits at the machine.
const remakeTime = 5 * time.Second

func runPath(id int64) string { return fmt.Sprintf("/bench/run/%d", id) }

// benchPage lists the open runs, and the profiles of which one can be started.
func (c *call) benchPage() error {
	open, err := c.s.Book.OpenRuns(c.ctx)
	if err != nil {
		return err
	}
	data := map[string]any{"Open": open}
	if d, id, err := c.s.Book.Plan(c.ctx, 0); err == nil {
		toStart, err := c.s.Book.ToStart(c.ctx, id)
		if err != nil {
			return err
		}
		data["Plan"], data["PlanID"] = true, id
		data["Profiles"] = slices.DeleteFunc(slices.Clone(d.Profiles), func(p plan.ProfilePlan) bool { return !slices.Contains(toStart, p.Name) })
	}
	return c.show("bench", "Bench", data)
}

// startRun begins a run, or takes in what has come for one that is open.
func (c *call) startRun() error {
	of, err := c.count("plan", 0)
	if err != nil {
		return err
	}
	o, err := c.s.options("", false, "", remakeTime, c.s.Book.Now())
	if err != nil {
		return err
	}
	r, fresh, remade, minds, err := round.Start(c.ctx, c.s.Book, c.by, c.form("profile"), int64(of), o)
	if err != nil {
		return c.done(err, "/bench", "")
	}
	said := told(remade, minds)
	switch {
	case len(r.TookIn) > 0:
		said = "Taken in: " + text.JoinAnd(r.TookIn) + ". " + said
	case said == "" && len(r.Waiting) > 0 && !fresh:
		said = "Nothing has come that this run waits for. What comes is received on its order's page first."
	}
	return c.done(nil, runPath(r.ID), "%s", said)
}

// mostCuts is how many of the cuts that come next a page is given, so that it can go on for a while when the server is away.
const mostCuts = 40

// runPage shows the next cut of a run or, where there is none, how it is finished.
func (c *call) runPage() error {
	s, err := c.bench(c.id)
	if err != nil {
		return err
	}
	waits := strings.Split(c.query("wait"), ",")
	s.arrange(c.query("code"), waits)
	standing, _, err := c.s.Book.Undoable(c.ctx)
	if err != nil {
		return err
	}
	data := map[string]any{"S": s, "Standing": standing, "Wait": c.query("wait"), "Back": runPath(c.id), "Papers": papers["run"]}
	if r := s.d.Runs[0]; slices.ContainsFunc(r.Waiting, func(a runs.Awaited) bool { return a.ToOrder() }) {
		data["ToOrder"] = max(r.Plan, r.Rest)
	}
	switch {
	case s.State != "open":
		return c.show("runover", fmt.Sprintf("Run %d, %s", s.Run, s.Profile), data)
	case len(s.Cuts) == 0:
		title := "to be finished"
		if len(s.Waiting) > 0 {
			title = "waits for wood"
		}
		return c.showEnd(s, title, data)
	case !s.Begun && c.query("begin") == "":
		blades, err := c.s.Book.Blades(c.ctx)
		if err != nil {
			return err
		}
		var due []string
		for _, b := range blades {
			for _, why := range b.Due {
				due = append(due, b.Name+": "+why)
			}
		}
		data["Due"], data["BladeCaution"], data["Setting"] = due, text.BladeCaution, c.setting(s.d)
		return c.show("runbegin", fmt.Sprintf("Run %d, %s: before the first cut", s.Run, s.Profile), data)
	}
	if err := c.draw(s, 1); err != nil {
		return err
	}
	data["C"] = s.Cuts[0]
	shown := strconv.Itoa(s.Cuts[0].No)
	waits = slices.DeleteFunc(waits, func(w string) bool { return w == "" || w == shown })
	data["WaitNext"] = strings.Join(append(waits, shown), ",")
	return c.show("run", fmt.Sprintf("Run %d, %s", s.Run, s.Profile), data)
}

// setting says how the machine is set for a run.
func (c *call) setting(d *runs.Document) string {
	pp := d.Plan.Profiles[0]
	line := fmt.Sprintf("Moulding %s wide. Trim %s off the head of every stick and leave %s at its tail.", pp.Width.Near(c.unit), pp.HeadTrim.InToCut(c.unit), pp.TailTrim.InToCut(c.unit))
	if apart := sheet.Apart(pp, c.unit); apart != "" {
		line += " " + apart
	}
	if turn := pp.TurnTo(); turn != "" {
		line += " " + turn
	}
	return line + fmt.Sprintf(" %s of %s.", text.Count(pp.Run.Settings, "setting", "settings"), text.Count(pp.Run.Stops, "stop", "stops"))
}

// runSticks shows all sticks of a run, drawn, with what became of their sides, and takes that a finished one is spoilt.
func (c *call) runSticks() error {
	s, err := c.bench(c.id)
	if err != nil {
		return err
	}
	return c.show("runsticks", fmt.Sprintf("Sticks of run %d, %s", s.Run, s.Profile), map[string]any{"S": s, "Pictures": c.stickPictures(s.d.Plan.Profiles[0], s.d.Became[0]), "Sides": s.sides(), "Back": runPath(c.id)})
}

// apiRuns lists the open runs.
func (c *call) apiRuns() error {
	all, err := c.s.Book.OpenRuns(c.ctx)
	return list(c, all, err)
}

// apiRun gives a run as the bench shows it, or says that nothing has changed since a version of it.
func (c *call) apiRun() error {
	if seen := c.query("version"); seen != "" {
		_, last, err := c.s.Book.Undoable(c.ctx)
		if err != nil {
			return err
		}
		if strconv.FormatInt(last.ID, 10) == seen {
			c.w.WriteHeader(http.StatusNoContent)
			return nil
		}
	}
	return c.answerRun(c.id, "")
}
