package page

import (
	"archive/zip"
	"bytes"
	"cmp"
	"errors"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/model/table"
)

var startRoutes = []route{
	{method: "GET", path: "/{$}", do: (*call).start},
	{method: "POST", path: "/fill", do: (*call).fill, large: true},
	{method: "GET", path: "/start", do: (*call).questionsPage},
	{method: "POST", path: "/start", do: (*call).answerQuestions},
	{method: "GET", path: "/start/next", do: (*call).nextPage, shop: true},
	{method: "GET", path: "/tables", do: (*call).tablesPage},
	{method: "POST", path: "/tables", do: (*call).takeTables, large: true},
	{method: "GET", path: "/tables/row", do: (*call).rowPage, shop: true},
	{method: "POST", path: "/tables/row", do: (*call).takeRow, shop: true},
	{method: "POST", path: "/tables/copy", do: (*call).sendCopy},
	{method: "GET", path: "/tables/book.xlsx", do: (*call).exportWorkbook},
	{method: "GET", path: "/tables/book.zip", do: (*call).exportTables},
}

// start is the first page: the jobs or, where the book is still empty, how to fill it.
func (c *call) start() error {
	if _, err := c.shop(); err != nil {
		if isEmpty(err) {
			return c.fillPage(http.StatusOK, nil)
		}
		return err
	}
	return c.jobsPage()
}

// isEmpty tells the error of a book that has no settings yet.
func isEmpty(err error) bool {
	e, ok := errors.AsType[*model.Error](err)
	return ok && e.Kind == model.BadInput && strings.Contains(e.What, "no settings yet")
}

// workshopFiles are the files that can be typed on the page, with what stands in them at first.
var workshopFiles = []struct{ Name, About string }{
	{"workshop.toml", "Settings: units, currency, machine. Copy the machine's figures from its own manual."},
	{"profiles.csv", "Profiles: one line for each moulding."},
	{"suppliers.csv", "Suppliers: what each asks of an order. Only the heading is needed."},
	{"offers.csv", "Offers: what can be bought, in which lengths and at which price."},
	{"rack.csv", "Rack: the sticks that are there already. Only the heading is needed."},
	{"jobs.csv", "Jobs: the heading is enough; jobs are entered on a page of their own."},
}

// fillPage shows how an empty book is filled.
func (c *call) fillPage(status int, wrong []*model.Error) error {
	type file struct{ Name, About, Text string }
	var files []file
	for _, f := range workshopFiles {
		t := c.r.PostForm.Get(f.Name)
		if t == "" {
			data, err := fs.ReadFile(folder.Small(), f.Name)
			if err != nil {
				return err
			}
			t = string(data)
		}
		files = append(files, file{f.Name, f.About, t})
	}
	return c.showAs(status, "fill", "A new book", map[string]any{"Files": files, "Wrong": wrong, "Demos": folder.AllInvented(), "Begin": c.s.Begin})
}

// fill puts a workshop into an empty book: one that is sent as files, one that is typed, or a demo.
func (c *call) fill() error {
	dir, err := os.MkdirTemp("", "longpoint-fill-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	from := filepath.Join(dir, "workshop")
	switch c.form("from") {
	case "demo":
		var one folder.Invented
		if one, err = folder.InventedBy(c.form("kind")); err == nil {
			err = folder.WriteNew(from, one.Files)
		}
	case "typed":
		files := map[string]string{}
		for _, f := range workshopFiles {
			files[f.Name] = c.r.PostForm.Get(f.Name)
		}
		err = writeFiles(from, files)
	default:
		from, _, err = c.saveUploads(from)
	}
	if err != nil {
		return err
	}
	w, err := folder.Read(from)
	if err == nil {
		err = c.put(c.form("kind"), w, c.by)
	}
	err = without(err, dir)
	if err != nil && !errors.Is(err, book.ErrSent) && c.form("from") == "typed" {
		return c.fillPage(status(err), c.leaves(err))
	}
	return c.done(err, "/", "The book is filled.")
}

// writeFiles writes files of a workshop into a new folder. Their names are ours.
func writeFiles(dir string, files map[string]string) error {
	if err := os.Mkdir(dir, 0o700); err != nil {
		return err
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o600); err != nil {
			return err
		}
	}
	return nil
}

