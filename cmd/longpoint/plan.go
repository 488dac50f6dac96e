package main

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/sequence"
)

// plan is "longpoint plan": the cutting plan of a workshop.
func (p *program) plan() *cobra.Command {
	var (
		how                    planning
		mishap                 mishaps
		out, order             string
		summary, jsonOut, cuts bool
	)
	cmd := &cobra.Command{
		Use:   "plan [DIR]",
		Short: "Plan a workshop: which side comes off which stick",
		Long: `Plan the jobs of the workshop folder DIR at the least cost: money for new sticks
plus the value of the rack's sticks that are used.

The answer has a summary, a comparison with first-fit by longest side, the buy
list, what each job's moulding costs, how often a stop has to be placed, and
then for every profile the sticks in cutting order with the sides that come off
them. Ctrl-C stops the search and shows the best plan so far.

With --last and --after it plans the rest of a plan that is partly cut: --last
is the plan as --out wrote it, --after a table of what became of its sticks and
sides. For what happens to that plan in turn, give its file and a second table
after the first two.

DIR may be a book, which then keeps the plan. Once something of its last plan
was ordered or is being cut, what that plan has marked out stays, as far as that
costs nothing; --anew pays no regard to it.`,
		Example: planExample,
		Args:    arguments("DIR, the workshop's folder,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if out != "" {
				if err := mayReplace(out); err != nil { // before the search, which may take its time
					return err
				}
			}
			if err := how.setOrder(order); err != nil {
				return err
			}
			show := pageParts{summary: summary, json: jsonOut, cuts: cuts}
			if mishap.given() {
				if err := mishap.notOfBook(args[0]); err != nil {
					return err
				}
				if cmd.Flags().Changed("order") {
					return usage("--order is that of the plan that is partly cut", "leave it out, or plan without --after")
				}
				return p.remake(cmd.Context(), &how, mishap, args[0], out, show)
			}
			document, workshop, _, err := how.makeFrom(cmd.Context(), p, args[0])
			if err != nil {
				return err
			}
			kept, failed := p.keepPlan(cmd.Context(), args[0], document, workshop.Habits.Dates)
			if failed != nil { // the search may have taken its time, and is not to be lost
				if err := p.showPlan(document, workshop, "", show); err != nil {
					return err
				}
				return failed
			}
			if err := p.showPlan(document, workshop, out, show); err != nil || jsonOut {
				return err
			}
			return p.show(kept)
		},
	}
	how.addFlags(cmd)
	mishap.addFlags(cmd)
	cmd.Flags().StringVar(&order, "order", "sticks", "of the cuts: sticks one after another, or \"stops\" set once each, as a `word`")
	cmd.Flags().BoolVar(&how.anew, "anew", false, "of a book, without regard to what its last plan has marked out")
	cmd.Flags().BoolVar(&cuts, "cuts", false, "also every profile's run, cut by cut")
	cmd.Flags().StringVar(&out, "out", "", "also write the plan as JSON to this `file`, for \"longpoint check\"")
	cmd.Flags().BoolVar(&summary, "summary", false, "only the tables, not the sticks one by one")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the plan as JSON, lengths in nanometres")
	return cmd
}

// pageParts says what of a plan is shown.
type pageParts struct {
	summary bool // only the tables
	json    bool // the document instead
	cuts    bool // also the runs cut by cut
}

// showPlan prints a plan and writes it to a file where one is named: both, or as far as can be neither.
func (p *program) showPlan(d *plan.Document, workshop *model.Workshop, out string, show pageParts) error {
	var data strings.Builder
	if err := d.Encode(&data); err != nil {
		return err
	}
	text := data.String()
	if !show.json { // for which nothing more has to be searched
		page := newPlanPage(d, workshop)
		if page.cuts = show.cuts; show.summary {
			text = page.summary() + page.minds()
		} else {
			text = page.whole()
		}
	}
	return p.deliver(d, text, data.String(), out, show.json)
}

