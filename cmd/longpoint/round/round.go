// Package round is what takes the book and the planner together, for the commands and for the pages: at the machine, a mishap after
// which the rest of a run is planned anew, and the words for what was done.
package round

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/runs"
)

// Marked gives what a book's last plan has marked out of what is to be planned, where it was ordered or is being cut; nothing where the
// cuts are to come in another order, or what is on the way is left out.
func Marked(ctx context.Context, b *book.Book, o planner.Options) (*plan.Document, error) {
	if o.Here {
		return nil, nil
	}
	_, d, err := b.Standing(ctx)
	if err != nil || d == nil {
		return nil, err
	}
	d.Until, d.Only = o.Until.String(), o.Profiles
	d.Profiles = slices.DeleteFunc(d.Profiles, func(p plan.ProfilePlan) bool {
		return len(o.Profiles) > 0 && !slices.Contains(o.Profiles, p.Name) || o.CutOrder != "" && p.Run.Order != o.CutOrder
	})
	if len(d.Profiles) == 0 {
		return nil, nil
	}
	return d, nil
}

// Plan plans a workshop. As much as can be of what is marked out, where anything is, stays as it is.
func Plan(ctx context.Context, w *model.Workshop, marked *plan.Document, o planner.Options) (*plan.Document, error) {
	if marked != nil {
		r, err := planner.Remake(ctx, w, marked, nil, o)
		if err == nil {
			return r.Plan, nil
		}
		if e, ok := errors.AsType[*model.Error](err); !ok || e.Kind != model.BadInput {
			return nil, err
		} // the shop is another than the plan was made for
	}
	return planner.Make(ctx, w, o)
}

// Start begins to cut a profile by a plan (0: the last), or takes in what has come for a run that is open; fresh is false where that is nothing. What it waited for in vain is
// planned anew.
func Start(ctx context.Context, b *book.Book, by book.By, profile string, planID int64, o planner.Options) (r runs.Run, fresh bool, remade []book.Remade, minds []string, err error) {
	if r, fresh, err = b.StartRun(ctx, profile, planID, by); err != nil {
		return r, false, nil, nil, err
	}
	if slices.ContainsFunc(r.Waiting, func(a runs.Awaited) bool { return a.Gone }) {
		if by.Key != "" {
			by.Key += "-anew"
		}
		remade, minds, err = WriteCuts(ctx, b, by, nil, []int64{r.ID}, o)
	}
	old, oldErr := OldFigures(ctx, b, r)
	return r, fresh, remade, append(minds, old...), cmp.Or(err, oldErr)
}

// OldFigures says what was changed since the plan was made by which an open run goes on, where that is cut otherwise now.
func OldFigures(ctx context.Context, b *book.Book, r runs.Run) (minds []string, err error) {
	by := max(r.Plan, r.Rest)
	news, err := b.Since(ctx, by)
	if err != nil || r.State != "open" {
		return nil, err
	}
	for _, n := range news {
		if n.Cut && (n.Profile == "" || n.Profile == r.Profile) {
			minds = append(minds, fmt.Sprintf("since plan %d was made %s, and run %d goes on by the old figures: finish it, and plan the rest again", by, n.What, r.ID))
		}
	}
	return minds, nil
}

// tries is how often the rest of a run is planned when others change the book meanwhile.
const tries = 4

// WriteCuts makes changes, and has the runs in which something went wrong go over to a plan of their rest, all in one step. Where
// the rest cannot be planned what happened is written down all the same. minds is what there is to mind.
func WriteCuts(ctx context.Context, b *book.Book, by book.By, changes []book.Change, mishaps []int64, o planner.Options) (remade []book.Remade, minds []string, err error) {
	for range tries {
		if remade, minds, err = writeCuts(ctx, b, by, changes, mishaps, o); !errors.Is(err, book.ErrMeanwhile) {
			return remade, minds, err
		}
	}
	if len(changes) == 0 {
		return nil, minds, err
	}
	_, err = b.Do(ctx, by, changes...)
	return nil, append(minds, "others kept changing the book, so that the rest was not planned anew; what is left over waits for the next plan"), err
}

