package plan

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"longpoint/model"
)

// Format names the version of the plan document.
const Format = "longpoint-plan/3"

// MaxDocument is the size in bytes of the largest plan document that Decode takes: twenty times the plan of a
// thousand frames (measured: 5 MB). To read one takes some seven times its size of memory.
const MaxDocument = 100_000_000

// Document is a cutting plan with everything needed to cut it, to order for it and to check it. Lengths are
// nanometres, money is in minor units of Currency. The JSON keys are explained in schema.json.
type Document struct {
	Format   string        `json:"format"`
	MadeWith string        `json:"made_with"` // program and version, as Options has it
	Workshop string        `json:"workshop"`
	Unit     string        `json:"unit"` // the workshop's own unit: "mm", "cm" or "in"; the document's numbers are nm
	Currency Currency      `json:"currency"`
	Until    string        `json:"until,omitempty"`    // jobs due up to this day, the day included; empty: all jobs
	On       string        `json:"on,omitempty"`       // the day of ordering; empty: no offer has a last day
	Only     []string      `json:"only,omitempty"`     // only these profiles were planned; empty: all
	Here     bool          `json:"here,omitempty"`     // what is on the way was left out
	Profiles []ProfilePlan `json:"profiles"`           // in the order of the workshop's table; those with something to cut
	Together []Together    `json:"together,omitempty"` // profiles that were planned as one problem
	Buy      []Purchase    `json:"buy"`                // by supplier, then profile in table order, then longest stick first
	Orders   []Order       `json:"orders"`             // one a supplier that is bought from, by name
	Jobs     []JobCost     `json:"jobs"`               // in the order of the workshop's table; those with something to cut
	Total    Total         `json:"total"`
}

// Currency is how the document's money is written: an ISO 4217 code and the digits of its minor unit.
type Currency struct {
	Code     string `json:"code"`
	Decimals int    `json:"decimals"`
}

// Grade says how much is known about a plan's cost. A plan never carries a better one than it earned.
type Grade string

// The grades, best first.
const (
	Proven   Grade = "proven"   // the independent checker accepted a certificate that meets the cost
	Searched Grade = "searched" // the search closed the gap, part of it without a certificate
	Open     Grade = "open"     // stopped early, or not checked; Reason says which
)

// ProfilePlan is the plan for one profile. Where it was planned together with others, as one problem, the certificate is
// in Document.Together; Bound is then the cost less the gap of all of them, which is what no other plan for this profile
// comes below that leaves the others as they are.
type ProfilePlan struct {
	Name     string          `json:"name"`
	Title    string          `json:"title,omitempty"`
	Width    model.Length    `json:"width_nm"`
	HeadTrim model.Length    `json:"head_trim_nm"` // given up at the head of every stick of this plan
	TailTrim model.Length    `json:"tail_trim_nm"`
	Apart    model.Length    `json:"apart_nm,omitempty"` // at least so far apart are the last chop before damage and the first one behind it
	Bites    Bites           `json:"bites"`
	SetUp    string          `json:"set_up,omitempty"` // what the framer notes once for every run of the profile
	Sticks   []Stick         `json:"sticks"`           // in the order in which they are first taken
	Run      Run             `json:"run"`
	Figures  Figures         `json:"figures"`
	Together int             `json:"together,omitempty"` // counted from 1, which of Document.Together it belongs to; 0: none
	Bound    model.Money     `json:"bound"`              // no plan costs less: what the certificate in Cuts proves
	Gap      model.Money     `json:"gap"`                // Figures.Cost − Bound
	Grade    Grade           `json:"grade"`
	Reason   string          `json:"reason,omitempty"` // why the grade is not Proven
	Jobs     []JobShare      `json:"jobs"`             // in the order of the workshop's table; the costs add up to Shared
	FirstFit Comparison      `json:"first_fit"`
	Cuts     json.RawMessage `json:"cuts,omitempty"` // the cuts document "longpoint-cuts/2" with the certificate; none where Together
	Warnings []string        `json:"warnings"`
}

// Trims gives what no side of the plan's sticks lies on, besides damage.
func (p *ProfilePlan) Trims() model.Trims {
	return model.Trims{Head: p.HeadTrim, Tail: p.TailTrim, Apart: p.Apart}
}

