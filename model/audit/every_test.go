package audit_test

import (
	"testing"

	"longpoint/model"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// TestEveryValueCounts plants a fault in every value of a document, one at a time (shoptest.EveryValueCounts). The certificates
// are the checker's business and the maker's name is nobody's. Some changes are harmless and left out: another free name for an
// offcut; no last day, and no list of chosen profiles, which both mean all; two sticks that are cut alike in the other order; a millionth
// more off that takes no more off any price, and one case less, or in another place, which the bound may do without.
func TestEveryValueCounts(t *testing.T) {
	w := shoptest.Tiny()
	w.Rack[0].Value.Amount++ // an odd cost, so that of two jobs that take the same the first pays more
	shoptest.EveryValueCounts(t, w, shoptest.MustMake(t, w, planner.Options{Until: shoptest.DayOf("2027-01-08"), Profiles: []string{"ash-20"}}), 300)
}

// TestEveryValueOfTheMarketCounts does the same where there are bundles, terms, damage, lots and credits.
func TestEveryValueOfTheMarketCounts(t *testing.T) {
	w, d := shoptest.MarketPlan(t)
	shoptest.EveryValueCounts(t, w, d, 1000)
}

// TestEveryValueOfSparesCounts does the same where two lines of one profile have sticks to spare.
func TestEveryValueOfSparesCounts(t *testing.T) {
	w := shoptest.TwoSticks(
		model.Offer{Supplier: "Hill", Price: 3600, Bundle: 3},
		model.Offer{Supplier: "Dale", Length: 1000 * mm, Price: 800, Bundle: 2})
	w.Defaults.RackShare = 80
	w.Jobs = []model.Job{shoptest.Job("101", "", shoptest.Frame("a", 1, shoptest.Ring("ash-20", 1500*mm, 1000*mm)), shoptest.Frame("b", 1, shoptest.Ring("ash-20", 298*mm, 398*mm)))}
	d := shoptest.MustMake(t, w, planner.Options{})
	spare := 0
	for _, line := range d.Buy {
		if line.SpareValue > 0 {
			spare++
		}
	}
	if spare < 2 {
		t.Fatalf("%d lines have sticks to spare: %+v", spare, d.Buy)
	}
	shoptest.EveryValueCounts(t, w, d, 200)
}
