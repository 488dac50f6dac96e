package book

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"longpoint/model"
	tabular "longpoint/model/table"
)

// Incoming is where an import comes from: tables of a workshop, or all that a book held (Export).
type Incoming interface {
	Path() string
	// Read gives the workshop as it is to be after the import, from what it is now (nil: without settings); with replace, rows that the
	// tables do not have are gone. given names the tables that came, workshop for the settings.
	Read(now *model.Workshop, replace bool) (w *model.Workshop, given []string, err error)
	// History gives a table of the book's own.
	History(set tabular.Set, p *tabular.Problems) (t *tabular.Table, given bool)
}

// Importing says how an import is done.
type Importing struct {
	DryRun  bool // only say what would change
	Replace bool // rows of an imported table that the file does not have are taken out
	// Tell says in the history what was done; nil: how many rows came, and from where.
	Tell func(Imported) string
}

// Imported says what an import changed, or would change.
type Imported struct {
	Before, After *model.Workshop // as their tables are written; nil: there were no settings
	Restored      bool            // a whole book with its history
	Rows          int             // that came with it
	Skipped       bool            // there was a history, which only an empty book takes
}

// Import takes tables in, all in one step or not at all. A row that the book has already, by what people tell rows of its table
// apart, is changed; another is new. The book must be sound afterwards. A book that nothing was ever done in takes history in as
// well, and is then what was exported; where the workshop's tables beside it were changed since, that is a step behind it.
func (b *Book) Import(ctx context.Context, in Incoming, how Importing, by By) (r Imported, err error) {
	_, err = b.write(ctx, "import", by, func(t *transaction) error {
		im := &importer{t: t, in: in, how: how, by: by, result: &r}
		if err := im.run(); err != nil {
			return err
		}
		if how.DryRun {
			return errDry
		}
		return nil
	})
	if errors.Is(err, errDry) {
		err = nil
	}
	if err != nil {
		return Imported{}, err
	}
	return r, nil
}

// importer is one import.
type importer struct {
	t                  *transaction
	in                 Incoming
	how                Importing
	by                 By
	result             *Imported
	new, changed, gone int
}

func (im *importer) run() error {
	t := im.t
	if _, err := t.exec("PRAGMA defer_foreign_keys = ON"); err != nil {
		return err
	}
	if err := im.history(); err != nil {
		return err
	}
	before, err := t.asWritten()
	if err != nil {
		return err
	}
	after, given, err := im.in.Read(before, im.how.Replace)
	if err != nil {
		return err
	}
	if len(given) == 0 && !im.result.Restored {
		return inputError(im.in.Path(), "there is no table of a workshop here", "call the tables profiles, suppliers, offers, rack and jobs")
	}
	if err := im.apply(before, after, given); err != nil {
		return err
	}
	im.result.Before = before
	if im.result.After, err = t.asWritten(); err != nil {
		return err
	}
	switch {
	case im.new+im.changed+im.gone == 0:
	case im.how.Tell != nil:
		t.tell("%s", im.how.Tell(*im.result))
	default:
		t.tell("took in tables from %s: %s new, %d changed, %d gone", filepath.Base(im.in.Path()), count(im.new, "row"), im.changed, im.gone)
	}
	return t.sound("nothing was imported; put it right in the files")
}

// history takes a whole book in where nothing was ever done in this one.
func (im *importer) history() error {
	t := im.t
	past, err := historyIn(t.ctx, t.tx)
	if err != nil {
		return err
	}
	all := true
	for _, tb := range past {
		_, given := im.in.History(tb.set(), &tabular.Problems{})
		all = all && given
	}
	var fresh bool
	if err := t.row("SELECT NOT EXISTS (SELECT 1 FROM step WHERE id <> ?)", t.step).Scan(&fresh); err != nil {
		return err
	}
	if im.result.Skipped = all && !fresh; !all || !fresh {
		return nil
	}
	tables, err := tablesIn(t.ctx, t.tx)
	if err != nil {
		return err
	}
	f := formatOf(nil)
	for _, tb := range tables {
		if err := im.restore(tb, &f); err != nil {
			return err
		}
	}
	for _, query := range []string{"DELETE FROM open_step", "DELETE FROM seal", "DELETE FROM change", "DELETE FROM step"} {
		if _, err := t.exec(query); err != nil {
			return err
		}
	}
	for _, tb := range past {
		if err := im.restore(tb, &f); err != nil {
			return err
		}
	}
	t.restored, im.result.Restored = true, true
	if err := im.references(); err != nil {
		return err
	}
	return t.sealAll()
}

