package solver

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// knapsack is one question to the pricer.
type knapsack struct {
	length, demand []int64
	room           int64
	duals, avail   []int64
	terms          []conditionTerm
	credit         Credit
	bonus          int64 // of a pattern that leaves enough for the credit
	floor          int64
}

func (q *knapsack) pricer() *pricer {
	p := &pricer{}
	q.ask(p)
	return p
}

// ask readies a pricer for the question.
func (q *knapsack) ask(p *pricer) {
	p.in = &instance{length: q.length, demand: q.demand, maxDemand: q.demand,
		lengthUnit: 1, stickLength: []int64{q.room}, credit: []Credit{q.credit}, allowed: [][]bool{nil}}
	p.setKind(0, 1)
	p.creditBonus = q.bonus
}

// of is the value of a pattern, and whether it is one: it fits, and holds no more than there is.
func (q *knapsack) of(v []int64) (value int64, ok bool) {
	room := q.room
	for i, n := range v {
		if n < 0 || n > q.avail[i] {
			return 0, false
		}
		room -= n * q.length[i]
		value += n * q.duals[i]
	}
	for _, e := range q.terms {
		met := true
		for _, h := range e.holds {
			met = met && v[h.Item] >= h.Quantity
		}
		if met {
			value += e.dual
		}
	}
	if c := q.credit; c.Num > 0 && room >= 0 && room+c.Extra >= c.Keep {
		value += max(0, c.Num*(room+c.Extra)/c.Den+q.bonus)
	}
	return value, room >= 0
}

// most is the greatest value of a pattern, found by looking at all of them.
func (q *knapsack) most() int64 {
	best := int64(math.MinInt64)
	v := make([]int64, len(q.length))
	var walk func(i int, room int64)
	walk = func(i int, room int64) {
		if i == len(v) {
			w, _ := q.of(v)
			best = max(best, w)
			return
		}
		for n := int64(0); n <= q.avail[i] && n*q.length[i] <= room; n++ {
			v[i] = n
			walk(i+1, room-n*q.length[i])
		}
		v[i] = 0
	}
	walk(0, q.room)
	return best
}

// vector checks the form of a pattern: items rising, quantities positive.
func (q *knapsack) vector(t *testing.T, take []Take) []int64 {
	t.Helper()
	v := make([]int64, len(q.length))
	last := -1
	for _, x := range take {
		if x.Item <= last || x.Quantity <= 0 {
			t.Fatalf("pattern %v", take)
		}
		v[x.Item], last = x.Quantity, x.Item
	}
	return v
}

// hold checks what many answers to q, of whose patterns the best has the value best.
func (q *knapsack) hold(t *testing.T, best int64, count int, total int64, takes [][]Take, exact bool) {
	t.Helper()
	if want := max(best, q.floor); exact && total != want || total > want {
		t.Fatalf("greatest value %d (exact %v), want %d above %d\n%+v", total, exact, best, q.floor, *q)
	}
	if (len(takes) > 0) != (total > q.floor) {
		t.Fatalf("%d patterns with the greatest value %d above %d\n%+v", len(takes), total, q.floor, *q)
	}
	if len(takes) > count {
		t.Fatalf("%d patterns in place of %d", len(takes), count)
	}
	seen := map[int]bool{}
	for n, take := range takes {
		w, ok := q.of(q.vector(t, take))
		if !ok {
			t.Fatalf("%v is no pattern of %+v", take, *q)
		}
		if w <= q.floor || n == 0 && w != total {
			t.Fatalf("pattern %d, %v, has value %d, above %d and at most %d\n%+v", n, take, w, q.floor, total, *q)
		}
		fresh := n == 0
		for _, x := range take {
			fresh = fresh || !seen[x.Item]
			seen[x.Item] = true
		}
		if !fresh {
			t.Fatalf("pattern %d, %v, has no item that none before it has: %v", n, take, takes)
		}
	}
}

