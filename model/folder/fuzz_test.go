package folder

import (
	"errors"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/table"
)

// FuzzTables reads any bytes as each of the tables and makes of them all that tables are made into. Nothing may panic, and what
// is not read somebody says why.
func FuzzTables(f *testing.F) {
	for _, demo := range slices.Sorted(maps.Keys(demos())) {
		for _, name := range slices.Sorted(maps.Keys(setOf)) {
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
	f.Fuzz(func(t *testing.T, data []byte) {
		file, bad := table.FromBytes("file", data, table.Ordinary())
		if bad != nil {
			return
		}
		var p table.Problems
		c := &table.Converter{Unit: model.Inches, Currency: model.Currency{Code: "EUR", Decimals: 2}, Problems: &p}
		rows := func(set table.Set) *table.Table {
			before := p.Count()
			found, ok := file.Table(set, &p)
			if !ok && p.Count() == before {
				t.Fatal("a table is not read and nobody says why")
			}
			return found
		}
		profiles(rows(profileSet), model.OptionalLength{}, c)
		suppliers(rows(supplierSet), c)
		offers(rows(offerSet), c)
		rack(rows(rackSet), nil, c)
		jobs(rows(jobSet), 0, c)
	})
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
		var p table.Problems
		s, ok := parseSettings("file", text, &p)
		if ok {
			w := &model.Workshop{}
			c := &table.Converter{Unit: model.Millimetres, Problems: &p}
			s.apply(w, c)
			if p.None() && (w.Unit == 0 || w.Currency.Code == "" || w.Machine.Type == 0) {
				t.Fatalf("settings without an error lack what they must have: %+v", w)
			}
		} else if p.None() {
			t.Fatal("settings are not read and nobody says why")
		}
		found, _ := errors.AsType[model.Errors](p.Errors())
		for _, e := range found {
			if e.Where.Line > 1+strings.Count(text, "\n") || e.Where.Line == 0 && ok && e.What != "this is missing" {
				t.Fatalf("%v", e)
			}
		}
	})
}
