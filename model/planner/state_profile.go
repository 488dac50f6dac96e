package planner

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"sort"
	"strings"

	"longpoint/model"
	"longpoint/solver"
)

// task is what is to be cut of one profile, and what from. It is a part of the cutting problem of its batch: items[i]
// and kinds[k] are the problem's items firstItem + i and kinds firstKind + k, and its choices follow from firstChoice on.
type task struct {
	group
	w          *model.Workshop
	head, tail model.Length // trims of every stick
	rate       *big.Rat     // what a kept offcut is worth by length
	units      []unit       // longest first
	bound      []boundKind
	items      []item
	kinds      []kind
	supplies   []supply
	damaged    []damaged
	lots       []lot
	deeds      []deed // of its choices, in order

	given                             int // of the warnings, those that came with the group
	firstItem, firstKind, firstChoice int
}

// item is all units that take the same length of a stick, have the same long points in sum and, where they are bound,
// come from one lot. Which units those of a lot are follows from the plan.
type item struct {
	itemKey
	units [][]int // pieces of each; nil where lot is not free
}

// kind is equal sticks: those of one length and value on the rack, all that can be bought of one price list, or one
// sound part of a damaged stick.
type kind struct {
	length  model.Length // of the whole stick
	from    model.Length // where the first side's share starts, from the stick's physical head: the head trim, or damage
	usable  model.Length
	extra   model.Length // what of the stick stays on its last offcut behind usable: the tail trim
	cost    model.Money  // of one stick in the problem
	value   model.Money  // of the whole stick: as cost, but for a damaged one
	rack    []model.Stick
	supply  int // index in task.supplies where rack is nil
	damaged int // index in task.damaged, or undivided
	lotName string
	lot     int // index in task.lots, or free
	credit  solver.Credit
}

// undivided marks the kinds that are not part of a damaged stick.
const undivided = -1

func (k kind) bought() bool { return k.rack == nil }

// damaged is a stick of the rack with several sound parts. To cut any of them the stick is opened, which is a choice.
type damaged struct {
	stick model.Stick
	value model.Money
	kinds []int // indexes in task.kinds, from the head on
}

// prepare turns the groups into tasks, and finds what no stick can give: all of it, in one error.
func prepare(w *model.Workshop, o Options) ([]*task, error) {
	groups, err := gather(w, o)
	if err != nil {
		return nil, err
	}
	var tasks []*task
	var errs model.Errors
	for _, g := range groups {
		t := newTask(w, g, o)
		errs = append(errs, t.cannotCut()...)
		tasks = append(tasks, t)
	}
	if err := errs.AsError(); err != nil {
		return nil, err
	}
	return tasks, checkSums(tasks)
}

// Warnings gives each profile's warnings: what the machine says of its sides, what is left out, what a pattern asks for. Errors are those of Make.
func Warnings(w *model.Workshop, until, on model.Date, profiles []string) (map[string][]string, error) {
	tasks, err := prepare(w, Options{Until: until, On: on, Profiles: profiles})
	if err != nil {
		return nil, err
	}
	all := map[string][]string{}
	for _, t := range tasks {
		all[t.profile.Name] = t.warnings
	}
	return all, nil
}

func newTask(w *model.Workshop, g group, o Options) *task {
	t := &task{group: g, w: w, given: len(g.warnings)}
	t.head, t.tail = w.Machine.Trims(g.profile, g.shapes)
	t.rate = w.OffcutValue(g.profile)
	t.warnPattern()
	t.fillUnits()
	t.fillKinds(o)
	if len(t.bound) > 0 {
		t.lotsOfKinds()
	}
	t.fillItems()
	for n := range t.supplies {
		t.supplies[n].most = t.enough(t.supplies[n])
	}
	return t
}

