package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
)

// bladeCaution stands under everything about blades.
const bladeCaution = "Caution: guillotine and saw blades cut to the bone even when the machine stands still. Lock the machine and, if it has " +
	"power, unplug it; wear cut-proof gloves; carry and store blades in their guards; change and set them only as the machine's manual says, and " +
	"leave it to trained people where local codes ask for that."

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
as the profile needs. A run counts for the set that is mounted when it starts.

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
				all, err := b.Blades(cmd.Context())
				if err != nil {
					return err
				}
				return p.answer(jsonOut, append([]book.Blade{}, all...), bladesPage(all, s.unit))
			})
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&w.add, "add", "", "a new set of this `name`, with --height and if you like --least")
	flags.StringVar(&w.mount, "mount", "", "this `set` is in the machine now")
	flags.StringVar(&w.sharpened, "sharpened", "", "this `set` was sharpened today, with --height")
	flags.StringVar(&w.retire, "retire", "", "this `set` is worn out")
	flags.StringVar(&w.remind, "remind", "", "remind of this `set`, with --days or --chops or both")
	flags.StringVar(&w.height, "height", "", "how high the blades are, as a `length`")
	flags.StringVar(&w.least, "least", "", "the least height that the machine's manual allows, as a `length`")
	flags.IntVar(&w.days, "days", 0, "sharpen after so many days, as a `number`")
	flags.IntVar(&w.chops, "chops", 0, "sharpen after so many chops, as a `number`")
	for _, name := range []string{"days", "chops"} {
		flags.Lookup(name).DefValue = ""
	}
	flags.BoolVar(&jsonOut, "json", false, "the sets as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	return cmd
}

// bladeWork is what the flags ask to be done.
type bladeWork struct {
	add, mount, sharpened, retire, remind string
	height, least                         string
	days, chops                           int
}

func (w *bladeWork) any() bool { return w.add+w.mount+w.sharpened+w.retire+w.remind != "" }

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
	if (w.add != "" || w.sharpened != "") && w.height == "" {
		return usage("--height is missing", "measure the blades and say how high they are")
	}
	if w.remind != "" && w.days <= 0 && w.chops <= 0 {
		return usage("--remind needs an interval", "add --days or --chops")
	}
	var changes []book.Change
	for _, c := range []struct {
		set    string
		change book.Change
	}{
		{w.add, book.AddBlade(book.Blade{Name: w.add, Height: high, Least: least, RemindDays: w.days, RemindChops: w.chops})},
		{w.mount, book.MountBlade(w.mount)},
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
	t := &table{columns: []column{words("blade set"), words("state"), numbers("height " + u.String()), numbers("sharpened"), numbers("days"), numbers("chops"), numbers("bites")}}
	due := ""
	for _, b := range all {
		t.add(cutShort(b.Name, 20), b.State, near(b.Height, u), fmt.Sprint(b.Sharpenings), fmt.Sprint(b.Days), fmt.Sprint(b.Chops), fmt.Sprint(b.Bites))
		for _, why := range b.Due {
			due += paragraph(plain("Due: "+b.Name+": "+why+"."), "  ")
		}
	}
	if due != "" {
		due = "\n" + due
	}
	return t.String() + paragraph("Sharpened is how often; days, chops and bites are since the last time.", "") + due + "\n" + paragraph(bladeCaution, "")
}
