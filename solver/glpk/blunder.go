package glpk

/*
#include "shim.h"
*/
import "C"

// blunder misuses GLPK on purpose, so that a test can see the error hook jump out.
func (p *Problem) blunder() error { return p.done(C.lp_blunder(p.h)) }

// blocks counts the memory blocks that GLPK holds on the calling goroutine's thread.
func blocks() int {
	var n C.int
	C.lp_memory(&n)
	return int(n)
}
