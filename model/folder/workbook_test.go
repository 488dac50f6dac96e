package folder

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/xuri/excelize/v2"

	"longpoint/model"
)

// typed makes of a cell what a spreadsheet makes of what is typed: a number, a day, a word.
func typed(text string) any {
	if n, err := strconv.ParseFloat(text, 64); err == nil {
		return n
	}
	if day, err := time.Parse(time.DateOnly, text); err == nil {
		return day
	}
	return text
}

// saveSheets writes a workbook of sheets, each a title above the rows.
func saveSheets(t *testing.T, path string, sheets map[string][][]string) {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for _, name := range slices.Sorted(maps.Keys(sheets)) {
		if _, err := f.NewSheet(name); err != nil {
			t.Fatal(err)
		}
		if err := f.SetCellValue(name, "A1", "Our "+name); err != nil {
			t.Fatal(err)
		}
		for i, row := range sheets[name] {
			for j, text := range row {
				at, err := excelize.CoordinatesToCellName(j+1, i+3)
				if err != nil {
					t.Fatal(err)
				}
				if text != "" {
					err = f.SetCellValue(name, at, typed(text))
				}
				if err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	if err := f.DeleteSheet("Sheet1"); err != nil {
		t.Fatal(err)
	}
	if err := f.SaveAs(path); err != nil {
		t.Fatal(err)
	}
}

// settingRows gives the settings of a workshop.toml as rows of a sheet.
func settingRows(t *testing.T, text string) [][]string {
	t.Helper()
	rows := [][]string{{"setting", "value"}}
	section := ""
	for line := range strings.Lines(text) {
		line, _, _ = strings.Cut(strings.TrimSpace(line), "#")
		if name, ok := strings.CutPrefix(line, "["); ok {
			section = strings.TrimSuffix(strings.TrimSpace(name), "]") + "."
		}
		if key, value, ok := strings.Cut(line, "="); ok {
			rows = append(rows, []string{section + strings.TrimSpace(key), strings.Trim(strings.TrimSpace(value), `"`)})
		}
	}
	return rows
}

// TestWorkbooksGiveTheSameWorkshop reads the demo out of workbooks: one a table, one for all beside the settings, one by itself.
func TestWorkbooksGiveTheSameWorkshop(t *testing.T) {
	want := readFiles(t, Demo())
	settings, err := fs.ReadFile(Demo(), settingsFile)
	if err != nil {
		t.Fatal(err)
	}
	sheets := map[string][][]string{}
	for _, name := range tablesOf(t, Demo()) {
		sheets[strings.TrimSuffix(name, ".csv")] = rowsOf(t, Demo(), name)
	}
	same := func(t *testing.T, path string) {
		t.Helper()
		got, err := Read(path)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got, cmpopts.IgnoreTypes(model.Place{})); diff != "" {
			t.Errorf("want, got:\n%s", diff)
		}
	}
	t.Run("one a table", func(t *testing.T) {
		dir := t.TempDir()
		write(t, filepath.Join(dir, settingsFile), string(settings))
		for name, rows := range sheets {
			saveSheets(t, filepath.Join(dir, strings.ToUpper(name[:1])+name[1:]+".xlsx"), map[string][][]string{"whatever": rows})
		}
		same(t, dir)
	})
	t.Run("one for all", func(t *testing.T) {
		dir := t.TempDir()
		write(t, filepath.Join(dir, settingsFile), string(settings))
		saveSheets(t, filepath.Join(dir, workbookName), sheets)
		same(t, dir)
	})
	t.Run("one for some, and files", func(t *testing.T) {
		dir := t.TempDir()
		write(t, filepath.Join(dir, settingsFile), string(settings))
		some := maps.Clone(sheets)
		delete(some, "rack")
		saveSheets(t, filepath.Join(dir, workbookName), some)
		var tsv strings.Builder
		for _, row := range sheets["rack"] {
			fmt.Fprintln(&tsv, strings.Join(row, "\t"))
		}
		write(t, filepath.Join(dir, "rack.tsv"), tsv.String())
		same(t, dir)
		write(t, filepath.Join(dir, "rack.csv"), tsv.String())
		wantErrors(t, dir, "rack.csv: this table is also in "+dir+"/rack.tsv; take one of them away")
	})
	t.Run("by itself", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "week 11.xlsx")
		all := maps.Clone(sheets)
		all[model.SettingsSheet] = settingRows(t, string(settings))
		saveSheets(t, path, all)
		same(t, path)
		all[model.SettingsSheet] = append(all[model.SettingsSheet][:4], []string{"machine.shafe", "2 mm"}, []string{"units", "in"})
		saveSheets(t, path, all)
		_, err := Read(path)
		for _, want := range []string{
			", sheet workshop, cell A7, setting setting: there is no setting “machine.shafe”; did you mean machine.shave?",
			", sheet workshop, cell B8, setting units: the setting is given twice; take one away",
			", sheet workshop, setting machine.type: this is missing; add it",
		} {
			if err == nil || !strings.Contains(err.Error(), path+want) {
				t.Errorf("got %v, want %s", err, want)
			}
		}
		delete(all, model.SettingsSheet)
		saveSheets(t, path, all)
		wantErrors(t, path, ": the workbook has no sheet workshop with the settings; give it one with the columns setting and value, or put it into a folder beside workshop.toml as workshop.xlsx")
	})
}

