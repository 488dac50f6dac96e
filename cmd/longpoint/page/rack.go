package page

import (
	"fmt"
	"net/url"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
)

var rackRoutes = []route{
	{method: "GET", path: "/rack", do: (*call).rackPage, shop: true},
	{method: "POST", path: "/rack/add", do: (*call).addSticks, shop: true},
	{method: "GET", path: "/rack/count", do: (*call).countPage, shop: true},
	{method: "POST", path: "/rack/count", do: (*call).countRack, shop: true},
	{method: "GET", path: "/rack/of/{stick}", do: (*call).stickPage, shop: true},
	{method: "POST", path: "/rack/of/{stick}", do: (*call).changeStick, shop: true},
	{method: "GET", path: "/blades", do: (*call).bladesPage, shop: true},
	{method: "POST", path: "/blades", do: (*call).doBlades, shop: true},
	{method: "GET", path: "/yield", do: (*call).yieldPage, shop: true},
}

func stickPath(name string) string { return "/rack/of/" + url.PathEscape(name) }

// shownStick is a stick with what there is to know of it in a few words.
type shownStick struct {
	book.RackStick
	What string
}

// rackPage lists what is on the rack: all of it, of one profile, or what is long enough, the shortest of that first.
func (c *call) rackPage() error {
	all, err := c.s.Book.Rack(c.ctx)
	if err != nil {
		return err
	}
	var least model.Length
	if typed := c.query("least"); typed != "" {
		if least, err = model.ParseLength(typed, c.unit); err != nil {
			return err
		}
	}
	profile := c.query("profile")
	var shown []shownStick
	var cost model.Money
	for _, s := range all {
		if profile != "" && s.Profile != profile || s.Length < least || least > 0 && s.State != "rack" {
			continue
		}
		shown = append(shown, shownStick{s, text.WhatItIs(s)})
		cost += s.Cost
	}
	if least > 0 {
		slices.SortStableFunc(shown, func(a, b shownStick) int { return int(a.Length/1000 - b.Length/1000) })
	}
	return c.show("rack", "Rack", map[string]any{"Sticks": shown, "Cost": cost, "Profiles": profileNames(c.workshop), "Profile": profile, "Least": c.query("least"), "Filtered": profile != "" || least > 0, "Filling": c.filling(), "Why": ""})
}

// addSticks puts sticks on the rack that were found.
func (c *call) addSticks() (err error) {
	s := model.Stick{ID: c.form("name"), Profile: c.form("profile"), Place: c.form("place"), Lot: c.form("lot"), Offcut: c.form("offcut") != ""}
	if s.Length, err = c.length("length"); err != nil {
		return err
	}
	if s.Value, err = c.optionalMoney("value"); err != nil {
		return err
	}
	if s.Damage, err = c.damage(); err != nil {
		return err
	}
	n, err := c.count("sticks", 1)
	if err != nil {
		return err
	}
	var names []string
	_, err = c.s.Book.Do(c.ctx, c.by, book.AddSticks(s, n, func(name string) { names = append(names, name) }))
	return c.done(err, "/rack", "On the rack: %s. Write the names on the sticks.", text.JoinAnd(names))
}

// damage reads where a stick is damaged: nil where that is left blank.
func (c *call) damage() ([]model.Span, error) {
	switch typed := c.form("damage"); typed {
	case "":
		return nil, nil
	case "none":
		return []model.Span{}, nil
	default:
		return model.ParseSpans(typed, c.unit)
	}
}

// stickPage shows one stick and its life.
func (c *call) stickPage() error {
	name := c.r.PathValue("stick")
	life, err := c.s.Book.StickLife(c.ctx, name)
	if err != nil {
		return err
	}
	all, err := c.s.Book.Rack(c.ctx)
	if err != nil {
		return err
	}
	data := map[string]any{"Name": name, "Life": life}
	if at := slices.IndexFunc(all, func(s book.RackStick) bool { return s.Name == name }); at >= 0 {
		data["S"], data["What"] = all[at], text.WhatItIs(all[at])
		var damage []string
		for _, d := range all[at].Damage {
			damage = append(damage, fmt.Sprintf("from %s to %s", d.From.Near(c.unit), d.To.Near(c.unit)))
		}
		data["Damage"] = text.JoinAnd(damage)
	}
	return c.show("stick", "Stick "+name, data)
}

