package model

import (
	"math"
	"math/big"
	"math/bits"
	"slices"
)

// Workshop is everything a plan is made from: the machine, the profiles, what suppliers offer, the rack and the jobs.
// Slices keep the order of the user's tables. References between tables are by name and checked by Check.
type Workshop struct {
	Name     string
	Address  string // of the workshop, its lines parted as in AddressLines; printed on orders
	Unit     Unit   // the unit that bare numbers are in and that lengths are printed in
	Currency Currency
	Habits   Habits // of writing tables
	Machine  Machine
	Defaults Defaults
	Printing Printing
	Profiles []Profile
	// Suppliers holds the terms and addresses of those that have any; a supplier of an offer need not be here.
	Suppliers []Supplier
	Offers    []Offer
	Rack      []Stick
	Jobs      []Job
	Gone      []string // names that offcuts had or will have, so that no other gets one of them; of those on the rack it need not say
	Readings  []*Error // how something in the tables was read that by itself can be read in two ways
	Where     Place    // the file of the settings: name, unit, currency, machine and defaults
}

// Defaults are the workshop's own habits.
type Defaults struct {
	Allowance Length // play added to the content size, per dimension; across a regular frame
	Clearance Length // what glass, mount and backing are cut smaller than the content size, per dimension
	RackShare int    // per cent of the price of new moulding that a stick on the rack is worth
	// OffcutShare is the per cent of the price of new moulding that a kept offcut is worth to a plan; 0: nothing.
	OffcutShare int
	Keep        OptionalLength // an offcut of this length or more goes on the rack, where a new profile does not say
}

// Profile is one moulding.
type Profile struct {
	Name     string // unique; what the other tables call it
	Title    string // for people
	Width    Length // across the face, back edge to sight edge
	Rebate   Length // width of the step, as seen from the front; less than Width
	Finish   string
	HeadTrim Length // given up at the head of every stick, if more than the machine's
	TailTrim Length
	Keep     Length        // an offcut of this length or more goes on the rack
	Metre    OptionalMoney // price of a metre, for valuing the rack where nothing is on offer
	// OffcutShare is the workshop's where not given.
	OffcutShare OptionalShare
	Match       Match  // how the sides of a frame must match, unless the job says otherwise
	Repeat      Length // of the pattern along the stick; 0: no pattern
	SetUp       string // what the framer notes once for every run: rest height, block height, first notch
	Where       Place
}

// Match says which sticks the sides of a frame may come from.
type Match string

// The rules of matching.
const (
	MatchFree  Match = "free"  // any sticks
	MatchLot   Match = "lot"   // sticks of one lot
	MatchPair  Match = "pair"  // each long side lies next to a short one on one stick
	MatchStick Match = "stick" // all sides lie next to each other on one stick
)

// ExpectedOf is the day on which an order should be here that is sent to a supplier on a day; none where nobody knows how long that takes.
func (w *Workshop) ExpectedOf(supplier string, sent Date) Date {
	for _, s := range w.Suppliers {
		if s.Name == supplier && s.DeliveryDays.Given {
			return Date{Time: sent.AddDate(0, 0, s.DeliveryDays.Days)}
		}
	}
	return Date{}
}

// MaxDeliveryDays is the greatest number of days between an order and its delivery: ten years.
const MaxDeliveryDays = 3650

// Supplier is what a supplier asks of a whole order, all profiles together, and where an order goes.
type Supplier struct {
	Name        string
	LeastMoney  OptionalMoney // an order must come to at least this, without delivery
	LeastSticks int           // an order must have at least so many sticks; 0: any number
	Delivery    Money         // charged once an order
	FreeFrom    OptionalMoney // an order that comes to at least this, without delivery, is delivered free
	Address     string        // its lines parted as in AddressLines
	// DeliveryDays is how many days after an order it is expected.
	DeliveryDays OptionalDays
	Where        Place
}

