package audit_test

import (
	"context"
	"errors"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

const mm = model.Millimetre

// spoils are ways to spoil a good document of the fair workshop, and the code of a finding that each must give. Sticks
// are found by what they are, for which of several cheapest plans the solver gives is not for a test to say.
var spoils = []struct {
	name  string
	spoil func(*plan.Document)
	code  string
	what  string // in a finding of that code
}{
	{"a side dropped", func(d *plan.Document) { s := newStick(d); s.Sides = s.Sides[:len(s.Sides)-1] }, "side", "it is cut from no stick"},
	{"a side fewer in the figures too", func(d *plan.Document) {
		s := newStick(d)
		s.Sides = s.Sides[:len(s.Sides)-1]
		d.Profiles[0].Figures.Sides--
	}, "figures", "sides and the jobs ask for"},
	{"a side twice", func(d *plan.Document) { s := newStick(d); s.Sides[1] = s.Sides[0] }, "side", "it is cut twice"},
	{"a side nobody asked for", func(d *plan.Document) { newStick(d).Sides[0].Copy = 9 }, "side", "no job asks for this side"},
	{"a side too short", func(d *plan.Document) { newStick(d).Sides[0].LongPoint -= mm }, "size", "the job asks for"},
	{"a wrong measure", func(d *plan.Document) { newStick(d).Sides[0].Measure += mm }, "size", "the job asks for"},
	{"a wrong mitre", func(d *plan.Document) { newStick(d).Sides[0].Angle = 30_000_000 }, "size", "the job asks for"},
	{"a shave forgotten", func(d *plan.Document) { newStick(d).Sides[0].Takes -= 2 * mm }, "takes", "of the stick, not"},
	{"two sides that overlap", func(d *plan.Document) { newStick(d).Sides[1].Start -= 1 }, "position", "too near the head or the side before"},
	{"a hole between two sides", func(d *plan.Document) { newStick(d).Sides[1].Start += mm }, "position", "1 mm later than it should"},
	{"a stick too full", func(d *plan.Document) {
		from, to := newStick(d), rackStick(d)
		to.Sides = append(to.Sides, from.Sides...)
	}, "too-full", "more than its 1500 mm"},
	{"a head trim forgotten", func(d *plan.Document) { d.Profiles[0].HeadTrim = 10 * mm }, "trim", "instead of 20 mm and 20 mm"},
	{"a stick of the rack used twice", func(d *plan.Document) {
		p := &d.Profiles[0]
		p.Sticks = append(p.Sticks, *rackStick(d))
	}, "stick", "it is used twice"},
	{"a stick that is not on the rack", func(d *plan.Document) { rackStick(d).ID = "r99" }, "stick", "no such stick"},
	{"a stick of another profile", func(d *plan.Document) { rackStick(d).ID = "offcut 1" }, "stick", "is of profile slip-12"},
	{"a stick of the rack made longer", func(d *plan.Document) { rackStick(d).Length += mm }, "stick", "1501 mm long in the plan and 1500 mm on the rack"},
	{"a stick of the rack made cheaper", func(d *plan.Document) { rackStick(d).Cost-- }, "price", "its value is"},
	{"a stick moved on the rack", func(d *plan.Document) { rackStick(d).Place = "cellar" }, "stick", `its place is "cellar"`},
	{"a new stick made longer", func(d *plan.Document) { newStick(d).Length += mm }, "price", "offers no stick"},
	{"a new stick made cheaper", func(d *plan.Document) { newStick(d).Cost-- }, "price", "offers no stick"},
	{"a new stick from the dearer supplier", func(d *plan.Document) { s := newStick(d); s.Supplier, s.Cost = "Dale", 1300 }, "price", "offers the same stick for 1.00 EUR less"},
	{"a stick of no length", func(d *plan.Document) { newStick(d).Length = 0 }, "too-full", "no part of it can be cut from"},
	{"a new stick renamed", func(d *plan.Document) { newStick(d).ID = "new 77" }, "stick", "should be called"},
	{"a stick with nothing on it", func(d *plan.Document) { newStick(d).Sides = nil }, "stick", "nothing is cut from it"},
	{"a stick from nowhere", func(d *plan.Document) { newStick(d).From = "loft" }, "stick", "neither the rack nor a supplier"},
	{"an offcut made longer", func(d *plan.Document) { newStick(d).Left.Length += mm }, "left", "is left of it, not"},
	{"waste called an offcut", func(d *plan.Document) { l := &newStick(d).Left; l.Becomes, l.ID = plan.Kept, "offcut 9" }, "left", "should be waste, not kept"},
	{"a buy list with a stick less", func(d *plan.Document) { d.Buy[0].Count-- }, "buy", "the plan uses"},
	{"a line of the buy list left out", func(d *plan.Document) { d.Buy = d.Buy[1:] }, "buy", "left out"},
	{"a line of the buy list twice", func(d *plan.Document) { d.Buy = append(d.Buy, d.Buy[0]) }, "buy", "the line is there twice"},
	{"a wrong price in the buy list", func(d *plan.Document) { d.Buy[0].Price++ }, "buy", "do not make"},
	{"a job forgotten in the buy list", func(d *plan.Document) { d.Buy[0].Jobs = d.Buy[0].Jobs[1:] }, "buy", "it is for jobs"},
	{"the buy list out of order", func(d *plan.Document) { d.Buy[0], d.Buy[1] = d.Buy[1], d.Buy[0] }, "order", "supplier, profile and length"},
	{"a cost too low", func(d *plan.Document) { d.Profiles[0].Figures.Cost-- }, "figures", "cost: "},
	{"a yield too good", func(d *plan.Document) { d.Profiles[0].Figures.Yield++ }, "yield", "millionths instead of"},
	{"waste played down", func(d *plan.Document) { d.Profiles[0].Figures.Waste -= mm; d.Total.Figures.Waste -= mm }, "figures", "waste: "},
	{"a share moved to another job", func(d *plan.Document) { j := d.Profiles[0].Jobs; j[0].Cost--; j[1].Cost++ }, "share", ""},
	{"a share kept back", func(d *plan.Document) { d.Profiles[0].Jobs[0].Cost-- }, "share", "the shares add up to"},
	{"a job without a share", func(d *plan.Document) { p := &d.Profiles[0]; p.Jobs = p.Jobs[1:] }, "share", "no share of its cost"},
	{"a job's cost raised", func(d *plan.Document) { d.Jobs[0].Cost++ }, "job", "its shares add up to"},
	{"a job's day moved", func(d *plan.Document) { d.Jobs[0].Due = "2027-02-01" }, "job", "the workshop says"},
	{"a job left out of the costs", func(d *plan.Document) { d.Jobs = d.Jobs[1:] }, "job", "is left out"},
	{"a bound too good", func(d *plan.Document) { d.Profiles[0].Bound++ }, "bound", "better than what the certificate proves"},
	{"a gap hidden", func(d *plan.Document) { d.Profiles[0].Gap++ }, "bound", "the gap is"},
	{"a total too low", func(d *plan.Document) { d.Total.Figures.Purchases-- }, "figures", "purchases: "},
	{"a total graded too low", func(d *plan.Document) { d.Total.Grade = plan.Open }, "grade", "the worst of the profiles'"},
	{"proven with an excuse", func(d *plan.Document) { d.Profiles[0].Reason = "in a hurry" }, "grade", "the reason why"},
	{"first-fit made to look bad", func(d *plan.Document) {
		d.Profiles[0].FirstFit.Figures.NewSticks++
		d.Total.FirstFit.Figures.NewSticks++
	}, "figures", "new sticks: "},
	{"first-fit made to fail", func(d *plan.Document) { d.Profiles[0].FirstFit.LeftOver = 2 }, "first-fit", "find no stick, not 2"},
	{"a profile left out", func(d *plan.Document) { d.Profiles = d.Profiles[:1] }, "profile", "it has no plan"},
	{"a profile twice", func(d *plan.Document) { d.Profiles = append(d.Profiles, d.Profiles[0]) }, "profile", "planned twice"},
	{"profiles out of order", func(d *plan.Document) { p := d.Profiles; p[0], p[1] = p[1], p[0] }, "order", "the order of the workshop's table"},
	{"a warning suppressed", func(d *plan.Document) { d.Profiles[0].Warnings = nil }, "warnings", "safe to hold"},
	{"no finishing bite", func(d *plan.Document) { d.Profiles[0].Bites.Finishing = false }, "bites", "is false instead of true"},
	{"a stroke too few", func(d *plan.Document) { d.Profiles[0].Bites.Strokes-- }, "bites", " strokes instead of "},
	{"a bite too large", func(d *plan.Document) { d.Profiles[0].Bites.Advances[0] += mm }, "bites", "the bites are"},
	{"a profile made narrower", func(d *plan.Document) { d.Profiles[0].Width -= mm }, "profile", "19 mm wide"},
	{"the jobs of fewer days", func(d *plan.Document) { d.Until = "2027-01-05" }, "side", "no job asks for this side"},
	{"another workshop", func(d *plan.Document) { d.Workshop = "Other" }, "header", "the workshop's is"},
	{"another currency", func(d *plan.Document) { d.Currency.Code = "USD" }, "header", "the workshop's is"},
	{"no date", func(d *plan.Document) { d.Until = "soon" }, "header", "is no date"},
	{"a profile that is not there", func(d *plan.Document) { d.Only = []string{"elm-9"} }, "header", "does not have"},
	{"no certificate", func(d *plan.Document) { d.Profiles[0].Cuts = []byte("{}") }, "rejected", "the checker rejects it"},
	{"the certificate of another profile", func(d *plan.Document) { d.Profiles[0].Cuts = d.Profiles[1].Cuts }, "problem", "too few in the certificate's problem"},
	{"a certificate cut short", func(d *plan.Document) { c := d.Profiles[0].Cuts; d.Profiles[0].Cuts = c[:len(c)/2] }, "cuts", "cannot be read"},
	{"a certificate for an easier problem", func(d *plan.Document) { shoptest.Change(d, "items", "demand", -1) }, "problem", "1 too few in the certificate's problem"},
	{"a certificate for another plan", func(d *plan.Document) { shoptest.Change(d, "patterns", "count", 1) }, "plan", "sticks of its plan are not in this one"},
	{"a certificate of another cost", func(d *plan.Document) { shoptest.Change(d, "", "cost", -1) }, "plan", "it is about a plan for"},
}

// newStick is a bought stick of the first profile that holds several sides and whose rest is waste.
func newStick(d *plan.Document) *plan.Stick { return stickFrom(d, plan.Bought, 3000*mm) }

// rackStick is a stick of the first profile that is 1500 mm long on the rack.
func rackStick(d *plan.Document) *plan.Stick { return stickFrom(d, plan.FromRack, 1500*mm) }

func stickFrom(d *plan.Document, from string, length model.Length) *plan.Stick {
	for i, s := range d.Profiles[0].Sticks {
		if s.From == from && s.Length == length && len(s.Sides) > 1 && s.Left.Becomes == plan.Waste {
			return &d.Profiles[0].Sticks[i]
		}
	}
	panic("the fair workshop's plan has no such stick")
}

func TestSpoiledDocuments(t *testing.T) {
	good := shoptest.MustMake(t, shoptest.Fair(), planner.Options{})
	if findings := shoptest.MustAudit(t, shoptest.Fair(), good); len(findings) > 0 {
		t.Fatalf("the document is not good to begin with: %v", findings)
	}
	for _, tt := range spoils {
		t.Run(tt.name, func(t *testing.T) {
			bad := shoptest.CopyOf(t, good)
			tt.spoil(bad)
			findings := shoptest.MustAudit(t, shoptest.Fair(), bad)
			for _, f := range findings {
				if f.Code == tt.code && strings.Contains(f.What, tt.what) {
					return
				}
			}
			t.Errorf("no finding %s with %q, only %v", tt.code, tt.what, findings)
		})
	}
}

// TestChangedWorkshop audits a good plan against a workshop that is no longer the same.
func TestChangedWorkshop(t *testing.T) {
	good := shoptest.MustMake(t, shoptest.Fair(), planner.Options{})
	for _, tt := range []struct {
		name   string
		change func(*model.Workshop)
		code   string
	}{
		{"a frame more", func(w *model.Workshop) { w.Jobs[0].Frames[0].Quantity = 2 }, "side"},
		{"a frame grown", func(w *model.Workshop) { w.Jobs[0].Frames[0].Rings[0].Size.Width += mm }, "size"},
		{"a stick gone from the rack", func(w *model.Workshop) { w.Rack = append(w.Rack[:1:1], w.Rack[2:]...) }, "stick"},
		{"a dearer offer", func(w *model.Workshop) { w.Offers[0].Price = 1201 }, "price"},
		{"a cheaper offer", func(w *model.Workshop) { w.Offers[1].Price = 1199 }, "price"},
		{"a longer stick on offer", func(w *model.Workshop) {
			w.Offers = append(w.Offers, model.Offer{Supplier: "Hill", Profile: "ash-20", Length: 4000 * mm, Price: 1500})
		}, "problem"},
		{"a greater shave", func(w *model.Workshop) { w.Machine.Shave = 3 * mm }, "takes"},
		{"offcuts kept", func(w *model.Workshop) { w.Profiles[0].Keep = 10 * mm }, "left"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := shoptest.Fair()
			tt.change(w)
			for _, f := range shoptest.MustAudit(t, w, good) {
				if f.Code == tt.code {
					return
				}
			}
			t.Errorf("no finding %s", tt.code)
		})
	}
}

