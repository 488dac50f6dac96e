package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// runAnswer is what "longpoint run --json" prints.
type runAnswer struct {
	Format string `json:"format"`
	runs.Run
	Cuts []runCut `json:"cuts"` // in the order of work
}

// runCut is a cut of a run.
type runCut struct {
	No     int          `json:"no"`
	Stick  string       `json:"stick"`
	Stop   int          `json:"stop"`
	Placed bool         `json:"placed"` // the stop is placed anew for this cut
	Set    model.Length `json:"stop_at_nm"`
	By     string       `json:"set_by,omitempty"` // the finished side of the frame that is held against the stop
	Bites  int          `json:"bites"`
	Left   model.Length `json:"left_nm"` // of the stick, or of its sound part
	Became string       `json:"became"`
	plan.Side
}

// showRun prints a run: its cuts in order, and what became of them.
func (p *program) showRun(ctx context.Context, b *book.Book, id int64, jsonOut bool) error {
	d, err := b.RunDocument(ctx, id)
	if err != nil {
		return err
	}
	if jsonOut {
		return p.answer(true, newRunAnswer(d), "")
	}
	text, err := runPage(d)
	if err != nil {
		return err
	}
	return p.show(text)
}

func newRunAnswer(d *runs.Document) runAnswer {
	a := runAnswer{Format: "longpoint-run/1", Run: d.Runs[0], Cuts: []runCut{}}
	pp := d.Plan.Profiles[0]
	for n, c := range pp.Run.Cuts {
		side := pp.Sticks[c.Stick].Sides[c.Side]
		a.Cuts = append(a.Cuts, runCut{No: pp.Run.Number(n), Stick: pp.Sticks[c.Stick].ID, Stop: c.Stop, Placed: c.Placed, Set: side.LongPoint, By: c.By,
			Bites: max(pp.Bites.Strokes, 1), Left: c.Left, Became: d.Became[0][c.Stick][c.Side], Side: side})
	}
	return a
}

// runPage sets one run for people, with the words of the cut sheet.
func runPage(d *runs.Document) (string, error) {
	source, err := sheet.RunSource(d, model.Date{Time: time.Now()}, sheet.A4)
	if err != nil {
		return "", err
	}
	page := &planPage{d: d.Plan, unit: d.Workshop.Unit, currency: d.Workshop.Currency, dates: d.Workshop.Habits.Dates}
	r, pp := d.Runs[0], d.Plan.Profiles[0]
	by := fmt.Sprintf("plan %d", r.Plan)
	if r.Rest != 0 {
		by += fmt.Sprintf(", the rest by plan %d", r.Rest)
	}
	head := paragraph(fmt.Sprintf("Run %d, %s: %s by %s; %s. Lengths are %s.", r.ID, r.State, plain(r.Profile), by, howFar(d, 0), inUnit(page.unit)), "")
	order := fmt.Sprintf("%s, %s of %s", firstUpper(pp.Run.Order), count(pp.Run.Settings, "setting", "settings"), count(pp.Run.Stops, "stop", "stops"))
	if d.Workshop.Machine.Type != model.Saw {
		order += ", " + count(max(pp.Bites.Strokes, 1), "bite", "bites") + " a cut"
	}
	head += paragraph(order+". "+page.setting(pp), "")
	if turn := pp.TurnTo(); turn != "" {
		head += paragraph(turn, "")
	}
	if mine, _ := d.Workshop.ProfileByName(r.Profile); mine.SetUp != "" {
		head += paragraph("Set up: "+plain(mine.SetUp), "")
	}
	return strings.Join([]string{head, cutList(source.CutList(0)) + laidIn(pp, ""), leftList(page, d), paragraph(caution, "")}, "\n"), nil
}

// firstUpper begins a sentence.
func firstUpper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// inUnit says in which unit lengths are: "in mm", "in inches".
func inUnit(u model.Unit) string {
	if u.IsInches() {
		return "in inches"
	}
	return "in " + u.String()
}

