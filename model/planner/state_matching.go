package planner

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"longpoint/model"
)

// unit is what is cut in one piece of a stick: one side, or several that must lie next to each other on one.
type unit struct {
	pieces    []int // indexes in group.pieces, in order along the stick
	need      model.Length
	longPoint model.Length // sum of its sides'
	bound     int          // index in task.bound of the ring it belongs to, or free
}

// free marks what no lot binds.
const free = -1

// key is that of the item the unit belongs to when it is cut from a lot.
func (u unit) key(lot int) itemKey { return itemKey{u.need, u.longPoint, len(u.pieces), lot} }

// boundKind is all rings of equal sides that must each come from sticks of one lot.
type boundKind struct {
	sides []itemKey // by need, then long point, falling
	rings [][]int   // pieces of each ring
	lots  []int     // indexes in task.lots of those that can give one
}

// itemKey tells items apart.
type itemKey struct {
	need, longPoint model.Length
	sides           int // in a unit
	lot             int // index in task.lots, or free
}

func (k itemKey) before(o itemKey) int {
	switch {
	case k.need != o.need:
		return sign(o.need - k.need)
	case k.longPoint != o.longPoint:
		return sign(o.longPoint - k.longPoint)
	case k.sides != o.sides:
		return k.sides - o.sides
	}
	return k.lot - o.lot
}

func sign(l model.Length) int { return int(max(-1, min(1, l))) }

// fillUnits makes units of the pieces by the rules of matching, longest first.
func (t *task) fillUnits() {
	index := map[string]int{}
	for _, ring := range t.rings() {
		first := t.pieces[ring[0]]
		switch t.w.MatchOf(t.w.Jobs[first.job], t.profile) {
		case model.MatchStick:
			t.addUnit(ring, free)
		case model.MatchPair:
			for _, pair := range t.pairs(ring) {
				t.addUnit(pair, free)
			}
		case model.MatchLot:
			sides := t.sidesOf(ring)
			key := fmt.Sprint(sides)
			b, ok := index[key]
			if !ok {
				b = len(t.bound)
				index[key] = b
				t.bound = append(t.bound, boundKind{sides: sides})
			}
			t.bound[b].rings = append(t.bound[b].rings, ring)
			for _, p := range ring {
				t.addUnit([]int{p}, b)
			}
		default:
			for _, p := range ring {
				t.addUnit([]int{p}, free)
			}
		}
	}
	sort.SliceStable(t.units, func(a, b int) bool {
		if c := t.units[a].key(free).before(t.units[b].key(free)); c != 0 {
			return c < 0
		}
		return t.units[a].bound == free && t.units[b].bound != free
	})
}

// rings gives the pieces ring by ring, each ring's in order round it.
func (t *task) rings() [][]int {
	var rings [][]int
	for n, p := range t.pieces {
		if n > 0 && t.pieces[n-1].id.OfRing() == p.id.OfRing() {
			rings[len(rings)-1] = append(rings[len(rings)-1], n)
			continue
		}
		rings = append(rings, []int{n})
	}
	return rings
}

// pairs parts a ring's pieces into those that lie side by side. Of a pair of which one side is cut already the other is alone.
func (t *task) pairs(ring []int) [][]int {
	var out [][]int
	for n, p := range ring {
		if n > 0 && t.pieces[ring[n-1]].place/2 == t.pieces[p].place/2 {
			out[len(out)-1] = append(out[len(out)-1], p)
			continue
		}
		out = append(out, []int{p})
	}
	return out
}

// addUnit adds pieces that lie next to each other, longest first.
func (t *task) addUnit(pieces []int, bound int) {
	u := unit{pieces: slices.Clone(pieces), bound: bound}
	slices.SortStableFunc(u.pieces, func(a, b int) int { return sign(t.pieces[b].need - t.pieces[a].need) })
	for _, p := range pieces {
		u.need += t.pieces[p].need
		u.longPoint += t.pieces[p].side.LongPoint
	}
	t.units = append(t.units, u)
}