// fillItems groups the units by what they take and by long point, longest first; those of bound rings once for each lot
// that can give one.
func (t *task) fillItems() {
	index := map[itemKey]int{}
	add := func(k itemKey, pieces []int) {
		i, ok := index[k]
		if !ok {
			i = len(t.items)
			index[k] = i
			t.items = append(t.items, item{itemKey: k})
		}
		if pieces != nil {
			t.items[i].units = append(t.items[i].units, pieces)
		}
	}
	for _, u := range t.units {
		if u.bound == free {
			add(u.key(free), u.pieces)
			continue
		}
		for _, l := range t.bound[u.bound].lots {
			add(u.key(l), nil)
		}
	}
	slices.SortFunc(t.items, func(a, b item) int { return a.before(b.itemKey) })
}

// item finds an item, if there is such a one.
func (t *task) item(k itemKey) (int, bool) {
	return slices.BinarySearchFunc(t.items, k, func(it item, k itemKey) int { return it.before(k) })
}

// itemOf finds an item that there is.
func (t *task) itemOf(k itemKey) int {
	i, ok := t.item(k)
	if !ok {
		panic(fmt.Sprintf("profile %s has no item %v", t.profile.Name, k))
	}
	return i
}

// fillKinds lists the rack's sticks, longest and then cheapest first, and after them what is on offer, longest first.
// What the trims use up entirely is left out with a warning.
func (t *task) fillKinds(o Options) {
	var rack, offers []kind
	for _, s := range hereFirst(t.w.Rack) {
		if s.Profile == t.profile.Name && t.worthKeeping(s.Length, "stick "+s.ID+" on the rack") {
			rack = t.addToRack(rack, s)
		}
	}
	for _, s := range supplies(t.w, t.profile.Name, o) {
		if !t.worthKeeping(s.length, "the stick that "+s.supplier+" offers") {
			continue
		}
		k := kind{length: s.length, from: t.head + t.profile.Repeat, extra: t.tail, cost: s.spare, supply: len(t.supplies), damaged: undivided,
			lotName: fmt.Sprintf("offer %d", len(t.supplies)), lot: free}
		if s.single() {
			k.cost = s.tiers[0].cost
		}
		k.usable, k.value = s.length-k.from-t.tail, k.cost
		k.credit = t.creditOf(k.usable, k.extra, k.length, s.spare)
		offers = append(offers, k)
		t.supplies = append(t.supplies, s)
	}
	t.warnUnpriced()
	for _, kinds := range [][]kind{rack, offers} {
		sort.SliceStable(kinds, func(a, b int) bool {
			if kinds[a].length != kinds[b].length {
				return kinds[a].length > kinds[b].length
			}
			return kinds[a].value < kinds[b].value
		})
		t.kinds = append(t.kinds, kinds...)
	}
	for k := range t.kinds {
		switch kind := &t.kinds[k]; {
		case kind.bought():
			t.supplies[kind.supply].kind = k
		case kind.damaged != undivided:
			d := &t.damaged[kind.damaged]
			d.kinds = append(d.kinds, k)
		}
	}
}

// hereFirst gives the sticks that are here and then those on the way, by the day they are expected: of equal sticks those are cut first
// that can be.
func hereFirst(rack []model.Stick) []model.Stick {
	if !slices.ContainsFunc(rack, model.Stick.OnTheWay) {
		return rack
	}
	out := slices.Clone(rack)
	slices.SortStableFunc(out, func(a, b model.Stick) int {
		switch {
		case a.OnTheWay() != b.OnTheWay():
			return cmp.Compare(rank(a.OnTheWay()), rank(b.OnTheWay()))
		case a.Coming.Expected.IsZero() != b.Coming.Expected.IsZero():
			return cmp.Compare(rank(a.Coming.Expected.IsZero()), rank(b.Coming.Expected.IsZero()))
		}
		return a.Coming.Expected.Compare(b.Coming.Expected.Time)
	})
	return out
}

