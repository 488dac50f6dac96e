package book

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"longpoint/model"
)

// PriceForm gives how a supplier's price list is laid out, as it was kept; without headings where nothing was.
func (b *Book) PriceForm(ctx context.Context, supplier string) (f model.PriceForm, err error) {
	err = b.read(ctx, func(t *transaction) error {
		f, _, err = t.priceForm(supplier)
		return err
	})
	return f, err
}

func (t *transaction) priceForm(supplier string) (f model.PriceForm, id int, err error) {
	f = model.PriceForm{Supplier: supplier, Profiles: map[string]string{}}
	var breaks string
	if _, err := t.one("SELECT id, sheet, article, length, unit, price, breaks, sold_by, bundle, least, cut, decimal, thousands FROM price_list WHERE supplier = ?", []any{supplier},
		&id, &f.Sheet, &f.Article, &f.Length, &f.Unit, &f.Price, &breaks, &f.By, &f.Bundle, &f.Least, &f.Cut, &f.Habits.Decimal, &f.Habits.Thousands); err != nil {
		return f, 0, err
	}
	for line := range strings.Lines(breaks) {
		from, column, _ := strings.Cut(strings.TrimSpace(line), "=")
		n, err := strconv.Atoi(from)
		if err != nil {
			return f, 0, err
		}
		f.Breaks = append(f.Breaks, model.PriceBreak{From: n, Column: column})
	}
	err = t.each("SELECT article, profile FROM price_article WHERE supplier = ? ORDER BY id", []any{supplier}, func(scan func(...any) error) error {
		var article, profile string
		err := scan(&article, &profile)
		f.Profiles[article] = profile
		return err
	})
	return f, id, err
}

// KeepPriceForm keeps how a supplier's price list is laid out.
func KeepPriceForm(f model.PriceForm) Change {
	return Change{"price list", func(t *transaction) error {
		was, id, err := t.priceForm(f.Supplier)
		if err != nil {
			return err
		}
		breaks := ""
		for _, b := range f.Breaks {
			breaks += fmt.Sprintf("%d=%s\n", b.From, clean(b.Column))
		}
		pairs := []any{"supplier", clean(f.Supplier), "sheet", clean(f.Sheet), "article", clean(f.Article), "length", clean(f.Length), "unit", f.Unit, "price", clean(f.Price),
			"breaks", breaks, "sold_by", clean(f.By), "bundle", clean(f.Bundle), "least", clean(f.Least), "cut", clean(f.Cut), "decimal", f.Habits.Decimal, "thousands", f.Habits.Thousands}
		changed := id == 0
		if id == 0 {
			_, err = t.insert("price_list", pairs...)
		} else {
			changed, err = t.put("price_list", id, pairs)
		}
		if err != nil {
			return err
		}
		for article, profile := range f.Profiles {
			if was.Profiles[article] == profile {
				continue
			}
			changed = true
			if _, err := t.exec(`INSERT INTO price_article (supplier, article, profile) VALUES (?, ?, ?)
				ON CONFLICT (supplier, article) DO UPDATE SET profile = excluded.profile`, clean(f.Supplier), clean(article), clean(profile)); err != nil {
				return err
			}
		}
		if changed {
			t.tell("how the price list of %s is laid out", f.Supplier)
		}
		return nil
	}}
}

// OffersOn gives what was on offer at the end of a day, by the book's history.
func (b *Book) OffersOn(ctx context.Context, day model.Date) (offers []model.Offer, err error) {
	err = b.read(ctx, func(t *transaction) error {
		end := time.Date(day.Year(), day.Month(), day.Day()+1, 0, 0, 0, 0, t.now.Location()).UTC().Format(time.RFC3339)
		var begun bool
		if err := t.row("SELECT EXISTS (SELECT 1 FROM step WHERE at < ?)", end).Scan(&begun); err != nil {
			return err
		}
		if !begun {
			return usageError(b.path, fmt.Sprintf("the book has no prices of %s: it was begun later", day), "give a day since it was begun")
		}
		offers, err = t.offersBefore(end)
		return err
	})
	return offers, err
}

// offersBefore takes back, from what is on offer now, every change of an offer from a time on.
func (t *transaction) offersBefore(end string) ([]model.Offer, error) {
	var w model.Workshop
	if err := t.readOffers(&w); err != nil {
		return nil, err
	}
	at := map[int]model.Offer{}
	for _, o := range w.Offers {
		at[o.Where.Line] = o
	}
	err := t.each("SELECT c.row, coalesce(c.before, '') FROM change AS c JOIN step AS s ON s.id = c.step WHERE c.tab = 'offer' AND s.at >= ? ORDER BY c.id DESC", []any{end},
		func(scan func(...any) error) error {
			var row int
			var before string
			if err := scan(&row, &before); err != nil {
				return err
			}
			if before == "" {
				delete(at, row)
				return nil
			}
			o, err := offerOf(before)
			o.Where = t.where("offer", int64(row))
			at[row] = o
			return err
		})
	var offers []model.Offer
	for _, o := range at {
		offers = append(offers, o)
	}
	slices.SortFunc(offers, func(a, b model.Offer) int { return a.Where.Line - b.Where.Line })
	return offers, err
}

// offerOf reads a row of the history; of columns that came later it has none.
func offerOf(image string) (model.Offer, error) {
	var r struct {
		Supplier, Profile, Until, Article string
		Length                            model.Length `json:"length_nm"`
		Longest                           model.Length `json:"longest_nm"`
		Bundle                            int
		From                              int          `json:"from_number"`
		Price                             model.Money  `json:"price_minor"`
		Rate                              model.Money  `json:"rate_minor"`
		Per                               model.Length `json:"per_nm"`
		Least                             model.Money  `json:"least_minor"`
		Cut                               model.Money  `json:"cut_minor"`
	}
	if err := json.Unmarshal([]byte(image), &r); err != nil {
		return model.Offer{}, err
	}
	until, err := day(r.Until)
	return model.Offer{Supplier: r.Supplier, Profile: r.Profile, Length: r.Length, Longest: r.Longest, Bundle: r.Bundle, From: r.From, Price: r.Price, Until: until, Article: r.Article,
		ByLength: model.ByLength{Price: r.Rate, Per: r.Per, Least: r.Least, Cut: r.Cut}}, err
}
