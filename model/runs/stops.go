package runs

import (
	"cmp"
	"maps"
	"slices"

	"longpoint/model/plan"
)

// cutsFrom gives the cuts of a run's sides as their plans have them, plan after plan. But a plan of the rest begins with the stops where the last cuts
// by the plans before it have left them: one that stands at the first length it is wanted for is not placed, as long as no other was, and where
// that is another stop than the plan says, the two are called by each other's numbers.
func cutsFrom(sides []Side) (cuts []plan.Cut) {
	stands := map[int]plan.SideKind{} // by the number that a stop is called by
	for len(sides) > 0 {
		n := slices.IndexFunc(sides, func(s Side) bool { return s.By.ID != sides[0].By.ID })
		if n < 0 {
			n = len(sides)
		}
		names, placed := stopNames{called: map[int]int{}, met: map[int]bool{}}, false
		last := map[int]int64{} // what was told last of a stop
		now := maps.Clone(stands)
		for _, s := range sides[:n] {
			c := s.By.Run.Cuts[s.By.at[s.SideID].cut]
			if !names.met[c.Stop] && !placed && names.stand(c.Stop, s.As.Kind(), stands) {
				c.Placed = false
			}
			names.met[c.Stop], placed = true, placed || c.Placed
			c.Stop = names.of(c.Stop)
			cuts = append(cuts, c)
			if s.IsCut() && s.Told > last[c.Stop] {
				last[c.Stop], now[c.Stop] = s.Told, s.As.Kind()
			}
		}
		stands, sides = now, sides[n:]
	}
	return cuts
}

// stopNames says what the stops of a plan of a run's rest are called in the run.
type stopNames struct {
	called map[int]int
	met    map[int]bool // stops of the plan
}

func (s stopNames) of(stop int) int { return cmp.Or(s.called[stop], stop) }

// stand tells whether a stop stands at a length already that a stop of the plan is wanted at first, and calls that so.
func (s stopNames) stand(stop int, at plan.SideKind, stands map[int]plan.SideKind) bool {
	for _, there := range slices.Sorted(maps.Keys(stands)) {
		other := there // the plan's stop that is called so
		for mine, name := range s.called {
			if name == there {
				other = mine
			}
		}
		if stands[there] == at && (other == stop || !s.met[other]) {
			s.called[other], s.called[stop] = s.of(stop), there
			return true
		}
	}
	return false
}
