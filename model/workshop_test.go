package model

import (
	"math/big"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestStickValue(t *testing.T) {
	offers := []Offer{
		{Profile: "oak", Length: 3 * Metre, Price: 1800}, // 6.00 a metre
		{Profile: "oak", Length: 2 * Metre, Price: 1100}, // 5.50 a metre: the cheapest by length
		{Profile: "gilt", Length: Metre, Price: 100},
	}
	for _, row := range []struct {
		name   string
		offers []Offer
		metre  OptionalMoney
		share  int
		stick  Stick
		want   Money
	}{
		{"its own value", offers, OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre, Value: OptionalMoney{123, true}}, 123},
		{"its own value of nothing", offers, OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre, Value: OptionalMoney{0, true}}, 0},
		{"half the cheapest offer", offers, OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre}, 275},
		{"half a cent goes up", offers, OptionalMoney{}, 50, Stick{Profile: "gilt", Length: mm(130)}, 7}, // 6.5
		{"less than half goes down", offers, OptionalMoney{}, 50, Stick{Profile: "gilt", Length: mm(129.9)}, 6},
		{"no share", offers, OptionalMoney{}, 0, Stick{Profile: "oak", Length: Metre}, 0},
		{"offers go before the price of a metre", offers, OptionalMoney{900, true}, 100, Stick{Profile: "oak", Length: Metre}, 550},
		{"the price of a metre", nil, OptionalMoney{900, true}, 50, Stick{Profile: "oak", Length: mm(1500)}, 675},
		{"no price at all", nil, OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre}, 0},
		{"unknown profile", offers, OptionalMoney{900, true}, 50, Stick{Profile: "elm", Length: Metre}, 0},
		{"a bundle is divided", append(offers, Offer{Profile: "oak", Length: 3 * Metre, Bundle: 10, Price: 15000}), OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre}, 250},
		{"a price break is not what one can always have", append(offers, Offer{Profile: "oak", Length: 3 * Metre, From: 2, Price: 900}), OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre}, 275},
		{"only from more than one on: the price of a metre", []Offer{{Profile: "oak", Length: Metre, From: 2, Price: 400}}, OptionalMoney{900, true}, 50, Stick{Profile: "oak", Length: Metre}, 450},
		{"random lengths count as the shortest", []Offer{{Profile: "oak", Length: Metre, Longest: 3 * Metre, Price: 400}}, OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre}, 200},
		{"an offer that ends still counts", []Offer{{Profile: "oak", Length: Metre, Until: Date{time.Unix(0, 0)}, Price: 400}}, OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre}, 200},
		{"damage does not count", offers, OptionalMoney{}, 50, Stick{Profile: "oak", Length: Metre, Damage: []Span{{0, mm(400)}}}, 275},
		{"never more than the most", []Offer{{Profile: "oak", Length: 1, Price: MaxMoney}}, OptionalMoney{}, 100, Stick{Profile: "oak", Length: MaxLength}, MaxMoney},
	} {
		t.Run(row.name, func(t *testing.T) {
			w := Workshop{Defaults: Defaults{RackShare: row.share}, Profiles: []Profile{{Name: "oak", Metre: row.metre}}, Offers: row.offers}
			if got := w.StickValue(row.stick); got != row.want {
				t.Errorf("got %d, want %d", got, row.want)
			}
		})
	}
}

// TestShareOfPrice works out what sticks are worth in another way, with numbers small and large.
func TestShareOfPrice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Workshop{Defaults: Defaults{RackShare: rapid.IntRange(0, 100).Draw(t, "share")}}
		r := rate{Money(rapid.Int64Range(0, int64(MaxMoney)).Draw(t, "price")), rapid.Int64Range(1, MaxBundle*int64(MaxLength)).Draw(t, "by")}
		s := Stick{Length: Length(rapid.Int64Range(0, int64(MaxLength)).Draw(t, "length"))}
		exact := new(big.Rat).SetFrac64(int64(r.price), r.length)
		exact.Mul(exact, new(big.Rat).SetFrac64(int64(w.Defaults.RackShare), 100))
		exact.Mul(exact, new(big.Rat).SetInt64(int64(s.Length)))
		exact.Add(exact, big.NewRat(1, 2))
		want := new(big.Int).Quo(exact.Num(), exact.Denom())
		if got := w.shareOfPrice(r, s); got.Cmp(want) != 0 {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}
