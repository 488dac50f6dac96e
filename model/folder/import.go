package folder

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/table"
)

// Incoming is tables for a workshop that is kept elsewhere: a workshop's folder or workbook, whole or in part, one table by itself,
// or all that a book has (Export).
type Incoming struct {
	from *source
	path string
	As   string         // which table it is that comes by itself; empty: as its name or its heading says
	Own  model.Headings // what the shop calls the columns, besides what is known of that
	// Command gives what is typed to take one table in, for a hint; file is where it is, and table which (empty: not known).
	Command func(file, table string) string
	// Prices gives what is typed to take a supplier's price list in.
	Prices func(file string) string
}

// sets are a workshop's tables, each behind those that it refers to.
func sets() []table.Set { return []table.Set{profileSet, supplierSet, offerSet, rackSet, jobSet} }

// TableNames are what a workshop's tables are called.
func TableNames() (names []string) {
	for _, s := range sets() {
		names = append(names, s.Name)
	}
	return names
}

// Columns gives the names of the columns that a table may have.
func Columns(table string) []string {
	for _, s := range sets() {
		if s.Name == table {
			return s.Names()
		}
	}
	return nil
}

// Fields gives the columns that a table may have as fields of a form.
func Fields(of string) (fields []Setting) {
	for _, s := range sets() {
		if s.Name != of {
			continue
		}
		for _, c := range s.Columns {
			one := Setting{Key: c.Name, About: c.About, Words: c.Words}
			if c.Need == table.Each {
				one.Need = "yes"
			}
			fields = append(fields, one)
		}
	}
	return fields
}

// OpenIncoming finds the tables in a folder, a workbook or a file with one table, or the settings in a file like workshop.toml. The error
// is of kind BadInput.
func OpenIncoming(path string) (*Incoming, error) {
	from, bad := sourceOf(path)
	if bad != nil {
		return nil, bad
	}
	return &Incoming{from: from, path: path, Command: func(file, table string) string {
		return "longpoint book import BOOK " + filepath.Base(file) + " --as " + table
	}, Prices: func(file string) string { return "longpoint prices BOOK " + filepath.Base(file) }}, nil
}

func sourceOf(path string) (*source, *model.Error) {
	if info, err := os.Stat(path); IsWorkbook(path) || err != nil || info.IsDir() {
		return openSource(path, table.Everything())
	}
	if strings.EqualFold(filepath.Ext(path), filepath.Ext(settingsFile)) {
		return &source{dir: filepath.Dir(path), single: true, alone: path, tables: map[string][]string{}}, nil
	}
	book, bad := table.Open(path, table.Ordinary())
	return &source{dir: filepath.Dir(path), single: true, book: book}, bad
}

// findOne finds which table it is that came by itself: as was said, or as it is called, or as its heading says.
func (in *Incoming) findOne(own model.Headings) error {
	if in.from.tables != nil || !in.from.single && in.As == "" {
		return nil
	}
	base := model.FoldName(strings.TrimSuffix(filepath.Base(in.path), filepath.Ext(in.path)))
	for _, set := range in.sets(own) {
		if set.Name == in.As || in.As == "" && (set.Name == base || in.from.book.Has(set)) {
			in.from.only = set.Name
			return nil
		}
	}
	if list := in.priceList(own); list != "" {
		return badFolder(in.path, "nobody can tell which table this is", list, nil)
	}
	likely, most := rackSet.Name, 0
	for _, set := range in.sets(own) {
		if n := len(in.from.book.Likely(set)); n > most {
			likely, most = set.Name, n
		}
	}
	return badFolder(in.path, "nobody can tell which table this is", "say that it is "+table.Either(TableNames())+": "+in.Command(in.path, likely), nil)
}

// priceList says how a table by itself is taken in that has the headings of a supplier's price list: prices of articles, and nobody's name beside
// them. Blank: it has not.
func (in *Incoming) priceList(own model.Headings) string {
	if !in.from.single || in.from.book == nil {
		return ""
	}
	set := offerSet
	set.Own = own
	has := in.from.book.Likely(set)
	if has["article"] == "" || has["price"] == "" || has["supplier"] != "" {
		return ""
	}
	return fmt.Sprintf(`if it is a supplier's price list, take it in as one: %s --supplier NAME --article "%s" --price "%s"`, in.Prices(in.path), has["article"], has["price"])
}

// sets are the tables that may come, as the shop calls their columns.
func (in *Incoming) sets(own model.Headings) []table.Set {
	all := sets()
	for i := range all {
		set := &all[i]
		set.Own = own
		switch files := in.from.tables[set.Name]; {
		case in.from.hasSettings() && in.from.alone == "": // which say it
		case len(files) > 0:
			set.Command = in.Command(files[0], set.Name)
		default:
			set.Command = in.Command(in.path, set.Name)
		}
	}
	return all
}

// Path gives where the tables come from.
func (in *Incoming) Path() string { return in.path }

