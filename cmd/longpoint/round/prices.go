package round

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/model/planner"
)

// Articles reads which profile each article of a price list is, of pairs like 4711=oak-40.
func Articles(pairs []string) (map[string]string, error) {
	all := map[string]string{}
	for _, pair := range pairs {
		at := strings.LastIndex(pair, "=")
		if at < 1 || at == len(pair)-1 {
			return nil, &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("%q is no article and profile", pair), Do: "write it like 4711=oak-40"}
		}
		all[strings.Join(strings.Fields(pair[:at]), " ")] = strings.TrimSpace(pair[at+1:])
	}
	return all, nil
}

// ListUnits are the units that bare lengths of a price list may be in.
var ListUnits = []string{"mm", "cm", "m", "in", "ft"}

// Breaks reads the columns of prices from more bundles on, of pairs like "10=from 10 on".
func Breaks(pairs []string) (all []model.PriceBreak, err error) {
	for _, pair := range pairs {
		text, heading, _ := strings.Cut(pair, "=")
		n, err := strconv.Atoi(strings.TrimSpace(text))
		if err != nil || n < 2 || heading == "" {
			return nil, &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("%q is no number and heading", pair), Do: "write it like 10=from 10 on"}
		}
		all = append(all, model.PriceBreak{From: n, Column: heading})
	}
	return all, nil
}

// Prices is what a price list changes, and what "longpoint prices --json" prints. Lengths are whole nanometres, money minor units of the currency.
type Prices struct {
	Format   string        `json:"format"`
	Supplier string        `json:"supplier"`
	List     string        `json:"list"`
	Lines    []PriceChange `json:"lines"`
	New      int           `json:"new"`
	Gone     int           `json:"gone"`
	Dearer   int           `json:"dearer"`
	Cheaper  int           `json:"cheaper"`
	Same     int           `json:"same"`
	Renamed  int           `json:"renamed"` // at the same price, another article or way to print it
	folder.PricesSeen
	Was      *model.Money   `json:"was,omitempty"` // what is left to cut costs at the prices before
	Is       *model.Money   `json:"is,omitempty"`  // and at these
	NoPlan   string         `json:"no_plan,omitempty"`
	Changed  bool           `json:"changed"`
	Unit     model.Unit     `json:"-"`
	Currency model.Currency `json:"-"`
	asStick  bool           // nobody said what a price of the list is of
}

// PriceChange is an offer that is new, gone, dearer or cheaper.
type PriceChange struct {
	What    string       `json:"what"`
	Profile string       `json:"profile"`
	Length  model.Length `json:"length_nm"`
	Bundle  int          `json:"bundle"`
	From    int          `json:"from"`
	Article string       `json:"article,omitempty"`
	Was     model.Money  `json:"was"`
	Is      model.Money  `json:"is"`
}

// Sold says how a stick is sold where not one by one.
func (l PriceChange) Sold() string {
	var sold []string
	if l.Bundle > 1 {
		sold = append(sold, fmt.Sprintf("by %d", l.Bundle))
	}
	if l.From > 1 {
		sold = append(sold, fmt.Sprintf("from %d", l.From))
	}
	return strings.Join(sold, " ")
}

// Percent is by how much a price changed; blank where there were not two.
func (l PriceChange) Percent() string {
	if l.What == "new" || l.What == "gone" || l.Was <= 0 {
		return ""
	}
	return fmt.Sprintf("%+.1f", 100*(float64(l.Is)/float64(l.Was)-1)) // shown only
}

// NewPrices compares the offers of a supplier before and after a price list.
func NewPrices(form model.PriceForm, list string, r book.Imported, seen folder.PricesSeen) *Prices {
	a := &Prices{Format: "longpoint-prices/1", Supplier: form.Supplier, List: list, Lines: []PriceChange{}, PricesSeen: seen, Unit: r.After.Unit, Currency: r.After.Currency, asStick: form.By == ""}
	type key struct {
		profile         string
		length, longest model.Length
		bundle, from    int
	}
	of := func(w *model.Workshop) (offers []model.Offer, at map[key]model.Offer) {
		at = map[key]model.Offer{}
		for _, o := range w.Offers {
			k := key{o.Profile, o.Length, o.Longest, o.PerBundle(), o.LeastBundles()}
			if _, twice := at[k]; o.Supplier == form.Supplier && o.Until.IsZero() && !twice {
				at[k] = o
				offers = append(offers, o)
			}
		}
		return offers, at
	}
	was, before := of(r.Before)
	is, after := of(r.After)
	add := func(what string, n *int, o model.Offer, was, is model.Money) {
		*n++
		a.Lines = append(a.Lines, PriceChange{what, o.Profile, o.Length, o.PerBundle(), o.LeastBundles(), o.Article, was, is})
	}
	for _, o := range is {
		old, there := before[key{o.Profile, o.Length, o.Longest, o.PerBundle(), o.LeastBundles()}]
		switch {
		case !there:
			add("new", &a.New, o, 0, o.Price)
		case o.Price > old.Price:
			add("dearer", &a.Dearer, o, old.Price, o.Price)
		case o.Price < old.Price:
			add("cheaper", &a.Cheaper, o, old.Price, o.Price)
		case o.Article != old.Article || o.ByLength != old.ByLength:
			a.Renamed++
		default:
			a.Same++
		}
	}
	for _, o := range was {
		if _, there := after[key{o.Profile, o.Length, o.Longest, o.PerBundle(), o.LeastBundles()}]; !there {
			add("gone", &a.Gone, o, o.Price, 0)
		}
	}
	return a
}

// Differ tells whether any price does.
func (a *Prices) Differ() bool { return a.New+a.Gone+a.Dearer+a.Cheaper > 0 }

// TakenAsStick tells whether prices of bundles were reckoned from what nobody has said is of a stick.
func (a *Prices) TakenAsStick() bool {
	return a.asStick && slices.ContainsFunc(a.Lines, func(l PriceChange) bool { return l.Bundle > 1 })
}

// Reckon plans what is left to cut at the prices before, and at the new ones.
func (a *Prices) Reckon(ctx context.Context, b *book.Book, options planner.Options, offers []model.Offer) error {
	w, _, err := b.Rest(ctx)
	if err != nil || len(w.Jobs) == 0 {
		return err
	}
	then := *w
	then.Offers = offers
	for _, plan := range []struct {
		at   *model.Workshop
		cost **model.Money
	}{{w, &a.Was}, {&then, &a.Is}} {
		d, err := planner.Make(ctx, plan.at, options)
		if err != nil {
			if ctx.Err() != nil {
				return err
			}
			a.NoPlan = err.Error()
			return nil
		}
		*plan.cost = &d.Total.Figures.Cost
	}
	return nil
}

// Costs says what that means for what is left to cut.
func (a *Prices) Costs() string {
	c := a.Currency
	switch {
	case a.NoPlan != "":
		return "What is left to cut cannot be planned: " + a.NoPlan + "."
	case a.Was == nil || a.Is == nil:
		return ""
	}
	text := fmt.Sprintf("All that is left to cut costs %s now and %s at these prices", a.Was.With(c), a.Is.With(c))
	switch more := *a.Is - *a.Was; {
	case more > 0:
		text += ", " + more.With(c) + " more"
	case more < 0:
		text += ", " + (-more).With(c) + " less"
	default:
		text += ", the same"
	}
	return text + "."
}
