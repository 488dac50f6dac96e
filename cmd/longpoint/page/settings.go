package page

import (
	"errors"
	"html/template"
	"net/url"
	"regexp"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

var settingsRoutes = []route{
	{method: "GET", path: "/settings", do: (*call).settingsPage, shop: true},
	{method: "POST", path: "/settings", do: (*call).changeSettings, shop: true},
	{method: "GET", path: "/settings/supplier", do: (*call).settingsPage, shop: true},
	{method: "POST", path: "/settings/supplier", do: (*call).changeSettings, shop: true},
}

// fieldForm is the form of the settings, or of a supplier's terms.
type fieldForm struct {
	folder.Typed
	Path      string
	Sections  []fieldSection
	Wrong     []*model.Error
	Tried     bool     // what would change was asked for
	Filling   bool     // the book is still being filled
	Why       string   // that was typed
	Changes   []string // that there would be
	Suppliers []string // whose terms can be seen
}

// fieldSection is a part of the form.
type fieldSection struct {
	folder.Section
	Fields []shownField
}

// shownField is a field with what is typed in it and what stands in the book.
type shownField struct {
	folder.Setting
	ID, Label, Typed, Book, Slip string
}

// fieldForm makes the form ready; a field that was not typed in shows what stands in the book by now.
func (c *call) fieldForm(w *model.Workshop, f folder.Typed) *fieldForm {
	form := &fieldForm{Typed: f, Path: "/settings", Suppliers: suppliersOf(w), Filling: c.filling(), Why: c.form("why")}
	if f.Supplier != "" {
		form.Path = supplierPath(f.Supplier)
	}
	now, seen := f.Texts(w), map[string]bool{}
	for _, s := range f.Fields() {
		section := fieldSection{Section: s}
		for _, one := range s.Settings {
			_, name, _ := strings.Cut(one.Key, s.Name+".")
			if s.Name == "" {
				name = one.Key
			}
			label := strings.ReplaceAll(name, "_", " ")
			if seen[label] {
				label += " (" + strings.ToLower(s.Title) + ")"
			}
			seen[label] = true
			field := shownField{Setting: one, ID: asID(one.Key), Label: label, Typed: f.Is[one.Key], Book: now[one.Key]}
			if f.Is[one.Key] == f.Was[one.Key] {
				field.Typed = field.Book
			}
			section.Fields = append(section.Fields, field)
		}
		form.Sections = append(form.Sections, section)
	}
	return form
}

// slips puts each slip beside its field, and the others above the form.
func (f *fieldForm) slips(found []*model.Error) {
	for _, e := range found {
		at := f.field(e.Where.Column)
		if e.Where.File != folder.TypedFile || at == nil {
			f.Wrong = append(f.Wrong, e)
			continue
		}
		at.Slip = e.What + "; " + e.Do
	}
}

// Slipped gives the fields in which there is a slip.
func (f *fieldForm) Slipped() (all []shownField) {
	for _, s := range f.Sections {
		for _, one := range s.Fields {
			if one.Slip != "" {
				all = append(all, one)
			}
		}
	}
	return all
}

func (f *fieldForm) field(key string) *shownField {
	for i := range f.Sections {
		for n := range f.Sections[i].Fields {
			if f.Sections[i].Fields[n].Key == key {
				return &f.Sections[i].Fields[n]
			}
		}
	}
	return nil
}

func supplierPath(name string) string { return "/settings/supplier?of=" + url.QueryEscape(name) }

// suppliersOf gives those who offer something.
func suppliersOf(w *model.Workshop) (names []string) {
	for _, o := range w.Offers {
		if !slices.Contains(names, o.Supplier) {
			names = append(names, o.Supplier)
		}
	}
	return names
}

// typed reads whose terms a request is about, or that it is about the settings.
func (c *call) typed(w *model.Workshop) (f folder.Typed, title string, err error) {
	if c.r.URL.Path == "/settings" {
		return f, "Settings", nil
	}
	if f.Supplier = c.query("of"); !slices.Contains(suppliersOf(w), f.Supplier) {
		return f, "", notFound("there is no such page", "choose a supplier of those that the settings name")
	}
	return f, "What " + f.Supplier + " asks of an order", nil
}

// settingsPage shows the settings, or the terms of a supplier, to be changed.
func (c *call) settingsPage() error {
	f, title, err := c.typed(c.workshop)
	if err != nil {
		return err
	}
	return c.show("settings", title, c.fieldForm(c.workshop, f))
}

// changeSettings makes them what was typed, or says only what would change.
func (c *call) changeSettings() error {
	f, title, err := c.typed(c.workshop)
	if err != nil {
		return err
	}
	f.Is, f.Was = map[string]string{}, map[string]string{}
	for _, s := range f.Fields() {
		for _, one := range s.Settings {
			f.Is[one.Key], f.Was[one.Key] = c.form(one.Key), c.form("was."+one.Key)
		}
	}
	form := c.fieldForm(c.workshop, f)
	form.Tried = c.form("do") == "try"
	if form.Tried {
		c.by.Key = ""
	}
	what := "the settings"
	if f.Supplier != "" {
		what = "the terms of " + f.Supplier
	}
	r, err := c.s.Book.Import(c.ctx, f, book.Importing{DryRun: form.Tried, Tell: func(r book.Imported) string {
		return "changed " + what + ": " + strings.Join(f.Changes(r.Before, r.After), "; ")
	}}, c.by)
	switch {
	case errors.Is(err, book.ErrSent):
		return c.done(err, form.Path, "")
	case err != nil:
		form.slips(c.leaves(err))
		return c.showAs(status(err), "settings", title, form)
	}
	form.Changes = f.Changes(r.Before, r.After)
	if form.Tried {
		return c.show("settings", title, form)
	}
	if len(form.Changes) == 0 {
		return c.done(nil, form.Path, "Nothing is changed: it stood in the book so already.")
	}
	return c.done(nil, form.Path, "%s", "Changed: "+text.JoinAnd(form.Changes)+".")
}

// codes are what stands between back quotes in what a setting is about.
var codes = regexp.MustCompile("`([^`]*)`")

// coded sets them as code.
func coded(about string) template.HTML {
	return template.HTML(codes.ReplaceAllString(template.HTMLEscapeString(about), "<code>$1</code>"))
}
