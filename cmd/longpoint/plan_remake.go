package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/folder"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/stock"
)

// mishaps is what has happened since a workshop's tables were written: plans and, for each, a table of what became of it.
type mishaps struct {
	last, after []string
}

// remadeAnswer is what "longpoint plan --after --json" prints.
type remadeAnswer struct {
	Format    string          `json:"format"`
	Changes   planner.Changes `json:"changes"`
	Anew      []string        `json:"anew"`      // profiles that were planned without regard to what is marked out
	Unmatched []string        `json:"unmatched"` // frames of which a part is cut: the framer must match the rest to it
	Plan      *plan.Document  `json:"plan"`
}

// addFlags gives a command the flags of mishaps.
func (m *mishaps) addFlags(cmd *cobra.Command) {
	cmd.Flags().StringArrayVar(&m.last, "last", nil, "a plan that is partly cut, as a `file`; together with --after")
	cmd.Flags().StringArrayVar(&m.after, "after", nil, "a table of what became of the plan of --last, as a `file`")
}

func (m mishaps) given() bool { return len(m.last) > 0 || len(m.after) > 0 }

// notOfBook refuses mishaps that are told of a book: it has them in it, and they would count twice.
func (m mishaps) notOfBook(path string) error {
	if !m.given() || !isBook(path) {
		return nil
	}
	return usage("a book knows by itself what became of its sticks and sides", "write it down with \"longpoint cut\", and leave out --last and --after")
}

// paired demands a table for each plan.
func (m mishaps) paired() error {
	switch {
	case len(m.last) > len(m.after):
		return usage("--last names a plan, and --after is missing", `name a table of what became of it; "longpoint help mishaps" shows one`)
	case len(m.last) < len(m.after):
		return usage("--after names a table, and --last is missing", `name the plan that it is about, which "longpoint plan --out" wrote`)
	}
	return nil
}

// lastPlan reads one plan of a workshop, which must be right, and what became of it.
func (m mishaps) lastPlan(ctx context.Context, p *program, w *model.Workshop, n int) (*plan.Document, []stock.Event, error) {
	d, err := p.readPlan(m.last[n])
	if err != nil {
		return nil, nil, err
	}
	events, err := folder.ReadEvents(m.after[n], w)
	if err != nil {
		return nil, nil, err
	}
	return d, events, atPlan(m.last[n], rightPlan(ctx, w, d))
}

// rightPlan audits a plan that something is to be built on. That it is of another workshop is said first.
func rightPlan(ctx context.Context, w *model.Workshop, d *plan.Document) error {
	if _, err := stock.After(w, d); err != nil {
		return err
	}
	findings, err := audit.Check(ctx, w, d, auditTools)
	if err != nil {
		return unfinished(err)
	}
	if len(findings) == 0 {
		return nil
	}
	off := findings[0].String()
	if more := len(findings) - 1; more > 0 {
		off += fmt.Sprintf(" (and %s)", count(more, "more thing that is off", "more things that are off"))
	}
	return &model.Error{Kind: model.CheckFailed, What: "the plan that is partly cut is not right", Err: errors.New(off),
		Do: "give the workshop as it was when the plan was made, and the plan as \"longpoint plan --out\" wrote it; \"longpoint check\" lists all that is off"}
}

// workshop gives the workshop as it is after everything that has happened.
func (m mishaps) workshop(ctx context.Context, p *program, w *model.Workshop) (*model.Workshop, error) {
	if err := m.paired(); err != nil {
		return nil, err
	}
	for n := range m.last {
		d, events, err := m.lastPlan(ctx, p, w, n)
		if err != nil {
			return nil, err
		}
		if w, err = stock.Midway(w, d, events); err != nil {
			return nil, atPlan(m.last[n], err)
		}
	}
	return w, nil
}

// atPlan puts the plan's file to errors that have no place of their own.
func atPlan(name string, err error) error {
	if e, ok := err.(*model.Error); ok && e.Where == (model.Place{}) {
		return inFile(name, err)
	}
	return err
}

// remake is "longpoint plan --after": the plan of what is left.
func (p *program) remake(ctx context.Context, how *planning, m mishaps, dir, out string, parts pageParts) error {
	if err := m.paired(); err != nil {
		return err
	}
	if how.until != "" || len(how.profiles) > 0 {
		return usage("--until and --profile are those of the plan that is partly cut", "leave them out, or plan without --after")
	}
	w, options, err := how.read(ctx, p, dir)
	if err != nil {
		return err
	}
	now := len(m.last) - 1
	if w, err = (mishaps{m.last[:now], m.after[:now]}).workshop(ctx, p, w); err != nil {
		return err
	}
	d, events, err := m.lastPlan(ctx, p, w, now)
	if err != nil {
		return err
	}
	show := startProgress(p.stderr, w.Currency)
	options.Progress = show.update
	r, err := planner.Remake(ctx, w, d, events, options)
	show.stop()
	if err != nil {
		return atPlan(m.last[now], err)
	}
	p.warnOpen(r.Plan)
	return p.showRemade(r, out, parts)
}

// showRemade prints the plan of what is left, and before it how much is different.
func (p *program) showRemade(r *planner.Remade, out string, parts pageParts) error {
	var data strings.Builder
	if err := r.Plan.Encode(&data); err != nil {
		return err
	}
	var text string
	if parts.json { // for which nothing more has to be searched
		var err error
		if text, err = asJSON(remadeAnswer{Format: "longpoint-after/1", Changes: r.Changes, Anew: append([]string{}, r.Anew...), Unmatched: append([]string{}, r.Unmatched...), Plan: r.Plan}); err != nil {
			return err
		}
	} else {
		page := newPlanPage(r.Plan, r.Workshop)
		text = changesText(r) + "\n"
		if page.cuts = parts.cuts; parts.summary {
			text += page.summary() + page.minds()
		} else {
			text += page.whole()
		}
	}
	return p.deliver(r.Plan, text, data.String(), out, parts.json)
}

// changesText says how much of what was marked out is different, and what to see to.
func changesText(r *planner.Remade) string {
	c := r.Changes
	s := fmt.Sprintf("Done: %s. To be made again: %s. ", count(c.Done, "side", "sides"), count(c.Again, "side", "sides"))
	s += fmt.Sprintf("Of the sticks that were marked out and are still to be cut, %s and %s",
		count(c.Kept, "stays as it is", "stay as they are"), count(c.Changed, "changes", "change"))
	if c.Moved > 0 {
		s += fmt.Sprintf(": %s on another stick or at another place", count(c.Moved, "side is", "sides are"))
	}
	text := paragraph(s+". The plan's new sticks are taken as bought: they lie on the rack, called by their profile and name, and "+
		"count at the rack's value.", "")
	if c.Done+c.Again > 0 { // so the machine has been set
		text += paragraph("Where a stop stands is not known here: one that stands already where its first cut wants it need not be set again.", "")
	}
	if len(r.Anew) > 0 {
		text += paragraph("Planned without regard to what is marked out: "+
			plain(strings.Join(r.Anew, ", "))+".", "")
	}
	for _, mind := range r.Unmatched {
		text += paragraph("Mind: "+plain(mind)+".", "  ")
	}
	return text
}
