package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
)

// rack is "longpoint rack": what lies on the rack.
func (p *program) rack() *cobra.Command {
	var sign signature
	var jsonOut bool
	var only string
	var discard []string
	cmd := &cobra.Command{
		Use:   "rack [FILE] [PROFILE]",
		Short: "List a book's sticks and offcuts, put them right, and count them",
		Long: `List the sticks and offcuts on the rack of the book FILE, all or those of one
PROFILE, and those in open runs. With --discard a stick is taken off the rack
for good first; what it cost is waste. The commands below put right what is on
the rack, each with a reason for the history.`,
		Example: rackExample,
		Args:    optionalLast(bookArguments(), 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				only = args[1]
			}
			open := reading
			if len(discard) > 0 {
				open = p.writing
			}
			return open(cmd.Context(), args[0], func(b *book.Book) error {
				if len(discard) > 0 {
					if _, err := b.Do(cmd.Context(), sign.by(), book.Discard(discard...)); err != nil {
						return err
					}
				}
				all, err := b.Rack(cmd.Context())
				if err != nil {
					return err
				}
				s, err := settingsOf(cmd.Context(), b)
				if err != nil {
					return err
				}
				shown := []book.RackStick{}
				for _, stick := range all {
					if only == "" || stick.Profile == only {
						shown = append(shown, stick)
					}
				}
				if only != "" && len(shown) == 0 {
					w, err := b.Workshop(cmd.Context())
					if err == nil {
						err = knownProfiles(w, []string{only})
					}
					if err != nil {
						return err
					}
				}
				return p.answer(jsonOut, shown, rackPage(shown, s))
			})
		},
	}
	cmd.Flags().StringVar(&only, "profile", "", "only this profile, by `name`")
	cmd.Flags().StringArrayVar(&discard, "discard", nil, "discard this `stick`, by name; may be repeated")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the sticks as JSON, lengths in nanometres")
	sign.addFlags(cmd)
	cmd.AddCommand(p.rackAdd(), p.rackMeasure(), p.rackMove(), p.rackDiscard(), p.rackBack(), p.rackCount())
	return cmd
}

