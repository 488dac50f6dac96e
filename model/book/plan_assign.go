package book

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// found is what there is for some of a plan's sticks.
type found struct {
	all    []RackStick  // that may come into question
	sticks []RackStick  // one a place: its stick; without a name where there is none
	groups []lotGroup   // of places that are to be of one lot
	wrong  model.Errors // what is wrong with sticks that the plan cuts by their own names
}

// lotGroup is places of a plan whose sticks are to be of one lot, because they share frames that are matched by lot.
type lotGroup struct {
	places []int    // indexes in the places that were asked for
	frames []string // that lie on more than one of them: "job 101, frame print"
}

// sticksFor finds the sticks that a plan means, for its sticks at these places: those of the rack by their names, and for those it buys or that
// were on the way some that came of the plan's own order, or of theirs; with coming also those still to come. Sticks that share a frame
// which is matched by lot are found all together, of one lot, or none of them is.
func (t *transaction) sticksFor(p plan.ProfilePlan, planID int64, places []int, coming bool) (f found, err error) {
	named := map[string]bool{} // what the plan cuts by its own name is no other stick of it
	for _, i := range places {
		if s := p.Sticks[i]; s.From == plan.FromRack {
			own, wrong, err := t.asPlanned(p.Name, planID, s)
			if err != nil {
				return f, err
			}
			named[s.ID] = true
			f.wrong = append(f.wrong, wrong...)
			if wrong == nil {
				f.all = append(f.all, own)
			}
		}
	}
	came, err := t.cameOf(p.Name)
	if err != nil {
		return f, err
	}
	f.all = append(f.all, slices.DeleteFunc(came, func(s RackStick) bool { return named[s.Name] })...)
	if coming {
		still, err := t.comingOf(p.Name)
		if err != nil {
			return f, err
		}
		f.all = append(f.all, still...)
	}
	if f.groups, err = t.lotGroups(p, places); err != nil {
		return f, err
	}
	f.sticks = make([]RackStick, len(places))
	for n, c := range assign(p, planID, places, f.all, f.groups) {
		if c >= 0 {
			f.sticks[n] = f.all[c]
		}
	}
	return f, nil
}

// asPlanned gives a stick of the rack that a plan cuts by its name, or says what is wrong with it.
func (t *transaction) asPlanned(profile string, planID int64, s plan.Stick) (have RackStick, wrong model.Errors, err error) {
	bad := func(what string, args ...any) (RackStick, model.Errors, error) {
		return have, model.Errors{usageError(t.book.path, fmt.Sprintf(what, args...), planAgain)}, nil
	}
	have, err = t.stick(s.ID)
	if err != nil && !said(err) {
		return have, nil, err
	}
	switch {
	case err != nil || have.State != "rack" || have.Profile != profile:
		return bad("stick %s of plan %d is not on the rack any more", s.ID, planID)
	case have.Length != s.Length:
		return bad("stick %s was %s long when plan %d was made and is %s now", s.ID, t.in(s.Length), planID, t.in(have.Length))
	case !clearOf(have.Damage, s.Sides):
		return bad("stick %s is damaged where plan %d has a side", s.ID, planID)
	}
	have.match, err = t.lotOf(have.Name, have.Lot)
	return have, nil, err
}

// said tells whether an error says of the book that something is not so, and is no fault.
func said(err error) bool {
	_, ok := errors.AsType[*model.Error](err)
	return ok
}

// planAgain is what to do where the sticks of a plan are not there.
const planAgain = `receive what has arrived with "longpoint receive", or plan again, with the rack as it is, with "longpoint plan"`

// lotOf names what a stick matches with in finish, as plan.Stick.LotName does: the lot that was said, else what came of the same line of an order, else
// itself alone.
func (t *transaction) lotOf(stick, lot string) (string, error) {
	if lot != "" {
		return "lot " + lot, nil
	}
	var order, line int64
	together, err := t.one(lineOfStick, []any{stick}, &order, &line)
	if err != nil || !together {
		return "stick " + stick, err
	}
	return "lot " + lotOfLine(order, line), nil
}

