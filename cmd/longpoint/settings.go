package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

// settings is "longpoint settings": those of a book, and suppliers' terms, shown and changed.
func (p *program) settings() *cobra.Command {
	var sign signature
	var jsonOut bool
	var set []string
	var f folder.Typed
	cmd := &cobra.Command{
		Use:   "settings [FILE]",
		Short: "Show and change the settings of a book",
		Long: `List the settings of the book FILE, by the names that they have in workshop.toml
("longpoint help tables" says what each means), or with --supplier what that
supplier asks of an order. --set changes one, or several in one step: all or
none. Machine figures come from the machine's manual.`,
		Example: settingsExample,
		Args:    bookArguments(),
		RunE: func(cmd *cobra.Command, args []string) error {
			open := reading
			if len(set) > 0 {
				open = p.writing
			}
			return open(cmd.Context(), args[0], func(b *book.Book) error {
				w, err := b.Workshop(cmd.Context())
				if err != nil {
					return err
				}
				if f.Supplier != "" && !slices.ContainsFunc(w.Offers, func(o model.Offer) bool { return o.Supplier == f.Supplier }) {
					return usage(fmt.Sprintf("--supplier: %q offers nothing", f.Supplier), `see "longpoint prices --help" for how a supplier's list comes in`)
				}
				if len(set) == 0 {
					return p.answer(jsonOut, f.Texts(w), settingsPage(f, w))
				}
				f.Was = f.Texts(w)
				if f.Is, err = typedSettings(f, set); err != nil {
					return err
				}
				told := func(r book.Imported) string { return strings.Join(f.Changes(r.Before, r.After), "; ") }
				r, err := b.Import(cmd.Context(), f, book.Importing{Tell: func(r book.Imported) string { return "changed " + told(r) }}, sign.by())
				if err != nil {
					return err
				}
				said := "Nothing is changed: it stood in the book so already."
				if changed := told(r); changed != "" {
					said = "Changed: " + changed + "."
				}
				return p.answer(jsonOut, f.Texts(r.After), paragraph(plain(said), ""))
			})
		},
	}
	sign.addFlags(cmd)
	cmd.Flags().StringArrayVar(&set, "set", nil, "a setting as `NAME=VALUE`; with nothing behind the = it is taken out")
	cmd.Flags().StringVar(&f.Supplier, "supplier", "", "of this `supplier`, what it asks of an order")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the settings as JSON")
	return cmd
}

// typedSettings reads what --set says over the settings as they are.
func typedSettings(f folder.Typed, set []string) (map[string]string, error) {
	is := maps.Clone(f.Was)
	var names []string
	for _, s := range f.Fields() {
		for _, one := range s.Settings {
			names = append(names, one.Key)
		}
	}
	for _, one := range set {
		name, value, ok := strings.Cut(one, "=")
		name = strings.TrimSpace(name)
		if !ok {
			return nil, usage(fmt.Sprintf("--set: %q is no name and value", one), "write NAME=VALUE, as in tables.dates=month/day/year")
		}
		if !slices.Contains(names, name) {
			do := `"longpoint settings" lists the names`
			short := func(full string) bool { return strings.HasSuffix(full, "."+name) }
			if near, found := model.Nearest(name, names); found {
				do = "did you mean " + near + "?"
			} else if n := slices.IndexFunc(names, short); n >= 0 {
				do = "did you mean " + names[n] + "?"
			}
			return nil, usage(fmt.Sprintf("--set: there is no setting %q", name), do)
		}
		is[name] = value
	}
	return is, nil
}

// settingsPage lists what is set, and names what is not.
func settingsPage(f folder.Typed, w *model.Workshop) string {
	const valueWidth = 50
	texts := f.Texts(w)
	t := &table{columns: []column{words("setting"), words("value")}}
	var not []string
	for _, s := range f.Fields() {
		for _, one := range s.Settings {
			if texts[one.Key] == "" {
				not = append(not, one.Key)
				continue
			}
			t.add(one.Key, cell(texts[one.Key], valueWidth))
		}
	}
	page := t.String()
	if len(not) > 0 {
		page += "\n" + paragraph("Not set: "+strings.Join(not, ", ")+".", "")
	}
	return page
}
