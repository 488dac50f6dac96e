package page

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/folder"
)

// rowForms are the tables of which a row can be typed in a form. What is on the rack and jobs have pages of their own.
var rowForms = []struct{ Table, Title string }{{"profiles", "A profile"}, {"suppliers", "A supplier"}, {"offers", "An offer"}}

// rowForm makes the form for a row of the table that is asked for.
func (c *call) rowForm() (*fieldForm, string, error) {
	of := c.query("of")
	for _, one := range rowForms {
		if one.Table != of {
			continue
		}
		section := fieldSection{Section: folder.Section{Title: one.Title}}
		for _, field := range folder.Fields(of) {
			if of == "offers" && field.Key == "profile" {
				for _, p := range c.workshop.Profiles {
					field.Words = append(field.Words, p.Name)
				}
			}
			section.Fields = append(section.Fields, shownField{Setting: field, ID: asID(field.Key), Label: strings.ReplaceAll(field.Key, "_", " ")})
		}
		return &fieldForm{Path: "/tables/row?of=" + of, Filling: c.filling(), Why: c.form("why"), Sections: []fieldSection{section}}, one.Title, nil
	}
	return nil, "", notFound("there is no such page", "go to the tables: the link leads there")
}

// rowPage is the form for one row of a table.
func (c *call) rowPage() error {
	form, title, err := c.rowForm()
	if err != nil {
		return err
	}
	return c.show("row", title, form)
}

// takeRow takes a row in as a table of one row, whose columns are the fields that are filled in, or only tries.
func (c *call) takeRow() error {
	form, title, err := c.rowForm()
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "longpoint-import-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	from := filepath.Join(dir, c.query("of")+".csv")
	row := c.typedRow(form)
	if err := os.WriteFile(from, row, 0o600); err != nil {
		return err
	}
	err = c.takeIn(dir, from, string(row), nil)
	if err == nil || slices.ContainsFunc(text.Leaves(err), func(e *model.Error) bool { return e.Kind == model.Fault }) {
		return err
	}
	for _, e := range c.leaves(err) {
		if at := form.field(e.Where.Column); at != nil {
			at.Slip = e.What + "; " + e.Do
			continue
		}
		e.Where = model.Place{}
		form.Wrong = append(form.Wrong, e)
	}
	return c.showAs(status(err), "row", title, form)
}

// typedRow gives the form's fields that are filled in as a table with a heading, and keeps what is typed for the form.
func (c *call) typedRow(form *fieldForm) []byte {
	var heading, cells []string
	for i := range form.Sections[0].Fields {
		field := &form.Sections[0].Fields[i]
		field.Typed = strings.TrimSpace(c.form(field.Key))
		if field.Book = field.Typed; field.Typed != "" {
			heading, cells = append(heading, field.Key), append(cells, field.Typed)
		}
	}
	var table bytes.Buffer
	w := csv.NewWriter(&table)
	_ = w.WriteAll([][]string{heading, cells}) // into memory
	return table.Bytes()
}
