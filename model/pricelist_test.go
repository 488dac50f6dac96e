package model

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func TestAnOfferThatSaysNothingIsOfSingleSticks(t *testing.T) {
	if o := (Offer{}); o.PerBundle() != 1 || o.LeastBundles() != 1 {
		t.Errorf("%d a bundle, from %d on", o.PerBundle(), o.LeastBundles())
	}
	if o := (Offer{Bundle: 6, From: 3}); o.PerBundle() != 6 || o.LeastBundles() != 3 {
		t.Errorf("%d a bundle, from %d on", o.PerBundle(), o.LeastBundles())
	}
}

func TestOffersOf(t *testing.T) {
	day := func(n int) Date { return Date{time.Date(2027, 3, n, 0, 0, 0, 0, time.UTC)} }
	w := Workshop{Offers: []Offer{
		{Profile: "oak", Price: 1}, {Profile: "oak", Price: 2, Until: day(15)}, {Profile: "ash", Price: 3}, {Profile: "oak", Price: 4, Until: day(18)},
	}}
	for _, row := range []struct {
		name    string
		profile string
		on      Date
		want    []Money
	}{
		{"long before", "oak", day(1), []Money{1, 2, 4}},
		{"on the last day", "oak", day(15), []Money{1, 2, 4}},
		{"on the day after", "oak", day(16), []Money{1, 4}},
		{"when all have ended", "oak", day(19), []Money{1}},
		{"on no day", "oak", Date{}, []Money{1, 2, 4}},
		{"of another profile", "ash", day(19), []Money{3}},
		{"of none", "elm", day(1), nil},
	} {
		var got []Money
		for _, o := range w.OffersOf(row.profile, row.on) {
			got = append(got, o.Price)
		}
		if diff := cmp.Diff(row.want, got); diff != "" {
			t.Errorf("%s: want, got:\n%s", row.name, diff)
		}
	}
}

func TestPriceLists(t *testing.T) {
	offer := func(supplier string, bundle, from int, price Money) Offer {
		return Offer{Supplier: supplier, Profile: "oak", Length: 3 * Metre, Bundle: bundle, From: from, Price: price}
	}
	expires := offer("S", 0, 0, 90)
	expires.Until = Date{time.Unix(0, 0)}
	random := offer("S", 0, 0, 80)
	random.Longest = 4 * Metre
	allOneLength := offer("S", 0, 20, 85)
	allOneLength.Longest = 3 * Metre
	got := PriceLists([]Offer{
		offer("S", 1, 10, 95), offer("N", 0, 0, 110), offer("S", 0, 0, 100), expires, random, allOneLength,
		offer("S", 6, 2, 500), offer("N", 1, 1, 105), offer("N", 1, 1, 105), offer("S", 6, 1, 540),
	})
	want := [][]Money{{100, 95, 85}, {105}, {90}, {80}, {540, 500}}
	var prices [][]Money
	for _, list := range got {
		var row []Money
		for _, o := range list {
			row = append(row, o.Price)
		}
		prices = append(prices, row)
	}
	if diff := cmp.Diff(want, prices); diff != "" {
		t.Errorf("want, got:\n%s", diff)
	}
	if PriceLists(nil) != nil {
		t.Error("lists of nothing")
	}
}
