package model

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

var (
	euro  = Currency{"EUR", 2}
	yen   = Currency{"JPY", 0}
	dinar = Currency{"KWD", 3}
)

func TestParseCurrency(t *testing.T) {
	for text, want := range map[string]Currency{"EUR": euro, " eur ": euro, "JPY": yen, "KWD": dinar, "XYZ": {"XYZ", 2}} {
		if got, err := ParseCurrency(text); err != nil || got != want {
			t.Errorf("ParseCurrency(%q) = %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "EU", "EURO", "E1R"} {
		_, err := ParseCurrency(text)
		wantRefusal(t, err, "not a currency")
	}
}

func TestParseMoney(t *testing.T) {
	for _, row := range []struct {
		name     string
		text     string
		currency Currency
		want     Money
	}{
		{"two decimals", "12.40", euro, 1240},
		{"decimal comma", "12,40", euro, 1240},
		{"one decimal", "12,4", euro, 1240},
		{"none", "12", euro, 1200},
		{"with its code", "12.40 EUR", euro, 1240},
		{"nought", "0", euro, 0},
		{"no minor unit", "1240", yen, 1240},
		{"three decimals", "1,240", dinar, 1240},
		{"the most", "10000000000.00", euro, MaxMoney},
	} {
		t.Run(row.name, func(t *testing.T) {
			if got, err := ParseMoney(row.text, row.currency); err != nil || got != row.want {
				t.Errorf("ParseMoney(%q) = %d, %v; want %d", row.text, got, err, row.want)
			}
		})
	}
}

func TestParseMoneyRefuses(t *testing.T) {
	for _, row := range []struct {
		name     string
		text     string
		currency Currency
		says     string
	}{
		{"nothing", "", euro, "not an amount"},
		{"a word", "free", euro, "not an amount"},
		{"minus", "-1", euro, "sign"},
		{"marks between thousands", "1,240.00", euro, "not an amount"},
		{"a comma between thousands", "1,240", euro, "more than the 2 decimals"},
		{"a minor unit that is not there", "12.5", yen, "more than the 0 decimals"},
		{"another currency", "12.40 USD", euro, "not an amount"},
		{"a cent over the most", "10000000000.01", euro, "more than any price"},
		{"more than an int64", "99999999999999999999", euro, "more than any price"},
		{"endless", "0000000000000000000000000000000000000000000001", euro, "too long"},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := ParseMoney(row.text, row.currency)
			wantRefusal(t, err, row.says)
		})
	}
}

func TestMoneyIn(t *testing.T) {
	for _, row := range []struct {
		money    Money
		currency Currency
		bare     string
		with     string
	}{
		{1240, euro, "12.40", "12.40 EUR"},
		{5, euro, "0.05", "0.05 EUR"},
		{-1240, euro, "-12.40", "-12.40 EUR"},
		{1240, yen, "1240", "1240 JPY"},
		{5, dinar, "0.005", "0.005 KWD"},
		{math.MinInt64, euro, "-92233720368547758.08", "-92233720368547758.08 EUR"},
		{1240, Currency{Decimals: 2}, "12.40", "12.40"},
	} {
		if got := row.money.In(row.currency); got != row.bare {
			t.Errorf("got %q, want %q", got, row.bare)
		}
		if got := row.money.With(row.currency); got != row.with {
			t.Errorf("got %q, want %q", got, row.with)
		}
	}
}

func TestMoneyReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Money(rapid.Int64Range(0, int64(MaxMoney)).Draw(t, "money"))
		c := rapid.SampledFrom([]Currency{euro, yen, dinar, {"CLF", 4}}).Draw(t, "currency")
		for _, text := range []string{m.In(c), m.With(c)} {
			if got, err := ParseMoney(text, c); err != nil || got != m {
				t.Fatalf("%d is printed %q and read back as %d, %v", m, text, got, err)
			}
		}
	})
}

func FuzzParseMoney(f *testing.F) {
	for _, text := range []string{"12.40", "12,40 EUR", "1,240", "-1", "", "1e9"} {
		f.Add(text, uint8(2))
	}
	f.Fuzz(func(t *testing.T, text string, digits uint8) {
		c := Currency{"EUR", int(digits % 5)}
		m, err := ParseMoney(text, c)
		if err != nil {
			wantRefusal(t, err, "")
			return
		}
		if m < 0 || m > MaxMoney {
			t.Fatalf("%q is read as %d", text, m)
		}
		if again, err := ParseMoney(m.With(c), c); err != nil || again != m {
			t.Fatalf("%q is printed %q and read back as %d, %v", text, m.With(c), again, err)
		}
	})
}

func TestCurrencyBySign(t *testing.T) {
	for sign, want := range map[string]string{"€": "EUR", " £ ": "GBP", "₹": "INR", "eur": "EUR"} {
		if c, err := ParseCurrency(sign); err != nil || c.Code != want {
			t.Errorf("%q is %q (%v), want %s", sign, c.Code, err, want)
		}
	}
	if _, err := ParseCurrency("$"); err == nil || err.(*Error).Do != "write the letters of yours: AUD, CAD, NZD, USD" {
		t.Errorf("$: %v", err)
	}
}