// restore takes a table of the book's own in, with the numbers of its rows. The workshop's own row says what the others are in.
func (im *importer) restore(tb table, f *format) error {
	var p tabular.Problems
	found, _ := im.in.History(tb.set(), &p) // of an older version it may not be there
	for r := range found.Rows() {
		if tb.name == "workshop" {
			unit, err := model.ParseUnit(r.Cell("unit").Text)
			if err == nil {
				f.unit = unit
				f.currency, err = model.ParseCurrency(r.Cell("currency").Text)
			}
			if err != nil {
				return placed(err, r.Where())
			}
		}
		var pairs []any
		for _, c := range tb.columns {
			v := r.Cell(c.file)
			if v.Text == "" && c.preset != "" && !c.optional && c.kind != words {
				continue // of an older version
			}
			value, err := f.value(c, v.Text)
			if err != nil {
				return placed(err, v.Where)
			}
			pairs = append(pairs, c.name, value)
		}
		if _, err := im.t.insert(tb.name, pairs...); err != nil {
			return im.refused(r.Where(), err)
		}
		im.result.Rows++
	}
	return p.Errors()
}

// value reads a cell.
func (f format) value(c column, text string) (any, error) {
	if text == "" && c.optional {
		return nil, nil
	}
	sign, number := int64(1), text
	if plus, negative := strings.CutPrefix(text, "-"); negative {
		sign, number = -1, plus
	}
	switch c.kind {
	case words:
		return clean(text), nil
	case length:
		l, err := model.ParseLength(number, f.unit)
		return sign * int64(l), err
	case money:
		m, err := model.ParseMoney(number, f.currency)
		return sign * int64(m), err
	case degrees:
		a, err := model.ParseAngle(number)
		return sign * int64(a), err
	case spans:
		if text == "" {
			return "", nil
		}
		all, err := model.ParseSpans(text, f.unit)
		return spansText(all), err
	case blob:
		data, err := base64.StdEncoding.DecodeString(text)
		if err != nil {
			return nil, &model.Error{Kind: model.BadInput, What: "this is not base64", Do: "leave the cell as it was exported"}
		}
		return data, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return nil, &model.Error{Kind: model.BadInput, What: model.Quote(text) + " is not a whole number", Do: "leave the cell as it was exported"}
	}
	return n, nil
}

// placed puts a place in the files to an error.
func placed(err error, where model.Place) error {
	e := &model.Error{Kind: model.BadInput, What: err.Error(), Do: "correct it; nothing was imported"}
	if own, ok := errors.AsType[*model.Error](err); ok {
		e.What, e.Do, e.Err = own.What, own.Do, own.Err
	}
	e.Where = where
	return e
}

// refused makes an error with its place of what the book's own rules do not take.
func (im *importer) refused(where model.Place, err error) error {
	e, ok := errors.AsType[*sqlite.Error](err)
	if !ok || e.Code()&primary != sqlite3.SQLITE_CONSTRAINT {
		return err
	}
	return &model.Error{Kind: model.BadInput, What: "the book's rules do not take this: " + e.Error(), Where: where, Do: "correct the row; nothing was imported"}
}

