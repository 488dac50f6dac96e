package stock

import (
	"cmp"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// Event is what became of a stick of a plan, or of one of its sides, once the cutting has begun.
type Event struct {
	Profile string
	Stick   string // as the plan calls it
	Side    int    // as the plan counts the stick's sides, from 1; 0: all of them, or the stick itself
	Became  Became
	Length  model.Length // of a stick that turned out Shorter
	Flaw    model.Span   // of a stick that is Flawed, from its head as the plan has it
	Where   model.Place
}

// Became says what became of it.
type Became string

// What can become of a side, and of a stick.
const (
	Done  Became = "done"  // the side is cut and good
	Short Became = "short" // the side is cut and too short: it is to be made again
	Torn  Became = "torn"  // the side is cut and spoilt: it is to be made again

	Shorter Became = "shorter" // the stick is only so long
	Flawed  Became = "flawed"  // no side may cover that part of the stick
	Missing Became = "missing" // there is no such stick
)

// OfSide says whether it is about a side and not about a stick.
func (b Became) OfSide() bool { return b == Done || b == Short || b == Torn }

// Midway gives the workshop as it is in the middle of a plan: what is done needs no cutting any more, and what is left of
// the sticks lies on the rack.
//
//   - A stick with which nothing has happened is there as it was. One that was to be bought has been bought, and is called by its profile and
//     the plan's name for it; sticks of its bundle that nothing is cut from have been bought too.
//   - A stick from which some sides are cut is begun. Its length is less by what those sides took; its head trim is off already
//     (model.Stick.Begun), as is damage that lay nearer the head. It is worth what the offcut is that it would become (Workshop.StickValue).
//   - Of a stick from which all sides are cut, the last of them well, the kept offcuts lie there under the plan's names, and any other rest is gone.
//   - A flaw is damage from then on, and the stick is worth less by that.
//
// The plan's own jobs stay, with their sides marked (JobFrame.Cut).
//
// Sides come off a stick in the plan's order, so nothing may be said of a side before something is said of all sides that lie
// nearer the head. Errors are of kind BadInput. What is wrong with an event carries the event's place; besides there are those of After, and of a
// plan that was made for other trims. w is not changed.
func Midway(w *model.Workshop, d *plan.Document, events []Event) (*model.Workshop, error) {
	a, err := StateOf(w, d, events)
	if err != nil {
		return nil, err
	}
	return a.Now, nil
}

// State is a plan that is partly cut, and the workshop as it then is.
type State struct {
	w      *model.Workshop
	Now    *model.Workshop
	Sticks []*MarkedStick // of the plan, in its order
	taken  map[string]bool
	lots   *lots
	d      *plan.Document
	errs   model.Errors
	more   int // errors besides, which are only counted
}

// mostErrors is how many errors are told one by one.
const mostErrors = 50

// MarkedStick is a stick of the plan and what became of it.
type MarkedStick struct {
	plan.Stick
	Plan    plan.ProfilePlan
	Profile model.Profile
	head    model.Length // what is given up at its head: the trim, and a repeat of a pattern
	parts   []model.Span // its sound parts, as the plan has them
	Became  []Became     // of each side; empty: nothing yet
	missing bool
	shorter *Event
	flaws   []Event
	RackID  string // on the rack of the workshop after; empty: it is not there, or has nothing left to cut from
}

// Cut is how many of its sides are cut, good or not.
func (m *MarkedStick) Cut() int {
	n := slices.IndexFunc(m.Became, func(b Became) bool { return b == "" })
	if n < 0 {
		n = len(m.Became)
	}
	return n
}

// Took is what they took of the stick, with what lies between them: where the last of them ends, less what is given up at the head.
func (m *MarkedStick) Took() model.Length {
	cut := m.Cut()
	if cut == 0 {
		return 0
	}
	return m.SlotStarts()[cut-1] + m.Sides[cut-1].Takes - m.head
}

// SlotStarts says where what each side takes of the stick begins.
func (m *MarkedStick) SlotStarts() []model.Length {
	out := make([]model.Length, len(m.Sides))
	at := m.parts[0].From
	for n, s := range m.Sides {
		if r := partOf(m.parts, s); r.From > at {
			at = r.From
		}
		out[n] = at
		at += s.Takes
	}
	return out
}

// partOf gives the sound part that a side is cut from.
func partOf(parts []model.Span, s plan.Side) model.Span {
	at := parts[0]
	for _, r := range parts {
		if r.From <= s.Start {
			at = r
		}
	}
	return at
}

// whole says that the stick is what the plan took it for.
func (m *MarkedStick) whole() bool { return !m.missing && m.shorter == nil && len(m.flaws) == 0 }

// finished says that the stick is cut as the plan has it. One whose last side is spoilt is still in the machine: that side may be cut from what is
// left of it.
func (m *MarkedStick) finished() bool {
	last := len(m.Sides) - 1
	return m.whole() && m.Cut() == len(m.Sides) && (last < 0 || m.Became[last] == Done)
}

// ToCut is the sides that are still to be cut from the stick.
func (m *MarkedStick) ToCut() []plan.Side { return m.Sides[m.Cut():] }

// OnRack gives a stick of the rack as it is now.
func (a *State) OnRack(id string) model.Stick {
	return a.Now.Rack[slices.IndexFunc(a.Now.Rack, func(s model.Stick) bool { return s.ID == id })]
}

// StateOf works out where a plan stands after some events. Errors are those of Midway.
func StateOf(w *model.Workshop, d *plan.Document, events []Event) (*State, error) {
	if _, err := After(w, d); err != nil { // the plan belongs to the workshop
		return nil, err
	}
	if err := sameTrims(w, d); err != nil {
		return nil, err
	}
	a := &State{w: w, d: d, taken: map[string]bool{}, lots: newLots(w)}
	for _, p := range d.Profiles {
		profile, _ := w.ProfileByName(p.Name)
		for _, s := range p.Sticks {
			stick := model.Stick{Length: s.Length, Damage: s.Damage}
			a.Sticks = append(a.Sticks, &MarkedStick{Stick: s, Plan: p, Profile: profile, head: p.HeadTrim + profile.Repeat,
				parts: stick.Usable(p.Trims(), profile.Repeat), Became: make([]Became, len(s.Sides))})
		}
	}
	for _, e := range events {
		a.note(e)
	}
	for _, m := range a.Sticks {
		a.inOrder(m, events)
	}
	if a.more > 0 {
		a.errs = append(a.errs, &model.Error{Kind: model.BadInput, What: fmt.Sprintf("%d more errors are not shown", a.more), Do: "put these right first"})
	}
	if err := a.errs.AsError(); err != nil {
		return nil, err
	}
	now := *w
	a.Now = &now
	a.rack()
	a.jobs()
	return a, a.errs.AsError()
}

// sameTrims refuses a plan that was made for other head trims: what is left of a stick that is begun would be wrong.
func sameTrims(w *model.Workshop, d *plan.Document) error {
	until, err := d.UntilDay()
	if err != nil {
		return err
	}
	shapes := map[string][]model.Shape{}
	for _, j := range w.DueJobs(until) {
		for _, f := range w.Jobs[j].Frames {
			rings, err := f.Geometry(w.ProfileByName)
			if err != nil {
				return err
			}
			for _, r := range rings {
				shapes[r.Profile] = append(shapes[r.Profile], r.Shape)
			}
		}
	}
	for _, p := range d.Profiles {
		profile, _ := w.ProfileByName(p.Name)
		if len(shapes[p.Name]) == 0 {
			continue
		}
		if head := w.Machine.Trims(profile, shapes[p.Name]).Head; head != p.HeadTrim {
			return foreign("it trims %s off the head of every stick of profile %s, and now it would be %s", p.HeadTrim.In(w.Unit), p.Name, head.In(w.Unit))
		}
	}
	return nil
}

func (a *State) wrong(e Event, column, what, do string, args ...any) {
	if len(a.errs) == mostErrors {
		a.more++
		return
	}
	at := e.Where
	at.Column = column
	a.errs = append(a.errs, &model.Error{Kind: model.BadInput, Where: at, What: fmt.Sprintf(what, args...), Do: do})
}

// find gives the stick that an event is about.
func (a *State) find(e Event) *MarkedStick {
	for _, m := range a.Sticks {
		if m.Profile.Name == e.Profile && m.ID == e.Stick {
			return m
		}
	}
	return nil
}

// note takes note of one event.
func (a *State) note(e Event) {
	m := a.find(e)
	u := a.w.Unit
	switch {
	case m == nil:
		a.wrong(e, "stick", "the plan has no stick %s of profile %s", "write profile and stick as the plan calls them", model.Quote(e.Stick), model.Quote(e.Profile))
	case e.Became.OfSide():
		a.side(m, e)
	case e.Side != 0:
		a.wrong(e, "side", "%s is said of a stick, not of a side", "leave the side blank", e.Became)
	case e.Became == Missing:
		m.missing = true
	case e.Became == Shorter && m.shorter != nil:
		a.wrong(e, "length", "the length of this stick is said twice", "leave one of the two")
	case e.Became == Shorter && (e.Length <= 0 || e.Length >= m.Length):
		a.wrong(e, "length", "%s is not shorter than the %s that the plan has for this stick", "give the length of the whole stick as it was before the first cut", e.Length.In(u), m.Length.Said(u))
	case e.Became == Shorter:
		m.shorter = &e
	case e.Flaw.From < 0 || e.Flaw.From >= e.Flaw.To || e.Flaw.To > m.Length:
		a.wrong(e, "from", "a flaw from %s to %s does not lie on a stick of %s", "measure both from the stick's head as it was before the first cut", e.Flaw.From.In(u), e.Flaw.To.In(u), m.Length.Said(u))
	default:
		m.flaws = append(m.flaws, e)
	}
}

// side takes note of what became of one side, or of all.
func (a *State) side(m *MarkedStick, e Event) {
	from, to := e.Side, e.Side
	if e.Side == 0 {
		from, to = 1, len(m.Sides)
	}
	if from < 1 || to > len(m.Sides) {
		a.wrong(e, "side", "the stick has no side %d", fmt.Sprintf("count as the plan does, from 1 to %d", len(m.Sides)), e.Side)
		return
	}
	for n := from; n <= to; n++ {
		if m.Became[n-1] != "" {
			a.wrong(e, "side", "of side %d it is said twice what became of it", "leave one of the two", n)
			return
		}
		m.Became[n-1] = e.Became
	}
}

// inOrder holds a stick's events against each other. They are placed where the first that is about the stick stands.
func (a *State) inOrder(m *MarkedStick, events []Event) {
	n := slices.IndexFunc(events, func(e Event) bool { return a.find(e) == m })
	if n < 0 {
		return
	}
	first, cut, end := events[n], m.Cut(), m.head+m.Took()
	if later := slices.IndexFunc(m.Became[cut:], func(b Became) bool { return b != "" }); later >= 0 {
		a.wrong(first, "side", "side %d is cut and nothing is said of side %d, which lies nearer the head", "say what became of every side up to the last that is cut", cut+later+1, cut+1)
	}
	u := a.w.Unit
	switch {
	case m.missing && (cut > 0 || m.shorter != nil || len(m.flaws) > 0):
		a.wrong(first, "became", "stick %q is missing, and something else is said of it too", "leave one of the two", m.ID)
	case m.shorter != nil && cut > 0 && m.shorter.Length < end:
		a.wrong(*m.shorter, "length", "the sides that are cut and the head trim take %s of this stick, and it is to be %s long", "give the length of the whole stick as it was before the first cut", end.Said(u), m.shorter.Length.In(u))
	}
	for _, f := range m.flaws {
		if cut > 0 && f.Flaw.From < end {
			a.wrong(f, "from", "the flaw begins at %s, and up to %s the stick is cut", "measure from the stick's head as it was before the first cut", f.Flaw.From.In(u), end.Said(u))
		}
	}
}

// rack lays on the rack what is left of the sticks: in the order of the rack, for of equal sticks a plan takes the first, and what was bought behind it.
func (a *State) rack() {
	a.Now.Rack = nil
	planned := map[string]*MarkedStick{}
	for _, m := range a.Sticks {
		if m.From != plan.Bought {
			planned[m.ID] = m
		}
	}
	for _, s := range a.w.Rack {
		a.taken[s.ID] = true
	}
	for _, s := range a.w.Rack {
		if m := planned[s.ID]; m == nil {
			a.Now.Rack = append(a.Now.Rack, s)
		} else if !m.missing {
			a.lay(m)
		}
	}
	for _, m := range a.Sticks {
		if m.From == plan.Bought && !m.missing {
			a.lay(m)
		}
	}
	a.spare()
}

// spare lays down those sticks that were bought with others and are not cut.
func (a *State) spare() {
	for _, line := range a.d.Buy {
		list := line.List()
		for range line.Count - a.d.CutFrom(list) {
			a.Now.Rack = append(a.Now.Rack, model.Stick{ID: a.free(line.Profile + " spare"), Profile: line.Profile, Length: line.Length, Lot: a.lots.ofList(list)})
		}
	}
}

// lay lays down one stick.
func (a *State) lay(m *MarkedStick) {
	s := a.before(m)
	cut, took := m.Cut(), m.Took()
	if m.shorter != nil {
		s.Damage = pieceOf(s, 0, m.shorter.Length).Damage
		s.Length, s.Value = m.shorter.Length, model.OptionalMoney{}
	}
	if m.finished() {
		kept, err := keptOf(a.w, m.Plan, m.Stick, a.lots.named(s))
		if err != nil {
			panic(err) // After has found nothing wrong with it
		}
		for _, rest := range kept {
			a.taken[rest.ID] = true
			a.Now.Rack = append(a.Now.Rack, rest)
		}
		return
	}
	if cut > 0 {
		s = Begun(a.w, s, m.head, took)
	}
	if len(m.flaws) > 0 {
		s = a.flawed(m, s, took)
	}
	if len(s.Usable(m.Plan.Trims(), m.Profile.Repeat)) > 0 {
		m.RackID = s.ID
		a.Now.Rack = append(a.Now.Rack, s)
	}
}

// before is the stick as it was before the first cut.
func (a *State) before(m *MarkedStick) model.Stick {
	if m.From != plan.Bought {
		n := slices.IndexFunc(a.w.Rack, func(s model.Stick) bool { return s.ID == m.ID })
		s := a.w.Rack[n] // After has found it
		if m.Cut() > 0 { // so it has come
			s.Coming = model.Coming{}
		}
		return s
	}
	return model.Stick{ID: a.free(m.Profile.Name + " " + m.ID), Profile: m.Profile.Name, Length: m.Length, Lot: a.lots.ofList(m.List(m.Profile.Name))}
}

// free gives an id that is not on the rack yet, like the one wanted, and takes it.
func (a *State) free(wanted string) string {
	id := wanted
	for n := 2; a.taken[id]; n++ {
		id = fmt.Sprintf("%s (%d)", wanted, n)
	}
	a.taken[id] = true
	return id
}

// Begun is what is left of a stick from which sides have taken so much, behind what was given up at its head: that still counts in its
// length.
func Begun(w *model.Workshop, s model.Stick, head, took model.Length) model.Stick {
	rest := tailOf(s, s.Length-took)
	rest.ID, rest.Begun, rest.Offcut = s.ID, head, true
	rest.Damage = behindOf(rest.Damage, head)
	piece := rest.Length - rest.Begun
	rest.Place = fmt.Sprintf("begun, measures %s", piece.Near(w.Unit))
	profile, _ := w.ProfileByName(s.Profile)
	switch keep := profile.Keep; {
	case keep == 0 || piece < keep:
		rest.Value = model.OptionalMoney{Given: true} // it would be thrown away
	case s.Value.Given:
		parts := plan.Share(s.Value.Amount, []model.Length{rest.Length, took})
		rest.Value = model.OptionalMoney{Amount: parts[0], Given: true}
	}
	return rest
}

// behindOf gives what of damage lies behind a place.
func behindOf(damage []model.Span, place model.Length) (rest []model.Span) {
	for _, d := range damage {
		if d.To > place {
			rest = append(rest, model.Span{From: max(d.From, place), To: d.To})
		}
	}
	return rest
}

// flawed is a stick with its flaws as damage. What lay at a place of the whole stick lies so much nearer the head of s.
func (a *State) flawed(m *MarkedStick, s model.Stick, nearer model.Length) model.Stick {
	spans := make([]model.Span, len(m.flaws))
	for i, f := range m.flaws {
		spans[i] = model.Span{From: f.Flaw.From - nearer, To: f.Flaw.To - nearer}
	}
	return Damaged(a.w, s, spans)
}

// Damaged is a stick with more damage: flaws that were found in it. It is worth less by them, and nothing where no sound part is long enough to
// keep.
func Damaged(w *model.Workshop, s model.Stick, flaws []model.Span) model.Stick {
	uncut := s
	uncut.Begun = 0
	value := w.StickValue(uncut)
	spans := slices.Clone(s.Damage)
	for _, f := range flaws {
		if f.To = min(f.To, s.Length); f.To > max(f.From, s.Begun) {
			spans = append(spans, model.Span{From: max(f.From, s.Begun), To: f.To})
		}
	}
	slices.SortFunc(spans, func(x, y model.Span) int { return cmp.Compare(x.From, y.From) })
	s.Damage = nil
	for _, span := range spans {
		if last := len(s.Damage) - 1; last >= 0 && span.From <= s.Damage[last].To {
			s.Damage[last].To = max(s.Damage[last].To, span.To)
			continue
		}
		s.Damage = append(s.Damage, span)
	}
	var sound, longest model.Length
	for _, part := range s.Sound(model.Trims{Head: s.Begun}) {
		sound, longest = sound+part.Length(), max(longest, part.Length())
	}
	profile, _ := w.ProfileByName(s.Profile)
	s.Value = model.OptionalMoney{Given: true}
	if profile.Keep > 0 && longest >= profile.Keep {
		s.Value.Amount = plan.Share(value, []model.Length{sound + s.Begun, s.Length - sound - s.Begun})[0]
	}
	return s
}

// jobs marks the sides that are done.
func (a *State) jobs() {
	var done []model.SideID
	for _, m := range a.Sticks {
		for n, s := range m.Sides {
			if m.Became[n] == Done {
				done = append(done, s.SideID)
			}
		}
	}
	a.Now.Jobs = model.MarkCut(a.w.Jobs, done)
}
