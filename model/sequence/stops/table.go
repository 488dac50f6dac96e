package stops

import (
	"cmp"
	"math"
	"slices"
)

// table is a problem made ready for the search: equal sticks are one type, and what can be left of a stick, a remainder,
// has a number. Remainder 0 is nothing.
type table struct {
	p         Problem
	classesOf [][]int // by length
	slot      []int   // of a class among those of its length
	unit      []int32 // by class: the size of its groups where all are equal, else 0
	sizes     [][]int32
	have      [][]int32
	at        []int // by class: where its groups begin in a state's flat numbers, where unit is 0
	complete  bool  // what the moves leave out is never needed

	segments []Segment
	part     []int // by segment
	segIndex map[string]int32
	rems     []*remainder
	remIndex map[string]int32
	types    []int32 // remainders of whole sticks, by type
	typeOf   []int   // by stick
	pieces   int
	flat     int  // numbers in a state
	many     bool // some stick has several segments
}

// remainder is what is left of a stick.
type remainder struct {
	begun   Segment // what is left of the segment that is begun; nil: none
	whole   []int32 // segments not begun, by number, rising
	options []option
	lengths []int32 // that occur, by where a stop stands for them
}

// option is all the pieces of one length in a segment that may be cut next.
type option struct {
	whole  int // index in whole of the segment that is begun with it; none: the one that is begun
	length int
	lots   []Lot
	next   int32 // the remainder when all of them are cut; unknown until asked for
}

const (
	none    = -1
	unknown = -1
)

func newTable(p Problem) *table {
	t := &table{p: p, complete: true, segIndex: map[string]int32{}, remIndex: map[string]int32{}}
	t.rems = append(t.rems, &remainder{})
	t.remIndex[remainderKey(nil, nil)] = 0
	t.fillTypes()
	t.flat = len(t.types) + 2*len(p.Lengths)
	t.fillClasses()
	return t
}

func (t *table) fillTypes() {
	typeOfRem := map[int32]int{}
	for i, s := range t.p.Sticks {
		var whole []int32
		for n, seg := range s {
			if id, ok := t.segment(seg, t.p.partOf(i, n)); ok {
				whole = append(whole, id)
			}
			for _, lot := range seg {
				t.pieces += lot.Count
			}
		}
		t.many = t.many || len(whole) > 1
		slices.Sort(whole)
		r := t.remainder(nil, whole)
		ty, ok := typeOfRem[r]
		if !ok {
			ty = len(t.types)
			typeOfRem[r] = ty
			t.types = append(t.types, r)
		}
		t.typeOf = append(t.typeOf, ty)
	}
}

func (t *table) fillClasses() {
	t.classesOf = make([][]int, len(t.p.Lengths))
	for c, class := range t.p.Classes {
		t.slot = append(t.slot, len(t.classesOf[class.Length]))
		t.classesOf[class.Length] = append(t.classesOf[class.Length], c)
		sizes, have := Sizes(class.Groups)
		t.sizes, t.have = append(t.sizes, sizes), append(t.have, have)
		t.at = append(t.at, t.flat)
		if len(sizes) == 1 {
			t.unit = append(t.unit, sizes[0])
			continue
		}
		t.unit = append(t.unit, 0)
		t.flat += len(sizes)
		for i := 1; i < len(sizes); i++ {
			t.complete = t.complete && sizes[i-1]%sizes[i] == 0
		}
	}
}

// partOf says in which part of a stick a segment lies.
func (p *Problem) partOf(stick, segment int) int {
	if p.parts == nil {
		return 0
	}
	return p.parts[stick][segment]
}

// segment gives the number of a segment in some part of its stick. An empty one has none.
func (t *table) segment(seg Segment, part int) (int32, bool) {
	seg = tidy(seg)
	if len(seg) == 0 {
		return 0, false
	}
	key := lotsKey(appendNumber(nil, int32(part)), seg)
	if id, ok := t.segIndex[string(key)]; ok {
		return id, true
	}
	id := int32(len(t.segments))
	t.segments, t.part = append(t.segments, seg), append(t.part, part)
	t.segIndex[string(key)] = id
	return id, true
}

