package main

import (
	"fmt"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model/plan"
)

// settings is the table of how often a stop has to be placed, in both orders of cuts and in first-come order.
func (g *planPage) settings() *table {
	t := &table{columns: []column{words("profile"), numbers("by stick"), numbers("at least"), numbers("again"),
		numbers("by stop"), numbers("again"), numbers("first come")}}
	var all [6]int
	for i, pp := range g.d.Profiles {
		stick, stop := pp.Run, g.others[i]
		if stick.Order != plan.StickByStick {
			stick, stop = stop, stick
		}
		row := []string{cell(pp.Name, 14)}
		for n, v := range [6]int{stick.Settings, stick.Least, stick.PickUps, stop.Settings, stop.PickUps, stick.FirstCome} {
			all[n] += v
			row = append(row, fmt.Sprint(v))
		}
		t.add(row...)
	}
	t.foot = []string{"all"}
	for _, v := range all {
		t.foot = append(t.foot, fmt.Sprint(v))
	}
	return t
}

// aboutSettings says what the table of settings means.
func (g *planPage) aboutSettings() string {
	run := g.d.Profiles[0].Run
	stop := "its one stop"
	if run.Stops > 1 {
		stop = fmt.Sprintf("one of its %d stops", run.Stops)
	}
	return paragraph("How often the machine has "+stop+" placed at a length: stick by stick, and at least how often; stop by stop, each "+
		"length set once; and first come, the longest sides first, stick after stick. Again: how often a stick is taken in hand again. "+
		"Equal sides of a frame are cut from one setting, which first come does not mind. This plan goes "+run.Order+".", "")
}

// runLine says in what order a profile is cut.
func runLine(r plan.Run) string {
	text := fmt.Sprintf("Cut %s: %s of %s", r.Order, count(r.Settings, "setting", "settings"), count(r.Stops, "stop", "stops"))
	if r.Least < r.Settings {
		text += fmt.Sprintf(", at least %d", r.Least)
	}
	if r.PickUps > 0 {
		text += fmt.Sprintf("; a stick is taken in hand again %s", times(r.PickUps))
	}
	return text + fmt.Sprintf("; first come %d.", r.FirstCome)
}

// times gives "once", "twice" or "3 times".
func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// run is a profile's run cut by cut. The job has what room is left on the page.
func (g *planPage) run(pp plan.ProfilePlan) string {
	const stickWidth, leastJob = 8, 4
	u := g.unit.String()
	t := &table{columns: []column{words("stick"), words("stop"), numbers("long point " + u), words("measure + 2 × set"),
		numbers("bites"), words("side"), words("job"), numbers("left " + u)}}
	const jobColumn = 6
	for _, c := range pp.Run.Cuts {
		stick := pp.Sticks[c.Stick]
		side := stick.Sides[c.Side]
		stop := fmt.Sprint(c.Stop)
		if c.Placed {
			stop += " set"
		}
		measure, set := settings(side.LongPoint, side.Set, g.unit)
		t.add(cell(stick.ID, stickWidth), stop, toCut(side.LongPoint, g.unit), fmt.Sprintf("%s + 2 × %s", measure, set),
			fmt.Sprint(pp.Bites.Strokes), pp.Lettered(side), side.Job, near(c.Left, g.unit))
	}
	room := pageWidth
	for n, c := range t.columns {
		if n == jobColumn {
			continue
		}
		width := widest(c.heading)
		for _, row := range t.rows {
			width = max(width, widest(shownOf(row[n])))
		}
		room -= width + len(gap)
	}
	for _, row := range t.rows {
		row[jobColumn] = cell(row[jobColumn], max(room, leastJob))
	}
	text := fmt.Sprintf("The run of %s, cut by cut; set: place the stop for this cut\n", plain(pp.Name)) + t.String()
	for n, c := range pp.Run.Cuts {
		if c.By != "" {
			side := pp.Sticks[c.Stick].Sides[c.Side]
			text += paragraph(plain(sheet.SetBy(pp.Run.Number(n), c.Stop, c.By, side, pp.SeveralOf(side))), "  ")
		}
	}
	return text + laidIn(pp, "  ")
}

// laidIn is the caution where a stop is set by a finished side; "" where none is.
func laidIn(pp plan.ProfilePlan, indent string) string {
	if !pp.Run.SetsBySide() {
		return ""
	}
	return paragraph(sheet.LaidIn, indent)
}
