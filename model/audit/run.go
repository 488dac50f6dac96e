package audit

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// auditStop is a stop of the machine as the audit follows it.
type auditStop struct {
	stands  bool // at kind, and nothing has been in its way since
	kind    plan.SideKind
	setting int // which one, from 1
}

// runAudit is a run as the audit follows it, cut by cut.
type runAudit struct {
	*audit
	p       *plan.ProfilePlan
	where   string
	stand   []auditStop
	parts   [][]*runPart // by stick
	hand    int          // that was cut last
	taken   int          // sticks
	pickUps int
	placed  int                                    // settings so far
	from    map[model.SideID]map[plan.SideKind]int // by ring: the setting that equal sides are cut from
	set     map[plan.SideKind]int                  // how often each length is set
	rings   map[model.SideID]*wantedRing
}

// run audits the order of cuts: that every side is cut once, from its stick's head on, by a stop that stands at its length
// and not too near another; that equal sides of a frame are cut from one setting; and that the counts are right.
func (a *audit) run(p *plan.ProfilePlan, want *derived) {
	r := &runAudit{audit: a, p: p, where: "profile " + p.Name + ", run", parts: a.runParts(p, want),
		from: map[model.SideID]map[plan.SideKind]int{}, set: map[plan.SideKind]int{}, rings: map[model.SideID]*wantedRing{}}
	for _, ring := range want.rings {
		r.rings[ring.key] = ring
	}
	stops := max(a.w.Machine.Limits.Stops, 1)
	if order := p.Run.Order; order != plan.StickByStick && order != plan.StopByStop {
		a.report("run", r.where, "there is no order %q", order)
	}
	if p.Run.Stops != stops {
		a.report("run", r.where, "it is for %d stops and the machine has %d", p.Run.Stops, stops)
	}
	r.stand = make([]auditStop, stops)
	for n, c := range p.Run.Cuts {
		at := fmt.Sprintf("%s, cut %d", r.where, n+1)
		if part := nextOn(r.parts, c); part != nil {
			r.takes(at, c, part)
			r.stop(at, c)
		} else {
			a.report("run", at, "side %d of stick %d is not the next one from the head", c.Side+1, c.Stick+1)
		}
	}
	for i, s := range p.Sticks {
		never := 0
		for _, part := range r.parts[i] {
			never += len(part.sides) - part.cut
		}
		if never > 0 {
			a.report("run", r.where, "%d sides of stick %s are never cut", never, s.ID)
		}
	}
	matched := len(a.units(want)) > 0
	for kind, n := range r.set {
		if p.Run.Order == plan.StopByStop && n > 1 && !matched {
			a.report("run", r.where, "%s is set %d times", a.in(kind.LongPoint), n)
		}
	}
	a.runCounts(p, want, r.where, r.placed, r.pickUps)
}

// takes follows the sticks: which is taken in hand for a cut, and what the cut leaves of the part.
func (r *runAudit) takes(at string, c plan.Cut, part *runPart) {
	switch {
	case c.Stick == r.taken:
		r.taken++
	case c.Stick > r.taken:
		r.report("run", at, "stick %d is taken before stick %d", c.Stick+1, r.taken+1)
		r.taken = c.Stick + 1
	case c.Stick != r.hand:
		r.pickUps++
	}
	r.hand = c.Stick
	part.cut++
	part.left -= r.side(c).Takes
	if c.Left != part.left {
		r.report("run", at, "%s is left of the stick, not %s", r.in(part.left), r.in(c.Left))
	}
}

// side is the side of a cut.
func (r *runAudit) side(c plan.Cut) plan.Side { return r.p.Sticks[c.Stick].Sides[c.Side] }

// stop follows the stops: whether the cut's stands at its side's length, and whether equal sides are cut from one setting.
func (r *runAudit) stop(at string, c plan.Cut) {
	side := r.side(c)
	if c.Stop < 1 || c.Stop > len(r.stand) {
		r.report("run", at, "the machine has no stop %d", c.Stop)
		return
	}
	stop := &r.stand[c.Stop-1]
	if c.Placed {
		r.placed++
		r.set[side.Kind()]++
		r.place(r.stand, c.Stop-1, side, r.placed)
	}
	if !stop.stands || stop.kind != side.Kind() {
		r.report("run", at, "stop %d does not stand at %s", c.Stop, r.in(side.LongPoint))
		return
	}
	r.setBy(at, c, side)
	ring := r.from[side.OfRing()]
	if ring == nil {
		ring = map[plan.SideKind]int{}
		r.from[side.OfRing()] = ring
	}
	if first, ok := ring[side.Kind()]; !ok {
		ring[side.Kind()] = stop.setting
	} else if first != stop.setting {
		r.report("pair", at, "side %s of job %s, frame %s is cut from another setting than its equal", side.Letter, side.Job, side.Frame)
	}
}