// deliver shows text and writes the plan's own JSON to a file where one is named.
func (p *program) deliver(d *plan.Document, text, data, out string, jsonOut bool) error {
	if out == "" {
		p.countWarnings(d, jsonOut)
		return p.show(text)
	}
	file, err := stage(out, []byte(data))
	if err != nil {
		return p.butDone(err)
	}
	defer file.drop()
	p.countWarnings(d, jsonOut)
	if err := p.show(text); err != nil {
		e, ok := errors.AsType[*model.Error](err)
		if ok && p.kept != "" {
			e.Do += "; " + out + " was not written"
		}
		return err
	}
	return p.butDone(file.keep())
}

// butDone has an error say what is done all the same.
func (p *program) butDone(err error) error {
	if e, ok := errors.AsType[*model.Error](err); ok && p.kept != "" {
		e.Do += "; this is done all the same: " + p.kept
	}
	return err
}

// countWarnings says on standard error that there is something to mind in the plan.
func (p *program) countWarnings(d *plan.Document, jsonOut bool) {
	n := 0
	for _, pp := range d.Profiles {
		n += len(pp.Warnings)
		if strings.Contains(pp.Reason, planner.RefusedCertificate) {
			p.warn("profile %s: the plan is open, for %s. Please report it, if you can with the workshop's files", plain(pp.Name), plain(pp.Reason))
		}
	}
	if n > 0 {
		word := "Mind"
		if jsonOut {
			word = "warnings"
		}
		p.warn("the plan has %s: look for %q", count(n, "thing to mind", "things to mind"), word)
	}
}

// planPage sets a plan for people.
type planPage struct {
	d        *plan.Document
	unit     model.Unit
	currency model.Currency
	dates    model.DateOrder
	rack     []model.Stick         // that the plan was made from
	copies   map[model.SideID]bool // by job and frame: there are several alike
	bought   func(profile, supplier string) plan.Supply
	others   []plan.Run // by profile: the order that its run is not in
	cuts     bool       // show the runs cut by cut
}

// newPlanPage makes a page of a document.
func newPlanPage(d *plan.Document, workshop *model.Workshop) *planPage {
	g := &planPage{d: d, unit: workshop.Unit, currency: currencyOf(d), dates: workshop.Habits.Dates, bought: boughtNow(d, workshop), rack: workshop.Rack, copies: map[model.SideID]bool{}}
	for i := range d.Profiles {
		pp := &d.Profiles[i]
		g.others = append(g.others, sequence.Other(workshop, pp))
		for _, stick := range pp.Sticks {
			for _, side := range stick.Sides {
				if side.Copy > 1 {
					g.copies[side.OfLine()] = true
				}
			}
		}
	}
	return g
}

// whole is the summary and then the sticks, profile by profile.
func (g *planPage) whole() string {
	var b strings.Builder
	b.WriteString(g.summary())
	if len(g.d.Profiles) > 0 {
		b.WriteString("\n" + paragraph("The sticks follow in cutting order, drawn long point up over a ruler: # is trimmed off "+
			"the head, dots are left over, the tail included.", ""))
	}
	for _, pp := range g.d.Profiles {
		b.WriteString("\n\n" + g.profile(pp))
	}
	return b.String()
}

// summary is everything but the sticks.
func (g *planPage) summary() string {
	title := "Cutting plan for " + plain(g.d.Workshop) + ": " + scope(g.d, g.dates)
	parts := []string{paragraph(title, "")}
	if len(g.d.Profiles) == 0 {
		return parts[0] + "\nThere is nothing to cut.\n"
	}
	come := text.OnTheWay(g.d)
	if come != "" {
		come += " "
	}
	parts = append(parts, g.profiles().String()+paragraph("From rack and to buy are sticks. "+come+"Cost is the price of new sticks "+
		"and the value of those from the rack; no plan can cost less than the bound. Yield is moulding in the frames, "+
		"by long points, of the length used up.", ""))
	if extras := g.extras(); extras != "" {
		parts = append(parts, extras)
	}
	if reasons := g.reasons(); reasons != "" {
		parts = append(parts, reasons)
	}
	parts = append(parts,
		"Against first-fit by longest side with the same sticks\n"+g.comparison().String()+g.saving(),
		"To buy\n"+buyTable(g.d, g.unit, g.currency))
	if waiting := g.waiting(); waiting != "" {
		parts = append(parts, waiting)
	}
	parts = append(parts,
		"What each job's moulding costs\n"+g.jobs().String()+paragraph(text.JobCosts(g.d), ""),
		"Placing the stops\n"+g.settings().String()+g.aboutSettings(),
		paragraph(caution, ""))
	return strings.Join(parts, "\n")
}