// writeCuts does so once.
func writeCuts(ctx context.Context, b *book.Book, by book.By, changes []book.Change, mishaps []int64, o planner.Options) (remade []book.Remade, minds []string, err error) {
	all := slices.Clone(changes)
	for _, run := range mishaps {
		rest, err := b.RunRest(ctx, run, changes...)
		if err != nil {
			return nil, nil, err
		}
		r, unmatched, err := remake(ctx, rest, o)
		if err != nil {
			minds = append(minds, fmt.Sprintf("the rest of run %d could not be planned anew: %v; what is left over waits for the next plan", run, err))
			if e, ok := errors.AsType[*model.Error](err); ok && e.Kind == model.Fault {
				return nil, minds, err
			}
			continue
		}
		minds = append(minds, unmatched...)
		all = append(all, book.GoOver(rest, r.Plan, func(m book.Remade) { remade = append(remade, m) }))
	}
	_, err = b.Do(ctx, by, all...)
	return remade, minds, err
}

// remake plans the rest of a run, and gives the frames that the plan does not match. Where the rest of a frame would come from another lot than what is
// cut of it, it is tried with no other wood than what is in hand, or marked out, and sticks of the lots in question, whatever that costs.
func remake(ctx context.Context, rest *runs.Rest, o planner.Options) (r *planner.Remade, unmatched []string, err error) {
	o.AtMachine = &rest.AtMachine
	if r, err = planner.Remake(ctx, rest.Workshop, rest.Plan, rest.Events, o); err != nil {
		return nil, nil, err
	}
	unmatched = planner.UnmatchedFrames(r.Workshop, r.Plan.Profiles, rest.CutFrom)
	if len(unmatched) == 0 || len(rest.CutFrom) == 0 {
		return r, unmatched, nil
	}
	again, err := planner.Remake(ctx, ofTheseLots(rest), rest.Plan, rest.Events, o)
	if err != nil { // there is too little of them
		return r, unmatched, ctx.Err()
	}
	if matched := planner.UnmatchedFrames(again.Workshop, again.Plan.Profiles, rest.CutFrom); len(matched) < len(unmatched) {
		return again, matched, nil
	}
	return r, unmatched, nil
}

// ofTheseLots is the shop of a run's rest with nothing on offer and, of the sticks that nothing is marked out on, only those of lots that its frames were cut from.
func ofTheseLots(rest *runs.Rest) *model.Workshop {
	w := *rest.Workshop
	marked, lots := map[string]bool{}, map[string]bool{}
	for _, p := range rest.Plan.Profiles {
		for _, s := range p.Sticks {
			marked[s.ID] = true
		}
	}
	for _, all := range rest.CutFrom {
		for _, lot := range all {
			lots[lot] = true
		}
	}
	w.Offers = nil
	w.Rack = slices.DeleteFunc(slices.Clone(w.Rack), func(s model.Stick) bool {
		return !marked[s.ID] && !lots[plan.Stick{ID: s.ID, From: plan.FromRack, Lot: s.Lot}.LotName()]
	})
	return &w
}

// HowFar says how much of a run is cut.
func HowFar(d *runs.Document, run int) string {
	n := map[string]int{}
	sides := map[model.SideID]bool{}
	for i, s := range d.Plan.Profiles[run].Sticks {
		for k, side := range s.Sides {
			n[d.Became[run][i][k]]++
			sides[side.SideID] = true
		}
	}
	said := fmt.Sprintf("%d of %s done", n[runs.Done], text.Count(len(sides), "side", "sides"))
	if d.Runs[run].State != "open" { // what it still waited for is in it no more
		said = text.Count(n[runs.Done], "side", "sides") + " done"
	}
	for _, word := range []string{runs.Short, runs.Torn, runs.Unwanted} {
		if n[word] > 0 {
			said += fmt.Sprintf(", %d %s", n[word], word)
		}
	}
	return said
}

// Remade says which sticks a plan of the rest changes, and that what is printed of the run is out of date; again is how it is printed anew.
func Remade(m book.Remade, again string) string {
	var parts []string
	for _, one := range []struct {
		what  string
		names []string
	}{
		{"marked out anew: ", slices.DeleteFunc(slices.Clone(m.Changed), func(s string) bool { return slices.Contains(m.Joined, s) })},
		{"off the rack: ", m.Joined},
		{"nothing more from ", m.Left},
		{"other sides than before, once they are here, from ", m.Coming},
	} {
		if len(one.names) > 0 {
			parts = append(parts, one.what+text.JoinAnd(one.names))
		}
	}
	said := fmt.Sprintf("The rest is planned anew, as plan %d", m.Plan)
	if len(parts) == 0 {
		return said + "; all marks stay."
	}
	said += "; " + strings.Join(parts, "; ")
	if m.Labels == 0 {
		return said + ". All labels stay; the cut sheet is out of date: " + again
	}
	return said + fmt.Sprintf(". The cut sheet is out of date, and there %s %s: %s", map[bool]string{true: "is", false: "are"}[m.Labels == 1],
		text.Count(m.Labels, "new label", "new labels"), again)
}

