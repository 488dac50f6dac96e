package folder

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
)

// FuzzTable reads any bytes as each of the tables. Nothing may panic; a table that is read has its rows on lines of the
// file, in order, and written out by another writer it is read as the same rows.
func FuzzTable(f *testing.F) {
	for _, demo := range slices.Sorted(maps.Keys(demos())) {
		for _, name := range slices.Sorted(maps.Keys(columnsOf)) {
			text, err := fs.ReadFile(demos()[demo], name)
			if errors.Is(err, fs.ErrNotExist) && name == suppliersFile {
				continue
			}
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
			f.Add([]byte(small[name]))
			f.Add([]byte(full[name]))
		}
	}
	f.Add([]byte("\xff\xfes\x00t\x00i\x00c\x00k\x00"))
	f.Add([]byte("stick;profile;length\r\"R\r1\";oak;1\u00a0200,5\r"))
	f.Fuzz(func(t *testing.T, data []byte) {
		text, badLine := decode(data)
		if badLine > 0 {
			if badLine > 1+bytes.Count(data, []byte("\n"))+bytes.Count(data, []byte("\r")) {
				t.Fatalf("line %d", badLine)
			}
			return
		}
		for _, columns := range [][]column{profileColumns, supplierColumns, offerColumns, rackColumns, jobColumns} {
			var p problems
			table, ok := parseTable("file", text, columns, &p)
			if !ok && p.none() {
				t.Fatal("a table is not read and nobody says why")
			}
			if !ok {
				continue
			}
			checkLines(t, table, text)
			convertAll(table, &p)
			if p.none() {
				checkRoundTrip(t, table, columns)
			}
		}
	})
}

func checkLines(t *testing.T, table table, text string) {
	t.Helper()
	before := 1
	for _, r := range table.records {
		if r.line <= before || r.line > lineOf(text, len(text)) {
			t.Fatalf("a row on line %d behind one on line %d", r.line, before)
		}
		before = r.line
	}
}

// convertAll makes everything of a table that tables are made into, whatever the table is.
func convertAll(table table, p *problems) {
	c := &converter{unit: model.Inches, currency: model.Currency{Code: "EUR", Decimals: 2}, problems: p}
	profiles(table, model.OptionalLength{}, c)
	suppliers(table, c)
	offers(table, c)
	rack(table, c)
	jobs(table, 0, c)
}

func checkRoundTrip(t *testing.T, want table, columns []column) {
	t.Helper()
	heading := make([]string, len(columns))
	rows := [][]string{heading}
	for i, c := range columns {
		heading[i] = c.name
	}
	for _, rec := range want.records {
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = row{want, rec}.cell(c.name).text
		}
		if isComment(cells[0]) {
			return // not in the first column where it came from, and data there
		}
		rows = append(rows, cells)
	}
	var b strings.Builder
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	var p problems
	got, ok := parseTable("file", b.String(), columns, &p)
	if !ok || len(got.records) != len(want.records) {
		t.Fatalf("%d rows, want %d: %v", len(got.records), len(want.records), p.found)
	}
	for n, rec := range got.records {
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = row{got, rec}.cell(c.name).text
		}
		if diff := cmp.Diff(rows[n+1], cells); diff != "" {
			t.Fatalf("row %d: %s", n, diff)
		}
	}
}

// FuzzSettings reads any text as workshop.toml. Nothing may panic, and every error is on a line of the file or names a key
// that is missing.
func FuzzSettings(f *testing.F) {
	for _, demo := range slices.Sorted(maps.Keys(demos())) {
		text, err := fs.ReadFile(demos()[demo], settingsFile)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	f.Add(small[settingsFile])
	f.Add("machine = {limits = {stops = 2}, kerf = 3.2}\n[a.\"b.c\"]\nd = [{e = 1}]")
	f.Fuzz(func(t *testing.T, text string) {
		var p problems
		s, ok := parseSettings("file", text, &p)
		if ok {
			w := &model.Workshop{}
			c := &converter{unit: model.Millimetres, problems: &p}
			s.apply(w, c)
			if p.none() && (w.Unit == 0 || w.Currency.Code == "" || w.Machine.Type == 0) {
				t.Fatalf("settings without an error lack what they must have: %+v", w)
			}
		} else if p.none() {
			t.Fatal("settings are not read and nobody says why")
		}
		for _, e := range p.found {
			if e.Where.Line > lineOf(text, len(text)) || e.Where.Line == 0 && ok && e.What != "this is missing" {
				t.Fatalf("%v", e)
			}
		}
	})
}
