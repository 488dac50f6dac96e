package planner_test

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

const mm = model.Millimetre

var update = flag.Bool("update", false, "write the golden files anew")

// TestTinyByHand plans two frames of 298 × 398 mm content with 2 mm allowance in a profile of 20 mm with a rebate of 5 mm:
//
//	rebate size 300 × 400, long points 300 + 2 · 15 = 330 and 430
//	need: long point + loss 2 · 1 + shaves 2 · 2 = 336 and 436; trims max(10, 20 · 1) = 20 each
//	a stick of 3000 has 2960 to give and all eight sides take 4 · 336 + 4 · 436 = 3088: one is not enough;
//	seven take 2752, and the eighth, 336, goes on the rack's 400, which has 360 to give.
//	So the least cost is one stick at 12.00 and the rack's at 0.50.
//	left: 3000 − 20 − 2752 = 228, kept (150 or more), and 400 − 20 − 336 = 44, waste
//	used up: 3400 − 228 = 3172; long points 4 · 330 + 4 · 430 = 3040; yield 3040 / 3172 = 0.958385…
//	each job takes 1544 of 3088: half of 12.50
func TestTinyByHand(t *testing.T) {
	d := shoptest.MustMake(t, shoptest.Tiny(), planner.Options{})
	if len(d.Profiles) != 1 || len(d.Profiles[0].Sticks) != 2 {
		t.Fatalf("want one profile and two sticks, got %+v", d.Profiles)
	}
	p := d.Profiles[0]
	want := plan.Figures{Sides: 8, RackSticks: 1, NewSticks: 1, RackValue: 50, Purchases: 1200, Cost: 1250,
		LongPoints: 3040 * mm, UsedUp: 3172 * mm, Kept: 228 * mm, Waste: 132 * mm, LongestOffcut: 228 * mm, Yield: 958385}
	if diff := cmp.Diff(want, p.Figures); diff != "" {
		t.Errorf("figures (-want +got):\n%s", diff)
	}
	if p.Grade != plan.Proven || p.Bound != 1250 || p.Gap != 0 || p.Reason != "" {
		t.Errorf("grade %s, bound %d, gap %d, reason %q", p.Grade, p.Bound, p.Gap, p.Reason)
	}
	if p.HeadTrim != 20*mm || p.TailTrim != 20*mm {
		t.Errorf("trims %s and %s", p.HeadTrim, p.TailTrim)
	}
	if diff := cmp.Diff([]model.Length{12 * mm, 6 * mm, 2 * mm}, p.Bites.Advances); diff != "" {
		t.Errorf("bites (-want +got):\n%s", diff)
	}
	var starts, longPoints []model.Length
	for _, side := range p.Sticks[0].Sides {
		starts = append(starts, side.Start/mm)
		longPoints = append(longPoints, side.LongPoint/mm)
	}
	if diff := cmp.Diff([]model.Length{23, 459, 895, 1331, 1767, 2103, 2439}, starts); diff != "" {
		t.Errorf("starts on the new stick in mm (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]model.Length{430, 430, 430, 430, 330, 330, 330}, longPoints); diff != "" {
		t.Errorf("long points on the new stick in mm (-want +got):\n%s", diff)
	}
	if got := p.Sticks[0].Left; got != (plan.Left{Length: 228 * mm, Becomes: plan.Kept, ID: "offcut 1"}) {
		t.Errorf("left of the new stick: %+v", got)
	}
	if s := p.Sticks[1]; s.ID != "r1" || s.Place != "bay 2" || s.Left != (plan.Left{Length: 44 * mm, Becomes: plan.Waste}) {
		t.Errorf("the rack's stick: %+v", s)
	}
	first := p.Sticks[0].Sides[0]
	if first.Job != "102" || first.Letter != "B" || first.Measure != 400*mm || first.Set != 15*mm || first.Angle != 45_000_000 || first.Takes != 436*mm {
		t.Errorf("the first side, of the job that is due first: %+v", first)
	}
	wantBuy := []plan.Purchase{{Supplier: "Hill", Profile: "ash-20", Length: 3000 * mm, Count: 1, Price: 1200, Cost: 1200, Jobs: []string{"101", "102"}}}
	if diff := cmp.Diff(wantBuy, d.Buy); diff != "" {
		t.Errorf("buy list (-want +got):\n%s", diff)
	}
	wantJobs := []plan.JobCost{{Job: "101", Due: "2027-01-08", Sides: 4, Cost: 625}, {Job: "102", Due: "2027-01-05", Sides: 4, Cost: 625}}
	if diff := cmp.Diff(wantJobs, d.Jobs); diff != "" {
		t.Errorf("jobs (-want +got):\n%s", diff)
	}
	for _, f := range shoptest.MustAudit(t, shoptest.Tiny(), d) {
		t.Errorf("audit: %s", f)
	}
}

// TestGolden keeps the whole document of the tiny workshop, whose cheapest plan is the only one, but for the certificate,
// which is the solver's to change.
func TestGolden(t *testing.T) {
	d := shoptest.MustMake(t, shoptest.Tiny(), planner.Options{Until: shoptest.DayOf("2027-01-08"), Profiles: []string{"ash-20"}})
	for i := range d.Profiles {
		d.Profiles[i].Cuts = []byte(`{}`)
	}
	var got bytes.Buffer
	if err := d.Encode(&got); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join("..", "plan", "testdata", "tiny.golden.json")
	if *update {
		if err := os.WriteFile(name, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got.String()); diff != "" {
		t.Errorf("the document changed (-want +got); if it is meant to, run the tests with -update and read what changed:\n%s", diff)
	}
}

func TestCheaperThanFirstFit(t *testing.T) {
	d := shoptest.MustMake(t, shoptest.Fair(), planner.Options{})
	if !d.Total.FirstFit.Complete || d.Total.Figures.Cost >= d.Total.FirstFit.Figures.Cost {
		t.Errorf("plan %d, first-fit %+v: the example should show a saving", d.Total.Figures.Cost, d.Total.FirstFit)
	}
	for _, f := range shoptest.MustAudit(t, shoptest.Fair(), d) {
		t.Errorf("audit: %s", f)
	}
}

func TestSelection(t *testing.T) {
	for _, tt := range []struct {
		name     string
		options  planner.Options
		jobs     string
		profiles string
	}{
		{"everything", planner.Options{}, "101 102 103 104", "ash-20 slip-12"},
		{"up to a day, that day included; a job without a day is due", planner.Options{Until: shoptest.DayOf("2027-01-06")}, "102 103 104", "ash-20 slip-12"},
		{"before all that have a day", planner.Options{Until: shoptest.DayOf("2026-12-31")}, "104", "ash-20"},
		{"one profile, named twice", planner.Options{Profiles: []string{"slip-12", "slip-12"}}, "103", "slip-12"},
		{"a profile that these jobs do not use", planner.Options{Until: shoptest.DayOf("2026-12-31"), Profiles: []string{"slip-12"}}, "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := shoptest.MustMake(t, shoptest.Fair(), tt.options)
			var jobs, profiles []string
			for _, j := range d.Jobs {
				jobs = append(jobs, j.Job)
			}
			for _, p := range d.Profiles {
				profiles = append(profiles, p.Name)
			}
			if got := strings.Join(jobs, " "); got != tt.jobs {
				t.Errorf("jobs %q, want %q", got, tt.jobs)
			}
			if got := strings.Join(profiles, " "); got != tt.profiles {
				t.Errorf("profiles %q, want %q", got, tt.profiles)
			}
			for _, f := range shoptest.MustAudit(t, shoptest.Fair(), d) {
				t.Errorf("audit: %s", f)
			}
		})
	}
}

func TestErrors(t *testing.T) {
	wide := func(w *model.Workshop) {
		w.Machine.Limits.GreatestWidth = model.OptionalLength{Length: 15 * mm, Given: true}
	}
	long := func(w *model.Workshop) {
		w.Jobs[0].Frames[0].Rings[0].Size.Height = 3500 * mm
		w.Jobs[3].Frames[0].Rings[0].Size.Width = 3100 * mm
		w.Jobs[2].Frames[0].Rings[0].Size.Height = 2600 * mm
	}
	for _, tt := range []struct {
		name    string
		spoil   func(*model.Workshop)
		options planner.Options
		kind    model.ErrorKind
		want    []string // each in the message of one error, in order
	}{
		{"sides longer than any stick, all in one go", long, planner.Options{}, model.CannotCut, []string{
			"job 101, frame a, sides B, D: the long point is 3532 mm and takes 3538 mm of a stick; the longest stick of ash-20 is 3000 mm, of which 2960 mm is usable",
			"job 104, frame big, sides A, C: the long point is 3132 mm and takes",
			"job 103, frame nest, ring 1, sides B, D: the long point is 2614 mm and takes 2620 mm of a stick; the longest stick of slip-12 is 2400 mm",
		}},
		{"only sticks that the trims use up", func(w *model.Workshop) { w.Offers[2].Length = 24 * mm; w.Rack = w.Rack[:4] }, planner.Options{}, model.CannotCut, []string{
			"profile slip-12 is wanted for 8 sides and there is no stick"}},
		{"neither rack nor offer", func(w *model.Workshop) { w.Offers = w.Offers[:2]; w.Rack = w.Rack[:3] }, planner.Options{}, model.CannotCut, []string{
			"profile slip-12 is neither on the rack nor on offer"}},
		{"the rack is too short", func(w *model.Workshop) {
			w.Offers = append(w.Offers[:2:2], w.Offers[3])
			w.Rack[4].Length = 1000 * mm
		}, planner.Options{}, model.CannotCut, []string{
			"profile slip-12: its 8 sides take 3040 mm and the rack has 976 mm that can be used, with nothing on offer: 2064 mm is missing"}},
		{"the rack is long enough, but in pieces", func(w *model.Workshop) {
			w.Offers = append(w.Offers[:2:2], w.Offers[3])
			w.Rack = append(w.Rack[:4],
				model.Stick{ID: "s1", Profile: "slip-12", Length: 1900 * mm},
				model.Stick{ID: "s2", Profile: "slip-12", Length: 900 * mm},
				model.Stick{ID: "s3", Profile: "slip-12", Length: 460 * mm},
				model.Stick{ID: "s4", Profile: "slip-12", Length: 300 * mm})
		}, planner.Options{}, model.CannotCut, []string{"the sides do not go on the sticks there are"}},
		{"an unknown profile asked for", nil, planner.Options{Profiles: []string{"elm-9"}}, model.BadUsage, []string{`no profile "elm-9"`}},
		{"a profile too wide for the machine", wide, planner.Options{Profiles: []string{"ash-20"}, Until: shoptest.DayOf("2027-01-05")}, model.CannotCut, []string{
			"job 104, frame big", "job 102, frame a"}},
		{"a workshop that is wrong in itself", func(w *model.Workshop) { w.Profiles[0].Rebate = 20 * mm }, planner.Options{}, model.BadInput, []string{"not less than its width"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := shoptest.Fair()
			if tt.spoil != nil {
				tt.spoil(w)
			}
			tt.options.Verify = shoptest.Checker
			d, err := planner.Make(t.Context(), w, tt.options)
			if d != nil {
				t.Error("there is a document all the same")
			}
			var errs model.Errors
			if !errors.As(err, &errs) {
				t.Fatalf("want model.Errors, got %v", err)
			}
			text := err.Error()
			for _, want := range tt.want {
				_, rest, found := strings.Cut(text, want)
				if !found {
					t.Errorf("%q does not come next in:\n%s", want, err)
				}
				text = rest
			}
			for _, e := range errs {
				if e.Kind != tt.kind {
					t.Errorf("kind %d, want %d: %s", e.Kind, tt.kind, e)
				}
				if e.Do == "" {
					t.Errorf("it does not say what to do: %s", e)
				}
			}
		})
	}
}

// TestExactFit cuts a side that takes all that a stick has to give, to the nanometre, and refuses one nanometre more.
func TestExactFit(t *testing.T) {
	w := shoptest.Tiny()
	w.Rack = nil
	w.Offers = w.Offers[:1]
	w.Offers[0].Length = 436*mm + 40*mm // what side B takes, and the trims
	d := shoptest.MustMake(t, w, planner.Options{})
	for _, s := range d.Profiles[0].Sticks {
		if s.Sides[0].LongPoint == 430*mm && s.Left.Length != 20*mm {
			t.Errorf("left of stick %s: %s, not the tail trim", s.ID, s.Left.Length)
		}
	}
	for _, f := range shoptest.MustAudit(t, w, d) {
		t.Errorf("audit: %s", f)
	}
	w.Offers[0].Length--
	if _, err := planner.Make(t.Context(), w, planner.Options{}); err == nil || !strings.Contains(err.Error(), "sides B, D") {
		t.Errorf("a nanometre too short: %v", err)
	}
}

// TestStopped interrupts the planning before it starts: there is still a plan, graded open.
func TestStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	d, err := planner.Make(ctx, shoptest.Fair(), planner.Options{Verify: shoptest.Checker})
	if err != nil {
		t.Fatal(err)
	}
	if d.Total.Grade != plan.Open || d.Total.Figures.Cost > d.Total.FirstFit.Figures.Cost {
		t.Errorf("grade %s, cost %d, first-fit %d", d.Total.Grade, d.Total.Figures.Cost, d.Total.FirstFit.Figures.Cost)
	}
	for _, p := range d.Profiles {
		if p.Reason == "" {
			t.Errorf("profile %s does not say why it is %s", p.Name, p.Grade)
		}
	}
	for _, f := range shoptest.MustAudit(t, shoptest.Fair(), d) {
		t.Errorf("audit: %s", f)
	}
}

