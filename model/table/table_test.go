package table

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
)

// sticks is a set with a column of every kind.
var sticks = Set{Name: "sticks", Columns: []Column{
	{Name: "stick", Kind: Name, Need: Each},
	{Name: "length", Kind: Length, Need: Each},
	{Name: "note"},
	{Name: "price", Kind: Money},
	{Name: "due", Kind: Date},
	{Name: "number", Kind: Count},
	{Name: "share", Kind: Share},
	{Name: "angle", Kind: Angle},
	{Name: "damaged", Kind: Spans},
}}

// rowsOf reads a file's table of sticks: the cells of each row behind its line, and the errors.
func rowsOf(t *testing.T, data []byte) (rows []string, errs []string) {
	t.Helper()
	file, bad := FromBytes("file", data, Ordinary())
	if bad != nil {
		return nil, []string{bad.Error()}
	}
	var p Problems
	found, ok := file.Table(sticks, &p)
	if !ok && p.None() {
		t.Fatal("a table is not read and nobody says why")
	}
	for r := range found.Rows() {
		line := fmt.Sprint(r.Line())
		for _, c := range sticks.Columns {
			if v := r.Cell(c.Name); !v.Blank() {
				line += " " + c.Name + "=" + v.Text
			}
		}
		rows = append(rows, line)
	}
	if err := p.Errors(); err != nil {
		errs = strings.Split(err.Error(), "\n")
	}
	return rows, errs
}

// expect demands rows and errors. Of an error it demands a part.
func expect(t *testing.T, data []byte, rows []string, errs ...string) {
	t.Helper()
	gotRows, gotErrs := rowsOf(t, data)
	if diff := cmp.Diff(rows, gotRows); diff != "" {
		t.Errorf("rows: %s", diff)
	}
	for i := range max(len(errs), len(gotErrs)) {
		switch {
		case i >= len(errs):
			t.Errorf("also %s", gotErrs[i])
		case i >= len(gotErrs) || !strings.Contains(gotErrs[i], errs[i]):
			t.Errorf("error %d is not %q: %q", i, errs[i], gotErrs)
		}
	}
}

// TestCSV takes texts apart.
func TestCSV(t *testing.T) {
	const head = "stick,length,note\n"
	for _, row := range []struct {
		name, text string
		rows       []string
		errs       []string
	}{
		{"plain", head + "R1,300,x\n", []string{"2 stick=R1 length=300 note=x"}, nil},
		{"semicolons", "stick;length;note\nR1;12,5;a, b\n", []string{"2 stick=R1 length=12,5 note=a, b"}, nil},
		{"tabs", "stick\tlength\tnote\nR1\t12,5\ta; b\n", []string{"2 stick=R1 length=12,5 note=a; b"}, nil},
		{"no line end", head + "R1,300", []string{"2 stick=R1 length=300"}, nil},
		{"separator at the end", head + "R1,300,,\n", []string{"2 stick=R1 length=300"}, nil},
		{"an inch mark", head + "R1,16 1/2\",5' 4\"\n", []string{`2 stick=R1 length=16 1/2" note=5' 4"`}, nil},
		{"an inch mark in quotation marks", head + `R1,"16 1/2""",x` + "\n", []string{`2 stick=R1 length=16 1/2" note=x`}, nil},
		{"a quoted cell behind a blank", head + "R1, \"300\", \"a, b\"\n", []string{"2 stick=R1 length=300 note=a, b"}, nil},
		{"a quoted cell of several lines", head + "R1,300,\"a\n\n# b\nc\"\nR2,400,\n", []string{"2 stick=R1 length=300 note=a\n\n# b\nc", "6 stick=R2 length=400"}, nil},
		{"notes and blank lines", "# one, \"\n\n" + head + "\n# two, \"\n#\n , ,\nR1,300,x\n#2,400,\n", []string{"8 stick=R1 length=300 note=x", "9 stick=#2 length=400"}, nil},
		{"a note in quotation marks", head + "\"# say \"\"so\"\", then\nmore\",,\nR1,300,\n", []string{"4 stick=R1 length=300"}, nil},
		{"a title above the heading", "Rack in March;;\nas of Monday;\n\nstick;length;note\nR1;300;x\n", []string{"5 stick=R1 length=300 note=x"}, nil},
		{"an apostrophe before a formula", head + "R1,300,'=1+1\n", []string{"2 stick=R1 length=300 note==1+1"}, nil},
		{"an apostrophe before a name", head + "R1,300,'t Hart\n", []string{"2 stick=R1 length=300 note='t Hart"}, nil},

		{"never closed", head + "R1,300,x\nR2,\"400,\nR3,500,x\n", []string{"2 stick=R1 length=300 note=x"}, []string{"file:3: a cell starts here with a quotation mark and does not end with one"}},
		{"closed in the middle", head + "R1,\"300\"x,\n", nil, []string{"file:2: a cell starts here with a quotation mark"}},
		{"a cell under no heading", head + "R1,300,x,y\nR2,400,\n", []string{"3 stick=R2 length=400"}, []string{"file:2: the row has 4 cells, the heading 3; put quotation marks round a cell that holds a comma"}},
		{"a stray note", head + "ask Maria,,\nR1,300,\n", []string{"2 stick=ask Maria", "3 stick=R1 length=300"}, nil},
		{"a stray note in the last column", head + ",,ask Maria\nR1,300,\n", []string{"3 stick=R1 length=300"}, []string{"file:2: the row gives no stick and no length; fill them in, take the row out, or start it with a hash and a blank if it is a note"}},
		{"a wide row", head + "R1,300" + strings.Repeat(",", maxCells) + "\n", nil, []string{"file:2: the row has more than 20000 cells; see that each row of the table ends its line"}},
		{"a heading that is none", "stick,length" + strings.Repeat(",x", maxHeading) + "\n", nil, []string{"file:1: the heading has 1002 cells"}},
		{"no heading", "# nothing\n,,,\n", nil, []string{"file: the table has no heading"}},
		{"columns that are not known", "colour,size\nred,3\n", nil, []string{"there is no column “colour”, “size”; the columns of this table are stick, length, note, price, due, number, share, angle, damaged, of which stick, length must be there; say in workshop.toml"}},
		{"a slip in a column", "stick,lenght\nR1,300\n", []string{"2 stick=R1 length=300"}, []string{"file:1, column lenght: there is no column “lenght”; did you mean length?"}},
		{"a column twice", "stick,length,Length\nR1,300,\n", []string{"2 stick=R1 length=300"}, []string{"the column stands in the heading twice"}},
	} {
		t.Run(row.name, func(t *testing.T) { expect(t, []byte(row.text), row.rows, row.errs...) })
	}
}

