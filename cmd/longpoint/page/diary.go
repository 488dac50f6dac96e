package page

import (
	"fmt"
	"html/template"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
)

var diaryRoutes = []route{
	{method: "GET", path: "/diary", do: (*call).diaryPage},
	{method: "GET", path: "/undo", do: (*call).undoPage},
	{method: "POST", path: "/undo", do: (*call).undo},
}

// diaryPage tells what was done in the book, the last first.
func (c *call) diaryPage() error {
	c.daysOfShop()
	n := 50
	if c.query("more") != "" {
		n = 1000
	}
	steps, err := c.s.Book.Steps(c.ctx, n)
	if err != nil {
		return err
	}
	var events []book.Event
	for i := len(steps) - 1; i >= 0; i-- {
		events = append(events, book.Event{Step: steps[i], What: steps[i].What})
	}
	standing, _, err := c.s.Book.Undoable(c.ctx)
	if err != nil {
		return err
	}
	return c.show("diary", "Diary", map[string]any{"Events": events, "More": len(steps) == n && n == 50, "Standing": standing})
}

// daysOfShop notes how the shop writes days. A book whose filling was taken back has no shop, and a diary all the same.
func (c *call) daysOfShop() {
	if w, err := c.s.Book.Workshop(c.ctx); err == nil {
		c.setIn(w)
	}
}

// undoPage asks whether the last step is to be taken back.
func (c *call) undoPage() error {
	c.daysOfShop()
	standing, last, err := c.s.Book.Undoable(c.ctx)
	if err != nil {
		return err
	}
	if standing.ID == 0 {
		return usage("there is nothing to take back", "look at the diary")
	}
	if to := c.query("to"); to != "" {
		var step int64
		if _, err := fmt.Sscanf(to, "%d", &step); err != nil || step < 1 {
			return usage(model.Quote(to)+" is no step", "choose one in the diary")
		}
		return c.show("undo", "Take back?", map[string]any{"Question": fmt.Sprintf("Take back everything down to step %d, that one too? All of it is taken back, or nothing.", step),
			"To": step, "Back": backTo(c.query("back"))})
	}
	return c.show("undo", "Take back?", map[string]any{"Question": text.UndoQuestion(standing, last, c.dates), "Step": standing.ID, "Back": backTo(c.query("back"))})
}

// undo takes back the step that the question was about.
func (c *call) undo() error {
	c.daysOfShop()
	to, err := c.count("to", 0)
	if err != nil {
		return err
	}
	if to != 0 {
		undone, err := c.s.Book.UndoTo(c.ctx, int64(to), c.by)
		return c.done(err, backTo(c.form("back")), "Taken back: %s.", text.Count(len(undone), "step", "steps"))
	}
	step, err := c.count("step", 0)
	if err != nil {
		return err
	}
	if step == 0 {
		return usage("it is not said which step to take back", "open the question again")
	}
	undone, err := c.s.Book.Undo(c.ctx, int64(step), c.by)
	path := backTo(c.form("back"))
	if err == nil && undone.ID == 0 {
		return c.done(nil, path, "Step %d was taken back already.", step)
	}
	return c.done(err, path, "Taken back: %s.", text.Step(undone, c.dates))
}

// backTo is where an undo leads: to where it came from, or the diary.
func backTo(path string) string {
	if path = localPath(path); path == "/" {
		return "/diary"
	}
	return path
}

// yieldPage adds up what became of moulding.
func (c *call) yieldPage() error {
	by := book.YieldBy(c.query("by"))
	if by == "" {
		by = book.ByProfile
	}
	all, err := c.s.Book.Yields(c.ctx, by)
	if err != nil {
		return err
	}
	weeks, err := c.s.Book.Yields(c.ctx, book.ByWeek)
	if err != nil {
		return err
	}
	var plot template.HTML
	if past := sheet.WeeksOf(weeks, sheet.MostWeeks); len(past) > 0 {
		f, err := sheet.WeekPlot(past, 150)
		if err != nil {
			return err
		}
		plot = inline(f, "weeks")
	}
	return c.show("yield", "Yield", map[string]any{"By": by, "Yields": all, "Plot": plot, "Ways": []book.YieldBy{book.ByProfile, book.ByWeek, book.BySupplier}})
}
