package folder

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"longpoint/model"
)

// The files of a workshop folder.
const (
	settingsFile  = "workshop.toml"
	profilesFile  = "profiles.csv"
	suppliersFile = "suppliers.csv" // the only one that need not be there
	offersFile    = "offers.csv"
	rackFile      = "rack.csv"
	jobsFile      = "jobs.csv"
)

// IsWorkshop tells whether a path is a workshop's folder: one with settings in it.
func IsWorkshop(path string) bool {
	info, err := os.Stat(filepath.Join(path, settingsFile))
	return err == nil && info.Mode().IsRegular()
}

// Read reads the workshop in a folder. The error is a model.Errors of kind BadInput with everything that is wrong in any
// of the files, their names joined to dir as it was given; no workshop comes with it. Nothing is written.
func Read(dir string) (*model.Workshop, error) {
	if e := checkFolder(dir); e != nil {
		return nil, model.Errors{e}
	}
	files := []string{settingsFile, profilesFile, suppliersFile, offersFile, rackFile, jobsFile}
	for i, name := range files {
		files[i] = filepath.Join(dir, name)
	}
	w := &model.Workshop{}
	var p problems
	// Until the settings say otherwise, so that a folder with bad settings still gets its tables looked through.
	c := &converter{unit: model.Millimetres, currency: model.Currency{Decimals: 2}, problems: &p}

	whole := true
	open := func(file string, columns []column) table {
		text, e := readText(file)
		if e != nil {
			p.keep(e)
			whole = false
			return table{}
		}
		t, ok := parseTable(file, text, columns, &p)
		whole = whole && ok
		return t
	}
	set := settings{file: files[0]}
	var keep model.OptionalLength
	if text, e := readText(files[0]); e != nil {
		p.keep(e)
		whole = false
	} else if set, whole = parseSettings(files[0], text, &p); whole {
		keep = set.apply(w, c)
	}
	if !whole {
		keep.Given = true // nobody knows, so no profile is to blame
	}
	w.Profiles = profiles(open(files[1], profileColumns), keep, c)
	if _, err := os.Lstat(files[2]); !errors.Is(err, fs.ErrNotExist) {
		w.Suppliers = suppliers(open(files[2], supplierColumns), c)
	}
	w.Offers = offers(open(files[3], offerColumns), c)
	w.Rack = rack(open(files[4], rackColumns), c)
	w.Jobs = jobs(open(files[5], jobColumns), w.Defaults.Allowance, c)

	if whole && p.more == 0 {
		p.addChecked(check(w, set))
	}
	if !p.none() {
		return nil, p.sorted(files)
	}
	return w, nil
}

// check gives what the workshop finds wrong in itself. It does not know where its settings stand; they are placed here.
func check(w *model.Workshop, set settings) model.Errors {
	err := w.Check()
	if err == nil {
		return nil
	}
	var found model.Errors
	if !errors.As(err, &found) {
		return model.Errors{{Kind: model.Fault, What: "the workshop could not be checked", Err: err}}
	}
	for _, e := range found {
		if e.Where.File == "" {
			e.Where = set.at(e.Where.Column).where
		}
	}
	return found
}

// checkFolder reports a folder that is not there or is none.
func checkFolder(dir string) *model.Error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return unreadable(dir, "there is no such folder", "name the folder that holds "+settingsFile+" and the tables", nil)
	case err != nil:
		return unreadable(dir, "the folder cannot be read", "see that it may be read", cause(err))
	case !info.IsDir():
		return unreadable(dir, "this is not a folder", "name the folder that holds "+settingsFile+" and the tables", nil)
	}
	return nil
}