// rackAdd is "longpoint rack add".
func (p *program) rackAdd() *cobra.Command {
	var sign signature
	var stick model.Stick
	var sticks int
	var value, damage string
	cmd := &cobra.Command{
		Use:   "add [FILE] PROFILE LENGTH",
		Short: "Put sticks that were found on the rack",
		Long: `Put a stick of PROFILE, LENGTH long, on the rack of the book FILE, or as many as
--sticks says. They are called F1, F2 and so on unless --name says otherwise.
Without a value a stick is worth what the workshop's rule makes of its length.`,
		Args: bookArguments("PROFILE", "LENGTH"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.putRight(cmd, args[0], &sign, func(b *book.Book, s settled) (book.Change, func() string, error) {
				var err error
				stick.Profile = args[1]
				if stick.Length, err = model.ParseLength(args[2], s.unit); err != nil {
					return book.Change{}, nil, asUsage(err)
				}
				if stick.Value, err = moneyFlag("value", value, s.currency); err != nil {
					return book.Change{}, nil, err
				}
				if stick.Damage, err = damageFlag(damage, s.unit); err != nil {
					return book.Change{}, nil, err
				}
				var names []string
				change := book.AddSticks(stick, sticks, func(name string) { names = append(names, name) })
				return change, func() string {
					return fmt.Sprintf("On the rack: %s. Write the names on the sticks.", joinAnd(names))
				}, nil
			})
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&sticks, "sticks", 1, "this `number` of them")
	flags.StringVar(&stick.ID, "name", "", "call the first of them so, as a `text`")
	flags.StringVar(&stick.Place, "place", "", "the `place` on the rack")
	flags.StringVar(&stick.Lot, "lot", "", "the lot they are of, by `name`")
	flags.StringVar(&value, "value", "", "what each is worth, as an `amount`")
	flags.BoolVar(&stick.Offcut, "offcut", false, "they are offcuts")
	flags.StringVar(&damage, "damage", "", "where no side may lie, as `parts` such as \"0 to 20; 1200 to 1260\"")
	sign.addFlags(cmd)
	return cmd
}

// rackMeasure is "longpoint rack measure".
func (p *program) rackMeasure() *cobra.Command {
	var sign signature
	var damage string
	cmd := &cobra.Command{
		Use:   "measure [FILE] STICK [LENGTH]",
		Short: "Say how long a stick of the rack is, or where it is damaged",
		Long: `Put right in the book FILE how long a STICK on the rack is, and with --damage
where no side may lie, measured from its head; "none" is sound all through. The
money in it stays. By as much as an offcut is shorter than was known, the stick
that it is of has more waste.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 2 && damage != "" {
				return nil
			}
			return bookArguments("STICK, its name,", "LENGTH")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.putRight(cmd, args[0], &sign, func(b *book.Book, s settled) (book.Change, func() string, error) {
				var length model.Length
				var err error
				if len(args) > 2 {
					if length, err = model.ParseLength(args[2], s.unit); err != nil {
						return book.Change{}, nil, asUsage(err)
					}
				}
				parts, err := damageFlag(damage, s.unit)
				return book.MeasureStick(args[1], length, parts), nil, err
			})
		},
	}
	cmd.Flags().StringVar(&damage, "damage", "", "where no side may lie, as `parts` such as \"0 to 20; 1200 to 1260\"")
	sign.addFlags(cmd)
	return cmd
}

// damageFlag reads where a stick is damaged: nil where that is not given, nothing where it says none.
func damageFlag(text string, u model.Unit) ([]model.Span, error) {
	switch text {
	case "":
		return nil, nil
	case "none":
		return []model.Span{}, nil
	}
	parts, err := model.ParseSpans(text, u)
	if err != nil {
		return nil, flagError("damage", err)
	}
	return parts, nil
}

// rackMove is "longpoint rack move".
func (p *program) rackMove() *cobra.Command {
	var sign signature
	cmd := &cobra.Command{
		Use:   "move [FILE] PLACE STICK [STICK...]",
		Short: "Say that sticks lie at another place",
		Long:  `Say in the book FILE that sticks of the rack lie at another PLACE.`,
		Args:  bookArgumentsAndMore("PLACE", "STICK, its name,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			sign.needless = true
			return p.putRight(cmd, args[0], &sign, func(*book.Book, settled) (book.Change, func() string, error) {
				return book.MoveSticks(args[1], args[2:]...), nil, nil
			})
		},
	}
	sign.addFlags(cmd)
	return cmd
}

// rackDiscard is "longpoint rack discard".
func (p *program) rackDiscard() *cobra.Command {
	var sign signature
	cmd := &cobra.Command{
		Use:   "discard [FILE] STICK [STICK...]",
		Short: "Take sticks off the rack for good",
		Long: `Take sticks off the rack of the book FILE for good, all of them or none. What
they cost is waste.`,
		Args: bookArgumentsAndMore("STICK, its name,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.putRight(cmd, args[0], &sign, func(*book.Book, settled) (book.Change, func() string, error) {
				return book.Discard(args[1:]...), nil, nil
			})
		},
	}
	sign.addFlags(cmd)
	return cmd
}

// rackBack is "longpoint rack back".
func (p *program) rackBack() *cobra.Command {
	var sign signature
	cmd := &cobra.Command{
		Use:   "back [FILE] STICK [STICK...]",
		Short: "Put sticks back that were discarded or missing",
		Long: `Put sticks back on the rack of the book FILE that were discarded, or missing
when it was counted, and are there after all.`,
		Args: bookArgumentsAndMore("STICK, its name,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.putRight(cmd, args[0], &sign, func(*book.Book, settled) (book.Change, func() string, error) {
				return book.PutBack(args[1:]...), nil, nil
			})
		},
	}
	sign.addFlags(cmd)
	return cmd
}

// counting is the command line of "longpoint rack count", as typed.
type counting struct {
	done                    bool
	missing, measured, more []string
}

// rackCount is "longpoint rack count".
func (p *program) rackCount() *cobra.Command {
	var sign signature
	var c counting
	cmd := &cobra.Command{
		Use:   "count [FILE] PROFILE",
		Short: "Count the rack: what should be there, what is, what it is worth",
		Long: `List what should lie on the rack of the book FILE of PROFILE, to be ticked off.
Then call it again with what differs: --missing for a stick that is not there,
--measured for one of another length, --found for one that is not in the book;
or with --done where nothing differs. That is written down, with what was
expected, what is there and what both are worth by the workshop's rule.`,
		Args: bookArguments("PROFILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			ctx := cmd.Context()
			if !c.done && len(c.missing)+len(c.measured)+len(c.more) == 0 {
				return reading(ctx, args[0], func(b *book.Book) error {
					s, err := settingsOf(ctx, b)
					if err != nil {
						return err
					}
					all, sum, err := b.Expected(ctx, args[1])
					if err != nil {
						return err
					}
					return p.show(countSheet(args[1], all, sum, s))
				})
			}
			sign.needless = true
			return p.putRight(cmd, args[0], &sign, func(_ *book.Book, s settled) (book.Change, func() string, error) {
				counted, err := c.read(s.unit)
				if err != nil {
					return book.Change{}, nil, err
				}
				text := ""
				change := book.Count(args[1], counted, func(expected, there book.Stock, found []string) {
					text = fmt.Sprintf("Expected of %s: %s. There: %s.", args[1], stockWords(expected, s), stockWords(there, s))
					if len(found) > 0 {
						text += fmt.Sprintf(" Found: %s. Write the names on the sticks.", joinAnd(found))
					}
				})
				return change, func() string { return text }, nil
			})
		},
	}
	flags := cmd.Flags()
	flags.BoolVar(&c.done, "done", false, "all else is there as listed")
	flags.StringArrayVar(&c.missing, "missing", nil, "this `stick` is not there; may be repeated")
	flags.StringArrayVar(&c.measured, "measured", nil, "a `stick` and how long it is, such as R5=2650; may be repeated")
	flags.StringArrayVar(&c.more, "found", nil, "there is one besides of this `length`; may be repeated")
	sign.addFlags(cmd)
	return cmd
}

// read understands the command line.
func (c *counting) read(u model.Unit) (out book.Counted, err error) {
	out = book.Counted{Missing: c.missing, Measured: map[string]model.Length{}}
	for _, text := range c.measured {
		name, long, two := strings.Cut(text, "=")
		if !two {
			return out, usage(fmt.Sprintf("--measured: %q does not say how long which stick is", text), "write its name and a length, like R5=2650")
		}
		if out.Measured[name], err = model.ParseLength(long, u); err != nil {
			return out, flagError("measured", err)
		}
	}
	for _, text := range c.more {
		l, err := model.ParseLength(text, u)
		if err != nil {
			return out, flagError("found", err)
		}
		out.Found = append(out.Found, model.Stick{Length: l})
	}
	return out, nil
}

// stockWords gives "3 sticks, 6.40 m, worth 22.40 EUR".
func stockWords(s book.Stock, in settled) string {
	return fmt.Sprintf("%s, %s, worth %s", count(s.Sticks, "stick", "sticks"), s.Length.Near(in.unit), s.Worth.With(in.currency))
}

// countSheet lists what should lie on the rack, to be ticked off.
func countSheet(profile string, all []book.RackStick, sum book.Stock, s settled) string {
	if len(all) == 0 {
		return paragraph(fmt.Sprintf("There should be nothing of %s on the rack.", plain(profile)), "")
	}
	t := &table{columns: []column{words(""), words("stick"), numbers("length " + s.unit.String()), words("place"), words("what it is"),
		numbers("worth " + s.currency.Code)}}
	for _, stick := range all {
		t.add("□", cell(stick.Name, 16), near(stick.Length, s.unit), cell(stick.Place, 16), cell(text.WhatItIs(stick), 18), stick.Worth.In(s.currency))
	}
	t.foot = []string{"", count(sum.Sticks, "stick", "sticks"), near(sum.Length, s.unit), "", "", sum.Worth.In(s.currency)}
	return paragraph("On the rack of "+plain(profile)+" there should be", "") + t.String()
}

// putRight makes one change in a book that puts something right, for a reason, and says what it was.
func (p *program) putRight(cmd *cobra.Command, path string, sign *signature, what func(*book.Book, settled) (book.Change, func() string, error)) error {
	ctx := cmd.Context()
	return p.writing(ctx, path, func(b *book.Book) error {
		s, err := settingsOf(ctx, b)
		if err != nil {
			return err
		}
		change, words, err := what(b, s)
		if err != nil {
			return err
		}
		if err := p.reason(sign); err != nil {
			return err
		}
		fresh, err := b.Do(ctx, sign.by(), change)
		switch {
		case err != nil:
			return err
		case words != nil && fresh:
			return p.show(paragraph(plain(words()), ""))
		case !fresh:
			return p.show("It is so in the book already.\n")
		}
		_, did, _ := strings.Cut(p.kept, ": ")
		return p.show(paragraph("Written down: "+plain(did)+".", ""))
	})
}

// reason makes sure that a change has a reason for the history: it is asked for where somebody can be asked.
func (p *program) reason(sign *signature) error {
	if sign.why != "" || sign.needless {
		return nil
	}
	if p.atTerminal() {
		sign.why = p.asked("Why? (for the book's history)")
	}
	if sign.why == "" {
		return usage("it is not said why", "add --why with a few words for the book's history")
	}
	return nil
}

// rackPage is the rack for people.
func rackPage(all []book.RackStick, s settled) string {
	if len(all) == 0 {
		return "There is nothing on the rack.\n"
	}
	t := &table{columns: []column{words("profile"), words("stick"), numbers("length " + s.unit.String()), numbers("cost " + s.currency.Code),
		words("place"), words("what it is")}}
	var total model.Money
	for _, stick := range all {
		total += stick.Cost
		t.add(cell(stick.Profile, 14), cell(stick.Name, 14), near(stick.Length, s.unit), stick.Cost.In(s.currency),
			cell(stick.Place, 12), cell(text.WhatItIs(stick), 18))
	}
	t.foot = []string{"all", count(len(all), "stick", "sticks"), "", total.In(s.currency), "", ""}
	return t.String() + paragraph("Cost is the money that is in a stick: what was paid for it, or what it was worth when it came "+
		"into the book, and of an offcut its share.", "")
}
