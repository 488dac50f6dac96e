package model

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// Habits are how a shop writes numbers and days in its tables, and what it calls their columns. Where they say nothing, what can be read in two ways is an
// error that shows both: a guess would be wrong by a thousand, or by months.
type Habits struct {
	Dates     DateOrder // blank: not said
	Decimal   string    // "." or ","; blank: not said
	Thousands string    // ".", ",", "'" or a blank; empty: not said
	Headings  Headings  // of the shop's own for the columns of its tables
}

// DateOrder is how a shop writes days: day, month and year with one mark between them, such as day.month.year.
type DateOrder string

// ParseDateOrder reads the words day, month and year in any order, with a point, a stroke, a hyphen or a blank between them.
func ParseDateOrder(text string) (DateOrder, error) {
	words, mark := splitDay(strings.ToLower(strings.TrimSpace(text)))
	if mark != 0 && slices.Equal(slices.Sorted(slices.Values(words)), []string{"day", "month", "year"}) {
		return DateOrder(strings.Join(words, string(mark))), nil
	}
	return "", &Error{Kind: BadInput, What: Quote(text) + " is no way to write a day", Do: "write day.month.year, month/day/year, year-month-day or the like"}
}

// markNames are the marks and what they are called.
var markNames = map[string]string{".": "point", ",": "comma", "'": "apostrophe", " ": "blank"}

// Write writes a day in this order; no order gives year-month-day.
func (o DateOrder) Write(day Date) string {
	words, mark := splitDay(string(o))
	if day.IsZero() || mark == 0 {
		return day.String()
	}
	for i, word := range words {
		words[i] = map[string]string{"day": day.Format("02"), "month": day.Format("01"), "year": day.Format("2006")}[word]
	}
	return strings.Join(words, string(mark))
}

// Mark gives the mark between day, month and year; 0: no order is said.
func (o DateOrder) Mark() rune {
	_, mark := splitDay(string(o))
	return mark
}

// Rewrite writes a day that is given as year-month-day in this order. What is no such day, such as a word in its place, stays as it is.
func (o DateOrder) Rewrite(text string) string {
	if day, err := ParseDate(text); err == nil {
		return o.Write(day)
	}
	return text
}

// MarkName gives the name of a mark, as ParseMark reads it; blank for none.
func MarkName(mark string) string { return markNames[mark] }

// ParseMark reads a decimal mark or a mark between thousands, one of those allowed, given itself or by its name.
func ParseMark(text string, allowed string) (string, error) {
	var words []string
	for _, r := range allowed {
		mark := string(r)
		if plain := plainGroup(text); plain == mark || strings.EqualFold(strings.TrimSpace(text), markNames[mark]) {
			return mark, nil
		}
		words = append(words, markNames[mark])
	}
	return "", &Error{Kind: BadInput, What: Quote(text) + " is no such mark", Do: "write " + strings.Join(words, " or ") + ", or the mark itself"}
}

// Check tells whether the decimal mark is another than the one between thousands.
func (h Habits) Check() error {
	if h.Decimal != "" && h.Decimal == h.Thousands {
		return &Error{Kind: BadInput, What: "the decimal mark and the mark between thousands are the same", Do: "correct one of them"}
	}
	return nil
}

// ParseDate reads a day. Year-month-day is always read, with four digits of year; another form where the shop's habits say
// so, a year of two digits then being one of this century; and where they say nothing, what can be read in one way only.
func (h Habits) ParseDate(text string) (Date, error) {
	text = strings.Join(strings.Fields(text), " ")
	if d, err := ParseDate(text); err == nil {
		return d, nil
	}
	parts, mark := splitDay(text)
	if mark == 0 {
		return Date{}, h.noDate(text)
	}
	if h.Dates != "" {
		words, own := splitDay(string(h.Dates))
		if d, ok := dayOf(parts, words); ok && own == mark {
			return d, nil
		}
		return Date{}, h.noDate(text)
	}
	var readings, meant []string
	for _, order := range dayOrders {
		if d, ok := dayOf(parts, strings.Fields(order)); ok && !slices.Contains(readings, d.String()) {
			readings, meant = append(readings, d.String()), append(meant, string(orderOf(order, mark)))
		}
	}
	switch len(readings) {
	case 0:
		return Date{}, h.noDate(text)
	case 1:
		return ParseDate(readings[0])
	}
	return Date{}, twoWays(text, readings, "dates", meant[0])
}

// dayOrders are the orders in which people write a day.
var dayOrders = []string{"day month year", "month day year", "year month day"}

func orderOf(words string, mark rune) DateOrder {
	return DateOrder(strings.ReplaceAll(words, " ", string(mark)))
}

// DayOrders gives the orders in which a text is a day; none where it is none, or year-month-day with four digits of year.
func DayOrders(text string, today Date) (orders []DateOrder) {
	if _, err := ParseDate(text); err == nil {
		return nil
	}
	for _, mark := range "./- " {
		for _, words := range dayOrders {
			order := orderOf(words, mark)
			if _, err := (Habits{Dates: order}).ParseDateNear(text, today); err == nil {
				orders = append(orders, order)
			}
		}
	}
	return orders
}

