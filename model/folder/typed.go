package folder

import (
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/table"
)

// TypedFile is where an error of what was typed into a form says that it stands; its column is the field.
const TypedFile = "what was typed"

// TypedTable is what a table of jobs is called that a form is read as: its sizes were typed for this shop, and mean what the form says.
const TypedTable = "typed.csv"

// Typed is what somebody typed into a form over what a book has: all settings by their keys, or the terms of one supplier by their columns.
// A field that they left as it was shown to them stays as it is by now, so that two people may change two fields at once. It is read as a
// table that comes in.
type Typed struct {
	Supplier string // whose terms; empty: the settings
	Was, Is  map[string]string
}

// Path says where it comes from.
func (f Typed) Path() string { return TypedFile }

// History gives nothing.
func (f Typed) History(table.Set, *table.Problems) (*table.Table, bool) { return table.Unread(), false }

// Read gives the workshop as it is to be. The error is a model.Errors with everything that is wrong in the fields and with the whole.
func (f Typed) Read(now *model.Workshop, _ bool) (w *model.Workshop, given []string, err error) {
	if now == nil {
		return nil, nil, nil
	}
	var p table.Problems
	is := *now
	c := &table.Converter{Unit: is.Unit, Currency: is.Currency, Habits: is.Habits, Problems: &p}
	set := f.over(f.Texts(now))
	if f.Supplier == "" {
		given = []string{settingSet.Name}
		set.apply(&is, c)
		is.Machine.Blades = now.Machine.Blades
		if is.Currency.Decimals != now.Currency.Decimals && len(is.Offers)+len(is.Rack)+len(is.Jobs) > 0 {
			p.Add(set.at("currency").Where, fmt.Sprintf("prices in this book have %d decimals, and those in %s have %d", now.Currency.Decimals, is.Currency.Code, is.Currency.Decimals),
				"begin a new book for that currency")
		}
	} else {
		given = []string{supplierSet.Name}
		is.Suppliers = slices.Clone(now.Suppliers)
		at := slices.IndexFunc(is.Suppliers, func(s model.Supplier) bool { return s.Name == f.Supplier })
		if at < 0 {
			at = len(is.Suppliers)
			is.Suppliers = append(is.Suppliers, model.Supplier{Name: f.Supplier})
		}
		is.Suppliers[at] = supplierOf(set.at, model.Place{File: TypedFile}, c)
	}
	is.Where = model.Place{} // what is wrong with the settings then stands at their fields
	p.AddChecked(placed(is.Check(), set))
	return &is, given, p.Errors()
}

// over gives the fields as they are by now with those in place that were typed otherwise than they were shown.
func (f Typed) over(now map[string]string) settings {
	set := settings{where: model.Place{File: TypedFile}, values: map[string]table.Value{}}
	for key, typed := range f.Is {
		if table.OneLine(typed) != table.OneLine(f.Was[key]) {
			now[key] = typed
		}
	}
	for key, text := range now {
		if text = table.OneLine(text); text != "" {
			set.values[key] = table.Setting(text, model.Place{File: TypedFile, Column: key})
		}
	}
	return set
}

// Fields are the fields of the form, in their sections.
func (f Typed) Fields() []Section {
	if f.Supplier == "" {
		return Sections
	}
	terms := Section{Title: f.Supplier}
	for _, c := range supplierSet.Columns[1:] {
		terms.Settings = append(terms.Settings, Setting{Key: c.Name, About: c.About})
	}
	return []Section{terms}
}

// Texts give the fields as a workshop has them; blank: not given.
func (f Typed) Texts(w *model.Workshop) map[string]string {
	if f.Supplier == "" {
		return settingTexts(w)
	}
	of := model.Supplier{Name: f.Supplier}
	for _, s := range w.Suppliers {
		if s.Name == f.Supplier {
			of = s
		}
	}
	texts := map[string]string{}
	for i, cell := range supplierRow(&of, format{w.Unit, w.Currency}) {
		texts[supplierSet.Columns[i].Name] = cell
	}
	return texts
}

// Changes say in words which fields differ between two workshops. A length is the same in another unit.
func (f Typed) Changes(before, after *model.Workshop) (all []string) {
	same := *before
	same.Unit = after.Unit
	was, is := f.Texts(&same), f.Texts(after)
	if f.Supplier == "" {
		was["units"] = before.Unit.String()
	}
	for _, s := range f.Fields() {
		for _, one := range s.Settings {
			if was[one.Key] != is[one.Key] {
				all = append(all, fmt.Sprintf("%s %s → %s", one.Key, orNothing(was[one.Key]), orNothing(is[one.Key])))
			}
		}
	}
	return all
}
