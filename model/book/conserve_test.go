package book

import (
	"flag"
	"fmt"
	"maps"
	"math/big"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

var sequences = flag.Int("sequences", 6, "how many random sequences TestConservation plays")

// operations is how long a random sequence is.
const operations = 200

// TestConservation plays random sequences of what happens in a shop, undo included, to the book and to a plain model of the shop
// in memory, which shares no code with it, and demands that both agree on every stick, side, job and penny, and that nothing is
// lost or made.
func TestConservation(t *testing.T) {
	if testing.Short() {
		*sequences = 2
	}
	for seed := range *sequences {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			g := newGame(t, uint64(seed))
			for op := range operations {
				g.play(op)
				if t.Failed() {
					t.Fatalf("seed %d, operation %d: %s", seed, op, g.last)
				}
				if op%25 == 24 || op == operations-1 {
					g.compare(op)
				}
			}
			sound(t, g.b)
			if g.undone == 0 || g.finished == 0 {
				t.Errorf("seed %d: %d undone, %d runs finished: the sequence shows nothing", seed, g.undone, g.finished)
			}
		})
	}
}

// memStick is a stick of the model in memory.
type memStick struct {
	profile      string
	length       model.Length
	cost         model.Money
	state        string
	plan, order  int64 // that it was bought for, and with
	wasted       model.Length
	wastedMoney  model.Money
	long         model.Length // sides done that came off it
	longMoney    model.Money
	keptOf       string // what it is an offcut of
	boughtOrHere bool   // came from outside: was found or bought
}

// memRun is an open run.
type memRun struct {
	profile string
	plan    int64
	sticks  map[int]string // by number
	cuts    map[[2]int]string
	flawed  map[int]bool
	waiting []plan.Stick // sticks of the plan that are not here yet
	awaited []model.SideID
}

// memCut is a side that is done.
type memCut struct {
	run   int64  // that is open; 0: it is finished
	at    [2]int // in that run
	stick string // that it came off, in a finished run
	long  model.Length
	money model.Money
}

// memOrder is an order.
type memOrder struct {
	lines []memLine
	open  bool
	state string
}

// memLine is a line of an order.
type memLine struct {
	plan.Purchase
	plan              int64
	came, gone, extra int
}

// memShop is the whole shop, copied before every operation so that undo can go back to it.
type memShop struct {
	sticks  map[string]memStick
	jobs    map[string]string          // state
	frames  map[string]int             // copies of the one frame of a job
	sizes   map[string][2]model.Length // of that frame, as long as its sides
	done    map[model.SideID]memCut
	orders  map[int64]memOrder
	ordered map[int64]bool // plans
	runs    map[int64]memRun
	ran     map[string]bool // profile and plan
	plans   int64
	docs    map[int64]*plan.Document // never changed once made
	runIDs  int64
	orderNo int64
	jobNo   int
	foundNo int
}

func (s memShop) clone() memShop {
	c := s
	c.sticks, c.jobs, c.frames, c.done = maps.Clone(s.sticks), maps.Clone(s.jobs), maps.Clone(s.frames), maps.Clone(s.done)
	c.sizes = maps.Clone(s.sizes)
	c.ordered, c.ran, c.docs = maps.Clone(s.ordered), maps.Clone(s.ran), maps.Clone(s.docs)
	c.orders = map[int64]memOrder{}
	for id, o := range s.orders {
		o.lines = slices.Clone(o.lines)
		c.orders[id] = o
	}
	c.runs = map[int64]memRun{}
	for id, r := range s.runs {
		r.sticks, r.cuts, r.flawed = maps.Clone(r.sticks), maps.Clone(r.cuts), maps.Clone(r.flawed)
		c.runs[id] = r
	}
	return c
}

// game is one sequence.
type game struct {
	t                *testing.T
	b                *Book
	r                *rand.Rand
	shop             memShop
	before           []memShop
	states           []string // what the book's rows came to before each operation
	last             string
	undone, finished int
}

const (
	gameHead = 40 * model.Millimetre
	gameLoss = 5 * model.Millimetre
	gameKeep = 300 * model.Millimetre
)

var gameProfiles = []string{"oak-40", "black-22"}

