package solver

import "time"

// Status says how a search ended.
//
//	Certified   there is a plan, and the certificate proves that none costs less
//	Searched    there is a plan, and the search proved that none costs less, part of it without a certificate
//	Stopped     the context or a limit ended the search; there may be a plan and is a bound
//	Infeasible  there is no plan: an item is longer than every stick, or limits are too small
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

// Result is what a search found. Its patterns cut every demand exactly.
type Result struct {
	Status         Status
	HasPlan        bool
	Patterns       []Pattern   // nil unless HasPlan
	Choices        []int64     // how often each choice is made; nil unless HasPlan
	Cost           int64       // of Patterns and Choices; meaningless unless HasPlan
	LowerBound     int64       // no plan costs less, as far as the search knows
	CertifiedBound int64       // no plan costs less, as Certificate proves; at most LowerBound
	Certificate    Certificate // none where Infeasible
	Reason         string      // why the search stopped, or why there is no plan
	Unfinished     bool        // Search.Run can go on with it
	RootBound      float64     // value of the root's relaxation, for reports only
	Columns        int         // columns generated
	Nodes          int         // nodes of the search tree, the root included
}

// Certificate is the leaves of a branch-and-bound tree with integer dual values, which bound every plan from below, or cuts on the numbers of sticks and leaves of those
// that no cut excludes.
// It means what it means in the cuts document; package check explains it.
type Certificate struct {
	Scale  int64
	Leaves []Leaf
	Mixes  *Mixes // nil: the leaves are of one tree
}

// Mixes are cuts that exclude all numbers of sticks at which a plan costs less than Bound, but for those that groups of leaves exclude.
type Mixes struct {
	Bound int64
	Order []int // the kinds, in the order in which their numbers are gone through
	Cuts  []Cut
}

// Cut says that Σ Most · n ≥ Σ DualValues · demand for the numbers n of sticks in every plan.
type Cut struct {
	DualValues []int64 // one per item
	Most       []int64 // one per kind: no pattern has a greater dual value
}

// Leaf is one leaf of the tree and its dual values. Branch lists the conditions on the way to it, the root's first.
type Leaf struct {
	Branch          []Condition
	DualValues      []int64 // one per item
	LimitDualValues []int64 // one per kind, not negative
	RowDualValues   []int64 // one per row, not negative
}

// Condition is a branching condition. It bounds how many sticks have a property: they are of the kind (of any kind
// where AnyKind is set), and hold at least so many pieces of each item in Holds, or, where Credited is set, leave enough to earn a credit, Holds
// being empty. Where OnChoice is set it bounds how often Choice is made instead.
type Condition struct {
	OnChoice  bool
	Choice    int // index in Problem.Choices
	Kind      int
	AnyKind   bool
	Holds     []Take // Quantity: at least so many
	Credited  bool
	AtLeast   bool // at least Bound; otherwise at most
	Bound     int64
	DualValue int64 // not negative for AtLeast, not positive otherwise; 0 in the search tree
}

// Options steer a search. The zero value searches until it is done or its context ends.
type Options struct {
	TimeLimit time.Duration // 0 = none
	NodeLimit int           // 0 = none
	Cutoff    int64         // nodes with such a bound are pruned once there is any plan; the search may then end Stopped with Cutoff as its bound; 0 = none
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
