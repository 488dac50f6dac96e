package sequence

import (
	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/sequence/stops"
	"slices"
)

// deal hands out the sides of a queue in the order of a run: those that belong together to cuts from one setting. Of the
// groups that will do it takes first one whose frame has a side on the same stick already, then the first that came.
type deal struct {
	q     *queue
	sizes [][]int32              // by class: the sizes of its groups, largest first
	share map[int][][]int32      // by setting and class: how many groups of each size are still to be begun
	open  map[[2]int][]plan.Side // by setting and class: what is left of the group that is begun
	begun []bool                 // by group
	on    []map[model.SideID]bool
	own   map[[2]int][]classed // by part and unit: what is left of a matched one, whose sides are dealt to nobody else
}

// newDeal shares out the groups among the settings, in the order of the settings and the largest first, as package stops
// took them to be.
func (q *queue) newDeal(run stops.Plan) *deal {
	d := &deal{q: q, share: map[int][][]int32{}, open: map[[2]int][]plan.Side{}, begun: make([]bool, len(q.groups)),
		on: make([]map[model.SideID]bool, len(q.parts)), own: map[[2]int][]classed{}}
	for n, p := range q.parts {
		for u, unit := range p.units {
			if unit.matched {
				d.own[[2]int{n, u}] = slices.Clone(unit.sides)
			}
		}
	}
	for i := range d.on {
		d.on[i] = map[model.SideID]bool{}
	}
	counts := make([][]int32, run.Settings) // pieces by setting and class
	for _, c := range run.Cuts {
		if counts[c.Standing] == nil {
			counts[c.Standing] = make([]int32, len(q.classes))
		}
		counts[c.Standing][c.Class]++
	}
	var have [][]int32
	for _, class := range q.problem.Classes {
		sizes, n := stops.Sizes(class.Groups)
		d.sizes, have = append(d.sizes, sizes), append(have, n)
	}
	for standing, count := range counts {
		d.share[standing] = make([][]int32, len(q.classes))
		for c, n := range count {
			taken, ok := stops.Pack(d.sizes[c], have[c], n)
			if !ok {
				panic("sequence: a run that splits equal sides of a frame")
			}
			for k := range taken {
				have[c][k] -= taken[k]
			}
			d.share[standing][c] = taken
		}
	}
	return d
}

// next gives the side for a cut.
func (d *deal) next(c stops.Cut) plan.Side {
	if own, ok := d.own[[2]int{c.Stick, c.Segment}]; ok {
		i := slices.IndexFunc(own, func(s classed) bool { return s.class == d.q.classes[c.Class] })
		s := own[i].Side
		d.own[[2]int{c.Stick, c.Segment}] = slices.Delete(own, i, i+1)
		return s
	}
	key := [2]int{c.Standing, c.Class}
	if len(d.open[key]) == 0 {
		g := d.choose(c)
		d.begun[g] = true
		d.open[key] = d.q.groups[g]
	}
	s := d.open[key][0]
	d.open[key] = d.open[key][1:]
	d.on[c.Stick][s.OfFrame()] = true
	return s
}

// choose gives the group to begin at a cut.
func (d *deal) choose(c stops.Cut) int {
	share := d.share[c.Standing][c.Class]
	best, size := -1, 0
	for _, g := range d.q.ofClass[c.Class] {
		k := d.sizeIndex(c.Class, len(d.q.groups[g]))
		if d.begun[g] || share[k] == 0 {
			continue
		}
		mate := d.on[c.Stick][d.q.groups[g][0].OfFrame()]
		if best < 0 || mate {
			best, size = g, k
		}
		if mate {
			break
		}
	}
	share[size]--
	return best
}

// sizeIndex is where a size stands among those of a kind.
func (d *deal) sizeIndex(kind, size int) int {
	for k, s := range d.sizes[kind] {
		if int(s) == size {
			return k
		}
	}
	panic("sequence: a group of no known size")
}