// TestRowsAreBounded reads one row more than is allowed.
func TestRowsAreBounded(t *testing.T) {
	data := []byte("stick,length\n" + strings.Repeat("R,1\n", Ordinary().Rows+1))
	rows, errs := rowsOf(t, data)
	want := fmt.Sprintf("file:%d: the table has more than 250000 rows", Ordinary().Rows+2)
	if len(rows) != Ordinary().Rows || len(errs) != 1 || !strings.Contains(errs[0], want) {
		t.Errorf("%d rows, %q", len(rows), errs)
	}
}

// TestConverter makes quantities of cells.
func TestConverter(t *testing.T) {
	text := "stick,length,price,due,number,share,angle,damaged\n" +
		"R1,1.200,\"3.000,50\",03.12.2026,1.200,40 %,\"22,5\",0 to 1.200\n" +
		"# x,0,-3,31.02.2026,x,101,95,here\n"
	file, bad := FromBytes("file", []byte(text), Ordinary())
	if bad != nil {
		t.Fatal(bad)
	}
	var p Problems
	found, _ := file.Table(sticks, &p)
	c := &Converter{Unit: model.Millimetres, Currency: model.Currency{Code: "EUR", Decimals: 2}, Habits: model.Habits{Decimal: ",", Dates: "day.month.year"}, Problems: &p}
	read := func(r Row) string {
		number, _ := c.Count(r.Cell("number"), 0, 5000, 0)
		return fmt.Sprint(c.Name(r.Cell("stick")), c.Size(r.Cell("length")), c.Price(r.Cell("price")), c.Date(r.Cell("due")), number,
			c.Share(r.Cell("share")), c.Angle(r.Cell("angle")), c.Spans(r.Cell("damaged")))
	}
	for r := range found.Rows() {
		if got, want := read(r), "R11200 mm 300050 2026-12-03 1200 {40 true} {22.5° true} [{0 mm 1200 mm}]"; got != want {
			t.Errorf("got  %s\nwant %s", got, want)
		}
	}
	if !p.None() {
		t.Error(p.Errors())
	}
	bads, _ := FromBytes("file", []byte(strings.Replace(text, "# x", "R2", 1)), Ordinary())
	found, _ = bads.Table(sticks, &p)
	for r := range found.Rows() {
		read(r)
	}
	if n := p.Count(); n != 7 {
		t.Errorf("%d errors: %v", n, p.Errors())
	}
}

// FuzzTable reads any bytes. Nothing may panic; a table that is read has its rows in order on lines of the file, and written out by
// another writer it is read as the same rows.
func FuzzTable(f *testing.F) {
	f.Add([]byte("\xff\xfes\x00t\x00i\x00c\x00k\x00"))
	f.Add([]byte("stick;length;note\r\"R\r1\";1\u00a0200,5;x\r# \"\r"))
	f.Add([]byte("a title\n\nstick,length,note\nR1,16 1/2\",'=1\nR2,\"a\n\n# b\",\"\"\"\"\n"))
	f.Add(workbook1(f))
	f.Fuzz(func(t *testing.T, data []byte) {
		file, bad := FromBytes("file", data, Ordinary())
		if bad != nil {
			if last := 1 + bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r")); bad.Where.Line > last {
				t.Fatalf("line %d of %d", bad.Where.Line, last)
			}
			return
		}
		var p Problems
		found, ok := file.Table(sticks, &p)
		if !ok && p.None() {
			t.Fatal("a table is not read and nobody says why")
		}
		rows := [][]string{sticks.Names()}
		before := 0
		for r := range found.Rows() {
			if r.Line() <= before {
				t.Fatalf("a row on line %d behind one on line %d", r.Line(), before)
			}
			before = r.Line()
			var cells []string
			for _, c := range sticks.Columns {
				cells = append(cells, guarded(r.Cell(c.Name).Text))
			}
			rows = append(rows, cells)
		}
		if !p.None() || slices.ContainsFunc(rows, func(cells []string) bool { return IsNote(cells[0]) }) {
			return // a note where the first column comes first
		}
		var b strings.Builder
		if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		again, bad := FromBytes("file", []byte(b.String()), Ordinary())
		if bad != nil {
			t.Fatal(bad)
		}
		found, _ = again.Table(sticks, &p)
		n := 0
		for r := range found.Rows() {
			n++
			for i, c := range sticks.Columns {
				if got := guarded(r.Cell(c.Name).Text); got != rows[n][i] {
					t.Fatalf("row %d, %s: %q, want %q", n, c.Name, got, rows[n][i])
				}
			}
		}
		if n != len(rows)-1 || !p.None() {
			t.Fatalf("%d rows, want %d: %v", n, len(rows)-1, p.Errors())
		}
	})
}