// Together is profiles that suppliers' terms bind, planned as one problem.
type Together struct {
	Profiles  []string        `json:"profiles"`  // in the order of the workshop's table
	Suppliers []string        `json:"suppliers"` // whose terms bind them, by name
	Cost      model.Money     `json:"cost"`      // of all of them, delivery included
	Bound     model.Money     `json:"bound"`     // no plan for them costs less
	Gap       model.Money     `json:"gap"`
	Grade     Grade           `json:"grade"`
	Reason    string          `json:"reason,omitempty"` // why the grade is not Proven
	Cases     []Case          `json:"cases,omitempty"`  // the bounds that make up Bound; none where there are too many sets
	Cuts      json.RawMessage `json:"cuts,omitempty"`   // of all of them as one problem, where the cases did not settle it
}

// Case is a bound on what one profile costs when some of the suppliers with terms may be ordered from, as if they had no
// terms. With fewer of them open the profile costs no less. Orders says what the bound supposes besides of what the profile
// orders: where it orders so much, its cost is no less than Bound and what is taken off.
//
// For every set of such suppliers, and whatever each profile orders from each of them as long as the orders come to what they must,
// the bounds of the profiles' cases and the deliveries add up to a bound on all plans that order so; the least of them bounds
// all plans there are.
type Case struct {
	Profile string          `json:"profile"`
	Open    []string        `json:"open"` // suppliers with terms, of those that offer the profile, by name
	Orders  []Ordered       `json:"orders,omitempty"`
	Bound   model.Money     `json:"bound"`
	StandIn model.Money     `json:"stand_in,omitempty"` // price of a stick that stands for what cannot be bought; 0: there is none
	Cuts    json.RawMessage `json:"cuts"`
}

// Ordered is what a case supposes of what its profile orders from one of the open suppliers, without delivery. The multipliers
// are those of the Lagrangian relaxation of what the supplier asks of the whole order: they are taken off the supplier's
// prices, and added to the bound for all that the profile orders.
type Ordered struct {
	Supplier        string      `json:"supplier"`
	LeastMoney      model.Money `json:"least_money,omitempty"`      // it comes to at least this
	LeastSticks     int64       `json:"least_sticks,omitempty"`     // and has at least so many sticks
	MoneyMultiplier int64       `json:"money_multiplier,omitempty"` // Lagrangian multiplier of the money ordered, in millionths: this share is taken off each price, rounded up
	StickMultiplier model.Money `json:"stick_multiplier,omitempty"` // Lagrangian multiplier of the sticks ordered: this is taken off for each stick
}

// Bites are the strokes in which the profile is cut through: how far the blades advance in each. A saw takes one.
type Bites struct {
	Strokes   int            `json:"strokes"`
	Finishing bool           `json:"finishing"` // the last one is the finishing bite
	Advances  []model.Length `json:"advances_nm"`
}

// The places a stick comes from.
const (
	FromRack = "rack"
	OnTheWay = "on the way" // ordered earlier and not here yet
	Bought   = "new"
)

// Stick is one stick and what is cut from it, head first.
type Stick struct {
	ID       string       `json:"id"`   // on the rack or on the way there; or "new 1", "new 2", … within the profile
	From     string       `json:"from"` // FromRack, OnTheWay or Bought
	Supplier string       `json:"supplier,omitempty"`
	Order    string       `json:"order,omitempty"`    // that a stick on the way comes with
	Expected string       `json:"expected,omitempty"` // the day on which a stick on the way should be here
	Bundle   int          `json:"bundle,omitempty"`   // sticks in the bundle it comes in; 0: it is sold singly
	Place    string       `json:"place,omitempty"`    // where on the rack
	Lot      string       `json:"lot,omitempty"`      // on the rack
	Length   model.Length `json:"length_nm"`
	Longest  model.Length `json:"longest_nm,omitempty"` // of random lengths: Length is the shortest it may be
	Damage   []model.Span `json:"damage,omitempty"`
	Cost     model.Money  `json:"cost"`              // its price (of a bundle its share, rounded down), or its value on the rack
	Paid     model.Money  `json:"paid,omitempty"`    // of one of the rack that was bought for jobs still open: what was paid for it (model.Stick.Paid)
	Sides    []Side       `json:"sides"`             // in order from the head, which is the order in which those of a sound part are cut
	Between  []Left       `json:"between,omitempty"` // what is left of its sound parts before the last one, from the head on
	Left     Left         `json:"left"`
}

// Side is one side on a stick.
type Side struct {
	model.SideID
	Of        int          `json:"of"` // sides in the ring
	Angle     model.Angle  `json:"mitre_microdegrees"`
	LongPoint model.Length `json:"long_point_nm"`
	Measure   model.Length `json:"measure_nm"` // of the measure-and-width pair: the rebate size
	Set       model.Length `json:"set_nm"`     // of the measure-and-width pair: Measure + 2 Set = LongPoint
	Start     model.Length `json:"start_nm"`   // from the stick's physical head to where the long point starts
	Takes     model.Length `json:"takes_nm"`   // of the stick: long point, both shaves, half a mitre loss at each end
}

