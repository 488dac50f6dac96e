package quote

import (
	"cmp"
	"context"
	"math/big"
	"slices"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
)

// Quotation is what a job's moulding comes to, worked out in five ways. Lengths are long points or stick, money is in minor
// units of the workshop's currency.
type Quotation struct {
	Job      string    `json:"job"`
	Customer string    `json:"customer,omitempty"`
	Frames   int       `json:"frames"`
	Sides    int       `json:"sides"`
	Cut      int       `json:"cut,omitempty"`  // of Sides: cut, or in a run; Marginal is for the others, and all other ways are for all sides
	Gone     int       `json:"gone,omitempty"` // sides of frames all of whose sides are; they are in no way, and who asks fills it in
	Profiles []Profile `json:"profiles"`       // those of its frames, in the order of the workshop's table

	Net       Length    `json:"net"`      // the sum of the long points
	Rule      Length    `json:"rule"`     // the trade's perimeter + 8 × width
	AtYield   Length    `json:"at_yield"` // the net moulding with its share of waste
	Yield     int64     `json:"yield_ppm"`
	Marginal  Marginal  `json:"marginal"`
	DualValue DualValue `json:"dual_value"`
}

// Profile is what a job takes of one profile.
type Profile struct {
	Name  string       `json:"name"`
	Sides int          `json:"sides"`
	Net   model.Length `json:"net_nm"`
	Rule  model.Length `json:"rule_nm"`
	Foot  *model.Money `json:"foot_price,omitempty"`  // likewise
	Metre *model.Money `json:"metre_price,omitempty"` // where the profile is cheapest, rounded half up; nil: it has no price at all
	// NoDualValue says why nothing is known of what its sides are worth: Together, ByLot or Absent; empty: something is.
	NoDualValue string `json:"no_dual_value,omitempty"`
}

// Length is a length of moulding and what it costs at its profiles' lowest prices by length, rounded half up once a
// profile. Without a price for one of the profiles there is no cost.
type Length struct {
	Length model.Length `json:"length_nm"`
	Cost   *model.Money `json:"cost,omitempty"`
}

// Marginal is what the job adds to the cost of the plan of all other jobs that are due. With both plans proven, Least,
// Cost and Most are the same; otherwise the truth lies between Least and Most.
// Where the workshop is one for a quotation (book.ForQuotation), what was ordered for the job counts as not bought yet on both sides, so that the job adds
// the same before and after. Ordered and Sent then say what is ordered; who asks fills them in.
type Marginal struct {
	With    model.Money `json:"with"`
	Without model.Money `json:"without"`
	Cost    model.Money `json:"cost"`              // With − Without
	Ordered model.Money `json:"ordered,omitempty"` // what the unused sticks of its profiles come to that are ordered for the job and those planned with it, delivery included
	Sent    model.Money `json:"sent,omitempty"`    // of Ordered: what is in orders that have gone to their suppliers, or is here
	// Delivery is, of Cost, what suppliers charge for delivery with the job and not without it; below nought where the job makes an order so large that it is delivered free.
	Delivery model.Money `json:"delivery,omitempty"`
	// NoJob is, of Cost, what sticks come to that no job needs, bought to fill up an order or a bundle, less what they are worth on the rack: with the job, and not without it.
	NoJob  model.Money `json:"no_job,omitempty"`
	Least  model.Money `json:"least"`
	Most   model.Money `json:"most"`
	Proven bool        `json:"proven"`
}

// DualValue is the sum of the job's sides' dual values: Σ u/scale over its sides at the root of the search
// (dualValues), rounded half up once a profile.
type DualValue struct {
	Cost   model.Money `json:"cost"`    // of the sides that have a dual value
	Longer int         `json:"longer"`  // sides priced as the next longer listed length, which they are worth no more than
	None   int         `json:"without"` // sides longer than any that is listed, or of a profile without dual values (QuoteProfile.NoDualValue)
}

