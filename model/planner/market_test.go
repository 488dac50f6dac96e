package planner_test

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

func TestMarket(t *testing.T) {
	w, d := shoptest.MarketPlan(t)
	// ash and slip from Dale: 2 · 10.00 + 2 · 3.00 + 5.00; elm a bundle at 27.00 (Moor's offer has ended); one yew frame from lot
	// a, the other from the parts of y4, whose lot is its own
	want := "Dale ash-20 2×1 at 1000, 0 spare; Dale slip-12 2×1 at 300, 0 spare; Hill elm-20 1×3 at 2700, 2 spare"
	if got := bought(d); got != want {
		t.Errorf("bought %q, want %q", got, want)
	}
	if d.On != "2027-01-05" || len(d.Together) != 1 || d.Profiles[0].Together != 1 || d.Profiles[1].Together != 1 || d.Profiles[2].Together != 0 {
		t.Errorf("on %q, together %+v", d.On, d.Together)
	}
	holds(t, w, d)
}

// marketSpoils are ways to spoil the market's plan, and the code of a finding that each must give.
var marketSpoils = []spoilt{
	{"a day when an offer had not ended", func(d *plan.Document) { d.On = "2027-01-04" }, "problem", ""},
	{"no day", func(d *plan.Document) { d.On = "" }, "header", "the day of ordering is missing"},
	{"no day that is one", func(d *plan.Document) { d.On = "now" }, "header", "is no date"},
	{"a bundle broken", func(d *plan.Document) { d.Buy[2].Count = 2 }, "buy", "no whole bundles of 3"},
	{"a bundle too many", func(d *plan.Document) { d.Buy[2].Count += 3 }, "buy", "the price is 24.00 EUR, not 27.00 EUR"},
	{"a spare stick hidden", func(d *plan.Document) { d.Buy[2].Spare-- }, "buy", "2 sticks worth"},
	{"a spare stick worth more", func(d *plan.Document) { d.Buy[2].SpareValue++ }, "buy", "are to spare"},
	{"the price of a greater quantity", func(d *plan.Document) { d.Buy[2].Price, d.Buy[2].Cost = 2400, 2400 }, "buy", "the price is 27.00 EUR, not 24.00 EUR"},
	{"delivery forgotten", func(d *plan.Document) { d.Orders[0].Delivery = 0 }, "orders", "delivery"},
	{"free delivery invented", func(d *plan.Document) { d.Orders[0].FreeFrom = 1 }, "orders", "free from"},
	{"an order forgotten", func(d *plan.Document) { d.Orders = d.Orders[1:] }, "orders", "there are orders to"},
	{"a least order played down", func(d *plan.Document) { d.Orders[0].LeastSticks = 2 }, "orders", "it should be"},
	{"an order too small", func(d *plan.Document) {
		d.Buy = slices.Delete(d.Buy, 1, 2)
	}, "terms", "less than the supplier's least order"},
	{"an order of too few sticks", func(d *plan.Document) { d.Buy = slices.Delete(d.Buy, 1, 2) }, "terms", "fewer than the supplier's least order"},
	{"a share of delivery moved", func(d *plan.Document) { d.Profiles[0].Figures.Delivery--; d.Profiles[1].Figures.Delivery++ }, "figures", "delivery"},
	{"a bundled stick at another price", func(d *plan.Document) { d.Profiles[2].Sticks[0].Cost++ }, "price", "offers no stick"},
	{"a bundled stick sold singly", func(d *plan.Document) { d.Profiles[2].Sticks[0].Bundle = 0 }, "price", "offers no stick"},
	{"an offcut worth more", func(d *plan.Document) { d.Profiles[2].Sticks[0].Left.Value++ }, "left", "is worth"},
	{"a credit invented", func(d *plan.Document) { d.Profiles[2].Figures.Credit++ }, "figures", "worth of kept offcuts"},
	{"spares worth more in sum", func(d *plan.Document) { d.Profiles[2].Figures.Spare++ }, "figures", "worth of sticks to spare"},
	{"a longer longest offcut", func(d *plan.Document) { d.Profiles[2].Figures.LongestOffcut++ }, "figures", "longest offcut"},
	{"damage forgotten", func(d *plan.Document) { shoptest.DamagedStick(d).Damage = nil }, "damage", "not that of the stick on the rack"},
	{"a side in the damage", func(d *plan.Document) {
		s := shoptest.DamagedStick(d)
		s.Sides[1].Start += 30 * mm
	}, "position", "later than it should"},
	{"a side too many before the damage", func(d *plan.Document) {
		s := shoptest.DamagedStick(d)
		third := s.Sides[2]
		third.Start = s.Sides[1].Start + s.Sides[1].Takes
		s.Sides[2] = third
	}, "damage", "into the damage that starts at 900 mm"},
	{"a part's offcut forgotten", func(d *plan.Document) { shoptest.DamagedStick(d).Between = nil }, "left", "sound parts"},
	{"another lot", func(d *plan.Document) { shoptest.LotStick(d).Lot = "b" }, "stick", "is of lot"},
	{"sides of two frames exchanged", func(d *plan.Document) {
		a, b := &shoptest.LotStick(d).Sides[0], &shoptest.DamagedStick(d).Sides[0]
		for i := range shoptest.DamagedStick(d).Sides {
			if shoptest.DamagedStick(d).Sides[i].LongPoint == a.LongPoint {
				b = &shoptest.DamagedStick(d).Sides[i]
			}
		}
		a.Job, b.Job, a.Frame, b.Frame, a.Letter, b.Letter = b.Job, a.Job, b.Frame, a.Frame, b.Letter, a.Letter
	}, "matching", "not of one lot"},
	{"bound too good together", func(d *plan.Document) { d.Together[0].Bound++ }, "bound", "more than the cost"},
	{"a case too good", func(d *plan.Document) { d.Together[0].Cases[0].Bound += 100 }, "bound", "better than what the certificate proves"},
	{"the cases forgotten", func(d *plan.Document) { d.Together[0].Cases = d.Together[0].Cases[:0] }, "bound", "better than what the certificate proves"},
	{"a case of another profile", func(d *plan.Document) { c := d.Together[0].Cases; c[0].Cuts = c[len(c)-1].Cuts }, "problem", ""},
	{"a case without an offer", func(d *plan.Document) {
		for n := range d.Together[0].Cases {
			d.Together[0].Cases[n].Open = []string{}
		}
	}, "problem", ""},
	{"a profile that stands apart", func(d *plan.Document) { d.Profiles[0].Together = 0 }, "together", "group 0 instead of 1"},
	{"nothing together", func(d *plan.Document) { d.Together = nil }, "together", "not planned together"},
	{"a profile less together", func(d *plan.Document) { t := &d.Together[0]; t.Profiles = t.Profiles[:1] }, "together", "bind ash-20, slip-12"},
	{"a supplier less together", func(d *plan.Document) { d.Together[0].Suppliers = []string{} }, "together", "the suppliers are"},
	{"too cheap together", func(d *plan.Document) { d.Together[0].Cost-- }, "figures", "cost: "},
	{"a break taken out of the problem", func(d *plan.Document) {
		cutsOf(d, 2, func(c map[string]any) { c["choices"] = c["choices"].([]any)[:1] })
	}, "problem", "choices in the certificate's problem"},
	{"a bundle not bought in the certificate", func(d *plan.Document) { cutsOf(d, 2, func(c map[string]any) { c["chosen"].([]any)[0] = 0 }) }, "plan", "is made 0 times in its plan"},
	{"a credit raised in the certificate", func(d *plan.Document) {
		cutsOf(d, 2, func(c map[string]any) {
			c["kinds"].([]any)[0].(map[string]any)["credit"].(map[string]any)["num"] = 999999
		})
	}, "problem", "credit"},
	{"a lot less strict in the certificate", func(d *plan.Document) {
		cutsOf(d, 3, func(c map[string]any) { delete(c["kinds"].([]any)[0].(map[string]any), "only") })
	}, "problem", "only items"},
	{"fewer frames to match in the certificate", func(d *plan.Document) {
		cutsOf(d, 3, func(c map[string]any) { c["rows"].([]any)[0].(map[string]any)["least"] = 1 })
	}, "problem", "must come to 1 instead of 2"},
}

