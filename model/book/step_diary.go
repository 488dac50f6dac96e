package book

import (
	"cmp"
	"fmt"
	"strings"

	"longpoint/model"
)

// The history is a diary: each step says in words what it did, with amounts, in the units that the workshop had then.

// tell writes into the diary what the step does. A step that tells several things joins them with semicolons.
func (t *transaction) tell(format string, args ...any) {
	t.told = append(t.told, fmt.Sprintf(format, args...))
}

// units gives what the workshop's lengths and money are written in: millimetres and hundredths where the book has no settings yet.
func (t *transaction) units() (model.Unit, model.Currency) {
	if t.unit == 0 {
		var unit, currency string
		var fraction int
		found, err := t.one("SELECT unit, currency, fraction, dates FROM workshop", nil, &unit, &currency, &fraction, &t.dates)
		t.failed = cmp.Or(t.failed, err)
		if err != nil || !found {
			return model.Millimetres, model.Currency{Decimals: 2}
		}
		if t.unit, err = model.ParseUnit(unit); err != nil {
			t.unit = model.Millimetres
		}
		t.unit = t.unit.ReadTo(fraction)
		t.currency, _ = model.ParseCurrency(currency)
	}
	return t.unit, t.currency
}

// day writes a day that is given as year-month-day as the shop writes days.
func (t *transaction) day(text string) string {
	t.units()
	return t.dates.Rewrite(text)
}

// in writes a length to the last nanometre, near one as people read it, and money an amount.
func (t *transaction) in(l model.Length) string {
	unit, _ := t.units()
	return l.In(unit)
}

func (t *transaction) near(l model.Length) string {
	unit, _ := t.units()
	return l.Near(unit)
}

// asCut writes a length that is cut as lists of cuts have it.
func (t *transaction) asCut(l model.Length) string {
	unit, _ := t.units()
	return l.InToCut(unit)
}

func (t *transaction) money(m model.Money) string {
	_, currency := t.units()
	return m.With(currency)
}

// count gives "1 stick" or "3 sticks".
func count(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// listed gives "a", "a and b" or "a, b and c"; of many names only the first, and how many more there are.
func listed(names []string) string {
	const most = 12
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// named gives "job 101" or "jobs 101 and 102".
func named(one string, names []string) string {
	if len(names) == 1 {
		return one + " " + names[0]
	}
	return one + "s " + listed(names)
}
