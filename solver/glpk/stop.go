package glpk

import "fmt"

// Stop is what becomes of a call that a test keeps from GLPK. Only a build with the tag stopglpk has a way to ask for it.
type Stop int

// What a call can be stopped with.
const (
	LostBasis  Stop = iota + 1 // simplex: the basis is lost; branch and bound: no solution
	Spent                      // simplex: the limit on iterations was reached; branch and bound: no solution
	NoSolution                 // GLPK says that there is none
	Faulted                    // a fault
)

// simplex is what a call of Simplex that is stopped so gives.
func (s Stop) simplex() (Status, Limit, error) {
	switch s {
	case LostBasis:
		return Undefined, NoLimit, &BasisError{}
	case Spent:
		return Undefined, IterationLimit, nil
	case NoSolution:
		return NoFeasible, NoLimit, nil
	}
	return Undefined, NoLimit, fmt.Errorf("%w: stopped by a test", ErrFault)
}

// branch is what a call of Branch that is stopped so gives.
func (s Stop) branch() (Status, error) {
	switch s {
	case LostBasis, Spent:
		return Undefined, nil
	case NoSolution:
		return NoFeasible, nil
	}
	return Undefined, fmt.Errorf("%w: stopped by a test", ErrFault)
}