// cutsOf changes a profile's cuts document.
func cutsOf(d *plan.Document, profile int, change func(map[string]any)) {
	var cuts map[string]any
	if err := json.Unmarshal(d.Profiles[profile].Cuts, &cuts); err != nil {
		panic(err)
	}
	change(cuts)
	data, err := json.Marshal(cuts)
	if err != nil {
		panic(err)
	}
	d.Profiles[profile].Cuts = data
}

func TestSpoiledMarket(t *testing.T) {
	w, good := shoptest.MarketPlan(t)
	eachIsFound(t, w, good, marketSpoils)
}

// spoilt is a way to spoil a plan, and the code of a finding that it must give, with these words.
type spoilt struct {
	name  string
	spoil func(*plan.Document)
	code  string
	what  string
}

// eachIsFound spoils a good plan in each way, and holds that the audit finds it.
func eachIsFound(t *testing.T, w *model.Workshop, good *plan.Document, ways []spoilt) {
	for _, tt := range ways {
		t.Run(tt.name, func(t *testing.T) {
			bad := shoptest.CopyOf(t, good)
			tt.spoil(bad)
			findings := shoptest.MustAudit(t, w, bad)
			for _, f := range findings {
				if f.Code == tt.code && strings.Contains(f.What, tt.what) {
					return
				}
			}
			t.Errorf("no finding %s with %q, only %v", tt.code, tt.what, findings)
		})
	}
}