// lotGroups says which places of a plan are to be of one lot.
func (t *transaction) lotGroups(p plan.ProfilePlan, places []int) (groups []lotGroup, err error) {
	byLot := map[string]bool{} // by job
	at := map[model.SideID][]int{}
	var rings []model.SideID
	for n, i := range places {
		for _, side := range p.Sticks[i].Sides {
			if _, asked := byLot[side.Job]; !asked {
				var match string
				if _, err := t.one("SELECT iif(j.match = '', p.match, j.match) FROM job AS j, profile AS p WHERE j.name = ? AND p.name = ?", []any{side.Job, p.Name}, &match); err != nil {
					return nil, err
				}
				byLot[side.Job] = match == string(model.MatchLot)
			}
			ring := side.OfRing()
			if !byLot[side.Job] || slices.Contains(at[ring], n) {
				continue
			}
			if at[ring] == nil {
				rings = append(rings, ring)
			}
			at[ring] = append(at[ring], n)
		}
	}
	for _, ring := range rings {
		if len(at[ring]) < 2 {
			continue
		}
		one := lotGroup{places: at[ring], frames: []string{frameOf(ring)}}
		groups = slices.DeleteFunc(groups, func(g lotGroup) bool { // those that share a place with it are one with it
			if !slices.ContainsFunc(g.places, func(n int) bool { return slices.Contains(one.places, n) }) {
				return false
			}
			one.places, one.frames = append(g.places, one.places...), append(g.frames, one.frames...)
			return true
		})
		slices.Sort(one.places)
		one.places = slices.Compact(one.places)
		groups = append(groups, one)
	}
	for i := range groups {
		slices.Sort(groups[i].frames)
		groups[i].frames = slices.Compact(groups[i].frames)
	}
	return groups, nil
}

// frameOf names the frame of a side: "job 101, frame print".
func frameOf(s model.SideID) string { return fmt.Sprintf("job %s, frame %s", s.Job, s.Frame) }

// cameOf gives the sticks of a profile on the rack that came of an order, the shortest first.
func (t *transaction) cameOf(profile string) (came []RackStick, err error) {
	if err = t.each(`SELECT s.name, s.supplier, s.length_nm, s.place, s.lot, s.damage_nm, p.id, coalesce(l.plan, p.plan, 0) FROM stick AS s JOIN delivery AS d ON d.id = s.delivery
			JOIN purchase AS p ON p.id = d.purchase JOIN purchase_line AS l ON l.purchase = p.id AND l.number = s.line
		WHERE s.profile = ? AND s.state = 'rack' ORDER BY s.length_nm, s.id`, []any{profile}, func(scan func(...any) error) error {
		var s RackStick
		var damage string
		if err := scan(&s.Name, &s.Supplier, &s.Length, &s.Place, &s.Lot, &damage, &s.order, &s.plan); err != nil {
			return err
		}
		var err error
		s.Damage, err = parseSpans(damage)
		came = append(came, s)
		return err
	}); err != nil {
		return nil, err
	}
	for i := range came {
		s := &came[i]
		if s.match, err = t.lotOf(s.Name, s.Lot); err != nil {
			return nil, err
		}
	}
	return came, nil
}

// comingOf gives the sticks of a profile that are ordered and not here yet. Of which lot they are is known where it was said.
func (t *transaction) comingOf(profile string) (coming []RackStick, err error) {
	open, err := t.purchases("state = ?", Placed)
	for _, p := range open {
		for _, l := range p.Lines {
			for n := range max(l.ToCome(), 0) {
				if l.Profile != profile {
					continue
				}
				s := RackStick{Name: p.stickName(l, l.came()+n), Profile: profile, Length: l.Length, Supplier: p.Supplier,
					order: p.ID, plan: cmp.Or(l.Plan, p.Plan), expected: p.ShouldCome, toCome: true, unsent: p.Open}
				if l.lot.Valid {
					s.match = "stick " + s.Name
					if l.lot.String != "" {
						s.match = "lot " + l.lot.String
					}
				}
				coming = append(coming, s)
			}
		}
	}
	return coming, err
}

// assign gives each stick at these places of a plan one of the sticks there are, an index in sticks, -1 where there is none: as many as can be get one, for
// one that was given another's may pass on to a third (augmenting paths of bipartite matching). A group gets sticks of one lot, or none: lots are tried
// group after group, as long as tries last.
func assign(p plan.ProfilePlan, planID int64, places []int, sticks []RackStick, groups []lotGroup) (given []int) {
	a := &assignment{p: p, plan: planID, places: places, sticks: sticks, lot: make([]string, len(places)), free: make([]bool, len(places)), tries: 300,
		matched: matched{slices.Repeat([]int{-1}, len(places)), slices.Repeat([]int{-1}, len(sticks))}}
	for n := range places {
		a.free[n] = !slices.ContainsFunc(groups, func(g lotGroup) bool { return slices.Contains(g.places, n) })
	}
	a.tryLots(groups)
	return a.best
}