func newGame(t *testing.T, seed uint64) *game {
	w := smallShop()
	w.Rack, w.Jobs, w.Profiles[1].Keep = nil, nil, gameKeep
	path := filepath.Join(t.TempDir(), "shop.book")
	must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), w, tester) }))
	return &game{t: t, b: openBook(t, path), r: rand.New(rand.NewPCG(seed, 7)), shop: memShop{
		sticks: map[string]memStick{}, jobs: map[string]string{}, frames: map[string]int{}, sizes: map[string][2]model.Length{}, done: map[model.SideID]memCut{}, orders: map[int64]memOrder{},
		ordered: map[int64]bool{}, runs: map[int64]memRun{}, ran: map[string]bool{}, docs: map[int64]*plan.Document{}}}
}

// play does one operation that is possible now, to the book and to the model.
func (g *game) play(op int) {
	moves := []func() bool{g.takeJob, g.find, g.measure, g.change, g.plan, g.order, g.send, g.receive, g.receive, g.start, g.start, g.takeIn, g.cut, g.cut, g.cut, g.cut, g.flaw, g.finish, g.discard, g.collect, g.undo}
	for {
		was, rows := g.shop.clone(), g.rows()
		undone := g.undone
		if moves[g.r.IntN(len(moves))]() {
			if g.undone == undone {
				g.before, g.states = append(g.before, was), append(g.states, rows)
			}
			return
		}
		if g.t.Failed() {
			return
		}
	}
}

// rows gives the sum that the last step has of all rows of the shop, which differs where one byte of one of them does. TestStateKeptUp holds that it is theirs.
func (g *game) rows() (sum string) {
	g.t.Helper()
	g.ok(g.b.db.QueryRowContext(g.t.Context(), "SELECT state FROM seal ORDER BY step DESC LIMIT 1").Scan(&sum))
	return sum
}

func (g *game) say(format string, args ...any) bool {
	g.last = fmt.Sprintf(format, args...)
	return true
}

func (g *game) ok(err error) {
	g.t.Helper()
	if err != nil {
		g.t.Errorf("%s: %v", g.last, err)
	}
}

func (g *game) takeJob() bool {
	g.shop.jobNo++
	j := model.Job{ID: fmt.Sprintf("J%d", g.shop.jobNo), Frames: []model.JobFrame{{ID: "f", Quantity: 1 + g.r.IntN(2), Rings: []model.Ring{{
		Profile: gameProfiles[g.r.IntN(2)], Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByOutside,
			Width: g.length(200, 700), Height: g.length(200, 700)}}}}}}
	g.say("take in %s", j.ID)
	_, err := g.b.TakeIn(g.t.Context(), []model.Job{j}, tester)
	g.ok(err)
	g.shop.jobs[j.ID], g.shop.frames[j.ID] = JobOpen, j.Frames[0].Quantity
	size := j.Frames[0].Rings[0].Size
	g.shop.sizes[j.ID] = [2]model.Length{size.Width, size.Height}
	return true
}

// length gives a random length between two numbers of millimetres, to the nanometre.
func (g *game) length(least, most int64) model.Length {
	return model.Length(least)*model.Millimetre + model.Length(g.r.Int64N((most-least)*int64(model.Millimetre)))
}

func (g *game) find() bool {
	g.shop.foundNo++
	s := model.Stick{ID: fmt.Sprintf("F%d", g.shop.foundNo), Profile: gameProfiles[g.r.IntN(2)], Length: g.length(400, 3000)}
	cost := model.Money(g.r.IntN(3000))
	g.say("find %s", s.ID)
	_, err := g.b.write(g.t.Context(), "find", tester, func(t *transaction) error { return t.addStick(s, cost) })
	g.ok(err)
	g.shop.sticks[s.ID] = memStick{profile: s.Profile, length: s.Length, cost: cost, state: "rack", boughtOrHere: true}
	return true
}

// plan lays the sides that are to cut on the rack's sticks, first fit, and on new ones: a plan, though no cheap one.
func (g *game) plan() bool {
	w, done, err := g.b.Rest(g.t.Context())
	g.ok(err)
	g.holdComing(w)
	if g.r.IntN(2) == 0 {
		w = w.Here()
	}
	if len(w.Jobs) == 0 {
		return false
	}
	g.shop.plans++
	d := &plan.Document{Format: plan.Format, MadeWith: fmt.Sprint(g.shop.plans), Workshop: w.Name}
	for _, name := range gameProfiles {
		if p, any := g.layOut(w, name, done); any {
			d.Profiles = append(d.Profiles, p)
		}
	}
	if len(d.Profiles) == 0 {
		g.shop.plans--
		return false
	}
	for _, p := range d.Profiles {
		n := 0
		for _, s := range p.Sticks {
			if s.From == plan.Bought {
				n++
			}
		}
		if n > 0 {
			d.Buy = append(d.Buy, plan.Purchase{Supplier: "Invented Timber", Profile: p.Name, Length: 3 * model.Metre, Count: n, Price: 997, Cost: model.Money(997*n + g.r.IntN(n))})
		}
	}
	g.say("plan %d", g.shop.plans)
	id, err := g.b.KeepPlan(g.t.Context(), d, tester)
	g.ok(err)
	if id != g.shop.plans {
		g.t.Errorf("plan %d was kept as %d", g.shop.plans, id)
	}
	g.shop.docs[id] = d
	return true
}