// weeksBack is how long ago a day without a year may be: a job that is late is still on the list.
const weeksBack = 13

// ParseDateNear reads a day as ParseDate does, and one without a year, such as 3.12., as the first that comes, counted from some weeks before today on.
func (h Habits) ParseDateNear(text string, today Date) (Date, error) {
	var parts []string
	mark := ' '
	for _, m := range "./-" {
		if words := strings.Split(strings.TrimSuffix(strings.Join(strings.Fields(text), ""), string(m)), string(m)); len(words) == 2 {
			parts, mark = words, m
		}
	}
	if parts == nil {
		return h.ParseDate(text)
	}
	orders := []string{"day month", "month day"}
	meant := orderOf(dayOrders[0], mark)
	if words, own := splitDay(string(h.Dates)); own != 0 {
		if own != mark {
			return Date{}, h.noDate(text)
		}
		orders = []string{strings.Join(slices.DeleteFunc(words, func(word string) bool { return word == "year" }), " ")}
	} else if strings.HasSuffix(strings.TrimSpace(text), ".") {
		orders = orders[:1] // so only those write who write the day first
	}
	var readings []string
	for _, order := range orders {
		for year := today.Year() - 1; year <= today.Year()+1; year++ {
			d, ok := dayOf(append(slices.Clone(parts), strconv.Itoa(year)), append(strings.Fields(order), "year"))
			if ok && !d.Before(today.AddDate(0, 0, -7*weeksBack)) {
				if !slices.Contains(readings, d.String()) {
					readings = append(readings, d.String())
				}
				break
			}
		}
	}
	switch len(readings) {
	case 0:
		return Date{}, h.noDate(text)
	case 1:
		return ParseDate(readings[0])
	}
	return Date{}, twoWays(text, readings, "dates", string(meant))
}

func (h Habits) noDate(text string) error {
	e := &Error{Kind: BadInput, What: Quote(text) + " is not a date", Do: "write year-month-day, like 2026-11-24"}
	if h.Dates != "" {
		e.What += fmt.Sprintf(" as this workshop writes them, %s", h.Dates)
		e.Do = "write it so, or year-month-day"
	}
	return e
}

// twoWays is the error of what can be read in several ways, of which it shows two. The setting, with the value that it needs for the first of them, would
// leave one.
func twoWays(text string, readings []string, setting, first string) error {
	a, b := shortest(readings[0]), shortest(readings[1])
	return &Error{Kind: BadInput, What: fmt.Sprintf("%s can be read in two ways, as %s and as %s", Quote(text), a, b),
		Do: fmt.Sprintf("write %s or %s, or, if the first is what you mean by such, set %s = \"%s\" under [tables] in workshop.toml, of a book by \"longpoint settings --set tables.%s=%s\"",
			a, b, setting, first, setting, first)}
}

// shortest takes the noughts behind a decimal point away that say nothing.
func shortest(number string) string {
	if !strings.Contains(number, ".") {
		return number
	}
	return strings.TrimSuffix(strings.TrimRight(number, "0"), ".")
}

// splitDay takes three words with one and the same mark between them apart; no mark: they are none.
func splitDay(text string) (words []string, mark rune) {
	for _, m := range "./- " {
		if words := strings.Split(strings.TrimSuffix(text, "."), string(m)); len(words) == 3 {
			return words, m
		}
	}
	return nil, 0
}

// dayOf makes a day of three parts in an order.
func dayOf(parts, order []string) (d Date, ok bool) {
	n := map[string]int{}
	for i, word := range order {
		v, err := strconv.Atoi(parts[i])
		if digits := len(parts[i]); err != nil || digits > 4 || digits > 2 && word != "year" || digits == 3 || digits == 1 && word == "year" {
			return Date{}, false
		}
		n[word] = v
		if word == "year" && len(parts[i]) == 2 {
			n[word] += thisCentury
		}
	}
	t := time.Date(n["year"], time.Month(n["month"]), n["day"], 0, 0, 0, 0, time.UTC)
	return Date{t}, t.Year() == n["year"] && int(t.Month()) == n["month"] && t.Day() == n["day"] && t.Year() >= firstYear
}

const thisCentury = 2000

