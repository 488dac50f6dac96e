package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/planner"
)

// writeCuts makes changes, and has the runs in which something went wrong go over to a plan of their rest, all in one step. Where
// the rest cannot be planned what happened is written down all the same.
func (p *program) writeCuts(ctx context.Context, b *book.Book, by book.By, changes []book.Change, mishaps []int64) (remade []book.Remade, err error) {
	all := slices.Clone(changes)
	for _, run := range mishaps {
		rest, err := b.RunRest(ctx, run, changes...)
		if err != nil {
			return nil, err
		}
		r, err := p.remakeRun(ctx, rest)
		if err != nil {
			p.warn("the rest of run %d could not be planned anew: %v; what is left over waits for the next plan", run, err)
			if e, ok := errors.AsType[*model.Error](err); ok && e.Kind == model.Fault {
				return nil, err
			}
			continue
		}
		for _, mind := range r.Unmatched {
			p.warn("%s", mind)
		}
		all = append(all, book.GoOver(rest, r.Plan, func(m book.Remade) { remade = append(remade, m) }))
	}
	_, err = b.Do(ctx, by, all...)
	return remade, err
}

// remakeRun plans the rest of a run.
func (p *program) remakeRun(ctx context.Context, rest *book.RunRest) (*planner.Remade, error) {
	how := planning{timeLimit: planner.DefaultTimeLimit}
	options, err := how.options()
	if err != nil {
		return nil, err
	}
	show := startProgress(p.stderr, rest.Workshop.Currency)
	defer show.stop()
	options.Progress = show.update
	return planner.Remake(ctx, rest.Workshop, rest.Plan, rest.Events, options)
}

// remadeLine says which sticks a plan of the rest changes, and what to do about it.
func remadeLine(m book.Remade) string {
	var parts []string
	for _, one := range []struct {
		what  string
		names []string
	}{
		{"marked out anew: ", slices.DeleteFunc(slices.Clone(m.Changed), func(s string) bool { return slices.Contains(m.Joined, s) })},
		{"off the rack: ", m.Joined},
		{"nothing more from ", m.Left},
	} {
		if len(one.names) > 0 {
			parts = append(parts, one.what+joinAnd(one.names))
		}
	}
	text := fmt.Sprintf("The rest is planned anew, as plan %d", m.Plan)
	if len(parts) == 0 {
		text += "; all marks stay."
	} else {
		text += "; " + strings.Join(parts, "; ") + fmt.Sprintf(". New labels: longpoint sheets labels --run %d --changed", m.Run)
	}
	text = paragraph(plain(text), "  ")
	if m.Buy > 0 {
		text += paragraph(fmt.Sprintf("%s to be ordered: longpoint order --plan %d", count(m.Buy, "stick is", "sticks are"), m.Plan), "  ")
	}
	return text
}
