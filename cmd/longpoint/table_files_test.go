package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/spf13/cobra"
	"github.com/xuri/excelize/v2"
)

// TestTablesOut shows two tables and reads the workbook that is written of them, cell by cell with its kind.
func TestTablesOut(t *testing.T) {
	to := filepath.Join(t.TempDir(), "out.xlsx")
	var stdout, stderr bytes.Buffer
	p := &program{stdout: &stdout, stderr: &stderr, tablesTo: to}
	one := &table{columns: []column{words("profile"), days("due", "day.month.year"), numbers("stick in"), numbers("cost EUR"), numbers("yield %")}}
	one.add(cell("a name that is much too long", 8), "2027-03-12", "98 1/2", "12.40", "94.1")
	one.add("=1+1", "", "8", "-3.00", "none")
	one.foot = []string{"all", "", "", "9.40", ""}
	two := &table{columns: []column{words("job")}}
	two.add("007")
	two.add(fullCut + "goes on")
	page := "A page\n\nTo buy: [all] of it\n" + one.String() + "\nTo buy: [all] of it\n" + two.String()
	if err := p.show(page); err != nil {
		t.Fatal(err)
	}
	if out := stdout.String(); strings.ContainsAny(out, carryFrom+carryTo+fullCut) || !strings.Contains(out, "\na name …") || !strings.Contains(out, "\ngoes on\n") {
		t.Errorf("what is shown:\n%q", out)
	}
	if err := p.writeTables(&cobra.Command{Use: "plan [DIR]"}, nil); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenFile(to)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if diff := cmp.Diff([]string{"To buy all of it", "To buy all of it 2"}, tidy(f.GetSheetList())); diff != "" {
		t.Error(diff)
	}
	sheet := f.GetSheetList()[0]
	for at, want := range map[string]struct {
		raw, shown string
		kind       excelize.CellType
	}{
		"A2": {"a name that is much too long", "a name that is much too long", excelize.CellTypeInlineString},
		"B2": {"46458", "2027-03-12", excelize.CellTypeUnset}, // the days since the end of 1899: a day
		"C2": {"98.5", "98 1/2 ", excelize.CellTypeUnset},
		"D2": {"12.4", "12.40", excelize.CellTypeUnset},
		"D3": {"-3", "-3.00", excelize.CellTypeUnset},
		"E2": {"94.1", "94.1", excelize.CellTypeUnset},
		"E3": {"none", "none", excelize.CellTypeInlineString},
		"A3": {"=1+1", "=1+1", excelize.CellTypeInlineString},
		"D4": {"9.4", "9.40", excelize.CellTypeUnset},
	} {
		raw, err := f.GetCellValue(sheet, at, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		shown, err := f.GetCellValue(sheet, at)
		if err != nil {
			t.Fatal(err)
		}
		kind, err := f.GetCellType(sheet, at)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Join(strings.Fields(shown), " ") != strings.Join(strings.Fields(want.shown), " ") || raw != want.raw || kind != want.kind {
			t.Errorf("%s: %q shown %q of kind %d, want %q, %q, %d", at, raw, shown, kind, want.raw, want.shown, want.kind)
		}
		if formula, err := f.GetCellFormula(sheet, at); err != nil || formula != "" {
			t.Errorf("%s is a formula: %q %v", at, formula, err)
		}
	}
	if rows, err := f.GetRows(f.GetSheetList()[1]); err != nil || len(rows) != 2 {
		t.Errorf("%v %v", rows, err)
	}
}

// tidy makes runs of blanks one.
func tidy(all []string) (out []string) {
	for _, s := range all {
		out = append(out, strings.Join(strings.Fields(s), " "))
	}
	return out
}