// Slot is what a side takes of its stick, from the stick's head. The long point lies in the middle, and what halving leaves of an odd number comes after it.
func (s Side) Slot() model.Span {
	from := s.Start - (s.Takes-s.LongPoint)/2
	return model.Span{From: from, To: from + s.Takes}
}

// The fates of what is left of a stick.
const (
	Kept    = "kept"    // goes on the rack under a new id
	Waste   = "waste"   // too short to keep
	Nothing = "nothing" // nothing is left
)

// Lefts gives what is left of each sound part of a stick, from its head on.
func (s Stick) Lefts() []Left { return append(slices.Clone(s.Between), s.Left) }

// Keeps gives the lengths that are kept of a stick.
func (s Stick) Keeps() (kept []model.Length) {
	for _, left := range s.Lefts() {
		if left.Becomes == Kept {
			kept = append(kept, left.Length)
		}
	}
	return kept
}

// Left is what is left of a stick after its last side: the stick's length less the head trim and what the sides take.
// The tail trim is in it, for the piece that goes back on the rack still has that end.
type Left struct {
	Length  model.Length `json:"length_nm"`
	Becomes string       `json:"becomes"`         // Kept, Waste or Nothing
	ID      string       `json:"id,omitempty"`    // of a kept offcut, new on the rack
	Value   model.Money  `json:"value,omitempty"` // of a kept offcut, where the workshop credits them
}

// Figures are the sums of a plan. Yield is LongPoints ÷ UsedUp.
type Figures struct {
	Sides         int          `json:"sides"`
	RackSticks    int          `json:"rack_sticks"`
	NewSticks     int          `json:"new_sticks"`
	RackValue     model.Money  `json:"rack_value"`         // value of the rack's sticks that are used
	Purchases     model.Money  `json:"purchases"`          // money to pay for new sticks
	Delivery      model.Money  `json:"delivery,omitempty"` // charges for delivery; a profile's is its share
	Credit        model.Money  `json:"credit,omitempty"`   // value of the kept offcuts, where the workshop credits them
	Spare         model.Money  `json:"spare,omitempty"`    // value of the new sticks that nothing is cut from
	Cost          model.Money  `json:"cost"`               // RackValue + Purchases + Delivery − Credit − Spare
	LongPoints    model.Length `json:"long_points_nm"`
	UsedUp        model.Length `json:"used_up_nm"`        // length of the sticks less that of the kept offcuts
	Kept          model.Length `json:"kept_nm"`           // kept offcuts
	Waste         model.Length `json:"waste_nm"`          // UsedUp − LongPoints
	LongestOffcut model.Length `json:"longest_offcut_nm"` // of the kept offcuts the longest; 0: none is kept
	Yield         int64        `json:"yield_ppm"`         // LongPoints ÷ UsedUp in parts per million, rounded down; 0 when nothing is used up
}

// Paid is what is paid to suppliers, delivery included.
func (f Figures) Paid() model.Money { return f.Purchases + f.Delivery }

// Sticks is the number of sticks opened.
func (f Figures) Sticks() int { return f.RackSticks + f.NewSticks }

// YieldPercent gives the yield as text with one decimal, rounded down: "87.3 %".
func (f Figures) YieldPercent() string {
	const tenthOfAPercent = 1000 // ppm
	tenths := f.Yield / tenthOfAPercent
	return fmt.Sprintf("%d.%d %%", tenths/10, tenths%10)
}

// Comparison is what first-fit by longest side would use of the same sticks (package planner has its rule). Where it leaves
// sides over, Complete is false and Figures are those of the sides it cut. It is also false where an order does not come to what the
// supplier asks.
type Comparison struct {
	Complete bool    `json:"complete"`
	LeftOver int     `json:"left_over"` // sides it finds no stick for
	Figures  Figures `json:"figures"`
}

// JobShare is a job's share of one profile's cost, in proportion to what its sides take of the sticks.
type JobShare struct {
	Job   string       `json:"job"`
	Sides int          `json:"sides"`
	Takes model.Length `json:"takes_nm"`
	Cost  model.Money  `json:"cost"`
}