// Job works out a job's quotation. The job may be one of the workshop's or a new one; either way it counts as due. The
// other jobs are those due up to Options.Until. recent is the plan that yield and dual values are taken from; nil: the plan of all these
// jobs and this one. Options.TimeLimit is for both plans together. Errors are those of Make, and what is wrong with a recent plan.
func Job(ctx context.Context, w *model.Workshop, o planner.Options, job model.Job, recent *plan.Document) (*Quotation, error) {
	if o.Known == nil {
		o.Known = planner.NewKnown() // the profiles that the job has no part in are the same with and without it
	}
	start, limit := time.Now(), cmp.Or(o.TimeLimit, planner.DefaultTimeLimit)
	job.Due, o.CostsOnly = model.Date{}, true
	others := slices.DeleteFunc(slices.Clone(w.Jobs), func(j model.Job) bool { return j.ID == job.ID })
	o.Step, o.TimeLimit = "with the job", max(1, limit/2)
	with, err := planner.Make(ctx, w.WithJobs(append(slices.Clone(others), job)), o)
	if err != nil {
		return nil, err
	}
	o.Step, o.TimeLimit = "without it", planner.More(limit*95/100, time.Since(start))
	without, err := planner.Make(ctx, w.WithJobs(others), o)
	if err != nil {
		return nil, err
	}
	q := &Quotation{Job: job.ID, Customer: job.Customer, Marginal: marginal(with, without)}
	if err := q.measure(w, job, o.On); err != nil {
		return nil, err
	}
	var prices map[string]*dualValues
	ctx, stop := context.WithTimeout(ctx, max(1, limit-time.Since(start))) // then what is known by then
	defer stop()
	if recent != nil {
		prices, err = dualValuesOfPlan(ctx, recent, q.Profiles)
	} else {
		recent = with
		prices, err = dualValuesOfJobs(ctx, w.WithJobs(append(slices.Clone(others), job)), o, q.Profiles)
	}
	if err != nil {
		return nil, err
	}
	if err := q.yield(w, recent.Total.Figures, o.On); err != nil {
		return nil, err
	}
	return q, q.addDualValues(w, job, prices)
}

// Way gives what the job comes to by one of the five ways, by its number; known is false where there is no one figure.
func (q *Quotation) Way(number int) (cost model.Money, known bool) {
	of := func(l Length) (model.Money, bool) {
		if l.Cost == nil {
			return 0, false
		}
		return *l.Cost, true
	}
	switch number {
	case 1:
		return of(q.Net)
	case 2:
		return of(q.Rule)
	case 3:
		return of(q.AtYield)
	case 4:
		return q.Marginal.Cost, q.Marginal.Proven
	case 5:
		return q.DualValue.Cost, q.DualValue.None == 0
	}
	return 0, false
}

// marginal compares the plan with a job and the plan without it.
func marginal(with, without *plan.Document) Marginal {
	a, b := with.Total, without.Total
	m := Marginal{With: a.Figures.Cost, Without: b.Figures.Cost, Delivery: a.Figures.Delivery - b.Figures.Delivery, NoJob: forNoJob(with) - forNoJob(without),
		Least: a.Bound - b.Figures.Cost, Most: a.Figures.Cost - b.Bound, Proven: a.Grade == plan.Proven && b.Grade == plan.Proven}
	m.Cost = m.With - m.Without
	return m
}

// forNoJob is what a plan pays for sticks that no job needs, less what they are worth on the rack.
func forNoJob(d *plan.Document) (all model.Money) {
	for _, l := range d.Buy {
		_, cost := l.NoJob()
		all += cost - l.SpareValue
	}
	return all
}

// Net gives the net moulding of some frames as a quotation does: what it costs is rounded once a profile, for all copies together.
func Net(w *model.Workshop, on model.Date, frames ...model.JobFrame) (Length, error) {
	q := &Quotation{}
	err := q.measure(w, model.Job{Frames: frames}, on)
	return q.Net, err
}

// measure adds up the job's moulding.
func (q *Quotation) measure(w *model.Workshop, job model.Job, on model.Date) error {
	found := map[string]*Profile{}
	for _, f := range job.Frames {
		rings, err := f.Geometry(w.ProfileByName)
		if err != nil {
			return err
		}
		q.Frames += f.Quantity
		q.Cut += len(f.Cut)
		for _, ring := range rings {
			p := found[ring.Profile]
			if p == nil {
				p = &Profile{Name: ring.Profile}
				found[ring.Profile] = p
			}
			p.Sides += f.Quantity * len(ring.Sides)
			p.Net += ring.Moulding * model.Length(f.Quantity)
			p.Rule += ruleOfThumb(ring) * model.Length(f.Quantity)
		}
	}
	q.Net.Cost, q.Rule.Cost = new(model.Money), new(model.Money)
	for _, profile := range w.Profiles {
		p := found[profile.Name]
		if p == nil {
			continue
		}
		price := lowestPrice(w, profile, on)
		p.Metre, p.Foot = atPrice(price, model.Metre), atPrice(price, model.Foot)
		q.Profiles = append(q.Profiles, *p)
		q.Sides += p.Sides
		q.Net.add(p.Net, price)
		q.Rule.add(p.Rule, price)
	}
	return nil
}

// ruleOfThumb is the trade's figure for a ring: perimeter of what goes in + 8 × width of the moulding for a rectangle (common
// practice, no source), in general + 2 n w t. With the play counted and the width less the rebate it is the net moulding
// (WOOD magazine, "Making the Perfect Frame"); with the full width it has 8 rebates of reserve in it, less the play.
func ruleOfThumb(g model.RingGeometry) model.Length {
	n := model.Length(g.Shape.Sides)
	perimeter := n * g.Content.Width
	if g.Content.Height != 0 {
		perimeter = 2 * (g.Content.Width + g.Content.Height)
	}
	return perimeter + n*(g.Outside.Width-g.Sight.Width) // outside − sight = 2 w t
}