// smallKnapsack draws a question of up to 5 items that all patterns can be listed of.
func smallKnapsack(r *rand.Rand) *knapsack {
	q := &knapsack{}
	unit := []int64{1, 1, 1_000_003, 396_875}[r.IntN(4)]
	coin := []int64{1, 20, 1 << 30, 1 << 50}[r.IntN(4)]
	for range 1 + r.IntN(5) {
		q.length = append(q.length, unit*(1+r.Int64N(20))+r.Int64N(unit))
		d := r.Int64N(7)
		q.demand = append(q.demand, d)
		q.avail = append(q.avail, d)
		u := coin*r.Int64N(8) + r.Int64N(coin)
		if r.IntN(4) == 0 {
			u = -u / 2
		}
		q.duals = append(q.duals, u)
	}
	q.room = unit * r.Int64N(60)
	for range r.IntN(5) {
		e := conditionTerm{dual: coin * (r.Int64N(17) - 8)}
		for _, i := range r.Perm(len(q.length))[:1+r.IntN(min(3, len(q.length)))] {
			e.holds = append(e.holds, Take{i, 1 + r.Int64N(3)})
		}
		slices.SortFunc(e.holds, func(a, b Take) int { return a.Item - b.Item })
		q.terms = append(q.terms, e)
	}
	return q
}

// drawCredit draws a credit of the size of the dual values, and what conditions on credits add to it or take away.
func (q *knapsack) drawCredit(r *rand.Rand) {
	most := int64(1)
	for _, u := range q.duals {
		most = max(most, u)
	}
	q.credit = Credit{Keep: r.Int64N(q.room + 2), Extra: r.Int64N(3), Num: 1 + r.Int64N(min(2*most, 1<<30)), Den: 1 + r.Int64N(q.room)}
	q.bonus = r.Int64N(2*most) - most
}

// The pricer's answers are held against every pattern of small sticks.
func TestManyAgainstEveryPattern(t *testing.T) {
	above, several, conditions, empty, credits := 0, 0, 0, 0, 0
	var p *pricer
	for seed := range uint64(20000) {
		r := rand.New(rand.NewPCG(seed, 5))
		q := smallKnapsack(r)
		if q.room > 0 && r.IntN(3) == 0 {
			q.drawCredit(r)
			credits++
		}
		if p == nil || r.IntN(2) == 0 {
			p = q.pricer()
		} else {
			q.ask(p) // one pricer answers one question after another
		}
		var avail []int64 // none: the demands
		if r.IntN(2) == 0 {
			for i := range q.avail {
				q.avail[i] = r.Int64N(q.demand[i] + 1)
			}
			avail = q.avail
		}
		best := q.most()
		q.floor = []int64{0, best - 1, best, best / 2, best + 1, -best - 5, best - r.Int64N(1+best-min(best, 0))}[r.IntN(7)]
		count := 1 + r.IntN(6)
		total, takes, exact := p.bestPatterns(q.room, q.duals, avail, q.terms, q.floor, count, 0)
		if !exact {
			t.Fatalf("seed %d: not exact, though nothing limits it", seed)
		}
		q.hold(t, best, count, total, takes, exact)
		if len(takes) > 0 {
			above++
		}
		if len(takes) > 1 {
			several++
		}
		if len(takes) > 0 && len(takes[0]) == 0 {
			empty++
		}
		if len(q.terms) > 0 && best > q.floor {
			conditions++
		}
	}
	if above < 5000 || several < 500 || conditions < 2000 || empty < 100 || credits < 5000 {
		t.Errorf("%d above the floor, %d with several patterns, %d with conditions, %d empty, %d with credits: the test says too little", above, several, conditions, empty, credits)
	}
}

// With few states the answer may be wrong, but says so, and its pattern is one.
func TestManyWithFewStates(t *testing.T) {
	missed, thinned := 0, 0
	for seed := range uint64(8000) {
		r := rand.New(rand.NewPCG(seed, 6))
		q := smallKnapsack(r)
		best := q.most()
		total, takes, exact := q.pricer().bestPatterns(q.room, q.duals, nil, q.terms, 0, 4, 1+r.IntN(4))
		q.hold(t, best, 4, total, takes, exact)
		if !exact {
			thinned++
			if total < best {
				missed++
			}
		}
	}
	if thinned < 500 || missed < 20 {
		t.Errorf("%d lists thinned, %d best patterns missed: the test says too little", thinned, missed)
	}
}

