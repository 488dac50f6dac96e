package table

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"longpoint/model"
)

// rowsWritten are rows of sticks with something of everything.
func rowsWritten(u model.Unit) [][]string {
	length := func(nm model.Length) string { return nm.Bare(u) }
	return [][]string{
		{"R1", length(300 * model.Millimetre), "plain", "12.40", "2027-03-12", "3", "40", "22.5", "0 to 45; 1200 to 1260"},
		{"007", length(123_456_000), "=1+1", "1234.50", "", "", "", "", ""},
		{"3-4", length(16*model.Inch + model.Inch/2), "'=x\nsecond \"line\"; more, and\tmore", "0.05", "2026-12-03", "5000", "100", "45", ""},
		{"-5", length(model.Inch / 64), "+49 40 1234", "", "", "", "", "", ""},
		{"1,200", length(model.MaxLength), "@home", "", "", "", "", "", ""},
	}
}

// TestWrittenIsRead writes tables in every habit, as CSV and as XLSX, and reads the same again.
func TestWrittenIsRead(t *testing.T) {
	for _, h := range []model.Habits{{}, {Decimal: ".", Thousands: ","}, {Decimal: ",", Thousands: ".", Dates: "day.month.year"}, {Decimal: ",", Thousands: " ", Dates: "day/month/year"},
		{Decimal: ".", Thousands: "'", Dates: "month/day/year"}} {
		for _, u := range []model.Unit{model.Millimetres, model.Centimetres, model.Inches} {
			t.Run(fmt.Sprintf("%+v %s", h, u), func(t *testing.T) {
				rows := rowsWritten(u)
				var b bytes.Buffer
				if err := WriteCSV(&b, h, sticks, RowsOf(rows)); err != nil {
					t.Fatal(err)
				}
				same(t, b.Bytes(), rows, h, u)
				book := NewWorkbook(h)
				defer book.Close()
				book.Add(Set{Name: "other", Columns: []Column{{Name: "x"}}}, RowsOf([][]string{{"y"}}))
				book.Add(sticks, RowsOf(rows))
				b.Reset()
				if err := book.Write(&b); err != nil {
					t.Fatal(err)
				}
				same(t, b.Bytes(), rows, h, u)
			})
		}
	}
}

// same demands that a file's sticks are read as these.
func same(t *testing.T, data []byte, rows [][]string, h model.Habits, u model.Unit) {
	t.Helper()
	read := func(data []byte, h model.Habits) (out []string) {
		file, bad := FromBytes("file", data, Ordinary())
		if bad != nil {
			t.Fatal(bad)
		}
		var p Problems
		found, _ := file.Table(sticks, &p)
		c := &Converter{Unit: u, Currency: model.Currency{Code: "EUR", Decimals: 2}, Habits: h, Problems: &p}
		for r := range found.Rows() {
			number, _ := c.Count(r.Cell("number"), 0, 10000, -1)
			out = append(out, fmt.Sprint(c.Name(r.Cell("stick")), "|", c.Size(r.Cell("length")), "|", r.Cell("note").Text, "|", c.Sum(r.Cell("price")), "|", c.Date(r.Cell("due")), "|",
				number, "|", c.Share(r.Cell("share")), "|", c.Angle(r.Cell("angle")), "|", c.Spans(r.Cell("damaged"))))
		}
		if err := p.Errors(); err != nil {
			t.Fatal(err)
		}
		return out
	}
	var plain strings.Builder
	if err := WriteCSV(&plain, model.Habits{Decimal: "."}, sticks, RowsOf(rows)); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(read([]byte(plain.String()), model.Habits{Decimal: "."}), read(data, h)); diff != "" {
		t.Errorf("%s", diff)
	}
}

// TestWrittenForASpreadsheet looks at what a spreadsheet gets: numbers and days as such, formulas as text, the same bytes each time.
func TestWrittenForASpreadsheet(t *testing.T) {
	make := func() []byte {
		book := NewWorkbook(model.Habits{Dates: "day.month.year"})
		defer book.Close()
		book.Add(sticks, RowsOf(rowsWritten(model.Inches)))
		var b bytes.Buffer
		if err := book.Write(&b); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	data := make()
	if !bytes.Equal(data, make()) {
		t.Error("the same table gives other bytes")
	}
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, row := range []struct {
		cell, raw, shown string
		kind             excelize.CellType
	}{
		{"A1", "stick", "stick", excelize.CellTypeInlineString},
		{"A3", "007", "007", excelize.CellTypeInlineString},
		{"C3", "=1+1", "=1+1", excelize.CellTypeInlineString},
		{"B4", "16.5", "16 1/2", excelize.CellTypeUnset},
		{"B5", "0.015625", "0 1/64", excelize.CellTypeUnset},
		{"D3", "1234.5", "1234.50", excelize.CellTypeUnset},
		{"E4", "46359", "03.12.2026", excelize.CellTypeUnset},
		{"F4", "5000", "5000", excelize.CellTypeUnset},
	} {
		raw, err := f.GetCellValue("sticks", row.cell, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		shown, err := f.GetCellValue("sticks", row.cell)
		if err != nil {
			t.Fatal(err)
		}
		kind, err := f.GetCellType("sticks", row.cell)
		if err != nil {
			t.Fatal(err)
		}
		if raw != row.raw || strings.Join(strings.Fields(shown), " ") != row.shown || kind != row.kind {
			t.Errorf("%s holds %q, shown as %q, of kind %d; want %q, %q, %d", row.cell, raw, shown, kind, row.raw, row.shown, row.kind)
		}
		if formula, err := f.GetCellFormula("sticks", row.cell); err != nil || formula != "" {
			t.Errorf("%s has the formula %q, %v", row.cell, formula, err)
		}
	}
	var b bytes.Buffer
	if err := WriteCSV(&b, model.Habits{Decimal: ",", Dates: "day.month.year"}, sticks, RowsOf(rowsWritten(model.Millimetres)[:2])); err != nil {
		t.Fatal(err)
	}
	const want = "stick;length;note;price;due;number;share;angle;damaged\nR1;300;plain;12,40;12.03.2027;3;40;22,5;0 to 45; 1200 to 1260\n007;123,456;'=1+1;1234,50;;;;;\n"
	if got := strings.ReplaceAll(b.String(), `"`, ""); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestTextComesBack writes any text and reads the same.
func TestTextComesBack(t *testing.T) {
	set := Set{Name: "notes", Columns: []Column{{Name: "name", Kind: Name, Need: Each}, {Name: "note"}}}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`['=+\-@#"\t, ;a-c0-9\n]{0,12}`).Draw(t, "text")
		want := strings.TrimSpace(text)
		var b bytes.Buffer
		if err := WriteCSV(&b, model.Habits{}, set, RowsOf([][]string{{"x", want}})); err != nil {
			t.Fatal(err)
		}
		file, bad := FromBytes("file", b.Bytes(), Ordinary())
		if bad != nil {
			t.Fatal(bad)
		}
		var p Problems
		found, _ := file.Table(set, &p)
		for r := range found.Rows() {
			if got := r.Cell("note").Text; got != want {
				t.Fatalf("%q comes back as %q", want, got)
			}
		}
		if err := p.Errors(); err != nil {
			t.Fatal(err)
		}
	})
}
