package table

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"longpoint/model"
)

// Converter makes quantities of values, in a workshop's unit and currency and by its habits. What it cannot make one of it
// reports, and gives zero.
type Converter struct {
	Unit     model.Unit
	Currency model.Currency
	Habits   model.Habits
	Problems *Problems
	Today    model.Date // beside which a day without a year lies; the zero Date: as the clock says
}

// Given reports a value that must not be blank and is.
func (c *Converter) Given(v Value) bool {
	switch {
	case !v.Blank():
		return true
	case v.reported:
	case v.Where.Line == 0:
		c.Problems.Add(v.Where, "this is missing", "add it")
	default:
		c.Problems.Add(v.Where, "nothing is given here", "fill it in")
	}
	return false
}

// Name gives a name that other tables refer to: one line, single blanks. It must be given.
func (c *Converter) Name(v Value) string {
	c.Given(v)
	name := OneLine(v.Text)
	if IsNote(name) {
		c.Problems.Add(v.Where, model.Quote(name)+" is no name", "let it start with something else: what starts with a hash and a blank is a note")
	}
	return name
}

// OneLine makes every run of white space a single blank.
func OneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// Size gives a length that must be given and more than zero.
func (c *Converter) Size(v Value) model.Length {
	if !c.Given(v) {
		return 0
	}
	l, ok := c.length(v)
	if ok && l <= 0 {
		c.Problems.Add(v.Where, model.Quote(v.Text)+" is not more than zero", "give the length it really has")
	}
	return l
}

// Amount gives a length that must be given and may be zero.
func (c *Converter) Amount(v Value) model.Length {
	if !c.Given(v) {
		return 0
	}
	return c.AmountOr(v, 0)
}

// AmountOr gives a length that may be zero, or another where none is given.
func (c *Converter) AmountOr(v Value, other model.Length) model.Length {
	if v.Blank() {
		return other
	}
	l, _ := c.length(v)
	return l
}

// Limit gives a length that need not be given and otherwise is more than zero.
func (c *Converter) Limit(v Value) model.OptionalLength {
	if v.Blank() {
		return model.OptionalLength{}
	}
	return model.OptionalLength{Length: c.Size(v), Given: true}
}

func (c *Converter) length(v Value) (l model.Length, ok bool) {
	text, err := c.plain(v, true)
	if err == nil {
		l, err = model.ParseLength(text, cmp.Or(v.unit, c.Unit))
	}
	return l, c.Parsed(v, err)
}

// IsSize tells whether a value holds a width and a height in one, such as 40 x 50 cm.
func (v Value) IsSize() bool { return v.form == written && len(model.SplitSize(v.Text)) == 2 }

// WidthAndHeight gives the two lengths of a value that holds both.
func (c *Converter) WidthAndHeight(v Value) (width, height model.Length) {
	text, err := c.plain(v, true)
	var both []model.Length
	if err == nil {
		both, err = model.ParseSize(text, cmp.Or(v.unit, c.Unit))
	}
	if !c.Parsed(v, err) {
		return 0, 0
	}
	return both[0], both[1]
}

// plain gives a value's text with its numbers in plain form.
func (c *Converter) plain(v Value, feet bool) (string, error) {
	switch v.form {
	case written:
		return c.Habits.Plain(v.Text, feet)
	case percent:
		return v.Text + " %", nil
	}
	return v.Text, nil
}

// Price gives an amount of money that must be given and more than zero.
func (c *Converter) Price(v Value) model.Money {
	if !c.Given(v) {
		return 0
	}
	m, ok := c.money(v)
	if ok && m <= 0 {
		c.Problems.Add(v.Where, model.Quote(v.Text)+" is not more than zero", "give the price")
	}
	return m
}

// Rate gives a price by length, which may have more decimals than the currency: m is the price of so many.
func (c *Converter) Rate(v Value) (m model.Money, of int) {
	const most = 3 // decimals more
	if !c.Given(v) {
		return 0, 1
	}
	text, err := c.plain(v, false)
	if err == nil {
		of = 1
		finer := c.Currency
		m, err = model.ParseMoney(text, finer)
		for range most {
			if err == nil {
				break
			}
			finer.Decimals++
			of *= 10
			if more, moreErr := model.ParseMoney(text, finer); moreErr == nil {
				m, err = more, nil
			}
		}
	}
	if c.Parsed(v, err) && m <= 0 {
		c.Problems.Add(v.Where, model.Quote(v.Text)+" is not more than zero", "give the price")
	}
	return m, of
}

// OptionalPrice gives a price that need not be given.
func (c *Converter) OptionalPrice(v Value) model.OptionalMoney {
	if v.Blank() {
		return model.OptionalMoney{}
	}
	return model.OptionalMoney{Amount: c.Price(v), Given: true}
}

// Sum gives an amount of money that need not be given and may be zero.
func (c *Converter) Sum(v Value) model.OptionalMoney {
	if v.Blank() {
		return model.OptionalMoney{}
	}
	m, ok := c.money(v)
	return model.OptionalMoney{Amount: m, Given: ok}
}

