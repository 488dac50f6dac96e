package runs

import (
	"cmp"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/stock"
)

// Rest is an open run as something that package planner can plan anew: the shop with the sticks that are in hand on its rack, what is
// marked out on them, and what became of that. Of the jobs only the run's own sides that are not done are still to be cut.
type Rest struct {
	Run      int64
	Workshop *model.Workshop
	Plan     *plan.Document
	Events   []stock.Event

	// CutFrom is from which lots the rings were cut that are matched by lot, as plan.Stick.LotName names them.
	CutFrom map[model.SideID][]string

	AtMachine plan.AtMachine // how the machine was left

	Step int64                     // the book's last
	Kept map[string][]model.Length // what was to be kept of its sticks before the changes
}

// RestOf gives the rest of a run in a shop with its sticks on the rack. by is the plan that it is cut by now, stand what was cut before it.
func (r Run) RestOf(w *model.Workshop, by *Plan, stand plan.Standing) *Rest {
	rest := &Rest{Run: r.ID, Workshop: w, AtMachine: plan.AtMachine{Stand: stand, Stick: r.InHand()}}
	p := by.ProfilePlan
	became, _ := r.lay(&p, stand)
	stops := map[model.SideID]int{} // of what is still to be cut, as the run calls them
	for _, c := range p.Run.Cuts {
		if became := became[c.Stick][c.Side]; became == ToCut || became == Waits {
			stops[p.Sticks[c.Stick].Sides[c.Side].SideID] = c.Stop
		}
	}
	m := &marking{by: by, w: w, place: map[planned]planned{}}
	for _, s := range r.Sticks {
		if s.State == "open" && s.By.ID == by.ID {
			m.stick(s, s.asMarked())
		}
	}
	for _, a := range r.Waiting {
		if a.Together { // with what is to come it may turn out not to match
			continue
		}
		m.stick(Stick{Stick: a.Stick}, a.Sides)
	}
	p = m.plan(stops)
	rest.Events = m.events
	rest.Plan = &plan.Document{Format: plan.Format, Workshop: w.Name, Unit: w.Unit.String(), Currency: plan.Currency{Code: w.Currency.Code, Decimals: w.Currency.Decimals},
		Only: []string{r.Profile}, Profiles: []plan.ProfilePlan{p}, Buy: []plan.Purchase{}, Orders: []plan.Order{}}
	return rest
}

// LayOn makes of a shop's rack with the whole sticks of a run one with as much of each as is left. The profile keeps the trims that the run began with.
func (r Run) LayOn(w *model.Workshop, by *Plan) {
	for i := range w.Rack { // what is to come may turn out to be of another lot than what is in hand, and that is cut now
		if s := &w.Rack[i]; s.OnTheWay() && s.Lot != "" {
			s.Lot += ", to come"
		}
	}
	w.Profiles = slices.Clone(w.Profiles)
	for i := range w.Profiles {
		if p := &w.Profiles[i]; p.Name == r.Profile {
			p.HeadTrim, p.TailTrim = max(p.HeadTrim, by.HeadTrim), max(p.TailTrim, by.TailTrim)
		}
	}
	for _, s := range r.Sticks {
		at := slices.IndexFunc(w.Rack, func(h model.Stick) bool { return h.ID == s.Stick })
		if s.State != "open" || at < 0 {
			continue
		}
		if sides, wholly := s.Here(); s.By.ID != by.ID && wholly && len(sides) > 0 && s.Of > 0 { // it is cut as an earlier plan had it, and its offcuts lie by
			w.Rack = append(slices.Delete(w.Rack, at, at+1), s.offcutsNow()...)
			continue
		}
		gone := s.Gone
		if s.asMarked() == nil && s.Begun() {
			gone = s.CutEnd() - s.Head - s.Repeat
		}
		if gone > 0 {
			w.Rack[at] = stock.Begun(w, w.Rack[at], s.Head+s.Repeat, gone)
		}
		if len(w.Rack[at].Usable(by.Trims(), s.Repeat)) == 0 {
			w.Rack = slices.Delete(w.Rack, at, at+1)
		}
	}
}

