package page

import (
	"context"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

var pricesRoutes = []route{
	{method: "GET", path: "/tables/prices", do: (*call).pricesPage, shop: true},
	{method: "POST", path: "/tables/prices", do: (*call).takePrices, shop: true, large: true},
}

func pricesPath(supplier string) string {
	return "/tables/prices?supplier=" + url.QueryEscape(supplier)
}

// pricesForm is the form for a supplier's price list, and what a list would change.
type pricesForm struct {
	model.PriceForm
	Cells, Is, From string
	Part            bool
	Suppliers       []string
	Wrong           []*model.Error
	R               *round.Prices
	Minds           []string
	Again           []upload // the file, where it is no text
}

// pricesForm makes the form ready with how a list is laid out.
func (c *call) pricesForm(f model.PriceForm) *pricesForm {
	form := &pricesForm{PriceForm: f, Suppliers: suppliersOf(c.workshop)}
	for _, s := range c.workshop.Suppliers {
		if !slices.Contains(form.Suppliers, s.Name) {
			form.Suppliers = append(form.Suppliers, s.Name)
		}
	}
	return form
}

// pricesPage is the form, with what is kept of how a supplier's list is laid out.
func (c *call) pricesPage() error {
	f := model.PriceForm{Supplier: c.query("supplier")}
	if f.Supplier != "" {
		var err error
		if f, err = c.s.Book.PriceForm(c.ctx, f.Supplier); err != nil {
			return err
		}
	}
	form := c.pricesForm(f)
	for article, profile := range f.Profiles {
		form.Is += article + "=" + profile + "; "
	}
	for _, b := range f.Breaks {
		form.From += strconv.Itoa(b.From) + "=" + b.Column + "; "
	}
	return c.show("prices", "A supplier's price list", form)
}

// takePrices takes a price list in, or only says what it would change.
func (c *call) takePrices() error {
	dir, err := os.MkdirTemp("", "longpoint-prices-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	typed, wrong := c.typedPrices()
	form := c.pricesForm(typed)
	form.Cells, form.Is, form.From, form.Part = c.r.PostForm.Get("cells"), c.form("is"), c.form("from"), c.form("part") != ""
	if err = wrong; err == nil {
		err = c.readPrices(dir, form)
	}
	switch {
	case errors.Is(err, book.ErrSent):
		return c.done(err, pricesPath(typed.Supplier), "")
	case err == nil && form.R.Changed:
		return c.done(nil, pricesPath(typed.Supplier), "The prices are in the book: %d new, %d gone, %d dearer, %d cheaper, %d as before.", form.R.New, form.R.Gone, form.R.Dearer, form.R.Cheaper,
			form.R.Same+form.R.Renamed)
	case err != nil:
		err = without(err, dir)
		form.Wrong = c.leaves(err)
		for _, e := range form.Wrong {
			e.Do = inFields(e.Do)
		}
		return c.showAs(status(err), "prices", "A supplier's price list", form)
	}
	return c.show("prices", "A supplier's price list", form)
}

// typedPrices reads how the list is laid out.
func (c *call) typedPrices() (f model.PriceForm, err error) {
	f = model.PriceForm{Supplier: c.form("supplier"), Sheet: c.form("sheet"), Article: c.form("article"), Price: c.form("price"), By: c.form("by"), Length: c.form("length"),
		Unit: c.form("unit"), Bundle: c.form("bundle"), Least: c.form("least"), Cut: c.form("cut")}
	if f.Supplier == "" {
		return f, usage("no supplier is named", "say whose price list it is")
	}
	if f.Unit != "" {
		if !slices.Contains(round.ListUnits, f.Unit) {
			return f, usage(model.Quote(f.Unit)+" is no unit of length", "choose one of the list")
		}
	}
	if typed := c.form("decimal"); typed != "" {
		if f.Habits.Decimal, err = model.ParseMark(typed, ".,"); err != nil {
			return f, err
		}
	}
	if f.Breaks, err = round.Breaks(parted(c.form("from"))); err != nil {
		return f, err
	}
	if f.Profiles, err = round.Articles(parted(c.form("is"))); err != nil {
		return f, err
	}
	_, err = f.Per()
	return f, err
}

// savePrices puts the list that was sent or pasted into a folder of ours.
func (c *call) savePrices(dir string, form *pricesForm) (path string, err error) {
	name, cells := "prices.csv", []byte(form.Cells)
	files, chosen, err := c.uploads("file")
	if err != nil {
		return "", err
	}
	if len(files) > 0 && (chosen || strings.TrimSpace(form.Cells) == "") {
		name, cells = files[0].Name, files[0].Data
		if !slices.Contains([]string{".csv", ".tsv", ".txt", ".xlsx"}, strings.ToLower(filepath.Ext(name))) {
			return "", usage(model.Quote(name)+" is no table", "send a CSV, TSV or XLSX file")
		}
		form.Cells = ""
		if !utf8.Valid(cells) || len(cells) > formBytes || strings.EqualFold(filepath.Ext(name), ".xlsx") {
			form.Again = again(files)
		} else {
			form.Cells = string(cells)
		}
	}
	if len(strings.TrimSpace(string(cells))) == 0 {
		return "", usage("there are no cells", "paste the list with its headings, or choose a file")
	}
	path = filepath.Join(dir, name)
	return path, os.WriteFile(path, cells, 0o600)
}

// readPrices reads the list as the form says, over what is kept of the supplier's last one, and takes it in or tries it.
func (c *call) readPrices(dir string, form *pricesForm) error {
	kept, err := c.s.Book.PriceForm(c.ctx, form.Supplier)
	if err != nil {
		return err
	}
	f := kept.Over(form.PriceForm)
	form.PriceForm = f
	path, err := c.savePrices(dir, form)
	if err != nil {
		return err
	}
	if f.Article == "" || f.Price == "" {
		return usage("nobody has said yet how the price list of "+f.Supplier+" is laid out", "write the headings of its columns of articles and prices in the fields for them")
	}
	in, err := folder.OpenPrices(path, f, form.Part)
	if err != nil {
		return err
	}
	how := book.Importing{DryRun: c.form("do") == "try"}
	by := c.by
	if how.DryRun {
		by.Key = ""
	}
	seen := &odds{Incoming: in}
	r, err := c.s.Book.Import(c.ctx, seen, how, by)
	if err != nil {
		return err
	}
	form.R = round.NewPrices(f, filepath.Base(path), r, in.Seen)
	for _, m := range seen.minds {
		form.Minds = append(form.Minds, strings.ReplaceAll(m, dir+string(filepath.Separator), ""))
	}
	if !how.DryRun {
		form.R.Changed = true
		by.Key += "-f"
		_, err = c.s.Book.Do(c.ctx, by, book.KeepPriceForm(f))
		return unlessSent(err)
	}
	if !form.R.Differ() {
		return nil
	}
	o, err := c.s.options("", false, "", 4*time.Second, c.s.Book.Now())
	if err != nil {
		return err
	}
	err = c.alone(func(ctx context.Context) error { return form.R.Reckon(ctx, c.s.Book, o, r.After.Offers) })
	form.R.NoPlan = strings.ReplaceAll(form.R.NoPlan, c.s.Book.Path()+", ", "")
	return err
}

// Units are those that bare lengths may be in, and Marks the decimal marks.
func (f *pricesForm) Units() []string { return round.ListUnits }
func (f *pricesForm) Marks() []decimalMark {
	return []decimalMark{{".", "point"}, {",", "comma"}}
}

type decimalMark struct{ Mark, Name string }

// Few names some of many.
func (f *pricesForm) Few(all []string) string {
	const most = 8
	if len(all) > most {
		all = append(slices.Clone(all[:most]), strconv.Itoa(len(all)-most)+" more")
	}
	return text.JoinAnd(all)
}

// articleTyped is an option of the command that says what an article is.
var articleTyped = regexp.MustCompile(`with --is "([^"]*)"`)

// inFields says with the fields of the form what a sentence says with options of the command.
func inFields(sentence string) string {
	sentence = articleTyped.ReplaceAllString(sentence, "as $1 in the field “Which article is which profile”")
	sentence, _, _ = strings.Cut(sentence, "; the page “Price list” shows how")
	return strings.NewReplacer("name the column with --length", "write its heading in the field “Length of a stick”", "name the column with --bundle",
		"write its heading in the field “Sticks in a bundle”").Replace(sentence)
}