// holdComing holds what the book says is on the way, and free to plan with, against the model: what is to come of every order less what open runs
// wait for.
func (g *game) holdComing(w *model.Workshop) {
	g.t.Helper()
	type from struct {
		order, profile string
	}
	want, got := map[from]int{}, map[from]int{}
	for id, o := range g.shop.orders {
		for _, l := range o.lines {
			if n := l.Count - l.came - l.gone; n > 0 && o.state == Placed {
				want[from{fmt.Sprint(id), l.Profile}] += n
			}
		}
	}
	for _, s := range w.Rack {
		if s.OnTheWay() {
			got[from{s.Coming.Order, s.Profile}]++
		} else if g.shop.sticks[s.ID].state != "rack" {
			g.t.Errorf("%s: the book would plan with %s, which is %q", g.last, s.ID, g.shop.sticks[s.ID].state)
		}
	}
	for id, run := range g.shop.runs {
		r, err := g.b.Run(g.t.Context(), id)
		g.ok(err)
		for _, a := range r.Waiting {
			if a.Order != 0 && !a.Here {
				got[from{fmt.Sprint(a.Order), run.profile}]++
			}
		}
	}
	if !maps.Equal(want, got) {
		g.t.Errorf("%s: on the way are %v in the book and %v in memory", g.last, got, want)
	}
}

// fitting gives how many of these sticks of a plan can be had from the rack at once, but for some, each a stick of its own (augmenting paths).
func (g *game) fitting(profile string, planID int64, sticks []plan.Stick, but map[string]bool) int {
	var rack []memStick
	for name, s := range g.shop.sticks {
		if s.profile == profile && s.state == "rack" && s.order != 0 && !but[name] {
			rack = append(rack, s)
		}
	}
	owner := map[int]int{}
	var give func(n int, tried map[int]bool) bool
	give = func(n int, tried map[int]bool) bool {
		for i, s := range rack {
			of := s.plan == planID
			if sticks[n].From == plan.OnTheWay {
				of = fmt.Sprint(s.order) == sticks[n].Order
			}
			if !of || s.length < sticks[n].Length || tried[i] {
				continue
			}
			tried[i] = true
			if other, taken := owner[i]; !taken || give(other, tried) {
				owner[i] = n
				return true
			}
		}
		return false
	}
	given := 0
	for n := range sticks {
		if give(n, map[int]bool{}) {
			given++
		}
	}
	return given
}

// layOut lays one profile's sides.
func (g *game) layOut(w *model.Workshop, name string, done []model.SideID) (p plan.ProfilePlan, any bool) {
	p = plan.ProfilePlan{Name: name, HeadTrim: gameHead, Bites: plan.Bites{Strokes: 3}}
	var free []plan.Stick
	for _, s := range w.Rack {
		if s.Profile == name {
			one := plan.Stick{ID: s.ID, From: plan.FromRack, Length: s.Length}
			if s.OnTheWay() {
				one.From, one.Order, one.Supplier, one.Expected = plan.OnTheWay, s.Coming.Order, s.Coming.Supplier, s.Coming.Expected.String()
			}
			free = append(free, one)
		}
	}
	left := func(s plan.Stick) model.Length {
		l := s.Length - gameHead
		for _, side := range s.Sides {
			l -= side.Takes
		}
		return l
	}
	bought := 0
	for _, j := range w.Jobs {
		f := j.Frames[0]
		if f.Rings[0].Profile != name {
			continue
		}
		for copy := 1; copy <= f.Quantity; copy++ {
			for i, letter := range []string{"A", "B", "C", "D"} {
				s := plan.Side{SideID: model.SideID{Job: j.ID, Frame: f.ID, Copy: copy, Ring: 1, Letter: letter}, LongPoint: f.Rings[0].Size.Width}
				if i%2 == 1 {
					s.LongPoint = f.Rings[0].Size.Height
				}
				s.Takes = s.LongPoint + gameLoss
				if slices.Contains(done, s.SideID) {
					continue
				}
				any = true
				at := slices.IndexFunc(free, func(st plan.Stick) bool { return left(st) >= s.Takes })
				if at < 0 {
					bought++
					free = append(free, plan.Stick{ID: fmt.Sprintf("new %d", bought), From: plan.Bought, Supplier: "Invented Timber", Length: 3 * model.Metre})
					at = len(free) - 1
				}
				s.Start = free[at].Length - left(free[at]) + gameLoss/2
				free[at].Sides = append(free[at].Sides, s)
			}
		}
	}
	for _, s := range free {
		if len(s.Sides) > 0 {
			s.Left = plan.Left{Length: left(s), Becomes: plan.Waste}
			if s.Left.Length >= gameKeep {
				s.Left.Becomes = plan.Kept
			}
			p.Sticks = append(p.Sticks, s)
		}
	}
	return p, any
}

