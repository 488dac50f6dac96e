package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
)

// printFlags are the flags that say how to print. Each that is given counts before the workshop's own setting.
type printFlags struct {
	paper, labelForm               string
	tickets                        int
	labelRows, labelColumns        int
	labelSize, labelEdge, labelGap string
	labelStart                     int
	given                          func(flag string) bool
}

// addFlags gives a command the flags of printing.
func (f *printFlags) addFlags(flags *pflag.FlagSet) {
	flags.StringVar(&f.paper, "paper", "", "`paper`: a4 or letter (default the workshop's own, else a4)")
	flags.IntVar(&f.tickets, "tickets", 0, "`number` of job tickets on a page: 1, 2 or 4 (default the workshop's own, else 4)")
	flags.StringVar(&f.labelForm, "label-form", "", "`form`: sheet or roll (default the workshop's own, as for all options about labels)")
	flags.IntVar(&f.labelRows, "label-rows", 0, "`number` of labels down a sheet")
	flags.IntVar(&f.labelColumns, "label-columns", 0, "`number` of labels across a sheet")
	flags.StringVar(&f.labelSize, "label-size", "", "`size` of a label, width x height")
	flags.StringVar(&f.labelEdge, "label-edge", "", "`distance` of the first label from the sheet's left and top edge")
	flags.StringVar(&f.labelGap, "label-gap", "", "`distance` between labels side by side, and one under the other")
	flags.IntVar(&f.labelStart, "label-start", 1, "`number` of the first label still on the first sheet, row by row")
	f.given = flags.Changed
}

// check says what is wrong with the flags alone, before anything is planned.
func (f *printFlags) check() error {
	_, err := f.over(model.Printing{})
	return err
}

// over gives how to print: by the flags and, where they are not given, by the workshop's settings or as nobody has said otherwise.
func (f *printFlags) over(p model.Printing) (s sheet.Printing, err error) {
	s = sheet.PrintingOf(p)
	s.Paper, s.Labels.Start = sheet.A4, f.labelStart
	name := p.Paper
	if f.given("paper") {
		name = f.paper
	}
	switch strings.ToLower(name) {
	case "", "a4":
	case "letter":
		s.Paper = sheet.Letter
	default:
		return s, usage(fmt.Sprintf("--paper: there is no paper %q", name), "write a4 or letter")
	}
	if f.given("tickets") {
		if s.Tickets = f.tickets; !slices.Contains(model.TicketsAPage(), s.Tickets) {
			return s, usage(fmt.Sprintf("--tickets: a page cannot hold %d of them", s.Tickets), "write 1, 2 or 4")
		}
	}
	return s, f.overLabels(&s.Labels.LabelSheet)
}

// overLabels puts the flags about labels over a label sheet. One that is about sheets alone makes a sheet of a roll.
func (f *printFlags) overLabels(l *model.LabelSheet) error {
	for flag, n := range map[string]struct {
		from int
		to   *int
	}{"label-rows": {f.labelRows, &l.Rows}, "label-columns": {f.labelColumns, &l.Columns}} {
		if f.given(flag) {
			*n.to, l.Roll = n.from, false
		}
	}
	for _, pair := range []struct {
		flag, text string
		x, y       *model.Length
	}{
		{"label-size", f.labelSize, &l.Width, &l.Height},
		{"label-edge", f.labelEdge, &l.Left, &l.Top},
		{"label-gap", f.labelGap, &l.Across, &l.Down},
	} {
		if !f.given(pair.flag) {
			continue
		}
		var err error
		if *pair.x, *pair.y, err = parsePair(pair.text); err != nil {
			return flagError(pair.flag, err)
		}
	}
	switch {
	case !f.given("label-form"):
	case f.labelForm == "sheet":
		l.Roll = false
	case f.labelForm == "roll":
		l.Roll = true
	default:
		return usage(fmt.Sprintf("--label-form: there is no form %q", f.labelForm), "write sheet or roll")
	}
	return nil
}

// parsePair reads two lengths such as "60 x 32 mm", of which either may be nought. Bare numbers are millimetres; a unit at
// the end holds for both.
func parsePair(text string) (x, y model.Length, err error) {
	first, second, ok := strings.Cut(strings.ReplaceAll(text, "×", "x"), "x")
	if !ok {
		return 0, 0, fmt.Errorf(`%q is not two lengths such as "60 x 32 mm"`, text)
	}
	if !strings.ContainsFunc(first, model.IsUnitRune) {
		first += strings.TrimLeft(strings.TrimSpace(second), "0123456789.,/ ")
	}
	if x, err = model.ParseLength(strings.TrimSpace(first), model.Millimetres); err != nil {
		return 0, 0, err
	}
	y, err = model.ParseLength(strings.TrimSpace(second), model.Millimetres)
	return x, y, err
}
