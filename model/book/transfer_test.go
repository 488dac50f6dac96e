package book

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"longpoint/model"
)

// usedShop is a book in which something of everything has happened.
func usedShop(t *testing.T) *Book {
	t.Helper()
	b := newShop(t)
	d := planOf(t, b)
	id, err := b.KeepPlan(t.Context(), d, tester)
	must(t, err)
	orders, _, err := b.PlaceOrders(t.Context(), id, false, tester)
	must(t, err)
	for _, o := range orders {
		_, err := b.Receive(t.Context(), o.ID, Receipt{Place: "new rack"}, tester)
		must(t, err)
	}
	_, err = b.Do(t.Context(), tester, AddBlade(Blade{Name: "set A", Height: 30 * model.Millimetre}))
	must(t, err)
	_, err = b.Do(t.Context(), tester, Sharpen("set A", 29_500_000))
	must(t, err)
	_, err = b.Do(t.Context(), tester, MountBlade("set A"))
	must(t, err)
	for _, p := range d.Profiles {
		r, _, err := b.StartRun(t.Context(), p.Name, id, tester)
		must(t, err)
		for _, s := range r.Sticks {
			_, _, err := b.Cut(t.Context(), r.ID, s.Number, nil, Done, tester)
			must(t, err)
		}
		if p.Name == "oak-40" {
			_, _, err := b.Cut(t.Context(), r.ID, r.Sticks[0].Number, []int{1}, Torn, tester)
			must(t, err)
		}
		_, _, err = b.Finish(t.Context(), r.ID, nil, tester)
		must(t, err)
	}
	_, err = b.Do(t.Context(), tester, Sharpen("set A", 29*model.Millimetre))
	must(t, err)
	_, err = b.Undo(t.Context(), 0, tester)
	must(t, err)
	_, err = b.Do(t.Context(), tester, Count("oak-40", Counted{}, nil))
	must(t, err)
	sound(t, b)
	return b
}

// folderBytes reads a folder's files.
func folderBytes(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	must(t, err)
	files := map[string]string{}
	for _, e := range entries {
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		must(t, err)
		files[e.Name()] = string(data)
	}
	return files
}

// sameFiles demands the same bytes.
func sameFiles(t *testing.T, want, got map[string]string) {
	t.Helper()
	if len(want) != len(got) {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
	for name := range want {
		if want[name] != got[name] {
			t.Errorf("%s differs:\n%.2000s\nand\n%.2000s", name, want[name], got[name])
		}
	}
}

// TestExportImportExport demands the same bytes after a way round a new book, as CSV and as XLSX.
func TestExportImportExport(t *testing.T) {
	b := usedShop(t)
	dir := t.TempDir()
	first := filepath.Join(dir, "first")
	must(t, b.ExportCSV(t.Context(), first))
	want := folderBytes(t, first)
	if len(want) != len(keys)+len(history) {
		t.Errorf("%d files", len(want))
	}
	for name, text := range want {
		if strings.Count(text, "\n") < 2 {
			t.Errorf("%s has nothing in it", name)
		}
	}
	book := filepath.Join(dir, "book.xlsx")
	must(t, b.ExportXLSX(t.Context(), book))
	for _, from := range []string{first, book} {
		t.Run(filepath.Base(from), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "new.book")
			must(t, Create(t.Context(), path, nil))
			n := openBook(t, path)
			report, err := n.Import(t.Context(), from, Importing{}, tester)
			must(t, err)
			if !report.Restored {
				t.Error("the history was not taken in")
			}
			sound(t, n)
			again := filepath.Join(t.TempDir(), "again")
			must(t, n.ExportCSV(t.Context(), again))
			sameFiles(t, want, folderBytes(t, again))
			workbook := filepath.Join(t.TempDir(), "again.xlsx")
			must(t, n.ExportXLSX(t.Context(), workbook))
			one, err := os.ReadFile(book)
			must(t, err)
			two, err := os.ReadFile(workbook)
			must(t, err)
			if !bytes.Equal(one, two) {
				t.Error("the workbooks differ")
			}
			if _, err := n.Undo(t.Context(), 0, tester); err != nil { // with the history it came with
				t.Error(err)
			}
			sound(t, n)
		})
	}
}