// saveUploads writes the files that were sent into a new folder, under the last part of their names. Of one workbook alone it gives
// the file's path.
func (c *call) saveUploads(dir string) (path string, files []upload, err error) {
	files, _, err = c.uploads("files")
	if err == nil && len(files) == 0 {
		err = usage("no file was chosen", "choose the workshop's files, or one workbook")
	}
	if err == nil {
		err = os.Mkdir(dir, 0o700)
	}
	if err != nil {
		return "", nil, err
	}
	for n, f := range files {
		if !slices.Contains([]string{".csv", ".tsv", ".txt", ".xlsx", ".toml"}, strings.ToLower(filepath.Ext(f.Name))) {
			return "", nil, usage(model.Quote(f.Name)+" is no table", "send CSV, TSV, XLSX or TOML files")
		}
		if slices.ContainsFunc(files[:n], func(o upload) bool { return o.Name == f.Name }) {
			return "", nil, usage("two files are called "+model.Quote(f.Name), "send one of them")
		}
		path = filepath.Join(dir, f.Name)
		if err := os.WriteFile(path, f.Data, 0o600); err != nil {
			return "", nil, err
		}
	}
	if len(files) == 1 && filepath.Ext(path) != ".toml" {
		return path, files, nil
	}
	return dir, files, nil
}

// without takes the name of a folder of ours out of errors, which nobody else knows.
func without(err error, dir string) error {
	if err == nil {
		return nil
	}
	var out model.Errors
	for _, e := range text.Leaves(err) {
		one := *e
		one.Where.File = strings.TrimPrefix(strings.TrimPrefix(strings.ReplaceAll(one.Where.File, dir, ""), string(filepath.Separator)), "workshop"+string(filepath.Separator))
		one.What, one.Do = strings.ReplaceAll(one.What, dir+string(filepath.Separator), ""), strings.ReplaceAll(one.Do, dir+string(filepath.Separator), "")
		out = append(out, &one)
	}
	if errors.Is(err, book.ErrSent) {
		return err
	}
	return out
}

// tableNames are the tables that can be pasted.
var tableNames = []string{"profiles", "suppliers", "offers", "rack", "jobs"}

// filling tells whether the book is still being filled: nothing has been planned. Until then nobody need say why something comes in or is put right.
func (c *call) filling() bool {
	_, _, err := c.s.Book.Plan(c.ctx, 0)
	return err != nil
}

// tablesPage is import and export of the book's tables.
func (c *call) tablesPage() error { return c.tablesPageOf("", nil, nil) }

// tablesPageOf shows it with cells or files that could not be taken in, and what is wrong with them.
func (c *call) tablesPageOf(cells string, back []upload, wrong error) error {
	w, err := c.s.Book.Workshop(c.ctx) // which a book without settings does not give
	copied := ""
	if err == nil {
		ages, err := c.s.Book.Ages(c.ctx)
		if err != nil {
			return err
		}
		copied = text.Copied(ages, w.Habits.Dates)
	}
	data := map[string]any{"Copied": copied, "Filling": c.filling(), "Tables": tableNames, "Rows": rowForms, "Ask": c.s.Pass != nil,
		"Why": c.form("why"), "Table": c.form("table"), "Is": c.form("is"), "Replace": c.form("replace") != "", "Cells": cells, "Again": back}
	if wrong == nil {
		return c.show("tables", "Tables", data)
	}
	found := c.leaves(wrong)
	data["Wrong"], data["Is"] = found, c.headings(found)
	return c.showAs(status(wrong), "tables", "Tables", data)
}

