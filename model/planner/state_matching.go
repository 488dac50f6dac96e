package planner

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"longpoint/model"
)

// unit is what is cut in one piece of a stick: one side, or several that must lie next to each other on one.
type unit struct {
	pieces    []int // indexes in profileProblem.pieces, in order along the stick
	need      model.Length
	longPoint model.Length // sum of its sides'
	bound     int          // index in profileProblem.bound of the ring it belongs to, or free
}

// free marks what no lot binds.
const free = -1

// key is that of the item the unit belongs to when it is cut from a lot.
func (u unit) key(lot int) itemKey { return itemKey{u.need, u.longPoint, len(u.pieces), lot} }

// boundKind is all rings of equal sides that must each come from sticks of one lot.
type boundKind struct {
	sides []itemKey // by need, then long point, falling
	rings [][]int   // pieces of each ring
	lots  []int     // indexes in profileProblem.lots of those that can give one
}

// itemKey tells items apart.
type itemKey struct {
	need, longPoint model.Length
	sides           int // in a unit
	lot             int // index in profileProblem.lots, or free
}

func (k itemKey) before(o itemKey) int {
	return cmp.Or(cmp.Compare(o.need, k.need), cmp.Compare(o.longPoint, k.longPoint), cmp.Compare(k.sides, o.sides), cmp.Compare(k.lot, o.lot))
}

// fillUnits makes units of the pieces by the rules of matching, longest first.
func (pp *profileProblem) fillUnits() {
	index := map[string]int{}
	for _, ring := range pp.rings() {
		first := pp.pieces[ring[0]]
		switch pp.w.MatchOf(pp.w.Jobs[first.job], pp.profile) {
		case model.MatchStick:
			pp.addUnit(ring, free)
		case model.MatchPair:
			for _, pair := range pp.pairs(ring) {
				pp.addUnit(pair, free)
			}
		case model.MatchLot:
			sides := pp.sidesOf(ring)
			key := fmt.Sprint(sides)
			b, ok := index[key]
			if !ok {
				b = len(pp.bound)
				index[key] = b
				pp.bound = append(pp.bound, boundKind{sides: sides})
			}
			pp.bound[b].rings = append(pp.bound[b].rings, ring)
			for _, p := range ring {
				pp.addUnit([]int{p}, b)
			}
		default:
			for _, p := range ring {
				pp.addUnit([]int{p}, free)
			}
		}
	}
	sort.SliceStable(pp.units, func(a, b int) bool {
		if c := pp.units[a].key(free).before(pp.units[b].key(free)); c != 0 {
			return c < 0
		}
		return pp.units[a].bound == free && pp.units[b].bound != free
	})
}

// rings gives the pieces ring by ring, each ring's in order round it.
func (pp *profileProblem) rings() [][]int {
	var rings [][]int
	for n, p := range pp.pieces {
		if n > 0 && pp.pieces[n-1].id.OfRing() == p.id.OfRing() {
			rings[len(rings)-1] = append(rings[len(rings)-1], n)
			continue
		}
		rings = append(rings, []int{n})
	}
	return rings
}

// pairs parts a ring's pieces into those that lie side by side. Of a pair of which one side is cut already the other is alone.
func (pp *profileProblem) pairs(ring []int) [][]int {
	var out [][]int
	for n, p := range ring {
		if n > 0 && pp.pieces[ring[n-1]].place/2 == pp.pieces[p].place/2 {
			out[len(out)-1] = append(out[len(out)-1], p)
			continue
		}
		out = append(out, []int{p})
	}
	return out
}

// addUnit adds pieces that lie next to each other, longest first.
func (pp *profileProblem) addUnit(pieces []int, bound int) {
	u := unit{pieces: pp.longestFirst(pieces), bound: bound}
	for _, p := range pieces {
		u.need += pp.pieces[p].need
		u.longPoint += pp.pieces[p].side.LongPoint
	}
	pp.units = append(pp.units, u)
}

// longestFirst gives pieces in the order in which they lie on a stick.
func (pp *profileProblem) longestFirst(pieces []int) []int {
	return slices.SortedStableFunc(slices.Values(pieces), func(a, b int) int { return cmp.Compare(pp.pieces[b].need, pp.pieces[a].need) })
}

// sidesOf gives the sides of a ring by what they take, longest first.
func (pp *profileProblem) sidesOf(ring []int) []itemKey {
	sides := make([]itemKey, len(ring))
	for n, p := range ring {
		sides[n] = itemKey{pp.pieces[p].need, pp.pieces[p].side.LongPoint, 1, free}
	}
	slices.SortFunc(sides, itemKey.before)
	return sides
}

// lot is sticks that match in finish: those of one lot on the rack or those of one price list. All sticks that each are the only one of
// their lot, in one sound part, are taken together: a ring comes whole from one of them.
type lot struct {
	name  string
	kinds []int // indexes in profileProblem.kinds
}

// alone is the name of the lot of all sticks that each are the only one of theirs.
const alone = "alone"

// itemsFrom gives the items that a ring takes from a lot, by need, then long point, falling.
func (pp *profileProblem) itemsFrom(b boundKind, lot int) []itemKey {
	if pp.lots[lot].name == alone {
		whole := itemKey{sides: len(b.sides), lot: lot}
		for _, s := range b.sides {
			whole.need += s.need
			whole.longPoint += s.longPoint
		}
		return []itemKey{whole}
	}
	keys := slices.Clone(b.sides)
	for n := range keys {
		keys[n].lot = lot
	}
	return keys
}

