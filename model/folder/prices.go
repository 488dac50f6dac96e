package folder

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"longpoint/model"
	"longpoint/model/table"
)

// IncomingPrices is a supplier's price list, as it comes, for a workshop that is kept elsewhere.
type IncomingPrices struct {
	path string
	file *table.File
	form model.PriceForm
	part bool
	Seen PricesSeen // once it was read
}

// PricesSeen is what was seen of a price list besides its prices.
type PricesSeen struct {
	Rows     int      `json:"rows"`               // with an article
	Unknown  []string `json:"unknown,omitempty"`  // articles of which nobody says which profile they are
	Unpriced []string `json:"unpriced,omitempty"` // articles that are a profile of ours and have no price
}

// OpenPrices opens a supplier's price list. With part, what it lacks of the supplier's offers stays. The error is of kind BadInput.
func OpenPrices(path string, form model.PriceForm, part bool) (*IncomingPrices, error) {
	file, bad := table.Open(path, table.Ordinary())
	if bad != nil {
		return nil, bad
	}
	return &IncomingPrices{path: path, file: file, form: form, part: part}, nil
}

// Path gives where the list is.
func (in *IncomingPrices) Path() string { return in.path }

// History gives nothing: a price list has none.
func (in *IncomingPrices) History(table.Set, *table.Problems) (*table.Table, bool) {
	return table.Unread(), false
}

// Read gives the workshop with the list's prices in place of those that the supplier has on offer without an end; special offers that end stay.
// The error is a model.Errors with everything that is wrong.
func (in *IncomingPrices) Read(now *model.Workshop, _ bool) (*model.Workshop, []string, error) {
	if now == nil {
		return nil, nil, badFolder(in.path, "the book has no settings yet, and a price list has none", "import a workshop's folder first", nil)
	}
	var p table.Problems
	r, err := newPriceReader(in.form, now, &p)
	if err != nil {
		return nil, nil, err
	}
	t, whole := in.file.Table(r.set(), &p)
	if whole {
		for row := range t.Rows() {
			r.row(row)
		}
	}
	in.Seen = r.seen
	w := *now
	w.Offers = r.merged(now.Offers, in.part)
	if whole && t.Whole() {
		if len(r.offers) == 0 && p.None() {
			r.nothing(in.path)
		}
		p.AddChecked(wrongInList(w.Check()))
	}
	return &w, []string{offerSet.Name}, p.Errors(in.path)
}

// nothing reports why nothing of a list was taken, and what to say.
func (r *priceReader) nothing(path string) {
	if len(r.seen.Unknown) == 0 {
		r.c.Problems.Add(model.Place{File: path}, "the list has no row with an article and a price", "look whether its headings are the ones that were named")
		return
	}
	var names []string
	for _, p := range r.w.Profiles[:min(4, len(r.w.Profiles))] {
		names = append(names, p.Name)
	}
	first := r.seen.Unknown[0]
	r.c.Problems.Add(model.Place{File: path}, fmt.Sprintf("none of its articles is a profile of this workshop: nobody has said yet which profile %s is, and %d more", model.Quote(first), len(r.seen.Unknown)-1),
		fmt.Sprintf(`say it once for each with --is "%s=PROFILE", where PROFILE is one of yours, such as %s; "longpoint prices --help" shows how`, first, strings.Join(names, ", ")))
}

// wrongInList leaves out what no price list can help: that a supplier sells a profile no more which a job needs.
func wrongInList(err error) error {
	all, _ := errors.AsType[model.Errors](err)
	return slices.DeleteFunc(all, func(e *model.Error) bool { return e.Kind == model.CannotCut }).AsError()
}

// priceReader makes offers of the rows of a price list.
type priceReader struct {
	form       model.PriceForm
	w          *model.Workshop
	c          *table.Converter
	per        model.Length
	lengths    []model.Length // of all rows; none: a column says, or what is on offer
	bundle     int            // likewise; 0: none
	least, cut model.Money
	columns    []table.Column
	profiles   map[string]string // by name as it may be written
	now        []model.Offer     // of this supplier
	offers     []model.Offer
	at         map[any]int // in offers
	seen       PricesSeen
}