// boughtNow says when what a plan buys is expected, if it is ordered on the plan's day, or today where it has none.
func boughtNow(d *plan.Document, w *model.Workshop) func(profile, supplier string) plan.Supply {
	on := model.Date{Time: time.Now()}
	if day, err := model.ParseDate(d.On); err == nil {
		on = day
	}
	return func(_, supplier string) plan.Supply {
		return plan.Supply{Expected: w.ExpectedOf(supplier, on).String()}
	}
}

// waiting says what waits for which delivery.
func (g *planPage) waiting() string {
	every := g.d.Waiting(g.bought)
	late := ""
	for _, line := range plan.LateJobs(every, g.dates) {
		late += paragraph("Mind: "+plain(line), "")
	}
	all := plan.AlreadyOrdered(every)
	if len(all) == 0 {
		return late
	}
	t := &table{columns: []column{days("expected", g.dates), words("supplier"), words("order"), words("profile"), numbers("sticks"), words("for jobs")}}
	for _, w := range all {
		t.add(cmp.Or(w.Expected, "not known"), cell(w.Supplier, 16), cell(w.Order, 8), cell(w.Profile, 14), fmt.Sprint(len(w.Sticks)),
			cell(joinAnd(w.Jobs), 18))
	}
	return "To come, and counted on: these cannot be cut before they are here\n" + t.String() + late
}

// profiles is the summary table.
func (g *planPage) profiles() *table {
	code := g.currency.Code
	t := &table{columns: []column{words("profile"), numbers("sides"), numbers("from rack"), numbers("to buy"),
		numbers("cost " + code), numbers("bound " + code), words("grade"), numbers("yield %")}}
	row := func(name string, f plan.Figures, bound model.Money, grade plan.Grade) []string {
		return []string{cell(name, 14), fmt.Sprint(f.Sides), fmt.Sprint(f.RackSticks), fmt.Sprint(f.NewSticks),
			f.Cost.In(g.currency), bound.In(g.currency), string(grade), percent(f)}
	}
	for _, pp := range g.d.Profiles {
		t.add(row(pp.Name, pp.Figures, pp.Bound, pp.Grade)...)
	}
	t.foot = row("all", g.d.Total.Figures, g.d.Total.Bound, g.d.Total.Grade)
	return t
}

// extras says what else is in the cost, where there is any: delivery, offcuts, sticks to spare, profiles planned together.
func (g *planPage) extras() string {
	f := g.d.Total.Figures
	var text []string
	if f.Delivery > 0 {
		text = append(text, fmt.Sprintf("Delivery, %s, is shared out among the profiles.", f.Delivery.With(g.currency)))
	}
	if f.Credit > 0 {
		text = append(text, fmt.Sprintf("Kept offcuts worth %s are taken off the cost.", f.Credit.With(g.currency)))
	}
	if f.Spare > 0 {
		text = append(text, fmt.Sprintf("New sticks that go on the rack whole, worth %s, are taken off the cost.", f.Spare.With(g.currency)))
	}
	for _, t := range g.d.Together {
		ask := "asks"
		if len(t.Suppliers) > 1 {
			ask = "ask"
		}
		text = append(text, fmt.Sprintf("What %s %s of an order binds %s together: in all %s, bound %s, %s.", plain(joinAnd(t.Suppliers)), ask,
			plain(joinAnd(t.Profiles)), t.Cost.With(g.currency), t.Bound.With(g.currency), t.Grade))
	}
	if len(text) == 0 {
		return ""
	}
	return paragraph(strings.Join(text, " "), "")
}