func TestTimeLimit(t *testing.T) {
	d := shoptest.MustMake(t, shoptest.Fair(), planner.Options{TimeLimit: time.Nanosecond})
	for _, f := range shoptest.MustAudit(t, shoptest.Fair(), d) {
		t.Errorf("audit: %s", f)
	}
	if d.Total.Figures.Cost > d.Total.FirstFit.Figures.Cost {
		t.Errorf("cost %d, first-fit %d", d.Total.Figures.Cost, d.Total.FirstFit.Figures.Cost)
	}
}

// TestGrades shows that no plan has a better grade than the verifier gives it.
func TestGrades(t *testing.T) {
	says := func(grade string, lower int64, err error) plan.Verifier {
		return func(context.Context, []byte) (string, int64, error) { return grade, lower, err }
	}
	for _, tt := range []struct {
		name   string
		verify plan.Verifier
		grade  plan.Grade
		bound  model.Money
		reason string
	}{
		{"accepted", says("proven", 1250, nil), plan.Proven, 1250, ""},
		{"called proven with a gap", says("proven", 1249, nil), plan.Searched, 1249, "no certificate"},
		{"searched", says("searched", 1200, nil), plan.Searched, 1200, "no certificate"},
		{"open", says("open", 0, nil), plan.Open, 0, "no certificate"},
		{"no grade at all", says("splendid", 1250, nil), plan.Open, 1250, "no certificate"},
		{"not finished", says("", 0, plan.ErrUnchecked), plan.Open, 1250, "could not be checked"},
		{"nobody to check", nil, plan.Open, 1250, "has not been checked"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d, err := planner.Make(t.Context(), shoptest.Tiny(), planner.Options{Verify: tt.verify})
			if err != nil {
				t.Fatal(err)
			}
			p := d.Profiles[0]
			if p.Grade != tt.grade || p.Bound != tt.bound || p.Gap != 1250-tt.bound || !strings.Contains(p.Reason, tt.reason) || (tt.reason == "") != (p.Reason == "") {
				t.Errorf("grade %s, bound %d, gap %d, reason %q", p.Grade, p.Bound, p.Gap, p.Reason)
			}
			if d.Total.Grade != tt.grade {
				t.Errorf("total graded %s", d.Total.Grade)
			}
		})
	}
}

