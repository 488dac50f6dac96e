package solver

import "time"

// Status says how a search ended.
//
//	Certified   a plan whose cost the certificate proves least
//	Searched    a plan that the search proved least, part of it without a certificate
//	Stopped     stopped by the context or a limit; the best plan so far, if any
//	Infeasible  there is no plan: an item longer than every stick, or limits too small
type Status uint8

// The ways a search can end.
const (
	Stopped Status = iota
	Certified
	Searched
	Infeasible
)

// String gives the status's name in lower case.
func (s Status) String() string {
	return [...]string{"stopped", "certified", "searched", "infeasible"}[s]
}

// Result is what a search found. Patterns cut every demand exactly.
type Result struct {
	Status         Status
	HasPlan        bool
	Patterns       []Pattern   // nil unless HasPlan
	Choices        []int64     // how often each choice is made; nil unless HasPlan
	Cost           int64       // of Patterns and Choices; meaningless unless HasPlan
	LowerBound     int64       // least cost any plan can have, as far as the search knows
	CertifiedBound int64       // the bound that Certificate proves; at most Lower
	Certificate    Certificate // none where Infeasible
	Reason         string      // why a search stopped, or why there is no plan
	RootBound      float64     // value of the relaxation, for reports only
	Columns        int         // patterns generated
	Nodes          int         // nodes of the search tree, the root included
}

// Certificate is integer multipliers that bound every plan from below; its meaning is that of the cuts document
// (Document).
type Certificate struct {
	Scale  int64
	Leaves []Leaf
}

// Leaf is one leaf of the search tree. Branch lists the conditions on the way to it, root first.
type Leaf struct {
	Branch          []Condition
	DualValues      []int64 // one per item
	LimitDualValues []int64 // one per kind, not negative
	RowDualValues   []int64 // one per row, not negative
}

// Condition bounds how many sticks have a property: being of the kind (of any kind when AnyKind), and holding at least
// so many of each item in Holds. Where OnChoice is set it bounds how often Choice is made instead.
type Condition struct {
	OnChoice  bool
	Choice    int // index in Problem.Choices
	Kind      int
	AnyKind   bool
	Holds     []Take // Quantity is the least number held
	AtLeast   bool   // the number of such sticks is at least Bound; otherwise at most
	Bound     int64
	DualValue int64 // the condition's multiplier: not negative for AtLeast, not positive otherwise
}

// Options steer a search. The zero value searches until it is done or its context ends.
type Options struct {
	TimeLimit time.Duration // 0 = none
	NodeLimit int           // 0 = none
	Cutoff    int64         // a bound as good as any higher one: with any plan at hand the search may end Stopped at it; 0 = none
	Progress  func(Progress)
}

// Progress is the state of a running search. It is called from the search's own goroutine and must return quickly.
type Progress struct {
	HasPlan    bool
	Cost       int64
	LowerBound int64
	Columns    int
	Nodes      int
}
