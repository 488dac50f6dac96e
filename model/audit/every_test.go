package audit_test

import (
	"longpoint/model/planner"
	"longpoint/model/shoptest"
	"testing"
)

// TestEveryValueCounts changes every single value of a document, one at a time: a number raised by one, or made as
// large as can be, a text added to, a yes made a no, a list's last element left out. Each must be refused by Decode or
// found by Audit. The certificates are the checker's business and the maker's name is nobody's. Some changes are harmless
// and left out: another free name for an offcut; no last day, and no list of chosen profiles, which both mean all; a millionth
// more off that takes no more off any price, and one case less, which the bound may do without.
func TestEveryValueCounts(t *testing.T) {
	w := shoptest.Tiny()
	shoptest.EveryValueCounts(t, w, shoptest.MustMake(t, w, planner.Options{Until: shoptest.DayOf("2027-01-08"), Profiles: []string{"ash-20"}}), 300)
}

// TestEveryValueOfTheMarketCounts does the same where there are bundles, terms, damage, lots and credits.
func TestEveryValueOfTheMarketCounts(t *testing.T) {
	w, d := shoptest.MarketPlan(t)
	shoptest.EveryValueCounts(t, w, d, 1000)
}