// TestRefusedCertificate plants refusals: the shop has a plan all the same, open, with as much of a bound as the checker accepts, and the reason.
func TestRefusedCertificate(t *testing.T) {
	why := errors.New("a dual value is too large")
	w := shoptest.Fair()
	whole := shoptest.MustMake(t, w, planner.Options{})
	// What of the checker's answers is let through.
	cases := map[string]func(string, int64) bool{
		"all that is proven":    func(grade string, _ int64) bool { return grade != "proven" },
		"all with any bound":    func(_ string, lower int64) bool { return lower == 0 },
		"everything whatsoever": func(string, int64) bool { return false },
	}
	for name, may := range cases {
		t.Run(name, func(t *testing.T) {
			d, err := planner.Make(t.Context(), w, planner.Options{On: shoptest.Today, TimeLimit: shoptest.Ample, Verify: func(ctx context.Context, cuts []byte) (string, int64, error) {
				grade, lower, err := shoptest.Checker(ctx, cuts)
				if err == nil && !may(grade, lower) {
					return "", 0, why
				}
				return grade, lower, err
			}})
			if err != nil {
				t.Fatal(err)
			}
			for n, p := range d.Profiles {
				if p.Grade != plan.Open || !strings.HasPrefix(p.Reason, planner.RefusedCertificate) || !strings.Contains(p.Reason, why.Error()) {
					t.Errorf("%s: %s, reason %q", p.Name, p.Grade, p.Reason)
				}
				if name == "all that is proven" && (p.Bound <= 0 || p.Figures.Cost != whole.Profiles[n].Figures.Cost) {
					t.Errorf("%s: cost %d, bound %d, and the same plan has a bound at the root", p.Name, p.Figures.Cost, p.Bound)
				}
				if name == "everything whatsoever" && (p.Bound != 0 || p.Figures.Cost != p.FirstFit.Figures.Cost) {
					t.Errorf("%s: cost %d, bound %d; first-fit's is %d", p.Name, p.Figures.Cost, p.Bound, p.FirstFit.Figures.Cost)
				}
			}
			findings, err := audit.Check(t.Context(), w, d, shoptest.Tools(shoptest.Checker))
			if err != nil || len(findings) > 0 {
				t.Errorf("audit: %v, %v", findings, err)
			}
		})
	}
}