// TestOverrated audits plans whose certificates prove less than they say.
func TestOverrated(t *testing.T) {
	d := shoptest.MustMake(t, shoptest.Tiny(), planner.Options{})
	proves := func(grade string, lower int64) plan.Verifier {
		return func(context.Context, []byte) (string, int64, error) { return grade, lower, nil }
	}
	for _, tt := range []struct {
		name   string
		verify plan.Verifier
		code   string
	}{
		{"only searched", proves("searched", 1250), "grade"},
		{"a lower bound", proves("proven", 1249), "bound"},
		{"never checked", nil, "unchecked"},
	} {
		findings, err := audit.Check(t.Context(), shoptest.Tiny(), d, shoptest.Tools(tt.verify))
		if err != nil {
			t.Fatal(err)
		}
		if len(findings) != 1 || findings[0].Code != tt.code {
			t.Errorf("%s: want one finding %s, got %v", tt.name, tt.code, findings)
		}
	}
	unfinished := func(context.Context, []byte) (string, int64, error) { return "", 0, plan.ErrUnchecked }
	if _, err := audit.Check(t.Context(), shoptest.Tiny(), d, shoptest.Tools(unfinished)); !errors.Is(err, plan.ErrUnchecked) {
		t.Errorf("a check that did not finish must be an error, got %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := audit.Check(ctx, shoptest.Tiny(), d, shoptest.Tools(shoptest.Checker)); !errors.Is(err, context.Canceled) {
		t.Errorf("an interrupted audit must be an error, got %v", err)
	}
}
