package plan

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"longpoint/model"
	"longpoint/solver"
)

// task is one profile's cutting problem, with what each of its items and kinds stands for. items[i] and kinds[k] are
// problem.Items[i] and problem.Kinds[k].
type task struct {
	group
	w          *model.Workshop
	head, tail model.Length // trims of every stick
	items      []item
	kinds      []kind
	problem    solver.Problem
}

// item is all sides of one long point that take the same length of a stick.
type item struct {
	need      model.Length
	longPoint model.Length
	pieces    []int // indexes in group.pieces, in order
}

// kind is equal sticks: those of one length and value on the rack, or all that can be bought of one offer.
type kind struct {
	length model.Length
	usable model.Length // length less the trims
	cost   model.Money  // of one stick
	rack   []model.Stick
	offer  model.Offer // where rack is nil
}

func (k kind) bought() bool { return k.rack == nil }

// prepare turns the groups into tasks, and finds what no stick can give: all of it, in one error.
func prepare(w *model.Workshop, o Options) ([]*task, error) {
	groups, err := gather(w, o)
	if err != nil {
		return nil, err
	}
	var tasks []*task
	var errs model.Errors
	for _, g := range groups {
		t := newTask(w, g)
		errs = append(errs, t.cannotCut()...)
		tasks = append(tasks, t)
	}
	if err := errs.AsError(); err != nil {
		return nil, err
	}
	return tasks, checkSums(tasks)
}

func newTask(w *model.Workshop, g group) *task {
	t := &task{group: g, w: w}
	t.head, t.tail = w.Machine.Trims(g.profile, g.shapes)
	t.fillItems()
	t.fillKinds()
	for _, it := range t.items {
		t.problem.Items = append(t.problem.Items, solver.Item{Length: int64(it.need), Demand: int64(len(it.pieces))})
	}
	for _, k := range t.kinds {
		t.problem.Kinds = append(t.problem.Kinds, solver.Kind{Length: int64(k.usable), Cost: int64(k.cost),
			Limit: int64(len(k.rack)), Limited: !k.bought()})
	}
	return t
}

// fillItems groups the pieces by what they take and by long point, longest first.
func (t *task) fillItems() {
	type key struct{ need, longPoint model.Length }
	index := map[key]int{}
	for p, piece := range t.pieces {
		k := key{piece.need, piece.side.LongPoint}
		i, ok := index[k]
		if !ok {
			i = len(t.items)
			index[k] = i
			t.items = append(t.items, item{need: k.need, longPoint: k.longPoint})
		}
		t.items[i].pieces = append(t.items[i].pieces, p)
	}
	sort.Slice(t.items, func(a, b int) bool {
		if t.items[a].need != t.items[b].need {
			return t.items[a].need > t.items[b].need
		}
		return t.items[a].longPoint > t.items[b].longPoint
	})
}