// howFar says how much of a run is cut.
func howFar(d *runs.Document, run int) string { return round.HowFar(d, run) }

// cutList sets the list of cuts of a cut sheet for a terminal, part by part, all to one width. What the heading of a part says already, and
// what is the same of all cuts, has no column.
func cutList(list sheet.Table) string {
	t := &table{}
	var names, columns []int
	for i, c := range list.Columns {
		if c.Kind == sheet.Box || c.Head == "bites" || c.Head == "stick" && c.Kind != sheet.Name {
			continue
		}
		if c.Kind == sheet.Name {
			names = append(names, len(columns))
		}
		columns = append(columns, i)
		t.columns = append(t.columns, column{heading: c.Head, number: c.Kind == sheet.Number})
	}
	t.columns = append(t.columns, words(""))
	for _, row := range list.Rows {
		if row.Section || row.Note {
			continue
		}
		var cells []string
		for _, i := range columns {
			cells = append(cells, row.Cells[i])
		}
		done := ""
		if row.Ticked {
			done = runs.Done
		}
		t.add(append(cells, done)...)
	}
	fitNames(t, names)
	lines := strings.SplitAfter(t.String(), "\n")
	head, rows := strings.Join(lines[:2], ""), lines[2:]
	var b strings.Builder
	begun := false // a part
	for _, row := range list.Rows {
		if row.Note {
			if row.Now { // leftList says the others
				b.WriteString(paragraph(plain(row.Cells[0]), ""))
			}
			continue
		}
		if row.Section {
			if b.Len() > 0 {
				b.WriteString("\n")
			}
			b.WriteString(paragraph(plain(row.Cells[0]), ""))
			begun = false
			continue
		}
		if !begun {
			b.WriteString(head)
			begun = true
		}
		b.WriteString(rows[0])
		rows = rows[1:]
	}
	return b.String()
}

// fitNames cuts names short, the longest first, until a table is no wider than the page.
func fitNames(t *table, names []int) {
	const least = 4
	widths := make([]int, len(t.columns))
	sum := len(gap) * (len(t.columns) - 1)
	for n, c := range t.columns {
		widths[n] = widest(c.heading)
		for _, row := range t.rows {
			widths[n] = max(widths[n], widest(shownOf(row[n])))
		}
		sum += widths[n]
	}
	for ; sum > pageWidth && len(names) > 0; sum-- {
		longest := slices.MaxFunc(names, func(a, b int) int { return widths[a] - widths[b] })
		if widths[longest] <= least {
			break
		}
		widths[longest]--
	}
	for _, row := range t.rows {
		for _, n := range names {
			row[n] = cell(row[n], widths[n])
		}
	}
}

// leftList says what becomes of what is left of each stick.
func leftList(page *planPage, d *runs.Document) string {
	var b strings.Builder
	for i, s := range d.Plan.Profiles[0].Sticks {
		text := fmt.Sprintf("Stick %d, %s. %s", i+1, plain(s.ID), page.leftOver(d.Plan.Profiles[0], s))
		at := slices.IndexFunc(d.Runs[0].Sticks, func(r runs.Stick) bool { return r.Stick == s.ID && r.State != "returned" })
		if at < 0 { // it is not here yet
			continue
		}
		if flaw := d.Runs[0].Sticks[at].Flaw; flaw != "" {
			text += " Flaw: " + plain(flaw) + "."
		}
		b.WriteString(paragraph(text, "  "))
	}
	for _, sticks := range round.Awaited(d.Runs[0].Waiting, page.unit, d.Workshop.Habits.Dates, "start the run again") {
		b.WriteString(paragraph("Waits for "+plain(sticks)+".", "  "))
	}
	for _, side := range d.Runs[0].Unplanned() {
		b.WriteString(paragraph("Left over: "+plain(side.String())+". It waits for the next plan.", "  "))
	}
	return b.String()
}
