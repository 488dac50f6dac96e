package table

import (
	"bytes"
	"testing"

	"github.com/xuri/excelize/v2"
)

// TestCells: what a sheet holds comes back as cells, and reads as the same table; of several sheets there is none.
func TestCells(t *testing.T) {
	text := "\njob\tcustomer\n\n7\t\"a\tb\"\n"
	x := excelize.NewFile()
	for at, v := range map[string]any{"A2": "job", "B2": "customer", "A4": 7, "B4": "a\tb"} {
		if err := x.SetCellValue("Sheet1", at, v); err != nil {
			t.Fatal(err)
		}
	}
	var file bytes.Buffer
	if err := x.Write(&file); err != nil {
		t.Fatal(err)
	}
	f, bad := FromBytes("jobs.xlsx", file.Bytes(), Ordinary())
	if bad != nil {
		t.Fatal(bad)
	}
	if got := f.Cells("."); got != text {
		t.Errorf("%q came back as %q", text, got)
	}
	for _, row := range []struct {
		c       cell
		decimal string
		want    string
	}{
		{cell{form: number, text: "12.5"}, ",", "12,5"}, {cell{form: number, text: "12.5"}, ".", "12.5"}, {cell{form: percent, text: "40"}, "", "40 %"},
		{cell{form: faulty, text: "no"}, "", ""}, {cell{form: day, text: "2027-03-01"}, "", "2027-03-01"}, {cell{text: "1.5"}, ",", "1.5"},
	} {
		if got := row.c.shown(row.decimal); got != row.want {
			t.Errorf("%v with %q: %q, not %q", row.c, row.decimal, got, row.want)
		}
	}
	if got := (&File{sheets: append(f.sheets, f.sheets...)}).Cells("."); got != "" {
		t.Errorf("two sheets are %q", got)
	}
	if got := (&File{}).Cells("."); got != "" {
		t.Errorf("no sheet is %q", got)
	}
}