func (c *Converter) money(v Value) (m model.Money, ok bool) {
	text, err := c.plain(v, false)
	if err == nil {
		m, err = model.ParseMoney(text, c.Currency)
	}
	return m, c.Parsed(v, err)
}

// Date gives a day; the zero Date where none is given.
func (c *Converter) Date(v Value) model.Date {
	if v.Blank() {
		return model.Date{}
	}
	today := c.Today
	if today.IsZero() {
		today = model.Date{Time: time.Now()}
	}
	d, err := c.Habits.ParseDateNear(v.Text, today)
	if orders := model.DayOrders(v.Text, today); err != nil && c.Habits.Dates == "" && v.table != nil && len(orders) > 1 {
		order, reading := v.table.dayOrder(v.column, orders, today)
		if d, err = (model.Habits{Dates: order}).ParseDateNear(v.Text, today); reading != nil {
			c.Problems.Readings = append(c.Problems.Readings, reading)
		}
	}
	c.Parsed(v, err)
	return d
}

// Angle gives an angle that need not be given. One that is none counts as not given, so that it is not compared.
func (c *Converter) Angle(v Value) model.OptionalAngle {
	if v.Blank() {
		return model.OptionalAngle{}
	}
	text, err := c.plain(v, false)
	var a model.Angle
	if err == nil {
		a, err = model.ParseAngle(text)
	}
	return model.OptionalAngle{Angle: a, Given: c.Parsed(v, err)}
}

// Parsed reports a parser's error, and tells whether there was none.
func (c *Converter) Parsed(v Value, err error) bool {
	if err == nil {
		return true
	}
	e := &model.Error{Kind: model.BadInput, What: model.Quote(v.Text) + " cannot be read", Do: "correct it", Err: err}
	if own, ok := errors.AsType[*model.Error](err); ok {
		e.What, e.Do, e.Err = own.What, own.Do, own.Err
	}
	if v.kind() == Date {
		e.Do = v.orSay(e.Do)
	}
	e.Where = v.Where
	c.Problems.Keep(e)
	return false
}

// Count gives a whole number from least to greatest, or another where none is given. ok = false: it was none, which is
// reported.
func (c *Converter) Count(v Value, least, greatest, other int) (n int, ok bool) {
	if v.Blank() {
		return other, true
	}
	text, err := c.plain(v, false)
	if err != nil {
		return other, c.Parsed(v, err)
	}
	n, err = strconv.Atoi(text)
	if err == nil && n >= least && n <= greatest {
		return n, true
	}
	what := " is not a whole number"
	if err == nil || errors.Is(err, strconv.ErrRange) {
		what = " is out of range"
	}
	c.Problems.Add(v.Where, model.Quote(v.Text)+what, v.orSay(fmt.Sprintf("give a whole number from %d to %d", least, greatest)))
	return other, false
}

// Share gives a percentage, with or without its sign, that need not be given.
func (c *Converter) Share(v Value) model.OptionalShare {
	if v.Blank() {
		return model.OptionalShare{}
	}
	if v.Text = strings.TrimSpace(strings.TrimSuffix(v.Text, "%")); v.form == percent {
		v.form = number
	}
	n, ok := c.Count(v, 0, 100, 0)
	return model.OptionalShare{Percent: n, Given: ok}
}

// Spans gives the parts of a stick that are damaged; nil where none are given.
func (c *Converter) Spans(v Value) []model.Span {
	if v.Blank() {
		return nil
	}
	text, err := c.plain(v, true)
	var spans []model.Span
	if err == nil {
		spans, err = model.ParseSpans(text, c.Unit)
	}
	c.Parsed(v, err)
	return spans
}

// Match gives a rule of matching; none where none is given.
func (c *Converter) Match(v Value) model.Match {
	rules := model.Matches()
	words := make([]string, len(rules))
	for i, rule := range rules {
		words[i] = string(rule)
	}
	m, known := chosen(v, words, rules)
	if !v.Blank() && !known {
		c.Problems.Add(v.Where, model.Quote(v.Text)+" is no rule of matching", v.meaning(words))
	}
	return m
}

// Choice gives what one of a few words stands for; the zero value where none is given.
func Choice[T any](c *Converter, v Value, words []string, meanings []T) T {
	meaning, known := chosen(v, words, meanings)
	if !v.Blank() && !known {
		c.Problems.Add(v.Where, model.Quote(v.Text)+" is not known here", v.meaning(words))
	}
	return meaning
}

// YesNo gives what yes and no, or one of some words for them, stand for; no where none is given.
func (c *Converter) YesNo(v Value) bool {
	for word, meaning := range map[string]bool{"y": true, "ja": true, "oui": true, "si": true, "sí": true, "true": true, "n": false, "nein": false, "non": false, "false": false} {
		if model.FoldName(v.Text) == model.FoldName(word) {
			return meaning
		}
	}
	return Choice(c, v, []string{"yes", "no"}, []bool{true, false})
}

func chosen[T any](v Value, words []string, meanings []T) (meaning T, known bool) {
	for i, word := range words {
		if model.FoldName(v.Text) == model.FoldName(word) {
			return meanings[i], true
		}
	}
	return meaning, false
}

// Either lists words, the last one after "or". There are at least two.
func Either(words []string) string {
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
