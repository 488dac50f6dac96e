package main

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/model/runs"
)

// shop is what there are names of, for a shell that completes them.
type shop struct {
	*model.Workshop
	orders []book.Purchase // that have not arrived
	runs   []runs.Run      // that are open
	gone   []book.RackStick
	blades []book.Blade
	typed  []string // behind the book
}

// named gives the names of one sort, each with a few words about it. A sort is what an argument is called in a command's line of use,
// in small letters, or what a flag or its value is called; behind the name of a command it is meant only there.
var named = map[string]func(shop) []cobra.Completion{
	"profile": func(s shop) (all []cobra.Completion) {
		for _, p := range s.Profiles {
			all = append(all, cobra.CompletionWithDesc(p.Name, p.Title))
		}
		return all
	},
	"job": func(s shop) (all []cobra.Completion) {
		for _, j := range s.Jobs {
			all = append(all, cobra.CompletionWithDesc(j.ID, strings.TrimSpace(j.Customer+" "+j.Due.String())))
		}
		return all
	},
	"frame": func(s shop) (all []cobra.Completion) {
		for _, j := range s.Jobs {
			for _, f := range j.Frames {
				if slices.Contains(s.typed, j.ID) {
					all = append(all, f.ID)
				}
			}
		}
		return all
	},
	"kind": func(shop) (all []cobra.Completion) {
		for _, one := range folder.AllInvented() {
			all = append(all, cobra.CompletionWithDesc(one.Kind, one.About))
		}
		return all
	},
	"length": nothing,
	"line":   nothing,
	"new":    nothing,
	"stick": func(s shop) (all []cobra.Completion) {
		for _, r := range s.Rack {
			if !r.OnTheWay() {
				all = append(all, cobra.CompletionWithDesc(r.ID, r.Profile+" "+r.Length.Near(s.Unit)))
			}
		}
		return all
	},
	"back stick": func(s shop) (all []cobra.Completion) {
		for _, r := range s.gone {
			all = append(all, cobra.CompletionWithDesc(r.Name, r.Profile+" "+r.Length.Near(s.Unit)))
		}
		return all
	},
	"cut stick":  sticksToCut,
	"cut side":   sidesToCut,
	"became":     func(shop) []cobra.Completion { return []string{runs.Done, runs.Short, runs.Torn} },
	"plan order": func(shop) []cobra.Completion { return []string{"sticks", "stops"} },
	"piece":      func(shop) []cobra.Completion { return sheetKinds },
	"supplier": func(s shop) (all []cobra.Completion) {
		for _, o := range s.Offers {
			all = append(all, o.Supplier)
		}
		return distinct(all)
	},
	"place": func(s shop) (all []cobra.Completion) {
		for _, r := range s.Rack {
			if r.Place != "" {
				all = append(all, r.Place)
			}
		}
		return distinct(all)
	},
	"order": func(s shop) (all []cobra.Completion) {
		for _, o := range s.orders {
			all = append(all, cobra.CompletionWithDesc(fmt.Sprint(o.ID), o.Supplier+" "+o.Placed))
		}
		return all
	},
	"set": func(s shop) (all []cobra.Completion) {
		for _, b := range s.blades {
			all = append(all, cobra.CompletionWithDesc(b.Name, b.State))
		}
		return all
	},
	"run": func(s shop) (all []cobra.Completion) {
		for _, r := range s.runs {
			all = append(all, cobra.CompletionWithDesc(fmt.Sprint(r.ID), r.Profile))
		}
		return all
	},
}

// nothing is for what has a name or figure that is not in the book yet. It is no file's either.
func nothing(shop) []cobra.Completion { return nil }

// sticksToCut gives the sticks of open runs from which something is still to cut.
func sticksToCut(s shop) (all []cobra.Completion) {
	for _, r := range s.runs {
		for _, stick := range r.Sticks {
			if n := len(stick.ToCut()); n > 0 {
				all = append(all, cobra.CompletionWithDesc(stick.Stick, fmt.Sprintf("%s, %d to cut", r.Profile, n)))
			}
		}
	}
	return all
}