// lowestPrice is the price of a nanometre of a profile on a day: the cheapest offer's by length that anyone gets from the first
// bundle on, each stick as long as the shortest it may be, or by its price of a metre where nothing is on offer; nil where
// there is no price.
func lowestPrice(w *model.Workshop, p model.Profile, on model.Date) *big.Rat {
	var best *big.Rat
	for _, o := range w.OffersOf(p.Name, on) {
		if o.LeastBundles() > 1 {
			continue
		}
		rate := big.NewRat(int64(o.Price), int64(o.Length))
		rate.Mul(rate, big.NewRat(1, int64(o.PerBundle()))) // a bundle's price is that of all its sticks
		if best == nil || rate.Cmp(best) < 0 {
			best = rate
		}
	}
	if best == nil && p.Metre.Given {
		best = big.NewRat(int64(p.Metre.Amount), int64(model.Metre))
	}
	return best
}

// atPrice is what a length costs, rounded half up; nil where there is no price.
func atPrice(price *big.Rat, l model.Length) *model.Money {
	if price == nil {
		return nil
	}
	m := roundHalfUp(new(big.Rat).Mul(price, new(big.Rat).SetInt64(int64(l))))
	return &m
}

// roundHalfUp gives the nearest whole number, the greater of two equally near ones.
func roundHalfUp(r *big.Rat) model.Money {
	sum := new(big.Rat).Add(r, big.NewRat(1, 2))
	return model.Money(new(big.Int).Div(sum.Num(), sum.Denom()).Int64()) // Div rounds down for a positive denominator
}

// add adds a profile's length.
func (l *Length) add(length model.Length, price *big.Rat) {
	l.Length += length
	if cost := atPrice(price, length); cost == nil || l.Cost == nil {
		l.Cost = nil
	} else {
		*l.Cost += *cost
	}
}

// yield works out how much stick the net moulding uses up at a yield.
func (q *Quotation) yield(w *model.Workshop, f plan.Figures, on model.Date) error {
	if f.LongPoints <= 0 || f.UsedUp < f.LongPoints {
		return &model.Error{Kind: model.BadInput, What: "the plan that the yield is taken from cuts nothing",
			Do: "name a plan of some weeks' jobs, or none"}
	}
	q.Yield = f.Yield
	q.AtYield.Cost = new(model.Money)
	for _, p := range q.Profiles {
		profile, _ := w.ProfileByName(p.Name)
		up := new(big.Int).Mul(big.NewInt(int64(p.Net)), big.NewInt(int64(f.UsedUp)))
		up.Add(up, big.NewInt(int64(f.LongPoints)-1)) // what is used up is rounded up
		up.Div(up, big.NewInt(int64(f.LongPoints)))
		q.AtYield.add(model.Length(up.Int64()), lowestPrice(w, profile, on))
	}
	return nil
}

// addDualValues adds up what the job's sides are worth by the given prices, a profile each. Sides that must lie next to each other are
// one length to the certificate, and so they are here.
func (q *Quotation) addDualValues(w *model.Workshop, job model.Job, prices map[string]*dualValues) error {
	sums := map[string]*big.Rat{}
	for _, f := range job.Frames {
		rings, err := f.Geometry(w.ProfileByName)
		if err != nil {
			return err
		}
		for _, ring := range rings {
			if sums[ring.Profile] == nil {
				sums[ring.Profile] = new(big.Rat)
			}
			profile, _ := w.ProfileByName(ring.Profile)
			size := map[model.Match]int{model.MatchPair: 2, model.MatchStick: len(ring.Sides)}[w.MatchOf(job, profile)]
			for unit := range slices.Chunk(ring.Sides, max(1, size)) {
				var need model.Length
				for _, side := range unit {
					need += w.Machine.Needs(profile, ring.Shape, side.LongPoint)
				}
				each, exact, ok := prices[ring.Profile].of(int64(need))
				switch {
				case !ok:
					q.DualValue.None += f.Quantity * len(unit)
					continue
				case !exact:
					q.DualValue.Longer += f.Quantity * len(unit)
				}
				sums[ring.Profile].Add(sums[ring.Profile], each.Mul(each, new(big.Rat).SetInt64(int64(f.Quantity))))
			}
		}
	}
	for n := range q.Profiles {
		p := &q.Profiles[n]
		q.DualValue.Cost += roundHalfUp(sums[p.Name])
		switch prices := prices[p.Name]; {
		case prices == nil:
			p.NoDualValue = Absent
		default:
			p.NoDualValue = prices.none
		}
	}
	return nil
}
