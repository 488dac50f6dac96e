package audit

import (
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// wantedSide is a side as the jobs ask for it.
type wantedSide struct {
	profile string
	job     string
	of      int
	side    model.Side
	place   int          // in the ring, from 0, sides that are cut already counted
	before  model.Length // from the end of what the side before takes to the long point: half the mitre loss and the shave
	takes   model.Length
	slant   model.Length // how far its sight edge is short of its long point, at either end: w t
	cut     bool         // met on a stick
	at      cutAt
}

// cutAt is where a side is cut.
type cutAt struct {
	stick, part, place int    // in the profile's plan, on the stick, among the part's sides
	lot                string // equal for sticks that match
}

// wantedRing is the sides of one ring of one frame, in order round it, and how they must match.
type wantedRing struct {
	key   model.SideID // of its first side
	match model.Match
	sides []*wantedSide
	done  map[model.Length][]int // by long point: the places of the sides that are cut already
	of    int                    // how many sides it has in all
}

// units gives the sides that must lie next to each other. Of two sides that are a pair one may be cut already.
func (r *wantedRing) units() [][]*wantedSide {
	var out [][]*wantedSide
	for n, w := range r.sides {
		joins := r.match == model.MatchStick || r.match == model.MatchPair && n > 0 && r.sides[n-1].place/2 == w.place/2
		if n > 0 && joins {
			out[len(out)-1] = append(out[len(out)-1], w)
			continue
		}
		out = append(out, []*wantedSide{w})
	}
	return out
}

// wantSides derives the sides from the jobs.
func (a *audit) wantSides() error {
	a.wanted = map[model.SideID]*wantedSide{}
	a.profiles = map[string]*derived{}
	for _, job := range a.w.Jobs {
		if !a.until.IsZero() && job.Due.After(a.until.Time) {
			continue
		}
		for _, frame := range job.Frames {
			rings, err := frame.Geometry(a.w.ProfileByName)
			if err != nil {
				return err
			}
			for r, ring := range rings {
				if a.planned(ring.Profile) {
					a.wantRing(job, frame, r+1, ring)
				}
			}
		}
	}
	for name, want := range a.profiles {
		if len(want.sides) == 0 { // all are cut: nothing is planned of it, and no terms bind it to others
			delete(a.profiles, name)
			continue
		}
		trims := a.w.Machine.Trims(want.profile, want.shapes)
		want.head, want.tail, want.apart = trims.Head, trims.Tail, trims.Apart
		want.lists = slices.DeleteFunc(a.priceLists(want.profile.Name), func(l *priceList) bool {
			return l.length <= want.head+want.tail+want.profile.Repeat
		})
		want.rate = a.rate(want.profile)
	}
	return nil
}

func (a *audit) wantRing(job model.Job, frame model.JobFrame, number int, ring model.RingGeometry) {
	want := a.profiles[ring.Profile]
	if want == nil {
		p, _ := a.w.ProfileByName(ring.Profile)
		want = &derived{profile: p}
		a.profiles[ring.Profile] = want
	}
	if !slices.Contains(want.shapes, ring.Shape) {
		want.shapes = append(want.shapes, ring.Shape)
	}
	loss, shave := a.w.Machine.MitreLoss(ring.Shape), a.w.Machine.Shave
	match := job.Match
	if match == "" {
		match = want.profile.Match
	}
	cut := frame.CutSet()
	for c := 1; c <= frame.Quantity; c++ {
		round := &wantedRing{key: model.SideID{Job: job.ID, Frame: frame.ID, Copy: c, Ring: number}, match: match,
			done: map[model.Length][]int{}, of: len(ring.Sides)}
		for n, side := range ring.Sides {
			key := model.SideID{Job: job.ID, Frame: frame.ID, Copy: c, Ring: number, Letter: side.Letter}
			if cut[key] {
				round.done[side.LongPoint] = append(round.done[side.LongPoint], n)
				continue
			}
			w := &wantedSide{profile: ring.Profile, job: job.ID, of: ring.Shape.Sides, side: side, place: n,
				before: loss/2 + shave, takes: side.LongPoint + loss + 2*shave, slant: (ring.Outside.Width - ring.Sight.Width) / 2}
			if repeat := want.profile.Repeat; repeat > 0 {
				w.takes = (w.takes + repeat - 1) / repeat * repeat
				w.before = (w.takes - side.LongPoint) / 2
			}
			round.sides = append(round.sides, w)
			a.wanted[key] = w
			a.order = append(a.order, key)
			want.sides = append(want.sides, w)
		}
		if len(round.sides) > 0 {
			want.rings = append(want.rings, round)
		}
	}
}

// sticks audits a profile's sticks one by one.
func (a *audit) sticks(p *plan.ProfilePlan, want *derived) {
	bought := 0
	for i := range p.Sticks {
		s := &p.Sticks[i]
		where := fmt.Sprintf("profile %s, stick %s", p.Name, s.ID)
		switch s.From {
		case plan.FromRack, plan.OnTheWay:
			a.rackStick(s, want, where)
		case plan.Bought:
			bought++
			if name := fmt.Sprintf("new %d", bought); s.ID != name {
				a.report("stick", where, "the new stick should be called %s", name)
			}
			a.newStick(s, want, where)
		default:
			a.report("stick", where, "it comes from %q, which is neither the rack nor a supplier", s.From)
		}
		parts := a.parts(s, want)
		if len(parts) == 0 {
			a.report("too-full", where, "no part of it can be cut from")
			continue
		}
		a.sides(s, i, parts, want, where)
		a.lefts(s, parts, want, where)
	}
	a.matching(want)
}

// rackStick audits what is said of a stick of the rack.
func (a *audit) rackStick(s *plan.Stick, want *derived, where string) {
	have := a.rack[s.ID]
	switch {
	case have == nil:
		a.report("stick", where, "there is no such stick on the rack")
		return
	case a.used[s.ID]:
		a.report("stick", where, "it is used twice")
		return
	}
	a.used[s.ID] = true
	switch value, _ := a.worth(*have, want); {
	case have.Profile != want.profile.Name:
		a.report("stick", where, "the stick of that name is of profile %s", have.Profile)
	case have.Length != s.Length:
		a.report("stick", where, "it is %s long in the plan and %s on the rack", a.in(s.Length), a.in(have.Length))
	case value != s.Cost:
		a.report("price", where, "its value is %s in the plan and %s on the rack", a.money(s.Cost), a.money(value))
	case have.Paid != s.Paid:
		a.report("price", where, "%s was paid for it by the plan, and %s by the workshop", a.money(s.Paid), a.money(have.Paid))
	case have.Lot != s.Lot || s.Longest != 0 || s.Bundle != 0:
		a.report("stick", where, "it is of lot %q in the plan and of %q on the rack, or is called new", s.Lot, have.Lot)
	case !slices.Equal(have.Damage, s.Damage):
		a.report("damage", where, "its damage is not that of the stick on the rack")
	case have.Place != s.Place:
		a.report("stick", where, "its place is %q in the plan and %q on the rack", s.Place, have.Place)
	}
	a.coming(s, have.Coming, where)
}

// coming audits what is said of a stick's delivery: nothing where it is here.
func (a *audit) coming(s *plan.Stick, c model.Coming, where string) {
	from := plan.FromRack
	if c.Order != "" {
		from = plan.OnTheWay
	}
	if s.From != from || s.Supplier != c.Supplier || s.Order != c.Order || s.Expected != day(c.Expected) {
		a.report("delivery", where, "it is %s with order %q from %q, expected %q, and should be %s with %q from %q, expected %q",
			s.From, s.Order, s.Supplier, s.Expected, from, c.Order, c.Supplier, day(c.Expected))
	}
}

// newStick audits what is said of a stick to buy: that somebody offers it, and that nobody offers it cheaper.
func (a *audit) newStick(s *plan.Stick, want *derived, where string) {
	key := keyOf(s.Supplier, want.profile.Name, s.Length, s.Longest, s.Bundle)
	for _, l := range want.lists {
		if l.sold() && l.length == s.Length && s.Bundle == 0 && a.terms(s.Supplier) == nil && l.price[1] < s.Cost {
			a.report("price", where, "%s offers the same stick for %s less", l.supplier, a.money(s.Cost-l.price[1]))
		}
	}
	if l := want.list(key); l == nil || s.Cost != l.each(a.boughtOf(key))/model.Money(l.bundle) {
		a.report("price", where, "%q offers no stick of %s at %s", s.Supplier, a.in(s.Length), a.money(s.Cost))
	}
	if s.Place != "" || s.Lot != "" || s.Damage != nil || s.Order != "" || s.Expected != "" || s.Paid != 0 {
		a.report("stick", where, "a new stick has the place %q on the rack, a lot, damage, or an order, or was paid for", s.Place)
	}
}

// part is a sound part of a stick.
type part struct {
	from   model.Length // where sides may begin
	to     model.Length // where they must have ended
	behind model.Length // where the sound wood after to ends
	takes  model.Length // of the sides that are cut from it
	sides  int
}

// parts derives a stick's sound parts: between the trims and clear of all damage. A pattern may begin as much as a
// repeat after where a part does.
func (a *audit) parts(s *plan.Stick, want *derived) []part {
	var damage []model.Span
	if have := a.rack[s.ID]; s.From != plan.Bought && have != nil {
		damage = have.Damage
	}
	return partsOf(s.Length, damage, want)
}

func partsOf(length model.Length, damage []model.Span, want *derived) []part {
	edges := append(slices.Clone(damage), model.Span{From: length, To: length})
	var parts []part
	begin := want.head
	for _, d := range edges {
		p := part{from: begin + want.profile.Repeat, to: min(d.From, length-want.tail), behind: d.From}
		if p.to > p.from {
			parts = append(parts, p)
		}
		if d.From >= begin { // the last chop of p may be made at its end
			begin = d.From + want.apart
		}
		begin = max(begin, d.To)
	}
	return parts
}

// sides audits the sides on a stick and where they lie, and notes in the parts what they take of each.
func (a *audit) sides(s *plan.Stick, stick int, parts []part, want *derived, where string) {
	if len(s.Sides) == 0 {
		a.report("stick", where, "nothing is cut from it")
	}
	now := 0
	var last *wantedSide // on this stick
	var ended model.Length
	for _, got := range s.Sides {
		key := got.SideID
		at := fmt.Sprintf("%s, %s", where, key)
		w := a.wanted[key]
		switch {
		case w == nil:
			a.report("side", at, "no job asks for this side")
			parts[now].takes += max(0, got.Takes)
			continue
		case w.cut:
			a.report("side", at, "it is cut twice")
		case w.profile != want.profile.Name:
			a.report("side", at, "it is to be of profile %s", w.profile)
		}
		w.cut = true
		if got.LongPoint != w.side.LongPoint || got.Measure != w.side.Measure || got.Set != w.side.Set ||
			got.Angle != w.side.Angle || got.Of != w.of {
			a.report("size", at, "long point %s, measure %s + 2 × %s, mitre %s, 1 of %d; the job asks for %s, %s + 2 × %s, %s, 1 of %d",
				a.in(got.LongPoint), a.in(got.Measure), a.in(got.Set), got.Angle, got.Of,
				a.in(w.side.LongPoint), a.in(w.side.Measure), a.in(w.side.Set), w.side.Angle, w.of)
		}
		if got.Takes != w.takes {
			a.report("takes", at, "it takes %s of the stick, not %s", a.in(w.takes), a.in(got.Takes))
		}
		for now+1 < len(parts) && got.Start >= parts[now+1].from+w.before {
			now++
		}
		p := &parts[now]
		if due := p.from + p.takes + w.before; got.Start < due {
			a.report("position", at, "it starts at %s, %s too near the head or the side before", a.in(got.Start), a.in(due-got.Start))
		} else if got.Start > due {
			a.report("position", at, "it starts at %s, %s later than it should", a.in(got.Start), a.in(got.Start-due))
		}
		if begins := got.Start - w.before; begins > ended && last != nil {
			a.bladesApart(last, w, begins-ended, at)
		}
		last, ended = w, got.Start-w.before+w.takes
		w.at = cutAt{stick: stick, part: now, place: p.sides, lot: s.LotName()}
		p.takes += w.takes
		p.sides++
	}
	for n, p := range parts {
		over := p.from + p.takes - p.to
		switch {
		case over <= 0:
		case n == len(parts)-1 && p.behind == s.Length:
			a.report("too-full", where, "its sides and trims take %s more than its %s", a.in(over), a.in(s.Length))
		default:
			a.report("damage", where, "a side reaches %s into the damage that starts at %s", a.in(over), a.in(p.behind))
		}
	}
}

// slantRounding is what the slants of two sides may come to beyond what they are: the long point and the sight edge of each are off by two roundings of
// 0.01 mm at most.
const slantRounding = 4 * model.Millimetre / 100

// bladesApart audits two chops that are not those of neighbours, so far from each other on the back edge. On a guillotine both blades must be buried at
// either, so the wedge between the two must still have a sight edge: the slants of its two ends must not meet.
func (a *audit) bladesApart(last, next *wantedSide, apart model.Length, where string) {
	if slants := last.slant + next.slant; a.w.Machine.Type == model.Guillotine && apart < slants-slantRounding {
		a.report("blades", where, "its first chop is %s behind the last one before the damage, and for both blades to be buried it must be %s", a.in(apart), a.in(slants))
	}
}

// matching audits that the sides of each frame lie as its rule wants it.
func (a *audit) matching(want *derived) {
	onOnePart := func(r *wantedRing, sides []*wantedSide, what string) bool {
		for _, w := range sides {
			if !w.cut {
				return false // reported elsewhere
			}
			if w.at.stick != sides[0].at.stick || w.at.part != sides[0].at.part {
				a.report("matching", "profile "+want.profile.Name+", "+r.key.OfRing().String(), "%s are not on one stick", what)
				return false
			}
		}
		return true
	}
	together := func(r *wantedRing, sides []*wantedSide, what string) {
		places := make([]int, len(sides))
		for n, w := range sides {
			places[n] = w.at.place
		}
		slices.Sort(places)
		if places[len(places)-1]-places[0] != len(places)-1 {
			a.report("matching", "profile "+want.profile.Name+", "+r.key.OfRing().String(), "%s do not lie next to each other", what)
		}
	}
	for _, r := range want.rings {
		switch r.match {
		case model.MatchStick:
			if onOnePart(r, r.sides, "its sides") {
				together(r, r.sides, "its sides")
			}
		case model.MatchPair:
			for _, pair := range r.units() {
				if len(pair) != 2 {
					continue
				}
				what := fmt.Sprintf("its sides %s and %s", pair[0].side.Letter, pair[1].side.Letter)
				if !onOnePart(r, pair, what) {
					continue
				}
				if !a.standTogether(r) { // its pairs on one part lie together in any order
					first := pair[0].at
					pair = slices.DeleteFunc(slices.Clone(r.sides), func(w *wantedSide) bool {
						return !w.cut || w.at.stick != first.stick || w.at.part != first.part
					})
				}
				together(r, pair, what)
			}
		case model.MatchLot:
			for _, w := range r.sides {
				if w.cut && r.sides[0].cut && w.at.lot != r.sides[0].at.lot {
					a.report("matching", "profile "+want.profile.Name+", "+r.key.OfRing().String(), "its sides are not of one lot")
					break
				}
			}
		}
	}
}

// lefts audits what is said of the rest of a stick, part by part.
func (a *audit) lefts(s *plan.Stick, parts []part, want *derived, where string) {
	if len(parts) == 0 {
		return
	}
	if len(s.Between) != len(parts)-1 {
		a.report("left", where, "it has %d sound parts, and what is left is down for %d", len(parts), len(s.Between)+1)
		return
	}
	for n, p := range parts {
		left := s.Left
		if n < len(s.Between) {
			left = s.Between[n]
		}
		a.left(s, p, left, want, where)
	}
}

// left audits what is said of the rest of a part.
func (a *audit) left(s *plan.Stick, p part, left plan.Left, want *derived, where string) {
	rest := p.behind - p.from - p.takes
	if p.from+p.takes > p.to {
		return // reported as too full
	}
	becomes, value := plan.Waste, model.Money(0)
	if rest == 0 {
		becomes = plan.Nothing
	} else if keep := want.profile.Keep; keep > 0 && rest >= keep {
		becomes, value = plan.Kept, want.offcutValue(rest, s.Length, a.uncut(s, want))
	}
	if left.Length != rest {
		a.report("left", where, "%s is left of it, not %s", a.in(rest), a.in(left.Length))
	}
	if left.Becomes != becomes {
		a.report("left", where, "what is left, %s, should be %s, not %s", a.in(rest), becomes, left.Becomes)
	}
	if left.Value != value {
		a.report("left", where, "what is left, %s, is worth %s, not %s", a.in(rest), a.money(value), a.money(left.Value))
	}
	switch id := left.ID; {
	case becomes != plan.Kept && id != "":
		a.report("left", where, "what is not kept has the name %q", id)
	case becomes == plan.Kept && id == "":
		a.report("left", where, "the kept offcut has no name")
	case becomes == plan.Kept && (a.offcuts[id] || a.rack[id] != nil):
		a.report("left", where, "the kept offcut's name %q is taken", id)
	case becomes == plan.Kept:
		a.offcuts[id] = true
	}
}

// uncut is what bounds the value of a stick's offcuts: its value on the rack, or what it would be worth there if it were
// bought and nothing cut from it.
func (a *audit) uncut(s *plan.Stick, want *derived) model.Money {
	if have := a.rack[s.ID]; s.From != plan.Bought && have != nil {
		_, bounds := a.worth(*have, want)
		return bounds
	}
	if l := want.list(keyOf(s.Supplier, want.profile.Name, s.Length, s.Longest, s.Bundle)); l != nil {
		return l.spare
	}
	return 0
}

// missingSides reports the sides no stick gives, and the profiles without a plan.
func (a *audit) missingSides() {
	for _, key := range a.order {
		if w := a.wanted[key]; !w.cut {
			a.report("side", "profile "+w.profile+", "+key.String(), "it is cut from no stick; its long point is %s", a.in(w.side.LongPoint))
		}
	}
	for _, p := range a.w.Profiles {
		if want := a.profiles[p.Name]; want != nil && !want.met && len(want.sides) > 0 {
			a.report("profile", "profile "+p.Name, "%d sides are to be cut from it and it has no plan", len(want.sides))
		}
	}
}
