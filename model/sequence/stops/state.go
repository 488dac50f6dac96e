package stops

import (
	"cmp"
	"slices"
)

// mode is which orders are looked for, and what counts first.
type mode uint8

const (
	finish mode = iota // each stick is finished before the next; least settings
	aside              // a stick may be laid aside; fewest pick-ups, then least settings
	once               // a stop leaves a length only when it is all cut; least settings, then fewest pick-ups
	seldom             // the same, but lengths may be set again
)

// cost is what counts first times weight, plus what counts next.
type cost int64

// weight is more than any run has settings or pick-ups: there are at most as many as pieces, which an int32 counts.
const weight = 1 << 31

func (m mode) cost(settings, pickUps int32) cost {
	if m == aside {
		return cost(pickUps)*weight + cost(settings)
	}
	return cost(settings)*weight + cost(pickUps)
}

// state is how far a run has got. States share their slices and never change them.
type state struct {
	flat     []int32 // sticks not taken yet, by type; pieces left, by length; sticks not taken that have it, by length; groups left
	asides   []int32 // remainders of the sticks laid aside, rising
	hand     int32   // remainder in hand; 0: none
	set      []standing
	settings int32
	pickUps  int32
	done     int32 // pieces cut
	waiting  int32 // lengths that are still to be cut and stand on no stop
	untidy   int32 // how far it has departed from the order in which sticks and lots are given, to choose among equals
}

// standing is a stop that stands at a length of which there is more to cut.
type standing struct {
	length int32
	cut    []int32 // since it stands there, by the length's classes
}

// source is where the next stick comes from.
type source struct {
	from stickFrom
	rem  int32
	ty   int32 // where it is fresh
}

type stickFrom uint8

const (
	inHand stickFrom = iota
	fresh
	laidAside
)

// move is one or more equal cuts. take is how many pieces of each lot; nil: all. drop is the length whose stop is used, where
// none is idle.
type move struct {
	source
	option int32
	take   []int32
	placed bool
	drop   int32
}

func (t *table) start() *state {
	s := &state{flat: make([]int32, t.flat)}
	for _, ty := range t.typeOf {
		s.flat[ty]++
		for _, l := range t.rems[t.types[ty]].lengths {
			*t.holders(s, l)++
		}
	}
	for c, class := range t.p.Classes {
		for _, g := range class.Groups {
			*t.leftOf(s, int32(class.Length)) += int32(g)
		}
		if t.unit[c] == 0 {
			copy(s.flat[t.at[c]:], t.have[c])
		}
	}
	for l := range t.p.Lengths {
		if *t.leftOf(s, int32(l)) > 0 {
			s.waiting++
		}
	}
	return s
}

// leftOf is how many pieces of a length are left, holders how many fresh sticks have some.
func (t *table) leftOf(s *state, length int32) *int32 { return &s.flat[len(t.types)+int(length)] }
func (t *table) holders(s *state, length int32) *int32 {
	return &s.flat[len(t.types)+len(t.p.Lengths)+int(length)]
}

// groupsLeft is how many groups of each size are left of a class with several sizes.
func (t *table) groupsLeft(s *state, class int) []int32 {
	return s.flat[t.at[class] : t.at[class]+len(t.sizes[class])]
}

// at gives the standing at a length, or none.
func (s *state) at(length int) int {
	return slices.IndexFunc(s.set, func(st standing) bool { return int(st.length) == length })
}

// appendKey appends what is equal for states from which the same can follow, and only for them.
func (t *table) appendKey(key []byte, s *state) []byte {
	for _, n := range s.flat[:len(t.types)] {
		key = appendNumber(key, n)
	}
	key = appendNumber(key, s.hand)
	key = appendNumber(key, int32(len(s.asides)))
	for _, id := range s.asides {
		key = appendNumber(key, id)
	}
	for _, st := range s.set {
		key = appendNumber(key, st.length)
		for _, c := range st.cut {
			key = appendNumber(key, c)
		}
	}
	for _, n := range s.flat[len(t.types)+2*len(t.p.Lengths):] {
		key = appendNumber(key, n)
	}
	return key
}

