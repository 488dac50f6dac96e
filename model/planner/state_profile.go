package planner

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"sort"
	"strings"

	"longpoint/model"
	"longpoint/model/sequence"
	"longpoint/solver"
)

// profileProblem is what is to be cut of one profile, and what from. It belongs to one joint problem,
// which says what part of it this is.
type profileProblem struct {
	profileSides
	w        *model.Workshop
	trims    model.Trims // of every stick
	rate     *big.Rat    // what a kept offcut is worth by length
	units    []unit      // longest first
	bound    []boundKind
	items    []item
	kinds    []kind
	supplies []supply
	damaged  []damaged
	lots     []lot
	given    int // how many of the warnings came with the sides
	runs     sequence.Memory
	part     // set by newJointProblem and by nobody else
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
	supply  int // index in profileProblem.supplies where rack is nil
	damaged int // index in profileProblem.damaged, or undivided
	lotName string
	lot     int // index in profileProblem.lots, or free
	credit  solver.Credit
}

// undivided marks the kinds that are not part of a damaged stick.
const undivided = -1

func (k kind) bought() bool { return k.rack == nil }

// damaged is a stick of the rack with several sound parts. To cut any of them the stick is opened, which is a choice.
type damaged struct {
	stick model.Stick
	value model.Money
	kinds []int // indexes in profileProblem.kinds, from the head on
}

// prepare states the problem of each profile, and finds what no stick can give: all of it, in one error.
func prepare(w *model.Workshop, o Options) ([]*profileProblem, error) {
	groups, err := gather(w, o)
	if err != nil {
		return nil, err
	}
	var profiles []*profileProblem
	var errs model.Errors
	for _, g := range groups {
		pp := newProfileProblem(w, g, o)
		errs = append(errs, pp.cannotCut()...)
		profiles = append(profiles, pp)
	}
	if err := errs.AsError(); err != nil {
		return nil, err
	}
	return profiles, checkSums(profiles)
}

// Warnings gives each profile's warnings: what the machine says of its sides, what is left out, what a pattern asks for. Errors are those of Make.
func Warnings(w *model.Workshop, until, on model.Date, profiles []string) (map[string][]string, error) {
	stated, err := prepare(w, Options{Until: until, On: on, Profiles: profiles})
	if err != nil {
		return nil, err
	}
	all := map[string][]string{}
	for _, pp := range stated {
		all[pp.profile.Name] = pp.warnings
	}
	return all, nil
}

func newProfileProblem(w *model.Workshop, g profileSides, o Options) *profileProblem {
	pp := &profileProblem{profileSides: g, w: w, given: len(g.warnings), runs: sequence.Memory{}}
	pp.trims = w.Machine.Trims(g.profile, g.shapes)
	pp.rate = w.OffcutValue(g.profile)
	pp.warnPattern()
	pp.fillUnits()
	pp.fillKinds(o)
	if len(pp.bound) > 0 {
		pp.lotsOfKinds()
	}
	pp.fillItems()
	for n := range pp.supplies {
		pp.supplies[n].most = pp.mostBundles(pp.supplies[n])
	}
	return pp
}

// fillItems groups the units by what they take and by long point, longest first; those of bound rings once for each lot
// that can give one.
func (pp *profileProblem) fillItems() {
	index := map[itemKey]int{}
	add := func(k itemKey, pieces []int) {
		i, ok := index[k]
		if !ok {
			i = len(pp.items)
			index[k] = i
			pp.items = append(pp.items, item{itemKey: k})
		}
		if pieces != nil {
			pp.items[i].units = append(pp.items[i].units, pieces)
		}
	}
	for _, u := range pp.units {
		if u.bound == free {
			add(u.key(free), u.pieces)
		}
	}
	for _, b := range pp.bound {
		for _, l := range b.lots {
			for _, key := range pp.itemsFrom(b, l) {
				add(key, nil)
			}
		}
	}
	slices.SortFunc(pp.items, func(a, b item) int { return a.before(b.itemKey) })
}

// item finds an item, if there is such a one.
func (pp *profileProblem) item(k itemKey) (int, bool) {
	return slices.BinarySearchFunc(pp.items, k, func(it item, k itemKey) int { return it.before(k) })
}

// itemOf finds an item that there is.
func (pp *profileProblem) itemOf(k itemKey) int {
	i, ok := pp.item(k)
	if !ok {
		panic(fmt.Sprintf("profile %s has no item %v", pp.profile.Name, k))
	}
	return i
}