func (g *game) order() bool {
	id := g.shop.plans
	d := g.shop.docs[id]
	if d == nil || len(d.Buy) == 0 || g.shop.ordered[id] {
		return false
	}
	g.say("order plan %d", id)
	number, open := pick(g, g.shop.orders, func(o memOrder) bool { return o.open && o.state == Placed })
	if !open {
		g.shop.orderNo++
		number = g.shop.orderNo
	}
	orders, fresh, err := g.b.PlaceOrders(g.t.Context(), id, false, tester)
	g.ok(err)
	if !fresh || len(orders) != 1 || orders[0].ID != number || !orders[0].Open {
		g.t.Errorf("%s: %+v, want order %d", g.last, orders, number)
	}
	g.shop.ordered[id] = true
	o := g.shop.orders[number]
	o.open, o.state = true, Placed
	for _, l := range d.Buy {
		o.lines = append(o.lines, memLine{Purchase: l, plan: id})
	}
	g.shop.orders[number] = o
	return true
}

func (g *game) send() bool {
	id, found := pick(g, g.shop.orders, func(o memOrder) bool { return o.open && o.state == Placed })
	if !found {
		return false
	}
	g.say("send order %d", id)
	_, err := g.b.Do(g.t.Context(), tester, SendOrders(id))
	g.ok(err)
	o := g.shop.orders[id]
	o.open = false
	g.shop.orders[id] = o
	return true
}

// pick gives one of a map's keys, the same for the same seed.
func pick[K interface{ ~int64 | ~string }, V any](g *game, all map[K]V, take func(V) bool) (K, bool) {
	var keys []K
	for k, v := range all {
		if take(v) {
			keys = append(keys, k)
		}
	}
	var none K
	if len(keys) == 0 {
		return none, false
	}
	slices.Sort(keys)
	return keys[g.r.IntN(len(keys))], true
}

func (g *game) receive() bool {
	id, found := pick(g, g.shop.orders, func(o memOrder) bool { return o.state == Placed })
	if !found {
		return false
	}
	o := g.shop.orders[id]
	r := Receipt{Again: true}
	for i, l := range o.lines {
		if n := l.Count - l.came - l.gone; n > 0 {
			r.Arrivals = append(r.Arrivals, Arrival{Line: i + 1, Sticks: n})
		}
	}
	switch g.r.IntN(4) {
	case 0: // one, of another length
		r.Arrivals = []Arrival{{Line: r.Arrivals[0].Line, Sticks: 1, Length: g.length(2900, 3010)}}
		r.Complete = g.r.IntN(3) == 0
	case 1: // more than was ordered, though some may have been written off
		r.Arrivals, r.More = []Arrival{{Line: 1 + g.r.IntN(len(o.lines)), Sticks: 1 + g.r.IntN(3)}}, true
	case 2: // all that is to come
		r.Arrivals = nil
	}
	g.say("receive order %d, %+v", id, r)
	come := r.Arrivals
	if len(come) == 0 {
		for i, l := range o.lines {
			if n := l.Count - l.came - l.gone; n > 0 {
				come = append(come, Arrival{Line: i + 1, Sticks: n})
			}
		}
	}
	names, err := g.b.Receive(g.t.Context(), id, r, tester)
	g.ok(err)
	o.open = false
	for _, a := range come {
		l := &o.lines[a.Line-1]
		for range a.Sticks {
			if len(names) == 0 {
				g.t.Errorf("%s: too few names", g.last)
				return true
			}
			s := memStick{profile: l.Profile, length: max(a.Length, 0), state: "rack", plan: l.plan, order: id, boughtOrHere: true}
			if s.length == 0 {
				s.length = l.Length
			}
			switch {
			case l.came+l.gone < l.Count || l.gone > 0:
				if l.came+l.gone == l.Count {
					l.gone-- // it was written off, and comes after all
				}
				s.cost = floor(l.Cost, model.Length(l.came+1), model.Length(l.Count)) - floor(l.Cost, model.Length(l.came), model.Length(l.Count))
				l.came++
			default:
				s.cost = l.Cost / model.Money(l.Count)
				l.extra++
			}
			g.shop.sticks[names[0]] = s
			names = names[1:]
		}
		if r.Complete {
			l.gone = l.Count - l.came
		}
	}
	whole := true
	for _, l := range o.lines {
		whole = whole && l.came+l.gone == l.Count
	}
	if whole {
		o.state = Arrived
	}
	g.shop.orders[id] = o
	return true
}

