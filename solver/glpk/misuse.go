package glpk

/*
#include "shim.h"
*/
import "C"

// misuse misuses GLPK on purpose, so that a test can see the error hook jump out. It is here because test files
// cannot use cgo.
func (p *Problem) misuse() error { return p.done(C.lp_misuse(p.h)) }

// blocks counts the memory blocks that GLPK holds on the calling goroutine's thread.
func blocks() int {
	var n C.int
	C.lp_memory(&n)
	return int(n)
}
