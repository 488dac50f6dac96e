package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// cut is "longpoint cut": what happened at the machine.
func (p *program) cut() *cobra.Command {
	var sign signature
	var f cutFlags
	cmd := &cobra.Command{
		Use:   "cut [FILE] STICK [SIDE...]",
		Short: "Write down what became of sides at the machine",
		Long: `Write down in the book FILE what became of sides in the open runs. STICK is a
stick by its name; alone it stands for all of it that is still to cut. A SIDE of
it is a letter, such as A, or the number of a cut as "longpoint run" and the cut
sheet have it. P1-3:7 is one word for cut 7 from P1-3, the code on a label names
a side without its stick, and a profile stands for all of its run. Several
sticks and sides may be written one after another.

They are done, or with --became short or torn, and a side that is short or torn
is to be made again. With --flaw a stick is no good behind its last cut, or with
--at only between two places; with --length it is only so long; with --missing
it is not there. Places and lengths are those of the whole stick before the
first cut, from its head on.

After a mishap the rest of the run is planned anew at once: as much as can be
stays as it is marked out, and the answer names the sticks that change.
"longpoint sheets cuts labels --changed" prints the list of cuts again, and the
labels of those alone.`,
		Example: cutExample,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return nil
			}
			return bookArguments("STICK, a stick of an open run,")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			f.given = cmd.Flags().Changed
			if err := f.check(); err != nil {
				return err
			}
			return p.writing(cmd.Context(), args[0], func(b *book.Book) error {
				d, err := b.RunDocument(cmd.Context())
				if err != nil {
					return err
				}
				picked, err := picks(d.Runs, args[1:])
				if err != nil {
					return err
				}
				changes, mishaps, err := f.changes(picked, d.Workshop.Unit)
				if err != nil {
					return err
				}
				remade, err := p.writeCuts(cmd.Context(), b, sign.by(), changes, mishaps)
				if err != nil {
					return err
				}
				return p.showCut(cmd.Context(), b, picked, &f, remade)
			})
		},
	}
	cmd.Flags().StringVar(&f.became, "became", runs.Done, "what became of them, as a `word`: done, short or torn")
	cmd.Flags().StringVar(&f.flaw, "flaw", "", "what is wrong with the stick, as a `text`")
	cmd.Flags().StringVar(&f.at, "at", "", "where the flaw is, as `places` such as \"1200 to 1260\"; with --flaw")
	cmd.Flags().StringVar(&f.length, "length", "", "how long the stick was before the first cut, as a `length`")
	cmd.Flags().BoolVar(&f.missing, "missing", false, "the stick is not there")
	cmd.Flags().BoolVar(&f.json, "json", false, "the runs as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// cutFlags is the command line of "longpoint cut", as typed.
type cutFlags struct {
	became, flaw, at, length string
	missing, json            bool
	given                    func(flag string) bool
}

// check says what is wrong with the flags alone.
func (f *cutFlags) check() error {
	if outcomes := []string{runs.Done, runs.Short, runs.Torn}; !slices.Contains(outcomes, f.became) {
		return usage(fmt.Sprintf("--became: a side does not become %q", f.became), "write done, short or torn")
	}
	var of []string
	for _, flag := range []string{"became", "flaw", "length", "missing"} {
		if f.given(flag) {
			of = append(of, "--"+flag)
		}
	}
	switch {
	case len(of) > 1:
		return usage(joinAnd(of)+" say different things", "write them down in commands of their own")
	case f.given("at") && !f.given("flaw"):
		return usage("--at says where a flaw is, and --flaw is missing", "say with --flaw what is wrong there")
	}
	return nil
}

// ofStick says that the flags are about sticks and not about sides.
func (f *cutFlags) ofStick() bool { return f.given("flaw") || f.given("length") || f.given("missing") }

// changes makes changes of what was said, and names the runs in which it is a mishap.
func (f *cutFlags) changes(picked []pick, u model.Unit) (changes []book.Change, mishaps []int64, err error) {
	var flaws []model.Span
	var length model.Length
	if f.at != "" {
		if flaws, err = model.ParseSpans(f.at, u); err != nil {
			return nil, nil, flagError("at", err)
		}
	} else {
		flaws = []model.Span{{}}
	}
	if f.length != "" {
		if length, err = model.ParseLength(f.length, u); err != nil {
			return nil, nil, flagError("length", err)
		}
	}
	for _, one := range picked {
		if (f.ofStick() || f.became != runs.Done) && !slices.Contains(mishaps, one.run) {
			mishaps = append(mishaps, one.run)
		}
		if f.ofStick() && len(one.sides) > 0 {
			return nil, nil, usage("this is said of a stick, and sides are named as well", "write the sides down in a command of their own first")
		}
		switch {
		case f.given("flaw"):
			for _, flaw := range flaws {
				changes = append(changes, book.FlawStick(one.run, one.stick.Number, flaw, f.flaw))
			}
		case f.given("length"):
			changes = append(changes, book.ShortenStick(one.run, one.stick.Number, length))
		case f.missing:
			changes = append(changes, book.LoseStick(one.run, one.stick.Number))
		default:
			changes = append(changes, book.CutSides(one.run, one.stick.Number, one.places(), f.became))
		}
	}
	return changes, mishaps, nil
}

// showCut says what was understood of a command, and how far stick and run are.
func (p *program) showCut(ctx context.Context, b *book.Book, picked []pick, f *cutFlags, remade []book.Remade) error {
	var runs []int64
	for _, one := range picked {
		if !slices.Contains(runs, one.run) {
			runs = append(runs, one.run)
		}
	}
	slices.Sort(runs)
	d, err := b.RunDocument(ctx, runs...)
	if err != nil {
		return err
	}
	if f.json {
		return p.answer(true, cutAnswer{"longpoint-cut/1", d.Runs, append([]book.Remade{}, remade...)}, "")
	}
	page := &planPage{d: d.Plan, unit: d.Workshop.Unit, currency: d.Workshop.Currency}
	var text strings.Builder
	for i, r := range d.Runs {
		text.WriteString(paragraph(fmt.Sprintf("Run %d, %s, %s: %s.", r.ID, plain(r.Profile), inUnit(page.unit), howFar(d, i)), ""))
		for _, one := range picked {
			if one.run == r.ID {
				text.WriteString(paragraph(plain(page.cutLine(d, i, one, f.became)), "  "))
			}
		}
		for _, m := range remade {
			if m.Run == r.ID {
				text.WriteString(remadeLine(m))
			}
		}
		text.WriteString(paragraph(plain(nextCut(d, i)), ""))
	}
	return p.show(text.String())
}

// nextCut says which cut of a run comes next, and what its stop is set to: "Next: cut 2, side B of job 101, off P1-1; stop 1 stays at 487 mm."
func nextCut(d *runs.Document, of int) string {
	p := &d.Plan.Profiles[of]
	for n, c := range p.Run.Cuts {
		if d.Became[of][c.Stick][c.Side] != runs.ToCut {
			continue
		}
		stick := p.Sticks[c.Stick]
		side := stick.Sides[c.Side]
		stays, by := "stays at", ""
		if !d.Stand[of].Stands(c.Stop, side) {
			stays = "is set to"
		}
		if c.By != "" {
			by = " " + sheet.SetBy(p.Run.Number(n), c.Stop, c.By, side, p.SeveralOf(side)) + " " + sheet.LaidIn
		}
		off := stick.ID
		if part := p.PartOf(stick, side, d.Workshop.Unit); part != "" {
			off += ", " + part
		}
		return changeSticks(d, of, c.Stick) + fmt.Sprintf("Next: cut %d, side %s of %s, off %s; stop %d %s %s.", p.Run.Number(n), p.Lettered(side), sheet.OfJob(p, side), off, c.Stop, stays, side.LongPoint.InToCut(d.Workshop.Unit)) + by
	}
	return ""
}

// changeSticks says what to do between the last cut of a run and the next one, off another stick: what is left of the one in the machine is laid aside, where more
// comes off it, and the next is taken up again, where something came off it before.
func changeSticks(d *runs.Document, of, next int) string {
	p := &d.Plan.Profiles[of]
	hand := slices.IndexFunc(p.Sticks, func(s plan.Stick) bool { return s.ID == d.Runs[of].InHand() })
	if hand < 0 || hand == next {
		return ""
	}
	more, begun, said := 0, false, ""
	var left model.Length
	for _, c := range p.Run.Cuts {
		switch toCut := d.Became[of][c.Stick][c.Side] == runs.ToCut; {
		case c.Stick == hand && toCut:
			more++
		case c.Stick == hand:
			left = c.Left
		case c.Stick == next:
			begun = begun || !toCut
		}
	}
	if more > 0 {
		said = sheet.LayAside(p.Sticks[hand].ID, left.Near(d.Workshop.Unit), more) + " "
	}
	if begun {
		said += sheet.TakeUp(p.Sticks[next].ID) + " "
	}
	return said
}

// cutAnswer is what "longpoint cut --json" prints.
type cutAnswer struct {
	Format string        `json:"format"`
	Runs   []runs.Run    `json:"runs"`
	Remade []book.Remade `json:"remade"` // runs whose rest was planned anew
}

// cutLine says what became of sides of one stick, and what is left of it: "P1-13: A 517 and C 517 done, 88 left, waste."
func (g *planPage) cutLine(d *runs.Document, run int, one pick, became string) string {
	r := d.Runs[run]
	now := r.Sticks[slices.IndexFunc(r.Sticks, func(s runs.Stick) bool { return s.Number == one.stick.Number })]
	if now.State == "returned" && len(one.stick.Sides) > 0 && len(now.Sides) == 0 {
		return now.Stick + " is out of the run."
	}
	var parts []string
	if told := one.told(); len(told) > 0 && now.Flaw == one.stick.Flaw {
		names := make([]string, len(told))
		for n, side := range told {
			names[n] = side.Letter + " " + toCut(side.LongPoint, g.unit)
		}
		parts = append(parts, joinAnd(names)+" "+became)
		if became != runs.Done {
			parts[0] += ", to be made again"
		}
	}
	if now.Flaw != "" {
		parts = append(parts, now.Flaw)
	}
	if toCut := len(now.ToCut()); toCut > 0 {
		inParts := func(s plan.Stick) bool { return s.ID == now.Stick && len(s.Between) > 0 }
		if !slices.ContainsFunc(d.Plan.Profiles[run].Sticks, inParts) { // of several parts none is what is left
			parts = append(parts, near(now.LeftNow(), g.unit)+" left")
		}
		return fmt.Sprintf("%s: %s, %d to cut.", now.Stick, strings.Join(parts, ", "), toCut)
	}
	for _, s := range d.Plan.Profiles[run].Sticks {
		if s.ID == now.Stick {
			for _, left := range s.Lefts() {
				parts = append(parts, g.fate(left))
			}
		}
	}
	return fmt.Sprintf("%s: %s.", now.Stick, strings.Join(parts, ", "))
}

// fate says what becomes of what is left, in a few words.
func (g *planPage) fate(left plan.Left) string {
	switch left.Becomes {
	case plan.Kept:
		return fmt.Sprintf("%s left, kept as %s", near(left.Length, g.unit), left.ID)
	case plan.Waste:
		return near(left.Length, g.unit) + " left, waste"
	}
	return "nothing left"
}
