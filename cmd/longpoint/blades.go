package main

import (
	"context"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
)

// bladeCaution stands under everything about blades.
const bladeCaution = text.BladeCaution

// blades is "longpoint blades": blade sets, chops and sharpenings.
func (p *program) blades() *cobra.Command {
	var sign signature
	var jsonOut bool
	var w bladeWork
	cmd := &cobra.Command{
		Use:   "blades [FILE]",
		Short: "Count what blade sets have cut, and remind of sharpening",
		Long: `List the blade sets of the book FILE: chops and bites in finished runs and days
since the last sharpening, and the height that is left. A chop is one mitre cut
through: one at a stick's head and one behind each side; it takes as many bites
as the profile needs. A run counts for the set that is mounted when it starts,
and for the edge of it that cuts then.

A set may be for narrower profiles than the machine: say so with
--greatest-width, and plans, cut sheets and runs warn of wider ones while it is
mounted. Of a set with two edges (--edges 2) each is counted by itself; --turn
and --edge say which one cuts.

In daily use blades are sharpened every 3 to 4 months and lose about 1 mm each
time (common practice, no source). No interval is preset: set your own.`,
		Example: bladesExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			open := reading
			if w.any() {
				open = p.writing
			}
			return open(cmd.Context(), args[0], func(b *book.Book) error {
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				if err := w.do(cmd.Context(), b, s.unit, sign.by()); err != nil {
					return err
				}
				if w.mount+w.change != "" {
					if err := p.warnNarrow(cmd.Context(), b); err != nil {
						return err
					}
				}
				all, err := b.Blades(cmd.Context())
				if err != nil {
					return err
				}
				return p.answer(jsonOut, append([]book.Blade{}, all...), bladesPage(all, s.unit))
			})
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&w.add, "add", "", "a new set of this `name`, with --height and if you like --least, --greatest-width and --edges")
	flags.StringVar(&w.change, "change", "", "what is known of this `set`, with --least, --greatest-width or --edges")
	flags.StringVar(&w.mount, "mount", "", "this `set` is in the machine now")
	flags.StringVar(&w.turn, "turn", "", "this `set` was turned, with --edge")
	flags.StringVar(&w.sharpened, "sharpened", "", "this `set` was sharpened today, with --height")
	flags.StringVar(&w.retire, "retire", "", "this `set` is worn out")
	flags.StringVar(&w.remind, "remind", "", "remind of this `set`, with --days or --chops or both")
	flags.StringVar(&w.height, "height", "", "how high the blades are, as a `length`")
	flags.StringVar(&w.least, "least", "", "the least height that the machine's manual allows, as a `length`")
	flags.StringVar(&w.widest, "greatest-width", "", "the widest profile that the set is for, as a `length`")
	flags.IntVar(&w.edges, "edges", 0, "the `number` of edges that are used one after the other, 1 or 2")
	flags.IntVar(&w.edge, "edge", 0, "the `number` of the edge that cuts now, 1 or 2")
	flags.IntVar(&w.days, "days", 0, "sharpen after so many days, as a `number`")
	flags.IntVar(&w.chops, "chops", 0, "sharpen after so many chops of an edge, as a `number`")
	flags.BoolVar(&jsonOut, "json", false, "the sets as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// bladeWork is what the flags ask to be done.
type bladeWork struct {
	add, change, mount, turn, sharpened, retire, remind string
	height, least, widest                               string
	edges, edge, days, chops                            int
}

func (w *bladeWork) any() bool {
	return w.add+w.change+w.mount+w.turn+w.sharpened+w.retire+w.remind != ""
}

// do does it, all or nothing, in the order in which it happens to blades.
func (w *bladeWork) do(ctx context.Context, b *book.Book, u model.Unit, by book.By) error {
	high, err := optionalFlag("height", w.height, u)
	if err != nil {
		return err
	}
	least, err := optionalFlag("least", w.least, u)
	if err != nil {
		return err
	}
	widest, err := optionalFlag("greatest-width", w.widest, u)
	if err != nil {
		return err
	}
	if err := w.complete(); err != nil {
		return err
	}
	var changes []book.Change
	for _, c := range []struct {
		set    string
		change book.Change
	}{
		{w.add, book.AddBlade(book.Blade{Name: w.add, Height: high, Least: least, GreatestWidth: widest, Edges: make([]book.Edge, w.edges),
			RemindDays: w.days, RemindChops: w.chops})},
		{w.change, book.ChangeBlade(w.change, least, widest, w.edges)},
		{w.mount, book.MountBlade(w.mount)},
		{w.turn, book.TurnBlade(w.turn, w.edge)},
		{w.sharpened, book.Sharpen(w.sharpened, high)},
		{w.remind, book.Remind(w.remind, w.days, w.chops)},
		{w.retire, book.RetireBlade(w.retire)},
	} {
		if c.set != "" {
			changes = append(changes, c.change)
		}
	}
	_, err = b.Do(ctx, by, changes...)
	return err
}

// complete says what is missing on the command line, or is more than there is.
func (w *bladeWork) complete() error {
	switch {
	case (w.add != "" || w.sharpened != "") && w.height == "":
		return usage("--height is missing", `measure the blades and say how high they are, as in "longpoint blades --add NAME --height 30"`)
	case w.remind != "" && w.days <= 0 && w.chops <= 0:
		return usage("--remind needs an interval", "add --days or --chops")
	case w.edges < 0 || w.edges > book.MostEdges:
		return usage(fmt.Sprintf("--edges: blades of %d edges are not known here", w.edges), "write 1, or 2 where the blades can be turned")
	case w.change != "" && w.least+w.widest == "" && w.edges == 0:
		return usage("--change needs something that is known of the set", "add --least, --greatest-width or --edges")
	case w.turn != "" && w.edge == 0:
		return usage("--turn does not say which edge cuts now", "add --edge 1 or --edge 2")
	}
	return nil
}

// warnNarrow says which profiles of the workshop are too wide for the blades that are mounted.
func (p *program) warnNarrow(ctx context.Context, b *book.Book) error {
	w, err := b.Workshop(ctx)
	if err != nil {
		return err
	}
	var wide []string
	for _, profile := range w.Profiles {
		if _, ok := w.Machine.ReviewBlades(profile); !ok {
			wide = append(wide, fmt.Sprintf("%s (%s)", profile.Name, profile.Width.In(w.Unit)))
		}
	}
	if len(wide) > 0 {
		p.warn("blade set %s, which is mounted, is for profiles of %s at most: mount another before you cut %s, as the machine's manual says",
			w.Machine.Blades.Name, w.Machine.Blades.GreatestWidth.Length.In(w.Unit), joinAnd(wide))
	}
	return nil
}

// optionalFlag reads a length that may not be given.
func optionalFlag(name, text string, u model.Unit) (model.Length, error) {
	if text == "" {
		return 0, nil
	}
	l, err := model.ParseLength(text, u)
	if err != nil {
		return 0, flagError(name, err)
	}
	return l, nil
}

// bladesPage is the list for people, with what is due.
func bladesPage(all []book.Blade, u model.Unit) string {
	if len(all) == 0 {
		return "There are no blade sets in the book yet.\n\n" + paragraph(bladeCaution, "")
	}
	due := ""
	for _, b := range all {
		if b.GreatestWidth > 0 {
			due += paragraph(plain(fmt.Sprintf("%s is for profiles of %s at most.", b.Name, b.GreatestWidth.In(u))), "  ")
		}
		for _, why := range b.Due {
			due += paragraph(plain("Due: "+b.Name+": "+why+"."), "  ")
		}
	}
	if due != "" {
		due = "\n" + due
	}
	return bladesTable(all, u).String() + paragraph("Sharpened is how often; days, chops and bites are since the last time.", "") + due + "\n" + paragraph(bladeCaution, "")
}

// bladesTable lists the sets, with a line for each edge of those that have two.
func bladesTable(all []book.Blade, u model.Unit) *table {
	t := &table{columns: []column{words("blade set"), words("state"), numbers("height " + u.String()), numbers("sharpened"), numbers("days"), numbers("chops"), numbers("bites")}}
	if slices.ContainsFunc(all, func(b book.Blade) bool { return len(b.Edges) > 1 }) {
		t.columns = append(t.columns, words("edge"))
	}
	for _, b := range all {
		for i, e := range b.Edges {
			row := []string{cell(b.Name, 18), b.State, near(b.Height, u), fmt.Sprint(b.Sharpenings), fmt.Sprint(b.Days), fmt.Sprint(e.Chops), fmt.Sprint(e.Bites)}
			if i > 0 {
				row = []string{"", "", "", "", "", row[5], row[6]}
			}
			edge := ""
			if len(b.Edges) > 1 {
				edge = fmt.Sprint(i + 1)
			}
			if len(b.Edges) > 1 && b.Edge == i+1 {
				edge += " cuts"
			}
			t.add(append(row, edge)[:len(t.columns)]...)
		}
	}
	return t
}