// references finds rows of a restored book that refer to what is not there.
func (im *importer) references() error {
	var errs model.Errors
	err := im.t.each(`SELECT k."table", k.rowid, k.parent, (SELECT l."from" FROM pragma_foreign_key_list(k."table") AS l WHERE l.id = k.fkid LIMIT 1)
		FROM pragma_foreign_key_check AS k LIMIT ?`, []any{MaxFindings}, func(scan func(...any) error) error {
		var name, parent, column string
		var id int64
		if err := scan(&name, &id, &parent, &column); err != nil {
			return err
		}
		errs = append(errs, inputError(im.in.Path(), fmt.Sprintf("in the history of table %s, row %d, column %s: there is no such %s", name, id, column, parent),
			`take the whole export as "longpoint book export" wrote it`))
		return nil
	})
	if err != nil {
		return err
	}
	return errs.AsError()
}

// apply makes the book's tables of what is given what they are to be. Behind a whole book that was taken in this is a step of its own.
func (im *importer) apply(before, after *model.Workshop, given []string) error {
	if before == nil {
		before = &model.Workshop{}
	}
	if im.result.Restored {
		im.t.restored = false
		if err := im.t.begin("import", im.by); err != nil {
			return err
		}
	}
	for _, of := range []struct {
		table string
		apply func(before, after *model.Workshop) error
	}{{"workshop", im.settings}, {"profiles", im.profiles}, {"suppliers", im.suppliers}, {"offers", im.offers}, {"rack", im.rack}, {"jobs", im.jobs}} {
		if slices.Contains(given, of.table) {
			if err := of.apply(before, after); err != nil {
				return err
			}
		}
	}
	if im.result.Restored && im.new+im.changed+im.gone == 0 {
		for _, query := range []string{"DELETE FROM open_step", "DELETE FROM step WHERE id = " + strconv.FormatInt(im.t.step, 10)} {
			if _, err := im.t.exec(query); err != nil {
				return err
			}
		}
		im.t.restored = true
	}
	return nil
}

// settings writes the settings.
func (im *importer) settings(before, after *model.Workshop) error {
	if before.Currency.Code == "" {
		im.new++
		return im.t.fillSettings(after)
	}
	changed, err := im.t.put("workshop", 1, settingPairs(after))
	if changed {
		im.changed++
	}
	return err
}

// put writes what differs in a row.
func (t *transaction) put(table string, id int, pairs []any) (changed bool, err error) {
	var set, is []string
	var args []any
	for i := 0; i < len(pairs); i += 2 {
		set = append(set, pairs[i].(string)+" = ?")
		is = append(is, pairs[i].(string)+" IS NOT ?")
		args = append(args, pairs[i+1])
	}
	done, err := t.exec("UPDATE "+table+" SET "+strings.Join(set, ", ")+" WHERE id = ? AND ("+strings.Join(is, " OR ")+")",
		slices.Concat(args, []any{id}, args)...)
	if err != nil {
		return false, err
	}
	n, err := done.RowsAffected()
	return n > 0, err
}

