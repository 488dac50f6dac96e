//go:build stopglpk

package glpk

// StopAt keeps calls of Simplex and Branch from GLPK: the n-th from now, counting from 1, and with all every one after it too. It gives a function that
// ends this and tells how many calls there were. It is for one goroutine.
func StopAt(n int, how Stop, all bool) (end func() (calls int)) {
	at = &stopping{n: n, how: how, all: all}
	return func() int {
		calls := at.calls
		at = nil
		return calls
	}
}

type stopping struct {
	n, calls int
	how      Stop
	all      bool
}

var at *stopping

func stopped() (Stop, bool) {
	if at == nil {
		return 0, false
	}
	at.calls++
	return at.how, at.calls == at.n || at.all && at.calls > at.n
}
