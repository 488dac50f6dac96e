package folder

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"longpoint/model"
)

// theirs are lists of frames as people type them who know nothing of our columns: a title on top, a customer in place of a number, a size in one
// cell, a blank line, a total at the bottom.
var theirs = []struct {
	name   string
	set    model.DateOrder
	rows   [][]string
	likely string // what the question for the headings names
	want   string
}{
	{"German", "day.month.year", [][]string{
		{"Rahmenliste, Woche 49"}, {},
		{"Kunde", "Bild", "Format", "Leiste", "Stück", "fertig bis", "Bemerkung"}, {},
		{"Frau Berg", "Hafen", "40x50 cm", "oak", "1", "3.12.2026", ""},
		{"Frau Berg", "Wald", "30 x 40 cm", "oak", "2", "3.12.2026", "mit Glas"},
		{"Praxis", "Urkunden", "21 x 29,7 cm", "ash", "6", "4.12.2026", ""}, {},
		{"Summe", "", "", "", "9", "", ""},
	}, `--is "Kunde=job" --is "Bild=frame" --is "Format=width" --is "Leiste=profile" --is "Stück=quantity" --is "fertig bis=due" --is "Bemerkung=note"`,
		"Frau Berg 2026-12-03: Hafen oak 1 400 × 500, Wald oak 2 300 × 400; Praxis 2026-12-04: Urkunden ash 6 210 × 297"},
	{"English", "month/day/year", [][]string{
		{"Frames to make"}, {},
		{"Customer", "Picture", "Size (in)", "Moulding", "Qty", "Ready by"},
		{"Mrs Hill", "Harbour", "16x20", "oak", "1", "12/3/2026"},
		{"Clinic", "Certificates", "8 1/2 x 11", "ash", "6", "12/4/2026"},
		{"", "", "", "Total:", "7", ""},
	}, `--is "Picture=frame" --is "Size (in)=width" --is "Moulding=profile" --is "Qty=quantity" --is "Ready by=due" --is "Customer=job"`,
		"Mrs Hill 2026-12-03: Harbour oak 1 406.4 × 508; Clinic 2026-12-04: Certificates ash 6 215.9 × 279.4"},
	{"two columns for the size, in centimetres", "day.month.year", [][]string{
		{"Auftrags-Nr.", "Name", "Breite (cm)", "Höhe (cm)", "Profil", "Anzahl", "Termin"},
		{"12", "Thal", "40", "50,5", "oak", "1", "03.12.2026"},
		{"gesamt", "", "", "", "", "1", ""},
	}, `--is "Auftrags-Nr.=job" --is "Name=customer" --is "Breite (cm)=width" --is "Höhe (cm)=height" --is "Profil=profile" --is "Anzahl=quantity" --is "Termin=due"`,
		"12 2026-12-03: 1 oak 1 400 × 505"},
}

// TestTheirTables takes each list as CSV and as XLSX: the question for its headings names what each of them is, and with that answer all of it is read.
func TestTheirTables(t *testing.T) {
	for _, c := range theirs {
		for _, ending := range []string{".csv", ".xlsx"} {
			t.Run(c.name+ending, func(t *testing.T) {
				w, err := Read(place(t, "", "", ""))
				if err != nil {
					t.Fatal(err)
				}
				w.Habits.Dates = c.set
				data := fileOf(t, ending, c.rows)
				_, err = jobsFrom("list"+ending, data, w)
				if err == nil || !strings.Contains(err.Error(), "say once which it is, as here if that is right: longpoint take BOOK FILE "+c.likely) {
					t.Fatalf("it asks: %v", err)
				}
				var is []string
				for _, part := range strings.Split(c.likely, "--is ")[1:] {
					is = append(is, strings.Trim(part, `" `))
				}
				if w.Habits.Headings, err = OwnHeadings(is, "jobs", ""); err != nil {
					t.Fatal(err)
				}
				got, err := jobsFrom("list"+ending, data, w)
				if err != nil || got != c.want {
					t.Errorf("%v\n got %s\nwant %s", err, got, c.want)
				}
			})
		}
	}
}

// jobsFrom reads jobs and says what they are in a line.
func jobsFrom(name string, data []byte, w *model.Workshop) (string, error) {
	jobs, _, err := JobsOf(name, data, w)
	var said []string
	for _, j := range jobs {
		var frames []string
		for _, f := range j.Frames {
			s := f.Rings[0].Size
			frames = append(frames, fmt.Sprintf("%s %s %d %s × %s", f.ID, f.Rings[0].Profile, f.Quantity, s.Width.Bare(model.Millimetres), s.Height.Bare(model.Millimetres)))
		}
		said = append(said, fmt.Sprintf("%s %s: %s", j.ID, j.Due, strings.Join(frames, ", ")))
	}
	return strings.Join(said, "; "), err
}

// fileOf makes a file of rows as a spreadsheet program does that has made nothing of them: semicolons where the list is German.
func fileOf(t *testing.T, ending string, rows [][]string) []byte {
	t.Helper()
	var b bytes.Buffer
	if ending == ".csv" {
		for _, row := range rows {
			b.WriteString(strings.Join(append(row, make([]string, 7-len(row))...), ";") + "\n")
		}
		return b.Bytes()
	}
	f := excelize.NewFile()
	defer f.Close()
	for i, row := range rows {
		if err := f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
