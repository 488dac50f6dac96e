package folder

import (
	"errors"

	"longpoint/model"
	"longpoint/model/table"
)

// ReadJobs reads a table of jobs that stands by itself, with the columns of jobs.csv, for a workshop kept elsewhere, whose units,
// habits and profiles it speaks of. command is what was typed to take it in, for a hint. readings say how days were read that by themselves can be read in two
// ways. The error is a model.Errors with everything that is wrong in the file. Nothing is written, and w stays as it is.
func ReadJobs(file string, w *model.Workshop, command string) (jobs []model.Job, readings []*model.Error, err error) {
	f, bad := table.Open(file, table.Ordinary())
	if bad != nil {
		return nil, nil, model.Errors{bad}
	}
	return jobsIn(f, file, w, command)
}

// JobsOf reads a table of jobs as ReadJobs does, from what is in a file. The name only tells its kind, and errors.
func JobsOf(name string, data []byte, w *model.Workshop) (jobs []model.Job, readings []*model.Error, err error) {
	f, bad := table.FromBytes(name, data, table.Ordinary())
	if bad != nil {
		return nil, nil, model.Errors{bad}
	}
	return jobsIn(f, name, w, "longpoint take BOOK FILE")
}

func jobsIn(f *table.File, file string, w *model.Workshop, command string) ([]model.Job, []*model.Error, error) {
	own := *w
	set := jobSet
	set.Own, set.Command = w.Habits.Headings, command
	err := alone(f, file, set, w, func(t *table.Table, c *table.Converter) {
		own.Jobs = jobs(t, w.Defaults.Allowance, c)
		own.Readings = c.Problems.Readings
		if file != TypedTable {
			notAllTiny(t, own.Jobs, c)
		}
		if t.Whole() {
			c.Problems.AddChecked(inFile(file, own.Check()))
		}
	})
	if err != nil {
		return nil, nil, err
	}
	return own.Jobs, own.Readings, nil
}

// readAlone reads a table that stands by itself.
func readAlone(file string, set table.Set, w *model.Workshop, read func(*table.Table, *table.Converter)) error {
	f, bad := table.Open(file, table.Ordinary())
	if bad != nil {
		return model.Errors{bad}
	}
	return alone(f, file, set, w, read)
}

func alone(f *table.File, file string, set table.Set, w *model.Workshop, read func(*table.Table, *table.Converter)) error {
	var p table.Problems
	if t, ok := f.Table(set, &p); ok {
		read(t, &table.Converter{Unit: w.Unit, Currency: w.Currency, Habits: w.Habits, Problems: &p})
	}
	return p.Errors(file)
}

// inFile gives the errors that stand in a file.
func inFile(file string, err error) error {
	all, _ := errors.AsType[model.Errors](err)
	var found model.Errors
	for _, e := range all {
		if e.Where.File == file {
			found = append(found, e)
		}
	}
	return found.AsError()
}
