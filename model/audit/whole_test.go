package audit_test

import (
	"errors"
	"flag"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

var (
	shops  = flag.Uint64("shops", 40, "random workshops in which TestProperties compares plans")
	forged = flag.Int("forged", 1500, "how many plans of random workshops TestForged spoils")
	first  = flag.Uint64("seed", 0, "the first of these workshops")
)

// draw gives the random workshop of a seed, and whether it is a legal one: two offers may be drawn alike.
func draw(seed uint64) (*model.Workshop, *rand.Rand, bool) {
	r := rand.New(rand.NewPCG(seed, 21))
	w := shoptest.SmallWorkshop(r)
	return w, r, w.Check() == nil
}

// planned plans a workshop and has the plan audited; nil: it says that something cannot be cut. Any other error is a fault.
func planned(t *testing.T, w *model.Workshop, o planner.Options) *plan.Document {
	t.Helper()
	o.Verify, o.MadeWith, o.TimeLimit = shoptest.Checker, "test", 2*time.Second
	d, err := planner.Make(t.Context(), w, o)
	if errs := model.Errors(nil); errors.As(err, &errs) && errs[0].Kind == model.CannotCut {
		return nil
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range shoptest.MustAudit(t, w, d) {
		t.Errorf("audit: %s", f)
	}
	return d
}

// TestProperties plans random legal workshops, with what suppliers ask, damage, lots, matching and polygons, and then the same
// workshop in another form. Each has a plan that the audit accepts, or something in it cannot be cut; and of two plans that are both
// proven the costs are as they must be.
func TestProperties(t *testing.T) {
	compared, none := map[string]int{}, 0
	for seed := *first; seed < *first+*shops; seed++ {
		w, r, legal := draw(seed)
		if !legal {
			continue
		}
		d := planned(t, w, planner.Options{Workers: 1})
		if d == nil {
			none++
		}
		for _, p := range properties {
			other, least, most := p.change(t, w, r)
			if other == nil {
				continue
			}
			e := planned(t, other, planner.Options{Workers: p.workers})
			if d == nil || e == nil {
				if (d == nil) != (e == nil) && !(p.mayHelp && d == nil) {
					t.Errorf("%s: there is a plan: %t, and then: %t", p.name, d != nil, e != nil)
				}
				continue
			}
			if d.Total.Grade != plan.Proven || e.Total.Grade != plan.Proven {
				continue
			}
			compared[p.name]++
			if was, is := d.Total.Figures.Cost, e.Total.Figures.Cost; is < least(was) || is > most(was) {
				t.Errorf("%s: the cost was %d and is %d", p.name, was, is)
			}
			if p.alike && planOnly(t, d) != planOnly(t, e) {
				t.Errorf("%s: the plan is another", p.name)
			}
			if d.Total.Bound != d.Total.Figures.Cost || e.Total.Bound != e.Total.Figures.Cost {
				t.Errorf("%s: proven, and the bounds are %d of %d and %d of %d", p.name, d.Total.Bound, d.Total.Figures.Cost, e.Total.Bound, e.Total.Figures.Cost)
			}
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	t.Logf("compared %v; %d cannot be cut", compared, none)
	for _, p := range properties {
		if uint64(compared[p.name]) < *shops/20 {
			t.Errorf("%s: only %d were compared", p.name, compared[p.name])
		}
	}
}

// planOnly gives the text of a plan, but for what proves profiles that are bound together: which sets of suppliers are settled first depends on who is done first.
func planOnly(t *testing.T, of *plan.Document) string {
	t.Helper()
	d := *of
	d.Together = slices.Clone(d.Together)
	for i := range d.Together {
		d.Together[i].Cases, d.Together[i].Cuts = nil, nil
	}
	var text strings.Builder
	if err := d.Encode(&text); err != nil {
		t.Fatal(err)
	}
	return text.String()
}

type property struct {
	name    string
	workers int
	mayHelp bool // there may be a plan now where there was none
	alike   bool // the plan is the same to the letter, but for its proof
	// change gives the workshop in another form, and between what its cost must lie, by what it was; nil: it has no such form.
	change func(*testing.T, *model.Workshop, *rand.Rand) (other *model.Workshop, least, most func(model.Money) model.Money)
}

func same(was model.Money) model.Money  { return was }
func nothing(model.Money) model.Money   { return -model.MaxMoney }
func twice(was model.Money) model.Money { return 2 * was }

var properties = []property{
	{"on four cores", 4, false, true, func(_ *testing.T, w *model.Workshop, _ *rand.Rand) (*model.Workshop, func(model.Money) model.Money, func(model.Money) model.Money) {
		return w, same, same
	}},
	{"rows in another order", 1, false, false, func(_ *testing.T, w *model.Workshop, r *rand.Rand) (*model.Workshop, func(model.Money) model.Money, func(model.Money) model.Money) {
		o := *w
		o.Profiles, o.Offers, o.Rack, o.Jobs, o.Suppliers = slices.Clone(w.Profiles), slices.Clone(w.Offers), slices.Clone(w.Rack), slices.Clone(w.Jobs), slices.Clone(w.Suppliers)
		r.Shuffle(len(o.Profiles), func(i, j int) { o.Profiles[i], o.Profiles[j] = o.Profiles[j], o.Profiles[i] })
		r.Shuffle(len(o.Offers), func(i, j int) { o.Offers[i], o.Offers[j] = o.Offers[j], o.Offers[i] })
		r.Shuffle(len(o.Rack), func(i, j int) { o.Rack[i], o.Rack[j] = o.Rack[j], o.Rack[i] })
		r.Shuffle(len(o.Jobs), func(i, j int) { o.Jobs[i], o.Jobs[j] = o.Jobs[j], o.Jobs[i] })
		slices.Reverse(o.Suppliers)
		return &o, same, same
	}},
	{"a stick more at no value", 1, true, false, func(_ *testing.T, w *model.Workshop, r *rand.Rand) (*model.Workshop, func(model.Money) model.Money, func(model.Money) model.Money) {
		o := *w
		p := w.Profiles[r.IntN(len(w.Profiles))]
		o.Rack = append(slices.Clone(w.Rack), model.Stick{ID: "more", Profile: p.Name, Length: model.Length(4+r.IntN(20)) * 100 * mm, Value: model.OptionalMoney{Given: true}})
		return &o, nothing, same
	}},
	{"all money doubled", 1, false, false, func(_ *testing.T, w *model.Workshop, _ *rand.Rand) (*model.Workshop, func(model.Money) model.Money, func(model.Money) model.Money) {
		if w.Defaults.OffcutShare != 0 || w.Defaults.RackShare != 0 { // shares of prices are rounded
			return nil, nil, nil
		}
		o := *w
		o.Offers, o.Rack, o.Suppliers = slices.Clone(w.Offers), slices.Clone(w.Rack), slices.Clone(w.Suppliers)
		for i := range o.Offers {
			o.Offers[i].Price *= 2
		}
		for i := range o.Rack {
			o.Rack[i].Value.Amount *= 2
		}
		for i := range o.Suppliers {
			o.Suppliers[i].Delivery *= 2
			o.Suppliers[i].LeastMoney.Amount *= 2
			o.Suppliers[i].FreeFrom.Amount *= 2
		}
		return &o, twice, twice
	}},
	{"all lengths tripled", 1, false, false, func(_ *testing.T, w *model.Workshop, _ *rand.Rand) (*model.Workshop, func(model.Money) model.Money, func(model.Money) model.Money) {
		for _, j := range w.Jobs {
			for _, f := range j.Frames {
				if f.Rings[0].Size.Shape.Sides != 4 { // what is irrational is rounded
					return nil, nil, nil
				}
			}
		}
		return tripled(w), same, same
	}},
}

// tripled is a workshop three times as long, wide and deep.
func tripled(w *model.Workshop) *model.Workshop {
	o := *w
	m := &o.Machine
	for _, l := range []*model.Length{&m.Overrun, &m.Kerf, &m.Shave, &m.HeadTrim, &m.TailTrim, &m.Bite, &m.FinishingBite} {
		*l *= 3
	}
	o.Profiles = slices.Clone(w.Profiles)
	for i := range o.Profiles {
		p := &o.Profiles[i]
		for _, l := range []*model.Length{&p.Width, &p.Rebate, &p.HeadTrim, &p.TailTrim, &p.Keep, &p.Repeat} {
			*l *= 3
		}
	}
	o.Offers = slices.Clone(w.Offers)
	for i := range o.Offers {
		o.Offers[i].Length *= 3
		o.Offers[i].Longest *= 3
	}
	o.Rack = slices.Clone(w.Rack)
	for i := range o.Rack {
		s := &o.Rack[i]
		s.Length *= 3
		s.Damage = slices.Clone(s.Damage)
		for n := range s.Damage {
			s.Damage[n].From *= 3
			s.Damage[n].To *= 3
		}
	}
	o.Jobs = slices.Clone(w.Jobs)
	for j := range o.Jobs {
		o.Jobs[j].Frames = slices.Clone(w.Jobs[j].Frames)
		for f := range o.Jobs[j].Frames {
			rings := slices.Clone(w.Jobs[j].Frames[f].Rings)
			for n := range rings {
				rings[n].Allowance *= 3
				rings[n].Size.Width *= 3
				rings[n].Size.Height *= 3
			}
			o.Jobs[j].Frames[f].Rings = rings
		}
	}
	return &o
}

// bound makes two suppliers of all there are, and has both ask much of an order, so that profiles are bound together.
func bound(w *model.Workshop, r *rand.Rand) {
	w.Suppliers = nil
	for _, name := range []string{"Hill", "Dale"} {
		w.Suppliers = append(w.Suppliers, model.Supplier{Name: name, Delivery: model.Money(r.IntN(4) * 100), LeastSticks: r.IntN(5) * r.IntN(2),
			LeastMoney: model.OptionalMoney{Amount: model.Money(1 + r.IntN(4000)), Given: r.IntN(3) > 0},
			FreeFrom:   model.OptionalMoney{Amount: model.Money(1 + r.IntN(5000)), Given: r.IntN(3) == 0}})
	}
	for i := range w.Offers {
		if w.Offers[i].Supplier == "Moor" {
			w.Offers[i].Supplier = "Hill"
		}
	}
}

// TestForgedTogether does as TestForged with workshops whose profiles are bound together by what suppliers ask.
func TestForgedTogether(t *testing.T) {
	tried := 0
	for seed := *first; tried < *forged/2; seed++ {
		w, r, _ := draw(seed)
		bound(w, r)
		if w.Check() != nil {
			continue
		}
		d := planned(t, w, planner.Options{})
		if d == nil || len(d.Together) == 0 {
			continue
		}
		tried += shoptest.ValuesCount(t, w, d, func() bool { return r.IntN(12) == 0 })
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	t.Logf("%d spoilt", tried)
}

// TestForged spoils plans of random workshops, one value at a time, some values of each: none may go unseen. What is harmless is said with
// shoptest.EveryValueCounts.
func TestForged(t *testing.T) {
	tried, together := 0, 0
	for seed := *first; tried < *forged; seed++ {
		w, r, legal := draw(seed)
		if !legal {
			continue
		}
		d := planned(t, w, planner.Options{})
		if d == nil {
			continue
		}
		if len(d.Together) > 0 {
			together++
		}
		tried += shoptest.ValuesCount(t, w, d, func() bool { return r.IntN(12) == 0 })
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	t.Logf("%d spoilt, of which %d are plans of profiles together", tried, together)
}

// TestEitherPartFirst: of a stick with damage between two sides either may be cut first, and of two sides of one part only the one nearer the head.
func TestEitherPartFirst(t *testing.T) {
	w, _, _ := draw(3012000185)
	d := planned(t, w, planner.Options{})
	cuts := d.Profiles[1].Run.Cuts
	for _, c := range []struct {
		at   int
		good bool
	}{{4, true}, {1, false}} {
		cuts[c.at], cuts[c.at+1] = cuts[c.at+1], cuts[c.at]
		if found := shoptest.MustAudit(t, w, d); (len(found) == 0) != c.good {
			t.Errorf("cuts %d and %d exchanged: %v", c.at, c.at+1, found)
		}
		cuts[c.at], cuts[c.at+1] = cuts[c.at+1], cuts[c.at]
	}
}