// sidesToCut gives the sides of the stick that was typed last, and the sticks that may be typed instead.
func sidesToCut(s shop) (all []cobra.Completion) {
	for _, typed := range slices.Backward(s.typed) {
		for _, r := range s.runs {
			i := slices.IndexFunc(r.Sticks, func(stick runs.Stick) bool { return stick.Stick == typed })
			if i < 0 {
				continue
			}
			for _, side := range r.Sticks[i].ToCut() {
				all = append(all, cobra.CompletionWithDesc(fmt.Sprint(side.No), side.Letter+" "+side.LongPoint.InToCut(s.Unit)))
			}
			return append(all, sticksToCut(s)...)
		}
	}
	return sticksToCut(s)
}

// sortOf gives the sort that a word of a command's line of use stands for; "" where there are no names of it.
func sortOf(cmd *cobra.Command, word string) string {
	sort := strings.ToLower(strings.Trim(word, "[]."))
	for _, sort := range []string{cmd.Name() + " " + sort, sort} {
		if named[sort] != nil {
			return sort
		}
	}
	return ""
}

// completed lets a shell complete the names in the arguments and flags of a command. places are its arguments behind the book.
func completed(cmd *cobra.Command, places []string) {
	cmd.ValidArgsFunction = func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		path, at := storeOf(places, args)
		if last := len(places) - 1; at > last && last >= 0 {
			if !strings.Contains(places[last], "...") {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			at = last
		}
		if at < 0 || at >= len(places) {
			return nil, cobra.ShellCompDirectiveDefault // the book itself
		}
		return names(cmd.Context(), path, sortOf(cmd, places[at]), args)
	}
	completedFlags(cmd, places)
}

// completedFlags does so in its flags alone.
func completedFlags(cmd *cobra.Command, places []string) {
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		value, _ := pflag.UnquoteUsage(f)
		sort := cmp.Or(sortOf(cmd, f.Name), sortOf(cmd, value))
		if sort == "" {
			return
		}
		err := cmd.RegisterFlagCompletionFunc(f.Name, func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			path, _ := storeOf(places, args)
			return names(cmd.Context(), path, sort, args)
		})
		if err != nil {
			panic(err) // a flag of ours, and each only once
		}
	})
}

// storeOf gives the book of arguments that are still being typed, and which of the places behind it comes next; -1 where the
// book itself does.
func storeOf(places, typed []string) (path string, at int) {
	if len(typed) > 0 && namesStore(typed[0]) {
		return typed[0], len(typed) - 1
	}
	path, err := usualBook()
	if err != nil || len(places) == 0 {
		return path, len(typed) - 1
	}
	return path, len(typed)
}

// names gives the names of a sort in a book or a workshop's folder, in the order in which they are there; none where it cannot be read,
// for a shell has no use for an error.
func names(ctx context.Context, path, sort string, typed []string) ([]cobra.Completion, cobra.ShellCompDirective) {
	list := named[sort]
	if list == nil {
		return nil, cobra.ShellCompDirectiveDefault
	}
	s, err := shopOf(ctx, path)
	if err != nil {
		s = shop{Workshop: &model.Workshop{}} // of which there are only the names that every shop has
	}
	s.typed = typed
	return list(s), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}

// shopOf reads what there are names of.
func shopOf(ctx context.Context, path string) (s shop, err error) {
	if ctx == nil {
		ctx = context.Background() // cobra has none while it completes
	}
	if !isBook(path) {
		s.Workshop, err = new(program).workshop(ctx, path)
		return s, err
	}
	err = reading(ctx, path, func(b *book.Book) error {
		if s.Workshop, err = b.Workshop(ctx); err != nil {
			return err
		}
		if s.orders, err = b.Purchases(ctx, true); err != nil {
			return err
		}
		if s.blades, err = b.Blades(ctx); err != nil {
			return err
		}
		if s.gone, err = b.Gone(ctx); err != nil {
			return err
		}
		d, err := b.RunDocument(ctx)
		if err != nil {
			return err
		}
		s.runs = d.Runs
		return nil
	})
	return s, err
}