// floor is m × part ÷ all, rounded down, in whole numbers of any size.
func floor(m model.Money, part, all model.Length) model.Money {
	x := new(big.Int).Mul(big.NewInt(int64(m)), big.NewInt(int64(part)))
	return model.Money(x.Quo(x, big.NewInt(int64(all))).Int64())
}

func (g *game) start() bool {
	id := g.shop.plans
	d := g.shop.docs[id]
	if d == nil {
		return false
	}
	p := d.Profiles[g.r.IntN(len(d.Profiles))]
	if g.shop.ran[fmt.Sprint(p.Name, id)] {
		return false
	}
	for _, r := range g.shop.runs {
		if r.profile == p.Name {
			return false
		}
	}
	// Every rack stick that the plan wants must be there. Of the others as many as can be are what came for this plan or with that order.
	possible, here := true, 0
	var others []plan.Stick
	for _, s := range p.Sticks {
		any := false
		for _, side := range s.Sides {
			if g.isDone(side.SideID) {
				continue
			}
			any = true
			possible = possible && side.LongPoint == g.shop.sizes[side.Job][int(side.Letter[0]-'A')%2] // its job was not changed since
		}
		switch {
		case !any:
			continue
		case s.From != plan.FromRack:
			others = append(others, s)
			continue
		case g.shop.sticks[s.ID].state != "rack" || g.shop.sticks[s.ID].length != s.Length:
			possible = false
		}
		here++
	}
	named := map[string]bool{}
	for _, s := range p.Sticks {
		named[s.ID] = s.From == plan.FromRack
	}
	come := g.fitting(p.Name, id, others, named)
	g.say("start %s by plan %d", p.Name, id)
	r, fresh, err := g.b.StartRun(g.t.Context(), p.Name, id, tester)
	if !possible || here+come == 0 {
		if err == nil {
			g.t.Errorf("%s: it cannot be cut and was started", g.last)
		}
		return false
	}
	g.ok(err)
	g.shop.runIDs++
	if !fresh || r.ID != g.shop.runIDs {
		g.t.Errorf("%s: run %d, want %d", g.last, r.ID, g.shop.runIDs)
	}
	run := memRun{profile: p.Name, plan: id, sticks: map[int]string{}, cuts: map[[2]int]string{}, flawed: map[int]bool{}}
	g.shop.runs[r.ID] = g.inHand(run, r, len(others)-come)
	g.shop.ran[fmt.Sprint(p.Name, id)] = true
	return true
}

// inHand takes the sticks of a run off the model's rack.
func (g *game) inHand(run memRun, r runs.Run, waiting int) memRun {
	for _, s := range r.Sticks {
		run.sticks[s.Number] = s.Stick
		m := g.shop.sticks[s.Stick]
		if m.state != "rack" && m.state != "run" {
			g.t.Errorf("%s: %s is in hand, and it was %q", g.last, s.Stick, m.state)
		}
		m.state = "run"
		g.shop.sticks[s.Stick] = m
	}
	if len(r.Waiting) != waiting {
		g.t.Errorf("%s: it waits for %d sticks, want %d", g.last, len(r.Waiting), waiting)
	}
	run.awaited, run.waiting = nil, nil
	for _, a := range r.Waiting {
		run.waiting = append(run.waiting, a.Sides[0].By.Sticks[a.Of-1])
		for _, side := range a.Sides {
			run.awaited = append(run.awaited, side.SideID)
		}
	}
	return run
}

