package model

import (
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"
)

// Money is a whole number of the currency's minor units.
type Money int64

// MaxMoney is the greatest amount that is taken as one price or value, in minor units: ten thousand million with two
// decimals, small enough that a plan's sums do not overflow.
const MaxMoney Money = 1_000_000_000_000

// maxMoneyText is the longest text that is read as an amount, in bytes.
const maxMoneyText = 32

// Currency is how money is written. Code is an ISO 4217 code; Decimals how many digits the minor unit takes.
type Currency struct {
	Code     string
	Decimals int
}

// decimals lists the currencies whose minor unit is not a hundredth (ISO 4217:2015, list one, column "minor unit", from
// memory).
var decimals = map[string]int{
	"BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0, "RWF": 0, "UGX": 0, "UYI": 0,
	"VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
	"BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3,
	"CLF": 4, "UYW": 4,
}

var currencyForm = regexp.MustCompile(`^[A-Z]{3}$`)

// ParseCurrency reads an ISO 4217 code of three letters. A code this package does not know has two decimals, as most have.
func ParseCurrency(code string) (Currency, error) {
	plain := strings.ToUpper(strings.TrimSpace(code))
	switch of := withSign(plain); len(of) {
	case 0:
	case 1:
		plain = of[0]
	default:
		return Currency{}, &Error{Kind: BadInput, What: Quote(code) + " is the sign of several currencies", Do: "write the letters of yours: " + strings.Join(of, ", ")}
	}
	if !currencyForm.MatchString(plain) {
		return Currency{}, &Error{Kind: BadInput, What: Quote(code) + " is not a currency", Do: "write its ISO 4217 code, three letters such as EUR"}
	}
	if d, ok := decimals[plain]; ok {
		return Currency{plain, d}, nil
	}
	return Currency{plain, 2}, nil
}

// signs are those that are written for a currency in its own country, from memory.
var signs = map[string]string{"AUD": "$", "CAD": "$", "EUR": "€", "GBP": "£", "INR": "₹", "JPY": "¥", "NZD": "$", "USD": "$"}

// withSign gives the currencies that are written with a sign, by their codes. A sign that is most of all one currency's is taken for that: the euro's, the pound's.
func withSign(sign string) (codes []string) {
	for code, own := range signs {
		if own == sign {
			codes = append(codes, code)
		}
	}
	slices.Sort(codes)
	return codes
}

var moneyForm = regexp.MustCompile(`^(\d+)(?:[.,](\d+))?$`)

// ParseMoney reads an amount such as 12.40, 12,4 or 12, with or without the currency's own code behind it. It never rounds:
// more decimals than the currency has are an error, and so are a sign, marks between thousands and anything over MaxMoney.
func ParseMoney(text string, c Currency) (Money, error) {
	bad := func(why, do string) (Money, error) {
		return 0, &Error{Kind: BadInput, What: Quote(text) + " " + why, Do: do}
	}
	example := "write it like " + Money(1240).In(c)
	if len(text) > maxMoneyText {
		return bad("is too long to be an amount of money", example)
	}
	plain := strings.TrimSpace(plainSpaces.Replace(text))
	for _, name := range []string{c.Code, signs[c.Code]} {
		if name != "" {
			plain = strings.TrimSpace(strings.TrimSuffix(strings.TrimPrefix(plain, name), name))
		}
	}
	if strings.HasPrefix(plain, "-") || strings.HasPrefix(plain, "+") {
		return bad("has a sign", "write amounts of money without one")
	}
	part := moneyForm.FindStringSubmatch(plain)
	if part == nil {
		return bad("is not an amount of money", example)
	}
	const group = 3
	if len(part[2]) == group+1 && c.Decimals == group {
		part[2] = strings.TrimSuffix(part[2], "0") // which tells decimals from thousands
	}
	if len(part[2]) > c.Decimals {
		return bad(fmt.Sprintf("has more than the %d decimals of %s", c.Decimals, c.Code), example)
	}
	amount, _ := new(big.Int).SetString(part[1]+part[2]+strings.Repeat("0", c.Decimals-len(part[2])), 10)
	if amount.Cmp(big.NewInt(int64(MaxMoney))) > 0 {
		return bad("is more than any price", "check the number")
	}
	return Money(amount.Int64()), nil
}

// In gives the amount with all the currency's decimals: "12.40".
func (m Money) In(c Currency) string {
	s := fmt.Sprintf("%0*d", c.Decimals+1, magnitude(int64(m)))
	if cut := len(s) - c.Decimals; c.Decimals > 0 {
		s = s[:cut] + "." + s[cut:]
	}
	if m < 0 {
		s = "-" + s
	}
	return s
}

// With gives the amount with its currency: "12.40 EUR".
func (m Money) With(c Currency) string {
	return strings.TrimSpace(m.In(c) + " " + c.Code)
}
