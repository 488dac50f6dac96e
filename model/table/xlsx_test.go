package table

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
)

// made gives the bytes of a workbook that excelize makes.
func made(t testing.TB, make func(f *excelize.File) error) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	if err := make(f); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// filled puts rows into the first sheet, from a row on.
func filled(f *excelize.File, from int, rows ...[]any) error {
	for i, row := range rows {
		if err := f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", from+i), &row); err != nil {
			return err
		}
	}
	return nil
}

// workbook1 is a workbook with something of everything.
func workbook1(t testing.TB) []byte {
	return made(t, func(f *excelize.File) error {
		return filled(f, 1, []any{"Rack in March"}, []any{}, []any{"Stick", "Length", "Note", "Price"}, []any{"R1", 300.5, "x", 12.4}, []any{"# later"}, []any{"R2", `16 1/2"`, nil, "12,40"})
	})
}

// styled gives a style with a number format.
func styled(t testing.TB, f *excelize.File, format string) int {
	t.Helper()
	s, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestXLSX reads what a spreadsheet makes of cells.
func TestXLSX(t *testing.T) {
	heading := []any{"stick", "length", "note", "price", "due", "number", "share", "angle"}
	for _, row := range []struct {
		name string
		make func(f *excelize.File) error
		rows []string
		errs []string
	}{
		{"title, note and blank rows", func(f *excelize.File) error {
			return filled(f, 1, []any{"Rack in March"}, []any{}, heading, []any{"R1", 300.5, "x", 12.4}, []any{"# later"}, []any{}, []any{"R2", `16 1/2"`, nil, "12,40"})
		}, []string{"4 stick=R1 length=300.5 note=x price=12.4", `7 stick=R2 length=16 1/2" price=12,40`}, nil},
		{"a number as it is meant", func(f *excelize.File) error {
			return filled(f, 1, heading, []any{2701, 0.1 + 0.2, 1e3, 1e-5})
		}, []string{"2 stick=2701 length=0.3 note=1000 price=0.00001"}, nil},
		{"a day", func(f *excelize.File) error {
			return filled(f, 1, heading, []any{"R1", 1, nil, nil, time.Date(2026, 12, 3, 14, 0, 0, 0, time.UTC)})
		}, []string{"2 stick=R1 length=1 due=2026-12-03"}, nil},
		{"a day by a German format, and one by days from 1904", func(f *excelize.File) error {
			if err := filled(f, 1, heading, []any{"R1", 1, nil, nil, 46359}); err != nil {
				return err
			}
			yes := true
			if err := f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}); err != nil {
				return err
			}
			return f.SetCellStyle("Sheet1", "E2", "E2", styled(t, f, `[$-407]dd\.mm\.yyyy`))
		}, []string{"2 stick=R1 length=1 due=2030-12-04"}, nil},
		{"per cent", func(f *excelize.File) error {
			if err := filled(f, 1, heading, []any{"R1", 1, nil, nil, nil, nil, 0.4}); err != nil {
				return err
			}
			return f.SetCellStyle("Sheet1", "G2", "G2", styled(t, f, "0.00%"))
		}, []string{"2 stick=R1 length=1 share=40"}, nil},
		{"noughts in front", func(f *excelize.File) error {
			if err := filled(f, 1, heading, []any{27, 1}); err != nil {
				return err
			}
			return f.SetCellStyle("Sheet1", "A2", "A2", styled(t, f, "00000"))
		}, []string{"2 stick=00027 length=1"}, nil},
		{"true and false", func(f *excelize.File) error {
			return filled(f, 1, heading, []any{"R1", 1, true}, []any{"R2", 1, false})
		},
			[]string{"2 stick=R1 length=1 note=yes", "3 stick=R2 length=1 note=no"}, nil},
		{"words and days in merged cells", func(f *excelize.File) error {
			return errorOf(filled(f, 1, []any{"Rack of the invented shop"}, heading, []any{"R1", 1, "x", nil, "2026-12-03"}, []any{nil, 2}, []any{"R3", 3}),
				f.MergeCell("Sheet1", "A1", "H1"), f.MergeCell("Sheet1", "A3", "A4"), f.MergeCell("Sheet1", "E3", "E5"))
		}, []string{"3 stick=R1 length=1 note=x due=2026-12-03", "4 stick=R1 length=2 due=2026-12-03", "5 stick=R3 length=3 due=2026-12-03"}, nil},
		{"columns without a heading", func(f *excelize.File) error {
			return filled(f, 1, []any{nil, "stick", nil, "length"}, []any{nil, "R1", nil, 5})
		}, []string{"2 stick=R1 length=5"}, nil},

		{"numbers in merged cells", func(f *excelize.File) error {
			return errorOf(filled(f, 1, heading, []any{"R1", 300}, []any{"R2"}), f.MergeCell("Sheet1", "B2", "B3"))
		}, nil, []string{"file, sheet Sheet1, row 2: the cells B2:B3 are merged", "row 3: the cells B2:B3 are merged"}},
		{"cells merged across columns", func(f *excelize.File) error {
			return errorOf(filled(f, 1, heading, []any{"R1", 300, "x"}), f.MergeCell("Sheet1", "C2", "D2"))
		}, nil, []string{"file, sheet Sheet1, row 2: the cells C2:D2 are merged"}},
		{"a size that became a day", func(f *excelize.File) error {
			return filled(f, 1, heading, []any{"R1", time.Date(2026, 1, 2, 0, 0, 0, 0, time.UTC)})
		}, []string{"2 stick=R1"}, []string{"file, sheet Sheet1, cell B2, column length: the spreadsheet has made the day 2026-01-02 of what was typed here"}},
		{"a name that became a day", func(f *excelize.File) error {
			return filled(f, 1, heading, []any{time.Date(2026, 1, 2, 0, 0, 0, 0, time.UTC), 300})
		}, []string{"2 length=300"}, []string{"cell A2, column stick: the spreadsheet has made the day"}},
		{"a number where a day should be", func(f *excelize.File) error { return filled(f, 1, heading, []any{"R1", 1, nil, nil, 46359}) },
			[]string{"2 stick=R1 length=1"}, []string{"cell E2, column due: 46359 is a number or a word where a day should be; give the cell the format of a date"}},
		{"a time of day", func(f *excelize.File) error {
			return errorOf(filled(f, 1, heading, []any{"R1", 0.5}), f.SetCellStyle("Sheet1", "B2", "B2", styled(t, f, "hh:mm")))
		}, []string{"2 stick=R1"}, []string{"cell B2, column length: the cell holds a time of day"}},
		{"a length of per cent", func(f *excelize.File) error {
			return errorOf(filled(f, 1, heading, []any{"R1", 0.5}), f.SetCellStyle("Sheet1", "B2", "B2", styled(t, f, "0%")))
		}, []string{"2 stick=R1"}, []string{"cell B2, column length: the cell holds 50 per cent"}},
		{"a formula without a value", func(f *excelize.File) error {
			return errorOf(filled(f, 1, heading, []any{"R1"}), f.SetCellFormula("Sheet1", "B2", "1+1"))
		}, []string{"2 stick=R1"}, []string{"cell B2, column length: the formula in this cell has no value saved with it"}},
		{"hidden rows", func(f *excelize.File) error {
			return errorOf(filled(f, 1, heading, []any{"R1", 1}, []any{"R2", 2}, []any{"R3", 3}), f.SetRowVisible("Sheet1", 3, false), f.SetRowVisible("Sheet1", 4, false))
		}, []string{"2 stick=R1 length=1", "3 stick=R2 length=2", "4 stick=R3 length=3"}, []string{"file, sheet Sheet1, row 3: this row and 1 more are hidden; show them, or take them out"}},
		{"a cell far to the right", func(f *excelize.File) error {
			return errorOf(filled(f, 1, heading, []any{"R1", 1}), f.SetCellValue("Sheet1", "XFD2", "look here"))
		}, nil, []string{"cell XFD2: the row has 16384 cells, the heading 8; give the cell a heading, or take it out"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			data := made(t, row.make)
			expect(t, data, row.rows, row.errs...)
		})
	}
}

func errorOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// TestSheets finds the sheet that is meant.
func TestSheets(t *testing.T) {
	heading := []any{"stick", "length"}
	with := func(names ...string) func(f *excelize.File) error {
		return func(f *excelize.File) error {
			for i, name := range names {
				name, hidden := strings.CutSuffix(name, " hidden")
				rows := [][]any{heading, {name, 300}}
				if name == "calculation" {
					rows = [][]any{{"sum", 5}}
				}
				if _, err := f.NewSheet(name); err != nil {
					return err
				}
				for n, r := range rows {
					if err := f.SetSheetRow(name, fmt.Sprintf("A%d", n+1), &r); err != nil {
						return err
					}
				}
				if i == 0 {
					if err := f.DeleteSheet("Sheet1"); err != nil {
						return err
					}
				}
				if hidden {
					if err := f.SetSheetVisible(name, false); err != nil {
						return err
					}
				}
			}
			return nil
		}
	}
	for _, row := range []struct {
		name   string
		sheets []string
		rows   []string
		errs   []string
	}{
		{"by its name", []string{"week 11", "Sticks", "week 12"}, []string{"2 stick=Sticks length=300"}, nil},
		{"by its heading", []string{"calculation", "week 11"}, []string{"2 stick=week 11 length=300"}, nil},
		{"hidden ones are no sheets", []string{"week 11", "week 10 hidden"}, []string{"2 stick=week 11 length=300"}, nil},
		{"two that may be meant", []string{"week 11", "week 12"}, nil, []string{"file: 2 sheets look like sticks: week 11, week 12; call the one that is meant sticks"}},
		{"none", []string{"calculation", "calculation"}, nil, []string{"there is no column “sum”"}},
		{"hidden by its name", []string{"week 11", "sticks hidden"}, nil, []string{"file: the sheet sticks is hidden; show it, or take it out"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			rows, errs := rowsOf(t, made(t, with(row.sheets...)))
			if fmt.Sprint(rows) != fmt.Sprint(row.rows) || len(errs) < len(row.errs) || len(row.errs) == 0 && len(errs) > 0 {
				t.Fatalf("rows %q, errors %q", rows, errs)
			}
			for i, want := range row.errs {
				if !strings.Contains(errs[i], want) {
					t.Errorf("error %q, want %q", errs[i], want)
				}
			}
		})
	}
}

