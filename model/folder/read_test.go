package folder

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"longpoint/model"
	"longpoint/model/table"
)

// small is a workshop with one of everything; the tests of bad input spoil one place of it.
var small = map[string]string{
	settingsFile: `name = "small"
units = "mm"
currency = "EUR"

[machine]
type = "guillotine"
overrun = 1
shave = "2 mm"

[defaults]
allowance = 3
rack_share = "50 %"
`,
	profilesFile: `profile,width,rebate,keep
oak,32,7,300
ash,1 1/2 in,1/4 in,12 in
`,
	offersFile: `supplier,profile,stick_length,price
North,oak,3000,17.40
North,ash,10 ft,20
`,
	rackFile: `stick,profile,length,value,offcut
R1,oak,1200,,yes
`,
	jobsFile: `job,due,frame,ring,profile,quantity,sides,given_by,width,height,across,customer
1,2027-03-15,A,,oak,2,,,300,400,,choir
1,,B,1,oak,,6,sight,,,250,
1,,B,2,ash,,,,,,,
2,2027-03-16,A,,ash,,,,8 in,10 in,,club
`,
}

// place writes a small workshop, changed in one file, and gives its folder.
func place(t *testing.T, file, old, new string) (dir string) {
	t.Helper()
	return placeOf(t, small, file, old, new)
}

// placeOf does the same with another workshop.
func placeOf(t *testing.T, files map[string]string, file, old, new string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	for name, text := range files {
		if name == file {
			if !strings.Contains(text, old) {
				t.Fatalf("%s has no %q", file, old)
			}
			text = strings.Replace(text, old, new, 1)
		}
		write(t, filepath.Join(dir, name), text)
	}
	return dir
}

func TestReadSmall(t *testing.T) {
	dir := place(t, "", "", "")
	got, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	const mm = model.Length(1_000_000)
	const inch = model.Length(25_400_000)
	at := func(file string, line int) model.Place {
		return model.Place{File: filepath.Join(dir, file), Line: line}
	}
	day := func(text string) model.Date {
		d, err := model.ParseDate(text)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	want := &model.Workshop{
		Name: "small", Unit: model.Millimetres, Currency: model.Currency{Code: "EUR", Decimals: 2},
		Machine:  model.Machine{Type: model.Guillotine, Overrun: mm, Shave: 2 * mm, Unit: model.Millimetres},
		Defaults: model.Defaults{Allowance: 3 * mm, RackShare: 50},
		Profiles: []model.Profile{
			{Name: "oak", Width: 32 * mm, Rebate: 7 * mm, Keep: 300 * mm, Where: at(profilesFile, 2)},
			{Name: "ash", Width: inch * 3 / 2, Rebate: inch / 4, Keep: 12 * inch, Where: at(profilesFile, 3)},
		},
		Offers: []model.Offer{
			{Supplier: "North", Profile: "oak", Length: 3000 * mm, Bundle: 1, From: 1, Price: 1740, Where: at(offersFile, 2)},
			{Supplier: "North", Profile: "ash", Length: 120 * inch, Bundle: 1, From: 1, Price: 2000, Where: at(offersFile, 3)},
		},
		Rack: []model.Stick{{ID: "R1", Profile: "oak", Length: 1200 * mm, Offcut: true, Where: at(rackFile, 2)}},
		Jobs: []model.Job{
			{ID: "1", Customer: "choir", Due: day("2027-03-15"), Where: at(jobsFile, 2), Frames: []model.JobFrame{
				{ID: "A", Quantity: 2, Where: at(jobsFile, 2), Rings: []model.Ring{{Profile: "oak", Allowance: 3 * mm, Where: at(jobsFile, 2),
					Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: 300 * mm, Height: 400 * mm}}}},
				{ID: "B", Quantity: 1, Where: at(jobsFile, 3), Rings: []model.Ring{
					{Profile: "oak", Allowance: 3 * mm, Where: at(jobsFile, 3),
						Size: model.Size{Shape: model.Shape{Sides: 6}, By: model.BySight, Width: 250 * mm, Across: true}},
					{Profile: "ash", Allowance: 3 * mm, Where: at(jobsFile, 4)}}},
			}},
			{ID: "2", Customer: "club", Due: day("2027-03-16"), Where: at(jobsFile, 5), Frames: []model.JobFrame{
				{ID: "A", Quantity: 1, Where: at(jobsFile, 5), Rings: []model.Ring{{Profile: "ash", Allowance: 3 * mm, Where: at(jobsFile, 5),
					Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: 8 * inch, Height: 10 * inch}}}},
			}},
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("want, got:\n%s", diff)
	}
}

