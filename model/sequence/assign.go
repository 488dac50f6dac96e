package sequence

import (
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/sequence/stops"
)

// assigner assigns the sides of a run's problem in the order of a run: those that belong together to cuts from one setting. Of the
// groups that will do it takes first one whose frame has a side on the same stick already, then the first that came.
type assigner struct {
	q       *runProblem
	sizes   [][]int32              // by class: the sizes of its groups, largest first
	share   map[int][][]int32      // by setting and class: how many groups of each size are still to be begun
	open    map[[2]int][]plan.Side // by setting and class: what is left of the group that is begun
	started []bool                 // by group
	on      []map[model.SideID]bool
	own     map[[2]int][]classed // by part and unit: what is left of a matched one, whose sides are assigned to nobody else
}

// newAssigner shares out the groups among the settings, in the order of the settings and the largest first, as package stops
// took them to be.
func (q *runProblem) newAssigner(run stops.Plan) *assigner {
	a := &assigner{q: q, share: map[int][][]int32{}, open: map[[2]int][]plan.Side{}, started: make([]bool, len(q.groups)),
		on: make([]map[model.SideID]bool, len(q.parts)), own: map[[2]int][]classed{}}
	for n, p := range q.parts {
		for u, unit := range p.units {
			if unit.matched {
				a.own[[2]int{n, u}] = slices.Clone(unit.sides)
			}
		}
	}
	for i := range a.on {
		a.on[i] = map[model.SideID]bool{}
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
		a.sizes, have = append(a.sizes, sizes), append(have, n)
	}
	for standing, count := range counts {
		a.share[standing] = make([][]int32, len(q.classes))
		for c, n := range count {
			taken, ok := stops.Pack(a.sizes[c], have[c], n)
			if !ok {
				panic("sequence: a run that splits equal sides of a frame")
			}
			for k := range taken {
				have[c][k] -= taken[k]
			}
			a.share[standing][c] = taken
		}
	}
	return a
}

// next gives the side for a cut.
func (a *assigner) next(c stops.Cut) plan.Side {
	if own, ok := a.own[[2]int{c.Stick, c.Segment}]; ok {
		i := slices.IndexFunc(own, func(s classed) bool { return s.class == a.q.classes[c.Class] })
		s := own[i].Side
		a.own[[2]int{c.Stick, c.Segment}] = slices.Delete(own, i, i+1)
		return s
	}
	key := [2]int{c.Standing, c.Class}
	if len(a.open[key]) == 0 {
		g := a.choose(c)
		a.started[g] = true
		a.open[key] = a.q.groups[g]
	}
	s := a.open[key][0]
	a.open[key] = a.open[key][1:]
	a.on[c.Stick][s.OfFrame()] = true
	return s
}

// choose gives the group to begin at a cut.
func (a *assigner) choose(c stops.Cut) int {
	share := a.share[c.Standing][c.Class]
	best, size := -1, 0
	for _, g := range a.q.ofClass[c.Class] {
		k := a.sizeIndex(c.Class, len(a.q.groups[g]))
		if a.started[g] || share[k] == 0 {
			continue
		}
		mate := a.on[c.Stick][a.q.groups[g][0].OfFrame()]
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
func (a *assigner) sizeIndex(kind, size int) int {
	for k, s := range a.sizes[kind] {
		if int(s) == size {
			return k
		}
	}
	panic("sequence: a group of no known size")
}