// Read gives the workshop as it is to be: now, with the rows of the tables that came in place of those that people call the same;
// with replace, in place of all rows of their tables. now is nil where there are no settings yet, which must then come with them. given
// names the tables that came, workshop for the settings; where none came, w is now. The error is a model.Errors with everything
// that is wrong in the tables and between them.
func (in *Incoming) Read(now *model.Workshop, replace bool) (w *model.Workshop, given []string, err error) {
	var p table.Problems
	w = &model.Workshop{}
	if now != nil {
		*w = *now
	}
	w.Habits.Headings = w.Habits.Headings.Over(in.Own)
	if err := in.findOne(w.Habits.Headings); err != nil {
		return nil, nil, err
	}
	if !in.from.hasSettings() && !slices.ContainsFunc(in.sets(w.Habits.Headings), in.from.has) {
		return now, nil, nil
	}
	c := &table.Converter{Unit: w.Unit, Currency: w.Currency, Habits: w.Habits, Problems: &p}
	whole := true
	var set settings
	if in.from.hasSettings() {
		given = append(given, settingSet.Name)
		if set, whole = in.from.settings(&p); whole {
			blades := w.Machine.Blades
			set.apply(w, c)
			w.Machine.Blades = blades
			w.Habits.Headings = w.Habits.Headings.Over(in.Own)
		}
	} else if now == nil {
		return nil, nil, badFolder(in.path, "the book has no settings yet, and none come with these tables", "import a workshop's folder with its "+settingsFile, nil)
	} else if w.Habits != now.Habits {
		given = append(given, settingSet.Name)
	}
	for _, s := range in.sets(w.Habits.Headings) {
		if !in.from.has(s) {
			continue
		}
		given = append(given, s.Name)
		t, _ := in.from.table(s, &p)
		if list := in.priceList(w.Habits.Headings); !t.Whole() && list != "" {
			p.Add(model.Place{File: in.path}, "this has the headings of a price list, and not those of "+s.Name, list)
		}
		switch s.Name {
		case profileSet.Name:
			own := w.Defaults.Keep
			own.Given = own.Given || !t.Has("keep") // what is there keeps its own; the check finds the others
			w.Profiles = merged(w.Profiles, profiles(t, own, c), replace, t, profileKey, keepProfile)
		case supplierSet.Name:
			w.Suppliers = merged(w.Suppliers, suppliers(t, c), replace, t, supplierKey, keepSupplier)
		case offerSet.Name:
			w.Offers = merged(w.Offers, offers(t, c), replace, t, offerKey, keepOffer)
		case rackSet.Name:
			w.Rack = incomingRack(w.Rack, rack(t, w.Rack, c), replace, t)
		case jobSet.Name:
			came := jobs(t, w.Defaults.Allowance, c)
			notAllTiny(t, came, c)
			w.Jobs = merged(w.Jobs, came, replace, t, jobKey, keepJob)
		}
		whole = whole && t.Whole()
	}
	w.Readings = p.Readings
	if whole {
		p.AddChecked(placed(notBefore(w.Check(), now), set))
	}
	return w, given, p.Errors(in.from.files...)
}

// notBefore leaves out what could not be cut before either: that is no fault of the tables that came, and must not keep them out.
func notBefore(err error, now *model.Workshop) error {
	all, _ := errors.AsType[model.Errors](err)
	if now == nil || all == nil {
		return err
	}
	before, _ := errors.AsType[model.Errors](now.Check())
	return slices.DeleteFunc(all, func(e *model.Error) bool {
		return e.Kind == model.CannotCut && slices.ContainsFunc(before, func(b *model.Error) bool { return b.Kind == e.Kind && b.What == e.What && b.Where == e.Where })
	}).AsError()
}

// merged puts new rows in place of those of the same key, the first for the first where there are several, and the others behind
// them. What a table has no column for stays as it was in a row that was there (keep).
func merged[T any](now, new []T, replace bool, t *table.Table, key func(*T) any, keep func(is, was *T, lacks func(string) bool)) []T {
	lacks := func(column string) bool { return !t.Has(column) }
	var out []T
	if !replace {
		out = slices.Clone(now)
	}
	at := map[any][]int{}
	for i := range now {
		k := key(&now[i])
		at[k] = append(at[k], i)
	}
	for i := range new {
		x := &new[i]
		places := at[key(x)]
		if len(places) > 0 {
			keep(x, &now[places[0]], lacks)
			at[key(x)] = places[1:]
		}
		if len(places) > 0 && !replace {
			out[places[0]] = *x
		} else {
			out = append(out, *x)
		}
	}
	return out
}

// incomingRack merges sticks. A table that has no column for orders says nothing of what is on the way, which stays.
func incomingRack(now, new []model.Stick, replace bool, t *table.Table) []model.Stick {
	out := merged(now, new, replace, t, stickKey, keepStick)
	if !replace || t.Has("order") {
		return out
	}
	for _, s := range now {
		if s.OnTheWay() && !slices.ContainsFunc(new, func(o model.Stick) bool { return o.ID == s.ID }) {
			out = append(out, s)
		}
	}
	return out
}

