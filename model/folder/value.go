package folder

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"longpoint/model"
)

// value is one cell of a table or one setting: the text a person wrote, and where.
type value struct {
	text     string // without blanks at its ends
	where    model.Place
	reported bool // it is no text or number, which has been reported, and text is blank
}

func (v value) blank() bool { return v.text == "" }

// row gives the cells of one record by the names of their columns.
type row struct {
	table table
	record
}

// cell gives a cell; a blank one where the table lacks the column or the row ends before it.
func (r row) cell(column string) value {
	v := value{where: model.Place{File: r.table.file, Line: r.line, Column: column}}
	if i, there := r.table.at[column]; there && i < len(r.cells) {
		v.text = strings.TrimSpace(r.cells[i])
	}
	return v
}

func (r row) where() model.Place { return model.Place{File: r.table.file, Line: r.line} }

// converter makes quantities of values. What it cannot make one of it reports, and gives zero.
type converter struct {
	unit     model.Unit
	currency model.Currency
	problems *problems
}

// given reports a value that must not be blank and is.
func (c *converter) given(v value) bool {
	switch {
	case !v.blank():
		return true
	case v.reported:
	case v.where.Line == 0:
		c.problems.add(v.where, "this is missing", "add it")
	default:
		c.problems.add(v.where, "nothing is given here", "fill it in")
	}
	return false
}

// name gives a name that other tables refer to: one line, single blanks. It must be given.
func (c *converter) name(v value) string {
	c.given(v)
	return oneLine(v.text)
}

// oneLine makes every run of white space a single blank.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// size gives a length that must be given and more than zero.
func (c *converter) size(v value) model.Length {
	if !c.given(v) {
		return 0
	}
	l, ok := c.length(v)
	if ok && l <= 0 {
		c.problems.add(v.where, show(v.text)+" is not more than zero", "give the length it really has")
	}
	return l
}

// amount gives a length that must be given and may be zero.
func (c *converter) amount(v value) model.Length {
	if !c.given(v) {
		return 0
	}
	return c.amountOr(v, 0)
}

// amountOr gives a length that may be zero, or another where none is given.
func (c *converter) amountOr(v value, other model.Length) model.Length {
	if v.blank() {
		return other
	}
	l, ok := c.length(v)
	if ok && l < 0 {
		c.problems.add(v.where, show(v.text)+" is less than zero", "give the length it really has")
	}
	return l
}

// limit gives a length that need not be given and otherwise is more than zero.
func (c *converter) limit(v value) model.OptionalLength {
	if v.blank() {
		return model.OptionalLength{}
	}
	return model.OptionalLength{Length: c.size(v), Given: true}
}

func (c *converter) length(v value) (l model.Length, ok bool) {
	l, err := model.ParseLength(plainNumber(v.text), c.unit)
	return l, c.parsed(v, err, "is not a length", `write one like 419, 419 mm, 41.9 cm or 16 1/2"`)
}

// price gives an amount of money that must be given and more than zero.
func (c *converter) price(v value) model.Money {
	if !c.given(v) {
		return 0
	}
	m, ok := c.money(v)
	if ok && m <= 0 {
		c.problems.add(v.where, show(v.text)+" is not more than zero", "give the price")
	}
	return m
}

// optionalPrice gives a price that need not be given.
func (c *converter) optionalPrice(v value) model.OptionalMoney {
	if v.blank() {
		return model.OptionalMoney{}
	}
	return model.OptionalMoney{Amount: c.price(v), Given: true}
}

// worth gives an amount of money that need not be given and may be zero.
func (c *converter) worth(v value) model.OptionalMoney {
	if v.blank() {
		return model.OptionalMoney{}
	}
	m, ok := c.money(v)
	if ok && m < 0 {
		c.problems.add(v.where, show(v.text)+" is less than zero", "give what it is worth, or leave it blank")
	}
	return model.OptionalMoney{Amount: m, Given: true}
}

// charge gives what a supplier asks, which need not be given and may be zero.
func (c *converter) charge(v value) model.OptionalMoney {
	if v.blank() {
		return model.OptionalMoney{}
	}
	m, ok := c.money(v)
	return model.OptionalMoney{Amount: m, Given: ok}
}

func (c *converter) money(v value) (m model.Money, ok bool) {
	m, err := model.ParseMoney(plainNumber(v.text), c.currency)
	return m, c.parsed(v, err, "is not an amount of money", "write one like 12.40")
}

// date gives a day; the zero Date where none is given.
func (c *converter) date(v value) model.Date {
	if v.blank() {
		return model.Date{}
	}
	d, err := model.ParseDate(oneLine(v.text))
	c.parsed(v, err, "is not a date", "write year-month-day, like 2027-03-19")
	return d
}