func TestBestAgainstEveryPattern(t *testing.T) {
	early := 0
	for seed := range uint64(8000) {
		r := rand.New(rand.NewPCG(seed, 7))
		q := smallKnapsack(r)
		q.terms = nil
		for i := range q.avail {
			q.avail[i] = r.Int64N(q.demand[i] + 1)
		}
		best := q.most()
		q.floor = []int64{0, best - 1, best, best / 2}[r.IntN(4)]
		enough := int64(math.MaxInt64)
		if r.IntN(2) == 0 {
			enough = max(q.floor+1, best/2) // more than the floor, or nothing would be looked for
		}
		total, take, found := q.pricer().bestPattern(q.room, q.duals, q.avail, q.floor, enough)
		if found != (best > q.floor) {
			t.Fatalf("seed %d: found %v with the best %d above %d", seed, found, best, q.floor)
		}
		if !found {
			if take != nil || total != q.floor {
				t.Fatalf("seed %d: %v, dual value %d, found though nothing is", seed, take, total)
			}
			continue
		}
		w, ok := q.of(q.vector(t, take))
		if !ok || w != total || w <= q.floor || w < min(best, enough) {
			t.Fatalf("seed %d: %v has value %d, called %d, the best %d, enough %d\n%+v", seed, take, w, total, best, enough, *q)
		}
		if total < best {
			early++
		}
	}
	if early < 100 {
		t.Errorf("only %d stops at what is enough: the test says too little", early)
	}
}

// largeKnapsack draws a question whose partial patterns are many: dual values hardly differ from lengths. Lengths are whole
// numbers of unit and up to rest more, so little that which patterns fit can be told in units.
func largeKnapsack(r *rand.Rand, unit int64) (q *knapsack, rooms int) {
	q = &knapsack{}
	rooms = 1500 + r.IntN(1500)
	n := 20 + r.IntN(20)
	for range n {
		l := 60 + r.Int64N(700)
		d := 1 + r.Int64N(4)
		q.length, q.demand = append(q.length, unit*l), append(q.demand, d)
		q.duals = append(q.duals, 1000*l+r.Int64N(20000))
	}
	q.avail = q.demand
	q.room = unit*int64(rooms) + r.Int64N(unit)
	return q, rooms
}

// filled is the greatest value of the items not held out, by units of room.
func (q *knapsack) filled(unit int64, rooms int, out []int) []int64 {
	best := make([]int64, rooms+1)
	for i, u := range q.duals {
		if slices.Contains(out, i) {
			continue
		}
		l := int(q.length[i] / unit)
		for range q.avail[i] {
			for c := rooms; c >= l; c-- {
				best[c] = max(best[c], best[c-l]+u)
			}
		}
	}
	return best
}

// mostLarge is the greatest value of a pattern, by a table over the room for every choice of the first two items, on
// which alone there are conditions.
func (q *knapsack) mostLarge(unit int64, rooms int) int64 {
	best := int64(math.MinInt64)
	rest := q.filled(unit, rooms, []int{0, 1})
	v := make([]int64, len(q.length))
	for v[0] = 0; v[0] <= q.avail[0]; v[0]++ {
		for v[1] = 0; v[1] <= q.avail[1]; v[1]++ {
			if left := rooms - int((v[0]*q.length[0]+v[1]*q.length[1])/unit); left >= 0 {
				w, _ := q.of(v)
				best = max(best, w+rest[left])
			}
		}
	}
	return best
}

