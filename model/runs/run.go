package runs

import (
	"cmp"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/stock"
)

// Run is a session at the machine with one profile, with what there is to cut and what has been.
type Run struct {
	ID       int64     `json:"run"`
	Plan     int64     `json:"plan"`           // that it began by
	Rest     int64     `json:"rest,omitempty"` // the plan of what was left after the last mishap
	Profile  string    `json:"profile"`
	Started  string    `json:"started"`
	Finished string    `json:"finished,omitempty"`
	State    string    `json:"state"`
	Blade    string    `json:"blade,omitempty"`
	Strokes  int       `json:"bites_in_a_chop"`
	Chops    int       `json:"chops"` // counted when the run is finished
	Sticks   []Stick   `json:"sticks"`
	Waiting  []Awaited `json:"waiting,omitempty"` // sticks of its plan that are not here yet
	TookIn   []string  `json:"took_in,omitempty"` // sticks that it has just been given, of those it waited for

	Elsewhere int64 `json:"-"` // what was written down last as cut in another run, as Side.Told counts
}

// Awaited is a stick of a run's plan that is not here yet.
type Awaited struct {
	Stick    string       `json:"stick"` // as the plan calls it, or as it will be called
	Length   model.Length `json:"length_nm"`
	Supplier string       `json:"supplier"`
	Order    int64        `json:"order,omitempty"` // that it comes with; 0: it is not ordered
	Expected string       `json:"expected,omitempty"`
	Unsent   bool         `json:"unsent,omitempty"`   // its order is not sent yet
	Here     bool         `json:"here,omitempty"`     // it has arrived: the run takes it in when it is started again
	Gone     bool         `json:"gone,omitempty"`     // it was ordered, and none that is here or to come does for it
	Together bool         `json:"together,omitempty"` // it is here, and is not cut before others are with which frames share it that are matched by lot
	Sides    []Side       `json:"sides"`

	Of int `json:"-"` // which stick of the plan it is, from 1
}

// Stick is a stick of a run.
type Stick struct {
	Number int          `json:"number"`
	Stick  string       `json:"stick"` // on the rack
	Place  string       `json:"place,omitempty"`
	Length model.Length `json:"length_nm"`
	Flaw   string       `json:"flaw,omitempty"`
	State  string       `json:"state"`
	Kept   model.Length `json:"kept_nm"`
	Waste  model.Length `json:"waste_nm"`
	Sides  []Side       `json:"sides"` // in cutting order

	Material `json:"-"`
}

// Material is what is known of a stick in hand that is not shown.
type Material struct {
	By      *Plan        // the plan it is cut by
	Planned plan.Stick   // of that plan; without sides where nothing more is cut from it
	Earlier int          // how many sides were cut from it by earlier plans
	Gone    model.Length // what those took of its length
	Head    model.Length // what is trimmed off its head
	Repeat  model.Length // of its profile's pattern
	Keep    model.Length // what is left of it is kept from this length on; 0: never
	Lot     string
	Damage  []model.Span
	Cost    model.Money
	Value   model.OptionalMoney // that planning reckons with, where it was said
	Of      int                 // which stick of the plan it is, from 1; 0: none
	Marked  int64               // the step that last asked for labels of it since the run began; 0: none has
	Joined  bool                // it came into the run after that had begun
	Late    bool                // and after the plan was made that it is cut by
	Offcuts []string            // what its offcuts will be called
	Pieces  []Offcut            // what was kept of it, once the run is finished
}

// Side is a side of a run. Its place on the stick counts from 1, those that were cut by earlier plans first.
type Side struct {
	Place int `json:"place"`
	No    int `json:"no"` // of its cut, as the cut sheet counts them
	model.SideID
	LongPoint model.Length `json:"long_point_nm"`
	Became    string       `json:"became"` // ToCut, Done, Short, Torn, Before or Unwanted

	As   plan.Side `json:"-"` // as the plan has it by which it is, or was, cut; Start on the stick as it is
	By   *Plan     `json:"-"`
	Told int64     `json:"-"` // grows with every side that was written down as cut; 0: it is not
}