// asMarked gives the sides of the plan that are, or were, to be cut from a stick, those that are cut first: sides of one sound part may be cut in any
// order. Nothing where the stick cannot be cut as it is marked out, or nothing is.
func (s Stick) asMarked() (sides []Side) {
	if slices.ContainsFunc(s.Sides, func(side Side) bool { return side.Became == PutOff }) {
		return nil
	}
	here, _ := s.Here()
	for _, side := range here {
		if side.Place > s.Earlier {
			sides = append(sides, side)
		}
	}
	laid, _ := s.Laid(here)
	part := map[model.SideID]int{}
	for n, side := range here {
		part[side.SideID] = laid[n].part
	}
	slices.SortStableFunc(sides, func(a, b Side) int {
		rank := func(s Side) int {
			if s.IsCut() {
				return 0
			}
			return 1
		}
		return cmp.Or(cmp.Compare(part[a.SideID], part[b.SideID]), cmp.Compare(rank(a), rank(b)))
	})
	for n := 1; n < len(sides); n++ {
		if sides[n].IsCut() && !sides[n-1].IsCut() { // a part was passed over
			return nil
		}
	}
	return sides
}

// marking makes what is marked out of a run's sticks, one stick after another.
type marking struct {
	by     *Plan
	w      *model.Workshop
	place  map[planned]planned // where a side of the run's plan stands now
	sticks []plan.Stick
	events []stock.Event // what became of their sides
}

// plan gives what is marked out, with its cuts in the order of the plan: at the stops that are said, and else at the plan's.
func (m *marking) plan(stops map[model.SideID]int) plan.ProfilePlan {
	p := m.by.ProfilePlan
	p.Sticks, p.Run.Cuts = m.sticks, nil
	for _, c := range m.by.Run.Cuts {
		if to, there := m.place[planned{stick: c.Stick, side: c.Side}]; there {
			c.Stop = cmp.Or(stops[m.by.Sticks[c.Stick].Sides[c.Side].SideID], c.Stop)
			c.Stick, c.Side = to.stick, to.side
			p.Run.Cuts = append(p.Run.Cuts, c)
		}
	}
	return p
}

// stick marks out a stick of the run, where it is on the rack and has sides.
func (m *marking) stick(hand Stick, sides []Side) {
	name := hand.Stick
	at := slices.IndexFunc(m.w.Rack, func(s model.Stick) bool { return s.ID == name && s.Profile == m.by.Name })
	if at < 0 || len(sides) == 0 {
		return
	}
	have := m.w.Rack[at]
	s := plan.Stick{ID: have.ID, From: plan.FromRack, Place: have.Place, Lot: have.Lot, Length: have.Length, Damage: have.Damage, Cost: m.w.StickValue(have)}
	if have.OnTheWay() {
		s.From, s.Supplier, s.Order, s.Expected = plan.OnTheWay, have.Coming.Supplier, have.Coming.Order, have.Coming.Expected.String()
	}
	// Laid out on the stick as it is now, which for one that is begun is shorter by what is gone.
	now := Stick{Stick: name, Length: have.Length, State: "open", Sides: slices.Clone(sides),
		Material: Material{By: m.by, Head: m.by.HeadTrim, Repeat: hand.Repeat, Damage: have.Damage}}
	for n := range now.Sides {
		now.Sides[n].As.Start -= hand.Gone
	}
	laid, left := now.Laid(now.Sides)
	for n, side := range laid {
		old := m.by.at[side.SideID]
		m.place[planned{stick: old.stick, side: old.side}] = planned{stick: len(m.sticks), side: n}
		s.Sides = append(s.Sides, side.Side)
		if sides[n].IsCut() {
			e := stock.Event{Profile: m.by.Name, Stick: name, Side: n + 1, Became: stock.Became(sides[n].Became)}
			if sides[n].Became == Unwanted { // and nothing of this run is to be made in its place
				e.Became = stock.Done
			}
			m.events = append(m.events, e)
		}
	}
	for n, part := range left {
		l := plan.Left{Length: part.Length(), Becomes: plan.Waste}
		if name := hand.OffcutOf(n, len(left)); l.Length == 0 {
			l.Becomes = plan.Nothing
		} else if name != "" {
			l.Becomes, l.ID = plan.Kept, name
		}
		if n < len(left)-1 {
			s.Between = append(s.Between, l)
			continue
		}
		s.Left = l
	}
	m.sticks = append(m.sticks, s)
}

// Marked gives what a plan marks out on the sticks of a rack that have these names: those of which every side is to be cut as it is.
func (p *Plan) Marked(w *model.Workshop, names []string, toCut func(plan.Side) bool) plan.ProfilePlan {
	m := &marking{by: p, w: w, place: map[planned]planned{}}
	for i, s := range p.Sticks {
		var sides []Side
		for n, side := range s.Sides {
			if toCut(side) {
				sides = append(sides, p.Side(n+1, side, ToCut))
			}
		}
		if len(sides) == len(s.Sides) && names[i] != "" {
			m.stick(Stick{Stick: names[i]}, sides)
		}
	}
	return m.plan(nil)
}
