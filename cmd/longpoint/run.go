package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/round"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/planner"
	"longpoint/model/runs"
)

// startRun is "longpoint run": a session at the machine begins.
func (p *program) startRun() *cobra.Command {
	var sign signature
	var jsonOut bool
	var of, show int64
	cmd := &cobra.Command{
		Use:   "run [FILE] [PROFILE]",
		Short: "Start to cut a profile by the last plan, or show how far it is",
		Long: `Start a run: cut PROFILE by the last plan of the book FILE, or by the one that
--plan names. Its sticks leave the rack. Where some are still on the way it
begins with those that are here and says which it waits for; started again it
takes in what has come. Where the run is open already, it is shown as it stands.
Without PROFILE the open runs are listed; --show N shows any run by its number.

What happens at the machine is written down with "longpoint cut", and the run
ends with "longpoint finish".`,
		Example: runExample,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 {
				return nil
			}
			return bookArguments("PROFILE, what to cut,")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case show != 0:
				return reading(cmd.Context(), args[0], func(b *book.Book) error {
					return p.showRun(cmd.Context(), b, show, jsonOut)
				})
			case len(args) == 1:
				return p.listRuns(cmd.Context(), args[0], jsonOut)
			}
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				var r runs.Run
				var remade []book.Remade
				err := p.atMachine(cmd.Context(), b, func(o planner.Options) (minds []string, err error) {
					r, _, remade, minds, err = round.Start(cmd.Context(), b, sign.by(), args[1], of, o)
					return minds, err
				})
				if err != nil {
					return err
				}
				if err := p.warnBlades(cmd.Context(), b, r.Profile); err != nil {
					return err
				}
				if err := p.showRun(cmd.Context(), b, r.ID, jsonOut); err != nil || jsonOut {
					return err
				}
				return p.showNews(r, remade)
			})
		},
	}
	cmd.Flags().Int64Var(&of, "plan", 0, "by this `plan` instead of the last")
	cmd.Flags().Int64Var(&show, "show", 0, "only show this `run`")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the run as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// showNews says which sticks have come into a run, and what was planned anew of it.
func (p *program) showNews(r runs.Run, remade []book.Remade) error {
	text := ""
	if len(r.TookIn) > 0 {
		text += "\n" + paragraph(plain(fmt.Sprintf("Taken in: %s. The cut sheet and their labels: %s", joinAnd(r.TookIn), printAgain(r.ID))), "  ")
	}
	for _, m := range remade {
		text += "\n" + remadeLine(m)
	}
	return p.show(text)
}

// warnBlades reminds of blade sets that it is time to do something about, with the caution for that, and says where a run's profile
// is too wide for the set that is mounted.
func (p *program) warnBlades(ctx context.Context, b *book.Book, profile string) error {
	all, err := b.Blades(ctx)
	if err != nil {
		return err
	}
	due := false
	for _, blade := range all {
		for _, why := range blade.Due {
			p.warn("blade set %s: %s", blade.Name, why)
			due = true
		}
	}
	if due {
		p.warn("%s", bladeCaution)
	}
	w, err := b.Workshop(ctx)
	if err != nil {
		return err
	}
	mine, _ := w.ProfileByName(profile)
	if warning, ok := w.Machine.ReviewBlades(mine); !ok {
		p.warn("%s", warning)
	}
	return nil
}

// listRuns lists the open runs.
func (p *program) listRuns(ctx context.Context, path string, jsonOut bool) error {
	return reading(ctx, path, func(b *book.Book) error {
		open, err := b.OpenRuns(ctx)
		if err != nil {
			return err
		}
		t := &table{columns: []column{numbers("run"), words("profile"), numbers("plan"), words("started")}}
		for _, r := range open {
			t.add(fmt.Sprint(r.ID), cell(r.Profile, 30), fmt.Sprint(r.Plan), r.Started)
		}
		page := t.String()
		if len(open) == 0 {
			page = "No run is open.\n"
		}
		return p.answer(jsonOut, append([]runs.Run{}, open...), page)
	})
}

// frameName names a frame of a job, with copy and ring where there are several.
func frameName(s model.SideID) string {
	name := s.Frame
	if s.Copy > 1 {
		name += fmt.Sprintf(" no %d", s.Copy)
	}
	if s.Ring > 1 {
		name += fmt.Sprintf(", ring %d", s.Ring)
	}
	return name
}