// reasons says why a profile's plan, or that of several together, is not proven.
func (g *planPage) reasons() string {
	var b strings.Builder
	for _, t := range g.d.Together {
		if t.Grade != plan.Proven {
			b.WriteString(paragraph(fmt.Sprintf("%s together are %s: %s. A plan may be cheaper by up to %s.", plain(joinAnd(t.Profiles)), t.Grade,
				plain(t.Reason), t.Gap.With(g.currency)), "  "))
		}
	}
	for _, pp := range g.d.Profiles {
		if pp.Grade != plan.Proven && pp.Together == 0 {
			b.WriteString(paragraph(fmt.Sprintf("%s is %s: %s. A plan may be cheaper by up to %s.", pp.Name, pp.Grade,
				plain(pp.Reason), pp.Gap.With(g.currency)), "  "))
		}
	}
	return b.String()
}

// comparison sets the plan beside first-fit, over all profiles.
func (g *planPage) comparison() *table {
	code := g.currency.Code
	t := &table{columns: []column{words(""), numbers("sides"), numbers("sticks"), numbers("rack value " + code),
		numbers("to pay " + code), numbers("cost " + code), numbers("yield %")}}
	for _, r := range []struct {
		name string
		f    plan.Figures
	}{{"this plan", g.d.Total.Figures}, {"first-fit", g.d.Total.FirstFit.Figures}} {
		t.add(r.name, fmt.Sprint(r.f.Sides), fmt.Sprint(r.f.Sticks()), r.f.RackValue.In(g.currency),
			(r.f.Purchases + r.f.Delivery).In(g.currency), r.f.Cost.In(g.currency), percent(r.f))
	}
	return t
}

// saving says in words what planning saved, or that first-fit does not get through.
func (g *planPage) saving() string { return paragraph(text.Saving(g.d), "") }

// jobs is the table of what each job's moulding costs.
func (g *planPage) jobs() *table {
	t := &table{columns: []column{words("job"), words("customer"), days("due", g.dates), numbers("sides"),
		numbers("cost " + g.currency.Code)}}
	for _, j := range g.d.Jobs {
		t.add(cell(j.Job, 18), cell(j.Customer, 28), j.Due, fmt.Sprint(j.Sides), j.Cost.In(g.currency))
	}
	t.foot = []string{"all", "", "", fmt.Sprint(g.d.Total.Figures.Sides), g.d.Shared().In(g.currency)}
	return t
}

// profile is one profile's part of the page: its figures and its sticks.
func (g *planPage) profile(pp plan.ProfilePlan) string {
	var b strings.Builder
	title := "Profile " + pp.Name
	if pp.Title != "" {
		title += ": " + pp.Title
	}
	title = strings.TrimSuffix(paragraph(plain(title), ""), "\n")
	b.WriteString(title + "\n" + strings.Repeat("═", widest(title)) + "\n")
	b.WriteString(paragraph(g.setting(pp), ""))
	if begun := sheet.Begun(pp, g.rack, g.unit); begun != "" {
		b.WriteString(paragraph(plain(begun), ""))
	}
	if pp.SetUp != "" {
		b.WriteString(paragraph("Setting up: "+plain(pp.SetUp), "  "))
	}
	b.WriteString(paragraph(g.figures(pp), ""))
	b.WriteString(paragraph(g.firstFit(pp), ""))
	b.WriteString(paragraph(runLine(pp.Run), ""))
	if turn := pp.TurnTo(); turn != "" {
		b.WriteString(paragraph(turn, ""))
	}
	b.WriteString(minds(pp))
	draw := newDrawing(pp, g.unit, pageWidth-rulerRoom)
	for i := range pp.Sticks {
		b.WriteString("\n" + g.stick(pp, i, draw))
	}
	if g.cuts {
		b.WriteString("\n" + g.run(pp))
	}
	return b.String()
}

// minds is what is to be minded in all profiles, for a summary, which does not show them one by one.
func (g *planPage) minds() string {
	var b strings.Builder
	for _, pp := range g.d.Profiles {
		if text := minds(pp); text != "" {
			b.WriteString("\n" + paragraph("Profile "+plain(pp.Name), "") + text)
		}
	}
	return b.String()
}