// takeIn starts an open run again, which takes in what has arrived for it.
func (g *game) takeIn() bool {
	id, found := pick(g, g.shop.runs, func(r memRun) bool { return len(r.waiting) > 0 })
	if !found {
		return false
	}
	run := g.shop.runs[id]
	came := g.fitting(run.profile, run.plan, run.waiting, nil)
	g.say("take in for run %d: %d sticks", id, came)
	before := len(run.sticks)
	r, fresh, err := g.b.StartRun(g.t.Context(), run.profile, 0, tester)
	g.ok(err)
	g.shop.runs[id] = g.inHand(run, r, len(run.waiting)-came)
	if fresh != (came > 0) || len(run.sticks) != before+came || r.ID != id {
		g.t.Errorf("%s: fresh %t, %d sticks in hand of run %d", g.last, fresh, len(run.sticks), r.ID)
	}
	return came > 0
}

// planned gives the sides of a stick of a run.
func (g *game) planned(run memRun, number int) []plan.Side {
	for _, p := range g.shop.docs[run.plan].Profiles {
		if p.Name == run.profile {
			return p.Sticks[number-1].Sides
		}
	}
	return nil
}

// openStick picks an open run and a stick of it.
func (g *game) openStick() (id int64, run memRun, number int, found bool) {
	id, found = pick(g, g.shop.runs, func(memRun) bool { return true })
	if !found {
		return 0, memRun{}, 0, false
	}
	run = g.shop.runs[id]
	numbers := slices.Sorted(maps.Keys(run.sticks))
	return id, run, numbers[g.r.IntN(len(numbers))], true
}

func (g *game) cut() bool {
	id, run, number, found := g.openStick()
	if !found || run.flawed[number] {
		return false
	}
	var places []int
	for i, side := range g.planned(run, number) {
		if run.cuts[[2]int{number, i + 1}] == "" && !g.isDone(side.SideID) && g.r.IntN(4) > 0 {
			places = append(places, i+1)
		}
	}
	if len(places) == 0 {
		return false
	}
	became := []string{runs.Done, runs.Done, runs.Done, runs.Done, runs.Done, runs.Short, runs.Torn}[g.r.IntN(7)]
	g.say("cut %v of stick %d of run %d: %s", places, number, id, became)
	_, fresh, err := g.b.Cut(g.t.Context(), id, number, places, became, tester)
	g.ok(err)
	if !fresh {
		g.t.Errorf("%s: nothing was written", g.last)
	}
	for _, place := range places {
		run.cuts[[2]int{number, place}] = became
		if became == runs.Done {
			side := g.planned(run, number)[place-1]
			g.shop.done[side.SideID] = memCut{run: id, at: [2]int{number, place}, long: side.LongPoint}
		}
	}
	return true
}

func (g *game) flaw() bool {
	id, run, number, found := g.openStick()
	if !found || run.flawed[number] || g.r.IntN(3) > 0 {
		return false
	}
	g.say("flaw in stick %d of run %d", number, id)
	_, err := g.b.Flaw(g.t.Context(), id, number, "", tester)
	g.ok(err)
	run.flawed[number] = true
	return true
}

func (g *game) finish() bool {
	id, run, number, found := g.openStick()
	if !found || len(run.cuts) == 0 && g.r.IntN(4) > 0 {
		return false
	}
	keep := map[int]model.Length{}
	if run.flawed[number] {
		keep[number] = g.length(0, 50)
	}
	g.say("finish run %d, %v", id, keep)
	f, _, err := g.b.Finish(g.t.Context(), id, keep, tester)
	g.ok(err)
	g.finished++
	offcuts := map[string]runs.Offcut{}
	for _, o := range f.Offcuts {
		offcuts[o.Of] = o
	}
	jobs := map[string]bool{}
	for number, name := range run.sticks {
		s := g.shop.sticks[name]
		var takes, long model.Length
		var longMoney model.Money
		cuts := 0
		for i, side := range g.planned(run, number) {
			jobs[side.Job] = true
			switch run.cuts[[2]int{number, i + 1}] {
			case "":
				continue
			case runs.Done:
				money := floor(s.cost, side.LongPoint, s.length)
				long += side.LongPoint
				longMoney += money
				g.shop.done[side.SideID] = memCut{stick: name, long: side.LongPoint, money: money}
			}
			takes += side.Takes
			cuts++
		}
		wish, wished := keep[number]
		if cuts == 0 && !run.flawed[number] && !wished {
			s.state = "rack"
			g.shop.sticks[name] = s
			continue
		}
		kept := s.length - gameHead - takes
		if kept < gameKeep || run.flawed[number] {
			kept = 0
		}
		if wished {
			kept = wish
		}
		forKept := floor(s.cost, kept, s.length)
		s.state, s.long, s.longMoney = "used", long, longMoney
		s.wasted, s.wastedMoney = s.length-long-kept, s.cost-longMoney-forKept
		g.shop.sticks[name] = s
		o, there := offcuts[name]
		if there != (kept > 0) || o.Length != kept {
			g.t.Errorf("%s: offcut %+v of %s, want %s", g.last, o, name, kept)
		}
		if there {
			g.shop.sticks[o.Name] = memStick{profile: s.profile, length: kept, cost: forKept, state: "rack", keptOf: name}
		}
	}
	for job := range jobs {
		n := 0
		for side := range g.shop.done {
			if side.Job == job {
				n++
			}
		}
		if n == 4*g.shop.frames[job] && g.shop.jobs[job] == JobOpen {
			g.shop.jobs[job] = JobReady
		}
	}
	delete(g.shop.runs, id)
	return true
}