func newPriceReader(f model.PriceForm, w *model.Workshop, p *table.Problems) (r *priceReader, err error) {
	r = &priceReader{form: f, w: w, at: map[any]int{}, profiles: map[string]string{}}
	if r.per, err = f.Per(); err != nil {
		return nil, err
	}
	habits := w.Habits
	if f.Habits.Decimal != "" || f.Habits.Thousands != "" {
		habits.Decimal, habits.Thousands = f.Habits.Decimal, f.Habits.Thousands
	}
	r.c = &table.Converter{Unit: w.Unit, Currency: w.Currency, Habits: habits, Problems: p}
	for _, profile := range w.Profiles {
		r.profiles[model.FoldName(profile.Name)] = profile.Name
	}
	for _, o := range w.Offers {
		if o.Supplier == f.Supplier && o.Until.IsZero() {
			r.now = append(r.now, o)
		}
	}
	r.column(f.Article, table.Name)
	r.column(f.Price, table.Money)
	for _, b := range f.Breaks {
		r.column(b.Column, table.Money)
	}
	if r.lengths = lengthsIn(f.Length, w.Unit); r.lengths == nil {
		r.column(f.Length, table.Length)
	}
	if r.bundle, err = strconv.Atoi(f.Bundle); err != nil {
		r.column(f.Bundle, table.Count)
	}
	for _, charge := range []struct {
		text string
		to   *model.Money
	}{{f.Least, &r.least}, {f.Cut, &r.cut}} {
		if *charge.to, err = model.ParseMoney(charge.text, w.Currency); err != nil {
			r.column(charge.text, table.Money)
		}
	}
	return r, nil
}

// lengthsIn reads lengths with semicolons between them; none where it is a heading.
func lengthsIn(text string, unit model.Unit) (all []model.Length) {
	for part := range strings.SplitSeq(text, ";") {
		l, err := model.ParseLength(part, unit)
		if err != nil || l <= 0 {
			return nil
		}
		all = append(all, l)
	}
	return all
}

// column adds a column by its heading.
func (r *priceReader) column(heading string, kind table.Kind) {
	if heading != "" && !slices.ContainsFunc(r.columns, func(c table.Column) bool { return model.FoldName(c.Name) == model.FoldName(heading) }) {
		r.columns = append(r.columns, table.Column{Name: heading, Kind: kind, Need: table.Must})
	}
}

func (r *priceReader) set() table.Set {
	name := r.form.Sheet
	if name == "" {
		name = "prices"
	}
	return table.Set{Name: name, Columns: r.columns, Loose: true}
}

// row takes one row in.
func (r *priceReader) row(row table.Row) {
	article := table.OneLine(row.Cell(r.form.Article).Text)
	price := r.amount(row.Cell(r.form.Price))
	if article == "" {
		return // a title between the rows, or a note
	}
	priced := strings.ContainsFunc(price.Text, unicode.IsDigit)
	profile, known := r.profileOf(article)
	if !known && !priced {
		return
	}
	r.seen.Rows++
	switch {
	case !known:
		if !slices.Contains(r.seen.Unknown, article) {
			r.seen.Unknown = append(r.seen.Unknown, article)
		}
		return
	case !priced:
		r.seen.Unpriced = append(r.seen.Unpriced, article)
		return
	}
	lengths := r.lengthsOf(row, profile, article)
	for _, l := range lengths {
		o := model.Offer{Supplier: r.form.Supplier, Profile: profile, Length: l, Article: article, From: 1, Where: row.Where()}
		if o.Bundle = r.bundleOf(row, o); o.Bundle == 0 {
			return
		}
		r.priced(row, o, price)
		for _, b := range r.form.Breaks {
			if price := r.amount(row.Cell(b.Column)); strings.ContainsFunc(price.Text, unicode.IsDigit) {
				o.From = b.From
				r.priced(row, o, price)
			}
		}
	}
}

// profileOf says which profile an article is: as was said, as on offer already, or one of the same name.
func (r *priceReader) profileOf(article string) (string, bool) {
	if profile, said := r.form.Profiles[article]; said {
		return profile, true
	}
	if n := slices.IndexFunc(r.now, func(o model.Offer) bool { return o.Article == article }); n >= 0 {
		return r.now[n].Profile, true
	}
	profile, known := r.profiles[model.FoldName(article)]
	return profile, known
}

// lengthsOf says how long the sticks of a row are.
func (r *priceReader) lengthsOf(row table.Row, profile, article string) (all []model.Length) {
	if r.lengths != nil {
		return r.lengths
	}
	if r.form.Length != "" {
		v := row.Cell(r.form.Length)
		if isNumber := strings.Trim(v.Text, "0123456789.,\u00a0\u202f ") == ""; r.form.Unit != "" && isNumber && !v.Blank() {
			v.Text += " " + r.form.Unit
		}
		before := r.c.Problems.Count()
		if l := r.c.Size(v); r.c.Problems.Count() == before {
			return []model.Length{l}
		}
		return nil
	}
	for _, same := range []func(model.Offer) bool{
		func(o model.Offer) bool { return o.Article == article },
		func(o model.Offer) bool { return true },
	} {
		for _, o := range r.now {
			if o.Profile == profile && same(o) && !slices.Contains(all, o.Length) {
				all = append(all, o.Length)
			}
		}
		if len(all) > 0 {
			return all
		}
	}
	r.c.Problems.Add(row.Cell(r.form.Article).Where, fmt.Sprintf("nobody says how long the sticks of %s are", profile),
		"name the column with --length, or write the length there where all are of one")
	return nil
}

