package planner

import (
	"slices"
	"sync"
)

// queue deals out turns. Whoever has had none comes first. Then a search gets time in proportion to its gap, a few cents beside hundreds little: so what is left
// open of all profiles together is closed soonest. A search of several profiles keeps all workers busy by itself: while it has its turn, none begins whose gap is a
// small part of its gap. What each search does in its turns does not depend on when they come.
type queue struct {
	mu      sync.Mutex
	changed sync.Cond
	board   *board
	waiting []*turn
	wide    *turn // of several profiles, that has its turn; nil: none
	left    int   // that are not done
}

// leastShare is the part of all gaps together that a search counts as having at least, so that it comes to its end also beside one that does not.
const leastShare = 16

func newQueue(b *board) *queue {
	q := &queue{board: b}
	q.changed.L = &q.mu
	return q
}

// add has a search wait for its first turn.
func (q *queue) add(t *turn) {
	q.waiting, q.left = append(q.waiting, t), q.left+1
}

// next takes the search whose turn it is, and waits where there is none; nil: all are done.
func (q *queue) next() *turn {
	q.mu.Lock()
	defer q.mu.Unlock()
	for q.left > 0 {
		if at, ok := q.first(); ok {
			t := q.waiting[at]
			q.waiting = slices.Delete(q.waiting, at, at+1)
			if t.keepsAllBusy() {
				q.wide = t
			}
			return t
		}
		q.changed.Wait()
	}
	return nil
}

// first is the place of the search that is to have its turn now; false: none is.
func (q *queue) first() (at int, ok bool) {
	gaps, sum := q.board.gaps()
	least := 0.0
	for n, t := range q.waiting {
		if t.turns == 0 {
			return n, true
		}
		if q.wide != nil && gaps[q.wide.n] > worthIt*gaps[t.n] {
			continue
		}
		if had := t.spent.Seconds() / (1 + max(gaps[t.n], sum/leastShare)); !ok || had < least {
			at, least, ok = n, had, true
		}
	}
	return at, ok
}

// keepsAllBusy says whether the search works on several profiles at the same time.
func (t *turn) keepsAllBusy() bool { return len(t.profiles) > 1 && (t.sets == nil || !t.sets.stuck) }

// back has a search wait for its next turn, or takes it for done.
func (q *queue) back(t *turn, done bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.wide == t {
		q.wide = nil
	}
	if done {
		q.left--
	} else {
		q.waiting = append(q.waiting, t)
	}
	q.changed.Broadcast()
}