// setBy holds against the jobs by which finished side the stop is set for a cut: the first of equal sides is set by one that is cut already, where one is.
func (r *runAudit) setBy(at string, c plan.Cut, side plan.Side) {
	by := ""
	ring := r.rings[side.OfRing()]
	if _, met := r.from[side.OfRing()][side.Kind()]; !met && ring != nil {
		for _, n := range ring.done[side.LongPoint] {
			letter := string(rune('A' + n))
			if n = n - int([]rune(side.Letter + "A")[0]-'A'); by == "" || ring.of%2 == 0 && max(n, -n) == ring.of/2 {
				by = letter
			}
		}
	}
	switch {
	case by == c.By:
	case by == "":
		r.report("pair", at, "the stop is set by side %s, and no equal of side %s is cut before", c.By, side.Letter)
	default:
		r.report("pair", at, "side %s of job %s, frame %s is equal to side %s, which is cut already, and the stop is set by %q", side.Letter, side.Job, side.Frame, by, c.By)
	}
}

// runPart is the sides of one sound part of a stick, as far as the audit has seen them cut.
type runPart struct {
	sides []int // indexes in the stick's
	cut   int
	left  model.Length
}

// runParts divides the sides of each stick by its sound parts.
func (a *audit) runParts(p *plan.ProfilePlan, want *derived) [][]*runPart {
	all := make([][]*runPart, len(p.Sticks))
	for i := range p.Sticks {
		s := &p.Sticks[i]
		parts := a.parts(s, want)
		for _, one := range parts {
			all[i] = append(all[i], &runPart{left: one.behind - one.from})
		}
		for n, side := range s.Sides {
			if at := partAt(parts, side); at < len(parts) {
				all[i][at].sides = append(all[i][at].sides, n)
			}
		}
	}
	return all
}

// partAt says on which part a side starts; the first one where it starts on none.
func partAt(parts []part, side plan.Side) int {
	at := 0
	for at+1 < len(parts) && side.Start >= parts[at+1].from {
		at++
	}
	return at
}

// nextOn gives the part that a cut is from, if its side is the next one there.
func nextOn(parts [][]*runPart, c plan.Cut) *runPart {
	if c.Stick < 0 || c.Stick >= len(parts) {
		return nil
	}
	for _, part := range parts[c.Stick] {
		if part.cut < len(part.sides) && part.sides[part.cut] == c.Side {
			return part
		}
	}
	return nil
}

// units names what must lie next to each other of matched frames, by side.
func (a *audit) units(want *derived) map[model.SideID]string {
	units := map[model.SideID]string{}
	for _, r := range want.rings {
		for n, w := range r.sides {
			key := r.key
			key.Letter = w.side.Letter
			switch {
			case r.match == model.MatchStick, r.match == model.MatchPair && !a.standTogether(r):
				units[key] = r.key.OfRing().String()
			case r.match == model.MatchPair:
				units[key] = fmt.Sprintf("%s, pair %d", r.key.OfRing().String(), n/2)
			}
		}
	}
	return units
}

// standTogether says whether the machine can have a stop at each of a ring's lengths at the same time.
func (a *audit) standTogether(r *wantedRing) bool {
	limits := a.w.Machine.Limits
	kinds := map[plan.SideKind]bool{}
	for _, w := range r.sides {
		kinds[plan.SideKind{Takes: w.takes, LongPoint: w.side.LongPoint}] = true
	}
	for k := range kinds {
		for other := range kinds {
			if apart := k.LongPoint - other.LongPoint; k != other && apart >= 0 && (apart == 0 || apart < limits.StopGap.Length) {
				return false
			}
		}
	}
	return len(kinds) <= max(limits.Stops, 1)
}