// Offer is what a supplier sells: sticks of one length at a price. Offers that differ in From and Price only are one price
// list with breaks (PriceLists): who buys n bundles pays for all of them the price of the greatest From that is at most n.
type Offer struct {
	Supplier string
	Profile  string
	Length   Length // of one stick, as supplied; of random lengths the shortest
	Longest  Length // of random lengths the longest; 0: all are Length long
	Bundle   int    // sticks in a bundle, which is not broken; 0: 1 (PerBundle)
	From     int    // the price holds from so many bundles on; 0: 1 (LeastBundles)
	Price    Money  // of one bundle
	Until    Date   // the last day on which it can be ordered; no date: always
	Article  string // what the supplier calls it; of a price list the article of the price that is paid
	// ByLength is how the supplier prints Price, where that goes by length.
	ByLength ByLength
	Where    Place
}

// Stick is one length of a profile, on the rack or on the way there: an untouched stick or an offcut.
type Stick struct {
	ID      string // unique on the rack
	Profile string
	Length  Length
	Place   string        // where on the rack
	Value   OptionalMoney // where not given, the workshop's RackShare of the price by length
	Offcut  bool
	Lot     string // sticks of one lot match in finish; blank: matches nothing but itself
	Damage  []Span // what no side may cover, from the head on, apart and in order
	// Begun is what of Length is gone from the head already, trimmed off when the stick was begun: the piece measures
	// Length − Begun. 0: not begun. Value, and the share of the price by length, are then those of a stick that is not begun.
	Begun Length
	// Paid is what was paid for it, with its part of the delivery, where it was bought for jobs that are still open: they bear it, though the stick is
	// worth less on the rack. No plan is chosen by it. 0: nothing is known.
	Paid   Money
	Coming Coming // of a stick that is on the way
	// Unnamed tells that its table gives it no name: ID is one that is free there, and may be taken where the stick is kept.
	Unnamed bool
	Where   Place
}

// Coming says of a stick that it is ordered and paid for and not here yet: a plan counts on it, and it cannot be cut yet.
type Coming struct {
	Order    string // what the order is called; empty: the stick is here
	Supplier string
	Expected Date // the zero Date: nobody knows
}

// OnTheWay says that the stick is ordered and not here yet.
func (s Stick) OnTheWay() bool { return s.Coming.Order != "" }

// Here is the workshop without the sticks that are on the way.
func (w *Workshop) Here() *Workshop {
	now := *w
	now.Rack = slices.DeleteFunc(slices.Clone(w.Rack), Stick.OnTheWay)
	return &now
}

// Span is a part of a stick, measured from its head.
type Span struct {
	From Length `json:"from_nm"`
	To   Length `json:"to_nm"`
}

// Job is a customer's order.
type Job struct {
	ID       string
	Customer string
	Due      Date
	Note     string
	Match    Match // blank: each profile's own
	Frames   []JobFrame
	Where    Place // the first line that names it
}

// JobFrame is one frame of a job, Quantity times: one ring, or several nested ones, from the inside out.
type JobFrame struct {
	ID       string   // unique in its job
	Quantity int      // 1 to MaxQuantity
	Rings    []Ring   // Rings[0] is the innermost and the only one with a size of its own
	Cut      []SideID // sides that are cut and good already: nothing is planned for them
	Where    Place
}

// CutSet gives the sides that are cut already, to look them up.
func (f JobFrame) CutSet() map[SideID]bool {
	set := make(map[SideID]bool, len(f.Cut))
	for _, s := range f.Cut {
		set[s] = true
	}
	return set
}

// DueJobs gives the indexes of the jobs due up to and including a day (of all for the zero Date), by day and then in table order. A job
// without a day is always due, and first.
func (w *Workshop) DueJobs(until Date) []int {
	var jobs []int
	for j := range w.Jobs {
		if until.IsZero() || !w.Jobs[j].Due.After(until.Time) {
			jobs = append(jobs, j)
		}
	}
	slices.SortStableFunc(jobs, func(a, b int) int { return w.Jobs[a].Due.Compare(w.Jobs[b].Due.Time) })
	return jobs
}

// WithJobs is the workshop with other jobs.
func (w *Workshop) WithJobs(jobs []Job) *Workshop {
	now := *w
	now.Jobs = jobs
	return &now
}

// MarkCut gives the jobs with more sides cut. The jobs it is given stay as they are.
func MarkCut(jobs []Job, sides []SideID) []Job {
	more := map[SideID][]SideID{}
	for _, s := range sides {
		more[s.OfLine()] = append(more[s.OfLine()], s)
	}
	out := slices.Clone(jobs)
	for j := range out {
		out[j].Frames = slices.Clone(out[j].Frames)
		for f := range out[j].Frames {
			frame := &out[j].Frames[f]
			frame.Cut = slices.Concat(frame.Cut, more[SideID{Job: out[j].ID, Frame: frame.ID}])
		}
	}
	return out
}

