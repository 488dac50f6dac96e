package folder

import (
	"testing"

	"longpoint/model"
	"longpoint/model/table"
)

// FuzzPrices reads any bytes as a supplier's price list in any form. Nothing may panic; either it says what is wrong, or the offers pass the
// workshop's own check.
func FuzzPrices(f *testing.F) {
	f.Add([]byte("Art;EUR/m;from 10\n4711;7,12;6,80\n815;1.234,5;\n"), "Art", "EUR/m", "", "m", "", "", "5")
	f.Add([]byte("No,Length,Price,Pack\n4711,3 m,21.00,2\n"), "No", "Price", "Length", "", "Pack", "in", "")
	f.Add([]byte("No,Price\n4711,21.00\n"), "No", "Price", "2400; 3000", "100 ft", "2", "mm", "")
	f.Fuzz(func(t *testing.T, data []byte, article, price, length, by, bundle, unit, least string) {
		file, bad := table.FromBytes("list", data, table.Ordinary())
		if bad != nil {
			return
		}
		w := &model.Workshop{Name: "Invented", Unit: model.Millimetres, Currency: model.Currency{Code: "EUR", Decimals: 2}, Machine: model.Machine{Type: model.Saw},
			Profiles: []model.Profile{{Name: "oak", Width: 40 * model.Millimetre, Rebate: 8 * model.Millimetre}},
			Offers:   []model.Offer{{Supplier: "Hill", Profile: "oak", Length: 3 * model.Metre, Bundle: 2, From: 1, Price: 2100}}}
		if err := w.Check(); err != nil {
			t.Fatal(err)
		}
		in := &IncomingPrices{path: "list", file: file, form: model.PriceForm{Supplier: "Hill", Article: article, Price: price, Length: length, By: by, Bundle: bundle, Unit: unit,
			Least: least, Breaks: []model.PriceBreak{{From: 10, Column: "from 10"}}, Profiles: map[string]string{"4711": "oak"}}}
		got, _, err := in.Read(w, false)
		if err == nil {
			if err := got.Check(); err != nil {
				t.Errorf("the list is taken, and the workshop is no good: %v", err)
			}
		}
		if len(w.Offers) != 1 || w.Offers[0].Price != 2100 {
			t.Errorf("the workshop it was given has changed: %+v", w.Offers)
		}
	})
}