// JobCost is what a job's moulding costs: the sum of its shares.
type JobCost struct {
	Job      string      `json:"job"`
	Customer string      `json:"customer,omitempty"`
	Due      string      `json:"due,omitempty"`
	Sides    int         `json:"sides"`
	Cost     model.Money `json:"cost"`
}

// Purchase is one line of the buy list.
type Purchase struct {
	Supplier   string       `json:"supplier"`
	Profile    string       `json:"profile"`
	Length     model.Length `json:"length_nm"`             // of one stick; of random lengths the shortest
	Longest    model.Length `json:"longest_nm,omitempty"`  // of random lengths; 0: all are of one length
	Bundle     int          `json:"bundle,omitempty"`      // sticks in a bundle; 0: they are sold singly
	Count      int          `json:"count"`                 // sticks
	Price      model.Money  `json:"price"`                 // of one bundle, or of one stick sold singly, at this quantity
	Cost       model.Money  `json:"cost"`                  // of all
	Spare      int          `json:"spare,omitempty"`       // sticks that nothing is cut from: they go on the rack
	SpareValue model.Money  `json:"spare_value,omitempty"` // of all of those
	Jobs       []string     `json:"jobs"`                  // what it is for, in the order of the workshop's table
}

// Bundles is the number of bundles, or of sticks sold singly.
func (p Purchase) Bundles() int { return p.Count / max(1, p.Bundle) }

// NoJob gives how many of a line's sticks no job needs, and what they cost: they make up what the supplier asks of an order, or come in a bundle.
func (p Purchase) NoJob() (sticks int, cost model.Money) {
	if len(p.Jobs) == 0 {
		return p.Count, p.Cost
	}
	return p.Spare, Share(p.Cost, []model.Length{model.Length(p.Spare), model.Length(p.Count - p.Spare)})[0]
}

// Order is what is ordered from one supplier, all profiles together.
type Order struct {
	Supplier    string      `json:"supplier"`
	Sticks      int         `json:"sticks"`
	Cost        model.Money `json:"cost"` // of its lines of the buy list
	Delivery    model.Money `json:"delivery"`
	Total       model.Money `json:"total"`                  // Cost + Delivery
	LeastMoney  model.Money `json:"least_money,omitempty"`  // that Cost must come to
	LeastSticks int         `json:"least_sticks,omitempty"` // that Sticks must come to
	FreeFrom    model.Money `json:"free_from,omitempty"`    // where Cost comes to so much, delivery is free; 0: it never is
}

// Total sums the profiles.
type Total struct {
	Figures  Figures     `json:"figures"`
	Bound    model.Money `json:"bound"`
	Gap      model.Money `json:"gap"`
	Grade    Grade       `json:"grade"` // the worst of the profiles'; Proven when there are none
	FirstFit Comparison  `json:"first_fit"`
}

// UntilDay is the day up to which jobs are planned; the zero Date: all of them.
func (d *Document) UntilDay() (model.Date, error) {
	if d.Until == "" {
		return model.Date{}, nil
	}
	day, err := model.ParseDate(d.Until)
	if err != nil {
		return day, &model.Error{Kind: model.BadInput, What: fmt.Sprintf("the day up to which jobs are planned is no date: %q", d.Until),
			Do: "give the plan as it was written"}
	}
	return day, nil
}

// Encode writes the document as indented JSON with a newline at the end. The same plan gives the same bytes.
func (d *Document) Encode(w io.Writer) error {
	data, err := json.MarshalIndent(d, "", " ")
	if err != nil {
		return &model.Error{Kind: model.Fault, What: "the plan cannot be written as JSON", Err: err}
	}
	_, err = w.Write(append(data, '\n'))
	return err
}

// Decode reads a plan document, strictly: an unknown key, a key that is missing where the schema wants one, a number
// that is not whole, or anything after the document is an error of kind BadInput. It does not say that the plan is
// right: audit.Check does.
func Decode(data []byte) (*Document, error) {
	bad := func(err error) error {
		return &model.Error{Kind: model.BadInput, What: "not a plan document of format " + Format, Err: err,
			Do: `give a file that "longpoint plan --out" wrote`}
	}
	if len(data) > MaxDocument {
		return nil, bad(fmt.Errorf("%d bytes, more than %d", len(data), MaxDocument))
	}
	if len(bytes.TrimSpace(data)) == 0 {
		return nil, bad(errors.New("it is empty"))
	}
	if err := conform(data); err != nil {
		return nil, bad(err)
	}
	var d Document
	if err := json.Unmarshal(data, &d); err != nil {
		return nil, bad(err)
	}
	return &d, nil
}