// rank puts no before yes.
func rank(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// addToRack adds a stick to the equal ones there are, or a damaged one as a kind for each of its sound parts.
func (t *task) addToRack(kinds []kind, s model.Stick) []kind {
	value := t.w.StickValue(s)
	lotName := "lot " + s.Lot
	if s.Lot == "" {
		lotName = "stick " + s.ID
	}
	var runs []kind
	for _, run := range s.Usable(t.head, t.tail, t.profile.Repeat) {
		runs = append(runs, kind{length: s.Length, from: run.From, usable: run.Length(), extra: s.SoundEnd(run) - run.To,
			cost: value, value: value, rack: []model.Stick{s}, damaged: undivided, lotName: lotName, lot: free})
	}
	for n := range runs {
		k := &runs[n]
		k.credit = t.creditOf(k.usable, k.extra, k.length, value)
		if len(runs) > 1 {
			k.damaged, k.cost = len(t.damaged), credit(k.credit, k.usable)
		}
	}
	switch {
	case len(runs) == 0:
		t.warnings = append(t.warnings, fmt.Sprintf("stick %s on the rack has no sound part that can be used: it is left out", s.ID))
	case len(runs) > 1:
		t.damaged = append(t.damaged, damaged{stick: s, value: value})
	case len(s.Damage) == 0:
		for i := range kinds {
			k := &kinds[i]
			if k.length == s.Length && k.value == value && k.damaged == undivided && len(k.rack[0].Damage) == 0 &&
				(len(t.bound) == 0 || k.lotName == lotName) {
				k.rack = append(k.rack, s)
				return kinds
			}
		}
	}
	return append(kinds, runs...)
}

// warnPattern warns of what a pattern asks for, and of the frames whose corners it cannot go round.
func (t *task) warnPattern() {
	if t.profile.Repeat <= 0 {
		return
	}
	t.warnings = append(t.warnings, model.PatternCaution)
	var first string
	more := -1
	for _, ring := range t.rings() {
		for n, p := range ring {
			next := ring[(n+1)%len(ring)]
			if (t.pieces[p].place+1)%t.pieces[p].shape.Sides != t.pieces[next].place {
				continue // the side between is cut already
			}
			if !t.profile.CornersMeet(t.pieces[p].side.LongPoint, t.pieces[next].side.LongPoint) {
				if more++; more == 0 {
					first = t.ringPlace(ring).String()
				}
				break
			}
		}
	}
	if more < 0 {
		return
	}
	text := first + ": its sides do not differ by whole repeats of the pattern, which cannot go round its corners unless its size is changed"
	if more > 0 {
		text += fmt.Sprintf(" (%d more like it)", more)
	}
	t.warnings = append(t.warnings, text)
}

// warnUnpriced warns of sticks on the rack that count as worth nothing for want of any price, and so are used up first.
func (t *task) warnUnpriced() {
	if t.profile.Metre.Given || t.w.Defaults.RackShare == 0 ||
		slices.ContainsFunc(t.w.Offers, func(o model.Offer) bool { return o.Profile == t.profile.Name }) {
		return
	}
	var names []string
	for _, s := range t.w.Rack {
		if s.Profile == t.profile.Name && !s.Value.Given {
			names = append(names, s.ID)
		}
	}
	if len(names) == 0 {
		return
	}
	text := "stick " + names[0] + " on the rack counts as worth nothing, for no price is known: give it a value, or its profile a metre_price"
	if more := len(names) - 1; more > 0 {
		text += fmt.Sprintf(" (%d more like it)", more)
	}
	t.warnings = append(t.warnings, text)
}

// worthKeeping says whether the trims leave anything of a stick, and warns where they do not. A patterned profile gives
// up a whole repeat besides, for where on the stick the pattern begins is not known.
func (t *task) worthKeeping(length model.Length, what string) bool {
	trims, take := t.head+t.tail, "the head and tail trim take"
	if t.profile.Repeat > 0 {
		trims, take = trims+t.profile.Repeat, "the head and tail trim and a repeat of the pattern take"
	}
	if length > trims {
		return true
	}
	t.warnings = append(t.warnings, fmt.Sprintf("%s is %s long and %s %s: it is left out",
		what, length.In(t.w.Unit), take, trims.Near(t.w.Unit)))
	return false
}

// cannotCut names every side that is longer than any stick, once for each ring and long point.
func (t *task) cannotCut() model.Errors {
	longest, ok := t.longest()
	if !ok {
		return model.Errors{{Kind: model.CannotCut, Where: t.profile.Where,
			What: fmt.Sprintf("profile %s is wanted for %d sides and there is no stick of it on the rack or on offer",
				t.profile.Name, len(t.pieces)),
			Do: "add an offer or a stick of this profile, or plan without it"}}
	}
	type ringKey struct {
		ring model.SideID
		need model.Length
	}
	letters := map[ringKey][]string{}
	long := map[ringKey]model.Length{}
	var order []ringKey
	for _, u := range t.units {
		p := t.pieces[u.pieces[0]]
		if len(u.pieces) > 1 || u.need <= longest.usable || p.id.Copy > 1 {
			continue
		}
		key := ringKey{p.id.OfRing(), u.need}
		if letters[key] == nil {
			order = append(order, key)
			long[key] = u.longPoint
		}
		letters[key] = append(letters[key], p.side.Letter)
	}
	var errs model.Errors
	for _, key := range order {
		errs = append(errs, t.tooLong(key.ring, letters[key], itemKey{need: key.need, longPoint: long[key]}, longest))
	}
	if len(errs) > 0 {
		return errs
	}
	return t.unmatched()
}

// longest gives the kind with the greatest usable length.
func (t *task) longest() (kind, bool) {
	var best kind
	for _, k := range t.kinds {
		if k.usable > best.usable {
			best = k
		}
	}
	return best, len(t.kinds) > 0
}

// tooLong is the error for sides of one ring and long point.
func (t *task) tooLong(ring model.SideID, letters []string, it itemKey, longest kind) *model.Error {
	u := t.w.Unit
	sides := "side " + letters[0]
	if len(letters) > 1 {
		sides = "sides " + strings.Join(letters, ", ")
	}
	at := t.place(ring)
	return &model.Error{Kind: model.CannotCut, Where: at.where,
		What: fmt.Sprintf("%s, %s: the long point is %s and takes %s of a stick; the longest stick of %s is %s, of which %s is usable",
			at, sides, it.longPoint.In(u), it.need.Near(u), t.profile.Name, longest.length.In(u), longest.usable.Near(u)),
		Do: "find a longer stick, or make this frame from another profile"}
}

// place finds where a ring stands in the workshop's jobs.
func (t *task) place(ring model.SideID) place {
	for _, j := range t.w.Jobs {
		for _, f := range j.Frames {
			if j.ID == ring.Job && f.ID == ring.Frame {
				return ringPlace(j.ID, f, ring.Ring)
			}
		}
	}
	panic("planner: a ring of no job")
}

// maxSum bounds every sum of lengths and of money in a document, so that none can overflow: a quarter of what an int64
// holds, for the sums over all profiles of at most as many sticks as there are sides.
const maxSum = 1 << 61

// checkSums refuses workshops whose sums might overflow.
func checkSums(tasks []*task) error {
	var pieces, length, cost int64
	for _, t := range tasks {
		pieces += int64(len(t.pieces))
		for _, k := range t.kinds {
			length = max(length, int64(k.length))
			cost = max(cost, int64(k.value))
		}
		for _, s := range t.supplies {
			pieces = max(pieces, s.most*int64(s.bundle))
			for _, tier := range s.tiers {
				cost = max(cost, int64(tier.price))
			}
		}
	}
	if pieces > 0 && max(length, cost) > maxSum/pieces {
		return &model.Error{Kind: model.BadInput, What: "lengths or prices are so large that their sums cannot be written down",
			Do: "look for a length or a price with too many digits, or plan the jobs of fewer days at a time"}
	}
	return nil
}
