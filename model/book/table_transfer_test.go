package book

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/folder"
	"longpoint/model/runs"
	tabular "longpoint/model/table"
)

// usedShop is a book in which something of everything has happened.
func usedShop(t *testing.T) *Book {
	t.Helper()
	b := newShop(t)
	d := planOf(t, b)
	id := keepPlan(t, b, d)
	orders := placeOrders(t, b, id, false)
	for _, o := range orders {
		receive(t, b, o.ID, Receipt{Place: "new rack"})
	}
	_, err := b.Do(t.Context(), tester, AddBlade(Blade{Name: "set A", Height: 30 * model.Millimetre}))
	must(t, err)
	_, err = b.Do(t.Context(), tester, Sharpen("set A", 29_500_000))
	must(t, err)
	_, err = b.Do(t.Context(), tester, MountBlade("set A"))
	must(t, err)
	for _, p := range d.Profiles {
		r := startRun(t, b, p.Name, id)
		for _, s := range r.Sticks {
			cut(t, b, r.ID, s.Number, nil, runs.Done)
		}
		if p.Name == "oak-40" {
			cut(t, b, r.ID, r.Sticks[0].Number, []int{1}, runs.Torn)
		}
		finish(t, b, r.ID, nil)
	}
	_, err = b.Do(t.Context(), tester, Sharpen("set A", 29*model.Millimetre))
	must(t, err)
	_, err = b.Undo(t.Context(), 0, tester)
	must(t, err)
	_, err = b.Do(t.Context(), tester, Count("oak-40", Counted{}, nil))
	must(t, err)
	_, err = b.Do(t.Context(), tester, KeepPriceForm(model.PriceForm{Supplier: "Invented Timber", Article: "No", Price: "EUR/m", By: "m", Least: "5",
		Profiles: map[string]string{"4711": "oak-40", "815": "black-22"}, Breaks: []model.PriceBreak{{From: 10, Column: "from 10"}}}))
	must(t, err)
	sound(t, b)
	return b
}

// exportTo writes all that a book holds to a folder, or to a workbook.
func exportTo(t *testing.T, b *Book, path string) {
	t.Helper()
	must(t, b.Export(t.Context(), path, func(w *model.Workshop, past []tabular.Written) error { return folder.Export(path, w, past) }))
}

// importFrom takes tables into a book.
func importFrom(ctx context.Context, b *Book, path string, how Importing) (Imported, error) {
	in, err := folder.OpenIncoming(path)
	if err != nil {
		return Imported{}, err
	}
	return b.Import(ctx, in, how, tester)
}

// folderBytes reads a folder's files.
func folderBytes(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	must(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		files[strings.TrimPrefix(path, dir+"/")] = string(data)
		return err
	}))
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

// differences are the lines of what an import changed.
func differences(r Imported) string {
	var lines []string
	d := folder.Compare(r.Before, r.After).Lines
	for _, l := range d {
		lines = append(lines, l.String())
	}
	return strings.Join(lines, "\n")
}

