package book

import (
	"context"
	"encoding/base64"
	"fmt"
	"strings"

	"longpoint/model"
	tabular "longpoint/model/table"
)

// Export hands all that a book holds to a function that writes it to a path: the workshop, as its tables are written, nil where there are no
// settings; and every table of the book by itself, history included, with the numbers of its rows, from which the same book can be
// made (Import). Nothing is written in the book meanwhile that the function does not see, or sees in part.
func (b *Book) Export(ctx context.Context, path string, write func(w *model.Workshop, past []tabular.Written) error) error {
	err := b.read(ctx, func(t *transaction) error {
		w, err := t.asWritten()
		if err != nil {
			return err
		}
		tables, err := tablesIn(ctx, t.tx)
		if err != nil {
			return err
		}
		past, err := historyIn(ctx, t.tx)
		if err != nil {
			return err
		}
		f := formatOf(w)
		var all []tabular.Written
		for _, tb := range append(tables, past...) {
			all = append(all, tabular.Written{Set: tb.set(), Rows: t.rows(tb, f)})
		}
		return explain(path, write(w, all))
	})
	return err
}

// asWritten gives the shop as its tables are written: what is worked out for planning is not in it, and orders have the names that tables gave them. nil:
// there are no settings.
func (t *transaction) asWritten() (*model.Workshop, error) {
	if found, err := t.one("SELECT id FROM workshop", nil, new(int64)); err != nil || !found {
		return nil, err
	}
	w := &model.Workshop{}
	for _, read := range []func(*model.Workshop) error{t.readSettings, t.readProfiles, t.readSuppliers, t.readOffers, t.readRack, t.readCalled, t.readJobs} {
		if err := read(w); err != nil {
			return nil, err
		}
	}
	return w, nil
}

// set gives the table as files know it.
func (tb table) set() tabular.Set {
	kinds := map[kind]tabular.Kind{words: tabular.Exact, integer: tabular.Count, length: tabular.Length, money: tabular.Money,
		degrees: tabular.Angle, spans: tabular.Spans, blob: tabular.Exact}
	s := tabular.Set{Name: tb.name}
	for _, c := range tb.columns {
		s.Columns = append(s.Columns, tabular.Column{Name: c.file, Kind: kinds[c.kind]})
	}
	return s
}

// rows gives a table's rows as files have them, by id.
func (t *transaction) rows(tb table, f format) tabular.Rows {
	return func(yield func([]string, error) bool) {
		stopped := false
		err := t.each("SELECT "+tb.names()+" FROM "+tb.name+" ORDER BY id", nil, func(scan func(...any) error) error {
			values := make([]any, len(tb.columns))
			into := make([]any, len(tb.columns))
			for i := range values {
				into[i] = &values[i]
			}
			if stopped {
				return nil
			}
			if err := scan(into...); err != nil {
				return err
			}
			cells := make([]string, len(tb.columns))
			for i, c := range tb.columns {
				cells[i] = f.cell(c, values[i])
			}
			stopped = !yield(cells, nil)
			return nil
		})
		if err != nil && !stopped {
			yield(nil, err)
		}
	}
}

// format is how values are written in files, in both directions: in the workshop's unit, with a decimal point.
type format struct {
	unit     model.Unit
	currency model.Currency
}

// formatOf gives a workshop's format; of none millimetres and hundredths.
func formatOf(w *model.Workshop) format {
	if w == nil {
		return format{model.Millimetres, model.Currency{Decimals: 2}}
	}
	return format{w.Unit, w.Currency}
}

// cell writes a value of the book as a cell, NULL as a blank one.
func (f format) cell(c column, value any) string {
	switch v := value.(type) {
	case nil:
		return ""
	case []byte:
		return base64.StdEncoding.EncodeToString(v)
	case string:
		if c.kind == spans {
			return f.spans(v)
		}
		return v
	case int64:
		switch c.kind {
		case length:
			return model.Length(v).Bare(f.unit)
		case money:
			return model.Money(v).In(f.currency)
		case degrees:
			return strings.TrimSuffix(model.Angle(v).String(), "°")
		}
		return fmt.Sprint(v)
	}
	return fmt.Sprint(value)
}

// spans writes damaged parts with their units, as model.ParseSpans reads them: "0 mm to 45 mm; 1200 mm to 1260 mm".
func (f format) spans(text string) string {
	all, err := parseSpans(text)
	if err != nil {
		return text
	}
	parts := make([]string, len(all))
	for i, s := range all {
		parts[i] = s.In(f.unit)
	}
	return strings.Join(parts, "; ")
}