// changeStick puts one stick right.
func (c *call) changeStick() error {
	name := c.r.PathValue("stick")
	var change book.Change
	switch c.form("do") {
	case "measure":
		length, err := c.optionalLength("length")
		if err != nil {
			return err
		}
		damage, err := c.damage()
		if err != nil {
			return err
		}
		change = book.MeasureStick(name, length, damage)
	case "move":
		change = book.MoveSticks(c.form("place"), name)
	case "discard":
		change = book.Discard(name)
	case "back":
		change = book.PutBack(name)
	default:
		return usage("it is not said what to do", "use the buttons of the page")
	}
	_, err := c.s.Book.Do(c.ctx, c.by, change)
	return c.done(err, stickPath(name), "Written down.")
}

// countPage lists what should lie on the rack of a profile, to be ticked off.
func (c *call) countPage() error {
	profile := c.query("profile")
	data := map[string]any{"Profiles": profileNames(c.workshop), "Profile": profile}
	if profile != "" {
		all, sum, err := c.s.Book.Expected(c.ctx, profile)
		if err != nil {
			return err
		}
		var shown []shownStick
		for _, s := range all {
			shown = append(shown, shownStick{s, text.WhatItIs(s)})
		}
		data["Sticks"], data["Sum"] = shown, sum
	}
	return c.show("count", "Stock count", data)
}

// countRack writes a count down: what is not ticked is missing.
func (c *call) countRack() (err error) {
	counted := book.Counted{Measured: map[string]model.Length{}}
	for i, name := range c.r.PostForm["stick"] {
		if !slices.Contains(c.r.PostForm["there"], name) {
			counted.Missing = append(counted.Missing, name)
			continue
		}
		if typed := c.r.PostForm["measured"]; i < len(typed) && strings.TrimSpace(typed[i]) != "" {
			if counted.Measured[name], err = model.ParseLength(strings.TrimSpace(typed[i]), c.unit); err != nil {
				return err
			}
		}
	}
	for _, typed := range parted(c.form("found")) {
		l, err := model.ParseLength(typed, c.unit)
		if err != nil {
			return err
		}
		counted.Found = append(counted.Found, model.Stick{Length: l})
	}
	said := ""
	words := func(s book.Stock) string {
		return fmt.Sprintf("%s, %s, worth %s", text.Count(s.Sticks, "stick", "sticks"), s.Length.Near(c.unit), s.Worth.With(c.currency))
	}
	_, err = c.s.Book.Do(c.ctx, c.by, book.Count(c.form("profile"), counted, func(expected, there book.Stock, found []string) {
		said = fmt.Sprintf("Expected of %s: %s. There: %s.", c.form("profile"), words(expected), words(there))
		if len(found) > 0 {
			said += fmt.Sprintf(" Found: %s. Write the names on the sticks.", text.JoinAnd(found))
		}
	}))
	return c.done(err, "/rack", "%s", said)
}

// bladesPage lists the blade sets.
func (c *call) bladesPage() error {
	all, err := c.s.Book.Blades(c.ctx)
	if err != nil {
		return err
	}
	return c.show("blades", "Blades", map[string]any{"Sets": all, "Caution": text.BladeCaution})
}

// doBlades does one thing with a blade set.
func (c *call) doBlades() (err error) {
	name := c.form("set")
	var lengths [3]model.Length // height, least height, greatest width
	for i, field := range []string{"height", "least", "widest"} {
		if lengths[i], err = c.optionalLength(field); err != nil {
			return err
		}
	}
	var numbers [4]int
	for i, field := range []string{"edges", "edge", "days", "chops"} {
		if numbers[i], err = c.count(field, 0); err != nil {
			return err
		}
	}
	edges := min(numbers[0], book.MostEdges)
	changes := map[string]book.Change{
		"add": book.AddBlade(book.Blade{Name: name, Height: lengths[0], Least: lengths[1], GreatestWidth: lengths[2], Edges: make([]book.Edge, edges),
			RemindDays: numbers[2], RemindChops: numbers[3]}),
		"change":  book.ChangeBlade(name, lengths[1], lengths[2], edges),
		"mount":   book.MountBlade(name),
		"turn":    book.TurnBlade(name, numbers[1]),
		"sharpen": book.Sharpen(name, lengths[0]),
		"remind":  book.Remind(name, numbers[2], numbers[3]),
		"retire":  book.RetireBlade(name),
	}
	change, ok := changes[c.form("do")]
	switch do := c.form("do"); {
	case !ok:
		return usage("it is not said what to do", "use the buttons of the page")
	case (do == "add" || do == "sharpen") && lengths[0] == 0:
		return usage("the height is missing", "measure the blades and say how high they are")
	}
	_, err = c.s.Book.Do(c.ctx, c.by, change)
	return c.done(err, "/blades", "Written down.")
}
