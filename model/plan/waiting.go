package plan

import (
	"cmp"
	"slices"
)

// Waiting is the sticks of one profile that a plan expects with one order, and the jobs that wait for them.
type Waiting struct {
	Supplier string   `json:"supplier"`
	Order    string   `json:"order"`
	Expected string   `json:"expected,omitempty"` // the day; empty: nobody knows
	Profile  string   `json:"profile"`
	Sticks   []string `json:"sticks"`         // as the plan calls them
	Jobs     []string `json:"jobs"`           // that have sides on them
	Late     []string `json:"late,omitempty"` // those of Jobs that are due before that day
}

// Waiting says what waits for which delivery: first what is expected first, and last what nobody knows the day of.
func (d *Document) Waiting() []Waiting {
	due := map[string]string{}
	for _, j := range d.Jobs {
		due[j.Job] = j.Due
	}
	all := []Waiting{}
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			if s.From != OnTheWay {
				continue
			}
			n := slices.IndexFunc(all, func(w Waiting) bool { return w.Order == s.Order && w.Profile == p.Name && w.Expected == s.Expected })
			if n < 0 {
				n = len(all)
				all = append(all, Waiting{Supplier: s.Supplier, Order: s.Order, Expected: s.Expected, Profile: p.Name})
			}
			all[n].add(s, due)
		}
	}
	slices.SortStableFunc(all, func(a, b Waiting) int {
		return cmp.Or(cmp.Compare(a.day(), b.day()), cmp.Compare(a.Supplier, b.Supplier), cmp.Compare(a.Order, b.Order))
	})
	return all
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
