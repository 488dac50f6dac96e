package solver

import (
	"cmp"
	"slices"
)

// fillings prices the patterns that fill a stick to the end. Where the pieces together are just so many whole sticks, a plan of that many sticks has no
// others. Its answers are found in float32 and without the conditions of a node, so that they only suggest: each column's reduced cost is worked out
// again, and bounds come from exact pricing.
//
// A stage is one piece. suffix[k][r] is the greatest value of the pieces from the k-th stage on that fill the length r, prefix[u] of those before the stage
// at hand that use the length u. The two meet at a piece, and give the best filling that has it.
type fillings struct {
	capacity int
	stages   []fillingStage // the longest pieces first
	wanted   []int          // the stages at hand
	suffix   [][]float32
	taken    [][]uint64 // of each stage, a bit for every length used: the best prefix of this length takes the stage's piece
	prefix   []float32
	found    []filling
}

// fillingStage is a piece: the copy-th of its item.
type fillingStage struct {
	item, copy int
	length     int
}

// filling is the best that has the piece of a stage, where so much of the stick is used before it.
type filling struct {
	stage, used int
	value       float32
}

// unreachable is below any sum of dual values.
const unreachable = float32(-1e30)

// fillingCells bounds the table: 64 MiB.
const fillingCells = 1 << 24

// fillingsPerRound is how many a round adds at most. AI/402_10000_DI_40 took 3.5 s of the processor with 30, 3.0 s with 60.
const fillingsPerRound = 60

// newFillings gives nil where sticks that are not filled to the end have a place in a plan that meets the bound by lengths, and where the table were too
// large.
func newFillings(in *instance) *fillings {
	if len(in.capacity) != 1 || len(in.choices) > 0 || len(in.rows) > 0 || in.credits || in.capacity[0] >= fillingCells {
		return nil
	}
	f := &fillings{capacity: int(in.capacity[0])}
	var unfilled int64 // of the last stick
	for i, l := range in.length {
		unfilled = (unfilled + in.demand[i]%in.capacity[0]*l) % in.capacity[0]
		for n := range in.maxQuantity(i, 0) {
			if f.stages = append(f.stages, fillingStage{i, int(n), int(l)}); len(f.stages)*f.capacity > fillingCells {
				return nil
			}
		}
	}
	if unfilled != 0 {
		return nil
	}
	slices.SortStableFunc(f.stages, func(a, b fillingStage) int { return cmp.Compare(b.length, a.length) })
	f.suffix, f.taken = make([][]float32, len(f.stages)+1), make([][]uint64, len(f.stages))
	for k := range f.suffix {
		f.suffix[k] = make([]float32, f.capacity+1)
	}
	for k := range f.taken {
		f.taken[k] = make([]uint64, f.capacity/64+1)
	}
	f.prefix = make([]float32, f.capacity+1)
	return f
}

// columns are fillings of a value above floor with at most avail of each item (nil: all that is wanted), the best for one piece or another. f may be nil:
// then there are none.
func (f *fillings) columns(duals []float64, avail []int64, floor float64) []*column {
	if f == nil {
		return nil
	}
	f.found = f.found[:0]
	f.begin(avail)
	f.fillSuffixes(duals)
	for k := range f.wanted {
		f.meet(k, duals, float32(floor))
	}
	slices.SortStableFunc(f.found, func(a, b filling) int { return cmp.Compare(b.value, a.value) })
	var out []*column
	seen := map[string]bool{}
	for _, c := range f.found {
		col := &column{take: f.takes(c)}
		if key := col.key(); !seen[key] {
			seen[key] = true
			if out = append(out, col); len(out) == fillingsPerRound {
				break
			}
		}
	}
	return out
}

// best is the filling of the greatest value with at most avail of each item, and its value. It is nil where there is none.
func (f *fillings) best(duals []float64, avail []int64) ([]Take, float64) {
	f.begin(avail)
	for k := range f.wanted {
		f.takeUp(k, duals)
	}
	value := f.prefix[f.capacity]
	if value <= unreachable/2 {
		return nil, float64(value)
	}
	count := map[int]int64{}
	f.addPrefix(count, len(f.wanted), f.capacity)
	return takesOf(count), float64(value)
}

// begin goes back to before the first stage. At most avail of each item are wanted (nil: all).
func (f *fillings) begin(avail []int64) {
	f.wanted = f.wanted[:0]
	for t, s := range f.stages {
		if avail == nil || int64(s.copy) < avail[s.item] {
			f.wanted = append(f.wanted, t)
		}
	}
	for u := range f.prefix {
		f.prefix[u] = unreachable
	}
	f.prefix[0] = 0
}

// fillSuffixes works out suffix from the last stage to the first.
func (f *fillings) fillSuffixes(duals []float64) {
	last := f.suffix[len(f.wanted)]
	for r := range last {
		last[r] = unreachable
	}
	last[0] = 0
	for k := len(f.wanted) - 1; k >= 0; k-- {
		s := f.stages[f.wanted[k]]
		u := float32(duals[s.item])
		now, later := f.suffix[k], f.suffix[k+1]
		copy(now, later[:s.length])
		with, without := later[:len(later)-s.length], later[s.length:]
		for r, v := range without {
			now[s.length+r] = max(v, with[r]+u)
		}
	}
}

// meet finds the best filling with the k-th piece, where it is above floor, and takes the piece up.
func (f *fillings) meet(k int, duals []float64, floor float32) {
	s := f.stages[f.wanted[k]]
	u := float32(duals[s.item])
	later, room := f.suffix[k+1], f.capacity-s.length
	best, at := floor-u, -1
	for used, v := range f.prefix[:room+1] {
		if w := v + later[room-used]; w > best {
			best, at = w, used
		}
	}
	if at >= 0 {
		f.found = append(f.found, filling{k, at, best + u})
	}
	f.takeUp(k, duals)
}

// takeUp takes the k-th piece up into prefix.
func (f *fillings) takeUp(k int, duals []float64) {
	s := f.stages[f.wanted[k]]
	u, taken := float32(duals[s.item]), f.taken[k]
	clear(taken)
	for used := f.capacity; used >= s.length; used-- {
		if v := f.prefix[used-s.length] + u; v > f.prefix[used] {
			f.prefix[used] = v
			taken[used>>6] |= 1 << (used & 63)
		}
	}
}

// takes lists the pieces of a filling.
func (f *fillings) takes(c filling) []Take {
	s := f.stages[f.wanted[c.stage]]
	count := map[int]int64{s.item: 1}
	f.addPrefix(count, c.stage, c.used)
	for k, rest := c.stage+1, f.capacity-c.used-s.length; rest > 0; k++ {
		if f.suffix[k][rest] != f.suffix[k+1][rest] {
			t := f.stages[f.wanted[k]]
			count[t.item]++
			rest -= t.length
		}
	}
	return takesOf(count)
}

// addPrefix counts the pieces before the k-th stage that make the best prefix of this length.
func (f *fillings) addPrefix(count map[int]int64, k, used int) {
	for used > 0 {
		k--
		if f.taken[k][used>>6]&(1<<(used&63)) != 0 {
			t := f.stages[f.wanted[k]]
			count[t.item]++
			used -= t.length
		}
	}
}

// takesOf lists how many pieces of each item are counted, in the order of items.
func takesOf(count map[int]int64) []Take {
	take := make([]Take, 0, len(count))
	for i, n := range count {
		take = append(take, Take{i, n})
	}
	slices.SortFunc(take, func(a, b Take) int { return cmp.Compare(a.Item, b.Item) })
	return take
}