// Ring is one closed frame of one profile. Size is meaningful in the innermost ring only: an outer ring's content is the
// inner one's outside.
type Ring struct {
	Profile   string
	Allowance Length // play between this ring and its content, per dimension; across a regular frame
	Size      Size
	Where     Place
}

// MaxQuantity is the greatest number of equal frames in one line of a job.
const MaxQuantity = 10_000

// OptionalMoney is an amount that may not have been given.
type OptionalMoney struct {
	Amount Money
	Given  bool
}

// OptionalShare is a share in per cent that may not have been given.
type OptionalShare struct {
	Percent int
	Given   bool
}

// OptionalDays is a number of days that may not have been given.
type OptionalDays struct {
	Days  int
	Given bool
}

// OptionalLength is a length that may not have been given.
type OptionalLength struct {
	Length Length
	Given  bool
}

// ProfileByName finds a profile by the name the tables call it.
func (w *Workshop) ProfileByName(name string) (Profile, bool) {
	for _, p := range w.Profiles {
		if p.Name == name {
			return p, true
		}
	}
	return Profile{}, false
}

// StickValue gives what a stick on the rack is worth: its own Value where given, else RackShare per cent of the price by
// length (rateOf), rounded half up; nothing where there is no price at all. Damage counts only where a Value says so. What is left of a
// stick that is begun is worth what the offcuts are that it becomes if nothing more is cut from it (OffcutValue). Never more than MaxMoney (Check
// has reported that).
func (w *Workshop) StickValue(s Stick) Money { return w.ValuesOf(s.Profile)(s) }

// ValuesOf gives StickValue for the sticks of one profile, whose price is looked for once.
func (w *Workshop) ValuesOf(profile string) func(Stick) Money {
	r := w.rateOf(profile)
	return func(s Stick) Money {
		value := s.Value.Amount
		if !s.Value.Given {
			value = MaxMoney
			if share := w.shareOfPrice(r, s); share.Cmp(big.NewInt(int64(MaxMoney))) < 0 {
				value = Money(share.Int64())
			}
		}
		if s.Begun > 0 {
			return w.asOffcuts(s, value)
		}
		return value
	}
}

// asOffcuts gives what a stick that is begun is worth as the offcuts that it becomes if nothing more is cut from it, a sound part each; value is
// what it would be worth as a stick of the rack, which they come to no more than by length.
func (w *Workshop) asOffcuts(s Stick, value Money) (sum Money) {
	p, _ := w.ProfileByName(s.Profile)
	rate := w.OffcutValue(p)
	if own := big.NewRat(int64(value), int64(s.Length)); own.Cmp(rate) < 0 {
		rate = own
	}
	for _, part := range s.Sound(Trims{Head: s.Begun}) {
		if p.Keep > 0 && part.Length() >= p.Keep {
			of := new(big.Int).Mul(rate.Num(), big.NewInt(int64(part.Length())))
			sum += Money(of.Quo(of, rate.Denom()).Int64())
		}
	}
	return sum
}

// shareOfPrice gives RackShare per cent of the price of the stick by length, rounded half up.
func (w *Workshop) shareOfPrice(r rate, s Stick) *big.Int {
	const half, whole = 50, 100
	if r.length == 0 {
		return new(big.Int)
	}
	if high, part := bits.Mul64(uint64(r.price)*uint64(w.Defaults.RackShare), uint64(s.Length)); high == 0 && s.Length >= 0 && w.Defaults.RackShare >= 0 {
		if by := uint64(r.length); part < math.MaxUint64-half*by { // what nearly all sticks come to
			return new(big.Int).SetUint64((part + half*by) / (whole * by))
		}
	}
	value := big.NewInt(int64(r.price))
	value.Mul(value, big.NewInt(int64(w.Defaults.RackShare)))
	value.Mul(value, big.NewInt(int64(s.Length)))
	by := big.NewInt(r.length)
	value.Add(value, new(big.Int).Mul(by, big.NewInt(half)))
	return value.Quo(value, by.Mul(by, big.NewInt(whole))) // not negative, so that Quo rounds down
}