func profileKey(p *model.Profile) any   { return p.Name }
func supplierKey(s *model.Supplier) any { return s.Name }
func stickKey(s *model.Stick) any       { return s.ID }
func jobKey(j *model.Job) any           { return j.ID }
func offerKey(o *model.Offer) any {
	return model.Offer{Supplier: o.Supplier, Profile: o.Profile, Length: o.Length, Longest: o.Longest, Bundle: o.PerBundle(), From: o.LeastBundles(), Until: o.Until}
}

// keepers copy what a table has no column for.
func keepProfile(is, was *model.Profile, lacks func(string) bool) {
	keepOld(lacks("title"), &is.Title, was.Title)
	keepOld(lacks("finish"), &is.Finish, was.Finish)
	keepOld(lacks("head_trim"), &is.HeadTrim, was.HeadTrim)
	keepOld(lacks("tail_trim"), &is.TailTrim, was.TailTrim)
	keepOld(lacks("keep"), &is.Keep, was.Keep)
	keepOld(lacks("metre_price"), &is.Metre, was.Metre)
	keepOld(lacks("offcut_share"), &is.OffcutShare, was.OffcutShare)
	keepOld(lacks("match"), &is.Match, was.Match)
	keepOld(lacks("repeat"), &is.Repeat, was.Repeat)
	keepOld(lacks("set_up"), &is.SetUp, was.SetUp)
}

func keepSupplier(is, was *model.Supplier, lacks func(string) bool) {
	keepOld(lacks("least_order"), &is.LeastMoney, was.LeastMoney)
	keepOld(lacks("least_sticks"), &is.LeastSticks, was.LeastSticks)
	keepOld(lacks("delivery"), &is.Delivery, was.Delivery)
	keepOld(lacks("free_from"), &is.FreeFrom, was.FreeFrom)
	keepOld(lacks("delivery_days"), &is.DeliveryDays, was.DeliveryDays)
	keepOld(lacks("address"), &is.Address, was.Address)
}

func keepOffer(is, was *model.Offer, lacks func(string) bool) {
	keepOld(lacks("article"), &is.Article, was.Article)
	if lacks("per") && was.ByLength.Given() && is.Price != was.Price {
		return // a price of a bundle takes the place of one by length
	}
	keepOld(lacks("per"), &is.ByLength, was.ByLength)
}

func keepStick(is, was *model.Stick, lacks func(string) bool) {
	keepOld(lacks("place"), &is.Place, was.Place)
	keepOld(lacks("value"), &is.Value, was.Value)
	keepOld(lacks("offcut"), &is.Offcut, was.Offcut)
	keepOld(lacks("lot"), &is.Lot, was.Lot)
	keepOld(lacks("order"), &is.Coming, was.Coming)
	if lacks("damaged") {
		is.Damage = was.Damage
	}
}

func keepJob(is, was *model.Job, lacks func(string) bool) {
	keepOld(lacks("customer"), &is.Customer, was.Customer)
	keepOld(lacks("match"), &is.Match, was.Match)
	keepOld(lacks("note"), &is.Note, was.Note)
	for i := range is.Frames {
		f := &is.Frames[i]
		at := slices.IndexFunc(was.Frames, func(o model.JobFrame) bool { return o.ID == f.ID })
		if at < 0 {
			continue
		}
		old := &was.Frames[at]
		keepOld(lacks("quantity"), &f.Quantity, old.Quantity)
		for n := range min(len(f.Rings), len(old.Rings)) {
			keepOld(lacks("allowance"), &f.Rings[n].Allowance, old.Rings[n].Allowance)
			keepOld(lacks("given_by"), &f.Rings[n].Size.By, old.Rings[n].Size.By)
		}
	}
}

func keepOld[T comparable](lacks bool, is *T, was T) {
	if lacks {
		*is = was
	}
}

// history is where, in a whole export, everything stands that is not in the workshop's tables: the folder, and the first word of the
// sheets.
const history = "history"

// inHistory calls a table as its sheet is called.
func inHistory(set table.Set) table.Set {
	set.Name = history + " " + set.Name
	return set
}

func historyFile(dir string, set table.Set) string {
	return filepath.Join(dir, history, set.Name+".csv")
}

// History gives a table of a book's own out of a whole export; given = false: it is not there.
func (in *Incoming) History(set table.Set, p *table.Problems) (t *table.Table, given bool) {
	if in.from.book != nil {
		if !in.from.book.Named(inHistory(set)) {
			return table.Unread(), false
		}
		t, _ = in.from.book.Table(inHistory(set), p)
		return t, true
	}
	path := historyFile(in.from.dir, set)
	if _, err := os.Stat(path); in.from.single || err != nil {
		return table.Unread(), false
	}
	file, bad := table.Open(path, table.Everything())
	if bad != nil {
		p.Keep(bad)
		return table.Unread(), true
	}
	t, _ = file.Table(set, p)
	return t, true
}