// minds is what is to be minded in one profile.
func minds(pp plan.ProfilePlan) string {
	var b strings.Builder
	for _, w := range pp.Warnings {
		b.WriteString(paragraph("Mind: "+plain(w)+".", "      "))
	}
	return b.String()
}

// setting says how the machine is set for a profile.
func (g *planPage) setting(pp plan.ProfilePlan) string {
	u := g.unit
	s, begun := fmt.Sprintf("Moulding %s wide.", pp.Width.Near(u)), sheet.Begun(pp, g.rack, u)
	if pp.HeadTrim > 0 || pp.TailTrim > 0 {
		heads := "every stick"
		if begun != "" {
			heads = "every stick that is not begun"
		}
		s += fmt.Sprintf(" Trim %s off the head of "+heads+" and leave %s at its tail.", pp.HeadTrim.InToCut(u), pp.TailTrim.InToCut(u))
	}
	if apart := sheet.Apart(pp, u); apart != "" {
		s += " " + apart
	}
	if len(pp.Bites.Advances) < 2 {
		return s
	}
	bites := make([]string, len(pp.Bites.Advances))
	for i, b := range pp.Bites.Advances {
		bites[i] = toCut(b, u)
	}
	s += fmt.Sprintf(" Bites: %s %s", strings.Join(bites, " + "), u)
	if pp.Bites.Finishing {
		s += ", the last one the finishing bite"
	}
	return s + "."
}

// figures says what a profile takes.
func (g *planPage) figures(pp plan.ProfilePlan) string {
	f := pp.Figures
	var from []string
	come := pp.OnTheWay()
	if here := f.RackSticks - come; here > 0 {
		from = append(from, count(here, "stick", "sticks")+" off the rack")
	}
	if come > 0 {
		from = append(from, count(come, "stick", "sticks")+" still to come")
	}
	if f.NewSticks > 0 {
		from = append(from, count(f.NewSticks, "new stick", "new sticks"))
	}
	return fmt.Sprintf("%s from %s: %s, bound %s, %s; yield %s %%.", count(f.Sides, "side", "sides"), joinAnd(from),
		f.Cost.With(g.currency), pp.Bound.With(g.currency), pp.Grade, percent(f))
}

// firstFit says what first-fit would take of a profile.
func (g *planPage) firstFit(pp plan.ProfilePlan) string {
	ff := pp.FirstFit
	if !ff.Complete && ff.LeftOver == 0 {
		return "First-fit by longest side does not come to what a supplier asks of an order."
	}
	if !ff.Complete {
		return fmt.Sprintf("First-fit by longest side finds no stick for %s of them.", count(ff.LeftOver, "side", "sides"))
	}
	return fmt.Sprintf("First-fit by longest side takes %s, %s; yield %s %%.", count(ff.Figures.Sticks(), "stick", "sticks"),
		ff.Figures.Cost.With(g.currency), percent(ff.Figures))
}

// stick is one stick of a profile: where it comes from, its drawing, its sides and what is left.
func (g *planPage) stick(pp plan.ProfilePlan, at int, draw drawing) string {
	const jobWidth, frameWidth, leastName = 10, 18, 4 // of the frame with which of several it is; the page has no more room
	u, s := g.unit, pp.Sticks[at]
	t := &table{columns: []column{numbers("cut"), words("side"), numbers("long point " + u.String()),
		words("= measure + 2 × set " + u.String()), words("job"), words("frame")}}
	for i, side := range s.Sides {
		measure, set := settings(side.LongPoint, side.Set, u)
		room := frameWidth - max(0, widest(pp.Lettered(side))-len("side")) - len(g.which(side))
		t.add(fmt.Sprint(draw.numbers[[2]int{at, i}]), pp.Lettered(side), toCut(side.LongPoint, u),
			fmt.Sprintf("%s + 2 × %s", measure, set),
			cell(side.Job, jobWidth), side.Frame+g.which(side)+fullCut+cutShort(side.Frame, max(room, leastName))+g.which(side))
	}
	return paragraph(g.source(s, at+1, len(pp.Sticks)), "") + draw.stick(at) + t.String() + g.parts(pp, at, draw) + paragraph(g.leftOver(pp, s), "")
}

