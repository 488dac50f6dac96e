package main

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model/book"
)

// runKinds are the pieces that are printed of a run.
var runKinds = []string{"cuts", "labels", "tickets", "sticks"}

// runToPrint gives the run to print where one is asked for or meant, and else nothing. Where no pieces are named it names those of a run.
func (p *program) runToPrint(ctx context.Context, f *sheetsFlags, path string, kinds *[]string,
	given func(flag string) bool) (source *sheet.Source, set sheet.Printing, err error) {
	if f.run == "" && (!isBook(path) || f.plan != "" || slices.ContainsFunc(planningFlags, given)) {
		if f.changed {
			return nil, set, usage("--changed is about a run", `name it with --run; "longpoint run" lists those that are open`)
		}
		return nil, set, nil
	}
	if f.run != "" && (f.plan != "" || slices.ContainsFunc(planningFlags, given)) {
		return nil, set, usage("--run names what is to be printed, and other options another plan", "leave one of them out")
	}
	ofPlan := slices.DeleteFunc(slices.Clone(*kinds), func(kind string) bool { return slices.Contains(runKinds, kind) })
	if f.run == "" && len(ofPlan) > 0 && len(ofPlan) == len(*kinds) {
		return nil, set, nil
	}
	err = reading(ctx, path, func(b *book.Book) error {
		runs, err := runsMeant(ctx, b, f.run)
		if err != nil || len(runs) == 0 {
			return err
		}
		if len(ofPlan) > 0 {
			return usage(fmt.Sprintf("a run has no %s, which are of a plan", joinAnd(ofPlan)), "print them by themselves")
		}
		d, err := b.RunDocument(ctx, runs...)
		if err != nil {
			return err
		}
		if set, err = f.print.over(d.Workshop.Printing); err != nil {
			return err
		}
		dated, err := f.day(d.Workshop.Habits)
		if err != nil {
			return err
		}
		f.runs = runsWords(runs)
		if source, err = sheet.RunSource(d, dated, set.Paper); err == nil {
			source.OnlyChanged = f.changed
		}
		return err
	})
	if source != nil && len(*kinds) == 0 {
		*kinds = runKinds[:3]
		if f.changed {
			*kinds = []string{"labels"}
		}
	}
	return source, set, err
}

// runsWords calls runs by their numbers.
func runsWords(runs []int64) string {
	var numbers []string
	for _, id := range runs {
		numbers = append(numbers, fmt.Sprint(id))
	}
	if len(runs) == 1 {
		return "run " + numbers[0]
	}
	return "runs " + joinAnd(numbers)
}

// runsMeant gives the runs that a number or a profile names, and all open ones for nothing.
func runsMeant(ctx context.Context, b *book.Book, name string) (runs []int64, err error) {
	open, err := b.OpenRuns(ctx)
	if err != nil {
		return nil, err
	}
	for _, r := range open {
		if name == "" || r.Profile == name {
			runs = append(runs, r.ID)
		}
	}
	if len(runs) > 0 || name == "" {
		return runs, nil
	}
	id, err := strconv.ParseInt(name, 10, 64)
	if err != nil {
		return nil, usage(fmt.Sprintf("%q is neither the number of a run nor a profile of which one is open", name), `see "longpoint run" for the open runs`)
	}
	return []int64{id}, nil
}