// The dialects that tables are saved in: each has to give the workshop that the demo's own files give.
var (
	separators = map[string]rune{"comma": ',', "semicolon": ';', "tab": '\t'}
	lineEnds   = map[string]string{"LF": "\n", "CRLF": "\r\n", "CR": "\r"}
	encodings  = map[string]func(t *testing.T, text string) []byte{
		"UTF-8":           func(_ *testing.T, text string) []byte { return []byte(text) },
		"UTF-8 with mark": func(_ *testing.T, text string) []byte { return []byte("\ufeff" + text) },
		"UTF-16 little":   encode(unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes),
		"UTF-16 big":      encode(unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewEncoder().Bytes),
		"Windows-1252":    encode(charmap.Windows1252.NewEncoder().Bytes),
	}
	shapes = map[string]func(rows [][]string) [][]string{
		"as it is":       func(rows [][]string) [][]string { return rows },
		"decimal comma":  eachCell(func(cell string) string { return decimalPoint.ReplaceAllString(cell, "$1,$2") }),
		"grouped digits": eachCell(func(cell string) string { return thousands.ReplaceAllString(cell, "$1\u00a0$2") }),
		"blanks":         eachCell(func(cell string) string { return "  " + cell + " \u00a0" }),
		"columns turned round": func(rows [][]string) [][]string {
			for _, row := range rows {
				slices.Reverse(row)
			}
			return rows
		},
		"headings shouted": func(rows [][]string) [][]string {
			for i, name := range rows[0] {
				rows[0][i] = strings.ToUpper(strings.ReplaceAll(name, "_", " "))
			}
			return rows
		},
		"blank lines and columns": func(rows [][]string) (out [][]string) {
			for _, row := range rows {
				row = append(row, "", "")
				out = append(out, row, make([]string, len(row)))
			}
			return out
		},
		"comments": func(rows [][]string) (out [][]string) {
			for _, row := range rows {
				comment := make([]string, len(row))
				comment[0] = "# say \"this\",\nthat; and\tmore"
				out = append(out, comment, row)
			}
			return out
		},
	}
	decimalPoint = regexp.MustCompile(`^(\d+)\.(\d+)$`)
	thousands    = regexp.MustCompile(`^(\d)(\d{3})$`)
)

