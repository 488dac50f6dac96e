package folder

import (
	"errors"
	"os"
	"path/filepath"

	"longpoint/model"
	"longpoint/model/table"
)

// The files of a workshop folder, as the demo has them.
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

// Read reads the workshop in a folder, or in a workbook. The error is a model.Errors of kind BadInput with everything that is
// wrong in any of the files, their names joined to dir as it was given; no workshop comes with it. Nothing is written.
func Read(dir string) (*model.Workshop, error) {
	from, bad := openSource(dir, table.Ordinary())
	if bad != nil {
		return nil, model.Errors{bad}
	}
	w := &model.Workshop{}
	var p table.Problems
	// Until the settings say otherwise, so that a folder with bad settings still gets its tables looked through.
	c := &table.Converter{Unit: model.Millimetres, Currency: model.Currency{Decimals: 2}, Problems: &p}
	set, whole := from.settings(&p)
	if whole {
		set.apply(w, c)
	}
	keep := w.Defaults.Keep
	keep.Given = keep.Given || !whole // else nobody knows, so no profile is to blame
	for _, read := range []struct {
		set  table.Set
		rows func(*table.Table)
	}{
		{profileSet, func(t *table.Table) { w.Profiles = profiles(t, keep, c) }},
		{supplierSet, func(t *table.Table) { w.Suppliers = suppliers(t, c) }},
		{offerSet, func(t *table.Table) { w.Offers = offers(t, c) }},
		{rackSet, func(t *table.Table) { w.Rack = rack(t, nil, c) }},
		{jobSet, func(t *table.Table) {
			w.Jobs = jobs(t, w.Defaults.Allowance, c)
			notAllTiny(t, w.Jobs, c)
		}},
	} {
		read.set.Own = c.Habits.Headings
		t, given := from.table(read.set, &p)
		if given {
			read.rows(t)
		}
		whole = whole && t.Whole()
	}
	w.Readings = p.Readings
	if whole {
		p.AddChecked(placed(w.Check(), set))
	}
	if err := p.Errors(from.files...); err != nil {
		return nil, err
	}
	return w, nil
}

// placed says where the settings stand that a workshop's own check has found wrong; it does not know.
func placed(err error, set settings) error {
	found, _ := errors.AsType[model.Errors](err)
	for _, e := range found {
		if e.Where.File == "" {
			e.Where = set.at(e.Where.Column).Where
		}
	}
	return err
}