func (g *game) isDone(s model.SideID) bool {
	_, done := g.shop.done[s]
	return done
}

// measure finds a stick of the rack a little shorter than it was thought to be.
func (g *game) measure() bool {
	name, found := pick(g, g.shop.sticks, func(s memStick) bool { return s.state == "rack" })
	if !found || g.r.IntN(3) > 0 {
		return false
	}
	s := g.shop.sticks[name]
	less := g.length(0, 5)
	if less == 0 || less >= s.length {
		return false
	}
	g.say("measure %s", name)
	_, err := g.b.Do(g.t.Context(), tester, MeasureStick(name, s.length-less, nil))
	g.ok(err)
	s.length -= less
	g.shop.sticks[name] = s
	if s.keptOf != "" {
		of := g.shop.sticks[s.keptOf]
		of.wasted += less
		g.shop.sticks[s.keptOf] = of
	}
	return true
}

// change makes a job's frame wider, so that its sides A and C are not wanted as they are.
func (g *game) change() bool {
	name, found := pick(g, g.shop.jobs, func(state string) bool { return state == JobOpen || state == JobReady })
	if !found || g.r.IntN(3) > 0 {
		return false
	}
	inHand := false
	for _, run := range g.shop.runs {
		for _, side := range run.awaited {
			inHand = inHand || side.Job == name && side.Letter[0]%2 == 'A'%2 && !g.isDone(side)
		}
		for number := range run.sticks {
			for i, side := range g.planned(run, number) {
				toCut := run.cuts[[2]int{number, i + 1}] == "" && !g.isDone(side.SideID) && !run.flawed[number]
				inHand = inHand || side.Job == name && side.Letter[0]%2 == 'A'%2 && toCut
			}
		}
	}
	width := g.shop.sizes[name][0] + model.Millimetre
	g.say("job %s is wider", name)
	_, err := g.b.Do(g.t.Context(), tester, ChangeJob(name, func(j *model.Job) error { j.Frames[0].Rings[0].Size.Width = width; return nil }))
	if inHand {
		if err == nil {
			g.t.Errorf("%s: a run is about to cut it, and it was changed", g.last)
		}
		return false
	}
	g.ok(err)
	g.shop.sizes[name] = [2]model.Length{width, g.shop.sizes[name][1]}
	g.shop.jobs[name] = JobOpen
	for side, c := range g.shop.done {
		switch {
		case side.Job != name || side.Letter[0]%2 != 'A'%2:
			continue
		case c.run != 0:
			g.shop.runs[c.run].cuts[c.at] = "unwanted"
		default:
			s := g.shop.sticks[c.stick]
			s.long, s.longMoney, s.wasted, s.wastedMoney = s.long-c.long, s.longMoney-c.money, s.wasted+c.long, s.wastedMoney+c.money
			g.shop.sticks[c.stick] = s
		}
		delete(g.shop.done, side)
	}
	return true
}

func (g *game) discard() bool {
	name, found := pick(g, g.shop.sticks, func(s memStick) bool { return s.state == "rack" })
	if !found || g.r.IntN(4) > 0 {
		return false
	}
	g.say("discard %s", name)
	_, err := g.b.Do(g.t.Context(), tester, Discard(name))
	g.ok(err)
	s := g.shop.sticks[name]
	s.state, s.wasted, s.wastedMoney = "discarded", s.length, s.cost
	g.shop.sticks[name] = s
	return true
}

