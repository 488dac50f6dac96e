package main

import (
	"context"
	"fmt"

	"longpoint/cmd/longpoint/round"
	"longpoint/model/book"
	"longpoint/model/planner"
)

// writeCuts makes changes, and has the runs in which something went wrong go over to a plan of their rest, all in one step. Where
// the rest cannot be planned what happened is written down all the same.
func (p *program) writeCuts(ctx context.Context, b *book.Book, by book.By, changes []book.Change, mishaps []int64) (remade []book.Remade, err error) {
	err = p.atMachine(ctx, b, func(o planner.Options) (minds []string, err error) {
		remade, minds, err = round.WriteCuts(ctx, b, by, changes, mishaps, o)
		return minds, err
	})
	return remade, err
}

// atMachine plans while somebody waits at the machine, shows progress, and says what there is to mind.
func (p *program) atMachine(ctx context.Context, b *book.Book, work func(planner.Options) (minds []string, err error)) error {
	how := planning{timeLimit: usualTimeLimit()}
	options, err := how.limits()
	if err != nil {
		return err
	}
	w, err := b.Workshop(ctx)
	if err != nil {
		return err
	}
	show := startProgress(p.stderr, w.Currency)
	options.Progress = show.update
	minds, err := work(options)
	show.stop()
	for _, mind := range minds {
		p.warn("%s", mind)
	}
	return err
}

// remadeLine says which sticks a plan of the rest changes, and what to do about it.
func remadeLine(m book.Remade) string {
	said := paragraph(plain(round.Remade(m, printAgain(m.Run))), "  ")
	if m.Buy > 0 {
		said += paragraph(fmt.Sprintf("%s to be ordered: longpoint order --plan %d", count(m.Buy, "stick is", "sticks are"), m.Plan), "  ")
	}
	return said
}

// printAgain is the command that prints what a run has changed of its sheets: the list of cuts, and the labels that are new.
func printAgain(run int64) string {
	return fmt.Sprintf("longpoint sheets cuts labels --run %d --changed --out new-sheets", run)
}