// Awaited says what a run waits for, sticks of one length and one fate together, in the shop's unit and with days as it writes them; again is what is done to take in what is here.
func Awaited(all []runs.Awaited, u model.Unit, dates model.DateOrder, again string) (said []string) {
	alike := map[string][]runs.Awaited{}
	var fates []string
	for _, a := range all {
		fate := awaited(a, 1, u, dates, again)
		if alike[fate] == nil {
			fates = append(fates, fate)
		}
		alike[fate] = append(alike[fate], a)
	}
	for _, fate := range fates {
		var names []string
		for _, a := range alike[fate] {
			names = append(names, a.Stick)
		}
		said = append(said, text.JoinAnd(names)+", "+awaited(alike[fate][0], len(names), u, dates, again))
	}
	return said
}

// awaited says the length and the fate of so many sticks.
func awaited(a runs.Awaited, sticks int, u model.Unit, dates model.DateOrder, again string) string {
	said, them, is, lies, come := a.Length.Near(u), "it", "is", "lies", "has come"
	if sticks > 1 {
		said, them, is, lies, come = "each "+said, "them", "are", "lie", "have come"
	}
	switch {
	case a.Gone:
		return said + ", for which nothing that is here or to come does: " + again + " to plan " + them + " anew"
	case a.Together:
		return said + ", which " + is + " here and " + is + " cut together with sticks that are not, for the frames that share them are to be of one lot"
	case a.Here && a.Order == 0:
		return said + ", which " + lies + " on the rack: " + again + " to take " + them + " in"
	case a.Here:
		return said + fmt.Sprintf(", which %s with order %d: %s to take %s in", come, a.Order, again, them)
	case a.Order == 0:
		return said + ", not ordered yet"
	}
	said += fmt.Sprintf(", to come with order %d from %s", a.Order, a.Supplier)
	if a.Unsent {
		return said + ", which is not sent yet"
	}
	if a.Expected != "" {
		said += ", expected " + dates.Rewrite(a.Expected)
	}
	return said
}

// Mixed says which frames would be cut from several lots, a sentence each.
func Mixed(all []book.Mixed) (said []string) {
	for _, m := range all {
		said = append(said, fmt.Sprintf("the sides of %s are to be of one lot, and what has come for plan %d is of %s; nothing of this is cut by that plan: plan again",
			text.JoinAnd(m.Frames), m.Plan, text.JoinAnd(m.Lots)))
	}
	return said
}

// Since says what is otherwise than when a plan was made; nothing where all is as it was.
func Since(news []book.News) string {
	if len(news) == 0 {
		return ""
	}
	var what []string
	again := false
	for _, n := range news {
		what = append(what, n.What)
		again = again || n.Cut || n.Buy
	}
	said := "Since this plan was made " + text.JoinAnd(what) + "."
	if again {
		return said + " Plan again: no run begins by this one for what that is about, and nothing is ordered by it."
	}
	return said + " That is not in it."
}

// Holding gives the shop for which a plan (0: the last) was made and the plan as it is printed (book.Named), as long as it is right for that shop but for what was ordered by it
// and for jobs that came in since: what is cut by a stale sheet is cut wrong.
func Holding(ctx context.Context, b *book.Book, planID int64, right func(context.Context, *model.Workshop, *plan.Document) error) (w *model.Workshop, d *plan.Document, err error) {
	if d, planID, err = b.Plan(ctx, planID); err != nil {
		return nil, nil, err
	}
	if err := b.StillAbout(ctx, planID); err != nil {
		return nil, nil, err
	}
	if w, err = b.RestFor(ctx, planID); err != nil {
		return nil, nil, err
	}
	w.Jobs = slices.DeleteFunc(w.Jobs, func(j model.Job) bool {
		return !slices.ContainsFunc(d.Jobs, func(c plan.JobCost) bool { return c.Job == j.ID })
	})
	if right != nil {
		if err := right(ctx, w, d); err != nil {
			return nil, nil, err
		}
	}
	d, err = b.Named(ctx, planID)
	return w, d, err
}