// parts says which cuts of a damaged stick come from which part of it: "Cuts 4 and 5 come before the damage at 812 mm."
func (g *planPage) parts(pp plan.ProfilePlan, at int, draw drawing) string {
	s := pp.Sticks[at]
	var order []string
	cuts := map[string][]string{}
	for i, side := range s.Sides {
		part := pp.PartOf(s, side, g.unit)
		if part == "" {
			return ""
		}
		if len(cuts[part]) == 0 {
			order = append(order, part)
		}
		cuts[part] = append(cuts[part], fmt.Sprint(draw.numbers[[2]int{at, i}]))
	}
	var said []string
	for _, part := range order {
		said = append(said, fmt.Sprintf("%s: %s %s.", firstUpper(part), one(len(cuts[part]), "cut", "cuts"), joinAnd(cuts[part])))
	}
	return paragraph(strings.Join(said, " "), "")
}

// one gives a word as it stands for one thing or for several.
func one(n int, singular, plural string) string {
	if n == 1 {
		return singular
	}
	return plural
}

// source says where a stick comes from.
func (g *planPage) source(s plan.Stick, number, of int) string {
	text := fmt.Sprintf("Stick %d of %d: %s", number, of, plain(s.ID))
	switch {
	case s.From == plan.FromRack && s.Place != "":
		text += ", from the rack (" + plain(s.Place) + ")"
	case s.From == plan.FromRack:
		text += ", from the rack"
	case s.From == plan.OnTheWay:
		text += ", to come from " + plain(s.Supplier) + " with order " + plain(s.Order)
		if s.Expected != "" {
			text += ", expected " + g.dates.Rewrite(s.Expected)
		}
	default:
		text += ", from " + plain(s.Supplier)
	}
	if s.Lot != "" {
		text += ", lot " + plain(s.Lot)
	}
	text += ", " + s.Length.Near(g.unit)
	if s.Longest > 0 {
		text += " or longer"
	}
	for n, d := range s.Damage {
		word := ", x"
		if n == 0 {
			word = "; damage, drawn x,"
		}
		text += fmt.Sprintf("%s from %s to %s", word, near(d.From, g.unit), d.To.Near(g.unit))
	}
	return text
}

// leftOver says what becomes of the rest of a stick.
func (g *planPage) leftOver(pp plan.ProfilePlan, s plan.Stick) string {
	parts := []string{g.becomes(pp, "Left over", s.Left)}
	if len(s.Between) > 0 {
		parts = nil
		for n, left := range s.Lefts() {
			parts = append(parts, g.becomes(pp, fmt.Sprintf("Left over of part %d", n+1), left))
		}
	}
	if mind := sheet.ToMeasure(pp, s); mind != "" {
		parts = append(parts, mind)
	}
	return strings.Join(parts, " ")
}

// becomes says what becomes of one piece that is left.
func (g *planPage) becomes(pp plan.ProfilePlan, what string, left plan.Left) string {
	switch left.Becomes {
	case plan.Kept:
		if pp.Has(left.ID) { // in a run
			return fmt.Sprintf("%s: %s, goes on as %s.", what, left.Length.Near(g.unit), plain(left.ID))
		}
		text := fmt.Sprintf("%s: %s, back on the rack as %s", what, left.Length.Near(g.unit), plain(left.ID))
		if left.Value > 0 {
			text += ", worth " + left.Value.With(g.currency)
		}
		return text + "."
	case plan.Waste:
		return fmt.Sprintf("%s: %s, waste.", what, left.Length.Near(g.unit))
	}
	return strings.Replace(what, "Left over", "Nothing is left over", 1) + "."
}

// which tells apart the copies and rings of a frame that has several.
func (g *planPage) which(s plan.Side) string {
	var text string
	if g.copies[s.OfLine()] {
		text = fmt.Sprintf(" no %d", s.Copy)
	}
	if s.Ring > 1 {
		text += fmt.Sprintf(" ring %d", s.Ring)
	}
	return text
}
