package audit_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// TestUnsoundCases has a case of profiles planned together suppose what it may not: who is open, and what is asked of orders.
func TestUnsoundCases(t *testing.T) {
	w, good := shoptest.MarketPlan(t)
	at := -1
	for n, c := range good.Together[0].Cases {
		if len(c.Open) > 0 {
			at = n
		}
	}
	if at < 0 {
		t.Fatalf("no supplier is open in any case: %+v", good.Together[0].Cases)
	}
	for _, tt := range []struct {
		name  string
		spoil func(*plan.Case)
		what  string
	}{
		{"nobody of that name", func(c *plan.Case) { c.Open = []string{"Nobody"} }, "Nobody is open, who stands out of order or is no supplier"},
		{"open twice", func(c *plan.Case) { c.Open = []string{c.Open[0], c.Open[0]} }, c0(good, at) + " is open, who stands out of order"},
		{"more than is asked, in money", func(c *plan.Case) {
			c.Orders = []plan.Ordered{{Supplier: c.Open[0], LeastMoney: 1 << 40}}
		}, "who does not ask for so much"},
		{"more than is asked, in sticks", func(c *plan.Case) {
			c.Orders = []plan.Ordered{{Supplier: c.Open[0], LeastSticks: 1 << 20}}
		}, "who does not ask for so much"},
		{"of whom nobody asks", func(c *plan.Case) { c.Orders = []plan.Ordered{{Supplier: "Nobody"}} }, "who is not open"},
		{"twice", func(c *plan.Case) {
			c.Orders = []plan.Ordered{{Supplier: c.Open[0]}, {Supplier: c.Open[0]}}
		}, "who is there twice"},
		{"of a profile that is bound to none", func(c *plan.Case) { c.Profile = "elm-20" }, "it is of profile elm-20, which is not of the group"},
		{"less than nothing", func(c *plan.Case) {
			c.Orders = []plan.Ordered{{Supplier: c.Open[0], StickMultiplier: -1}}
		}, "of whom a number is out of range"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bad := shoptest.CopyOf(t, good)
			tt.spoil(&bad.Together[0].Cases[at])
			shoptest.WantFinding(t, w, bad, "case", tt.what)
		})
	}
	undated := shoptest.CopyOf(t, good)
	undated.On = ""
	shoptest.WantFinding(t, w, undated, "header", "the day of ordering is missing, and there are offers with a last day")
}

// TestUnsoundCasesProveNothing has every case say twice who is open, or suppose twice nothing of a supplier. Each is reported, and none of them counts: the
// bound is not proven any more.
func TestUnsoundCasesProveNothing(t *testing.T) {
	w, good := shoptest.MarketPlan(t)
	for name, spoil := range map[string]func(*plan.Case){
		"open twice": func(c *plan.Case) { c.Open = slices.Repeat(c.Open, 2) },
		"supposed twice": func(c *plan.Case) {
			c.Orders = slices.Repeat(append(slices.Clone(c.Orders), plan.Ordered{Supplier: c.Open[0]}), 2)
		},
	} {
		bad := shoptest.CopyOf(t, good)
		spoilt := 0
		for n := range bad.Together[0].Cases {
			if c := &bad.Together[0].Cases[n]; len(c.Open) > 0 {
				spoil(c)
				spoilt++
			}
		}
		unproven := 0
		for _, f := range shoptest.MustAudit(t, w, bad) {
			if f.Code == "bound" && f.Where == "together 1" && strings.Contains(f.What, "better than what the certificate proves") {
				unproven++
			}
		}
		if spoilt == 0 || unproven != 1 {
			t.Errorf("%s: of %d cases, %d findings say that the bound is not proven: %v", name, spoilt, unproven, shoptest.MustAudit(t, w, bad))
		}
	}
}

// TestCasesOfOtherProblems has each case's certificate be of a problem with a side less, or with a stick at a lower price: it is not the case's.
func TestCasesOfOtherProblems(t *testing.T) {
	w, good := shoptest.MarketPlan(t)
	for n, c := range good.Together[0].Cases {
		for _, part := range []struct{ list, key string }{{"items", "demand"}, {"kinds", "cost"}, {"kinds", "length"}} {
			bad := shoptest.CopyOf(t, good)
			var cuts map[string]any
			if err := json.Unmarshal(c.Cuts, &cuts); err != nil {
				t.Fatal(err)
			}
			first := cuts[part.list].([]any)[0].(map[string]any)
			first[part.key] = first[part.key].(float64) - 1
			bad.Together[0].Cases[n].Cuts = marshalled(t, cuts)
			where := fmt.Sprintf("together 1, case %d", n+1)
			if !slices.ContainsFunc(shoptest.MustAudit(t, w, bad), func(f audit.Finding) bool { return f.Code == "problem" && f.Where == where }) {
				t.Errorf("%s: nobody says that the %s of its %s is another", where, part.key, part.list)
			}
		}
	}
}

func marshalled(t *testing.T, v any) []byte {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// c0 is who is first among those who are open in a case.
func c0(d *plan.Document, at int) string { return d.Together[0].Cases[at].Open[0] }

// TestWorstGrade grades profiles by hand: the total has the worst of their grades, in whatever order they come.
func TestWorstGrade(t *testing.T) {
	w := shoptest.Fair()
	good := shoptest.MustMake(t, w, planner.Options{})
	for _, row := range []struct{ first, second, worst plan.Grade }{
		{plan.Open, plan.Searched, plan.Open}, {plan.Searched, plan.Open, plan.Open}, {plan.Searched, plan.Proven, plan.Searched},
		{plan.Proven, plan.Searched, plan.Searched}, {plan.Open, plan.Proven, plan.Open}, {plan.Proven, plan.Proven, plan.Proven},
	} {
		for _, claimed := range []plan.Grade{plan.Open, plan.Searched, plan.Proven} {
			d := shoptest.CopyOf(t, good)
			d.Profiles[0].Grade, d.Profiles[1].Grade, d.Total.Grade = row.first, row.second, claimed
			found := false
			for _, f := range shoptest.MustAudit(t, w, d) {
				found = found || strings.Contains(f.What, "the worst of the profiles'")
			}
			if found != (claimed != row.worst) {
				t.Errorf("%s and %s make %s: found %t", row.first, row.second, claimed, found)
			}
		}
	}
}

// TestSpoiledRunsSayWhere names the cut, the side and the stick of what is wrong in an order of cuts.
func TestSpoiledRunsSayWhere(t *testing.T) {
	w := shoptest.Fair()
	d := shoptest.MustMake(t, w, planner.Options{})
	p := &d.Profiles[0]
	p.Run.Cuts[0].Side, p.Run.Cuts[1].Side = 1, 0
	want := "profile " + p.Name + ", run, cut 1: side 2 of stick 1 is not the next one from the head"
	for _, f := range shoptest.MustAudit(t, w, d) {
		if f.String() == want {
			return
		}
	}
	t.Errorf("nobody says %q, only %v", want, shoptest.MustAudit(t, w, d))
}