// lotsOfKinds divides the kinds into lots, as far as they can give one of the bound rings, and says which can give which.
// Where one lot has everything nothing is bound.
func (pp *profileProblem) lotsOfKinds() {
	byName := map[string][]int{}
	var names []string
	for k := range pp.kinds {
		name := pp.kinds[k].lotName
		if byName[name] == nil {
			names = append(names, name)
		}
		byName[name] = append(byName[name], k)
	}
	if len(names) == 1 && (names[0] != alone || pp.onRack(byName[alone]) == 1) {
		for n := range pp.units {
			pp.units[n].bound = free
		}
		pp.bound = nil
		return
	}
	for _, name := range names {
		kinds, gives := byName[name], false
		for b := range pp.bound {
			if pp.canGive(name, kinds, pp.bound[b].sides) {
				pp.bound[b].lots = append(pp.bound[b].lots, len(pp.lots))
				gives = true
			}
		}
		if gives {
			for _, k := range kinds {
				pp.kinds[k].lot = len(pp.lots)
			}
			pp.lots = append(pp.lots, lot{name: name, kinds: kinds})
		}
	}
}

// onRack counts the rack's sticks of these kinds.
func (pp *profileProblem) onRack(kinds []int) (sticks int) {
	for _, k := range kinds {
		sticks += len(pp.kinds[k].rack)
	}
	return sticks
}

// canGive says whether sticks of a lot, of these kinds, might give all these sides: each is short enough, and together too.
func (pp *profileProblem) canGive(lot string, kinds []int, sides []itemKey) bool {
	var longest, all, need model.Length
	unlimited := false
	for _, n := range kinds {
		k := pp.kinds[n]
		longest = max(longest, k.usable)
		all += k.usable * model.Length(len(k.rack))
		unlimited = unlimited || k.bought()
	}
	for _, s := range sides {
		need += s.need
	}
	if lot == alone {
		return need <= longest
	}
	return sides[0].need <= longest && (unlimited || need <= all)
}

// unmatched names every frame whose sides no lot can give, and every one whose matched sides are longer than any stick.
func (pp *profileProblem) unmatched() model.Errors {
	var errs model.Errors
	for _, b := range pp.bound {
		if len(b.lots) == 0 {
			errs = append(errs, &model.Error{Kind: model.CannotCut, Where: pp.ringPlace(b.rings[0]).where,
				What: fmt.Sprintf("profile %s: all sides of a frame are to come from one lot, and no lot can give %s",
					pp.profile.Name, pp.framesOf(b.rings)),
				Do: "add sticks of one lot or an offer, or write free under match"})
		}
	}
	longest, _ := pp.longest()
	var tooLong []unit
	for _, u := range pp.units {
		if len(u.pieces) > 1 && u.need > longest.usable {
			tooLong = append(tooLong, u)
		}
	}
	if len(tooLong) == 0 {
		return errs
	}
	what, do := "all sides of a frame", "write pair under match, so that each stick gives a long and a short side, or free"
	if first := pp.pieces[tooLong[0].pieces[0]]; pp.w.MatchOf(pp.w.Jobs[first.job], pp.profile) == model.MatchPair {
		what, do = "a long and a short side", "write free or lot under match"
	}
	return append(errs, &model.Error{Kind: model.CannotCut, Where: pp.ringPlace(tooLong[0].pieces).where,
		What: fmt.Sprintf("profile %s: %s are to come from one stick, and none is long enough for %s; %s",
			pp.profile.Name, what, pp.onOneStick(tooLong), pp.longestThere()), Do: do})
}

// onOneStick names the frames of units that must each lie on one stick, the longest first, what each takes, how long a stick it needs, and how many
// there are of those on the rack.
func (pp *profileProblem) onOneStick(units []unit) string {
	const most = 6
	u := pp.w.Unit
	var names []string
	frames, more := map[string]bool{}, 0
	for _, one := range units {
		name := pp.ringPlace(one.pieces).String()
		if id := pp.pieces[one.pieces[0]].id; id.Copy > 1 {
			name += fmt.Sprintf(", no %d", id.Copy)
		}
		if frames[name] {
			continue
		}
		if frames[name] = true; len(names) == most {
			more++
			continue
		}
		fit := 0
		for _, k := range pp.kinds {
			if k.usable >= one.need {
				fit += len(k.rack)
			}
		}
		names = append(names, fmt.Sprintf("%s (takes %s, so a stick of %s: %d on the rack)", name, one.need.Near(u),
			(one.need+pp.trims.Head+pp.profile.Repeat+pp.trims.Tail).Near(u), fit))
	}
	if more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	return strings.Join(names, "; ")
}

// longestThere says how long the longest stick is on the rack, and on offer.
func (pp *profileProblem) longestThere() string {
	u := pp.w.Unit
	var rack, offer kind
	for _, k := range pp.kinds {
		at := &rack
		if k.bought() {
			at = &offer
		}
		if k.usable > at.usable {
			*at = k
		}
	}
	text := "nothing usable is on the rack"
	if rack.usable > 0 {
		text = fmt.Sprintf("the longest on the rack is %s, of which %s is usable", rack.length.Said(u), rack.usable.Near(u))
	}
	if offer.usable == 0 {
		return text + ", and nothing is on offer"
	}
	return text + fmt.Sprintf(", and the longest on offer, from %s, is %s, of which %s is usable", pp.supplies[offer.supply].supplier, offer.length.Said(u), offer.usable.Near(u))
}

// ringPlace is where on paper a ring belongs that has this piece first.
func (pp *profileProblem) ringPlace(ring []int) place {
	return pp.place(pp.pieces[ring[0]].id)
}

// framesOf names the frames that rings belong to, each once.
func (pp *profileProblem) framesOf(rings [][]int) string {
	var names []string
	for _, r := range rings {
		if name := pp.ringPlace(r).String(); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, "; ")
}