// rewritten gives a workbook with one part in place of another.
func rewritten(t testing.TB, data []byte, part string, write func(z *zip.Writer, old *zip.File) error) []byte {
	t.Helper()
	from, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, f := range from.File {
		if f.Name == part {
			err = write(z, f)
		} else {
			err = z.Copy(f)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// replaced gives a workbook in one part of which text stands in place of another.
func replaced(t testing.TB, data []byte, part, old, new string) []byte {
	t.Helper()
	return rewritten(t, data, part, func(z *zip.Writer, f *zip.File) error {
		r, err := f.Open()
		if err != nil {
			return err
		}
		text, err := io.ReadAll(r)
		if err != nil {
			return err
		}
		if !strings.Contains(string(text), old) {
			t.Fatalf("%s has no %q: %s", part, old, text)
		}
		w, err := z.Create(part)
		if err != nil {
			return err
		}
		_, err = w.Write([]byte(strings.Replace(string(text), old, new, 1)))
		return err
	})
}

const sheet1 = "xl/worksheets/sheet1.xml"

// TestXLSXCells reads cells as other programs write them.
func TestXLSXCells(t *testing.T) {
	plain := made(t, func(f *excelize.File) error {
		return filled(f, 1, []any{"stick", "length", "note"}, []any{"R1", 300, 7})
	})
	const old = `<c r="C2"><v>7</v></c>`
	for _, row := range []struct{ name, cell, want string }{
		{"a text of its own", `<c r="C2" t="inlineStr"><is><r><t>two </t></r><r><t>parts</t></r></is></c>`, "two parts"},
		{"the text of a formula", `<c r="C2" t="str"><f>A1&amp;"x"</f><v>sum &amp; more</v></c>`, "sum & more"},
		{"the number of a formula", `<c r="C2"><f>3+4</f><v>7.5</v></c>`, "7.5"},
		{"a formula whose value is nothing", `<c r="C2" t="str"><f>""</f><v></v></c>`, ""},
		{"an ISO day", `<c r="C2" t="d"><v>2026-12-03T00:00:00</v></c>`, "2026-12-03"},
		{"no address", `<c><v>8</v></c>`, "8"},
		{"a prefix", `<x:c r="C2"><x:v>9</x:v></x:c>`, "9"},
		{"a link", `<c r="C2" t="str"><f>[1]other!A1</f><v>cached</v></c>`, "cached"},
	} {
		t.Run(row.name, func(t *testing.T) {
			want := "2 stick=R1 length=300"
			if row.want != "" {
				want += " note=" + row.want
			}
			expect(t, replaced(t, plain, sheet1, old, row.cell), []string{want})
		})
	}
	for _, row := range []struct{ name, cell, says string }{
		{"an error", `<c r="C2" t="e"><v>#REF!</v></c>`, "cell C2, column note: the cell shows the error #REF!"},
		{"a shared text that is not there", `<c r="C2" t="s"><v>99</v></c>`, "refers to a text that is not in the workbook"},
		{"no number", `<c r="C2"><v>seven</v></c>`, "holds seven, which is no number"},
	} {
		t.Run(row.name, func(t *testing.T) {
			expect(t, replaced(t, plain, sheet1, old, row.cell), []string{"2 stick=R1 length=300"}, row.says)
		})
	}
	t.Run("cells out of order", func(t *testing.T) {
		expect(t, replaced(t, plain, sheet1, old, `<c r="A2"><v>7</v></c>`), nil, "cannot be read any further: its cells are not in order")
	})
	t.Run("rows out of order", func(t *testing.T) {
		expect(t, replaced(t, plain, sheet1, `<row r="2">`, `<row r="1">`), nil, "its rows are not in order")
	})
	t.Run("half a sheet", func(t *testing.T) {
		expect(t, replaced(t, plain, sheet1, old, `<c r="C2`), nil, "cannot be read any further: XML syntax error")
	})
}

// TestNoWorkbook refuses what is no workbook, or too much of one, in one sentence and soon.
func TestNoWorkbook(t *testing.T) {
	plain := workbook1(t)
	zeros := func(says uint64, size int) []byte {
		return rewritten(t, plain, sheet1, func(z *zip.Writer, f *zip.File) error {
			var packed bytes.Buffer
			w, err := flate.NewWriter(&packed, flate.BestSpeed)
			if err != nil {
				return err
			}
			block := make([]byte, 1<<20)
			for range size >> 20 {
				if _, err := w.Write(block); err != nil {
					return err
				}
			}
			if err := w.Close(); err != nil {
				return err
			}
			raw, err := z.CreateRaw(&zip.FileHeader{Name: f.Name, Method: zip.Deflate, UncompressedSize64: says, CompressedSize64: uint64(packed.Len())})
			if err != nil {
				return err
			}
			_, err = raw.Write(packed.Bytes())
			return err
		})
	}
	empty := func(row string, n int) []byte {
		return replaced(t, plain, sheet1, "</sheetData>", strings.Repeat(row, n)+"</sheetData>")
	}
	packed := func(names ...string) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for _, name := range names {
			w, err := z.Create(name)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write([]byte("x")); err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	cfb := append([]byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"), make([]byte, 1000)...)
	locked := append(append([]byte{}, cfb...), []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")...)
	for _, row := range []struct {
		name string
		data []byte
		says string
	}{
		{"a sheet that says it has 2 GB", zeros(2<<30, 1<<20), "unpacks to more than a workshop's tables ever take"},
		{"a sheet that has 300 MB and says so", zeros(300<<20, 300<<20), "unpacks to more"},
		{"a sheet that has 300 MB and says it is small", zeros(1000, 300<<20), "cannot be read any further"},
		{"a million rows with nothing in them", empty(`<row s="1" customFormat="1" ht="15"></row>`, 1_000_000), "more than 500000 rows and cells with nothing in them"},
		{"a million cells with nothing in them", empty(`<row>`+strings.Repeat(`<c s="1"/>`, 100)+`</row>`, 10_000), "more than 500000 rows and cells with nothing in them"},
		{"a text of 2 MB", replaced(t, plain, sheet1, "</sheetData>", `<row><c t="str"><v>`+strings.Repeat("x", 2<<20)+"</v></c></row></sheetData>"), "cannot be read any further"},
		{"an OpenDocument spreadsheet", packed("mimetype", "content.xml"), "this is an OpenDocument spreadsheet, which is not read; save the table as CSV, best as UTF-8, or as XLSX"},
		{"another archive", packed("holiday.jpg"), "cannot be read"},
		{"a locked workbook", locked, "the workbook is locked with a pass word; save a copy without one"},
		{"an old workbook", cfb, "this is a workbook of an old kind, XLS, which is not read"},
		{"half a workbook", plain[:len(plain)/2], "the workbook is damaged"},
		{"a picture", []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"), "this is not text"},
	} {
		t.Run(row.name, func(t *testing.T) {
			start := time.Now()
			_, errs := rowsOf(t, row.data)
			if len(errs) != 1 || !strings.Contains(errs[0], row.says) {
				t.Errorf("%.300q, want %q", errs, row.says)
			}
			if took := time.Since(start); took > 10*time.Second { // 2 s on a machine with nothing else to do
				t.Errorf("it took %s", took)
			}
		})
	}
}