// TestImportAgain imports a book's own tables, which changes nothing and is no step.
func TestImportAgain(t *testing.T) {
	b := usedShop(t)
	dir := filepath.Join(t.TempDir(), "out")
	must(t, b.ExportCSV(t.Context(), dir))
	before := folderBytes(t, dir)
	for _, how := range []Importing{{}, {Replace: true}} {
		r, err := b.Import(t.Context(), dir, how, tester)
		must(t, err)
		if len(r.Lines) > 0 || r.New+r.Changed+r.Gone > 0 || r.Same == 0 || len(r.Skipped) != len(history) {
			t.Errorf("%+v", r)
		}
	}
	after := filepath.Join(t.TempDir(), "out")
	must(t, b.ExportCSV(t.Context(), after))
	sameFiles(t, before, folderBytes(t, after))
}

// TestImportReports imports a list of changes: tried first, then done, then undone.
func TestImportReports(t *testing.T) {
	b := newShop(t)
	file := filepath.Join(t.TempDir(), "offer.csv")
	must(t, os.WriteFile(file, []byte("\ufeffsupplier;profile;length_mm;price\r\nInvented Timber;oak-40;3000;22,5\r\nNew Store;oak-40;\"118 1/8\"\"\";19\r\n\r\n"), 0o644))
	want := []string{
		"~ offer Invented Timber / oak-40 / 3000 / 0 / 1 / 1 / –: price 21.00 → 22.50",
		"+ offer New Store / oak-40 / 3000.375 / 0 / 1 / 1 / –",
	}
	before := filepath.Join(t.TempDir(), "before")
	must(t, b.ExportCSV(t.Context(), before))
	for _, dry := range []bool{true, false} {
		r, err := b.Import(t.Context(), file, Importing{DryRun: dry}, tester)
		must(t, err)
		var got []string
		for _, l := range r.Lines {
			got = append(got, l.String())
		}
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("dry %t: %s", dry, strings.Join(got, "\n"))
		}
		after := filepath.Join(t.TempDir(), "after")
		must(t, b.ExportCSV(t.Context(), after))
		if changed := folderBytes(t, before)["offer.csv"] != folderBytes(t, after)["offer.csv"]; changed == dry {
			t.Errorf("dry %t, changed %t", dry, changed)
		}
	}
	_, err := b.Undo(t.Context(), 0, tester)
	must(t, err)
	after := filepath.Join(t.TempDir(), "undone")
	must(t, b.ExportCSV(t.Context(), after))
	if folderBytes(t, before)["offer.csv"] != folderBytes(t, after)["offer.csv"] {
		t.Error("the import was not undone")
	}
	r, err := b.Import(t.Context(), file, Importing{Replace: true, DryRun: true}, tester)
	must(t, err)
	if r.Gone != 3 || r.New != 1 || r.Changed != 1 {
		t.Errorf("%+v", r)
	}
}