// Plain gives text with every number in it written with a decimal point and with nothing between thousands, so that it is
// read in one way. The error shows a number that the habits leave two readings of, or none. An apostrophe may stand for feet
// where feet is set.
func (h Habits) Plain(text string, feet bool) (string, error) {
	if isPlain(text) {
		return text, nil
	}
	in := []rune(text)
	var out strings.Builder
	for i := 0; i < len(in); {
		n := newNumeral(in[i:], h)
		if n.size == 0 {
			r := in[i]
			if unicode.IsSpace(r) {
				r = ' '
			}
			out.WriteRune(r)
			i++
			continue
		}
		readings := n.readings(h, feet)
		switch len(readings) {
		case 0:
			return "", h.noNumber(n.text)
		case 1:
			out.WriteString(readings[0])
		default:
			setting, mark := "decimal", n.marks[len(n.marks)-1]
			if mark == "'" {
				setting = "thousands"
			}
			return "", twoWays(n.text, readings, setting, MarkName(mark))
		}
		i += n.size
	}
	return strings.TrimSpace(out.String()), nil
}

func (h Habits) noNumber(text string) error {
	e := &Error{Kind: BadInput, What: Quote(text) + " is not a number", Do: "write it with one decimal mark, and nothing between thousands"}
	switch {
	case h.Decimal != "":
		e.What += fmt.Sprintf(" as this workshop writes them, with a decimal %s", markNames[h.Decimal])
		e.Do = "write it so, or change decimal under [tables] in workshop.toml"
	case h.Thousands != "":
		e.What += fmt.Sprintf(" as this workshop writes them, with %s between thousands", map[string]string{".": "a point", ",": "a comma", "'": "an apostrophe", " ": "a blank"}[h.Thousands])
		e.Do = "write it so, or change thousands under [tables] in workshop.toml"
	}
	return e
}

// isPlain tells a whole number from what needs a closer look.
func isPlain(text string) bool {
	for i := range len(text) {
		if text[i] < '0' || text[i] > '9' {
			return false
		}
	}
	return true
}

// numeral is a number as somebody wrote it: groups of digits, and a mark before each group but the first.
type numeral struct {
	text   string
	size   int // in runes; 0: there is no number here
	groups []string
	marks  []string
}

// newNumeral takes the number that text starts with, if it starts with one.
func newNumeral(text []rune, h Habits) (n numeral) {
	digits := func(from int) int {
		to := from
		for to < len(text) && '0' <= text[to] && text[to] <= '9' {
			to++
		}
		return to
	}
	at := digits(0)
	n.groups = []string{string(text[:at])}
	for at < len(text) {
		mark := plainGroup(string(text[at]))
		next := digits(at + 1)
		three := next == at+4 && (next == len(text) || text[next] != '/')
		switch {
		case next == at+1:
			mark = ""
		case mark == " " && (text[at] == ' ' && h.Thousands != " " || !three || n.groups[0] == ""):
			mark = "" // a blank before a fraction, or before another number
		case mark == "'" && (!three || len(n.groups[len(n.groups)-1]) > 3 || n.groups[0] == ""):
			mark = "" // feet
		}
		if mark == "" || !strings.Contains(".,' ", mark) {
			break
		}
		n.marks = append(n.marks, mark)
		n.groups = append(n.groups, string(text[at+1:next]))
		at = next
	}
	if at > 0 {
		n.text, n.size = string(text[:at]), at
	}
	return n
}

// plainGroup makes the blanks that spreadsheets group digits with an ordinary blank (unbreakable, narrow unbreakable, thin), and
// the apostrophes they group them with an ordinary one.
func plainGroup(mark string) string {
	switch mark {
	case "\u00a0", "\u202f", "\u2009":
		return " "
	case "’":
		return "'"
	}
	return mark
}

// readings gives the numbers that are meant, each once.
func (n numeral) readings(h Habits, feet bool) (out []string) {
	last := len(n.marks) - 1
	if last < 0 {
		return n.groups
	}
	mark := n.marks[last]
	if whole, part := n.groups[:last+1], n.groups[last+1]; (mark == "." || mark == ",") && (h.Decimal == "" || h.Decimal == mark) && mark != h.Thousands {
		if len(whole) == 1 || grouped(whole) && !slices.Contains(n.marks[:last], mark) && h.groups(n.marks[:last]) {
			out = append(out, strings.Join(whole, "")+"."+part)
		}
	}
	if grouped(n.groups) && h.groups(n.marks) {
		out = append(out, strings.Join(n.groups, ""))
		if inches, err := strconv.Atoi(n.groups[1]); err == nil && mark == "'" && feet && h.Thousands == "" && last == 0 {
			out = append(out, fmt.Sprintf(`%s' %d"`, n.groups[0], inches))
		}
	}
	return out
}

// groups tells whether these marks may all stand between thousands. A blank that does not break the line can mean nothing else.
func (h Habits) groups(marks []string) bool {
	for _, m := range marks {
		if m != marks[0] || h.Thousands != "" && m != h.Thousands && m != " " || m == h.Decimal {
			return false
		}
	}
	return true
}

// grouped tells whether digits are grouped by three, the first group being of one to three and no nought.
func grouped(groups []string) bool {
	for i, g := range groups {
		if i == 0 && (len(g) < 1 || len(g) > 3 || g[0] == '0') || i > 0 && len(g) != 3 {
			return false
		}
	}
	return true
}