// tidy gives the lots by class, each class once.
func tidy(seg Segment) Segment {
	out := Segment{}
	for _, lot := range seg {
		if i := slices.IndexFunc(out, func(l Lot) bool { return l.Class == lot.Class }); i >= 0 {
			out[i].Count += lot.Count
		} else if lot.Count > 0 {
			out = append(out, lot)
		}
	}
	slices.SortFunc(out, func(a, b Lot) int { return cmp.Compare(a.Class, b.Class) })
	return out
}

// remainder gives the number of a remainder.
func (t *table) remainder(begun Segment, whole []int32) int32 {
	key := remainderKey(begun, whole)
	if id, ok := t.remIndex[key]; ok {
		return id
	}
	r := &remainder{begun: begun, whole: whole}
	if len(begun) > 0 {
		t.addOptions(r, none, begun)
	} else {
		next := t.nextPart(whole)
		for i, id := range whole {
			if t.part[id] == next && (i == 0 || whole[i-1] != id) {
				t.addOptions(r, i, t.segments[id])
			}
		}
	}
	for _, seg := range t.left(r) {
		for _, lot := range seg {
			r.lengths = append(r.lengths, int32(t.p.Classes[lot.Class].Length))
		}
	}
	slices.SortFunc(r.lengths, func(a, b int32) int {
		return cmp.Or(cmp.Compare(t.p.Lengths[a], t.p.Lengths[b]), cmp.Compare(a, b))
	})
	r.lengths = slices.Compact(r.lengths)
	id := int32(len(t.rems))
	t.rems = append(t.rems, r)
	t.remIndex[key] = id
	return id
}

// nextPart is the first part of a stick that some of the segments lie in.
func (t *table) nextPart(whole []int32) int {
	next := math.MaxInt
	for _, id := range whole {
		next = min(next, t.part[id])
	}
	return next
}

// left gives all segments of a remainder.
func (t *table) left(r *remainder) []Segment {
	var all []Segment
	if len(r.begun) > 0 {
		all = append(all, r.begun)
	}
	for _, id := range r.whole {
		all = append(all, t.segments[id])
	}
	return all
}

// addOptions adds an option for each length of a segment.
func (t *table) addOptions(r *remainder, whole int, seg Segment) {
	first := len(r.options)
	for _, lot := range seg {
		l := t.p.Classes[lot.Class].Length
		i := slices.IndexFunc(r.options[first:], func(o option) bool { return o.length == l })
		if i < 0 {
			r.options = append(r.options, option{whole: whole, length: l, next: unknown})
			i = len(r.options) - first - 1
		}
		r.options[first+i].lots = append(r.options[first+i].lots, lot)
	}
}

// cut gives the remainder after so many pieces of each of an option's lots are cut; nil: all of them.
func (t *table) cut(id int32, o int, take []int32) int32 {
	r := t.rems[id]
	op := &r.options[o]
	if take == nil && op.next != unknown {
		return op.next
	}
	whole, from := r.whole, r.begun
	if op.whole != none {
		from = t.segments[r.whole[op.whole]]
		whole = slices.Delete(slices.Clone(r.whole), op.whole, op.whole+1)
	}
	var begun Segment
	for _, lot := range from {
		if i := slices.IndexFunc(op.lots, func(l Lot) bool { return l.Class == lot.Class }); i >= 0 {
			if take == nil {
				continue
			}
			lot.Count -= int(take[i])
		}
		if lot.Count > 0 {
			begun = append(begun, lot)
		}
	}
	next := t.remainder(begun, whole)
	if take == nil {
		op.next = next
	}
	return next
}

// near says whether two stops at these lengths cannot both stand.
func (t *table) near(a, b int) bool {
	d := t.p.Lengths[a] - t.p.Lengths[b]
	return max(d, -d) < max(t.p.Gap, 1)
}

func remainderKey(begun Segment, whole []int32) string {
	key := lotsKey(appendNumber(nil, int32(len(begun))), begun)
	for _, id := range whole {
		key = appendNumber(key, id)
	}
	return string(key)
}

func lotsKey(key []byte, seg Segment) []byte {
	for _, lot := range seg {
		key = appendNumber(appendNumber(key, int32(lot.Class)), int32(lot.Count))
	}
	return key
}

// appendNumber appends a number so that no two lists of them look alike.
func appendNumber(key []byte, n int32) []byte {
	return append(key, byte(n), byte(n>>8), byte(n>>16), byte(n>>24))
}