// assignment is sticks on the way to their places.
type assignment struct {
	p      plan.ProfilePlan
	plan   int64
	places []int
	sticks []RackStick
	lot    []string // that the stick of a place is to be of; empty: any
	free   []bool   // places that no group has
	tries  int
	matched
	best []int
}

// matched is which stick each place has, and which place each stick; -1: none.
type matched struct{ given, taker []int }

// tryLots tries the lots that there are for these groups, the rest being settled, and tells whether every place has got a stick.
func (a *assignment) tryLots(groups []lotGroup) (all bool) {
	if len(groups) == 0 {
		a.tries--
		for n, free := range a.free {
			if free {
				a.find(n, make([]bool, len(a.sticks)))
			}
		}
		if a.best == nil || filled(a.given) > filled(a.best) {
			a.best = slices.Clone(a.given)
		}
		return !slices.Contains(a.given, -1)
	}
	was := matched{slices.Clone(a.given), slices.Clone(a.taker)}
	back := func() { a.matched = matched{slices.Clone(was.given), slices.Clone(was.taker)} }
	g := groups[0]
	for _, lot := range a.lots() {
		if a.tries <= 0 {
			break
		}
		fits := true
		for _, n := range g.places {
			a.lot[n] = lot
			fits = fits && a.find(n, make([]bool, len(a.sticks)))
		}
		if fits && a.tryLots(groups[1:]) {
			return true
		}
		back()
	}
	if a.best == nil || a.tries > 0 { // without this group
		a.tryLots(groups[1:])
		back()
	}
	return false
}

// filled is how many places have a stick.
func filled(given []int) (n int) {
	for _, c := range given {
		if c >= 0 {
			n++
		}
	}
	return n
}

// lots gives the lots of the sticks, in their order; where of none is known of which lot it is, that.
func (a *assignment) lots() (lots []string) {
	for _, s := range a.sticks {
		if s.match != "" && !slices.Contains(lots, s.match) {
			lots = append(lots, s.match)
		}
	}
	return append(lots, "nobody knows which")
}

// find gives a place a stick, for which others may pass on to another.
func (a *assignment) find(n int, seen []bool) bool {
	for _, free := range []bool{true, false} {
		for c, s := range a.sticks {
			if seen[c] || (a.taker[c] < 0) != free || !does(s, a.plan, a.p.Sticks[a.places[n]]) || a.lot[n] != "" && s.match != "" && s.match != a.lot[n] {
				continue
			}
			seen[c] = true
			if free || a.find(a.taker[c], seen) {
				a.given[n], a.taker[c] = c, n
				return true
			}
		}
	}
	return false
}

// does tells whether a stick is the one that a plan cuts by its name, or came of the order that a plan's stick comes with, or of the plan's own where it is
// bought, and everything can be cut from it: it is as long, and sound where sides lie.
func does(s RackStick, planID int64, planned plan.Stick) bool {
	ordered := s.order != 0 && s.plan == planID
	switch planned.From {
	case plan.FromRack:
		return s.order == 0 && s.Name == planned.ID
	case plan.OnTheWay:
		ordered = fmt.Sprint(s.order) == planned.Order
	}
	return ordered && s.Supplier == planned.Supplier && s.Length >= planned.Length && clearOf(s.Damage, planned.Sides)
}

// clearOf tells whether no side lies on damage.
func clearOf(damage []model.Span, sides []plan.Side) bool {
	for _, side := range sides {
		slot := side.Slot()
		for _, d := range damage {
			if d.From < slot.To && d.To > slot.From {
				return false
			}
		}
	}
	return true
}

// Mixed is frames that are matched by lot and whose sides a plan would have cut from several, for that is of what lots its sticks came.
type Mixed struct {
	Plan    int64    `json:"plan"`
	Profile string   `json:"profile"`
	Frames  []string `json:"frames"` // "job 101, frame print"
	Lots    []string `json:"lots"`   // as the framer called them, or what they came with
}