// TestExportImportExport demands the same bytes after a way round a new book, as CSV and as XLSX.
func TestExportImportExport(t *testing.T) {
	b := usedShop(t)
	dir := t.TempDir()
	first := filepath.Join(dir, "first")
	exportTo(t, b, first)
	want := folderBytes(t, first)
	if len(want) != len(keys)+len(history)+6 {
		t.Errorf("%d files", len(want))
	}
	for name, text := range want {
		if strings.Count(text, "\n") < 2 && name != "jobs.csv" && name != "rack.csv" {
			t.Errorf("%s has nothing in it", name)
		}
	}
	book := filepath.Join(dir, "book.xlsx")
	exportTo(t, b, book)
	for _, from := range []string{first, book} {
		t.Run(filepath.Base(from), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "new.book")
			must(t, Create(t.Context(), path, nil))
			n := openBook(t, path)
			r, err := importFrom(t.Context(), n, from, Importing{})
			must(t, err)
			if !r.Restored || differences(r) != "" {
				t.Errorf("restored %t, and then %s", r.Restored, differences(r))
			}
			sound(t, n)
			again := filepath.Join(t.TempDir(), "again")
			exportTo(t, n, again)
			sameFiles(t, want, folderBytes(t, again))
			workbook := filepath.Join(t.TempDir(), "again.xlsx")
			exportTo(t, n, workbook)
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

// TestRestoreAndChange takes a whole book in of which a table was edited: that is a step behind its history, which can be undone.
func TestRestoreAndChange(t *testing.T) {
	b := usedShop(t)
	dir := filepath.Join(t.TempDir(), "out")
	exportTo(t, b, dir)
	file := filepath.Join(dir, "offers.csv")
	text, err := os.ReadFile(file)
	must(t, err)
	edited := strings.Replace(string(text), "21.00", "22.50", 1)
	if edited == string(text) {
		t.Fatalf("there is no such price: %s", text)
	}
	must(t, os.WriteFile(file, []byte(edited), 0o644))
	path := filepath.Join(t.TempDir(), "new.book")
	must(t, Create(t.Context(), path, nil))
	n := openBook(t, path)
	r, err := importFrom(t.Context(), n, dir, Importing{})
	must(t, err)
	if got := differences(r); !r.Restored || !strings.Contains(got, "price 21.00 → 22.50") || strings.Contains(got, "\n") {
		t.Errorf("restored %t, %s", r.Restored, got)
	}
	sound(t, n)
	_, err = n.Undo(t.Context(), 0, tester)
	must(t, err)
	w, err := n.Workshop(t.Context())
	must(t, err)
	was, err := b.Workshop(t.Context())
	must(t, err)
	if d := folder.Compare(was, w).Lines; len(d) > 0 {
		t.Errorf("%v", d)
	}
}

// TestImportAgain imports a book's own tables, which changes nothing and is no step.
func TestImportAgain(t *testing.T) {
	b := usedShop(t)
	dir := filepath.Join(t.TempDir(), "out")
	exportTo(t, b, dir)
	before := folderBytes(t, dir)
	for _, how := range []Importing{{}, {Replace: true}} {
		r, err := importFrom(t.Context(), b, dir, how)
		must(t, err)
		if got := differences(r); got != "" || !r.Skipped || r.Restored {
			t.Errorf("%+v: %s", r, got)
		}
	}
	after := filepath.Join(t.TempDir(), "out")
	exportTo(t, b, after)
	sameFiles(t, before, folderBytes(t, after))
}

// TestImportReports imports changes of every table: tried first, then done, then undone.
func TestImportReports(t *testing.T) {
	b := newShop(t)
	dir := filepath.Join(t.TempDir(), "tables")
	must(t, os.Mkdir(dir, 0o755))
	for name, text := range map[string]string{
		"offers.csv":   "\ufeffsupplier;profile;stick_length;price\r\nInvented Timber;oak-40;3000;22,5\r\nNew Store;oak-40;\"118 1/8\"\"\";19\r\n\r\n",
		"profiles.csv": "profile,width,rebate,keep,finish\noak-40,40,8,300,oiled\nash-30,30,6,300,\n",
		"rack.csv":     "stick,profile,length,place\nS1,oak-40,2950,bay 9\nN1,ash-30,1000,\n",
		"jobs.csv":     "job,due,frame,profile,width,height\nN1,2027-05-01,print,oak-40,300,400\n",
	} {
		must(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	want := []string{
		"~ profiles oak-40: finish",
		"+ profiles ash-30",
		"~ offers Invented Timber / oak-40 / 3000: price 21.00 → 22.50",
		"+ offers New Store / oak-40 / 3000.375",
		"~ rack S1: length",
		"+ rack N1",
		"+ jobs N1 / print",
	}
	before := filepath.Join(t.TempDir(), "before")
	exportTo(t, b, before)
	for _, dry := range []bool{true, false} {
		r, err := importFrom(t.Context(), b, dir, Importing{DryRun: dry})
		must(t, err)
		got := strings.Split(differences(r), "\n")
		if len(got) != len(want) {
			t.Fatalf("dry %t: %s", dry, differences(r))
		}
		for i := range want {
			if !strings.HasPrefix(got[i], want[i]) {
				t.Errorf("dry %t: %s, want %s", dry, got[i], want[i])
			}
		}
		after := filepath.Join(t.TempDir(), "after")
		exportTo(t, b, after)
		if changed := folderBytes(t, before)["offers.csv"] != folderBytes(t, after)["offers.csv"]; changed == dry {
			t.Errorf("dry %t, changed %t", dry, changed)
		}
		sound(t, b)
	}
	var cost, value model.Money
	must(t, b.db.QueryRow("SELECT cost_minor FROM stick WHERE name = 'N1'").Scan(&cost))
	w, err := b.Workshop(t.Context())
	must(t, err)
	if value = w.StickValue(model.Stick{Profile: "oak-40", Length: model.Metre}); value == 0 {
		t.Error("oak is worth nothing")
	}
	_, err = b.Undo(t.Context(), 0, tester)
	must(t, err)
	after := filepath.Join(t.TempDir(), "undone")
	exportTo(t, b, after)
	for _, name := range []string{"offers.csv", "profiles.csv", "rack.csv", "jobs.csv"} {
		if folderBytes(t, before)[name] != folderBytes(t, after)[name] {
			t.Errorf("the import was not undone in %s", name)
		}
	}
}

// TestImportedStickHasItsWorth takes a stick in of which nobody says what it is worth.
func TestImportedStickHasItsWorth(t *testing.T) {
	b := newShop(t)
	file := filepath.Join(t.TempDir(), "rack.csv")
	must(t, os.WriteFile(file, []byte("stick,profile,length,value\nN1,oak-40,1000,\nN2,oak-40,1000,0.00\n"), 0o644))
	_, err := importFrom(t.Context(), b, file, Importing{})
	must(t, err)
	w, err := b.Workshop(t.Context())
	must(t, err)
	for name, want := range map[string]model.Money{"N1": w.StickValue(model.Stick{Profile: "oak-40", Length: model.Metre}), "N2": 0} {
		var cost model.Money
		must(t, b.db.QueryRow("SELECT cost_minor FROM stick WHERE name = ?", name).Scan(&cost))
		if cost != want || name == "N1" && want == 0 {
			t.Errorf("%s costs %d, want %d", name, cost, want)
		}
	}
}

// withoutFirst takes the first thing out of a table, with all rows that are called like it.
func withoutFirst(t *testing.T, path string) {
	t.Helper()
	text, err := os.ReadFile(path)
	must(t, err)
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	must(t, err)
	rest := rows[:1]
	for _, row := range rows[2:] {
		if filepath.Base(path) != "jobs.csv" || row[0] != rows[1][0] {
			rest = append(rest, row)
		}
	}
	var out bytes.Buffer
	must(t, csv.NewWriter(&out).WriteAll(rest))
	must(t, os.WriteFile(path, out.Bytes(), 0o644))
}

// TestReplace takes out what the tables do not have: offers go, sticks are discarded, jobs dropped.
func TestReplace(t *testing.T) {
	b := newShop(t)
	dir := filepath.Join(t.TempDir(), "out")
	exportTo(t, b, dir)
	for _, name := range []string{"offers.csv", "rack.csv", "jobs.csv"} {
		withoutFirst(t, filepath.Join(dir, name))
	}
	must(t, os.RemoveAll(filepath.Join(dir, "history")))
	r, err := importFrom(t.Context(), b, dir, Importing{Replace: true})
	must(t, err)
	for _, want := range []string{"- offers", "- rack", "- jobs"} {
		if !strings.Contains(differences(r), want) {
			t.Errorf("nothing says %q: %s", want, differences(r))
		}
	}
	sound(t, b)
	var discarded, dropped int
	must(t, b.db.QueryRow("SELECT (SELECT count(*) FROM stick WHERE state = 'discarded'), (SELECT count(*) FROM job WHERE state = 'dropped')").Scan(&discarded, &dropped))
	if discarded != 1 || dropped > 1 {
		t.Errorf("%d discarded, %d dropped", discarded, dropped)
	}
}

// TestBadTables gives each fault with row and column, and changes nothing.
func TestBadTables(t *testing.T) {
	b := newShop(t)
	_, err := b.Do(t.Context(), tester, Discard("S1"))
	must(t, err)
	many := "job,due,frame,profile,width,height\n"
	for i := range 2000 {
		due := "2027-05-01"
		if i == 898 {
			due = "2027-05-32"
		}
		many += fmt.Sprintf("J%d,%s,f,oak-40,200,300\n", i, due)
	}
	for _, c := range []struct {
		name  string
		files map[string]string
		says  []string
	}{
		{"a bad day at row 900", map[string]string{"jobs": many}, []string{"jobs.csv:900, column due", "2027-05-32"}},
		{"no table", map[string]string{"notes": "a\n"}, []string{"no table of a workshop here"}},
		{"empty", map[string]string{"jobs": ""}, []string{"no heading"}},
		{"unknown column", map[string]string{"rack": "stick,profile,length,colour\nx,oak-40,3,red\n"}, []string{"rack.csv:1, column colour", "no column"}},
		{"column missing", map[string]string{"rack": "stick,profile\nx,oak-40\n"}, []string{"column length", "missing"}},
		{"no length", map[string]string{"rack": "stick,profile,length\nx,oak-40,long\n"}, []string{"rack.csv:2, column length", "not a length"}},
		{"rebate not less than width", map[string]string{"profiles": "profile,width,rebate,keep\nx,20,20,300\n"}, []string{"profiles.csv:2, column rebate"}},
		{"the same twice", map[string]string{"jobs": "job,due,frame,profile,width,height\nx,2027-05-01,f,oak-40,200,300\ny,2027-05-01,f,oak-40,200,300\nx,2027-05-01,f,oak-40,200,300\n"}, []string{"jobs.csv:4, column job", "stands here again"}},
		{"no such profile", map[string]string{"offers": "supplier,profile,stick_length,price\nx,aok-40,2000,1\n"}, []string{"offers.csv:2, column profile", "no profile", "did you mean oak-40?"}},
		{"a stick that was there", map[string]string{"rack": "stick,profile,length\nS1,oak-40,2000\n"}, []string{"rack.csv:2", "there was a stick S1"}},
		{"damage outside", map[string]string{"rack": "stick,profile,length,damaged\nx,oak-40,2000,30 to 2100\n"}, []string{"rack.csv:2, column damaged"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			for name, text := range c.files {
				must(t, os.WriteFile(filepath.Join(dir, name+".csv"), []byte(text), 0o644))
			}
			before := state(t, b)
			_, err := importFrom(t.Context(), b, dir, Importing{})
			wantError(t, err, model.BadInput, c.says...)
			if state(t, b) != before {
				t.Error("something was changed")
			}
		})
	}
}

// TestBadHistory takes in whole books that somebody has changed by hand: each is refused with its place, and the book stays new.
func TestBadHistory(t *testing.T) {
	b := usedShop(t)
	whole := filepath.Join(t.TempDir(), "whole")
	exportTo(t, b, whole)
	for _, c := range []struct {
		name, file, old, new string
		says                 []string
	}{
		{"no number", "cut.csv", ",101,", ",101,", nil},
		{"a stick that is not there", "run_stick.csv", "P1-1", "P1-7", []string{"there is no such stick"}},
		{"a length that is none", "stick.csv", ",3000,", ",long,", []string{"history/stick.csv:", "column length", "not a length"}},
		{"a state that is none", "job.csv", ",ready\n", ",lost\n", []string{"history/job.csv:", "rules do not take this"}},
		{"no unit", "workshop.csv", ",mm,", ",ells,", []string{"history/workshop.csv:2", "not a unit"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "copy")
			must(t, os.CopyFS(dir, os.DirFS(whole)))
			file := filepath.Join(dir, "history", c.file)
			text, err := os.ReadFile(file)
			must(t, err)
			if !strings.Contains(string(text), c.old) {
				t.Fatalf("%s has no %q: %.600s", c.file, c.old, text)
			}
			must(t, os.WriteFile(file, []byte(strings.Replace(string(text), c.old, c.new, 1)), 0o644))
			path := filepath.Join(t.TempDir(), "new.book")
			must(t, Create(t.Context(), path, nil))
			n := openBook(t, path)
			_, err = importFrom(t.Context(), n, dir, Importing{})
			if c.says == nil {
				must(t, err)
				return
			}
			wantError(t, err, model.BadInput, c.says...)
			var steps int
			must(t, n.db.QueryRow("SELECT count(*) FROM step").Scan(&steps))
			if steps != 0 {
				t.Errorf("%d steps", steps)
			}
		})
	}
}
