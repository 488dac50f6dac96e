package plan

import (
	"fmt"
	"slices"

	"longpoint/model"
)

// sideKey says which side one is, among all of the workshop's.
type sideKey struct {
	job    string
	frame  string
	copy   int
	ring   int
	letter string
}

func (k sideKey) String() string {
	return fmt.Sprintf("job %s, frame %s, copy %d, ring %d, side %s", k.job, k.frame, k.copy, k.ring, k.letter)
}

// wantedSide is a side as the jobs ask for it.
type wantedSide struct {
	profile string
	job     string
	of      int
	side    model.Side
	before  model.Length // from the end of what the side before takes to the long point: half the mitre loss and the shave
	takes   model.Length
	cut     bool // met on a stick
}

// wantSides derives the sides from the jobs.
func (a *audit) wantSides() error {
	a.wanted = map[sideKey]*wantedSide{}
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
	for _, want := range a.profiles {
		want.head, want.tail = a.w.Machine.Trims(want.profile, want.shapes)
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
	for c := 1; c <= frame.Quantity; c++ {
		for _, side := range ring.Sides {
			w := &wantedSide{profile: ring.Profile, job: job.ID, of: ring.Shape.Sides, side: side,
				before: loss/2 + shave, takes: side.LongPoint + loss + 2*shave}
			key := sideKey{job.ID, frame.ID, c, number, side.Letter}
			a.wanted[key] = w
			a.order = append(a.order, key)
			want.sides = append(want.sides, w)
		}
	}
}

// sticks audits a profile's sticks one by one.
func (a *audit) sticks(p *ProfilePlan, want *derived) {
	bought := 0
	for i := range p.Sticks {
		s := &p.Sticks[i]
		where := fmt.Sprintf("profile %s, stick %s", p.Name, s.ID)
		switch s.From {
		case FromRack:
			a.rackStick(s, p.Name, where)
		case Bought:
			bought++
			if name := fmt.Sprintf("new %d", bought); s.ID != name {
				a.report("stick", where, "the new stick should be called %s", name)
			}
			a.newStick(s, p.Name, where)
		default:
			a.report("stick", where, "it comes from %q, which is neither the rack nor a supplier", s.From)
		}
		takes := a.sides(s, want, where)
		a.left(s, want, takes, where)
	}
}

// rackStick audits what is said of a stick of the rack.
func (a *audit) rackStick(s *Stick, profile, where string) {
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
	switch value := a.w.StickValue(*have); {
	case have.Profile != profile:
		a.report("stick", where, "the stick of that name is of profile %s", have.Profile)
	case have.Length != s.Length:
		a.report("stick", where, "it is %s long in the plan and %s on the rack", a.in(s.Length), a.in(have.Length))
	case value != s.Cost:
		a.report("price", where, "its value is %s in the plan and %s on the rack", a.money(s.Cost), a.money(value))
	case have.Place != s.Place || s.Supplier != "":
		a.report("stick", where, "its place is %q with supplier %q, and on the rack it is %q", s.Place, s.Supplier, have.Place)
	}
}

// newStick audits what is said of a stick to buy: that somebody offers it, and that nobody offers it cheaper.
func (a *audit) newStick(s *Stick, profile, where string) {
	offered := false
	for _, o := range a.w.Offers {
		if o.Profile != profile || o.Length != s.Length {
			continue
		}
		if o.Supplier == s.Supplier && o.Price == s.Cost {
			offered = true
		}
		if o.Price < s.Cost {
			a.report("price", where, "%s offers the same stick for %s less", o.Supplier, a.money(s.Cost-o.Price))
		}
	}
	if !offered {
		a.report("price", where, "%q offers no stick of %s at %s", s.Supplier, a.in(s.Length), a.money(s.Cost))
	}
	if s.Place != "" {
		a.report("stick", where, "a new stick has the place %q on the rack", s.Place)
	}
}

// sides audits the sides on a stick and where they lie, and gives what they take of it.
func (a *audit) sides(s *Stick, want *derived, where string) (takes model.Length) {
	if len(s.Sides) == 0 {
		a.report("stick", where, "nothing is cut from it")
	}
	for i, got := range s.Sides {
		key := sideKey{got.Job, got.Frame, got.Copy, got.Ring, got.Letter}
		at := fmt.Sprintf("%s, %s", where, key)
		w := a.wanted[key]
		switch {
		case w == nil:
			a.report("side", at, "no job asks for this side")
			takes += max(0, got.Takes)
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
		if due := want.head + takes + w.before; got.Start < due {
			a.report("position", at, "it starts at %s, %s too near the head or the side before", a.in(got.Start), a.in(due-got.Start))
		} else if got.Start > due {
			a.report("position", at, "it starts at %s, %s later than it should", a.in(got.Start), a.in(got.Start-due))
		}
		if i > 0 && got.LongPoint > s.Sides[i-1].LongPoint && got.Takes > s.Sides[i-1].Takes {
			a.report("order", at, "it is longer than the side before it")
		}
		takes += w.takes
	}
	if over := want.head + takes + want.tail - s.Length; over > 0 {
		a.report("too-full", where, "its sides and trims take %s more than its %s", a.in(over), a.in(s.Length))
	}
	return takes
}

// left audits what is said of the rest of a stick.
func (a *audit) left(s *Stick, want *derived, takes model.Length, where string) {
	rest := s.Length - want.head - takes
	if rest < 0 {
		return // reported as too full
	}
	becomes := Waste
	if rest == 0 {
		becomes = Nothing
	} else if keep := want.profile.Keep; keep > 0 && rest >= keep {
		becomes = Kept
	}
	if s.Left.Length != rest {
		a.report("left", where, "%s is left of it, not %s", a.in(rest), a.in(s.Left.Length))
	}
	if s.Left.Becomes != becomes {
		a.report("left", where, "what is left, %s, should be %s, not %s", a.in(rest), becomes, s.Left.Becomes)
	}
	switch id := s.Left.ID; {
	case becomes != Kept && id != "":
		a.report("left", where, "what is not kept has the name %q", id)
	case becomes == Kept && id == "":
		a.report("left", where, "the kept offcut has no name")
	case becomes == Kept && (a.offcuts[id] || a.rack[id] != nil):
		a.report("left", where, "the kept offcut's name %q is taken", id)
	case becomes == Kept:
		a.offcuts[id] = true
	}
}

// missingSides reports the sides no stick gives, and the profiles without a plan.
func (a *audit) missingSides() {
	for _, key := range a.order {
		if w := a.wanted[key]; !w.cut {
			a.report("side", "profile "+w.profile+", "+key.String(), "it is cut from no stick; its long point is %s", a.in(w.side.LongPoint))
		}
	}
	for _, p := range a.w.Profiles {
		if want := a.profiles[p.Name]; want != nil && !want.met {
			a.report("profile", "profile "+p.Name, "%d sides are to be cut from it and it has no plan", len(want.sides))
		}
	}
}