// bundleOf says how many sticks are in a bundle; 0: it cannot be told, which is reported.
func (r *priceReader) bundleOf(row table.Row, o model.Offer) int {
	if r.bundle > 0 {
		return r.bundle
	}
	if r.form.Bundle != "" {
		n, ok := r.c.Count(row.Cell(r.form.Bundle), 1, model.MaxBundle, 1)
		if !ok {
			return 0
		}
		return n
	}
	if n := slices.IndexFunc(r.now, func(was model.Offer) bool { return was.Profile == o.Profile && was.Length == o.Length }); n >= 0 {
		return r.now[n].PerBundle()
	}
	if strings.EqualFold(strings.TrimSpace(r.form.By), "bundle") {
		r.c.Problems.Add(row.Cell(r.form.Article).Where, "nobody says how many sticks are in a bundle of "+o.Profile, "name the column with --bundle, or write the number there")
		return 0
	}
	return 1
}

// priced adds an offer at a price.
func (r *priceReader) priced(row table.Row, o model.Offer, v table.Value) {
	before := r.c.Problems.Count()
	if r.per > 0 {
		m, of := r.c.Rate(v)
		o.ByLength = model.ByLength{Price: m, Per: r.per * model.Length(of), Least: r.charge(row, r.form.Least, r.least), Cut: r.charge(row, r.form.Cut, r.cut)}
		o.Price = o.ByLength.Bundle(o.Length, o.Bundle)
	} else {
		o.Price = r.c.Price(v)
		if !strings.EqualFold(strings.TrimSpace(r.form.By), "bundle") {
			o.Price *= model.Money(o.Bundle)
		}
		if n := slices.IndexFunc(r.now, func(was model.Offer) bool {
			return was.Profile == o.Profile && was.Length == o.Length && was.Longest > 0
		}); n >= 0 {
			o.Longest = r.now[n].Longest
		}
	}
	if r.c.Problems.Count() > before {
		return
	}
	key := offerKey(&o)
	if at, twice := r.at[key]; twice {
		if was := r.offers[at]; was.Price != o.Price {
			r.c.Problems.Add(v.Where, fmt.Sprintf("%s of %s, %s, costs %s here and %s in line %d", o.Profile, o.Length.In(r.w.Unit), o.Article, o.Price.With(r.w.Currency), was.Price.With(r.w.Currency), was.Where.Line),
				"keep one of them")
		}
		return
	}
	r.at[key] = len(r.offers)
	r.offers = append(r.offers, o)
}

// charge is a charge of all rows, or of this one.
func (r *priceReader) charge(row table.Row, heading string, all model.Money) model.Money {
	if !slices.ContainsFunc(r.columns, func(c table.Column) bool { return heading != "" && c.Name == heading }) {
		return all
	}
	return r.c.Sum(r.amount(row.Cell(heading))).Amount
}

// signs are those of currencies that a price may have beside it.
var signs = map[string]string{"EUR": "€", "GBP": "£", "USD": "$", "CAD": "$", "AUD": "$", "NZD": "$", "CHF": "Fr.", "JPY": "¥"}

// amount takes the workshop's own currency and the stroke for no cents off a price. What is then left over is no price.
func (r *priceReader) amount(v table.Value) table.Value {
	code := r.w.Currency.Code
	for _, sign := range []string{code, signs[code]} {
		if sign != "" {
			v.Text = strings.TrimSpace(strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(v.Text), sign), sign))
		}
	}
	for _, none := range []string{".-", ".–", ".—", ",-", ",–", ",—"} {
		v.Text = strings.TrimSuffix(v.Text, none)
	}
	return v
}

// merged puts the list's offers in place of the supplier's that have no end.
func (r *priceReader) merged(now []model.Offer, part bool) (out []model.Offer) {
	put := map[int]bool{}
	for _, o := range now {
		if o.Supplier != r.form.Supplier || !o.Until.IsZero() {
			out = append(out, o)
			continue
		}
		switch at, there := r.at[offerKey(&o)]; {
		case there && !put[at]:
			put[at] = true
			out = append(out, r.offers[at])
		case !there && part:
			out = append(out, o)
		}
	}
	for i, o := range r.offers {
		if !put[i] {
			out = append(out, o)
		}
	}
	return out
}