// fillKinds lists the rack's sticks, longest and then cheapest first, and after them the offers, longest first. Of two
// offers of one length only the cheaper counts, of equal ones the first in the table. What the trims use up entirely
// is left out with a warning.
func (t *task) fillKinds() {
	var rack, offers []kind
	for _, s := range t.w.Rack {
		if s.Profile != t.profile.Name || !t.worthKeeping(s.Length, "stick "+s.ID+" on the rack") {
			continue
		}
		rack = addToRack(rack, kind{length: s.Length, usable: s.Length - t.head - t.tail,
			cost: t.w.StickValue(s), rack: []model.Stick{s}})
	}
	for _, o := range t.w.Offers {
		if o.Profile != t.profile.Name || !t.worthKeeping(o.Length, "the stick that "+o.Supplier+" offers") {
			continue
		}
		offers = addOffer(offers, kind{length: o.Length, usable: o.Length - t.head - t.tail, cost: o.Price, offer: o})
	}
	t.warnUnpriced()
	for _, kinds := range [][]kind{rack, offers} {
		sort.SliceStable(kinds, func(a, b int) bool {
			if kinds[a].length != kinds[b].length {
				return kinds[a].length > kinds[b].length
			}
			return kinds[a].cost < kinds[b].cost
		})
		t.kinds = append(t.kinds, kinds...)
	}
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

// worthKeeping says whether the trims leave anything of a stick, and warns where they do not.
func (t *task) worthKeeping(length model.Length, what string) bool {
	if length > t.head+t.tail {
		return true
	}
	t.warnings = append(t.warnings, fmt.Sprintf("%s is %s long and the head and tail trim take %s: it is left out",
		what, length.In(t.w.Unit), (t.head+t.tail).Near(t.w.Unit)))
	return false
}

func addToRack(kinds []kind, one kind) []kind {
	for i := range kinds {
		if kinds[i].length == one.length && kinds[i].cost == one.cost {
			kinds[i].rack = append(kinds[i].rack, one.rack...)
			return kinds
		}
	}
	return append(kinds, one)
}

func addOffer(kinds []kind, one kind) []kind {
	for i := range kinds {
		if kinds[i].length == one.length {
			if one.cost < kinds[i].cost {
				kinds[i] = one
			}
			return kinds
		}
	}
	return append(kinds, one)
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
		job   int
		frame string
		ring  int
		item  int
	}
	letters := map[ringKey][]string{}
	var order []ringKey
	for i, it := range t.items {
		if it.need <= longest.usable {
			break // items are longest first
		}
		for _, n := range it.pieces {
			p := t.pieces[n]
			if p.copy > 1 {
				continue
			}
			key := ringKey{p.job, p.frame, p.ring, i}
			if letters[key] == nil {
				order = append(order, key)
			}
			letters[key] = append(letters[key], p.side.Letter)
		}
	}
	var errs model.Errors
	for _, key := range order {
		errs = append(errs, t.tooLong(key.job, key.frame, key.ring, letters[key], t.items[key.item], longest))
	}
	return errs
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
func (t *task) tooLong(job int, frame string, ring int, letters []string, it item, longest kind) *model.Error {
	u := t.w.Unit
	sides := "side " + letters[0]
	if len(letters) > 1 {
		sides = "sides " + strings.Join(letters, ", ")
	}
	at := t.place(job, frame, ring)
	return &model.Error{Kind: model.CannotCut, Where: at.where,
		What: fmt.Sprintf("%s, %s: the long point is %s and takes %s of a stick; the longest stick of %s is %s, of which %s is usable",
			at, sides, it.longPoint.In(u), it.need.Near(u), t.profile.Name, longest.length.In(u), longest.usable.Near(u)),
		Do: "find a longer stick, or make this frame from another profile"}
}

// place finds where a ring stands in the workshop's jobs.
func (t *task) place(job int, frame string, ring int) place {
	at := place{job: t.w.Jobs[job].ID, frame: frame, ring: ring}
	for _, f := range t.w.Jobs[job].Frames {
		if f.ID == frame {
			at = ringPlace(at.job, f, ring)
		}
	}
	return at
}

// maxSum bounds every sum of lengths and of money in a document, so that none can overflow: a quarter of what an int64
// holds, for the sums over all profiles of at most as many sticks as there are sides.
const maxSum = 1 << 61

// checkSums refuses workshops whose sums might overflow.
func checkSums(tasks []*task) error {
	var pieces, length, cost int64
	for _, t := range tasks {
		if err := t.problem.Validate(); err != nil {
			return &model.Error{Kind: model.BadInput, What: "profile " + t.profile.Name + " is too large to plan", Err: err,
				Do: "look for a length or a price with too many digits"}
		}
		pieces += int64(len(t.pieces))
		for _, k := range t.kinds {
			length = max(length, int64(k.length))
			cost = max(cost, int64(k.cost))
		}
	}
	if pieces > 0 && max(length, cost) > maxSum/pieces {
		return &model.Error{Kind: model.BadInput, What: "lengths or prices are so large that their sums cannot be written down",
			Do: "look for a length or a price with too many digits, or plan the jobs of fewer days at a time"}
	}
	return nil
}