// Waits says what of a plan (0: the last) waits for which delivery as the orders stand now: what it buys comes with what was ordered for it, or is expected as if it were
// ordered today. Jobs that are ready or gone wait for nothing. There is none where the book has no plan.
func Waits(ctx context.Context, b *book.Book, planID int64) ([]plan.Waiting, error) {
	d, id, err := b.Plan(ctx, planID)
	if e, ok := errors.AsType[*model.Error](err); ok && e.Kind == model.BadUsage && planID == 0 {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	w, err := b.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	orders, err := b.Purchases(ctx, false)
	if err != nil {
		return nil, err
	}
	today := model.Date{Time: b.Now()}
	all := d.Waiting(func(profile, supplier string) plan.Supply {
		for _, o := range orders {
			for _, l := range o.Lines {
				if l.Plan == id && l.Profile == profile && o.Supplier == supplier && o.State != book.Cancelled {
					return plan.Supply{Order: fmt.Sprint(o.ID), Expected: o.ShouldCome, Here: o.State == book.Arrived}
				}
			}
		}
		return plan.Supply{Expected: w.ExpectedOf(supplier, today).String()}
	})
	return slices.DeleteFunc(all, func(x plan.Waiting) bool { // it has come, or nobody wants it any more
		came := slices.ContainsFunc(orders, func(o book.Purchase) bool { return fmt.Sprint(o.ID) == x.Order && o.State != book.Placed })
		return came || !slices.ContainsFunc(x.Jobs, func(job string) bool {
			return slices.ContainsFunc(w.Jobs, func(j model.Job) bool { return j.ID == job })
		})
	}), nil
}

// Finished says what finishing a run did, a sentence each.
func Finished(run int64, f book.Finished, u model.Unit) []string {
	said := []string{fmt.Sprintf("Run %d is finished: %s used up.", run, text.Count(len(f.Used), "stick", "sticks"))}
	for _, o := range f.Offcuts {
		line := fmt.Sprintf("On the rack: %s, %s, left of %s", o.Name, o.Length.Near(u), o.Of)
		if o.Place != "" {
			line += ", at " + o.Place
		}
		said = append(said, line+".")
	}
	if len(f.Returned) > 0 {
		said = append(said, "Back on the rack, uncut: "+text.JoinAnd(f.Returned)+".")
	}
	if n := len(f.Missing); n > 0 {
		said = append(said, text.Count(n, "side goes", "sides go")+" to the next plan.")
	}
	said = append(said, stillToCut(f.Missing)...)
	if len(f.Ready) == 1 {
		said = append(said, "Ready: job "+f.Ready[0]+".")
	} else if len(f.Ready) > 1 {
		said = append(said, "Ready: jobs "+text.JoinAnd(f.Ready)+".")
	}
	return said
}

// stillToCut says which sides are still to cut, a sentence for each job.
func stillToCut(sides []model.SideID) (said []string) {
	of := map[string][]string{} // by job: its frames
	in := map[string][]string{} // by job and frame: the sides
	var jobs []string
	for _, s := range sides {
		frame := "frame " + s.Frame
		if slices.ContainsFunc(sides, func(o model.SideID) bool { return o.Copy > 1 && o.Job == s.Job && o.Frame == s.Frame }) {
			frame += fmt.Sprintf(" no %d", s.Copy)
		}
		if s.Ring > 1 {
			frame += fmt.Sprintf(", ring %d", s.Ring)
		}
		if of[s.Job] == nil {
			jobs = append(jobs, s.Job)
		}
		if !slices.Contains(of[s.Job], frame) {
			of[s.Job] = append(of[s.Job], frame)
		}
		in[s.Job+"/"+frame] = append(in[s.Job+"/"+frame], s.Letter)
	}
	for _, job := range jobs {
		var frames []string
		for _, frame := range of[job] {
			letters := in[job+"/"+frame]
			slices.Sort(letters)
			frames = append(frames, frame+": "+strings.Join(letters, ", "))
		}
		said = append(said, "Still to cut: job "+job+", "+strings.Join(frames, "; ")+".")
	}
	return said
}
