package book

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"longpoint/model"
	"longpoint/model/folder"
)

// TestPricesOfADay changes prices on three days, one of them and back, and demands the prices of each day.
func TestPricesOfADay(t *testing.T) {
	b := newShop(t)
	clock := time.Date(2027, 3, 1, 9, 0, 0, 0, time.Local)
	b.Now = func() time.Time { return clock }
	form := model.PriceForm{Supplier: "Invented Timber", Article: "No", Price: "EUR/m", By: "m", Least: "5", Profiles: map[string]string{"4711": "oak-40", "815": "black-22"},
		Breaks: []model.PriceBreak{{From: 10, Column: "from 10"}}}
	list := func(day int, text string) {
		t.Helper()
		clock = time.Date(2027, 3, day, 23, 59, 59, 0, time.Local)
		path := filepath.Join(t.TempDir(), "list.csv")
		must(t, os.WriteFile(path, []byte(text), 0o644))
		_, err := b.Do(t.Context(), tester, KeepPriceForm(form))
		must(t, err)
		kept, err := b.PriceForm(t.Context(), form.Supplier)
		must(t, err)
		if diff := cmp.Diff(form, kept); diff != "" {
			t.Error(diff)
		}
		in, err := folder.OpenPrices(path, kept, false)
		must(t, err)
		_, err = b.Import(t.Context(), in, Importing{}, tester)
		must(t, err)
		sound(t, b)
	}
	now := func() []model.Offer {
		t.Helper()
		w, err := b.Workshop(t.Context())
		must(t, err)
		return w.Offers
	}
	days := map[string][]model.Offer{}
	days["2027-03-01"] = now()
	list(2, "No,EUR/m,from 10\n4711,7.40,7.10\n815,3.20,\n")
	days["2027-03-02"] = now()
	list(4, "No,EUR/m,from 10\n4711,7.60,\n")
	_, err := b.Undo(t.Context(), 0, tester)
	must(t, err)
	days["2027-03-04"] = now()
	list(5, "No,EUR/m,from 10\n4711,7.80,\n815,3.20,\n")
	days["2027-03-05"], days["2027-03-03"] = now(), days["2027-03-02"]
	if cmp.Equal(days["2027-03-02"], days["2027-03-05"], cmpopts.EquateComparable(model.Date{})) {
		t.Error("no price changed")
	}
	for text, want := range days {
		on, err := model.ParseDate(text)
		must(t, err)
		got, err := b.OffersOn(t.Context(), on)
		must(t, err)
		if diff := cmp.Diff(want, got, withoutPlaces, cmpopts.EquateComparable(model.Date{})); diff != "" {
			t.Errorf("on %s: %s", text, diff)
		}
	}
	long, err := model.ParseDate("2019-03-05")
	must(t, err)
	_, err = b.OffersOn(t.Context(), long)
	wantError(t, err, model.BadUsage, "the book has no prices of 2019-03-05")
}
