package planner

import (
	"testing"
	"time"
)

// TestQueue holds whose turn it is: first everybody's first; then by time had for the gap; and beside a search that keeps all workers busy only
// those whose gap is not small beside its own.
func TestQueue(t *testing.T) {
	b := &board{all: []standing{{hasPlan: true, cost: 1100, bound: 1000}, {hasPlan: true, cost: 1900, bound: 1000}, {hasPlan: true, cost: 1001, bound: 1000}}}
	q := newQueue(b)
	one, two := []*profileProblem{nil}, []*profileProblem{nil, nil}
	for n := range b.all {
		profiles := one
		if n == 1 {
			profiles = two
		}
		q.add(&turn{jointProblem: &jointProblem{profiles: profiles}, n: n})
	}
	var had [3]*turn
	for n := range had {
		had[n] = q.next()
		if had[n].n != n {
			t.Fatalf("the first turn %d is that of %d", n+1, had[n].n)
		}
		had[n].turns++
	}
	give := func(n int, spent time.Duration) {
		had[n].spent = spent
		q.back(had[n], false)
	}
	want := func(why string, n int) {
		t.Helper()
		if got := q.next(); got != had[n] {
			t.Fatalf("%s: it is the turn of %d, not of %d", why, got.n, n)
		}
	}
	give(0, time.Second)
	give(1, 2*time.Second)
	give(2, time.Second)
	want("nine times the gap of the first and twice its time", 1)
	if at, ok := q.first(); ok {
		t.Fatalf("%d begins beside the search that keeps all busy", q.waiting[at].n)
	}
	give(1, 20*time.Second)
	want("a ninth of the gap and a twentieth of the time", 0)
	want("the last has had a second for a gap that counts as 63", 2)
	had[1].sets = &setSearch{stuck: true}
	want("nothing else waits", 1)
	give(0, time.Second)
	want("the profiles are searched as one problem", 0)
	for n := range had {
		q.back(had[n], true)
	}
	if q.next() != nil {
		t.Error("all are done, and there is a turn")
	}
}
