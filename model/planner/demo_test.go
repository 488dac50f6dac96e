package planner_test

import (
	"bytes"
	"testing"

	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// TestDemo plans the demo workshop: every profile is proven, the audit is clean, the document conforms to its schema,
// and the plan saves money against first-fit.
func TestDemo(t *testing.T) {
	w := shoptest.ReadDemo(t)
	d := shoptest.MustMake(t, w, planner.Options{})
	for _, p := range d.Profiles {
		if p.Grade != plan.Proven {
			t.Errorf("profile %s is %s (%s)", p.Name, p.Grade, p.Reason)
		}
	}
	for _, f := range shoptest.MustAudit(t, w, d) {
		t.Errorf("audit: %s", f)
	}
	var text bytes.Buffer
	if err := d.Encode(&text); err != nil {
		t.Fatal(err)
	}
	if _, err := plan.Decode(text.Bytes()); err != nil {
		t.Errorf("the document does not conform to its schema: %s", err)
	}
	f, first := d.Total.Figures, d.Total.FirstFit.Figures
	if !d.Total.FirstFit.Complete || f.Cost >= first.Cost || f.Yield <= first.Yield {
		t.Errorf("plan: %d sticks, cost %d, yield %s; first-fit: %d, %d, %s", f.Sticks(), f.Cost, f.YieldPercent(), first.Sticks(), first.Cost, first.YieldPercent())
	}
	t.Logf("plan: %d sticks, cost %d, yield %s; first-fit: %d, %d, %s", f.Sticks(), f.Cost, f.YieldPercent(), first.Sticks(), first.Cost, first.YieldPercent())
}