// takeTables takes tables in, or only tries.
func (c *call) takeTables() error {
	dir, err := os.MkdirTemp("", "longpoint-import-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	name, cells := c.form("table"), c.r.PostForm.Get("cells")
	if name != "" && !slices.Contains(tableNames, name) {
		return usage("there is no table "+model.Quote(name), "choose one of the list")
	}
	from := filepath.Join(dir, "tables")
	var files []upload
	if strings.TrimSpace(cells) != "" {
		from = filepath.Join(dir, cmp.Or(name, "pasted")+".csv")
		err = os.WriteFile(from, []byte(cells), 0o600)
	} else if from, files, err = c.saveUploads(from); err == nil && from != filepath.Join(dir, "tables") {
		cells = c.asCells(from, files[0].Data)
	}
	if cells != "" {
		files = nil
	}
	if err == nil {
		err = c.takeIn(dir, from, cells, again(files))
	}
	if err == nil || slices.ContainsFunc(text.Leaves(err), func(e *model.Error) bool { return e.Kind == model.Fault }) {
		return err
	}
	return c.tablesPageOf(cells, again(files), err)
}

// takeIn takes in what stands at from, below the folder dir, or only tries. What was tried goes with the answer, as cells or as files, to be taken in from there.
func (c *call) takeIn(dir, from, cells string, back []upload) error {
	how := book.Importing{DryRun: c.form("do") == "try", Replace: c.form("replace") != ""}
	if how.DryRun {
		c.by.Key = ""
	}
	in, err := folder.OpenIncoming(from)
	if err != nil {
		return without(err, dir)
	}
	in.As = c.form("table")
	name := cmp.Or(in.As, strings.TrimSuffix(filepath.Base(from), filepath.Ext(from)))
	if in.Own, err = folder.OwnHeadings(parted(c.form("is")), name, ""); err != nil {
		return err
	}
	seen := &odds{Incoming: in}
	r, err := c.s.Book.Import(c.ctx, seen, how, c.by)
	if errors.Is(err, book.ErrSent) {
		return c.done(err, "/tables", "")
	}
	if err != nil {
		return without(err, dir)
	}
	data := map[string]any{"R": r, "Tried": how.DryRun, "Minds": seen.minds, "Cells": cells, "Again": back,
		"Table": cmp.Or(c.form("table"), c.query("of")), "Is": c.form("is"), "Replace": c.form("replace"), "Why": c.form("why")}
	if r.After != nil {
		compared := folder.Compare(r.Before, r.After, seen.came...)
		const most = 500
		data["Lines"], data["More"], data["Sums"], data["Headings"] = compared.Lines[:min(len(compared.Lines), most)], max(0, len(compared.Lines)-most), compared.Sums, compared.Headings
	}
	return c.show("taken", "Tables taken in", data)
}

// odds is tables of which what is odd is named.
type odds struct {
	book.Incoming
	minds []string
	came  []string // the tables
}

// Read reads the tables and looks at what of them is odd.
func (o *odds) Read(now *model.Workshop, replace bool) (*model.Workshop, []string, error) {
	w, given, err := o.Incoming.Read(now, replace)
	o.came = given
	if err == nil && w != nil {
		o.minds = nil
		for _, odd := range w.Odds() {
			if file := odd.Where.File; file != "" && !strings.Contains(file, ", table ") {
				o.minds = append(o.minds, toClick(odd.String()))
			}
		}
	}
	return w, given, err
}

// exportWorkbook sends the whole book as a workbook.
func (c *call) exportWorkbook() error {
	dir, err := os.MkdirTemp("", "longpoint-export-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "book.xlsx")
	if err := c.export(path); err != nil {
		return without(err, dir)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	c.file("book.xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", data)
	return nil
}

// export writes the whole book to a folder or a workbook.
func (c *call) export(path string) error {
	return c.s.Book.Export(c.ctx, path, func(w *model.Workshop, past []table.Written) error { return folder.Export(path, w, past) })
}

// exportTables sends the whole book as CSV files in an archive.
func (c *call) exportTables() error {
	dir, err := os.MkdirTemp("", "longpoint-export-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "book")
	if err := c.export(path); err != nil {
		return without(err, dir)
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	if err := z.AddFS(os.DirFS(path)); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	c.file("book.zip", "application/zip", b.Bytes())
	return nil
}

// file sends a file to keep.
func (c *call) file(name, kind string, data []byte) {
	c.w.Header().Set("Content-Type", kind)
	c.w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	http.ServeContent(c.w, c.r, "", noTime, bytes.NewReader(data))
}