// TestSpoiledPair parts the pairs of a frame on one stick. With two stops it is cut long, short, long, short or the like; with one,
// its equal sides come one after the other, and it is only together that they must lie.
func TestSpoiledPair(t *testing.T) {
	w := shoptest.Market()
	w.Machine.Limits.Stops = 2
	good := shoptest.MustMake(t, w, planner.Options{On: shoptest.DayOf("2027-01-05")})
	if findings := shoptest.MustAudit(t, w, good); len(findings) > 0 {
		t.Fatalf("the document is not good to begin with: %v", findings)
	}
	shoptest.HoldRun(t, w, &good.Profiles[2])
	bad := shoptest.CopyOf(t, good)
	s := bad.Profiles[2].Sticks[0].Sides // of pairs A B and C D
	other := slices.IndexFunc(s, func(one plan.Side) bool { return s[0].Letter != one.Letter && s[0].LongPoint == one.LongPoint })
	s[0].Letter, s[other].Letter = s[other].Letter, s[0].Letter
	shoptest.WantFinding(t, w, bad, "matching", "do not lie next to each other")

	w.Machine.Limits.Stops = 1
	together := shoptest.MustMake(t, w, planner.Options{On: shoptest.DayOf("2027-01-05")})
	if findings := shoptest.MustAudit(t, w, together); len(findings) > 0 {
		t.Fatalf("with one stop: %v", findings)
	}
	p := &together.Profiles[2]
	shoptest.HoldRun(t, w, p)
	if s := p.Sticks[0].Sides; len(p.Sticks) != 1 || s[0].LongPoint != s[1].LongPoint || s[2].LongPoint != s[3].LongPoint || p.Run.Settings != 2 {
		t.Errorf("with one stop: %d settings, sides %+v", p.Run.Settings, s)
	}
}

// TestUncheckedTogether: what the verifier has not looked at proves nothing, neither of a profile alone nor of profiles that terms bind together.
func TestUncheckedTogether(t *testing.T) {
	o := planner.Options{On: shoptest.DayOf("2027-01-05"), Verify: func(context.Context, []byte) (string, int64, error) { return "", 0, plan.ErrUnchecked }}
	d, err := planner.Make(t.Context(), shoptest.Market(), o)
	if err != nil || len(d.Together) == 0 {
		t.Fatal("nothing is planned together", err)
	}
	for _, g := range d.Together {
		if g.Grade != plan.Open || g.Bound == g.Cost || len(g.Cases) > 0 {
			t.Errorf("together: %s at %d, bound %d, %d cases", g.Grade, g.Cost, g.Bound, len(g.Cases))
		}
	}
	for _, p := range d.Profiles {
		if p.Grade != plan.Open || !strings.Contains(p.Reason, "could not be checked") {
			t.Errorf("%s: %s, %s", p.Name, p.Grade, p.Reason)
		}
	}
}