// TestBadTables gives each fault with row and column, and changes nothing.
func TestBadTables(t *testing.T) {
	b := newShop(t)
	many := "name,customer,due\n"
	frames := "job,name\n"
	rings := "job,frame,profile,width_mm,height_mm\n"
	for i := range 2000 {
		due := "2027-05-01"
		if i == 898 {
			due = "2027-05-32"
		}
		many += fmt.Sprintf("J%d,c,%s\n", i, due)
		frames += fmt.Sprintf("J%d,f\n", i)
		rings += fmt.Sprintf("J%d,f,oak-40,200,300\n", i)
	}
	for _, c := range []struct {
		name  string
		files map[string]string
		says  []string
	}{
		{"a bad day at row 900", map[string]string{"job": many, "frame": frames, "ring": rings}, []string{"job.csv:900, column due", "2027-05-32"}},
		{"no such table", map[string]string{"jobs": "a\n"}, []string{"no table \"jobs\""}},
		{"empty", map[string]string{"job": ""}, []string{"no heading"}},
		{"unknown column", map[string]string{"job": "name,colour\nx,red\n"}, []string{"job.csv:1, column colour", "no column"}},
		{"column twice", map[string]string{"job": "name,name\nx,y\n"}, []string{"twice"}},
		{"column missing", map[string]string{"frame": "name\nx\n"}, []string{"column job", "missing"}},
		{"blank where something must be", map[string]string{"profile": "name,width_mm,rebate_mm,keep_mm\nx,,3,300\n"}, []string{"profile.csv:2, column width_mm", "nothing is given"}},
		{"no length", map[string]string{"stick": "name,profile,length_mm\nx,oak-40,long\n"}, []string{"stick.csv:2, column length_mm", "not a length"}},
		{"no number", map[string]string{"frame": "job,name,quantity\n101,x,two\n"}, []string{"column quantity", "whole number"}},
		{"no money", map[string]string{"offer": "supplier,profile,length_mm,price\nx,oak-40,2000,1.234\n"}, []string{"column price", "decimals"}},
		{"rebate not less than width", map[string]string{"profile": "name,width_mm,rebate_mm,keep_mm\nx,20,20,300\n"}, []string{"profile.csv:2, column rebate_mm", "cannot be"}},
		{"not a known state", map[string]string{"job": "name,state\nx,lost\n"}, []string{"job.csv:2, column state"}},
		{"the same twice", map[string]string{"job": "name\nx\nx\n", "frame": "job,name\nx,f\n", "ring": "job,frame,profile\nx,f,oak-40\n"}, []string{"job.csv:3, column name", "already"}},
		{"no such profile", map[string]string{"offer": "supplier,profile,length_mm,price\nx,ash-1,2000,1\n"}, []string{"offer.csv:2, column profile", "no such profile"}},
		{"a job without a frame", map[string]string{"job": "name\nx\n"}, []string{"job x", "no frame"}},
		{"a cell too many", map[string]string{"job": "name\nx,y\n"}, []string{"job.csv:2", "too many"}},
		{"quotes that do not end", map[string]string{"job": "name\n\"x\n"}, []string{"job.csv:2", "taken apart"}},
		{"not a text", map[string]string{"job": "name\n\x00\n"}, []string{"not a text"}},
		{"damage out of order", map[string]string{"stick": "name,profile,length_mm,damage_mm\nx,oak-40,2000,30 to 20\n"}, []string{"column damage_mm", "30 to 20"}},
		{"a job finished that never was cut", map[string]string{"job": "name,state\n101,ready\n"}, []string{"job 101", "every side of a finished job"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			for name, text := range c.files {
				must(t, os.WriteFile(filepath.Join(dir, name+".csv"), []byte(text), 0o644))
			}
			before := filepath.Join(t.TempDir(), "before")
			must(t, b.ExportCSV(t.Context(), before))
			_, err := b.Import(t.Context(), dir, Importing{}, tester)
			wantError(t, err, model.BadInput, c.says...)
			after := filepath.Join(t.TempDir(), "after")
			must(t, b.ExportCSV(t.Context(), after))
			sameFiles(t, folderBytes(t, before), folderBytes(t, after))
		})
	}
}

// TestBadWorkbooks refuses what is no workbook and what unpacks to more than a book.
func TestBadWorkbooks(t *testing.T) {
	b := newShop(t)
	dir := t.TempDir()
	text := filepath.Join(dir, "text.xlsx")
	must(t, os.WriteFile(text, []byte("no workbook"), 0o644))
	other := filepath.Join(dir, "other.xlsx")
	f := excelize.NewFile()
	must(t, f.SaveAs(other))
	for _, c := range []struct{ name, path, says string }{
		{"a text", text, "not an XLSX workbook"},
		{"other sheets", other, "no table \"Sheet1\""},
		{"says it is large", bomb(t, dir, "honest.xlsx", 1<<20, maxUnpackedBytes+1), "unpacks to more"},
		{"many small ones", manyParts(t, dir), "unpacks to more"},
		{"says it is small", bomb(t, dir, "lying.xlsx", 64<<20, 1000), "not an XLSX workbook"},
		{"deep in a workbook that is one", wolf(t, dir), "no heading"},
		{"an unknown kind", filepath.Join(dir), "no CSV file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := b.Import(t.Context(), c.path, Importing{}, tester)
			wantError(t, err, model.BadInput, c.says)
		})
	}
}

