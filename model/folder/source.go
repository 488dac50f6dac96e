package folder

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/table"
)

// workbookName is what a folder's workbook is called that holds what has no file of its own.
const workbookName = "workshop.xlsx"

// source is where a workshop's tables come from: a folder's files, its workbook, or a workbook by itself.
type source struct {
	dir    string
	tables map[string][]string // by the name of the table, its files; nil: there is only the workbook
	book   *table.File         // nil: none
	only   string              // the name of the only table that counts; empty: all do
	single bool                // one table or the settings by themselves: what lies beside them has nothing to do with them
	alone  string              // the file of settings that came by themselves
	files  []string            // what was read, in order
}

// IsWorkbook tells whether a path names a file that is called or packed as the workbooks of spreadsheets are, whether they can be read or not.
func IsWorkbook(path string) bool {
	if info, err := os.Stat(path); err != nil || !info.Mode().IsRegular() {
		return false
	}
	if slices.Contains([]string{".xlsx", ".xlsm", ".xls", ".ods"}, strings.ToLower(filepath.Ext(path))) {
		return true
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	sign := []byte("PK\x03\x04")
	head := make([]byte, len(sign))
	_, err = io.ReadFull(f, head)
	return err == nil && bytes.Equal(head, sign)
}

// openSource looks at what is in a folder, or opens a workbook.
func openSource(path string, limits table.Limits) (*source, *model.Error) {
	if IsWorkbook(path) {
		book, bad := table.Open(path, limits)
		return &source{dir: path, book: book, files: []string{path}}, bad
	}
	const name = "name the folder that holds " + settingsFile + " and the tables"
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, badFolder(path, "there is no such folder", name, nil)
	case err == nil && !info.IsDir():
		return nil, badFolder(path, "this is not a folder", name, nil)
	}
	var entries []fs.DirEntry
	if err == nil {
		entries, err = os.ReadDir(path)
	}
	if err != nil {
		return nil, badFolder(path, "the folder cannot be read", "see that it may be read", err)
	}
	s := &source{dir: path, tables: map[string][]string{}}
	for _, e := range entries {
		ext := filepath.Ext(e.Name())
		name := model.FoldName(strings.TrimSuffix(e.Name(), ext))
		switch file := filepath.Join(path, e.Name()); {
		case model.FoldName(e.Name()) == workbookName:
			var bad *model.Error
			if s.book, bad = table.Open(file, limits); bad != nil {
				return nil, bad
			}
		case slices.Contains([]string{".csv", ".tsv", ".xlsx"}, strings.ToLower(ext)):
			s.tables[name] = append(s.tables[name], file)
		}
	}
	return s, nil
}

// table finds a table. What is wrong with it goes to problems. given = false: it need not be there and is not.
func (s *source) table(set table.Set, p *table.Problems) (t *table.Table, given bool) {
	files := s.tables[set.Name]
	if s.book != nil && (s.book.Has(set) || s.only != "") {
		files = append(files, s.book.Path)
	}
	switch {
	case len(files) == 0 && set.Name == supplierSet.Name:
		return &table.Table{}, false
	case len(files) == 0 && s.tables == nil:
		files = []string{s.book.Path} // which says what its sheets are
	case len(files) == 0:
		files = []string{filepath.Join(s.dir, set.Name+".csv")} // which is not there
	}
	s.files = append(s.files, files...)
	if len(files) > 1 {
		p.Add(model.Place{File: files[0]}, "this table is also in "+files[1], "take one of them away")
		return table.Unread(), true
	}
	file := s.book
	if file == nil || files[0] != file.Path {
		var bad *model.Error
		if file, bad = table.Open(files[0], table.Ordinary()); bad != nil {
			p.Keep(bad)
			return table.Unread(), true
		}
	}
	t, _ = file.Table(set, p)
	return t, true
}

// settingSet has the columns of the settings in a workbook.
var settingSet = table.Set{Name: model.SettingsSheet, Columns: []table.Column{
	{Name: "setting", Need: table.Each, Key: true}, // a key of workshop.toml, such as machine.shave
	{Name: "value", Need: table.Must},
}}

// has tells whether a table is there.
func (s *source) has(set table.Set) bool {
	if s.only != "" {
		return s.only == set.Name
	}
	return len(s.tables[set.Name]) > 0 || s.book != nil && s.book.Has(set)
}

// hasSettings tells whether the settings are there.
func (s *source) hasSettings() bool {
	if s.only != "" {
		return false
	}
	if s.alone != "" || s.book != nil && s.book.Has(settingSet) {
		return true
	}
	_, err := os.Lstat(filepath.Join(s.dir, settingsFile))
	return s.tables != nil && err == nil && !s.single
}

// settings reads the settings: workshop.toml, or the sheet of a workbook.
func (s *source) settings(p *table.Problems) (set settings, whole bool) {
	file := cmp.Or(s.alone, filepath.Join(s.dir, settingsFile))
	_, err := os.Lstat(file)
	if s.book != nil && s.book.Has(settingSet) {
		if err == nil {
			p.Add(model.Place{File: file}, "the settings are also in "+s.book.Path, "take one of them away")
		}
		s.files = append(s.files, s.book.Path)
		t, _ := s.book.Table(settingSet, p)
		return sheetSettings(s.book.Path, t, p), t.Whole()
	}
	if s.tables == nil {
		p.Add(model.Place{File: s.dir}, "the workbook has no sheet "+model.SettingsSheet+" with the settings",
			"give it one with the columns setting and value, or put it into a folder beside "+settingsFile+" as "+workbookName)
		return settings{}, false
	}
	s.files = append(s.files, file)
	text, bad := table.ReadText(file, `put it there; "longpoint demo" writes one to start from`, "save it from a plain text editor, best as UTF-8")
	if bad != nil {
		p.Keep(bad)
		return settings{}, false
	}
	return parseSettings(file, text, p)
}

func badFolder(dir, what, do string, err error) *model.Error {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		err = p.Err // the place of the error names it already
	}
	return &model.Error{Kind: model.BadInput, What: what, Where: model.Place{File: dir}, Do: do, Err: err}
}