// TestRefusedTogether plants refusals where suppliers' terms bind profiles: cases that are refused prove nothing, and the plan is open.
func TestRefusedTogether(t *testing.T) {
	w := shoptest.Market()
	d, err := planner.Make(t.Context(), w, planner.Options{On: shoptest.Today, TimeLimit: 2 * time.Second, Verify: func(context.Context, []byte) (string, int64, error) {
		return "", 0, errors.New("a dual value is too large")
	}})
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range d.Together {
		if g.Grade != plan.Open || !strings.Contains(g.Reason, planner.RefusedCertificate) || g.Bound != 0 {
			t.Errorf("%s, bound %d, reason %q", g.Grade, g.Bound, g.Reason)
		}
	}
	if len(d.Together) == 0 {
		t.Error("nothing is planned together")
	}
}

// TestWorkersChangeNothing also runs the searches at the same time under the race detector.
func TestWorkersChangeNothing(t *testing.T) {
	var texts []string
	for _, workers := range []int{1, 4, 4} {
		var last planner.Progress
		d := shoptest.MustMake(t, shoptest.Fair(), planner.Options{Workers: workers, Progress: func(p planner.Progress) {
			if p.Done < last.Done || p.HasPlan && last.HasPlan && p.Cost > last.Cost || p.Bound < last.Bound || p.Gap != max(0, p.Cost-p.Bound) {
				t.Errorf("%+v after %+v", p, last)
			}
			last = p
		}})
		if last.Done != len(d.Profiles) || last.All != last.Done || last.Proving != "" || !last.HasPlan || last.Cost != d.Total.Figures.Cost || last.Bound != d.Total.Bound {
			t.Errorf("the last progress is %+v, the plan costs %d, bound %d", last, d.Total.Figures.Cost, d.Total.Bound)
		}
		var text bytes.Buffer
		if err := d.Encode(&text); err != nil {
			t.Fatal(err)
		}
		texts = append(texts, text.String())
	}
	if texts[0] != texts[1] || texts[1] != texts[2] {
		t.Error("the document depends on the number of workers")
	}
}

