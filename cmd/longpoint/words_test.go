package main

import (
	"strings"
	"testing"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/grouping"
	"longpoint/model/plan"
)

// TestSavingIsSaidWithCare: where first-fit orders sticks that it cuts nothing from, what planning saves is no share of a week's cost: of
// a plan of five sides it was 95.4 %.
func TestSavingIsSaidWithCare(t *testing.T) {
	total := func(cost, spare, firstFit, spareThen model.Money) *plan.Document {
		d := &plan.Document{Currency: plan.Currency{Code: "EUR", Decimals: 2}}
		d.Total.Figures = plan.Figures{Cost: cost, Spare: spare}
		d.Total.FirstFit = plan.Comparison{Figures: plan.Figures{Cost: firstFit, Spare: spareThen}, Complete: true}
		return d
	}
	for _, row := range []struct {
		d          *plan.Document
		want, none string
	}{
		{total(8000, 0, 10000, 0), "saves 20.00 EUR: 20.0 %", "orders sticks"},
		{total(460, 0, 10000, 9000), "not what planning saves every week", "%"},
		{total(10000, 500, 10000, 0), "saves no money", "%"},
	} {
		if got := text.Saving(row.d); !strings.Contains(got, row.want) || strings.Contains(got, row.none) {
			t.Error(got)
		}
	}
}

// TestNetAboveFirstFit: a grouping whose net is above first-fit's is explained, and no other.
func TestNetAboveFirstFit(t *testing.T) {
	currency, err := model.ParseCurrency("EUR")
	if err != nil {
		t.Fatal(err)
	}
	one := func(by grouping.Period, net, firstFit model.Money) grouping.Grouping {
		return grouping.Grouping{By: by, Grade: plan.Proven, Complete: true, Plan: grouping.Outcome{Net: net}, FirstFit: grouping.Outcome{Net: firstFit}}
	}
	a := &groupAnswer{currency: currency, Groupings: []grouping.Grouping{one(grouping.ByDay, 105, 100), one(grouping.ByWeek, 95, 100)}}
	if got := strings.Join(strings.Fields(a.notes()), " "); !strings.HasPrefix(got, "By day the net is above first-fit's. Each batch is planned") || strings.Contains(got, "week") {
		t.Error(got)
	}
}
