package folder

import (
	"errors"

	"longpoint/model"
)

// ReadJobs reads a table of jobs that stands by itself, in the form of jobs.csv, for a workshop kept elsewhere, whose units and
// profiles it speaks of. The error is a model.Errors with everything that is wrong in the file. Nothing is written, and w
// stays as it is.
func ReadJobs(file string, w *model.Workshop) ([]model.Job, error) {
	var p problems
	c := &converter{unit: w.Unit, currency: w.Currency, problems: &p}
	text, e := readText(file)
	if e != nil {
		return nil, model.Errors{e}
	}
	t, ok := parseTable(file, text, jobColumns, &p)
	if !ok {
		return nil, p.sorted([]string{file})
	}
	own := *w
	own.Jobs = jobs(t, w.Defaults.Allowance, c)
	if p.more == 0 {
		p.addChecked(inFile(file, own.Check()))
	}
	if !p.none() {
		return nil, p.sorted([]string{file})
	}
	return own.Jobs, nil
}

// inFile gives the errors that stand in a file.
func inFile(file string, err error) (found model.Errors) {
	all, _ := errors.AsType[model.Errors](err)
	for _, e := range all {
		if e.Where.File == file {
			found = append(found, e)
		}
	}
	return found
}