// bomb writes an archive with one part of so many zeros, that says it has another size.
func bomb(t *testing.T, dir, name string, size int, says uint64) string {
	t.Helper()
	path := filepath.Join(dir, name)
	f, err := os.Create(path)
	must(t, err)
	defer f.Close()
	z := zip.NewWriter(f)
	packed := deflated(t, size)
	part, err := z.CreateRaw(&zip.FileHeader{Name: "xl/workbook.xml", Method: zip.Deflate, UncompressedSize64: says, CompressedSize64: uint64(len(packed))})
	must(t, err)
	_, err = part.Write(packed)
	must(t, err)
	must(t, z.Close())
	return path
}

// deflated packs so many zeros.
func deflated(t *testing.T, size int) []byte {
	t.Helper()
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.BestCompression)
	must(t, err)
	_, err = w.Write(make([]byte, size))
	must(t, err)
	must(t, w.Close())
	return packed.Bytes()
}

// wolf writes a workbook that is one, but for a sheet that unpacks to far more than it says.
func wolf(t *testing.T, dir string) string {
	t.Helper()
	sheep := filepath.Join(dir, "sheep.xlsx")
	f := excelize.NewFile()
	must(t, f.SetSheetName("Sheet1", "job"))
	must(t, f.SaveAs(sheep))
	from, err := zip.OpenReader(sheep)
	must(t, err)
	defer from.Close()
	path := filepath.Join(dir, "wolf.xlsx")
	to, err := os.Create(path)
	must(t, err)
	defer to.Close()
	z := zip.NewWriter(to)
	for _, part := range from.File {
		if part.Name != "xl/worksheets/sheet1.xml" {
			must(t, z.Copy(part))
			continue
		}
		packed := deflated(t, 64<<20)
		raw, err := z.CreateRaw(&zip.FileHeader{Name: part.Name, Method: zip.Deflate, UncompressedSize64: 1000, CompressedSize64: uint64(len(packed))})
		must(t, err)
		_, err = raw.Write(packed)
		must(t, err)
	}
	must(t, z.Close())
	return path
}

// manyParts writes an archive whose parts are large only together.
func manyParts(t *testing.T, dir string) string {
	t.Helper()
	path := filepath.Join(dir, "many.xlsx")
	f, err := os.Create(path)
	must(t, err)
	defer f.Close()
	z := zip.NewWriter(f)
	for i := range 20 {
		_, err := z.CreateRaw(&zip.FileHeader{Name: fmt.Sprintf("xl/worksheets/sheet%d.xml", i), Method: zip.Deflate, UncompressedSize64: maxUnpackedBytes / 10})
		must(t, err)
	}
	must(t, z.Close())
	return path
}

// TestSpreadsheetNumbers reads what a spreadsheet makes of numbers and days.
func TestSpreadsheetNumbers(t *testing.T) {
	b := newShop(t)
	path := filepath.Join(t.TempDir(), "typed.xlsx")
	f := excelize.NewFile()
	must(t, f.SetSheetName("Sheet1", "stick"))
	must(t, f.SetSheetRow("stick", "A1", &[]any{"name", "profile", "length_mm", "value"}))
	must(t, f.SetSheetRow("stick", "A2", &[]any{"T1", "oak-40", 0.1 + 0.2, 12.5}))
	_, err := f.NewSheet("job")
	must(t, err)
	must(t, f.SetSheetRow("job", "A1", &[]any{"name", "due"}))
	must(t, f.SetSheetRow("job", "A2", &[]any{101, 46483}))
	must(t, f.SaveAs(path))
	_, err = b.Import(t.Context(), path, Importing{}, tester)
	must(t, err)
	var long, value int64
	var due string
	must(t, b.db.QueryRow("SELECT length_nm, value_minor FROM stick WHERE name = 'T1'").Scan(&long, &value))
	must(t, b.db.QueryRow("SELECT due FROM job WHERE name = '101'").Scan(&due))
	if long != 300_000 || value != 1250 || due != "2027-04-06" {
		t.Errorf("%d, %d, %s", long, value, due)
	}
}