// What becomes of a side.
const (
	ToCut    = "to cut"
	Done     = string(stock.Done)
	Short    = string(stock.Short)
	Torn     = string(stock.Torn)
	Before   = "done before" // in another run
	Unwanted = "unwanted"    // done, and not wanted any more as it is: its job was changed
	PutOff   = "put off"     // its stick turned out otherwise: it waits for another plan
	Waits    = "waits"       // its stick is not here yet
)

// Plan is a plan of a run's profile, with its sides and cuts to look up.
type Plan struct {
	plan.ProfilePlan
	ID int64
	at map[model.SideID]planned
}

// planned is where a plan has a side: on which stick and as which of its sides, from 0, and by which cut of its order, from 0.
type planned struct{ stick, side, cut int }

// NewPlan gives what a document plans of a profile.
func NewPlan(id int64, d *plan.Document, profile string) *Plan {
	p := &Plan{ID: id, at: map[model.SideID]planned{}}
	p.Name = profile
	for _, one := range d.Profiles {
		if one.Name == profile {
			p.ProfilePlan = one
		}
	}
	if len(p.Run.Cuts) == 0 {
		p.Run = plan.AsTheyStand(p.Sticks)
	}
	for n, c := range p.Run.Cuts {
		p.at[p.Sticks[c.Stick].Sides[c.Side].SideID] = planned{c.Stick, c.Side, n}
	}
	return p
}

// Side gives a side of the plan as one of a run, in its place on its stick.
func (p *Plan) Side(place int, side plan.Side, became string) Side {
	return Side{place, p.Run.Number(p.at[side.SideID].cut), side.SideID, side.LongPoint, became, side, p, 0}
}

// CutBy says by which plan a side was cut. It is false where the plan does not have the side.
func (s *Side) CutBy(p *Plan) bool {
	at, there := p.at[s.SideID]
	if there {
		s.By, s.No, s.As = p, p.Run.Number(at.cut), p.Sticks[at.stick].Sides[at.side]
	}
	return there
}

// Now is the plan that what is left of a run is cut by.
func (r Run) Now() int64 { return cmp.Or(r.Rest, r.Plan) }

// Sides gives all sides of a run, those included that wait for their sticks.
func (r Run) Sides() (all []Side) {
	for _, s := range r.Sticks {
		all = append(all, s.Sides...)
	}
	for _, s := range r.Waiting {
		all = append(all, s.Sides...)
	}
	return all
}

// Unplanned gives the sides of an open run that are not done and that nothing is marked out for: a mishap left them over, and there was no way to
// plan them anew.
func (r Run) Unplanned() (left []model.SideID) {
	settled := map[model.SideID]bool{}
	for _, side := range r.Sides() {
		if side.Became != Short && side.Became != Torn && side.Became != PutOff {
			settled[side.SideID] = true
		}
	}
	for _, side := range r.Sides() {
		if !settled[side.SideID] && !slices.Contains(left, side.SideID) {
			left = append(left, side.SideID)
		}
	}
	return left
}

// InHand is the stick that is in the machine, of which the last side is that was written down; empty: none is.
func (r Run) InHand() (stick string) {
	last := r.Elsewhere
	for _, s := range r.Sticks {
		for _, side := range s.Sides {
			if side.Told > last {
				last, stick = side.Told, s.Stick
			}
		}
	}
	return stick
}

// ToOrder tells whether the stick is to be bought and not ordered.
func (a Awaited) ToOrder() bool { return a.Order == 0 && !a.Here && !a.Gone && !a.Together }

// awaited gives the sticks that a run waits for as its plan has them, with what is still to be cut from them.
func (r Run) awaited() (sticks []plan.Stick) {
	for _, a := range r.Waiting {
		s := a.Sides[0].By.Sticks[a.Of-1]
		if a.Order != 0 {
			s.ID, s.From, s.Supplier, s.Order, s.Expected = a.Stick, plan.OnTheWay, a.Supplier, fmt.Sprint(a.Order), a.Expected
			s.Left.Length, s.Length = s.Left.Length+a.Length-s.Length, a.Length
		}
		s.Sides = nil
		for _, side := range a.Sides {
			s.Sides = append(s.Sides, side.As)
		}
		sticks = append(sticks, s)
	}
	return sticks
}