func encode(with func([]byte) ([]byte, error)) func(*testing.T, string) []byte {
	return func(t *testing.T, text string) []byte {
		t.Helper()
		data, err := with([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
}

func eachCell(change func(string) string) func(rows [][]string) [][]string {
	return func(rows [][]string) [][]string {
		for _, row := range rows[1:] {
			for i, cell := range row {
				if rows[0][i] != "job" { // a name, though it looks like a number
					row[i] = change(cell)
				}
			}
		}
		return rows
	}
}

func TestEveryDialectGivesTheSameWorkshop(t *testing.T) {
	for name, files := range demos() {
		t.Run(name, func(t *testing.T) { everyDialect(t, files) })
	}
}

func everyDialect(t *testing.T, files fs.FS) {
	want := readFiles(t, files)
	settings, err := fs.ReadFile(files, settingsFile)
	if err != nil {
		t.Fatal(err)
	}
	try := func(shape, separator, lineEnd, encoding string) {
		t.Run(strings.Join([]string{shape, separator, lineEnd, encoding}, "/"), func(t *testing.T) {
			dir := t.TempDir()
			save := func(name, text string) {
				text = strings.ReplaceAll(text, "\n", lineEnds[lineEnd])
				write(t, filepath.Join(dir, name), string(encodings[encoding](t, text)))
			}
			text := string(settings)
			if shape == "decimal comma" {
				text = strings.Replace(text, `decimal = "point"`, `decimal = "comma"`, 1)
			}
			save(settingsFile, text)
			for _, name := range tablesOf(t, files) {
				var b bytes.Buffer
				w := csv.NewWriter(&b)
				w.Comma = separators[separator]
				if err := w.WriteAll(shapes[shape](rowsOf(t, files, name))); err != nil {
					t.Fatal(err)
				}
				save(name, b.String())
			}
			got, err := Read(dir)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, got, cmpopts.IgnoreTypes(model.Place{}, model.Habits{})); diff != "" {
				t.Errorf("want, got:\n%s", diff)
			}
		})
	}
	for separator := range separators {
		for shape := range shapes {
			try(shape, separator, "LF", "UTF-8")
		}
		for lineEnd := range lineEnds {
			for encoding := range encodings {
				try("decimal comma", separator, lineEnd, encoding)
			}
		}
	}
}

// tablesOf gives the names of a workshop's tables, of which there are four or five.
func tablesOf(t *testing.T, files fs.FS) []string {
	t.Helper()
	names, err := fs.Glob(files, "*.csv")
	if err != nil || len(names) < 4 {
		t.Fatalf("tables %v, %v", names, err)
	}
	return names
}

// rowsOf reads a table with another reader than the one under test.
func rowsOf(t *testing.T, files fs.FS, name string) [][]string {
	t.Helper()
	file, err := files.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func TestInchMarksNeedNoQuotes(t *testing.T) {
	for _, size := range []string{`16 1/2"`, `"16 1/2"""`, `16½"`, `16.5 in`, `1' 4 1/2"`, `"1' 4 1/2"""`, ` 16 1/2″`} {
		w, err := Read(place(t, jobsFile, "8 in", size))
		if err != nil {
			t.Errorf("%s: %v", size, err)
			continue
		}
		if got := w.Jobs[1].Frames[0].Rings[0].Size.Width.In(model.Inches); got != `16 1/2"` {
			t.Errorf("%s is read as %s", size, got)
		}
	}
}

func TestLinesAreTrueBehindCellsOfSeveralLines(t *testing.T) {
	_, err := Read(place(t, rackFile, "R1,oak,1200,,yes\n",
		"# one\n\n\"R\n1\",oak,1200,,yes\n# five, \"\n\nR2,oak,x,,yes\n"))
	if err == nil || !strings.Contains(err.Error(), rackFile+":8, column length: ") {
		t.Errorf("got %v, want line 8", err)
	}
}

// TestWindows1252IsNotLatin1 reads two of the bytes in which they differ.
func TestWindows1252IsNotLatin1(t *testing.T) {
	w, err := Read(place(t, jobsFile, "choir", "choir\x92s \x80"))
	if err != nil {
		t.Fatal(err)
	}
	if got := w.Jobs[0].Customer; got != "choir’s €" {
		t.Errorf("customer %s", got)
	}
}

func TestAHashWithoutABlankIsData(t *testing.T) {
	w, err := Read(place(t, jobsFile, "\n2,", "\n#2,"))
	if err != nil {
		t.Fatal(err)
	}
	if got := w.Jobs[1].ID; got != "#2" {
		t.Errorf("job %s", got)
	}
}

func TestAFailedReadWritesNothing(t *testing.T) {
	dir := place(t, jobsFile, "8 in", "eight")
	before := snapshot(t, dir)
	if _, err := Read(dir); err == nil {
		t.Fatal("no error")
	}
	if after := snapshot(t, dir); after != before {
		t.Errorf("before:\n%s\nafter:\n%s", before, after)
	}
}

// TestAlikeErrorsAreOne: a word that stands in many rows and is not known is told once, with the first row and how many more there are.
func TestAlikeErrorsAreOne(t *testing.T) {
	_, err := Read(place(t, rackFile, "R1,oak,1200,,yes\n", strings.Repeat("R1,oak,x,,yes\n", 3)+"R2,oak,y,,yes\n"))
	var found model.Errors
	if !errors.As(err, &found) {
		t.Fatal(err)
	}
	alike := 0
	for _, e := range found {
		if strings.Contains(e.What, "“x”") {
			alike++
			if !strings.HasSuffix(e.Do, " (and so in 2 more rows)") {
				t.Error(e)
			}
		}
	}
	if alike != 1 {
		t.Errorf("%d errors for one word: %v", alike, err)
	}
}

func TestManyErrorsAreCounted(t *testing.T) {
	const bad = 1234
	var rows strings.Builder
	for n := range bad {
		fmt.Fprintf(&rows, "R1,oak,x%d,,yes\n", n)
	}
	_, err := Read(place(t, rackFile, "R1,oak,1200,,yes\n", rows.String()))
	var found model.Errors
	if !errors.As(err, &found) || len(found) != table.MaxErrors+1 {
		t.Fatalf("%d errors", len(found))
	}
	want := fmt.Sprintf("%d more errors are not shown; put these right first", bad-table.MaxErrors)
	if got := found[table.MaxErrors].Error(); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestErrorsOfAllFilesComeInOneGo(t *testing.T) {
	dir := t.TempDir()
	for name, text := range small {
		write(t, filepath.Join(dir, name), strings.NewReplacer("50 %", "500 %", "32,7", "32,32", "17.40", "dear", "R1,oak", "R1,elm", "300,400", "0,400").Replace(text))
	}
	_, err := Read(dir)
	var got []string
	for _, e := range err.(model.Errors) {
		if e.Kind != model.BadInput {
			t.Errorf("kind %d of %v", e.Kind, e)
		}
		got = append(got, strings.TrimPrefix(e.Where.String(), dir+string(os.PathSeparator)))
	}
	want := []string{
		"workshop.toml:12, setting defaults.rack_share",
		"profiles.csv:2, column rebate",
		"offers.csv:2, column price",
		"rack.csv:2, column profile",
		"jobs.csv:2, column width",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("want, got:\n%s", diff)
	}
}
