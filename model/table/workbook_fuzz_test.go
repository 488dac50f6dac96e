package table

import (
	"archive/zip"
	"bytes"
	"io"
	"testing"
)

// FuzzWorkbook reads a workbook whose parts are any bytes: a good one with its first sheet, its shared texts, its styles and its list of
// sheets in place of its own. Nothing may panic, and where a table is not read somebody says why.
func FuzzWorkbook(f *testing.F) {
	good := workbook1(f)
	names := []string{"xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/styles.xml", "xl/workbook.xml"}
	parts := make([][]byte, len(names))
	z, err := zip.NewReader(bytes.NewReader(good), int64(len(good)))
	if err != nil {
		f.Fatal(err)
	}
	for i, name := range names {
		if file, err := z.Open(name); err == nil {
			parts[i], _ = io.ReadAll(file)
		}
	}
	if len(parts[0]) == 0 || len(parts[3]) == 0 {
		f.Fatal("the good workbook has other parts")
	}
	f.Add(parts[0], parts[1], parts[2], parts[3])
	f.Add([]byte(`<worksheet><sheetData><row r="2"><c r="B2" t="s"><v>0</v></c><c t="b"><v>1</v></c><c t="e"><v>#N/A</v></c></row></sheetData></worksheet>`),
		[]byte(`<sst><si><r><t>a</t></r><r><t xml:space="preserve"> b</t></r></si></sst>`), parts[2], parts[3])
	f.Fuzz(func(t *testing.T, sheet, texts, styles, list []byte) {
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		for _, file := range z.File {
			data := []byte(nil)
			for i, name := range names {
				if file.Name == name {
					data = [][]byte{sheet, texts, styles, list}[i]
				}
			}
			if data == nil {
				in, err := file.Open()
				if err != nil {
					t.Fatal(err)
				}
				data, _ = io.ReadAll(in)
			}
			part, err := w.Create(file.Name)
			if err != nil {
				t.Fatal(err)
			}
			part.Write(data)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		file, bad := FromBytes("file.xlsx", out.Bytes(), Ordinary())
		if bad != nil {
			if bad.What == "" {
				t.Fatal("it is not read and nobody says why")
			}
			return
		}
		var p Problems
		found, ok := file.Table(sticks, &p)
		if !ok && p.None() {
			t.Fatal("a table is not read and nobody says why")
		}
		before := 0
		for r := range found.Rows() {
			if r.Line() <= before {
				t.Fatalf("a row on line %d behind one on line %d", r.Line(), before)
			}
			before = r.Line()
			for _, c := range sticks.Columns {
				r.Cell(c.Name)
			}
		}
	})
}