// mixed gives the frames of a plan's sticks at these places for which there are enough sticks, here or to come, and not of one lot.
func (t *transaction) mixed(p plan.ProfilePlan, planID int64, places []int) (all []Mixed, err error) {
	f, err := t.sticksFor(p, planID, places, true)
	if err != nil || len(f.groups) == 0 {
		return nil, err
	}
	alike := assign(p, planID, places, f.all, nil) // as if any lot would do
	for _, g := range f.groups {
		var lots []string
		lacks := f.sticks[g.places[0]].Name != ""
		for _, n := range g.places {
			if lacks = lacks || alike[n] < 0; !lacks && f.all[alike[n]].match != "" {
				lots = append(lots, f.all[alike[n]].match)
			}
		}
		slices.Sort(lots)
		if lots = slices.Compact(lots); !lacks && len(lots) > 1 {
			all = append(all, Mixed{planID, p.Name, g.frames, lots})
		}
	}
	return all, nil
}

// MixedLots gives the frames matched by lot that the last plan, or the plans that are given, would have cut from several lots, as far as it is known of
// what lots the sticks are; and those of open runs that wait for sticks.
func (b *Book) MixedLots(ctx context.Context, plans ...int64) (all []Mixed, err error) {
	err = b.read(ctx, func(t *transaction) error {
		all, err = t.mixedLots(plans)
		return err
	})
	return all, err
}

// mixedLots does so.
func (t *transaction) mixedLots(plans []int64) (all []Mixed, err error) {
	running := map[string]bool{} // profiles
	if err := t.eachOpenRun(func(r runs.Run) error {
		running[r.Profile] = true
		if len(plans) > 0 && !slices.Contains(plans, r.Plan) {
			return nil
		}
		by, err := t.runPlan(r.Now(), r.Profile)
		if err != nil {
			return err
		}
		var places []int
		for _, a := range r.Waiting {
			places = append(places, a.Of-1)
		}
		more, err := t.mixed(by.ProfilePlan, by.ID, places)
		all = append(all, more...)
		return err
	}); err != nil {
		return nil, err
	}
	if len(plans) == 0 {
		plans = []int64{0}
	}
	for _, id := range plans {
		d, id, err := t.plan(id)
		if said(err) { // there is none
			continue
		} else if err != nil {
			return nil, err
		}
		for _, p := range d.Profiles {
			places, err := t.toCut(p, id)
			if said(err) || running[p.Name] { // nothing is left to start
				continue
			} else if err != nil {
				return nil, err
			}
			more, err := t.mixed(p, id, places)
			if err != nil {
				return nil, err
			}
			all = append(all, more...)
		}
	}
	return all, nil
}

// CutFrom gives from which lots the rings of open and ready jobs were cut that are matched by lot, as plan.Stick.LotName names them.
func (b *Book) CutFrom(ctx context.Context) (all map[model.SideID][]string, err error) {
	err = b.read(ctx, func(t *transaction) error {
		all, err = t.cutFrom()
		return err
	})
	return all, err
}

// cutFrom does so.
func (t *transaction) cutFrom() (map[model.SideID][]string, error) {
	type row struct {
		ring       model.SideID
		stick, lot string
	}
	var rows []row
	if err := t.each(`SELECT DISTINCT c.job, c.frame, c.copy, c.ring, s.name, s.lot FROM job AS j JOIN cut AS c ON c.job = j.name
			JOIN run_stick AS r ON r.run = c.run AND r.number = c.number JOIN stick AS s ON s.name = r.stick JOIN profile AS p ON p.name = s.profile
		WHERE j.state IN ('open', 'ready') AND c.spoilt = 0 AND iif(j.match = '', p.match, j.match) = 'lot' ORDER BY c.id`, nil, func(scan func(...any) error) error {
		var r row
		defer func() { rows = append(rows, r) }()
		return scan(&r.ring.Job, &r.ring.Frame, &r.ring.Copy, &r.ring.Ring, &r.stick, &r.lot)
	}); err != nil {
		return nil, err
	}
	all := map[model.SideID][]string{}
	for _, r := range rows {
		lot, err := t.lotOf(r.stick, r.lot)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(all[r.ring], lot) {
			all[r.ring] = append(all[r.ring], lot)
		}
	}
	return all, nil
}
