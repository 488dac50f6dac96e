package plan

import (
	"cmp"
	"fmt"
	"slices"

	"longpoint/model"
)

// Waiting is the sticks of one profile that a plan expects with one order, and the jobs that wait for them.
type Waiting struct {
	Supplier string   `json:"supplier"`
	Order    string   `json:"order,omitempty"`    // empty: they are still to be ordered
	Expected string   `json:"expected,omitempty"` // the day; empty: nobody knows
	Profile  string   `json:"profile"`
	Sticks   []string `json:"sticks"`         // as the plan calls them
	Jobs     []string `json:"jobs"`           // that have sides on them
	Late     []string `json:"late,omitempty"` // those of Jobs that are due before that day

	due map[string]string
}

// Supply is where the sticks stand that a plan buys of a supplier: with which order they come, and the day on which they should be here.
type Supply struct {
	Order, Expected string
	Here            bool // they have come
}

// Waiting says what waits for which delivery: first what is expected first, and last what nobody knows the day of. bought says it of what the plan buys; nil
// leaves that out.
func (d *Document) Waiting(bought func(profile, supplier string) Supply) []Waiting {
	due := map[string]string{}
	for _, j := range d.Jobs {
		due[j.Job] = j.Due
	}
	all := []Waiting{}
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			at := Supply{Order: s.Order, Expected: s.Expected}
			if s.From == Bought && bought != nil {
				at = bought(p.Name, s.Supplier)
			}
			if s.From == FromRack || s.From == Bought && bought == nil || at.Here {
				continue
			}
			n := slices.IndexFunc(all, func(w Waiting) bool {
				return w.Order == at.Order && w.Supplier == s.Supplier && w.Profile == p.Name && w.Expected == at.Expected
			})
			if n < 0 {
				n = len(all)
				all = append(all, Waiting{Supplier: s.Supplier, Order: at.Order, Expected: at.Expected, Profile: p.Name, due: due})
			}
			all[n].add(s, due)
		}
	}
	slices.SortStableFunc(all, func(a, b Waiting) int {
		return cmp.Or(cmp.Compare(a.day(), b.day()), cmp.Compare(a.Supplier, b.Supplier), cmp.Compare(a.Order, b.Order))
	})
	return all
}

// AlreadyOrdered leaves out what is still to be ordered.
func AlreadyOrdered(all []Waiting) []Waiting {
	return slices.DeleteFunc(slices.Clone(all), func(w Waiting) bool { return w.Order == "" })
}

// LateJobs says which jobs are due before their wood is here, a sentence each, with days as the shop writes them.
func LateJobs(all []Waiting, dates model.DateOrder) (said []string) {
	for _, w := range all {
		for _, job := range w.Late {
			with := "of order " + w.Order
			if w.Order == "" {
				with = "from " + w.Supplier + ", if it is ordered now,"
			}
			said = append(said, fmt.Sprintf("Job %s is due on %s, before the %s %s is expected, on %s.", job, dates.Rewrite(w.due[job]), w.Profile, with, dates.Rewrite(w.Expected)))
		}
	}
	return said
}

// add adds a stick and the jobs that have sides on it.
func (w *Waiting) add(s Stick, due map[string]string) {
	w.Sticks = append(w.Sticks, s.ID)
	for _, side := range s.Sides {
		if slices.Contains(w.Jobs, side.Job) {
			continue
		}
		w.Jobs = append(w.Jobs, side.Job)
		if day := due[side.Job]; day != "" && w.Expected > day { // both are year-month-day
			w.Late = append(w.Late, side.Job)
		}
	}
}

// day sorts by the day expected, no day last.
func (w Waiting) day() string { return cmp.Or(w.Expected, "~") }