// Long lists of partial patterns, where completion bounds are used and lists are thinned, are held against a table over the room.
func TestManyOfLongLists(t *testing.T) {
	foreseen, coarse, thinned, missed, conditions := 0, 0, 0, 0, 0
	for seed := range uint64(150) {
		r := rand.New(rand.NewPCG(seed, 8))
		unit := []int64{1, 7, 1_000_003}[r.IntN(3)]
		q, rooms := largeKnapsack(r, unit)
		if r.IntN(2) == 0 {
			long := 1000 * (q.length[0] + q.length[1]) / unit
			q.terms = []conditionTerm{{[]Take{{0, 1}, {1, 1}}, r.Int64N(long) - long/2}, {[]Take{{0, 1 + r.Int64N(q.demand[0])}}, r.Int64N(long) - long/2}}
			conditions++
		}
		best := q.mostLarge(unit, rooms)
		q.floor = []int64{0, best - 1, best, best - best/200, best - best/20}[r.IntN(5)]
		p := q.pricer()
		total, takes, exact := p.bestPatterns(q.room, q.duals, nil, q.terms, q.floor, 5, 0)
		if !exact {
			t.Fatalf("seed %d: not exact, though nothing limits it", seed)
		}
		q.hold(t, best, 5, total, takes, exact)
		if len(p.completion) > 0 {
			foreseen++
			if p.shift > 0 {
				coarse++
			}
		}
		total, takes, exact = p.bestPatterns(q.room, q.duals, nil, q.terms, q.floor, 5, 30+r.IntN(100))
		q.hold(t, best, 5, total, takes, exact)
		if !exact {
			thinned++
			if total < best {
				missed++
			}
		}
	}
	if foreseen < 20 || coarse < 10 || thinned < 20 || missed == 0 || conditions < 40 {
		t.Errorf("%d outlooks, %d of them coarse, %d lists thinned, %d best missed, %d with conditions: the test says too little",
			foreseen, coarse, thinned, missed, conditions)
	}
}

// Completion bounds are never less than what can come, and just that where cells are units.
func TestLookNeverForeseesTooLittle(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 9))
		unit := []int64{1, 3, 1_000_003}[r.IntN(3)]
		q, rooms := largeKnapsack(r, unit)
		p := q.pricer()
		p.solve(q.room, q.duals, nil, nil, math.MaxInt64/2, false) // sets the pieces up, and drops every state
		first := 1 + r.IntN(3)
		p.tabulateCompletion(q.room, first)
		stage := first + r.IntN(len(p.pieces)-first)
		ahead := p.completion[(stage-p.completionFrom)*p.cells:][:p.cells]
		best := make([]int64, rooms+1)
		for _, x := range p.pieces[stage : len(p.pieces)-1] {
			for c := rooms; c >= int(x.length/unit); c-- {
				best[c] = max(best[c], best[c-int(x.length/unit)]+x.value)
			}
		}
		for c, w := range best {
			if got := ahead[(unit*int64(c))>>p.shift]; got < w {
				t.Fatalf("seed %d: %d foreseen from stage %d on in a room of %d, but %d can come", seed, got, stage, unit*int64(c), w)
			} else if p.shift == 0 && got != w {
				t.Fatalf("seed %d: %d foreseen from stage %d on in a room of %d, but only %d can come", seed, got, stage, c, w)
			}
		}
	}
}