// angle gives an angle that need not be given. One that is none counts as not given, so that it is not compared.
func (c *converter) angle(v value) model.OptionalAngle {
	if v.blank() {
		return model.OptionalAngle{}
	}
	a, err := model.ParseAngle(plainNumber(v.text))
	ok := c.parsed(v, err, "is not an angle", "write degrees, like 45 or 22.5")
	return model.OptionalAngle{Angle: a, Given: ok}
}

// parsed reports a parser's error in the words of the parser where it has any, and tells whether there was none.
func (c *converter) parsed(v value, err error, what, do string) bool {
	if err == nil {
		return true
	}
	e := &model.Error{Kind: model.BadInput, What: show(v.text) + " " + what, Do: do}
	var own *model.Error
	if errors.As(err, &own) {
		e.What, e.Do, e.Err = own.What, own.Do, own.Err
	}
	e.Where = v.where
	c.problems.keep(e)
	return false
}

// count gives a whole number from least to greatest, or another where none is given. ok = false: it was none, which is
// reported.
func (c *converter) count(v value, least, greatest, other int) (n int, ok bool) {
	if v.blank() {
		return other, true
	}
	n, err := strconv.Atoi(plainNumber(v.text))
	if err == nil && n >= least && n <= greatest {
		return n, true
	}
	what := " is not a whole number"
	if err == nil || errors.Is(err, strconv.ErrRange) {
		what = " is out of range"
	}
	c.problems.add(v.where, show(v.text)+what, fmt.Sprintf("give a whole number from %d to %d", least, greatest))
	return other, false
}

// share gives a percentage, with or without its sign, that need not be given.
func (c *converter) share(v value) model.OptionalShare {
	if v.blank() {
		return model.OptionalShare{}
	}
	v.text = strings.TrimSpace(strings.TrimSuffix(v.text, "%"))
	percent, ok := c.count(v, 0, 100, 0)
	return model.OptionalShare{Percent: percent, Given: ok}
}

// match gives a rule of matching; none where none is given.
func (c *converter) match(v value) model.Match {
	rules := model.Matches()
	words := make([]string, len(rules))
	for i, rule := range rules {
		words[i] = string(rule)
	}
	do := "write " + either(words)
	if v.blank() {
		return ""
	}
	for i, word := range words {
		if foldName(v.text) == word {
			return rules[i]
		}
	}
	if near, found := nearest(foldName(v.text), words); found {
		do = "did you mean " + near + "? " + do
	}
	c.problems.add(v.where, show(v.text)+" is no rule of matching", do)
	return ""
}

// spans gives the parts of a stick that are damaged; nil where none are given.
func (c *converter) spans(v value) []model.Span {
	if v.blank() {
		return nil
	}
	spans, err := model.ParseSpans(plainNumber(v.text), c.unit)
	c.parsed(v, err, "is not a part of a stick", "write it like 0 to 45; 1200 to 1260, measured from the head")
	return spans
}

// choice gives what one of a few words stands for; the zero value where none is given.
func choice[T any](c *converter, v value, words []string, meanings []T) (meaning T) {
	if v.blank() {
		return meaning
	}
	for i, word := range words {
		if foldName(v.text) == foldName(word) {
			return meanings[i]
		}
	}
	c.problems.add(v.where, show(v.text)+" is not known here", "write "+either(words))
	return meaning
}

// either lists words, the last one after "or". There are at least two.
func either(words []string) string {
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// plainSpaces makes every kind of blank an ordinary one and takes those at the ends away.
func plainSpaces(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, text))
}

// plainNumber makes a number as a spreadsheet may show it plain: the unbreakable blanks that group its digits by three go,
// any other blank becomes an ordinary one.
func plainNumber(text string) string {
	in := []rune(text)
	out := make([]rune, 0, len(in))
	for i, r := range in {
		if isGrouping(r) && i > 0 && unicode.IsDigit(in[i-1]) && threeDigits(in[i+1:]) {
			continue
		}
		out = append(out, r)
	}
	return plainSpaces(string(out))
}

// isGrouping tells the blanks that spreadsheets group digits with: unbreakable, narrow unbreakable, thin.
func isGrouping(r rune) bool { return r == '\u00a0' || r == '\u202f' || r == '\u2009' }

// threeDigits tells whether text starts with exactly three digits that are not the numerator of a fraction.
func threeDigits(text []rune) bool {
	n := 0
	for n < len(text) && unicode.IsDigit(text[n]) {
		n++
	}
	return n == 3 && (n == len(text) || text[n] != '/')
}