// whole says whether pieces of a class make up groups that are left.
func (t *table) whole(s *state, class int, count int32) bool {
	if u := t.unit[class]; u > 0 {
		return count%u == 0
	}
	_, ok := Pack(t.sizes[class], t.groupsLeft(s, class), count)
	return ok
}

// mayLeave says whether a stop may leave where it stands.
func (t *table) mayLeave(m mode, s *state, st standing) bool {
	if m == once {
		return false // what is all cut is in no state
	}
	for i, c := range t.classesOf[st.length] {
		if !t.whole(s, c, st.cut[i]) {
			return false
		}
	}
	return true
}

// apply gives the state after a move.
func (t *table) apply(s *state, mv move) *state {
	n := &state{flat: slices.Clone(s.flat), asides: s.asides, settings: s.settings, pickUps: s.pickUps,
		done: s.done, waiting: s.waiting, untidy: s.untidy + t.departs(s, mv)}
	if mv.from != inHand && s.hand != 0 {
		n.asides = inserted(n.asides, s.hand)
	}
	switch mv.from {
	case fresh:
		n.flat[mv.ty]--
		for _, l := range t.rems[mv.rem].lengths {
			*t.holders(n, l)--
		}
	case laidAside:
		i, _ := slices.BinarySearch(n.asides, mv.rem)
		n.asides = slices.Delete(slices.Clone(n.asides), i, i+1)
		n.pickUps++
	}
	op := &t.rems[mv.rem].options[mv.option]
	if mv.placed {
		n.set = t.place(n, s.set, int32(op.length), mv.drop)
	} else {
		n.set = slices.Clone(s.set)
	}
	t.cutPieces(n, op, mv.take)
	n.hand = t.cut(mv.rem, int(mv.option), mv.take)
	return n
}

// departs counts the fresh sticks, and the lots of the segment, that are given before what a move cuts and are passed over.
func (t *table) departs(s *state, mv move) int32 {
	var n int32
	if mv.from == fresh {
		for _, count := range s.flat[:mv.ty] {
			n += count
		}
	}
	r := t.rems[mv.rem]
	for _, op := range r.options[:mv.option] {
		if op.whole == r.options[mv.option].whole {
			n++
		}
	}
	return n
}

// place puts a stop at a length and gives the standings then. Stops too near to it, and the one at drop, leave where they stood.
func (t *table) place(n *state, set []standing, length, drop int32) []standing {
	out := make([]standing, 0, len(set)+1)
	for _, st := range set {
		if st.length == drop || t.near(int(st.length), int(length)) {
			t.close(n, st)
			n.waiting++
			continue
		}
		out = append(out, st)
	}
	n.settings++
	n.waiting--
	out = append(out, standing{length, make([]int32, len(t.classesOf[length]))})
	slices.SortFunc(out, func(a, b standing) int { return cmp.Compare(a.length, b.length) })
	return out
}

// close takes the groups that were cut from what is left.
func (t *table) close(n *state, st standing) {
	for i, c := range t.classesOf[st.length] {
		if t.unit[c] > 0 {
			continue
		}
		left := t.groupsLeft(n, c)
		taken, _ := Pack(t.sizes[c], left, st.cut[i])
		for k := range taken {
			left[k] -= taken[k]
		}
	}
}

// cutPieces counts pieces as cut. A length of which nothing is left leaves its stop idle.
func (t *table) cutPieces(n *state, op *option, take []int32) {
	i := n.at(op.length)
	st := &n.set[i]
	st.cut = slices.Clone(st.cut)
	for k, lot := range op.lots {
		q := int32(lot.Count)
		if take != nil {
			q = take[k]
		}
		st.cut[t.slot[lot.Class]] += q
		n.done += q
		*t.leftOf(n, int32(op.length)) -= q
	}
	if *t.leftOf(n, int32(op.length)) == 0 {
		t.close(n, *st)
		n.set = slices.Delete(n.set, i, i+1)
	}
}

// inserted gives a new sorted list with one number more.
func inserted(sorted []int32, n int32) []int32 {
	i, _ := slices.BinarySearch(sorted, n)
	out := make([]int32, 0, len(sorted)+1)
	out = append(out, sorted[:i]...)
	out = append(out, n)
	return append(out, sorted[i:]...)
}