// place puts a stop at a side's length. Stops too near to it are out of the way then, and stand nowhere.
func (a *audit) place(stand []auditStop, n int, side plan.Side, setting int) {
	for i := range stand {
		apart := stand[i].kind.LongPoint - side.LongPoint
		if apart < 0 {
			apart = -apart
		}
		if apart == 0 || apart < a.w.Machine.Limits.StopGap.Length {
			stand[i].stands = false
		}
	}
	stand[n] = auditStop{stands: true, kind: side.Kind(), setting: setting}
}

// runCounts audits what is said of a run as a whole. That no order has fewer settings than there are lengths needs no more
// than counting; for a better bound the search that proved it is done again.
func (a *audit) runCounts(p *plan.ProfilePlan, want *derived, where string, settings, pickUps int) {
	r := &p.Run
	same := func(what string, got, want int) {
		if got != want {
			a.report("run", where, "%s: %d instead of %d", what, got, want)
		}
	}
	same("settings", r.Settings, settings)
	same("pick-ups", r.PickUps, pickUps)
	same("settings in first-come order", r.FirstCome, a.firstCome(p, want))
	kinds := map[plan.SideKind]bool{}
	for _, s := range p.Sticks {
		for _, side := range s.Sides {
			kinds[side.Kind()] = true
		}
	}
	proved := len(kinds)
	if r.Least != proved && (r.Order == plan.StickByStick || len(a.units(want)) > 0) {
		proved = a.with.Least(a.w, p.Name, r.Order, p.Sticks)
	}
	same("the least number of settings", r.Least, proved)
}

// firstCome counts the settings of first-come order: the stop goes that is wanted again last.
func (a *audit) firstCome(p *plan.ProfilePlan, want *derived) int {
	stops := p.Run.Stops
	sides := a.longestFirst(p, want)
	var stand []plan.SideKind
	settings := 0
	for i, side := range sides {
		if slices.Contains(stand, side.Kind()) {
			continue
		}
		settings++
		stand = slices.DeleteFunc(stand, func(k plan.SideKind) bool {
			apart := max(k.LongPoint-side.LongPoint, side.LongPoint-k.LongPoint)
			return apart == 0 || apart < a.w.Machine.Limits.StopGap.Length
		})
		if len(stand) > 0 && len(stand) >= stops {
			last, wanted := 0, -1
			for n, k := range stand {
				next := slices.IndexFunc(sides[i:], func(s plan.Side) bool { return s.Kind() == k })
				if next < 0 {
					next = len(sides)
				}
				if next > wanted {
					last, wanted = n, next
				}
			}
			stand = slices.Delete(stand, last, last+1)
		}
		stand = append(stand, side.Kind())
	}
	return settings
}

// longestFirst gives a profile's sides in first-come order: part after part of the sticks, those with the longest sides first; on
// each part the units that take most first, and of each unit the longest sides.
func (a *audit) longestFirst(p *plan.ProfilePlan, want *derived) []plan.Side {
	longFirst := func(x, y plan.Side) int {
		return cmp.Or(cmp.Compare(y.Takes, x.Takes), cmp.Compare(y.LongPoint, x.LongPoint))
	}
	whole := func(sides []plan.Side) (sum plan.Side) {
		for _, s := range sides {
			sum.Takes += s.Takes
			sum.LongPoint += s.LongPoint
		}
		return sum
	}
	units := a.units(want)
	var rows [][]plan.Side
	for i, parts := range a.runParts(p, want) {
		for _, part := range parts {
			byName := map[string][]plan.Side{}
			for _, n := range part.sides {
				side := p.Sticks[i].Sides[n]
				name, ok := units[side.SideID]
				if !ok {
					name = fmt.Sprint(n)
				}
				byName[name] = append(byName[name], side)
			}
			row := slices.Collect(maps.Values(byName))
			for _, unit := range row {
				slices.SortFunc(unit, longFirst)
			}
			slices.SortFunc(row, func(x, y []plan.Side) int {
				return cmp.Or(longFirst(whole(x), whole(y)), slices.CompareFunc(x, y, longFirst))
			})
			rows = append(rows, slices.Concat(row...))
		}
	}
	slices.SortFunc(rows, func(x, y []plan.Side) int { return slices.CompareFunc(x, y, longFirst) })
	return slices.Concat(rows...)
}
