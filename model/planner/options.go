package planner

import (
	"runtime"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
)

// DefaultTimeLimit is how long a profile may be searched when Options does not say.
const DefaultTimeLimit = 10 * time.Second

// Options say what to plan and how.
type Options struct {
	Until     model.Date    // plan the jobs due up to this day, the day included; the zero Date: all jobs
	On        model.Date    // the day of ordering: what was on offer before it only is left out; the zero Date: nothing is
	Here      bool          // plan without what is on the way
	Profiles  []string      // plan only these profiles; empty: all
	TimeLimit time.Duration // of the search for each profile; 0: DefaultTimeLimit
	CutOrder  string        // of the cuts: plan.StickByStick or plan.StopByStop; empty: the first
	Workers   int           // profiles searched at the same time; 0: one for each processor
	Verify    plan.Verifier // nil: no plan is graded better than plan.Open
	Progress  func(Progress)
	MadeWith  string // program and version, for the document

	leftOut     *plan.Purchase // a price list that is not there; nil: none
	memory      *memory        // what may be taken over from an earlier plan; nil: nothing
	restriction *restriction   // plan without terms from some suppliers only; nil: from all, with their terms
}

// Progress is the state of one profile's search. Calls come one at a time, from several goroutines; they must return
// quickly.
type Progress struct {
	Profile string
	HasPlan bool
	Cost    model.Money // of the best plan so far; meaningless unless HasPlan
	Bound   model.Money // no plan costs less, as far as the search knows
	Gap     model.Money // Cost − Bound; meaningless unless HasPlan
	Done    bool        // the profile is finished; Grade is final
	Grade   plan.Grade  // meaningless unless Done
}

// withDefaults fills in what was left zero.
func (o Options) withDefaults() Options {
	if o.TimeLimit <= 0 {
		o.TimeLimit = DefaultTimeLimit
	}
	if o.CutOrder == "" {
		o.CutOrder = plan.StickByStick
	}
	if o.Workers <= 0 {
		o.Workers = runtime.NumCPU()
	}
	return o
}