// fillKinds lists the rack's sticks, longest and then cheapest first, and after them what is on offer, longest first.
// What the trims use up entirely is left out with a warning.
func (pp *profileProblem) fillKinds(o Options) {
	var rack, offers []kind
	value := pp.w.ValuesOf(pp.profile.Name)
	sticks := pp.w.RackOf(pp.profile.Name)
	ofLot := map[string]int{}
	for _, s := range sticks {
		ofLot[lotName(s)]++
	}
	for _, s := range hereFirst(sticks) {
		if pp.usableAfterTrims(s.Length, "stick "+s.ID+" on the rack") {
			rack = pp.addToRack(rack, s, value, ofLot[lotName(s)] == 1)
		}
	}
	for _, s := range supplies(pp.w, pp.profile.Name, o) {
		if !pp.usableAfterTrims(s.length, "the stick that "+s.supplier+" offers") {
			continue
		}
		k := kind{length: s.length, from: pp.trims.Head + pp.profile.Repeat, extra: pp.trims.Tail, cost: s.spare, supply: len(pp.supplies), damaged: undivided,
			lotName: fmt.Sprintf("offer %d", len(pp.supplies)), lot: free}
		if s.single() {
			k.cost = s.tiers[0].cost
		}
		k.usable, k.value = s.length-k.from-pp.trims.Tail, k.cost
		k.credit = pp.creditOf(k.usable, k.extra, k.length, s.spare)
		offers = append(offers, k)
		pp.supplies = append(pp.supplies, s)
	}
	pp.warnUnpriced()
	for _, kinds := range [][]kind{rack, offers} {
		sort.SliceStable(kinds, func(a, b int) bool {
			if kinds[a].length != kinds[b].length {
				return kinds[a].length > kinds[b].length
			}
			return kinds[a].value < kinds[b].value
		})
		pp.kinds = append(pp.kinds, kinds...)
	}
	for k := range pp.kinds {
		switch kind := &pp.kinds[k]; {
		case kind.bought():
			pp.supplies[kind.supply].kind = k
		case kind.damaged != undivided:
			d := &pp.damaged[kind.damaged]
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

// lotName is equal for sticks of the rack that match in finish.
func lotName(s model.Stick) string {
	if s.Lot == "" {
		return "stick " + s.ID
	}
	return "lot " + s.Lot
}

// addToRack adds a stick to the kind of its equals. A damaged stick becomes a kind for each of its sound parts. What is left of a stick that is
// begun is credited as if all of it were still there: its value is such a credit itself. only says that no other stick is of its lot.
func (pp *profileProblem) addToRack(kinds []kind, s model.Stick, valueOf func(model.Stick) model.Money, only bool) []kind {
	lotName, sound := lotName(s), s.Usable(pp.trims, pp.profile.Repeat)
	value, uncut := valueOf(s), s
	uncut.Begun = 0
	bounds := valueOf(uncut)
	if only && len(sound) == 1 {
		lotName = alone
	}
	var parts []kind
	for _, part := range sound {
		parts = append(parts, kind{length: s.Length, from: part.From, usable: part.Length(), extra: s.SoundEnd(part) - part.To,
			cost: value, value: value, rack: []model.Stick{s}, damaged: undivided, lotName: lotName, lot: free})
	}
	for n := range parts {
		k := &parts[n]
		k.credit = pp.creditOf(k.usable, k.extra, k.length, bounds)
		if len(parts) > 1 {
			k.damaged, k.cost = len(pp.damaged), credit(k.credit, k.usable)
		}
	}
	switch {
	case len(parts) == 0:
		pp.warnings = append(pp.warnings, fmt.Sprintf("stick %s on the rack has no sound part that can be used: it is left out", s.ID))
	case len(parts) > 1:
		pp.damaged = append(pp.damaged, damaged{stick: s, value: value})
	case len(s.Damage) == 0:
		for i := range kinds {
			k := &kinds[i]
			if k.length == s.Length && k.value == value && k.damaged == undivided && len(k.rack[0].Damage) == 0 && k.credit == parts[0].credit &&
				(len(pp.bound) == 0 || k.lotName == lotName) {
				k.rack = append(k.rack, s)
				return kinds
			}
		}
	}
	return append(kinds, parts...)
}

// warnPattern warns of what a pattern asks for, and of the frames whose corners it cannot go round.
func (pp *profileProblem) warnPattern() {
	if pp.profile.Repeat <= 0 {
		return
	}
	pp.warnings = append(pp.warnings, model.PatternCaution)
	var first string
	more := -1
	for _, ring := range pp.rings() {
		for n, p := range ring {
			next := ring[(n+1)%len(ring)]
			if (pp.pieces[p].place+1)%pp.pieces[p].shape.Sides != pp.pieces[next].place {
				continue // the side between is cut already
			}
			if !pp.profile.CornersMeet(pp.pieces[p].side.LongPoint, pp.pieces[next].side.LongPoint) {
				if more++; more == 0 {
					first = pp.ringPlace(ring).String()
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
	pp.warnings = append(pp.warnings, text)
}

// warnUnpriced warns of sticks on the rack that count as worth nothing for want of any price, and so are used up first.
func (pp *profileProblem) warnUnpriced() {
	if pp.profile.Metre.Given || pp.w.Defaults.RackShare == 0 ||
		slices.ContainsFunc(pp.w.Offers, func(o model.Offer) bool { return o.Profile == pp.profile.Name }) {
		return
	}
	var names []string
	for _, s := range pp.w.Rack {
		if s.Profile == pp.profile.Name && !s.Value.Given {
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
	pp.warnings = append(pp.warnings, text)
}

// usableAfterTrims says whether the trims leave anything of a stick, and warns where they do not. A patterned profile gives
// up a whole repeat besides, for where on the stick the pattern begins is not known.
func (pp *profileProblem) usableAfterTrims(length model.Length, what string) bool {
	trims, take := pp.trims.Head+pp.trims.Tail, "the head and tail trim take"
	if pp.profile.Repeat > 0 {
		trims, take = trims+pp.profile.Repeat, "the head and tail trim and a repeat of the pattern take"
	}
	if length > trims {
		return true
	}
	pp.warnings = append(pp.warnings, fmt.Sprintf("%s is %s long and %s %s: it is left out",
		what, length.Said(pp.w.Unit), take, trims.Near(pp.w.Unit)))
	return false
}

// cannotCut names every side that is longer than any stick, once for each ring and long point.
func (pp *profileProblem) cannotCut() model.Errors {
	longest, ok := pp.longest()
	if !ok {
		return model.Errors{{Kind: model.CannotCut, Where: pp.profile.Where,
			What: fmt.Sprintf("profile %s is wanted for %d sides and there is no stick of it on the rack or on offer",
				pp.profile.Name, len(pp.pieces)),
			Do: "add an offer or a stick of this profile, or plan without it"}}
	}
	type ringKey struct {
		ring model.SideID
		need model.Length
	}
	letters := map[ringKey][]string{}
	long := map[ringKey]model.Length{}
	var order []ringKey
	for _, u := range pp.units {
		p := pp.pieces[u.pieces[0]]
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
		errs = append(errs, pp.tooLong(key.ring, letters[key], itemKey{need: key.need, longPoint: long[key]}, longest))
	}
	if len(errs) > 0 {
		return errs
	}
	return pp.unmatched()
}

// longest gives the kind with the greatest usable length.
func (pp *profileProblem) longest() (kind, bool) {
	var best kind
	for _, k := range pp.kinds {
		if k.usable > best.usable {
			best = k
		}
	}
	return best, len(pp.kinds) > 0
}

// tooLong is the error for sides of one ring and long point.
func (pp *profileProblem) tooLong(ring model.SideID, letters []string, it itemKey, longest kind) *model.Error {
	u := pp.w.Unit
	sides := "side " + letters[0]
	if len(letters) > 1 {
		sides = "sides " + strings.Join(letters, ", ")
	}
	at := pp.place(ring)
	return &model.Error{Kind: model.CannotCut, Where: at.where,
		What: fmt.Sprintf("%s, %s: the long point is %s and takes %s of a stick; the longest stick of %s is %s, of which %s is usable",
			at, sides, it.longPoint.Said(u), it.need.Near(u), pp.profile.Name, longest.length.Said(u), longest.usable.Near(u)),
		Do: "find a longer stick, or make this frame from another profile"}
}

// place finds where a ring stands in the workshop's jobs.
func (pp *profileProblem) place(ring model.SideID) place {
	for _, j := range pp.w.Jobs {
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

// checkSums refuses workshops whose sums of lengths or money might overflow.
func checkSums(profiles []*profileProblem) error {
	var pieces, length, cost int64
	for _, pp := range profiles {
		pieces += int64(len(pp.pieces))
		for _, k := range pp.kinds {
			length = max(length, int64(k.length))
			cost = max(cost, int64(k.value))
			for _, s := range k.rack {
				cost = max(cost, int64(s.Paid))
			}
		}
		for _, s := range pp.supplies {
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
