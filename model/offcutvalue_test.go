package model

import (
	"math/big"
	"testing"
)

func TestOffcutValue(t *testing.T) {
	for _, row := range []struct {
		name     string
		workshop int
		profile  OptionalShare
		offers   []Offer
		metre    OptionalMoney
		share    int
		want     *big.Rat // for a metre
	}{
		{"no share: nothing", 0, OptionalShare{}, []Offer{{Profile: "oak", Length: 3 * Metre, Price: 1800}}, OptionalMoney{}, 0, big.NewRat(0, 1)},
		{"the workshop's", 40, OptionalShare{}, []Offer{{Profile: "oak", Length: 3 * Metre, Price: 1800}}, OptionalMoney{}, 40, big.NewRat(240, 1)},
		{"the profile's", 40, OptionalShare{25, true}, []Offer{{Profile: "oak", Length: 3 * Metre, Price: 1800}}, OptionalMoney{}, 25, big.NewRat(150, 1)},
		{"the profile's nothing", 40, OptionalShare{0, true}, []Offer{{Profile: "oak", Length: 3 * Metre, Price: 1800}}, OptionalMoney{}, 0, big.NewRat(0, 1)},
		{"exactly", 100, OptionalShare{}, []Offer{{Profile: "oak", Length: 3 * Metre, Bundle: 7, Price: 1000}}, OptionalMoney{}, 100, big.NewRat(1000, 21)},
		{"the price of a metre", 50, OptionalShare{}, []Offer{{Profile: "ash", Length: Metre, Price: 1}}, OptionalMoney{900, true}, 50, big.NewRat(450, 1)},
		{"no price", 50, OptionalShare{}, nil, OptionalMoney{}, 50, big.NewRat(0, 1)},
	} {
		p := Profile{Name: "oak", OffcutShare: row.profile, Metre: row.metre}
		w := Workshop{Defaults: Defaults{OffcutShare: row.workshop, RackShare: 90}, Profiles: []Profile{p}, Offers: row.offers}
		if got := w.OffcutShareOf(p); got != row.share {
			t.Errorf("%s: share %d, want %d", row.name, got, row.share)
		}
		got := w.OffcutValue(p)
		if got.Mul(got, new(big.Rat).SetInt64(int64(Metre))); got.Cmp(row.want) != 0 {
			t.Errorf("%s: a metre is worth %s, want %s", row.name, got, row.want)
		}
	}
}