// each goes through the rows of a table after and before: each that is there before with what it was, each new one with nil; and each that is
// gone with nil for what it is. Rows of one key go together in their order.
func each[T any](before, after []T, key func(*T) any, do func(was, is *T) error) error {
	at := map[any][]*T{}
	for i := range before {
		k := key(&before[i])
		at[k] = append(at[k], &before[i])
	}
	for i := range after {
		k := key(&after[i])
		var was *T
		if list := at[k]; len(list) > 0 {
			was, at[k] = list[0], list[1:]
		}
		if err := do(was, &after[i]); err != nil {
			return err
		}
	}
	for i := range before {
		for _, gone := range at[key(&before[i])] {
			if gone == &before[i] {
				if err := do(gone, nil); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// row writes one row of a table that people edit as it is.
func (im *importer) row(table, what string, where, was model.Place, there, wanted bool, pairs func() []any) error {
	switch {
	case !wanted:
		im.gone++
		_, err := im.t.exec("DELETE FROM "+table+" WHERE id = ?", was.Line)
		if err != nil {
			return placed(fmt.Errorf("%s cannot be taken out: something in the book still refers to it", what), model.Place{File: im.in.Path()})
		}
	case !there:
		im.new++
		if _, err := im.t.insert(table, pairs()...); err != nil {
			return im.refused(where, err)
		}
	default:
		changed, err := im.t.put(table, was.Line, pairs())
		if err != nil {
			return im.refused(where, err)
		}
		if changed {
			im.changed++
		}
	}
	return nil
}

func (im *importer) profiles(before, after *model.Workshop) error {
	return each(before.Profiles, after.Profiles, func(p *model.Profile) any { return p.Name }, func(was, is *model.Profile) error {
		w, i := orNone(was), orNone(is)
		return im.row("profile", "profile "+w.Name, i.Where, w.Where, was != nil, is != nil, func() []any { return profilePairs(i) })
	})
}

func (im *importer) suppliers(before, after *model.Workshop) error {
	return each(before.Suppliers, after.Suppliers, func(s *model.Supplier) any { return s.Name }, func(was, is *model.Supplier) error {
		w, i := orNone(was), orNone(is)
		return im.row("supplier", "supplier "+w.Name, i.Where, w.Where, was != nil, is != nil, func() []any { return supplierPairs(i) })
	})
}

func (im *importer) offers(before, after *model.Workshop) error {
	key := func(o *model.Offer) any {
		return model.Offer{Supplier: o.Supplier, Profile: o.Profile, Length: o.Length, Longest: o.Longest, Bundle: o.PerBundle(), From: o.LeastBundles(), Until: o.Until}
	}
	err := each(before.Offers, after.Offers, key, func(was, is *model.Offer) error {
		w, i := orNone(was), orNone(is)
		return im.row("offer", "an offer of "+w.Supplier, i.Where, w.Where, was != nil, is != nil, func() []any { return offerPairs(i) })
	})
	if err != nil {
		return err
	}
	return im.priceAtLast(before, after)
}

// priceAtLast puts money into the sticks that came onto the rack before anybody knew a price of their profile: what they are worth now that there is one.
func (im *importer) priceAtLast(before, after *model.Workshop) error {
	w := &model.Workshop{}
	if err := im.t.readSticks(w, "state = 'rack' AND origin = 'found' AND cost_minor = 0 AND value_minor IS NULL"); err != nil {
		return err
	}
	priced := 0
	for _, s := range w.Rack {
		worth := after.StickValue(s)
		if worth == 0 || before.StickValue(s) != 0 {
			continue
		}
		if _, err := im.t.exec("UPDATE stick SET cost_minor = ? WHERE id = ?", worth, s.Where.Line); err != nil {
			return err
		}
		priced++
	}
	if priced > 0 {
		said := "1 stick of the rack whose worth nobody knew has one now"
		if priced > 1 {
			said = fmt.Sprintf("%d sticks of the rack whose worth nobody knew have one now", priced)
		}
		im.t.tell("%s", said)
	}
	return nil
}

func orNone[T any](x *T) T {
	if x == nil {
		var none T
		return none
	}
	return *x
}

// rack puts sticks on the rack that are new, writes down what of the others is different, and discards those that are gone.
func (im *importer) rack(before, after *model.Workshop) error {
	t := im.t
	values := map[string]func(model.Stick) model.Money{}
	var ordered []model.Stick
	err := each(before.Rack, after.Rack, func(s *model.Stick) any { return s.ID }, func(was, is *model.Stick) error {
		if was == nil && is.Unnamed {
			if err := im.rename(is, after.Rack); err != nil {
				return err
			}
		}
		switch {
		case was != nil && was.OnTheWay() || is != nil && is.OnTheWay():
			if was == nil {
				ordered = append(ordered, *is)
				return nil
			}
			return im.coming(was, is)
		case is == nil:
			im.gone++
			return t.discard(was.ID, "gone from the tables, discarded")
		case was == nil:
			im.new++
			if there, err := t.one("SELECT id FROM stick WHERE name = ?", []any{clean(is.ID)}, new(int64)); err != nil {
				return err
			} else if there {
				return placed(usageError("", fmt.Sprintf("there was a stick %s in the book, and it is not on the rack any more", is.ID), "give this one another name"), is.Where)
			}
			value := values[is.Profile]
			if value == nil {
				value = after.ValuesOf(is.Profile)
				values[is.Profile] = value
			}
			return t.addStick(*is, value(*is))
		}
		changed, err := t.put("stick", was.Where.Line, []any{"profile", clean(is.Profile), "place", clean(is.Place), "lot", clean(is.Lot),
			"value_minor", orNull(is.Value.Amount, is.Value.Given), "offcut", is.Offcut})
		if err != nil {
			return err
		}
		if is.Length != was.Length || !slices.Equal(is.Damage, was.Damage) {
			changed = true
			if err := t.measure(is.ID, is.Length, append([]model.Span{}, is.Damage...)); err != nil {
				return placed(err, is.Where)
			}
		}
		if changed {
			im.changed++
		}
		return nil
	})
	if err != nil {
		return err
	}
	im.new += len(ordered)
	return t.fillComing(after, ordered)
}

// rename gives a stick that came without a name another one, where the book once had a stick of the one that it was given.
func (im *importer) rename(s *model.Stick, all []model.Stick) error {
	for n := 1; ; n++ {
		there, err := im.t.one("SELECT id FROM stick WHERE name = ?", []any{clean(s.ID)}, new(int64))
		if err != nil || !there {
			return err
		}
		for s.ID = model.FoundName(n); slices.ContainsFunc(all, func(o model.Stick) bool { return o.ID == s.ID && !o.Unnamed }); s.ID = model.FoundName(n) {
			n++
		}
	}
}

// coming takes in what tables say of a stick that is on the way in the book: the day on which it is expected may change. Everything else is done
// to its order.
func (im *importer) coming(was, is *model.Stick) error {
	if is == nil {
		return placed(usageError("", fmt.Sprintf("stick %s is on the way with order %s, and cannot be taken out of the rack", was.ID, was.Coming.Order),
			`say with "longpoint order --cancel" that it will not come, or leave its row where it was`), model.Place{File: im.in.Path()})
	}
	day, but := is.Coming.Expected, *is
	but.Coming.Expected, but.Where = was.Coming.Expected, was.Where
	if !reflect.DeepEqual(but, *was) {
		return placed(usageError("", fmt.Sprintf("stick %s is on the way with order %s in the book, and is something else here", is.ID, was.Coming.Order),
			`receive or change the order with "longpoint receive" or "longpoint order change", and leave the row as it was exported`), is.Where)
	}
	if day == was.Coming.Expected {
		return nil
	}
	im.changed++
	_, err := im.t.exec("UPDATE purchase SET expected = ? WHERE id = ?", day.String(), was.Where.Line)
	return err
}

// jobs takes in jobs that are new, changes those that are different, and drops those that are gone.
func (im *importer) jobs(before, after *model.Workshop) error {
	t := im.t
	return each(before.Jobs, after.Jobs, func(j *model.Job) any { return j.ID }, func(was, is *model.Job) error {
		switch {
		case is == nil:
			im.gone++
			return MarkJobs(JobDropped, was.ID).do(t)
		case was == nil:
			im.new++
			var state string
			if there, err := t.one("SELECT state FROM job WHERE name = ?", []any{clean(is.ID)}, &state); err != nil {
				return err
			} else if there {
				return placed(usageError("", fmt.Sprintf("job %s is in the book already, and %s", is.ID, state), "give this one another name"), is.Where)
			}
			return t.addJob(*is)
		}
		if same, err := t.sameJob(*is); err != nil || same {
			return err
		}
		im.changed++
		if err := ChangeJob(is.ID, func(j *model.Job) error { *j = *is; return nil }).do(t); err != nil {
			return placed(err, is.Where)
		}
		return nil
	})
}