func (g *game) collect() bool {
	name, found := pick(g, g.shop.jobs, func(state string) bool { return state == JobReady })
	if !found {
		return false
	}
	g.say("job %s is collected", name)
	_, err := g.b.Do(g.t.Context(), tester, MarkJobs(JobCollected, name))
	g.ok(err)
	g.shop.jobs[name] = JobCollected
	return true
}

func (g *game) undo() bool {
	if len(g.before) == 0 {
		return false
	}
	g.say("undo")
	_, err := g.b.Undo(g.t.Context(), 0, tester)
	g.ok(err)
	last := len(g.before) - 1
	if rows := g.rows(); rows != g.states[last] {
		g.t.Errorf("the rows are not as before the step that was taken back: %s, were %s", rows, g.states[last])
	}
	g.shop, g.before, g.states = g.before[last], g.before[:last], g.states[:last]
	g.undone++
	return true
}

// compare holds the book against the model.
func (g *game) compare(op int) {
	g.t.Helper()
	rack, err := g.b.Rack(g.t.Context())
	g.ok(err)
	here := map[string]RackStick{}
	for _, s := range rack {
		here[s.Name] = s
	}
	var in, out model.Length
	var paid, spent, wasteMoney model.Money
	var waste model.Length
	for name, s := range g.shop.sticks {
		if s.boughtOrHere {
			in, paid = in+s.length, paid+s.cost
		}
		waste, wasteMoney = waste+s.wasted, wasteMoney+s.wastedMoney
		out, spent = out+s.wasted+s.long, spent+s.wastedMoney+s.longMoney
		if s.state != "rack" && s.state != "run" {
			continue
		}
		out, spent = out+s.length, spent+s.cost
		if h := here[name]; h.State != s.state || h.Length != s.length || h.Cost != s.cost || h.Profile != s.profile || h.Of != s.keptOf {
			g.t.Errorf("operation %d: stick %s is %+v in the book and %+v in memory", op, name, h, s)
		}
		delete(here, name)
	}
	for name := range here {
		g.t.Errorf("operation %d: stick %s is only in the book", op, name)
	}
	if in != out || paid != spent {
		g.t.Errorf("operation %d: %d nm in and %d out; %d paid and %d spent", op, in, out, paid, spent)
	}
	yields, err := g.b.Yields(g.t.Context(), ByProfile)
	g.ok(err)
	for _, y := range yields {
		waste, wasteMoney = waste-y.Waste, wasteMoney-y.WasteCost
	}
	if waste != 0 || wasteMoney != 0 {
		g.t.Errorf("operation %d: the book's waste is off by %d nm and %d", op, -waste, -wasteMoney)
	}
	orders, err := g.b.Purchases(g.t.Context(), false)
	g.ok(err)
	if len(orders) != len(g.shop.orders) {
		g.t.Errorf("operation %d: %d orders in the book, %d in memory", op, len(orders), len(g.shop.orders))
	}
	for _, o := range orders {
		m := g.shop.orders[o.ID]
		if o.State != m.state || o.Open != m.open || len(o.Lines) != len(m.lines) {
			g.t.Errorf("operation %d: order %+v in the book, %+v in memory", op, o, m)
			continue
		}
		for i, l := range o.Lines {
			if w := m.lines[i]; l.Arrived != w.came+w.extra || l.Gone != w.gone || l.Extra != w.extra || l.Plan != w.plan || l.ToCome() != w.Count-w.came-w.gone {
				g.t.Errorf("operation %d: order %d, line %d is %+v in the book, %+v in memory", op, o.ID, l.Number, l, w)
			}
		}
	}
	jobs, err := g.b.Jobs(g.t.Context(), true)
	g.ok(err)
	cut := 0
	for _, j := range jobs {
		cut += j.Cut
		if g.shop.jobs[j.Name] != j.State {
			g.t.Errorf("operation %d: job %s is %s in the book and %s in memory", op, j.Name, j.State, g.shop.jobs[j.Name])
		}
	}
	if len(jobs) != len(g.shop.jobs) || cut != len(g.shop.done) {
		g.t.Errorf("operation %d: %d jobs with %d sides done in the book, %d with %d in memory", op, len(jobs), cut, len(g.shop.jobs), len(g.shop.done))
	}
}
