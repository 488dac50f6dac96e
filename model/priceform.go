package model

import "strings"

// PriceForm says how a supplier's price list is laid out, so that it can be read as it comes. A heading is that of one of its columns.
type PriceForm struct {
	Supplier string
	Sheet    string            // of a workbook; blank: the one that has the columns
	Article  string            // a heading
	Length   string            // of a stick: a heading, or lengths with semicolons between them; blank: as on offer already
	Unit     string            // of bare lengths: mm, cm, m, in or ft; blank: the workshop's
	Price    string            // a heading
	Breaks   []PriceBreak      // prices from more bundles on
	By       string            // what a price is of: stick, bundle, m, ft or a length; blank: stick
	Bundle   string            // sticks in a bundle: a heading or a number; blank: as on offer already, or one
	Least    string            // the least charge for a stick: a heading or an amount
	Cut      string            // the charge for cutting a stick: likewise
	Habits   Habits            // of whoever wrote the list; what is blank is as the workshop writes
	Profiles map[string]string // by article
}

// PriceBreak is a column of prices that hold from so many bundles on.
type PriceBreak struct {
	From   int
	Column string
}

// Per gives the length that a price is of; 0 where it is of a stick or a bundle.
func (f PriceForm) Per() (Length, error) {
	switch strings.ToLower(strings.TrimSpace(f.By)) {
	case "", "stick", "bundle":
		return 0, nil
	}
	per, err := ParsePer(f.By)
	if err != nil {
		return 0, &Error{Kind: BadInput, What: Quote(f.By) + " is nothing that a price is of", Do: "write stick, bundle, m, ft, or a length with its unit such as 100 ft"}
	}
	return per, nil
}

// Over gives the form with what another says in place of its own.
func (f PriceForm) Over(by PriceForm) PriceForm {
	for _, s := range []struct {
		to *string
		by string
	}{{&f.Sheet, by.Sheet}, {&f.Article, by.Article}, {&f.Length, by.Length}, {&f.Unit, by.Unit}, {&f.Price, by.Price}, {&f.By, by.By}, {&f.Bundle, by.Bundle},
		{&f.Least, by.Least}, {&f.Cut, by.Cut}, {&f.Habits.Decimal, by.Habits.Decimal}, {&f.Habits.Thousands, by.Habits.Thousands}} {
		if s.by != "" {
			*s.to = s.by
		}
	}
	if len(by.Breaks) > 0 {
		f.Breaks = by.Breaks
	}
	profiles := map[string]string{}
	for _, from := range []map[string]string{f.Profiles, by.Profiles} {
		for article, profile := range from {
			profiles[article] = profile
		}
	}
	f.Profiles = profiles
	return f
}