func TestWarnings(t *testing.T) {
	w := shoptest.Fair()
	w.Machine.Limits.StopGap.Length = 110 * mm
	d := shoptest.MustMake(t, w, planner.Options{})
	want := [][]string{
		{"job 102, frame a: sides B and A of ash-20, 430 mm and 330 mm long, are 100 mm apart and two stops cannot be nearer than 110 mm", "(1 more like it)"},
		{"job 103, frame hex: side A of ash-20 is 168.5 mm long and the shortest that is safe to hold is 200 mm", "(5 more like it)"},
		{"stick r4 on the rack is 20 mm long and the head and tail trim take 24 mm: it is left out"},
	}
	got := append(append([]string{}, d.Profiles[0].Warnings...), d.Profiles[1].Warnings...)
	if len(got) != len(want) {
		t.Fatalf("want %d warnings, got %q", len(want), got)
	}
	for i := range want {
		for _, part := range want[i] {
			if !strings.Contains(got[i], part) {
				t.Errorf("warning %q does not say %q", got[i], part)
			}
		}
	}
}

// TestUnpricedRackIsMinded takes away what a stick on the rack could be valued by.
func TestUnpricedRackIsMinded(t *testing.T) {
	want := "stick offcut 1 on the rack counts as worth nothing, for no price is known: give it a value, or its profile a metre_price (1 more like it)"
	for _, tt := range []struct {
		name   string
		change func(*model.Workshop, *model.Profile)
		minded bool
	}{
		{"no price at all", func(*model.Workshop, *model.Profile) {}, true},
		{"a price of a metre", func(_ *model.Workshop, p *model.Profile) { p.Metre = model.OptionalMoney{Amount: 100, Given: true} }, false},
		{"rack worth nothing on purpose", func(w *model.Workshop, _ *model.Profile) { w.Defaults.RackShare = 0 }, false},
		{"values of their own", func(w *model.Workshop, _ *model.Profile) {
			for i := range w.Rack {
				w.Rack[i].Value.Given = true
			}
		}, false},
		{"an offer", func(w *model.Workshop, _ *model.Profile) {
			w.Offers = append(w.Offers, model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 410})
		}, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := shoptest.Tiny()
			w.Profiles = append(w.Profiles, model.Profile{Name: "slip-12", Width: 12 * mm, Rebate: 6 * mm})
			w.Rack = []model.Stick{{ID: "offcut 1", Profile: "slip-12", Length: 1700 * mm}, {ID: "offcut 2", Profile: "slip-12", Length: 1800 * mm}}
			w.Jobs = []model.Job{shoptest.Job("1", "", shoptest.Frame("a", 1, shoptest.Ring("slip-12", 300*mm, 420*mm)))}
			tt.change(w, &w.Profiles[1])
			d := shoptest.MustMake(t, w, planner.Options{})
			if got := slices.Contains(d.Profiles[0].Warnings, want); got != tt.minded {
				t.Errorf("warnings %q", d.Profiles[0].Warnings)
			}
			for _, f := range shoptest.MustAudit(t, w, d) {
				t.Errorf("audit: %s", f)
			}
		})
	}
}

// TestFramesStayTogether cuts three equal frames from sticks that give one frame each.
func TestFramesStayTogether(t *testing.T) {
	w := shoptest.Tiny()
	w.Rack = nil
	w.Jobs = []model.Job{shoptest.Job("1", "", shoptest.Frame("a", 3, shoptest.Ring("ash-20", 268*mm, 268*mm)))}
	w.Offers = []model.Offer{{Supplier: "Hill", Profile: "ash-20", Length: (4*306 + 40) * mm, Price: 500}}
	d := shoptest.MustMake(t, w, planner.Options{})
	for i, s := range d.Profiles[0].Sticks {
		for _, side := range s.Sides {
			if side.Copy != i+1 {
				t.Errorf("stick %s has side %s of copy %d", s.ID, side.Letter, side.Copy)
			}
		}
	}
}