// wantErrors demands the errors of reading a path, without it.
func wantErrors(t *testing.T, path string, want ...string) {
	t.Helper()
	_, err := Read(path)
	if err == nil {
		t.Fatal("no error")
	}
	var got []string
	for line := range strings.Lines(err.Error()) {
		got = append(got, strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(line), path), string(os.PathSeparator)))
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("want, got:\n%s", diff)
	}
}

// TestHabits reads a week in which days and numbers are written as in Germany: as it is meant where the workshop says so, and not at
// all where it does not.
func TestHabits(t *testing.T) {
	files := maps.Clone(small)
	files[offersFile] = "supplier;profile;stick_length;price\nNorth;oak;3.000;1.017,40\nNorth;ash;10 ft;20\n"
	files[rackFile] = "stick;profile;length;value;offcut\nR1;oak;2.290;;yes\n"
	files[jobsFile] = strings.NewReplacer("2027-03-15", "15.03.2027", "2027-03-16", "03.12.2026", ",", ";").Replace(small[jobsFile])
	dir := placeOf(t, files, "", "", "")
	wantErrors(t, dir,
		"offers.csv:2, column stick_length: “3.000” can be read in two ways, as 3 and as 3000; write 3 or 3000, or, if the first is what you mean by such, set decimal = \"point\" under [tables] in workshop.toml, of a book by \"longpoint settings --set tables.decimal=point\"",
		"rack.csv:2, column length: “2.290” can be read in two ways, as 2.29 and as 2290; write 2.29 or 2290, or, if the first is what you mean by such, set decimal = \"point\" under [tables] in workshop.toml, of a book by \"longpoint settings --set tables.decimal=point\"")
	files[settingsFile] += "[tables]\ndates = \"day.month.year\"\ndecimal = \"comma\"\n"
	w, err := Read(placeOf(t, files, "", "", ""))
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(w.Offers[0].Length, w.Offers[0].Price, w.Rack[0].Length, w.Jobs[0].Due, w.Jobs[1].Due); got != "3000 mm 101740 2290 mm 2027-03-15 2026-12-03" {
		t.Error(got)
	}
	files[settingsFile] += "thousands = \",\"\n"
	wantErrors(t, placeOf(t, files, "", "", ""),
		"workshop.toml:16, setting tables.thousands: the decimal mark and the mark between thousands are the same; correct one of them",
		"offers.csv:2, column stick_length: “3.000” is not a number as this workshop writes them, with a decimal comma; write it so, or change decimal under [tables] in workshop.toml",
		"offers.csv:2, column price: “1.017,40” is not a number as this workshop writes them, with a decimal comma; write it so, or change decimal under [tables] in workshop.toml",
		"rack.csv:2, column length: “2.290” is not a number as this workshop writes them, with a decimal comma; write it so, or change decimal under [tables] in workshop.toml")
}

// TestAStrayNoteIsOneComplaint puts a line that somebody wrote for themselves among the jobs.
func TestAStrayNoteIsOneComplaint(t *testing.T) {
	dir := place(t, jobsFile, "\n1,,B,1", "\nask Maria about the glass\n1,,B,1")
	wantErrors(t, dir, "jobs.csv:3: the row gives no profile; fill it in, take the row out, or start it with a hash and a blank if it is a note")
}