// sidesOf gives the sides of a ring by what they take, longest first.
func (t *task) sidesOf(ring []int) []itemKey {
	sides := make([]itemKey, len(ring))
	for n, p := range ring {
		sides[n] = itemKey{t.pieces[p].need, t.pieces[p].side.LongPoint, 1, free}
	}
	slices.SortFunc(sides, itemKey.before)
	return sides
}

// lot is sticks that match in finish: those of one lot on the rack, those of one price list, or one stick of the rack
// whose lot is not known.
type lot struct {
	name  string
	kinds []int // indexes in task.kinds
}

// lotsOfKinds divides the kinds into lots, as far as they can give one of the bound rings, and says which can give which.
// Where one lot has everything nothing is bound.
func (t *task) lotsOfKinds() {
	byName := map[string][]int{}
	var names []string
	for k := range t.kinds {
		name := t.kinds[k].lotName
		if byName[name] == nil {
			names = append(names, name)
		}
		byName[name] = append(byName[name], k)
	}
	if len(names) == 1 {
		for n := range t.units {
			t.units[n].bound = free
		}
		t.bound = nil
		return
	}
	for _, name := range names {
		kinds, gives := byName[name], false
		for b := range t.bound {
			if t.canGive(kinds, t.bound[b].sides) {
				t.bound[b].lots = append(t.bound[b].lots, len(t.lots))
				gives = true
			}
		}
		if gives {
			for _, k := range kinds {
				t.kinds[k].lot = len(t.lots)
			}
			t.lots = append(t.lots, lot{name: name, kinds: kinds})
		}
	}
}

// canGive says whether sticks of these kinds might give all these sides: each is short enough, and together too.
func (t *task) canGive(kinds []int, sides []itemKey) bool {
	var longest, all, need model.Length
	unlimited := false
	for _, n := range kinds {
		k := t.kinds[n]
		longest = max(longest, k.usable)
		all += k.usable * model.Length(len(k.rack))
		unlimited = unlimited || k.bought()
	}
	for _, s := range sides {
		need += s.need
	}
	return sides[0].need <= longest && (unlimited || need <= all)
}

// unmatched names every frame whose sides no lot can give, and every one whose matched sides are longer than any stick.
func (t *task) unmatched() model.Errors {
	var errs model.Errors
	for _, b := range t.bound {
		if len(b.lots) == 0 {
			errs = append(errs, &model.Error{Kind: model.CannotCut, Where: t.ringPlace(b.rings[0]).where,
				What: fmt.Sprintf("profile %s: all sides of a frame are to come from one lot, and no lot can give %s",
					t.profile.Name, t.framesOf(b.rings)),
				Do: "add sticks of one lot or an offer, or write free under match"})
		}
	}
	longest, _ := t.longest()
	var rings [][]int
	var tooLong unit
	for _, u := range t.units {
		if len(u.pieces) > 1 && u.need > longest.usable {
			if rings == nil {
				tooLong = u
			}
			rings = append(rings, u.pieces)
		}
	}
	if len(rings) == 0 {
		return errs
	}
	what, do := "all sides of a frame", "write pair under match, so that each stick gives a long and a short side, or free"
	if first := t.pieces[tooLong.pieces[0]]; t.w.MatchOf(t.w.Jobs[first.job], t.profile) == model.MatchPair {
		what, do = "a long and a short side", "write free or lot under match"
	}
	u := t.w.Unit
	return append(errs, &model.Error{Kind: model.CannotCut, Where: t.ringPlace(rings[0]).where,
		What: fmt.Sprintf("profile %s: %s are to come from one stick, which is too long for %s: up to %s of a stick, and the longest is %s, of which %s is usable",
			t.profile.Name, what, t.framesOf(rings), tooLong.need.Near(u), longest.length.In(u), longest.usable.Near(u)),
		Do: do})
}

// ringPlace is where on paper a ring belongs that has this piece first.
func (t *task) ringPlace(ring []int) place {
	return t.place(t.pieces[ring[0]].id)
}

// framesOf names the frames that rings belong to, each once.
func (t *task) framesOf(rings [][]int) string {
	var names []string
	for _, r := range rings {
		if name := t.ringPlace(r).String(); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, "; ")
}