func TestManyNamedCases(t *testing.T) {
	half := int64(1) << 58
	for _, tc := range []struct {
		name string
		knapsack
		want int64
	}{
		{"no items", knapsack{room: 10}, 0},
		{"nothing fits", knapsack{length: []int64{11}, demand: []int64{3}, duals: []int64{5}, room: 10}, 0},
		{"no more than there is", knapsack{length: []int64{2}, demand: []int64{3}, duals: []int64{5}, room: 10}, 15},
		{"no more than fits", knapsack{length: []int64{2}, demand: []int64{9}, duals: []int64{5}, room: 10}, 25},
		{"the last nanometre", knapsack{length: []int64{333_333_333, 1}, demand: []int64{3, 1}, duals: []int64{5, 1}, room: 1_000_000_000}, 16},
		{"not quite the last nanometre", knapsack{length: []int64{333_333_333, 2}, demand: []int64{3, 1}, duals: []int64{5, 1}, room: 1_000_000_000}, 15},
		{"the densest first is wrong", knapsack{length: []int64{6, 5}, demand: []int64{1, 2}, duals: []int64{7, 5}, room: 10}, 10},
		{"dual value at the edge", knapsack{length: []int64{5, 3}, demand: []int64{2, 1}, duals: []int64{half, half - 1}, room: 10}, 2 * half},
		{"a loss that a condition makes good", knapsack{length: []int64{5, 3}, demand: []int64{1, 2}, duals: []int64{4, -1}, room: 11,
			terms: []conditionTerm{{[]Take{{1, 2}}, 5}}}, 7},
		{"a condition out of reach", knapsack{length: []int64{5, 3}, demand: []int64{1, 2}, duals: []int64{4, -1}, room: 10,
			terms: []conditionTerm{{[]Take{{0, 1}, {1, 2}}, 50}}}, 4},
		{"a fine to keep clear of", knapsack{length: []int64{5}, demand: []int64{2}, duals: []int64{4}, room: 10,
			terms: []conditionTerm{{[]Take{{0, 2}}, -5}}}, 4},
		{"a fine that pays", knapsack{length: []int64{5}, demand: []int64{2}, duals: []int64{4}, room: 10,
			terms: []conditionTerm{{[]Take{{0, 2}}, -3}}}, 5},
		{"a fine on two together", knapsack{length: []int64{5, 4}, demand: []int64{1, 1}, duals: []int64{4, 3}, room: 10,
			terms: []conditionTerm{{[]Take{{0, 1}, {1, 1}}, -4}}}, 4},
		{"the same condition twice", knapsack{length: []int64{5}, demand: []int64{2}, duals: []int64{1}, room: 10,
			terms: []conditionTerm{{[]Take{{0, 1}}, 3}, {[]Take{{0, 1}}, 3}}}, 8},
		{"thresholds one above another", knapsack{length: []int64{2}, demand: []int64{5}, duals: []int64{-2}, room: 10,
			terms: []conditionTerm{{[]Take{{0, 1}}, 3}, {[]Take{{0, 3}}, 1}, {[]Take{{0, 5}}, 9}}}, 3},
		{"three together, each at a loss", knapsack{length: []int64{2, 3, 4}, demand: []int64{1, 1, 1}, duals: []int64{-1, -1, -1}, room: 9,
			terms: []conditionTerm{{[]Take{{0, 1}, {1, 1}, {2, 1}}, 10}, {[]Take{{0, 1}, {2, 1}}, -2}}}, 5},
	} {
		t.Run(tc.name, func(t *testing.T) {
			q := tc.knapsack
			q.avail = q.demand
			if best := q.most(); best != tc.want {
				t.Fatalf("the best pattern has value %d, not %d", best, tc.want)
			}
			q.floor = min(0, tc.want) - 1
			total, takes, exact := q.pricer().bestPatterns(q.room, q.duals, nil, q.terms, q.floor, 3, 0)
			q.hold(t, tc.want, 3, total, takes, exact)
			if total != tc.want {
				t.Errorf("greatest value %d, want %d", total, tc.want)
			}
		})
	}
}

// Conditions on one item take no room among those that can be followed at once.
func TestManyFollowsConditionsPastManySingleOnes(t *testing.T) {
	in := newInstance(Problem{Items: []Item{{Length: 3, Demand: 100}, {Length: 5, Demand: 2}}, Kinds: []Kind{{Length: 1000, Cost: 1}}})
	var extras []conditionTerm
	for i := range int64(64) {
		extras = append(extras, conditionTerm{[]Take{{0, i + 1}}, 1})
	}
	extras = append(extras, conditionTerm{[]Take{{0, 1}, {1, 1}}, 1000})
	p := pricer{in: in}
	total, _, exact := p.bestPatterns(1000, []int64{1, 1}, nil, extras, 0, 8, 0)
	if total != 100+2+64+1000 || !exact {
		t.Errorf("dual value %d, exact %v, want 1166 and exact", total, exact)
	}
	// More joint conditions than can be followed: it must say that it is not exact.
	extras = extras[:0]
	for i := range int64(maxTags + 1) {
		extras = append(extras, conditionTerm{[]Take{{0, i + 1}, {1, 1}}, 1})
	}
	if _, _, exact := p.bestPatterns(1000, []int64{1, 1}, nil, extras, 0, 8, 0); exact {
		t.Errorf("exact with %d joint conditions", len(extras))
	}
}
