package planner

import (
	"runtime"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
)

// DefaultTimeLimit is how long planning may take when Options does not say.
const DefaultTimeLimit = 10 * time.Second

// Options say what to plan and how.
type Options struct {
	Until     model.Date      // plan the jobs due up to this day, the day included; the zero Date: all jobs
	On        model.Date      // the day of ordering: what was on offer before it only is left out; the zero Date: nothing is
	Here      bool            // plan without what is on the way
	Profiles  []string        // plan only these profiles; empty: all
	TimeLimit time.Duration   // of all of it, the checking included; 0: DefaultTimeLimit
	Within    int64           // in millionths of the cost: the search ends where no plan can be cheaper by more; 0: at a proof only
	CutOrder  string          // of the cuts: plan.StickByStick or plan.StopByStop; empty: the first
	CostsOnly bool            // the plan is for its costs and proofs alone: without runs, and not made simpler to cut
	Workers   int             // profiles searched at the same time; 0: one for each processor
	Verify    plan.Verifier   // nil: no plan is graded better than plan.Open
	AtMachine *plan.AtMachine // how the machine was left when the rest of a run is planned; nil: nobody knows
	Known     *Known          // what plans of the same command have found; nil: nothing
	Step      string          // what the plan is a part of, for progress; empty: of nothing
	Progress  func(Progress)
	MadeWith  string // program and version, for the document

	leftOut     *plan.Purchase // a price list that is not there; nil: none
	begun       time.Time      // when planning did; Make sets it
	restriction *restriction   // plan without terms from some suppliers only; nil: from all, with their terms
}

// Progress is how planning stands. Calls come one at a time, from several goroutines; they must return quickly.
type Progress struct {
	Step      string      // Options.Step
	Proving   string      // the profiles whose plan is furthest from its bound; empty: none is left
	Done, All int         // profiles that are finished, and all
	HasPlan   bool        // there is a plan for every profile
	Cost      model.Money // of the best plan so far; meaningless unless HasPlan
	Bound     model.Money // no plan costs less, as far as the search knows
	Gap       model.Money // Cost − Bound; meaningless unless HasPlan
}

// withDefaults fills in what was left zero.
func (o Options) withDefaults() Options {
	if o.TimeLimit <= 0 {
		o.TimeLimit = DefaultTimeLimit
	}
	if o.CutOrder == "" {
		o.CutOrder = plan.StickByStick
	}
	if o.Known == nil {
		o.Known = NewKnown()
	}
	if o.Verify != nil {
		o.Verify = o.Known.remembering(o.Verify)
	}
	if o.Workers <= 0 {
		o.Workers = runtime.NumCPU()
	}
	return o
}
